//! Random boards, knots and sets: each layout that is given is judged by code of this file's own,
//! which samples the outlines densely and knows nothing of the search.
//!
//! 300 boards, and a thousand in the long run, which is where `PROPTEST_CASES` is set.

use rayon::prelude::*;
use treenwright::bed;
use treenwright::finding::{Findings, Source};
use treenwright::fit::choosing;
use treenwright::fit::layout::{Ask, Effort, FLAW_CLEAR, Footprint, Layout, Match, lay};
use treenwright::outline::ArcPath;
use treenwright::params::{self, Board, Flaw, FlawKind, FlawShape, Shop};
use treenwright::units::{Angle, Length};

type Point = (f64, f64);

/// A splitmix64 generator (Steele, Lea and Flood 2014): the same boards on every machine.
struct Dice(u64);

impl Dice {
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn between(&mut self, least: f64, most: f64) -> f64 {
        least + (most - least) * self.next()
    }
}

/// A paddle: a superellipse on a stick, with a skirt of 4 mm about it.
fn paddle(dice: &mut Dice) -> Footprint {
    let length = dice.between(150.0, 320.0);
    let (half, stick) = (dice.between(18.0, 38.0), dice.between(6.0, 12.0));
    let head = dice.between(50.0, 100.0);
    let outline = |grow: f64| {
        let centre = length - head / 2.0;
        let (a, b) = (head / 2.0 + grow, half + grow);
        let narrow = stick + grow;
        let from = std::f64::consts::PI - (narrow / b).asin();
        let mut corners = vec![(-grow, narrow), (-grow, -narrow)];
        for i in 0..=80 {
            let angle = -from + 2.0 * from * f64::from(i) / 80.0;
            corners.push((centre + a * angle.cos(), b * angle.sin()));
        }
        ArcPath::polygon(corners.into_iter().map(|(x, y)| [x, y].into()))
    };
    Footprint {
        sound: outline(0.0),
        whole: outline(4.0),
        lean: Angle::degrees(dice.between(2.0, 10.0)),
    }
}

fn board(dice: &mut Dice) -> Board {
    let text = params::template(Source::Board);
    let mut board = params::parse_board(text, &mut Findings::new()).expect("an example").0;
    let (length, width) = (dice.between(200.0, 700.0), dice.between(60.0, 300.0));
    board.length = Length::mm(length);
    board.width = Length::mm(width);
    board.grain = Angle::degrees(dice.between(-6.0, 6.0));
    board.flaws.clear();
    for _ in 0..(dice.next() * 4.0) as usize {
        let at = [dice.between(0.0, length), dice.between(0.0, width)];
        let shape = if dice.next() < 0.6 {
            FlawShape::Circle { centre: at.into(), radius: Length::mm(dice.between(2.0, 15.0)) }
        } else {
            let to = [at[0] + dice.between(-60.0, 60.0), at[1] + dice.between(-8.0, 8.0)];
            FlawShape::Line(vec![at.into(), to.into()])
        };
        board.flaws.push(Flaw { kind: FlawKind::Knot, shape });
    }
    board
}

/// Points along a closed polygon, no more than half a millimetre apart.
fn dense(corners: &[Point]) -> Vec<Point> {
    let mut points = Vec::new();
    for (i, a) in corners.iter().enumerate() {
        let b = corners[(i + 1) % corners.len()];
        let steps = ((b.0 - a.0).hypot(b.1 - a.1) / 0.5).ceil().max(1.0);
        for k in 0..steps as usize {
            let t = k as f64 / steps;
            points.push((a.0 + t * (b.0 - a.0), a.1 + t * (b.1 - a.1)));
        }
    }
    points
}

