//! The files of the board, whatever pieces are on it: blocks to print with their plates, the bed, the
//! board itself.

use super::files::Files;
use super::{layers, words};
use crate::blocks::block::Block;
use crate::export::{ExportError, stl, threemf};
use crate::job::{Job, Mounting};
use crate::kernel::{Bore, Corner, Sunk, carved_prism};
use crate::mesh::Mesh;
use crate::outline::ArcPath;
use crate::params::HoldForm;
use crate::units::Length;

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
            self.block(model.stem(), role, name, &model.block, &model.mesh);
        }
        for spacer in clamps.spacers.iter().flatten() {
            if let Some((block, mesh)) = &spacer.printed {
                let role = words::SPACER;
                self.block(&spacer.stem(), role, format!("spacer {}", spacer.size), block, mesh);
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
            self.mesh(&format!("{name}.stl"), role, "", &plate.mesh);
            self.model(&format!("{name}.3mf"), role, "", move || {
                threemf::threemf(&plate.mesh, &title)
            });
        }
        self.drawing("bed", words::BED, "bed", || layers::bed(job, mounting));
        self.drawing("board", words::BOARD, "board", || layers::board(job, mounting));
    }

    /// A block as STL, 3MF and STEP.
    fn block(
        &mut self,
        stem: &str,
        role: &'static str,
        name: String,
        block: &'a Block,
        mesh: &'a Mesh,
    ) {
        self.model(&format!("workholding/{stem}.stl"), role, "", || stl::stl(mesh));
        let title = name.clone();
        self.model(&format!("workholding/{stem}.3mf"), role, "", move || {
            threemf::threemf(mesh, &title)
        });
        self.model(&format!("workholding/{stem}.step"), role, "", move || step(block, &name));
    }
}

/// A block as a solid.
fn step(block: &Block, name: &str) -> Result<Vec<u8>, ExportError> {
    let bore = block.hole.as_ref().map(|bored| Bore {
        hole: corners(&bored.hole),
        from: Length::ZERO,
        to: bored.top,
        pocket: bored.pocket.as_ref().map(|(path, floor)| (corners(path), *floor)),
    });
    let sunk: Vec<Sunk> = block
        .sunk
        .iter()
        .map(|(outline, depth)| Sunk { outline: outline.clone(), depth: *depth })
        .collect();
    Ok(carved_prism(&block.profile, block.across, bore.as_ref(), &sunk)?.step(name)?)
}

/// A path's corners with the middles of its arcs, which run counter-clockwise.
fn corners(path: &ArcPath) -> Vec<Corner> {
    path.segments().map(|s| Corner { point: s.from, centre: s.centre() }).collect()
}
