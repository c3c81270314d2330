//! Rehearsal: a million motions on the shipped spoon's board, against stamping the cutter at samples.
//!
//! The baseline is what a plain carver does, made fast: the cutter's form on cells once, stamped
//! every half cell along each motion, on the same bands of rows and the same threads. Both carve the
//! same motions on the same board, and their results are compared.

use glam::{DVec2, DVec3};
use rayon::prelude::*;
use std::time::Instant;
use treenwright::program::{Motion, PathForm};
use treenwright::rehearse::{
    Belongs, BoardCells, CuttingForm, KeptGround, MotionTool, NO_PIECE, Timber,
};

const MOTIONS: usize = 1_000_000;
const LOT: usize = 1 << 16;
const CELL: f64 = 0.2;
const TURNS: usize = 3;

#[expect(clippy::disallowed_methods, reason = "a bench measures time")]
fn main() {
    rayon::ThreadPoolBuilder::new().num_threads(2).build_global().expect("two threads");
    let cells = BoardCells::over(DVec2::ZERO, DVec2::new(470.0, 132.0), CELL);
    let motions = motions();
    println!(
        "{MOTIONS} motions on 470 x 132 mm, {CELL} mm cells, two threads; the least of {TURNS} turns"
    );
    for (name, form) in
        [("ball 1/8", CuttingForm::bull(1.5875, 1.5875)), ("flat 1/4", CuttingForm::flat(3.175))]
    {
        let (mut fast, mut plain, mut apart) = (f64::INFINITY, f64::INFINITY, 0.0_f32);
        for _ in 0..TURNS {
            let mut timber = Timber::flat(cells, 31.3, 0.0);
            let ground = bare(&cells);
            let start = Instant::now();
            for lot in motions.chunks(LOT) {
                let tool = MotionTool { form, holder: None, deep: f32::INFINITY };
                let lot: Vec<(Motion, MotionTool)> = lot.iter().map(|m| (*m, tool)).collect();
                std::hint::black_box(timber.carve(&lot, &ground));
            }
            fast = fast.min(start.elapsed().as_secs_f64());
            let start = Instant::now();
            let stamped = stamped(&cells, &motions, &form);
            plain = plain.min(start.elapsed().as_secs_f64());
            for (a, b) in timber.top.iter().zip(&stamped) {
                // Stamps are never lower than the sweep.
                assert!(*a <= b + 1e-3, "{a} {b}");
                apart = apart.max(b - a);
            }
        }
        println!(
            "{name}: {fast:.2} s; stamped {plain:.2} s; ratio {:.2}; stamps stand at most {apart:.2} mm higher",
            plain / fast
        );
    }
}

/// A raster over a bowl, in motions of 0.35 mm.
fn motions() -> Vec<Motion> {
    let place = |i: usize| {
        let across = 1240;
        let (row, column) = (i / across, i % across);
        let x = if row % 2 == 0 { column } else { across - 1 - column } as f64 * 0.35 + 15.0;
        let y = row as f64 * 0.13 + 12.0;
        DVec3::new(x, y, 20.0 + 6.0 * (x / 40.0).sin() * (y / 25.0).cos())
    };
    let one = |i: usize| Motion {
        line: 1,
        from: place(i),
        to: place(i + 1),
        form: PathForm::Straight,
        rapid: false,
        feed: 1800.0,
        tool: None,
        spinning: true,
        speed: 16_000.0,
    };
    (0..MOTIONS).map(one).collect()
}

fn bare(cells: &BoardCells) -> KeptGround {
    let all = cells.count();
    KeptGround {
        relief: vec![f32::NAN; all],
        least: vec![f32::NEG_INFINITY; all],
        belongs: vec![Belongs::Frame; all],
        piece: vec![NO_PIECE; all],
    }
}

/// The plain way.
fn stamped(cells: &BoardCells, motions: &[Motion], form: &CuttingForm) -> Vec<f32> {
    const BAND: usize = 24;
    let mut top = vec![31.3_f32; cells.count()];
    top.par_chunks_mut(BAND * cells.columns).enumerate().for_each(|(band, top)| {
        let rows = band * BAND..((band + 1) * BAND).min(cells.rows);
        let (low, high) = (
            cells.first.y + rows.start as f64 * cells.cell - form.radius,
            cells.first.y + rows.end as f64 * cells.cell + form.radius,
        );
        for motion in motions {
            if motion.from.y.max(motion.to.y) < low || motion.from.y.min(motion.to.y) > high {
                continue;
            }
            let count = (motion.length() / (CELL / 2.0)).ceil().max(1.0);
            for i in 0..=count as u32 {
                let p = motion.at(f64::from(i) / count);
                for row in cells.rows_between(p.y - form.radius, p.y + form.radius) {
                    if !rows.contains(&row) {
                        continue;
                    }
                    let y = cells.first.y + row as f64 * cells.cell - p.y;
                    let wide = (form.radius * form.radius - y * y).max(0.0).sqrt();
                    for column in cells.columns_between(p.x - wide, p.x + wide) {
                        let x = cells.first.x + column as f64 * cells.cell - p.x;
                        let height = (p.z + form.height(x.hypot(y).min(form.radius))) as f32;
                        let at = &mut top[(row - rows.start) * cells.columns + column];
                        *at = at.min(height);
                    }
                }
            }
        }
    });
    top
}
