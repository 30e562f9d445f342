import assert from "node:assert/strict";
import { beforeEach, test } from "node:test";

import * as queue from "../../gear/scripts/rounds/queue.mjs";
import { localStorageOf } from "./device.mjs";

let device;
beforeEach(() => { device = localStorageOf(); });

test("answers wait under their round and item", () => {
  assert.equal(queue.keepQueue("7", "2", { answer_eye: ["good", "10:00"] }), true);
  assert.deepEqual(queue.queueOf("7", "2"), { answer_eye: ["good", "10:00"] });
  assert.deepEqual(queue.queueOf("7", "3"), {});
  assert.deepEqual(queue.waitingPlaces("7"), ["2"]);
  assert.deepEqual(queue.waitingPlaces("77"), []);
});

test("an item of which nothing waits is no waiting item", () => {
  queue.keepQueue("7", "2", { verdict: ["fit", "10:00"] });
  queue.keepQueue("7", "2", {});
  assert.deepEqual(queue.waitingPlaces("7"), []);
});

test("what arrived is dropped, and what was answered again meanwhile stays", () => {
  queue.keepQueue("7", "2", { a: ["good", "10:00"], b: ["fail", "10:05"], fail: ["yes", "10:05"] });
  queue.forget("7", { 2: { answers: { a: ["good", "10:00"], b: ["good", "10:01"] }, fail: true } });
  assert.deepEqual(queue.queueOf("7", "2"), { b: ["fail", "10:05"] });
});

test("a failure that was pressed after the sending stays", () => {
  queue.keepQueue("7", "2", { a: ["good", "10:00"], fail: ["yes", "10:05"] });
  queue.forget("7", { 2: { answers: { a: ["good", "10:00"] }, fail: false } });
  assert.deepEqual(queue.queueOf("7", "2"), { fail: ["yes", "10:05"] });
});

test("seconds on an item add up and are said whole", () => {
  queue.addSeconds("7", "2", 1.3);
  queue.addSeconds("7", "2", 2.4);
  assert.equal(queue.secondsOn("7", "2"), 4);
  assert.equal(queue.secondsOn("7", "3"), 0);
});

test("what was given since the page came is kept and let go", () => {
  queue.keepGiven("7", "2", { verdict: "fit" });
  assert.deepEqual(queue.givenOf("7", "2"), { verdict: "fit" });
  queue.keepGiven("7", "2", null);
  assert.deepEqual(queue.givenOf("7", "2"), {});
});

test("a device has one name for good, and a full one says that it keeps nothing", () => {
  const name = queue.device();
  assert.match(name, /^[0-9a-f]{12}$/);
  assert.equal(queue.device(), name);
  device.isFull = true;
  assert.equal(queue.keepQueue("7", "2", { a: ["good", "10:00"] }), false);
});
