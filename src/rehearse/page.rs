//! `rehearsal.html`: one page of the job sheet's family, to read before the spindle starts.
//!
//! Promised: one file without script, without anything fetched; all text escaped; readable in black
//! and white.

use super::look::{PICTURE_WIDE, maps, picture, picture_high};
use super::rows::figure_rows;
use super::run::Rehearsal;
use super::slips::Slip;
use super::stage::StagedSetup;
use crate::finding::{Severity, only_in};
use crate::relief::Face;
use crate::sheet::page::{document, map_shown, patterns, title_block};
use crate::sheet::{map_picture, picture_source, reach_steps};
use crate::units::Unit;
use maud::{Markup, html};

/// The page. `names` are the programs' own.
pub fn page(stage: &StagedSetup, done: &Rehearsal, names: &[String]) -> String {
    let pieces: Vec<&str> = stage.pieces.iter().map(|piece| piece.name.as_str()).collect();
    let title = format!("Rehearsal: {}", pieces.join(", "));
    let side = match stage.face {
        Face::Top => "setup 1, top up",
        Face::Bottom => "setup 2, bottom up",
    };
    let cells =
        only_in(&format!("{} mm", crate::units::plain(done.timber.cells.cell, 3)), unit(stage));
    let facts = [
        ("Setup", side.to_owned()),
        ("Board", board(stage)),
        ("Shop", stage.shop.clone()),
        ("Cells", cells),
    ];
    let body = html! {
        (title_block("Rehearsal", &pieces.join(", "), &facts))
        main {
            (slips(stage, done, names))
            section {
                h2 { "The board as it comes out" }
                figure {
                    img src=(picture_source(&picture(stage, &done.timber))) width=(PICTURE_WIDE)
                        height=(picture_high(stage))
                        alt="The carved board seen from above, as it lies in this setup.";
                    figcaption { "Seen from above, as it lies. What is cut through is white." }
                }
            }
            (figures(stage, done))
            (shown_maps(stage, done))
            section {
                h2 { "Programs" }
                ol { @for name in names { li { code { (name) } } } }
            }
            section {
                h2 { "Mind" }
                p .mind {
                    "A rehearsal is no proof. It knows the packet and the programs, not what \
                     stands on the machine. The machine's manual comes first, then a dry run \
                     above the wood, then the first cut with a hand on the stop."
                }
            }
            footer { p { "Made by treenwright " (env!("CARGO_PKG_VERSION")) "." } }
        }
    };
    document(&title, &body)
}

/// The board's name, with its species when that is not in it.
fn board(stage: &StagedSetup) -> String {
    let [name, species] = &stage.board;
    if name.contains(species.as_str()) { name.clone() } else { format!("{name}, {species}") }
}

fn unit(stage: &StagedSetup) -> Unit {
    if stage.inches { Unit::Inch } else { Unit::Millimetre }
}

fn slips(stage: &StagedSetup, done: &Rehearsal, names: &[String]) -> Markup {
    let apart = |folded: bool| -> Vec<&Slip> {
        done.slips.iter().filter(|slip| slip.explained == folded).collect()
    };
    let folded = apart(true);
    html! {
        section {
            h2 { "Findings" }
            @if done.slips.is_empty() { p { "None." } }
            @for slip in apart(false) { (one(stage, slip, names)) }
            @if !folded.is_empty() {
                details {
                    summary { (folded.len()) " more that come of it" }
                    @for slip in folded { (one(stage, slip, names)) }
                }
            }
        }
    }
}

fn one(stage: &StagedSetup, slip: &Slip, names: &[String]) -> Markup {
    let said = |text: &str| only_in(text, unit(stage));
    let class = if slip.severity == Severity::Fault { "finding fault" } else { "finding" };
    let programs = slip.programs(names);
    html! {
        div class=(class) {
            p .message {
                span .severity { (slip.severity.name()) } " " (said(&slip.says)) "."
            }
            @if !programs.is_empty() {
            p {
                @for (place, name) in programs.iter().enumerate() {
                    @if place > 0 && place + 1 == programs.len() { " and " } @else if place > 0 { ", " }
                    code { (name) }
                }
                @if slip.line > 0 { ", line " (slip.line) }
                @if slip.times > 1 { ", and " (slip.times - 1) " more" }
                @if slip.worst_line != slip.line { "; worst in line " (slip.worst_line) }
                @if let Some(place) = slip.place(stage) { "; at " (said(&place)) }
                "."
            }
            }
            p { (slip.help) }
            p .code { "treenwright explain " (slip.code.name) }
        }
    }
}

fn figures(stage: &StagedSetup, done: &Rehearsal) -> Markup {
    html! {
        section {
            h2 { "Figures" }
            table .rules.stack {
                thead { tr { th scope="col" { "What" } th scope="col" { "How much" } } }
                tbody {
                    @for (name, value) in figure_rows(stage, done) {
                        tr .loads { th scope="row" { (name) } td { (only_in(&value, unit(stage))) } }
                    }
                }
            }
        }
    }
}

fn shown_maps(stage: &StagedSetup, done: &Rehearsal) -> Markup {
    let Ok(maps) = maps(stage, done) else { return Markup::default() };
    let all = [
        (
            maps.promised.as_ref(),
            "What the finishing cutter can\u{2019}t reach, as the reach map promises it",
            "Map of the wood that the finishing cutter can't but leave.",
        ),
        (Some(&maps.left), "What is left", "Map of the wood that is left."),
        (
            maps.more.as_ref(),
            "How much more is left than promised",
            "Map of the wood that is left beyond what the reach map promises.",
        ),
        (maps.below.as_ref(), "What is cut too deep", "Map of where the piece is cut too deep."),
    ];
    html! {
        section {
            h2 { "Maps" }
            p { "Each seen from above, as the board lies. What the patterns stand for:" }
            (patterns(&reach_steps(unit(stage))))
            div .maps {
                @for (png, caption, alt) in all {
                    @if let Some(map) = png.and_then(|png| map_picture(png, caption, alt)) {
                        (map_shown(&map))
                    }
                }
            }
            @if maps.below.is_none() { p { "Nowhere is anything cut too deep." } }
            @if maps.more.is_none() && maps.promised.is_some() {
                p { "Nowhere is more left than promised." }
            }
        }
    }
}
