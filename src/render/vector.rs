//! Shaded pictures as SVG: areas of equal tone, from dark to light, inside the silhouette.
//!
//! Promised: the same mesh, view, size and wood give the same bytes; the drawing fetches and runs
//! nothing, and its name is escaped. Not promised: the wood's figure, which would make it large.

use super::tones::{ToneMap, area, simpler};
use super::{SAMPLES, Seen, Sitter, View, Wood, coded, hits, light, raster};
use crate::export::svg::escaped;
use crate::mesh::Mesh;
use rayon::prelude::*;
use std::fmt::Write;

/// Picture elements along the longer side of the field that tones are traced in. More shows no
/// finer edge on paper and makes the file larger (looked at 400, 700 and 1200).
const LONG: f64 = 700.0;

/// How many tones. Fewer show as steps, more as no difference (looked at 6, 10 and 16).
const TONES: usize = 12;

/// Corners are left out that matter less than this, in picture elements.
const OFF: f32 = 0.15;

/// Areas smaller than this many picture elements are not drawn.
const SMALLEST: f32 = 3.0;

/// Steps of the file's coordinates in a picture element.
const FINE: f32 = 10.0;

/// How far the tone reaches past the silhouette, in picture elements, so that its lines run out
/// under the edge.
const PAST: usize = 4;

/// Draws a mesh as SVG on no ground. `size` is width and height in pixels, as for
/// [`super::shaded`]; `name` is read out to those who can't see it.
pub fn shaded_svg(mesh: &Mesh, view: &View, size: (u32, u32), wood: Wood, name: &str) -> String {
    let scale = LONG / f64::from(size.0.max(size.1).max(1));
    let side = |side: u32| ((f64::from(side) * scale).round() as usize).max(1);
    let (wide, high) = (side(size.0), side(size.1));
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\" aria-label=\"{}\" width=\"{}\" \
         height=\"{}\" viewBox=\"0 0 {} {}\">\n<title>{0}</title>\n",
        escaped(name),
        size.0,
        size.1,
        wide * FINE as usize,
        high * FINE as usize,
    );
    if let Some(seen) = Seen::new(&Sitter::new(mesh), *view, (wide, high)) {
        areas(&mut svg, &seen, (wide, high), wood);
    }
    svg.push_str("</svg>\n");
    svg
}

fn areas(svg: &mut String, seen: &Seen, (wide, high): (usize, usize), wood: Wood) {
    let (cover, tone) = fields(seen, (wide, high));
    let mut levels: Vec<f32> = (0..tone.values.len())
        .filter(|&i| cover.values[i] >= 0.5)
        .map(|i| tone.values[i])
        .collect();
    levels.sort_by(f32::total_cmp);
    let part = |part: f64| levels.get((levels.len() as f64 * part) as usize).copied();
    let (Some(low), Some(high)) = (part(0.02), part(0.98)) else { return };
    let outline = path(&cover, 0.5);
    let colour = |light: f32| {
        let [r, g, b] = wood.tone().map(|base| coded(base * light * light));
        format!("#{r:02x}{g:02x}{b:02x}")
    };
    let step = (high - low) / TONES as f32;
    let _ = writeln!(
        svg,
        "<clipPath id=\"piece\"><path clip-rule=\"evenodd\" d=\"{outline}\"/></clipPath>"
    );
    let _ = writeln!(
        svg,
        "<g fill-rule=\"evenodd\">\n<g clip-path=\"url(#piece)\">\n<path fill=\"{}\" d=\"{outline}\"/>",
        colour(low)
    );
    let level = |count: usize| low + step * (count as f32 - 0.5);
    let paths: Vec<String> = (1..TONES + 1)
        .into_par_iter()
        .with_max_len(1)
        .map(|count| path(&tone, level(count)))
        .collect();
    for (count, d) in (1..).zip(paths) {
        if step > 0.0 && !d.is_empty() {
            let fill = colour(level(count) + step / 2.0);
            let _ = writeln!(svg, "<path fill=\"{fill}\" d=\"{d}\"/>");
        }
    }
    let _ = writeln!(
        svg,
        "</g>\n<path fill=\"none\" stroke=\"{}\" stroke-width=\"9\" stroke-linejoin=\"round\" d=\"{outline}\"/>\n</g>",
        colour(low * 0.7)
    );
}

/// How much of each picture element is covered, and how light it is there: the square root of the
/// light, which the eye sees in even steps.
fn fields(seen: &Seen, (wide, high): (usize, usize)) -> (ToneMap, ToneMap) {
    let scene = seen.scene();
    let light = |hit: &raster::Hit, shade: light::Shade| {
        let lit = shade.lit(hit.normal);
        lit.diffuse.iter().sum::<f32>() / 3.0 + lit.sheen
    };
    let look = |i: usize| {
        let (x, y) = (i % wide, i / wide);
        let hits = hits(seen, (x, y));
        let count = hits.iter().flatten().count() as f32;
        let sum: f32 = hits.iter().flatten().map(|hit| light(hit, scene.shade(x, y))).sum();
        // No light over no hits is not a number, which is what paper is here.
        (count / (SAMPLES * SAMPLES) as f32, (sum / count).sqrt())
    };
    let (cover, mut tone): (Vec<f32>, Vec<f32>) =
        (0..wide * high).into_par_iter().with_min_len(wide).map(look).unzip();
    for _ in 0..PAST {
        tone = spread(&tone, wide, |value, mean| if value.is_nan() { mean } else { value });
    }
    // Once softened, so that single elements make no areas of their own.
    tone = spread(&tone, wide, |value, mean| if value.is_nan() { value } else { mean });
    tone.iter_mut().filter(|value| value.is_nan()).for_each(|value| *value = f32::NEG_INFINITY);
    (ToneMap { wide, high, values: cover }, ToneMap { wide, high, values: tone })
}

/// Each value made from itself and the mean of the known ones in the square round it.
fn spread(values: &[f32], wide: usize, made: impl Fn(f32, f32) -> f32 + Sync) -> Vec<f32> {
    let high = values.len() / wide.max(1);
    (0..values.len())
        .into_par_iter()
        .with_min_len(wide)
        .map(|i| {
            let (x, y) = (i % wide, i / wide);
            let (mut sum, mut count) = (0.0_f32, 0.0_f32);
            for row in y.saturating_sub(1)..(y + 2).min(high) {
                for value in &values[row * wide..][x.saturating_sub(1)..(x + 2).min(wide)] {
                    if !value.is_nan() {
                        sum += value;
                        count += 1.0;
                    }
                }
            }
            made(values[i], sum / count)
        })
        .collect()
}

/// The lines of a level as a path in steps of the file.
fn path(field: &ToneMap, level: f32) -> String {
    let mut d = String::new();
    for line in field.loops(level) {
        if area(&line).abs() / 2.0 < SMALLEST {
            continue;
        }
        let mut last: Option<[i32; 2]> = None;
        for p in simpler(&line, OFF) {
            let at = p.map(|value| (value * FINE).round() as i32);
            match last {
                None => {
                    let _ = write!(d, "M{} {}l", at[0], at[1]);
                }
                Some(before) if before != at => {
                    let [x, y] = [at[0] - before[0], at[1] - before[1]];
                    let gap = if d.ends_with('l') || x < 0 { "" } else { " " };
                    let between = if y < 0 { "" } else { " " };
                    let _ = write!(d, "{gap}{x}{between}{y}");
                }
                Some(_) => continue,
            }
            last = Some(at);
        }
        d.push('z');
    }
    d
}
