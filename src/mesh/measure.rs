//! What the finished mesh measures: every size that the design asks for, by rays through the
//! triangles and by their corners, not by the formula that they were made from.
//!
//! The formula is asked only where along the utensil a station lies, and what is hollow. Measured
//! sizes differ from the exact body's by up to the mesh's own error.

mod deepest;
mod width;

use super::rim::{LandWidths, RimHeights};
use super::{BodyMesh, Heights, words};
use crate::finding::fill;
use crate::params::{Bowl, Design, Head, Kind, Station, Varying};
use crate::shape::Body;
use crate::units::Length;
use glam::{DVec2, DVec3};
use rayon::prelude::*;

/// A size that the file asks for, and what the mesh has.
#[derive(Clone, Debug, PartialEq)]
pub struct Size {
    /// What it is, in words.
    pub what: String,
    /// Key of the design file.
    pub key: String,
    /// What is asked for.
    pub asked: Length,
    /// What was measured.
    pub measured: Length,
    /// Whether it may be more than is asked for.
    pub at_least: bool,
}

/// Sizes of a body's mesh.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sizes {
    /// Asked for and measured, in the order of the file.
    pub list: Vec<Size>,
    /// Least and greatest coordinates over all.
    pub low: DVec3,
    /// Greatest coordinates.
    pub high: DVec3,
    /// From the rim plane to the lowest point of the hollow.
    pub bowl_depth: Option<Length>,
    /// Least wood between hollow and back, square to the hollow and from its edge, or of a blade in its
    /// middle.
    pub wall_least: Length,
    /// Least width of the rim land.
    pub rim_least: Option<Length>,
    /// Least and greatest width of the handle between its stations 0 % and 100 %.
    pub handle_width: [Length; 2],
    /// Least and greatest thickness of the handle, in its middle.
    pub handle_thickness: [Length; 2],
}

struct Rule<'a> {
    body: &'a Body,
    mesh: &'a BodyMesh,
    top: Heights<'a>,
    bottom: Heights<'a>,
}

/// Measures the mesh of a design's body.
pub fn measure(body: &Body, design: &Design, mesh: &BodyMesh) -> Sizes {
    let skin = |range: &std::ops::Range<usize>| {
        Heights::new(&mesh.mesh, &mesh.mesh.triangles[range.clone()])
    };
    let (top, bottom) = rayon::join(|| skin(&mesh.top), || skin(&mesh.bottom));
    let rule = Rule { body, mesh, top, bottom };
    let [low, high] = mesh.mesh.bounds();
    let mut sizes = Sizes { low, high, ..Sizes::default() };
    sizes.add(words::LENGTH, "utensil.length", design.length, high.x - low.x);
    match &design.head {
        Head::Bowl(bowl) => {
            let level = bowl.curve.is_empty() && design.kind != Kind::Scoop;
            let (depth, under) = rule.hollow(bowl.rim_round.is_some(), level);
            sizes.bowl_depth = Some(Length::mm(depth));
            let [least, whole] = rule.wall();
            sizes.wall_least = least;
            sizes.add(words::BOWL_WIDTH, "bowl.width", bowl.width, rule.head_width(&design.head));
            rule.wider(design, &mut sizes);
            sizes.add(words::HOLLOW_DEPTH, "bowl.depth", bowl.depth, depth);
            if let Some(share) = bowl.deepest {
                let asked = body.head_x(share) - body.neck_x();
                sizes.add(words::DEEPEST, "bowl.deepest", asked, rule.deepest());
            }
            sizes.add(words::WALL, "bowl.wall", bowl.wall, whole.as_mm().min(under));
            rule.rim(bowl, level, &mut sizes);
        }
        Head::Blade(blade) => {
            let middle = |x: f64| rule.thickness(body.middle_at(Length::mm(x))).unwrap_or_default();
            let flat = body.length() - blade.bevel;
            let thick = middle(flat.as_mm() - 0.25 * (flat - body.neck_x()).as_mm());
            sizes.wall_least = Length::mm(thick);
            sizes.add(
                words::BLADE_WIDTH,
                "blade.width",
                blade.width,
                rule.head_width(&design.head),
            );
            rule.wider(design, &mut sizes);
            sizes.add(words::BLADE_THICKNESS, "blade.thickness", blade.thickness, thick);
            if let Some(thin) = blade.thin {
                let x = flat - (flat - body.neck_x()) * 0.25;
                let found = rule.thickness(body.thin_at(x, design.mirror)).unwrap_or_default();
                sizes.wall_least = Length::mm(found);
                sizes.add(words::BLADE_THIN, "blade.thin", thin, found);
            }
            let front = middle(high.x - 1e-6 * (high.x - low.x));
            sizes.add(words::FRONT_EDGE, "blade.front", blade.front, front);
        }
    }
    rule.handle(design, &mut sizes);
    sizes
}

