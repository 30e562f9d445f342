/* Drafts of forms ([data-draft]): what is typed is kept on this device under the person who is signed in, and put back
   when the page is opened again. What somebody else saved meanwhile is never covered over: such a box is asked about.
   A draft ends when the server has accepted its form, when it is thrown away, and at sign-out (decision 20). */
import * as boxes from "./draft_boxes.mjs";
import * as kept from "./kept.mjs";
import * as line from "./draft_line.mjs";

const START = "crewlog-draft:";
const LEAVING = "crewlog-leaving";
const TAKEN = "drafts-taken";
const LONGEST_MS = 14 * 24 * 3600 * 1000;
let isPuttingBack = false;

function person() { return document.body.dataset.person || ""; }

function keyOf(form) {
  const to = new URL(form.getAttribute("action") || location.href, location.href);
  to.searchParams.delete("not-done");
  return START + person() + ":" + form.dataset.draft + ":" + to.pathname + to.search;
}

function load(form) { return kept.getJson(keyOf(form)); }

/* What the browser would not do is said once, at the form. */
function save(form, draft) {
  const isEmpty = !Object.keys(draft.boxes).length;
  const fault = kept.put(keyOf(form), isEmpty ? null : JSON.stringify(draft));
  line.sayFault(fault);
}

function drop(form) { kept.put(keyOf(form), null); }

function note(form, control) {
  if (isPuttingBack || !person() || !boxes.isKept(control)) return;
  const name = control.name;
  const draft = load(form) || { boxes: {} };
  const typed = boxes.now(form, name);
  const begun = draft.boxes[name] ? draft.boxes[name].begun : boxes.begun(form, name);
  if (boxes.same(typed, begun)) delete draft.boxes[name];
  else draft.boxes[name] = { begun: begun, typed: typed, unit: boxes.unit(form, name) };
  draft.at = new Date().toISOString();
  save(form, draft);
}

function noteFile(form, control) {
  const draft = load(form);
  if (draft && control.files.length) save(form, { ...draft, hadFiles: true });
}

/* A bare number keeps the unit it was typed in, should the page show another now. */
export function typedIn(form, name, box) {
  const unit = boxes.unit(form, name);
  if (!box.unit || box.unit === unit) return box.typed;
  return box.typed.map((text) => (/^-?[\d.,]+$/.test(text.trim()) ? text.trim() + " " + box.unit : text));
}

/* Put values into boxes as a hand would, so that what follows from them is worked out again. */
function putBack(form, given) {
  isPuttingBack = true;
  let last = null;
  Object.entries(given).forEach(function ([name, values]) {
    boxes.put(form, name, values);
    last = boxes.first(form, name) || last;
    const folded = last && last.closest("details:not([open])");
    if (folded) folded.open = true;
  });
  if (last) last.dispatchEvent(new Event("change", { bubbles: true }));
  isPuttingBack = false;
}

/* Of each kept box: saved already, free to put back, saved otherwise since, or no longer on the page. */
export function sort(form, draft) {
  const found = { free: [], clash: [], gone: [] };
  Object.entries(draft.boxes).forEach(function ([name, box]) {
    const server = boxes.begun(form, name);
    if (!boxes.first(form, name)) found.gone.push(name);
    else if (boxes.same(server, box.typed)) delete draft.boxes[name];
    else if (boxes.same(server, box.begun)) found.free.push(name);
    else found.clash.push(name);
  });
  return found;
}

function offer(form) {
  const draft = load(form);
  if (!draft || form.hasAttribute("data-draft-refused")) return;
  const found = sort(form, draft);
  save(form, draft);
  if (!Object.keys(draft.boxes).length) return;
  line.show(form, draft, found, {
    put: (names) => putBack(form, Object.fromEntries(names.map((name) => [name, typedIn(form, name, draft.boxes[name])]))),
    take: (name) => { putBack(form, { [name]: typedIn(form, name, draft.boxes[name]) }); },
    leave: (name) => { delete draft.boxes[name]; save(form, draft); },
    throwAway: () => {
      putBack(form, Object.fromEntries(Object.keys(draft.boxes).map((name) => [name, boxes.begun(form, name)])));
      drop(form);
    },
    keepAgain: () => save(form, draft),
  });
}

/* The server names, in a cookie, what it has accepted. */
function forgetTaken() {
  const cookie = document.cookie.split("; ").find((each) => each.startsWith(TAKEN + "="));
  if (!cookie) return;
  const tokens = cookie.slice(TAKEN.length + 1).split(".");
  kept.keys(START).forEach(function (key) {
    const draft = kept.getJson(key);
    if (draft && tokens.includes(draft.token)) kept.put(key, null);
  });
  document.cookie = TAKEN + "=; Max-Age=0; Path=/; SameSite=Lax";
}

/* At sign-out what that person typed is forgotten; an ended session forgets nothing. Old drafts go by themselves. */
function forgetLeft() {
  const left = kept.get(LEAVING);
  if (left && !person()) kept.keys(START + left + ":").forEach((key) => kept.put(key, null));
  if (left) kept.put(LEAVING, null);
  kept.keys(START).forEach(function (key) {
    const draft = kept.getJson(key);
    if (!draft || !(Date.now() - new Date(draft.at) < LONGEST_MS)) kept.put(key, null);
  });
}

/* Name a draft's sending, so that the server can say it was accepted; `words` are the button's. */
export function mark(form, words) {
  const draft = load(form);
  if (!draft) return "";
  const bytes = crypto.getRandomValues(new Uint8Array(8));
  draft.token = Array.from(bytes, (n) => n.toString(16).padStart(2, "0")).join("");
  draft.did = words;
  save(form, draft);
  return draft.token;
}

export function isKept(form) { return Boolean(form.dataset.draft !== undefined && load(form)); }

function noted(event) {
  const form = event.target.form;
  if (!form || form.dataset.draft === undefined) return;
  if (event.target.type === "file") noteFile(form, event.target); else note(form, event.target);
}

export function listen() {
  document.addEventListener("input", noted);
  document.addEventListener("change", noted);
  document.addEventListener("submit", function (event) {
    if (event.target.matches("[data-sign-out]") && person()) kept.put(LEAVING, person());
  });
  document.addEventListener("DOMContentLoaded", function () {
    forgetLeft();
    forgetTaken();
    if (person()) document.querySelectorAll("form[data-draft]").forEach(offer);
  });
}
