//! How wood moves with moisture: sizes at the board's moisture now and in use.
//!
//! Promised: the handbook's formulae, as printed. Not promised: a real board to 0.1 % of moisture;
//! the handbook itself says that this is not meaningful. Wood hardly moves along the grain, so
//! lengths are left as they are.

use crate::params::Species;

/// The moistures, in %, between which the coefficients hold.
const COEFFICIENT: std::ops::RangeInclusive<f64> = 6.0..=14.0;

/// Equilibrium moisture of wood in %, at a temperature in °C and a relative humidity from 0 to 1.
///
/// Source: Wood Handbook, FPL-GTR-282 (2021), eq. 4-5.
pub fn equilibrium(celsius: f64, humidity: f64) -> f64 {
    let (t, h) = (celsius, humidity);
    let w = 349.0 + 1.29 * t + 0.0135 * t * t;
    let k = 0.805 + 0.000_736 * t - 0.000_002_73 * t * t;
    let k1 = 6.27 - 0.009_38 * t - 0.000_303 * t * t;
    let k2 = 1.91 + 0.0407 * t - 0.000_293 * t * t;
    let kh = k * h;
    let (one, two) = (k1 * kh, k1 * k2 * kh * kh);
    1800.0 / w * (kh / (1.0 - kh) + (one + 2.0 * two) / (1.0 + one + two))
}

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

    /// Wood Handbook, FPL-GTR-282 (2021), Table 4-2, the 70 °F row (21.1 °C), RH 5 to 95 %. The
    /// formula was fitted to the table; it strays from it by 0.052 at most.
    #[test]
    fn equilibrium_moisture_is_the_table_s() {
        let row = [
            1.3, 2.5, 3.5, 4.5, 5.4, 6.2, 6.9, 7.7, 8.5, 9.2, 10.1, 11.0, 12.0, 13.1, 14.4, 16.0,
            17.9, 20.5, 23.9,
        ];
        for (step, printed) in (1..).zip(row) {
            let moisture = equilibrium((70.0 - 32.0) / 1.8, 0.05 * f64::from(step));
            assert!((moisture - printed).abs() < 0.07, "{step}: {moisture} {printed}");
        }
    }
}
