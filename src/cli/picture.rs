//! `picture`: one shaded picture of a design.

use super::args::{Input, PictureOf};
use super::say::{Console, Report, harmless_path};
use super::{Ending, files, make};
use crate::finding::{Findings, Source};
use crate::job;
use crate::params::{self, Board, Shop};
use crate::render::{Picture, Shown, Wood};
use crate::units::Length;
use std::slice;

pub(super) fn picture(console: &Console, wanted: &PictureOf) -> Ending {
    let input = wanted.input();
    let mut report = Report::new(&input);
    let mut done = false;
    if let Some(png) = drawn(console, wanted, &input, &mut report) {
        match files::create(&wanted.out, &png) {
            Ok(()) => {
                let path = harmless_path(&wanted.out);
                report.close(format!("wrote {path}{}", without_a_tone(wanted)));
                done = true;
            }
            Err(error) => {
                let (says, to_do) = files::not_created(&wanted.out, &error);
                console.fault(&says, to_do);
                return Ending::Faults;
            }
        }
    }
    console.report(&report, false);
    if done { Ending::Done } else { Ending::Faults }
}

/// What to say of a wood that was asked for and has no tone of its own.
fn without_a_tone(wanted: &PictureOf) -> String {
    let Some(asked) = wanted.wood.as_deref().filter(|wood| Wood::of(wood) == Wood::Other) else {
        return String::new();
    };
    let known = Wood::NAMED.map(|(name, _)| name).join(", ");
    format!(" in a plain light brown: there is no tone for \"{asked}\", only for {known}")
}

fn drawn(
    console: &Console,
    wanted: &PictureOf,
    input: &Input,
    report: &mut Report<'_>,
) -> Option<Vec<u8>> {
    console.progress("reading");
    let design = make::parsed_design(None, input, report);
    let board = match wanted.board {
        Some(_) => make::parsed(Source::Board, input, report, params::parse_board),
        None => endless_board(),
    };
    let shop = match wanted.shop {
        Some(_) => make::parsed(Source::Shop, input, report, params::parse_shop),
        None => example_shop(),
    };
    report.told_in_shops_unit();
    let (design, board, shop) = (design?, board?, shop?);
    let wood = match (&wanted.wood, &wanted.board) {
        (Some(species), _) => Wood::of(species),
        (None, Some(_)) => Wood::of(&board.species),
        (None, None) => Wood::Other,
    };
    console.progress("drawing");
    let shown = if wanted.on_tabs { Shown::OnTabs } else { Shown::Finished };
    let vector = wanted.out.extension().is_some_and(|form| form.eq_ignore_ascii_case("svg"));
    // What is let in is made with the models of a whole job, and has no tone of its own in an SVG.
    let whole = wanted.board.is_some() && wanted.shop.is_some();
    let let_in = !vector && whole && !design.inlay.is_empty();
    let (scope, brought) = match wanted.on_tabs || let_in {
        true => (job::Scope::Packet, make::brought(slice::from_ref(&design), input, report)),
        false => (job::Scope::Body, Vec::new()),
    };
    let tolerance = input.tolerance;
    let order = job::Order::new(vec![design], board, shop);
    let order = job::Order { tolerance, scope, brought, ..order };
    let outcome = job::plan(&order);
    // What there is to say about a board and a shop that nobody gave concerns nobody.
    if whole {
        report.findings.extend(outcome.findings);
    }
    if report.findings.has_fault() {
        return None;
    }
    let job = outcome.job?;
    let (piece, shop, view, size) =
        (job.pieces.first()?, &job.shop, wanted.view.into(), wanted.size);
    let picture = Picture { piece, shop, shown, view, size, wood };
    let picture = if vector { picture.svg().into_bytes() } else { picture.png() };
    console.progress_done();
    Some(picture)
}

/// A board that any design fits on, for a picture without one.
fn endless_board() -> Option<Board> {
    const ENDLESS: Length = Length::mm(2000.0);
    let (mut board, _) =
        params::parse_board(params::template(Source::Board), &mut Findings::new())?;
    (board.length, board.width) = (ENDLESS, ENDLESS);
    for reading in &mut board.readings {
        reading.thickness = ENDLESS;
    }
    board.flaws.clear();
    Some(board)
}

/// The example's shop, which has a cutter for every work.
fn example_shop() -> Option<Shop> {
    let shop = params::parse_shop(params::template(Source::Shop), &mut Findings::new());
    shop.map(|(shop, _)| shop)
}
