//! What the sheet says of a job, or of several.

mod checks;
mod sand;
mod setups;

use super::page::{BoardInfo, Figure, FileLine, Picture, PieceInfo, SheetInfo, Size};
use super::words::{self, fill};
use super::{Piece, Wanted};
use crate::drawing::board::{self, Shows};
use crate::drawing::piece as drawings;
use crate::export::Artefact;
use crate::export::packet::PacketInfo;
use crate::job::{Job, Round};
use crate::params::Head;
use crate::units::{Length, Unit, plain};
use crate::work::Hold;

/// Millilitres in a US tablespoon: a 256th of the gallon of 231 in³, at 25.4 mm to the inch.
const TABLESPOON_ML: f64 = 231.0 * 16.387_064 / 256.0;

/// A piece with all that stands round it.
type Whole<'a> = (Piece<'a>, &'a Round);

/// The sheet with the pictures of each piece; none without a piece that has all round it.
pub(super) fn of(wanted: &Wanted<'_>, pictures: Vec<Vec<Picture>>) -> Option<SheetInfo> {
    let Wanted { title, findings, pieces, files } = *wanted;
    let whole: Vec<Whole<'_>> =
        pieces.iter().filter_map(|piece| Some((*piece, piece.job.round.as_ref()?))).collect();
    let (first, _) = *whole.first()?;
    // The steps of the piece that needs most stand for all.
    let (_, longest) = *whole.iter().max_by_key(|(_, round)| round.hold.steps.len())?;
    let shop = &first.job.order.shop;
    let name = match (title.name, whole.len()) {
        (Some(name), _) => name.to_owned(),
        (None, 1) => first.job.order.design.name.clone(),
        (None, count) => fill(words::SET_OF, &[("count", &count.to_string())]),
    };
    let shown = pieces.iter().zip(pictures).filter(|(piece, _)| piece.job.round.is_some());
    Some(SheetInfo {
        name,
        date: title.date.map(str::to_owned),
        shop: shop.name.clone(),
        unit: shop.unit,
        findings: findings.clone(),
        pieces: shown.map(|(piece, pictures)| one(piece, files, pictures)).collect(),
        boards: boards(&whole, &longest.hold),
        steps: setups::steps(longest, whole.len() == 1),
        notes: shop.notes.clone(),
        files: files.iter().map(FileLine::from).collect(),
    })
}

fn one(piece: &Piece<'_>, files: &[Artefact], pictures: Vec<Picture>) -> PieceInfo {
    let job = piece.job;
    let order = &job.order;
    let info = PacketInfo::of(job, piece.findings);
    PieceInfo {
        design: order.design.name.clone(),
        folder: piece.folder.to_owned(),
        kind: order.design.kind.name(),
        species: order.board.species.clone(),
        sizes: sizes(job),
        figures: figures(job, &info),
        changes: info.changes.clone(),
        findings: piece.findings.clone(),
        checks: checks::lines(job, piece.findings),
        pictures,
        plan_svg: drawings::views(job),
        profile_svg: drawings::cross_sections(job),
        sand: sand::of(piece, files),
    }
}

/// Each board once, with all pieces that lie on it. Steps are counted as `hold` has them.
fn boards(whole: &[Whole<'_>], hold: &Hold) -> Vec<BoardInfo> {
    let mut lots: Vec<Vec<Whole<'_>>> = Vec::new();
    for piece in whole {
        let own = &piece.0.job.order.board;
        match lots.iter_mut().find(|lot| lot[0].0.job.order.board == *own) {
            Some(lot) => lot.push(*piece),
            None => lots.push(vec![*piece]),
        }
    }
    let board = |lot: &Vec<Whole<'_>>| {
        let (piece, round) = lot.first()?;
        let drawn: Vec<(&Job, &Round)> = lot.iter().map(|(p, round)| (p.job, *round)).collect();
        let order = &piece.job.order;
        Some(BoardInfo {
            name: order.board.name.clone(),
            species: order.board.species.clone(),
            stock_height: piece.job.stock.height,
            layout_svg: board::svg(&drawn, 0, Shows::Wood, board::LAYOUT_NAME),
            setups: setups::setups(lot, &drawn, hold),
            drill: setups::drill(round),
            register: setups::register(round),
        })
    };
    lots.iter().filter_map(board).collect()
}

fn sizes(job: &Job) -> Vec<Size> {
    let measured = job.sizes.list.iter();
    measured
        .map(|size| Size { what: size.what.clone(), asked: size.asked, measured: size.measured })
        .collect()
}

fn figures(job: &Job, info: &PacketInfo) -> Vec<Figure> {
    let unit = job.order.shop.unit;
    let figure =
        |what: &str, value: String, estimate| Figure { what: what.into(), value, estimate };
    let length = |length: Length| {
        format!("{}\u{a0}{}", plain(length.as_unit(unit), places(unit)), unit.symbol())
    };
    let measured = &info.measured;
    let volume = plain(measured.body_volume_mm3 / 1e3, 1);
    let mut figures = vec![
        figure(words::HEIGHT, length(measured.height), false),
        figure(words::SPARE, length(job.stock.spare), false),
        figure(words::VOLUME, fill(words::CUBIC_CM, &[("volume", &volume)]), false),
    ];
    if let Some(wall) = measured.wall_least {
        let what = match job.order.design.head {
            Head::Bowl(_) => words::WALL_LEAST,
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
        figures.push(figure(words::HOLDS, fill(words::SPOONFULS, &values), false));
    }
    for size in &info.movement {
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
        let what = fill(words::MASS, &[("species", &job.order.board.species)]);
        let grams = fill(words::GRAMS, &[("mass", &plain(mass, 0))]);
        figures.push(figure(&what, grams, true));
    }
    let Some(held) = job.round.as_ref().map(|round| &round.held) else { return figures };
    let wood = match held.own_wood {
        true => held.wood.to_owned(),
        false => fill(words::WEAKEST_WOOD, &[("wood", held.wood)]),
    };
    let values = [
        ("times", plain(held.borne.factor(), 1)),
        ("push", plain(job.order.shop.bed.tabs.push_n, 1)),
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

const fn places(unit: Unit) -> usize {
    match unit {
        Unit::Millimetre => 2,
        Unit::Inch => 3,
    }
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
