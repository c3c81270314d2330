//! Closed outlines made of straight lines and arcs.
//!
//! Promised: lengths, areas, boxes and distances are those of the arcs themselves, not of chords.
//! Not promised: anything about a path with components that are not finite, except that nothing
//! panics: such a path has no area, no length and no offset.

pub mod arcs;
pub mod common;
mod gap;
pub mod hull;
mod inside;
pub mod offset;
pub mod openings;
pub mod segment;
pub mod slots;
mod tine_tips;
mod trace;

pub use segment::Segment;

use crate::units::Length;
use cavalier_contours::polyline::{PlineSource, PlineSourceMut, Polyline};
use glam::{DAffine2, DVec2};

/// A corner of a path, and how the path goes on from there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ArcVertex {
    /// Where, in mm.
    pub point: DVec2,
    /// Tangent of a quarter of the included angle of the arc to the next corner; positive
    /// counter-clockwise, 0 for a straight line (DXF Reference, LWPOLYLINE, group 42).
    pub bulge: f64,
}

/// A path of lines and tangent arcs.
#[derive(Clone, Debug, PartialEq)]
pub struct ArcPath {
    /// Corners in order.
    pub vertices: Vec<ArcVertex>,
    /// Whether the last corner joins the first.
    pub closed: bool,
}

impl ArcPath {
    /// A closed path through corners, with straight sides.
    pub fn polygon(corners: impl IntoIterator<Item = DVec2>) -> ArcPath {
        let vertices = corners.into_iter().map(|point| ArcVertex { point, bulge: 0.0 }).collect();
        ArcPath { vertices, closed: true }
    }

    /// A circle, counter-clockwise, as two half circles.
    pub fn circle(centre: DVec2, radius: Length) -> ArcPath {
        let out = DVec2::new(radius.as_mm(), 0.0);
        let vertices =
            [centre + out, centre - out].map(|point| ArcVertex { point, bulge: 1.0 }).into();
        ArcPath { vertices, closed: true }
    }

