//! The files of the board, whatever pieces are on it: blocks to print with their plates, the bed, the
//! board itself.

use super::files::Files;
use super::{layers, words};
use crate::blocks::block::Block;
use crate::export::dxf::Layer;
use crate::export::{stl, threemf};
use crate::job::{Job, Mounting};
use crate::params::HoldForm;
use crate::units::Unit;

impl<'a> Files<'a> {
    /// What belongs to the board.
    pub(super) fn board(&mut self, job: &'a Job, mounting: &'a Mounting) {
        let clamps = &mounting.clamps;
        for model in &clamps.models {
            let role = match model.form {
                HoldForm::Low => words::LOW_HOLD_DOWN,
                _ => words::HOLD_DOWN,
            };
            let name = format!("hold-down for stock {}", model.stock);
            if let Some(block) = &model.block {
                self.block(&format!("workholding/{}", model.stem()), role, name, block);
            }
        }
        for spacer in clamps.spacers.iter().flatten() {
            if let Some(model) = &spacer.printed {
                let name = format!("spacer {}", spacer.size);
                self.block(
                    &format!("workholding/{}", spacer.stem()),
                    words::SPACER,
                    name,
                    &model.block,
                );
            }
        }
        let plates = clamps.plates.len();
        for (number, plate) in (1..).zip(&clamps.plates) {
            let role = words::PRINT_PLATE;
            let name = match number {
                1 => "workholding/print-plate".to_owned(),
                number => format!("workholding/print-plate-{number}"),
            };
            let title = format!("print plate {number} of {plates} for {}", job.board.name);
            self.model(&format!("{name}.stl"), role, "", || {
                stl::stl(&plate.mesh, Unit::Millimetre)
            });
            self.model(&format!("{name}.3mf"), role, "", move || {
                threemf::threemf(&plate.mesh, &title)
            });
        }
        for (number, setup) in mounting.setups.iter().enumerate() {
            let side = setup.face.name();
            let rebates = clamps.rebates(number);
            if !rebates.is_empty() {
                self.drawing(&format!("{side}/rebates"), words::REBATES, side, move || {
                    let turned = rebates.iter().map(|path| setup.from_board.path(path));
                    vec![Layer::new("rebates", turned.collect())]
                });
            }
        }
        // The board is bored with its top up, once for all pieces.
        self.drawing("top/pins", words::PINS, "top", || {
            let holes = mounting.borings.iter().filter(|hole| hole.in_board);
            let holes = holes.map(|hole| (hole.at, hole.diameter.half()));
            vec![Layer::round("pins", holes.collect())]
        });
        self.drawing("bed/pins", words::BED_PINS, "bed", || layers::bed_holes(mounting));
        self.drawing("bed", words::BED, "bed", || layers::bed(job, mounting));
        self.drawing("board", words::BOARD, "board", || layers::board(job, mounting));
    }

    /// A block as STL, 3MF and STEP.
    pub(super) fn block(&mut self, stem: &str, role: &'static str, name: String, block: &'a Block) {
        let Block { solid, mesh } = block;
        self.model(&format!("{stem}.stl"), role, "", || stl::stl(mesh, Unit::Millimetre));
        let title = name.clone();
        self.model(&format!("{stem}.3mf"), role, "", move || threemf::threemf(mesh, &title));
        self.model(&format!("{stem}.step"), role, "", move || Ok(solid.step(&name)?));
    }
}
