//! Paths and figures as bytes of open formats. Nothing here touches a disk.

pub mod dxf;
pub mod svg;
