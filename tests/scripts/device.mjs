/* Stand-ins for what a browser gives a script: what it keeps, and boxes of a form. */

/* Keeps text as a browser does; `isFull` makes it refuse. */
export function localStorageOf(entries = {}) {
  const kept = { ...entries };
  const methods = {
    getItem: (key) => (Object.hasOwn(kept, key) ? kept[key] : null),
    setItem: (key, text) => { if (methods.isFull) throw Object.assign(new Error("full"), { name: "QuotaExceededError" }); keep(key, text); },
    removeItem: (key) => { delete kept[key]; delete storage[key]; },
    isFull: false,
  };
  const storage = Object.create(methods);
  function keep(key, text) { kept[key] = text; storage[key] = text; }
  Object.entries(kept).forEach(([key, text]) => { storage[key] = text; });
  globalThis.localStorage = storage;
  return methods;
}

/* A box; what is not said is as in an empty box of text. */
export function box(name, more = {}) {
  return {
    name, type: "text", tagName: "INPUT", value: "", defaultValue: "", checked: false, defaultChecked: false, autocomplete: "",
    closest: () => null, ...more,
  };
}

export function select(name, options) {
  const given = options.map(([value, text, selected, defaultSelected]) => ({ value, text, selected, defaultSelected }));
  return box(name, { tagName: "SELECT", type: "select-one", multiple: false, options: given });
}

export function form(...boxes) {
  const elements = [...boxes];
  boxes.forEach((each) => { elements[each.name] = each; });
  return { elements, dataset: {} };
}
