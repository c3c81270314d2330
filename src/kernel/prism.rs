//! Blocks with one profile: hold-downs and spacers, with an upright hole, a pocket round it and
//! shallow marks sunk into a side.

use super::edge::EdgeId;
use super::error::KernelError;
use super::shell::{Shell, VertexId};
use super::solid::Solid;
use crate::units::Length;
use glam::{DVec2, DVec3};

/// Least wood left between a hole and an edge or another hole, in mm: what keeps the faces apart
/// by more than the file's tolerance; common practice, no source.
const LEAST_WALL: f64 = 1e-3;

/// A corner of a loop in a plan, and how the loop goes on from there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Corner {
    /// Where, in mm.
    pub point: DVec2,
    /// The middle of the arc to the next corner, which runs counter-clockwise; none for a line.
    pub centre: Option<DVec2>,
}

/// An upright hole through the block, from Z = 0 up, with a wider pocket at its upper end.
#[derive(Clone, Debug, PartialEq)]
pub struct Bore {
    /// The hole in X and Y, counter-clockwise.
    pub hole: Vec<Corner>,
    /// Height of the level face where it comes out on top.
    pub to: Length,
    /// The pocket in X and Y, counter-clockwise, round the hole, and the height of its floor.
    pub pocket: Option<(Vec<Corner>, Length)>,
}

/// A place sunk into the block's far side.
#[derive(Clone, Debug, PartialEq)]
pub struct Sunk {
    /// In X and Z, in mm, a simple polygon.
    pub outline: Vec<DVec2>,
    /// How deep.
    pub depth: Length,
}

/// A block with one profile all along Y, with an upright bore and places sunk into its far side.
///
/// The bore runs between two level faces of the block, whole within both and with solid wood
/// between. That it and the sunk places keep clear of each other is the caller's to see to.
#[derive(Clone, Debug, PartialEq)]
pub struct Prism {
    /// A simple polygon in X and Z, in mm, counter-clockwise with X to the right and Z up.
    pub profile: Vec<DVec2>,
    /// From where to where it goes along Y.
    pub across: [Length; 2],
    /// The upright hole.
    pub bore: Option<Bore>,
    /// What is sunk into its far side.
    pub sunk: Vec<Sunk>,
}

impl Prism {
    /// Builds it.
    ///
    /// # Errors
    /// A profile that is not such a polygon; a bore that leaves the block or a level face; a sunk
    /// place that leaves the side.
    pub fn solid(&self) -> Result<Solid, KernelError> {
        let profile = &self.profile[..];
        let [near, far] = self.across.map(Length::as_mm);
        self.check()?;
        let mut shell = Shell::new();
        let row = |shell: &mut Shell<'_>, y: f64, points: &[DVec2]| -> Vec<VertexId> {
            points.iter().map(|p| shell.vertex(DVec3::new(p.x, y, p.y))).collect()
        };
        let rows = [row(&mut shell, near, profile), row(&mut shell, far, profile)];
        let rings = self.bore.as_ref().map(|bore| bore_walls(&mut shell, bore));

        let count = profile.len();
        for k in 0..count {
            let next = (k + 1) % count;
            let corners = [rows[0][k], rows[0][next], rows[1][next], rows[1][k]];
            let along = profile[next] - profile[k];
            let mut inner = Vec::new();
            if let (Some(bore), Some([below, above])) = (&self.bore, &rings) {
                for (z, ring, runs) in [(Length::ZERO, below, 1.0), (bore.to, above, -1.0)] {
                    if on_edge(profile[k], profile[next], bore, z.as_mm(), runs) {
                        inner.push(ring.clone());
                    }
                }
            }
            let outer = polygon(&mut shell, &corners);
            shell.planar(&outer, &inner, DVec3::new(along.y, 0.0, -along.x));
        }
        let outer = polygon(&mut shell, &rows[0]);
        shell.planar(&outer, &[], DVec3::NEG_Y);
        let mut inner = Vec::new();
        for place in &self.sunk {
            let mut outline = place.outline.clone();
            let area: f64 = edges(&outline).map(|(a, b)| a.perp_dot(b)).sum();
            if area < 0.0 {
                outline.reverse();
            }
            let mouth = row(&mut shell, far, &outline);
            let floor = row(&mut shell, far - place.depth.as_mm(), &outline);
            let ring = polygon(&mut shell, &floor);
            shell.planar(&ring, &[], DVec3::Y);
            for (k, (a, b)) in edges(&outline).enumerate() {
                let next = (k + 1) % outline.len();
                let wall = [mouth[k], mouth[next], floor[next], floor[k]];
                let wall = polygon(&mut shell, &wall);
                let inward = (b - a).perp();
                shell.planar(&wall, &[], DVec3::new(inward.x, 0.0, inward.y));
            }
            inner.push(polygon(&mut shell, &mouth));
        }
        let outer = polygon(&mut shell, &rows[1]);
        shell.planar(&outer, &inner, DVec3::Y);
        shell.solid()
    }

    fn check(&self) -> Result<(), KernelError> {
        let [near, far] = self.across.map(Length::as_mm);
        check_profile(&self.profile)?;
        // asked for, not against, so that a NaN fails; so below
        let wide = far - near > LEAST_WALL;
        if !wide {
            return Err(KernelError::Prism("it has no width"));
        }
        if let Some(bore) = &self.bore {
            check_bore(&self.profile, [near, far], bore)?;
        }
        for place in &self.sunk {
            let depth = place.depth.as_mm();
            let held = place.outline.len() > 2
                && depth > LEAST_WALL
                && depth < far - near - LEAST_WALL
                && place.outline.iter().all(|p| within(&self.profile, *p));
            if !held {
                return Err(KernelError::Prism("a sunk place leaves its side"));
            }
        }
        Ok(())
    }
}

