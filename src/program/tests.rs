//! Tests of reading programs.

use super::*;
use crate::finding::{Code, Severity};
use proptest::prelude::*;
use std::f64::consts::{PI, TAU};

const ZEROS: Zeros = {
    let mut work = [DVec3::ZERO; 9];
    work[1] = DVec3::new(100.0, 0.0, 0.0);
    Zeros {
        work,
        unsaid: work[0],
        home: DVec3::new(-60.0, -60.0, 100.0),
        start: DVec3::new(0.0, 0.0, 100.0),
    }
};

/// What a text comes to. Most texts here say no G90 and no height, and that is left out.
fn run(text: &[u8]) -> (Vec<Motion>, Vec<Remark>, Vec<Action>) {
    let (moves, mut remarks, others) = run_whole(text);
    remarks.retain(|remark| ![DISTANCE_NOT_SAID, HEIGHT_NOT_SAID].contains(&remark.code));
    (moves, remarks, others)
}

fn run_whole(text: &[u8]) -> (Vec<Motion>, Vec<Remark>, Vec<Action>) {
    let mut program = ProgramText::new(text);
    let mut interpreter = Interpreter::new(ZEROS);
    let (mut moves, mut remarks, mut others) = (Vec::new(), Vec::new(), Vec::new());
    while let Some((number, line)) = program.next_line().expect("memory") {
        interpreter.run(number, line, &mut |said| match said {
            Ok(Action::Move(motion)) => moves.push(motion),
            Ok(other) => others.push(other),
            Err(remark) => remarks.push(remark),
        });
    }
    (moves, remarks, others)
}

fn places(text: &str) -> Vec<DVec3> {
    let (moves, remarks, _) = run(text.as_bytes());
    let usual = [ZERO_SHIFTED, AFTER_END];
    let odd: Vec<&Remark> = remarks.iter().filter(|remark| !usual.contains(&remark.code)).collect();
    assert!(odd.is_empty(), "{text}: {odd:?}");
    moves.iter().map(|motion| motion.to).collect()
}

#[test]
fn blanks_case_signs_and_comments_change_nothing() {
    let plain = places("G21\nG0X0.1234Y7\n");
    for same in [
        "%\ng21\ng0x +0. 12 34y 7\n%\nG0 X99\n",
        "N10 G21 (mm)\rN20 G0 (to; here) X.1234 Y7. ; there\r",
        "\u{feff}g21\r\n\tG00 x0.1234 y07\r\nM30\r\nG0 X5",
    ] {
        assert_eq!(places(same), plain, "{same}");
    }
}

#[test]
fn a_code_alone_on_a_line_holds_and_a_centre_alone_is_a_turn() {
    let spelled = run(b"G21 G90\nG0 Z5\nX3\nG1 X9 F100\nG0 X1\n").0;
    let alone = run(b"G21 G90\nG0\nZ5\nX3\nG1\nX9 F100\nG0\nX1\n").0;
    let plain = |all: &[Motion]| all.iter().map(|one| (one.to, one.rapid)).collect::<Vec<_>>();
    assert_eq!(plain(&alone), plain(&spelled));
    let turns = |text: &str| {
        let (moves, remarks, _) = run(text.as_bytes());
        assert_eq!(remarks, [], "{text}");
        moves.iter().map(|one| (one.to, one.form)).collect::<Vec<_>>()
    };
    let head = "G21 G90 G17\nG0 Z5\nX3 Y0\nG2 X3 Y0 I-3 J0 F100\n";
    let both = turns(&(head.to_owned() + "I-3 J0\n"));
    assert_eq!(both, turns(&(head.to_owned() + "G2 I-3 J0\n")));
    let full = PathForm::Turn { centre: DVec2::ZERO, angle: -TAU };
    assert_eq!(both.last(), Some(&(DVec3::new(3.0, 0.0, 5.0), full)));
}

#[test]
fn a_height_comes_before_the_first_way_along_the_board() {
    for text in
        ["G21 G90\nG0 Z5\nX3", "G21 G90\nG0 X3 Z5", "G21 G90\nG53 G0 Z0\nX3", "G21 G90\nG28\nG0 X3"]
    {
        assert_eq!(told(text.as_bytes()), [], "{text}");
    }
    assert_eq!(told(b"G21 G90\nG0 X3\nZ5\nX1"), [(HEIGHT_NOT_SAID, 2)]);
}

