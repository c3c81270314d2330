//! The job sheet: its pictures.

pub mod picture;
