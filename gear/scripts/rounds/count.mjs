/* How far the item of a round is, said as it is answered: the count, the steps, and what is missing by name. The words are
   the server's (gear/rounds/completeness.py), which says them again with every rule. */
export function say() {
  const form = document.getElementById("round-form");
  if (!form) return;
  const points = [...form.querySelectorAll(".points fieldset")].map(pointOf);
  const measures = [...form.querySelectorAll(".measure")].map(measureOf);
  const verdict = form.elements.verdict.value;
  const found = [...points, ...measures].some(function (each) { return each.fails; });
  const fails = found || verdict === "out_of_use" || verdict === "retire";
  const isOut = !fails && (verdict === "not_examined" || verdict === "not_presented");
  const toAnswer = points.filter(function (each) { return !each.isDone; });
  const toMeasure = measures.filter(function (each) { return each.isAsked && !each.isDone; });
  const line = document.getElementById("round-answered");
  const count = (isOut ? 0 : line.dataset.asked - toAnswer.length - toMeasure.length) + " of " + line.dataset.asked;
  line.textContent = count + " answered";
  [...points, ...measures].forEach(showStep);
  sayMissing(count, isOut ? [] : [
    [fails ? [] : names(toAnswer), "answer"],
    [fails ? [] : names(toMeasure), "measure"],
    [[...unsaid(form, points, verdict, fails, !found)], "say"],
  ]);
}

function pointOf(each) {
  const chosen = each.querySelector("[name^=answer_]:checked");
  const value = chosen ? chosen.value : "";
  const words = each.querySelector("legend > span:nth-child(2)").textContent;
  const saw = each.querySelector("[name^=saw_]").value.trim();
  const step = each.querySelector("[name^=answer_]").name;
  return { name: words, step: step, value: value, saw: saw, isDone: value !== "", fails: value === "fail" };
}

/* The limit of a measure is the server's to say: what it said stands beside the box. */
function measureOf(each) {
  const box = each.querySelector("input:not([type=hidden])");
  const isRead = box.value.trim() !== "" && !each.querySelector(".mark--refused");
  const fails = isRead && Boolean(each.querySelector(".mark--out"));
  return { name: each.dataset.asked, step: box.name, isAsked: "asked" in each.dataset, isDone: isRead, fails: fails };
}

function showStep(each) {
  const step = document.querySelector('#round-form [data-step="' + each.step + '"]');
  if (!step) return;
  step.classList.toggle("is-wrong", each.fails);
  step.classList.toggle("is-done", each.isDone && !each.fails);
}

/* What has to be written besides the answers. */
export function* unsaid(form, points, verdict, fails, isAlone) {
  const answered = points.filter(function (each) { return each.isDone; });
  for (const each of answered) {
    if (each.value !== "good" && !each.saw) yield "what you saw at \u201c" + each.name + "\u201d";
  }
  const isSeen = form.elements.findings.value.trim() || answered.some(function (each) { return each.saw; });
  if (fails && isAlone && !isSeen) yield "what fails";
  const isRemark = verdict === "remark" || answered.some(function (each) { return each.value === "remark"; });
  if (!fails && isRemark && !form.elements.remark_due_on.value) yield "by when the remark is mended";
  if (verdict === "retire" && !form.elements.disposal.value) yield "what becomes of it";
}

function names(some) { return some.map(function (each) { return each.name; }); }

function sayMissing(count, lists) {
  const line = document.getElementById("round-missing");
  const said = lists.filter(function (each) { return each[0].length; }).map(function (each) {
    return listed(each[0]) + " still to " + each[1];
  });
  line.hidden = !said.length;
  line.textContent = line.hidden ? "" : count + ": " + said.join("; ") + ".";
}

export function listed(some) {
  const shown = some.map(function (name) {
    const short = name.split(",")[0];
    return /^[A-Z]{2}/.test(short) ? short : short.slice(0, 1).toLowerCase() + short.slice(1);
  });
  if (shown.length > 5) return shown.slice(0, 4).join(", ") + " and " + (shown.length - 4) + " more";
  return shown.length > 1 ? shown.slice(0, -1).join(", ") + " and " + shown[shown.length - 1] : shown[0];
}

export function listen() {
  document.addEventListener("htmx:afterSwap", function (event) {
    if (event.target.closest("#round-form .measure")) say();
  });
}
