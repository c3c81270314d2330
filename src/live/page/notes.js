// What there is to say of the files, each a link to its field; what was asked for and measured; the
// table of the checks.

export const make = (name, attributes = {}, ...content) => {
  const element = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (typeof value === "function") element.addEventListener(key, value);
    else if (value !== null && value !== undefined && value !== false) element.setAttribute(key, value === true ? "" : value);
  }
  element.append(...content);
  return element;
};

/** A text with what stands between backticks as code, or as a link where `go` knows the field. */
export const text = (said, go) => said.split("`").map((part, index) => {
  if (!(index % 2)) return part;
  const to = go && document.getElementById(`field-${part}`);
  return to ? make("button", { type: "button", class: "link code", click: () => go(null, part) }, part) : make("code", {}, part);
});

/** A key with its entries counted from one, as the form counts them. */
const counted = (key) => key.replaceAll(/\[(\d+)\]\.?/g, (all, index) => ` ${Number(index) + 1}${all.endsWith(".") ? ": " : ""}`);

/** What is to be said and not accepted, the gravest first. */
export const open = (made) => {
  const rank = { fault: 0, caution: 1 };
  return made.findings.filter((one) => !one.accepted).sort((a, b) => rank[a.severity] - rank[b.severity]);
};

/** The findings; `go(file, key)` leads to a field. */
export function findings(into, made, names, go) {
  const unfolded = new Set([...into.querySelectorAll("details[open]")].map((one) => one.dataset.code));
  const all = open(made);
  const cards = all.map((one) => {
    const named = one.file === null ? "" : one.key ? counted(one.key) : `the ${one.source} file`;
    const where = named && one.line ? `${named}, line ${one.line}` : named;
    const more = make("details", { "data-code": one.code, open: unfolded.has(one.code) }, make("summary", {}, one.code), make("p", { class: "small" }, ...text(one.explain)));
    return make("li", { class: `finding ${one.severity}` },
      make("p", { class: "message" }, make("span", { class: "severity" }, one.severity), " ", ...text(one.message)),
      one.piece !== null && names.length > 1 ? make("p", { class: "small" }, names[one.piece] ?? "") : "",
      one.help ? make("p", { class: "help" }, ...text(one.help, go)) : "",
      where ? make("p", {}, make("button", { type: "button", class: "link", click: () => go(one.file, one.key, one.line) }, where)) : "",
      more);
  });
  const accepted = made.findings.length - all.length;
  const calm = made.stage === "whole" ? "Nothing to say against it." : "";
  into.replaceChildren(
    all.length ? make("ul", { class: "cards" }, ...cards) : make("p", { class: "small" }, calm),
    accepted ? make("p", { class: "small" }, `${accepted} accepted, as the design file says.`) : "",
  );
}

const table = (head, rows, kind) =>
  make("table", { class: kind }, make("thead", {}, make("tr", {}, ...head.map((one) => make("th", { scope: "col" }, one)))), make("tbody", {}, ...rows));

/** Sizes asked for and measured; `go` as above. */
export function sizes(into, made, piece, go) {
  if (!piece) return into.replaceChildren(make("p", { class: "small" }, "Nothing could be measured yet."));
  const { coarse } = piece;
  const rows = piece.sizes.map(({ what, key, asked, measured, off }) =>
    make("tr", { class: off && !coarse ? "off" : "" },
      make("th", { scope: "row" }, make("button", { type: "button", class: "link", click: () => go(piece.file, key) }, what.replaceAll(/ (?=%)|(?<=at) /g, "\u00a0"))),
      make("td", {}, asked), make("td", { class: coarse ? "rough" : "" }, measured)));
  const also = piece.figures.map(([what, value]) => make("div", {}, make("dt", {}, what), make("dd", {}, value)));
  const changes = piece.changes.map(([key, from, to, limit]) => make("tr", {},
    make("th", { scope: "row" }, make("button", { type: "button", class: "link", click: () => go(piece.file, `give.${key}`) }, key.replaceAll(/[._]/g, " "))),
    make("td", {}, from), make("td", {}, to), make("td", {}, limit)));
  into.replaceChildren(
    table(["size", "asked", "measured"], rows, "numbers"),
    make("dl", { class: "list" }, ...also),
    ...(changes.length ? [make("h3", {}, "Changed to fit the board"), table(["size", "asked", "made", "limit"], changes, "numbers changes")] : []),
    make("p", { class: "small coarse" }, !coarse ? "" : made.stale ? "Coarse, and as before the last change." : "Coarse; the exact figures follow."),
  );
}

/** The table of the checks. */
export function checks(into, made) {
  const parts = made.checks.flatMap((piece) => {
    const rows = piece.rules.map(({ rule, verdict, says }) =>
      make("tr", { class: verdict }, make("th", { scope: "row" }, rule), make("td", {}, verdict), make("td", {}, ...text(says))));
    return [made.checks.length > 1 ? make("h2", {}, piece.name) : "", table(["rule", "verdict", "figures"], rows, "rules")];
  });
  into.replaceChildren(
    make("h2", {}, "What the checks say"),
    ...(made.checks.length ? parts : [make("p", {}, "Nothing could be checked: see the notes.")]),
    make("p", { class: "small" }, made.stage === "whole" ? "Strength, time and the like are estimates for sound, straight grain. A job without cautions still needs your own eye." : "The slow rules are still looking."),
  );
}
