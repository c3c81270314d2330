// The page: what is shown of which file, and what every part is told.

import { LENGTH, PERCENT } from "./field.js";
import { Form } from "./form.js";
import { at, step as stepOf, worth } from "./figure.js";
import { Lines } from "./lines.js";
import { Hand, ahead } from "./made.js";
import { checks, findings, make, open, sizes, text as spoken } from "./notes.js";
import { Picture } from "./picture.js";
import { get, listen, post } from "./talk.js";

const $ = (id) => document.getElementById(id);
const picture = new Picture($("picture"));
$("no-picture").hidden = Boolean(picture.gl);
$("picture").hidden = !picture.gl;

let forms = null, state = null, made = null, file = 0, view = "piece", drawn = "";

const hand = new Hand({
  state: (now) => {
    state = now;
    showState();
  },
  made: (now) => {
    const before = made;
    // One piece of several: what is said of all stays until the rules have looked.
    made = now.only !== null && before ? { ...now, findings: before.findings, checks: before.checks, pieces: before.pieces.map((old) => now.pieces.find((one) => one.file === old.file) ?? old), lines: now.lines } : now;
    if (!now.stale || !picture.pieces.size) picture.show(now.pieces, now.only !== null);
    showMade();
  },
  yours: (places, again, drop) => tell(`yours ${places}`, `${places.map((place) => place || "The file").join(", ")} was changed by another page or an editor meanwhile.`,
    ["Take theirs", () => {
      drop();
      form.typing = null;
      form.drawn = null;
    }],
    ["Use mine", () => {
      if (form.typing) form.typing.since = hand.revision;
      again();
    }]),
  refused: (says, about = says) => tell(about, says),
});

/** Says something at the top, with what can be done about it, in place of what was said about the same;
 *  anything else that waits for an answer goes on waiting. */
function tell(about, says, ...acts) {
  const held = document.activeElement;
  const done = (act) => () => {
    untell(about);
    act();
    form.drawn = null;
    showState();
    (document.getElementById(held.id) ?? (held.isConnected ? held : $("form"))).focus();
  };
  const buttons = (acts.length ? acts : [["Good", () => {}]]).map(([word, act]) => make("button", { type: "button", click: done(act) }, word));
  untell(about);
  $("told").append(make("div", { "data-about": about }, make("p", {}, says), make("p", { class: "acts" }, ...buttons)));
  $("told").hidden = false;
}

/** What was said of something has passed. */
function untell(about) {
  [...$("told").children].find((one) => one.dataset.about === about)?.remove();
  $("told").hidden = !$("told").children.length;
}

/** A button that can't be used now; the hand isn't left on it. */
function off(button, is) {
  if (is && !button.disabled && button === document.activeElement) $("saved").focus();
  button.disabled = is;
}

const form = new Form($("form"), {
  begin: () => hand.begin(),
  edit: (settings, then, since) => {
    hand.edit(file, settings, then, since);
    // The field goes on showing it until the answer is there.
    ahead(state, { file, settings });
    looking();
  },
  whole: (text, then, since) => hand.text(file, text, then, since),
});
form.revision = () => hand.revision;
form.cautions = () => {
  const said = made?.findings.filter((one) => one.severity === "caution" && !one.accepted && (one.piece === null || one.piece === file)) ?? [];
  return [...new Set(said.map((one) => one.code))].sort();
};

const designs = () => state.files.filter((one) => one.source === "design");
const design = () => (state.files[file].source === "design" ? file : 0);

const lines = new Lines($("lines-drawn"), {
  begin: () => hand.begin(),
  since: () => hand.revision,
  move: (list, index, to, since) => {
    const settings = Object.entries(to).map(([name, text]) => ({ path: [...list.split("."), index, name], to: { text } }));
    hand.edit(design(), settings, undefined, since);
    // Before the answer is there, so that the next step goes on from here.
    ahead(state, { file: design(), settings });
    looking();
  },
});

