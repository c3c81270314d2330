//! The pins' drill chart, and how well the two sides meet on them.

use super::figures::bare;
use super::{PieceInfo, SheetInfo, heading};
use crate::sheet::words::{self, fill};
use maud::{Markup, html};

pub(super) fn chart(info: &SheetInfo, piece: &PieceInfo) -> Markup {
    let title = fill(words::DRILL_CHART, &[("unit", info.unit.symbol())]);
    html! {
        @if !piece.drill.is_empty() {
            section {
                h2 { (heading(info, piece, &title)) }
                table .numbers {
                    thead {
                        tr { @for column in words::DRILL_COLUMNS { th scope="col" { (column) } } }
                    }
                    tbody {
                        @for hole in &piece.drill {
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
                @for line in &piece.register { p .small { (line) } }
            }
        }
    }
}
