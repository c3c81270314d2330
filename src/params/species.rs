//! What is published of the woods that utensils are carved from.

/// A wood.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Species {
    /// Common names, lower case; the first is the usual one.
    pub names: &'static [&'static str],
    /// Mass over volume at 12 % moisture, in kg/m³.
    pub density_kg_m3: f64,
}

/// Density at 12 % moisture.
///
/// American woods: Wood Handbook, FPL-GTR-282 (2021), Table 5-3b, specific gravity G (oven-dry
/// mass over volume at 12 %), as 1000 · G · 1.12. European beech, ash and pear are the middle of
/// the ranges that published species sheets give (690 to 730, 650 to 720, 670 to 780).
const SPECIES: &[Species] = &[
    Species { names: &["cherry", "black cherry"], density_kg_m3: 560.0 },
    Species { names: &["maple", "sugar maple", "hard maple"], density_kg_m3: 705.6 },
    Species { names: &["walnut", "black walnut"], density_kg_m3: 616.0 },
    Species { names: &["american beech"], density_kg_m3: 716.8 },
    Species { names: &["beech", "european beech"], density_kg_m3: 710.0 },
    Species { names: &["birch", "yellow birch"], density_kg_m3: 694.4 },
    Species { names: &["white ash"], density_kg_m3: 672.0 },
    Species { names: &["ash", "european ash"], density_kg_m3: 685.0 },
    Species { names: &["white oak", "oak"], density_kg_m3: 761.6 },
    Species { names: &["pear"], density_kg_m3: 725.0 },
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
}
