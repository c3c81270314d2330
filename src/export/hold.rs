//! What holds the board, as files: blocks to print with their plates, and rebates.

use super::files::{Drawn, Plans, step_error};
use super::{stl, threemf, words};
use crate::blocks::block::Block;
use crate::job::{Job, Round};
use crate::outline::ArcPath;
use crate::params::HoldForm;
use crate::relief::Face;

impl<'a> Plans<'a> {
    /// Hold-downs, spacers and print plates.
    pub(super) fn workholding(&mut self, job: &'a Job, round: &'a Round) {
        let clamps = &round.clamps;
        for model in &clamps.models {
            let role = match model.form {
                HoldForm::Low => words::LOW_HOLD_DOWN,
                _ => words::HOLD_DOWN,
            };
            let name = format!("hold-down for stock {}", model.stock);
            if let Some(block) = &model.block {
                self.block(model.stem(), role, name, block);
            }
        }
        for spacer in clamps.spacers.iter().flatten() {
            if let Some(model) = &spacer.printed {
                let name = format!("spacer {}", spacer.size);
                self.block(&spacer.stem(), words::SPACER, name, &model.block);
            }
        }
        let plates = clamps.plates.len();
        for (number, plate) in (1..).zip(&clamps.plates) {
            let role = words::PRINT_PLATE;
            let name = match number {
                1 => "workholding/print-plate".to_owned(),
                number => format!("workholding/print-plate-{number}"),
            };
            let title = format!("print plate {number} of {plates} for {}", job.order.board.name);
            self.mesh(&format!("{name}.stl"), role, "", &plate.mesh);
            self.model(&format!("{name}.3mf"), role, "", move || {
                threemf::threemf(&plate.mesh, &title)
            });
        }
    }

    /// A block as STL, 3MF and STEP.
    fn block(&mut self, stem: &str, role: &'static str, name: String, block: &'a Block) {
        let Block { solid, mesh } = block;
        self.model(&format!("workholding/{stem}.stl"), role, "", || stl::stl(mesh));
        let title = name.clone();
        self.model(&format!("workholding/{stem}.3mf"), role, "", move || {
            threemf::threemf(mesh, &title)
        });
        self.model(&format!("workholding/{stem}.step"), role, "", move || {
            solid.step(&name).map_err(step_error)
        });
    }

    /// The rebates of a setup, where it has low hold-downs.
    pub(super) fn rebates(&mut self, job: &'a Job, round: &'a Round, face: Face) {
        let side = usize::from(face == Face::Bottom);
        let setup = &round.setups[side].0;
        let paths: Vec<ArcPath> =
            round.clamps.rebates(side).iter().map(|path| setup.from_board.path(path)).collect();
        if !paths.is_empty() {
            let layers = vec![Drawn { name: "rebates", paths, circles: vec![] }];
            let role = words::REBATES;
            let name = format!("{}/rebates", face.name());
            self.drawing(&name, role, face.name(), job.order.shop.unit, layers);
        }
    }
}

/// Layers of the board's drawing for what holds it in each setup.
pub(super) fn board_layers(round: &Round) -> Vec<Drawn> {
    const NAMES: [[&str; 3]; 2] = [
        ["hold-downs-top", "rebates-top", "hold-down-blocks-top"],
        ["hold-downs-bottom", "rebates-bottom", "hold-down-blocks-bottom"],
    ];
    let mut layers = Vec::new();
    for (side, [lips, rebates, blocks]) in NAMES.into_iter().enumerate() {
        let places = &round.clamps.places[side];
        let drawn = |name, paths| Drawn { name, paths, circles: vec![] };
        layers.push(drawn(lips, places.iter().map(|p| ArcPath::polygon(p.lip)).collect()));
        let cut = round.clamps.rebates(side);
        if !cut.is_empty() {
            layers.push(drawn(rebates, cut));
        }
        let mut outer = drawn(blocks, places.iter().map(|p| ArcPath::polygon(p.plan)).collect());
        outer.circles = places
            .iter()
            .filter_map(|p| Some((p.bolt, round.clamps.model(p)?.hole.radius)))
            .collect();
        layers.push(outer);
    }
    layers
}
