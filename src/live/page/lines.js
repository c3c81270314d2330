// The piece's lines over its side view and its plan, with a point to move for each station.

import { like, read } from "./figure.js";
import { make as element } from "./notes.js";

const SVG = "http://www.w3.org/2000/svg";
const LISTS = {
  curve: { size: "rise", says: "Curve", mark: "M0,-5.5 L5.5,0 L0,5.5 L-5.5,0 Z", per: 1 },
  thickness: { size: "size", says: "Thickness", mark: "M-5,4 L0,-5.5 L5,4 Z", per: 2 },
  sway: { size: "shift", says: "Sway", mark: "M0,-5.5 L5.5,0 L0,5.5 L-5.5,0 Z", per: 1 },
  width: { size: "size", says: "Width", mark: "M-5,4 L0,-5.5 L5,4 Z", per: 2 },
  outline: { size: "size", says: "Outline", mark: "M-5,4 L0,-5.5 L5,4 Z", per: 2 },
};
/** What a list is, by its key. */
const kind = (list) => LISTS[list.split(".").at(-1)];
const called = (list) => (list.startsWith("handle.") ? kind(list).says : `${kind(list).says} of the ${list.split(".")[0]}`);
const VIEWS = [["side", "Side view"], ["plan", "Plan"]];
/** Pixels of a view's width, in which its marks are measured. */
const WIDE = 800;

const make = (name, attributes, into) => {
  const element = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  into?.append(element);
  return element;
};

export class Lines {
  /** `move(list, index, { at, size })` takes a station's new texts; `begin()` begins a gesture,
   *  `since()` is the revision that is seen. */
  constructor(into, { begin, move, since }) {
    Object.assign(this, { into, begin, move, since, views: new Map() });
  }

  /** Shows the lines of a design; `stations(list)` are its texts, `units` how they are written. */
  show(lines, stations, units) {
    this.into.hidden = !lines;
    if (!lines) return;
    Object.assign(this, { lines, stations, units });
    for (const [name, says] of VIEWS) this.view(name, says, lines[name]);
  }

  view(name, says, drawn) {
    const scale = WIDE / (this.lines.length + 16);
    const all = [...drawn.high, ...drawn.low].map(([, y]) => y);
    const points = drawn.lists.flatMap(({ points }) => points.map(([, y]) => y));
    const most = Math.max(...all, ...points) + 9, least = Math.min(...all, ...points) - 9;
    // While a point is held the paper stays where it is.
    const held = this.views.get(name);
    const room = held?.holding ? held.room : { scale, most, high: (most - least) * scale };
    const place = ([x, y]) => [(x + 8) * room.scale, (room.most - y) * room.scale];
    const course = (points) => points.map((p, i) => `${i ? "L" : "M"}${place(p).map((v) => v.toFixed(2)).join(" ")}`).join("");
    let view = held;
    if (!view) {
      const figure = element("figure");
      // Where points are too close for a finger, one list at a time can be moved.
      const which = element("div", { class: "which", role: "group", "aria-label": `${says}: what to move` });
      figure.append(which);
      const svg = make("svg", { class: "lines", role: "group", "aria-label": `${says} with its points` }, figure);
      const caption = element("figcaption", {});
      figure.append(caption);
      this.into.append(figure);
      // What is cut out ends where the wood does.
      const clip = make("clipPath", { id: `wood-${name}` }, svg);
      view = { svg, which, caption, wood: make("path", {}, clip), body: make("path", { class: "body" }, svg), cuts: make("path", { class: "cuts", "clip-path": `url(#wood-${name})` }, svg), art: make("path", { class: "art" }, svg), rim: make("path", { class: "rim" }, svg), zero: make("path", { class: "zero" }, svg), lists: new Map() };
      this.views.set(name, view);
    }
    view.room = room;
    // What comes from a drawing has no points.
    view.caption.textContent = drawn.drawing ? `${says}, as drawn in ${drawn.drawing}` : says;
    view.svg.setAttribute("viewBox", `0 0 ${WIDE} ${room.high.toFixed(1)}`);
    for (const path of [view.body, view.wood]) path.setAttribute("d", `${course(drawn.high)}${course([...drawn.low].reverse()).replace("M", "L")}Z`);
    const closed = (outlines) => (outlines ?? []).map((points) => `${course(points)}Z`).join("");
    view.cuts.setAttribute("d", closed(drawn.cuts));
    // Art is known once the rules have looked.
    if (drawn.let_in || !drawn.cuts) view.art.setAttribute("d", closed(drawn.let_in));
    view.rim.setAttribute("d", drawn.rim ? course(drawn.rim) : "");
    view.zero.setAttribute("d", course([[0, 0], [this.lines.length, 0]]));
    for (const [list, shown] of view.lists) {
      if (!drawn.lists.some((one) => one.list === list)) shown.forEach(({ group }) => group.remove()), view.lists.delete(list);
    }
    for (const { list, points } of drawn.lists) this.points(view, list, points, place);
    this.which(view, drawn.lists.filter(({ points }) => points.length).map(({ list }) => list));
  }

  /** The lists of a view, one of which is moved where there is little room. */
  which(view, lists) {
    if (!lists.includes(view.only)) view.only = lists[0];
    const names = JSON.stringify(lists);
    if (names !== view.names) {
      view.names = names;
      view.which.replaceChildren(...lists.map((list) => {
        const choose = () => {
          view.only = list;
          this.which(view, lists);
        };
        return element("button", { type: "button", "data-which": list, click: choose }, called(list));
      }));
    }
    for (const button of view.which.children) button.setAttribute("aria-pressed", String(button.dataset.which === view.only));
    for (const [list, shown] of view.lists) shown.forEach(({ group }) => group.classList.toggle("off", list !== view.only));
  }

