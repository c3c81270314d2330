//! The sheet's parts that are read at the machine: the board, the order of work, the setups.

use super::drill;
use super::figures::{bare, called, feed, shown};
use super::info::{BoardInfo, Loaded, PassLine, SetupLine, SheetInfo, Step};
use super::marks::{drawing, listed, text, tick};
use crate::params::Cutter;
use crate::sheet::words::{self, fill};
use crate::units::{Length, Unit, plain};
use crate::work::Levels;
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

pub(super) fn steps(steps: &[Step]) -> Markup {
    html! {
        @if !steps.is_empty() {
            section .leaf {
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
        section .leaf.setup {
            h2 { (title) }
            p { (setup.turn) }
            p .mind { strong { (words::MIND) } " " (setup.mind) }
            (drawing(&title, &setup.picture))
            div .beside {
                (zero(setup))
                (places(setup, info.unit))
            }
            div .halves {
                (ticks(words::MOUNT, &setup.mount))
                (ticks(words::BEFORE, &setup.before))
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
                        th scope="col" { (words::ON_BOARD) }
                    }
                }
                tbody {
                    @for line in &setup.enter {
                        tr { th scope="row" { (line.axis) } td { (line.at) } td { (line.enter) } td { (line.board) } }
                    }
                }
            }
            dl .heights {
                @for (what, figure) in &setup.heights { div { dt { (what) } dd { (figure) } } }
            }
        }
    }
}

fn places(setup: &SetupLine, unit: Unit) -> Markup {
    let on_bed = |axis| fill(words::ON_BED, &[("axis", axis)]);
    let places = &setup.places;
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
            @for line in &setup.measure { p .small { (line) } }
        }
    }
}

fn ticks(title: &str, lines: &[String]) -> Markup {
    html! {
        div {
            h3 { (title) }
            ul .tick { @for line in lines { li { (tick(text(line))) } } }
        }
    }
}

fn passes(setup: &SetupLine, unit: Unit) -> Markup {
    let of_unit = |word: &str| fill(word, &[("unit", unit.symbol())]);
    html! {
        h3 { (words::PASSES) }
        @if let Some(bore) = &setup.bore { (drill::bore(bore, unit)) }
        table .stack.passes {
            thead {
                tr {
                    th scope="col" { (words::STEP) }
                    th scope="col" { (words::CUTTER) }
                    th scope="col" { (words::FEED) }
                    th scope="col" { (words::PLUNGE) }
                    th scope="col" { (words::SPEED) }
                    @for column in words::PASS_COLUMNS { th scope="col" { (of_unit(column)) } }
                }
            }
            tbody { @for pass in &setup.passes { (pass_row(pass, unit)) } }
        }
        p .small { (setup.lift) " " (words::FEEDS_NOTE) }
        (each_note(setup.passes.iter().flat_map(|pass| &pass.files)))
    }
}

/// A pass in two rows: what is entered for it, and what is loaded.
fn pass_row(pass: &PassLine, unit: Unit) -> Markup {
    let size = |cutter: &Cutter| {
        let [across, out] = [cutter.diameter, cutter.stick_out].map(|length| shown(length, unit));
        fill(words::CUTTER_SIZE, &[("across", &across), ("out", &out)])
    };
    let each = |figure: &dyn Fn(&Cutter) -> String| {
        let all = pass.cutters.iter().map(figure).collect::<Vec<_>>();
        if all.is_empty() { "\u{2013}".to_owned() } else { all.join("; ") }
    };
    let length = |length: Option<Length>| length.map_or("\u{2013}".to_owned(), |l| bare(l, unit));
    let level = |pick: &dyn Fn(&Levels) -> Option<Length>| {
        let mut told: Vec<String> = Vec::new();
        for (pieces, levels) in &pass.levels {
            let figure = length(pick(levels));
            told.push(match pieces.as_str() {
                "" => figure,
                pieces => fill(words::OF_PIECE_SHORT, &[("figure", &figure), ("piece", pieces)]),
            });
        }
        // The same for all pieces is said once.
        let mut figures: Vec<String> = pass.levels.iter().map(|(_, l)| length(pick(l))).collect();
        figures.dedup();
        if let [one] = figures.as_slice() { one.clone() } else { told.join("; ") }
    };
    let [step_over, depth, from, to, leaves] = words::PASS_COLUMNS;
    let over = pass.levels.iter().filter_map(|(_, levels)| levels.over_tabs);
    let over = over.reduce(Length::max).map(|over| shown(over, unit));
    let cell = |column: &str, figure: String| {
        let column = fill(column, &[("unit", unit.symbol())]);
        html! { td data-label=(column) { (figure) } }
    };
    html! {
        tr {
            th scope="row" { (tick(html! { (pass.count) ". " (pass.work) })) }
            td data-label=(words::CUTTER) {
                @for cutter in &pass.cutters {
                    b { (called(cutter)) } " " span .size { (size(cutter)) } " "
                }
                @if pass.cutters.is_empty() { "\u{2013}" }
            }
            (cell(words::FEED, each(&|cutter| feed(cutter.feed_mm_min, unit))))
            (cell(words::PLUNGE, each(&|cutter| feed(cutter.plunge(), unit))))
            (cell(words::SPEED, each(&|cutter| plain(cutter.speed_rpm, 0))))
            (cell(step_over, each(&|cutter| length(cutter.step_over))))
            (cell(depth, level(&|levels| levels.depth)))
            (cell(from, level(&|levels| Some(levels.start))))
            (cell(to, level(&|levels| Some(levels.end))))
            (cell(leaves, level(&|levels| Some(levels.leaves))))
        }
        tr .loads {
            td colspan="10" {
                (words::LOAD) " " (listed(&pass.files)) "."
                @if let Some(over) = &over { " " (fill(words::OVER_TABS, &[("height", over)])) }
            }
        }
    }
}
