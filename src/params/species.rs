//! What is published of the woods that utensils are carved from.

/// A wood.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Species {
    /// Common names, lower case; the first is the usual one.
    pub names: &'static [&'static str],
    /// Mass over volume at 12 % moisture, in kg/m³.
    pub density_kg_m3: f64,
    /// Shrinkage from green to oven-dry along the rays, in % of the green size.
    pub radial: f64,
    /// The same along the rings.
    pub tangential: f64,
    /// Coefficients of dimensional change, radial and tangential, per 1 % of moisture, for 6 to
    /// 14 %, where they are printed.
    pub change: Option<[f64; 2]>,
}

const fn wood(
    names: &'static [&'static str],
    density_kg_m3: f64,
    [radial, tangential]: [f64; 2],
    change: Option<[f64; 2]>,
) -> Species {
    Species { names, density_kg_m3, radial, tangential, change }
}

/// American woods: Wood Handbook, FPL-GTR-282 (2021).
/// Density at 12 %: Table 5-3b, specific gravity G (oven-dry mass over volume at 12 %), as
/// 1000 · G · 1.12. Shrinkage: Table 4-3. Coefficients: Table 13-5; that of white oak is printed
/// for the commercial group.
///
/// European beech and ash, and pear, are not in that handbook. Their figures are from published
/// species sheets, which disagree: density is the middle of 690 to 730, 650 to 720 and 670 to 780;
/// shrinkage 5.8 and 11.8 (two sheets), 5.0 and 8.0 (two sheets; another has 5.7 and 9.4), 3.9 and
/// 11.3 (another has 4.6 and 9.0).
const SPECIES: &[Species] = &[
    wood(&["cherry", "black cherry"], 560.0, [3.7, 7.1], Some([0.001_26, 0.002_48])),
    wood(&["maple", "sugar maple", "hard maple"], 705.6, [4.8, 9.9], Some([0.001_65, 0.003_53])),
    wood(&["walnut", "black walnut"], 616.0, [5.5, 7.8], Some([0.001_90, 0.002_74])),
    wood(&["american beech"], 716.8, [5.5, 11.9], Some([0.001_90, 0.004_31])),
    wood(&["beech", "european beech"], 710.0, [5.8, 11.8], None),
    wood(&["birch", "yellow birch"], 694.4, [7.3, 9.5], Some([0.002_56, 0.003_38])),
    wood(&["white ash"], 672.0, [4.9, 7.8], Some([0.001_69, 0.002_74])),
    wood(&["ash", "european ash"], 685.0, [5.0, 8.0], None),
    wood(&["white oak", "oak"], 761.6, [5.6, 10.5], Some([0.001_80, 0.003_65])),
    wood(&["pear"], 725.0, [3.9, 11.3], None),
];

/// The wood of that common name, in any case; nothing for a wood that the table does not hold.
pub fn species(name: &str) -> Option<&'static Species> {
    let name = name.trim().to_lowercase();
    SPECIES.iter().find(|species| species.names.contains(&name.as_str()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_wood_is_found_by_any_of_its_names_in_any_case() {
        assert_eq!(species("Black Cherry").map(|s| s.density_kg_m3), Some(560.0));
        assert_eq!(species(" pear "), species("PEAR"));
        assert_eq!(species("plywood"), None);
    }

    /// Both tables of the handbook say the same: C = S / (3000 - 20 · S), which follows from its
    /// eq. 13-3 at 10 % moisture; half of the last printed digit. White oak's are of a group.
    #[test]
    fn shrinkage_and_coefficients_agree() {
        for wood in SPECIES.iter().filter(|wood| wood.names[0] != "white oak") {
            let Some(change) = wood.change else { continue };
            for (printed, shrinkage) in change.into_iter().zip([wood.radial, wood.tangential]) {
                let derived = shrinkage / (3000.0 - 20.0 * shrinkage);
                assert!((printed - derived).abs() <= 5e-6, "{:?}: {printed} {derived}", wood.names);
            }
        }
    }
}
