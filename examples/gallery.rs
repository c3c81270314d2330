//! Draws the gallery's pictures from packets.
//!
//! `cargo run --release --example gallery -- PACKET ...` reads `finished.stl` and `packet.json` of
//! each packet folder and writes `gallery/NAME-VIEW.png` for each view, NAME being the folder's.
//! `--wood SPECIES` before a folder says what it is drawn in; without it, the packet's board does.
//! `--to FOLDER` writes somewhere else than `gallery`.

use glam::DVec3;
use std::error::Error;
use std::fs;
use std::io::{BufReader, ErrorKind};
use std::path::{Path, PathBuf};
use treenwright::mesh::Mesh;
use treenwright::sheet::picture::{View, Wood, shaded};

/// Width and height of a view's picture, in picture elements.
const fn size(view: View) -> (u32, u32) {
    match view {
        View::Top | View::Bottom => (1200, 360),
        View::Side => (1200, 220),
        View::ThreeQuarter => (1200, 620),
    }
}

fn main() -> Result<(), Box<dyn Error>> {
    let mut to = PathBuf::from("gallery");
    let mut wood = None;
    let mut drawn = 0;
    let mut arguments = std::env::args().skip(1);
    while let Some(argument) = arguments.next() {
        match argument.as_str() {
            "--to" => to = arguments.next().ok_or("--to needs a folder")?.into(),
            "--wood" => wood = Some(arguments.next().ok_or("--wood needs a species")?),
            folder => {
                let species = wood.take();
                draw(Path::new(folder), species.as_deref(), &to)?;
                drawn += 1;
            }
        }
    }
    if drawn == 0 {
        return Err("say which packet folders to draw".into());
    }
    Ok(())
}

fn draw(packet: &Path, species: Option<&str>, to: &Path) -> Result<(), Box<dyn Error>> {
    let name = packet.file_name().ok_or("a packet's folder needs a name")?.to_string_lossy();
    let mesh = read(&packet.join("finished.stl"))?;
    let species = species.map(str::to_owned).or_else(|| species_of(packet));
    let wood = species.as_deref().map_or(Wood::Other, Wood::of);
    fs::create_dir_all(to)?;
    for view in View::ALL {
        let path = to.join(format!("{name}-{}.png", view.name()));
        fs::write(&path, shaded(&mesh, &view, size(view), wood))?;
        println!("{}", path.display());
    }
    Ok(())
}

/// The mesh of an STL file.
fn read(path: &Path) -> Result<Mesh, Box<dyn Error>> {
    let file = fs::File::open(path).map_err(|error| match error.kind() {
        ErrorKind::NotFound => format!("there is no {}", path.display()),
        _ => format!("{}: {error}", path.display()),
    })?;
    let stl = stl_io::read_stl(&mut BufReader::new(file))?;
    let points = stl.vertices.iter().map(|v| {
        let [x, y, z] = v.0;
        DVec3::new(f64::from(x), f64::from(y), f64::from(z))
    });
    let triangles = stl.faces.iter().map(|face| face.vertices.map(|corner| corner as u32));
    Ok(Mesh { points: points.collect(), triangles: triangles.collect() })
}

/// The board's species as `packet.json` has it, if it does.
fn species_of(packet: &Path) -> Option<String> {
    let text = fs::read_to_string(packet.join("packet.json")).ok()?;
    let packet: serde_json::Value = serde_json::from_str(&text).ok()?;
    ["/board/species", "/stock/species"]
        .iter()
        .find_map(|key| packet.pointer(key)?.as_str().map(str::to_owned))
}
