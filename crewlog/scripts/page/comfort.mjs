/* Comfort only: focus and announcements after a swap, a hint without signal, one submission a press. */
const NO_SIGNAL = "No signal. What you see was loaded earlier; nothing is recorded until the signal is back.";
const KEPT = "No signal. What you type is kept on this device. The figures shown are from before.";
const NO_ANSWER = "No answer from the server. Load the page again to see whether it was recorded.";
const REFUSED = "The server did not take that. Load the page again to see what is recorded.";

/* A page that keeps what is typed says so in words of its own ([data-no-signal]). */
function trouble(words) {
  const box = document.getElementById("trouble");
  if (!box) return;
  const own = document.querySelector("[data-no-signal]");
  if (words === NO_SIGNAL) words = own ? own.dataset.noSignal : document.querySelector("form[data-draft]") ? KEPT : words;
  box.querySelector("span").textContent = words;
  box.hidden = !words;
}

function announce(words) {
  const line = document.getElementById("announce");
  if (!line || !words) return;
  line.textContent = "";
  window.setTimeout(function () { line.textContent = words; }, 60);
}

/* [data-focus] takes focus (an error summary, a new row); [data-announce] is read out. */
function attend(root) {
  const target = root.matches("[data-focus]") ? root : root.querySelector("[data-focus]");
  if (target) {
    if (!target.hasAttribute("tabindex")) target.tabIndex = -1;
    target.focus();
  }
  const spoken = root.matches("[data-announce]") ? root : root.querySelector("[data-announce]");
  if (spoken) announce(spoken.dataset.announce);
}

/* A place inside a folded group opens the group before the browser goes there. */
function unfold() {
  const id = decodeURIComponent(location.hash.slice(1));
  const target = id && document.getElementById(id);
  const folded = target && target.closest("details:not([open])");
  if (folded) { folded.open = true; target.scrollIntoView(); }
}

/* What is kept on this device to be read without signal is of who is signed in; the rest is forgotten, at sign-out all. */
function forget(person) {
  const start = "crewlog-kept:";
  if (window.caches) {
    caches.keys().then(function (names) {
      names.forEach(function (name) { if (name.startsWith(start) && name !== start + person) caches.delete(name); });
    }).catch(function () { /* this browser keeps nothing */ });
  }
  if (person) return;
  try {
    Object.keys(localStorage).forEach(function (key) { if (key.startsWith(start)) localStorage.removeItem(key); });
  } catch (error) { /* nor this */ }
}

export function listen() {
  document.addEventListener("DOMContentLoaded", function () {
    forget(document.body.dataset.person || "");
    attend(document.body);
    unfold();
    if (!navigator.onLine) trouble(NO_SIGNAL);
  });
  window.addEventListener("hashchange", unfold);
  window.addEventListener("offline", function () { trouble(NO_SIGNAL); });
  window.addEventListener("online", function () { trouble(""); announce("Signal is back."); });

  document.addEventListener("htmx:load", function (event) {
    if (event.target !== document.body && event.target instanceof Element) attend(event.target);
  });
  document.addEventListener("htmx:afterRequest", function (event) {
    if (event.detail.successful) trouble("");
  });
  document.addEventListener("htmx:responseError", function (event) {
    const answer = event.detail.xhr;
    const names = answer.status === 503 && /^text\/plain/.test(answer.getResponseHeader("Content-Type") || "");
    trouble(names ? answer.responseText : REFUSED); // a fault of the machine is named by the server
  });
  document.addEventListener("crewlog:no-signal", function () { trouble(NO_SIGNAL); });
  document.addEventListener("htmx:sendError", function () { trouble(navigator.onLine ? NO_ANSWER : NO_SIGNAL); });
  document.addEventListener("htmx:timeout", function () { trouble(NO_ANSWER); });

  /* A second press within a plain submission is dropped; coming back by the browser's history frees the form. */
  document.addEventListener("submit", function (event) {
    const form = event.target;
    if (event.defaultPrevented || form.method !== "post" || form.matches("[hx-post], [data-hx-post]")) return;
    if (form.dataset.sent) {
      event.preventDefault();
      return;
    }
    form.dataset.sent = "yes";
    window.setTimeout(function () { delete form.dataset.sent; }, 8000);
  });
  window.addEventListener("pageshow", function () {
    document.querySelectorAll("form[data-sent]").forEach(function (form) { delete form.dataset.sent; });
  });
}
