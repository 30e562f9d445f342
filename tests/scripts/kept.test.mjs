import assert from "node:assert/strict";
import { beforeEach, test } from "node:test";

import * as kept from "../../crewlog/scripts/page/kept.mjs";
import { localStorageOf } from "./device.mjs";

let device;
beforeEach(() => { device = localStorageOf(); });

test("text is kept under its key and forgotten by nothing", () => {
  assert.equal(kept.put("a:1", "one"), "");
  assert.equal(kept.get("a:1"), "one");
  assert.equal(kept.put("a:1", null), "");
  assert.equal(kept.get("a:1"), null);
});

test("a full device and one that keeps nothing say which", () => {
  device.isFull = true;
  assert.equal(kept.put("a", "one"), "full");
  delete globalThis.localStorage;
  assert.equal(kept.put("a", "one"), "refused");
  assert.equal(kept.get("a"), null);
  assert.deepEqual(kept.keys("a"), []);
});

test("keys are found by how they begin", () => {
  localStorageOf({ "a:1": "x", "a:2": "y", "b:1": "z" });
  assert.deepEqual(kept.keys("a:"), ["a:1", "a:2"]);
});

test("what is no JSON is read as nothing", () => {
  localStorageOf({ good: "[1]", bad: "[1" });
  assert.deepEqual(kept.getJson("good"), [1]);
  assert.equal(kept.getJson("bad"), null);
  assert.equal(kept.getJson("none"), null);
});
