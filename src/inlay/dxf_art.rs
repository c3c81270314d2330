//! Outlines of a DXF file: closed polylines, circles, ellipses, and lines and arcs that join end to end.

use super::left_out::{LeftOut, LeftOutKind};
use super::squares::Squares;
use super::trouble::{ArtTrouble, MOST_PARTS};
use crate::outline::Segment;
use ::dxf::Drawing;
use ::dxf::entities::EntityType;
use glam::DVec2;
use kurbo::{Arc, BezPath, Circle, Ellipse, Point, Shape};

/// Curves stand for arcs within this part of a radius.
const ARC: f64 = 1e-6;
/// Ends nearer than this part of the drawing's size join.
const JOINS: f64 = 1e-5;

const FILLING: LeftOutKind = ("a hatch or a solid", "hatches and solids");
const DIMENSION: LeftOutKind = ("a dimension", "dimensions");
const POINT: LeftOutKind = ("a point", "points");
const OTHER: LeftOutKind = ("another kind of entity", "entities of other kinds");

/// The outlines of a file, on whatever layers, and what is left out.
pub(super) fn outlines(bytes: &[u8]) -> Result<(BezPath, LeftOut), ArtTrouble> {
    let broken = |why: String| ArtTrouble::Broken { format: "DXF", why };
    let holds = |what: &str| Err(ArtTrouble::Holds { what: what.to_owned() });
    let (count, hatches) = entities(bytes);
    if count > MOST_PARTS {
        return Err(ArtTrouble::TooMuch);
    }
    let file =
        Drawing::load(&mut std::io::Cursor::new(bytes)).map_err(|why| broken(why.to_string()))?;
    let (mut all, mut left) = (BezPath::new(), LeftOut::default());
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
                    return holds("a part of an ellipse");
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
            EntityType::Spline(_) => return holds("a spline"),
            EntityType::Text(_) | EntityType::MText(_) => return holds("a text"),
            EntityType::Insert(_) => return holds("a block (INSERT)"),
            EntityType::Image(_) => return holds("a picture (IMAGE)"),
            EntityType::Solid(_) | EntityType::Trace(_) => left.note(FILLING),
            EntityType::RotatedDimension(_)
            | EntityType::RadialDimension(_)
            | EntityType::DiameterDimension(_)
            | EntityType::AngularThreePointDimension(_)
            | EntityType::OrdinateDimension(_) => left.note(DIMENSION),
            EntityType::ModelPoint(_) => left.note(POINT),
            _ => left.note(OTHER),
        }
        if all.elements().len() > MOST_PARTS {
            return Err(ArtTrouble::TooMuch);
        }
    }
    // Hatches are passed over by the file's reader.
    (0..hatches).for_each(|_| left.note(FILLING));
    joined(loose, &mut all)?;
    Ok((all, left))
}

/// How many entities a text file names, for all of which its reader makes room, and how many of them are
/// hatches.
fn entities(bytes: &[u8]) -> (usize, usize) {
    let mut lines = bytes.split(|byte| *byte == b'\n').map(<[u8]>::trim_ascii);
    let (mut count, mut hatches) = (0, 0);
    while let (Some(code), Some(value)) = (lines.next(), lines.next()) {
        count += usize::from(code == b"0");
        hatches += usize::from(code == b"0" && value == b"HATCH");
    }
    (count, hatches)
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
fn joined(loose: Vec<Vec<Segment>>, all: &mut BezPath) -> Result<(), ArtTrouble> {
    let ends = loose.iter().flatten().flat_map(|s| [s.from, s.to]);
    let around = ends.fold(None, |around: Option<(DVec2, DVec2)>, p| {
        Some(around.map_or((p, p), |(low, high)| (low.min(p), high.max(p))))
    });
    let Some((low, high)) = around else { return Ok(()) };
    let near = JOINS * (high - low).max_element();
    if !near.is_normal() {
        return Err(ArtTrouble::Numbers);
    }
    let mut ends = Squares::new(2.0 * near);
    let mut loose: Vec<Option<Vec<Segment>>> = loose.into_iter().map(Some).collect();
    for (index, chain) in loose.iter().enumerate() {
        let own = chain.iter().flat_map(|chain| [chain.first(), chain.last()]).flatten();
        for (which, segment) in own.enumerate() {
            ends.put(if which == 0 { segment.from } else { segment.to }, index);
        }
    }
    for at in 0..loose.len() {
        let Some(mut chain) = loose[at].take() else { continue };
        while let (Some(first), Some(last)) = (chain.first(), chain.last()) {
            let (start, end) = (first.from, last.to);
            if start.distance(end) <= near {
                break;
            }
            let goes_on = |other: &usize| {
                let from = |chain: &Vec<Segment>| chain.first().map(|s| s.from);
                let to = |chain: &Vec<Segment>| chain.last().map(|s| s.to);
                let own = loose[*other].iter().flat_map(|chain| [from(chain), to(chain)]).flatten();
                own.into_iter().any(|p| p.distance(end) <= near)
            };
            let next = ends.round(end).filter(goes_on).min();
            let next = next.and_then(|next| loose[next].take());
            let mut next = next.ok_or_else(|| ArtTrouble::Open {
                place: format!("({:.6}, {:.6})", end.x, end.y),
            })?;
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
