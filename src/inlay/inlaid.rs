//! An inlay from what is asked of it: recess, tip's line, passes and plug, each in the frame that it is
//! used in.

use super::basin::{self, Poured};
use super::bed_of_art::{Asked, BedOfArt, Recess, Underside};
use super::bring::{Brought, INLAY_ART};
use super::plug::{self, Plug};
use super::{codes, rules, trim};
use crate::cutting::PassKind;
use crate::cutting::passes::Pass;
use crate::finding::{Finding, Findings, Source};
use crate::fit::Stock;
use crate::mesh::Mesh;
use crate::outline::{ArcPath, offset::offset};
use crate::params::{Board, Cutter, CutterForm, Design, Fill, Inlay, InlaySide, Shop};
use crate::relief::Face;
use crate::shape::Body;
use crate::units::{Length, Unit};
use crate::work::{InlayWork, PlugWork};
use glam::{DAffine2, DVec2, DVec3};

/// What inlays are made from.
#[derive(Clone, Copy)]
pub struct InlayOrder<'a> {
    /// The design that is made.
    pub design: &'a Design,
    /// The exact body.
    pub body: &'a Body,
    /// Its outline.
    pub outline: &'a ArcPath,
    /// How it lies in the height of the stock.
    pub stock: &'a Stock,
    /// The board that it is carved from.
    pub board: &'a Board,
    /// The shop.
    pub shop: &'a Shop,
    /// The files of the design's inlays, in their order.
    pub brought: &'a [Option<Brought>],
}

/// An inlay. All but the plug in the design frame, in mm.
#[derive(Clone, Debug)]
pub struct Inlaid {
    /// Which of the design's it is.
    pub number: usize,
    /// What its files are called.
    pub name: String,
    /// The face that it is let into.
    pub face: Face,
    /// The face with its recess, closed to a solid down to the stock's far side.
    pub recess: Mesh,
    /// The art's outlines.
    pub art: Vec<ArcPath>,
    /// Where the flanks end at the floor.
    pub floor: Vec<ArcPath>,
    /// The line that the tip of the vee follows, in parts; whether each closes.
    pub tip_line: Vec<(Vec<DVec3>, bool)>,
    /// The passes over the piece.
    pub passes: Vec<Pass>,
    /// What fills it; none for one that is poured.
    pub plug: Option<Plug>,
    /// What is poured into it; none for a plug's.
    pub poured: Option<Poured>,
    /// What is cut away, in mm³.
    pub recess_mm3: f64,
    /// What a flat tip can leave standing in the art's sharp corners, upright.
    pub tip_leaves: Length,
}

impl Inlaid {
    /// Where its files are in the folder of its piece.
    pub fn folder(&self) -> String {
        format!("inlay/{}", self.name)
    }

    /// What the order of work is told of it.
    pub fn work(&self, design: &Design, unit: Unit) -> InlayWork {
        let proud = design.inlay.get(self.number).map_or(Length::ZERO, |inlay| inlay.proud);
        let plug = self.plug.as_ref().map(|plug| PlugWork {
            species: plug.board.species.clone(),
            stock: plug.stock.said(unit),
            cutters: [plug.clear.name.clone(), plug.vee.name.clone()],
            proud: proud.said(unit),
        });
        InlayWork { face: self.face, folder: self.folder(), plug }
    }
}

/// Makes all inlays of a piece; what can't be made is said and left out.
pub fn inlays(order: &InlayOrder<'_>, out: &mut Findings) -> Vec<Inlaid> {
    let mut names: Vec<String> = Vec::new();
    let mut made = Vec::new();
    for (number, (inlay, brought)) in order.design.inlay.iter().zip(order.brought).enumerate() {
        let stem = inlay.name();
        let numbered = (2..).map(|more| format!("{stem}-{more}"));
        let name = std::iter::once(stem.clone()).chain(numbered).find(|name| !names.contains(name));
        let name = name.unwrap_or(stem);
        names.push(name.clone());
        let Some(brought) = brought else { continue };
        let one = One { order, number, inlay, name };
        made.extend(one.made(brought, out));
    }
    rules::apart(&made, out);
    made
}

