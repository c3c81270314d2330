//! Light: a soft key from the upper left with its shadows, a fill from the right, a sky, and less
//! of all where the shape closes round a place.
//!
//! Shadows and closeness are read from the depth buffer, so only what the eye sees casts them.

use super::raster::Buffer;
use glam::Vec3;
use rayon::prelude::*;

/// From where the lights come, in the picture's frame (x right, y up, z towards the eye). Upper
/// left is where light is drawn from by long habit; all figures here were chosen by eye.
const KEY: Vec3 = Vec3::new(-0.47, 0.55, 0.69);
const FILL: Vec3 = Vec3::new(0.74, -0.10, 0.66);
const KEY_COLOUR: [f32; 3] = [0.80, 0.77, 0.72];
const FILL_COLOUR: [f32; 3] = [0.15, 0.16, 0.18];
const SKY_COLOUR: [f32; 3] = [0.36, 0.37, 0.39];
const GROUND_COLOUR: [f32; 3] = [0.22, 0.20, 0.18];

/// Oiled wood has a low, broad sheen.
const SHEEN: f32 = 0.045;

/// How far closeness is looked for, and how far a shadow is followed, in mm.
const CLOSE_REACH: f64 = 14.0;
const SHADOW_REACH: f64 = 45.0;

/// Directions in which closeness is looked for, right and down, and the same backwards.
const AROUND: [(f32, f32); 4] = {
    const H: f32 = std::f32::consts::FRAC_1_SQRT_2;
    [(1.0, 0.0), (H, H), (0.0, 1.0), (-H, H)]
};
const CLOSE_STEPS: usize = 5;
const SHADOW_STEPS: usize = 40;

/// Nothing nearer than this is looked at, in picture elements: it is the place itself.
const NEAREST: f32 = 1.5;

/// How much of the key light is hidden when its ray just grazes, and how fast that grows with the
/// height of what hides it, for its distance.
const GRAZING: f32 = 0.35;
const SOFTNESS: f32 = 3.0;

/// How dark the object's shadow on the paper is at most, and its softness in mm.
const PAPER_SHADOW: f32 = 0.30;
const PAPER_SOFTNESS: f64 = 3.5;
/// How far the paper's shadow is shifted, away from the key light, in mm.
const PAPER_SHIFT: f64 = 3.0;

/// What the light does to each picture element.
pub(super) struct Scene {
    wide: usize,
    shades: Vec<Shade>,
    ground: Coarse,
}

/// How much of the key light and of the sky reaches a place.
#[derive(Clone, Copy)]
pub(super) struct Shade {
    key: f32,
    open: f32,
}

/// Light that leaves a place: to be multiplied by the wood's colour, and to be added to it.
pub(super) struct Lit {
    /// By channel.
    pub(super) diffuse: [f32; 3],
    /// Without colour.
    pub(super) sheen: f32,
}

impl Scene {
    /// Reads shadows and closeness from the buffer, one figure for `samples` × `samples`.
    pub(super) fn new(buffer: &Buffer, samples: usize, samples_per_mm: f64) -> Scene {
        let (wide, high) = (buffer.wide / samples, buffer.high / samples);
        let heights: Vec<f32> = (0..wide * high)
            .into_par_iter()
            .map(|i| {
                buffer.heights[(i / wide) * samples * buffer.wide + (i % wide) * samples]
                    / samples as f32
            })
            .collect();
        let field = SeenHeights::new(wide, high, heights, (samples_per_mm / samples as f64) as f32);
        let shades = (0..wide * high)
            .into_par_iter()
            .with_min_len(wide)
            .map(|i| field.shade(i % wide, i / wide))
            .collect();
        let ground = field.paper_shadow();
        Scene { wide, shades, ground }
    }

    /// Light at a picture element.
    pub(super) fn shade(&self, x: usize, y: usize) -> Shade {
        self.shades[y * self.wide + x]
    }

    /// What part of the light the paper gets at a picture element.
    pub(super) fn ground(&self, x: usize, y: usize) -> f32 {
        1.0 - PAPER_SHADOW * self.ground.at(x, y)
    }
}

