//! How long the sheet's pictures and papers take, beside the packet's models in the same run.
//!
//! `cargo bench --bench pictures`. The baseline is the STL of the body, the plainest file of a
//! packet. Times are the least of several runs, since other work on the machine can only add.

use std::hint::black_box;
use std::time::{Duration, Instant};
use treenwright::export::stl::stl;
use treenwright::finding::Findings;
use treenwright::job::{self, Job, Order};
use treenwright::render::{Picture, Shown, View, Wood};
use treenwright::sheet::Title;
use treenwright::{packet, params};

#[expect(clippy::disallowed_methods, reason = "a bench measures time")]
fn least<T>(runs: u32, work: impl Fn() -> T) -> Duration {
    let once = || {
        let start = Instant::now();
        black_box(work());
        start.elapsed()
    };
    (0..runs).map(|_| once()).min().unwrap_or_default()
}

fn fork() -> Option<(Job, Findings)> {
    let mut findings = Findings::new();
    let design = include_str!("../params/designs/harvest-fork.toml");
    let (design, _) = params::parse_design(design, &mut findings)?;
    let board = include_str!("../params/boards/beech.toml");
    let (board, _) = params::parse_board(board, &mut findings)?;
    let (shop, _) = params::parse_shop(include_str!("../params/shop.toml"), &mut findings)?;
    let outcome = job::plan(&Order::new(vec![design], board, shop));
    Some((outcome.job?, outcome.findings))
}

fn main() {
    let Some((job, findings)) = fork() else {
        println!("the shipped fork can't be made");
        return;
    };
    let base = least(9, || stl(&job.pieces[0].mesh.mesh, treenwright::units::Unit::Millimetre));
    let say = |what: &str, took: Duration| {
        let ratio = took.as_secs_f64() / base.as_secs_f64();
        println!("{what:32} {:8.1} ms {ratio:8.1} x", took.as_secs_f64() * 1e3);
    };
    say("body.stl (baseline)", base);
    let picture = |view| Picture {
        piece: &job.pieces[0],
        shop: &job.shop,
        shown: Shown::Finished,
        view,
        size: (1200, 500),
        wood: Wood::Beech,
    };
    for view in View::ALL {
        let name = format!("picture, {}, 1200 x 500", view.name());
        say(&name, least(9, || picture(view).png()));
    }
    say("picture, three-quarter, SVG", least(9, || picture(View::ThreeQuarter).svg()));
    let title = Title::default();
    let templates = ["templates.pdf".to_owned(), "templates.svg".to_owned()];
    say("templates, PDF and SVG", least(9, || packet::some(&job, &findings, &title, &templates)));
    say("all files of a packet", least(5, || packet::whole(&job, &findings, &title)));
}
