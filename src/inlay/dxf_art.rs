//! Outlines of a DXF file: closed polylines, circles, ellipses, and lines and arcs that join end to end.

use super::trouble::ArtTrouble;
use crate::outline::Segment;
use ::dxf::Drawing;
use ::dxf::entities::EntityType;
use glam::DVec2;
use kurbo::{Arc, BezPath, Circle, Ellipse, Point, Shape};

/// Curves stand for arcs within this part of a radius.
const ARC: f64 = 1e-6;
/// Ends nearer than this part of the drawing's size join.
const JOINS: f64 = 1e-5;

/// The outlines of a file, on whatever layers.
pub(super) fn outlines(bytes: &[u8]) -> Result<BezPath, ArtTrouble> {
    let broken = |why: String| ArtTrouble::Broken { format: "DXF", why };
    let file =
        Drawing::load(&mut std::io::Cursor::new(bytes)).map_err(|why| broken(why.to_string()))?;
    let mut all = BezPath::new();
    let mut loose: Vec<Vec<Segment>> = Vec::new();
    for entity in file.entities() {
        match &entity.specific {
            EntityType::LwPolyline(line) => {
                let corners = line.vertices.iter().map(|v| (DVec2::new(v.x, v.y), v.bulge));
                polyline(corners.collect(), line.flags & 1 == 1, &mut all, &mut loose);
            }
            EntityType::Polyline(line) => {
                let corners =
                    line.vertices().map(|v| (DVec2::new(v.location.x, v.location.y), v.bulge));
                polyline(corners.collect(), line.flags & 1 == 1, &mut all, &mut loose);
            }
            EntityType::Circle(circle) => {
                let middle = (circle.center.x, circle.center.y);
                all.extend(Circle::new(middle, circle.radius).to_path(ARC * circle.radius));
            }
            EntityType::Ellipse(ellipse) => {
                let sweep = ellipse.end_parameter - ellipse.start_parameter;
                if (sweep.abs() - std::f64::consts::TAU).abs() > 1e-6 {
                    return Err(ArtTrouble::Holds { what: "a part of an ellipse".to_owned() });
                }
                let long = DVec2::new(ellipse.major_axis.x, ellipse.major_axis.y);
                let radii = (long.length(), long.length() * ellipse.minor_axis_ratio);
                let middle = (ellipse.center.x, ellipse.center.y);
                all.extend(Ellipse::new(middle, radii, long.to_angle()).to_path(ARC * radii.0));
            }
            EntityType::Line(line) => loose.push(vec![Segment {
                from: DVec2::new(line.p1.x, line.p1.y),
                to: DVec2::new(line.p2.x, line.p2.y),
                bulge: 0.0,
            }]),
            EntityType::Arc(arc) => {
                let sweep = (arc.end_angle - arc.start_angle).rem_euclid(360.0).to_radians();
                let at = |angle: f64| {
                    DVec2::new(arc.center.x, arc.center.y)
                        + arc.radius * DVec2::from_angle(angle.to_radians())
                };
                loose.push(vec![Segment {
                    from: at(arc.start_angle),
                    to: at(arc.end_angle),
                    bulge: (sweep / 4.0).tan(),
                }]);
            }
            EntityType::Spline(_) => {
                return Err(ArtTrouble::Holds { what: "a spline".to_owned() });
            }
            EntityType::Text(_) | EntityType::MText(_) => {
                return Err(ArtTrouble::Holds { what: "a text".to_owned() });
            }
            _ => {}
        }
    }
    joined(loose, &mut all)?;
    Ok(all)
}

fn polyline(
    corners: Vec<(DVec2, f64)>,
    closed: bool,
    all: &mut BezPath,
    loose: &mut Vec<Vec<Segment>>,
) {
    let count = corners.len();
    let last = if closed { count } else { count.saturating_sub(1) };
    let segment = |at: usize| Segment {
        from: corners[at].0,
        to: corners[(at + 1) % count].0,
        bulge: corners[at].1,
    };
    let segments: Vec<Segment> = (0..last).map(segment).collect();
    match closed {
        true => outline(&segments, all),
        false if !segments.is_empty() => loose.push(segments),
        false => {}
    }
}

/// Adds a closed outline.
fn outline(segments: &[Segment], all: &mut BezPath) {
    let Some(first) = segments.first() else { return };
    all.move_to(Point::new(first.from.x, first.from.y));
    for segment in segments {
        let sweep = segment.sweep();
        if let Some(centre) = segment.centre() {
            let out = segment.from - centre;
            let arc = Arc::new(
                (centre.x, centre.y),
                (out.length(), out.length()),
                out.to_angle(),
                sweep,
                0.0,
            );
            let path = arc.append_iter(ARC * out.length());
            path.for_each(|part| all.push(part));
        }
        all.line_to(Point::new(segment.to.x, segment.to.y));
    }
    all.close_path();
}

/// Joins loose lines and arcs end to end.
fn joined(mut loose: Vec<Vec<Segment>>, all: &mut BezPath) -> Result<(), ArtTrouble> {
    let ends = loose.iter().flatten().flat_map(|s| [s.from, s.to]);
    let around = ends.fold(None, |around: Option<(DVec2, DVec2)>, p| {
        Some(around.map_or((p, p), |(low, high)| (low.min(p), high.max(p))))
    });
    let Some((low, high)) = around else { return Ok(()) };
    let near = JOINS * (high - low).max_element();
    while let Some(mut chain) = loose.pop() {
        while let (Some(first), Some(last)) = (chain.first(), chain.last()) {
            let (start, end) = (first.from, last.to);
            if start.distance(end) <= near {
                break;
            }
            let goes_on = |other: &Vec<Segment>| {
                let from = other.first().is_some_and(|s| s.from.distance(end) <= near);
                let back = other.last().is_some_and(|s| s.to.distance(end) <= near);
                from || back
            };
            let at = loose.iter().position(goes_on).ok_or(ArtTrouble::Open)?;
            let mut next = loose.swap_remove(at);
            if next.first().is_some_and(|s| s.from.distance(end) > near) {
                next.reverse();
                for s in &mut next {
                    *s = Segment { from: s.to, to: s.from, bulge: -s.bulge };
                }
            }
            chain.extend(next);
        }
        outline(&chain, all);
    }
    Ok(())
}
