// Figures with their units, as the files have them: read, stepped, and written again in the way
// they were written before.

const NUMBER = /^\s*(-?)\s*(?:(\d+)\s*[-\s]\s*(\d+)\s*\/\s*(\d+)|(\d+)\s*\/\s*(\d+)|(\d+\.?\d*|\.\d+))\s*(.*?)\s*$/;

/** A figure of a text, or null: its number in the text's own unit, the unit, and how it is written. */
export function read(text, units) {
  const found = NUMBER.exec(text);
  if (!found) return null;
  const [, sign, whole, over, under, over1, under1, plain, unit] = found;
  const below = Number(under ?? under1 ?? 1);
  if (!below) return null;
  const size = plain !== undefined ? Number(plain) : Number(whole ?? 0) + Number(over ?? over1) / below;
  const known = units.length === 0 ? unit === "" : unit === "" || units.some(([name]) => name === unit);
  if (!known || !Number.isFinite(size)) return null;
  return { number: sign ? -size : size, unit, fraction: plain === undefined };
}

/** How much of the figure's own unit one of a text's unit is. */
export const worth = (unit, units) => units.find(([name]) => name === unit)?.[1] ?? 1;

const places = (value, many) => String(Number(value.toFixed(many)));

/** Inches in a fraction, to the nearest 64th. */
function fraction(value) {
  let over = Math.round(Math.abs(value) * 64), under = 64;
  const sign = value < 0 && over ? "-" : "";
  while (under > 1 && over % 2 === 0) [over, under] = [over / 2, under / 2];
  const whole = Math.floor(over / under);
  const rest = over % under;
  if (!rest) return `${sign}${whole}`;
  return whole ? `${sign}${whole}-${rest}/${under}` : `${sign}${rest}/${under}`;
}

/** A number written as another was: the same unit, and in fractions where that was one. */
export function like(model, number) {
  if (model.unit === "") return places(number, 3);
  const inches = ["in", "inch", "inches", "\"", "″"].includes(model.unit);
  const text = model.fraction ? fraction(number) : places(number, inches ? 3 : 2);
  return `${text} ${model.unit}`;
}

/** What one press of an arrow key adds, in the text's own unit. */
export function step(model, whole) {
  if (whole) return 1;
  if (model.fraction) return 1 / 64;
  return { "": 0.1, mm: 0.5, cm: 0.05, in: 0.01, inch: 0.01, inches: 0.01, "\"": 0.01, "%": 1, deg: 0.5, "mm/min": 50, "in/min": 5, rpm: 500, min: 5, h: 0.5 }[model.unit] ?? 1;
}

/** A number on the next multiple of a step, up or down. */
export function stepped(model, whole, times) {
  const by = step(model, whole);
  return Math.round((model.number + by * times) / by) * by;
}

/** A number within what a key allows; the key's bounds are in the key's own unit. */
export function clamped(key, model, number) {
  const by = worth(model.unit, key.units ?? []) / worth(key.unit, key.units ?? []);
  return Math.min(Math.max(number, (key.least ?? -Infinity) / by), (key.most ?? Infinity) / by);
}

/** A value as TOML. */
export function toml(value) {
  if (typeof value === "string") return JSON.stringify(value);
  if (Array.isArray(value)) return `[${value.map(toml).join(", ")}]`;
  if (value && typeof value === "object") {
    if ("=" in value) return value["="];
    const key = (name) => (/^[A-Za-z0-9_-]+$/.test(name) ? name : JSON.stringify(name));
    return `{ ${Object.entries(value).map(([name, one]) => `${key(name)} = ${toml(one)}`).join(", ")} }`;
  }
  return "";
}

/** A value as a field shows it. */
export const shown = (value) =>
  value === undefined || value === null ? "" : typeof value === "string" ? value : toml(value);

/** The value at a path. */
export const at = (values, path) => path.reduce((value, key) => value?.[key], values);

/** A path as findings name it. */
export const dotted = (path) =>
  path.reduce((said, key) => (typeof key === "number" ? `${said}[${key}]` : said ? `${said}.${key}` : key), "");
