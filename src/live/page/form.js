// The form of one file, from the keys' declarations: a field for each key, with its sentence.

import { plain } from "./board.js";
import { LENGTH, PERCENT, field, range, spokenExample } from "./field.js";
import { at, dotted, like, read, shown, toml } from "./figure.js";
import { make, text as marked } from "./notes.js";

const words = (path) => path.join(" ").replaceAll("_", " ");

export class Form {
  /** `edit(settings, then)` changes the file; `begin()` begins a gesture. */
  constructor(into, { edit, begin, whole }) {
    Object.assign(this, { into, edit, begin, whole, texts: new Map(), reason: "" });
  }

  /** Shows a file: its declarations, and what it holds. */
  show(declared, file) {
    this.file = file;
    this.declared = declared;
    const layout = JSON.stringify([file.path, file.values === null, this.drawing(), this.beside(), declared.tables.map((table) => this.layout(table, file.values))]);
    if (layout !== this.drawn) this.draw(layout);
    for (const field of this.fields) field();
  }

  /** Draws the form anew; the hand stays where it was, and what was open stays open. */
  draw(layout) {
    const active = document.activeElement;
    const focused = this.into.contains(active) ? [active.id, active.selectionStart, active.selectionEnd] : null;
    const same = this.path === this.file.path;
    const open = new Set(same ? [...this.into.querySelectorAll("details[open][id]")].map((one) => one.id) : []);
    const typing = same ? this.typing : null;
    this.path = this.file.path;
    this.drawn = layout;
    this.fields = [];
    this.typing = typing;
    this.into.replaceChildren(...this.tables());
    this.typing = typing;
    for (const id of open) document.getElementById(id)?.setAttribute("open", "");
    const goes = this.goes && document.getElementById(this.goes);
    this.goes = null;
    if (goes) {
      if (goes.matches("details")) goes.open = true;
      return (goes.querySelector("input,select,textarea") ?? goes.querySelector("button") ?? goes).focus();
    }
    if (!focused) return;
    const [id, from, to] = focused;
    const field = document.getElementById(id);
    field?.focus();
    // What was selected is still to be typed over.
    if (typeof from === "number") field?.setSelectionRange?.(from, to);
  }

  /** Shows again what depends on more than the file. */
  again() {
    for (const field of this.fields ?? []) field();
  }

  /** What of a table decides which fields there are. */
  layout(table, values) {
    const value = values?.[table.name];
    const long = (of) => (key) => (LISTS.includes(key.shape) && Array.isArray(at(of, key.path)) ? at(of, key.path).length : 0);
    if (table.list) return [table.name, value?.map?.((one) => table.keys.map(long(one)))];
    if (table.own) return [table.name, table.own.shape === "gives" ? givesOf(value).map((path) => [path, Object.keys(at(value, path) ?? {})]) : Object.keys(value ?? {})];
    return [table.name, this.has(table, values), table.keys.map(long(value))];
  }

  /** The drawing that the outline comes from, if there is one. */
  drawing() {
    const { plan } = this.declared;
    return plan && shown(at(this.file.values, plan.path));
  }

  /** Whether the drawing says a key, which then stands in no file beside it. */
  said(path) {
    const key = dotted(path);
    return Boolean(this.drawing()) && this.declared.plan.says.some((says) => key === says || key.startsWith(`${says}.`));
  }

  /** The keys that stand in the file beside the drawing that says them. */
  beside() {
    if (!this.drawing()) return [];
    const gives = givesOf(this.file.values.give).filter((path) => this.said(path));
    const keys = this.declared.plan.says.map((key) => key.split(".")).filter((path) => at(this.file.values, path) !== undefined);
    return [...keys, ...gives.map((path) => ["give", ...path])];
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
    const path = make("p", { class: "small path" });
    this.fields.push(() => (path.textContent = this.file.new ? `${this.file.path} (not saved yet)` : this.file.path));
    return [path, ...here.map((table) => this.table(table)), this.text(false)];
  }

