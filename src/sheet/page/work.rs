//! The sheet's parts that are read at the machine: the board, the order of work, the setups.

use super::figures::{bare, called, feed, shown};
use super::{CutterLine, SetupLine, SheetInfo, Step, drawing};
use crate::units::{Unit, plain};
use maud::{Markup, html};

pub(super) fn board(info: &SheetInfo) -> Markup {
    html! {
        @if !info.layout_svg.is_empty() {
            section .board {
                h2 { "The board" }
                (drawing("The board with the piece on it", &info.layout_svg))
            }
        }
    }
}

pub(super) fn steps(steps: &[Step]) -> Markup {
    html! {
        @if !steps.is_empty() {
            section {
                h2 { "Order of work" }
                ol .tick {
                    @for step in steps {
                        li {
                            p .what { (step.what) }
                            @if !step.why.is_empty() { p .why { (step.why) } }
                            @if !step.mind.is_empty() {
                                p .mind { strong { "Mind: " } (step.mind) }
                            }
                        }
                    }
                }
            }
        }
    }
}

pub(super) fn drill_chart(info: &SheetInfo) -> Markup {
    html! {
        @if !info.drill.is_empty() {
            section {
                h2 { "Pins: drill chart, " (info.unit.symbol()) }
                table .numbers {
                    thead {
                        tr {
                            th scope="col" { "Hole" }
                            th scope="col" { "X" }
                            th scope="col" { "Y" }
                            th scope="col" { "X on the machine" }
                            th scope="col" { "Y on the machine" }
                            th scope="col" { "Across" }
                            th scope="col" { "Deep" }
                        }
                    }
                    tbody {
                        @for hole in &info.drill {
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
                @for (index, line) in info.register.iter().enumerate() {
                    @if index == 0 || index + 1 == info.register.len() {
                        p .small { (line) }
                    } @else {
                        p .small { "\u{2013} " (line) }
                    }
                }
            }
        }
    }
}

pub(super) fn setups(info: &SheetInfo) -> Markup {
    html! { @for setup in &info.setups { (setup_page(setup, info.unit)) } }
}

fn setup_page(setup: &SetupLine, unit: Unit) -> Markup {
    html! {
        section .setup {
            h2 { "Setup " (setup.count) ": " (setup.name) " up" }
            p { (setup.turn) }
            @if !setup.picture.is_empty() {
                (drawing(&format!("Setup {}", setup.count), &setup.picture))
            }
            div .beside {
                div {
                    h3 { "Zero" }
                    table {
                        thead { tr { th scope="col" { "Axis" } th scope="col" { "Is 0 at the" } } }
                        tbody {
                            @for enter in &setup.enter {
                                tr { th scope="row" { (enter.axis) } td { (enter.at) } }
                            }
                        }
                    }
                    dl .heights {
                        @for (what, figure) in &setup.heights {
                            div { dt { (what) } dd { (figure) } }
                        }
                    }
                }
                div {
                    h3 { "Places, " (unit.symbol()) }
                    table .numbers {
                        thead {
                            tr {
                                th scope="col" { "What" }
                                th scope="col" { "X" }
                                th scope="col" { "Y" }
                            }
                        }
                        tbody {
                            @for place in &setup.places {
                                tr {
                                    th scope="row" { (place.name) ": " (place.what) }
                                    td { (bare(place.x, unit)) }
                                    td { (bare(place.y, unit)) }
                                }
                            }
                        }
                    }
                }
            }
            div .halves {
                div {
                    h3 { "Mount" }
                    ul .tick { @for line in &setup.mount { li { (line) } } }
                    p .mind { strong { "Mind: " } (setup.mind) }
                }
                div {
                    h3 { "Before the spindle starts" }
                    ul .tick { @for line in &setup.before { li { (line) } } }
                }
            }
            div .halves {
                (cutters(&setup.cutters, unit))
                div {
                    h3 { "Load" }
                    dl .list {
                        // A drawing in two formats is one line.
                        @for file in setup.files.iter().filter(|file| !file.name.ends_with(".svg")) {
                            div {
                                dt { code { (file.name) } }
                                dd { (file.role) ", in " (file.unit) }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn cutters(cutters: &[CutterLine], unit: Unit) -> Markup {
    html! {
        div {
            h3 { "Cutters" }
            dl .list {
                @for line in cutters {
                    @let cutter = &line.cutter;
                    div {
                        dt { (line.work) ": " (called(cutter)) }
                        dd {
                            (shown(cutter.diameter, unit)) " across, flutes "
                            (shown(cutter.flute, unit)) ", stick-out "
                            (shown(cutter.stick_out, unit)) "; feed "
                            strong { (feed(cutter.feed_mm_min, unit)) } ", speed "
                            strong { (plain(cutter.speed_rpm, 0)) "\u{a0}rpm" } ", step-over "
                            strong { (shown(cutter.step_over, unit)) }
                        }
                    }
                }
            }
            p .small {
                "Feeds and speeds are the shop file's. The machine's and the cutter's own limits "
                "go first."
            }
        }
    }
}

pub(super) fn finishing(notes: &[&str]) -> Markup {
    html! {
        @if !notes.is_empty() {
            section {
                h2 { "Finishing" }
                @for note in notes { p { (note) } }
            }
        }
    }
}
