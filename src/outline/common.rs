//! What two closed paths both enclose, arcs kept as arcs.
//!
//! Promised: every part that both enclose, as closed paths. Not promised: a result for paths that
//! cross themselves.

use super::{ArcPath, SAME_POINT};
use cavalier_contours::polyline::{BooleanOp, PlineBooleanOptions, PlineSource};

/// The parts that both paths enclose; none when they have nothing in common.
pub fn common(one: &ArcPath, other: &ArcPath) -> Vec<ArcPath> {
    let (Some(a), Some(b)) = (one.as_polyline(), other.as_polyline()) else { return Vec::new() };
    if !one.closed || !other.closed {
        return Vec::new();
    }
    let options = PlineBooleanOptions { pos_equal_eps: SAME_POINT, ..Default::default() };
    let both = a.boolean_opt(&b, BooleanOp::And, &options);
    both.pos_plines.iter().map(|part| ArcPath::from_polyline(&part.pline)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Length;
    use glam::DVec2;
    use std::f64::consts::PI;

    #[test]
    fn a_square_and_a_disc_have_the_half_disc_in_common() {
        let square =
            ArcPath::polygon([(0.0, -9.0), (30.0, -9.0), (30.0, 9.0), (0.0, 9.0)].map(DVec2::from));
        let disc = ArcPath::circle(DVec2::ZERO, Length::mm(5.0));
        let both = common(&square, &disc);
        assert_eq!(both.len(), 1);
        assert!((both[0].signed_area().abs() - 12.5 * PI).abs() < 1e-9);
        assert!(both[0].vertices.iter().any(|v| v.bulge != 0.0), "its arc is kept");
        let whole = common(&square, &ArcPath::circle(DVec2::new(15.0, 0.0), Length::mm(2.0)));
        assert!((whole[0].signed_area().abs() - 4.0 * PI).abs() < 1e-9);
        let apart = ArcPath::circle(DVec2::new(-50.0, 0.0), Length::mm(2.0));
        assert!(common(&square, &apart).is_empty());
    }
}
