//! What the cutters with their holder sweep in a setup, over the board's plan.
//!
//! The tip may go down to the relief's face wherever a pass's limit lets its centre go. Over it
//! stand the cutter, as far as it sticks out, and then the holder, as wide at each height as its own
//! cone. Something of a height on the bed is in the holder's way where the tip comes so low that
//! the holder's lower face is not over it.
//!
//! Promised: never nearer than the room asked for; where the grid is unsure, up to two of its steps
//! further. Not promised: the spindle's body over the holder, hoses, and moves between
//! passes, which must go over everything (see the travel check).

use super::passes::Pass;
use super::setup::Setup;
use crate::mesh::{Heights, Mesh};
use crate::outline::ArcPath;
use crate::params::Holder;
use crate::units::Length;
use glam::DVec2;
use rayon::prelude::*;

/// Distance of the places at which the tip's height is looked up.
const GRID_MM: f64 = 1.0;

/// Half of a cell's diagonal, and a little.
const SLACK_MM: f64 = 0.72;

/// Chords of the paths that the edge pass runs along.
const CHORD: Length = Length::mm(0.05);

/// No more cells than this along a side, so that an absurd board takes no absurd time.
const CELLS_MOST: f64 = 4000.0;

/// One pass.
#[derive(Clone, Debug)]
struct Sweep {
    pass: &'static str,
    cutter: String,
    stick_out: f64,
    holder: Holder,
    /// Places of the centre on the board and the tip's least height over the bed, lowest first.
    places: Vec<(DVec2, f64)>,
    /// How far the centre may be from such a place.
    slack: f64,
}

/// All passes of a setup.
#[derive(Clone, Debug)]
pub struct Envelope {
    sweeps: Vec<Sweep>,
    /// The shop's holder, for cutters without one of their own.
    holder: Holder,
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

impl Envelope {
    /// Of a setup with its relief, in its own frame, and its passes. `room` is the least distance
    /// between the holder and anything else.
    pub fn new(
        setup: &Setup,
        relief: &Mesh,
        passes: &[Pass],
        holder: Holder,
        room: Length,
    ) -> Envelope {
        let heights = Heights::new(relief, &relief.triangles);
        let bed = setup.stock_bottom.as_mm();
        let tip = |p: DVec2| heights.at(p).map(|[_, high]| high - bed);
        let own: Vec<&Pass> = passes.iter().filter(|pass| pass.face == setup.face).collect();
        let sweeps = own.into_par_iter().with_max_len(1).map(|pass| {
            let paths: Vec<ArcPath> =
                pass.centre.iter().map(|path| setup.from_design.path(path)).collect();
            let mut places = match pass.key {
                // It runs along its paths and not inside them.
                "edge" => along(&paths, &tip),
                _ => inside(&paths, &tip),
            };
            if pass.through {
                places.iter_mut().for_each(|(_, tip)| *tip = 0.0);
            }
            for (p, _) in &mut places {
                *p = setup.from_board.place_back(*p);
            }
            places.sort_by(|a, b| a.1.total_cmp(&b.1));
            Sweep {
                pass: pass.key,
                cutter: pass.cutter.name.clone(),
                stick_out: pass.cutter.stick_out.as_mm(),
                holder: pass.cutter.holder.unwrap_or(holder),
                places,
                slack: SLACK_MM,
            }
        });
        Envelope { sweeps: sweeps.collect(), holder, room: room.as_mm() }
    }

    /// The same with what is swept for another piece on the board.
    #[must_use]
    pub fn and(mut self, other: Envelope) -> Envelope {
        self.sweeps.extend(other.sweeps);
        self
    }

    /// The same with holes bored through the board at places on it, with the centre up to `round`
    /// away from their middles.
    #[must_use]
    pub fn with_bores(
        mut self,
        cutter: &crate::params::Cutter,
        places: &[DVec2],
        round: Length,
    ) -> Envelope {
        self.sweeps.push(Sweep {
            pass: "pins",
            cutter: cutter.name.clone(),
            stick_out: cutter.stick_out.as_mm(),
            holder: cutter.holder.unwrap_or(self.holder),
            places: places.iter().map(|p| (*p, -super::plan::THROUGH_MM)).collect(),
            slack: round.as_mm(),
        });
        self
    }

