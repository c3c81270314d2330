//! What the design says of an inlay: the art, its place, and how it is filled.

use super::keys::{ANGLE, FIT, LENGTH, LENGTH_OR_NONE, POINT, TEXT, choice, keys, words};
use super::{Cutter, CutterForm, Shop};
use crate::units::{Angle, Length};
use glam::DVec2;

words! {
    /// The face that an inlay is let into.
    pub enum InlaySide {
        /// The top.
        Top = "top",
        /// The bottom.
        Bottom = "bottom",
    }
}

words! {
    /// What fills a recess.
    pub enum InlayFill {
        /// A piece of another wood, carved to fit.
        Plug = "plug",
        /// Resin.
        Poured = "poured",
    }
}

words! {
    /// How the grain of a plug runs when it is in its place.
    pub enum PlugGrain {
        /// Along the handle, as the board lies.
        Along = "along",
        /// Across the handle: the plug is carved a quarter turn round on its board.
        Across = "across",
        /// Upright: the plug's board is a slice with its end grain up.
        End = "end",
    }
}

keys! {
    /// An inlay.
    #[derive(Clone, Debug, PartialEq)]
    pub struct Inlay {
        /// Its art: the name of an SVG or DXF file of closed outlines, seen from the design's folder.
        art: Option<String> = TEXT.such_as("oak-leaf.svg").left_out("none; without a `text` it is needed"),
        /// Letters in place of `art`, on one line, written with `font`.
        text: Option<String> = TEXT.such_as("A & J").left_out("no letters"),
        /// The font of `text`: the name of a TTF or OTF file of your own, seen from the design's folder.
        font: Option<String> = TEXT.such_as("my-font.ttf").left_out("none; a `text` needs one"),
        /// Where the middle of the art is: from the handle's end, and to the left of the middle.
        at: DVec2 = POINT.such_as("[\"60 mm\", \"0 mm\"]"),
        /// The longer side of the art; of a text the height of a capital letter.
        size: Length = LENGTH.within(2.0, 500.0).such_as("30 mm"),
        /// How far the art is turned, counter-clockwise as one looks at the face with the tip to the right.
        turn: Angle = ANGLE.within(-180.0, 180.0).or("0 deg"),
        /// The face that it is let into.
        side: InlaySide = choice::<InlaySide>().or("top"),
        /// What fills it.
        fill: InlayFill = choice::<InlayFill>().or("plug"),
        // Deep enough to sand over for years, shallow enough for a handle (common practice, no
        // source).
        /// How deep the recess is under the face.
        depth: Length = LENGTH.within(0.3, 20.0).or("2 mm"),
        // Room for glue, so that the flanks bear first (common practice, no source).
        /// Room for glue under the plug's foot.
        under: Length = FIT.or("0.2 mm"),
        // What a saw leaves safely over a face (common practice, no source).
        /// How far the plug stands over the face's highest place when it is sawn off.
        proud: Length = LENGTH_OR_NONE.within(0.2, 10.0).or("1 mm"),
        // A film of glue (common practice, no source).
        /// Room for glue at the flanks of the plug, square to them.
        gap: Length = FIT.within(0.0, 0.5).commonly(0.003, 0.19).or("0.02 mm"),
        /// Name of the vee that cuts the flanks; of an upright cutter for one that is poured.
        cutter: Option<String> = TEXT.such_as("vee 60").left_out("the shop's first vee, or its thinnest flat cutter for one that is poured"),
        // What a new engraving vee has (common practice, no source).
        /// Width of the flat on the vee's tip.
        tip: Length = FIT.or("0.1 mm"),
        /// Name of the flat cutter that clears the floor.
        clear: Option<String> = TEXT.such_as("flat 1/8").left_out("the shop's thinnest flat cutter"),
        /// The board that the plug is made of: the name of its file, seen from the design's folder.
        board: Option<String> = TEXT.such_as("walnut.toml").left_out("none; a plug needs one"),
        /// How the plug's grain runs in the finished piece.
        grain: PlugGrain = choice::<PlugGrain>().or("along"),
    }
}

impl Inlay {
    /// The key that says what is let in.
    pub const fn shown_by(&self) -> &'static str {
        if self.text.is_some() { "text" } else { "art" }
    }

    /// What cuts its flanks, and what clears its floor, where the shop has it: as the inlay names it, or
    /// else the first vee and the thinnest flat cutter. What is poured has one flat cutter for both.
    pub fn cutters<'a>(&self, shop: &'a Shop) -> [Option<&'a Cutter>; 2] {
        let flat = |cutter: &&Cutter| cutter.form == CutterForm::Flat;
        let vee = |cutter: &&Cutter| matches!(cutter.form, CutterForm::Vee(_));
        let thinner = |a: &&Cutter, b: &&Cutter| a.diameter.as_mm().total_cmp(&b.diameter.as_mm());
        let thinnest = || shop.cutters.iter().filter(flat).min_by(thinner);
        let flats = |name: &Option<String>| match name {
            Some(name) => shop.cutter(name).filter(flat),
            None => thinnest(),
        };
        match (self.fill, &self.cutter) {
            (InlayFill::Poured, Some(_)) => [flats(&self.cutter); 2],
            (InlayFill::Poured, None) => [flats(&self.clear); 2],
            (InlayFill::Plug, Some(name)) => [shop.cutter(name).filter(vee), flats(&self.clear)],
            (InlayFill::Plug, None) => [shop.cutters.iter().find(vee), flats(&self.clear)],
        }
    }

    /// What the packet calls it: its art's name without folder and ending, or its letters, in lower case.
    pub fn name(&self) -> String {
        let file = self.art.as_deref().unwrap_or_default();
        let file = file.rsplit(['/', '\\']).next().unwrap_or(file);
        let stem = file.rsplit_once('.').map_or(file, |(stem, _)| stem);
        let stem = self.text.as_deref().unwrap_or(stem);
        let spaced = |c: char| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { ' ' };
        let words: String = stem.chars().map(spaced).collect();
        let name = words.split_whitespace().collect::<Vec<_>>().join("-");
        if name.is_empty() { self.shown_by().to_owned() } else { name }
    }
}