  points(view, list, points, place) {
    const [table, name] = list.split(".");
    const { size, mark } = kind(list);
    const says = called(list);
    const texts = this.stations(list);
    let shown = view.lists.get(list);
    if (!shown || shown.length !== points.length) {
      shown?.forEach((one) => one.group.remove());
      shown = points.map((_, index) => {
        const group = make("g", { class: `point ${table} ${name}`, tabindex: 0, role: "slider", "data-list": list, "data-index": index, "aria-orientation": "vertical" }, view.svg);
        make("circle", { r: 17, class: "hand" }, group);
        make("path", { d: mark, class: "mark" }, group);
        const label = make("text", { y: -14, "text-anchor": "middle", "aria-hidden": "true" }, group);
        this.hands(view, group, list, index);
        return { group, label };
      });
      view.lists.set(list, shown);
    }
    points.forEach((point, index) => {
      if (!texts[index]) return;
      const { group, label } = shown[index];
      const text = texts[index] ?? {};
      const [x, y] = place(point);
      group.setAttribute("transform", `translate(${x.toFixed(2)} ${y.toFixed(2)})`);
      label.setAttribute("text-anchor", x < 60 ? "start" : x > WIDE - 60 ? "end" : "middle");
      label.textContent = text[size] ?? "";
      group.setAttribute("aria-label", `${says} at ${text.at ?? ""}`);
      group.setAttribute("aria-valuenow", read(text[size] ?? "", this.units.size)?.number ?? 0);
      group.setAttribute("aria-valuetext", text[size] ?? "");
    });
  }

  /** Which way a list counts: of a left-handed twin, a shift is to the right. */
  way(list) {
    return list.endsWith(".sway") && this.lines.mirror ? -1 : 1;
  }

  hands(view, group, list, index) {
    const { size, per } = kind(list);
    // The handle's lines go from end to end; a head's begin and end where they like.
    const ends = () => list.startsWith("handle.") && (index === 0 || index === this.stations(list).length - 1);
    const between = (place) => {
      const [before, after] = [-1, 1].map((d) => read(this.stations(list)[index + d]?.at ?? "", this.units.at)?.number);
      return Math.min(Math.max(place, (before ?? -1) + 1), (after ?? 101) - 1);
    };
    const change = (by, along) => {
      const text = this.stations(list)[index];
      const model = read(text[size], this.units.size);
      const there = read(text.at, this.units.at);
      if (!model) return;
      const to = { [size]: like(model, model.number + by * this.way(list)) };
      if (along && there && !ends()) to.at = like(there, between(there.number + along));
      this.move(list, index, to);
    };
    group.addEventListener("keydown", (event) => {
      const times = event.shiftKey ? 10 : 1;
      const model = read(this.stations(list)[index]?.[size] ?? "", this.units.size);
      const least = model ? this.units.step(model) * times : 0;
      const does = {
        ArrowUp: [least, 0], ArrowDown: [-least, 0], ArrowRight: [0, times], ArrowLeft: [0, -times],
        PageUp: [least * 10, 0], PageDown: [-least * 10, 0],
      }[event.key];
      if (!does || event.ctrlKey || event.metaKey) return;
      event.preventDefault();
      change(...does);
    });
    group.addEventListener("focus", () => this.begin());
    group.addEventListener("pointerdown", (event) => {
      event.preventDefault();
      // Where points are so close that they cover each other, the nearest is meant.
      const off = (point) => {
        const box = point.getBoundingClientRect();
        return Math.hypot(event.clientX - box.x - box.width / 2, event.clientY - box.y - box.height / 2);
      };
      const nearest = [...view.svg.querySelectorAll(".point")].reduce((a, b) => (off(b) < off(a) - 0.5 ? b : a), group);
      if (nearest !== group) return void nearest.dispatchEvent(new PointerEvent("pointerdown", event));
      group.focus();
      group.setPointerCapture(event.pointerId);
      this.begin();
      const text = this.stations(list)[index];
      view.holding = { since: this.since(), from: [event.clientX, event.clientY], text, model: read(text[size], this.units.size), there: read(text.at, this.units.at) };
    });
    group.addEventListener("pointermove", (event) => {
      const held = view.holding;
      if (!held?.model) return;
      const pixels = view.svg.getBoundingClientRect().width / WIDE;
      const mm = (distance) => distance / pixels / view.room.scale;
      const up = mm(held.from[1] - event.clientY) * per * this.way(list), along = mm(event.clientX - held.from[0]);
      const unit = this.units.worth(held.model.unit);
      const by = this.units.step(held.model) / 5;
      const to = { [size]: like(held.model, Math.round((held.model.number + up / unit) / by) * by) };
      if (held.there && !ends()) {
        const [start, end] = this.lines[list.startsWith("handle.") ? "handle" : "head"];
        to.at = like(held.there, between(Math.round(held.there.number + (along / (end - start)) * 100)));
      }
      this.move(list, index, to, held.since);
    });
    for (const end of ["pointerup", "pointercancel"]) {
      group.addEventListener(end, () => {
        view.holding = null;
        // What keys do after it is a step of its own.
        this.begin();
        this.show(this.lines, this.stations, this.units);
      });
    }
  }
}
