import assert from "node:assert/strict";
import test from "node:test";

import { sort, typedIn } from "../../crewlog/scripts/page/drafts.mjs";
import { box, form } from "./device.mjs";

const kept = (begun, typed) => ({ begun: [begun], typed: [typed], unit: "" });

test("a box that nobody saved since is free to be put back", () => {
  const found = sort(form(box("height", { defaultValue: "8" })), { boxes: { height: kept("8", "9") } });
  assert.deepEqual(found, { free: ["height"], clash: [], gone: [] });
});

test("a box that somebody else saved since is asked about, never covered", () => {
  const found = sort(form(box("height", { defaultValue: "7" })), { boxes: { height: kept("8", "9") } });
  assert.deepEqual(found, { free: [], clash: ["height"], gone: [] });
});

test("a box that the server has as it was typed leaves the draft", () => {
  const draft = { boxes: { height: kept("8", "9") } };
  assert.deepEqual(sort(form(box("height", { defaultValue: "9" })), draft), { free: [], clash: [], gone: [] });
  assert.deepEqual(draft.boxes, {});
});

test("a box that is no longer on the page is named", () => {
  assert.deepEqual(sort(form(), { boxes: { height: kept("8", "9") } }).gone, ["height"]);
});

test("a bare number keeps the unit it was typed in where the page shows another now", () => {
  const feet = form(box("height"), box("height-unit", { type: "hidden", value: "ft" }));
  const metres = form(box("height"), box("height-unit", { type: "hidden", value: "m" }));
  const typed = { typed: ["8.5"], unit: "m" };
  assert.deepEqual(typedIn(feet, "height", typed), ["8.5 m"]);
  assert.deepEqual(typedIn(metres, "height", typed), ["8.5"]);
  assert.deepEqual(typedIn(feet, "height", { typed: ["28 ft"], unit: "m" }), ["28 ft"]);
});
