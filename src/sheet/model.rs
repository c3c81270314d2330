//! What the sheet says of a job, or of several.

mod bed;
mod checks;
mod plugs;
mod sand;
mod setups;
mod steps;

pub use sand::{map_picture, reach_steps};

use super::page::{BoardInfo, Labelled, PagePicture, PieceInfo, SheetInfo, SizeLine};
use super::whole::{Sheet, Whole};
use super::words::{self, fill};
use crate::drawing::board::{self, Shows};
use crate::drawing::piece as drawings;
use crate::export::list::Entry;
use crate::job::{Mounted, Piece};
use crate::params::{Head, Kind};
use crate::units::{Length, Unit, plain};

/// Millilitres in a US tablespoon: a 256th of the gallon of 231 in³, at 25.4 mm to the inch.
const TABLESPOON_ML: f64 = 231.0 * 16.387_064 / 256.0;

/// The sheet with the pictures of each piece; none for a job that is not mounted.
pub(super) fn of(sheet: &Sheet<'_>, pictures: Vec<Vec<PagePicture>>) -> Option<SheetInfo> {
    let Sheet { job, title, .. } = *sheet;
    let pieces = job.mounted().into_iter().zip(sheet.entries);
    let pieces: Vec<Whole<'_>> = pieces.map(|(at, entry)| Whole { at, entry }).collect();
    let Mounted { mounting, carved, piece, .. } = pieces.first()?.at;
    let name = match (title.name, pieces.len()) {
        (Some(name), _) => name.to_owned(),
        (None, 1) => piece.design.name.clone(),
        (None, count) => fill(words::SET_OF, &[("count", &count.to_string())]),
    };
    let drawn: Vec<Mounted<'_>> = pieces.iter().map(|piece| piece.at).collect();
    Some(SheetInfo {
        name,
        date: title.date.map(str::to_owned),
        shop: job.shop.name.clone(),
        unit: job.shop.unit,
        findings: sheet.findings.clone(),
        board: BoardInfo {
            name: job.board.name.clone(),
            species: job.board.species.clone(),
            stock_height: piece.stock.height,
            layout_svg: board::svg(&drawn, 0, Shows::Wood, board::LAYOUT_NAME),
            setups: setups::setups(&pieces, sheet),
            bed: bed::of_bed(&pieces, sheet, mounting),
            register: bed::register(carved, job.shop.unit),
        },
        plugs: plugs::plugs(&pieces, sheet),
        steps: steps::steps(&pieces, sheet, &mounting.steps),
        notes: job.shop.notes.clone(),
        files: sheet.files.to_vec(),
        pieces: pieces
            .iter()
            .zip(pictures)
            .map(|(piece, shots)| one(piece, sheet, shots))
            .collect(),
    })
}

fn one(whole: &Whole<'_>, sheet: &Sheet<'_>, pictures: Vec<PagePicture>) -> PieceInfo {
    let (piece, entry) = (whole.at.piece, whole.entry);
    PieceInfo {
        design: piece.design.name.clone(),
        folder: entry.folder.clone(),
        kind: piece.design.kind.name(),
        species: whole.at.job.board.species.clone(),
        sizes: sizes(piece),
        figures: figures(&whole.at, entry),
        changes: entry.changes.clone(),
        findings: entry.findings.clone(),
        checks: checks::lines(piece, &entry.findings),
        pictures,
        plan_svg: drawings::views(piece, whole.at.job.shop.unit),
        profile_svg: drawings::cross_sections(piece, whole.at.job.shop.unit),
        sand: sand::of(whole, sheet.maps),
    }
}

fn sizes(piece: &Piece) -> Vec<SizeLine> {
    let measured = piece.sizes.list.iter();
    measured
        .map(|size| SizeLine {
            what: size.what.clone(),
            asked: size.asked,
            measured: size.measured,
            at_least: size.at_least,
        })
        .collect()
}

