//! The printed hold-downs: blocks that stand on the bed beside the board and reach over its edge.
//!
//! How one holds: the block's heel stands on the bed at the back, the lip bears on the board in
//! front, the bolt pulls down between them. The step is as high as the wood under the lip less the
//! squeeze, so the lip touches first and the block, tipped back by the squeeze onto its heel,
//! presses; without squeeze it sits flat and only keeps the board from rising. The nearer the bolt
//! is to the board, the more of its pull goes to the lip, so it stands as near as its washer
//! allows. The stepped one bears on the board's face; the low one in a rebate in its edge, so that
//! little or nothing of it stands over the board.
//!
//! Print it lying on its near side, the stepped profile on the printer's bed, so that the layers
//! run along the lip and do not part when it is bent; nothing then overhangs by more than 45
//! degrees. What is left of the print to the maker: the fill, and the filament.
//!
//! Not promised: strength. What the lip holds is an estimate.

use super::block::{self, Block};
use super::bolt;
use super::mark;
use crate::finding::{Code, Finding, Source};
use crate::kernel::{Bore, Prism, Sunk};
use crate::params::{BoltHead, HoldForm, Shop};
use crate::units::{Length, Unit, plain};
use glam::DVec2;

/// The hold-down has no room for its bolt.
pub const BOLT_HOLE_TOO_NEAR: Code = Code {
    name: "bolt-hole-too-near",
    explain: "The hold-down in the shop file can't be made. The block behind the board's edge must \
        take the bolt's clearance hole, the slot along which it slides and the pocket for its \
        head, with the shop's wall of plastic all round, and a ridge over each so that it prints \
        without supports. The lip must have a length and a thickness. The step (the height of the \
        stock less the squeeze, and for a low hold-down less the rebate) must be higher than zero. \
        Make the block longer or wider, let the bolt slide less, or use a thinner bolt. A washer \
        on top may be wider than the block; that is not checked.",
};

/// Stress that printed plastic bears for hours without creeping away, in N/mm²: about a fifth of
/// what a print of common PLA breaks at (common practice, no source).
const LASTING_N_MM2: f64 = 10.0;

/// No hollow narrower than this is left between ribs (no source).
const CELL_LEAST_MM: f64 = 4.0;
/// Ribs stand no further apart than this (no source).
const CELL_MOST_MM: f64 = 14.0;

/// A round upright hole through the block.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hole {
    /// In X and Y, in mm: the middle of the slot where the bolt can slide.
    pub centre: DVec2,
    /// Half of its diameter, with the printer's allowance.
    pub radius: Length,
    /// How far the bolt can slide along X.
    pub slide: Length,
}

/// A hold-down. X = 0 is the board's edge and grows over the board, Y runs along the edge with
/// zero in the middle, Z = 0 is the bed.
#[derive(Clone, Debug)]
pub struct HoldDownModel {
    /// Stepped or low.
    pub form: HoldForm,
    /// Height of the stock that it is for.
    pub stock: Length,
    /// Its shape.
    pub shape: Prism,
    /// For the bolt; from the bed to the block's top or to the pocket's floor.
    pub hole: Hole,
    /// Height of the face that bears on the board.
    pub bearing: Length,
    /// Height of the whole block.
    pub height: Length,
    /// Height of the highest thing on it, with the bolt's head and washer.
    pub over: Length,
    /// Half of the room that the bolt's head and its washer take, along X and Y, in mm.
    pub head: DVec2,
    /// What its mark says: the stock's height in the shop's unit; empty where there is no room.
    pub mark: String,
    /// Pull at the lip's middle that it bears for hours, in N: an estimate.
    pub lip_holds_n: f64,
    /// Its solid and mesh; none where only its figures are wanted.
    pub block: Option<Block>,
}

impl HoldDownModel {
    /// Name of its files.
    pub const fn stem(&self) -> &'static str {
        match self.form {
            HoldForm::Low => "hold-down-low",
            HoldForm::Stepped | HoldForm::Either => "hold-down",
        }
    }

    /// The corner of its plan behind the board, and the one over it, in mm.
    pub fn plan(&self) -> [DVec2; 2] {
        let far = self.shape.across[1].as_mm();
        let x = |pick: fn(f64, f64) -> f64, start| {
            self.shape.profile.iter().map(|p| p.x).fold(start, pick)
        };
        [DVec2::new(x(f64::min, 0.0), -far), DVec2::new(x(f64::max, 0.0), far)]
    }
}