impl Shade {
    /// Light that leaves a surface with this normal (picture's frame).
    pub(super) fn lit(&self, normal: Vec3) -> Lit {
        // A triangle that is seen from behind is lit as if it faced the eye.
        let normal = if normal.z < 0.0 { -normal } else { normal };
        let key_way = KEY.normalize();
        let key = normal.dot(key_way).max(0.0) * self.key;
        // Wraps round, as a broad window does.
        let fill = (normal.dot(FILL.normalize()) * 0.7 + 0.3).max(0.0) * self.open;
        let up = normal.y * 0.5 + 0.5;
        let diffuse = [0, 1, 2].map(|k| {
            let sky = GROUND_COLOUR[k] + (SKY_COLOUR[k] - GROUND_COLOUR[k]) * up;
            KEY_COLOUR[k] * key + FILL_COLOUR[k] * fill + sky * self.open
        });
        let half = (key_way + Vec3::Z).normalize();
        let sheen = SHEEN * normal.dot(half).max(0.0).powi(24) * self.key;
        Lit { diffuse, sheen }
    }
}

/// Heights towards the eye, one for each picture element, in picture elements.
struct SeenHeights {
    wide: usize,
    high: usize,
    heights: Vec<f32>,
    per_mm: f32,
    tallest: f32,
    /// Where closeness is looked for: along four lines, on both sides.
    close: [[[Stride; CLOSE_STEPS]; 2]; 4],
    /// Where the key light is looked for.
    shadow: Vec<Stride>,
}

/// From a picture element to another one.
#[derive(Clone, Copy, Default)]
struct Stride {
    right: i32,
    down: i32,
    /// How far that is.
    run: f32,
}

impl Stride {
    fn new(right: f32, down: f32, run: f32) -> Stride {
        Stride { right: (right * run).round() as i32, down: (down * run).round() as i32, run }
    }
}

impl SeenHeights {
    fn new(wide: usize, high: usize, heights: Vec<f32>, per_mm: f32) -> SeenHeights {
        let tallest = heights.iter().copied().fold(f32::NEG_INFINITY, f32::max);
        let reach = CLOSE_REACH as f32 * per_mm;
        let close = std::array::from_fn(|line| {
            [1.0, -1.0].map(|sign| {
                let (right, down) = AROUND[line];
                std::array::from_fn(|step| {
                    let run = reach * ((step + 1) as f32 / CLOSE_STEPS as f32).powi(2);
                    Stride::new(sign * right, sign * down, run.max(NEAREST))
                })
            })
        });
        let across = (KEY.x * KEY.x + KEY.y * KEY.y).sqrt();
        let reach = SHADOW_REACH as f32 * per_mm;
        let shadow = (1..=SHADOW_STEPS)
            .map(|step| reach * (step as f32 / SHADOW_STEPS as f32).powi(2))
            .filter(|&run| run >= NEAREST)
            .map(|run| Stride::new(KEY.x / across, -KEY.y / across, run))
            .collect();
        SeenHeights { wide, high, heights, per_mm, tallest, close, shadow }
    }

    /// The height at a step from a picture element; minus infinity for paper and outside.
    fn beside(&self, (x, y): (usize, usize), step: Stride) -> f32 {
        let x = x.wrapping_add_signed(step.right as isize);
        let y = y.wrapping_add_signed(step.down as isize);
        if x < self.wide && y < self.high {
            self.heights[y * self.wide + x]
        } else {
            f32::NEG_INFINITY
        }
    }

    fn height(&self, x: f32, y: f32) -> Option<f32> {
        let (x, y) = (x.round(), y.round());
        let inside = x >= 0.0 && y >= 0.0 && x < self.wide as f32 && y < self.high as f32;
        let height =
            if inside { self.heights[y as usize * self.wide + x as usize] } else { f32::MIN };
        (height > f32::MIN).then_some(height)
    }

    fn shade(&self, x: usize, y: usize) -> Shade {
        let height = self.heights[y * self.wide + x];
        match (height > f32::MIN).then_some(height) {
            Some(height) => {
                Shade { key: 1.0 - self.shadow((x, y), height), open: self.open((x, y), height) }
            }
            None => Shade { key: 1.0, open: 1.0 },
        }
    }