/// Sum of the angles under which the edges are seen: a whole turn from inside.
fn holds(corners: &[Point], p: Point) -> bool {
    let turn: f64 = (0..corners.len())
        .map(|i| {
            let (a, b) = (corners[i], corners[(i + 1) % corners.len()]);
            let (a, b) = ((a.0 - p.0, a.1 - p.1), (b.0 - p.0, b.1 - p.1));
            (a.0 * b.1 - a.1 * b.0).atan2(a.0 * b.0 + a.1 * b.1)
        })
        .sum();
    turn.abs() > 3.0
}

fn nearest(points: &[Point], p: Point) -> f64 {
    let square = |q: &Point| (q.0 - p.0) * (q.0 - p.0) + (q.1 - p.1) * (q.1 - p.1);
    // Most of the test's time goes here; lanes beside each other let the compiler use the whole
    // width of the machine.
    let mut least = [f64::INFINITY; 8];
    let (rows, rest) = points.as_chunks::<8>();
    for row in rows {
        for (least, q) in least.iter_mut().zip(row) {
            *least = least.min(square(q));
        }
    }
    rest.iter().map(square).chain(least).fold(f64::INFINITY, f64::min).sqrt()
}

/// What is wrong with the layout of one board, and whether all pieces have a place.
fn judged(seed: u64) -> (Option<String>, bool) {
    let mut dice = Dice(seed);
    let board = board(&mut dice);
    let pieces: Vec<Footprint> =
        (0..1 + (dice.next() * 4.0) as usize).map(|_| paddle(&mut dice)).collect();
    let frame = dice.between(2.0, 6.0);
    let effort = if seed.is_multiple_of(20) { Effort::Best } else { Effort::First };
    let ask = Ask { frame: Length::mm(frame), together: Match::Free, effort, room: &|_, _| true };
    let layout = lay(&board, &pieces, &ask);
    let claimed = layout.clearance.as_mm();
    let all = layout.places.iter().all(Option::is_some);
    let wrong = |what: String| (Some(format!("board {seed}: {what}, claimed {claimed}")), all);
    let mut laid: Vec<(Vec<Point>, Vec<Point>)> = Vec::new();
    for (piece, place) in pieces.iter().zip(&layout.places) {
        let Some(place) = place else { continue };
        let (sin, cos) = place.angle.as_radians().sin_cos();
        let to = |p: &[f64; 2]| {
            (place.origin.x + cos * p[0] - sin * p[1], place.origin.y + sin * p[0] + cos * p[1])
        };
        let moved = |path: &ArcPath| -> Vec<Point> {
            path.vertices.iter().map(|vertex| to(&vertex.point.into())).collect()
        };
        let (whole, sound) = (moved(&piece.whole), moved(&piece.sound));
        let off = (place.angle.as_degrees() - board.grain.as_degrees()).rem_euclid(180.0);
        if off.min(180.0 - off) > piece.lean.as_degrees() + 1e-6 {
            return wrong(format!("leans {off} off the grain"));
        }
        for (x, y) in &whole {
            let (length, width) = (board.length.as_mm(), board.width.as_mm());
            let edge = x.min(length - x).min(*y).min(width - y);
            if edge < frame + claimed - 1e-6 {
                return wrong(format!("{edge} to the edge"));
            }
        }
        let points = dense(&sound);
        for flaw in &board.flaws {
            let gap = match &flaw.shape {
                FlawShape::Circle { centre, radius } => {
                    let centre = (centre.x, centre.y);
                    if holds(&sound, centre) {
                        0.0
                    } else {
                        nearest(&points, centre) - radius.as_mm()
                    }
                }
                FlawShape::Line(ends) | FlawShape::Polygon(ends) => {
                    let ends: Vec<Point> = ends.iter().map(|p| (p.x, p.y)).collect();
                    dense(&ends)
                        .into_iter()
                        .map(|p| if holds(&sound, p) { 0.0 } else { nearest(&points, p) })
                        .fold(f64::INFINITY, f64::min)
                }
            };
            if gap < FLAW_CLEAR.as_mm() + claimed - 1e-6 {
                return wrong(format!("{gap} to a flaw"));
            }
        }
        laid.push((whole.clone(), dense(&whole)));
    }
    for (i, (one, points)) in laid.iter().enumerate() {
        for (other, others) in &laid[..i] {
            if holds(one, other[0]) || holds(other, one[0]) {
                return wrong("one piece in another".into());
            }
            let gap = points.iter().map(|p| nearest(others, *p)).fold(f64::INFINITY, f64::min);
            if gap < frame + claimed - 1e-6 {
                return wrong(format!("{gap} between two pieces"));
            }
        }
    }
    (None, all)
}