type EndLoop = Vec<(EdgeId, bool)>;

fn polygon(shell: &mut Shell<'_>, corners: &[VertexId]) -> EndLoop {
    let next = corners.iter().cycle().skip(1);
    corners.iter().zip(next).map(|(&a, &b)| (shell.line(a, b), false)).collect()
}

/// The walls of a bore and its pocket; gives the rings below and above.
fn bore_walls(shell: &mut Shell<'_>, bore: &Bore) -> [EndLoop; 2] {
    let top = bore.pocket.as_ref().map_or(bore.to, |(_, floor)| *floor);
    let [below, above] = walls(shell, &bore.hole, 0.0, top.as_mm());
    let Some((pocket, floor)) = &bore.pocket else { return [below, above] };
    let [foot, mouth] = walls(shell, pocket, floor.as_mm(), bore.to.as_mm());
    shell.planar(&foot, &[above], DVec3::Z);
    [below, mouth]
}

/// The upright walls over a loop, whose inside is hollow; gives the rings below and above.
fn walls(shell: &mut Shell<'_>, ring: &[Corner], low: f64, high: f64) -> [EndLoop; 2] {
    let count = ring.len();
    let [below, above] = [low, high].map(|z| {
        let corners: Vec<VertexId> =
            ring.iter().map(|corner| shell.vertex(corner.point.extend(z))).collect();
        (0..count)
            .map(|k| {
                let (a, b) = (corners[k], corners[(k + 1) % count]);
                match ring[k].centre {
                    Some(centre) => shell.arc(a, b, centre.extend(z), DVec3::Z),
                    None => shell.line(a, b),
                }
            })
            .collect::<Vec<EdgeId>>()
    });
    let posts: Vec<EdgeId> = (0..count).map(|k| shell.upright(below[k], above[k])).collect();
    for k in 0..count {
        let next = (k + 1) % count;
        if ring[k].centre.is_some() {
            shell.ruled((below[k], false), (above[k], false), false);
            continue;
        }
        let along = ring[next].point - ring[k].point;
        let wall = [(below[k], false), (posts[next], false), (above[k], true), (posts[k], true)];
        shell.planar(&wall, &[], along.perp().extend(0.0));
    }
    [below, above].map(|ring| ring.into_iter().map(|edge| (edge, false)).collect())
}

/// Whether the bore ends in the level edge from `a` to `b` of the profile, which runs to larger X
/// under the block (`runs` 1) and to lesser X on top of it (`runs` -1).
fn on_edge(a: DVec2, b: DVec2, bore: &Bore, z: f64, runs: f64) -> bool {
    let [low, high] = reach(bore);
    a.y == z
        && b.y == z
        && (b.x - a.x) * runs > 0.0
        && a.x.min(b.x) <= low.x - LEAST_WALL
        && a.x.max(b.x) >= high.x + LEAST_WALL
}

