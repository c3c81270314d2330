//! The left-handed twin of a design.

use super::{Bound, Design, Give, Head, Side, Station};
use crate::units::Angle;

impl Design {
    /// The design as it is made: the twin of what the file says, if that asks for one.
    pub(super) fn made(self) -> Design {
        if self.mirror { self.twin() } else { self }
    }

    /// The design as its file says it.
    pub fn as_written(&self) -> Design {
        self.clone().made()
    }

    /// What lies to the left lies to the right, and the other way round. Art keeps its sense and
    /// its turn, so that letters can still be read and an ear still grows towards the bowl; its place is
    /// the twin's.
    fn twin(mut self) -> Design {
        let head = match &mut self.head {
            Head::Bowl(bowl) => &mut bowl.sway,
            Head::Blade(blade) => &mut blade.sway,
        };
        for Station { size, .. } in self.handle.sway.iter_mut().chain(head) {
            *size = -*size;
        }
        for tab in &mut self.tabs.place {
            tab.side = match tab.side {
                Side::Left => Side::Right,
                Side::Right => Side::Left,
            };
        }
        for opening in &mut self.opening {
            opening.turn = Angle::degrees(-opening.turn.as_degrees());
        }
        let openings = self.opening.iter_mut().map(|opening| &mut opening.at);
        let art = self.inlay.iter_mut().map(|inlay| &mut inlay.at);
        for at in openings.chain(art).chain(self.clean_up.iter_mut().map(|place| &mut place.at)) {
            at.y = -at.y;
        }
        for Give { key, least, most, .. } in &mut self.give {
            if sideways(key)
                && let (Bound::Length(from), Bound::Length(to)) = (*least, *most)
            {
                (*least, *most) = (Bound::Length(-to), Bound::Length(-from));
            }
        }
        self
    }

    /// Which way the file counts what is made at a key of it: -1 for a shift of a twin, else 1.
    pub fn way_of(&self, key: &str) -> f64 {
        if self.mirror && sideways(key) { -1.0 } else { 1.0 }
    }
}

/// Whether a key is one of a shift to the left.
fn sideways(key: &str) -> bool {
    key.ends_with("].shift")
}

#[cfg(test)]
mod tests {
    use crate::finding::Findings;
    use crate::params::{Design, parse_design};

    const CORNER: &str = include_str!("../../params/designs/corner-spoon.toml");

    fn design(text: &str) -> Design {
        parse_design(text, &mut Findings::new()).expect("it has no fault").0
    }

    #[test]
    fn a_twin_of_a_twin_is_the_design() {
        let twin = design(&CORNER.replacen("kind = ", "mirror = true\nkind = ", 1));
        let plain = Design { mirror: true, ..design(CORNER) };
        assert_ne!(twin, plain);
        assert_eq!(twin.as_written(), plain);
    }
}
