/* Rounds without signal. Every answer is kept on this device the moment it is given, under its round and item, and
   sent when there is signal; what the server has is forgotten here. The items that come next are fetched ahead, so that
   one can go on; photographs are held by photographs.mjs. Without this script each item is a form with a button. */
import * as counter from "./count.mjs";
import * as kept from "./kept_pages.mjs";
import * as photographs from "./photographs.mjs";
import { addSeconds, device, forget, givenOf, keepGiven, keepQueue, queueOf, secondsOn, waitingPlaces } from "./queue.mjs";

const WAIT_MS = 8000;
const AGAIN_MS = 15000;
const AHEAD = 25;
const pages = new Map();
let ready = null;
let sending = null;
let sendSoon = 0;
let shownSince = 0;
let photographsWaiting = 0;

function countWaiting(round) {
  return waitingPlaces(round).reduce(function (sum, place) {
    return sum + Object.keys(queueOf(round, place)).filter(function (name) {
      return !name.endsWith("-unit") && !isBeingTyped(round, place, name);
    }).length;
  }, 0);
}

/* Half a figure may lie past its limit, and what fails holds the item: a box is sent once the cursor has left it. */
function isBeingTyped(round, at, name) {
  const box = document.activeElement;
  return Boolean(here()) && here().dataset.round === round && place() === at
    && Boolean(box) && Boolean(box.form) && box.form.id === "round-form"
    && /^(text|textarea)$/.test(box.type) && (name === box.name || name === box.name + "-unit");
}

function leaveBox() {
  if (document.activeElement && document.activeElement.form) document.activeElement.blur();
}

function here() { return document.getElementById("round-item"); }
function place() { return here() ? here().dataset.place : ""; }
function rounds() { return [...document.querySelectorAll("[data-round][data-send]")]; }

function say(words) {
  document.querySelectorAll(".round-wait").forEach(function (box) {
    if (box.textContent !== words) box.textContent = words;
    box.hidden = !words;
  });
}

function sayWaiting(more) {
  const count = rounds().reduce(function (sum, each) { return sum + countWaiting(each.dataset.round); }, 0);
  const words = [];
  if (count) words.push(count + (count === 1 ? " answer" : " answers") + " waiting to be sent.");
  if (photographsWaiting) words.push(photographsWaiting + (photographsWaiting === 1 ? " photograph" : " photographs") + " waiting for signal.");
  if (more) words.push(more);
  say(words.join(" "));
  return count + photographsWaiting;
}

function roundNames() { return rounds().map(function (each) { return each.dataset.round; }); }

async function countPhotographs() { photographsWaiting = await photographs.count(roundNames()); }

async function holdPhotographs(form) {
  const fault = await photographs.hold(form, here().dataset.round, place());
  await countPhotographs();
  await showPhotographs();
  sayWaiting(navigator.onLine ? "" : fault); /* with signal it goes with the button */
  return fault;
}

async function showPhotographs() {
  if (here() && here().hasAttribute("data-open")) await photographs.show(here().dataset.round, place());
}

/* Seconds this device showed an item, counted only while the page is seen. */
function tally() {
  if (!here() || !shownSince) return;
  addSeconds(here().dataset.round, place(), (performance.now() - shownSince) / 1000);
  shownSince = performance.now();
}

function typed(control) {
  if (control.type === "checkbox") return control.checked ? "on" : "";
  return control.value;
}

function note(control) {
  const form = control.form;
  if (!form || form.id !== "round-form" || !control.name || control.type === "hidden" || control.type === "file") return;
  if (control.type === "radio" && !control.checked) return;
  const root = here();
  const queue = queueOf(root.dataset.round, place());
  const now = new Date().toISOString();
  queue[control.name] = [typed(control), now];
  keepGiven(root.dataset.round, place(), { ...givenOf(root.dataset.round, place()), [control.name]: typed(control) });
  const unit = form.elements[control.name + "-unit"];
  if (unit) queue[unit.name] = [unit.value, now];
  if (!keepQueue(root.dataset.round, place(), queue)) say("This device keeps nothing. Press the button after each item.");
  counter.say();
  window.clearTimeout(sendSoon);
  sendSoon = window.setTimeout(send, 700);
}

function message(round) {
  const items = {};
  waitingPlaces(round).forEach(function (at) {
    const queue = queueOf(round, at);
    const fail = Boolean(queue.fail);
    delete queue.fail;
    Object.keys(queue).forEach(function (name) { if (isBeingTyped(round, at, name)) delete queue[name]; });
    items[at] = { answers: queue, seconds: secondsOn(round, at), fail: fail };
  });
  if (here() && here().dataset.round === round && here().hasAttribute("data-open") && !items[place()]) {
    items[place()] = { seconds: secondsOn(round, place()) };
  }
  return items;
}

