//! Art of another wood, let into a face: its own colour on the finished piece.

use super::wood::{Wood, WoodFigure};
use crate::outline::{self, ArcPath};
use crate::relief::Face;
use glam::{DVec2, DVec3};

/// What is let into a face.
pub struct LetIn {
    /// Whether it holds a place of the plan.
    within: Box<dyn Fn(DVec2) -> bool + Send + Sync>,
    face: Face,
    middle: f64,
    wood: Wood,
}

impl LetIn {
    /// Of closed outlines in the plan; what lies in an even number of them is none of it. `middle` is the
    /// height in mm of a level between the two faces there.
    pub fn new(outlines: &[ArcPath], face: Face, middle: f64, wood: Wood) -> LetIn {
        LetIn { within: Box::new(outline::odd(outlines)), face, middle, wood }
    }

    /// Whether a point of the surface is of it.
    fn shows(&self, p: DVec3) -> bool {
        let side = match self.face {
            Face::Top => p.z > self.middle,
            Face::Bottom => p.z < self.middle,
        };
        side && (self.within)(p.truncate())
    }
}

/// Colours points of a piece, in its wood and in what is let into it.
pub(super) struct Painter<'a> {
    own: WoodFigure,
    others: Vec<(&'a LetIn, WoodFigure)>,
}

impl<'a> Painter<'a> {
    pub(super) fn new(wood: Wood, let_in: &'a [LetIn]) -> Painter<'a> {
        let others = let_in.iter().map(|one| (one, one.wood.figure())).collect();
        Painter { own: wood.figure(), others }
    }

    /// As [`WoodFigure::colour`].
    pub(super) fn colour(&mut self, point: DVec3) -> [f32; 3] {
        let other = self.others.iter_mut().find(|(one, _)| one.shows(point));
        other.map_or(&mut self.own, |(_, figure)| figure).colour(point)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hole_in_the_art_and_the_other_face_are_none_of_it() {
        let square = |half: f64| {
            ArcPath::polygon(
                [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)]
                    .map(|(x, y)| DVec2::new(x, y) * half),
            )
        };
        let art = LetIn::new(&[square(3.0), square(1.0)], Face::Top, 5.0, Wood::Maple);
        assert!(art.shows(DVec3::new(2.0, 0.1, 7.0)) && art.shows(DVec3::new(-0.2, -2.5, 7.0)));
        for (x, y, z) in [(0.2, 0.1, 7.0), (4.0, 0.1, 7.0), (2.0, 0.1, 3.0)] {
            assert!(!art.shows(DVec3::new(x, y, z)), "{x} {y} {z}");
        }
        let mut painter = Painter::new(Wood::Walnut, std::slice::from_ref(&art));
        let tone = |colour: [f32; 3]| colour.iter().sum::<f32>();
        let (on, off) = (DVec3::new(2.0, 0.1, 7.0), DVec3::new(4.0, 0.1, 7.0));
        assert!(tone(painter.colour(on)) > 1.5 * tone(painter.colour(off)), "maple in walnut");
    }
}
