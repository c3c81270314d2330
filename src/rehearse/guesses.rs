//! The usual mistakes: what a program would have to be for its cuts to be right.

use super::codes::{MIRRORED, WRONG_SIDE, ZERO_OFF};
use super::replay::RehearsalOrder;
use crate::finding::Code;
use crate::relief::Face;
use glam::{DAffine3, DMat3, DVec2, DVec3};

/// A shift of any size, a mirror image and a cutter other than the packet's finisher must fit so much
/// better than what is likelier: a piece may be nearly its own mirror image, and a path that
/// leaves a little fits several cutters.
pub(super) const UNLIKELY: f64 = 1.4;

/// What a program would have to be for its cuts to be right.
pub(super) struct Guess {
    pub(super) code: Code,
    pub(super) says: String,
    pub(super) map: DAffine3,
    pub(super) other_side: bool,
    /// What its cost is multiplied by when guesses are compared.
    pub(super) handicap: f64,
}

/// The usual mistakes.
pub(super) fn guesses(order: &RehearsalOrder<'_>) -> Vec<Guess> {
    let stage = order.stage;
    let DVec2 { x: long, y: wide } = stage.size;
    let tall = stage.stock[0] - stage.stock[1];
    let mut all = Vec::new();
    let mut add = |code: Code, says: String, map: DAffine3, other_side: bool| {
        let handicap = if code == MIRRORED { UNLIKELY } else { 1.0 };
        all.push(Guess { code, says, map, other_side, handicap });
    };
    let shift = |x: f64, y: f64, z: f64| DAffine3::from_translation(DVec3::new(x, y, z));
    // Where the program has its zero, in the setup's plan.
    let plans = [
        (0.0, 0.0, ""),
        (long / 2.0, wide / 2.0, "in the middle of the board"),
        (long, 0.0, "in the front right corner of the board"),
        (0.0, wide, "in the back left corner of the board"),
        (long, wide, "in the back right corner of the board"),
    ];
    let (face, other, up) = match stage.zero_on_top {
        true => ("top", "bottom", -tall),
        false => ("bottom", "top", tall),
    };
    let level = format!("its zero is on the {other} of the stock, and the packet's on the {face}");
    for (x, y, plan) in plans {
        for z in [0.0, up, -up] {
            let says = match (plan, z) {
                ("", z) if z == up => level.clone(),
                ("", z) if z == -up => {
                    format!("its zero is a stock's height away, beyond the {face}")
                }
                ("", _) => continue,
                (plan, 0.0) => {
                    format!("its zero is {plan}, and the packet's in the front left corner")
                }
                (plan, z) if z == up => {
                    format!("its zero is {plan} and on the {other} of the stock")
                }
                _ => continue,
            };
            add(ZERO_OFF, says, shift(x, y, z), false);
        }
    }
    for piece in &stage.pieces {
        let map = DAffine3::from_mat4(piece.to_design.inverse());
        add(ZERO_OFF, format!("its zero is the design's own, of {}", piece.name), map, false);
    }
    let side = match stage.face {
        Face::Top => "it carves the bottom, of setup 2",
        Face::Bottom => "it carves the top, of setup 1",
    };
    add(WRONG_SIDE, side.to_owned(), DAffine3::IDENTITY, true);
    for (x, y, name) in [(-1.0, 1.0, "X"), (1.0, -1.0, "Y")] {
        let mirror = DMat3::from_diagonal(DVec3::new(x, y, 1.0));
        for at_zero in [false, true] {
            let shift = if at_zero {
                DVec3::ZERO
            } else {
                DVec3::new(long * (1.0 - x) / 2.0, wide * (1.0 - y) / 2.0, 0.0)
            };
            let map = DAffine3 { matrix3: mirror, translation: shift };
            add(MIRRORED, format!("it is mirrored along {name}"), map, false);
        }
    }
    all
}