    /// Its lines and arcs in order.
    pub fn segments(&self) -> impl Iterator<Item = Segment> + '_ {
        let count = self.vertices.len();
        let last = if self.closed { count } else { count.saturating_sub(1) };
        self.vertices.iter().take(last).enumerate().map(move |(i, vertex)| Segment {
            from: vertex.point,
            to: self.vertices[(i + 1) % count].point,
            bulge: vertex.bulge,
        })
    }

    /// Length along the lines and arcs.
    pub fn length(&self) -> Length {
        Length::mm(self.segments().map(|segment| segment.length()).sum())
    }

    /// Enclosed area in mm², arcs included; positive if the path runs counter-clockwise, 0 for
    /// an open path.
    pub fn signed_area(&self) -> f64 {
        self.as_polyline().map_or(0.0, |polyline| polyline.area())
    }

    /// Least and greatest corner of the box that just holds the path, arcs' extremes included.
    /// None for a path without segments.
    pub fn bounds(&self) -> Option<(DVec2, DVec2)> {
        self.segments()
            .map(|segment| segment.bounds())
            .reduce(|(low, high), (a, b)| (low.min(a), high.max(b)))
    }

    /// The same path, run the other way.
    #[must_use]
    pub fn reversed(&self) -> ArcPath {
        let count = self.vertices.len();
        let vertices = (0..count)
            .rev()
            .map(|i| ArcVertex {
                point: self.vertices[i].point,
                bulge: match i {
                    0 if !self.closed => 0.0,
                    0 => -self.vertices[count - 1].bulge,
                    i => -self.vertices[i - 1].bulge,
                },
            })
            .collect();
        ArcPath { vertices, closed: self.closed }
    }

    /// The path moved by a rigid map: turn, shift, mirror. A mirrored closed path is also
    /// reversed, so that what ran counter-clockwise still does. A map that stretches gives
    /// nonsense: arcs would no longer be arcs.
    #[must_use]
    pub fn transformed(&self, map: DAffine2) -> ArcPath {
        let mirrors = map.matrix2.determinant() < 0.0;
        let vertices = self
            .vertices
            .iter()
            .map(|vertex| ArcVertex {
                point: map.transform_point2(vertex.point),
                bulge: if mirrors { -vertex.bulge } else { vertex.bulge },
            })
            .collect();
        let moved = ArcPath { vertices, closed: self.closed };
        if mirrors && self.closed { moved.reversed() } else { moved }
    }

    /// Whether a point (mm) is inside the closed path. On the path itself either answer may come.
    pub fn contains(&self, point: DVec2) -> bool {
        self.inside()(point)
    }

    /// Answers `contains` for many points of one path.
    pub fn inside(&self) -> impl Fn(DVec2) -> bool + use<> {
        wound(std::slice::from_ref(self))
    }

    /// Whether it can hold anything: an open path, or one with components that are not finite, can't.
    fn holds(&self) -> bool {
        let finite = self.vertices.iter().all(|v| v.point.is_finite() && v.bulge.is_finite());
        self.closed && self.vertices.len() >= 2 && finite
    }

    /// Distance from a point (mm) to the path, inside or out; infinite for a path without
    /// segments.
    pub fn distance(&self, point: DVec2) -> Length {
        let each = self.segments().map(|segment| segment.distance(point));
        Length::mm(each.fold(f64::INFINITY, f64::min))
    }

    /// Corners, in mm, of a path of straight lines that leaves the arcs by at most `chord_error`.
    /// All corners lie on the arcs. The first is not repeated at the end of a closed path.
    pub fn to_polyline(&self, chord_error: Length) -> Vec<DVec2> {
        // A million chords to a circle are more than any reader can use.
        const FINEST: f64 = std::f64::consts::TAU * 1e-6;
        let error = chord_error.as_mm().max(0.0);
        let mut points = Vec::new();
        for segment in self.segments() {
            points.push(segment.from);
            let sweep = segment.sweep().abs();
            if sweep > 0.0 {
                let step = 2.0 * (1.0 - (error / segment.radius()).min(1.0)).acos();
                let count = (sweep / step.max(FINEST)).ceil().max(1.0) as usize;
                points.extend((1..count).map(|k| segment.point_at(k as f64 / count as f64)));
            }
        }
        if !self.closed {
            points.extend(self.vertices.last().map(|vertex| vertex.point));
        }
        points
    }

    /// Whether the path crosses or touches itself anywhere but where neighbours join. Exact up to
    /// a hundredth of a micrometre.
    pub fn self_crosses(&self) -> bool {
        self.as_polyline().is_some_and(|polyline| {
            polyline.scan_for_self_intersect_opt(
                &cavalier_contours::polyline::PlineSelfIntersectOptions {
                    pos_equal_eps: SAME_POINT,
                    ..Default::default()
                },
            )
        })
    }

    /// The form that the contour library works on; none if there is nothing it could work on.
    fn as_polyline(&self) -> Option<Polyline<f64>> {
        let finite = |v: &ArcVertex| v.point.is_finite() && v.bulge.is_finite();
        if self.vertices.len() < 2 || !self.vertices.iter().all(finite) {
            return None;
        }
        let mut polyline = if self.closed { Polyline::new_closed() } else { Polyline::new() };
        for vertex in &self.vertices {
            polyline.add(vertex.point.x, vertex.point.y, vertex.bulge);
        }
        Some(polyline)
    }

    /// Back from the contour library's form.
    fn from_polyline(polyline: &Polyline<f64>) -> ArcPath {
        let vertices = polyline
            .iter_vertexes()
            .map(|v| ArcVertex { point: DVec2::new(v.x, v.y), bulge: v.bulge })
            .collect();
        ArcPath { vertices, closed: polyline.is_closed() }
    }
}

/// Whether closed paths together wind round a point: what runs the other way round takes away. Open ones
/// hold nothing.
pub fn wound(paths: &[ArcPath]) -> impl Fn(DVec2) -> bool + use<> {
    let sound = paths.iter().filter(|path| path.holds());
    let bands = inside::Bands::new(sound.flat_map(ArcPath::segments));
    move |point| bands.hold(point)
}

/// Whether a point is inside an odd number of closed paths. Open ones hold nothing.
pub fn odd(paths: &[ArcPath]) -> impl Fn(DVec2) -> bool + use<> {
    let sound = paths.iter().filter(|path| path.holds());
    let bands = inside::Bands::new(sound.flat_map(ArcPath::segments));
    move |point| bands.turns(point) % 2 != 0
}