  /** The file as text. */
  text(open) {
    const box = make("textarea", { id: "file-text", rows: 18, spellcheck: "false", class: "code" });
    const told = make("p", { class: "small", role: "status" });
    // What was begun here stays until it is taken, whatever else is shown meanwhile.
    const { path } = this.file;
    box.addEventListener("input", () => {
      const since = this.texts.get(path)?.since ?? this.revision();
      this.texts.set(path, { text: box.value, since });
    });
    this.fields.push(() => {
      const text = this.texts.get(path)?.text ?? this.file.text;
      if (box.value !== text) box.value = text;
    });
    const take = make("button", { type: "button", click: () => {
      const mine = this.texts.get(path);
      this.whole(box.value, (says) => {
        if (!says && this.texts.get(path)?.text === mine?.text) this.texts.delete(path);
        told.textContent = says ?? "Taken.";
        this.again();
      }, mine?.since);
    } }, "Take this text");
    const drop = make("button", { type: "button", class: "link", click: () => {
      this.texts.delete(path);
      this.again();
    } }, "Drop what was typed here");
    this.fields.push(() => (drop.hidden = !this.texts.has(path)));
    return make("details", { class: "table", id: "as-text", open }, make("summary", {}, make("h2", {}, "The file as text")),
      make("label", { for: "file-text", class: "small" }, open ? "The file can’t be read as it is. Mend it here or in your editor." : "As it will be saved, with its comments. Changes count once you take them."),
      box, make("p", {}, take, " ", drop), told);
  }

  table(table) {
    const title = make("h2", { id: `table-${table.name}` }, words([table.name]));
    const says = make("p", { class: "small" }, table.says);
    if (table.list) {
      const all = this.file.values[table.name] ?? [];
      const entries = all.map((_, index) => this.entry(table, index));
      const lines = table.lines.split("\n").slice(1).join("\n");
      const more = make("button", { type: "button", id: `more-${table.name}`, click: () => {
        const next = `table-${table.name}[${(this.file.values[table.name] ?? []).length}]`;
        this.change([{ path: [table.name], to: { more: spokenExample(this.file.values, lines) } }], next);
      } }, `Add ${a(words([table.name]))}`);
      return make("section", { class: "table", "aria-labelledby": title.id }, title, says, ...entries, make("p", {}, more));
    }
    if (table.own) return make("section", { class: "table", "aria-labelledby": title.id }, title, says, ...this.own(table));
    const rows = table.keys.map((key) => this.row(key, [table.name, ...key.path], words(key.path)));
    return make("section", { class: "table", "aria-labelledby": title.id }, title, says, ...rows, table.name === "board" ? this.plain() : "");
  }

  /** Makes the board a plain one. */
  plain() {
    const told = make("p", { class: "small", role: "status" });
    const act = make("button", { type: "button", id: "plain-board", "aria-describedby": "plain-hint", click: () => {
      const settings = plain(this.file.values);
      told.textContent = settings ? "" : "Give its length and width first, and one reading.";
      if (settings) this.change(settings, "plain-board");
    } }, "Make it a plain board");
    return make("div", {}, make("p", {}, act), make("p", { class: "hint small", id: "plain-hint" }, "Takes all knots, checks and wanes out, and puts a reading near each corner, as thick as the thinnest. Put down what your board really has."), told);
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
    const out = make("button", { type: "button", click: () => {
      this.change([{ path: [table.name, index], to: { nothing: null } }], `more-${table.name}`);
    } }, `Take ${words([table.name])} ${index + 1} out`);
    return make("details", { class: "entry", id: `table-${table.name}[${index}]` }, make("summary", {}, title), ...rows, make("p", {}, out));
  }

  /** Tables whose keys are the maker's: limits to what may change, and reasons. */
  own(table) {
    const gives = table.own.shape === "gives";
    const flat = gives ? givesOf(this.file.values.give) : Object.keys(this.file.values[table.name] ?? {}).map((name) => [name]);
    const rows = flat.map((path) => gives ? this.give(path) : this.row(
      { shape: "text", says: "", path, example: "", needed: false },
      [table.name, ...path], path.join("."),
    ));
    return [...rows, gives ? this.mayChange(flat) : this.accepting(table)];
  }

