//! Does the clamping span resist lifting?
//!
//! The board is taken as rigid, held down at the lips' middles and resting on the bed. A pull
//! upwards inside the hull of the lips is shared between them, none bearing more than the pull.
//! Outside it the board works as a lever over the nearest side of the hull, and that side bears
//! more than the pull: by the overhang over the span. Not promised: the force itself.

use crate::finding::{Code, Finding, Source};
use crate::outline::hull::hull;
use crate::relief::Face;
use glam::DVec2;

/// The cutter can pull far outside the hold-downs.
pub const BOARD_CAN_LIFT: Code = Code {
    name: "board-can-lift",
    explain: "Part of what is carved in a setup lies so far outside the lines between the \
        hold-downs that the board works as a lever. When the cutter pulls upwards there, the \
        nearest hold-downs carry more than one and a half times the pull, and the board springs up \
        under it (the limit is common practice, no source). This happens when the hold-downs are \
        all on one side or close together, mostly because a holder, a stop or a flaw keeps them \
        from other places. Use a longer or wider board, low hold-downs, or add a screw in the \
        waste beyond the far end. The board is taken as rigid; a thin one bends as well.",
};

/// Greatest load of one side of the hold-downs for a pull of 1 (no source).
const MOST: f64 = 1.5;

/// How a pull is borne.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Lift {
    /// Load of the hold-downs of one side, for a pull of 1 at the worst place; infinite when
    /// nothing resists.
    pub load: f64,
    /// The worst place, on the board, in mm.
    pub at: DVec2,
}

/// The worst place of `pulled` for hold-downs that bear at `lips`; on the board, in mm.
pub fn lift(lips: &[DVec2], pulled: &[DVec2]) -> Lift {
    let hull = hull(lips);
    let mut worst = Lift { load: 1.0, at: pulled.first().copied().unwrap_or_default() };
    let mut worst_past = 0.0;
    for (a, b) in hull.iter().zip(hull.iter().cycle().skip(1)) {
        let inward = (*b - *a).perp().normalize_or_zero();
        let span = hull.iter().map(|p| inward.dot(*p - *a)).fold(0.0, f64::max);
        for p in pulled {
            let past = -inward.dot(*p - *a);
            let load = 1.0 + past / span;
            let more = load > worst.load || (load == worst.load && past > worst_past);
            if past > 0.0 && more {
                (worst, worst_past) = (Lift { load, at: *p }, past);
            }
        }
    }
    if hull.len() < 3 {
        worst.load = f64::INFINITY;
    }
    worst
}

/// A caution when the board can lift.
pub fn judge(face: Face, lift: &Lift) -> Option<Finding> {
    // Asked this way round, NaN is told too.
    let holds = lift.load <= MOST;
    let how = match lift.load.is_finite() {
        true => format!("with {:.1} times the pull", lift.load),
        false => "without limit, because they are in one line".to_owned(),
    };
    (!holds).then(|| {
        Finding::caution(
            BOARD_CAN_LIFT,
            format!(
                "setup {}: an upward pull at X {:.0} mm, Y {:.0} mm on the board loads the nearest \
                 hold-downs {how}",
                face.name(),
                lift.at.x,
                lift.at.y
            ),
            "Make room for a hold-down nearer to that place, or add a screw in the waste there.",
        )
        .at(Source::Shop, "hold_down")
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn four() -> [DVec2; 4] {
        [(50.0, 5.0), (250.0, 5.0), (250.0, 95.0), (50.0, 95.0)].map(DVec2::from)
    }

    #[test]
    fn inside_the_hold_downs_none_bears_more_than_the_pull() {
        let inside = [DVec2::new(60.0, 50.0), DVec2::new(249.0, 6.0)];
        assert_eq!(lift(&four(), &inside).load, 1.0);
        assert!(judge(Face::Top, &lift(&four(), &inside)).is_none());
    }

    /// 100 past hold-downs that are 200 apart: the near ones bear 1.5, the far ones are relieved of
    /// 0.5, by the lever.
    #[test]
    fn past_them_the_lever_counts() {
        let found = lift(&four(), &[DVec2::new(350.0, 50.0), DVec2::new(150.0, 50.0)]);
        assert!((found.load - 1.5).abs() < 1e-12);
        assert_eq!(found.at.x, 350.0);
        assert!(judge(Face::Top, &lift(&four(), &[DVec2::new(351.0, 50.0)])).is_some());
    }

    #[test]
    fn hold_downs_in_one_line_resist_nothing() {
        let line = [(50.0, 5.0), (150.0, 5.0), (250.0, 5.0)].map(DVec2::from);
        let found = lift(&line, &[DVec2::new(150.0, 50.0)]);
        assert_eq!(found.load, f64::INFINITY);
        let said = judge(Face::Bottom, &found).expect("a caution");
        assert!(said.message.contains("one line"), "{}", said.message);
        assert_eq!(lift(&[], &[DVec2::ZERO]).load, f64::INFINITY);
    }
}