fn figures(at: &Mounted<'_>, entry: &Entry) -> Vec<Labelled> {
    let Mounted { job, piece, carved, .. } = at;
    let unit = job.shop.unit;
    let figure =
        |what: &str, value: String, estimate| Labelled { what: what.into(), value, estimate };
    let length = |length: Length| length.said(unit).replace(' ', "\u{a0}");
    let measured = &entry.measured;
    let (volume, cubic) = match unit {
        Unit::Millimetre => (plain(measured.body_volume_mm3 / 1e3, 1), words::CUBIC_CM),
        Unit::Inch => (plain(measured.body_volume_mm3 / unit.in_mm().powi(3), 2), words::CUBIC_IN),
    };
    let mut figures = vec![
        figure(words::HEIGHT, length(measured.height), false),
        match piece.stock.spare < Length::ZERO {
            true => figure(words::TOO_TALL, length(-piece.stock.spare), false),
            false => figure(words::SPARE, length(piece.stock.spare), false),
        },
        figure(words::VOLUME, fill(cubic, &[("volume", &volume)]), false),
    ];
    if piece.design.mirror {
        figures.push(figure(words::TWIN, words::TWIN_SAYS.to_owned(), false));
    }
    if let Some(wall) = measured.wall_least {
        let what = match piece.design.head {
            Head::Bowl(_) => words::WALL_LEAST,
            Head::Blade(ref blade) if blade.thin.is_some() => words::THIN_SIDE,
            Head::Blade(_) => words::FLAT,
        };
        figures.push(figure(what, length(wall), false));
    }
    if let Some(tine) = measured.tine_width_least {
        figures.push(figure(words::TINE, length(tine), false));
    }
    if let Some(capacity) = measured.capacity_ml {
        let spoons = plain(capacity / TABLESPOON_ML, 1);
        let values = [("ml", plain(capacity, 1)), ("spoons", spoons)];
        let values = values.each_ref().map(|(name, value)| (*name, value.as_str()));
        let holds = match piece.design.kind {
            Kind::Scoop => words::HOLDS_OPEN,
            _ => words::HOLDS,
        };
        figures.push(figure(holds, fill(words::SPOONFULS, &values), false));
    }
    for size in &entry.movement {
        let (least, most) = (
            size.radial.as_mm().min(size.tangential.as_mm()),
            size.radial.as_mm().max(size.tangential.as_mm()),
        );
        let what = fill(words::IN_USE, &[("what", size.what)]);
        let values = [("least", length(Length::mm(least))), ("most", length(Length::mm(most)))];
        let values = values.each_ref().map(|(name, value)| (*name, value.as_str()));
        figures.push(figure(&what, fill(words::FROM_TO, &values), true));
    }
    if let Some(mass) = measured.mass_g {
        let what = fill(words::MASS, &[("species", &job.board.species)]);
        let grams = fill(words::GRAMS, &[("mass", &plain(mass, 0))]);
        figures.push(figure(&what, grams, true));
    }
    let held = &carved.held;
    let wood = match held.own_wood {
        true => held.wood.to_owned(),
        false => fill(words::WEAKEST_WOOD, &[("wood", held.wood)]),
    };
    let values = [
        ("times", plain(held.borne.factor(), 1)),
        ("push", plain(job.shop.bed.tabs.push_n, 1)),
        ("wood", wood),
    ];
    let values = values.each_ref().map(|(name, value)| (*name, value.as_str()));
    figures.push(figure(words::TAB_BEARS, fill(words::TIMES_PUSH, &values), true));
    // An estimate of nothing would say more than is known.
    let least = Length::mm(0.01);
    let sag = match held.borne.sag < least {
        true => fill(words::UNDER, &[("least", &length(least))]),
        false => length(held.borne.sag),
    };
    figures.push(figure(words::GIVES_WAY, sag, true));
    figures
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The gallon of 231 in³ over 256: 14.78676478125 mL exactly.
    #[test]
    fn a_us_tablespoon_is_its_part_of_the_gallon() {
        assert!((TABLESPOON_ML - 14.786_764_781_25).abs() < 1e-11);
    }
}
