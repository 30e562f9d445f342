/* Photographs of a round that were chosen without signal. Each waits in the browser's own database under its round, item
   and box, and is sent when there is signal; one that arrived is forgotten here. */
import * as device from "../../../crewlog/scripts/page/kept.mjs";

const SHELF = "crewlog-photographs";
const SEND_MS = 60000;

function shelf(mode, ask) { return device.shelf(SHELF, mode, ask); }

/* Keys of what waits for some rounds. */
async function waiting(rounds) {
  const keys = await shelf("readonly", function (kept) { return kept.getAllKeys(); });
  return keys.filter(function (key) {
    return rounds.some(function (round) { return key.startsWith(round + ":"); });
  });
}

export async function count(rounds) {
  try { return (await waiting(rounds)).length; } catch (error) { return 0; }
}

/* Take what a form's boxes hold. What to say where this browser keeps nothing; else nothing. */
export async function hold(form, round, place) {
  const chosen = [...form.querySelectorAll("input[type=file]")].filter(function (box) { return box.files.length; });
  try {
    for (const box of chosen) {
      const photograph = { address: location.pathname, name: box.name, file: box.files[0] };
      await shelf("readwrite", function (kept) { return kept.put(photograph, [round, place, box.name].join(":")); });
      box.value = "";
    }
    return "";
  } catch (error) {
    if (error && error.name === "QuotaExceededError") return fullWords(await count([round]));
    return "This device cannot keep a photograph: take it again with signal.";
  }
}

function fullWords(held) {
  const wait = held === 1 ? "1 photograph waits" : held + " photographs wait";
  return "The storage of this phone is full: the last photograph is not kept. " + wait
    + " here. Find signal so that they are sent, or free some room, then take it again.";
}

/* Small pictures of what waits here for one item, each beside its box. What was sent meanwhile is said to be kept. */
export async function show(round, place) {
  const places = [...document.querySelectorAll("#round-form [data-shots]")];
  const here = [round, place, ""].join(":");
  let keys = [];
  try { keys = await waiting([round]); } catch (error) { /* this browser keeps nothing */ }
  for (const shots of places) {
    const key = here + shots.dataset.shots;
    const shown = shots.querySelector("[data-waits]");
    if (!keys.includes(key)) {
      if (shown && shown.dataset.waits) { shown.dataset.waits = ""; shown.lastElementChild.textContent = "Kept"; }
      continue;
    }
    const kept = await shelf("readonly", function (shelved) { return shelved.get(key); });
    if (!kept) continue;
    const waits = document.createElement("p");
    waits.className = "held";
    waits.dataset.waits = "yes";
    waits.append(await small(kept.file), document.createElement("span"));
    waits.lastElementChild.textContent = "Kept on this phone";
    shots.replaceChildren(waits); /* a later one takes the place of the one before */
  }
}

/* Drawn, because the pages allow no image from elsewhere than this site. */
async function small(file) {
  const canvas = document.createElement("canvas");
  canvas.width = canvas.height = 144;
  canvas.setAttribute("role", "img");
  canvas.setAttribute("aria-label", "Photograph: " + (file.name || "taken here"));
  try {
    const picture = await createImageBitmap(file);
    const side = Math.min(picture.width, picture.height);
    canvas.getContext("2d").drawImage(
      picture, (picture.width - side) / 2, (picture.height - side) / 2, side, side, 0, 0, 144, 144,
    );
  } catch (error) { /* a format this browser does not draw; the server reads it */ }
  return canvas;
}

/* What to say of what came of it. Throws where there is no signal. */
export async function send(rounds) {
  let said = "";
  const token = document.querySelector("[name=csrfmiddlewaretoken]");
  for (const key of await waiting(rounds)) {
    const kept = await shelf("readonly", function (shelved) { return shelved.get(key); });
    const body = new FormData();
    body.append(kept.name, kept.file, kept.file.name);
    body.append("do", "photograph");
    const answer = await fetch(kept.address, {
      method: "POST", body: body, redirect: "manual", signal: AbortSignal.timeout(SEND_MS),
      headers: { "Accept": "application/json", "X-CSRFToken": token ? token.value : "" },
    });
    if (answer.status === 503) return (await answer.json()).refused + " The photographs stay on this device until they are sent.";
    if (answer.status !== 204 && answer.status !== 422) return "Sign in again, as who began the round, to send them.";
    if (answer.status === 422) said = "A photograph of item " + key.split(":")[1] + " was refused. Take it again.";
    await shelf("readwrite", function (shelved) { return shelved.delete(key); });
  }
  return said;
}
