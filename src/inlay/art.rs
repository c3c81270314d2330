//! Art: closed outlines of any size, as a file has them, with their curves.
//!
//! Promised: curves stay curves until they are laid on a face; of a drawing, what lies inside an odd number of
//! outlines is art, whatever way they run; of letters, what any of them winds round. Not promised: colours and
//! strokes; a stroke has to be made an outline by the program that drew it.

use super::even_odd::{bounds, odd, tidy};
use super::left_out::LeftOut;
use super::svg_art::Lines;
use super::trouble::{ArtTrouble, LettersTrouble, MOST_PARTS};
use super::{dxf_art, letters, svg_art};
use crate::outline::{ArcPath, wound};
use crate::units::{Angle, Length};
use glam::DVec2;
use kurbo::{Affine, BezPath, Shape};

/// Chords leave the art's curves by this much at most, in mm: less than any router repeats.
const CHORD_MM: f64 = 0.002;
/// And by so little that a flank which starts on a chord is off by no more than this, upright, in mm: on a vee
/// of 15 degrees what a chord is off counts almost eight times.
const FLANK_OFF_MM: f64 = 0.004;
/// Corners nearer than so many of a chord's errors to the one before are none.
const SAME: f64 = 2.0;

/// Corners that a side passes by less than this part of a chord's error are none, so many of them at once.
const BESIDE: f64 = 0.25;
const MOST_THINNED: usize = 50;
/// A file is no larger, in bytes: a hundred times a rich one.
const MOST_BYTES: usize = 8_000_000;
/// What a packed file begins with.
const PACKED: [u8; 2] = [0x1f, 0x8b];
/// Art no further from its drawing's zero than so many times its own size: beyond that rounding shows.
const FARTHEST: f64 = 1e8;
/// A drawing that is scaled to its length is no higher than so many times that: what is scaled up beyond it has
/// more chords than there is memory for.
const HIGHEST: f64 = 100.0;
/// Most corners once curves are chords: twenty times rich art.
const MOST_CORNERS: usize = 30_000;

/// What is art of outlines.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Filling {
    /// What is inside an odd number of them.
    Odd,
    /// What any of the parts winds round.
    Wound,
}

/// Closed outlines, the middle of their box at the origin.
#[derive(Clone, Debug, PartialEq)]
pub struct Art {
    /// One of a drawing, the longer side of its box 1 long; of letters each its own, a capital 1 high.
    parts: Vec<BezPath>,
    filling: Filling,
    /// What else a drawing holds.
    left_out: LeftOut,
}

impl Art {
    /// Reads a file by its bytes; `name` tells by its ending which format it is.
    ///
    /// # Errors
    /// When there is no art in it.
    pub fn read(name: &str, bytes: &[u8]) -> Result<Art, ArtTrouble> {
        let (path, left_out) = paths(name, bytes, Lines::Filled)?;
        Art::of(path, left_out)
    }

    /// The outlines of a drawing, filled or not, as closed polygons in mm whose chords are off by less than
    /// any router repeats: moved so that the leftmost place lies at zero, and scaled so that it is `long`.
    ///
    /// # Errors
    /// When there is none in it, or one that is open.
    pub fn rings(name: &str, bytes: &[u8], long: f64) -> Result<Vec<Vec<DVec2>>, ArtTrouble> {
        let (path, left_out) = paths(name, bytes, Lines::Drawn)?;
        if let Some(place) = open_end(&path) {
            return Err(ArtTrouble::Open { place: format!("({:.6}, {:.6})", place.x, place.y) });
        }
        let art = Art::of(path, left_out)?;
        let path: BezPath = art.parts.into_iter().flatten().collect();
        let around = path.bounding_box();
        if around.width() <= 0.0 {
            return Err(ArtTrouble::Empty { only: None });
        }
        if around.height() > HIGHEST * around.width() {
            return Err(ArtTrouble::Numbers);
        }
        let map = Affine::scale(long / around.width())
            * Affine::translate((-around.x0, -around.center().y));
        Ok(polygons(map * path, CHORD_MM))
    }

    /// What a drawing holds that is not cut, in words.
    pub(super) fn left_out(&self) -> Option<String> {
        self.left_out.told()
    }

    /// The letters of a text by the bytes of a font.
    ///
    /// # Errors
    /// When the font is none, or the text can't be written with it.
    pub fn lettered(text: &str, font: &[u8]) -> Result<Art, LettersTrouble> {
        let parts = letters::outlines(text, font)?;
        let around = letters::around(&parts).ok_or(LettersTrouble::Empty)?;
        let middle = around.center().to_vec2();
        let parts = parts.into_iter().map(|part| Affine::translate(-middle) * part).collect();
        Ok(Art { parts, filling: Filling::Wound, left_out: LeftOut::default() })
    }

