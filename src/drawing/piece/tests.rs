//! Tests of the drawings: nothing stands in anything's way, and nothing is cut off.

use super::super::ink::{Covered, Ink, MINOR, overlap};
use super::*;
use crate::finding::Findings;
use crate::job::{Job, Order, plan};
use crate::params;

/// The shipped design of that kind, as a job.
pub(crate) fn job(kind: &str, board: &str) -> Job {
    set(&[kind], board)
}

/// Several of them.
pub(crate) fn set(kinds: &[&str], board: &str) -> Job {
    let design = |kind: &&str| match *kind {
        "spoon" => include_str!("../../../params/designs/harvest-spoon.toml"),
        "fork" => include_str!("../../../params/designs/harvest-fork.toml"),
        _ => include_str!("../../../params/designs/harvest-turner.toml"),
    };
    let board = match board {
        "cherry" => include_str!("../../../params/boards/cherry.toml"),
        "beech" => include_str!("../../../params/boards/beech.toml"),
        "pear-wide" => include_str!("../../../params/boards/pear-wide.toml"),
        _ => include_str!("../../../params/boards/pear.toml"),
    };
    let mut findings = Findings::new();
    let read = |text| params::parse_design(text, &mut Findings::new()).expect("a design").0;
    let designs = kinds.iter().map(design).map(read).collect();
    let board = params::parse_board(board, &mut findings);
    let shop = params::parse_shop(include_str!("../../../params/shop.toml"), &mut findings);
    let (board, shop) = (board.expect("a board").0, shop.expect("a shop").0);
    let tolerance = Length::mm(0.05);
    let order = Order { tolerance, ..Order::new(designs, board, shop) };
    plan(&order).job.expect("a job")
}

/// Whether all words stand free of each other and on the paper.
pub(crate) fn stand_free(ink: &Ink, size: DVec2) {
    let paper: Covered = (DVec2::ZERO, size);
    let all = ink.covered();
    assert!(all.len() > 3, "there are words");
    for (i, (words, covered)) in all.iter().enumerate() {
        let on = covered.0.cmpge(paper.0).all() && covered.1.cmple(paper.1).all();
        assert!(on, "`{words}` is off the paper: {covered:?} of {size}");
        for (others, other) in &all[i + 1..] {
            assert!(!overlap(*covered, *other), "`{words}` and `{others}`: {covered:?} {other:?}");
        }
    }
}

#[test]
fn words_stand_free_in_every_kind() {
    for (kind, board) in [("spoon", "cherry"), ("fork", "beech"), ("turner", "pear")] {
        let job = job(kind, board);
        let piece = &job.pieces[0];
        for unit in [Unit::Millimetre, Unit::Inch] {
            let (ink, size) = drawn(piece, unit);
            stand_free(&ink, size);
            for drawn in sections::drawn(piece, unit) {
                stand_free(&drawn.ink, drawn.size);
                // On a phone of 390 pixels, 358 between its margins, letters are about 9 high.
                let pixels = (358.0 / drawn.size.x).min(96.0 / 25.4);
                assert!(pixels * MINOR >= 9.0, "{}: {}", drawn.title, pixels * MINOR);
            }
        }
    }
}

#[test]
fn sections_have_the_sizes_that_were_asked_for() {
    let job = job("spoon", "cherry");
    let handle = &job.pieces[0].design.handle;
    let all = sections(&job.pieces[0]);
    assert!(all.len() >= 3);
    let first = &all[0];
    assert!((first.width - handle.width[0].size).as_mm().abs() < 0.05, "{first:?}");
    assert!((first.height - handle.thickness[0].size).as_mm().abs() < 0.05);
    let last = all.last().expect("the head");
    assert!((last.width - job.pieces[0].design.head.width()).as_mm().abs() < 0.05);
}
