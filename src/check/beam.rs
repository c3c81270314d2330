//! A tapered, curved cantilever: stress and deflection under a load on its end.
//!
//! Source: Euler-Bernoulli bending, M = E·I·κ, in any text on the strength of materials; shear is
//! left out. The wood's stiffness and strength at an angle to the grain are Hankinson's: Wood
//! Handbook, FPL-GTR-282 (2021), ch. 5.
//!
//! Promised: the section's second moment by strips of the exact surface, moment and deflection by
//! the trapezoid rule over the slices. Not promised: anything about knots, short grain round a
//! slot's root, impact or wet wood.

/// A strip of a section: from its underside to its top, and its width, in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slice {
    /// Underside.
    pub low: f64,
    /// Top.
    pub high: f64,
    /// Width across.
    pub width: f64,
}

/// An upright section across a beam.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct BeamSection {
    /// Distance along the beam, in mm.
    pub along: f64,
    /// Height of its centroid, in mm.
    pub middle: f64,
    /// Area, in mm².
    pub area: f64,
    /// Second moment about its own level axis, in mm⁴.
    pub second: f64,
    /// From its centroid to the farther of top and underside, in mm.
    pub outer: f64,
    /// Slope of the wood's run there against the level, as an angle in radians. Not that of the
    /// centroids: where a tine begins they jump, and the grain does not.
    pub lean: f64,
}

impl BeamSection {
    /// Of strips side by side; not leaning.
    pub fn of(along: f64, strips: impl Iterator<Item = Slice> + Clone) -> BeamSection {
        let (mut area, mut first) = (0.0, 0.0);
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        for strip in strips.clone() {
            let part = strip.width * (strip.high - strip.low);
            area += part;
            first += part * 0.5 * (strip.high + strip.low);
            low = low.min(strip.low);
            high = high.max(strip.high);
        }
        if area <= 0.0 {
            return BeamSection { along, ..BeamSection::default() };
        }
        let middle = first / area;
        let second = strips
            .map(|strip| {
                let (a, b) = (strip.high - middle, strip.low - middle);
                strip.width * (a * a * a - b * b * b) / 3.0
            })
            .sum();
        let outer = (high - middle).max(middle - low);
        BeamSection { along, middle, area, second, outer, lean: 0.0 }
    }
}

/// What a load does to a beam.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Bent {
    /// Greatest stress over the strength there: 1 breaks.
    pub used: f64,
    /// Where along the beam that is, in mm.
    pub at: f64,
    /// Greatest stress there, in MPa.
    pub stress: f64,
    /// Deflection under the load, in mm.
    pub sag: f64,
}

/// Bends a beam held at its first section by a force in newtons at `load_at` along it.
/// `strength` and `stiffness` (MPa) are asked for the angle (radians) between the beam's own line
/// and the level, at each section.
pub fn bend(
    sections: &[BeamSection],
    force: f64,
    load_at: f64,
    strength: impl Fn(f64) -> f64,
    stiffness: impl Fn(f64) -> f64,
) -> Bent {
    let mut bent = Bent::default();
    let mut before: Option<(f64, f64)> = None;
    for section in sections {
        let arm = (load_at - section.along).max(0.0);
        if section.second <= 0.0 {
            continue;
        }
        let lean = section.lean;
        // Where the middle line leans, the section that bends stands square to it: lower than the
        // upright one by the cosine, so that its second moment is less by the cube of that.
        let square = lean.cos();
        let second = section.second * square.powi(3);
        let stress = force * arm * section.outer * square / second;
        let used = stress / strength(lean);
        if used > bent.used {
            bent = Bent { used, at: section.along, stress, ..bent };
        }
        // Along a sloped middle line the beam is longer than its plan.
        let bends = force * arm * arm / (stiffness(lean) * second * square);
        if let Some((along, last)) = before {
            bent.sag += 0.5 * (last + bends) * (section.along - along);
        }
        before = Some((section.along, bends));
    }
    bent
}

pub use crate::params::hankinson;

#[cfg(test)]
mod tests {
    use super::*;

    fn even(section: impl Fn(f64) -> BeamSection, length: f64) -> Vec<BeamSection> {
        (0..=400).map(|i| section(length * f64::from(i) / 400.0)).collect()
    }

