//! What each cutter of the shop would leave, so that the maker sees which one would do.
//!
//! Promised: the same figures as for the finishing cutter, on the same cells. Not promised: that
//! the packet's skirt and limits suit another cutter; they are made for the one that is named, and
//! only a ball can be named for finishing.

use super::left::{COUNTS, Uncut, left_by};
use super::{SideGrid, Tool};
use crate::check::Context;
use crate::params::{Cutter, CutterForm};
use crate::relief::Face;
use crate::units::{Length, plain};
use glam::DVec2;
use rayon::prelude::*;

/// What a cutter of the shop leaves of one side.
#[derive(Clone, Debug, PartialEq)]
pub struct CutterReach {
    /// The cutter's name.
    pub cutter: String,
    /// Which side.
    pub face: Face,
    /// Whether it is the one that the shop finishes with.
    pub finishes: bool,
    /// Whether it may be named for finishing: it is a ball.
    pub may: bool,
    /// Most that is left.
    pub most: Length,
    /// Where that is, in the design frame, in mm.
    pub at: DVec2,
    /// Volume that is left, in mm³.
    pub volume_mm3: f64,
    /// Where more than 0.02 mm is left, in mm² of the plan.
    pub area_mm2: f64,
    /// Whether what it leaves is within the shop's limit.
    pub would: bool,
}

impl CutterReach {
    /// Of a cutter by what it leaves of a side.
    pub(super) fn of(cutter: &Cutter, left: &Uncut, finishes: bool, limit: Length) -> CutterReach {
        CutterReach {
            cutter: cutter.name.clone(),
            face: left.face,
            finishes,
            may: cutter.form == CutterForm::Ball,
            most: left.most,
            at: left.at,
            volume_mm3: left.volume_mm3,
            area_mm2: left.area_mm2,
            would: left.most <= limit,
        }
    }
}

/// Cells that the other cutters are looked at on: twice the finishing cutter's, a quarter of the
/// work. A flat cutter's own edge is sharp, so that finer cells tell no more of it.
const COARSE: Length = Length::mm(0.4);
/// And a wide cutter's cells: this share of its radius, so that it costs no more than a thin one.
const SHARE: f64 = 1.0 / 30.0;

/// All cutters but V-shaped ones, drills and the one that finishes, on both sides.
pub(super) fn others(at: &Context<'_>) -> Vec<CutterReach> {
    let limit = at.shop.limits.check.uncut;
    let named = &at.shop.work.finish;
    let others: Vec<_> = at
        .shop
        .cutters
        .iter()
        .filter(|cutter| cutter.name != *named)
        .filter_map(|cutter| Some((cutter, Tool::of(cutter)?)))
        .collect();
    if others.is_empty() {
        return Vec::new();
    }
    let widest = others
        .iter()
        .map(|(_, tool)| *tool)
        .max_by(|a, b| a.radius().as_mm().total_cmp(&b.radius().as_mm()));
    let Some(widest) = widest else { return Vec::new() };
    let cell = COARSE.max(widest.radius() * SHARE);
    let grounds: Vec<(Face, SideGrid)> = Face::BOTH
        .into_par_iter()
        .map(|face| (face, super::surface(at.body, face, widest, cell)))
        .collect();
    let each = others.iter().flat_map(|other| grounds.iter().map(move |ground| (other, ground)));
    let each: Vec<_> = each.collect();
    each.into_par_iter()
        .with_max_len(1)
        .map(|((cutter, tool), (face, ground))| {
            CutterReach::of(cutter, &left_by(at.body, *face, ground, *tool), false, limit)
        })
        .collect()
}

/// The thickest ball that would do on both sides, by name; and the others that would.
pub(super) fn would_do(all: &[CutterReach]) -> Vec<&str> {
    let mut names: Vec<&str> = Vec::new();
    for one in all {
        let does = all.iter().filter(|other| other.cutter == one.cutter).all(|other| other.would);
        if does && !one.finishes && !names.contains(&one.cutter.as_str()) {
            names.push(&one.cutter);
        }
    }
    names
}

/// The same in words, for the table.
pub(super) fn says(all: &[CutterReach]) -> Option<String> {
    let mut words = Vec::new();
    for one in all.iter().filter(|one| !one.finishes && one.face == Face::Top) {
        let other = all.iter().find(|o| o.cutter == one.cutter && o.face == Face::Bottom)?;
        let most = |one: &CutterReach| match one.most.as_mm() < COUNTS {
            true => "0".to_owned(),
            false => plain(one.most.as_mm(), 2),
        };
        words.push(format!("{} would leave {} and {} mm", one.cutter, most(one), most(other)));
    }
    (!words.is_empty()).then(|| words.join(", "))
}
