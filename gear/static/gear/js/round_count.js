/* How far the item of a round is, said as it is answered: the count, the steps, and what is missing by name. The words are
   the server's (gear/round_completeness.py), which says them again with every rule. */
(function () {
  "use strict";

  function say() {
    const line = document.getElementById("round-answered");
    if (!line) return;
    const toMeasure = [...document.querySelectorAll("#round-form .measure[data-asked]")].filter(function (each) {
      return !each.querySelector("input:not([type=hidden])").value.trim();
    });
    const toAnswer = [...document.querySelectorAll("#round-form .points fieldset")].filter(function (each) {
      return !each.querySelector("[name^=answer_]:checked");
    });
    const count = Number(line.dataset.asked) - toMeasure.length - toAnswer.length + " of " + line.dataset.asked;
    line.textContent = count + " answered";
    document.querySelectorAll("#round-form [data-step]").forEach(function (step) {
      const box = document.querySelector('#round-form [name="' + step.dataset.step + '"]:checked, #round-form input[type=text][name="' + step.dataset.step + '"]');
      step.classList.toggle("is-wrong", Boolean(box) && box.value === "fail");
      step.classList.toggle("is-done", Boolean(box) && box.value.trim() !== "" && box.value !== "fail");
    });
    sayMissing(count, [[toAnswer.map(nameOfPoint), "answer"], [toMeasure.map(function (each) { return each.dataset.asked; }), "measure"]]);
  }

  function nameOfPoint(each) { return each.querySelector("legend > span:nth-child(2)").textContent; }

  /* In the words of the server, which says them again with every rule. */
  function sayMissing(count, lists) {
    const line = document.getElementById("round-missing");
    const fails = document.querySelector("#round-form [value=fail]:checked");
    const said = lists.filter(function (each) { return each[0].length; }).map(function (each) {
      return listed(each[0]) + " still to " + each[1];
    });
    line.hidden = Boolean(fails) || !said.length;
    line.textContent = line.hidden ? "" : count + ": " + said.join("; ") + ".";
  }

  function listed(names) {
    const shown = names.map(function (name) {
      const short = name.split(",")[0];
      return /^[A-Z]{2}/.test(short) ? short : short.slice(0, 1).toLowerCase() + short.slice(1);
    });
    if (shown.length > 5) return shown.slice(0, 4).join(", ") + " and " + (shown.length - 4) + " more";
    return shown.length > 1 ? shown.slice(0, -1).join(", ") + " and " + shown[shown.length - 1] : shown[0];
  }

  window.roundCount = { say: say };
})();
