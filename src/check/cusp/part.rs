//! The parts of a utensil that a maker would name, and which of them a place of its skins is on.

use crate::check::edges::INSIDE;
use crate::check::reach::{Heights, NOTHING};
use crate::check::{Context, Sides};
use crate::params::Head;
use crate::relief::Face;
use glam::DVec2;
use rayon::prelude::*;

/// A part of one side.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Part {
    /// The handle, inside its edge.
    Handle,
    /// The outermost 1.5 mm of the handle, which are rounded by hand.
    HandleEdge,
    /// From where the head begins to where the handle has run out into it.
    Neck,
    /// Inside the line of a bowl's rim.
    Hollow,
    /// The land round it.
    Rim,
    /// A bowl from behind.
    Back,
    /// A fork's head in front of the roots of its slots, as it is finished: unslotted.
    Tines,
    /// A turner's blade.
    Blade,
    /// The slant behind its front edge.
    Bevel,
    /// The outermost 1.5 mm of the head and the neck.
    HeadEdge,
}

impl Part {
    /// Every part, in the order along the piece.
    pub(super) const ALL: [Part; 10] = [
        Part::Handle,
        Part::HandleEdge,
        Part::Neck,
        Part::Hollow,
        Part::Rim,
        Part::Back,
        Part::Tines,
        Part::Blade,
        Part::Bevel,
        Part::HeadEdge,
    ];

    /// What it is called, such as `handle edge`.
    pub const fn name(self) -> &'static str {
        match self {
            Part::Handle => "handle",
            Part::HandleEdge => "handle edge",
            Part::Neck => "neck",
            Part::Hollow => "hollow",
            Part::Rim => "rim",
            Part::Back => "back",
            Part::Tines => "tines",
            Part::Blade => "blade",
            Part::Bevel => "bevel",
            Part::HeadEdge => "head edge",
        }
    }
}

/// Where the parts begin and end.
pub(super) struct Parts<'a> {
    at: &'a Context<'a>,
    neck: f64,
    /// Where the handle has run out into the head.
    head: f64,
    /// The rearmost place of a slot.
    roots: f64,
    /// Cells along X.
    columns: usize,
    /// Cells of the edge, of both sides.
    edge: Vec<bool>,
    /// Cells of the top past the line where two skins meet.
    past: Vec<bool>,
}

impl Parts<'_> {
    pub(super) fn of<'a>(at: &'a Context<'a>, sides: &Sides) -> Parts<'a> {
        let roots = at.slots.iter().filter_map(|slot| slot.bounds()).map(|(low, _)| low.x);
        Parts {
            at,
            neck: at.body.neck_x().as_mm(),
            head: at.body.blended_x().as_mm(),
            roots: roots.fold(f64::INFINITY, f64::min),
            columns: sides.grounds[0].heights.columns,
            edge: edge(&sides.grounds[0].heights),
            past: past(at, sides),
        }
    }

    /// The part on which a cell of a side lies, whose place in the design frame is `p`.
    pub(super) fn part(&self, face: Face, index: usize, p: DVec2) -> Part {
        match (self.edge.get(index), &self.at.design.head) {
            (Some(true), _) if p.x < self.neck => Part::HandleEdge,
            (Some(true), _) => Part::HeadEdge,
            _ if p.x < self.neck => Part::Handle,
            _ if p.x < self.head => Part::Neck,
            _ if p.x > self.roots => Part::Tines,
            (_, Head::Bowl(_)) if face == Face::Bottom => Part::Back,
            (_, Head::Bowl(_)) if self.is_past(index) => Part::Hollow,
            (_, Head::Bowl(_)) => Part::Rim,
            (_, Head::Blade(_)) if face == Face::Top && self.is_past(index) => Part::Bevel,
            (_, Head::Blade(_)) => Part::Blade,
        }
    }

    /// Whether a cell and all round it are of one skin.
    pub(super) fn is_smooth(&self, face: Face, index: usize) -> bool {
        let own = self.is_past(index);
        let rows = [index.wrapping_sub(self.columns), index, index + self.columns];
        let around =
            rows.into_iter().flat_map(|middle| [middle.wrapping_sub(1), middle, middle + 1]);
        face == Face::Bottom || around.into_iter().all(|other| self.is_past(other) == own)
    }

    fn is_past(&self, index: usize) -> bool {
        self.past.get(index).is_some_and(|past| *past)
    }
}

/// Cells of the top that lie past the line where two skins meet.
fn past(at: &Context<'_>, sides: &Sides) -> Vec<bool> {
    let top = &sides.grounds[0].heights;
    // No line runs behind the neck.
    let neck = at.body.neck_x().as_mm();
    let on = |index: usize| {
        let p = sides.place(index % top.columns, index / top.columns);
        p.x > neck && top.mm[index] > NOTHING && at.body.past_line(p)
    };
    (0..top.mm.len()).into_par_iter().with_min_len(4096).map(on).collect()
}

/// Cells that are no further from the outline than the edge is wide.
fn edge(heights: &Heights) -> Vec<bool> {
    let Heights { columns, rows, cell, mm } = heights;
    let on = |index: usize| mm[index] > NOTHING;
    let mut found = vec![false; mm.len()];
    // The outline lies half a cell beyond its outermost cells, on the mean.
    let wide = INSIDE / cell.as_mm() - 0.5;
    let reach = wide.max(0.0) as usize;
    let widths: Vec<usize> = (0..=reach)
        .map(|row| (wide * wide - (row * row) as f64).max(0.0).sqrt() as usize)
        .collect();
    // Round the body there is always room for the tool, so that no row or column runs out.
    for row in reach.max(1)..rows.saturating_sub(reach.max(1)) {
        for column in reach.max(1)..columns.saturating_sub(reach.max(1)) {
            let at = row * columns + column;
            if !on(at) || [at - 1, at + 1, at - columns, at + columns].into_iter().all(on) {
                continue;
            }
            for (away, width) in widths.iter().enumerate() {
                for row in [row - away, row + away] {
                    let from = row * columns + column;
                    found[from - width..=from + width].fill(true);
                }
            }
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Length;

    #[test]
    fn the_edge_of_a_disc_is_a_ring_as_wide_as_it_says() {
        let (side, cell, radius) = (301, 0.2, 20.0);
        let from_middle = |index: usize| {
            let middle = (side / 2) as f64;
            let at = DVec2::new((index % side) as f64, (index / side) as f64);
            cell * (at - middle).length()
        };
        let mm = (0..side * side)
            .map(|index| if from_middle(index) <= radius { 1.0 } else { NOTHING })
            .collect();
        let disc = Heights { columns: side, rows: side, cell: Length::mm(cell), mm };
        for (index, found) in edge(&disc).into_iter().enumerate() {
            let in_from_rim = radius - from_middle(index);
            if in_from_rim > 0.0 && (in_from_rim - INSIDE).abs() > cell {
                assert_eq!(found, in_from_rim < INSIDE, "{in_from_rim}");
            }
        }
    }
}