/// One inlay of a piece.
pub(super) struct One<'a> {
    pub(super) order: &'a InlayOrder<'a>,
    pub(super) number: usize,
    pub(super) inlay: &'a Inlay,
    name: String,
}

impl One<'_> {
    /// A finding about a key of this inlay.
    pub(super) fn about(&self, finding: Finding, key: &str) -> Finding {
        finding.at(Source::Design, format!("inlay[{}].{key}", self.number))
    }

    fn upside_down(&self) -> bool {
        self.inlay.side == InlaySide::Bottom
    }

    /// From the frame in which the face looks up into the design's, and back: a half turn about X, or
    /// nothing.
    pub(super) fn turned(&self, p: DVec3) -> DVec3 {
        if self.upside_down() { DVec3::new(p.x, -p.y, -p.z) } else { p }
    }

    pub(super) fn in_plan(&self, p: DVec2) -> DVec2 {
        self.turned(p.extend(0.0)).truncate()
    }

    /// A path of the plan, into the other frame.
    fn path(&self, path: &ArcPath) -> ArcPath {
        match self.upside_down() {
            true => path.transformed(DAffine2::from_scale(DVec2::new(1.0, -1.0))),
            false => path.clone(),
        }
    }

    /// A mesh into the other frame: a rotation, which keeps orientations.
    fn mesh(&self, mesh: &Mesh) -> Mesh {
        let points = mesh.points.iter().map(|p| self.turned(*p)).collect();
        Mesh { points, triangles: mesh.triangles.clone() }
    }

    fn made(&self, brought: &Brought, out: &mut Findings) -> Option<Inlaid> {
        let One { order, inlay, .. } = self;
        let InlayOrder { body, stock, .. } = **order;
        let cutters = cutters(self, out)?;
        let face = |p: DVec2| {
            let p = self.in_plan(p);
            if self.upside_down() { -body.bottom(p) } else { body.top(p) }
        };
        let asked = Asked {
            t: (cutters.angle / 2.0).tan(),
            depth: inlay.depth.as_mm(),
            under: inlay.under.as_mm(),
            proud: inlay.proud.as_mm(),
            gap: inlay.gap.as_mm(),
            tip: inlay.tip.half().as_mm(),
            clear: cutters.clear.diameter.as_mm(),
        };
        let raw = brought.art.placed(self.in_plan(inlay.at), inlay.turn, inlay.size);
        let Some(bed) = BedOfArt::new(&raw, &face, asked) else {
            let message = "the art encloses nothing once its outlines are sorted out";
            let help = "Look at it in a drawing program: nothing of it may be a mere line.";
            out.push(self.about(Finding::fault(INLAY_ART, message, help), "art"));
            return None;
        };
        rules::face(self, &bed, out)?;
        let outline = self.path(order.outline);
        let lower = if self.upside_down() { -stock.top } else { stock.bottom };
        if inlay.fill == Fill::Poured {
            return self.poured(&bed, &outline, lower.as_mm(), &cutters, out);
        }
        let recess = bed.recess(&outline, lower.as_mm());
        let recess = recess.or_else(|| not_made(self, "recess", out))?;
        rules::wood(self, &bed, out)?;
        rules::recess(self, &recess, &cutters, out);
        let plug = match (&brought.board, inlay.fill) {
            (Some(board), Fill::Plug) => {
                let on_body = |p: DVec2| outline.contains(p);
                let under = bed.underside(board.usable_height().as_mm(), &on_body);
                let under = under.or_else(|| not_made(self, "plug", out))?;
                rules::plug(self, &under, &cutters, out)?;
                Some(plug::plug(self, &bed, &under, board, &cutters, out)?)
            }
            _ => None,
        };
        let deepest = recess.lowest - lower.as_mm();
        let passes = self.passes(&bed, &recess, &cutters, deepest);
        let face = self.face();
        let polygon = |ring: &Vec<DVec2>| self.path(&ArcPath::polygon(ring.iter().copied()));
        let tip_line = recess
            .tip
            .iter()
            .map(|(line, closed)| (line.iter().map(|p| self.turned(*p)).collect(), *closed));
        let floor = recess.floor.iter().map(|line| {
            let path = ArcPath::polygon(line.corners.iter().copied());
            self.path(&ArcPath { closed: line.closed, ..path })
        });
        rules::movement(self, &bed, brought.board.as_ref(), out);
        Some(Inlaid {
            number: self.number,
            name: self.name.clone(),
            face,
            recess: self.mesh(&recess.mesh),
            art: bed.loops.iter().map(polygon).collect(),
            floor: floor.collect(),
            tip_line: tip_line.collect(),
            passes,
            plug,
            poured: None,
            recess_mm3: recess.volume,
            tip_leaves: Length::mm(asked.tip / asked.t),
        })
    }

    /// An inlay that is poured: upright walls, as far as the cutter goes.
    fn poured(
        &self,
        bed: &BedOfArt<'_>,
        outline: &ArcPath,
        lower: f64,
        cutters: &Cutters<'_>,
        out: &mut Findings,
    ) -> Option<Inlaid> {
        rules::wood(self, bed, out)?;
        let radius = cutters.clear.diameter.half();
        let centre = basin::centres(&bed.loops, radius);
        let touched = basin::touched(&centre, radius);
        rules::reached(self, bed, &touched, cutters, out)?;
        let cut = BedOfArt::new(&touched, bed.face, bed.asked);
        let cut = cut.or_else(|| not_made(self, "recess", out))?;
        let made = basin::basin(&cut, outline, lower, super::bed_of_art::ROUND_MM);
        let (mesh, volume) = made.or_else(|| not_made(self, "recess", out))?;
        let depth = self.inlay.depth;
        let poured = Poured::new(volume, depth, &bed.loops.concat());
        let own = |paths: &[ArcPath]| -> Vec<ArcPath> {
            paths.iter().map(|path| self.path(path)).map(counter_clockwise).collect()
        };
        let rings = |loops: &[Vec<DVec2>]| -> Vec<ArcPath> {
            own(&loops
                .iter()
                .map(|ring| ArcPath::polygon(ring.iter().copied()))
                .collect::<Vec<_>>())
        };
        let lowest = cut.shore.heights.iter().copied().fold(f64::INFINITY, f64::min);
        let floor = Pass {
            kind: PassKind::InlayFloor,
            face: self.face(),
            cutter: cutters.clear.clone(),
            centre: own(&centre),
            area: rings(&touched),
            through: Some(Length::mm(lowest - depth.as_mm() - lower)),
        };
        let passes = std::iter::once(floor).chain(trim::pass(self, bed, cutters.trim)).collect();
        Some(Inlaid {
            number: self.number,
            name: self.name.clone(),
            face: self.face(),
            recess: self.mesh(&mesh),
            art: rings(&bed.loops),
            floor: rings(&touched),
            tip_line: Vec::new(),
            passes,
            plug: None,
            poured: Some(Poured { dam: own(&poured.dam), ..poured }),
            recess_mm3: volume,
            tip_leaves: Length::ZERO,
        })
    }

    fn face(&self) -> Face {
        if self.upside_down() { Face::Bottom } else { Face::Top }
    }

    /// The passes over the piece: the vee's, the clearing cutter's, and the one that trims the plug.
    /// `deepest` is how low a tip goes over the bed.
    fn passes(
        &self,
        bed: &BedOfArt<'_>,
        recess: &Recess,
        cutters: &Cutters<'_>,
        deepest: f64,
    ) -> Vec<Pass> {
        let face = self.face();
        let own = |paths: Vec<ArcPath>| -> Vec<ArcPath> {
            paths.iter().map(|path| self.path(path)).map(counter_clockwise).collect()
        };
        let art: Vec<ArcPath> =
            bed.loops.iter().map(|ring| ArcPath::polygon(ring.iter().copied())).collect();
        let through = Some(Length::mm(deepest));
        let pass = |kind, cutter: &Cutter, centre, area| Pass {
            kind,
            face,
            cutter: cutter.clone(),
            centre: own(centre),
            area: own(area),
            through,
        };
        let mut all = vec![pass(PassKind::InlayVee, cutters.vee, art.clone(), art)];
        // The clearing cutter's centre stays a radius inside the floor's edge.
        let floors: Vec<ArcPath> = recess
            .floor
            .iter()
            .filter(|line| line.closed)
            .map(|line| ArcPath::polygon(line.corners.iter().copied()))
            .collect();
        let radius = cutters.clear.diameter.half();
        let centre: Vec<ArcPath> =
            floors.iter().flat_map(|path| inside(path, &floors, radius)).collect();
        if !centre.is_empty() {
            let area = centre.iter().flat_map(|path| offset(path, radius)).collect();
            all.push(pass(PassKind::InlayFloor, cutters.clear, centre, area));
        }
        all.extend(trim::pass(self, bed, cutters.trim));
        all
    }
}

