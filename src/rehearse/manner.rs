//! In what manner a program uses each of its cutters: its feed, its speed, its layers, the box that it fills. A path
//! program writes these for the cutter that a path is made for, so they tell which one that was.
//!
//! Promised: bounded memory. Not promised: that a manner is a proof. It speaks for one of the shop's cutters or
//! against it; what it does to the wood is judged elsewhere.

use super::plan_shape::PlanShape;
use super::stage::{StageCutter, StagedSetup};
use crate::program::{Motion, PathForm};
use crate::units::plain;
use glam::DVec2;
use std::collections::BTreeMap;

/// Heights that are told apart, in mm, and no more of them than this.
const HEIGHT_MM: f64 = 0.01;
const HEIGHTS_MOST: usize = 4096;

/// Feeds and speeds that are told apart at most: a path has a few.
const FIGURES_MOST: usize = 256;

/// A layer has at least this share of all cuts, and so many of the same height of step make layers.
const LAYER_SHARE: f64 = 0.02;
const LAYERS_LEAST: usize = 3;

/// Steps between layers differ by less than this share, or this in mm.
const STEP_SHARE: f64 = 0.05;
const STEP_MM: f64 = 0.03;

/// With less than this share of its cuts on layers a path follows the surface.
const FOLLOWS: f64 = 0.2;

/// With this share of its way at one height a path has no other.
const ONE_LEVEL: f64 = 0.9;

/// Feeds, speeds and depths that differ by less than this share are meant to be the same.
const ALIKE: f64 = 0.03;

/// The feed and the speed of more than this share of the cuts are its own.
const MAIN: f64 = 0.5;

/// Boxes of cuts and of limits are of one size when they differ by less than this, in mm.
const BOX_MM: f64 = 0.4;

/// Less than this share in wood is a path over what was cut before. Clearing after roughing has little more.
const IN_WOOD: f64 = 0.03;

/// Cuts shorter than this in all say nothing, in mm.
const SHORT_MM: f64 = 500.0;

/// How a cutter is used.
#[derive(Clone, Debug, Default)]
pub(super) struct Manner {
    length: f64,
    /// What of it was in wood.
    cut: f64,
    feeds: BTreeMap<u32, f64>,
    speeds: BTreeMap<u32, f64>,
    heights: BTreeMap<i64, (f64, u32)>,
    plan: Option<(DVec2, DVec2)>,
}

/// Layers of one height of step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Layers {
    /// The step, in mm.
    pub(super) step: f64,
    /// The line of the first of them.
    pub(super) line: u32,
}

/// What speaks for another cutter, and what for the one that is named.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Signs {
    /// In words, such as "its feed of 1800 mm/min".
    pub(super) says: Vec<String>,
    /// How many speak for it, less those that speak for the named one.
    pub(super) net: i32,
}

fn alike(a: f64, b: f64) -> bool {
    a > 0.0 && b > 0.0 && (a / b).ln().abs() < ALIKE
}

fn count(figures: &mut BTreeMap<u32, f64>, figure: f64, length: f64) {
    let figure = figure.round().clamp(0.0, 1e9) as u32;
    if figures.len() < FIGURES_MOST || figures.contains_key(&figure) {
        *figures.entry(figure).or_default() += length;
    }
}

impl Manner {
    /// Takes a motion in.
    pub(super) fn add(&mut self, motion: &Motion, cuts: bool, top: f64) {
        let low = motion.from.z.min(motion.to.z);
        let flat = match motion.form {
            PathForm::Straight => motion.from.truncate().distance(motion.to.truncate()),
            PathForm::Turn { centre, angle } => {
                motion.from.truncate().distance(centre) * angle.abs()
            }
        };
        if motion.rapid || low >= top || flat <= 0.0 || !flat.is_finite() {
            return;
        }
        self.length += flat;
        self.cut += if cuts { flat } else { 0.0 };
        let (a, b) = (motion.from.truncate(), motion.to.truncate());
        let (a, b) = (a.min(b), a.max(b));
        self.plan = Some(self.plan.map_or((a, b), |(low, high)| (low.min(a), high.max(b))));
        count(&mut self.feeds, motion.feed, flat);
        count(&mut self.speeds, motion.speed, flat);
        if (motion.from.z - motion.to.z).abs() < HEIGHT_MM / 2.0 {
            let height = (motion.to.z / HEIGHT_MM).round() as i64;
            if self.heights.len() < HEIGHTS_MOST || self.heights.contains_key(&height) {
                self.heights.entry(height).or_insert((0.0, motion.line)).0 += flat;
            }
        }
    }