  /** Adds a size that may change. */
  mayChange(flat) {
    const known = this.declared.gives.filter((key) => this.has({ name: key.split(".")[0] }, this.file.values) && !this.said(key.split(".")) && !flat.some((path) => path.join(".") === key));
    const which = make("select", { id: "add-give" }, ...known.map((key) => make("option", { value: key }, words(key.split(".")))));
    const add = make("button", { type: "button", click: () => {
      if (!which.value) return;
      const given = { path: ["give", which.value], to: { written: '{ least = "90 %", most = "110 %" }' } };
      this.change([given], `field-${dotted(given.path)}`);
    } }, "Add");
    return make("p", { class: "adding" }, make("label", { for: "add-give" }, "May change too"), which, add);
  }

  /** Accepts a caution, with a reason. */
  accepting(table) {
    const which = make("select", { id: "add-accept" });
    // What was chosen stays chosen, whatever is said meanwhile.
    const keep = () => (this.accepted = which.value || null);
    which.addEventListener("change", keep);
    const why = make("input", { id: "accept-why", autocomplete: "off", placeholder: "why that is all right here" });
    why.value = this.reason;
    why.addEventListener("focus", () => this.accepted ?? keep());
    why.addEventListener("input", () => (this.reason = why.value));
    const add = make("button", { type: "button", click: () => {
      if (!which.value) return;
      if (!why.value.trim()) return why.focus();
      this.reason = "";
      this.accepted = null;
      this.change([{ path: [table.name, which.value], to: { text: why.value.trim() } }]);
    } }, "Accept");
    const said = make("p", { class: "small" }, "No caution stands against it.");
    const adding = make("div", { class: "adding" }, make("label", { for: "add-accept" }, "Caution"), which,
      make("label", { for: "accept-why" }, "Reason, for the sheet"), why, add);
    this.fields.push(() => {
      const codes = this.cautions?.() ?? [];
      if (!this.reason.trim() && document.activeElement !== why && !codes.includes(this.accepted)) this.accepted = null;
      const [kept, gone] = [this.accepted, this.accepted !== null && !codes.includes(this.accepted)];
      const options = [...codes.map((code) => [code, ""]), ...(gone ? [[kept, " (not said at the moment)"]] : [])];
      const wanted = JSON.stringify(options);
      if (which.dataset.options !== wanted) {
        which.dataset.options = wanted;
        which.replaceChildren(...options.map(([code, more]) => make("option", { value: code }, code.replaceAll("-", " ") + more)));
        if (kept) which.value = kept;
      }
      add.disabled = gone;
      adding.hidden = !options.length;
      said.hidden = Boolean(options.length);
    });
    return make("div", {}, said, adding);
  }

  /** What one size may become: from, to, and whatever else the file says of it. */
  give(path) {
    const whole = ["give", ...path];
    const label = words(path).replaceAll(".", " ");
    const now = () => at(this.file.values, whole) ?? {};
    const entry = now();
    const table = typeof entry === "object" && !("=" in entry);
    if (!table) return this.row({ shape: "written", says: "", path, example: "", needed: false }, whole, label);
    const kinds = { least: GIVEN, most: GIVEN, weight: { ...GIVEN, units: [], unit: "" }, alike: { shape: "text" } };
    const fields = ["least", "most", ...["weight", "alike"].filter((name) => name in entry)].map((name) => {
      const id = `field-${dotted([...whole, name])}`;
      const box = field(this, { ...kinds[name], needed: false, says: "" }, [...whole, name], id);
      const told = make("p", { class: "told small", role: "status" });
      box.told = told;
      box.setAttribute("aria-label", `${label}: ${name}`);
      return make("div", { class: "part" }, make("label", { for: id }, name), box, told);
    });
    const out = make("button", { type: "button", class: "plain", "aria-label": `${label} may not change`, click: () => {
      this.change([{ path: whole, to: { nothing: null } }], "add-give");
    } }, "−");
    const group = make("div", { class: "row give", role: "group", "aria-label": label, id: `field-${dotted(whole)}`, tabindex: -1 },
      make("p", { class: "label" }, label), out, make("div", { class: "parts" }, ...fields));
    group.dataset.key = dotted(whole);
    return group;
  }

