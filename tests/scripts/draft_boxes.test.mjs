import assert from "node:assert/strict";
import test from "node:test";

import * as boxes from "../../crewlog/scripts/page/draft_boxes.mjs";
import { box, form, select } from "./device.mjs";

test("passwords, codes, files, hidden boxes and what is marked are no boxes of a draft", () => {
  assert.equal(boxes.isKept(box("height")), true);
  for (const type of ["password", "file", "hidden", "submit", "button"]) assert.equal(boxes.isKept(box("x", { type })), false, type);
  assert.equal(boxes.isKept(box("code", { autocomplete: "one-time-code" })), false);
  assert.equal(boxes.isKept(box("new", { autocomplete: "new-password" })), false);
  assert.equal(boxes.isKept(box("health", { closest: (rule) => (rule === "[data-draft-skip]" ? {} : null) })), false);
  assert.equal(boxes.isKept(box("")), false);
});

test("what stands in a box now and what the server put there are read apart", () => {
  const asked = form(box("height", { value: "8.5", defaultValue: "8" }));
  assert.deepEqual(boxes.now(asked, "height"), ["8.5"]);
  assert.deepEqual(boxes.begun(asked, "height"), ["8"]);
});

test("of ticks and choices the values that are marked count", () => {
  const asked = form(
    box("uses", { type: "checkbox", value: "pull", checked: true }),
    box("uses", { type: "checkbox", value: "lift", defaultChecked: true }),
    select("place", [["van", "Van 1", false, true], ["cage", "Cage", true, false]]),
  );
  assert.deepEqual(boxes.now(asked, "uses"), ["pull"]);
  assert.deepEqual(boxes.begun(asked, "uses"), ["lift"]);
  assert.deepEqual(boxes.now(asked, "place"), ["cage"]);
  assert.deepEqual(boxes.begun(asked, "place"), ["van"]);
});

test("a box of one choice with none marked shows its first", () => {
  const asked = form(select("place", [["van", "Van 1", false, false], ["cage", "Cage", true, false]]));
  assert.deepEqual(boxes.begun(asked, "place"), ["van"]);
});

test("values are put into boxes as they were typed", () => {
  const asked = form(box("height"), box("uses", { type: "checkbox", value: "pull" }), select("place", [["van", "Van"], ["cage", "Cage"]]));
  boxes.put(asked, "height", ["9"]);
  boxes.put(asked, "uses", ["pull"]);
  boxes.put(asked, "place", ["cage"]);
  assert.deepEqual(["height", "uses", "place"].map((name) => boxes.now(asked, name)), [["9"], ["pull"], ["cage"]]);
});

test("the unit beside a box is read, and a box without one has none", () => {
  const asked = form(box("height"), box("height-unit", { type: "hidden", value: "m" }), box("note"));
  assert.equal(boxes.unit(asked, "height"), "m");
  assert.equal(boxes.unit(asked, "note"), "");
});
