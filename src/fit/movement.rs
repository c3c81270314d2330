//! How wood moves with moisture: sizes at the board's moisture now and in use.
//!
//! Promised: the handbook's formulae, as printed. Not promised: a real board to 0.1 % of moisture;
//! the handbook itself says that this is not meaningful. Wood hardly moves along the grain, so
//! lengths are left as they are.

use crate::params::{Board, Design, Species, species};
use crate::units::Length;

pub use crate::params::equilibrium;

/// The moistures, in %, between which the coefficients hold.
const COEFFICIENT: std::ops::RangeInclusive<f64> = 6.0..=14.0;

/// Which way a size lies in the tree.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Growth {
    /// Along the rays: the width of a quarter-sawn board.
    Radial,
    /// Along the rings: the width of a flat-sawn board.
    Tangential,
}

/// Over the fibre saturation point, about this many per cent, nothing moves.
const SATURATED: f64 = 30.0;

/// Change of a size of that wood from one moisture to another, in the unit of the size. From 6 to
/// 14 % by the coefficient of dimensional change, where one is printed for the wood; beyond, and
/// for other woods, by its shrinkage from green to oven-dry.
///
/// Source: Wood Handbook, FPL-GTR-282 (2021), ch. 13, which gives eq. 13-2 for moistures of 6 to
/// 14 % and eq. 13-3 for greater changes.
pub fn change(species: &Species, way: Growth, size: f64, from: f64, to: f64) -> f64 {
    let (from, to) = (from.min(SATURATED), to.min(SATURATED));
    let index = way as usize;
    match species.change {
        Some(change) if COEFFICIENT.contains(&from) && COEFFICIENT.contains(&to) => {
            by_coefficient(size, change[index], from, to)
        }
        _ => by_shrinkage(size, [species.radial, species.tangential][index], from, to),
    }
}

/// Eq. 13-2.
fn by_coefficient(size: f64, coefficient: f64, from: f64, to: f64) -> f64 {
    size * coefficient * (to - from)
}

/// Eq. 13-3. The shrinkage is in %.
fn by_shrinkage(size: f64, shrinkage: f64, from: f64, to: f64) -> f64 {
    size * (to - from) / (SATURATED * 100.0 / shrinkage - SATURATED + from)
}

/// A size across the grain, and what becomes of it in use.
#[derive(Clone, Debug, PartialEq)]
pub struct Moved {
    /// What it is, in the words of the design file.
    pub what: &'static str,
    /// As it is carved.
    pub now: Length,
    /// In use, if it lies along the rays: a quarter-sawn board's width.
    pub radial: Length,
    /// In use, if it lies along the rings: a flat-sawn board's width.
    pub tangential: Length,
}

/// The sizes across the grain of a design, at the board's moisture now and in use; none when either
/// moisture or the wood is not known. A slot changes as the wood beside it does.
pub fn sizes(design: &Design, board: &Board) -> Vec<Moved> {
    let (Some(from), Some(to), Some(wood)) =
        (board.moisture_now, board.moisture_use, species(&board.species))
    else {
        return Vec::new();
    };
    let mut sizes = vec![("head width", design.head.width())];
    let widest = design.handle.width.iter().map(|station| station.size.as_mm());
    sizes.push(("handle width", Length::mm(widest.fold(0.0, f64::max))));
    if let Some(tines) = &design.tines {
        sizes.push(("slot width", tines.slot.width));
    }
    let moved = |(what, now): (&'static str, Length)| {
        let after = |way| now + Length::mm(change(wood, way, now.as_mm(), from, to));
        Moved { what, now, radial: after(Growth::Radial), tangential: after(Growth::Tangential) }
    };
    sizes.into_iter().map(moved).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::params::species;

    /// Wood Handbook, FPL-GTR-282 (2021), ch. 13: flat-grained white fir, 232 mm wide, from 8 to
    /// 11 %, becomes 233.7 mm. Table 4-3 has S_T 7.0 for it.
    #[test]
    fn the_handbook_s_worked_example() {
        let coefficient = 7.0 / (3000.0 - 20.0 * 7.0);
        assert!((232.0 + by_coefficient(232.0, coefficient, 8.0, 11.0) - 233.7).abs() < 0.05);
        assert!((232.0 + by_shrinkage(232.0, 7.0, 8.0, 11.0) - 233.7).abs() < 0.05);
    }

    /// Table 13-5 has C_T 0.00248 for black cherry, Table 4-3 S_T 7.1; both changes were computed
    /// apart. Where the coefficient holds it is taken, which is what the two tables are for.
    #[test]
    fn a_cherry_bowl_widens_by_a_millimetre_in_a_damp_kitchen() {
        let cherry = species("cherry").unwrap();
        let wider = change(cherry, Growth::Tangential, 66.0, 6.0, 12.0);
        assert!((wider - 0.982_080).abs() < 1e-6, "{wider}");
        assert!((by_shrinkage(66.0, 7.1, 6.0, 12.0) - 0.993_639).abs() < 1e-6);
        let none_printed = Species { change: None, ..*cherry };
        let wider = change(&none_printed, Growth::Tangential, 66.0, 6.0, 12.0);
        assert!((wider - 0.993_639).abs() < 1e-6, "{wider}");
    }

    #[test]
    fn beyond_six_to_fourteen_per_cent_the_shrinkage_is_taken() {
        let cherry = species("cherry").unwrap();
        // Table 4-3 has S_R 3.7: 100 · 12 / (3000 / 3.7 - 30 + 8).
        let far = change(cherry, Growth::Radial, 100.0, 8.0, 20.0);
        assert!((far - 1.521_277).abs() < 1e-6, "{far}");
        for [from, to] in [[5.9, 12.0], [12.0, 14.1], [14.1, 12.0]] {
            let way = Growth::Tangential;
            let by = by_shrinkage(66.0, cherry.tangential, from, to);
            assert_eq!(change(cherry, way, 66.0, from, to), by, "{from} to {to}");
        }
        assert_eq!(change(cherry, Growth::Radial, 100.0, 31.0, 45.0), 0.0, "wood full of water");
    }
}
