//! The pins' drill chart, and how well the two sides meet on them.

use super::figures::bare;
use super::{BoardInfo, SheetInfo};
use crate::sheet::words::{self, fill};
use maud::{Markup, html};

pub(super) fn chart(info: &SheetInfo, board: &BoardInfo) -> Markup {
    let title = fill(words::DRILL_CHART, &[("unit", info.unit.symbol())]);
    html! {
        @if !board.drill.is_empty() {
            section {
                h2 { (title) }
                table .numbers {
                    thead {
                        tr { @for column in words::DRILL_COLUMNS { th scope="col" { (column) } } }
                    }
                    tbody {
                        @for hole in &board.drill {
                            tr {
                                th scope="row" { "P" (hole.pin) ": " (hole.what) }
                                @for figure in hole.at.iter().chain(&hole.on_bed) {
                                    td { (bare(*figure, info.unit)) }
                                }
                                td { (bare(hole.diameter, info.unit)) }
                                td { (bare(hole.depth, info.unit)) }
                            }
                        }
                    }
                }
                @for line in &board.register { p .small { (line) } }
            }
        }
    }
}
