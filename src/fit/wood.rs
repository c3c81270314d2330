//! What the readings and the grain of a board say against a job.

use super::Placement;
use crate::finding::{Code, Finding, Findings, Source};
use crate::params::{Board, Design, Head, Nominal};
use crate::units::{Angle, Length};
use glam::DVec2;

/// The thickness varies by more than the skims.
pub const THICKNESS_VARIES: Code = Code {
    name: "thickness-varies",
    explain: "The readings differ by more than both skims together take off. When the skims have \
        been taken off the thickest place, the planer has not yet touched the thinnest, so a face \
        is left rough or the board is not flat. The usable height is safe all the same, because it \
        is taken from the thinnest reading. Skim until both faces are clean all over, and write \
        that down, or use only the even part of the board.",
};

/// The readings disagree with the nominal size.
pub const NOMINAL_DISAGREES: Code = Code {
    name: "nominal-disagrees",
    explain: "A reading is thinner than a board of that trade name yields when surfaced on two \
        sides, or thicker than it is rough from the saw. The published surfaced thicknesses are \
        minima: 4/4 gives 13/16 in, 5/4 gives 1-1/16 in, 6/4 gives 1-5/16 in, 8/4 gives 1-3/4 in. \
        The same rules (NHLA) let rough kiln-dried lumber be scant of its name by 1/16 in up to \
        1-3/4 in, and by 1/8 in from 2 in on, so a reading may be that much thinner before this is \
        said. All sizes come from the readings, none from the name, but one of the two is likely \
        to be wrong. Measure the board again, or correct the name.",
};

/// The grain runs out at a thin place.
pub const SHORT_GRAIN: Code = Code {
    name: "short-grain",
    explain: "At the neck or at the tines' roots the grain crosses the handle at more than the \
        design's lean. Wood is many times weaker across the grain than along it, so a thin place \
        breaks there: short grain. Turn the piece on the board by the angle given, take it from \
        another part of the board, or make the place thicker. The grain is the one that the board \
        file gives nearest to the place, seen from above; how it dives into the board is not \
        checked.",
};

/// Kiln-dried lumber that is sold rough may be scant of its name by this much: 1/16 in up to 1-3/4 in,
/// 1/8 in from 2 in on (rules of the National Hardwood Lumber Association; from memory). What was
/// scant in the rough is so when it is surfaced, so the published minima are let off as much.
fn scant(nominal: Nominal) -> Length {
    if nominal.quarters < 8 { Length::inches(1.0 / 16.0) } else { Length::inches(1.0 / 8.0) }
}

/// A rough board may be thicker than its name by this much (common practice, no source).
const OVER: Length = Length::inches(0.125);

/// What the board's readings say.
pub fn readings(board: &Board, out: &mut Findings) {
    let thickness = board.readings.iter().map(|reading| reading.thickness.as_mm());
    let least = Length::mm(thickness.clone().fold(f64::INFINITY, f64::min));
    let most = Length::mm(thickness.fold(f64::NEG_INFINITY, f64::max));
    let skims = board.skim_top + board.skim_bottom;
    if (most - least - skims).as_mm() > 1e-9 && most > least {
        out.push(
            Finding::caution(
                THICKNESS_VARIES,
                format!(
                    "the readings differ by {}, but the skims together take off only {skims}",
                    most - least
                ),
                format!(
                    "Skim at least {} in all, or use the even part of the board.",
                    up(most - least)
                ),
            )
            .at(Source::Board, "reading"),
        );
    }
    if let Some(nominal) = board.form.nominal
        && let Some(surfaced) = nominal.surfaced()
    {
        let rough = nominal.rough();
        let scant = scant(nominal);
        let said = if (surfaced - scant - least).as_mm() > 1e-6 {
            Some(format!(
                "{least} is thinner than the {surfaced} it yields when surfaced, less {scant} for \
                 scant lumber"
            ))
        } else if (most - rough - OVER).as_mm() > 1e-6 {
            Some(format!(
                "{most} is thicker than the {rough} it has rough from the saw, with {OVER} over"
            ))
        } else {
            None
        };
        if let Some(said) = said {
            out.push(
                Finding::caution(
                    NOMINAL_DISAGREES,
                    format!("the board is called {}/4, and {said}", nominal.quarters),
                    "Measure the board again, or correct the name. Only the readings are used.",
                )
                .at(Source::Board, "board.nominal"),
            );
        }
    }
}

/// A length in hundredths of a millimetre, as it is printed, and no less than it is.
fn up(length: Length) -> Length {
    Length::mm((100.0 * length.as_mm() - 1e-9).ceil() / 100.0)
}

/// The grain at one place of a piece.
#[derive(Clone, Debug, PartialEq)]
pub struct GrainAt {
    /// `neck`, or `tine roots`.
    pub place: &'static str,
    /// From the handle's line to the grain, counter-clockwise seen from above, in degrees: more
    /// than -90, at most 90.
    pub degrees: f64,
}

/// The grain at the neck and at the tines' roots of a piece that is laid.
pub fn grain(design: &Design, board: &Board, placement: &Placement) -> Vec<GrainAt> {
    let neck = (design.length - design.head.length()).as_mm();
    let mut places = vec![("neck", neck)];
    if let (Some(tines), Head::Bowl(_)) = (&design.tines, &design.head) {
        places.push(("tine roots", (design.length - tines.slot.length).as_mm()));
    }
    let at = |(place, x): (&'static str, f64)| {
        let grain = board.grain_at(placement.on_board(DVec2::new(x, 0.0)));
        let off = (grain.as_degrees() - placement.angle.as_degrees()).rem_euclid(180.0);
        GrainAt { place, degrees: if off > 90.0 { off - 180.0 } else { off } }
    };
    places.into_iter().map(at).collect()
}

