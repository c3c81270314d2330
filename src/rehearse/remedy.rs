//! What would put a program right, as a way to run it: whether it does is seen when all is carved again so.

use super::replay::zeros;
use super::stage::StagedSetup;
use crate::program::{Motion, PassedOver, PathForm, Zeros};
use glam::{DAffine3, DMat3, DVec3};
use std::collections::BTreeMap;

/// One program, put right.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Remedy {
    /// What its places are mapped by.
    pub(super) map: DAffine3,
    /// Cutters that are put in the place of others.
    pub(super) instead: BTreeMap<usize, usize>,
    /// Whether every work position is the setup's own.
    pub(super) own_position: bool,
    /// Words that are passed over.
    pub(super) over: PassedOver,
}

impl Remedy {
    /// As the program is.
    pub(super) const NONE: Remedy = Remedy {
        map: DAffine3::IDENTITY,
        instead: BTreeMap::new(),
        own_position: false,
        over: PassedOver { shifts: false, steps: false },
    };

    /// A program whose places are mapped.
    pub(super) fn mapped(map: DAffine3) -> Remedy {
        Remedy { map, ..Remedy::NONE }
    }

    /// Whether it moves the program, and nothing else.
    pub(super) fn is_shift(&self) -> bool {
        self.map.matrix3 == DMat3::IDENTITY
    }

    /// Both.
    pub(super) fn and(&self, other: &Remedy) -> Remedy {
        let mut instead = self.instead.clone();
        instead.extend(other.instead.iter().map(|(from, to)| (*from, *to)));
        Remedy {
            map: self.map * other.map,
            instead,
            own_position: self.own_position || other.own_position,
            over: PassedOver {
                shifts: self.over.shifts || other.over.shifts,
                steps: self.over.steps || other.over.steps,
            },
        }
    }

    /// Where the zeros are then. What only moves it is in them, so that ways home stay as they are.
    pub(super) fn zeros(&self, stage: &StagedSetup) -> Zeros {
        let mut zeros = zeros(stage, self.own_position);
        if self.is_shift() {
            let by = self.map.translation;
            zeros.work = zeros.work.map(|zero| zero + by);
            zeros.unsaid += by;
        }
        zeros
    }

    /// A motion, mapped.
    pub(super) fn motion(&self, motion: Motion) -> Motion {
        if self.is_shift() {
            return motion;
        }
        let turned = self.map.matrix3.determinant().signum();
        let form = match motion.form {
            PathForm::Straight => PathForm::Straight,
            PathForm::Turn { centre, angle } => PathForm::Turn {
                centre: self.map.transform_point3(centre.extend(motion.from.z)).truncate(),
                angle: angle * turned,
            },
        };
        let place = |place: DVec3| self.map.transform_point3(place);
        Motion { from: place(motion.from), to: place(motion.to), form, ..motion }
    }

    /// The cutter that is put in.
    pub(super) fn cutter(&self, index: usize) -> usize {
        self.instead.get(&index).copied().unwrap_or(index)
    }
}