impl Sizes {
    fn add(&mut self, what: impl Into<String>, key: &str, asked: Length, measured: f64) {
        let (what, key, measured) = (what.into(), key.to_owned(), Length::mm(measured));
        self.list.push(Size { what, key, asked, measured, at_least: false });
    }
}

/// Which stations of a list are told. A drawing says widths and shifts at so many places that a few will do:
/// how far the whole outline is from it is told by itself.
fn listed<'s>(
    design: &Design,
    key: &str,
    stations: &'s [Station],
) -> impl Iterator<Item = (usize, &'s Station)> {
    const DRAWN: usize = 6;
    let drawn = ["handle.width", "handle.sway", "outline", "sway"].contains(&key);
    let few = drawn && design.plan.is_some();
    let stride = if few { stations.len().div_ceil(DRAWN).max(1) } else { 1 };
    stations.iter().enumerate().step_by(stride)
}

impl Rule<'_> {
    fn top_at(&self, p: DVec2) -> Option<f64> {
        self.top.at(p).map(|[_, high]| high)
    }

    fn bottom_at(&self, p: DVec2) -> Option<f64> {
        self.bottom.at(p).map(|[low, _]| low)
    }

    fn thickness(&self, p: DVec2) -> Option<f64> {
        Some(self.top_at(p)? - self.bottom_at(p)?)
    }

    /// The highest place of the top skin on a line across.
    fn crest(&self, x: f64) -> Option<f64> {
        /// A land's crest lies flat for longer than from one to the next.
        const LOOKS: u32 = 1000;
        let [right, left] = self.extent(x)?;
        let at = |look: u32| right + (left - right) * (f64::from(look) + 0.5) / f64::from(LOOKS);
        (0..LOOKS).filter_map(|look| self.top_at(DVec2::new(x, at(look)))).reduce(f64::max)
    }

    /// The hollow's depth where it is deepest below a straightedge across the rim, and the wood
    /// under that point.
    fn hollow(&self, eased: bool, level: bool) -> (f64, f64) {
        let points = &self.mesh.mesh.points;
        let neck = self.body.neck_x().as_mm();
        let corners = self.mesh.mesh.triangles[self.mesh.top.clone()].iter().flatten();
        let edge = self.rim_heights(&self.mesh.rim_top);
        // Where an eased land has not come to its whole fall yet, its edge is higher than its crest lets it seem:
        // under a level rim the deepest place is the lowest.
        let edge_at = |x: f64| if eased && level { 0.0 } else { edge.at(x) };
        let corners = corners.map(|i| points[*i as usize]).filter(|p| p.x > neck);
        let deepest = corners
            .map(|p| (edge_at(p.x) - p.z, p))
            .fold((f64::NEG_INFINITY, DVec3::ZERO), |most, p| if p.0 > most.0 { p } else { most });
        let (depth, place) = deepest;
        // The straightedge lies on the crests of an eased land.
        let crest = eased.then(|| self.crest(place.x)).flatten();
        let depth = crest.map_or(depth, |crest| crest - place.z);
        let under = self.bottom_at(place.truncate()).map_or(0.0, |z| place.z - z);
        (depth, under)
    }

    /// How high a straightedge across the head lies on one of the rim's loops.
    fn rim_heights(&self, ring: &[u32]) -> RimHeights {
        const BEFORE: f64 = 5.0;
        RimHeights::of(&self.mesh.mesh.points, ring, self.body.neck_x().as_mm() - BEFORE)
    }

    /// Widths of the rim land where the hollow has its own line no more, or from the neck on.
    fn land(&self, level: bool, from_neck: bool) -> LandWidths {
        /// Flat within this, in mm.
        const FLAT: f64 = 2e-3;
        // Where the rim climbs, or a scoop's comes down, the land is as round as the mesh is fine.
        let flat = if level { FLAT } else { FLAT + 2.0 * self.mesh.error.as_mm() };
        let ring = &self.mesh.rim_top;
        let edge = self.rim_heights(ring);
        let falls = |p: DVec2| self.top_at(p).is_none_or(|z| z < edge.at(p.x) - flat);
        let from = if from_neck { self.body.neck_x() } else { self.body.widest_x() };
        LandWidths::of(&self.mesh.mesh.points, ring, from.as_mm(), falls)
    }

    /// The rim land, as wide as it is asked for: at its least, or at its stations from the widest place on.
    /// Behind that the hollow draws in.
    fn rim(&self, bowl: &Bowl, level: bool, sizes: &mut Sizes) {
        let land = self.land(level, false);
        let mut behind = None;
        sizes.rim_least = land.least().map(Length::mm);
        match &bowl.rim {
            Varying::Even(rim) => {
                sizes.add(words::RIM_LAND, "bowl.rim", *rim, land.least().unwrap_or_default());
            }
            Varying::At(rims) => {
                for (index, (at, rim)) in rims.iter().enumerate() {
                    let x = self.body.head_x(*at);
                    let at_least = x < self.body.widest_x();
                    let (words, land) = if at_least {
                        (words::RIM_BEHIND, &*behind.get_or_insert_with(|| self.land(level, true)))
                    } else {
                        (words::RIM_AT_STATION, &land)
                    };
                    let place = crate::units::plain(at * 100.0, 1);
                    sizes.list.push(Size {
                        what: fill(words, &[("place", &place)]),
                        key: format!("bowl.rim[{index}].size"),
                        asked: *rim,
                        measured: Length::mm(land.at(x.as_mm()).unwrap_or_default()),
                        at_least,
                    });
                }
            }
        }
    }

    /// Least wood between hollow and back: square to the hollow's surface, and from its edge to the
    /// nearest place of the back; and square to it where the wall is asked for whole.
    fn wall(&self) -> [Length; 2] {
        /// So far below the rim, in mm, the hollow's edge is near, and the wall changes quickly:
        /// several places of each triangle there.
        const NEAR: f64 = 1.0;
        const CLOSE: [[f64; 3]; 7] = [
            [0.34, 0.33, 0.33],
            [0.9, 0.05, 0.05],
            [0.05, 0.9, 0.05],
            [0.05, 0.05, 0.9],
            [0.02, 0.49, 0.49],
            [0.49, 0.02, 0.49],
            [0.49, 0.49, 0.02],
        ];
        /// About one place for each square millimetre of a large bowl, and its handle.
        const LOOKS: usize = 12_000;
        let points = &self.mesh.mesh.points;
        let skin = &self.mesh.mesh.triangles[self.mesh.top.clone()];
        let place = |triangle: &[u32; 3]| triangle.map(|corner| points[corner as usize]);
        // In the hollow only, and all of it: its edge is a line of the mesh.
        let hollow: Vec<[DVec3; 3]> = skin
            .iter()
            .map(place)
            .filter(|[p, q, r]| self.body.past_line(((p + q + r) / 3.0).truncate()))
            .collect();
        let below = |p: &DVec3| self.body.land(p.truncate()) - p.z;
        let (near, deep): (Vec<_>, Vec<_>) =
            hollow.into_iter().partition(|corners| corners.iter().any(|p| below(p) < NEAR));
        const NONE: [f64; 2] = [f64::INFINITY; 2];
        let less = |[a, b]: [f64; 2], [c, d]: [f64; 2]| [a.min(c), b.min(d)];
        let whole = self.body.whole_wall();
        let least = |triangles: &[[DVec3; 3]], shares: &[[f64; 3]]| {
            // A fine mesh has more triangles than the wall has places worth a look.
            let stride = (triangles.len() * shares.len() / LOOKS).max(1);
            triangles
                .par_iter()
                .step_by(stride)
                .with_min_len(64)
                .flat_map_iter(|[p, q, r]| {
                    let inward = -(q - p).cross(r - p).normalize_or_zero();
                    let from = shares.iter().map(|[a, b, c]| *a * *p + *b * *q + *c * *r);
                    let whole = &whole;
                    from.filter_map(move |from| {
                        let found = self.along(from, inward)?;
                        Some([found, if whole(from.truncate()) { found } else { f64::INFINITY }])
                    })
                })
                .reduce(|| NONE, less)
        };
        let third = 1.0 / 3.0;
        let [inside, whole] = less(least(&deep, &[[third; 3]]), least(&near, &CLOSE));
        let least = inside.min(self.wall_at_edge());
        [if least.is_finite() { least } else { 0.0 }, whole].map(Length::mm)
    }

    /// Least distance from the hollow's edge to the back. Nothing stands square to the hollow on its
    /// edge, and there the wood is thinnest where the back is steep.
    fn wall_at_edge(&self) -> f64 {
        /// So many places of the edge: every fourth of a millimetre of a large bowl's.
        const LOOKS: usize = 1200;
        let BodyMesh { mesh, top, .. } = self.mesh;
        // Corners that both a triangle of the hollow and one beside it have.
        let mut of = vec![[false; 2]; mesh.points.len()];
        for triangle in &mesh.triangles[top.clone()] {
            let [p, q, r] = mesh.corners(*triangle);
            let hollow = self.body.past_line(((p + q + r) / 3.0).truncate());
            triangle.iter().for_each(|corner| of[*corner as usize][usize::from(hollow)] = true);
        }
        let edge: Vec<DVec3> =
            (0..of.len()).filter(|i| of[*i] == [true; 2]).map(|i| mesh.points[i]).collect();
        let stride = (edge.len() / LOOKS).max(1);
        let places = edge.par_iter().step_by(stride).with_min_len(16);
        places.filter_map(|from| self.nearest(*from)).reduce(|| f64::INFINITY, f64::min)
    }

    /// Distance from a point to the bottom skin; none where its nearest place is the skin's own edge.
    fn nearest(&self, from: DVec3) -> Option<f64> {
        const WAYS: [DVec2; 4] = [DVec2::X, DVec2::NEG_X, DVec2::Y, DVec2::NEG_Y];
        /// How finely it is looked for, in mm: the distance is out by far less.
        const FINE: f64 = 2e-3;
        let far = |p: DVec2| self.bottom_at(p).map(|z| (from - p.extend(z)).length());
        let mut here = from.truncate();
        let mut least = far(here)?;
        let mut step = 0.5 * least;
        while step > FINE {
            let nearer = WAYS.iter().filter_map(|way| {
                let p = here + step * *way;
                Some((p, far(p)?))
            });
            match nearer.min_by(|a, b| a.1.total_cmp(&b.1)).filter(|(_, found)| *found < least) {
                Some(found) => (here, least) = found,
                None => step *= 0.5,
            }
        }
        WAYS.iter().all(|way| far(here + 4.0 * FINE * *way).is_some()).then_some(least)
    }

    /// Distance from a point of the top skin to the bottom skin along a direction; none when it
    /// leaves through the upright edge.
    fn along(&self, from: DVec3, direction: DVec3) -> Option<f64> {
        let above = |t: f64| {
            let p = from + t * direction;
            self.bottom_at(p.truncate()).map(|z| p.z - z)
        };
        // The wood is never thicker along the normal than upright below a level place, and hardly
        // ever anywhere else; twice that brackets the back.
        let first = above(0.0)?;
        let mut high = 2.0 * first;
        let inside = |t: f64| above(t).is_some_and(|left| left > 0.0);
        let mut last = above(high);
        if last.is_none_or(|left| left > 0.0) {
            high = (1..=64).map(|k| f64::from(k) * high / 64.0).find(|t| !inside(*t))?;
            last = above(high);
        }
        let Some(last) = last else {
            // Out of the plan: through the bottom just before that, or through the edge.
            let (mut low, mut out) = (0.0, high);
            for _ in 0..30 {
                let middle = 0.5 * (low + out);
                if inside(middle) { low = middle } else { out = middle }
            }
            return above(low).filter(|left| *left < 1e-3).map(|_| low);
        };
        // The Illinois form of the false position: few rays to a micrometre.
        let (mut low, mut over, mut under) = (0.0, first, last);
        let mut kept = 0;
        for _ in 0..16 {
            let middle = low + (high - low) * over / (over - under);
            let left = above(middle)?;
            if left > 0.0 {
                (low, over) = (middle, left);
                under *= if kept == 1 { 0.5 } else { 1.0 };
                kept = 1;
            } else {
                (high, under) = (middle, left);
                over *= if kept == 2 { 0.5 } else { 1.0 };
                kept = 2;
            }
            if left.abs() < 1e-4 {
                return Some(middle);
            }
        }
        Some(0.5 * (low + high))
    }

    fn handle(&self, design: &Design, sizes: &mut Sizes) {
        const STEPS: u32 = 100;
        /// Of the tip, in mm, so that a ray meets it.
        const INSIDE: f64 = 1e-4;
        let body = self.body;
        let width = |x: f64| self.extent(x).map(|[low, high]| high - low);
        let middle = |x: f64| body.middle_at(Length::mm(x));
        let thick = |x: f64| self.thickness(middle(x));
        let rise = |x: f64| {
            let p = middle(x);
            Some(0.5 * (self.top_at(p)? + self.bottom_at(p)?))
        };
        let shift = |x: f64| self.extent(x).map(|[low, high]| 0.5 * (low + high));
        type Reading<'r> = &'r dyn Fn(f64) -> Option<f64>;
        let [width_word, thickness_word, rise_word, shift_word] = words::STATIONS;
        let lists: [(&[Station], &str, &str, &str, Reading<'_>); 4] = [
            (&design.handle.width, width_word, "handle.width", "size", &width),
            (&design.handle.thickness, thickness_word, "handle.thickness", "size", &thick),
            (&design.handle.curve, rise_word, "handle.curve", "rise", &rise),
            (&design.handle.sway, shift_word, "handle.sway", "shift", &shift),
        ];
        for (stations, word, key, field, reading) in lists {
            for (index, station) in listed(design, key, stations) {
                let x = body.handle_x(station.at).as_mm();
                let swells = ["handle.width", "handle.thickness"].contains(&key);
                if swells && !body.is_plain_at(Length::mm(x)) {
                    continue;
                }
                let place = crate::units::plain(station.at * 100.0, 1);
                sizes.add(
                    fill(words::AT_STATION, &[("what", word), ("place", &place)]),
                    &format!("{key}[{index}].{field}"),
                    station.size,
                    reading(x).unwrap_or_default(),
                );
            }
        }
        if let Some(knob) = &design.handle.knob {
            let x = body.handle_x(0.0).as_mm();
            let asked = [knob.width_of(&design.handle), knob.thickness_of(&design.handle)];
            let readings: [(&str, Reading<'_>); 2] = [("width", &width), ("thickness", &thick)];
            for ((word, asked), (key, reading)) in words::KNOB.into_iter().zip(asked).zip(readings)
            {
                let key = format!("handle.knob.{key}");
                sizes.add(word.to_owned(), &key, asked, reading(x).unwrap_or_default());
            }
        }
        let table = design.head.table();
        let eased = match &design.head {
            Head::Bowl(bowl) => bowl.rim_round,
            Head::Blade(_) => None,
        };
        let rings = [&self.mesh.rim_top, &self.mesh.rim_bottom];
        let rings = rings.map(|ring| self.rim_heights(ring));
        for (index, station) in design.head.curve().iter().enumerate() {
            let x = body.head_x(station.at).as_mm();
            let heights = match &design.head {
                // The bevel is on the top alone: there the flat's underside says where its middle is.
                Head::Blade(blade) if x > (body.length() - blade.bevel).as_mm() => {
                    let near = middle(x.min(body.length().as_mm() - INSIDE));
                    let under = self.bottom_at(near).unwrap_or_default();
                    [under, under + blade.thickness.as_mm()]
                }
                // A scoop's rim comes down from its middle line.
                _ => {
                    let [top, bottom] = rings.each_ref().map(|ring| ring.at(x));
                    // An eased land ends below the edge's height, and at the tip nothing else is there.
                    let top = eased.map_or(top, |_| bottom + design.edge.as_mm());
                    [top, bottom].map(|z| z + body.comes_down(Length::mm(x)))
                }
            };
            let place = crate::units::plain(station.at * 100.0, 1);
            sizes.add(
                fill(words::HEAD_AT_STATION, &[("what", rise_word), ("place", &place)]),
                &format!("{table}.curve[{index}].rise"),
                station.size,
                0.5 * (heights[0] + heights[1]),
            );
        }
        let (outline, sway) = (design.head.outline(), design.head.sway());
        for (stations, word, key, field, reading) in [
            (outline, width_word, "outline", "size", &width as Reading<'_>),
            (sway, shift_word, "sway", "shift", &shift),
        ] {
            for (index, station) in listed(design, key, stations) {
                // At the very tip there is nothing to lay a rule across.
                let x = body.head_x(station.at).min(body.length() - Length::mm(INSIDE)).as_mm();
                let place = crate::units::plain(station.at * 100.0, 1);
                sizes.add(
                    fill(words::HEAD_AT_STATION, &[("what", word), ("place", &place)]),
                    &format!("{table}.{key}[{index}].{field}"),
                    station.size,
                    reading(x).unwrap_or_default(),
                );
            }
        }
        let range = |reading: Reading<'_>| {
            (0..=STEPS)
                .filter_map(|step| {
                    reading(body.handle_x(f64::from(step) / f64::from(STEPS)).as_mm())
                })
                .fold([Length::mm(f64::INFINITY), Length::ZERO], |[low, high], value| {
                    [low.min(Length::mm(value)), high.max(Length::mm(value))]
                })
        };
        sizes.handle_width = range(&width);
        sizes.handle_thickness = range(&thick);
    }
}
