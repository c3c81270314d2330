//! The files of one piece.

use super::files::Files;
use super::{layers, words};
use crate::drawing::templates;
use crate::export::dxf::Layer;
use crate::export::{cusp_map, dxf_space, reach_map, stl, threemf};
use crate::inlay::Inlaid;
use crate::job::{Mounted, Piece};
use crate::outline::ArcPath;
use crate::relief::Face;
use crate::shape;

/// What the names of the maps begin with, which the sheet shows.
const MAPS: [&str; 2] = ["reach-", "cusps-"];

/// Whether a file is a map.
pub(super) fn is_map(name: &str) -> bool {
    let name = name.rsplit('/').next().unwrap_or(name);
    MAPS.iter().any(|start| name.starts_with(start))
}

impl<'a> Files<'a> {
    /// The body's own; the slowest first, so that two threads share the work well.
    pub(super) fn body(&mut self, piece: &'a Piece) {
        let (mesh, name) = (&piece.mesh.mesh, &piece.design.name);
        self.model("body.step", words::SOLID, "design", move || {
            Ok(shape::solid(&piece.body, &piece.lattice)?.step(name)?)
        });
        self.model("body.3mf", words::BODY, "design", || threemf::threemf(mesh, name));
        self.mesh("body.stl", words::BODY, "design", mesh);
    }

    /// What it is carved by, where it lies on the board.
    pub(super) fn carved(&mut self, at: Mounted<'a>) {
        self.mesh("finished.stl", words::FINISHED, "design", &at.carved.finished);
        for side in 0..2 {
            self.setup(at, side);
        }
        for inlay in &at.carved.inlays {
            self.inlay(at, inlay);
        }
        let unit = self.unit;
        for uncut in &at.piece.checks.uncut {
            let name = format!("{}{}.png", MAPS[0], uncut.face.name());
            self.add(&name, words::REACH_MAP, "", "", move || reach_map::png(uncut, unit));
        }
        for cusps in &at.piece.checks.cusps {
            let name = format!("{}{}.png", MAPS[1], cusps.face.name());
            self.add(&name, words::CUSP_MAP, "", "", move || cusp_map::png(cusps, unit));
        }
        let (pdf, svg) = (words::TEMPLATES_PDF, words::TEMPLATES_SVG);
        self.model("templates.pdf", pdf, "design", move || Ok(templates::pdf(&at)));
        self.model("templates.svg", svg, "design", move || Ok(templates::svg(&at)));
    }

    /// An inlay: its recess in the frame of the setup that cuts it, its plug in a frame of its own.
    fn inlay(&mut self, at: Mounted<'a>, inlay: &'a Inlaid) {
        let number = usize::from(inlay.face == Face::Bottom);
        let setup = &at.carved.setups[number].0;
        let (folder, side) = (inlay.folder(), setup.face.name());
        let (models, unit) = (self.models, self.unit);
        self.add(
            &format!("{folder}/recess.stl"),
            words::RECESS,
            models.symbol(),
            side,
            move || stl::stl(&setup.from_design.mesh(&inlay.recess), models),
        );
        self.drawing(&format!("{folder}/recess"), words::RECESS_LINES, side, move || {
            let turned = |paths: &[ArcPath]| -> Vec<ArcPath> {
                paths.iter().map(|path| setup.from_design.path(path)).collect()
            };
            vec![Layer::new("art", turned(&inlay.art)), Layer::new("floor", turned(&inlay.floor))]
        });
        if let Some(poured) = &inlay.poured {
            self.drawing(&format!("{folder}/dam"), words::DAM, side, move || {
                let turned = poured.dam.iter().map(|path| setup.from_design.path(path));
                vec![Layer::new("dam", turned.collect())]
            });
            return;
        }
        self.add(&format!("{folder}/vee.dxf"), words::TIP_LINE, unit.symbol(), side, move || {
            let turned = inlay.tip_line.iter().map(|(line, closed)| {
                (line.iter().map(|p| setup.from_design.point(*p)).collect(), *closed)
            });
            dxf_space::lines("vee-tip", &turned.collect::<Vec<_>>(), unit)
        });
        let Some(plug) = &inlay.plug else { return };
        self.mesh(&format!("{folder}/plug/relief.stl"), words::PLUG, "plug", &plug.relief);
        self.drawing(&format!("{folder}/plug/outline"), words::PLUG_OUTLINE, "plug", || {
            vec![Layer::new("outline", plug.outline.clone())]
        });
        self.drawing(&format!("{folder}/plug/limit"), words::PLUG_LIMIT, "plug", || {
            vec![
                Layer::new("clear-centre", plug.clear_centre.clone()),
                Layer::new("area", plug.area.clone()),
            ]
        });
        if let Some(block) = &plug.hold_down.block {
            self.block(
                &format!("{folder}/plug/hold-down"),
                words::PLUG_BLOCK,
                format!("hold-down for stock {}", plug.stock),
                block,
            );
        }
    }

    fn setup(&mut self, at: Mounted<'a>, number: usize) {
        let Mounted { piece, carved, .. } = at;
        let (setup, relief) = &carved.setups[number];
        let side = setup.face.name();
        let what = match setup.face {
            Face::Top => words::RELIEF_TOP,
            Face::Bottom => words::RELIEF_BOTTOM,
        };
        self.mesh(&format!("{side}/relief.stl"), what, side, relief);
        let turn = move |path: &ArcPath| setup.from_design.path(path);
        let outlines = &piece.outlines;
        let one = Layer::new;
        self.drawing(&format!("{side}/outline"), words::OUTLINE, side, move || {
            vec![one("outline", vec![turn(&outlines.body)])]
        });
        // Only in the folder of the side from which they are cut.
        if !outlines.slots.is_empty() && setup.face == Face::Bottom {
            self.drawing(&format!("{side}/slots"), words::SLOTS, side, move || {
                vec![one("slots", outlines.slots.iter().map(turn).collect())]
            });
        }
        if !outlines.openings.is_empty() && setup.face == Face::Bottom {
            self.drawing(&format!("{side}/openings"), words::OPENINGS, side, move || {
                vec![one("openings", outlines.openings.iter().map(turn).collect())]
            });
        }
        self.drawing(&format!("{side}/tabs"), words::TABS, side, move || {
            vec![one("tabs", carved.tabs.iter().map(|(_, path)| turn(path)).collect())]
        });
        self.drawing(&format!("{side}/saw"), words::SAW, side, move || {
            vec![one("saw-lines", carved.saw_lines.iter().map(turn).collect())]
        });
        self.drawing(&format!("{side}/limits"), words::LIMITS, side, move || {
            layers::limits(carved, setup)
        });
    }
}
