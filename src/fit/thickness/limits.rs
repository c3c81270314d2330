//! What a fitted design has to keep: the room that the board gives, the shop's limits, and every
//! rule that makes a design valid. Each as a margin in mm that is negative when it is broken.

use super::gives::Variable;
use crate::outline::{ArcPath, slots};
use crate::params::{self, Design, Head, Shop};
use crate::relief;
use crate::shape::{Along, Body};
use crate::units::Length;
use glam::DVec2;

/// Valid designs are kept this far inside the rules, in mm, so that rounding can't break one.
const INSIDE: f64 = 1e-7;
/// Places looked at in the hollow, from rear to tip and from the middle out. The wall's least
/// between them was within 0.01 mm of the least at them on the shipped designs.
const WALL_PLACES: (i32, i32) = (10, 12);
/// A wall that is too thin already may lose so much more, in mm.
const HARDLY: f64 = 0.05;
/// Walls so much thicker than the limit do not matter, in mm.
const NEAR: f64 = 3.0;
/// Chords of the outline when tines are measured in a search.
const CHORDS: u32 = 48;

/// What the board gives: greatest height, length and width of the body, in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BodyRoom {
    /// Of the body, over all.
    pub height: f64,
    /// Of the body, over all.
    pub length: f64,
    /// Of the body, over all.
    pub width: f64,
}

/// Everything that must hold.
pub(super) struct FitLimits<'a> {
    shop: &'a Shop,
    /// Least wall, rim and tine; where the design itself has less, no more is asked than it has.
    wall: f64,
    rim: f64,
    tine: f64,
    /// Whether tines are looked at: they take time.
    tines: bool,
    /// Places in the hollow near enough to the wall's limit.
    walls: Vec<(f64, f64)>,
}

/// Places of the middle line where the body is highest and lowest.
#[derive(Clone, Debug, Default)]
pub(super) struct LimitPlaces {
    crests: Vec<Along>,
    keels: Vec<Along>,
}

impl LimitPlaces {
    pub(super) fn count(&self) -> usize {
        self.crests.len() + self.keels.len()
    }

    /// Adds the highest and lowest places of a body; those that are known already stay single.
    pub(super) fn add(&mut self, body: &Body) {
        let add = |known: &mut Vec<Along>, found: Vec<Along>| {
            for place in found {
                // A tenth of a hundredth of a part: the height there differs by far less.
                if known.iter().all(|other| (other - place).abs() > 1e-4) {
                    known.push(place);
                }
            }
        };
        add(&mut self.crests, body.crests());
        add(&mut self.keels, body.keels());
    }
}

impl<'a> FitLimits<'a> {
    /// For a design whose dimensions `variables` may move.
    pub(super) fn new(design: &Design, shop: &'a Shop, variables: &[Variable]) -> FitLimits<'a> {
        let touches = |names: &[&str]| {
            let mut keys = variables.iter().flat_map(Variable::keys);
            keys.any(|key| names.iter().any(|name| key.starts_with(name)))
        };
        let tines =
            touches(&["tines", "bowl.width", "bowl.length", "bowl.fullness", "bowl.widest"]);
        let mut limits = FitLimits {
            shop,
            wall: shop.limits.wall.as_mm(),
            rim: shop.limits.rim.as_mm(),
            tine: shop.limits.tine.as_mm(),
            tines: tines && design.tines.is_some(),
            walls: Vec::new(),
        };
        let body = Body::new(design);
        let (along, out) = WALL_PLACES;
        let mut least = f64::INFINITY;
        if touches(&["bowl", "utensil.edge", "utensil.length"]) {
            for i in -along..=along {
                for j in 0..=out {
                    // Closer together towards the edge, where the wall changes quickly.
                    let short = 1.0 - f64::from(j) / f64::from(out);
                    let place = (f64::from(i) / f64::from(along), 1.0 - short * short);
                    if let Some(wall) = body.wall(place.0, place.1) {
                        least = least.min(wall);
                        if wall < limits.wall + NEAR {
                            limits.walls.push(place);
                        }
                    }
                }
            }
        }
        // The rule tells of it by itself; what is fitted may make it hardly worse.
        if least < limits.wall {
            limits.wall = least - HARDLY;
        }
        if let Head::Bowl(bowl) = &design.head {
            limits.rim = limits.rim.min(bowl.rim.range()[0].as_mm());
        }
        if let Some(tine) = limits.tine_of(design, &body) {
            limits.tine = limits.tine.min(tine);
        }
        limits
    }

    /// All margins of a design, in mm; the first three kinds shrink with `room`. As many, and of
    /// the same meaning, for every design of the same make.
    pub(super) fn margins(
        &self,
        design: &Design,
        room: BodyRoom,
        places: &LimitPlaces,
    ) -> Vec<f64> {
        let body = Body::new(design);
        let mut margins: Vec<f64> =
            params::margins(design).into_iter().map(|margin| margin - INSIDE).collect();
        let keels: Vec<f64> = places.keels.iter().map(|at| body.keel(*at)).collect();
        for crest in places.crests.iter().map(|at| body.crest(*at)) {
            margins.extend(keels.iter().map(|keel| room.height - (crest - keel)));
        }
        margins.push(room.length - design.length.as_mm());
        let [right, left] = body.breadth();
        margins.push(room.width - (left - right));
        margins.extend(body.facet_spare().into_iter().flatten().map(|spare| spare - INSIDE));
        if let Head::Bowl(bowl) = &design.head {
            margins.push(bowl.rim.range()[0].as_mm() - self.rim);
        }
        for (angle, out) in &self.walls {
            // Where the hollow has become too shallow to have a wall there is none to keep.
            margins.push(body.wall(*angle, *out).map_or(NEAR, |wall| wall - self.wall));
        }
        if self.tines {
            // Without room for slots there is no tine at all.
            let tine = self.tine_of(design, &body).unwrap_or_default();
            margins.push(tine - self.tine);
        }
        margins
    }

    fn tine_of(&self, design: &Design, body: &Body) -> Option<f64> {
        let (Some(tines), Head::Bowl(bowl)) = (&design.tines, &design.head) else { return None };
        let cutter = self.shop.cutter(&self.shop.work.slots).filter(|_| self.tines)?;
        let corners = body
            .outline()
            .into_iter()
            .flat_map(|curve| (0..CHORDS).map(move |i| curve(f64::from(i) / f64::from(CHORDS))));
        let outline = ArcPath::polygon(corners.collect::<Vec<DVec2>>());
        let cut =
            slots::slots(&outline, body.length(), bowl.length, bowl.width, tines, cutter.diameter);
        let measure = slots::measure(&outline, body.length(), tines, &cut)?;
        Some(measure.tine_width_least.as_mm())
    }
}

/// What a board has room for: its usable height, and its length and width less skirt and frame on
/// both sides.
pub(super) fn room(board: &params::Board, shop: &Shop) -> BodyRoom {
    let finish = shop.cutter(&shop.work.finish).map_or(Length::ZERO, |cutter| cutter.diameter);
    let round = (relief::skirt_width(finish) + shop.limits.margin) * 2.0;
    BodyRoom {
        height: board.usable_height().as_mm(),
        length: (board.length - round).as_mm(),
        width: (board.width - round).as_mm(),
    }
}