/// Points nearer to each other than this, in mm, are the same to the contour library. A hundredth
/// of a micrometre: far under the fit, far over rounding.
const SAME_POINT: f64 = 1e-5;

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    /// A slot 40 long over all and 10 wide: two lines, two half circles.
    fn stadium() -> ArcPath {
        let v = |x, y, bulge| ArcVertex { point: DVec2::new(x, y), bulge };
        let vertices =
            vec![v(-15.0, -5.0, 0.0), v(15.0, -5.0, 1.0), v(15.0, 5.0, 0.0), v(-15.0, 5.0, 1.0)];
        ArcPath { vertices, closed: true }
    }

    #[test]
    fn a_stadium_has_its_textbook_sizes() {
        let path = stadium();
        assert!((path.length().as_mm() - (60.0 + 10.0 * PI)).abs() < 1e-9);
        assert!((path.signed_area() - (300.0 + 25.0 * PI)).abs() < 1e-9);
        let (low, high) = path.bounds().unwrap();
        assert!(low.distance(DVec2::new(-20.0, -5.0)) < 1e-9);
        assert!(high.distance(DVec2::new(20.0, 5.0)) < 1e-9);
        assert!(path.contains(DVec2::new(19.9, 0.0)) && !path.contains(DVec2::new(19.9, 1.5)));
        assert!((path.distance(DVec2::new(15.0, 0.0)).as_mm() - 5.0).abs() < 1e-9);
        assert!((path.distance(DVec2::new(0.0, 9.0)).as_mm() - 4.0).abs() < 1e-9);
        assert!(!path.self_crosses());
    }

    #[test]
    fn reversing_turns_the_area_over_and_nothing_else() {
        let path = stadium();
        let back = path.reversed();
        assert!((back.signed_area() + path.signed_area()).abs() < 1e-9);
        assert!((back.length() - path.length()).as_mm().abs() < 1e-9);
        assert!(back.distance(DVec2::new(20.0, 0.0)).as_mm() < 1e-9);
        let again = back.reversed();
        assert!((again.signed_area() - path.signed_area()).abs() < 1e-9);
    }

    #[test]
    fn a_mirrored_path_still_runs_counter_clockwise() {
        let mirror = DAffine2::from_scale(DVec2::new(1.0, -1.0));
        let map = DAffine2::from_angle_translation(0.7, DVec2::new(3.0, -8.0)) * mirror;
        let moved = stadium().transformed(map);
        assert!((moved.signed_area() - stadium().signed_area()).abs() < 1e-9);
        for point in stadium().to_polyline(Length::mm(0.1)) {
            assert!(moved.distance(map.transform_point2(point)).as_mm() < 1e-9);
        }
    }

    #[test]
    fn chords_stay_within_their_error() {
        // R 30 for 0.02 mm: 86.03 chords, so 87, or 2 x 44 for two half circles
        let circle = ArcPath::circle(DVec2::new(4.0, 2.0), Length::mm(30.0));
        let points = circle.to_polyline(Length::mm(0.02));
        assert_eq!(points.len(), 88);
        let mut worst: f64 = 0.0;
        for (i, a) in points.iter().enumerate() {
            let b = points[(i + 1) % points.len()];
            worst = worst.max(circle.distance((*a + b) * 0.5).as_mm());
        }
        assert!(worst <= 0.02 && worst > 0.018, "{worst}");
    }

    #[test]
    fn a_figure_of_eight_crosses_itself() {
        let corners = [(0.0, 0.0), (10.0, 10.0), (10.0, 0.0), (0.0, 10.0)];
        assert!(ArcPath::polygon(corners.map(DVec2::from)).self_crosses());
        let square = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)];
        assert!(!ArcPath::polygon(square.map(DVec2::from)).self_crosses());
        // an arc that bulges right through the far side
        let mut bulging = ArcPath::polygon(square.map(DVec2::from));
        bulging.vertices[0].bulge = -2.2;
        assert!(bulging.self_crosses());
    }

    #[test]
    fn broken_paths_have_no_size_and_break_nothing() {
        let nan = ArcPath::polygon([DVec2::NAN, DVec2::ZERO, DVec2::ONE]);
        assert_eq!(nan.signed_area(), 0.0);
        assert!(!nan.contains(DVec2::ZERO) && !nan.self_crosses());
        let none = ArcPath::polygon([]);
        assert!(none.bounds().is_none() && none.to_polyline(Length::mm(0.1)).is_empty());
        assert_eq!(none.reversed(), none);
        assert_eq!(none.length(), Length::ZERO);
    }
}