/// The box round a bore and its pocket.
fn reach(bore: &Bore) -> [DVec2; 2] {
    let pocket = bore.pocket.iter().flat_map(|(ring, _)| ring);
    let start = [DVec2::splat(f64::INFINITY), DVec2::splat(f64::NEG_INFINITY)];
    bore.hole.iter().chain(pocket).fold(start, |[low, high], corner| {
        let (mut low, mut high) = (low.min(corner.point), high.max(corner.point));
        if let Some(centre) = corner.centre {
            let radius = centre.distance(corner.point);
            (low, high) = (low.min(centre - radius), high.max(centre + radius));
        }
        [low, high]
    })
}

fn edges(profile: &[DVec2]) -> impl Iterator<Item = (DVec2, DVec2)> {
    profile.iter().zip(profile.iter().cycle().skip(1)).map(|(&a, &b)| (a, b))
}

fn check_profile(profile: &[DVec2]) -> Result<(), KernelError> {
    if profile.len() < 3 || !profile.iter().all(|p| p.is_finite()) {
        return Err(KernelError::Prism("its profile is not a polygon"));
    }
    let area: f64 = edges(profile).map(|(a, b)| a.perp_dot(b)).sum();
    let counter_clockwise = area > 0.0;
    if !counter_clockwise {
        return Err(KernelError::Prism("its profile does not run counter-clockwise"));
    }
    let side = |a: DVec2, b: DVec2, p: DVec2| (b - a).perp_dot(p - a);
    for (i, (a, b)) in edges(profile).enumerate() {
        for (j, (c, d)) in edges(profile).enumerate().skip(i + 1) {
            let next = j == i + 1 || (i == 0 && j + 1 == profile.len());
            // neighbours share a corner; they may only not fold back on each other
            let folded = (b - a).perp_dot(d - c) == 0.0 && (b - a).dot(d - c) < 0.0;
            let apart = side(a, b, c) * side(a, b, d) > 0.0
                || side(c, d, a) * side(c, d, b) > 0.0
                || a.max(b).cmplt(c.min(d)).any()
                || c.max(d).cmplt(a.min(b)).any();
            if (next && folded) || (!next && !apart) {
                return Err(KernelError::Prism("its profile crosses or touches itself"));
            }
        }
    }
    Ok(())
}

/// Whether a point lies inside a polygon.
fn within(polygon: &[DVec2], p: DVec2) -> bool {
    edges(polygon).fold(false, |odd, (a, b)| {
        let crosses =
            (a.y > p.y) != (b.y > p.y) && p.x < a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x);
        odd != crosses
    })
}

