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

/// Change of a size from one moisture to another, by the coefficient of dimensional change, which
/// holds from 6 to 14 %. In the unit of the size.
///
/// Source: Wood Handbook, FPL-GTR-282 (2021), eq. 13-2.
pub fn by_coefficient(size: f64, coefficient: f64, from: f64, to: f64) -> f64 {
    size * coefficient * (to - from)
}

/// The same by the shrinkage from green to oven-dry, in %, for any moisture under 30 %.
///
/// Source: Wood Handbook, FPL-GTR-282 (2021), eq. 13-3.
pub fn by_shrinkage(size: f64, shrinkage: f64, from: f64, to: f64) -> f64 {
    size * (to - from) / (30.0 * 100.0 / shrinkage - 30.0 + from)
}

/// Which way a size lies in the tree.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// Along the rays: the width of a quarter-sawn board.
    Radial,
    /// Along the rings: the width of a flat-sawn board.
    Tangential,
}

/// Change of a size of that wood: by its coefficient where one is printed and holds, else by its
/// shrinkage. In the unit of the size.
pub fn change(species: &Species, way: Way, size: f64, from: f64, to: f64) -> f64 {
    let index = way as usize;
    match species.change {
        Some(change) if COEFFICIENT.contains(&from) && COEFFICIENT.contains(&to) => {
            by_coefficient(size, change[index], from, to)
        }
        _ => by_shrinkage(size, [species.radial, species.tangential][index], from, to),
    }
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
    // Over the fibre saturation point, about 30 %, nothing moves.
    let (from, to) = (from.min(30.0), to.min(30.0));
    let mut sizes = vec![("head width", design.head.width())];
    let widest = design.handle.width.iter().map(|station| station.size.as_mm());
    sizes.push(("handle width", Length::mm(widest.fold(0.0, f64::max))));
    if let Some(tines) = &design.tines {
        sizes.push(("slot width", tines.slot.width));
    }
    let moved = |(what, now): (&'static str, Length)| {
        let after = |way| now + Length::mm(change(wood, way, now.as_mm(), from, to));
        Moved { what, now, radial: after(Way::Radial), tangential: after(Way::Tangential) }
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

    #[test]
    fn a_cherry_bowl_widens_by_a_millimetre_in_a_damp_kitchen() {
        let cherry = species("cherry").unwrap();
        // By eq. 13-2 with C_T 0.00248 of Table 13-5.
        let wider = change(cherry, Way::Tangential, 66.0, 6.0, 12.0);
        assert!((wider - 0.982_080).abs() < 1e-6, "{wider}");
        // By eq. 13-3 with S_T 7.1 of Table 4-3, computed apart.
        assert!((by_shrinkage(66.0, 7.1, 6.0, 12.0) - 0.993_639).abs() < 1e-6);
    }

    #[test]
    fn over_fourteen_per_cent_the_shrinkage_is_taken() {
        let cherry = species("cherry").unwrap();
        let far = change(cherry, Way::Radial, 100.0, 8.0, 20.0);
        assert!((far - by_shrinkage(100.0, 3.7, 8.0, 20.0)).abs() < 1e-12);
    }
}
