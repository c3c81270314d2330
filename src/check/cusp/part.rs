//! The parts of a utensil that a maker would name, and which of them a place of its skins is on.

use crate::check::context::INSIDE;
use crate::check::reach::{HeightGrid, SideGrid};
use crate::check::{Context, Sides};
use crate::outline::slots::rearmost;
use crate::params::Head;
use crate::relief::Face;
use crate::units::Length;
use glam::DVec2;

/// A part of one side.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum SidePart {
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

impl SidePart {
    /// Every part, in the order along the piece.
    pub(super) const ALL: [SidePart; 10] = [
        SidePart::Handle,
        SidePart::HandleEdge,
        SidePart::Neck,
        SidePart::Hollow,
        SidePart::Rim,
        SidePart::Back,
        SidePart::Tines,
        SidePart::Blade,
        SidePart::Bevel,
        SidePart::HeadEdge,
    ];

    /// What it is called, such as `handle edge`.
    pub const fn name(self) -> &'static str {
        match self {
            SidePart::Handle => "handle",
            SidePart::HandleEdge => "handle edge",
            SidePart::Neck => "neck",
            SidePart::Hollow => "hollow",
            SidePart::Rim => "rim",
            SidePart::Back => "back",
            SidePart::Tines => "tines",
            SidePart::Blade => "blade",
            SidePart::Bevel => "bevel",
            SidePart::HeadEdge => "head edge",
        }
    }
}

/// Where the parts begin and end.
pub(super) struct CuspParts<'a> {
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

impl CuspParts<'_> {
    pub(super) fn of<'a>(at: &'a Context<'a>, sides: &Sides) -> CuspParts<'a> {
        CuspParts {
            at,
            neck: at.body.neck_x().as_mm(),
            head: at.body.blended_x().as_mm(),
            roots: rearmost(at.slots).unwrap_or(f64::INFINITY),
            columns: sides.grounds[0].heights.columns,
            edge: edge(&sides.grounds[0], outline(at)),
            past: past(at, sides),
        }
    }

    /// The part on which a cell of a side lies, whose place in the design frame is `p`.
    pub(super) fn part(&self, face: Face, index: usize, p: DVec2) -> SidePart {
        match (self.edge.get(index), &self.at.design.head) {
            (Some(true), _) if p.x < self.neck => SidePart::HandleEdge,
            (Some(true), _) => SidePart::HeadEdge,
            _ if p.x < self.neck => SidePart::Handle,
            _ if p.x < self.head => SidePart::Neck,
            _ if p.x > self.roots => SidePart::Tines,
            (_, Head::Bowl(_)) if face == Face::Bottom => SidePart::Back,
            (_, Head::Bowl(_)) if self.is_past(index) => SidePart::Hollow,
            (_, Head::Bowl(_)) => SidePart::Rim,
            (_, Head::Blade(_)) if face == Face::Top && self.is_past(index) => SidePart::Bevel,
            (_, Head::Blade(_)) => SidePart::Blade,
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
    let HeightGrid { columns, rows, .. } = sides.grounds[0].heights;
    let within = |column| at.body.past_line_within(Length::mm(sides.place(column, 0).x));
    let within: Vec<[f64; 2]> = (0..columns).map(within).collect();
    let row = |row| {
        let y = sides.place(0, row).y;
        within.iter().map(move |[right, left]| *right < y && y < *left)
    };
    (0..rows).flat_map(row).collect()
}

/// Points on the outline, hardly further apart than cells.
fn outline(at: &Context<'_>) -> impl Iterator<Item = DVec2> {
    /// Of each of its curves, the longest of which is about as long as the piece.
    const POINTS: u32 = 800;
    let along = |point: u32| f64::from(point) / f64::from(POINTS);
    let curves = at.body.outline();
    curves.into_iter().flat_map(move |curve| (0..POINTS).map(move |point| curve(along(point))))
}

/// Cells that are no further from the outline than the edge is wide.
fn edge(ground: &SideGrid, outline: impl Iterator<Item = DVec2>) -> Vec<bool> {
    let HeightGrid { columns, rows, cell, mm } = &ground.heights;
    let mut found = vec![false; mm.len()];
    let wide = INSIDE / cell.as_mm();
    for point in outline {
        let at = (point - ground.origin) / cell.as_mm();
        let span = |middle: f64, wide: f64, count: usize| {
            let from = (middle - wide).ceil().max(0.0) as usize;
            from..((middle + wide).floor().max(-1.0) + 1.0).min(count as f64) as usize
        };
        for row in span(at.y, wide, *rows) {
            let away = row as f64 - at.y;
            let width = (wide * wide - away * away).max(0.0).sqrt();
            let cells = span(at.x, width, *columns);
            if let Some(cells) =
                found.get_mut(row * columns + cells.start..row * columns + cells.end)
            {
                cells.fill(true);
            }
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_edge_of_a_disc_is_a_ring_as_wide_as_it_says() {
        let (side, cell, radius) = (301, 0.2, 20.0);
        let origin = DVec2::new(-30.0, -30.0);
        let mm = vec![0.0; side * side];
        let heights = HeightGrid { columns: side, rows: side, cell: Length::mm(cell), mm };
        let disc = SideGrid { heights, origin };
        let round = (0..2000).map(|i| radius * DVec2::from_angle(f64::from(i) * 0.003_141_592_7));
        for (index, found) in edge(&disc, round).into_iter().enumerate() {
            let at = origin + cell * DVec2::new((index % side) as f64, (index / side) as f64);
            let from_rim = (radius - at.length()).abs();
            if (from_rim - INSIDE).abs() > 0.005 {
                assert_eq!(found, from_rim < INSIDE, "{at}");
            }
        }
    }

    #[test]
    fn an_outline_that_leaves_the_grid_marks_what_is_on_it() {
        let heights = HeightGrid { columns: 9, rows: 9, cell: Length::mm(0.2), mm: vec![0.0; 81] };
        let ground = SideGrid { heights, origin: DVec2::ZERO };
        let found = edge(&ground, [DVec2::new(-0.1, 0.8), DVec2::new(90.0, -90.0)].into_iter());
        // 1.5 mm from a point 0.1 mm to the left: as far as the seventh cell.
        assert!(found[4 * 9 + 7] && !found[4 * 9 + 8]);
        assert!(found[0] && !found[8]);
    }
}