fn check_bore(profile: &[DVec2], across: [f64; 2], bore: &Bore) -> Result<(), KernelError> {
    let to = bore.to.as_mm();
    let floor = bore.pocket.as_ref().map_or(to, |(_, floor)| floor.as_mm());
    let [low, high] = reach(bore);
    let sized = bore.hole.len() > 1
        && (high - low).min_element() > LEAST_WALL
        && low.is_finite()
        && high.is_finite()
        && floor > 0.0
        && floor <= to
        && (bore.pocket.is_none() || floor < to);
    if !sized {
        return Err(KernelError::Prism("a hole has no size"));
    }
    if !(low.y - LEAST_WALL >= across[0] && high.y + LEAST_WALL <= across[1]) {
        return Err(KernelError::Prism("a hole leaves the block sideways"));
    }
    let ends = [(0.0, 1.0), (to, -1.0)]
        .map(|(z, runs)| edges(profile).any(|(a, b)| on_edge(a, b, bore, z, runs)));
    if ends != [true, true] {
        return Err(KernelError::Prism("a hole does not run between two level faces"));
    }
    for (a, b) in edges(profile) {
        let beside = a.x.max(b.x) <= low.x || a.x.min(b.x) >= high.x;
        let beyond = a.y.max(b.y) <= 0.0 || a.y.min(b.y) >= to;
        if !(beside || beyond) {
            return Err(KernelError::Prism("a hole cuts a side of the block"));
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::super::test_solids::{block_with_hole, round};
    use super::*;
    use std::f64::consts::PI;

    fn stepped(bore: Option<Bore>, sunk: Vec<Sunk>) -> Prism {
        let profile =
            [(0.0, 0.0), (60.0, 0.0), (60.0, 18.0), (30.0, 18.0), (30.0, 31.75), (0.0, 31.75)];
        let across = [Length::ZERO, Length::mm(24.0)];
        Prism { profile: profile.map(DVec2::from).to_vec(), across, bore, sunk }
    }

    fn hole(x: f64, y: f64, radius: f64, to: f64) -> Bore {
        Bore { hole: round(DVec2::new(x, y), radius), to: Length::mm(to), pocket: None }
    }

    #[test]
    fn a_block_with_a_hole_has_its_exact_volume() {
        let exact = 24.0 * (60.0 * 18.0 + 30.0 * 13.75) - PI * 3.3 * 3.3 * 18.0;
        let volume = block_with_hole().unwrap().volume_mm3();
        assert!((volume - exact).abs() < 1e-6, "{volume} for {exact}");
    }

    #[test]
    fn a_pocket_and_sunk_places_take_their_own_volume() {
        let pocket = (round(DVec2::new(15.0, 12.0), 7.0), Length::mm(26.0));
        let bore = Bore { pocket: Some(pocket), ..hole(15.0, 12.0, 4.0, 31.75) };
        let square = |x: f64, z: f64, side: f64, depth: f64| Sunk {
            outline: [(x, z), (x + side, z), (x + side, z + side), (x, z + side)]
                .map(DVec2::from)
                .to_vec(),
            depth: Length::mm(depth),
        };
        let sunk = vec![square(40.0, 5.0, 6.0, 0.6), square(50.0, 5.0, 4.0, 2.0)];
        let solid = stepped(Some(bore), sunk).solid().unwrap();
        let exact = 24.0 * (60.0 * 18.0 + 30.0 * 13.75)
            - PI * (16.0 * 26.0 + 49.0 * 5.75)
            - 36.0 * 0.6
            - 16.0 * 2.0;
        let volume = solid.volume_mm3();
        assert!((volume - exact).abs() < 1e-6, "{volume} for {exact}");
    }

    #[test]
    fn a_hole_with_a_roof_has_straight_and_round_walls() {
        // A square of 10 under half a circle of radius 5.
        let corner = |x, y, centre| Corner { point: DVec2::new(x, y), centre };
        let quarter = Some(DVec2::new(15.0, 12.0));
        let ring = vec![
            corner(10.0, 5.0, None),
            corner(20.0, 5.0, None),
            corner(20.0, 12.0, quarter),
            corner(15.0, 17.0, quarter),
            corner(10.0, 12.0, None),
        ];
        let bore = Bore { hole: ring, ..hole(15.0, 12.0, 4.0, 31.75) };
        let volume = stepped(Some(bore), vec![]).solid().unwrap().volume_mm3();
        let exact = 24.0 * (60.0 * 18.0 + 30.0 * 13.75) - 31.75 * (70.0 + PI * 25.0 / 2.0);
        assert!((volume - exact).abs() < 1e-6, "{volume} for {exact}");
    }

    #[test]
    fn what_cannot_be_made_is_refused() {
        let mut clockwise = stepped(None, vec![]).profile;
        clockwise.reverse();
        let bow: Vec<DVec2> =
            [(0.0, 0.0), (9.0, 9.0), (9.0, 0.0), (0.0, 20.0)].map(DVec2::from).to_vec();
        let nan = vec![DVec2::ZERO, DVec2::X, DVec2::new(f64::NAN, 1.0)];
        for bad in [clockwise, bow, nan, vec![DVec2::ZERO, DVec2::X], vec![DVec2::ZERO; 4]] {
            let bad = Prism { profile: bad, ..stepped(None, vec![]) };
            assert!(bad.solid().is_err(), "{bad:?}");
        }
        for bad in [
            hole(30.0, 12.0, 4.0, 18.0),  // under the step
            hole(45.0, 2.0, 4.0, 18.0),   // out of the side
            hole(45.0, 12.0, 4.0, 31.75), // no face at that height there
            hole(45.0, 12.0, 0.0, 18.0),
            hole(f64::NAN, 12.0, 4.0, 18.0),
            hole(45.0, 12.0, f64::INFINITY, 18.0),
        ] {
            assert!(stepped(Some(bad.clone()), vec![]).solid().is_err(), "{bad:?}");
        }
        let outside = Sunk {
            outline: [(50.0, 10.0), (70.0, 10.0), (70.0, 15.0)].map(DVec2::from).to_vec(),
            depth: Length::mm(1.0),
        };
        assert!(stepped(None, vec![outside]).solid().is_err());
        let flat = [Length::mm(5.0), Length::mm(5.0)];
        assert!(Prism { across: flat, ..stepped(None, vec![]) }.solid().is_err());
        assert!(stepped(None, vec![]).solid().is_ok());
    }
}