/// What the grain says against a piece where it lies.
pub fn short_grain(design: &Design, board: &Board, placement: &Placement, out: &mut Findings) {
    let lean = design.lean.as_degrees() + 1e-9;
    let short = |placement: &Placement| {
        grain(design, board, placement).into_iter().filter(|at| at.degrees.abs() > lean).collect()
    };
    let places: Vec<GrainAt> = short(placement);
    // The least turn about the piece's middle that leaves none of them, where the grain is then as
    // it is there: a tenth of a degree is finer than a protractor.
    let turned = |degrees: f64| {
        let middle = DVec2::new(design.length.half().as_mm(), 0.0);
        let angle = Angle::degrees(placement.angle.as_degrees() + degrees);
        let mut there = Placement { angle, ..*placement };
        there.origin += placement.on_board(middle) - there.on_board(middle);
        there
    };
    let does = |degrees: &f64| -> bool {
        let left: Vec<GrainAt> = short(&turned(*degrees));
        left.is_empty()
    };
    let turns = (1..=900).flat_map(|tenths| [0.1, -0.1].map(|way| way * f64::from(tenths)));
    let turn = if places.is_empty() { None } else { turns.into_iter().find(does) };
    let help = match turn {
        Some(turn) => format!(
            "Turn the piece by {} deg {}, or take it from another part of the board.",
            crate::units::plain(turn.abs(), 1),
            if turn > 0.0 { "to the left" } else { "to the right" }
        ),
        None => "Take it from another part of the board; no turn does it here.".to_owned(),
    };
    for GrainAt { place, degrees } in places {
        let slope = 1.0 / degrees.to_radians().tan().abs();
        out.push(
            Finding::caution(
                SHORT_GRAIN,
                format!(
                    "at the {place} the grain crosses the handle at {} deg, a slope of 1 in {}",
                    crate::units::plain(degrees.abs(), 1),
                    crate::units::plain(slope, 1)
                ),
                help.clone(),
            )
            .at(Source::Board, "board.grain"),
        );
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::heard;
    use crate::params::{Form, Grain, parse_board, parse_design, template};

    fn board() -> Board {
        parse_board(template(Source::Board), &mut Findings::new()).unwrap().0
    }

    #[test]
    fn a_board_a_hair_under_its_name_is_no_finding() {
        let said = |quarters: u32, inches: f64| {
            let mut board = board();
            board.form.nominal = Some(Nominal { quarters });
            board.readings.iter_mut().for_each(|r| r.thickness = Length::inches(inches));
            let (_, said) = heard(|out| readings(&board, out));
            said.iter().any(|finding| finding.code == NOMINAL_DISAGREES)
        };
        // 4/4 yields 13/16 in, 8/4 1-3/4 in; scant by 1/16 and 1/8 in at most.
        assert!(!said(4, 0.8125 - 0.003) && !said(4, 0.751) && said(4, 0.749));
        assert!(!said(8, 1.626) && said(8, 1.624));
        assert!(!said(4, 1.124) && said(4, 1.126));
    }

    #[test]
    fn a_bent_board_holds_a_slab_thinner_by_its_bend() {
        let mut board = board();
        let flat = board.usable_height();
        board.form = Form {
            cup: Length::mm(0.4),
            bow: Length::mm(0.6),
            twist: Length::mm(1.0),
            ..Form::default()
        };
        assert!(((flat - board.usable_height()).as_mm() - 1.5).abs() < 1e-9);
    }

    /// A twisted sheet is a saddle: corners 0, 0, 0 and w. The best plane leaves w/4 both ways,
    /// by least squares over the four corners, done here by hand.
    #[test]
    fn half_of_the_twist_is_what_a_saddle_needs() {
        let corners: [(f64, f64, f64); 4] =
            [(-1.0, -1.0, 0.0), (1.0, -1.0, 0.0), (-1.0, 1.0, 0.0), (1.0, 1.0, 1.0)];
        let mean = |f: &dyn Fn(&(f64, f64, f64)) -> f64| corners.iter().map(f).sum::<f64>() / 4.0;
        let (level, a, b) = (mean(&|c| c.2), mean(&|c| c.0 * c.2), mean(&|c| c.1 * c.2));
        let off: Vec<f64> = corners.iter().map(|c| c.2 - level - a * c.0 - b * c.1).collect();
        let range = off.iter().fold(f64::MIN, |m, v| m.max(*v))
            - off.iter().fold(f64::MAX, |m, v| m.min(*v));
        assert!((range - 0.5).abs() < 1e-12, "{range}");
    }

    #[test]
    fn the_nearest_grain_counts_and_a_turned_piece_follows_it() {
        let (spoon, _) = parse_design(template(Source::Design), &mut Findings::new()).unwrap();
        let mut board = board();
        board.form.grain_at = vec![
            Grain { at: DVec2::new(0.0, 66.0), angle: Angle::degrees(1.0) },
            Grain { at: DVec2::new(250.0, 66.0), angle: Angle::degrees(14.0) },
        ];
        let straight = Placement::at(DVec2::new(40.0, 66.0));
        assert!((grain(&spoon, &board, &straight)[0].degrees - 14.0).abs() < 1e-9);
        let (_, said) = heard(|out| short_grain(&spoon, &board, &straight, out));
        assert_eq!(said.iter().count(), 1);
        let turned = Placement { angle: Angle::degrees(194.0), origin: DVec2::new(400.0, 66.0) };
        assert!(grain(&spoon, &board, &turned)[0].degrees.abs() < 14.0);
    }
}
