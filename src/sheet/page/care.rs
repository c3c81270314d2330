//! Standing cautions before the work, and what is left to do by hand after it.
//!
//! A caution that belongs to one step stands at that step and not here.

use super::piece::shown;
use super::{SheetInfo, text};
use crate::export::reach_map::STEPS;
use crate::sheet::words::{self, fill};
use crate::units::plain;
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
    // What holds for all pieces is said once.
    let mut ridges: Vec<&str> = info.pieces.iter().map(|p| p.sand.ridges.as_str()).collect();
    ridges.dedup();
    let mapped = info.pieces.iter().any(|piece| !piece.sand.maps.is_empty());
    html! {
        section .leaf {
            h2 { (words::SAND) }
            @if let [all] = ridges.as_slice() { p { (all) } }
            @if mapped { p { (sand_map()) } }
            @for piece in &info.pieces {
                section .kept {
                    @if info.pieces.len() > 1 { h3 { (piece.design) } }
                    @if ridges.len() > 1 { p { (piece.sand.ridges) } }
                    @if !piece.sand.maps.is_empty() {
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

/// What the maps' patterns say.
fn sand_map() -> String {
    let [clean, dots, strokes, lattice, _] = STEPS.map(|most| plain(f64::from(most), 2));
    let values =
        [("clean", &*clean), ("dots", &dots), ("strokes", &strokes), ("lattice", &lattice)];
    fill(words::SAND_MAP, &values)
}

pub(super) fn finish() -> Markup {
    html! {
        section .kept {
            h2 { (words::FINISHING) }
            dl .cautions {
                @for (what, text) in words::FINISH { div { dt { (what) } dd { (text) } } }
            }
        }
    }
}
