//! `fit`: which board takes a set, what must change, and where each piece goes.

use super::args::{Input, Together};
use super::make::{parsed, parsed_design};
use super::say::{Console, Report, escaped};
use super::{Ending, codes, files};
use crate::bed;
use crate::drawing::board;
use crate::finding::{Finding, Severity, Source, told_in};
use crate::fit::choosing::{self, BoardVerdict, How, Offer};
use crate::fit::layout::{self, Effort, Layout, Match, Neighbour};
use crate::fit::{Placement, Spare};
use crate::job;
use crate::params::{self, Board, Design, Shop};
use crate::units::Length;
use serde_json::{Value, json};
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

/// Most boards that are looked at, so that a folder given by mistake does not take all day.
const MOST_BOARDS: usize = 200;

/// What was asked on the command line.
pub(super) struct Asked {
    pub(super) designs: Vec<PathBuf>,
    pub(super) boards: Vec<PathBuf>,
    pub(super) shop: PathBuf,
    pub(super) spare: Spare,
    pub(super) together: Match,
    pub(super) kerf: Length,
    pub(super) drawing: Option<PathBuf>,
    pub(super) json: bool,
}

/// The files, read.
struct Set {
    designs: Vec<Design>,
    boards: Vec<(PathBuf, Board)>,
    shop: Shop,
}

pub(super) fn fit(console: &Console, asked: &Asked) -> Ending {
    let Some(set) = read(console, asked) else { return Ending::Faults };
    console.progress("looking at the boards");
    let boards: Vec<Board> = set.boards.iter().map(|(_, board)| board.clone()).collect();
    let room = |board: &Board, skirts: &[Vec<_>]| bed::has_room(board, &set.shop, skirts);
    let Asked { spare, together, .. } = *asked;
    let how = How { spare, together, effort: Effort::Best, room: &room };
    let offers = choosing::rank(&set.designs, &boards, &set.shop, &how);
    let whole = |offer: &Offer| offer.verdict <= BoardVerdict::Changed;
    let done = offers.first().is_some_and(whole);
    let spread = if done || boards.len() < 2 || set.designs.len() < 2 {
        Vec::new()
    } else {
        choosing::spread(&set.designs, &boards, &set.shop, &how)
    };
    let text = if asked.json {
        let all: Vec<Value> =
            offers.iter().map(|offer| as_json(&set, asked, offer, None)).collect();
        let parts: Vec<Value> =
            spread.iter().map(|(members, o)| as_json(&set, asked, o, Some(members))).collect();
        let text = serde_json::to_string_pretty(&json!({ "offers": all, "spread": parts }));
        escaped(&text.unwrap_or_default()) + "\n"
    } else {
        in_words(&set, asked, &offers, &spread)
    };
    console.out(&text);
    if let (Some(path), Some(best)) = (&asked.drawing, offers.first()) {
        match draw(path, &set, asked, best) {
            Ok(faults) if faults.is_empty() => {}
            Ok(faults) => {
                let says = format!(
                    "The layout is drawn, but the job can't be made as it is: {}.",
                    faults.join("; ")
                );
                console.fault(&says, "`treenwright check` with this board says what to do.");
                return Ending::Faults;
            }
            Err((says, to_do)) => {
                console.fault(&says, &to_do);
                return Ending::Faults;
            }
        }
    }
    if done { Ending::Done } else { Ending::Faults }
}

