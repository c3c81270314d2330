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
    use crate::shape::Body;
    use crate::units::Length;
    use glam::DVec2;

    const CORNER: &str = include_str!("../../params/designs/corner-spoon.toml");

    fn design(text: &str) -> Design {
        parse_design(text, &mut Findings::new()).expect("it has no fault").0
    }

    /// Both skins and the outline of the twin are those of the other, seen in a mirror; everywhere.
    #[test]
    fn a_twin_is_the_other_in_a_mirror() {
        let written = CORNER.replace("sway = [{", "sway = [{ at = \"0 %\", shift = \"2 mm\" }, {");
        let twin = written.replacen("kind = ", "mirror = true\nkind = ", 1);
        let [one, other] = [&written, &twin].map(|text| Body::new(&design(text)));
        assert!(one.across(Length::mm(280.0))[1] > 4.0 - one.across(Length::mm(280.0))[0]);
        for i in 1..400 {
            let x = one.length().as_mm() * f64::from(i) / 400.0;
            let [right, left] = one.across(Length::mm(x));
            let [twin_right, twin_left] = other.across(Length::mm(x));
            assert!((right + twin_left).abs() < 1e-9 && (left + twin_right).abs() < 1e-9, "{x}");
            for j in 1..20 {
                let y = right + (left - right) * f64::from(j) / 20.0;
                let [p, q] = [DVec2::new(x, y), DVec2::new(x, -y)];
                assert!((one.top(p) - other.top(q)).abs() < 1e-9, "{p}");
                assert!((one.bottom(p) - other.bottom(q)).abs() < 1e-9, "{p}");
            }
        }
    }

    #[test]
    fn a_twin_of_a_twin_is_the_design() {
        let twin = design(&CORNER.replacen("kind = ", "mirror = true\nkind = ", 1));
        let plain = Design { mirror: true, ..design(CORNER) };
        assert_ne!(twin, plain);
        assert_eq!(twin.as_written(), plain);
    }
}