    fn of(path: BezPath, left_out: LeftOut) -> Result<Art, ArtTrouble> {
        if path.elements().len() > MOST_PARTS {
            return Err(ArtTrouble::TooMuch);
        }
        if path.elements().is_empty() {
            return Err(ArtTrouble::Empty { only: left_out.told() });
        }
        let around = path.bounding_box();
        let longer = around.width().max(around.height());
        let middle = around.center().to_vec2();
        if path.is_finite() && longer <= 0.0 {
            return Err(ArtTrouble::Empty { only: left_out.told() });
        }
        if !(path.is_finite() && longer.is_finite() && middle.hypot() < FARTHEST * longer) {
            return Err(ArtTrouble::Numbers);
        }
        let path = Affine::scale(1.0 / longer) * Affine::translate(-middle) * path;
        Ok(Art { parts: vec![path], filling: Filling::Odd, left_out })
    }

    /// The outlines on a face, as closed polygons in mm that do not cross, with what is art on their left;
    /// none where they can't be sorted out. `steep` is how steep the walls are that start on them; none where they
    /// are upright.
    pub(super) fn placed(
        &self,
        at: DVec2,
        turn: Angle,
        size: Length,
        steep: Option<f64>,
    ) -> Option<Vec<Vec<DVec2>>> {
        let chord = steep.map_or(CHORD_MM, |steep| CHORD_MM.min(FLANK_OFF_MM / steep));
        let map = Affine::translate((at.x, at.y))
            * Affine::rotate(turn.as_radians())
            * Affine::scale(size.as_mm());
        let parts: Vec<Vec<Vec<DVec2>>> =
            self.parts.iter().map(|part| polygons(map * part.clone(), chord)).collect();
        let loops = parts.concat();
        if loops.iter().map(Vec::len).sum::<usize>() > MOST_CORNERS {
            return None;
        }
        if self.filling == Filling::Odd {
            return bounds(&loops, &odd(&loops));
        }
        let path = |ring: &Vec<DVec2>| ArcPath::polygon(ring.iter().copied());
        let each: Vec<_> =
            parts.iter().map(|part| wound(&part.iter().map(path).collect::<Vec<_>>())).collect();
        bounds(&loops, &|p| each.iter().any(|inside| inside(p)))
    }
}

/// The outlines of a file and what is left out.
fn paths(name: &str, bytes: &[u8], seen: Lines) -> Result<(BezPath, LeftOut), ArtTrouble> {
    if bytes.starts_with(&PACKED) {
        return Err(ArtTrouble::Packed);
    }
    if bytes.len() > MOST_BYTES {
        return Err(ArtTrouble::TooMuch);
    }
    let ending = name.rsplit('.').next().unwrap_or_default().to_ascii_lowercase();
    match ending.as_str() {
        "svg" => svg_art::outlines(bytes, seen),
        "dxf" => dxf_art::outlines(bytes),
        _ => Err(ArtTrouble::Kind),
    }
}

/// Where an outline ends that doesn't come back to where it began.
fn open_end(path: &BezPath) -> Option<kurbo::Point> {
    /// Ends nearer than this part of the drawing's size meet.
    const MEETS: f64 = 1e-5;
    let around = path.bounding_box();
    let near = MEETS * around.width().max(around.height());
    let (mut first, mut last) = (None, None);
    for part in path.elements() {
        match part {
            kurbo::PathEl::ClosePath => last = first,
            kurbo::PathEl::MoveTo(p) => {
                if let (Some(from), Some(to)) = (first, last)
                    && !kurbo::Point::distance(from, to).le(&near)
                {
                    return last;
                }
                (first, last) = (Some(*p), Some(*p));
            }
            other => last = other.end_point(),
        }
    }
    let (from, to) = (first?, last?);
    (from.distance(to) > near).then_some(to)
}

/// A path's outlines as closed polygons, whose chords are off by this much at most.
fn polygons(path: BezPath, chord: f64) -> Vec<Vec<DVec2>> {
    let mut loops: Vec<Vec<DVec2>> = Vec::new();
    let place = |p: kurbo::Point| DVec2::new(p.x, p.y);
    kurbo::flatten(path, chord, |part| match part {
        kurbo::PathEl::MoveTo(p) => loops.push(vec![place(p)]),
        kurbo::PathEl::LineTo(p) => {
            let Some(corners) = loops.last_mut() else { return };
            corners.push(place(p));
        }
        _ => {}
    });
    let loops = loops.into_iter().map(|corners| thinned(&tidy(corners, SAME * chord), chord));
    loops.filter(|corners| corners.len() > 2).collect()
}

