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

/// The same for whoever paints it elsewhere.
#[derive(Clone, Copy, Debug)]
pub struct Paint {
    /// The lighter tone, as sRGB bytes.
    pub early: [u8; 3],
    /// The darker one.
    pub late: [u8; 3],
    /// How strong the rings are, from 0 to 1.
    pub rings: f32,
    /// How strong the fibres are, from 0 to 1.
    pub fibres: f32,
    /// From ring to ring, in mm.
    pub spacing: f32,
}

impl Wood {
    /// Those that have a tone of their own, each by its name.
    pub const NAMED: [(&'static str, Wood); 8] = [
        ("cherry", Wood::Cherry),
        ("beech", Wood::Beech),
        ("pear", Wood::Pear),
        ("maple", Wood::Maple),
        ("walnut", Wood::Walnut),
        ("ash", Wood::Ash),
        ("birch", Wood::Birch),
        ("oak", Wood::Oak),
    ];

    /// The tone for a species as a board file names it, such as `"black cherry"`.
    pub fn of(species: &str) -> Wood {
        let species = species.to_lowercase();
        let known = Wood::NAMED.iter().find(|(name, _)| species.contains(name));
        known.map_or(Wood::Other, |&(_, wood)| wood)
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

    /// How it is painted, for whoever paints it elsewhere.
    pub fn paint(self) -> Paint {
        let Look { early, late, rings, fibres, spacing } = self.look();
        Paint { early, late, rings, fibres, spacing }
    }

    /// The wood's tone without its figure, linear: half-way between its two.
    pub(super) fn tone(self) -> [f32; 3] {
        let look = self.look();
        let (early, late) = (look.early.map(linear), look.late.map(linear));
        [0, 1, 2].map(|k| early[k] * 0.7 + late[k] * 0.3)
    }

    /// Its figure, to be painted.
    pub(super) fn figure(self) -> WoodFigure {
        let look = self.look();
        let (early, late) = (look.early.map(linear), look.late.map(linear));
        WoodFigure {
            early,
            more: [0, 1, 2].map(|k| late[k] - early[k]),
            rings: look.rings,
            fibres: look.fibres,
            per_mm: 1.0 / look.spacing,
            noises: std::array::from_fn(|_| Noise::new()),
        }
    }
}

/// A wood's figure. It keeps what it has worked out for one point, since the next one is mostly
/// near it; what it says of a point does not depend on those before.
pub(super) struct WoodFigure {
    early: [f32; 3],
    more: [f32; 3],
    rings: f32,
    fibres: f32,
    /// Rings.
    per_mm: f32,
    noises: [Noise; 6],
}

impl WoodFigure {
    /// Linear colour of the wood at a point of the design frame.
    ///
    /// Rings lie round a line along the grain (X) that is well under and beside the utensil, as in
    /// a flat-sawn board.
    pub(super) fn colour(&mut self, point: DVec3) -> [f32; 3] {
        let [aside, under, unevenness, year, fibres, bands] = &mut self.noises;
        let p = point.as_vec3();
        // The rings wander slowly along the grain, as a trunk does.
        let slow = Vec3::new(p.x * 0.012, p.y * 0.03, p.z * 0.03);
        let y = p.y + 23.0 + aside.at(slow) * 9.0;
        let z = p.z + 74.0 + under.at(slow + Vec3::splat(31.7)) * 7.0;
        let radius = (y * y + z * z).sqrt();
        let jitter = unevenness.at(Vec3::new(p.x * 0.004, radius * 0.21, 7.0)) * 1.6;
        let turn = radius * self.per_mm + jitter;
        let ring = floor(turn) as f32;
        let within = turn - ring;
        // Growth darkens slowly over the season and stops at once; the stop is smoothed.
        let late = within.powi(3) * (1.0 - smooth((within - 0.90) / 0.10));
        let strength = 0.55 + 0.45 * year.at(Vec3::new(ring * 3.1, 0.5, 11.0));
        let fine = fibres.at(Vec3::new(p.x * 0.10, p.y * 3.3, p.z * 3.3));
        let broad = bands.at(Vec3::new(p.x * 0.02, p.y * 0.22, p.z * 0.22));
        let mix =
            (late * self.rings * (0.6 + 0.4 * strength) * 1.25 + 0.10 * broad).clamp(0.0, 1.0);
        let tone = 1.0 + self.fibres * fine + 0.05 * broad;
        [0, 1, 2].map(|k| ((self.early[k] + self.more[k] * mix) * tone).max(0.0))
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
/// It keeps the corners of the last cell.
struct Noise {
    cell: [i32; 3],
    corners: [f32; 8],
}

impl Noise {
    fn new() -> Noise {
        Noise { cell: [0; 3], corners: corners([0; 3]) }
    }

    fn at(&mut self, p: Vec3) -> f32 {
        let cell = p.to_array().map(floor);
        if cell != self.cell {
            *self = Noise { cell, corners: corners(cell) };
        }
        let part = |axis: usize| smooth(p[axis] - cell[axis] as f32);
        let (x, y, z) = (part(0), part(1), part(2));
        let mix = |a: f32, b: f32, t: f32| a + (b - a) * t;
        let [a, b, c, d, e, f, g, h] = self.corners;
        let (near, far) = (mix(mix(a, b, x), mix(c, d, x), y), mix(mix(e, f, x), mix(g, h, x), y));
        mix(near, far, z)
    }
}

/// The values of a cell's corners, X first, Z last.
fn corners([x, y, z]: [i32; 3]) -> [f32; 8] {
    std::array::from_fn(|i| {
        let i = i as i32;
        hash(x.wrapping_add(i & 1), y.wrapping_add(i >> 1 & 1), z.wrapping_add(i >> 2))
    })
}

/// The whole number at or under a value. A cast and a step back: this is asked ten million times a
/// picture, and the library's own is a call.
fn floor(value: f32) -> i32 {
    let whole = value as i32;
    whole.saturating_sub(i32::from(value < whole as f32))
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
    fn a_point_has_its_colour_wherever_the_brush_was_before() {
        let mut walked = Wood::Oak.figure();
        for i in 0..500 {
            let at = DVec3::new(f64::from(i * 37 % 260), f64::from(i % 70) - 35.0, -4.3);
            assert_eq!(walked.colour(at), Wood::Oak.figure().colour(at));
        }
        assert_eq!([-1.0, -0.2, 0.0, 0.9, 2.0, f32::NAN].map(floor), [-1, -1, 0, 0, 2, 0]);
    }

    #[test]
    fn fibres_run_along_the_grain() {
        let change = |step: DVec3| -> f32 {
            (0..400)
                .map(|i| {
                    let at = DVec3::new(f64::from(i) * 0.71, f64::from(i % 20), 3.0);
                    let colour = |at| Wood::Beech.figure().colour(at)[0];
                    (colour(at) - colour(at + step)).abs()
                })
                .sum()
        };
        assert!(change(DVec3::X * 0.3) * 3.0 < change(DVec3::Y * 0.3));
    }
}
