//! Three plain files in, a packet out: a design, a measured board and a shop become relief models
//! for both sides, a B-rep of the body, outlines, workholding models and a job sheet for carving
//! wooden spoons, forks, turners, spreaders and scoops on a 3-axis router. It makes no tool paths and drives no
//! machine.
//!
//! The rooms, from the top down; imports go downward only (`tests/layers.rs`):
//! `cli`, `live`, `packet`, `rehearse`, `sheet`, `drawing`, `render`, `export`, `job`, `inlay`, `check`,
//! `work`, `bed`, `blocks`, `cutting`, `setup`, `tabs`, `fit`, `relief`, `mesh`, `outline`,
//! `shape`, `kernel`, `program`, `params`, `finding`,
//! `units`.

#![forbid(unsafe_code)]
#![deny(missing_docs)]
#![cfg_attr(not(test), deny(clippy::unwrap_used, clippy::expect_used, clippy::panic))]

pub mod bed;
pub mod blocks;
pub mod check;
pub mod cli;
pub mod cutting;
pub mod drawing;
pub mod drawn;
pub mod export;
pub mod finding;
pub mod fit;
pub mod inlay;
pub mod job;
pub mod kernel;
#[cfg(feature = "live")]
pub mod live;
pub mod mesh;
pub mod outline;
pub mod packet;
pub mod params;
pub mod program;
pub mod rehearse;
pub mod relief;
pub mod render;
pub mod setup;
pub mod shape;
pub mod sheet;
pub mod tabs;
pub mod units;
pub mod work;