  /** Changes the file as a step of its own; the hand goes to an element, if it is drawn anew. */
  change(settings, goes = null) {
    this.begin();
    this.goes = goes;
    this.edit(settings);
  }

  /** A button that puts a key's example into the file. */
  starts(key, path, id, says) {
    return make("button", { type: "button", click: () => this.change([{ path, to: { written: spokenExample(this.file.values, key.example) } }], id) }, says);
  }

  /** A button that takes a whole list out. */
  leavesOut(path, label, id) {
    return make("button", { type: "button", class: "link", click: () => this.change([{ path, to: { nothing: null } }], id) }, `Leave ${label} out`);
  }

  /** A field in a table, which has no room for what is told of it. */
  cell(kind, where, says) {
    const box = field(this, kind, where, `field-${dotted(where)}`);
    box.setAttribute("aria-label", says);
    box.told = { textContent: "" };
    return make("td", {}, box);
  }

  /** Where tabs are: placed by the tool, or one by one. */
  places(key, path, label) {
    const id = `field-${dotted(path)}`;
    const list = () => at(this.file.values, path);
    const auto = !Array.isArray(list());
    const which = make("select", { id }, make("option", { value: "auto" }, "the tool places them"), make("option", { value: "own" }, "placed one by one"));
    which.value = auto ? "auto" : "own";
    which.addEventListener("change", () => this.change([{ path, to: which.value === "auto" ? { text: "auto" } : { written: key.example } }]));
    this.fields.push(() => (which.value = Array.isArray(list()) ? "own" : "auto"));
    const rows = auto ? [] : list().map((_, index) => {
      const cell = (name, kind) => {
        const where = [...path, index, name];
        return this.cell(kind, where, `tab ${index + 1}: ${name}`);
      };
      const out = make("button", { type: "button", class: "plain", "aria-label": `Take tab ${index + 1} out`, click: () => this.change([{ path: [...path, index], to: { nothing: null } }], `field-${dotted([...path, Math.max(index - 1, 0), "at"])}`) }, "−");
      return make("tr", {}, cell("side", SIDES), cell("at", PERCENT), make("td", { class: "acts" }, list().length > 2 ? out : ""));
    });
    const more = make("button", { type: "button", click: () => {
      const all = list();
      const side = all.at(-1)?.side === "left" ? "right" : "left";
      this.change([{ path, to: { more: toml({ side, at: "50 %" }) } }]);
    } }, "Add a tab");
    const table = auto ? "" : make("table", {}, make("thead", {}, make("tr", {}, make("th", { scope: "col" }, "side"), make("th", { scope: "col" }, "at"), make("td", {}))), make("tbody", {}, ...rows));
    const hint = make("p", { class: "hint small", id: `${id}-hint` }, ...marked(key.says));
    which.setAttribute("aria-describedby", hint.id);
    const row = make("div", { class: "row stations" }, make("label", { for: id }, label), which, hint, table, auto ? "" : make("p", {}, more));
    row.dataset.key = dotted(path);
    return row;
  }

  /** What stands in the place of a field whose size the drawing says. */
  asDrawn(key, path, label) {
    const id = `field-${dotted(path)}`;
    const knob = dotted(path).startsWith("handle.knob");
    const said = make("p", { class: "drawn" }, knob ? "none: its end is drawn" : "as drawn");
    const row = make("div", { class: "row said", role: "group", "aria-label": label, id, tabindex: -1 }, make("p", { class: "label" }, label), said, make("p", { class: "hint small" }, ...marked(key.says)));
    row.dataset.key = dotted(path);
    return row;
  }

