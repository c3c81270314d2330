//! What the checks say: the table, the cautions that the maker accepts with their reasons, what each
//! cutter would leave, and the maps of what is left to sand.

use super::figures::bare;
use super::text;
use crate::check::Row;
use crate::check::reach::Reached;
use crate::relief::Face;
use crate::units::{Unit, plain};
use maud::{Markup, html};

/// What the sheet says of the checks.
#[derive(Clone, Debug, Default)]
pub struct ChecksLines {
    /// One line for each rule.
    pub rows: Vec<Row>,
    /// Cautions that are accepted: code, message, reason.
    pub accepted: Vec<[String; 3]>,
    /// What each cutter would leave.
    pub reached: Vec<Reached>,
    /// The maps: side, width and height in pixels, data URI.
    pub maps: Vec<(Face, u32, u32, String)>,
}

pub(super) fn section(lines: &ChecksLines, unit: Unit) -> Markup {
    html! {
        @if !lines.rows.is_empty() {
            section {
                h2 { "Checks" }
                (table(&lines.rows))
                @if !lines.accepted.is_empty() {
                    h3 { "Accepted by the maker" }
                    dl .list {
                        @for [code, message, reason] in &lines.accepted {
                            div {
                                dt { code { (code) } }
                                dd { (text(message)) ". " strong { "Accepted: " } (reason) }
                            }
                        }
                    }
                }
                (reach(&lines.reached, unit))
                (maps(&lines.maps))
                p .small {
                    "Strength, time, mass and moisture are estimates. Each rule says what it does "
                    "not see: " code { "treenwright explain CODE" } "."
                }
            }
        }
    }
}

fn table(rows: &[Row]) -> Markup {
    html! {
        table .stack {
            thead {
                tr {
                    th scope="col" { "Rule" }
                    th scope="col" { "Verdict" }
                    th scope="col" { "Figures" }
                }
            }
            tbody {
                @for row in rows {
                    tr {
                        th scope="row" { (row.rule) }
                        td data-label="Verdict" { (row.verdict.name()) }
                        td data-label="Figures" { (text(&row.says)) }
                    }
                }
            }
        }
    }
}

fn reach(reached: &[Reached], unit: Unit) -> Markup {
    html! {
        @if !reached.is_empty() {
            h3 { "What each cutter would leave" }
            table .numbers {
                thead {
                    tr {
                        th scope="col" { "Cutter and side" }
                        th scope="col" { "Most left, " (unit.symbol()) }
                        th scope="col" { "Volume, mm\u{b3}" }
                        th scope="col" { "To sand, mm\u{b2}" }
                        th scope="col" { "Would do" }
                    }
                }
                tbody {
                    @for one in reached {
                        tr {
                            th scope="row" {
                                (one.cutter) ", " (one.face.name())
                                @if one.finishes { " (finishes)" }
                            }
                            td { (bare(one.most, unit)) }
                            td { (plain(one.volume_mm3, 1)) }
                            td { (plain(one.area_mm2, 0)) }
                            td { (if one.would { "yes" } else { "no" }) }
                        }
                    }
                }
            }
            p .small {
                "Without the ridges between passes. Only a ball can be named for finishing; the "
                "others are there to compare."
            }
        }
    }
}

fn maps(maps: &[(Face, u32, u32, String)]) -> Markup {
    html! {
        @for (face, width, height, source) in maps {
            figure .map {
                img src=(source) width=(width) height=(height) style="width:100%;height:auto"
                    alt={
                        "Map of what the finishing cutter leaves on the " (face.name())
                        ": white is cut clean, dots, strokes, a lattice and black say that more is "
                        "left."
                    };
                figcaption { "Left to sand on the " (face.name()) ", handle's end at the left" }
            }
        }
    }
}
