//! The shop: cutters, pins, bolts and habits.

use super::bed::{Bed, Holder};
use super::keys::{
    ANGLE, COUNT, FEED, FIT, Key, KeyShape, Keyed, LENGTH, SPEED, TEXT, choice, field_of_part,
    keys, named, part, some_tables, table, words,
};
use super::read::{Reader, TomlTable};
use super::{Limits, codes};
use crate::units::{Angle, Length, Unit};
use serde_json::{Map, Value};

named! {
    Unit:
    Unit::Millimetre, "mm", "Millimetres.";
    Unit::Inch, "in", "Inches.";
}

words! {
    /// The axis about which the board is turned over between the setups.
    pub enum TurnAxis {
        /// About the board's length: the back edge comes to the front.
        X = "X",
        /// About the board's width: the right end comes to the left.
        Y = "Y",
    }
}

words! {
    /// Where a setup's Z is zero.
    pub enum Zero {
        /// On the stock's upper face, as it lies.
        Top = "top",
        /// On the stock's lower face, as it lies: the bed.
        Bottom = "bottom",
    }
}

words! {
    /// The paper of the templates.
    pub enum Paper {
        /// 210 × 297 mm (ISO 216).
        A4 = "A4",
        /// 8-1/2 × 11 in (ANSI/ASME Y14.1, A).
        Letter = "Letter",
    }
}

impl Paper {
    /// Its shorter and its longer side.
    pub const fn size(self) -> [Length; 2] {
        match self {
            Paper::A4 => [Length::mm(210.0), Length::mm(297.0)],
            Paper::Letter => [Length::inches(8.5), Length::inches(11.0)],
        }
    }
}

keys! {
    /// A shop.
    #[derive(Clone, Debug, PartialEq)]
    pub struct Shop {
        /// What you call it.
        name: String = TEXT.at("shop.name").such_as("village shop"),
        /// The unit of the outline files.
        unit: Unit = choice::<Unit>().at("shop.unit"),
        /// The axis about which the board is turned over between the setups.
        turn: TurnAxis = choice::<TurnAxis>().at("shop.turn"),
        /// Where a setup's Z is zero.
        zero: Zero = choice::<Zero>().at("shop.zero").such_as("bottom"),
        /// A cutter, measured while it is chucked.
        cutters: Vec<Cutter> = some_tables::<Cutter>().at("cutter"),
        /// Which cutter does what.
        work: Work = table::<Work>().needed(),
        /// The dowel pins that register the board.
        pin: Pin = table::<Pin>().needed(),
        /// The bolt that holds a hold-down on the bed.
        bolt: Bolt = table::<Bolt>().needed(),
        /// The printed block whose lip bears on the board.
        hold_down: HoldDown = table::<HoldDown>().needed(),
        // Printed holes come out small by about this much (common practice, no source).
        /// What a printed hole is widened by.
        printer_fit: Length = FIT.at("printer.fit").commonly(0.04, 1.0).or("0.2 mm"),
        /// Thresholds of the checks.
        limits: Limits = table::<Limits>(),
        /// Of the STL files that are carved from. Blocks to print, 3MF and STEP stay in mm.
        models: Unit = choice::<Unit>().at("shop.models").or("mm"),
        /// What the templates are printed on.
        paper: Paper = choice::<Paper>().at("shop.paper").or("A4"),
        /// Bed, spindle and fits.
        bed: Bed = part::<Bed>(),
        /// Notes on dust, guards and the like, repeated on the sheet.
        notes: Vec<String> = TEXT
            .at("shop.notes")
            .list(&KeyShape::Text, 0, usize::MAX)
            .such_as("[\"Dust hose on, ear muffs on.\"]")
            .or("[]"),
    }
}

/// The form of a cutter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum CutterForm {
    /// Square across its end.
    Flat,
    /// A half sphere at its end.
    Ball,
    /// Flat, with its edge rounded to that radius: bull-nosed.
    Bull(Length),
    /// A cone, by its included angle.
    Vee(Angle),
    /// A drill, by the included angle of its point: it bores and does nothing else.
    Drill(Angle),
}