/// The hold-downs that the shop wants for that stock: the one that is taken first, then the one
/// that stands in for it.
///
/// # Errors
/// A fault (`bolt-hole-too-near`) when one can't be made.
pub fn hold_downs(shop: &Shop, stock: Length) -> Result<Vec<HoldDownModel>, Box<Finding>> {
    let forms: &[HoldForm] = match shop.bed.clamp.form {
        HoldForm::Stepped => &[HoldForm::Stepped],
        HoldForm::Low => &[HoldForm::Low],
        HoldForm::Either => &[HoldForm::Stepped, HoldForm::Low],
    };
    forms.iter().map(|form| hold_down(shop, stock, *form)).collect()
}

/// The hold-down of that form for that shop and stock of that height; `Either` is taken as stepped.
///
/// # Errors
/// A fault (`bolt-hole-too-near`) when the bolt's hole does not fit into the block.
pub fn hold_down(
    shop: &Shop,
    stock: Length,
    form: HoldForm,
) -> Result<HoldDownModel, Box<Finding>> {
    let shaped = shaped(shop, stock, form)?;
    let block = Block::new(&shaped.shape).map_err(|why| too_small(why.to_string()))?;
    Ok(HoldDownModel { block: Some(block), ..shaped })
}

fn too_small(message: String) -> Box<Finding> {
    Box::new(
        Finding::fault(
            BOLT_HOLE_TOO_NEAR,
            message,
            "Make the hold-down longer or wider (`hold_down.body`, `hold_down.width`), let the bolt slide less \
             (`hold_down.slide`), or use a thinner bolt.",
        )
        .at(Source::Shop, "hold_down"),
    )
}

