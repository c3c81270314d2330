//! The sheet's parts that are read at the machine: the board, the order of work, the setups.

use super::drill;
use super::figures::{bare, called, column, feed, shown};
use super::info::{BoardInfo, Loaded, PassLine, PlaceLine, SetupLine, SheetInfo, StepLine};
use super::marks::{drawing, listed, text, tick};
use crate::params::Cutter;
use crate::sheet::words::{self, fill};
use crate::units::{Length, Unit, plain};
use crate::work::PassHeights;
use maud::{Markup, html};

pub(super) fn board(board: &BoardInfo) -> Markup {
    html! {
        @if !board.layout_svg.is_empty() {
            section .leaf.board {
                h2 { (words::BOARD_HEADING) }
                (drawing(words::LAYOUT, &board.layout_svg))
            }
        }
    }
}

pub(super) fn steps(steps: &[StepLine]) -> Markup {
    html! {
        @if !steps.is_empty() {
            section {
                h2 { (words::ORDER) }
                ol .tick {
                    @for step in steps {
                        li {
                            p .what { (tick(html! { (step.what) })) }
                            @if !step.mind.is_empty() {
                                p .mind { strong { (words::MIND) } " " (step.mind) }
                            }
                            @if !step.files.is_empty() {
                                p .load { (words::LOAD) " " (listed(&step.files)) }
                            }
                            @if !step.why.is_empty() { p .why { (step.why) } }
                        }
                    }
                }
                (each_note(steps.iter().flat_map(|step| &step.files)))
            }
        }
    }
}

/// What the star before a file's name says, where there is one.
fn each_note<'a>(mut files: impl Iterator<Item = &'a Loaded>) -> Markup {
    html! {
        @if files.any(|file| file.name.starts_with('*')) { p .small { (text(words::EACH_NOTE)) } }
    }
}

pub(super) fn setups(info: &SheetInfo) -> Markup {
    html! {
        @for setup in &info.board.setups { (setup_page(info, setup)) }
    }
}

fn setup_page(info: &SheetInfo, setup: &SetupLine) -> Markup {
    let count = setup.count.to_string();
    let title = fill(words::SETUP, &[("count", &count), ("face", &setup.name)]);
    html! {
        section .leaf.setup.many[info.pieces.len() > 1] {
            h2 { (title) }
            p { (setup.turn) }
            p .mind { strong { (words::MIND) } " " (setup.mind) }
            (drawing(&title, &setup.picture))
            div .beside {
                div { (zero(setup)) (ticks(words::MOUNT, &setup.mount)) }
                div { (places(&setup.places, &setup.measure, info.unit)) (ticks(words::BEFORE, &setup.before)) }
            }
            (passes(setup, info.unit))
        }
    }
}

fn zero(setup: &SetupLine) -> Markup {
    let enter = match &setup.position {
        Some(word) => fill(words::ENTER_AT, &[("word", word)]),
        None => words::ENTER.to_owned(),
    };
    html! {
        div {
            h3 { (words::ZERO) }
            table {
                thead {
                    tr {
                        th scope="col" { (words::AXIS) }
                        th scope="col" { (words::ZERO_AT) }
                        th scope="col" { (enter) }
                    }
                }
                tbody {
                    @for line in &setup.enter {
                        tr { th scope="row" { (line.axis) } td { (line.at) } td { (line.enter) } }
                    }
                }
            }
            (heights(&setup.heights))
        }
    }
}

/// Heights of a setup or of a plug's board.
pub(super) fn heights(rows: &[(String, String)]) -> Markup {
    html! { dl .heights { @for (what, figure) in rows { div { dt { (what) } dd { (figure) } } } } }
}

/// Places in a setup's plan, and on the bed where the shop lists work positions.
pub(super) fn places(places: &[PlaceLine], measure: &[String], unit: Unit) -> Markup {
    let on_bed = |axis| fill(words::ON_BED, &[("axis", axis)]);
    let bed = places.iter().any(|place| place.on_bed.is_some());
    html! {
        div {
            h3 { (fill(words::PLACES, &[("unit", unit.symbol())])) }
            table .numbers {
                thead {
                    tr {
                        th scope="col" { (words::PLACE) }
                        th scope="col" { "X" }
                        th scope="col" { "Y" }
                        @if bed {
                            th scope="col" { (on_bed("X")) }
                            th scope="col" { (on_bed("Y")) }
                        }
                    }
                }
                tbody {
                    @for place in places {
                        tr {
                            th scope="row" { b { (place.name) } " " (place.what) }
                            @for figure in place.at.iter().chain(place.on_bed.iter().flatten()) {
                                td { (bare(*figure, unit)) }
                            }
                        }
                    }
                }
            }
            @if !measure.is_empty() { p .small { @for line in measure { (line) " " } } }
        }
    }
}