words! {
    /// The word for a cutter's form.
    pub enum FormWord {
        /// Square across its end.
        Flat = "flat",
        /// A half sphere at its end.
        Ball = "ball",
        /// Flat, with its edge rounded.
        Bull = "bull",
        /// A cone.
        Vee = "vee",
        /// Bores holes, and does nothing else.
        Drill = "drill",
    }
}

keys! {
    /// A cutter's form as the file has it.
    struct Form {
        /// The form of its end.
        form: FormWord = choice::<FormWord>(),
        /// Of its point, from flank to flank; of a vee, which needs it, or a drill (left out: 118 deg,
        /// the common twist drill's).
        angle: Option<Angle> =
            ANGLE.within(10.0, 180.0).such_as("60 deg").left_out("no vee; of a drill 118 deg"),
        /// The radius of its edge; of a bull only, which needs it.
        corner: Option<Length> = LENGTH.such_as("1 mm").left_out("no bull"),
    }
}

/// The point of a common twist drill (common practice, no source).
const DRILL_POINT: Angle = Angle::degrees(118.0);

impl Keyed for CutterForm {
    const KEYS: &'static [Key] = Form::KEYS;

    fn read(reader: &mut Reader, at: &TomlTable<'_>) -> Option<CutterForm> {
        let Form { form, angle, corner } = Form::read(reader, at)?;
        let pointed: &[FormWord] = &[FormWord::Vee, FormWord::Drill];
        // The first of the forms needs the key.
        for (key, forms, has, what, hint) in [
            ("angle", pointed, angle.is_some(), "an angle", "its included angle"),
            ("corner", &[FormWord::Bull][..], corner.is_some(), "a corner", "its edge's radius"),
        ] {
            let Some(other) = forms.first() else { continue };
            if form == *other && !at.has(key) {
                let example = Self::KEYS.iter().find(|one| one.path == key)?.line(key);
                reader.missing(at, key, &format!("{example} ({hint})"));
            } else if !forms.contains(&form) && has {
                let names = forms.iter().map(|form| format!("\"{}\"", form.name()));
                let names = names.collect::<Vec<_>>().join(" or ");
                reader.fault(
                    codes::CUTTER,
                    &at.key_of(key),
                    format!("Only a cutter of form {names} has {what}."),
                    format!("Take `{key}` out, or write form = \"{}\".", other.name()),
                );
            }
        }
        Some(match form {
            FormWord::Bull => CutterForm::Bull(corner.unwrap_or(Length::mm(f64::NAN))),
            FormWord::Vee => CutterForm::Vee(angle.unwrap_or(Angle::degrees(f64::NAN))),
            FormWord::Ball => CutterForm::Ball,
            FormWord::Flat => CutterForm::Flat,
            FormWord::Drill => CutterForm::Drill(angle.unwrap_or(DRILL_POINT)),
        })
    }

    fn echo(&self, out: &mut Map<String, Value>) {
        let (form, angle, corner) = match *self {
            CutterForm::Flat => (FormWord::Flat, None, None),
            CutterForm::Ball => (FormWord::Ball, None, None),
            CutterForm::Bull(corner) => (FormWord::Bull, None, Some(corner)),
            CutterForm::Vee(angle) => (FormWord::Vee, Some(angle), None),
            CutterForm::Drill(angle) => (FormWord::Drill, Some(angle), None),
        };
        Keyed::echo(&Form { form, angle, corner }, out);
    }

    fn dimension(&mut self, _: &str) -> Option<super::Dimension<'_>> {
        None
    }
}

field_of_part!(CutterForm);