    /// The first pass whose holder would come nearer than the room to something that stands there:
    /// its name and its cutter's. None when all pass by.
    pub fn hits(&self, standing: &Standing) -> Option<(&'static str, &str)> {
        let top = standing.top.as_mm();
        self.sweeps.iter().find_map(|sweep| {
            let low =
                sweep.places.iter().take_while(|(_, tip)| tip + sweep.stick_out < top + self.room);
            let near = |(p, tip): &(DVec2, f64)| {
                let up = top + self.room - tip - sweep.stick_out;
                let reach = radius_at(sweep.holder, up) + self.room + sweep.slack;
                apart(*p, &standing.plan) < reach
            };
            low.into_iter().any(near).then_some((sweep.pass, sweep.cutter.as_str()))
        })
    }
}

/// A holder's radius so far over its lower end.
fn radius_at(holder: Holder, up: f64) -> f64 {
    let (low, high) = (holder.nose.half().as_mm(), holder.diameter.half().as_mm());
    let share = (up / holder.length.as_mm().max(f64::MIN_POSITIVE)).clamp(0.0, 1.0);
    low + (high - low) * share
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

/// Places along paths, a grid step apart at most.
fn along(paths: &[ArcPath], tip: &(dyn Fn(DVec2) -> Option<f64> + Sync)) -> Vec<(DVec2, f64)> {
    let mut places = Vec::new();
    for path in paths {
        let chain = path.to_polyline(CHORD);
        for (a, b) in chain.iter().zip(chain.iter().cycle().skip(1)) {
            let steps = (a.distance(*b) / GRID_MM).ceil().clamp(1.0, CELLS_MOST) as u32;
            for step in 0..steps {
                let p = a.lerp(*b, f64::from(step) / f64::from(steps));
                places.extend(tip(p).map(|tip| (p, tip)));
            }
        }
    }
    places
}

/// Cells of a grid inside paths, each with the least height of it and its neighbours.
fn inside(paths: &[ArcPath], tip: &(dyn Fn(DVec2) -> Option<f64> + Sync)) -> Vec<(DVec2, f64)> {
    let bounds = paths.iter().filter_map(ArcPath::bounds);
    let Some((low, high)) = bounds.reduce(|(a, b), (c, d)| (a.min(c), b.max(d))) else {
        return Vec::new();
    };
    let low = low - GRID_MM;
    let counts =
        ((high + GRID_MM - low) / GRID_MM).ceil().clamp(DVec2::ONE, DVec2::splat(CELLS_MOST));
    let (columns, rows) = (counts.x as usize + 1, counts.y as usize + 1);
    let tests: Vec<_> = paths.iter().map(ArcPath::inside).collect();
    let at = |column: usize, row: usize| low + DVec2::new(column as f64, row as f64) * GRID_MM;
    let heights: Vec<Option<f64>> = (0..rows * columns)
        .into_par_iter()
        .with_min_len(1024)
        .map(|cell| {
            let p = at(cell % columns, cell / columns);
            if tests.iter().any(|inside| inside(p)) { tip(p) } else { None }
        })
        .collect();
    let mut places = Vec::new();
    for row in 0..rows {
        for column in 0..columns {
            let near = |by: usize, most: usize| by.saturating_sub(1)..=(by + 1).min(most - 1);
            let least = near(row, rows)
                .flat_map(|r| near(column, columns).map(move |c| r * columns + c))
                .filter_map(|cell| heights[cell])
                .reduce(f64::min);
            // A cell beside the limit counts too: part of it may lie inside.
            places.extend(least.map(|least| (at(column, row), least)));
        }
    }
    places
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fit::{Placement, Stock};
    use crate::params::{Cutter, CutterForm, TurnAxis, Zero};
    use crate::relief::Face;
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

    fn envelope(stick_out: f64, through: bool) -> Envelope {
        let stock = Stock::round(Length::mm(30.0), Length::mm(-10.0), Length::mm(10.0));
        let placement = Placement::at(DVec2::ZERO);
        let size = DVec2::new(100.0, 40.0);
        let setup = Setup::new(Face::Top, TurnAxis::X, Zero::Bottom, size, &stock, &placement);
        let cutter = Cutter {
            name: "ball".to_owned(),
            form: CutterForm::Ball,
            diameter: Length::mm(3.0),
            flute: Length::mm(20.0),
            stick_out: Length::mm(stick_out),
            feed_mm_min: 1000.0,
            speed_rpm: 16000.0,
            step_over: Length::mm(0.3),
            pass_depth: None,
            holder: None,
        };
        let corners = [(30.0, 10.0), (70.0, 10.0), (70.0, 30.0), (30.0, 30.0)];
        let centre = vec![ArcPath::polygon(corners.map(DVec2::from))];
        let pass =
            Pass { key: "finish", face: Face::Top, cutter, area: centre.clone(), centre, through };
        let [diameter, length] = [20.0, 40.0].map(Length::mm);
        let holder = Holder { diameter, nose: diameter, length };
        Envelope::new(&setup, &plate(8.0), &[pass], holder, Length::mm(2.0))
    }

    fn post(x: f64, top: f64) -> Standing {
        let corners = [(x, 15.0), (x + 10.0, 15.0), (x + 10.0, 25.0), (x, 25.0)];
        Standing { plan: corners.map(DVec2::from).to_vec(), top: Length::mm(top) }
    }

    /// The tip is at 8 and the holder's face at 8 + 30 = 38; its radius is 10, the room 2.
    #[test]
    fn a_holder_passes_over_what_is_lower_and_beside_what_is_further() {
        let envelope = envelope(30.0, false);
        assert_eq!(envelope.hits(&post(75.0, 35.9)), None, "38 less 2 is over it");
        assert_eq!(envelope.hits(&post(75.0, 36.1)), Some(("finish", "ball")));
        assert_eq!(envelope.hits(&post(70.0 + 10.0 + 1.9, 40.0)), Some(("finish", "ball")));
        assert_eq!(envelope.hits(&post(70.0 + 12.0 + 2.0, 40.0)), None, "beside it");
    }

    #[test]
    fn a_cone_is_as_wide_as_it_is_at_the_height_that_counts() {
        let [diameter, nose, length] = [40.0, 20.0, 40.0].map(Length::mm);
        let holder = Holder { diameter, nose, length };
        let at = [-1.0, 0.0, 10.0, 40.0, 90.0].map(|up| radius_at(holder, up));
        assert_eq!(at, [10.0, 10.0, 12.5, 20.0, 20.0]);
    }

    #[test]
    fn a_pass_that_goes_through_brings_the_holder_lower() {
        assert_eq!(envelope(30.0, true).hits(&post(75.0, 27.9)), None);
        assert_eq!(envelope(30.0, true).hits(&post(75.0, 28.1)), Some(("finish", "ball")));
    }

    #[test]
    fn a_hole_for_a_pin_counts_as_well() {
        let near = post(90.0, 40.0);
        assert_eq!(envelope(30.0, false).hits(&near), None);
        let cutter = Cutter {
            name: "flat".to_owned(),
            form: CutterForm::Flat,
            diameter: Length::mm(5.0),
            flute: Length::mm(35.0),
            stick_out: Length::mm(38.0),
            feed_mm_min: 1000.0,
            speed_rpm: 16000.0,
            step_over: Length::mm(1.0),
            pass_depth: None,
            holder: None,
        };
        let with =
            envelope(30.0, false).with_bores(&cutter, &[DVec2::new(80.0, 20.0)], Length::mm(0.5));
        assert_eq!(with.hits(&near), Some(("pins", "flat")));
    }

    #[test]
    fn a_point_is_as_far_from_a_square_as_pythagoras_says() {
        let square = [(0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0)].map(DVec2::from);
        assert_eq!(apart(DVec2::new(5.0, 6.0), &square), 5.0);
        assert_eq!(apart(DVec2::new(1.0, 1.9), &square), 0.0);
    }
}