#[test]
fn a_short_arc_and_a_whole_turn_say_nothing_of_where_their_centre_should_be() {
    // So small an arc that a rounded figure is a tenth of it.
    assert_eq!(run(b"G21 G90\nG0 Z5\nG0 X0 Y0\nG2 X0.01 Y0.0111 I0.01 J0 F9").1, []);
    let (_, remarks, _) = run(b"G21 G90 G18\nG0 Z5\nG0 X3 Y0\nG3 X3 Y0 Z2 I-1 J0.5 F9");
    assert_eq!(remarks.len(), 1);
    assert!(remarks[0].says.contains("G17"), "{}", remarks[0].says);
    let (_, remarks, _) = run(b"G21 G90\nG0 Z5\nG0 X300 Y0\nG3 X301 Y0.2 I-30 J7 F9");
    assert!(remarks.iter().all(|remark| !remark.says.contains("G90.1")), "{remarks:?}");
}

#[test]
fn words_without_a_use_are_told() {
    for (line, letter) in [("G1 X5 Q3 F9", "Q"), ("G2 X3 Y0 I-3 J0 P2 F9", "P"), ("G0 X5 R3", "R")]
    {
        let (_, remarks, _) = run(format!("G21 G90\nG0 Z5\nX3 Y0\n{line}").as_bytes());
        assert_eq!(remarks.len(), 1, "{line}: {remarks:?}");
        assert!(remarks[0].says.starts_with(letter) && remarks[0].severity == Severity::Caution);
    }
}

fn told(text: &[u8]) -> Vec<(Code, u32)> {
    let (_, remarks, _) = run_whole(text);
    remarks.iter().map(|remark| (remark.code, remark.line)).collect()
}

#[test]
fn the_length_of_another_tool_is_told_where_it_cuts_or_goes_down() {
    let head = "G21 G90 G54\nT1 M6\nG0 G43 H1 Z50\nG0 X1\nG1 Z1 F9\n";
    let then = |more: &str| told((head.to_owned() + more).as_bytes());
    // Given anew before the first cut, and the way there with the old one is none.
    assert_eq!(then("G0 Z50\nT2 M6\nG0 X5\nG43 H2 Z40\nG1 Z1\nM30\n"), []);
    assert_eq!(then("G0 Z50\nT2 M6\nG0 X5\nZ40\nG1 Z1\nX2\nM30\n"), [(TOOL_LENGTH, 9)]);
    assert_eq!(then("G0 Z50\nT2 M6\nG43 H3 Z40\nG1 Z1\nX2\nM30\n"), [(TOOL_LENGTH, 8)]);
    assert_eq!(then("G49 G0 Z50\nT2 M6\nG0 Z40\nG1 Z1\nM30\n"), [(TOOL_LENGTH, 8)]);
    // Without H it is the tool's own; a program without any length says nothing of it.
    assert_eq!(then("G0 Z50\nT2 M6\nG43 Z40\nG1 Z1\nM30\n"), []);
    assert_eq!(told(b"G21 G90 G54\nT1 M6\nG1 Z1 F9\nT2 M6\nG1 Z0\nM30\n"), []);
    let (_, remarks, _) = run((head.to_owned() + "T2 M6\nG1 Z0\n").as_bytes());
    assert!(remarks[0].says.contains("tool 2 works with the length of tool 1 (H1 of line 3)"));
    assert_eq!(remarks[0].severity, Severity::Fault);
}

#[test]
fn what_follows_the_end_and_a_mode_that_is_not_said_are_told() {
    assert_eq!(told(b"G21 G90 G0 Z1\nM30\n\n(more)\n%\nN9\nG0 X2\nG0 X3\n"), [(AFTER_END, 7)]);
    assert_eq!(told(b"G21 G90 G0 Z1\nM30\n%\n"), []);
    assert_eq!(told(b"G21\nG53 G0 Z0\nG0 X1\nX2\nM30\n"), [(DISTANCE_NOT_SAID, 3)]);
    assert_eq!(told(b"G21 G91 G0 Z1\nM30\n"), []);
}

