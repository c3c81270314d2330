//! A plug in its recess, cut across, to scale: the piece hatched one way, the plug the other.

use super::ink::{Anchor, Ink, Line, MAIN};
use super::measure::Both;
use super::piece::WIDE;
use super::words;
use crate::inlay::{MatedSection, SectionPlace};
use crate::units::{Length, Unit, plain};
use glam::DVec2;

/// Scales by ISO 5455 and one between them, the largest first.
const SCALES: [f64; 4] = [10.0, 5.0, 3.0, 2.0];
/// Room for figures at the left and the right, and above, in mm of paper.
const SIDE: f64 = 36.0;
const OVER: f64 = 6.0;
/// The tallest cut on paper, in mm.
const TALL: f64 = 110.0;
/// So much of the plate is drawn behind its underside, in mm of wood.
const PLATE: f64 = 1.2;

/// What a cut is asked with.
#[derive(Clone, Debug)]
pub struct MatedFigures<'a> {
    /// What the inlay is called.
    pub name: &'a str,
    /// How deep the recess is.
    pub depth: Length,
    /// Room for glue under the foot.
    pub under: Length,
}

/// The cut, as an SVG element as large on paper as it is drawn.
pub fn mated(section: &MatedSection, asked: &MatedFigures<'_>, unit: Unit) -> String {
    let (ink, size) = drawn(section, asked, unit);
    ink.done_at_size(size, &words::fill(words::MATED_NAME, &[("name", asked.name)]))
}

fn drawn(section: &MatedSection, asked: &MatedFigures<'_>, unit: Unit) -> (Ink, DVec2) {
    let places = &section.places;
    let mut ink = Ink::default();
    let least = |of: fn(&SectionPlace) -> f64| places.iter().map(of).fold(f64::INFINITY, f64::min);
    let (right, left, low) = (least(|p| p.y), -least(|p| -p.y), least(|p| p.other));
    let high = section.plate + PLATE;
    let fits = |scale: &&f64| {
        (left - right) * **scale <= WIDE - 2.0 * SIDE && (high - low) * **scale <= TALL
    };
    let scale = SCALES.iter().find(fits).copied().unwrap_or(1.0);
    let middle = 0.5 * (left + right);
    let on =
        |y: f64, z: f64| DVec2::new(WIDE / 2.0 - (y - middle) * scale, OVER + (high - z) * scale);
    let line = |of: fn(&SectionPlace) -> f64| places.iter().map(move |p| (p.y, of(p)));
    // The piece with its recess, round by its other side.
    let ring = line(|p| p.cut).chain(line(|p| p.other).rev());
    let piece: Vec<DVec2> = ring.map(|(y, z)| on(y, z)).collect();
    ink.hatched(&piece);
    ink.lines(Line::Seen, &piece, true);
    // Where the plug will end: at the face, once it is trimmed.
    let face: Vec<DVec2> = line(|p| p.face).map(|(y, z)| on(y, z)).collect();
    ink.lines(Line::Hidden, &face, false);
    for run in parts(section) {
        let foot: Vec<DVec2> = run.iter().map(|p| on(p.y, p.plug)).collect();
        let ends = [run[run.len() - 1], run[0]].map(|p| on(p.y, section.sawn));
        ink.hatched_back(&foot.iter().copied().chain(ends).collect::<Vec<_>>());
        ink.lines(Line::Seen, &foot, false);
    }
    // What is sawn off: the flanks over the saw's line, and the plate.
    let off: Vec<DVec2> = line(|p| p.plug).map(|(y, z)| on(y, z.max(section.sawn))).collect();
    ink.lines(Line::Hidden, &off, false);
    ink.lines(Line::Limit, &[on(left, section.sawn), on(right, section.sawn)], false);
    figures(&mut ink, section, asked, unit, &on);
    let foot = on(0.0, low).y + 9.0;
    let along = Both::of(section.along, unit).main;
    let caption =
        words::fill(words::MATED_CAPTION, &[("along", &along), ("scale", &plain(scale, 0))]);
    ink.words(DVec2::new(WIDE / 2.0, foot), Anchor::Middle, false, MAIN, &caption);
    (ink, DVec2::new(WIDE, foot + 4.0))
}

/// Runs of places over which the plug stays when it is sawn off.
fn parts(section: &MatedSection) -> impl Iterator<Item = &[SectionPlace]> {
    let stays = |place: &SectionPlace| place.plug < section.sawn;
    let runs = section.places.chunk_by(move |a, b| stays(a) == stays(b));
    runs.filter(move |run| run.len() > 1 && stays(&run[0]))
}

/// Depth and room for glue where the floor is, and what the saw leaves.
fn figures(
    ink: &mut Ink,
    section: &MatedSection,
    asked: &MatedFigures<'_>,
    unit: Unit,
    on: &dyn Fn(f64, f64) -> DVec2,
) {
    let deep = |p: &&SectionPlace| p.face - p.cut;
    let of = |best: Option<&SectionPlace>| best.copied();
    let floor = section.places.iter().max_by(|a, b| deep(a).total_cmp(&deep(b)));
    let top = section.places.iter().max_by(|a, b| a.face.total_cmp(&b.face));
    let ends = (section.places.first(), section.places.last());
    let ((Some(floor), Some(top)), (Some(first), Some(last))) = ((of(floor), of(top)), ends) else {
        return;
    };
    let (left, right) = (on(last.y, 0.0).x - 10.0, on(first.y, 0.0).x + 10.0);
    let mut level = |[from, to]: [DVec2; 2], x: f64, what: &str, length: Length| {
        let middle = DVec2::new(x, 0.5 * (from.y + to.y) + 0.36 * MAIN);
        let (side, off) = if x > right - 1.0 { (Anchor::Start, 1.6) } else { (Anchor::End, -1.6) };
        let figure = Both::of(length, unit).main;
        ink.dimension(from, to, x);
        ink.words(middle + DVec2::X * off, side, false, MAIN, &format!("{what} {figure}"));
    };
    let [face, cut, plug] = [floor.face, floor.cut, floor.plug].map(|z| on(floor.y, z));
    level([face, cut], left, words::MATED_DEPTH, asked.depth);
    level([plug, cut], right, words::MATED_UNDER, asked.under);
    let over = [section.sawn, top.face].map(|z| on(top.y, z));
    // The saw's line is level: where the face is lower more is left.
    let left_over = Length::mm(section.sawn - top.face);
    level(over, right, words::MATED_PROUD, left_over);
    let at = on(last.y, section.sawn) + DVec2::new(-1.6, 0.36 * MAIN);
    ink.words(at, Anchor::End, false, MAIN, words::MATED_SAW);
}
