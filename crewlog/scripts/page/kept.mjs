/* What this device keeps by itself: text under a key, at once and whole before the next key is pressed, and files in the
   browser's database. Rounds and drafts of forms stand on it. A browser that keeps nothing says why. */
function fault(error) {
  const isFull = error && (error.name === "QuotaExceededError" || error.name === "NS_ERROR_DOM_QUOTA_REACHED");
  return isFull ? "full" : "refused";
}

/* "" when it is kept, else "full" or "refused". `null` forgets it. */
export function put(key, text) {
  try {
    if (text === null) localStorage.removeItem(key); else localStorage.setItem(key, text);
    return "";
  } catch (error) {
    return fault(error);
  }
}

export function get(key) {
  try { return localStorage.getItem(key); } catch (error) { return null; }
}

/* Keys that begin so. */
export function keys(start) {
  try {
    return Object.keys(localStorage).filter(function (key) { return key.startsWith(start); });
  } catch (error) {
    return [];
  }
}

export function getJson(key) {
  try { return JSON.parse(get(key) || "null"); } catch (error) { return null; }
}

/* One request to a shelf of files: `ask` is given the store. Rejects where the browser has no database or no room. */
export function shelf(name, mode, ask) {
  return new Promise(function (resolve, reject) {
    const opening = indexedDB.open(name, 1);
    opening.onupgradeneeded = function () { opening.result.createObjectStore("waiting"); };
    opening.onerror = function () { reject(opening.error); };
    opening.onsuccess = function () {
      const opened = opening.result;
      const turn = opened.transaction("waiting", mode);
      let asked;
      try {
        asked = ask(turn.objectStore("waiting"));
      } catch (error) {
        opened.close();
        reject(error);
        return;
      }
      turn.oncomplete = function () { opened.close(); resolve(asked.result); };
      turn.onabort = function () { opened.close(); reject(turn.error); };
    };
  });
}
