//! The pins' drill chart, and how well the two sides meet on them.

use super::figures::bare;
use super::info::{DrillLine, SheetInfo};
use crate::sheet::words::{self, fill};
use crate::units::Length;
use maud::{Markup, html};

pub(super) fn chart(info: &SheetInfo) -> Markup {
    let board = &info.board;
    let columns = &words::DRILL_COLUMNS[1..];
    let title = fill(words::DRILL_CHART, &[("unit", info.unit.symbol())]);
    html! {
        @if !board.drill.is_empty() {
            section {
                h2 { (title) }
                table .numbers .stack {
                    thead {
                        tr { @for column in words::DRILL_COLUMNS { th scope="col" { (column) } } }
                    }
                    tbody {
                        @for hole in &board.drill {
                            tr {
                                th scope="row" { "P" (hole.pin) ": " (hole.what) }
                                @for (figure, column) in figures(hole).zip(columns) {
                                    td data-label=(column) { (bare(figure, info.unit)) }
                                }
                            }
                        }
                    }
                }
                @for line in &board.register { p .small { (line) } }
            }
        }
    }
}

/// A hole's figures, as its columns stand.
fn figures(hole: &DrillLine) -> impl Iterator<Item = Length> + '_ {
    hole.at.iter().chain(&hole.on_bed).copied().chain([hole.diameter, hole.depth])
}
