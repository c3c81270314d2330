//! Makes inlays: recess, tip's line, passes and plug, each in the frame that it is used in.

use super::basin::{self, Poured};
use super::bed_of_art::{BedOfArt, InlayFigures, ROUND_MM};
use super::bring::{Brought, INLAY_ART};
use super::clearing::FloorCut;
use super::even_odd::{bounds, odd};
use super::inlaid::Inlaid;
use super::one::{Cutters, InlayOrder, OneInlay, cutters};
use super::{plug, rules, trim};
use crate::cutting::PassKind;
use crate::cutting::passes::Pass;
use crate::finding::{Finding, Findings};
use crate::outline::ArcPath;
use crate::params::{Cutter, InlayFill};
use crate::units::Length;
use glam::DVec2;

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
        let one = OneInlay { order, number, inlay, name };
        made.extend(one.made(brought, out));
    }
    rules::apart(&made, out);
    made
}

impl OneInlay<'_> {
    fn made(&self, brought: &Brought, out: &mut Findings) -> Option<Inlaid> {
        let OneInlay { order, inlay, .. } = self;
        let InlayOrder { body, stock, .. } = **order;
        let cutters = cutters(self, out)?;
        let face = |p: DVec2| {
            let p = self.in_plan(p);
            if self.upside_down() { -body.bottom(p) } else { body.top(p) }
        };
        let asked = InlayFigures {
            t: (cutters.angle / 2.0).tan(),
            depth: inlay.depth.as_mm(),
            under: inlay.under.as_mm(),
            proud: inlay.proud.as_mm(),
            gap: inlay.gap.as_mm(),
            tip: inlay.tip.half().as_mm(),
            clear: cutters.clear.diameter.as_mm(),
        };
        let steep = (inlay.fill == InlayFill::Plug).then_some(1.0 / asked.t);
        let loops = brought.art.placed(self.in_plan(inlay.at), inlay.turn, inlay.size, steep);
        let mut lost = |message: &str, help: &str| {
            out.push(self.about(Finding::fault(INLAY_ART, message, help), inlay.shown_by()));
        };
        let Some(loops) = loops else {
            lost(
                "the art has too many corners to be sorted out, or its outlines cross too often",
                "Simplify it in a drawing program: what is finer than a few tenths of a millimetre can't be carved.",
            );
            return None;
        };
        let Some(bed) = BedOfArt::new(loops, &face, asked) else {
            lost(
                "the art encloses nothing once its outlines are sorted out",
                "Look at it in a drawing program: nothing of it may be a mere line.",
            );
            return None;
        };
        rules::face(self, &bed, out)?;
        let outline = self.path(order.outline);
        let lower = if self.upside_down() { -stock.top } else { stock.bottom };
        if inlay.fill == InlayFill::Poured {
            return self.poured(&bed, &outline, lower.as_mm(), &cutters, out);
        }
        let board = brought.board.as_ref();
        let on_body = outline.inside();
        // What takes longer first: the other is taken over by whoever is free.
        let (over, lines) =
            rayon::join(|| board.and_then(|_| bed.over_face(&on_body)), || bed.lines());
        let lines = lines.or_else(|| not_made(self, "recess", out))?;
        let (under, recess) = rayon::join(
            || bed.underside(&lines, over?, board?.usable_height().as_mm()),
            || bed.recess(&lines, &outline, lower.as_mm()),
        );
        let recess = recess.or_else(|| not_made(self, "recess", out))?;
        rules::wood(self, &bed, out)?;
        rules::recess(self, &recess, &cutters, out);
        let plug = match board {
            Some(board) => {
                let under = under.or_else(|| not_made(self, "plug", out))?;
                rules::plug(self, &under, &cutters, out)?;
                Some(plug::plug(self, &bed, &under, board, &cutters, out)?)
            }
            None => None,
        };
        let deepest = recess.lowest - lower.as_mm();
        let cut = FloorCut::new(&recess, cutters.clear.diameter.half());
        cut.look(self, &cutters, out);
        let floor_reached = Some(cut.share);
        let passes = self.passes(&bed, cut, &cutters, deepest);
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
        rules::movement(self, &bed, board, out);
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
            floor_reached,
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
        let cut = bounds(&touched, &odd(&touched));
        let cut = cut.and_then(|loops| BedOfArt::new(loops, bed.face, bed.asked));
        let cut = cut.or_else(|| not_made(self, "recess", out))?;
        let made = basin::basin(&cut, outline, lower, ROUND_MM);
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
            floor_reached: None,
            recess_mm3: volume,
            tip_leaves: Length::ZERO,
        })
    }

    /// `deepest` is how low a tip goes over the bed.
    fn passes(
        &self,
        bed: &BedOfArt<'_>,
        floor: FloorCut,
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
        if !floor.centre.is_empty() {
            all.push(pass(PassKind::InlayFloor, cutters.clear, floor.centre, floor.area));
        }
        all.extend(trim::pass(self, bed, cutters.trim));
        all
    }
}

fn counter_clockwise(path: ArcPath) -> ArcPath {
    if path.signed_area() < 0.0 { path.reversed() } else { path }
}

fn not_made<T>(one: &OneInlay<'_>, what: &str, out: &mut Findings) -> Option<T> {
    let finding = Finding::fault(
        INLAY_ART,
        format!("the {what} can't be made of this art"),
        "Look at the art in a drawing program: outlines may touch, but they must enclose something, and slits \
         thinner than a few tenths of a millimetre are too fine to carve.",
    );
    out.push(one.about(finding, one.inlay.shown_by()));
    None
}
