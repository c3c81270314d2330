//! What must stay: the piece, its tabs, the skirt's floor and the pins, cell by cell.

use super::cells::BoardCells;
use super::stage::StagedSetup;

/// What a cell belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[repr(u8)]
pub enum Belongs {
    /// Waste: the frame round the piece.
    Frame,
    /// The piece.
    Body,
    /// A tab.
    Tab,
    /// The skirt's floor.
    Skirt,
    /// A dowel.
    Dowel,
}

/// How many kinds there are.
pub const KINDS: usize = 5;

/// What must stay.
#[derive(Clone, Debug)]
pub struct KeptGround {
    /// The relief's height; NaN in the frame.
    pub relief: Vec<f32>,
    /// The lowest that a cut may go; minus infinity in the frame.
    pub least: Vec<f32>,
    /// What the cell belongs to.
    pub belongs: Vec<Belongs>,
    /// Whose relief it is in, by the piece's number; [`NO_PIECE`] in the frame.
    pub piece: Vec<u16>,
}

/// No piece at all.
pub const NO_PIECE: u16 = u16::MAX;

/// A cut this little into something is not told: models are exact to a few hundredths, and so are
/// programs.
pub const TOLERANCE_MM: f32 = 0.05;

/// And this much sideways.
const SIDEWAYS_MM: f32 = 0.05;

/// At a wall this much sideways, or a cell when that is more: a height says little there.
const WALL_SIDEWAYS_MM: f64 = 0.15;

/// So far a cut that came from the side is looked for, in mm.
const SIDE_MM: f64 = 1.0;

/// A step between neighbours that is steeper than this is a wall, whose place is known to a cell.
const WALL: f32 = 3.7;

impl KeptGround {
    /// How much higher the relief is at the next cell than at the one before, along X and Y, in mm; none past the ends.
    pub(super) fn rises(&self, columns: usize, index: usize) -> [Option<f32>; 2] {
        let at = |index: Option<usize>| index.and_then(|index| self.relief.get(index)).copied();
        [1, columns].map(|apart| {
            let (low, high) = (at(index.checked_sub(apart)), at(index.checked_add(apart)));
            low.zip(high).map(|(low, high)| high - low)
        })
    }

    /// Of a stage.
    pub fn new(stage: &StagedSetup, cells: &BoardCells) -> KeptGround {
        let all = cells.count();
        let mut relief = vec![f32::NAN; all];
        let mut least = vec![f32::NEG_INFINITY; all];
        let mut belongs = vec![Belongs::Frame; all];
        let mut whose = vec![NO_PIECE; all];
        for (number, piece) in (0..).zip(&stage.pieces) {
            let tops = cells.tops(&piece.relief);
            let allowed = allowed(cells, &tops);
            for (index, [top, _]) in tops.iter().enumerate() {
                if top.is_nan() {
                    continue;
                }
                let place = cells.middle(index);
                let any =
                    |shapes: &[super::plan_shape::PlanShape]| shapes.iter().any(|s| s.holds(place));
                (relief[index], least[index]) = (*top, allowed[index]);
                whose[index] = number;
                belongs[index] = match () {
                    () if any(&piece.outline) => Belongs::Body,
                    () if any(&piece.tabs) => Belongs::Tab,
                    () => Belongs::Skirt,
                };
            }
            for (shapes, low) in piece.passes.iter().filter_map(|pass| pass.through.as_ref()) {
                for index in inside(cells, shapes) {
                    least[index] = least[index].min(*low as f32 - TOLERANCE_MM);
                }
            }
        }
        if let Some(top) = stage.dowels {
            for pin in &stage.pins {
                // The dowel itself is a little thinner than its hole.
                for index in round(cells, *pin, stage.pin_radius) {
                    (least[index], belongs[index]) = (top as f32 - TOLERANCE_MM, Belongs::Dowel);
                }
            }
        }
        KeptGround { relief, least, belongs, piece: whose }
    }

    /// How far from the side a cut to that height may have come into a cell, in mm: how far the nearest place is
    /// that is as low. None when there is none near.
    pub fn sideways(&self, cells: &BoardCells, index: usize, height: f32) -> Option<f64> {
        let (x, y) = (index % cells.columns, index / cells.columns);
        let reach = (SIDE_MM / cells.cell).ceil() as usize;
        let low = |index: &usize| {
            let z = self.relief[*index];
            z.is_nan() || z <= height + TOLERANCE_MM
        };
        let columns = x.saturating_sub(reach)..(x + reach + 1).min(cells.columns);
        (y.saturating_sub(reach)..(y + reach + 1).min(cells.rows))
            .flat_map(|row| columns.clone().map(move |column| row * cells.columns + column))
            .filter(low)
            .map(|other| cells.middle(other).distance(cells.middle(index)))
            .reduce(f64::min)
    }

    /// Cells of pieces.
    pub fn of_body(&self) -> impl Iterator<Item = usize> + '_ {
        (0..self.belongs.len()).filter(|index| self.belongs[*index] == Belongs::Body)
    }
}

/// How low a cut may go: lower on a slope by what a small shift makes, and as low as the least
/// neighbour at a wall, out to where its place is sure.
fn allowed(cells: &BoardCells, tops: &[[f32; 2]]) -> Vec<f32> {
    let wall = WALL * cells.cell as f32;
    let reach = (WALL_SIDEWAYS_MM / cells.cell).round().max(1.0) as usize;
    let wall = wall * reach as f32;
    let beside = |index: usize| {
        let (x, y) = (index % cells.columns, index / cells.columns);
        let rows = y.saturating_sub(reach)..(y + reach + 1).min(cells.rows);
        rows.flat_map(move |row| {
            let columns = x.saturating_sub(reach)..(x + reach + 1).min(cells.columns);
            columns.map(move |column| row * cells.columns + column)
        })
    };
    let one = |(index, [top, slope]): (usize, &[f32; 2])| {
        let mut least = top - TOLERANCE_MM - SIDEWAYS_MM * slope.min(WALL);
        for other in beside(index) {
            let z = tops[other][0];
            if z.is_nan() || z < top - wall {
                least = least.min(if z.is_nan() { f32::NEG_INFINITY } else { z - TOLERANCE_MM });
            }
        }
        least
    };
    tops.iter().enumerate().map(one).collect()
}

/// Cells in shapes.
pub fn inside<'a>(
    cells: &'a BoardCells,
    shapes: &'a [super::plan_shape::PlanShape],
) -> impl Iterator<Item = usize> + 'a {
    shapes.iter().flat_map(move |shape| {
        let (low, high) = shape.bounds();
        boxed(cells, low, high).filter(move |index| shape.holds(cells.middle(*index)))
    })
}

/// Cells round a place.
pub(super) fn round(
    cells: &BoardCells,
    middle: glam::DVec2,
    radius: f64,
) -> impl Iterator<Item = usize> + '_ {
    let reach = glam::DVec2::splat(radius);
    boxed(cells, middle - reach, middle + reach)
        .filter(move |index| cells.middle(*index).distance(middle) <= radius)
}

fn boxed(
    cells: &BoardCells,
    low: glam::DVec2,
    high: glam::DVec2,
) -> impl Iterator<Item = usize> + '_ {
    let columns = cells.columns_between(low.x, high.x);
    cells
        .rows_between(low.y, high.y)
        .flat_map(move |row| columns.clone().map(move |column| row * cells.columns + column))
}
