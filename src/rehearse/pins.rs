//! The pins' holes: bored through, of the right size, one where each pin stands.

use super::codes::PIN_HOLE;
use super::ground::round;
use super::slips::{Slip, Slips};
use super::stage::StagedSetup;
use super::timber::Timber;
use crate::finding::Severity;
use crate::relief::Face;
use crate::units::plain;
use glam::DVec2;
use std::f64::consts::PI;

/// A hole may be so much wider or narrower than the packet's, in mm, and a cell.
const SIZE_MM: f64 = 0.3;

/// Wood that is cut less than this is not bored, in mm.
const CUT_MM: f32 = 0.02;

/// Looks at the holes in the wood as it is at the end. `must`: whether holes must be there, because the board
/// was turned; `program` is the one that bored them.
pub(super) fn judge(
    stage: &StagedSetup,
    timber: &Timber,
    (must, program): (bool, usize),
    out: &mut Slips,
) {
    let cells = &timber.cells;
    let face = stage.stock[0] as f32 - CUT_MM;
    let open = |index: usize| timber.top[index] <= timber.floor[index] + CUT_MM;
    let under = stage.stock[1] as f32 + CUT_MM;
    let whole = |index: usize| timber.top[index] > face && timber.floor[index] < under;
    let inner: Vec<Vec<usize>> = stage
        .pins
        .iter()
        .map(|pin| round(cells, *pin, (stage.pin_radius - cells.cell).max(cells.cell)).collect())
        .collect();
    let bored = |hole: &Vec<usize>| hole.iter().any(|index| !whole(*index));
    if !must && !inner.iter().any(bored) {
        return;
    }
    for (pin, hole) in stage.pins.iter().zip(&inner) {
        let through = hole.iter().filter(|index| open(**index)).count();
        let says = if through == hole.len() {
            let Some(wide) = wider(stage, timber, *pin, &open) else { continue };
            format!(
                "the hole of a pin is {} mm wide, and the pin's is {} mm",
                plain(wide, 1),
                plain(2.0 * stage.pin_radius, 1)
            )
        } else if !bored(hole) {
            "a pin has no hole".to_owned()
        } else if through > 0 {
            let area = through as f64 * cells.cell * cells.cell;
            format!(
                "the hole of a pin is too narrow, or lies beside its place: about {} mm of {} mm are open",
                plain(2.0 * (area / PI).sqrt(), 1),
                plain(2.0 * stage.pin_radius, 1)
            )
        } else {
            let stands = |index: &usize| timber.top[*index] - timber.floor[*index];
            let stands = hole.iter().map(stands).fold(f32::INFINITY, f32::min);
            format!("the hole of a pin doesn't go through: {stands:.1} mm of wood stand in it")
        };
        let help = match stage.face {
            Face::Top => "Bore the pins as the setup's page has it, before the board is turned.",
            Face::Bottom => {
                "Bore the pins in setup 1, as its page has it: without them the board can't be \
                 placed again. Rehearse setup 1 with its boring program, and --keep its wood."
            }
        };
        let slip = Slip {
            at: Some(pin.extend(stage.stock[0])),
            ..Slip::new(PIN_HOLE, Severity::Fault, (program, 0), says.clone(), help)
        };
        // Two pins with the same to say are one.
        out.add(&says, slip);
    }
}

/// How wide a hole is that is too wide.
fn wider(
    stage: &StagedSetup,
    timber: &Timber,
    pin: DVec2,
    open: &dyn Fn(usize) -> bool,
) -> Option<f64> {
    let cells = &timber.cells;
    let around = round(cells, pin, 2.0 * stage.pin_radius);
    let area = around.filter(|index| open(*index)).count() as f64 * cells.cell * cells.cell;
    let wide = 2.0 * (area / PI).sqrt();
    (wide > 2.0 * stage.pin_radius + SIZE_MM + cells.cell).then_some(wide)
}
