//! The wood's tone and figure.

use glam::{DVec3, Vec3};

/// A tone by species. Tones are by eye from planed, oiled wood; no source.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Wood {
    /// Warm red-brown.
    Cherry,
    /// Pale tan with short flecks.
    Beech,
    /// Even pink-brown.
    Pear,
    /// Pale cream.
    Maple,
    /// Dark brown.
    Walnut,
    /// Pale, with strong rings.
    Ash,
    /// Pale yellow.
    Birch,
    /// Tan, with strong rings.
    Oak,
    /// Any other: a plain light brown.
    Other,
    /// No wood: a printed block, plain blue-grey.
    Plastic,
}

/// How a wood looks: two tones of its rings as sRGB bytes, how strong the rings and the fibres are,
/// and how far apart the rings are in mm.
struct Look {
    early: [u8; 3],
    late: [u8; 3],
    rings: f32,
    fibres: f32,
    spacing: f32,
}

impl Wood {
    /// The tone for a species as a board file names it, such as `"black cherry"`.
    pub fn of(species: &str) -> Wood {
        let species = species.to_lowercase();
        let known = [
            ("cherry", Wood::Cherry),
            ("beech", Wood::Beech),
            ("pear", Wood::Pear),
            ("maple", Wood::Maple),
            ("walnut", Wood::Walnut),
            ("ash", Wood::Ash),
            ("birch", Wood::Birch),
            ("oak", Wood::Oak),
        ];
        known.iter().find(|(name, _)| species.contains(name)).map_or(Wood::Other, |&(_, wood)| wood)
    }

    const fn look(self) -> Look {
        let (early, late, rings, fibres, spacing) = match self {
            Wood::Cherry => ([206, 142, 100], [172, 102, 66], 0.75, 0.10, 3.4),
            Wood::Beech => ([226, 188, 148], [204, 158, 116], 0.55, 0.16, 2.8),
            Wood::Pear => ([218, 166, 134], [194, 136, 106], 0.60, 0.06, 3.0),
            Wood::Maple => ([238, 214, 178], [222, 190, 148], 0.55, 0.07, 3.2),
            Wood::Walnut => ([132, 94, 68], [92, 62, 44], 0.80, 0.14, 3.6),
            Wood::Ash => ([232, 208, 172], [190, 154, 112], 0.85, 0.14, 2.6),
            Wood::Birch => ([238, 214, 172], [220, 188, 142], 0.50, 0.08, 3.4),
            Wood::Oak => ([214, 180, 134], [176, 136, 92], 0.80, 0.20, 2.4),
            Wood::Plastic => ([128, 152, 172], [128, 152, 172], 0.0, 0.0, 3.0),
            Wood::Other => ([214, 176, 134], [186, 142, 100], 0.60, 0.10, 3.0),
        };
        Look { early, late, rings, fibres, spacing }
    }

    /// Linear colour of the wood at a point of the design frame.
    ///
    /// Rings lie round a line along the grain (X) that is well under and beside the utensil, as in
    /// a flat-sawn board.
    pub(super) fn colour(self, point: DVec3) -> [f32; 3] {
        let look = self.look();
        let p = point.as_vec3();
        // The rings wander slowly along the grain, as a trunk does.
        let slow = Vec3::new(p.x * 0.012, p.y * 0.03, p.z * 0.03);
        let wander = Vec3::new(0.0, noise(slow) * 9.0, noise(slow + Vec3::splat(31.7)) * 7.0);
        let radius = (p.y + 23.0 + wander.y).hypot(p.z + 74.0 + wander.z);
        let jitter = noise(Vec3::new(p.x * 0.004, radius * 0.21, 7.0)) * 1.6;
        let turn = radius / look.spacing + jitter;
        let within = turn - turn.floor();
        // Growth darkens slowly over the season and stops at once; the stop is smoothed.
        let late = within.powi(3) * (1.0 - smooth((within - 0.90) / 0.10));
        let strength = 0.55 + 0.45 * noise(Vec3::new(turn.floor() * 3.1, 0.5, 11.0));
        let fine = noise(Vec3::new(p.x * 0.10, p.y * 3.3, p.z * 3.3));
        let broad = noise(Vec3::new(p.x * 0.02, p.y * 0.22, p.z * 0.22));
        let mix =
            (late * look.rings * (0.6 + 0.4 * strength) * 1.25 + 0.10 * broad).clamp(0.0, 1.0);
        let tone = 1.0 + look.fibres * fine + 0.05 * broad;
        let (early, dark) = (look.early.map(linear), look.late.map(linear));
        [0, 1, 2].map(|k| ((early[k] + (dark[k] - early[k]) * mix) * tone).max(0.0))
    }
}

/// An sRGB byte as a linear value: the square of it, near enough for a tone chosen by eye.
fn linear(byte: u8) -> f32 {
    let value = f32::from(byte) / 255.0;
    value * value * (0.9 + 0.1 * value)
}

/// 0 up to 0, 1 from 1, smooth between.
fn smooth(t: f32) -> f32 {
    let t = t.clamp(0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}

/// Smooth noise from -1 to 1 by hashing the corners of a unit lattice: the same everywhere, always.
fn noise(p: Vec3) -> f32 {
    let cell = p.floor();
    let f = p - cell;
    let w = Vec3::new(smooth(f.x), smooth(f.y), smooth(f.z));
    let (x, y, z) = (cell.x as i32, cell.y as i32, cell.z as i32);
    let mix = |a: f32, b: f32, t: f32| a + (b - a) * t;
    let row = |dy: i32, dz: i32| {
        let (y, z) = (y.wrapping_add(dy), z.wrapping_add(dz));
        mix(hash(x, y, z), hash(x.wrapping_add(1), y, z), w.x)
    };
    mix(mix(row(0, 0), row(1, 0), w.y), mix(row(0, 1), row(1, 1), w.y), w.z)
}

/// A value from -1 to 1 for a lattice corner. Odd multipliers and shifts spread neighbours apart
/// (the finaliser of MurmurHash3, 32 bit).
fn hash(x: i32, y: i32, z: i32) -> f32 {
    let mut h = (x as u32).wrapping_mul(0x9E37_79B1)
        ^ (y as u32).wrapping_mul(0x85EB_CA77)
        ^ (z as u32).wrapping_mul(0xC2B2_AE3D);
    h ^= h >> 16;
    h = h.wrapping_mul(0x85EB_CA6B);
    h ^= h >> 13;
    h = h.wrapping_mul(0xC2B2_AE35);
    h ^= h >> 16;
    h as f32 / (u32::MAX as f32 / 2.0) - 1.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_species_is_known_by_a_word_of_its_name() {
        assert_eq!(Wood::of("Black Cherry"), Wood::Cherry);
        assert_eq!(Wood::of("European beech"), Wood::Beech);
        assert_eq!(Wood::of("pear"), Wood::Pear);
        assert_eq!(Wood::of("hornbeam"), Wood::Other);
    }

    #[test]
    fn fibres_run_along_the_grain() {
        let change = |step: DVec3| -> f32 {
            (0..400)
                .map(|i| {
                    let at = DVec3::new(f64::from(i) * 0.71, f64::from(i % 20), 3.0);
                    (Wood::Beech.colour(at)[0] - Wood::Beech.colour(at + step)[0]).abs()
                })
                .sum()
        };
        assert!(change(DVec3::X * 0.3) * 3.0 < change(DVec3::Y * 0.3));
    }
}
