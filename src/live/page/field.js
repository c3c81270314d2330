// One field of the form: what it shows of the file, and what it sends of what is typed or stepped.

import { at, clamped, like, read, shown, stepped, worth } from "./figure.js";
import { make } from "./notes.js";

/** What stands in an empty field; the hint has what doesn't fit. */
const placed = (usual, long) => (long || usual.length <= 14 ? usual : "left out");

/** The unit that a file mostly has, of those that a key may be in. */
export function spoken(values, key) {
  const all = JSON.stringify(values);
  const count = (unit) => all.split(` ${unit}"`).length - 1;
  const [first] = key.units.map(([unit]) => unit).sort((a, b) => count(b) - count(a));
  return count(first) ? first : key.unit;
}

/** What a field sends for its text. */
function sends(form, key, path, text, told) {
  const number = key.shape === "figure" && !key.unit ? read(text, []) : null;
  if (key.shape === "figure" && !key.unit && text.trim() && !number) {
    told.textContent = `“${text.trim()}” is no number.`;
    return;
  }
  const to = text.trim() === "" ? { nothing: null } : number ? { written: String(number.number) } : key.shape === "written" ? { written: text.trim() } : { text };
  form.edit([{ path, to }], (says) => (told.textContent = says ?? ""), form.typing?.since);
}

/** A field for a key; `form.fields` has what shows the file's value in it. */
export function field(form, key, path, id) {
  const now = () => shown(at(form.file.values, path));
  if (key.shape === "choice" || key.shape === "flag") return choice(form, key, path, id, now);
  const long = key.shape === "written";
  const box = make(long ? "textarea" : "input", {
    id, autocomplete: "off", spellcheck: "false", rows: long ? 2 : null,
    class: long ? "code" : key.shape === "text" ? "long" : null,
    placeholder: placed(key.usual ?? key.left_out ?? "", long),
    required: key.needed,
  });
  let sent = null;
  const send = (text) => {
    sent = text;
    sends(form, key, path, text, box.told);
  };
  // A bare number has the unit that stood there before, or that the file mostly has.
  let unit = null;
  const whole = (typed) => {
    // An inch mark, straight or curled, is written as the word: it would have to be escaped in the file.
    const text = key.shape === "figure" ? typed.replace(/\s*(["″”“]|''|’’)\s*$/, " in") : typed;
    const figure = key.shape === "figure" && key.unit && read(text, key.units);
    if (!figure || figure.unit) return text;
    return `${text.trim()} ${unit ?? spoken(form.file.values, key)}`;
  };
  // What is being typed is not written over, not even when the form is drawn anew under the hand.
  const typing = (text) => {
    const { since, before } = dirty() ? form.typing : { since: form.revision(), before: now() };
    form.typing = text === null ? null : { id, text, since, before, long: key.shape === "text" };
  };
  const dirty = () => form.typing?.id === id;
  if (dirty()) box.value = form.typing.text;
  box.addEventListener("focus", () => form.begin());
  box.addEventListener("input", () => {
    typing(box.value);
    const text = whole(box.value);
    if (key.shape === "figure" && read(text, key.units)) send(text);
  });
  box.addEventListener("change", () => {
    const text = whole(box.value);
    // Often it was sent while it was typed.
    if (text !== now() && text !== sent) send(text);
    if (box.isConnected) typing(null);
    sent = null;
  });
  box.addEventListener("blur", () => {
    if (!box.isConnected) return;
    typing(null);
    // What can't be taken stays, to be mended.
    if (!(long && box.told.textContent)) box.value = now();
  });
  box.addEventListener("keydown", (event) => {
    if (event.key === "Escape") {
      const before = dirty() ? form.typing.before : null;
      typing(null);
      box.told.textContent = "";
      box.value = before ?? now();
      if (before !== null && before !== now()) send(before);
    }
    const times = { ArrowUp: 1, ArrowDown: -1 }[event.key];
    if (key.shape !== "figure" || !times || event.altKey) return;
    const model = read(box.value || (key.usual ?? ""), key.units);
    if (!model) return;
    event.preventDefault();
    if (!model.unit && key.unit) model.unit = key.unit;
    box.value = like(model, clamped(key, model, stepped(model, key.whole, times * (event.shiftKey ? 10 : 1))));
    typing(null);
    send(box.value);
  });
  form.fields.push(() => {
    unit = (key.shape === "figure" && key.unit && read(now(), key.units)?.unit) || unit;
    if (!dirty() && box.value !== now() && !(long && box.told?.textContent)) box.value = now();
    if (long) box.rows = Math.min(8, Math.max(1, Math.ceil(box.value.length / 44)));
  });
  return box;
}

/** What a choice is when it is left out, as its options have it. */
function spokenWord(key) {
  const left = key.left_out ?? key.usual ?? "";
  return key.shape === "flag" ? key.words.find(([name]) => name === left)?.[1] ?? left : left;
}

function choice(form, key, path, id, now) {
  const options = key.words.map(([name, says]) => make("option", { value: name }, key.shape === "flag" ? says : name));
  if (!key.needed) options.unshift(make("option", { value: "" }, `left out: ${spokenWord(key)}`));
  const box = make("select", { id }, ...options);
  const says = make("span", {});
  box.says = says;
  const said = () => {
    const words = key.words.find(([name]) => name === box.value)?.[1] ?? "";
    says.textContent = words && key.shape !== "flag" ? ` Now: ${words.replace(/\.$/, "").replace(/^([A-Z])(?![A-Z])/, (c) => c.toLowerCase())}.` : "";
  };
  box.addEventListener("change", () => {
    form.begin();
    if (path.join(".") === "utensil.kind") return form.kind(box.value);
    const to = key.shape === "flag" ? { written: box.value } : { text: box.value };
    form.edit([{ path, to: box.value === "" ? { nothing: null } : to }]);
  });
  form.fields.push(() => {
    const value = now();
    if (![...box.options].some((option) => option.value === value)) box.add(new Option(value, value));
    box.value = value;
    said();
  });
  return box;
}

/** A figure in the unit that the file mostly has, for a hint. */
function inUnit(key, figure, unit) {
  if (!unit || unit === key.unit) return String(figure);
  const size = (figure * worth(key.unit, key.units)) / worth(unit, key.units);
  return String(Number(size.toPrecision(3)));
}

/** From where to where a figure may go, and what holds when it is left out. */
export function range(values, key) {
  const unit = key.unit ? spoken(values, key) : "";
  const left = key.usual ?? key.left_out;
  return `${inUnit(key, key.least, unit)} to ${inUnit(key, key.most, unit)}${unit ? ` ${unit}` : ""}${left && !key.needed ? `; left out: ${left}` : ""}`;
}

/** An example as it is written in a file, in the unit that the file mostly has. */
export function spokenExample(values, example) {
  const unit = spoken(values, LENGTH);
  if (worth(unit, LENGTH.units) !== 25.4) return example;
  return example.replaceAll(/"(-?[\d.]+) mm"/g, (_, mm) => `"${like({ unit, fraction: false }, Math.round((Number(mm) / 25.4) * 16) / 16)}"`);
}

const LENGTHS = [["mm", 1], ["cm", 10], ["inches", 25.4], ["inch", 25.4], ["in", 25.4], ["\"", 25.4], ["″", 25.4]];
export const LENGTH = { shape: "figure", unit: "mm", units: LENGTHS, least: -10000, most: 10000, needed: true, says: "" };
export const PERCENT = { shape: "figure", unit: "%", units: [["%", 1]], least: 0, most: 100, needed: true, says: "" };
