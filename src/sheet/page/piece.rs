//! The finished piece: its pictures, its sizes, its drawing.

use super::figures::{bare, off_by, unbroken};
use super::info::{Labelled, PagePicture, PieceInfo, SheetInfo, SizeLine};
use super::marks::{drawing, element, heading};
use crate::export::list::ChangeInfo;
use crate::sheet::words::{self, fill};
use crate::units::Unit;
use maud::{Markup, html};

pub(super) fn page(info: &SheetInfo, piece: &PieceInfo) -> Markup {
    html! {
        section .piece {
            (pictures(info, piece))
            section {
                h2 { (heading(info, piece, words::SIZES)) }
                p .small .with-next { (words::SIZES_NOTE) }
                div .halves {
                    (sizes(&piece.sizes, info.unit))
                    (figures(&piece.figures))
                }
            }
            (changes(info, piece))
        }
        @if !piece.plan_svg.is_empty() {
            section .leaf {
                h2 { (heading(info, piece, words::DRAWING)) }
                (drawing(&heading(info, piece, words::PLAN), &piece.plan_svg))
                @if !piece.profile_svg.is_empty() {
                    h3 { (words::SECTIONS) }
                    div .sections { (element(&piece.profile_svg)) }
                }
            }
        }
    }
}

fn pictures(info: &SheetInfo, piece: &PieceInfo) -> Markup {
    html! {
        @if !piece.pictures.is_empty() {
            section {
                h2 { (heading(info, piece, words::PIECE)) }
                div .pictures { @for picture in &piece.pictures { (shown(picture)) } }
                p .small { (fill(words::PICTURE_NOTE, &[("species", &piece.species)])) }
            }
        }
    }
}

/// A picture with its caption.
pub(super) fn shown(picture: &PagePicture) -> Markup {
    html! {
        figure {
            img src=(picture.source) width=(picture.width) height=(picture.height)
                alt=(picture.alt);
            figcaption { (picture.caption) }
        }
    }
}

fn sizes(sizes: &[SizeLine], unit: Unit) -> Markup {
    html! {
        table .numbers {
            thead {
                tr {
                    th scope="col" { (words::SIZE) }
                    th scope="col" { (fill(words::ASKED, &[("unit", unit.symbol())])) }
                    th scope="col" { (words::MEASURED) }
                    th scope="col" { (words::OFF_BY) }
                }
            }
            tbody {
                @for size in sizes {
                    tr {
                        th scope="row" { (unbroken(&size.what)) }
                        td { (bare(size.asked, unit)) }
                        td { (bare(size.measured, unit)) }
                        td { (off_by(size, unit)) }
                    }
                }
            }
        }
    }
}

fn figures(figures: &[Labelled]) -> Markup {
    let what = |figure: &Labelled| match figure.estimate {
        true => fill(words::ESTIMATE, &[("what", &figure.what)]),
        false => figure.what.clone(),
    };
    html! {
        @if !figures.is_empty() {
            table .figures {
                thead {
                    tr { th scope="col" { (words::ALSO) } th scope="col" { (words::FIGURE) } }
                }
                tbody {
                    @for figure in figures {
                        tr {
                            th scope="row" { (unbroken(&what(figure))) }
                            td { (figure.value) }
                        }
                    }
                }
            }
        }
    }
}

fn changes(info: &SheetInfo, piece: &PieceInfo) -> Markup {
    let row = |change: &ChangeInfo| {
        html! {
            tr {
                th scope="row" { code { (change.key) } }
                td { (change.from) }
                td { (change.to) }
                td { (change.limit) }
            }
        }
    };
    html! {
        @if !piece.changes.is_empty() {
            section {
                h2 { (heading(info, piece, words::CHANGES)) }
                table {
                    thead {
                        tr {
                            th scope="col" { (words::KEY) }
                            th scope="col" { (words::FROM) }
                            th scope="col" { (words::TO) }
                            th scope="col" { (words::GIVE_LIMIT) }
                        }
                    }
                    tbody { @for change in &piece.changes { (row(change)) } }
                }
            }
        }
    }
}
