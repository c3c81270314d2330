//! The sheet's parts that are read at the machine: the board, the order of work, the setups.

use super::figures::{bare, called, feed, shown};
use super::info::{BoardInfo, PassLine, PlaceLine, SetupLine, SheetInfo, StepLine};
use super::marks::{drawing, text};
use crate::params::Cutter;
use crate::sheet::words::{self, fill};
use crate::units::{Unit, plain};
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
            section .leaf {
                h2 { (words::ORDER) }
                ol .tick {
                    @for step in steps {
                        li {
                            p .what { (step.what) }
                            @if !step.why.is_empty() { p .why { (step.why) } }
                            @if !step.files.is_empty() {
                                p .load { (words::LOAD) " " (listed(&step.files)) }
                            }
                            @if !step.mind.is_empty() {
                                p .mind { strong { (words::MIND) } " " (step.mind) }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn listed(files: &[String]) -> Markup {
    html! {
        @for (i, file) in files.iter().enumerate() {
            @if i > 0 { span .sep { ", " } }
            code { (file) }
        }
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
                (places(&setup.places, info.unit))
            }
            div .halves {
                (ticks(words::MOUNT, &setup.mount))
                (ticks(words::BEFORE, &setup.before))
            }
            (passes(&setup.passes, info.unit))
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

fn places(places: &[PlaceLine], unit: Unit) -> Markup {
    let on_bed = |axis| fill(words::ON_BED, &[("axis", axis)]);
    html! {
        div {
            h3 { (fill(words::PLACES, &[("unit", unit.symbol())])) }
            table .numbers {
                thead {
                    tr {
                        th scope="col" { (words::PLACE) }
                        th scope="col" { "X" }
                        th scope="col" { "Y" }
                        th scope="col" { (on_bed("X")) }
                        th scope="col" { (on_bed("Y")) }
                    }
                }
                tbody {
                    @for place in places {
                        tr {
                            th scope="row" { b { (place.name) } " " (place.what) }
                            @for figure in place.at.iter().chain(&place.on_bed) {
                                td { (bare(*figure, unit)) }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn ticks(title: &str, lines: &[String]) -> Markup {
    html! {
        div {
            h3 { (title) }
            ul .tick { @for line in lines { li { (text(line)) } } }
        }
    }
}

fn passes(passes: &[PassLine], unit: Unit) -> Markup {
    html! {
        h3 { (words::PASSES) }
        table .stack.passes {
            thead {
                tr {
                    th scope="col" { (words::STEP) }
                    th scope="col" { (words::CUTTER) }
                    th scope="col" { (words::FEED) }
                    th scope="col" { (words::SPEED) }
                    th scope="col" { (words::STEP_OVER) }
                    th scope="col" { (words::LOAD) }
                }
            }
            tbody { @for pass in passes { (pass_row(pass, unit)) } }
        }
        p .small {
            (words::FEEDS_NOTE)
            @if passes.iter().any(|pass| pass.files.iter().any(|file| file.starts_with('*'))) {
                " " (text(words::EACH_NOTE))
            }
        }
    }
}

fn pass_row(pass: &PassLine, unit: Unit) -> Markup {
    let size = |cutter: &Cutter| {
        let [across, out] = [cutter.diameter, cutter.stick_out].map(|length| shown(length, unit));
        fill(words::CUTTER_SIZE, &[("across", &across), ("out", &out)])
    };
    html! {
        tr {
            th scope="row" { span .box {} (pass.count) ". " (pass.work) }
            @if let Some(cutter) = &pass.cutter {
                td data-label=(words::CUTTER) {
                    b { (called(cutter)) } br; span .size { (size(cutter)) }
                }
                td data-label=(words::FEED) { (feed(cutter.feed_mm_min, unit)) }
                td data-label=(words::SPEED) {
                    (fill(words::RPM, &[("speed", &plain(cutter.speed_rpm, 0))]))
                }
                td data-label=(words::STEP_OVER) { (shown(cutter.step_over, unit)) }
            } @else {
                td data-label=(words::CUTTER) { "\u{2013}" }
                td data-label=(words::FEED) { "\u{2013}" }
                td data-label=(words::SPEED) { "\u{2013}" }
                td data-label=(words::STEP_OVER) { "\u{2013}" }
            }
            td data-label=(words::LOAD) { (listed(&pass.files)) }
        }
    }
}
