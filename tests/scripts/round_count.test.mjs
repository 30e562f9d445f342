import assert from "node:assert/strict";
import test from "node:test";

import { listed, unsaid } from "../../gear/scripts/rounds/count.mjs";
import { box, form } from "./device.mjs";

const point = (name, value, saw = "") => ({ name, value, saw, isDone: value !== "", fails: value === "fail" });

function missing(points, { verdict = "fit", findings = "", due = "", disposal = "", isAlone = false } = {}) {
  const asked = form(box("findings", { value: findings }), box("remark_due_on", { value: due }), box("disposal", { value: disposal }));
  const fails = points.some((each) => each.fails) || verdict === "out_of_use" || verdict === "retire";
  return [...unsaid(asked, points, verdict, fails, isAlone)];
}

test("what passes needs no words", () => {
  assert.deepEqual(missing([point("Eye", "good")]), []);
});

test("a point that is not good says what was seen", () => {
  assert.deepEqual(missing([point("Eye", "fail")]), ["what you saw at “Eye”"]);
  assert.deepEqual(missing([point("Eye", "fail", "cut")]), []);
});

test("a remark says by when it is mended", () => {
  assert.deepEqual(missing([point("Eye", "remark", "worn")]), ["by when the remark is mended"]);
  assert.deepEqual(missing([], { verdict: "remark" }), ["by when the remark is mended"]);
  assert.deepEqual(missing([], { verdict: "remark", due: "2026-12-24" }), []);
});

test("a verdict that fails alone says what fails, and a retirement what becomes of the item", () => {
  assert.deepEqual(missing([], { verdict: "out_of_use", isAlone: true }), ["what fails"]);
  assert.deepEqual(missing([], { verdict: "retire", isAlone: true, findings: "cut" }), ["what becomes of it"]);
});

test("names are listed in small letters, abbreviations as they are, and more than five are counted", () => {
  assert.equal(listed(["Eye and stitching, both ends", "CE mark"]), "eye and stitching and CE mark");
  assert.equal(listed(["A", "B", "C", "D", "E", "F"].map((name) => name + "x")), "ax, bx, cx, dx and 2 more");
});