/// A floor's edge, moved inward by a radius where it is an outer one and outward where it is an island's.
fn inside(path: &ArcPath, floors: &[ArcPath], radius: Length) -> Vec<ArcPath> {
    let Some(first) = path.vertices.first() else { return Vec::new() };
    let round = floors.iter().filter(|other| *other != path && other.contains(first.point)).count();
    offset(path, if round % 2 == 0 { -radius } else { radius })
}

fn counter_clockwise(path: ArcPath) -> ArcPath {
    if path.signed_area() < 0.0 { path.reversed() } else { path }
}

fn not_made<T>(one: &One<'_>, what: &str, out: &mut Findings) -> Option<T> {
    let finding = Finding::fault(
        INLAY_ART,
        format!("the {what} can't be made of this art"),
        "Look at the art in a drawing program: outlines may touch, but they must enclose something.",
    );
    out.push(one.about(finding, "art"));
    None
}

/// An upright wall is as good as a vee's of this angle, in radians, where the face's slope is judged.
const UPRIGHT: f64 = 0.02;

/// What an inlay is cut with.
pub(super) struct Cutters<'a> {
    pub(super) vee: &'a Cutter,
    /// Included angle, in radians.
    pub(super) angle: f64,
    pub(super) clear: &'a Cutter,
    pub(super) trim: &'a Cutter,
}