#[test]
fn an_arc_whose_centre_is_counted_otherwise_says_how_it_was_meant() {
    let says = |arc: &str| {
        let text = format!("G21 G90 G0 X10 Y10\nF9 {arc}\nM30\n");
        let (_, remarks, _) = run(text.as_bytes());
        assert_eq!(remarks.len(), 1, "{arc}: {remarks:?}");
        remarks[0].says.clone()
    };
    // A quarter round 10, 20, from 10, 10 to 20, 20.
    assert!(says("G3 X20 Y20 I10 J20").contains("counted from the zero (G90.1)"));
    assert!(says("G3 X20 Y20 I0 J-10").contains("of the other sign"));
    assert!(says("G90.1 G3 X20 Y20 I0 J10").contains("counted from its start (G91.1)"));
    assert!(!says("G3 X20 Y20 I3 J1").contains("would be right"));
}

#[test]
fn a_spindle_that_turns_back_a_shifted_zero_and_a_missing_end_are_told() {
    let (_, remarks, _) = run(b"G21 G90 G54 M4 S9000\nG0 X10\nG92 X0 Y0\nG92 X0\nM3\n");
    let told: Vec<(Code, u32)> = remarks.iter().map(|remark| (remark.code, remark.line)).collect();
    // A G92 that changes nothing is not told.
    assert_eq!(told, [(TURNS_BACK, 1), (ZERO_SHIFTED, 3)]);
    let stopped = |text: &[u8]| {
        let mut interpreter = Interpreter::new(ZEROS);
        for (number, line) in (1..).zip(text.split(|byte| *byte == b'\n')) {
            interpreter.run(number, line, &mut |_| ());
        }
        interpreter.tally().stopped
    };
    assert!(stopped(b"G21 M3\nG0 X1\nM5") && stopped(b"G21\nG0 X1\nM30"));
    assert!(!stopped(b"G21\nG0 X1") && !stopped(b"G21\nM5\nG0 X1\n%"));
}

#[test]
fn a_line_is_run_in_the_order_of_execution() {
    // The unit before the motion, and the spindle too; the stop after it.
    let (moves, remarks, _) = run(b"X1 M3 G0 M2 G20 S9000\n");
    assert!(remarks.is_empty());
    assert_eq!(moves[0].to, DVec3::new(25.4, 0.0, 100.0));
    assert!(moves[0].spinning);
    // A feed on the line of a new unit is in the old one, and it is said.
    let (moves, remarks, _) = run(b"G21\nG20 G1 X1 F100\n");
    assert_eq!((moves[0].feed, remarks.len()), (100.0, 1));
}

#[test]
fn offsets_and_incremental_moves_add_up() {
    let at = DVec3::new;
    assert_eq!(
        places("G21 G90 G55 G0 X1 Y2 Z3\nG91 X1\nG90 G54 X0\nG92 X10\nG0 X12\nG92.1\nX0\nG53 Z-1"),
        [
            at(101.0, 2.0, 3.0),
            at(102.0, 2.0, 3.0),
            at(0.0, 2.0, 3.0),
            at(2.0, 2.0, 3.0),
            at(0.0, 2.0, 3.0),
            at(0.0, 2.0, 99.0)
        ]
    );
    assert_eq!(places("G21 G0 Z5\nG28")[2], ZEROS.home);
    assert_eq!(places("G21 G0 X3 Z5\nG91 G28 Z0\nG90 X4")[2], at(4.0, 0.0, 100.0));
}

