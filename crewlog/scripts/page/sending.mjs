/* Before a form is sent it is asked whether the server can be reached and who is signed in. Without an answer the form
   stays on the page with a line and a button, in place of the browser's page of errors. Forms of rounds send by themselves. */
import * as drafts from "./drafts.mjs";

const WAIT_MS = 8000;
const SLOW_MS = 1200;
const OWN_WAY = "#round-form, #sign-form, [data-sign-out]";

function wordsOf(button) { return button ? button.textContent.replace(/\s+/g, " ").trim() : ""; }

/* Where the line stands: before the row of the button that was pressed. */
function lineAt(form, button) {
  let line = form.querySelector(".unsent--here");
  if (!line) {
    line = document.createElement("div");
    line.className = "unsent unsent--here";
    line.tabIndex = -1;
    line.setAttribute("role", "alert");
    const row = button && form.contains(button) ? button.closest(".thumb, .actions, p, .row") || button : null;
    if (row && form.contains(row)) row.before(line); else form.append(line);
  }
  return line;
}

function say(form, button, words, again) {
  const line = lineAt(form, button);
  const said = document.createElement("p");
  said.textContent = words;
  line.replaceChildren(said);
  if (!again) return;
  const press = document.createElement("button");
  press.type = "button";
  press.className = "button";
  press.textContent = again.words;
  press.onclick = again.press;
  line.append(press);
  line.scrollIntoView({ block: "center" });
  press.focus({ preventScroll: true });
}

function unsay(form) {
  const line = form.querySelector(".unsent--here");
  if (line) line.remove();
}

async function whoIsHere() {
  if (!navigator.onLine) throw new Error("no signal");
  const answer = await fetch(document.body.dataset.here, { cache: "no-store", signal: AbortSignal.timeout(WAIT_MS) });
  if (!answer.ok) throw new Error(String(answer.status));
  return answer.json();
}

function keptWords(form) {
  return drafts.isKept(form) ? "Not sent, kept on this device." : "Nothing was sent.";
}

/* A token of the cookie as it is now: another tab may have signed in since. */
function refresh(token) {
  document.querySelectorAll("[name=csrfmiddlewaretoken]").forEach((each) => { each.value = token; });
  if (document.body.hasAttribute("hx-headers")) document.body.setAttribute("hx-headers", JSON.stringify({ "x-csrftoken": token }));
}

function name(form, button) {
  let box = form.elements._draft;
  if (box) box.remove();
  if (form.dataset.draft === undefined || (button && button.hasAttribute("data-draft-apart"))) return;
  const token = drafts.mark(form, wordsOf(button));
  if (!token) return;
  box = document.createElement("input");
  box.type = "hidden";
  box.name = "_draft";
  box.value = token;
  form.append(box);
}

async function send(form, button) {
  if (form.dataset.asking || form.dataset.sent) return; // a second name would make an accepted draft look unsent
  form.dataset.asking = "yes";
  const slow = window.setTimeout(() => say(form, button, "Looking for signal."), SLOW_MS);
  const again = { words: "Send again", press: () => { send(form, button); } };
  try {
    const here = await whoIsHere();
    window.clearTimeout(slow);
    if (here.person && here.person !== document.body.dataset.person) {
      say(form, button, "Somebody else has signed in on this device. " + keptWords(form),
        { words: "Open the page again", press: () => location.reload() });
      return;
    }
    unsay(form);
    refresh(here.token);
    name(form, button);
    form.dataset.reached = "yes";
    form.requestSubmit(button && button.isConnected ? button : undefined);
  } catch (error) {
    window.clearTimeout(slow);
    say(form, button, (navigator.onLine ? "No answer from the server. " : "No signal. ") + keptWords(form), again);
  } finally {
    delete form.dataset.asking;
    delete form.dataset.reached;
  }
}

export function listen() {
  /* Without signal a form that is kept on the device is not asked about; it is once the signal is back. */
  document.addEventListener("htmx:beforeRequest", function (event) {
    if (navigator.onLine || !event.target.matches("form[data-draft]")) return;
    event.preventDefault();
    document.dispatchEvent(new Event("crewlog:no-signal"));
  });
  window.addEventListener("online", function () {
    document.querySelectorAll("form[data-draft][hx-post]").forEach((form) => form.dispatchEvent(new Event("change")));
  });

  /* A phone offers figures in a box of a quantity; its unit, touched, brings the letters for another unit. */
  document.addEventListener("click", function (event) {
    const unit = event.target.closest(".box__unit");
    const box = unit && unit.parentElement.querySelector("input:not([type=hidden])");
    if (!box) return;
    box.inputMode = box.inputMode === "decimal" ? "text" : box.inputMode;
    box.blur();
    box.focus();
  });

  document.addEventListener("submit", function (event) {
    const form = event.target;
    if (form.method !== "post" || form.matches(OWN_WAY) || form.dataset.reached || !document.body.dataset.person) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    send(form, event.submitter);
  }, true);
}
