//! What comes over the board's plan in a setup: the cutters with their holders, as far as they come
//! down.
//!
//! Over the tip stand the cutter, as far as it sticks out, and then the holder, as wide at each height
//! as its own cone. Something of a height on the bed is in the holder's way where the tip comes so low
//! that the holder's lower face is not over it.
//!
//! Promised: never nearer than the room asked for; where the grid is unsure, up to two of its steps
//! further. Not promised: the spindle's body over the holder, hoses, and moves between
//! passes, which must go over everything (see the travel check).

use super::kind::PassKind;
use super::sweep::Sweep;
use crate::units::Length;
use glam::DVec2;

/// All passes of a setup.
#[derive(Clone, Debug)]
pub struct Envelope<'a> {
    sweeps: Vec<&'a Sweep>,
    room: f64,
}

/// A part of something that stands on the bed: an upright prism over a convex polygon.
#[derive(Clone, Debug, PartialEq)]
pub struct Standing {
    /// Its plan on the board, counter-clockwise, in mm.
    pub plan: Vec<DVec2>,
    /// Its height over the bed.
    pub top: Length,
}

impl Standing {
    /// How far a place is from its plan, in mm; 0 on it.
    pub fn apart(&self, p: DVec2) -> f64 {
        apart(p, &self.plan)
    }
}

impl<'a> Envelope<'a> {
    /// Of what is swept in a setup, for all pieces. `room` is the least distance between a holder and
    /// anything else.
    pub fn new(sweeps: impl IntoIterator<Item = &'a Sweep>, room: Length) -> Envelope<'a> {
        Envelope { sweeps: sweeps.into_iter().collect(), room: room.as_mm() }
    }

    /// The first pass whose holder would come nearer than the room to something that stands there:
    /// its kind and its cutter's name. None when all pass by.
    pub fn hits(&self, standing: &Standing) -> Option<(PassKind, &str)> {
        let top = standing.top.as_mm();
        self.sweeps.iter().find_map(|sweep| {
            let stick_out = sweep.cutter.stick_out.as_mm();
            let low = sweep.places.iter().take_while(|(_, tip)| tip + stick_out < top + self.room);
            let near = |(p, tip): &(DVec2, f64)| {
                let up = top + self.room - tip - stick_out;
                let reach = sweep.holder.radius_at(up) + self.room + sweep.slack;
                apart(*p, &standing.plan) < reach
            };
            low.into_iter().any(near).then_some((sweep.pass, sweep.cutter.name.as_str()))
        })
    }
}

/// Distance from a point to a convex polygon that runs counter-clockwise; 0 inside.
fn apart(p: DVec2, polygon: &[DVec2]) -> f64 {
    let mut outside = false;
    let mut least = f64::INFINITY;
    for (a, b) in polygon.iter().zip(polygon.iter().cycle().skip(1)) {
        let (way, to) = (*b - *a, p - *a);
        outside |= way.perp_dot(to) < 0.0;
        let t = (to.dot(way) / way.length_squared().max(f64::MIN_POSITIVE)).clamp(0.0, 1.0);
        least = least.min((to - way * t).length_squared());
    }
    if outside { least.sqrt() } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cutting::passes::Pass;
    use crate::cutting::sweep::Swept;
    use crate::fit::{Placement, Stock};
    use crate::mesh::Mesh;
    use crate::outline::ArcPath;
    use crate::params::{Cutter, CutterForm, Holder, TurnAxis, Zero};
    use crate::relief::Face;
    use crate::setup::Setup;
    use glam::DVec3;

    /// A plate from the bed up to a height, 100 long and 40 wide.
    fn plate(top: f64) -> Mesh {
        let points: Vec<DVec3> = (0..8)
            .map(|i| {
                let pick = |bit: u32, size: f64| if i & bit != 0 { size } else { 0.0 };
                DVec3::new(pick(1, 100.0), pick(2, 40.0), pick(4, top))
            })
            .collect();
        let quads =
            [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]];
        let triangles = quads.iter().flat_map(|&[a, b, c, d]| [[a, b, c], [a, c, d]]).collect();
        Mesh { points, triangles }
    }