/// Reads all files; says what is wrong with each that has faults.
fn read(console: &Console, asked: &Asked) -> Option<Set> {
    let (mut designs, mut boards, mut sound) = (Vec::new(), Vec::new(), true);
    let mut shop = None;
    let paths = board_files(&asked.boards);
    if paths.is_empty() || paths.len() > MOST_BOARDS {
        let says = match paths.len() {
            0 => "The board folder holds no board files (*.toml).".to_owned(),
            many => format!(
                "There are {many} board files; the most that can be compared at once is \
                 {MOST_BOARDS}."
            ),
        };
        console.fault(&says, "Give the board files, or a folder that holds them.");
        return None;
    }
    let input = |design: &Path, board: &Path| Input {
        designs: vec![design.to_owned()],
        board: board.to_owned(),
        shop: asked.shop.clone(),
        together: Together::Free,
        tolerance: crate::mesh::USUAL,
        json: asked.json,
    };
    // The shop first: its unit is what is spoken of the others, too.
    let of_shop = input(&asked.designs[0], &paths[0]);
    let mut in_shop = Report::new(&of_shop);
    if let Some(read) = parsed(Source::Shop, &of_shop, &mut in_shop, params::parse_shop) {
        if read.cutter(&read.work.finish).is_none() {
            in_shop.findings.push(
                Finding::fault(
                    codes::NO_FINISHER,
                    format!(
                        "`work.finish` names \"{}\", but the shop has no such cutter",
                        read.work.finish
                    ),
                    "Name a ball cutter of the shop: the skirt round each piece is made for it.",
                )
                .at(Source::Shop, "work.finish"),
            );
        }
        shop = Some(read);
    }
    let unit = in_shop.shops_unit();
    let mut finished = |mut report: Report<'_>| {
        report.findings.told_in(unit);
        if !report.findings.is_empty() {
            console.report(&report, false);
        }
        sound &= !report.findings.has_fault();
    };
    for path in &asked.designs {
        let input = input(path, &paths[0]);
        let mut report = Report::new(&input);
        designs.extend(parsed_design(None, &input, &mut report));
        finished(report);
    }
    for path in &paths {
        let input = input(&asked.designs[0], path);
        let mut report = Report::new(&input);
        let board = parsed(Source::Board, &input, &mut report, params::parse_board);
        boards.extend(board.map(|board| (path.clone(), board)));
        finished(report);
    }
    finished(in_shop);
    if !sound {
        return None;
    }
    Some(Set { designs, boards, shop: shop? })
}

/// Files as they are given; of a folder its `.toml` files by name.
fn board_files(given: &[PathBuf]) -> Vec<PathBuf> {
    let mut files = Vec::new();
    for path in given {
        match std::fs::read_dir(path) {
            Ok(entries) => {
                let mut inside: Vec<PathBuf> =
                    entries.flatten().map(|entry| entry.path()).collect();
                inside.retain(|path| path.extension().is_some_and(|end| end == "toml"));
                inside.sort();
                files.extend(inside);
            }
            Err(_) => files.push(path.clone()),
        }
    }
    files
}

fn in_words(set: &Set, asked: &Asked, offers: &[Offer], spread: &[(Vec<usize>, Offer)]) -> String {
    let mut out = String::new();
    for (rank, offer) in (1..).zip(offers) {
        let board = &set.boards[offer.board].1;
        let _ = writeln!(out, "{rank}. {}: {}", board.name, offer.reason);
    }
    if let Some(best) = offers.first().filter(|offer| offer.layout.placed() > 0) {
        let _ = writeln!(out, "\nOn {}:", set.boards[best.board].1.name);
        let all: Vec<usize> = (0..set.designs.len()).collect();
        details(&mut out, set, asked, best, &all);
    }
    if !spread.is_empty() {
        let _ = writeln!(out, "\nNo single board takes the whole set. On several boards:");
        for (members, offer) in spread {
            let _ = writeln!(out, "\nOn {}:", set.boards[offer.board].1.name);
            details(&mut out, set, asked, offer, members);
        }
    }
    told_in(&out, set.shop.unit)
}

fn details(out: &mut String, set: &Set, asked: &Asked, offer: &Offer, members: &[usize]) {
    for ((member, fit), place) in members.iter().zip(&offer.fits).zip(&offer.layout.places) {
        let Some(place) = place else { continue };
        let _ = writeln!(out, "  {}: {}", set.designs[*member].name, choosing::placed(place));
        for change in &fit.changes {
            let _ = writeln!(
                out,
                "    {:<24} asked {:>9}  fitted {:>11}  limit {:>9}",
                change.key, change.asked, change.fitted, change.limit
            );
        }
    }
    let cuts = layout::cuts(&set.boards[offer.board].1, &offer.layout, asked.kerf);
    if !cuts.is_empty() {
        out.push_str("  Draw all lines on the whole board first, then saw in this order:\n");
    }
    for cut in cuts {
        let (how, from) = if cut.rip { ("Rip", "front edge") } else { ("Cross-cut", "left end") };
        let _ = writeln!(
            out,
            "  {how} on a line {} from the board's {from}: an offcut of {} by {}, with {} of kerf, \
             which is the offcut's.",
            cut.at, cut.offcut[0], cut.offcut[1], asked.kerf
        );
    }
}

