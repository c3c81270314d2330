//! What a spreader's blade and a scoop's bowl ask beyond any other.

use super::{down_to, up_to};
use crate::params::read::Reader;
use crate::params::{Blade, Bowl, Design, Kind, codes};
use crate::units::Length;

/// Where the thickness of a blade's thin side is measured, as a share of the half-width: near the
/// side, and before the easing sets in.
pub const THIN_AT: f64 = 0.75;
/// Exponent of the easing along a blade's sides: flat over most of the width.
pub const BLADE_EASED: f64 = 8.0;

/// Least thickness of a blade's thin side: what it falls to by the outline is then as high as the edge.
pub(super) fn least_thin(thickness: Length, edge: Length) -> Length {
    let eased = THIN_AT.powf(BLADE_EASED);
    (thickness * (1.0 - THIN_AT) + edge * THIN_AT) * (1.0 - eased) + edge * eased
}

pub(super) fn thin_side(blade: &Blade, design: &Design, reader: &mut Reader) {
    let Some(thin) = blade.thin else {
        if design.kind == Kind::Spreader {
            reader.fault(
                codes::MISSING_KEY,
                "blade.thin",
                "`blade` has no `thin`; a spreader is thin along one side.",
                "Add to `blade`: thin = \"3 mm\"",
            );
        }
        return;
    };
    let least = least_thin(blade.thickness, design.edge);
    if thin >= blade.thickness {
        // Thinner than the middle, and no thinner than the edge lets it be.
        let (usual, most) = (blade.thickness * 0.6, down_to(blade.thickness - Length::mm(0.05)));
        let help = match up_to(least).max(down_to(usual)) {
            thin if thin <= most => format!("Write thin = \"{thin}\"."),
            _ => "Lower `edge` in [utensil], or make `thickness` greater.".to_owned(),
        };
        reader.fault(
            codes::BLADE_EDGE,
            "blade.thin",
            format!("The thin side is {thin} thick, but the middle only {}.", blade.thickness),
            help,
        );
    } else if thin < least {
        reader.fault(
            codes::BLADE_EDGE,
            "blade.thin",
            format!(
                "The thin side is {thin} thick; with an edge of {} the least is {least}, for it \
                 goes on falling to that edge.",
                design.edge
            ),
            format!("Write thin = \"{}\" or more, or lower `edge` in [utensil].", up_to(least)),
        );
    }
}

/// Steepest that a scoop's rim may come down to its floor, as of a middle line.
const STEEPEST_RIM: f64 = 1.0;
/// How many times its mean slope it is steepest.
const EASE: f64 = 1.875;

/// Within how much its front comes down.
fn front(bowl: &Bowl) -> Length {
    bowl.length * (1.0 - bowl.widest) - bowl.rim.last()
}

/// How deep a scoop may be for its front to come down to the floor.
pub(super) fn deepest_scoop(bowl: &Bowl) -> Length {
    front(bowl) * (STEEPEST_RIM / EASE)
}

pub(super) fn scoop(bowl: &Bowl, reader: &mut Reader) {
    if bowl.deepest.is_some() {
        reader.fault(
            codes::WRONG_SECTION,
            "bowl.deepest",
            "The floor of a scoop is level from its widest place to its lip; it has no one deepest place.",
            "Delete the key.",
        );
    }
    let most = deepest_scoop(bowl);
    if bowl.depth > most {
        reader.fault(
            codes::HOLLOW_TOO_DEEP,
            "bowl.depth",
            format!(
                "The scoop is {} deep, and its rim comes down to the floor within {} in front of \
                 its widest place; the most is {most}.",
                bowl.depth,
                front(bowl)
            ),
            format!(
                "Write depth = \"{}\" or less, or move `widest` back.",
                down_to(most.max(Length::mm(0.1)))
            ),
        );
    }
}
