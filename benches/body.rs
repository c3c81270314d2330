//! How long the body takes, against a plain way of doing the same in the same run.
//!
//! `cargo bench --bench body`. The baseline cuts every block of the lattice into equal cells, the
//! same number everywhere, until the measured error is under the tolerance. `body.stl` alone stands
//! beside that, and a set beside its pieces, each on a board of its own. Times are the least of
//! several runs, since other work on the machine can only add to them.

use std::hint::black_box;
use std::time::{Duration, Instant};
use treenwright::export::stl::stl;
use treenwright::finding::Findings;
use treenwright::job::{self, Order, Scope};
use treenwright::mesh;
use treenwright::packet;
use treenwright::params;
use treenwright::shape::{self, Body, Lattice};
use treenwright::units::Length;

#[expect(clippy::disallowed_methods, reason = "a bench measures time")]
fn least<T>(runs: u32, work: impl Fn() -> T) -> (Duration, T) {
    let once = || {
        let start = Instant::now();
        let made = black_box(work());
        (start.elapsed(), made)
    };
    (1..runs).fold(once(), |best, _| {
        let next = once();
        if next.0 < best.0 { next } else { best }
    })
}

/// Equal cells in every block, on both skins, doubled until the error is small enough.
fn even(body: &Body, lattice: &Lattice, tolerance: f64) -> (usize, f64) {
    let mut cells = 4_u32;
    loop {
        let mut error = 0.0_f64;
        let mut triangles = 0;
        for block in 0..lattice.blocks.len() {
            for top in [true, false] {
                let at = |a: f64, b: f64| {
                    let p = lattice.plan(block, a, b);
                    p.extend(if top { body.top(p) } else { body.bottom(p) })
                };
                let step = 1.0 / f64::from(cells);
                let row = |j: u32| -> Vec<_> {
                    (0..=cells).map(|i| at(f64::from(i) * step, f64::from(j) * step)).collect()
                };
                let mut below = row(0);
                for j in 0..cells {
                    let above = row(j + 1);
                    for i in 0..cells as usize {
                        for (p, q, r, u, v) in [
                            (below[i], below[i + 1], above[i + 1], 2.0, 1.0),
                            (below[i], above[i + 1], above[i], 1.0, 2.0),
                        ] {
                            let middle =
                                at((i as f64 + u / 3.0) * step, (f64::from(j) + v / 3.0) * step);
                            let normal = (q - p).cross(r - p).normalize_or_zero();
                            error = error.max((middle - p).dot(normal).abs());
                            triangles += 1;
                        }
                    }
                    below = above;
                }
            }
        }
        if error <= tolerance || cells >= 512 {
            return (triangles, error);
        }
        cells *= 2;
    }
}

fn order(design: &str, board: &str) -> Order {
    let mut findings = Findings::new();
    let design = params::parse_design(design, &mut findings).expect("an example").0;
    let board = params::parse_board(board, &mut findings).expect("an example").0;
    let shop = include_str!("../params/shop.toml");
    let shop = params::parse_shop(shop, &mut findings).expect("an example").0;
    Order::new(vec![design], board, shop)
}

/// All that a `build` does but for reading and writing; every file where none is named.
fn packed(order: &Order, names: &[String]) -> usize {
    let outcome = job::plan(order);
    let job = outcome.job.expect("an example");
    let made = match names {
        [] => packet::whole(&job, &outcome.findings, &Default::default()),
        names => packet::some(&job, &outcome.findings, &Default::default(), names),
    };
    made.expect("an example").iter().map(|artefact| artefact.bytes.len()).sum()
}

fn main() {
    let examples = [
        order(
            include_str!("../params/designs/harvest-spoon.toml"),
            include_str!("../params/boards/cherry.toml"),
        ),
        order(
            include_str!("../params/designs/harvest-fork.toml"),
            include_str!("../params/boards/beech.toml"),
        ),
        order(
            include_str!("../params/designs/harvest-turner.toml"),
            include_str!("../params/boards/pear.toml"),
        ),
    ];
    let mut apart = Duration::ZERO;
    for order in &examples {
        let design = &order.designs[0];
        println!("{}", design.name);
        let body = Body::new(design);
        let lattice = body.lattice();
        for tolerance in [0.02, 0.005] {
            let (ours, made) =
                least(5, || mesh::tessellate(&body, &lattice, Length::mm(tolerance)));
            let (theirs, (triangles, error)) = least(1, || even(&body, &lattice, tolerance));
            println!(
                "  mesh at {tolerance} mm: {:.1} ms, {} triangles, error {:.4} mm; even cells: \
                 {:.1} ms, {triangles} triangles, error {error:.4} mm; {:.1} times the triangles",
                ms(ours),
                made.mesh.triangles.len(),
                made.error.as_mm(),
                ms(theirs),
                triangles as f64 / made.mesh.triangles.len() as f64,
            );
            let (time, bytes) = least(5, || {
                stl(&made.mesh, treenwright::units::Unit::Millimetre).map(|bytes| bytes.len())
            });
            println!("    as STL: {:.1} ms, {bytes:?} bytes", ms(time));
            let (tolerance, scope) = (Length::mm(tolerance), Scope::Body);
            let alone = Order { tolerance, scope, ..order.clone() };
            let (time, _) = least(5, || packed(&alone, &["body.stl".to_owned()]));
            println!(
                "    body.stl, from the design on: {:.1} ms, {:.2} times the even cells",
                ms(time),
                time.as_secs_f64() / theirs.as_secs_f64()
            );
        }
        let (time, solid) = least(5, || shape::solid(&body, &lattice));
        let solid = solid.expect("an example");
        let (write, bytes) = least(5, || solid.step("bench").map(|bytes| bytes.len()));
        println!("  B-rep: {:.1} ms, as STEP {:.1} ms, {bytes:?} bytes", ms(time), ms(write));
        let (plan, outcome) = least(5, || job::plan(order));
        let job = outcome.job.expect("an example");
        let (files, _) = least(5, || packet::whole(&job, &outcome.findings, &Default::default()));
        println!("  whole packet: plan {:.1} ms, files {:.1} ms", ms(plan), ms(files));
        apart += plan + files;
    }
    let wide = order(
        include_str!("../params/designs/harvest-spoon.toml"),
        include_str!("../params/boards/pear-wide.toml"),
    );
    let designs = examples.iter().map(|order| order.designs[0].clone()).collect();
    let all = Order { designs, ..wide };
    let (set, bytes) = least(5, || packed(&all, &[]));
    println!(
        "the three as a set: {:.1} ms, {:.2} times its pieces alone; {bytes} bytes",
        ms(set),
        set.as_secs_f64() / apart.as_secs_f64()
    );
}

fn ms(time: Duration) -> f64 {
    time.as_secs_f64() * 1e3
}
