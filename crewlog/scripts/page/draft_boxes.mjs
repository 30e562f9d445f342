/* The boxes of a form as a draft sees them: what stands in one now, what the server put there, its name in words.
   Passwords, files, hidden boxes (tokens, keys, versions) and what is marked [data-draft-skip] are no boxes of a draft. */
const NEVER = /^(password|file|hidden|submit|button|image|reset)$/;

export function isKept(control) {
  return Boolean(control.name) && !NEVER.test(control.type) && control.tagName !== "FIELDSET" && control.tagName !== "OUTPUT"
    && !/password|one-time-code/.test(control.autocomplete || "") && !control.closest("[data-draft-skip]");
}

function of(form, name) {
  return [...form.elements].filter(function (each) { return each.name === name && isKept(each); });
}

function isTick(control) { return control.type === "checkbox" || control.type === "radio"; }

function values(form, name, isOn, text, isChosen) {
  return of(form, name).flatMap(function (each) {
    if (isTick(each)) return isOn(each) ? [each.value] : [];
    if (each.tagName === "SELECT") return chosen(each, isChosen);
    return [text(each)];
  });
}

/* A box of one choice with none marked shows its first. */
function chosen(select, isChosen) {
  const options = [...select.options].filter(isChosen);
  if (!options.length && !select.multiple && select.options.length) options.push(select.options[0]);
  return options.map(function (each) { return each.value; });
}

export function now(form, name) {
  return values(form, name, (each) => each.checked, (each) => each.value, (each) => each.selected);
}

/* As the server made the page, whatever was typed since. */
export function begun(form, name) {
  return values(form, name, (each) => each.defaultChecked, (each) => each.defaultValue, (each) => each.defaultSelected);
}

export function put(form, name, given) {
  of(form, name).forEach(function (each, place) {
    if (isTick(each)) each.checked = given.includes(each.value);
    else if (each.tagName === "SELECT") [...each.options].forEach((option) => { option.selected = given.includes(option.value); });
    else if (given[place] !== undefined) each.value = given[place];
  });
}

/* The unit beside a quantity's box: a bare number means it. */
export function unit(form, name) {
  const note = form.elements[name + "-unit"];
  return note && note.type === "hidden" ? note.value : "";
}

function plain(node) {
  if (!node) return "";
  const copy = node.cloneNode(true);
  copy.querySelectorAll(".field__optional, .hint, svg, input, select").forEach((each) => each.remove());
  return copy.textContent.replace(/\s+/g, " ").trim();
}

export function title(form, name) {
  const first = of(form, name)[0];
  if (!first) return name;
  const set = first.closest("fieldset");
  const legend = set ? plain(set.querySelector("legend")) : "";
  if (first.type === "radio" || of(form, name).length > 1) return legend || name;
  const own = plain((first.labels || [])[0]) || first.getAttribute("aria-label") || name;
  return legend ? legend + ", " + own : own;
}

/* Values as the page words them. */
export function words(form, name, given) {
  const said = given.filter(Boolean).map(function (value) {
    const control = of(form, name).find((each) => isTick(each) ? each.value === value : each.tagName === "SELECT");
    if (!control) return value;
    if (isTick(control)) return plain((control.labels || [])[0]) || value;
    const option = [...control.options].find((each) => each.value === value);
    return option ? option.text : value;
  });
  return said.join(", ") || "empty";
}

export function first(form, name) { return of(form, name)[0]; }

export function same(one, other) { return JSON.stringify(one) === JSON.stringify(other); }
