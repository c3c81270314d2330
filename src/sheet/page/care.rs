//! Standing cautions before the work, and what is left to do by hand after it.
//!
//! A caution that belongs to one step stands at that step and not here.

use super::info::{MapScale, PagePicture, Sand, SheetInfo};
use super::marks::{text, tick};
use super::swatch;
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
    // What holds for all pieces is said once.
    let mut ridges: Vec<&str> = info.pieces.iter().map(|p| p.sand.ridges.as_str()).collect();
    ridges.dedup();
    let sands = || info.pieces.iter().map(|piece| &piece.sand);
    let mut scales: Vec<&MapScale> =
        sands().filter(|sand| !sand.ridge_maps.is_empty()).map(|sand| &sand.ridge_scale).collect();
    scales.dedup();
    scales.extend(sands().find(|sand| !sand.maps.is_empty()).map(|sand| &sand.reach_scale));
    // Two sides, each with its ridges and with what is left.
    let some_white = sands().any(|sand| sand.maps.len() + sand.ridge_maps.len() < 4);
    html! {
        section .leaf {
            h2 { (words::SAND) }
            @if let [all] = ridges.as_slice() { p { (all) } }
            @for scale in &scales { p { (scale.says) } (patterns(&scale.steps)) }
            @if some_white { p { (words::SAND_WHITE) } }
            @for piece in &info.pieces {
                section .kept {
                    @if info.pieces.len() > 1 { h3 { (piece.design) } }
                    @if ridges.len() > 1 { p { (piece.sand.ridges) } }
                    (maps(&piece.sand))
                }
            }
            ol .tick {
                @for [what, why] in words::SAND_STEPS {
                    li { p .what { (tick(text(what))) } @if !why.is_empty() { p .why { (why) } } }
                }
            }
            p .mind { strong { (words::MIND) } " " (words::SAND_DUST) }
        }
    }
}

fn maps(sand: &Sand) -> Markup {
    let all = || sand.ridge_maps.iter().chain(&sand.maps);
    html! {
        @if all().next().is_some() { div .maps { @for map in all() { (map_shown(map)) } } }
    }
}

/// A map without the scale at its file's foot, which the page has in its own letters.
pub fn map_shown(map: &PagePicture) -> Markup {
    let room = format!("aspect-ratio:{}/{}", map.width, map.height);
    html! {
        figure {
            div .map style=(room) { img src=(map.source) alt=(map.alt); }
            figcaption { (map.caption) }
        }
    }
}

/// The patterns of the maps with what they stand for, drawn as the maps have them.
pub fn patterns(steps: &[String]) -> Markup {
    html! {
        ul .patterns {
            @for (step, bars) in steps.iter().zip(swatch::BARS) {
                li { (swatch::swatch(bars)) " " (step) }
            }
        }
    }
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
