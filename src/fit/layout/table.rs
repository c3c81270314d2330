//! What layouts are judged on: a board and the pieces of one set.

use super::ask::{Ask, FLAW_CLEAR, Footprint, Match, on_board};
use super::clear::{OVERLAP, clearances};
use super::gap::{self, Obstacle, Outline};
use crate::fit::{Placement, SoundWood};
use crate::params::Board;
use crate::units::Length;
use glam::DVec2;

/// Chords of what is searched with; what is claimed is measured on the arcs themselves.
const COARSE: Length = Length::mm(0.08);
/// Chords of what pins and hold-downs are placed round.
const FINE: Length = Length::mm(0.02);

/// More than the rounding of a clearance, in mm.
const ROUNDING: f64 = 1e-6;

/// A narrower strip is firewood (no source).
const USEFUL_MM: f64 = 25.0;

/// A board and the pieces that are to lie on it.
pub(super) struct Table<'a> {
    pub(super) size: DVec2,
    pub(super) frame: f64,
    /// Direction of the grain against the board's length, in radians from -90 to 90 degrees.
    pub(super) grain: f64,
    pub(super) pieces: Vec<&'a Footprint>,
    pub(super) coarse: Vec<[Vec<DVec2>; 2]>,
    pub(super) ask: &'a Ask<'a>,
    /// How these pieces go together: as asked, or as they fit when that can't be.
    together: Match,
    /// Whether the handles must lie along the board.
    pub(super) straight: bool,
    skirts: Vec<Vec<DVec2>>,
    obstacles: Vec<Obstacle>,
    board: &'a Board,
}

impl<'a> Table<'a> {
    pub(super) fn new(
        board: &'a Board,
        pieces: &[&'a Footprint],
        ask: &'a Ask<'a>,
        together: Match,
    ) -> Table<'a> {
        let coarse =
            |piece: &&Footprint| [&piece.sound, &piece.whole].map(|p| p.to_polyline(COARSE));
        let half = std::f64::consts::FRAC_PI_2;
        Table {
            size: board.size(),
            frame: ask.frame.as_mm(),
            grain: (board.grain.as_radians() + half).rem_euclid(2.0 * half) - half,
            coarse: pieces.iter().map(coarse).collect(),
            skirts: pieces.iter().map(|piece| piece.whole.to_polyline(FINE)).collect(),
            pieces: pieces.to_vec(),
            obstacles: board.flaws.iter().map(Obstacle::of).collect(),
            board,
            ask,
            together,
            straight: false,
        }
    }

    /// From now on handles lie along the board. Whether the grain allows that.
    pub(super) fn straighten(&mut self) -> bool {
        self.straight = true;
        self.pieces.iter().all(|piece| self.grain.abs() <= piece.lean.as_radians())
    }

    pub(super) fn together(&self) -> Match {
        self.together
    }

    /// Whether the pieces go side by side, from one length of the board.
    pub(super) fn tied(&self) -> bool {
        self.together != Match::Free && self.pieces.len() > 1
    }

    /// Whether the board has flaws.
    pub(super) fn flawed(&self) -> bool {
        !self.obstacles.is_empty()
    }

    /// Whether they lean opposite ways.
    pub(super) fn mirrored(&self) -> bool {
        self.together == Match::Mirrored && self.pieces.len() > 1
    }

    /// Whether the grain lets them go together so.
    pub(super) fn can_keep(&self) -> bool {
        !self.mirrored() || (0..self.pieces.len()).all(|i| self.both_ways(i) >= 0.0)
    }

    /// How far a piece may lean either way; negative when it may lean one way only.
    fn both_ways(&self, index: usize) -> f64 {
        self.pieces[index].lean.as_radians() - self.grain.abs()
    }

    /// The range of angles of a handle against the board's length, in radians: within its lean of
    /// the grain. Of mirrored pieces the range that both ways round allow.
    pub(super) fn angles(&self, index: usize) -> [f64; 2] {
        if self.straight {
            return [0.0, 0.0];
        }
        let lean = self.pieces[index].lean.as_radians();
        let [least, most] = [self.grain - lean, self.grain + lean];
        if self.mirrored() {
            let both = self.both_ways(index).max(0.0);
            return [-both, both];
        }
        [least, most]
    }

    /// Body and skirt of a piece where it lies, with few corners.
    pub(super) fn laid(&self, index: usize, place: &Placement) -> [Outline; 2] {
        let [sound, whole] = &self.coarse[index];
        [sound, whole]
            .map(|polygon| Outline::closed(polygon.iter().map(|p| place.on_board(*p)).collect()))
    }

    /// Clearance of one laid piece from edge and flaws.
    pub(super) fn alone(&self, [sound, whole]: &[Outline; 2]) -> f64 {
        let (low, high) = whole.bounds();
        let edge = low.min(self.size - high).min_element() - self.frame;
        let clear = FLAW_CLEAR.as_mm();
        let least = self
            .obstacles
            .iter()
            .fold(edge, |least, flaw| least.min(flaw.gap(sound, least + clear + ROUNDING) - clear));
        // Beyond a wane's line there is no wood, however far from the line.
        if least > 0.0 && SoundWood::of(self.board).past_wane(&sound.corners) {
            return -sound.bounds().1.distance(sound.bounds().0);
        }
        least
    }

