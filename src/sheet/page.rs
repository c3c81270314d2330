//! `sheet.html`: one page to print, to read on a phone beside the machine, and to tick off.
//!
//! Promised: one file without script, without anything fetched; all text escaped; the same bytes
//! for the same job; readable in black and white, on A4, on Letter and at 360 pixels. Not
//! promised: that the two drawings are safe to show; they are the caller's own SVG.

mod figures;
mod info;
mod safety;
mod work;

pub use info::{
    CutterLine, DrillLine, Enter, Figure, FileLine, Picture, PlaceLine, SetupLine, SheetInfo, Size,
    Step,
};

use crate::export::packet::Change;
use crate::finding::{Finding, Findings, Severity};
use figures::{bare, off_by, shown, unbroken, with};
use maud::{DOCTYPE, Markup, PreEscaped, html};

const STYLE: &str = include_str!("page/style.css");

/// The whole page.
pub fn page(info: &SheetInfo) -> String {
    let title = format!("Job sheet: {}", info.design);
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title) }
                style { (PreEscaped(STYLE)) }
            }
            body {
                (head(info))
                main {
                    (said(&info.findings))
                    (pictures(info))
                    (sizes(info))
                    (changes(&info.changes))
                    (drawings(info))
                    (work::board(info))
                    (work::steps(&info.steps))
                    (work::drill_chart(info))
                    (work::setups(info))
                    (work::finishing(&info.finishing))
                    (safety::section(&info.notes))
                    (files(&info.files))
                }
                footer {
                    p {
                        "Made by treenwright " (env!("CARGO_PKG_VERSION"))
                        ". All figures, and the sum of each file, are in "
                        code { "packet.json" } "."
                    }
                }
            }
        }
    }
    .into_string()
}

fn head(info: &SheetInfo) -> Markup {
    html! {
        header {
            p .over { "Job sheet" }
            h1 { (info.design) }
            dl .facts {
                div { dt { "Kind" } dd { (info.kind) } }
                div { dt { "Board" } dd { (with(&info.board, &info.species)) } }
                div { dt { "Plane the stock to" } dd { (shown(info.stock_height, info.unit)) } }
                div { dt { "Shop" } dd { (info.shop) } }
            }
        }
    }
}

fn pictures(info: &SheetInfo) -> Markup {
    let seen = |view: &str| match view {
        "top" => "From above",
        "bottom" => "From below",
        "side" => "From the right",
        _ => "From above and the right",
    };
    html! {
        @if !info.pictures.is_empty() {
            section {
                h2 { "The finished piece" }
                div .pictures {
                    @for picture in &info.pictures {
                        figure {
                            img src=(picture.source) width=(picture.width) height=(picture.height)
                                alt={ "The finished " (info.kind) ", shaded. " (seen(picture.view)) "." };
                            figcaption { (seen(picture.view)) }
                        }
                    }
                }
                p .small {
                    "Drawn from the model, in a tone of " (info.species)
                    "; your board has its own figure."
                }
            }
        }
    }
}

fn drawings(info: &SheetInfo) -> Markup {
    html! {
        @if !info.plan_svg.is_empty() {
            section {
                h2 { "Drawing" }
                (drawing("Plan and profile", &info.plan_svg))
                (drawing("Cross-sections", &info.profile_svg))
            }
        }
    }
}

/// A drawing, which may be wider than a phone and then moves under the finger. Whatever stands
/// before the SVG element itself, such as an XML declaration, has no place in HTML.
fn drawing(name: &str, svg: &str) -> Markup {
    let Some(at) = svg.find("<svg") else { return html! {} };
    html! {
        div .drawing role="region" aria-label=(name) tabindex="0" { (PreEscaped(&svg[at..])) }
    }
}

fn said(findings: &Findings) -> Markup {
    let list = |title: &str, severity: Severity| {
        let all: Vec<&Finding> = findings.iter().filter(|f| f.severity == severity).collect();
        html! {
            @if !all.is_empty() {
                section {
                    h2 { (title) }
                    @for finding in all {
                        div .finding.(severity.name()) {
                            p .message {
                                span .severity { (severity.name()) } " "
                                (text(&finding.message))
                            }
                            @if !finding.help.is_empty() { p { (text(&finding.help)) } }
                            p .code {
                                code { (finding.code.name) }
                                @if let Some(place) = &finding.place {
                                    @if !place.key.is_empty() {
                                        ", " code { (place.key) } " in the " (place.source.name())
                                        " file"
                                    }
                                }
                            }
                        }
                    }
                }
            }
        }
    };
    html! {
        (list("Faults", Severity::Fault))
        (list("Look at this first", Severity::Caution))
    }
}

fn sizes(info: &SheetInfo) -> Markup {
    let unit = info.unit;
    html! {
        section {
            h2 { "Sizes" }
            table .numbers {
                thead {
                    tr {
                        th scope="col" { "What" }
                        th scope="col" { "Asked, " (unit.symbol()) }
                        th scope="col" { "Measured" }
                        th scope="col" { "Off by" }
                    }
                }
                tbody {
                    @for size in &info.sizes {
                        tr {
                            th scope="row" { (unbroken(&size.what)) }
                            td { (bare(size.asked, unit)) }
                            td { (bare(size.measured, unit)) }
                            td { (off_by(size, unit)) }
                        }
                    }
                }
            }
            @if !info.figures.is_empty() {
                table .figures {
                    thead {
                        tr { th scope="col" { "Also measured" } th scope="col" { "Figure" } }
                    }
                    tbody {
                        @for figure in &info.figures {
                            tr {
                                th scope="row" {
                                    (unbroken(&figure.what))
                                    @if figure.estimate { " (an estimate)" }
                                }
                                td { (figure.value) }
                            }
                        }
                    }
                }
            }
            p .small { "Measured on the finished mesh of the body, before its slots are cut." }
        }
    }
}

fn changes(changes: &[Change]) -> Markup {
    html! {
        @if !changes.is_empty() {
            section {
                h2 { "Changed to fit the board" }
                table {
                    thead {
                        tr {
                            th scope="col" { "Key" }
                            th scope="col" { "Asked" }
                            th scope="col" { "Fitted" }
                            th scope="col" { "Limit" }
                        }
                    }
                    tbody {
                        @for change in changes {
                            tr {
                                th scope="row" { code { (change.key) } }
                                td { (change.from) }
                                td { (change.to) }
                                td { (change.limit) }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn files(files: &[FileLine]) -> Markup {
    html! {
        section {
            h2 { "Files" }
            table .stack {
                thead {
                    tr {
                        th scope="col" { "File" }
                        th scope="col" { "What it is for" }
                        th scope="col" { "Frame" }
                        th scope="col" { "Unit" }
                    }
                }
                tbody {
                    @for file in files {
                        tr {
                            th scope="row" { code { (file.name) } }
                            td data-label="For" { (file.role) }
                            td data-label="Frame" { (or_dash(&file.frame)) }
                            td data-label="Unit" { (or_dash(&file.unit)) }
                        }
                    }
                }
            }
            p .small {
                "Files in the frame of a setup are already turned over and moved to its zero: load "
                "them as they are. STL files say nothing of their unit; read them as the one given "
                "here."
            }
        }
    }
}

fn or_dash(text: &str) -> &str {
    if text.is_empty() { "\u{2013}" } else { text }
}

/// Text in which what stands between backticks is a key, a code or a name.
fn text(text: &str) -> Markup {
    html! {
        @for (count, part) in text.split('`').enumerate() {
            @if count % 2 == 1 { code { (part) } } @else { (unbroken(part)) }
        }
    }
}

#[cfg(test)]
mod tests;
