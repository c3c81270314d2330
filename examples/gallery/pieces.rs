//! What the gallery shows: the shipped designs, and the fork's job sheet. The test that says when
//! the gallery is stale makes it from here, too.

use sha2::{Digest, Sha256};
use std::error::Error;
use std::fs;
use std::path::Path;
use treenwright::bed;
use treenwright::blocks::hold_down;
use treenwright::finding::Findings;
use treenwright::fit::Spare;
use treenwright::fit::choosing::{How, offer};
use treenwright::fit::layout::{Effort, Match};
use treenwright::job::{Job, Order, Scope, SetOrder, plan, plan_set};
use treenwright::mesh::Mesh;
use treenwright::params::{Board, HoldForm};
use treenwright::render::{View, Wood, shaded};
use treenwright::sheet::Shown;
use treenwright::units::Length;
use treenwright::{params, sheet};

/// Designs, each with its board.
pub const PIECES: [(&str, &str); 3] = [("spoon", "cherry"), ("fork", "beech"), ("turner", "pear")];

/// Whose sheet is shown.
pub const SHEET_OF: &str = "fork";

/// Of which there is a picture as SVG, too.
pub const VECTOR_OF: &str = "turner";

/// Of which there is one on its tabs.
pub const ON_TABS: &str = "fork";

/// What the list calls the sheet, of which only screenshots are kept.
pub const SHEET: &str = "sheet.html";

/// The list of what was made, with the sum of each file.
pub const LIST: &str = "made.txt";

/// Width and height of a view's picture, in pixels.
const fn size(view: View) -> (u32, u32) {
    match view {
        View::Top | View::Bottom => (720, 216),
        View::Side => (720, 135),
        View::ThreeQuarter => (720, 374),
    }
}

/// A file's name and its bytes.
pub type Made = (String, Vec<u8>);

/// All pictures, and the sheet under [`SHEET`].
pub fn all() -> Result<Vec<Made>, Box<dyn Error>> {
    let mut files = Vec::new();
    for (kind, board) in PIECES {
        let (job, findings) = job(kind, board)?;
        let wood = Wood::of(&job.order.board.species);
        for view in View::ALL {
            let png = sheet::picture_of(&job, Shown::Finished, view, size(view), wood);
            files.push((format!("{kind}-{}.png", view.name()), png));
        }
        if kind == VECTOR_OF {
            let (view, size) = (View::ThreeQuarter, size(View::ThreeQuarter));
            let svg = sheet::picture_svg_of(&job, Shown::Finished, view, size, wood);
            files.push((format!("{kind}-{}.svg", view.name()), svg.into_bytes()));
        }
        if kind == ON_TABS {
            let view = View::ThreeQuarter;
            let png = sheet::picture_of(&job, Shown::OnTabs, view, (480, 250), wood);
            files.push((format!("{kind}-on-tabs.png"), png));
        }
        if kind == SHEET_OF {
            let packet = sheet::packet(&job, &findings)?;
            let page = packet.into_iter().find(|file| file.name == SHEET);
            files.push((SHEET.to_owned(), page.ok_or("the packet has no sheet")?.bytes));
        }
    }
    files.extend(blocks()?);
    files.push(("layout.svg".to_owned(), layout()?.into_bytes()));
    Ok(files)
}

/// The whole set on the wide pear board.
fn layout() -> Result<String, Box<dyn Error>> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("params");
    let mut said = Findings::new();
    let mut designs = Vec::new();
    for (kind, _) in PIECES {
        let text = fs::read_to_string(root.join(format!("designs/harvest-{kind}.toml")))?;
        designs.push(params::parse_design(&text, &mut said).ok_or("a design has faults")?.0);
    }
    let text = fs::read_to_string(root.join("boards/pear-wide.toml"))?;
    let (board, _) = params::parse_board(&text, &mut said).ok_or("the board has faults")?;
    let text = fs::read_to_string(root.join("shop.toml"))?;
    let (shop, _) = params::parse_shop(&text, &mut said).ok_or("the shop has faults")?;
    let room = |board: &Board, skirts: &[Vec<_>]| bed::has_room(board, &shop, skirts);
    let (spare, together) = (Spare::Leave, Match::Free);
    let how = How { spare, together, effort: Effort::Best, room: &room };
    let offer = offer(0, &designs, &board, &shop, &how);
    let (tolerance, scope) = (Length::mm(0.02), Scope::Packet);
    let shop = shop.clone();
    let set = SetOrder { designs, board, shop, tolerance, scope, spare, together };
    Ok(sheet::layout_drawing(&plan_set(&set).jobs, &offer.layout))
}

/// Blocks to print: both kinds of hold-down as they stand, and the spoon's print plate.
fn blocks() -> Result<Vec<Made>, Box<dyn Error>> {
    let (job, _) = job("spoon", "cherry")?;
    let round = job.round.as_ref().ok_or("only a body")?;
    let mut files = Vec::new();
    for (name, form) in [("stepped", HoldForm::Stepped), ("low", HoldForm::Low)] {
        let model = hold_down(&job.order.shop, job.stock.height, form);
        let model = model.map_err(|fault| fault.message.clone())?;
        let block = model.block.ok_or("no block")?;
        let mesh = turned(&block.mesh);
        let png = shaded(&mesh, &View::ThreeQuarter, (400, 330), Wood::Plastic);
        files.push((format!("hold-down-{name}.png"), png));
    }
    let plate = round.clamps.plates.first().ok_or("no plate")?;
    let png = shaded(&plate.mesh, &View::ThreeQuarter, (560, 294), Wood::Plastic);
    files.push(("print-plate.png".to_owned(), png));
    Ok(files)
}

/// A block turned half round, so that its mark is seen.
fn turned(mesh: &Mesh) -> Mesh {
    Mesh {
        points: mesh.points.iter().map(|p| glam::DVec3::new(-p.x, -p.y, p.z)).collect(),
        triangles: mesh.triangles.clone(),
    }
}

fn job(kind: &str, board: &str) -> Result<(Job, Findings), Box<dyn Error>> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("params");
    let read = |path: String| fs::read_to_string(root.join(path));
    let mut findings = Findings::new();
    let design = read(format!("designs/harvest-{kind}.toml"))?;
    let (design, _) = params::parse_design(&design, &mut findings).ok_or("no design")?;
    let board = read(format!("boards/{board}.toml"))?;
    let (board, _) = params::parse_board(&board, &mut findings).ok_or("no board")?;
    let shop = read("shop.toml".to_owned())?;
    let (shop, _) = params::parse_shop(&shop, &mut findings).ok_or("no shop")?;
    let tolerance = Length::mm(0.02);
    let outcome = plan(&Order { design, board, shop, tolerance, scope: Scope::Packet });
    Ok((outcome.job.ok_or("the job can't be made")?, outcome.findings))
}

/// A line of the list.
pub fn line(name: &str, bytes: &[u8]) -> String {
    let sum: String = Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect();
    format!("{sum}  {name}\n")
}