    fn rectangle(along: f64, wide: f64, high: f64) -> BeamSection {
        let strip = Slice { low: -0.5 * high, high: 0.5 * high, width: wide };
        BeamSection::of(along, std::iter::once(strip))
    }

    #[test]
    fn a_plain_cantilever_bends_as_the_closed_form_says() {
        // 50 mm, 20 N, 8 x 6, E 10.3 GPa: 0.561848256 mm and 20.833333 MPa (F l³ / 3 E I, M c / I).
        let beam = even(|x| rectangle(x, 8.0, 6.0), 50.0);
        let bent = bend(&beam, 20.0, 50.0, |_| 100.0, |_| 10_300.0);
        assert!((bent.sag - 0.561_848_256).abs() < 1e-5, "{}", bent.sag);
        assert!((bent.stress - 20.833_333).abs() < 1e-5);
        assert!((bent.used - 0.208_333_33).abs() < 1e-7 && bent.at == 0.0);
    }

    #[test]
    fn a_straight_beam_that_leans_bends_square_to_itself() {
        // 60 mm long at 25 degrees, 10 wide, 5 high square to itself, 12 N upright on its end: the
        // part of the load square to it bends it by F cos α l³ / 3 E I, of which cos α is upright.
        let (lean, long, wide, high) = (25.0_f64.to_radians(), 60.0, 10.0, 5.0);
        let (force, stiff) = (12.0, 9_000.0);
        let reach = long * lean.cos();
        let beam = even(
            |x| {
                let (middle, half) = (x * lean.tan(), 0.5 * high / lean.cos());
                let strip = Slice { low: middle - half, high: middle + half, width: wide };
                BeamSection { lean, ..BeamSection::of(x, std::iter::once(strip)) }
            },
            reach,
        );
        let bent = bend(&beam, force, reach, |_| 80.0, |_| stiff);
        let second = wide * high.powi(3) / 12.0;
        let sag = force * lean.cos().powi(2) * long.powi(3) / (3.0 * stiff * second);
        assert!((bent.sag - sag).abs() < 1e-4 * sag, "{} {sag}", bent.sag);
        let stress = 6.0 * force * reach / (wide * high * high);
        assert!((bent.stress - stress).abs() < 1e-9 * stress, "{} {stress}", bent.stress);
    }

    #[test]
    fn an_ellipse_of_strips_has_its_known_second_moment() {
        // 12 wide, 6 high: π w h³ / 64 = 127.234502 mm⁴.
        let strips = (0..2000).map(|i| {
            let y = -6.0 + 12.0 * (f64::from(i) + 0.5) / 2000.0;
            let half = 3.0 * (1.0 - (y / 6.0).powi(2)).sqrt();
            Slice { low: -half, high: half, width: 12.0 / 2000.0 }
        });
        let section = BeamSection::of(0.0, strips);
        assert!((section.second - 127.234_502).abs() < 1e-3, "{}", section.second);
    }

    #[test]
    fn a_wedge_that_tapers_to_its_load_has_even_stress() {
        // Width falls to nothing at the load, height constant: σ = 6 F l / (w h²) everywhere, and
        // δ = F l³ / 2 E I (a leaf spring's closed form).
        let (wide, high, long, force, stiff) = (10.0, 4.0, 60.0, 10.0, 12_000.0);
        let beam = even(|x| rectangle(x, wide * (1.0 - x / long), high), long);
        let bent = bend(&beam, force, long, |_| 50.0, |_| stiff);
        let second = wide * high * high * high / 12.0;
        let sag = force * long.powi(3) / (2.0 * stiff * second);
        assert!((bent.sag - sag).abs() < 0.005 * sag, "{} {sag}", bent.sag);
        assert!((bent.stress - 6.0 * force * long / (wide * high * high)).abs() < 1e-6);
    }

    #[test]
    fn hankinson_as_published() {
        // P 87.6, Q 2: 5° 66.1075155, 10° 38.2436238, 45° 3.9107143, 90° 2 (formula, 30 digits).
        for (degrees, known) in
            [(5.0_f64, 66.107_515_5), (10.0, 38.243_623_8), (45.0, 3.910_714_3), (90.0, 2.0)]
        {
            assert!((hankinson(87.6, 2.0, degrees.to_radians()) - known).abs() < 1e-6);
        }
    }
}
