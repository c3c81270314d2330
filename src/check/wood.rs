//! Strength and movement of the woods that utensils are carved from, as published.

/// What the checks need of a wood.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Wood {
    names: &'static [&'static str],
    /// Modulus of rupture at 12 % moisture, in MPa.
    pub(crate) rupture: f64,
    /// Modulus of elasticity at 12 % moisture, in MPa.
    pub(crate) stiffness: f64,
    /// Tangential shrinkage, green to oven-dry, in %: the greater of the two directions.
    pub(crate) shrinkage: f64,
}

/// Strength across the grain over that along it, and the same of stiffness. In bending the Wood
/// Handbook gives ranges of 0.04 to 0.10 and 0.04 to 0.12 (ch. 5, quoted from memory); the low
/// ends err on the safe side.
pub(crate) const ACROSS: f64 = 0.04;

/// American woods: Wood Handbook, FPL-GTR-282 (2021), Table 5-3b (psi, 12 % moisture, at 6.894757
/// kPa) and Table 4-3 (shrinkage): averages of clear, straight-grained wood, not design values.
/// European beech, ash and pear: the lower of the figures that published species sheets give.
const WOODS: &[Wood] = &[
    Wood {
        names: &["cherry", "black cherry"],
        rupture: 84.806,
        stiffness: 10_273.0,
        shrinkage: 7.1,
    },
    Wood {
        names: &["maple", "sugar maple", "hard maple"],
        rupture: 108.937,
        stiffness: 12_617.0,
        shrinkage: 9.9,
    },
    Wood {
        names: &["walnut", "black walnut"],
        rupture: 100.663,
        stiffness: 11_583.0,
        shrinkage: 7.8,
    },
    Wood { names: &["american beech"], rupture: 102.732, stiffness: 11_859.0, shrinkage: 11.9 },
    Wood {
        names: &["beech", "european beech"],
        rupture: 118.0,
        stiffness: 14_000.0,
        shrinkage: 11.8,
    },
    Wood {
        names: &["birch", "yellow birch"],
        rupture: 114.453,
        stiffness: 13_858.0,
        shrinkage: 9.5,
    },
    Wood { names: &["white ash"], rupture: 106.179, stiffness: 11_997.0, shrinkage: 7.8 },
    Wood { names: &["ash", "european ash"], rupture: 103.0, stiffness: 12_000.0, shrinkage: 9.4 },
    Wood { names: &["white oak", "oak"], rupture: 104.8, stiffness: 12_273.0, shrinkage: 10.5 },
    Wood { names: &["pear"], rupture: 83.3, stiffness: 7_800.0, shrinkage: 11.3 },
];

/// The wood of that common name, in any case.
pub(crate) fn wood(name: &str) -> Option<&'static Wood> {
    let name = name.trim().to_lowercase();
    WOODS.iter().find(|wood| wood.names.contains(&name.as_str()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn strengths_are_the_handbooks_psi() {
        // Table 5-3b: black cherry 12,300 psi and 1.49 million psi; 1 psi is 6.894757 kPa.
        for (name, psi, million) in [
            ("Black cherry", 12_300.0, 1.49),
            ("sugar maple", 15_800.0, 1.83),
            ("oak", 15_200.0, 1.78),
        ] {
            let wood = wood(name).expect("a known wood");
            assert!((wood.rupture - psi * 6.894_757e-3).abs() < 1e-2, "{name}");
            assert!((wood.stiffness - million * 6_894.757).abs() < 1.0, "{name}");
        }
        assert_eq!(wood("plywood"), None);
    }
}
