//! How long fitting and laying out take, beside a plain search over a grid of places in the same
//! run.
//!
//! `cargo bench --bench fit`. Times are the least of several runs, since other work on the machine
//! can only add.

use glam::DVec2;
use std::hint::black_box;
use std::time::{Duration, Instant};
use treenwright::bed;
use treenwright::finding::Findings;
use treenwright::fit::choosing::{How, offer, piece};
use treenwright::fit::layout::{Ask, Effort, Footprint, Match, lay};
use treenwright::fit::{self, Placement, Spare};
use treenwright::params::{self, Board, Design, Shop};
use treenwright::units::{Angle, Length};

#[expect(clippy::disallowed_methods, reason = "a bench measures time")]
fn least<T>(runs: u32, work: impl Fn() -> T) -> Duration {
    let once = || {
        let start = Instant::now();
        black_box(work());
        start.elapsed()
    };
    (0..runs).map(|_| once()).min().unwrap_or_default()
}

fn files() -> Option<(Vec<Design>, [Board; 2], Shop)> {
    let mut findings = Findings::new();
    let designs = [
        include_str!("../params/designs/harvest-spoon.toml"),
        include_str!("../params/designs/harvest-fork.toml"),
        include_str!("../params/designs/harvest-turner.toml"),
    ];
    let designs: Option<Vec<Design>> = designs
        .iter()
        .map(|text| params::parse_design(text, &mut findings).map(|(design, _)| design))
        .collect();
    let mut board = |text| params::parse_board(text, &mut findings).map(|(board, _)| board);
    let narrow = board(include_str!("../params/boards/cherry.toml"))?;
    let wide = board(include_str!("../params/boards/pear-wide.toml"))?;
    let (shop, _) = params::parse_shop(include_str!("../params/shop.toml"), &mut findings)?;
    Some((designs?, [narrow, wide], shop))
}

/// Points along a closed polygon, so near to each other that the distance of two outlines is that
/// of their points within a tenth of a millimetre at the clearances here.
fn dense(corners: &[DVec2]) -> Vec<DVec2> {
    const APART: f64 = 2.0;
    let mut points = Vec::new();
    for (i, a) in corners.iter().enumerate() {
        let b = corners[(i + 1) % corners.len()];
        let count = (a.distance(b) / APART).ceil().max(1.0);
        points.extend((0..count as i32).map(|k| a.lerp(b, f64::from(k) / count)));
    }
    points
}

/// The baseline: both pieces on every place of a grid, straight, either way round, judged by their
/// corners alone. Returns the largest least clearance, in mm.
fn grid(board: &Board, pieces: &[Footprint], frame: f64) -> f64 {
    const STEP: f64 = 4.0;
    const CHORD: Length = Length::mm(0.5);
    let size = DVec2::new(board.length.as_mm(), board.width.as_mm());
    let laid = |piece: &Footprint| -> Vec<(Vec<DVec2>, f64)> {
        let corners = dense(&piece.whole.to_polyline(CHORD));
        let mut all = Vec::new();
        for turned in [0.0, 180.0] {
            for x in 0..(size.x / STEP) as i32 {
                for y in 0..(size.y / STEP) as i32 {
                    let origin = DVec2::new(f64::from(x), f64::from(y)) * STEP;
                    let place = Placement { origin, angle: Angle::degrees(turned) };
                    let here: Vec<DVec2> = corners.iter().map(|p| place.on_board(*p)).collect();
                    let edge = here.iter().map(|p| p.min(size - *p).min_element());
                    let edge = edge.fold(f64::INFINITY, f64::min) - frame;
                    let wood = fit::SoundWood::of(board).gap(&here);
                    if edge >= 0.0 && wood > 1.0 {
                        all.push((here, edge.min(wood)));
                    }
                }
            }
        }
        all
    };
    let (ones, others) = (laid(&pieces[0]), laid(&pieces[1]));
    let mut best = f64::NEG_INFINITY;
    for (one, free) in &ones {
        for (other, also) in &others {
            if free.min(*also) <= best {
                continue;
            }
            // What is no better than the best is left at once.
            let need = (best + frame).max(0.0).powi(2);
            let mut gap = f64::INFINITY;
            for p in one {
                for q in other {
                    gap = gap.min(p.distance_squared(*q));
                }
                if gap <= need {
                    break;
                }
            }
            best = best.max((gap.sqrt() - frame).min(*free).min(*also));
        }
    }
    best
}

fn main() {
    let Some((designs, [narrow, wide], shop)) = files() else {
        println!("an example has faults");
        return;
    };
    let pieces: Vec<Footprint> = designs.iter().filter_map(|design| piece(design, &shop)).collect();
    let frame = shop.limits.margin;
    let room = |board: &Board, skirts: &[Vec<DVec2>]| bed::has_room(board, &shop, skirts);
    let ask = |effort| Ask { frame, together: Match::Free, effort, room: &room };
    let two = &pieces[..2];
    let base = least(1, || grid(&narrow, two, frame.as_mm()));
    println!(
        "two pieces on the flawed cherry board: the grid finds {:.2} mm clear, the search {:.2} mm, \
         {:.2} mm with room to hold the board",
        grid(&narrow, two, frame.as_mm()),
        lay(&narrow, two, &Ask { room: &|_, _| true, ..ask(Effort::Best) }).clearance.as_mm(),
        lay(&narrow, two, &ask(Effort::Best)).clearance.as_mm(),
    );
    let say = |what: &str, took: Duration| {
        let ratio = took.as_secs_f64() / base.as_secs_f64();
        println!("{what:40} {:9.1} ms {ratio:9.4} x", took.as_secs_f64() * 1e3);
    };
    say("a grid of places, straight (baseline)", base);
    say("two pieces, first that will do", least(9, || lay(&narrow, two, &ask(Effort::First))));
    say("two pieces, best", least(5, || lay(&narrow, two, &ask(Effort::Best))));
    say("three pieces, wide board, first", least(9, || lay(&wide, &pieces, &ask(Effort::First))));
    say("three pieces, wide board, best", least(3, || lay(&wide, &pieces, &ask(Effort::Best))));
    let mut thin = narrow.clone();
    thin.readings.iter_mut().for_each(|reading| reading.thickness = Length::mm(29.5));
    say(
        "a spoon made to fit a thinner board",
        least(9, || fit::to_board(&designs[..1], &thin, &shop, Spare::Leave)),
    );
    let how = How { spare: Spare::Leave, together: Match::Free, effort: Effort::Best, room: &room };
    say("an offer for two pieces", least(3, || offer(0, &designs[..2], &thin, &shop, &how)));
}
