//! An inlay's geometry on its face: the recess, the line of the vee's tip, and the plug's underside, all in
//! a frame in which the face looks up.

use super::even_odd;
use super::level::{FlankLines, lines};
use super::lines::{ArtLine, joined, stepped};
use super::shore::Shore;
use super::sketch::{ArtGround, Fineness};
use super::solid::{WoodSide, solid};
use super::terrain::{Terrain, terrain};
use super::valley::{Lies, Reach};
use crate::mesh::Mesh;
use crate::outline::{ArcPath, common::common, hull::hull, offset::offset};
use crate::units::Length;
use glam::{DVec2, DVec3};
use rayon::prelude::*;

/// Chords of the art's outline on the face are no longer, in mm, so that the face is straight along each.
const STEP_MM: f64 = 0.2;
/// The models are off the surface by so much at most, upright, where they are measured, in mm.
const TOLERANCE_MM: f64 = 0.0035;
/// How fine a model is where it is art.
pub(super) const ART: Fineness = Fineness { tolerance: TOLERANCE_MM, least: 0.002, thorough: true };
/// Round it, where it is the face, which may be as steep as it likes.
pub(super) const FACE: Fineness =
    Fineness { tolerance: TOLERANCE_MM, least: 0.02, thorough: false };
/// And where a plug stands over the face: there its flanks touch nothing and are sawn off.
const OVER: Fineness = Fineness { tolerance: 0.03, least: 0.02, thorough: true };
/// The border of a model is divided into steps of this, in mm.
const BORDER_MM: f64 = 0.8;
/// Corners of a border that are nearer to each other are one, in mm.
const LEAST_BORDER_MM: f64 = 1e-3;
/// The tip's line in a valley has a corner at least every so often, in mm: between two it is straight, and the
/// valley's depth is not.
const TIP_STEP_MM: f64 = 0.05;
/// A model reaches so far beyond the art, in mm.
pub(super) const ROUND_MM: f64 = 2.0;
/// The recess's model stays so far inside the body's outline, in mm: there its face ends.
const RIM_MM: f64 = 0.3;
/// A corner that turns by more is sharp, in radians, and the point that it costs is no longer than this in mm.
const SHARP: f64 = 0.3;
const POINT_MM: f64 = 1.0;
/// A saw's way between plug and plate (common practice, no source).
pub(super) const KERF_MM: f64 = 1.5;

/// What is asked of an inlay, in mm.
#[derive(Clone, Copy, Debug)]
pub(super) struct InlayFigures {
    /// Tangent of the vee's half angle.
    pub(super) t: f64,
    pub(super) depth: f64,
    pub(super) under: f64,
    pub(super) proud: f64,
    pub(super) gap: f64,
    /// Half of the width of the vee's tip.
    pub(super) tip: f64,
    /// Diameter of the cutter that clears the floor.
    pub(super) clear: f64,
}

impl InlayFigures {
    /// How far the plug's flanks lie over the recess's, upright: the gap square to them over the sine of
    /// the half angle.
    pub(super) fn lift(&self) -> f64 {
        self.gap * (1.0 + self.t * self.t).sqrt() / self.t
    }
}

/// Art on a face.
pub(super) struct BedOfArt<'a> {
    pub(super) face: &'a (dyn Fn(DVec2) -> f64 + Sync),
    pub(super) asked: InlayFigures,
    pub(super) loops: Vec<Vec<DVec2>>,
    pub(super) shore: Shore,
    inside: Box<dyn Fn(DVec2) -> bool + Sync>,
    around: Vec<DVec2>,
}

/// The lines inside the art at which flanks meet and end.
pub(super) struct BedLines {
    /// The recess's.
    recess: FlankLines,
    /// Those of a recess as deep as the tip of the vee goes.
    tip: FlankLines,
    /// The plug's.
    plug: FlankLines,
}

/// A recess.
pub(super) struct Recess {
    pub(super) mesh: Mesh,
    pub(super) floor: Vec<ArtLine>,
    pub(super) tip: Vec<(Vec<DVec3>, bool)>,
    /// What is cut away, in mm³.
    pub(super) volume: f64,
    /// The lowest place of the surface.
    pub(super) lowest: f64,
    /// The length of strokes that the tip can't enter, in mm, and a place of them.
    pub(super) shut: (f64, Option<DVec2>),
}