/// The same without its mesh, which takes most of the time.
pub(crate) fn shaped(
    shop: &Shop,
    stock: Length,
    form: HoldForm,
) -> Result<HoldDownModel, Box<Finding>> {
    let (asked, clamp) = (&shop.hold_down, &shop.bed.clamp);
    let under = match form {
        HoldForm::Low => stock - clamp.rebate,
        HoldForm::Stepped | HoldForm::Either => stock,
    };
    let bearing = (under - asked.squeeze).as_mm();
    let height = bearing + asked.lip_thickness.as_mm();
    let (body, lip) = (asked.body.as_mm(), asked.lip.as_mm());
    let half = asked.width.half().as_mm();
    let (slide, wall) = (clamp.slide.as_mm(), clamp.wall.as_mm());
    let fit = shop.printer_fit;
    let radius = (bolt::clearance_hole(shop.bolt) + fit).half().as_mm();
    let (washer, head) = (bolt::washer(shop.bolt.size), bolt::head(shop.bolt.size));

    // What is hollow round the bolt: half along X, its ridge, how deep, and how high the head
    // stands over the block.
    let stack = washer.thickness + head.height;
    let (reach, ridge, pocket, proud) = match clamp.head {
        BoltHead::Flat => (radius, block::roof(radius, slide), None, stack),
        BoltHead::Washer => {
            let wide = (washer.diameter + fit).half().as_mm();
            (wide, block::roof(wide, slide), Some((wide, stack)), Length::ZERO)
        }
        BoltHead::Hex => {
            let wide = (head.flats + fit).half().as_mm();
            let ridge = block::hexagonal_roof(2.0 * wide, slide);
            (wide, ridge, Some((wide, head.height)), Length::ZERO)
        }
    };
    let least = [2.0 * (reach + wall) + slide, 2.0 * (ridge + wall)];
    for (size, name, least) in [(body, "long", least[0]), (2.0 * half, "wide", least[1])] {
        // Asked this way round, NaN fails too.
        if !(least..1.0e4).contains(&size) {
            return Err(too_small(format!(
                "the hold-down is {} {name}, but its bolt hole of {}, with a slide of {}, needs {}",
                Length::mm(size),
                Length::mm(2.0 * radius),
                clamp.slide,
                Length::mm(least)
            )));
        }
    }
    let deep = pocket.map_or(0.0, |(_, deep)| deep.as_mm());
    let sound = bearing > 0.5
        && height - bearing > 0.1
        && lip > 0.1
        && height + lip < 1.0e4
        && height - deep > wall;
    if !sound {
        return Err(too_small(format!(
            "the hold-down would have a step {} high and a lip {} long and {} thick",
            Length::mm(bearing),
            asked.lip,
            asked.lip_thickness
        )));
    }

    // As near to the board as the washer or the pocket allows, but never nearer to the heel than a
    // wall. A pocket keeps a wall to the lip, whose root it would weaken.
    let front = match pocket {
        Some((wide, _)) => wide + wall,
        None => washer.diameter.half().as_mm().max(radius + wall),
    };
    let behind = (front + slide / 2.0).min(body - reach - wall - slide / 2.0);
    let centre = DVec2::new(-behind, 0.0);
    let bore = Bore {
        hole: block::roofed(centre, radius, slide),
        to: Length::mm(height),
        pocket: pocket.map(|(wide, deep)| {
            let ring = match clamp.head {
                BoltHead::Hex => block::hexagonal(centre, 2.0 * wide, slide),
                BoltHead::Flat | BoltHead::Washer => block::roofed(centre, wide, slide),
            };
            (ring, Length::mm(height) - deep)
        }),
    };
    let profile =
        [(-body, 0.0), (0.0, 0.0), (0.0, bearing), (lip, bearing), (lip, height), (-body, height)]
            .map(|(x, z)| DVec2::new(x, z))
            .to_vec();
    let heel = centre.x - reach - slide / 2.0 - wall;
    let cells = match clamp.rib {
        Some(rib) => cells([-body + wall, heel], [wall, height - wall], rib.as_mm()),
        None => Vec::new(),
    };
    let hollow = Length::mm(2.0 * half - wall);
    let from = if cells.is_empty() { -body } else { heel };
    let figures = match shop.unit {
        Unit::Millimetre => plain(stock.as_mm(), 1),
        Unit::Inch => plain(stock.to_print(Unit::Inch), 3),
    };
    let strokes = mark::mark(&figures, DVec2::new(from, 0.0), DVec2::new(0.0, height));
    let written = if strokes.is_empty() { String::new() } else { figures };
    let cells = cells.into_iter().map(|outline| Sunk { outline, depth: hollow });
    let sunk = cells.chain(strokes).collect();
    let across = [Length::mm(-half), Length::mm(half)];
    let shape = Prism { profile, across, bore: Some(bore), sunk };
    let thick = asked.lip_thickness.as_mm();
    Ok(HoldDownModel {
        form: if form == HoldForm::Low { form } else { HoldForm::Stepped },
        stock,
        shape,
        hole: Hole { centre, radius: Length::mm(radius), slide: clamp.slide },
        bearing: Length::mm(bearing),
        height: Length::mm(height),
        over: Length::mm(height) + proud,
        head: DVec2::new(
            washer.diameter.half().as_mm() + slide / 2.0,
            washer.diameter.half().as_mm(),
        ),
        mark: written,
        // A beam held at the board's edge and loaded at the lip's middle: F = s b h² / 6 / (l / 2).
        lip_holds_n: LASTING_N_MM2 * 2.0 * half * thick * thick / (3.0 * lip),
        block: None,
    })
}

/// Hollows side by side in the heel with ribs between; in mm.
fn cells(x: [f64; 2], z: [f64; 2], rib: f64) -> Vec<Vec<DVec2>> {
    let wide = x[1] - x[0];
    let count = ((wide + rib) / (CELL_MOST_MM + rib)).ceil().clamp(1.0, 50.0);
    let each = (wide - (count - 1.0) * rib) / count;
    // Asked this way round, NaN fails too.
    let worth = each >= CELL_LEAST_MM && z[1] - z[0] >= CELL_LEAST_MM;
    if !worth {
        return Vec::new();
    }
    (0..count as u32)
        .map(|k| {
            let low = x[0] + f64::from(k) * (each + rib);
            [(low, z[0]), (low + each, z[0]), (low + each, z[1]), (low, z[1])]
                .map(DVec2::from)
                .to_vec()
        })
        .collect()
}

#[cfg(test)]
pub(crate) mod tests;