function post(address, body) {
  const token = document.querySelector("[name=csrfmiddlewaretoken]");
  return fetch(address, {
    method: "POST", body: JSON.stringify(body), redirect: "manual", signal: AbortSignal.timeout(WAIT_MS),
    headers: { "Content-Type": "application/json", "X-CSRFToken": token ? token.value : "" },
  });
}

async function sendRound(round, address) {
  tally();
  const items = message(round);
  if (!Object.keys(items).length) return "";
  const now = new Date();
  const body = { device: device(), now: now.toISOString(), offset_min: -now.getTimezoneOffset(), items: items };
  const answer = await post(address, body);
  if (answer.status === 409) {
    const fault = await answer.json();
    if (fault.code === "round-closed") forget(round, items);
    return fault.refused;
  }
  if (answer.status === 503) return (await answer.json()).refused + " The answers stay on this device until they are sent.";
  if (!answer.ok) return "Sign in again, as who began the round, to send them.";
  forget(round, items);
  const came = await answer.json();
  const recorded = came.recorded;
  sayHeld(round, came.held);
  const refused = Object.keys(recorded).filter(function (at) { return recorded[at]; });
  return refused.map(function (at) { return "Item " + at + " is not recorded as failed: " + recorded[at]; }).join(" ");
}

/* The server holds it: say so at once, the page itself says more when it is loaded again. */
function sayHeld(round, held) {
  if (!here() || here().dataset.round !== round || document.getElementById("held")) return;
  const why = held[place()];
  const box = document.querySelector(".round-held");
  if (!box || !why) return;
  box.textContent = "Failed: held, out of use. " + why + ".";
  box.hidden = false;
}

async function sendAll() {
  let said = "";
  try {
    /* Before the answers: a failure that is recorded takes its photographs with it. */
    if (photographsWaiting) said = await photographs.send(roundNames());
    for (const each of rounds()) said = (await sendRound(each.dataset.round, each.dataset.send)) || said;
  } catch (error) { /* no signal: it stays here */ }
  await countPhotographs();
  await showPhotographs();
  return sayWaiting(said) === 0;
}

/* True when nothing waits any more. */
async function send() {
  if (!navigator.onLine) return sayWaiting() === 0;
  if (!sending) sending = sendAll().finally(function () { sending = null; });
  return sending;
}

/* What was answered since the page came from the server stands in its boxes again. Whether there was any. */
function restore() {
  const form = document.getElementById("round-form");
  if (!form) return false;
  const queue = queueOf(here().dataset.round, place());
  const unsent = Object.fromEntries(Object.entries(queue).map(function (each) { return [each[0], each[1][0]]; }));
  const since = Object.entries({ ...givenOf(here().dataset.round, place()), ...unsent });
  since.forEach(function (each) {
    const control = form.elements[each[0]];
    if (!control || each[0].endsWith("-unit")) return;
    if (control.type === "checkbox") control.checked = each[1] === "on";
    else control.value = each[1];
  });
  return since.length > 0;
}

function address(at) { return location.pathname.replace(/[^/]+\/$/, at + "/"); }

/* A page of this round: from the server, or the copy that the worker kept. Throws where there is neither. */
async function fetchPage(href) {
  if (!navigator.onLine && !(navigator.serviceWorker && navigator.serviceWorker.controller)) throw new Error("no signal");
  const answer = await fetch(href, { redirect: "manual", signal: AbortSignal.timeout(WAIT_MS) });
  if (!answer.ok) throw new Error(String(answer.status));
  return answer.text();
}

async function lookAhead() {
  if (!here()) return;
  const coming = here().dataset.coming.split(" ").filter(Boolean).slice(0, AHEAD);
  const list = here().dataset.list;
  await ready;
  for (const href of [...coming.map(address), list]) {
    if (pages.has(href)) continue;
    try {
      const copy = await kept.copyOf(href);
      if (copy || navigator.onLine) pages.set(href, copy || (await fetchPage(href)));
    } catch (error) { return; }
  }
}

function swap(html, href, push, isFresh) {
  const page = new DOMParser().parseFromString(html, "text/html");
  const part = page.getElementById("round-item");
  if (!part) { location.assign(href); return; }
  tally();
  here().replaceWith(document.adoptNode(part));
  kept.sayAs(page);
  document.title = part.dataset.title + " · Crewlog";
  if (push) history.pushState({}, "", href);
  window.htmx.process(part);
  begin(isFresh && !kept.isKept());
  window.scrollTo(0, 0);
  part.querySelector("h1").tabIndex = -1;
  part.querySelector("h1").focus({ preventScroll: true });
}

async function show(href, push) {
  let html = "";
  try { html = await fetchPage(href); } catch (error) { /* no signal, and no copy kept */ }
  const isFresh = Boolean(html);
  html = html || pages.get(href) || "";
  if (html) swap(html, href, push, isFresh);
  else sayWaiting("No signal, and that item was not loaded yet.");
}