  /** Under the drawing's name: a button that takes out what stands in the file beside it. */
  besides() {
    const beside = this.beside();
    if (!beside.length) return "";
    const act = make("button", { type: "button", id: "drawing-says", click: () => {
      this.change(beside.map((path) => ({ path, to: { nothing: null } })), `field-${dotted(this.declared.plan.path)}`);
    } }, "Take them out");
    const which = beside.map((path) => words(path).replaceAll(".", " ")).join(", ");
    return make("div", { class: "besides small" }, make("p", {}, `The drawing says what these say: ${which}. `, act));
  }

  row(key, path, label) {
    if (this.said(path)) {
      if (at(this.file.values, path) === undefined) return this.asDrawn(key, path, label);
      // It is to be taken out.
      key = { ...key, needed: false };
    }
    if (key.shape === "stations") return this.stations(key, path, label);
    if (key.shape === "tabs") return this.places(key, path, label);
    const there = at(this.file.values, path);
    if (key.shape === "point" && (there === undefined || isPoint(there))) return this.points(key, path, label, true);
    if (key.shape === "points" && (there === undefined || (Array.isArray(there) && there.every(isPoint)))) return this.points(key, path, label, false);
    const id = `field-${dotted(path)}`;
    const listed = key.shape === "figure" && Array.isArray(there);
    const box = field(this, listed || ["point", "points"].includes(key.shape) ? { ...key, shape: "written" } : key, path, id);
    const more = key.shape === "figure" && !listed ? make("span", { class: "range" }, `${range(this.file.values, key)}`) : box.says ?? "";
    const hint = make("p", { class: "hint small", id: `${id}-hint` }, ...marked(key.says), more);
    box.setAttribute("aria-describedby", hint.id);
    const told = make("p", { class: "told small", role: "status" });
    box.told = told;
    const besides = dotted(path) === dotted(this.declared.plan?.path ?? []) ? this.besides() : "";
    const row = make("div", { class: `row ${key.shape}` }, make("label", { for: id }, label), box, hint, told, besides);
    row.dataset.key = dotted(path);
    return row;
  }