    /// Whether it is in wood for a good part of its way.
    pub(super) fn cuts(&self) -> bool {
        self.cut > IN_WOOD * self.length
    }

    /// Whether next to all of its way is at one height.
    pub(super) fn is_level(&self) -> bool {
        let most = self.heights.values().map(|(length, _)| *length).fold(0.0, f64::max);
        most > ONE_LEVEL * self.length
    }

    /// The layers that it works in.
    pub(super) fn layers(&self) -> Option<Layers> {
        let share = |length: f64| length / self.length;
        let high: Vec<(f64, f64, u32)> = self
            .heights
            .iter()
            .rev()
            .filter(|(_, (length, _))| share(*length) >= LAYER_SHARE)
            .map(|(height, (length, line))| (*height as f64 * HEIGHT_MM, *length, *line))
            .collect();
        if self.length < SHORT_MM || high.len() < LAYERS_LEAST {
            return None;
        }
        let all: f64 = high.iter().map(|(_, length, _)| share(*length)).sum();
        let step = high[0].0 - high[1].0;
        let even = |pair: &[(f64, f64, u32)]| {
            (pair[0].0 - pair[1].0 - step).abs() < (STEP_SHARE * step).max(STEP_MM)
        };
        let evenly = high[..LAYERS_LEAST].windows(2).all(even);
        (evenly && all >= FOLLOWS).then_some(Layers { step, line: high[0].2 })
    }

    /// Whether it follows the surface, as finishing does.
    fn follows(&self) -> bool {
        let layer = |length: &f64| length / self.length >= LAYER_SHARE;
        let on: f64 = self.heights.values().map(|(length, _)| *length).filter(layer).sum();
        self.length >= SHORT_MM && on < FOLLOWS * self.length
    }

    fn main(figures: &BTreeMap<u32, f64>, length: f64) -> Option<f64> {
        let (figure, most) = figures.iter().max_by(|a, b| a.1.total_cmp(b.1))?;
        (*most > MAIN * length && *figure > 0).then(|| f64::from(*figure))
    }

    /// What speaks for another cutter than the one that the program names.
    pub(super) fn signs(&self, stage: &StagedSetup, named: usize, other: usize) -> Signs {
        let mut signs = Signs::default();
        let (Some(own), Some(then)) = (stage.cutters.get(named), stage.cutters.get(other)) else {
            return signs;
        };
        if self.length < SHORT_MM {
            return signs;
        }
        let mut sign = |own: bool, then: bool, says: String| {
            if then && !own {
                signs.net += 1;
                signs.says.push(says);
            } else if own && !then {
                signs.net -= 1;
            }
        };
        if let Some(feed) = Manner::main(&self.feeds, self.length) {
            let says = format!("its feed of {feed:.0} mm/min");
            sign(alike(feed, own.feed), alike(feed, then.feed), says);
        }
        if let Some(speed) = Manner::main(&self.speeds, self.length) {
            let says = format!("its speed of {speed:.0} rpm");
            sign(alike(speed, own.speed), alike(speed, then.speed), says);
        }
        if let Some(layers) = self.layers() {
            let says = format!("its layers of {} mm", plain(layers.step, 1));
            let depth = |cutter: usize| {
                stage
                    .passes_of(cutter)
                    .filter_map(|pass| pass.depth)
                    .any(|depth| alike(depth, layers.step))
            };
            sign(depth(named), depth(other), says);
        } else if self.follows() {
            let finishes = |cutter: &StageCutter| cutter.name == stage.finish;
            sign(finishes(own), finishes(then), "a path that follows the surface".to_owned());
        }
        if let Some((low, high)) = self.plan {
            let fills = |cutter: usize| {
                let boxes = stage.passes_of(cutter).flat_map(|pass| &pass.centre);
                boxes.map(PlanShape::bounds).any(|(least, most)| {
                    (low - least).abs().max((high - most).abs()).max_element() < BOX_MM
                })
            };
            sign(fills(named), fills(other), "the limit that it fills".to_owned());
        }
        signs
    }
}

impl Signs {
    /// In words.
    pub(super) fn words(&self) -> String {
        match &self.says[..] {
            [] => String::new(),
            [one] => one.clone(),
            [most @ .., last] => format!("{} and {last}", most.join(", ")),
        }
    }
}
