// The form of one file, from the keys' declarations: a field for each key, with its sentence.

import { at, dotted, like, read, shown, stepped, toml } from "./figure.js";

const make = (name, attributes = {}, ...content) => {
  const element = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (key.startsWith("on")) element.addEventListener(key.slice(2), value);
    else if (value === true) element.setAttribute(key, "");
    else if (value !== undefined && value !== null && value !== false) element.setAttribute(key, value);
  }
  element.append(...content);
  return element;
};
const words = (path) => path.join(" ").replaceAll("_", " ");

export class Form {
  /** `edit(settings, then)` changes the file; `begin()` begins a gesture. */
  constructor(into, { edit, begin, whole }) {
    Object.assign(this, { into, edit, begin, whole });
  }

  /** Shows a file: its declarations, and what it holds. */
  show(declared, file) {
    const layout = JSON.stringify([file.path, file.values === null, declared.tables.map((table) => this.layout(table, file.values))]);
    this.file = file;
    this.declared = declared;
    if (layout !== this.drawn) {
      const active = document.activeElement;
      const focused = this.into.contains(active) ? [active.id, active.selectionStart, active.selectionEnd] : null;
      this.drawn = layout;
      this.fields = [];
      this.into.replaceChildren(...this.tables());
      if (focused) {
        const [id, from, to] = focused;
        const field = document.getElementById(id);
        field?.focus();
        // What was selected is still to be typed over.
        if (typeof from === "number") field?.setSelectionRange?.(from, to);
      }
    }
    for (const field of this.fields) field();
  }

  /** What of a table decides which fields there are. */
  layout(table, values) {
    const value = values?.[table.name];
    if (table.list) return [table.name, value?.length];
    const long = (key) => (["stations", "place"].includes(key.shape) && Array.isArray(at(value, key.path)) ? at(value, key.path).length : 0);
    if (table.own) return [table.name, table.own.shape === "gives" ? givesOf(value).map((path) => [path, Object.keys(at(value, path) ?? {})]) : Object.keys(value ?? {})];
    return [table.name, this.has(table, values), table.keys.map(long)];
  }

  /** Whether a table belongs to this kind of utensil. */
  has(table, values) {
    const heads = this.declared?.heads ?? [];
    const ours = heads.find(({ kind }) => kind === values?.utensil?.kind)?.has;
    return !ours || !heads.some(({ has }) => has.includes(table.name)) || ours.includes(table.name);
  }

  tables() {
    if (this.file.values === null) return [this.text(true)];
    const here = this.declared.tables.filter((table) => this.has(table, this.file.values) || this.file.values[table.name]);
    return [...here.map((table) => this.table(table)), this.text(false)];
  }

  /** The file as text. */
  text(open) {
    const box = make("textarea", { id: "file-text", rows: 18, spellcheck: "false", class: "code" });
    const told = make("p", { class: "small", role: "status" });
    let mine = false;
    box.addEventListener("input", () => (mine = true));
    this.fields.push(() => {
      if (!mine) box.value = this.file.text;
    });
    const take = make("button", { type: "button", onclick: () => {
      mine = false;
      this.whole(box.value, (says) => (told.textContent = says ?? "Taken."));
    } }, "Take this text");
    return make("details", { class: "table", open }, make("summary", {}, make("h2", {}, "The file as text")),
      make("label", { for: "file-text", class: "small" }, open ? "The file can’t be read as it is. Mend it here or in your editor." : "As it will be saved, with its comments. Changes count once you take them."),
      box, make("p", {}, take), told);
  }

  table(table) {
    const title = make("h2", { id: `table-${table.name}` }, words([table.name]));
    const says = make("p", { class: "small" }, table.says);
    if (table.list) {
      const all = this.file.values[table.name] ?? [];
      const entries = all.map((_, index) => this.entry(table, index));
      const lines = table.lines.split("\n").slice(1).join("\n");
      const more = make("button", { type: "button", onclick: () => {
        this.begin();
        this.edit([{ path: [table.name], to: { more: lines } }]);
      } }, `Add a ${words([table.name])}`);
      return make("section", { class: "table", "aria-labelledby": title.id }, title, says, ...entries, make("p", {}, more));
    }
    if (table.own) return make("section", { class: "table", "aria-labelledby": title.id }, title, says, ...this.own(table));
    const rows = table.keys.map((key) => this.row(key, [table.name, ...key.path], words(key.path)));
    return make("section", { class: "table", "aria-labelledby": title.id }, title, says, ...rows);
  }

