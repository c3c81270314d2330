//! The live page: a design, its board and its shop on a page of the maker's browser, shown as they
//! are changed.
//!
//! Promised: it listens at the loopback address only and answers only its own page; it reads and
//! writes only the files that it was given, and these when asked; no message makes it fall; what is
//! made is what the other commands make of the same files.
//! Not promised: safety from other programs that run as the same user, who can read what it prints.

mod bench;
mod clock;
mod desk;
mod drawings;
mod edit;
mod frame;
mod guard;
mod lines;
mod made;
mod pack;
mod packing;
mod page;
mod serve;
mod server;
mod shelf;
mod words;

pub use bench::Bench;
pub use guard::Guard;
pub use serve::{Served, serve};
pub use server::router;
pub use shelf::{LiveFile, Refusal, Shelf};