/// The cutters; a fault where the shop has none that does.
fn cutters<'a>(one: &One<'a>, out: &mut Findings) -> Option<Cutters<'a>> {
    let (shop, inlay) = (one.order.shop, one.inlay);
    let flat = |cutter: &&Cutter| cutter.form == CutterForm::Flat;
    let thinner = |a: &&Cutter, b: &&Cutter| a.diameter.as_mm().total_cmp(&b.diameter.as_mm());
    let vee = match &inlay.cutter {
        Some(name) => shop.cutter(name),
        None => shop.cutters.iter().find(|cutter| matches!(cutter.form, CutterForm::Vee(_))),
    };
    let clear = match &inlay.clear {
        Some(name) => shop.cutter(name).filter(flat),
        None => shop.cutters.iter().filter(flat).min_by(thinner),
    };
    let angle = vee.and_then(|cutter| match cutter.form {
        CutterForm::Vee(angle) => Some((cutter, angle.as_radians())),
        _ => None,
    });
    let trim = shop.cutter(&shop.work.finish)?;
    let mut fault = |what: &str, key: &str| {
        let message = format!("the shop has no {what} for this inlay");
        let help = "Name one of the shop's cutters, or write down another in the shop file.";
        out.push(one.about(Finding::fault(codes::INLAY_CUTTER, message, help), key));
    };
    if inlay.fill == Fill::Poured {
        let named = inlay.cutter.as_ref().or(inlay.clear.as_ref());
        let own = named.map_or(clear, |name| shop.cutter(name).filter(flat));
        if own.is_none() {
            fault("flat cutter", "cutter");
        }
        let flat = own?;
        return Some(Cutters { vee: flat, angle: UPRIGHT, clear: flat, trim });
    }
    if angle.is_none() {
        fault("vee", "cutter");
    }
    if clear.is_none() {
        fault("flat cutter", "clear");
    }
    let (vee, angle) = angle?;
    Some(Cutters { vee, angle, clear: clear?, trim })
}

/// Wood under the plate that stays behind a plug.
pub(super) fn plate_of(under: &Underside, board: &Board) -> f64 {
    under.lowest + board.usable_height().as_mm() - under.plate
}