  /** One table of a list. */
  entry(table, index) {
    const named = () => {
      const entry = this.file.values[table.name]?.[index] ?? {};
      return typeof entry.name === "string" ? entry.name : `${words([table.name])} ${index + 1}`;
    };
    const title = make("span", {});
    this.fields.push(() => (title.textContent = named()));
    const rows = table.keys.map((key) => this.row(key, [table.name, index, ...key.path], words(key.path)));
    const out = make("button", { type: "button", onclick: () => {
      this.begin();
      this.edit([{ path: [table.name, index], to: { nothing: null } }]);
    } }, `Take ${words([table.name])} ${index + 1} out`);
    return make("details", { class: "entry" }, make("summary", {}, title), ...rows, make("p", {}, out));
  }

  /** Tables whose keys are the maker's: limits to what may change, and reasons. */
  own(table) {
    const gives = table.own.shape === "gives";
    const flat = gives ? givesOf(this.file.values.give) : Object.keys(this.file.values[table.name] ?? {}).map((name) => [name]);
    const rows = flat.map((path) => gives ? this.give(path) : this.row(
      { shape: "text", says: "", path, example: "", needed: false },
      [table.name, ...path], path.join("."),
    ));
    const id = `add-${table.name}`;
    const known = gives ? this.declared.gives.filter((key) => this.has({ name: key.split(".")[0] }, this.file.values) && !flat.some((path) => path.join(".") === key)) : null;
    const which = gives
      ? make("select", { id }, ...known.map((key) => make("option", { value: key }, key)))
      : make("input", { id, autocomplete: "off", placeholder: "too-thick" });
    const add = make("button", { type: "button", onclick: () => {
      const name = which.value.trim();
      if (!name) return;
      this.begin();
      const to = gives ? { written: '{ least = "90 %", most = "110 %" }' } : { text: "why you accept it" };
      this.edit([{ path: [table.name, name], to }]);
    } }, "Add");
    return [...rows, make("p", { class: "adding" }, make("label", { for: id }, gives ? "May change too" : "Accept a caution, by its code"), which, add)];
  }

  /** What one size may become: from, to, and whatever else the file says of it. */
  give(path) {
    const whole = ["give", ...path];
    const label = words(path).replaceAll(".", " ");
    const now = () => at(this.file.values, whole) ?? {};
    const entry = now();
    const table = typeof entry === "object" && !("=" in entry);
    if (!table) return this.row({ shape: "written", says: "", path, example: "", needed: false }, whole, label);
    const names = { least: "from", most: "to" };
    const kinds = { least: GIVEN, most: GIVEN, weight: { ...GIVEN, units: [], unit: "" }, alike: { shape: "text" } };
    const fields = ["least", "most", ...["weight", "alike"].filter((name) => name in entry)].map((name) => {
      const id = `field-${dotted([...whole, name])}`;
      const field = this.field({ ...kinds[name], needed: false, says: "" }, [...whole, name], id);
      const told = make("p", { class: "told small", role: "status" });
      field.told = told;
      field.setAttribute("aria-label", `${label}: ${names[name] ?? name}`);
      return make("div", { class: "part" }, make("label", { for: id }, names[name] ?? name), field, told);
    });
    const out = make("button", { type: "button", class: "plain", "aria-label": `${label} may not change`, onclick: () => {
      this.begin();
      this.edit([{ path: whole, to: { nothing: null } }]);
    } }, "−");
    const group = make("div", { class: "row give", role: "group", "aria-label": label, id: `field-${dotted(whole)}`, tabindex: -1 },
      make("p", { class: "label" }, label), out, make("div", { class: "parts" }, ...fields));
    group.dataset.key = dotted(whole);
    return group;
  }

