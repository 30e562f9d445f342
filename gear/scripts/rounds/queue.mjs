/* What waits on this device of a round's items: answers not sent yet, answers given since the page came, seconds shown.
   Each item lies under its round and its place. */
import * as kept from "../../../crewlog/scripts/page/kept.mjs";

const PREFIX = "crewlog-round:";
const SECONDS = "crewlog-seconds:";
const GIVEN = "crewlog-kept:given:"; // forgotten at sign-out with the pages
const DEVICE = "crewlog-device";

function store(key, value) { return kept.put(key, value) === ""; }

function stored(key) { return kept.get(key); }

export function device() {
  let name = stored(DEVICE);
  if (!name) {
    name = Array.from(crypto.getRandomValues(new Uint8Array(6)), function (n) { return n.toString(16).padStart(2, "0"); }).join("");
    store(DEVICE, name);
  }
  return name;
}

/* {name: [text, moment]} of one item; "fail" in it: the failure's button was pressed. */
export function queueOf(round, place) {
  try { return JSON.parse(stored(PREFIX + round + ":" + place) || "{}"); } catch (error) { return {}; }
}

export function keepQueue(round, place, queue) {
  return store(PREFIX + round + ":" + place, Object.keys(queue).length ? JSON.stringify(queue) : null);
}

/* {name: text} of one item: what was answered here since its page came from the server, sent or not. */
export function givenOf(round, place) {
  try { return JSON.parse(stored(GIVEN + round + ":" + place) || "{}"); } catch (error) { return {}; }
}

export function keepGiven(round, place, given) {
  store(GIVEN + round + ":" + place, given ? JSON.stringify(given) : null);
}

/* Places of a round with something waiting. */
export function waitingPlaces(round) {
  const start = PREFIX + round + ":";
  return kept.keys(start).map(function (key) { return key.slice(start.length); });
}

export function addSeconds(round, place, seconds) {
  const key = SECONDS + round + ":" + place;
  store(key, String(Number(stored(key) || 0) + seconds));
}

export function secondsOn(round, at) { return Math.round(Number(stored(SECONDS + round + ":" + at) || 0)); }

/* Drop what arrived, unless it was answered again meanwhile. */
export function forget(round, items) {
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