fn as_json(set: &Set, asked: &Asked, offer: &Offer, members: Option<&[usize]>) -> Value {
    let all: Vec<usize> = (0..set.designs.len()).collect();
    let members = members.unwrap_or(&all);
    let (path, board) = &set.boards[offer.board];
    let round = |value: f64| (value * 1e6).round() / 1e6;
    let place = |place: &Placement| {
        json!({
            "x_mm": round(place.origin.x),
            "y_mm": round(place.origin.y),
            "angle_deg": round(place.angle.as_degrees()),
        })
    };
    let pieces: Vec<Value> = members
        .iter()
        .zip(&offer.fits)
        .zip(&offer.layout.places)
        .map(|((member, fit), at)| {
            let changes: Vec<Value> = fit
                .changes
                .iter()
                .map(|c| json!({ "key": c.key, "from": c.asked, "to": c.fitted, "limit": c.limit }))
                .collect();
            json!({
                "design": set.designs[*member].name,
                "place": at.as_ref().map(place),
                "changes": changes,
                "lowest_mm": fit.advice.as_ref().map(|advice| round(advice.lowest.as_mm())),
            })
        })
        .collect();
    let cuts: Vec<Value> = layout::cuts(board, &offer.layout, asked.kerf)
        .iter()
        .map(|cut| {
            json!({
                "rip": cut.rip,
                "at_mm": round(cut.at.as_mm()),
                "offcut_mm": cut.offcut.map(|size| round(size.as_mm())),
            })
        })
        .collect();
    let near: Vec<Value> = offer
        .layout
        .clearances
        .iter()
        .map(|clear| {
            let (kind, number) = match clear.to {
                Neighbour::Edge => ("edge", None),
                Neighbour::Flaw(number) => ("flaw", Some(number)),
                Neighbour::Piece(number) => ("piece", Some(number)),
            };
            json!({
                "piece": clear.piece,
                "to": kind,
                "number": number,
                "gap_mm": round(clear.gap.as_mm()),
                "must_mm": round(clear.must.as_mm()),
                "ends_mm": clear.ends.map(|end| end.to_array().map(round)),
            })
        })
        .collect();
    json!({
        "board": board.name,
        "file": path.display().to_string(),
        "verdict": offer.verdict.name(),
        "reason": offer.reason,
        "usable_mm": round(board.usable_height().as_mm()),
        "clearance_mm": round(offer.layout.clearance.as_mm()),
        "roomy": offer.layout.roomy,
        "match_kept": offer.layout.kept,
        "clearances": near,
        "cost": offer.cost,
        "pieces": pieces,
        "cuts": cuts,
    })
}

/// Draws the best layout: the pieces that have a place, planned as `build` would. What lies can be
/// drawn though something else about the job is a fault; those are given back.
///
/// # Errors
/// What is wrong, and what to do.
fn draw(
    path: &Path,
    set: &Set,
    asked: &Asked,
    offer: &Offer,
) -> Result<Vec<String>, (String, String)> {
    let laid = set.designs.iter().zip(&offer.layout.places).filter(|(_, place)| place.is_some());
    let (designs, places) = laid.map(|(design, place)| (design.clone(), *place)).unzip();
    let layout = Layout { places, clearances: Vec::new(), ..offer.layout.clone() };
    let (board, shop) = (set.boards[offer.board].1.clone(), set.shop.clone());
    let order = job::Order::new(designs, board, shop);
    let (spare, together) = (asked.spare, asked.together);
    let order = job::Order { spare, together, layout: Some(layout.clone()), ..order };
    let outcome = job::plan(&order);
    let faults = outcome.findings.iter().filter(|finding| finding.severity == Severity::Fault);
    let faults: Vec<String> = faults.map(|fault| fault.message.clone()).collect();
    let Some(job) = outcome.job else {
        let says = format!("A piece can't be made, so nothing is drawn: {}.", faults.join("; "));
        return Err((says, "`treenwright check` with this board says what to do.".to_owned()));
    };
    let drawing = match &job.mounting {
        Some(_) => board::layout::svg(&job),
        None => board::layout::svg_loose(&job, &layout),
    };
    files::create(path, drawing.as_bytes()).map_err(|error| {
        let (says, to_do) = files::not_created(path, &error);
        (says, to_do.to_owned())
    })?;
    Ok(faults)
}
