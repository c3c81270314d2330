//! The cusps of one side, cell by cell and part by part.

use super::jet::jets;
use super::part::SidePart;
use super::{cusp_of_squared, step_for};
use crate::check::reach::{HeightGrid, NOTHING, SideGrid};
use crate::params::CutterForm;
use crate::relief::Face;
use crate::units::Length;
use glam::DVec2;

/// Passes of a ball, and what may be left between them.
#[derive(Clone, Copy, Debug)]
pub(super) struct Passes {
    pub(super) radius: f64,
    pub(super) step: f64,
    pub(super) limit: f64,
}

impl Passes {
    /// The shop's finishing passes; nothing where it finishes with no ball.
    pub(super) fn of(shop: &crate::params::Shop) -> Option<Passes> {
        let cutter = shop.cutter(&shop.work.finish)?;
        (cutter.form == CutterForm::Ball).then(|| Passes {
            radius: cutter.diameter.half().as_mm(),
            step: cutter.step_over().as_mm(),
            limit: shop.limits.check.cusp.as_mm(),
        })
    }

    /// Height of the cusps on a level place.
    pub(super) fn level(&self) -> f64 {
        cusp_of_squared(self.radius, self.step * self.step)
    }
}

/// Shares of a surface whose cusps are over the shop's limit, from 0 to 1, by the way in which the
/// passes run.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Over {
    /// On each place so that they leave the most: whichever way they run, it is no more.
    pub worst: f64,
    /// Along the piece.
    pub along: f64,
    /// Across it.
    pub across: f64,
}

/// The cusps of one side.
#[derive(Clone, Debug, PartialEq)]
pub struct Cusps {
    /// Which side.
    pub face: Face,
    /// The shop's limit.
    pub limit: Length,
    /// Their height square to the surface, at worst, in mm; [`NOTHING`] beside the body and in its
    /// outermost cells.
    pub high: HeightGrid,
    /// Shares of the side in the plan.
    pub over: Over,
    /// The highest.
    pub most: Length,
    /// Where that is, in the design frame, in mm.
    pub at: DVec2,
    /// Its parts, in the order along the piece.
    pub parts: Vec<OnPart>,
}

/// The cusps on one part of a side.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OnPart {
    /// Which part.
    pub part: SidePart,
    /// Its area in the plan, in mm².
    pub area_mm2: f64,
    /// Shares of the part in the plan.
    pub over: Over,
    /// The highest, at worst.
    pub most: Length,
    /// Where that is, in the design frame, in mm.
    pub at: DVec2,
}

impl Cusps {
    /// The part with the highest of them.
    pub(super) fn highest(&self) -> Option<&OnPart> {
        self.parts.iter().max_by(|a, b| a.most.as_mm().total_cmp(&b.most.as_mm()))
    }
}

/// What is counted on a part.
#[derive(Clone, Copy, Default)]
struct Tally {
    cells: usize,
    /// At worst, along and across.
    over: [usize; 3],
    most: f64,
    at: DVec2,
}

