// A plain board in place of the example's: no flaws, and a reading near each corner.

import { LENGTH } from "./field.js";
import { like, read, toml, worth } from "./figure.js";

/** Readings are taken so far from the edges, in mm, as far as the board is large enough. */
const INSET = 25;
const FLAWS = ["knot", "check", "wane", "grain"];

/** The changes that make a board plain, as thick everywhere as its thinnest reading; none if its size can't be read. */
export function plain(values) {
  const size = (text) => read(text ?? "", LENGTH.units);
  const sides = [size(values.board?.length), size(values.board?.width)];
  const readings = values.reading ?? [];
  const mm = (model) => model.number * worth(model.unit || "mm", LENGTH.units);
  const known = readings.map((one) => [one.thickness, size(one.thickness)]).filter(([, model]) => model);
  const [thin] = known.sort(([, a], [, b]) => mm(a) - mm(b))[0] ?? [];
  if (sides.includes(null) || !thin) return null;
  const places = sides.map((side) => {
    const inset = Math.min(INSET / worth(side.unit || "mm", LENGTH.units), side.number / 6);
    return [inset, side.number - inset].map((number) => like(side, number));
  });
  const corners = places[1].flatMap((across) => places[0].map((along) => [along, across]));
  const set = (index, name, to) => ({ path: ["reading", index, name], to });
  const settings = corners.flatMap((corner, index) => (index < readings.length
    ? [set(index, "at", { written: toml(corner) }), set(index, "thickness", { text: thin })]
    : [{ path: ["reading"], to: { more: `at = ${toml(corner)}\nthickness = ${toml(thin)}` } }]));
  const spare = readings.map((_, index) => index).slice(corners.length).reverse();
  return [
    ...settings,
    ...spare.map((index) => ({ path: ["reading", index], to: { nothing: null } })),
    ...FLAWS.filter((name) => values[name]).map((name) => ({ path: [name], to: { nothing: null } })),
  ];
}