keys! {
    /// A cutter.
    #[derive(Clone, Debug, PartialEq)]
    pub struct Cutter {
        /// What you call it; `[work]` names it.
        name: String = TEXT.such_as("flat 1/4"),
        /// Its number in programs, such as 2 for T2; a rehearsal takes it from here.
        number: Option<u32> = COUNT.within(0.0, 99_999.0).such_as("2").left_out("none"),
        /// Its form.
        form: CutterForm = part::<CutterForm>(),
        /// Diameter.
        diameter: Length = LENGTH.such_as("1/4 in"),
        /// Length of the cutting edges.
        flute: Length = LENGTH.such_as("1-1/4 in"),
        /// From the holder to the tip.
        stick_out: Length = LENGTH.such_as("1-3/4 in"),
        /// Feed.
        feed_mm_min: f64 = FEED.at("feed").such_as("1800 mm/min"),
        /// Feed straight down into the wood.
        plunge_mm_min: Option<f64> =
            FEED.at("plunge").such_as("600 mm/min").left_out("a third of the feed"),
        /// Spindle speed.
        speed_rpm: f64 = SPEED.at("speed").such_as("16000 rpm"),
        /// Step-over in finishing, or in roughing; all but a drill need it.
        step_over: Option<Length> =
            LENGTH.within(0.01, 2000.0).such_as("2.5 mm").left_out("a drill, which has none"),
        /// Depth of one pass in slots and in roughing.
        pass_depth: Option<Length> = LENGTH.such_as("3 mm").left_out("half the diameter"),
        /// Its own holder.
        holder: Option<Holder> = table::<Holder>().left_out("that of [holder]"),
    }
}

impl Cutter {
    /// Feed straight down: the shop's, or a third of the feed (common practice, no source).
    pub fn plunge(&self) -> f64 {
        self.plunge_mm_min.unwrap_or(self.feed_mm_min / 3.0)
    }

    /// From one pass to the next beside it. A drill makes none beside each other; its own width keeps
    /// what is reckoned with it finite.
    pub fn step_over(&self) -> Length {
        self.step_over.unwrap_or(self.diameter)
    }

    /// How far the tip is below the place where it is as wide as it gets; of a drill alone, which is
    /// the only one whose point makes no part of the shape.
    pub fn point(&self) -> Length {
        match self.form {
            CutterForm::Drill(angle) => {
                Length::mm(self.diameter.half().as_mm() / (angle.as_radians() / 2.0).tan())
            }
            _ => Length::ZERO,
        }
    }

    /// Depth of one pass: the shop's, or half of the diameter (common practice, no source).
    pub fn depth_of_pass(&self) -> Length {
        self.pass_depth.unwrap_or(self.diameter.half())
    }
}

#[cfg(test)]
impl Cutter {
    /// A cutter that cuts all along, for tests of where it goes; sizes in mm.
    pub(crate) fn bare(name: &str, form: CutterForm, diameter: f64, stick_out: f64) -> Cutter {
        let [diameter, stick_out] = [diameter, stick_out].map(Length::mm);
        Cutter {
            name: name.to_owned(),
            number: None,
            form,
            diameter,
            flute: stick_out,
            stick_out,
            feed_mm_min: 1000.0,
            plunge_mm_min: None,
            speed_rpm: 16_000.0,
            step_over: Some(diameter * 0.1),
            pass_depth: None,
            holder: None,
        }
    }
}

keys! {
    /// Which cutter does what, by name.
    #[derive(Clone, Debug, PartialEq)]
    pub struct Work {
        /// The cutter that roughs.
        rough: String = TEXT.such_as("flat 1/4"),
        /// The cutter that finishes both faces.
        finish: String = TEXT.such_as("ball 1/8"),
        /// The cutter that cuts slots.
        slots: String = TEXT.such_as("flat 1/8"),
        /// The cutter that bores the pins' holes: flat and thinner than the hole, or a drill of its size.
        pins: Option<String> =
            TEXT.such_as("drill 1/4").left_out("the thickest flat one that bores them, or a drill"),
        // Enough for an even chip, little enough for a thin ball (common practice, no source).
        /// What roughing and clearing leave on the surface for the finishing pass.
        leave: Length = LENGTH.within(0.0, 5.0).such_as("0.5 mm").or("0.5 mm"),
    }
}