  /** Where tabs are: placed by the tool, or one by one. */
  places(key, path, label) {
    const id = `field-${dotted(path)}`;
    const list = () => at(this.file.values, path);
    const auto = !Array.isArray(list());
    const change = (to) => {
      this.begin();
      this.edit(to);
    };
    const which = make("select", { id }, make("option", { value: "auto" }, "the tool places them"), make("option", { value: "own" }, "placed one by one"));
    which.value = auto ? "auto" : "own";
    which.addEventListener("change", () => change([{ path, to: which.value === "auto" ? { text: "auto" } : { written: key.example } }]));
    this.fields.push(() => (which.value = Array.isArray(list()) ? "own" : "auto"));
    const rows = auto ? [] : list().map((_, index) => {
      const cell = (name, kind) => {
        const where = [...path, index, name];
        const field = this.field(kind, where, `field-${dotted(where)}`);
        field.setAttribute("aria-label", `tab ${index + 1}: ${name}`);
        field.told = { textContent: "" };
        return make("td", {}, field);
      };
      const out = make("button", { type: "button", class: "plain", "aria-label": `Take tab ${index + 1} out`, onclick: () => change([{ path: [...path, index], to: { nothing: null } }]) }, "−");
      return make("tr", {}, cell("side", SIDES), cell("at", PERCENT), make("td", { class: "acts" }, list().length > 2 ? out : ""));
    });
    const more = make("button", { type: "button", onclick: () => {
      const all = list();
      const side = all.at(-1)?.side === "left" ? "right" : "left";
      change([{ path, to: { written: toml([...all, { side, at: "50 %" }]) } }]);
    } }, "Add a tab");
    const table = auto ? "" : make("table", {}, make("thead", {}, make("tr", {}, make("th", { scope: "col" }, "side"), make("th", { scope: "col" }, "at"), make("td", {}))), make("tbody", {}, ...rows));
    const hint = make("p", { class: "hint small", id: `${id}-hint` }, key.says);
    which.setAttribute("aria-describedby", hint.id);
    const row = make("div", { class: "row stations" }, make("label", { for: id }, label), which, hint, table, auto ? "" : make("p", {}, more));
    row.dataset.key = dotted(path);
    return row;
  }

  row(key, path, label) {
    if (key.shape === "stations") return this.stations(key, path, label);
    if (key.shape === "place") return this.places(key, path, label);
    const id = `field-${dotted(path)}`;
    const hint = make("p", { class: "hint small", id: `${id}-hint` }, key.says, key.shape === "figure" ? make("span", { class: "range" }, ` ${range(key)}`) : "");
    const field = this.field(key, path, id);
    field.setAttribute("aria-describedby", hint.id);
    const told = make("p", { class: "told small", role: "status" });
    field.told = told;
    const row = make("div", { class: `row ${key.shape}` }, make("label", { for: id }, label), field, hint, told);
    row.dataset.key = dotted(path);
    return row;
  }

  /** What a field sends for its text. */
  sends(key, path, text, told) {
    const to = text.trim() === "" ? { nothing: null } : key.shape === "written" || (key.shape === "figure" && !key.unit && read(text, [])) ? { written: text.trim() } : { text };
    this.edit([{ path, to }], (says) => (told.textContent = says ?? ""));
  }

  /** The unit that the file mostly has, of those that a key may be in. */
  spoken(key) {
    const all = JSON.stringify(this.file.values);
    const count = (unit) => all.split(` ${unit}"`).length - 1;
    const [first] = key.units.map(([unit]) => unit).sort((a, b) => count(b) - count(a));
    return count(first) ? first : key.unit;
  }

