//! The closed-form body: two skins over one outline, and the plan lattice that mesh and B-rep
//! share.
//!
//! Promised: `top` and `bottom` are the exact surface; everything else approximates them.
//! Not promised: a value outside the outline (the formulas go on smoothly for a little way, so
//! that rounding at the rim does no harm, and no further).

use glam::DVec2;
use std::sync::Arc;

/// A curve in the plan, from parameter 0 to 1, in mm.
pub type PlanCurve = Arc<dyn Fn(f64) -> DVec2 + Send + Sync>;
