//! What the machine leaves to be done by hand: the ridges between passes, and the maps of where they
//! are high and of what the finishing cutter can't reach.

use super::super::base64::picture_source;
use super::super::page::{MapScale, PagePicture, Sand};
use super::super::whole::Whole;
use super::super::words::{self, fill};
use crate::check::{Cusps, cusp_height};
use crate::export::{Artefact, cusp_map, face_map, reach_map};
use crate::relief::Face;
use crate::units::{Length, Unit, plain};

pub(super) fn of(piece: &Whole<'_>, maps: &[Artefact]) -> Sand {
    let shop = &piece.at.job.shop;
    let (high, apart) = shop.cutter(&shop.work.finish).map_or((0.0, 0.0), |cutter| {
        let apart = cutter.step_over().as_mm();
        (cusp_height(cutter.diameter.half().as_mm(), apart), apart)
    });
    let unit = shop.unit;
    let [ridge, step] = [high, apart].map(|mm| fine(mm, unit));
    let checks = &piece.at.piece.checks;
    // What is white all over is no picture.
    let high = checks.cusps.iter().filter(|side| side.over.worst > 0.0);
    let left = checks.uncut.iter().filter(|side| side.most.as_mm() >= reach_map::STEPS[0].into());
    let limit = shop.limits.check.cusp;
    Sand {
        ridges: fill(words::SAND_RIDGES, &[("ridge", &ridge), ("step", &step)]),
        ridge_scale: ridge_scale(limit, unit),
        reach_scale: reach_scale(unit),
        ridge_maps: high.filter_map(|side| ridge_map(piece, side, maps)).collect(),
        maps: left.filter_map(|side| reach(piece, side.face, maps)).collect(),
    }
}

/// A small height in the shop's unit, as fine as sanding can tell.
fn fine(mm: f64, unit: Unit) -> String {
    let places = match unit {
        Unit::Millimetre => 3,
        Unit::Inch => 4,
    };
    let figure = plain(Length::mm(mm).as_unit(unit), places);
    format!("{figure}\u{a0}{}", unit.symbol())
}

/// How the maps of the ridges are to be read.
fn ridge_scale(limit: Length, unit: Unit) -> MapScale {
    let says = fill(words::SAND_CUSPS, &[("around", &cusp_map::AROUND.said(unit))]);
    MapScale { says, steps: steps(cusp_map::steps(limit), unit) }
}

/// How the maps of what is left are to be read.
fn reach_scale(unit: Unit) -> MapScale {
    MapScale { says: words::SAND_MAP.to_owned(), steps: steps(reach_map::STEPS, unit) }
}

/// What the patterns stand for.
fn steps(most: [f32; 5], unit: Unit) -> Vec<String> {
    let said = |most: &f32| match most.is_finite() {
        true => {
            let most = format!("{}\u{a0}{}", face_map::step(*most, unit), unit.symbol());
            fill(words::UP_TO, &[("most", &most)])
        }
        false => words::MORE.to_owned(),
    };
    most.iter().map(said).collect()
}

/// The map of a side's ridges, from among the packet's files.
fn ridge_map(piece: &Whole<'_>, side: &Cusps, maps: &[Artefact]) -> Option<PagePicture> {
    let face = side.face.name();
    let values = [("face", face)];
    let said = [words::RIDGES_CAPTION, words::RIDGES_ALT].map(|said| fill(said, &values));
    map(piece, &format!("cusps-{face}.png"), said, maps)
}

/// The map of what is left of a side, from among the packet's files.
fn reach(piece: &Whole<'_>, face: Face, maps: &[Artefact]) -> Option<PagePicture> {
    let values = [("face", face.name())];
    let said = [words::MAP_CAPTION, words::MAP_ALT].map(|said| fill(said, &values));
    map(piece, &format!("reach-{}.png", face.name()), said, maps)
}

fn map(
    piece: &Whole<'_>,
    name: &str,
    [caption, alt]: [String; 2],
    maps: &[Artefact],
) -> Option<PagePicture> {
    let name = piece.path(name);
    map_picture(&maps.iter().find(|file| file.name == name)?.bytes, &caption, &alt)
}

/// A map for a page that has its scale in letters of its own: the file's, at its foot, is left out.
pub fn map_picture(png: &[u8], caption: &str, alt: &str) -> Option<PagePicture> {
    let (width, height) = size(png)?;
    let height = height.checked_sub(u32::try_from(face_map::FOOT).ok()?)?;
    let source = picture_source(png);
    Some(PagePicture { caption: caption.to_owned(), alt: alt.to_owned(), width, height, source })
}

/// What the patterns of a map of what is left stand for.
pub fn reach_steps(unit: Unit) -> Vec<String> {
    steps(reach_map::STEPS, unit)
}

/// Width and height of a PNG, from its first chunk (PNG 1.2, 11.2.2).
fn size(png: &[u8]) -> Option<(u32, u32)> {
    let number = |at: usize| {
        Some(u32::from_be_bytes(png.get(at..at + 4)?.try_into().ok()?)).filter(|side| *side > 0)
    };
    Some((number(16)?, number(20)?))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_that_is_no_picture_gives_no_map() {
        assert_eq!(size(b"\x89PNG"), None);
        assert_eq!(size(&[0; 40]), None);
    }

    #[test]
    fn the_scale_of_the_ridges_goes_up_by_doubling_from_the_shops_limit() {
        let told = ridge_scale(Length::mm(0.015), Unit::Millimetre).steps.concat();
        for step in ["0.015", "0.03", "0.06", "0.12"] {
            assert!(told.contains(&format!("{step}\u{a0}mm")), "{step}: {told}");
        }
        let inch = [ridge_scale(Length::mm(0.02), Unit::Inch), reach_scale(Unit::Inch)];
        let inch = inch.map(|scale| scale.says + &scale.steps.concat()).concat();
        assert!(inch.contains("0.0008\u{a0}in") && !inch.contains("mm"), "{inch}");
    }
}
