//! What a ball leaves round a tab, on a grid: how high, and where it lifts anything.
//!
//! Promised: wherever a point is lifted by more than [`LEAST_LIFT`], the cells round it are marked.

use super::rolling::{Ball, Tips};
use glam::DVec2;

/// Less than this is no fillet (mm): half of what the coarsest usual mesh may err.
pub(super) const LEAST_LIFT: f64 = 0.01;

/// Cells in a tab's surroundings.
#[derive(Clone, Copy, Default)]
pub(super) struct FootGrid {
    pub(super) low: DVec2,
    pub(super) cell: f64,
    pub(super) wide: usize,
}

impl FootGrid {
    /// The four cells round a place, and where between them it lies.
    fn round(&self, p: DVec2) -> Option<([usize; 4], DVec2)> {
        let q = (p - self.low) / self.cell;
        let from = q.floor();
        if from.min_element() < 0.0 || from.x as usize + 1 >= self.wide {
            return None;
        }
        let first = from.y as usize * self.wide + from.x as usize;
        Some(([first, first + 1, first + self.wide, first + self.wide + 1], q - from))
    }

    /// Between the four cells round a place.
    fn between(&self, all: &[f64], p: DVec2) -> Option<f64> {
        let (cells, t) = self.round(p)?;
        let get = |index: usize| all.get(index).copied();
        let low = get(cells[0])? * (1.0 - t.x) + get(cells[1])? * t.x;
        let high = get(cells[2])? * (1.0 - t.x) + get(cells[3])? * t.x;
        Some(low * (1.0 - t.y) + high * t.y)
    }
}

/// What the ball is rolled over.
pub(super) struct Under {
    pub(super) grid: FootGrid,
    /// Heights without the tab, of the other tabs too.
    pub(super) without: Vec<f64>,
    /// Which cells are skin.
    pub(super) skin: Vec<bool>,
    /// Which cells the tab stands on, and how high it is.
    pub(super) strip: Vec<bool>,
    pub(super) top: f64,
    /// The edge of the tab's top over the rim, which no cells follow: places in cells, and heights.
    pub(super) crest: Vec<(DVec2, f64)>,
    /// Least and greatest corner of what may be lifted.
    pub(super) within: [DVec2; 2],
}

/// What the ball leaves, with the tab and without it, as far as anything may be lifted.
#[derive(Default)]
pub(super) struct Lifting {
    grid: FootGrid,
    with: Vec<f64>,
    without: Vec<f64>,
    /// Cells where something is lifted, and all beside them.
    marked: Vec<bool>,
}

impl Lifting {
    /// Of a ball of that radius, in mm.
    pub(super) fn of(under: &Under, radius: f64) -> Lifting {
        let Under { grid, top, .. } = *under;
        let [low, high] = under.within.map(|p| ((p - grid.low) / grid.cell).floor());
        let mut wanted = vec![false; under.without.len()];
        for (row, cells) in wanted.chunks_mut(grid.wide).enumerate() {
            let inside = row as f64 >= low.y && row as f64 <= high.y + 1.0;
            let columns = low.x.max(0.0) as usize..grid.wide.min(high.x as usize + 2);
            if inside {
                cells[columns].fill(true);
            }
        }
        let ball = Ball::new(radius, grid.cell);
        let tips = Tips::over(&ball, &under.without, grid.wide, &wanted);
        let without = tips.clone().left(&wanted);
        let with = tips.with_level(&under.strip, top).with_crest(&under.crest).left(&wanted);
        let beside_skin = grown(&under.skin, grid.wide);
        let lifted = |cell: usize| {
            let from = match (under.strip[cell], under.skin[cell]) {
                (true, _) => top,
                (_, true) => without[cell].max(under.without[cell]),
                _ => without[cell],
            };
            let some = under.strip[cell] || beside_skin[cell];
            wanted[cell] && some && with[cell] > from + LEAST_LIFT
        };
        let lifted: Vec<bool> = (0..wanted.len()).map(lifted).collect();
        Lifting { grid, with, without, marked: grown(&lifted, grid.wide) }
    }

    /// What it leaves at a place, with the tab and without it.
    pub(super) fn at(&self, p: DVec2) -> Option<[f64; 2]> {
        Some([self.grid.between(&self.with, p)?, self.grid.between(&self.without, p)?])
    }

    /// Whether a line runs through cells where something is lifted, or beside them.
    pub(super) fn along(&self, [a, b]: [DVec2; 2]) -> bool {
        let FootGrid { low, cell, wide } = self.grid;
        let [a, b] = [a, b].map(|p| (p - low) / cell);
        // Two places to a cell: a cell that lies between them has marked ones beside it.
        let parts = (2.0 * a.distance(b)).ceil().max(1.0) as u32;
        (0..=parts).any(|part| {
            let at = a.lerp(b, f64::from(part) / f64::from(parts)).round();
            let inside = at.min_element() >= 0.0 && (at.x as usize) < wide;
            let index = at.y as usize * wide + at.x as usize;
            inside && self.marked.get(index).copied().unwrap_or_default()
        })
    }
}

/// The cells, and all that have one of them beside them or across a corner.
fn grown(cells: &[bool], wide: usize) -> Vec<bool> {
    let beside = |row: &[bool]| -> Vec<bool> {
        (0..row.len())
            .map(|i| row[i.saturating_sub(1)..(i + 2).min(row.len())].contains(&true))
            .collect()
    };
    let level: Vec<bool> = cells.chunks(wide.max(1)).flat_map(beside).collect();
    let at = |index: Option<usize>| index.and_then(|i| level.get(i)).copied().unwrap_or_default();
    (0..level.len())
        .map(|i| level[i] || at(i.checked_sub(wide)) || at(i.checked_add(wide)))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A tab 2 mm high beside level skin, both 12 mm wide: the ball touches both within its radius.
    #[test]
    fn only_the_foot_is_marked_and_all_of_it() {
        let (cell, wide, radius) = (0.1, 241, 1.5);
        let half = |column: usize| column < wide / 2;
        let cells = || (0..wide * wide).map(|i| i % wide);
        let under = Under {
            grid: FootGrid { low: DVec2::ZERO, cell, wide },
            without: cells().map(|at| if half(at) { 0.0 } else { -9.0 }).collect(),
            skin: cells().map(half).collect(),
            strip: cells().map(|at| !half(at)).collect(),
            top: 2.0,
            crest: Vec::new(),
            within: [DVec2::splat(2.0), DVec2::splat(22.0)],
        };
        let lift = Lifting::of(&under, radius);
        let edge = 12.0;
        let across = |from: f64, to: f64| {
            lift.along([DVec2::new(edge + from, 8.0), DVec2::new(edge + to, 12.0)])
        };
        assert!(!across(-9.0, -radius - 0.4) && !across(0.4, 9.0));
        assert!(across(-radius + 0.4, -radius + 0.3) && across(-9.0, 9.0));
        for step in 0..180 {
            let p = DVec2::new(2.5 + 0.05 * f64::from(step), 12.03);
            let [with, without] = lift.at(p).expect("on the grid");
            assert!(with <= without + LEAST_LIFT || lift.along([p, p]), "{p}: {with} {without}");
            // Nothing is higher than the arc that the ball leaves.
            let off = (radius - (edge - p.x)).max(0.0);
            assert!(with <= radius - (radius * radius - off * off).max(0.0).sqrt() + 0.6);
        }
    }
}