keys! {
    /// The dowel pins.
    #[derive(Clone, Copy, Debug, PartialEq)]
    pub struct Pin {
        /// Diameter of the pin.
        diameter: Length = LENGTH.such_as("1/4 in"),
        // A push fit by hand (common practice, no source).
        /// What the hole is greater by.
        play: Length = FIT.or("0.05 mm"),
    }
}

impl Pin {
    /// Diameter of its hole.
    pub fn hole(&self) -> Length {
        self.diameter + self.play
    }
}

words! {
    /// A bolt by its series.
    pub enum BoltSize {
        /// ISO metric.
        M5 = "M5",
        /// ISO metric.
        M6 = "M6",
        /// ISO metric.
        M8 = "M8",
        /// ISO metric.
        M10 = "M10",
        /// Unified.
        QuarterInch = "1/4 in",
        /// Unified.
        FiveSixteenthInch = "5/16 in",
        /// Unified.
        ThreeEighthInch = "3/8 in",
    }
}

impl BoltSize {
    /// All of them.
    #[cfg(test)]
    pub(crate) const ALL: [BoltSize; 7] =
        *<BoltSize as super::keys::Named>::VALUES.first_chunk().unwrap();

    /// Nominal thickness of the bolt.
    pub const fn thickness(self) -> Length {
        match self {
            BoltSize::M5 => Length::mm(5.0),
            BoltSize::M6 => Length::mm(6.0),
            BoltSize::M8 => Length::mm(8.0),
            BoltSize::M10 => Length::mm(10.0),
            BoltSize::QuarterInch => Length::inches(0.25),
            BoltSize::FiveSixteenthInch => Length::inches(5.0 / 16.0),
            BoltSize::ThreeEighthInch => Length::inches(3.0 / 8.0),
        }
    }
}

words! {
    /// How loosely a bolt sits in its hole.
    pub enum BoltFit {
        /// ISO 273 fine; ASME B18.2.8 close.
        Close = "close",
        /// ISO 273 medium; ASME B18.2.8 normal.
        Normal = "normal",
        /// ISO 273 coarse; ASME B18.2.8 loose.
        Loose = "loose",
    }
}

keys! {
    /// The bolt of a hold-down.
    #[derive(Clone, Copy, Debug, PartialEq, Eq)]
    pub struct Bolt {
        /// Its series and size.
        size: BoltSize = choice::<BoltSize>().such_as("M6"),
        /// How loosely it sits in its hole.
        fit: BoltFit = choice::<BoltFit>().or("normal"),
    }
}

keys! {
    /// The hold-down.
    #[derive(Clone, Copy, Debug, PartialEq)]
    pub struct HoldDown {
        /// How far the lip reaches over the board.
        lip: Length = LENGTH.such_as("10 mm"),
        /// Thickness of the lip over the bearing face.
        lip_thickness: Length = LENGTH.such_as("8 mm"),
        /// Length of the block behind the board's edge.
        body: Length = LENGTH.such_as("38 mm"),
        /// Width of the block.
        width: Length = LENGTH.such_as("28 mm"),
        // (Common practice, no source.)
        /// How much lower the bearing face lies than the stock is high, so that it presses.
        squeeze: Length = FIT.commonly(0.05, 1.5).or("0.3 mm"),
    }
}

impl Shop {
    /// The cutter of that name.
    pub fn cutter(&self, name: &str) -> Option<&Cutter> {
        self.cutters.iter().find(|cutter| cutter.name == name)
    }

    /// The key of a cutter's field in the shop file, such as `cutter[2].flute`.
    pub(crate) fn key_of(&self, cutter: &Cutter, field: &str) -> String {
        let index = self.cutters.iter().position(|other| other.name == cutter.name);
        format!("cutter[{}].{field}", index.unwrap_or_default())
    }
}