/// A plug over the face: its flanks go on up to a plate.
pub(super) struct OverFace {
    plate: f64,
    border: Vec<DVec2>,
    lines: Vec<FlankLines>,
}

/// A plug's underside, to be turned over.
pub(super) struct Underside {
    pub(super) mesh: Mesh,
    /// Where the plate begins: what lies over it is sawn off.
    pub(super) plate: f64,
    /// The lowest place of its foot or edge.
    pub(super) lowest: f64,
    /// Wood between the recess and the highest place of the face, in mm³.
    pub(super) volume: f64,
    /// The border of what is carved.
    pub(super) border: Vec<DVec2>,
    /// Area of the foot in the plan, in mm².
    pub(super) foot: f64,
    /// Least and greatest gap that was measured at flanks, square to them, and under the foot.
    pub(super) gaps: [[f64; 2]; 2],
}

impl<'a> BedOfArt<'a> {
    /// By loops that don't cross, with what is art on their left. None where nothing is left of it.
    pub(super) fn new(
        loops: Vec<Vec<DVec2>>,
        face: &'a (dyn Fn(DVec2) -> f64 + Sync),
        asked: InlayFigures,
    ) -> Option<BedOfArt<'a>> {
        let around = hull(&loops.concat());
        if around.len() < 3 {
            return None;
        }
        let shore = Shore::new(&loops, STEP_MM, 1.0 / asked.t, face);
        let inside = Box::new(even_odd::odd(&loops));
        Some(BedOfArt { face, asked, loops, shore, inside, around })
    }

    pub(super) fn floor(&self, p: DVec2) -> f64 {
        (self.face)(p) - self.asked.depth
    }

    /// Whether a place is art.
    pub(super) fn is_art(&self, p: DVec2) -> bool {
        (self.inside)(p)
    }

    /// The plug's underside, as if it had no plate.
    pub(super) fn under(&self, p: DVec2, art: bool) -> f64 {
        let lift = self.asked.lift();
        match art {
            true => (self.shore.below(p) + lift).max(self.floor(p) + self.asked.under),
            false => self.shore.above(p) + lift,
        }
    }

    /// How long the ends of valleys are into which the tip's flat can't go at the art's sharp corners: that is
    /// how every corner is cut, and no thin stroke.
    fn points_cost(&self) -> f64 {
        let turns = (0..self.shore.points.len()).map(|at| self.shore.turn(at));
        let sharp = turns.filter(|turn| *turn > SHARP);
        sharp.map(|turn| (self.asked.tip / (turn / 2.0).cos()).min(POINT_MM)).sum()
    }

    /// The surface that the recess leaves, where it is art.
    pub(super) fn cut(&self, p: DVec2) -> f64 {
        self.shore.below(p).max(self.floor(p))
    }

    /// The art's hull, grown by so much; within an outline if there is one.
    pub(super) fn border(&self, by: f64, within: Option<&ArcPath>) -> Option<Vec<DVec2>> {
        let grown = offset(&ArcPath::polygon(self.around.iter().copied()), Length::mm(by));
        let mut grown = grown.into_iter().next()?;
        if let Some(outline) = within {
            let inner = offset(outline, Length::mm(-RIM_MM));
            let area = |path: &ArcPath| path.signed_area().abs();
            let inner = inner.into_iter().max_by(|a, b| area(a).total_cmp(&area(b)))?;
            let shared = common(&grown, &inner);
            grown = shared.into_iter().max_by(|a, b| area(a).total_cmp(&area(b)))?;
        }
        if grown.signed_area() < 0.0 {
            grown = grown.reversed();
        }
        let mut corners = grown.to_polyline(Length::mm(0.02));
        corners.dedup_by(|a, b| a.distance(*b) < LEAST_BORDER_MM);
        Some(stepped(&corners, true, BORDER_MM))
    }

    /// The lines inside the art, for recess, tip and plug at once.
    pub(super) fn lines(&self) -> Option<BedLines> {
        // The tip's flat lifts its line by as much as it is wider than a point.
        let InlayFigures { tip, t, under, .. } = self.asked;
        let lifts = [0.0, tip / t, self.asked.lift() - under];
        let most = lifts.into_iter().fold(0.0, f64::max);
        let height = |p: DVec2, lies: Lies| match lies {
            Lies::In => self.shore.below(p).max(self.floor(p) - most),
            _ => (self.face)(p),
        };
        let over = |p: DVec2| self.shore.below(p) - self.floor(p);
        let [recess, tip, plug] = lifts.map(|lift| move |p: DVec2| over(p) + lift);
        let found = lines(&self.ground(&[], &height), Lies::In, &[&recess, &tip, &plug])?;
        let [recess, tip, plug] = <[FlankLines; 3]>::try_from(found).ok()?;
        Some(BedLines { recess, tip, plug })
    }

    /// The recess in the body's face, down to a level. `outline` is the body's.
    pub(super) fn recess(&self, lines: &BedLines, outline: &ArcPath, level: f64) -> Option<Recess> {
        let border = self.border(ROUND_MM, Some(outline))?;
        let height = |p: DVec2, lies: Lies| match lies {
            Lies::In => self.cut(p),
            _ => (self.face)(p),
        };
        let ground = self.ground(&border, &height);
        let made = terrain(&ground, &[&lines.recess], [ART, FACE])?;
        let up = self.asked.tip / self.asked.t;
        let ends = |all: &[Reach]| all.iter().map(|reach| reach.ends).collect::<Vec<_>>();
        let deep = |p: DVec2| self.shore.below(p) + up;
        let shut = |[a, b]: &[DVec2; 2]| [a, b].into_iter().any(|p| deep(*p) > (self.face)(*p));
        let (closed, open): (Vec<_>, Vec<_>) = ends(&lines.tip.valleys).into_iter().partition(shut);
        let length: f64 = closed.iter().map(|[a, b]| a.distance(*b)).sum();
        let length = (length - self.points_cost()).max(0.0);
        let place = closed.first().map(|[a, b]| 0.5 * (*a + *b));
        let mut tip = Vec::new();
        for line in joined(&ends(&lines.tip.level)) {
            tip.push((
                line.corners.iter().map(|p| p.extend(self.floor(*p))).collect(),
                line.closed,
            ));
        }
        for line in joined(&open) {
            let on = |p: &DVec2| p.extend(deep(*p).max(self.floor(*p)).min((self.face)(*p)));
            let corners = stepped(&line.corners, line.closed, TIP_STEP_MM);
            tip.push((corners.iter().map(on).collect(), line.closed));
        }
        Some(Recess {
            mesh: solid(&made, level, WoodSide::Below)?,
            floor: joined(&ends(&lines.recess.level)),
            tip,
            volume: self.within(&made, |p, z| (self.face)(p) - z),
            lowest: lowest(&made),
            shut: (length, place),
        })
    }

    /// Integral over what is art of a function of place and height.
    fn within(&self, made: &Terrain, what: impl Fn(DVec2, f64) -> f64 + Sync) -> f64 {
        let each: Vec<f64> = made.points.par_iter().map(|p| what(p.truncate(), p.z)).collect();
        let own = made.triangles.iter().zip(&made.lies).filter(|(_, lies)| **lies == Lies::In);
        let each = own.map(|(triangle, _)| {
            let sum: f64 = triangle.iter().map(|at| each[*at as usize]).sum();
            made.area(triangle) * sum / 3.0
        });
        each.sum()
    }

    pub(super) fn ground<'g>(
        &'g self,
        border: &'g [DVec2],
        height: &'g (dyn Fn(DVec2, Lies) -> f64 + Sync),
    ) -> ArtGround<'g> {
        ArtGround { shore: &self.shore, inside: &*self.inside, border, height }
    }

    /// How a plug goes on over the face; `on_body` says whether a place is on the body.
    pub(super) fn over_face(&self, on_body: &dyn Fn(DVec2) -> bool) -> Option<OverFace> {
        let InlayFigures { t, proud, clear, .. } = self.asked;
        let lift = self.asked.lift();
        // The plate clears the face under it; the flanks reach out to it.
        let reach = |plate: f64| {
            let lowest = self.shore.heights.iter().copied().fold(f64::INFINITY, f64::min);
            (plate - lowest) * t + clear + 1.0
        };
        let highest = |border: &[DVec2]| {
            let own = self
                .shore
                .heights
                .iter()
                .copied()
                .chain(over(border, on_body).map(|p| (self.face)(p)));
            own.fold(f64::NEG_INFINITY, f64::max)
        };
        let first = highest(&self.around) + lift + proud + KERF_MM;
        let border = self.border(reach(first), None)?;
        let plate = highest(&border) + proud + KERF_MM;
        let border = self.border(reach(plate), None)?;
        let flank = |p: DVec2| plate - self.shore.above_up_to(p, plate) - lift;
        let height = |p: DVec2, lies: Lies| self.plug_at(p, lies, plate);
        let lines = lines(&self.ground(&border, &height), Lies::Out, &[&flank])?;
        Some(OverFace { plate, border, lines })
    }

    /// The plug's underside, with its plate.
    fn plug_at(&self, p: DVec2, lies: Lies, plate: f64) -> f64 {
        match lies {
            Lies::In => self.under(p, true),
            Lies::On => (self.face)(p) + self.asked.lift(),
            Lies::Out => (self.shore.above_up_to(p, plate) + self.asked.lift()).min(plate),
        }
    }

    /// The plug's underside, in stock of that height.
    pub(super) fn underside(
        &self,
        inside: &BedLines,
        over: OverFace,
        stock: f64,
    ) -> Option<Underside> {
        let OverFace { plate, border, lines } = over;
        let height = |p: DVec2, lies: Lies| self.plug_at(p, lies, plate);
        let ground = self.ground(&border, &height);
        let kept: Vec<&FlankLines> = std::iter::once(&inside.plug).chain(&lines).collect();
        let made = terrain(&ground, &kept, [ART, OVER])?;
        let lowest = lowest(&made);
        let (gaps, foot) = self.fits(&made);
        Some(Underside {
            mesh: solid(&made, lowest + stock, WoodSide::Above)?,
            plate,
            lowest,
            volume: self.within(&made, |p, z| ((self.face)(p) - z).max(0.0)),
            border,
            foot,
            gaps,
        })
    }

    /// Least and greatest gap at flanks, square to them, and under the foot, at the middles of the plug's
    /// triangles where both are wood; and the area of its foot.
    fn fits(&self, plug: &Terrain) -> ([[f64; 2]; 2], f64) {
        let InlayFigures { t, under, .. } = self.asked;
        let (lift, square) = (self.asked.lift(), t / (1.0 + t * t).sqrt());
        let own = plug.triangles.par_iter().zip(&plug.lies);
        let own = own.filter(|(_, lies)| **lies == Lies::In).map(|(triangle, _)| {
            let middle = triangle.iter().map(|at| plug.points[*at as usize]).sum::<DVec3>() / 3.0;
            let p = middle.truncate();
            let (face, below) = ((self.face)(p), self.shore.below(p));
            let floor = face - self.asked.depth;
            let on_foot = below + lift <= floor + under;
            let which = match (below > floor, on_foot) {
                _ if middle.z > face => None,
                (true, false) => Some((0, (middle.z - below) * square)),
                (false, true) => Some((1, middle.z - floor)),
                _ => None,
            };
            (which, if on_foot { plug.area(triangle) } else { 0.0 })
        });
        let mut gaps = [[f64::INFINITY, f64::NEG_INFINITY]; 2];
        let mut area = 0.0;
        for (gap, foot) in own.collect::<Vec<_>>() {
            area += foot;
            if let Some((which, gap)) = gap {
                let [least, most]: [f64; 2] = gaps[which];
                gaps[which] = [least.min(gap), most.max(gap)];
            }
        }
        (gaps, area)
    }
}

/// Places on a body inside a border, a millimetre apart.
fn over<'p>(
    border: &'p [DVec2],
    on_body: &'p dyn Fn(DVec2) -> bool,
) -> impl Iterator<Item = DVec2> + 'p {
    let low = border.iter().copied().fold(DVec2::INFINITY, DVec2::min);
    let high = border.iter().copied().fold(DVec2::NEG_INFINITY, DVec2::max);
    let within = ArcPath::polygon(border.iter().copied()).inside();
    let steps = (high - low).ceil();
    let all = (0..=steps.y as u32).flat_map(move |y| (0..=steps.x as u32).map(move |x| (x, y)));
    all.map(move |(x, y)| low + DVec2::new(f64::from(x), f64::from(y)))
        .filter(move |p| within(*p) && on_body(*p))
}

fn lowest(made: &Terrain) -> f64 {
    made.points.iter().map(|p| p.z).fold(f64::INFINITY, f64::min)
}