/** The last lines that could be drawn, by design. */
const lasting = {};
const nameOf = (one) => one.values?.utensil?.name ?? one.path;

function showState() {
  const one = state.files[file];
  const unsaved = state.files.filter((one) => one.unsaved).length;
  const waits = hand.ended && hand.waiting.length > 0;
  off($("undo"), !state.undo);
  off($("redo"), !state.redo);
  off($("save"), !unsaved && !waits);
  $("saved").textContent = waits ? "What you changed last hasn’t reached the tool" : unsaved ? `${unsaved === 1 ? "1 file has" : `${unsaved} files have`} changes that aren’t saved` : "All is saved";
  $("name").textContent = nameOf(state.files[design()]);
  $("kind").textContent = state.files[design()].values?.utensil?.kind ?? "design";
  document.title = `${unsaved ? "• " : ""}${nameOf(state.files[design()])} – treenwright`;
  picture.choose(one.source === "design" && designs().length > 1 ? file : null);
  const names = JSON.stringify([file, state.files.map((one) => [nameOf(one), one.unsaved])]);
  if (names !== showState.names) {
    showState.names = names;
    const held = $("files").contains(document.activeElement);
    $("files").replaceChildren(...state.files.map((one, index) => {
      const says = one.source === "design" ? nameOf(one) : one.source;
      const tab = make("button", { type: "button", role: "tab", id: `file-${index}`, "aria-controls": "form", "aria-selected": String(index === file), tabindex: index === file ? null : -1, click: () => turnTo(index) }, says, one.unsaved ? make("span", { class: "mark", title: "not saved" }, " •") : "");
      return tab;
    }));
    if (held) $(`file-${file}`).focus();
  }
  $("form").setAttribute("aria-label", `${one.source} file, ${one.path}`);
  form.show(forms.find((form) => form.file === one.source), one);
  const clash = state.files.findIndex((one) => one.clash);
  const number = clash >= 0 ? `${clash} ${state.files[clash].clash}` : "";
  if (clash >= 0 && showState.clash !== number) {
    const { path, clash_at: places } = state.files[clash];
    const where = (places ?? []).slice(0, 4).map(([at, theirs, here]) => `${at} is ${theirs ?? "left out"} in the file and ${here ?? "left out"} here`).join("; ");
    tell("clash", `${path} was changed outside this page, where you have changes that aren’t saved${where ? `: ${where}` : ""}.`, ["Take the whole file as it is", () => choose(clash, true, state.files[clash].clash)], ["Keep what is here", () => choose(clash, false, state.files[clash].clash)]);
  } else if (clash < 0) untell("clash");
  showState.clash = number;
  $("printed").textContent = state.files.map(({ path }) => path.split(/[\\/]/).at(-1)).join(", ");
  looking();
  showLines();
  packing();
}

/** Asks the server for something; nothing comes back when the tool has ended. */
const ask = (where, message) => post(where, message).catch(() => hand.end());

async function choose(file, disk, shown) {
  const answer = await ask("choose", { file, disk, shown });
  if (!answer) return;
  // One that came meanwhile is shown, too.
  showState.clash = "";
  hand.heard(await answer.json());
  showState();
}

function turnTo(index) {
  file = index;
  showState();
  showMade();
}

/** Leads to the field of a key, or what holds it. */
function go(where, key, line) {
  if (where !== null && where !== file) turnTo(where);
  let path = key ?? "";
  const there = () => document.getElementById(`field-${path}`) ?? document.getElementById(`table-${path}`);
  while (path && !there()) {
    path = path.slice(0, Math.max(path.lastIndexOf("."), path.lastIndexOf("["), 0));
  }
  const field = there() ?? $("form");
  const text = document.getElementById("file-text");
  if (line && text && field === $("form")) return goToLine(text, line);
  if (field.matches("details")) field.open = true;
  for (let above = field.closest("details"); above; above = above.parentElement.closest("details")) above.open = true;
  const held = field.matches("details") ? field.querySelector("summary") : field.querySelector(".cell, td input, td select") ?? field;
  if (!held.matches("input,select,textarea,summary,[tabindex]")) held.tabIndex = -1;
  field.scrollIntoView({ block: "center", behavior: matchMedia("(prefers-reduced-motion: reduce)").matches ? "auto" : "smooth" });
  held.focus({ preventScroll: true });
}

