//! What would do, when a design can't be made to fit: each give widened alone, or another board.

use super::gives::Variable;
use super::limits::{BodyRoom, FitLimits};
use super::search::{KEPT, Search};
use crate::params::{Bound, Design};
use crate::shape::Body;
use crate::units::{Length, plain};
use rayon::prelude::*;
use std::sync::atomic::{AtomicBool, Ordering};

/// What would do.
#[derive(Clone, Debug, PartialEq)]
pub struct Advice {
    /// The lowest that the body can become within what its gives allow.
    pub lowest: Length,
    /// Limits that would do, each by itself: the key, which limit, and the value with its unit.
    pub widen: Vec<Widening>,
}

/// One limit of a give, moved so far that the design fits.
#[derive(Clone, Debug, PartialEq)]
pub struct Widening {
    /// Key of the design file, as in `[give]`; of a group the first.
    pub key: String,
    /// The group that it changes alike with, in all designs of which the limit is widened.
    pub alike: Option<String>,
    /// The present limit, with its unit.
    pub limit: String,
    /// The limit that would do, with its unit.
    pub to: String,
    most: bool,
    bound: Bound,
}

impl Widening {
    /// Of that variable: which limit, and to what.
    pub(super) fn of(variable: &Variable, most: bool, bound: Bound) -> Widening {
        let now = if most { variable.most } else { variable.least };
        Widening {
            key: variable.keys().next().unwrap_or_default().to_owned(),
            alike: variable.alike.clone(),
            limit: written(&variable.limit(now, None)),
            to: written(&bound),
            most,
            bound,
        }
    }

    /// Moves the limit in a design: of a group in every design, else only in its own.
    pub fn apply(&self, design: &mut Design, own: bool) {
        for give in &mut design.give {
            let meant = match &self.alike {
                Some(group) => give.alike.as_ref() == Some(group),
                None => own && give.key == self.key,
            };
            if meant {
                *(if self.most { &mut give.most } else { &mut give.least }) = self.bound;
            }
        }
    }
}

/// A limit as the file has it.
fn written(bound: &Bound) -> String {
    match bound {
        Bound::Length(length) => format!("{} mm", plain(length.as_mm(), 3)),
        Bound::Fraction(share) => format!("{} %", plain(100.0 * share, 3)),
    }
}

/// The least or the most of one of its variables moved to a limit, if a design then fits.
type Widened<'a> = dyn Fn(&Variable, bool, Bound) -> Option<Widening> + Sync + 'a;

pub(super) fn advice(
    design: &Design,
    variables: &[Variable],
    limits: &FitLimits<'_>,
    (room, widened): (BodyRoom, &Widened<'_>),
    unwanted: &AtomicBool,
) -> Advice {
    let wanted = vec![0.0; variables.len()];
    let bounds: Vec<[f64; 2]> = variables.iter().map(|v| [v.least, v.most]).collect();
    let does = |bounds: &[[f64; 2]], room: BodyRoom, from: Option<&[f64]>| {
        // When nobody waits for it any more, nothing is found.
        if unwanted.load(Ordering::Relaxed) {
            return None;
        }
        let search = Search { design, variables, limits, wanted: &wanted, bounds };
        let found = match from {
            Some(start) => search.from(start, room),
            None => search.best(room),
        };
        (found.trespass <= 100.0 * KEPT).then_some(found.changes)
    };
    let lowest = || {
        // As asked it has its own height, so the lowest lies between nothing and that.
        let [low, high] = Body::new(design).heights();
        let (mut no, mut yes) = (0.0, (high - low).as_mm());
        let mut lying = vec![0.0; variables.len()];
        // To a thousandth of a millimetre, on the side that does.
        while yes - no > 1e-3 && !variables.is_empty() {
            let middle = 0.5 * (yes + no);
            let room = BodyRoom { height: middle, length: f64::MAX, width: f64::MAX };
            match does(&bounds, room, Some(&lying)) {
                Some(changes) => (yes, lying) = (middle, changes),
                None => no = middle,
            }
        }
        Length::mm(yes)
    };
    let widen = |(i, variable): (usize, &Variable)| {
        let sides = (0..2).filter_map(|side| {
            let (mut no, mut yes) = (bounds[i][side], variable.room[side]);
            let with = |to: f64| {
                let mut wider = bounds.clone();
                wider[i][side] = to;
                wider
            };
            if (yes - no).abs() < 1e-9 || !yes.is_finite() {
                return None;
            }
            let mut start = does(&with(yes), room, None)?;
            // To a ten-thousandth of what is asked, on the side that does.
            while (yes - no).abs() > 1e-4 {
                let middle = 0.5 * (yes + no);
                match does(&with(middle), room, Some(&start)) {
                    Some(changes) => (yes, start) = (middle, changes),
                    None => no = middle,
                }
            }
            Some((side, yes))
        });
        let least = sides.min_by(|a, b| {
            let far = |(side, to): &(usize, f64)| (to - bounds[i][*side]).abs();
            far(a).total_cmp(&far(b))
        });
        let (side, to) = least?;
        // As it is printed and can be typed in: rounded so that it does, and tried.
        let typed = variable.limit(to, Some(side == 1));
        widened(variable, side == 1, typed)
    };
    let each = || variables.par_iter().enumerate().with_max_len(1).filter_map(widen).collect();
    let (lowest, widen) = rayon::join(lowest, each);
    Advice { lowest, widen }
}