#[test]
fn arcs_by_centre_and_by_radius_are_the_same() {
    let turn = |text: &str| match run(text.as_bytes()).0.last().expect("a move").form {
        PathForm::Turn { centre, angle } => (centre, angle),
        PathForm::Straight => panic!("{text} is straight"),
    };
    let near =
        |(a, s): (DVec2, f64), (b, t): (DVec2, f64)| a.distance(b) < 1e-9 && (s - t).abs() < 1e-9;
    let head = "G21 F100 G1 X10 Y0\n";
    let quarter = turn(&format!("{head}G3 X0 Y10 I-10 J0"));
    assert!(near(quarter, (DVec2::ZERO, PI / 2.0)));
    for same in ["G3 X0 Y10 R10", "G90.1 G3 X0 Y10 I0 J0", "G91 G3 X-10 Y10 I-10"] {
        assert!(near(turn(&format!("{head}{same}")), quarter), "{same}");
    }
    assert!(near(turn(&format!("{head}G2 X0 Y10 R-10")), (DVec2::new(0.0, 0.0), -1.5 * PI)));
    assert!(near(turn(&format!("{head}G3 X0 Y10 R-10")), (DVec2::new(10.0, 10.0), 1.5 * PI)));
    assert!(near(turn(&format!("{head}G2 I-10 Z-3")), (DVec2::ZERO, -TAU)));
}

/// Seen from the end of the axis across the plane, G2 goes clockwise (NISTIR 6556, 3.5.3).
#[test]
fn upright_arcs_bend_the_right_way() {
    let middle = |text: &str| {
        let moves = run(text.as_bytes()).0;
        moves[moves.len() / 2].to
    };
    // From +Y, X points left when Z points up, so clockwise from X 0 to X 10 goes under.
    let under = middle("G21 F100 G1 X0 Y0 Z0\nG18 G2 X10 Z0 I5 K0");
    assert!((under.z + 5.0).abs() < 0.01 && (under.x - 5.0).abs() < 0.2, "{under}");
    assert!(middle("G21 F100 G1 X0 Y0 Z0\nG18 G3 X10 Z0 I5 K0").z > 4.9);
    let yz = middle("G21 F100 G1 X0 Y0 Z0\nG19 G2 Y10 Z0 J5 K0");
    assert!(yz.z > 4.9, "{yz}");
}

/// The worked example of NISTIR 6556, 3.5.16.1: G81 in absolute and in incremental mode.
#[test]
fn the_published_drilling_cycles_come_out() {
    let at = DVec3::new;
    let moves = |text: &str| -> Vec<(DVec3, bool)> {
        let (moves, remarks, _) = run(text.as_bytes());
        assert!(remarks.is_empty(), "{remarks:?}");
        moves.iter().map(|motion| (motion.to, motion.rapid)).collect()
    };
    let absolute = moves("G21 F100 G0 X1 Y2 Z3\nG90 G81 G98 X4 Y5 Z1.5 R2.8");
    let expected = [
        (at(4.0, 5.0, 3.0), true),
        (at(4.0, 5.0, 2.8), true),
        (at(4.0, 5.0, 1.5), false),
        (at(4.0, 5.0, 3.0), true),
    ];
    assert_eq!(absolute[1..], expected);
    let incremental = moves("G21 F100 G0 X1 Y2 Z3\nG91 G81 G98 X4 Y5 Z-0.6 R1.8 L3");
    let near = |a: DVec3, b: DVec3| a.distance(b) < 1e-9;
    let hole = |n: f64| {
        [
            (at(1.0 + 4.0 * n, 2.0 + 5.0 * n, 4.8), true),
            (at(1.0 + 4.0 * n, 2.0 + 5.0 * n, 4.2), false),
            (at(1.0 + 4.0 * n, 2.0 + 5.0 * n, 4.8), true),
        ]
    };
    let expected: Vec<_> = [(at(1.0, 2.0, 4.8), true)]
        .into_iter()
        .chain([1.0, 2.0, 3.0].into_iter().flat_map(hole))
        .collect();
    assert_eq!(incremental.len(), expected.len() + 1);
    for (got, want) in incremental[1..].iter().zip(&expected) {
        assert!(near(got.0, want.0) && got.1 == want.1, "{got:?} {want:?}");
    }
    let pecks = moves("G21 F100 G0 Z5\nG83 X0 Y0 Z-5 R1 Q2.5");
    let cuts: Vec<f64> = pecks.iter().filter(|(_, rapid)| !rapid).map(|(to, _)| to.z).collect();
    assert_eq!(cuts, [-1.5, -4.0, -5.0]);
}

