//! Inlay: how deep a vee may go (G) on a million cells, against trying all chords of the outline.
//!
//! Both run on the same art and face in the same run, on two threads. All chords are tried on every 64th row
//! only, and the time is reckoned up; there the results are compared.
//!
//! And a whole packet with an inlay beside that of the same spoon without it, turn and turn about. These are the least
//! times of several, since other work on the machine can only add.

use glam::DVec2;
use rayon::prelude::*;
use std::f64::consts::TAU;
use std::time::Instant;
use treenwright::finding::Findings;
use treenwright::inlay::{self, Shore};
use treenwright::job::{self, Order};
use treenwright::{packet, params};

const TURNS: usize = 9;
const COLUMNS: usize = 1600;
const ROWS: usize = 625;
const EACH: usize = 64;
const SIZE: DVec2 = DVec2::new(48.0, 18.75);

#[expect(clippy::disallowed_methods, reason = "a bench measures time")]
fn main() {
    rayon::ThreadPoolBuilder::new().num_threads(2).build_global().expect("two threads");
    let face =
        |p: DVec2| 5.0 * (1.0 - ((p.y - 9.4) / 11.0).powi(2)).sqrt() + 2.0 * (p.x / 40.0).sin();
    let loops = stars();
    for degrees in [15.0_f64, 60.0] {
        let slope = 1.0 / (degrees / 2.0).to_radians().tan();
        let (mut fast, mut plain) = (Vec::new(), Vec::new());
        let mut apart = 0.0_f64;
        let mut chords = 0;
        for _ in 0..TURNS {
            let start = Instant::now();
            // What is remembered of the cells is made anew in each turn, and counted.
            let shore = Shore::new(&loops, 0.2, slope, &face);
            let mut ours = vec![0.0; COLUMNS * ROWS];
            ours.par_chunks_mut(COLUMNS).enumerate().for_each(|(y, row)| {
                for (x, to) in row.iter_mut().enumerate() {
                    *to = shore.below(place(x, y));
                }
            });
            fast.push(start.elapsed().as_secs_f64() * 1e3);
            let ends = ends(&loops, &face);
            chords = ends.len();
            let start = Instant::now();
            let rows: Vec<usize> = (0..ROWS).step_by(EACH).collect();
            let every: Vec<Vec<f64>> = rows
                .par_iter()
                .map(|y| (0..COLUMNS).map(|x| all(&ends, place(x, *y), slope)).collect())
                .collect();
            let scale = ROWS as f64 / rows.len() as f64;
            plain.push(start.elapsed().as_secs_f64() * 1e3 * scale);
            for (y, row) in rows.iter().zip(&every) {
                for (x, every) in row.iter().enumerate() {
                    apart = apart.max((ours[y * COLUMNS + x] - every).abs());
                }
            }
        }
        let (fast, plain) = (median(fast), median(plain));
        println!(
            "G of a vee of {degrees} degrees on {} cells, {chords} chords, two threads; median of {TURNS} turns: \
             {fast:.1} ms; all chords {plain:.0} ms; ratio {:.0}; apart at most {apart:.1e} mm",
            COLUMNS * ROWS,
            plain / fast
        );
    }
    let designs = [include_str!("../params/designs/wheat-spoon.toml"), PLAIN];
    let mut least = [f64::INFINITY; 2];
    for _ in 0..TURNS {
        for (design, least) in designs.iter().zip(&mut least) {
            let start = Instant::now();
            let files = whole(design).expect("a packet");
            *least = least.min(start.elapsed().as_secs_f64() * 1e3);
            assert!(files > 20);
        }
    }
    let [inlaid, plain] = least;
    println!(
        "a spoon's packet with an ear of wheat let in: {inlaid:.0} ms; without it {plain:.0} ms; ratio {:.2}",
        inlaid / plain
    );
}

const PLAIN: &str = include_str!("../params/designs/harvest-spoon.toml");

/// Builds a packet in memory, from the texts on; how many files it has.
fn whole(design: &str) -> Option<usize> {
    let mut said = Findings::new();
    let (design, _) = params::parse_design(design, &mut said)?;
    let board = include_str!("../params/boards/cherry.toml");
    let (board, _) = params::parse_board(board, &mut said)?;
    let (shop, _) = params::parse_shop(include_str!("../params/shop.toml"), &mut said)?;
    let read =
        |name: &str| std::fs::read(format!("params/designs/{name}")).map_err(|e| e.to_string());
    let brought = vec![inlay::bring(&design, &read, &mut said)];
    let outcome = job::plan(&Order { brought, ..Order::new(vec![design], board, shop) });
    let job = outcome.job?;
    Some(packet::whole(&job, &outcome.findings, &Default::default()).ok()?.len())
}

fn place(x: usize, y: usize) -> DVec2 {
    DVec2::new(x as f64 / COLUMNS as f64, y as f64 / ROWS as f64) * SIZE
}

/// Two rows of stars.
fn stars() -> Vec<Vec<DVec2>> {
    let star = |at: DVec2| {
        let corner = move |k: u32| {
            let radius = if k.is_multiple_of(2) { 2.6 } else { 1.1 };
            at + radius * DVec2::from_angle(TAU * f64::from(k) / 14.0 + at.x)
        };
        (0..14).map(corner).collect()
    };
    (0..16)
        .map(|k| star(DVec2::new(3.0 + 6.0 * f64::from(k % 8), 5.5 + 7.5 * f64::from(k / 8))))
        .collect()
}

/// All chords, with the face's height at their ends.
fn ends(loops: &[Vec<DVec2>], face: &dyn Fn(DVec2) -> f64) -> Vec<([DVec2; 2], [f64; 2])> {
    let mut all = Vec::new();
    for ring in loops {
        for (a, b) in ring.iter().zip(ring.iter().cycle().skip(1)) {
            let parts = (a.distance(*b) / 0.2).ceil();
            let at = |k: f64| a.lerp(*b, k / parts);
            for k in 0..parts as u32 {
                let ends = [at(f64::from(k)), at(f64::from(k) + 1.0)];
                all.push((ends, ends.map(face)));
            }
        }
    }
    all
}

/// The greatest of all chords: the face is straight along each, and the place that counts is where the way
/// to it leans as the face rises.
fn all(ends: &[([DVec2; 2], [f64; 2])], p: DVec2, slope: f64) -> f64 {
    let each = ends.iter().map(|([a, b], [low, high])| {
        let length = a.distance(*b);
        let along = (*b - *a) / length;
        let (level, off) = ((p - *a).dot(along), (p - *a).perp_dot(along).abs());
        let rise = (high - low) / length;
        let s = level + off * rise / (slope * slope - rise * rise).sqrt();
        let s = s.clamp(0.0, length);
        low + rise * s - slope * (level - s).hypot(off)
    });
    each.fold(f64::NEG_INFINITY, f64::max)
}

fn median(mut times: Vec<f64>) -> f64 {
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}
