//! What the rules look at.

use super::reach::{NOTHING, SideGrid, Tool};
use crate::fit::{Advice, Spare, Stock};
use crate::mesh::Sizes;
use crate::outline::ArcPath;
use crate::outline::slots::SlotMeasure;
use crate::params::{Board, Design, Shop};
use crate::shape::{Body, Solids};
use crate::units::Length;
use std::sync::atomic::AtomicBool;

/// The edge is looked at this far inside the outline, in mm: where a first rounding by hand ends (common
/// practice, no source).
pub(super) const INSIDE: f64 = 1.5;

/// What the rules look at.
pub struct Context<'a> {
    /// The design.
    pub design: &'a Design,
    /// The board.
    pub board: &'a Board,
    /// The shop.
    pub shop: &'a Shop,
    /// The exact body.
    pub body: &'a Body,
    /// Its volumes.
    pub solids: &'a Solids,
    /// How the body lies in the height of the stock.
    pub stock: &'a Stock,
    /// What the mesh measures.
    pub sizes: &'a Sizes,
    /// The body's outline, where the cutters that outlines need are in the shop.
    pub outline: Option<&'a ArcPath>,
    /// The slots, of a fork.
    pub slots: &'a [ArcPath],
    /// Holes and slots that are closed all round.
    pub openings: &'a [ArcPath],
    /// How far over the bed they end, cut with the bottom up; none without slots.
    pub under_slots: Option<Length>,
    /// What the tines measure, of a fork.
    pub tines: Option<&'a SlotMeasure>,
    /// What would do, when the design could not be made to fit.
    pub advice: Option<&'a Advice>,
    /// The designs of the set as their files ask for them, before they were fitted to the board.
    pub set: &'a [Design],
    /// Which of them it is.
    pub number: usize,
    /// What becomes of height that the board has to spare.
    pub spare: Spare,
    /// Whether advice that has to be searched for is left for later.
    pub glance: bool,
    /// Whether nobody waits for it any more.
    pub unwanted: &'a AtomicBool,
}

/// Both sides as heights on one and the same grid.
pub(crate) struct Sides {
    pub(crate) tool: Tool,
    pub(crate) grounds: [SideGrid; 2],
}

impl Sides {
    /// Cells on the body: column, row, top and bottom in the design frame, in mm.
    pub(crate) fn cells(&self) -> impl Iterator<Item = (usize, usize, f64, f64)> + '_ {
        let [top, bottom] = &self.grounds;
        let columns = top.heights.columns;
        top.heights.mm.iter().zip(&bottom.heights.mm).enumerate().filter_map(
            move |(index, (top, bottom))| {
                let on = *top > NOTHING && *bottom > NOTHING;
                on.then(|| (index % columns, index / columns, f64::from(*top), -f64::from(*bottom)))
            },
        )
    }

    /// The cells of a column on the body: row, top and bottom in the design frame, in mm.
    pub(crate) fn column(&self, column: usize) -> impl Iterator<Item = (usize, f32, f32)> + '_ {
        let [top, bottom] = self.grounds.each_ref().map(|ground| {
            let heights = &ground.heights;
            heights.mm.iter().skip(column).step_by(heights.columns)
        });
        top.zip(bottom).enumerate().filter_map(|(row, (top, bottom))| {
            (*top > NOTHING && *bottom > NOTHING).then_some((row, *top, -*bottom))
        })
    }

    /// A cell's place in the design frame, in mm.
    pub(crate) fn place(&self, column: usize, row: usize) -> glam::DVec2 {
        let ground = &self.grounds[0];
        ground.origin + ground.heights.cell.as_mm() * glam::DVec2::new(column as f64, row as f64)
    }

    /// A cell's area in mm².
    pub(crate) fn cell_mm2(&self) -> f64 {
        self.grounds[0].heights.cell.as_mm().powi(2)
    }
}
