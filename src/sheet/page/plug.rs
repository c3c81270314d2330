//! The sheet's page for a plug: its own board, its own zero, its own passes.

use super::info::{PlugPage, SheetInfo};
use super::marks::drawing;
use super::work::{heights, pass_table, places, ticks};
use crate::sheet::words;
use crate::units::Unit;
use maud::{Markup, html};

pub(super) fn pages(info: &SheetInfo) -> Markup {
    html! {
        @for plug in &info.plugs { (page(plug, info.unit)) }
    }
}

fn page(plug: &PlugPage, unit: Unit) -> Markup {
    html! {
        section .leaf.setup {
            h2 { (plug.title) }
            p { (plug.board) " " (plug.grain) }
            p .mind { strong { (words::MIND) } " " (plug.mind) }
            (drawing(&plug.title, &plug.picture))
            div .beside {
                div {
                    h3 { (words::ZERO) }
                    table {
                        thead {
                            tr {
                                th scope="col" { (words::AXIS) }
                                th scope="col" { (words::ZERO_AT) }
                            }
                        }
                        tbody {
                            @for [axis, at] in &plug.zero {
                                tr { th scope="row" { (axis) } td { (at) } }
                            }
                        }
                    }
                    (heights(&plug.heights))
                }
                (places(&plug.places, &[], unit))
                div { (ticks(words::MOUNT, &plug.mount)) }
            }
            h3 { (words::PASSES) }
            (pass_table(&plug.passes, unit))
            (ticks(words::PLUG_THEN, &plug.then))
            div .kept {
                h3 { (words::PLUG_SECTION) }
                p { (plug.hatching) }
                (drawing(words::PLUG_SECTION, &plug.section))
            }
        }
    }
}
