//! Drawings with dimensions: the piece, the board, each setup, and the paper templates.
//!
//! Promised: figures are the job's own; nothing stands in a label's way; the same job gives the
//! same bytes.
//! Not promised: that a drawing is to scale, but for the templates and the cut through an inlay.

pub mod board;
mod ink;
pub mod mated;
pub mod measure;
pub mod piece;
pub mod templates;
mod words;