    fn swept(stick_out: f64, through: Option<Length>) -> Swept {
        let stock = Stock::round(Length::mm(30.0), Length::mm(-10.0), Length::mm(10.0));
        let placement = Placement::at(DVec2::ZERO);
        let size = DVec2::new(100.0, 40.0);
        let setup = Setup::new(Face::Top, TurnAxis::X, Zero::Bottom, size, &stock, &placement);
        let cutter = Cutter::bare("ball", CutterForm::Ball, 3.0, stick_out);
        let corners = [(30.0, 10.0), (70.0, 10.0), (70.0, 30.0), (30.0, 30.0)];
        let centre = vec![ArcPath::polygon(corners.map(DVec2::from))];
        let pass = Pass {
            kind: PassKind::Finish,
            face: Face::Top,
            cutter,
            area: centre.clone(),
            centre,
            through,
        };
        Swept::new(&setup, &plate(8.0), &[pass], holder())
    }

    fn holder() -> Holder {
        let [diameter, length] = [20.0, 40.0].map(Length::mm);
        Holder { diameter, nose: diameter, length }
    }

    fn envelope(swept: &Swept) -> Envelope<'_> {
        Envelope::new(&swept.sweeps, Length::mm(2.0))
    }

    fn post(x: f64, top: f64) -> Standing {
        let corners = [(x, 15.0), (x + 10.0, 15.0), (x + 10.0, 25.0), (x, 25.0)];
        Standing { plan: corners.map(DVec2::from).to_vec(), top: Length::mm(top) }
    }

    /// The tip is at 8 and the holder's face at 8 + 30 = 38; its radius is 10, the room 2.
    #[test]
    fn a_holder_passes_over_what_is_lower_and_beside_what_is_further() {
        let swept = swept(30.0, None);
        let envelope = envelope(&swept);
        assert_eq!(envelope.hits(&post(75.0, 35.9)), None, "38 less 2 is over it");
        assert_eq!(envelope.hits(&post(75.0, 36.1)), Some((PassKind::Finish, "ball")));
        assert_eq!(envelope.hits(&post(70.0 + 10.0 + 1.9, 40.0)), Some((PassKind::Finish, "ball")));
        assert_eq!(envelope.hits(&post(70.0 + 12.0 + 2.0, 40.0)), None, "beside it");
    }

    #[test]
    fn a_pass_that_goes_through_brings_the_holder_lower() {
        let swept = swept(30.0, Some(Length::ZERO));
        assert_eq!(envelope(&swept).hits(&post(75.0, 27.9)), None);
        assert_eq!(envelope(&swept).hits(&post(75.0, 28.1)), Some((PassKind::Finish, "ball")));
    }

    #[test]
    fn a_hole_for_a_pin_counts_as_well() {
        let near = post(90.0, 40.0);
        let swept = swept(30.0, None);
        assert_eq!(envelope(&swept).hits(&near), None);
        let cutter = Cutter::bare("flat", CutterForm::Flat, 5.0, 38.0);
        let bores = Sweep::bores(&cutter, holder(), &[DVec2::new(80.0, 20.0)], Length::mm(0.5));
        let with = Envelope::new(swept.sweeps.iter().chain([&bores]), Length::mm(2.0));
        assert_eq!(with.hits(&near), Some((PassKind::Pins, "flat")));
    }

    #[test]
    fn a_point_is_as_far_from_a_square_as_pythagoras_says() {
        let square = [(0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0)].map(DVec2::from);
        assert_eq!(apart(DVec2::new(5.0, 6.0), &square), 5.0);
        assert_eq!(apart(DVec2::new(1.0, 1.9), &square), 0.0);
    }
}
