//! What the machine leaves to be done by hand: the ridges between passes, and the maps of what the
//! finishing cutter can't reach.

use super::super::Piece;
use super::super::base64;
use super::super::page::{Picture, Sand};
use super::super::words::{self, fill};
use crate::export::Artefact;
use crate::relief::Face;
use crate::units::{Length, plain};

pub(super) fn of(piece: &Piece<'_>, files: &[Artefact]) -> Sand {
    let shop = &piece.job.order.shop;
    let (high, apart) =
        shop.cutter(&shop.work.finish).map_or((Length::ZERO, Length::ZERO), |cutter| {
            (ridge(cutter.diameter, cutter.step_over), cutter.step_over)
        });
    let ridge = format!("{}\u{a0}mm", plain(high.as_mm(), 3));
    let step = format!("{}\u{a0}mm", plain(apart.as_mm(), 2));
    Sand {
        ridges: fill(words::SAND_RIDGES, &[("ridge", &ridge), ("step", &step)]),
        maps: Face::BOTH.into_iter().filter_map(|face| map(piece, face, files)).collect(),
    }
}

/// The map of a side, from among the packet's files.
fn map(piece: &Piece<'_>, face: Face, files: &[Artefact]) -> Option<Picture> {
    let name = piece.path(&format!("reach-{}.png", face.name()));
    let png = &files.iter().find(|file| file.name == name)?.bytes;
    let (width, height) = size(png)?;
    let face = [("face", face.name())];
    Some(Picture {
        caption: fill(words::MAP_CAPTION, &face),
        alt: fill(words::MAP_ALT, &face),
        width,
        height,
        source: format!("data:image/png;base64,{}", base64::encoded(png)),
    })
}

/// Width and height of a PNG, from its first chunk (PNG 1.2, 11.2.2).
fn size(png: &[u8]) -> Option<(u32, u32)> {
    let number = |at: usize| {
        Some(u32::from_be_bytes(png.get(at..at + 4)?.try_into().ok()?)).filter(|side| *side > 0)
    };
    Some((number(16)?, number(20)?))
}

/// How high the ridges are that a ball of a diameter leaves on a flat place when its passes are
/// `step` apart: the sagitta of the chord.
fn ridge(diameter: Length, step: Length) -> Length {
    let radius = diameter.half().as_mm();
    let half = step.half().as_mm().min(radius);
    Length::mm(radius - (radius * radius - half * half).max(0.0).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A ball of 6 mm and passes 1 mm apart: 3 - sqrt(9 - 0.25) = 0.04196 mm.
    #[test]
    fn ridges_have_the_height_of_the_arc_over_its_chord() {
        let high = ridge(Length::mm(6.0), Length::mm(1.0)).as_mm();
        assert!((high - 0.041_960_11).abs() < 1e-7, "{high}");
    }

    #[test]
    fn a_file_that_is_no_picture_gives_no_map() {
        assert_eq!(size(b"\x89PNG"), None);
        assert_eq!(size(&[0; 40]), None);
    }
}