/// The cusps of a side. `part` says on which part a cell lies, by its index and its place in the
/// design frame, and `smooth` whether all round it is of one skin, so that it has a bend.
pub(super) fn cusps(
    face: Face,
    ground: &SideGrid,
    passes: Passes,
    part: impl Fn(usize, DVec2) -> SidePart,
    smooth: impl Fn(usize) -> bool,
) -> Cusps {
    let HeightGrid { columns, rows, cell, mm } = &ground.heights;
    let limit = (step_for(passes.radius, passes.limit) / passes.step).powi(2);
    let mut high = vec![NOTHING; mm.len()];
    let mut counts = [Tally::default(); SidePart::ALL.len()];
    jets(&ground.heights, |index, mut jet| {
        if !smooth(index) {
            jet.bend = [0.0; 3];
        }
        let place = DVec2::new((index % columns) as f64, (index / columns) as f64);
        let place = ground.origin + cell.as_mm() * place;
        let count = &mut counts[part(index, place) as usize];
        count.cells += 1;
        let worst = jet.worst(passes.radius, passes.step);
        if worst > limit {
            let [along, across] = jet.along_and_across(passes.radius, passes.step);
            let over = [worst, along, across].map(|spread| usize::from(spread > limit));
            count.over = [0, 1, 2].map(|run| count.over[run] + over[run]);
        }
        let height = cusp_of_squared(passes.radius, worst * passes.step * passes.step);
        high[index] = height as f32;
        if height > count.most {
            (count.most, count.at) = (height, place);
        }
    });
    let share = |count: &Tally| {
        let cells = count.cells.max(1) as f64;
        let [worst, along, across] = count.over.map(|over| over as f64 / cells);
        Over { worst, along, across }
    };
    let all = counts.iter().fold(Tally::default(), |sum, one| Tally {
        cells: sum.cells + one.cells,
        over: [0, 1, 2].map(|run| sum.over[run] + one.over[run]),
        ..if one.most > sum.most { *one } else { sum }
    });
    let on_part = |(part, count): (SidePart, Tally)| OnPart {
        part,
        area_mm2: count.cells as f64 * cell.as_mm().powi(2),
        over: share(&count),
        most: Length::mm(count.most),
        at: count.at,
    };
    let found = SidePart::ALL.into_iter().zip(counts).filter(|(_, count)| count.cells > 0);
    Cusps {
        face,
        limit: Length::mm(passes.limit),
        high: HeightGrid { columns: *columns, rows: *rows, cell: *cell, mm: high },
        over: share(&all),
        most: Length::mm(all.most),
        at: all.at,
        parts: found.map(on_part).collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const PASSES: Passes = Passes { radius: 1.5, step: 0.4, limit: 0.02 };

    /// With the tracks further apart by a factor.
    fn ridge(spread: f64) -> f64 {
        super::super::cusp(PASSES.radius, PASSES.step * spread)
    }

    /// A hollow with the form of a ball of 30 mm, 20 mm from its middle to its rim.
    fn dish() -> SideGrid {
        let (side, cell) = (221, 0.2);
        let origin = DVec2::new(100.0, -22.0);
        let mm = (0..side * side)
            .map(|index| {
                let p = cell * DVec2::new((index % side) as f64, (index / side) as f64) - 22.0;
                let under = 900.0 - p.length_squared();
                if p.length() <= 20.0 { -under.sqrt() as f32 } else { NOTHING }
            })
            .collect();
        let heights = HeightGrid { columns: side, rows: side, cell: Length::mm(cell), mm };
        SideGrid { heights, origin }
    }

    /// In a ball of radius r the slope's cosine is √(1 - ρ²/r²) at ρ from the middle, and for passes
    /// along X the tracks are s / √(1 - y²/r²) apart; the ridge is 1 / (1 - R/r) times as high. So
    /// the limit is passed outside a circle at worst, and beyond two straight lines otherwise, both
    /// r √(1 - s²/d² / (1 - R/r)) from the middle.
    #[test]
    fn shares_on_a_dish_are_those_of_the_circle_and_of_two_lines() {
        let dish = dish();
        let halves = |_, p: DVec2| if p.x < 122.0 { SidePart::Hollow } else { SidePart::Tines };
        let found = cusps(Face::Top, &dish, PASSES, halves, |_| true);
        let [hollow, tines] = found.parts.as_slice() else { panic!("{:?}", found.parts) };
        // The outermost cells, a fifth of a millimetre, are left out.
        let rim = ((hollow.area_mm2 + tines.area_mm2) / std::f64::consts::PI).sqrt();
        assert!((rim - 19.8).abs() < 0.05, "{rim}");
        // d² = 4 (R² - (R - h)²) = 0.2384, s² = 0.16, R/r = 0.05.
        let from_middle = 30.0 * (1.0 - 0.16_f64 / 0.2384 / 0.95).sqrt();
        let circle = 1.0 - (from_middle / rim).powi(2);
        let angle = (from_middle / rim).acos();
        let lines = 2.0 * (angle - angle.sin() * angle.cos()) / std::f64::consts::PI;
        let near =
            |found: f64, exact: f64| assert!((found - exact).abs() < 0.003, "{found} {exact}");
        near(found.over.worst, circle);
        near(found.over.along, lines);
        near(found.over.across, lines);
        near(hollow.over.worst, circle);
        near(tines.over.along, lines);
        // The highest is at the rim, a cell or so inside.
        let rim =
            |from_middle: f64| ridge(((1.0 - (from_middle / 30.0_f64).powi(2)) * 0.95).powf(-0.5));
        let most = found.most.as_mm();
        assert!(most > rim(19.5) && most < rim(20.0), "{most}");
        assert!(((found.at - DVec2::new(122.0, 0.0)).length() - 19.8).abs() < 0.3);
        let highest = found.high.mm.iter().copied().fold(0.0, f32::max);
        assert_eq!(highest, most as f32);
    }
    /// A roof with a slope of 45 degrees: on its ridge the ball rolls over the line and leaves no
    /// more than on a level place, and beside it the bend of the cells is none of the skin's own.
    #[test]
    fn a_line_between_two_skins_bends_neither() {
        let (side, cell) = (41, 0.2);
        let height = |index: usize| -(cell * ((index % side) as f64 - 20.0)).abs() as f32;
        let mm = (0..side * side).map(height).collect();
        let heights = HeightGrid { columns: side, rows: side, cell: Length::mm(cell), mm };
        let roof = SideGrid { heights, origin: DVec2::ZERO };
        let smooth = |index: usize| (index % side).abs_diff(20) > 1;
        let found = cusps(Face::Top, &roof, PASSES, |_, _| SidePart::Handle, smooth);
        let (level, steep) = (ridge(1.0), ridge(2.0_f64.sqrt()));
        assert!((f64::from(found.high.mm[20 * side + 20]) - level).abs() < 1e-6);
        assert!((f64::from(found.high.mm[20 * side + 10]) - steep).abs() < 1e-6);
        assert!((found.most.as_mm() - steep).abs() < 1e-6);
    }
}
