//! Standing cautions before the work, and what is left to do by hand after it.
//!
//! A caution that belongs to one step stands at that step and not here.

use super::info::{Sand, SheetInfo};
use super::marks::text;
use super::piece::shown;
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
    let sands = || info.pieces.iter().map(|piece| &piece.sand);
    let mapped = sands().any(|sand| !sand.maps.is_empty());
    let mut scales: Vec<&str> = sands()
        .filter(|sand| !sand.ridge_maps.is_empty())
        .map(|sand| sand.ridge_scale.as_str())
        .collect();
    scales.dedup();
    let mut told: Vec<String> = scales.into_iter().map(str::to_owned).collect();
    if mapped {
        told.push(sand_map());
    }
    // Two sides, each with its ridges and with what is left.
    if sands().any(|sand| sand.maps.len() + sand.ridge_maps.len() < 4) {
        let last = told.pop().map_or(String::new(), |last| last + " ");
        told.push(last + words::SAND_WHITE);
    }
    html! {
        section .leaf {
            h2 { (words::SAND) }
            @if let [all] = ridges.as_slice() { p { (all) } }
            @for told in &told { p { (told) } }
            @for piece in &info.pieces {
                section .kept {
                    @if info.pieces.len() > 1 { h3 { (piece.design) } }
                    @if ridges.len() > 1 { p { (piece.sand.ridges) } }
                    (maps(&piece.sand))
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

fn maps(sand: &Sand) -> Markup {
    let all = || sand.ridge_maps.iter().chain(&sand.maps);
    html! {
        @if all().next().is_some() { div .maps { @for map in all() { (shown(map)) } } }
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
