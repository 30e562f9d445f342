/* Rounds without signal. Every answer is kept on this device the moment it is given, under its round and item, and
   sent when there is signal; what the server has is forgotten here. The items that come next are fetched ahead, so that
   one can go on. Without this script each item is a form with a button. */
(function () {
  "use strict";

  const PREFIX = "crewlog-round:";
  const SECONDS = "crewlog-seconds:";
  const DEVICE = "crewlog-device";
  const PHOTOGRAPHS = "crewlog-photographs";
  const PHOTOGRAPH_MS = 60000;
  const WAIT_MS = 8000;
  const AGAIN_MS = 15000;
  const AHEAD = 25;
  const pages = new Map();
  const given = new Map();
  let sending = null;
  let sendSoon = 0;
  let shownSince = 0;
  let photographsWaiting = 0;

  function store(key, value) {
    try {
      if (value === null) localStorage.removeItem(key); else localStorage.setItem(key, value);
      return true;
    } catch (error) {
      return false;
    }
  }

  function stored(key) {
    try { return localStorage.getItem(key); } catch (error) { return null; }
  }

  function device() {
    let name = stored(DEVICE);
    if (!name) {
      name = Array.from(crypto.getRandomValues(new Uint8Array(6)), function (n) { return n.toString(16).padStart(2, "0"); }).join("");
      store(DEVICE, name);
    }
    return name;
  }

  /* {name: [text, moment]} of one item; "fail" in it: the failure's button was pressed. */
  function queueOf(round, place) {
    try { return JSON.parse(stored(PREFIX + round + ":" + place) || "{}"); } catch (error) { return {}; }
  }

  function keepQueue(round, place, queue) {
    return store(PREFIX + round + ":" + place, Object.keys(queue).length ? JSON.stringify(queue) : null);
  }

  /* Places of a round with something waiting. */
  function waitingPlaces(round) {
    const found = [];
    const start = PREFIX + round + ":";
    try {
      for (let i = 0; i < localStorage.length; i += 1) {
        const key = localStorage.key(i);
        if (key.startsWith(start)) found.push(key.slice(start.length));
      }
    } catch (error) { /* this browser keeps nothing */ }
    return found;
  }

  function countWaiting(round) {
    return waitingPlaces(round).reduce(function (sum, place) {
      return sum + Object.keys(queueOf(round, place)).filter(function (name) { return !name.endsWith("-unit"); }).length;
    }, 0);
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

  /* Photographs chosen without signal wait in the browser's own database, one for each box of an item. */
  function shelf(mode, ask) {
    return new Promise(function (resolve, reject) {
      const opening = indexedDB.open(PHOTOGRAPHS, 1);
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

  async function keptPhotographs() {
    const keys = await shelf("readonly", function (waiting) { return waiting.getAllKeys(); });
    return keys.filter(function (key) {
      return rounds().some(function (each) { return key.startsWith(each.dataset.round + ":"); });
    });
  }

  async function countPhotographs() {
    try { photographsWaiting = (await keptPhotographs()).length; } catch (error) { photographsWaiting = 0; }
  }

  async function holdPhotographs(form) {
    const chosen = [...form.querySelectorAll("input[type=file]")].filter(function (box) { return box.files.length; });
    if (!chosen.length) return;
    try {
      for (const box of chosen) {
        const kept = { address: location.pathname, name: box.name, file: box.files[0] };
        const key = [here().dataset.round, place(), box.name].join(":");
        await shelf("readwrite", function (waiting) { return waiting.put(kept, key); });
        box.value = "";
      }
      await countPhotographs();
      sayWaiting();
    } catch (error) {
      sayWaiting("This device cannot keep a photograph: take it again with signal.");
    }
  }

  /* Before the answers: a failure that is recorded takes its photographs with it. */
  async function sendPhotographs() {
    let said = "";
    const token = document.querySelector("[name=csrfmiddlewaretoken]");
    for (const key of await keptPhotographs()) {
      const kept = await shelf("readonly", function (waiting) { return waiting.get(key); });
      const body = new FormData();
      body.append(kept.name, kept.file, kept.file.name);
      body.append("do", "photograph");
      const answer = await fetch(kept.address, {
        method: "POST", body: body, redirect: "manual", signal: AbortSignal.timeout(PHOTOGRAPH_MS),
        headers: { "X-CSRFToken": token ? token.value : "" },
      });
      if (answer.status !== 204 && answer.status !== 422) return "Sign in again, as who began the round, to send them.";
      if (answer.status === 422) said = "A photograph of item " + key.split(":")[1] + " was refused. Take it again.";
      await shelf("readwrite", function (waiting) { return waiting.delete(key); });
    }
    return said;
  }

  /* Seconds this device showed an item, counted only while the page is seen. */
  function tally() {
    if (!here() || !shownSince) return;
    const key = SECONDS + here().dataset.round + ":" + place();
    store(key, String(Number(stored(key) || 0) + (performance.now() - shownSince) / 1000));
    shownSince = performance.now();
  }

  function secondsOn(round, at) { return Math.round(Number(stored(SECONDS + round + ":" + at) || 0)); }

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
    given.set(place(), { ...given.get(place()), [control.name]: typed(control) });
    const unit = form.elements[control.name + "-unit"];
    if (unit) queue[unit.name] = [unit.value, now];
    if (!keepQueue(root.dataset.round, place(), queue)) say("This device keeps nothing. Press the button after each item.");
    countAnswered();
    window.clearTimeout(sendSoon);
    sendSoon = window.setTimeout(send, 700);
  }

  function countAnswered() {
    const line = document.getElementById("round-answered");
    if (!line) return;
    const done = document.querySelectorAll("#round-form [name^=answer_]:checked").length;
    line.textContent = done + " of " + line.dataset.points + " answered";
  }

  function message(round) {
    const items = {};
    waitingPlaces(round).forEach(function (at) {
      const queue = queueOf(round, at);
      const fail = Boolean(queue.fail);
      delete queue.fail;
      items[at] = { answers: queue, seconds: secondsOn(round, at), fail: fail };
    });
    if (here() && here().dataset.round === round && here().hasAttribute("data-open") && !items[place()]) {
      items[place()] = { seconds: secondsOn(round, place()) };
    }
    return items;
  }

  /* Drop what arrived, unless it was answered again meanwhile. */
  function forget(round, items) {
    Object.keys(items).forEach(function (at) {
      const queue = queueOf(round, at);
      const sent = items[at].answers || {};
      Object.keys(sent).forEach(function (name) {
        if (queue[name] && queue[name][1] === sent[name][1]) delete queue[name];
      });
      if (items[at].fail) delete queue.fail;
      keepQueue(round, at, queue);
    });
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
    if (!answer.ok) return "Sign in again, as who began the round, to send them.";
    forget(round, items);
    const recorded = (await answer.json()).recorded;
    const refused = Object.keys(recorded).filter(function (at) { return recorded[at]; });
    return refused.map(function (at) { return "Item " + at + " is not recorded as failed: " + recorded[at]; }).join(" ");
  }

  async function sendAll() {
    let said = "";
    try {
      if (photographsWaiting) said = await sendPhotographs();
      for (const each of rounds()) said = (await sendRound(each.dataset.round, each.dataset.send)) || said;
    } catch (error) { /* no signal: it stays here */ }
    await countPhotographs();
    return sayWaiting(said) === 0;
  }

  /* True when nothing waits any more. */
  async function send() {
    if (!navigator.onLine) return sayWaiting() === 0;
    if (!sending) sending = sendAll().finally(function () { sending = null; });
    return sending;
  }

  /* What waits for this item stands in its boxes again. */
  function restore() {
    const form = document.getElementById("round-form");
    if (!form) return;
    const queue = queueOf(here().dataset.round, place());
    const unsent = Object.fromEntries(Object.entries(queue).map(function (each) { return [each[0], each[1][0]]; }));
    Object.entries({ ...given.get(place()), ...unsent }).forEach(function (each) {
      const control = form.elements[each[0]];
      if (!control || each[0].endsWith("-unit")) return;
      if (control.type === "checkbox") control.checked = each[1] === "on";
      else control.value = each[1];
    });
  }

  function address(at) { return location.pathname.replace(/[^/]+\/$/, at + "/"); }

  async function fetchPart(href) {
    const answer = await fetch(href, { headers: { "HX-Request": "true" }, redirect: "manual", signal: AbortSignal.timeout(WAIT_MS) });
    if (!answer.ok) throw new Error(String(answer.status));
    return answer.text();
  }

  async function lookAhead() {
    if (!here()) return;
    const coming = here().dataset.coming.split(" ").filter(Boolean).slice(0, AHEAD);
    for (const at of coming) {
      const href = address(at);
      if (pages.has(href)) continue;
      if (!navigator.onLine) return;
      try { pages.set(href, await fetchPart(href)); } catch (error) { return; }
    }
  }

  function swap(html, href, push) {
    const part = new DOMParser().parseFromString(html, "text/html").getElementById("round-item");
    if (!part) { location.assign(href); return; }
    tally();
    here().replaceWith(document.adoptNode(part));
    document.title = part.dataset.title + " · Crewlog";
    if (push) history.pushState({}, "", href);
    window.htmx.process(part);
    begin();
    window.scrollTo(0, 0);
    part.querySelector("h1").tabIndex = -1;
    part.querySelector("h1").focus({ preventScroll: true });
  }

  async function show(href, push) {
    let html = "";
    try {
      if (navigator.onLine) html = await fetchPart(href);
    } catch (error) { /* no signal */ }
    html = html || pages.get(href) || "";
    if (html) swap(html, href, push);
    else sayWaiting("No signal, and that item was not loaded yet.");
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

  function begin() {
    shownSince = document.hidden ? 0 : performance.now();
    restore();
    countAnswered();
    sayWaiting();
    const form = document.getElementById("round-form");
    if (form) form.elements.device.value = device();
    lookAhead();
  }

  document.addEventListener("change", function (event) {
    const form = event.target.form;
    if (form && event.target.type === "file" && form.id === "round-form" && !navigator.onLine) holdPhotographs(form);
    else if (form) note(event.target);
  });
  document.addEventListener("input", function (event) {
    if (event.target.form && /^(text|textarea|date|datetime-local)$/.test(event.target.type)) note(event.target);
  });

  document.addEventListener("click", function (event) {
    const link = event.target.closest("a[data-go]");
    if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
    event.preventDefault();
    send();
    show(new URL(link.href).pathname, true);
  });

  /* With signal the form is posted as without a script; without it the answers stay here and the next item is shown. */
  async function press(form, button) {
    if (!navigator.onLine) await holdPhotographs(form);
    if (button.name === "quick") {
      form.elements.verdict.value = button.value;
      note([...form.elements.verdict].find(function (each) { return each.checked; }));
    }
    if (button.value === "fail") {
      const queue = queueOf(here().dataset.round, place());
      queue.fail = ["yes", new Date().toISOString()];
      keepQueue(here().dataset.round, place(), queue);
      sayWaiting("It is recorded as failed when the signal is back. Do not use it.");
      return;
    }
    const at = await next();
    if (at === null) {
      tally();
      form.elements.spent.value = secondsOn(here().dataset.round, place());
      form.dataset.now = "yes";
      form.requestSubmit(button);
    } else if (at) {
      show(address(at), true);
    } else {
      sayWaiting("No further item was loaded.");
    }
  }

  document.addEventListener("submit", function (event) {
    const form = event.target;
    const button = event.submitter;
    if (form.id === "sign-form") {
      if (sayWaiting() === 0) return;
      event.preventDefault();
      event.stopImmediatePropagation();
      send().then(function (none) { if (none) location.reload(); });
      return;
    }
    if (form.id !== "round-form" || form.dataset.now || !button || button.value === "again") return;
    if (button.value === "fail" && navigator.onLine) {
      tally();
      form.elements.spent.value = secondsOn(here().dataset.round, place());
      return;
    }
    event.preventDefault();
    event.stopImmediatePropagation();
    press(form, button);
  }, true);

  /* The limit of a measure is the server's to say. */
  document.addEventListener("htmx:beforeRequest", function (event) {
    if (!here() || navigator.onLine) return;
    event.preventDefault();
    event.detail.target.textContent = "Held against its limit when the signal is back.";
  });

  window.addEventListener("popstate", function () { if (here()) show(location.pathname, false); });
  window.addEventListener("online", function () { send().then(lookAhead); });
  window.addEventListener("pagehide", tally);
  document.addEventListener("visibilitychange", function () {
    if (document.hidden) { tally(); shownSince = 0; } else { shownSince = performance.now(); send(); }
  });
  window.setInterval(function () {
    if (photographsWaiting || rounds().some(function (each) { return countWaiting(each.dataset.round) > 0; })) send();
  }, AGAIN_MS);

  document.addEventListener("DOMContentLoaded", async function () {
    await countPhotographs();
    begin();
    const had = photographsWaiting > 0 || rounds().some(function (each) { return countWaiting(each.dataset.round) > 0; });
    if (!had) return;
    if (!(await send())) return;
    if (here()) show(location.pathname, false); /* what is shown was of before they arrived */
    else location.reload();
  });
})();
