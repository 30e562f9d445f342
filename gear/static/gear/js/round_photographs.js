/* Photographs of a round that were chosen without signal. Each waits in the browser's own database under its round, item
   and box, and is sent when there is signal; one that arrived is forgotten here. */
(function () {
  "use strict";

  const SHELF = "crewlog-photographs";
  const SEND_MS = 60000;

  function shelf(mode, ask) {
    return new Promise(function (resolve, reject) {
      const opening = indexedDB.open(SHELF, 1);
      opening.onupgradeneeded = function () { opening.result.createObjectStore("waiting"); };
      opening.onerror = function () { reject(opening.error); };
      opening.onsuccess = function () {
        const kept = opening.result;
        const turn = kept.transaction("waiting", mode);
        const asked = ask(turn.objectStore("waiting"));
        turn.oncomplete = function () { kept.close(); resolve(asked.result); };
        turn.onabort = function () { kept.close(); reject(turn.error); };
      };
    });
  }

  /* Keys of what waits for some rounds. */
  async function waiting(rounds) {
    const keys = await shelf("readonly", function (kept) { return kept.getAllKeys(); });
    return keys.filter(function (key) {
      return rounds.some(function (round) { return key.startsWith(round + ":"); });
    });
  }

  async function count(rounds) {
    try { return (await waiting(rounds)).length; } catch (error) { return 0; }
  }

  /* Take what a form's boxes hold. What to say where this browser keeps nothing; else nothing. */
  async function hold(form, round, place) {
    const chosen = [...form.querySelectorAll("input[type=file]")].filter(function (box) { return box.files.length; });
    try {
      for (const box of chosen) {
        const photograph = { address: location.pathname, name: box.name, file: box.files[0] };
        await shelf("readwrite", function (kept) { return kept.put(photograph, [round, place, box.name].join(":")); });
        box.value = "";
      }
      return "";
    } catch (error) {
      return "This device cannot keep a photograph: take it again with signal.";
    }
  }

  /* What to say of what came of it. Throws where there is no signal. */
  async function send(rounds) {
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

  window.roundPhotographs = { count: count, hold: hold, send: send };
})();
