//! The closed-form body: two skins over one outline, and the plan lattice that mesh and B-rep
//! share.
//!
//! Promised: `top` and `bottom` are the exact surface; everything else approximates them. Both
//! are single-valued over the plan, so that the body has no undercut, and they meet in an upright
//! rim wall along the outline.
//! Not promised: a height outside the outline (the formulas go on smoothly for a little way, so
//! that rounding at the rim does no harm, and no further).

mod blade;
mod bowl;
mod bowl_cut;
mod brep;
mod cut;
mod eased;
mod end;
mod facets;
mod handle;
mod height;
mod land;
mod lattice;
mod layout;
mod lean;
mod measure;
mod middle;
mod offset;
mod plan;
mod spline;
mod spread;
mod trouble;
mod wall;

pub use brep::solid;
pub use cut::{CutBottom, CutTop};
pub use height::Along;
pub use lattice::{Lattice, LatticeBlock, LatticeEdge, SideOf};
pub use measure::Solids;
pub use trouble::{CODES, RIM_TOO_WIDE};

use crate::params::{Design, EndShape, Head, Kind, Side, THIN_AT};
use crate::units::Length;
use glam::DVec2;
use std::f64::consts::FRAC_PI_2;
use std::sync::Arc;

use blade::BladeSkins;
use bowl::BowlSkins;
use handle::HandleSkins;
use plan::Plan;
pub use plan::PlanCurve;

/// The utensil, unslotted. Cheap to clone.
#[derive(Clone, Debug)]
pub struct Body(Arc<Parts>);

#[derive(Debug)]
struct Parts {
    plan: Plan,
    handle: HandleSkins,
    head: HeadSkins,
    /// Where the knob at the handle's end has run out, if it has one.
    knob: Option<f64>,
}

#[derive(Debug)]
enum HeadSkins {
    Bowl(Box<BowlSkins>),
    Blade(BladeSkins),
}

impl HeadSkins {
    /// Name of the head's table in the file.
    fn table(&self) -> &'static str {
        match self {
            HeadSkins::Bowl(_) => "bowl",
            HeadSkins::Blade(_) => "blade",
        }
    }
}

impl Body {
    /// The body of a checked design.
    pub fn new(design: &Design) -> Body {
        let edge = design.edge.as_mm();
        let (plan, head) = match &design.head {
            Head::Bowl(bowl) => {
                let plan = Plan::new(design, bowl::runs(bowl), bowl.widest, bowl.fullness);
                let skins = BowlSkins::new(bowl, edge, &plan, design.kind == Kind::Scoop);
                (plan, HeadSkins::Bowl(Box::new(skins)))
            }
            Head::Blade(blade) => {
                let plan = Plan::new(design, blade::runs(blade), blade.widest, blade.fullness);
                let skins = BladeSkins::new(blade, design, &plan);
                (plan, HeadSkins::Blade(skins))
            }
        };
        let handle = HandleSkins::new(design, &plan);
        let knob = design.handle.knob.as_ref();
        let knob = knob.map(|knob| plan.end + knob.runs_out(&design.handle).as_mm());
        Body(Arc::new(Parts { plan, handle, head, knob })).with_its_wall()
    }

    /// Whether a point of the top skin lies past the line where two skins meet: in the hollow, or on
    /// the bevel. Everywhere else, and on either side of that line, the skins have no kink.
    pub fn past_line(&self, p: DVec2) -> bool {
        let Parts { plan, head, .. } = &*self.0;
        match head {
            HeadSkins::Bowl(bowl) => bowl.in_hollow(plan, p),
            HeadSkins::Blade(blade) => p.x > blade.bevel,
        }
    }

    /// From where on the right to where on the left the top skin lies past that line at a place along
    /// the utensil, in mm; an empty stretch (right over left) where it does not.
    pub fn past_line_within(&self, x: Length) -> [f64; 2] {
        const NOWHERE: [f64; 2] = [f64::INFINITY, f64::NEG_INFINITY];
        let Parts { plan, head, .. } = &*self.0;
        let x = x.as_mm();
        match head {
            HeadSkins::Bowl(bowl) => bowl.hollow_within(plan, x).unwrap_or(NOWHERE),
            HeadSkins::Blade(blade) if x > blade.bevel => [f64::NEG_INFINITY, f64::INFINITY],
            HeadSkins::Blade(_) => NOWHERE,
        }
    }

    /// Height at a point of the outline where the two sides meet: the middle of the rim wall, in
    /// mm.
    pub fn parting(&self, p: DVec2) -> f64 {
        0.5 * (self.top(p) + self.bottom(p))
    }

    /// Whole length.
    pub fn length(&self) -> Length {
        Length::mm(self.0.plan.length)
    }

    /// X of a fraction of the handle: 0 where the rounding of its end has died out, 1 at the neck.
    pub fn handle_x(&self, fraction: f64) -> Length {
        let plan = &self.0.plan;
        Length::mm(plan.end + fraction * (plan.neck - plan.end))
    }

    /// X of a fraction of the head: 0 at the neck, 1 at the tip.
    pub fn head_x(&self, fraction: f64) -> Length {
        let plan = &self.0.plan;
        Length::mm(plan.neck + fraction * (plan.length - plan.neck))
    }

    /// Whether a place along the handle has the size that its own stations say: a knob has others.
    pub fn is_plain_at(&self, x: Length) -> bool {
        self.0.knob.is_none_or(|out| x.as_mm() >= out)
    }

    /// X of the neck, where the head begins.
    pub fn neck_x(&self) -> Length {
        Length::mm(self.0.plan.neck)
    }

    /// X from which on the head is nearly all there is: just behind a hollow.
    pub fn blended_x(&self) -> Length {
        Length::mm(self.0.plan.rest)
    }

