/* Has the pages of rounds kept on this device by a worker (round_worker.js), so that one that was closed or loaded again
   without signal opens. Where the browser has no workers, the pages work as long as they stay open. */
(function () {
  "use strict";

  const READY_MS = 5000;
  const RECENT_MS = 10 * 60 * 1000;
  const script = document.currentScript;
  const drawnWith = script.src.slice(0, script.src.lastIndexOf("gear/js/"));
  const workers = navigator.serviceWorker;
  const wasThere = Boolean(workers && workers.controller);

  function loaded() {
    return new Promise(function (resolve) {
      if (document.readyState === "complete") resolve();
      else window.addEventListener("load", resolve, { once: true });
    });
  }

  function inControl() {
    return new Promise(function (resolve) {
      if (workers.controller) resolve();
      workers.addEventListener("controllerchange", resolve, { once: true });
      window.setTimeout(resolve, READY_MS);
    });
  }

  function namesOfFiles() {
    const names = performance.getEntriesByType("resource").map(function (each) { return each.name; });
    return [...new Set(names)].filter(function (name) { return name.startsWith(drawnWith); });
  }

  async function begin() {
    if (!workers || !script.dataset.worker) return;
    try {
      await loaded();
      if (navigator.onLine) await workers.register(script.dataset.worker, { scope: script.dataset.scope });
      const registered = await workers.ready;
      if (navigator.onLine) {
        registered.active.postMessage({ page: wasThere ? "" : location.href, files: namesOfFiles() });
      }
      await inControl();
    } catch (error) { /* pages are not kept here */ }
  }

  /* A page as it was kept; with signal only one of the last minutes, so that it is not asked for with every item. */
  async function copyOf(href) {
    try {
      const copy = await caches.match(href, { ignoreVary: true });
      const isRecent = copy && Date.now() - new Date(copy.headers.get("Kept-At")) < RECENT_MS;
      return copy && (isRecent || !navigator.onLine) ? await copy.text() : "";
    } catch (error) {
      return "";
    }
  }

  /* Whether what is shown was kept on this device; `page` another page that is shown in its place. */
  function isKept(page) { return Boolean((page || document).querySelector(".kept-copy")); }

  /* Say of the page what a page shown in its place says of itself. */
  function sayAs(page) {
    const said = document.querySelector(".kept-copy");
    const says = page.querySelector(".kept-copy");
    if (said) said.remove();
    if (says) document.getElementById("main").prepend(document.adoptNode(says));
  }

  window.roundKept = { ready: begin(), copyOf: copyOf, isKept: isKept, sayAs: sayAs };
})();
