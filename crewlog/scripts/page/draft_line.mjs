/* What a page says of a draft: at its head what was put back or is offered, with the boxes that somebody else saved
   since. Words only; drafts.mjs keeps and puts back. */
import * as boxes from "./draft_boxes.mjs";

const SAME_DAY_MS = 12 * 3600 * 1000;
const FAULTS = {
  full: "This device has no room left: what you type here is not kept.",
  refused: "This browser keeps nothing: what you type here is lost when you leave the page.",
};

function made(tag, words, more) {
  const node = document.createElement(tag);
  node.textContent = words;
  return Object.assign(node, more || {});
}

function button(words, press, name) {
  const node = made("button", words, { type: "button", className: "button button--plain button--small", onclick: press });
  if (name) node.append(made("span", ": " + name, { className: "unseen" }));
  return node;
}

function row(...parts) {
  const node = made("p", "", { className: "row" });
  node.append(...parts);
  return node;
}

function ago(moment) {
  const minutes = Math.round((Date.now() - new Date(moment)) / 60000);
  const many = (n, word) => n + " " + word + (n === 1 ? "" : "s") + " ago";
  if (minutes < 1) return "just now";
  if (minutes < 60) return many(minutes, "minute");
  if (minutes < 48 * 60) return many(Math.round(minutes / 60), "hour");
  return many(Math.round(minutes / 1440), "day");
}

function count(n) { return n + (n === 1 ? " box" : " boxes"); }

function place() {
  let node = document.getElementById("unsent");
  if (!node) {
    node = made("div", "", { id: "unsent", className: "unsent-lines" });
    node.setAttribute("role", "status");
    document.getElementById("messages").after(node);
  }
  return node;
}

function names(form, list) {
  const node = made("ul", "", { className: "unsent__boxes" });
  list.forEach(function (name) {
    const item = document.createElement("li");
    const first = boxes.first(form, name);
    item.append(first && first.id ? made("a", boxes.title(form, name), { href: "#" + first.id }) : boxes.title(form, name));
    node.append(item);
  });
  return node;
}

/* One box that was saved by somebody since: all three values, and a choice. */
function clash(form, draft, name, act) {
  const box = draft.boxes[name];
  const node = document.createElement("li");
  const title = boxes.title(form, name);
  node.append(made("b", title + ". "), "Saved since: " + boxes.words(form, name, boxes.begun(form, name))
    + ". You typed: " + boxes.words(form, name, box.typed) + ". Before: " + boxes.words(form, name, box.begun) + ".");
  const answered = (words) => node.replaceChildren(made("b", title + ". "), words);
  node.append(row(
    button("Use mine", () => { act.take(name); answered("Yours is in the box."); }, title),
    button("Leave the saved one", () => { act.leave(name); answered("The saved one stays."); }, title)));
  return node;
}

function heading(draft, found, isBack) {
  const when = "typed on this device " + ago(draft.at) + ", not saved";
  const did = draft.did ? "“" + draft.did + "” was not confirmed. " : "";
  if (!found.free.length) return did + "Answers " + when + ".";
  return did + (isBack ? "Put back: " + count(found.free.length) + " " + when + "."
    : "T" + when.slice(1) + ": " + count(found.free.length) + ".");
}

export function show(form, draft, found, act) {
  const isBack = Date.now() - new Date(draft.at) < SAME_DAY_MS;
  const node = made("section", "", { className: "unsent" });
  node.setAttribute("aria-label", "Typed and not saved");
  const draw = function (isPut) {
    const away = button("Throw it away", () => { act.throwAway(); thrown(); });
    const back = button("Put it back", () => { act.put(found.free); draw(true); });
    node.replaceChildren(made("p", heading(draft, found, isPut), { className: "unsent__what" }));
    if (found.free.length) node.append(names(form, found.free));
    if (found.clash.length) {
      const list = made("ul", "", { className: "unsent__clash" });
      list.append(...found.clash.map((name) => clash(form, draft, name, act)));
      node.append(made("p", "Somebody saved " + count(found.clash.length) + " of these since. Choose:"), list);
    }
    found.gone.forEach((name) => node.append(made("p", "No longer on this page: " + draft.boxes[name].typed.join(", ") + ".")));
    if (draft.hadFiles) node.append(made("p", "Photographs are not kept. Choose them again."));
    node.append(isPut || !found.free.length ? row(away) : row(back, away));
  };
  const thrown = function () {
    node.replaceChildren(made("p", "Thrown away.", { className: "unsent__what" }),
      row(button("Put it back", () => { act.keepAgain(); act.put(found.free); draw(true); })));
  };
  if (isBack) act.put(found.free);
  draw(isBack);
  place().append(node);
}

export function sayFault(fault) {
  const old = document.getElementById("unsent-fault");
  if (old) old.remove();
  if (fault) place().prepend(made("p", FAULTS[fault], { id: "unsent-fault", className: "unsent" }));
}