    /// X of the widest place of the head.
    pub fn widest_x(&self) -> Length {
        Length::mm(self.0.plan.widest)
    }

    /// The outline's point at a place along the utensil, in mm.
    pub fn outline_at(&self, x: Length, side: Side) -> DVec2 {
        self.0.plan.outline_at(x.as_mm(), sign(side))
    }

    /// Where a blade's thin side is measured: at a place along the utensil, on that side.
    pub fn thin_at(&self, x: Length, mirror: bool) -> DVec2 {
        let share = if mirror { -THIN_AT } else { THIN_AT };
        self.0.plan.beside(x.as_mm(), share)
    }

    /// Height of the middle line over the parting plane at a place along the utensil, in mm. That of a
    /// scoop comes down with its rim.
    fn rise(&self, x: f64) -> f64 {
        self.0.handle.rise.value(x) - self.comes_down(Length::mm(x))
    }

    /// How far a scoop's rim has come down from its middle line at a place along the utensil, in mm; nothing
    /// of any other.
    pub fn comes_down(&self, x: Length) -> f64 {
        match &self.0.head {
            HeadSkins::Bowl(bowl) => bowl.falls(&self.0.plan, x.as_mm()),
            HeadSkins::Blade(_) => 0.0,
        }
    }

    /// The middle line's point at a place along the utensil, in mm.
    pub fn middle_at(&self, x: Length) -> DVec2 {
        self.0.plan.beside(x.as_mm(), 0.0)
    }

    /// Where a line across at a place along the utensil meets the outline, right and left, in mm; an
    /// empty stretch (right over left) beyond the ends.
    pub fn across(&self, x: Length) -> [f64; 2] {
        let plan = &self.0.plan;
        let x = x.as_mm();
        if !(0.0..=plan.length).contains(&x) {
            return [f64::INFINITY, f64::NEG_INFINITY];
        }
        let (middle, half) = (plan.sway.value(x), plan.half(x));
        [middle - half, middle + half]
    }

    /// The outline, counter-clockwise from the very end of the handle: curves that are smooth in
    /// themselves and join end to end, tangent to each other.
    pub fn outline(&self) -> Vec<PlanCurve> {
        let plan = &self.0.plan;
        let mut curves = vec![
            self.curve(|body, t| body.0.plan.end_arc(-FRAC_PI_2 * t)),
            self.side(plan.end, plan.neck, -1.0),
            self.side(plan.neck, plan.widest, -1.0),
            self.curve(|body, t| body.0.plan.front_arc(FRAC_PI_2 * (t - 1.0))),
            self.curve(|body, t| body.0.plan.front_arc(FRAC_PI_2 * t)),
            self.side(plan.widest, plan.neck, 1.0),
            self.side(plan.neck, plan.end, 1.0),
        ];
        curves.push(self.curve(|body, t| body.0.plan.end_arc(FRAC_PI_2 * (1.0 - t))));
        curves
    }

    /// The line between hollow and rim land, counter-clockwise from its very rear; nothing for a
    /// turner.
    pub fn hollow(&self) -> Vec<PlanCurve> {
        if let HeadSkins::Blade(_) = self.0.head {
            return Vec::new();
        }
        let front = |angle: fn(f64) -> f64| {
            self.curve(move |body, t| body.hollow_front(angle(t)).unwrap_or_default())
        };
        let rear = |angle: fn(f64) -> f64| {
            self.curve(move |body, t| body.hollow_rear(angle(t)).unwrap_or_default())
        };
        vec![
            rear(|t| -FRAC_PI_2 * t),
            front(|t| FRAC_PI_2 * (t - 1.0)),
            front(|t| FRAC_PI_2 * t),
            rear(|t| FRAC_PI_2 * (1.0 - t)),
        ]
    }

    fn hollow_front(&self, angle: f64) -> Option<DVec2> {
        match &self.0.head {
            HeadSkins::Bowl(bowl) => Some(bowl.front_arc(&self.0.plan, angle)),
            HeadSkins::Blade(_) => None,
        }
    }

    fn hollow_rear(&self, angle: f64) -> Option<DVec2> {
        match &self.0.head {
            HeadSkins::Bowl(bowl) => Some(bowl.rear_arc(&self.0.plan, angle)),
            HeadSkins::Blade(_) => None,
        }
    }

    /// Where along the utensil the outline lies square to the rim land's inner edge at a place.
    fn land_foot(&self, x: f64, side: f64) -> f64 {
        match &self.0.head {
            HeadSkins::Bowl(bowl) => bowl.foot(&self.0.plan, x, side),
            HeadSkins::Blade(_) => x,
        }
    }

    /// The outline beside the middle line from one X to another.
    fn side(&self, from: f64, to: f64, side: f64) -> PlanCurve {
        self.curve(move |body, t| body.0.plan.outline_at(from + t * (to - from), side))
    }

    fn curve(&self, at: impl Fn(&Body, f64) -> DVec2 + Send + Sync + 'static) -> PlanCurve {
        let body = self.clone();
        Arc::new(move |t| at(&body, t))
    }
}

/// Share of the width that a handle's end of that shape has at a share of its length, 0 where it begins and 1 at
/// the very end, where its section has that exponent.
pub fn end_closing(shape: Option<EndShape>, section: f64) -> impl Fn(f64) -> f64 {
    let closing = plan::closing(shape, section);
    move |share| closing.close(share)
}

/// +1 for the left, −1 for the right.
fn sign(side: Side) -> f64 {
    match side {
        Side::Left => 1.0,
        Side::Right => -1.0,
    }
}

#[cfg(test)]
mod tests;