/// A closed polygon without corners that its other sides pass by a small part of a chord's error: curves drawn as
/// very many lines.
fn thinned(ring: &[DVec2], chord: f64) -> Vec<DVec2> {
    let near = chord * BESIDE;
    let mut kept = Vec::with_capacity(ring.len());
    let mut at = 0;
    while at < ring.len() {
        kept.push(ring[at]);
        let passes = |to: &usize| {
            let (a, b) = (ring[at], ring[to % ring.len()]);
            (at + 1..*to).all(|between| {
                let p = ring[between];
                let part = (p - a).dot(b - a) / a.distance_squared(b);
                part > 0.0 && part < 1.0 && p.distance(a.lerp(b, part)) < near
            })
        };
        at = (at + 1..=ring.len().min(at + MOST_THINNED))
            .take_while(passes)
            .last()
            .unwrap_or(at + 1);
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    use kurbo::ParamCurve;

    fn svg(inside: &str) -> Result<Art, ArtTrouble> {
        let text = format!("<svg xmlns=\"http://www.w3.org/2000/svg\">{inside}</svg>");
        Art::read("a.SVG", text.as_bytes())
    }

    fn bounds(art: &Art) -> [f64; 4] {
        let b = art.parts[0].bounding_box();
        [b.x0, b.y0, b.x1, b.y1].map(|x| (x * 1e9).round() / 1e9)
    }

    #[test]
    fn the_longer_side_is_one_and_up_is_up() {
        // A flag at the left of a pole: in the file y grows downward.
        let art =
            svg("<g transform=\"translate(7 3) scale(2)\"><rect x=\"0\" y=\"0\" width=\"10\" \
                       height=\"40\"/><path d=\"M0 0h-5v6z\" style=\"fill:#123\"/></g>");
        let art = art.expect("two outlines");
        assert_eq!(bounds(&art), [-0.1875, -0.5, 0.1875, 0.5]);
        let lowest = art.parts[0].segments().flat_map(|s| [s.start()]).map(|p| (p.x, p.y));
        let flag = lowest.filter(|p| (p.0 + 0.1875).abs() < 1e-9).map(|p| p.1).fold(1.0, f64::min);
        assert!(flag > 0.3, "the flag flies at the top: {flag}");
    }

    #[test]
    fn what_has_no_outline_is_told() {
        assert_eq!(
            svg("<text>Ann</text>").unwrap_err().to_string(),
            "holds a text, which has no outline that is read"
        );
        let empty = Err(ArtTrouble::Empty { only: None });
        assert_eq!(svg("<path fill=\"none\" d=\"M0 0h9v9z\"/>"), empty);
        assert_eq!(svg("<g display=\"none\"><circle r=\"3\"/></g>"), empty);
        assert!(matches!(svg("<path d=\"M0 0q\"/>"), Err(ArtTrouble::Broken { .. })));
        assert!(matches!(svg("<path"), Err(ArtTrouble::Broken { .. })));
        assert_eq!(Art::read("a.png", b""), Err(ArtTrouble::Kind));
        assert!(svg("<circle r=\"3\"/><path fill=\"none\" d=\"M0 0h9v9z\"/>").is_ok());
    }

    #[test]
    fn a_drawing_of_lines_and_arcs_is_art_too() {
        use ::dxf::entities::{Circle, Entity, EntityType, LwPolyline};
        use ::dxf::{Drawing, LwPolylineVertex, Point};
        let corner = |(x, y)| LwPolylineVertex { x, y, ..Default::default() };
        let corners = [(0.0, 0.0), (8.0, 0.0), (8.0, 4.0), (0.0, 4.0)].map(corner).to_vec();
        let square = LwPolyline { flags: 1, vertices: corners, ..Default::default() };
        let circle = Circle::new(Point::new(4.0, 2.0, 0.0), 1.0);
        let mut drawing = Drawing::new();
        drawing.header.version = ::dxf::enums::AcadVersion::R2000;
        drawing.add_entity(Entity::new(EntityType::LwPolyline(square)));
        drawing.add_entity(Entity::new(EntityType::Circle(circle)));
        let mut bytes = Vec::new();
        drawing.save(&mut bytes).expect("a drawing");
        let art = Art::read("a.dxf", &bytes).expect("art");
        assert_eq!(bounds(&art), [-0.5, -0.25, 0.5, 0.25]);
        let area: f64 = art.parts[0].area();
        // The circle runs as the square does, and is a hole by parity, not by its way.
        assert!((area.abs() * 64.0 - (32.0 + std::f64::consts::PI)).abs() < 0.01, "{area}");
        assert!(matches!(
            Art::read("a.dxf", b"nonsense"),
            Err(ArtTrouble::Broken { .. } | ArtTrouble::Empty { .. })
        ));
    }
}