/** Marks a line of the file as text. */
function goToLine(text, line) {
  text.closest("details").open = true;
  const before = text.value.split("\n").slice(0, line - 1).join("\n").length + (line > 1 ? 1 : 0);
  text.focus();
  text.setSelectionRange(before, before + (text.value.split("\n")[line - 1]?.length ?? 0));
  text.scrollTop = text.scrollHeight * Math.max(0, (line - 4) / text.value.split("\n").length);
}

function showMade() {
  if (!made || !state) return;
  const names = designs().map(nameOf);
  findings($("findings"), made, names, go);
  sizes($("sizes"), made, made.pieces.find((one) => one.file === design()) ?? made.pieces[0], go);
  $("stale").hidden = !made.stale || !picture.pieces.size;
  const wrong = made.findings.filter((one) => one.file === file && one.severity === "fault" && one.key);
  for (const row of $("form").querySelectorAll(".row")) saidAt(row, wrong);
  looking();
  const many = (count, one) => `${count} ${one}${count === 1 ? "" : "s"}`;
  const faults = made.findings.filter((one) => one.severity === "fault").length;
  const cautions = made.findings.filter((one) => one.severity === "caution" && !one.accepted).length;
  form.again();
  brief();
  $("sizes-title").textContent = names.length > 1 ? `Asked and measured: ${nameOf(state.files[design()])}` : "Asked and measured";
  // What was said of an older state is not left to stand.
  $("status").textContent = made.stage !== "whole" ? "" : `${many(faults, "fault")}, ${many(cautions, "caution")}`;
  showLines();
  showView();
}

/** What is wrong with a field stands under it, too. */
function saidAt(row, wrong) {
  const { key } = row.dataset;
  const here = wrong.filter((one) => one.key === key || ["[", "."].some((next) => one.key.startsWith(key + next)));
  row.classList.toggle("wrong", here.length > 0);
  row.querySelector("input,select,textarea")?.setAttribute("aria-invalid", String(here.length > 0));
  let note = row.querySelector(":scope > .note");
  const says = here.map(({ message }) => message).join(" ");
  if (!says) return note?.remove();
  if (!note) row.append((note = make("p", { class: "note small" })));
  if (note.dataset.says !== says) {
    note.dataset.says = says;
    note.replaceChildren(...spoken(says));
  }
}

/** Whether the notes are those of the files as they are shown. */
function looking() {
  const still = !made || made.stage !== "whole" || made.revision !== hand.revision || hand.busy || hand.waiting.length > 0;
  $("looking").hidden = !still || hand.ended;
  for (const told of [$("findings"), $("brief")]) told.classList.toggle("old", Boolean(made) && still);
}