  /** A place, or a list of them: two lengths each. */
  points(key, path, label, one) {
    const list = () => {
      const value = at(this.file.values, path);
      return value === undefined ? [] : one ? [value] : value;
    };
    const id = `field-${dotted(path)}`;
    const least = one ? 1 : Number(/a list of (\d+)/.exec(key.kind)?.[1] ?? 1);
    const rows = list().map((_, index) => {
      const here = one ? path : [...path, index];
      const cell = (part) => {
        const where = [...here, part];
        return this.cell(LENGTH, where, `${label}${one ? "" : ` ${index + 1}`}: ${SIDEWAYS[part]}`);
      };
      const after = make("button", { type: "button", class: "plain", "aria-label": `${label}: add a place after ${index + 1}`, click: () => {
        const [a, b] = [list()[index], list()[index + 1] ?? list()[index]].map((place) => place.map((text) => read(text, LENGTH.units)));
        const between = [0, 1].map((part) => (a[part] && b[part] && a[part].unit === b[part].unit ? like(a[part], (a[part].number + b[part].number) / 2) : list()[index][part]));
        this.change([{ path: [...path, index + 1], to: { before: toml(between) } }]);
      } }, "+");
      const out = make("button", { type: "button", class: "plain", "aria-label": one ? `Leave ${label} out` : `${label}: take place ${index + 1} out`, click: () => this.change([{ path: here, to: { nothing: null } }], id) }, "−");
      const acts = one ? [key.needed ? "" : out] : [after, list().length > least ? out : ""];
      return make("tr", {}, cell(0), cell(1), make("td", { class: "acts" }, ...acts));
    });
    const start = this.starts(key, path, id, one ? "Give it a place" : "Give it places");
    const whole = this.leavesOut(path, label, id);
    const table = make("table", {}, make("thead", {}, make("tr", {}, make("th", { scope: "col" }, SIDEWAYS[0]), make("th", { scope: "col" }, SIDEWAYS[1]), make("td", {}))), make("tbody", {}, ...rows));
    const left = !rows.length && key.left_out ? ` Left out: ${key.left_out}.` : "";
    const row = make("div", { class: "row stations", role: "group", "aria-label": label, id, tabindex: -1 }, make("p", { class: "label" }, label),
      make("p", { class: "hint small" }, ...marked(key.says), left), rows.length ? table : make("p", {}, start), !one && rows.length && !key.needed ? make("p", {}, whole) : "");
    row.dataset.key = dotted(path);
    return row;
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
        for (const key of table.keys.filter((key) => key.needed && !this.said([name, ...key.path]))) {
          settings.push({ path: [name, ...key.path], to: { written: spokenExample(this.file.values, key.example) } });
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
    const length = { ...LENGTH, least: key.least, most: key.most };
    const id = `field-${dotted(path)}`;
    const rows = list.map((_, index) => {
      const fields = [["at", PERCENT], [size, length]].map(([name, kind]) => {
        const where = inner(index, name).path;
        return this.cell(kind, where, `${label} ${index + 1}: ${name}`);
      });
      const after = make("button", { type: "button", class: "plain", "aria-label": `${label}: add a station after ${index + 1}`, click: () => {
        const [here, next] = [list0()[index], list0()[index + 1] ?? list0()[index]];
        const between = (name, units) => {
          const [a, b] = [read(here[name], units), read(next[name], units)];
          return a && b && a.unit === b.unit ? like(a, (a.number + b.number) / 2) : here[name];
        };
        const entry = { at: between("at", PERCENT.units), [size]: between(size, length.units) };
        this.change([{ path: [...path, index + 1], to: { before: toml(entry) } }], `field-${dotted([...path, index + 1, size])}`);
      } }, "+");
      const out = make("button", { type: "button", class: "plain", "aria-label": `${label}: take station ${index + 1} out`, click: () => this.change([{ path: [...path, index], to: { nothing: null } }], `field-${dotted([...path, Math.max(index - 1, 0), size])}`) }, "−");
      return make("tr", {}, ...fields, make("td", { class: "acts" }, index < list.length - 1 ? after : "", list.length > 2 ? out : ""));
    });
    const list0 = () => at(this.file.values, path) ?? [];
    const start = this.starts(key, path, id, `Give it ${a(label)}`);
    const whole = this.leavesOut(path, label, id);
    const table = make("table", {}, make("thead", {}, make("tr", {}, make("th", { scope: "col" }, "at"), make("th", { scope: "col" }, size), make("td", {}))), make("tbody", {}, ...rows));
    const group = make("div", { class: "row stations", role: "group", "aria-label": label, id, tabindex: -1 }, make("p", { class: "label" }, label), make("p", { class: "hint small" }, ...marked(key.says)), list.length ? table : make("p", {}, start), list.length && !key.needed ? make("p", {}, whole) : "");
    group.dataset.key = dotted(path);
    return group;
  }
}

/** Shapes of keys whose fields are as many as the file has entries. */
const LISTS = ["stations", "tabs", "point", "points"];
const SIDES = { shape: "choice", words: [["left", ""], ["right", ""]], needed: true };
const SIDEWAYS = ["along", "across"];
const isPoint = (value) => Array.isArray(value) && value.length === 2 && value.every((part) => typeof part === "string");
const a = (word) => `${/^[aeiou]/.test(word) ? "an" : "a"} ${word}`;

/** What a size may become: a length or an angle as it is written, or a share of what is asked. */
const GIVEN = { shape: "figure", unit: "%", units: [["%", 1], ...LENGTH.units, ["deg", 1], ["degree", 1], ["degrees", 1], ["°", 1]], least: 0, most: 1000 };

/** The paths of what may change, however they are written. */
function givesOf(values, above = []) {
  return Object.entries(values ?? {}).flatMap(([name, value]) => {
    const path = [...above, name];
    const leads = value && typeof value === "object" && !("least" in value || "most" in value || "weight" in value || "=" in value);
    return leads ? givesOf(value, path) : [path];
  });
}
