//! Writes a carved side of a design as heights on a grid, and what a cutter leaves of it, for an
//! independent check: one line `columns rows cell_mm`, then the heights and then what is left, as
//! little-endian 32-bit floats in mm.
//!
//! `cargo run --release --example closing -- DESIGN top|bottom CELL ball|flat DIAMETER OUT`

use std::error::Error;
use std::fs;
use treenwright::check::reach::{Tool, closing, surface};
use treenwright::finding::Findings;
use treenwright::params::{length, parse_design};
use treenwright::relief::Face;
use treenwright::shape::Body;

fn main() -> Result<(), Box<dyn Error>> {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let [design, face, cell, form, diameter, out] = args.as_slice() else {
        return Err("DESIGN top|bottom CELL ball|flat DIAMETER OUT".into());
    };
    let text = fs::read_to_string(design)?;
    let Some((design, _)) = parse_design(&text, &mut Findings::new()) else {
        return Err("the design has faults".into());
    };
    let face = if face == "top" { Face::Top } else { Face::Bottom };
    let diameter = length(diameter)?;
    let tool = if form == "ball" { Tool::ball(diameter) } else { Tool::flat(diameter) };
    let ground = surface(&Body::new(&design), face, tool, length(cell)?).heights;
    let left = closing(&ground, tool);
    let mut bytes =
        format!("{} {} {}\n", ground.columns, ground.rows, ground.cell.as_mm()).into_bytes();
    for z in ground.mm.iter().chain(&left.mm) {
        bytes.extend(z.to_le_bytes());
    }
    fs::write(out, bytes)?;
    Ok(())
}