/** The gravest of the notes, at the picture's foot. */
function brief() {
  const all = open(made);
  const [first] = all;
  $("brief").hidden = !first && made.stage !== "whole";
  $("brief").classList.toggle("fault", first?.severity === "fault");
  if (!first) return $("brief").replaceChildren("Nothing to say against it");
  const more = all.length > 1 ? ` (and ${all.length - 1} more)` : "";
  // A message that begins with a key alone doesn't say whose.
  const whose = first.key && first.message.startsWith("`") ? `${first.key.split(/[._]/).slice(0, -1).join(" ")}: ` : "";
  $("brief").replaceChildren(make("span", { class: "severity" }, first.severity), ` ${whose}${first.message.replaceAll("`", "")}${more}`);
}

function showLines() {
  if (!made || !state || view !== "piece") return;
  const { values } = state.files[design()];
  const handle = values?.handle;
  // While a size is too much for the shape, the lines stay as they were, with their points.
  const drawn = (lasting[design()] = made.lines[design()] ?? lasting[design()]);
  lines.show(handle && drawn, (list) => {
    const stations = at(values, list.split("."));
    return Array.isArray(stations) ? stations : [];
  }, {
    size: LENGTH.units, at: PERCENT.units, step: (model) => stepOf(model, false), worth: (unit) => worth(unit, LENGTH.units),
  });
  $("lines").hidden = !(handle && drawn);
  const head = values?.blade ? "blade" : "bowl";
  $("to-head").textContent = head;
  $("to-head").href = `#table-${head}`;
}

/** The open view, if what it shows is no longer what was made. */
function showView() {
  if (view === "checks") return checks($("view-checks"), made);
  const wants = { drawing: "fine", board: "whole" }[view];
  if (!wants || made.stage === "coarse") return;
  const key = JSON.stringify([view, made.revision, made.stage, design()]);
  if (key === drawn || (wants === "whole" && made.stage !== "whole")) return;
  drawn = key;
  if (view === "drawing") {
    drawings($("view-drawing"), key, [["Plan and section", `drawing/views/${design()}`], ["Cross-sections", `drawing/sections/${design()}`]]);
  } else {
    drawings($("view-board"), key, [["The board from above", "drawing/board/0"], ["Setup 1, top up", "drawing/top/0"], ["Setup 2, bottom up", "drawing/bottom/0"]]);
  }
}

async function drawings(into, key, all) {
  const parts = await Promise.all(all.map(async ([title, where]) => {
    const answer = await get(where).catch(() => null);
    if (answer?.status !== 200) return null;
    const svg = new DOMParser().parseFromString(await answer.text(), "image/svg+xml").documentElement;
    const paper = make("div", { class: `paper ${svg.localName === "g" ? "several" : ""}`, tabindex: 0, role: "group", "aria-label": title });
    paper.append(...(svg.localName === "g" ? svg.children : [document.importNode(svg, true)]));
    return [make("h2", {}, title), paper];
  }));
  if (key !== drawn) return;
  const there = parts.filter(Boolean).flat();
  into.replaceChildren(...(there.length ? there : [make("p", {}, "There is no drawing while the files have faults: see the notes.")]));
}

/** Tabs are gone through with the arrow keys. */
function tabs(list, choose) {
  list.addEventListener("keydown", (event) => {
    const all = [...list.querySelectorAll("[role=tab]")];
    const at = all.indexOf(document.activeElement);
    const to = { ArrowRight: at + 1, ArrowLeft: at - 1, Home: 0, End: all.length - 1 }[event.key];
    if (to === undefined || at < 0) return;
    event.preventDefault();
    choose(all.at(to % all.length));
    list.querySelector("[aria-selected=true]").focus();
  });
}

function turnView(tab) {
  view = tab.id.slice("tab-".length);
  if (view !== "piece") $("lines").hidden = true;
  for (const one of $("views").children) {
    const chosen = one === tab;
    one.setAttribute("aria-selected", String(chosen));
    one.tabIndex = chosen ? 0 : -1;
    $(one.getAttribute("aria-controls")).hidden = !chosen;
  }
  drawn = "";
  const into = $(tab.getAttribute("aria-controls"));
  if (["drawing", "board"].includes(view) && !into.children.length) into.replaceChildren(make("p", { class: "small" }, "It is being drawn …"));
  showMade();
}
$("brief").addEventListener("click", () => $("notes").scrollIntoView({ block: "start" }));
addEventListener("beforeprint", () => picture.draw());
for (const tab of $("views").children) tab.addEventListener("click", () => turnView(tab));
tabs($("views"), turnView);
tabs($("files"), (tab) => tab.click());
for (const button of document.querySelectorAll("[data-seen]")) button.addEventListener("click", () => picture.look(button.dataset.seen));

function step(back) {
  // What is being typed in a field is taken back with the rest.
  form.typing = null;
  hand.step(back);
}

async function save() {
  // A field that is left sends what was typed; the hand comes back to it.
  const held = document.activeElement;
  held?.blur?.();
  if (held !== $("save")) held?.focus?.({ preventScroll: true });
  await hand.sent();
  const answer = await ask("save", {});
  if (!answer) return;
  const said = await answer.json();
  hand.heard(said.state ?? said);
  if (said.not === "written") tell("save", `${said.says} ${said.to_do}`);
  else if (!answer.ok) {
    showState.clash = "";
    showState();
  } else $("status").textContent = "Saved";
}
$("undo").addEventListener("click", () => step(true));
$("redo").addEventListener("click", () => step(false));
$("save").addEventListener("click", save);
document.addEventListener("keydown", (event) => {
  if (!(event.ctrlKey || event.metaKey) || event.target.id === "file-text") return;
  const key = event.key.toLowerCase();
  // A text that is being typed has its own way back.
  if (key === "z" && form.typing?.long && event.target.id === form.typing.id) return;
  const does = key === "s" ? save : key === "z" ? () => step(!event.shiftKey) : key === "y" ? () => step(false) : null;
  if (!does) return;
  event.preventDefault();
  does();
});
addEventListener("beforeunload", (event) => {
  if (hand.waiting.length || hand.busy) event.preventDefault();
});

$("packet").addEventListener("submit", async (event) => {
  event.preventDefault();
  // What was said of the last one is not about this one.
  $("packing").replaceChildren();
  packing.key = null;
  await hand.sent();
  const answer = await post("packet", { folder: $("folder").value, date: $("date").value, use_spare: $("use-spare").checked }).catch(() => null);
  if (answer?.ok) return;
  const says = answer?.status === 409 ? "A packet is being made." : answer ? "The tool did not take this: look at the folder and the date." : "The tool doesn’t answer. Nothing was written.";
  $("packing").replaceChildren(make("p", { class: "message" }, says));
});

function packing() {
  const { packing: how } = state;
  const several = designs().length > 1;
  const folder = `${several ? "set" : nameOf(state.files[0]).toLowerCase().replaceAll(/[^a-z0-9]+/g, "-")}-packet`;
  // It follows the name until it is another's.
  if ($("folder").value === (packing.folder ?? "")) $("folder").value = packing.folder = folder;
  const held = $("make") === document.activeElement;
  if (held && how?.busy) packing.held = true;
  off($("make"), Boolean(how?.busy));
  if (packing.held && !how?.busy) {
    packing.held = false;
    if (document.activeElement === $("saved")) $("make").focus();
  }
  const old = how?.revision !== undefined && how.revision !== hand.revision;
  const key = JSON.stringify([how, old, state.files.some((one) => one.unsaved)]);
  if (key === packing.key) return;
  packing.key = key;
  const said = !how ? [] : how.busy ? [make("progress", { "aria-label": "Making the packet" }), make("p", {}, `${how.busy} …`)]
    : how.refused ? [make("p", { class: "message" }, how.refused), make("p", {}, how.to_do)]
    : [make("p", { class: "message" }, `Wrote ${how.files} files to`, " ", make("code", {}, how.folder)), how.left ? make("p", {}, how.left) : "",
      make("p", {}, make("a", { href: "sheet", target: "_blank", rel: "noopener" }, "Open the job sheet"), " in a new tab"),
      old ? make("p", { class: "message" }, "The files were changed since. To have that in the packet, make it anew.")
        : state.files.some((one) => one.unsaved) ? make("p", { class: "small" }, "It was made of what this page shows. Some of that isn’t saved yet.") : ""];
  $("packing").replaceChildren(...said);
}

forms = await (await get("form")).json();
listen((now) => hand.heard(now), (gone) => {
  if (gone && !listen.gone) hand.end();
  listen.gone = gone;
  if (!gone && hand.ended) {
    hand.ended = false;
    untell("ended");
    showState();
    hand.next();
  }
});
globalThis.treenwright = { laps: hand.laps };