/* A kept copy gives way to the page itself. */
async function refresh() {
  if (!kept.isKept() || !navigator.onLine) return;
  try {
    if (kept.isKept(new DOMParser().parseFromString(await fetchPage(location.href), "text/html"))) return;
  } catch (error) { return; }
  const form = document.getElementById("round-form");
  if (form) await holdPhotographs(form);
  location.reload();
}

/* The next item that waits: as the server sees it with signal, the next in the row without. */
async function next() {
  const none = (await send()) || (await send());
  const root = here();
  const coming = root.dataset.coming.split(" ").filter(Boolean);
  const queued = new Set(waitingPlaces(root.dataset.round));
  if (none && navigator.onLine) return null;
  return coming.find(function (at) {
    return (pages.get(address(at)) || "").includes('data-waits="yes"') && !queued.has(at);
  }) || "";
}

/* `isFresh`: the page comes from the server just now and holds all that was sent. */
function begin(isFresh) {
  if (here() && isFresh) keepGiven(here().dataset.round, place(), null);
  shownSince = document.hidden ? 0 : performance.now();
  if (restore()) counter.say(); /* else the server's words stand */
  sayWaiting();
  showPhotographs();
  const form = document.getElementById("round-form");
  if (form) form.elements.device.value = device();
  lookAhead();
}

/* With signal the form is posted as without a script; without it the answers stay here and the next item is shown. */
async function press(form, button) {
  leaveBox();
  if (button.name === "quick") {
    form.elements.verdict.value = button.value;
    note([...form.elements.verdict].find(function (each) { return each.checked; }));
  }
  const at = await next();
  if (at === null) {
    tally();
    form.elements.spent.value = secondsOn(here().dataset.round, place());
    form.dataset.now = "yes";
    form.requestSubmit(button);
    return;
  }
  await holdPhotographs(form);
  if (button.value === "fail") {
    const queue = queueOf(here().dataset.round, place());
    queue.fail = ["yes", new Date().toISOString()];
    keepQueue(here().dataset.round, place(), queue);
    sayWaiting("It is held and recorded as failed when the signal is back. Do not use it.");
  } else if (at) {
    show(address(at), true);
  } else {
    sayWaiting("No further item was loaded.");
  }
}

/* Nothing is signed while something waits here, or without signal. */
function refuseSignature(event) {
  const waits = sayWaiting(navigator.onLine ? "" : "Sign when the signal is back.") > 0;
  if (!waits && navigator.onLine) return;
  event.preventDefault();
  event.stopImmediatePropagation();
  const box = document.querySelector(".round-wait");
  box.tabIndex = -1;
  box.focus();
  if (navigator.onLine) send().then(function (none) { if (none) location.reload(); });
}

export function listen() {
  ready = kept.begin();
  document.addEventListener("change", function (event) {
    const form = event.target.form;
    if (form && event.target.type === "file" && form.id === "round-form") {
      holdPhotographs(form).then(function (fault) { if (!fault) send(); });
    }
    else if (form) note(event.target);
  });
  document.addEventListener("input", function (event) {
    if (event.target.form && /^(text|textarea|date|datetime-local)$/.test(event.target.type)) note(event.target);
  });

  document.addEventListener("click", function (event) {
    const link = event.target.closest("a[data-go]");
    if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
    event.preventDefault();
    leaveBox();
    send();
    show(new URL(link.href).pathname, true);
  });

  document.addEventListener("submit", function (event) {
    const form = event.target;
    const button = event.submitter;
    if (form.id === "sign-form") refuseSignature(event);
    if (form.id !== "round-form" || form.dataset.now || !button || button.value === "again") return;
    event.preventDefault();
    event.stopImmediatePropagation();
    press(form, button);
  }, true);

  /* The limit of a measure is the server's to say. */
  document.addEventListener("htmx:beforeRequest", function (event) {
    if (!here() || navigator.onLine) return;
    event.preventDefault();
    event.detail.target.textContent = "Held against its limit when the signal is back.";
    counter.say();
  });

  window.addEventListener("popstate", function () { if (here()) show(location.pathname, false); });
  window.addEventListener("online", function () { send().then(refresh).then(lookAhead); });
  window.addEventListener("pagehide", tally);
  document.addEventListener("visibilitychange", function () {
    if (document.hidden) { tally(); shownSince = 0; } else { shownSince = performance.now(); send(); }
  });
  window.setInterval(function () {
    refresh();
    if (photographsWaiting || rounds().some(function (each) { return countWaiting(each.dataset.round) > 0; })) send();
  }, AGAIN_MS);

  document.addEventListener("DOMContentLoaded", async function () {
    await countPhotographs();
    begin(!kept.isKept());
    const had = photographsWaiting > 0 || rounds().some(function (each) { return countWaiting(each.dataset.round) > 0; });
    if (!had) return;
    if (!(await send())) return;
    if (here()) show(location.pathname, false); /* what is shown was of before they arrived */
    else location.reload();
  });
}
