//! A hold-down's place on the board: the edge that it reaches over, what its lip and its block cover,
//! and where its bolt stands.

use super::anchors::{Anchors, BoltSlot};
use crate::blocks::HoldDownModel;
use crate::cutting::envelope::Standing;
use crate::params::HoldForm;
use crate::units::Length;
use glam::DVec2;

/// Places along an edge are tried this far apart (no source).
const STEP_MM: f64 = 2.0;

/// Least wood beside a lip's place, to a corner of the board, a pin's hole or another lip (no
/// source).
pub(super) const BESIDE_MM: f64 = 2.0;

/// A rebate is this much longer and wider than the lip in it, on each side (no source).
const REBATE_PLAY_MM: f64 = 1.0;

/// An edge of the board.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BoardEdge {
    /// Y = 0.
    Front,
    /// Y = width.
    Back,
    /// X = 0.
    Start,
    /// X = length.
    End,
}

impl BoardEdge {
    pub(super) const ALL: [BoardEdge; 4] =
        [BoardEdge::Front, BoardEdge::Back, BoardEdge::Start, BoardEdge::End];

    /// Unit vector from the edge over the board.
    pub(super) const fn inward(self) -> DVec2 {
        match self {
            BoardEdge::Front => DVec2::Y,
            BoardEdge::Back => DVec2::NEG_Y,
            BoardEdge::Start => DVec2::X,
            BoardEdge::End => DVec2::NEG_X,
        }
    }

    /// As it is said, by the board as it lies in the top setup.
    pub(super) const fn said(self) -> &'static str {
        match self {
            BoardEdge::Front => "front edge",
            BoardEdge::Back => "back edge",
            BoardEdge::Start => "left end",
            BoardEdge::End => "right end",
        }
    }

    /// `front`, `back`, `start` or `end`.
    pub const fn name(self) -> &'static str {
        match self {
            BoardEdge::Front => "front",
            BoardEdge::Back => "back",
            BoardEdge::Start => "start",
            BoardEdge::End => "end",
        }
    }
}

/// Where a hold-down bears, in the board's frame, in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HoldDownPlace {
    /// The edge that it reaches over.
    pub edge: BoardEdge,
    /// Stepped, or low in a rebate.
    pub form: HoldForm,
    /// Middle of the block on that edge.
    pub at: DVec2,
    /// Unit vector from the edge over the board.
    pub inward: DVec2,
    /// What the lip covers, counter-clockwise.
    pub lip: [DVec2; 4],
    /// All that the block covers, counter-clockwise.
    pub plan: [DVec2; 4],
    /// The bolt's middle.
    pub bolt: DVec2,
}

impl HoldDownPlace {
    fn new(edge: BoardEdge, at: DVec2, model: &HoldDownModel) -> HoldDownPlace {
        let inward = edge.inward();
        let [low, high] = model.plan();
        let mut place = HoldDownPlace {
            edge,
            form: model.form,
            at,
            inward,
            lip: [at; 4],
            plan: [at; 4],
            bolt: at,
        };
        let over = |from: f64| {
            [(from, high.y), (from, low.y), (high.x, low.y), (high.x, high.y)]
                .map(|(x, y)| place.on_board(DVec2::new(x, y)))
        };
        let (lip, plan) = (over(0.0), over(low.x));
        let bolt = place.on_board(model.hole.centre);
        (place.lip, place.plan, place.bolt) = (lip, plan, bolt);
        place
    }

    /// A place given as X over the board and Y along its edge, as in the hold-down's model, on the
    /// board's plan. In mm.
    pub fn on_board(&self, p: DVec2) -> DVec2 {
        self.at + self.inward * p.x + self.inward.perp() * p.y
    }

    /// Where a bolt of that thickness can stand in it.
    pub(super) fn slot(&self, bolt: Length, model: &HoldDownModel) -> BoltSlot {
        let half = DVec2::new(model.hole.slide.half().as_mm(), 0.0);
        let ends = [-half, half].map(|off| self.on_board(model.hole.centre + off));
        BoltSlot { ends, play: (model.hole.radius - bolt.half()).as_mm().max(0.0) }
    }

    /// Middle of what the lip bears on.
    pub fn bears(&self) -> DVec2 {
        self.lip.iter().sum::<DVec2>() / 4.0
    }

    /// The rebate that a low one's lip bears in, counter-clockwise; none for a stepped one.
    pub fn rebate(&self) -> Option<[DVec2; 4]> {
        let reach = (self.lip[2] - self.lip[1]).dot(self.inward) + REBATE_PLAY_MM;
        let half = self.lip[0].distance(self.lip[1]) / 2.0 + REBATE_PLAY_MM;
        let corners = [(0.0, half), (0.0, -half), (reach, -half), (reach, half)]
            .map(|(x, y)| self.on_board(DVec2::new(x, y)));
        (self.form == HoldForm::Low).then_some(corners)
    }

    /// What of it stands on the bed: the block, and the bolt's head on it.
    pub fn standing(&self, model: &HoldDownModel) -> [Standing; 2] {
        let (middle, half) = (model.hole.centre, model.head);
        let head = [(-1.0, 1.0), (-1.0, -1.0), (1.0, -1.0), (1.0, 1.0)]
            .map(|(x, y)| self.on_board(middle + half * DVec2::new(x, y)));
        [(self.plan, model.height), (head, model.over)]
            .map(|(plan, top)| Standing { plan: plan.to_vec(), top })
    }
}

/// All places along an edge: in even steps, and where a track crosses the edge or an insert lies
/// beside it.
pub(super) fn along(
    edge: BoardEdge,
    size: DVec2,
    model: &HoldDownModel,
    anchors: &Anchors,
) -> Vec<HoldDownPlace> {
    let (length, depth) = match edge {
        BoardEdge::Front | BoardEdge::Back => (size.x, size.y),
        BoardEdge::Start | BoardEdge::End => (size.y, size.x),
    };
    let [_, high] = model.plan();
    let inset = high.y + BESIDE_MM;
    let steps = ((length - 2.0 * inset) / STEP_MM).floor();
    if !(0.0..=1.0e4).contains(&steps) || high.x >= depth {
        return Vec::new();
    }
    let axis = edge.inward().perp().abs();
    let mut stands: Vec<f64> =
        (0..=steps as u32).map(|step| inset + STEP_MM * f64::from(step)).collect();
    stands.extend(anchors.along(axis).filter(|s| (inset..=length - inset).contains(s)));
    stands.sort_by(f64::total_cmp);
    stands.dedup();
    let place = |s: f64| {
        let at = match edge {
            BoardEdge::Front => DVec2::new(s, 0.0),
            BoardEdge::Back => DVec2::new(s, size.y),
            BoardEdge::Start => DVec2::new(0.0, s),
            BoardEdge::End => DVec2::new(size.x, s),
        };
        HoldDownPlace::new(edge, at, model)
    };
    stands.into_iter().map(place).collect()
}