    /// How much of the sky is free, from the heights of the horizon round a place.
    fn open(&self, at: (usize, usize), height: f32) -> f32 {
        // Slopes on both sides are averaged, so that a plane, however tilted, closes nothing off.
        let closed: f32 = self
            .close
            .iter()
            .map(|line| {
                let slope = |steps: &[Stride; CLOSE_STEPS]| {
                    steps.iter().fold(-4.0_f32, |most, &step| {
                        most.max((self.beside(at, step) - height) / step.run)
                    })
                };
                let both = slope(&line[0]) + slope(&line[1]);
                (both / 2.0).clamp(0.0, 1.5)
            })
            .sum::<f32>()
            / 4.0;
        1.0 / (1.0 + 1.3 * closed)
    }

    /// How much of the key light is hidden, softly.
    fn shadow(&self, at: (usize, usize), height: f32) -> f32 {
        let rise = KEY.z / (KEY.x * KEY.x + KEY.y * KEY.y).sqrt();
        let mut hidden = 0.0_f32;
        for &step in &self.shadow {
            // From here on the ray is too high over all of the piece for it to be hidden.
            if self.tallest - height < (rise - GRAZING / SOFTNESS) * step.run {
                break;
            }
            // How far above the ray, for its distance: a window of some width is hidden bit by
            // bit, and roughly half of it when the ray just grazes.
            let over = (self.beside(at, step) - height - rise * step.run) / step.run;
            hidden = hidden.max((over * SOFTNESS + GRAZING).clamp(0.0, 1.0));
            if hidden >= 1.0 {
                break;
            }
        }
        hidden * hidden * (3.0 - 2.0 * hidden) * 0.85
    }

    /// The object's soft shadow on the paper: its silhouette, shifted and blurred.
    fn paper_shadow(&self) -> Coarse {
        let shift = (PAPER_SHIFT as f32 * self.per_mm).min(12.0);
        let radius = (PAPER_SOFTNESS as f32 * self.per_mm).min(14.0) / COARSE as f32;
        let radius = (radius.round() as usize).max(1);
        let (wide, high) = (self.wide.div_ceil(COARSE) + 1, self.high.div_ceil(COARSE) + 1);
        let mut cells: Vec<f32> = (0..wide * high)
            .map(|i| {
                let (x, y) = ((i % wide * COARSE) as f32, (i / wide * COARSE) as f32);
                f32::from(self.height(x - shift * 0.6, y - shift).is_some())
            })
            .collect();
        // Three passes of a box are close to a Gaussian. Each blurs the rows and turns the field
        // over, so that two do both ways.
        for _ in 0..3 {
            let across = blurred_and_turned(&cells, wide, high, radius);
            cells = blurred_and_turned(&across, high, wide, radius);
        }
        Coarse { wide, cells }
    }
}

/// Picture elements along a side of a cell of a coarse field: a soft shadow needs no more.
const COARSE: usize = 4;

/// A field with one value for `COARSE` × `COARSE` picture elements.
struct Coarse {
    wide: usize,
    cells: Vec<f32>,
}

impl Coarse {
    /// The value at a picture element, between the four cells round it.
    fn at(&self, x: usize, y: usize) -> f32 {
        let (i, j) = (x / COARSE, y / COARSE);
        let part = |v: usize| (v % COARSE) as f32 / COARSE as f32;
        let (u, v) = (part(x), part(y));
        let cell = |di: usize, dj: usize| self.cells[(j + dj) * self.wide + i + di];
        let above = cell(0, 0) * (1.0 - u) + cell(1, 0) * u;
        let below = cell(0, 1) * (1.0 - u) + cell(1, 1) * u;
        above * (1.0 - v) + below * v
    }
}

/// The field with each row replaced by its running mean, rows made columns.
fn blurred_and_turned(values: &[f32], wide: usize, high: usize, radius: usize) -> Vec<f32> {
    let mut turned = vec![0.0; wide * high];
    let mut sums = vec![0.0_f32; wide + 1];
    for (y, row) in values.chunks_exact(wide).enumerate() {
        for x in 0..wide {
            sums[x + 1] = sums[x] + row[x];
        }
        for x in 0..wide {
            let (from, to) = (x.saturating_sub(radius), (x + radius + 1).min(wide));
            turned[x * high + y] = (sums[to] - sums[from]) / (2 * radius + 1) as f32;
        }
    }
    turned
}
