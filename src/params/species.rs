//! What is published of the woods that utensils are carved from.

/// A wood.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Species {
    /// Common names, lower case; the first is the usual one.
    pub names: &'static [&'static str],
    /// Mass over volume at 12 % moisture, in kg/m³.
    pub density_kg_m3: f64,
    /// Modulus of rupture at 12 % moisture, in MPa.
    pub rupture_mpa: f64,
    /// Modulus of elasticity at 12 % moisture, in MPa.
    pub stiffness_mpa: f64,
    /// Shrinkage from green to oven-dry along the rays, in % of the green size.
    pub radial: f64,
    /// The same along the rings, the greater of the two.
    pub tangential: f64,
    /// Coefficients of dimensional change, radial and tangential, per 1 % of moisture, for 6 to
    /// 14 %, where they are printed.
    pub change: Option<[f64; 2]>,
}

/// The woods.
///
/// American woods: Wood Handbook, FPL-GTR-282 (2021). Density from Table 5-3b's specific gravity G
/// (oven-dry mass over volume at 12 %), as 1000 · G · 1.12; strength and stiffness from the same
/// table (psi, at 6.894757 kPa); shrinkage from Table 4-3; coefficients from Table 13-5, where that
/// of white oak is printed for the commercial group. Averages of clear, straight-grained wood, not
/// design values.
///
/// European beech, ash and pear are not in that handbook. Of what published species sheets give,
/// the middle of the densities (690 to 730, 650 to 720, 670 to 780), and for strength and shrinkage
/// the figures on the safe side: the sheets have 5.8 and 11.8 for beech, 5.0 and 8.0 or 5.7 and 9.4
/// for ash, 3.9 and 11.3 or 4.6 and 9.0 for pear.
const SPECIES: &[Species] = &[
    Species {
        names: &["cherry", "black cherry"],
        density_kg_m3: 560.0,
        rupture_mpa: 84.806,
        stiffness_mpa: 10_273.0,
        radial: 3.7,
        tangential: 7.1,
        change: Some([0.001_26, 0.002_48]),
    },
    Species {
        names: &["maple", "sugar maple", "hard maple"],
        density_kg_m3: 705.6,
        rupture_mpa: 108.937,
        stiffness_mpa: 12_617.0,
        radial: 4.8,
        tangential: 9.9,
        change: Some([0.001_65, 0.003_53]),
    },
    Species {
        names: &["walnut", "black walnut"],
        density_kg_m3: 616.0,
        rupture_mpa: 100.663,
        stiffness_mpa: 11_583.0,
        radial: 5.5,
        tangential: 7.8,
        change: Some([0.001_90, 0.002_74]),
    },
    Species {
        names: &["american beech"],
        density_kg_m3: 716.8,
        rupture_mpa: 102.732,
        stiffness_mpa: 11_859.0,
        radial: 5.5,
        tangential: 11.9,
        change: Some([0.001_90, 0.004_31]),
    },
    Species {
        names: &["beech", "european beech"],
        density_kg_m3: 710.0,
        rupture_mpa: 118.0,
        stiffness_mpa: 14_000.0,
        radial: 5.8,
        tangential: 11.8,
        change: None,
    },
    Species {
        names: &["birch", "yellow birch"],
        density_kg_m3: 694.4,
        rupture_mpa: 114.453,
        stiffness_mpa: 13_858.0,
        radial: 7.3,
        tangential: 9.5,
        change: Some([0.002_56, 0.003_38]),
    },
    Species {
        names: &["white ash"],
        density_kg_m3: 672.0,
        rupture_mpa: 106.179,
        stiffness_mpa: 11_997.0,
        radial: 4.9,
        tangential: 7.8,
        change: Some([0.001_69, 0.002_74]),
    },
    Species {
        names: &["ash", "european ash"],
        density_kg_m3: 685.0,
        rupture_mpa: 103.0,
        stiffness_mpa: 12_000.0,
        radial: 5.7,
        tangential: 9.4,
        change: None,
    },
    Species {
        names: &["white oak", "oak"],
        density_kg_m3: 761.6,
        rupture_mpa: 104.8,
        stiffness_mpa: 12_273.0,
        radial: 5.6,
        tangential: 10.5,
        change: Some([0.001_80, 0.003_65]),
    },
    Species {
        names: &["pear"],
        density_kg_m3: 725.0,
        rupture_mpa: 83.3,
        stiffness_mpa: 7_800.0,
        radial: 3.9,
        tangential: 11.3,
        change: None,
    },
];

/// Strength across the grain over that along it, and the same of stiffness. In bending the Wood
/// Handbook gives ranges of 0.04 to 0.10 and 0.04 to 0.12 (ch. 5, quoted from memory); the low
/// ends err on the safe side.
const ACROSS: f64 = 0.04;

impl Species {
    /// Bending strength at an angle to the grain, in radians, in MPa.
    pub fn strength_mpa_at(&self, angle: f64) -> f64 {
        hankinson(self.rupture_mpa, ACROSS * self.rupture_mpa, angle)
    }

    /// Stiffness at an angle to the grain, in radians, in MPa.
    pub fn stiffness_mpa_at(&self, angle: f64) -> f64 {
        hankinson(self.stiffness_mpa, ACROSS * self.stiffness_mpa, angle)
    }
}

/// Strength or stiffness at an angle to the grain, from that along it and that across it.
/// Source: Hankinson's formula with the exponent 2, Wood Handbook ch. 5.
pub fn hankinson(along: f64, across: f64, angle: f64) -> f64 {
    let (sin, cos) = angle.sin_cos();
    along * across / (along * sin * sin + across * cos * cos)
}

/// The weakest wood of the table, to err on the safe side with one that it does not hold.
pub fn weakest() -> &'static Species {
    SPECIES.iter().fold(&SPECIES[0], |least, wood| {
        if wood.rupture_mpa < least.rupture_mpa { wood } else { least }
    })
}

/// The usual names of all that the table holds.
pub fn known() -> Vec<&'static str> {
    SPECIES.iter().map(|wood| wood.names[0]).collect()
}

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

    #[test]
    fn strengths_are_the_handbooks_psi() {
        // Table 5-3b: black cherry 12,300 psi and 1.49 million psi; 1 psi is 6.894757 kPa.
        for (name, psi, million) in [
            ("Black cherry", 12_300.0, 1.49),
            ("sugar maple", 15_800.0, 1.83),
            ("oak", 15_200.0, 1.78),
        ] {
            let wood = species(name).expect("a known wood");
            assert!((wood.rupture_mpa - psi * 6.894_757e-3).abs() < 1e-2, "{name}");
            assert!((wood.stiffness_mpa - million * 6_894.757).abs() < 1.0, "{name}");
        }
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