    /// Clearance between two laid pieces; infinite when it is more than `within`.
    pub(super) fn between(&self, one: &[Outline; 2], other: &[Outline; 2], within: f64) -> f64 {
        gap::gap(&one[1], &other[1], within + self.frame + ROUNDING) - self.frame
    }

    /// The least clearance of pieces that lie so.
    pub(super) fn least(&self, places: &[Placement]) -> f64 {
        let laid = places.iter().enumerate().map(|(i, place)| self.laid(i, place));
        let laid: Vec<[Outline; 2]> = laid.collect();
        let alone = laid.iter().map(|piece| self.alone(piece)).fold(f64::INFINITY, f64::min);
        let pairs = (0..laid.len()).flat_map(|i| (0..i).map(move |j| (i, j)));
        pairs.fold(alone, |least, (i, j)| least.min(self.between(&laid[i], &laid[j], least)))
    }

    /// The most that a clearance between two pieces can have become, when one has moved by no more
    /// than `by`.
    pub(super) fn most(&self, before: f64, by: f64) -> f64 {
        (before + self.frame).max(0.0) + by + ROUNDING - self.frame
    }

    /// The least of all clearances in mm, exact but for rounding; some negative figure when pieces
    /// overlap or lie on a flaw.
    pub(super) fn clearance(&self, places: &[Placement]) -> f64 {
        let laid = on_board(&self.pieces, places);
        let all = clearances(self.board, &laid, self.ask.frame);
        let least = all.iter().map(|clear| clear.spare().as_mm()).fold(f64::INFINITY, f64::min);
        let beyond = laid.iter().any(|[sound, _]| {
            let corners: Vec<DVec2> = sound.vertices.iter().map(|vertex| vertex.point).collect();
            SoundWood::of(self.board).gap(&corners) <= 0.0
        });
        if beyond { least.min(OVERLAP) } else { least }
    }

    /// Whether pins and hold-downs have room as well.
    pub(super) fn roomy(&self, places: &[Placement]) -> bool {
        let room = self.ask.room;
        room(self.board, &self.skirts_at(places, DVec2::ZERO))
    }

    fn skirts_at(&self, places: &[Placement], from: DVec2) -> Vec<Vec<DVec2>> {
        let moved = |(skirt, place): (&Vec<DVec2>, &Placement)| {
            skirt.iter().map(|p| place.on_board(*p) - from).collect()
        };
        self.skirts.iter().zip(places).map(moved).collect()
    }

    /// The largest useful strip of a part of the board that no piece and no frame reaches into,
    /// whose loss leaves room for pins and hold-downs.
    fn offcut(&self, places: &[Placement], [from, to]: [DVec2; 2]) -> Option<[DVec2; 2]> {
        let mut low = DVec2::splat(f64::INFINITY);
        let mut high = DVec2::splat(f64::NEG_INFINITY);
        for (i, place) in places.iter().enumerate() {
            let bounds = self.laid(i, place)[1].bounds();
            low = low.min(bounds.0 - self.frame - COARSE.as_mm());
            high = high.max(bounds.1 + self.frame + COARSE.as_mm());
        }
        let mut strips = vec![
            [DVec2::new(high.x, from.y), to],
            [from, DVec2::new(low.x, to.y)],
            [DVec2::new(from.x, high.y), to],
            [from, DVec2::new(to.x, low.y)],
        ];
        strips.retain(|strip| (strip[1] - strip[0]).min_element() >= USEFUL_MM);
        strips.sort_by(|a, b| area(b).total_cmp(&area(a)));
        strips.into_iter().find(|strip| {
            let [from, to] = without([from, to], *strip);
            let room = self.ask.room;
            room(&self.board.part(from, to), &self.skirts_at(places, from))
        })
    }

    /// Area of the largest offcut, in mm².
    pub(super) fn left(&self, places: &[Placement]) -> f64 {
        self.offcut(places, [DVec2::ZERO, self.size]).map_or(0.0, |strip| area(&strip))
    }

    /// All useful strips, one after the other.
    pub(super) fn offcuts(&self, places: &[Placement]) -> Vec<[DVec2; 2]> {
        let mut blank = [DVec2::ZERO, self.size];
        let mut strips = Vec::new();
        while let Some(strip) = self.offcut(places, blank) {
            blank = without(blank, strip);
            strips.push(strip);
        }
        strips
    }
}

fn area(strip: &[DVec2; 2]) -> f64 {
    (strip[1] - strip[0]).element_product()
}

/// What is left of a rectangle when a strip at one of its sides is off.
pub(super) fn without([from, to]: [DVec2; 2], strip: [DVec2; 2]) -> [DVec2; 2] {
    let [low, high] = strip;
    match (low.x > from.x, high.x < to.x, low.y > from.y) {
        (true, ..) => [from, DVec2::new(low.x, to.y)],
        (_, true, _) => [DVec2::new(high.x, from.y), to],
        (.., true) => [from, DVec2::new(to.x, low.y)],
        _ => [DVec2::new(from.x, high.y), to],
    }
}
