//! The usual mistakes: what a program would have to be for its cuts to be right.

use super::codes::{MIRRORED, TURNED, WRONG_SIDE, ZERO_OFF};
use super::remedy::Remedy;
use super::replay::RehearsalOrder;
use crate::finding::Code;
use crate::relief::Face;
use glam::{DAffine3, DMat3, DVec2, DVec3};
use std::collections::BTreeMap;

/// A shift of any size, a mirror image and a cutter other than the packet's finisher must fit so much
/// better than what is likelier: a piece may be nearly its own mirror image, and a path that
/// leaves a little fits several cutters.
pub(super) const UNLIKELY: f64 = 1.4;

/// Two ways to lie that differ by less than this are alike.
pub(super) const TURNS_ALIKE: f64 = 1.3;

/// What to do about a zero on the other face, when the packet has it on the bottom and on the top.
const LEVEL_HELP: [&str; 2] = [
    "Set the zero of Z on the bed, under the stock, in the path program; or build with `zero = \"top\"` in the shop file.",
    "Set the zero of Z on the top of the stock in the path program; or build with `zero = \"bottom\"` in the shop file.",
];

/// What to do about a cause of that kind.
pub(super) fn help(code: Code, face: Face) -> &'static str {
    match (code, face) {
        (WRONG_SIDE, Face::Top) => {
            "These are setup 2's programs: load setup 1's, or rehearse with `bottom`."
        }
        (WRONG_SIDE, Face::Bottom) => {
            "These are setup 1's programs: load setup 2's, or rehearse with `top`."
        }
        (ZERO_OFF, _) => {
            "Set the zero in the path program as the setup's page has it, and rehearse again. If it is one cutter's \
             program alone, check that cutter's length, too."
        }
        _ => "Put that right first and rehearse again: the other findings may come of it.",
    }
}

/// What a program would have to be for its cuts to be right.
pub(super) struct Guess {
    pub(super) code: Code,
    pub(super) says: String,
    pub(super) map: DAffine3,
    /// Cutters in the place of others.
    pub(super) instead: BTreeMap<usize, usize>,
    pub(super) other_side: bool,
    /// What to do.
    pub(super) help: &'static str,
    /// What its cost is multiplied by when guesses are compared.
    pub(super) handicap: f64,
    /// Of what is alike, the least is the usual mistake.
    pub(super) rank: usize,
}

impl Guess {
    /// What it puts right.
    pub(super) fn remedy(&self) -> Remedy {
        // The other side's programs are right as they are, there.
        let map = if self.other_side { DAffine3::IDENTITY } else { self.map };
        Remedy { instead: self.instead.clone(), ..Remedy::mapped(map) }
    }

    /// Whether it turns or mirrors the program: what one of a piece's symmetries makes alike.
    pub(super) fn turns(&self) -> bool {
        [MIRRORED, TURNED].contains(&self.code)
    }
}

/// The usual mistakes.
pub(super) fn guesses(order: &RehearsalOrder<'_>) -> Vec<Guess> {
    let stage = order.stage;
    let DVec2 { x: long, y: wide } = stage.size;
    let tall = stage.stock[0] - stage.stock[1];
    let (face, other, up) = match stage.zero_on_top {
        true => ("top", "bottom", -tall),
        false => ("bottom", "top", tall),
    };
    let level = format!(
        "the program's zero is on the {other} of the stock, and the packet's is on the {face}"
    );
    let mut all = Vec::new();
    let mut add = |code: Code, says: String, map: DAffine3, other_side: bool| {
        let handicap = if [MIRRORED, TURNED].contains(&code) { UNLIKELY } else { 1.0 };
        let rank = all.len();
        let instead = BTreeMap::new();
        let help = if says == level {
            LEVEL_HELP[usize::from(stage.zero_on_top)]
        } else {
            help(code, stage.face)
        };
        all.push(Guess { code, says, map, instead, other_side, help, handicap, rank });
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
    for (x, y, plan) in plans {
        for z in [0.0, up, -up] {
            let says = match (plan, z) {
                ("", z) if z == up => level.clone(),
                ("", z) if z == -up => {
                    format!(
                        "the program's zero is off by the height of the stock, beyond its {face}"
                    )
                }
                ("", _) => continue,
                (plan, 0.0) => {
                    format!(
                        "the program's zero is {plan}, and the packet's is in the front left corner"
                    )
                }
                (plan, z) if z == up => {
                    format!("the program's zero is {plan} and on the {other} of the stock")
                }
                _ => continue,
            };
            add(ZERO_OFF, says, shift(x, y, z), false);
        }
    }
    for piece in &stage.pieces {
        let map = DAffine3::from_mat4(piece.to_design.inverse());
        add(
            ZERO_OFF,
            format!(
                "the program's zero is that of the design {}, and not the board's corner",
                piece.name
            ),
            map,
            false,
        );
    }
    let side = match stage.face {
        Face::Top => "the program carves the bottom, which is setup 2",
        Face::Bottom => "the program carves the top, which is setup 1",
    };
    add(WRONG_SIDE, side.to_owned(), DAffine3::IDENTITY, true);
    // Each as a matrix of the plan, and as what it is, round the board's middle and round the zero; the usual ones
    // first.
    let plans = [
        (MIRRORED, [[-1.0, 0.0], [0.0, 1.0]], "the program is mirrored along X"),
        (MIRRORED, [[1.0, 0.0], [0.0, -1.0]], "the program is mirrored along Y"),
        (TURNED, [[-1.0, 0.0], [0.0, -1.0]], "the program is turned end for end"),
        (TURNED, [[0.0, -1.0], [1.0, 0.0]], "the program is turned by a quarter, clockwise"),
        (
            TURNED,
            [[0.0, 1.0], [-1.0, 0.0]],
            "the program is turned by a quarter, counter-clockwise",
        ),
        (MIRRORED, [[0.0, 1.0], [1.0, 0.0]], "the program's X and Y are swapped"),
    ];
    let middle = DVec3::new(long / 2.0, wide / 2.0, 0.0);
    for (code, rows, says) in plans {
        let matrix3 = DMat3::from_cols(
            DVec3::new(rows[0][0], rows[1][0], 0.0),
            DVec3::new(rows[0][1], rows[1][1], 0.0),
            DVec3::Z,
        );
        // Where the middle of the board is in the program: there, or with its sides swapped.
        let swapped = if rows[0][0] == 0.0 { DVec3::new(middle.y, middle.x, 0.0) } else { middle };
        for translation in [middle - matrix3 * swapped, DVec3::ZERO] {
            add(code, says.to_owned(), DAffine3 { matrix3, translation }, false);
        }
    }
    all
}
