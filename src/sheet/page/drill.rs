//! How the pins' holes are bored: in the bed, in the board, and how well the two sides meet on them.

use super::figures::{bare, called, column, feed, shown};
use super::info::{BoreLine, DrillLine, SheetInfo};
use super::marks::{listed, tick};
use crate::sheet::words::{self, fill};
use crate::units::{Length, Unit, plain};
use maud::{Markup, html};

/// The bed's holes: a file, a zero and a frame of their own.
pub(super) fn bed(info: &SheetInfo) -> Markup {
    html! {
        @if let Some(bed) = &info.board.bed {
            section .bed {
                h2 { (words::BED_HOLES) }
                ul .tick { @for line in &bed.zero { li { (tick(html! { (line) })) } } }
                table .numbers.stack {
                    thead {
                        tr {
                            @for name in words::DRILL_COLUMNS {
                                th scope="col" { (column(name, info.unit)) }
                            }
                        }
                    }
                    tbody { @for hole in &bed.holes { (hole_row(hole, info.unit)) } }
                }
                (bore(&bed.bore, info.unit))
                @for line in &info.board.register { p .small { (line) } }
            }
        }
    }
}

fn hole_row(hole: &DrillLine, unit: Unit) -> Markup {
    let name = [("pin", hole.pin.to_string()), ("setup", hole.setup.to_string())];
    let name = name.each_ref().map(|(name, value)| (*name, value.as_str()));
    let figures = hole.on_bed.iter().copied().chain([hole.diameter, hole.depth]);
    html! {
        tr {
            th scope="row" { (fill(words::DRILL_HOLE, &name)) }
            @for (figure, name) in figures.zip(&words::DRILL_COLUMNS[1..]) {
                td data-label=(column(name, unit)) { (bare(figure, unit)) }
            }
        }
    }
}

/// How holes are bored: no pass, so no step-over.
pub(super) fn bore(bore: &BoreLine, unit: Unit) -> Markup {
    let [from, to] = bore.heights;
    let of_unit = |word: &str| column(word, unit);
    let row = |name: &str, figure: Option<Length>| {
        let figure = figure.map_or("\u{2013}".to_owned(), |length| bare(length, unit));
        html! { td data-label=(of_unit(name)) { (figure) } }
    };
    html! {
        table .stack.passes {
            thead {
                tr {
                    th scope="col" { (words::STEP) }
                    th scope="col" { (words::CUTTER) }
                    th scope="col" { (of_unit(words::PLUNGE)) }
                    th scope="col" { (words::SPEED) }
                    th scope="col" { (of_unit(words::PECK)) }
                    th scope="col" { (of_unit(words::Z_FROM)) }
                    th scope="col" { (of_unit(words::Z_TO)) }
                }
            }
            tbody {
                tr {
                    th scope="row" { (tick(html! { (bore.count) ". " (bore.work) })) }
                    @if let Some(cutter) = &bore.cutter {
                        td data-label=(words::CUTTER) {
                            b { (called(cutter)) } " " span .size { (shown(cutter.diameter, unit)) }
                        }
                        td data-label=(of_unit(words::PLUNGE)) { (feed(cutter.plunge(), unit)) }
                        td data-label=(words::SPEED) { (plain(cutter.speed_rpm, 0)) }
                    } @else {
                        td data-label=(words::CUTTER) { "\u{2013}" }
                        td data-label=(of_unit(words::PLUNGE)) { "\u{2013}" }
                        td data-label=(words::SPEED) { "\u{2013}" }
                    }
                    (row(words::PECK, bore.peck))
                    (row(words::Z_FROM, Some(from)))
                    (row(words::Z_TO, Some(to)))
                }
                tr .loads {
                    td colspan="7" { (bore.way) " " (words::LOAD) " " (listed(&bore.files)) }
                }
            }
        }
    }
}
