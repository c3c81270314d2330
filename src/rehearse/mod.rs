//! Rehearsal: a program carved in the computer against its packet, before wood is spoiled.
//!
//! Promised: the wood is carved with each cutter's true form along every motion, on the middles of
//! cells; what is cut that must stay is told with its line, its place and by how much; the same
//! program gives the same answer. Not promised: that a program without findings is safe to run.
//! What bends, slips, breaks or was set up otherwise than the sheet says is not seen.

mod again;
mod behind;
mod causes;
mod cells;
mod clock;
pub mod codes;
mod engaged;
mod figures;
mod fit;
mod form;
mod ground;
mod guesses;
mod judged;
mod keep;
mod limit;
mod list;
mod look;
mod manner;
mod missing;
mod other_cutter;
mod page;
mod pins;
mod plan_shape;
mod remedy;
mod replay;
mod ridges;
mod rows;
mod run;
mod running;
mod sequence;
mod shift;
mod slips;
mod solid;
mod stage;
mod standing;
mod steps;
mod stroke;
mod timber;
mod watch;
mod watch_feeds;
mod zero;

pub use cells::BoardCells;
pub use codes::CODES;
pub use figures::{LeftFigures, RehearsalFigures, left};
pub use form::CuttingForm;
pub use ground::{Belongs, KeptGround, NO_PIECE};
pub use keep::{KeptUnfit, keep, kept};
pub use look::picture;
pub use page::page;
pub use replay::{CutterNumbers, OpenProgram, RehearsalOrder};
pub use rows::{figure_rows, state};
pub use run::{Rehearsal, board_cells, rehearse, shop_numbers};
pub use slips::{NO_PROGRAM, Slip};
pub use stage::{NotAPacket, StageCutter, StagePiece, StagedSetup, stage};
pub use standing::{PieceProgress, PieceStanding, RIM};
pub use timber::{Bite, MotionTool, Timber};
