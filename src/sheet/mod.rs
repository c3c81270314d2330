//! The job sheet: what the maker takes to the machine.

pub mod page;