  field(key, path, id) {
    const now = () => shown(at(this.file.values, path));
    if (key.shape === "choice" || key.shape === "flag") return this.choice(key, path, id, now);
    const long = key.shape === "written";
    const field = make(long ? "textarea" : "input", {
      id, autocomplete: "off", spellcheck: "false", rows: long ? 2 : null,
      class: long ? "code" : key.shape === "text" ? "long" : null,
      placeholder: key.usual ?? key.left_out ?? "",
      required: key.needed,
    });
    let sent = null;
    const send = (text) => {
      sent = text;
      this.sends(key, path, text, field.told);
    };
    // A bare number has the unit that stood there before, or that the file mostly has.
    let unit = null;
    const whole = (typed) => {
      // An inch mark, straight or curled, is written as the word: it would have to be escaped in the file.
      const text = key.shape === "figure" ? typed.replace(/\s*(["″”“]|''|’’)\s*$/, " in") : typed;
      const figure = key.shape === "figure" && key.unit && read(text, key.units);
      if (!figure || figure.unit) return text;
      return `${text.trim()} ${unit ?? this.spoken(key)}`;
    };
    let dirty = false;
    field.addEventListener("focus", () => this.begin());
    field.addEventListener("input", () => {
      dirty = true;
      const text = whole(field.value);
      if (key.shape === "figure" && read(text, key.units)) send(text);
    });
    field.addEventListener("change", () => {
      const text = whole(field.value);
      dirty = false;
      // Often it was sent while it was typed.
      if (text !== now() && text !== sent) send(text);
      sent = null;
    });
    field.addEventListener("blur", () => {
      dirty = false;
      field.value = now();
    });
    field.addEventListener("keydown", (event) => {
      if (event.key === "Escape") {
        dirty = false;
        field.value = now();
      }
      const times = { ArrowUp: 1, ArrowDown: -1 }[event.key];
      if (key.shape !== "figure" || !times || event.altKey) return;
      const model = read(field.value || (key.usual ?? ""), key.units);
      if (!model) return;
      event.preventDefault();
      if (!model.unit && key.unit) model.unit = key.unit;
      field.value = like(model, stepped(model, key.whole, times * (event.shiftKey ? 10 : 1)));
      dirty = false;
      send(field.value);
    });
    this.fields.push(() => {
      unit = (key.shape === "figure" && key.unit && read(now(), key.units)?.unit) || unit;
      if (!dirty && (document.activeElement !== field || field.value !== now())) {
        if (field.value !== now()) field.value = now();
      }
      if (long) field.rows = Math.min(8, Math.max(1, Math.ceil(field.value.length / 44)));
    });
    return field;
  }

  choice(key, path, id, now) {
    const options = key.words.map(([name, says]) => make("option", { value: name }, !says ? name : `${name} – ${says.replace(/\.$/, "").replace(/^([A-Z])(?![A-Z])/, (c) => c.toLowerCase())}`));
    if (!key.needed) options.unshift(make("option", { value: "" }, `left out: ${key.left_out ?? key.usual ?? ""}`));
    const field = make("select", { id }, ...options);
    field.addEventListener("change", () => {
      this.begin();
      if (path.join(".") === "utensil.kind") return this.kind(field.value);
      const to = key.shape === "flag" ? { written: field.value } : { text: field.value };
      this.edit([{ path, to: field.value === "" ? { nothing: null } : to }]);
    });
    this.fields.push(() => {
      const value = now();
      if (![...field.options].some((option) => option.value === value)) field.add(new Option(value, value));
      field.value = value;
    });
    return field;
  }

  /** Another kind of utensil has another head: the old one's table goes, the new one's comes. */
  kind(kind) {
    const heads = this.declared.heads;
    const { has: ours, needs } = heads.find((head) => head.kind === kind);
    const all = new Set(heads.flatMap(({ has }) => has));
    const settings = [{ path: ["utensil", "kind"], to: { text: kind } }];
    for (const name of all) {
      const there = this.file.values[name];
      if (there && !ours.includes(name)) {
        settings.push({ path: [name], to: { nothing: null } });
        for (const path of givesOf(this.file.values.give).filter((path) => path.join(".").startsWith(`${name}.`))) settings.push({ path: ["give", ...path], to: { nothing: null } });
      }
      if (!there && ours.includes(name)) {
        const table = this.declared.tables.find((table) => table.name === name);
        for (const key of table.keys.filter((key) => key.needed)) {
          settings.push({ path: [name, ...key.path], to: { written: key.example } });
        }
      }
    }
    // A key that others of that table may leave out.
    if (needs && !at(this.file.values, needs)) {
      const [name, key] = needs;
      const { example } = this.declared.tables.find((table) => table.name === name).keys.find(({ path }) => path.join(".") === key);
      settings.push({ path: needs, to: { written: example } });
    }
    this.edit(settings);
  }

  /** A list of stations: a place and a size each. */
  stations(key, path, label) {
    const list = at(this.file.values, path) ?? [];
    const size = key.size;
    const inner = (index, name) => ({ ...path, name, path: [...path, index, name] });
    const length = { shape: "figure", unit: "mm", units: LENGTHS, least: key.least, most: key.most, needed: true, says: "" };
    const change = (to) => {
      this.begin();
      this.edit(to);
    };
    const rows = list.map((_, index) => {
      const fields = [["at", PERCENT], [size, length]].map(([name, kind]) => {
        const where = inner(index, name).path;
        const field = this.field(kind, where, `field-${dotted(where)}`);
        field.setAttribute("aria-label", `${label} ${index + 1}: ${name}`);
        field.told = { textContent: "" };
        return make("td", {}, field);
      });
      const after = make("button", { type: "button", class: "plain", "aria-label": `${label}: add a station after ${index + 1}`, onclick: () => {
        const [here, next] = [list0()[index], list0()[index + 1] ?? list0()[index]];
        const between = (name, units) => {
          const [a, b] = [read(here[name], units), read(next[name], units)];
          return a && b && a.unit === b.unit ? like(a, (a.number + b.number) / 2) : here[name];
        };
        const entry = { at: between("at", PERCENT.units), [size]: between(size, length.units) };
        change([{ path: [...path, index + 1], to: { before: toml(entry) } }]);
      } }, "+");
      const out = make("button", { type: "button", class: "plain", "aria-label": `${label}: take station ${index + 1} out`, onclick: () => change([{ path: [...path, index], to: { nothing: null } }]) }, "−");
      return make("tr", {}, ...fields, make("td", { class: "acts" }, index < list.length - 1 ? after : "", list.length > 2 ? out : ""));
    });
    const list0 = () => at(this.file.values, path) ?? [];
    const start = make("button", { type: "button", onclick: () => change([{ path, to: { written: `[{ at = "0 %", ${size} = "0 mm" }, { at = "50 %", ${size} = "2 mm" }, { at = "100 %", ${size} = "0 mm" }]` } }]) }, `Give it a ${label}`);
    const table = make("table", {}, make("thead", {}, make("tr", {}, make("th", { scope: "col" }, "at"), make("th", { scope: "col" }, size), make("td", {}))), make("tbody", {}, ...rows));
    const group = make("div", { class: "row stations", role: "group", "aria-label": label, id: `field-${dotted(path)}`, tabindex: -1 }, make("p", { class: "label" }, label), make("p", { class: "hint small" }, key.says), list.length ? table : make("p", {}, start));
    group.dataset.key = dotted(path);
    return group;
  }
}

const PERCENT = { shape: "figure", unit: "%", units: [["%", 1]], least: 0, most: 100, needed: true, says: "" };
const SIDES = { shape: "choice", words: [["left", ""], ["right", ""]], needed: true };
const LENGTHS = [["mm", 1], ["cm", 10], ["inches", 25.4], ["inch", 25.4], ["in", 25.4], ["\"", 25.4], ["″", 25.4]];

/** What a size may become: a length or an angle as it is written, or a share of what is asked. */
const GIVEN = { shape: "figure", unit: "%", units: [["%", 1], ...LENGTHS, ["deg", 1], ["degree", 1], ["degrees", 1], ["°", 1]], least: 0, most: 1000 };

/** The paths of what may change, however they are written. */
function givesOf(values, above = []) {
  return Object.entries(values ?? {}).flatMap(([name, value]) => {
    const path = [...above, name];
    const leads = value && typeof value === "object" && !("least" in value || "most" in value || "weight" in value || "=" in value);
    return leads ? givesOf(value, path) : [path];
  });
}

const range = (key) => {
  const unit = key.unit ? ` ${key.unit}` : "";
  const left = key.usual ?? key.left_out;
  return `${key.least} to ${key.most}${unit}${left && !key.needed ? `; left out: ${left}` : ""}`;
};
