//! The job sheet: its page, and the pictures that go with it.

pub mod page;
pub mod picture;
