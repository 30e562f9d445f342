/* Has the pages of rounds kept on this device by a worker (worker.js), so that one that was closed or loaded again
   without signal opens. Where the browser has no workers, the pages work as long as they stay open. */
const READY_MS = 5000;
const RECENT_MS = 10 * 60 * 1000;

function loaded() {
  return new Promise(function (resolve) {
    if (document.readyState === "complete") resolve();
    else window.addEventListener("load", resolve, { once: true });
  });
}

function inControl(workers) {
  return new Promise(function (resolve) {
    if (workers.controller) resolve();
    workers.addEventListener("controllerchange", resolve, { once: true });
    window.setTimeout(resolve, READY_MS);
  });
}

/* Files the page was drawn with: `folder` is the address they begin with. */
function namesOfFiles(folder) {
  const names = performance.getEntriesByType("resource").map(function (each) { return each.name; });
  return [...new Set(names)].filter(function (name) { return name.startsWith(new URL(folder, location.href).href); });
}

/* Settles when the worker is at work, or when there is none. The page's script element says where it is. */
export async function begin() {
  const workers = navigator.serviceWorker;
  const script = document.querySelector("script[data-worker]");
  if (!workers || !script) return;
  const wasThere = Boolean(workers.controller);
  try {
    await loaded();
    if (navigator.onLine) await workers.register(script.dataset.worker, { scope: script.dataset.scope });
    const registered = await workers.ready;
    if (navigator.onLine) {
      const files = namesOfFiles(script.dataset.files);
      registered.active.postMessage({ page: wasThere ? "" : location.href, files: files });
    }
    await inControl(workers);
  } catch (error) { /* pages are not kept here */ }
}

/* A page as it was kept; with signal only one of the last minutes, so that it is not asked for with every item. */
export async function copyOf(href) {
  try {
    const copy = await caches.match(href, { ignoreVary: true });
    const isRecent = copy && Date.now() - new Date(copy.headers.get("Kept-At")) < RECENT_MS;
    return copy && (isRecent || !navigator.onLine) ? await copy.text() : "";
  } catch (error) {
    return "";
  }
}

/* Whether what is shown was kept on this device; `page` another page that is shown in its place. */
export function isKept(page) { return Boolean((page || document).querySelector(".kept-copy")); }

/* Say of the page what a page shown in its place says of itself. */
export function sayAs(page) {
  const said = document.querySelector(".kept-copy");
  const says = page.querySelector(".kept-copy");
  if (said) said.remove();
  if (says) document.getElementById("main").prepend(document.adoptNode(says));
}
