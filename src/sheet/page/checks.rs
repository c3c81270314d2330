//! What the checks say: the table, the cautions that the maker accepts with their reasons, and what
//! each cutter would leave.

use super::figures::bare;
use super::info::{PieceInfo, SheetInfo};
use super::marks::{heading, text};
use crate::check::Row;
use crate::check::reach::CutterReach;
use crate::sheet::words::{self, fill};
use crate::units::{Unit, plain};
use maud::{Markup, html};

pub(super) fn section(info: &SheetInfo, piece: &PieceInfo) -> Markup {
    let lines = &piece.checks;
    html! {
        @if !lines.rows.is_empty() {
            section {
                h2 { (heading(info, piece, words::CHECKS)) }
                (table(&lines.rows))
                @if !lines.accepted.is_empty() {
                    h3 { (words::ACCEPTED_ALL) }
                    dl .list {
                        @for [code, message, reason] in &lines.accepted {
                            div {
                                dt { code { (code) } }
                                dd {
                                    (text(message)) ". " strong { (words::ACCEPTED) } " " (reason)
                                }
                            }
                        }
                    }
                }
                (reach(&lines.reached, info.unit))
                p .small { (text(words::CHECKS_MIND)) }
            }
        }
    }
}

fn table(rows: &[Row]) -> Markup {
    html! {
        table .stack .rules {
            thead {
                tr {
                    th scope="col" { (words::RULE) }
                    th scope="col" { (words::VERDICT) }
                    th scope="col" { (words::FIGURES) }
                }
            }
            tbody {
                @for row in rows {
                    tr {
                        th scope="row" { (row.rule) }
                        td data-label=(words::VERDICT) { (row.verdict.name()) }
                        td data-label=(words::FIGURES) { (text(&row.says)) }
                    }
                }
            }
        }
    }
}

fn reach(reached: &[CutterReach], unit: Unit) -> Markup {
    let name = |one: &CutterReach| {
        let how = if one.finishes { words::FINISHES } else { words::ON_SIDE };
        fill(how, &[("cutter", &one.cutter), ("side", one.face.name())])
    };
    let of_unit = |word: &str| fill(word, &[("unit", unit.symbol())]);
    let in_mm = unit.in_mm();
    let figures = if unit == Unit::Inch { [5, 3] } else { [1, 0] };
    html! {
        @if !reached.is_empty() {
            h3 { (words::LEFT_BY_EACH) }
            table .numbers {
                thead {
                    tr {
                        th scope="col" { (words::CUTTER_SIDE) }
                        th scope="col" { (of_unit(words::MOST_LEFT)) }
                        th scope="col" { (of_unit(words::LEFT_VOLUME)) }
                        th scope="col" { (of_unit(words::LEFT_AREA)) }
                        th scope="col" { (words::WOULD) }
                    }
                }
                tbody {
                    @for one in reached {
                        tr {
                            th scope="row" { (name(one)) }
                            td { (bare(one.most, unit)) }
                            td { (plain(one.volume_mm3 / in_mm.powi(3), figures[0])) }
                            td { (plain(one.area_mm2 / in_mm.powi(2), figures[1])) }
                            td { (if one.would { words::YES } else { words::NO }) }
                        }
                    }
                }
            }
            p .small { (words::LEFT_MIND) }
        }
    }
}
