//! Standing cautions before the work, and what is left to do by hand after it.
//!
//! A caution that belongs to one step stands at that step and not here.

use super::piece::shown;
use super::{SheetInfo, heading, text};
use crate::sheet::words;
use maud::{Markup, html};

pub(super) fn begin(notes: &[String]) -> Markup {
    html! {
        section {
            h2 { (words::SAFETY) }
            dl .cautions {
                @for (what, text) in words::STANDING { div { dt { (what) } dd { (text) } } }
                @if !notes.is_empty() {
                    div {
                        dt { (words::SHOP_NOTES) }
                        @for note in notes { dd { (note) } }
                    }
                }
            }
        }
    }
}

pub(super) fn sand(info: &SheetInfo) -> Markup {
    html! {
        section .leaf {
            @for piece in &info.pieces {
                section {
                    h2 { (heading(info, piece, words::SAND)) }
                    p { (piece.sand.ridges) }
                    @if !piece.sand.maps.is_empty() {
                        p { (words::SAND_MAP) }
                        div .maps { @for map in &piece.sand.maps { (shown(map)) } }
                    }
                }
            }
            ol .tick {
                @for [what, why] in words::SAND_STEPS {
                    li { p .what { (text(what)) } p .why { (why) } }
                }
            }
            p .mind { strong { (words::MIND) } " " (words::SAND_DUST) }
        }
    }
}

pub(super) fn finish() -> Markup {
    html! {
        section {
            h2 { (words::FINISHING) }
            dl .cautions {
                @for (what, text) in words::FINISH { div { dt { (what) } dd { (text) } } }
            }
        }
    }
}