#[test]
fn random_boards_hold_what_is_claimed() {
    let count: usize = if std::env::var_os("PROPTEST_CASES").is_some() { 1000 } else { 300 };
    let judged: Vec<(Option<String>, bool)> =
        (0..count as u64).into_par_iter().map(judged).collect();
    let wrong: Vec<&String> = judged.iter().filter_map(|(wrong, _)| wrong.as_ref()).collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
    let full = judged.iter().filter(|(_, all)| *all).count();
    assert!(10 * full > 3 * count, "only {full} of {count} sets found their places");
}

/// How a larger board of the same kind does worse than a smaller one, if it does.
fn worse(seed: u64) -> Option<String> {
    let mut dice = Dice(seed ^ 0x5eed);
    let small = board(&mut dice);
    let pieces: Vec<Footprint> =
        (0..1 + (dice.next() * 3.0) as usize).map(|_| paddle(&mut dice)).collect();
    let frame = dice.between(2.0, 6.0);
    let together =
        [Match::Free, Match::Side, Match::HeadToTail, Match::Mirrored][(seed % 4) as usize];
    // The same board with more wood at its far end, its far edge, or both.
    let mut large = small.clone();
    let more = [dice.between(1.0, 2.0), dice.between(1.0, 1.6)];
    let which = dice.next();
    large.length = large.length * if which < 0.7 { more[0] } else { 1.0 };
    large.width = large.width * if which > 0.4 { more[1] } else { 1.0 };
    let shop = params::parse_shop(params::template(Source::Shop), &mut Findings::new());
    let mut shop = shop.expect("an example").0;
    // Past the end of the machine's travel a larger board holds no more.
    shop.bed.travel = None;
    let room = |board: &Board, skirts: &[Vec<_>]| bed::has_room(board, &shop, skirts);
    let effort = Effort::Best;
    let ask = Ask { frame: Length::mm(frame), together, effort, room: &room };
    let [before, after] = [&small, &large].map(|board| lay(board, &pieces, &ask));
    let size = |board: &Board| format!("{} by {}", board.length, board.width);
    let tell = |what: &str| {
        Some(format!(
            "board {seed}, {together:?}: {what}: from {} on {} to {} on {}",
            before.clearance,
            size(&small),
            after.clearance,
            size(&large)
        ))
    };
    let placed =
        |layout: &Layout| -> Vec<bool> { layout.places.iter().map(Option::is_some).collect() };
    if before.roomy && !after.roomy {
        return tell("no room for what holds the board");
    }
    if after.placed() < before.placed() && before.roomy {
        return tell("fewer pieces");
    }
    // A larger board may hold a larger piece or a larger set, or one that goes together.
    if placed(&before) != placed(&after) || before.roomy != after.roomy {
        return None;
    }
    if before.kept && !after.kept {
        return tell("no longer together");
    }
    // Handles lie along the board where leaning gains no more than the frame or a fifth; and a
    // search that goes from starts to their nearest best may end some millimetres off.
    let slack = frame.max(CLEARLY).max(before.clearance.as_mm() / 6.0);
    let less = before.clearance.as_mm() - after.clearance.as_mm();
    if before.kept == after.kept && less > slack { tell("clearly less room") } else { None }
}

/// Less room than this is not clearly less, in mm.
const CLEARLY: f64 = 3.0;