#[test]
fn what_is_not_known_is_said_with_its_line_and_not_run() {
    for (text, code) in [
        ("G187 P1 X4", "program-word"),
        ("G41 D1 X4", "program-word"),
        ("G1 X#1 F100", "program-word"),
        ("o100 call", "program-word"),
        ("A90", "program-word"),
        ("G0 G1 X4", "program-rule"),
        ("G0 X1 X2", "program-rule"),
        ("G1 X4", "program-rule"),
        ("X4", "program-rule"),
        ("G2 X4 Y0 F10", "program-rule"),
        ("G2 X4 Y0 R1 F10", "program-rule"),
        ("G81 X4 F10", "program-rule"),
        ("G0 X", "program-text"),
        ("hello!", "program-text"),
        ("G0 (X4", "program-text"),
        ("G0 X1e3", "program-text"),
    ] {
        let (moves, remarks, _) = run(format!("G21\n{text}\n").as_bytes());
        assert!(moves.is_empty(), "{text}: {moves:?}");
        let said = remarks.iter().any(|said| said.code.name == code && said.line == 2);
        assert!(said || text == "G0 X1e3" && remarks.len() == 1, "{text}: {remarks:?}");
    }
    let (_, remarks, _) = run(b"G0 X1");
    assert_eq!((remarks[0].code, remarks[0].severity), (UNIT_NOT_SAID, Severity::Caution));
}

#[test]
fn arcs_keep_to_the_published_tolerance() {
    let differs = |by: f64| {
        let text = format!("G21 F100 G1 X10\nG3 X0 Y{} I-10 J0", 10.0 + by);
        run(text.as_bytes()).1.len()
    };
    assert_eq!([differs(0.0019), differs(0.0021)], [0, 1]);
    let (moves, remarks, _) = run(b"G21 F100 G1 X10\nG3 X0 Y12 I-10 J0\nG1 X5");
    assert_eq!((moves.len(), remarks.len()), (2, 1));
    assert_eq!(moves[1].from, DVec3::new(0.0, 12.0, 100.0));
}

#[test]
fn a_long_line_is_told_and_the_next_is_read() {
    let text = format!("G21\n({})\nG0 X1\n", "a".repeat(100_000));
    let (moves, remarks, _) = run(text.as_bytes());
    assert_eq!((moves.len(), remarks.len(), remarks[0].line), (1, 1, 2));
}

/// A sound program to be damaged.
const SOUND: &[u8] = b"%\nO\n(part)\nN1 G21 G90 G17 G54\nN2 T1 M6\nN3 S16000 M3\nG0 X10 Y10 Z5\n\
G1 Z-1 F600\nG2 X20 Y20 I10 J0 F1800\nG3 X0 Y0 R30\nG18 G2 X4 Z-2 I2 K0\nG17\nG83 X1 Y1 Z-5 R1 Q1\n\
G80\nG91 G1 X1\nG93 G1 X2 F4\nG94\nG4 P1\nG28 Z0\nG92 X0\nM5\nM30\n%\n";

proptest! {
    #![proptest_config(ProptestConfig { cases: 4 * ProptestConfig::default().cases, ..ProptestConfig::default() })]

    /// Each case damages sixteen programs: with the 256 usual cases that is 16,384, with the
    /// 10,000 of a long run 640,000.
    #[test]
    fn damaged_programs_are_read_without_a_stop(
        wounds in prop::collection::vec(
            prop::collection::vec((0..SOUND.len(), any::<u8>(), 0..5_u8), 1..12), 16)
    ) {
        for wound in wounds {
            let mut text = SOUND.to_vec();
            for (at, byte, how) in wound {
                let at = at.min(text.len().saturating_sub(1));
                if text.is_empty() { break }
                match how {
                    0 => text[at] = byte,
                    1 => drop(text.remove(at)),
                    2 => text.insert(at, byte),
                    3 => text.truncate(at),
                    _ => {
                        let part = text[at..].to_vec();
                        text.extend_from_slice(&part[..part.len().min(60)]);
                    }
                }
            }
            let (moves, _, _) = run(&text);
            for motion in moves {
                prop_assert!(motion.to.is_finite() && motion.from.is_finite());
                prop_assert!(motion.length().is_finite() && motion.feed.is_finite());
                prop_assert!(motion.rapid || motion.feed > 0.0);
            }
        }
    }
}
