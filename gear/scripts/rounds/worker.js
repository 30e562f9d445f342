/* Keeps the pages of rounds that were opened, and the files they are drawn with, so that they open again without signal.
   The network is asked first, and only GET is answered here. Pages are kept under the name of who is signed in; comfort.mjs
   forgets them at sign-out. */
"use strict";

const PAGES = "crewlog-kept:"; // and the person's id
const FILES = "crewlog-round-files";
const WAIT_MS = 6000;
const MOST_PAGES = 300;
const MOST_FILES = 150;
const DRAWN_WITH = ["style", "script", "font", "image"];
const ROOT = new URL(self.registration.scope).pathname;

self.addEventListener("install", function () { self.skipWaiting(); });
self.addEventListener("activate", function (event) { event.waitUntil(self.clients.claim()); });

/* The list, a round, one of its items, its page of signature, a signed round. */
function isPage(url) {
  return url.pathname.startsWith(ROOT)
    && /^(\d+\/(\d+\/|sign\/)?|signed\/\d+\/)?$/.test(url.pathname.slice(ROOT.length));
}

async function trim(cache, most) {
  const keys = await cache.keys();
  await Promise.all(keys.slice(0, Math.max(keys.length - most, 0)).map(function (key) { return cache.delete(key); }));
}

async function pageCaches() {
  return (await caches.keys()).filter(function (name) { return name.startsWith(PAGES); });
}

async function keptPage(address) {
  for (const name of await pageCaches()) {
    const copy = await (await caches.open(name)).match(address, { ignoreVary: true });
    if (copy) return copy;
  }
  return undefined;
}

/* What the server refuses is kept no longer; a redirection (to the sign-in page) is no page. */
async function keepPage(address, answer) {
  if (answer.status >= 400 && answer.status < 500) {
    for (const name of await pageCaches()) await (await caches.open(name)).delete(address, { ignoreVary: true });
  }
  if (answer.status !== 200 || answer.redirected || !/^text\/html/.test(answer.headers.get("Content-Type"))) return;
  const html = await answer.text();
  const person = /<body[^>]* data-person="([0-9a-f-]+)"/.exec(html);
  if (!person) return;
  const own = PAGES + person[1];
  for (const name of await pageCaches()) if (name !== own) await caches.delete(name);
  const headers = new Headers(answer.headers);
  headers.delete("Content-Encoding");
  headers.delete("Content-Length");
  headers.set("Kept-At", new Date().toISOString());
  const cache = await caches.open(own);
  await cache.put(address, new Response(html, { headers: headers }));
  await trim(cache, MOST_PAGES);
}

/* A kept page says so, and since when. */
async function marked(copy) {
  const kept = new Date(copy.headers.get("Kept-At"));
  const clock = kept.toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
  const today = kept.toDateString() === new Date().toDateString();
  const when = today ? clock : kept.toLocaleDateString("en-GB", { day: "numeric", month: "long" }) + ", " + clock;
  const html = (await copy.text()).replace(/<main[^>]*>/, function (main) {
    return main + '<p class="kept-copy" role="status">Kept copy of ' + when + ", no signal</p>";
  });
  return new Response(html, { headers: copy.headers });
}

function tooLate() {
  return new Promise(function (resolve, reject) { setTimeout(reject, WAIT_MS, new Error("no answer yet")); });
}

async function firstFromNetwork(answer, copy, made) {
  try {
    return await (copy ? Promise.race([answer, tooLate()]) : answer);
  } catch (error) {
    return copy ? made(copy) : Response.error();
  }
}

async function answerPage(answer, address) {
  return firstFromNetwork(answer, await keptPage(address), marked);
}

async function answerFile(answer, address) {
  const copy = await caches.match(address, { cacheName: FILES, ignoreVary: true });
  return firstFromNetwork(answer, copy, function (kept) { return kept; });
}

self.addEventListener("fetch", function (event) {
  const url = new URL(event.request.url);
  if (event.request.method !== "GET" || url.origin !== self.location.origin) return;
  if (isPage(url)) {
    const answer = fetch(event.request);
    const kept = answer.then(function (fresh) { return keepPage(url.href, fresh.clone()); });
    event.waitUntil(kept.catch(function () { /* no signal, or no room: the page itself is not held up */ }));
    event.respondWith(answerPage(answer, url.href));
  } else if (DRAWN_WITH.includes(event.request.destination)) {
    event.respondWith(answerFile(fetch(event.request), url.href));
  }
});

/* A page names itself, where it was loaded before this worker was there, and the files it is drawn with. */
async function keepNamed(named) {
  if (named.page) await keepPage(named.page, await fetch(named.page, { redirect: "manual" }));
  const cache = await caches.open(FILES);
  for (const address of named.files) {
    if (!(await cache.match(address, { ignoreVary: true }))) await cache.add(address);
  }
  await trim(cache, MOST_FILES);
}

self.addEventListener("message", function (event) {
  event.waitUntil(keepNamed(event.data).catch(function () { /* no signal: it is named again with the next page */ }));
});