#[test]
fn a_larger_board_never_does_worse() {
    // `tests/run --long` sets the number.
    let cases = std::env::var("PROPTEST_CASES").ok().and_then(|cases| cases.parse().ok());
    let count = cases.unwrap_or(40_u64) / 10;
    let wrong: Vec<String> = (0..count.max(40)).into_par_iter().filter_map(worse).collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
}

/// The shipped spoon and fork as pieces.
fn spoon_and_fork() -> (Vec<Footprint>, Shop) {
    let shop = params::parse_shop(params::template(Source::Shop), &mut Findings::new());
    let shop = shop.expect("an example").0;
    let texts = [
        include_str!("../params/designs/harvest-spoon.toml"),
        include_str!("../params/designs/harvest-fork.toml"),
    ];
    let pieces = texts.map(|text| {
        let design = params::parse_design(text, &mut Findings::new()).expect("an example").0;
        choosing::piece(&design, &shop).expect("a finishing cutter")
    });
    (pieces.to_vec(), shop)
}

/// Lays spoon and fork on a cherry board, with or without its flaws, and measures: from where to
/// where each lies along the board, which way its tip points, and the clearance.
fn laid(length: f64, width: f64, together: Match, flaws: bool) -> ([[f64; 3]; 2], f64) {
    let (pieces, shop) = spoon_and_fork();
    let text = params::template(Source::Board);
    let mut board = params::parse_board(text, &mut Findings::new()).expect("an example").0;
    (board.length, board.width) = (Length::mm(length), Length::mm(width));
    // A wane's line across a wider board's middle would make another board of it.
    board.flaws.retain(|flaw| flaws && flaw.kind != FlawKind::Wane);
    let room = |board: &Board, skirts: &[Vec<_>]| bed::has_room(board, &shop, skirts);
    let frame = shop.limits.margin;
    let layout = lay(&board, &pieces, &Ask { frame, together, effort: Effort::Best, room: &room });
    assert!(layout.placed() == 2 && layout.roomy && layout.kept, "{length} {width}: {layout:?}");
    let spans = [0, 1].map(|i| {
        let place = layout.places[i].expect("a place");
        let on_board = pieces[i].whole.transformed(place.affine());
        let xs = on_board.vertices.iter().map(|vertex| vertex.point.x);
        let from = xs.clone().fold(f64::INFINITY, f64::min);
        [from, xs.fold(f64::NEG_INFINITY, f64::max), place.angle.as_radians().cos()]
    });
    (spans, layout.clearance.as_mm())
}

#[test]
fn spoon_and_fork_stay_side_by_side_when_the_board_is_long_enough_for_both_in_a_row() {
    for flaws in [true, false] {
        for together in [Match::Side, Match::HeadToTail] {
            let mut most = 0.0_f64;
            for length in [610.0, 686.0, 762.0, 914.0] {
                let ([spoon, fork], clear) = laid(length, 228.6, together, flaws);
                // The shorter beside the longer, all of it but for what leaning takes.
                let beside = spoon[1].min(fork[1]) - spoon[0].max(fork[0]);
                let shorter = (spoon[1] - spoon[0]).min(fork[1] - fork[0]);
                assert!(beside > 0.95 * shorter, "{length} {together:?}: {spoon:?} {fork:?}");
                let same = spoon[2] * fork[2] > 0.0;
                assert_eq!(same, together == Match::Side, "{length}: {spoon:?} {fork:?}");
                assert!(clear > most - CLEARLY, "{length} {together:?}: {clear} after {most}");
                most = most.max(clear);
            }
        }
    }
}

#[test]
fn head_to_tail_on_a_longer_board_is_as_roomy() {
    for flaws in [true, false] {
        let short = laid(500.0, 300.0, Match::HeadToTail, flaws).1;
        let long = laid(640.0, 300.0, Match::HeadToTail, flaws).1;
        assert!(short > 20.0 && long > short - CLEARLY, "{short} {long}");
    }
}