pub(super) fn ticks(title: &str, lines: &[String]) -> Markup {
    html! {
        div {
            h3 { (title) }
            ul .tick { @for line in lines { li { (tick(text(line))) } } }
        }
    }
}

fn passes(setup: &SetupLine, unit: Unit) -> Markup {
    html! {
        h3 { (words::PASSES) }
        @if let Some(bore) = &setup.bore { (drill::bore(bore, unit)) }
        (pass_table(&setup.passes, unit))
        p .small { (setup.lift) " " (words::FEEDS_NOTE) }
        (each_note(setup.passes.iter().flat_map(|pass| &pass.files)))
    }
}

/// Passes, each with what is entered for it and what is loaded.
pub(super) fn pass_table(passes: &[PassLine], unit: Unit) -> Markup {
    let of_unit = |word: &str| column(word, unit);
    html! {
        table .stack.passes {
            thead {
                tr {
                    th scope="col" { (words::STEP) }
                    th scope="col" { (words::CUTTER) }
                    th scope="col" { (of_unit(words::FEED)) }
                    th scope="col" { (of_unit(words::PLUNGE)) }
                    th scope="col" { (words::SPEED) }
                    @for name in words::PASS_COLUMNS { th scope="col" { (of_unit(name)) } }
                }
            }
            tbody { @for pass in passes { (pass_row(pass, unit)) } }
        }
    }
}

/// A pass in two rows: what is entered for it, and below what is chucked and loaded.
fn pass_row(pass: &PassLine, unit: Unit) -> Markup {
    let size = |cutter: &Cutter| {
        let [across, out] = [cutter.diameter, cutter.stick_out].map(|length| shown(length, unit));
        let values = [("cutter", cutter.name.as_str()), ("across", &across), ("out", &out)];
        fill(words::CUTTER_SIZE, &values)
    };
    let each = |figure: &dyn Fn(&Cutter) -> String| {
        let all = pass.cutters.iter().map(figure).collect::<Vec<_>>();
        if all.is_empty() { NONE.to_owned() } else { all.join("; ") }
    };
    let length = |length: Option<Length>| length.map_or(NONE.to_owned(), |l| bare(l, unit));
    let figures = |pick: Pick| {
        let each = pass.levels.iter().map(|(pieces, levels)| (pieces, length(pick(levels))));
        each.collect::<Vec<_>>()
    };
    // What differs from piece to piece stands in the second row.
    let level = |pick: Pick| match figures(pick).as_slice() {
        [] => NONE.to_owned(),
        [(_, first), rest @ ..] if rest.iter().all(|(_, other)| other == first) => first.clone(),
        _ => words::BY_PIECE.to_owned(),
    };
    let [step_over, depth, from, to, leaves] = words::PASS_COLUMNS;
    let levels: [(&str, Pick); 4] = [
        (depth, |levels| levels.depth),
        (from, |levels| Some(levels.start)),
        (to, |levels| Some(levels.end)),
        (leaves, |levels| Some(levels.leaves)),
    ];
    let by_piece = levels.iter().filter(|(_, pick)| level(*pick) == words::BY_PIECE);
    let by_piece = by_piece.map(|(name, pick)| {
        let told = figures(*pick);
        let told = told.iter().map(|(piece, figure)| {
            fill(words::OF_PIECE_SHORT, &[("figure", figure), ("piece", piece)])
        });
        let told = told.collect::<Vec<_>>().join(", ");
        fill(words::LEVEL_EACH, &[("column", &column(name, unit)), ("each", &told)])
    });
    let over = pass.levels.iter().filter_map(|(_, levels)| levels.over_tabs);
    let over = over.reduce(Length::max).map(|over| shown(over, unit).replace('-', "\u{2212}"));
    let cell = |name: &str, figure: String| {
        html! { td data-label=(column(name, unit)) { (figure) } }
    };
    html! {
        tr {
            th scope="row" { (tick(html! { (pass.count) ". " (pass.work) })) }
            td .cutter data-label=(words::CUTTER) { b { (each(&|cutter| called(cutter))) } }
            (cell(words::FEED, each(&|cutter| feed(cutter.feed_mm_min, unit))))
            (cell(words::PLUNGE, each(&|cutter| feed(cutter.plunge(), unit))))
            (cell(words::SPEED, each(&|cutter| plain(cutter.speed_rpm, 0))))
            (cell(step_over, each(&|cutter| length(cutter.step_over))))
            @for (name, pick) in levels { (cell(name, level(pick))) }
        }
        tr .loads {
            td colspan="10" {
                (words::LOAD) " " (listed(&pass.files)) "."
                @for cutter in &pass.cutters { " " (size(cutter)) }
                @for told in by_piece { " " (told) }
                @if let Some(over) = &over { " " (fill(words::OVER_TABS, &[("height", over)])) }
            }
        }
    }
}

/// What of a pass's heights a column shows.
type Pick = fn(&PassHeights) -> Option<Length>;

/// Where there is no figure.
const NONE: &str = "\u{2013}";
