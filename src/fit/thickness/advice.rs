//! What would do, when a design can't be made to fit: each give widened alone, or another board.

use super::gives::Variable;
use super::limits::{BodyRoom, FitLimits};
use super::search::{KEPT, Search};
use crate::params::Design;
use crate::shape::Body;
use crate::units::Length;

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
    /// Key of the design file, as in `[give]`.
    pub key: String,
    /// The present limit, with its unit.
    pub limit: String,
    /// The limit that would do, with its unit.
    pub to: String,
}

pub(super) fn advice(
    design: &Design,
    variables: &[Variable],
    limits: &FitLimits<'_>,
    room: BodyRoom,
) -> Advice {
    let wanted = vec![0.0; variables.len()];
    let bounds: Vec<[f64; 2]> = variables.iter().map(|v| [v.least, v.most]).collect();
    let does = |bounds: &[[f64; 2]], room: BodyRoom, from: Option<&[f64]>| {
        let search = Search { design, variables, limits, wanted: &wanted, bounds };
        let found = match from {
            Some(start) => search.from(start, room),
            None => search.best(room),
        };
        (found.trespass <= 100.0 * KEPT).then_some(found.changes)
    };
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
    let lowest = Length::mm(yes);
    let mut widen = Vec::new();
    for (i, variable) in variables.iter().enumerate() {
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
        if let Some((side, to)) = least {
            widen.push(Widening {
                key: variable.key.clone(),
                limit: variable.at(bounds[i][side]),
                to: variable.at(to),
            });
        }
    }
    Advice { lowest, widen }
}
