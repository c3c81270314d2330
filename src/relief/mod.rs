//! A setup's relief model: what one side carves. One skin of the body, a skirt round it for the
//! ball cutter to run out on, and the tabs standing in the skirt, as one closed solid that fills
//! the stock down to its far face.
//!
//! Promised: closed and oriented; the skin's own triangles (finer, lifted to a fillet and set
//! back behind the rim only beside a tab); an upright wall under the rim; tabs flat but for their fillets, square to the
//! outline and as wide as asked; both setups together carve the body, the tabs with their fillets
//! and nothing else.
//! Not promised: that a cutter reaches every place of it, or that the tabs hold.

mod build;
mod foot;
mod lift;
mod patch;
mod refine;
mod ring;
mod rolling;
mod set_back;
mod tab;
mod trouble;
mod upper;
mod wall;

pub use build::SKIRT_FLOOR;
pub use patch::Skin;
pub use tab::Tab;
pub use trouble::{CODES, RELIEF_NOT_MADE, SKIRT_RIDGE};

use crate::finding::{Finding, Findings};
use crate::mesh::Mesh;
use crate::units::Length;
use glam::{DVec2, DVec3};

/// How far the skirt goes past the place where the ball's far side runs: room for the path
/// program's own tolerance and for a cutter a little over size (common practice, no source).
const SKIRT_ROOM: Length = Length::mm(1.0);

/// The side of the body that a setup carves.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Face {
    /// Seen from above in the design frame.
    Top,
    /// Seen from below.
    Bottom,
}

impl Face {
    /// Both, in the order in which they are carved.
    pub const BOTH: [Face; 2] = [Face::Top, Face::Bottom];

    /// `top` or `bottom`.
    pub const fn name(self) -> &'static str {
        match self {
            Face::Top => "top",
            Face::Bottom => "bottom",
        }
    }
}

/// What a relief model is made from. All in the design frame.
#[derive(Clone, Copy)]
pub struct ReliefOrder<'a> {
    /// Which side.
    pub face: Face,
    /// That side's skin.
    pub skin: Skin<'a>,
    /// The skirt's outer edge, counter-clockwise: the outline, offset by [`skirt_width`]. In mm.
    pub skirt_edge: &'a [DVec2],
    /// Height of the parting line, in mm, at a place of the outline.
    pub parting: &'a dyn Fn(DVec2) -> f64,
    /// The tabs.
    pub tabs: &'a [Tab],
    /// Diameter of the finishing cutter's ball.
    pub ball: Length,
    /// How far beyond the parting line each side carves.
    pub overlap: Length,
    /// Height of the stock's top.
    pub stock_top: Length,
    /// Height of the stock's underside.
    pub stock_bottom: Length,
}

/// A relief model.
#[derive(Clone, Debug)]
pub struct Relief {
    /// The closed solid, in the design frame.
    pub mesh: Mesh,
    /// By how much the skirt's floor had to be raised so as not to break through the stock's far
    /// face, at the worst place. Zero when nowhere.
    pub raised: Length,
    /// Height of the ridge that this leaves, at the worst place. Zero when none.
    pub ridge: Length,
}

/// Width of the skirt for a ball of that diameter. The ball beside the wall has its centre a
/// radius from the outline and its far side a diameter, and needs a little room beyond.
pub fn skirt_width(ball: Length) -> Length {
    ball + SKIRT_ROOM
}

/// Makes the relief model of one setup.
///
/// # Errors
/// A fault (`relief-not-made`) when the tabs or the skirt's edge can't be joined to the skin.
pub fn model(order: &ReliefOrder<'_>, out: &mut Findings) -> Result<Relief, Box<Finding>> {
    let turn2 = |p: DVec2| DVec2::new(p.x, -p.y);
    let turn3 = |p: DVec3| DVec3::new(p.x, -p.y, -p.z);
    let made = match order.face {
        Face::Top => build::build(build::Upright {
            skin: patch::SkinPatch::new(&order.skin, |p| p, false),
            edge: order.skirt_edge.to_vec(),
            parting: order.parting,
            tabs: order.tabs.to_vec(),
            radius: order.ball.half().as_mm(),
            overlap: order.overlap.as_mm(),
            under: order.stock_bottom.as_mm(),
            over: order.stock_top.as_mm(),
        }),
        // Turned half round about X the bottom lies on top; a rotation keeps orientations.
        Face::Bottom => build::build(build::Upright {
            skin: patch::SkinPatch::new(&order.skin, turn3, true),
            edge: order.skirt_edge.iter().rev().copied().map(turn2).collect(),
            parting: &|p| -(order.parting)(turn2(p)),
            tabs: order.tabs.iter().map(Tab::turned).collect(),
            radius: order.ball.half().as_mm(),
            overlap: order.overlap.as_mm(),
            under: -order.stock_top.as_mm(),
            over: -order.stock_bottom.as_mm(),
        }),
    };
    let mut made = made.map_err(|trouble| Box::new(trouble.finding()))?;
    if order.face == Face::Bottom {
        for point in &mut made.mesh.points {
            *point = turn3(*point);
        }
    }
    if made.ridge > 0.0 {
        out.push(trouble::ridge(order.face.name(), Length::mm(made.ridge)));
    }
    Ok(Relief { mesh: made.mesh, raised: Length::mm(made.raised), ridge: Length::mm(made.ridge) })
}

#[cfg(test)]
mod tests;
