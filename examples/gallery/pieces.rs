//! What the gallery shows: the shipped designs, and the fork's job sheet. The test that says when
//! the gallery is stale makes it from here, too.

use sha2::{Digest, Sha256};
use std::error::Error;
use std::fs;
use std::path::Path;
use treenwright::blocks::hold_down;
use treenwright::drawing::board::layout;
use treenwright::drawn;
use treenwright::finding::{Findings, Severity};
use treenwright::inlay;
use treenwright::job::{Job, Order, plan};
use treenwright::mesh::Mesh;
use treenwright::params::HoldForm;
use treenwright::render::{Picture, Shown, View, Wood, shaded};
use treenwright::{packet, params};

/// Designs, each with its board.
pub const PIECES: [(&str, &str); 3] = [("spoon", "cherry"), ("fork", "beech"), ("turner", "pear")];

/// Designs that show what else can be asked for, each with its board and a view of it.
const MORE: [(&str, &str, View); 19] = [
    ("cranked-spoon", "cherry", View::Side),
    ("cranked-spoon", "cherry", View::ThreeQuarter),
    ("corner-spoon", "cherry", View::Top),
    ("corner-spoon", "cherry", View::ThreeQuarter),
    ("draining-spoon", "cherry", View::ThreeQuarter),
    ("slotted-turner", "pear", View::ThreeQuarter),
    ("wheat-spoon", "cherry", View::Top),
    ("wheat-fork", "cherry", View::Top),
    ("salad-fork", "cherry", View::ThreeQuarter),
    ("salad-fork", "cherry", View::Top),
    ("salad-spoon", "cherry", View::ThreeQuarter),
    ("harvest-spreader", "pear", View::ThreeQuarter),
    ("harvest-spreader", "pear", View::Top),
    ("harvest-scoop", "beech", View::ThreeQuarter),
    ("harvest-scoop", "beech", View::Side),
    ("apple-spoon", "cherry", View::ThreeQuarter),
    ("apple-spoon", "cherry", View::Top),
    ("porridge-spoon", "pear", View::ThreeQuarter),
    ("porridge-spoon", "pear", View::Top),
];

/// Whose sheet is shown.
pub const SHEET_OF: &str = "fork";

/// Of which the large picture is an SVG.
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
        let (job, findings) = job(&[harvest(kind)], board)?;
        let (piece, shop) = (&job.pieces[0], &job.shop);
        let wood = Wood::of(&job.board.species);
        let picture = |shown, view, size| Picture { piece, shop, shown, view, size, wood };
        for view in View::ALL {
            // The one on its tabs, or as SVG, is kept in its place.
            if [ON_TABS, VECTOR_OF].contains(&kind) && matches!(view, View::ThreeQuarter) {
                continue;
            }
            let png = picture(Shown::Finished, view, size(view)).png();
            files.push((format!("{kind}-{}.png", view.name()), png));
        }
        let view = View::ThreeQuarter;
        if kind == VECTOR_OF {
            let svg = picture(Shown::Finished, view, size(view)).svg();
            files.push((format!("{kind}-{}.svg", view.name()), svg.into_bytes()));
        }
        if kind == ON_TABS {
            let png = picture(Shown::OnTabs, view, (480, 250)).png();
            files.push((format!("{kind}-on-tabs.png"), png));
        }
        if kind == SHEET_OF {
            let names = [SHEET.to_owned()];
            let packet = packet::some(&job, &findings, &Default::default(), &names)?;
            let page = packet.into_iter().find(|file| file.name == SHEET);
            files.push((SHEET.to_owned(), page.ok_or("the packet has no sheet")?.bytes));
        }
    }
    for (name, board, view) in MORE {
        let (job, _) = self::job(&[name.to_owned()], board)?;
        let (piece, shop, wood) = (&job.pieces[0], &job.shop, Wood::of(&job.board.species));
        let picture = Picture { piece, shop, shown: Shown::Finished, view, size: size(view), wood };
        files.push((format!("{name}-{}.png", view.name()), picture.png()));
    }
    files.extend(blocks()?);
    // The whole set on the wide pear board.
    let (set, _) = self::job(&PIECES.map(|(kind, _)| harvest(kind)), "pear-wide")?;
    files.push(("layout.svg".to_owned(), layout::svg(&set).into_bytes()));
    Ok(files)
}

/// Blocks to print: both kinds of hold-down as they stand, and the spoon's print plate.
fn blocks() -> Result<Vec<Made>, Box<dyn Error>> {
    let (job, _) = job(&[harvest("spoon")], "cherry")?;
    let mounting = job.mounting.as_ref().ok_or("only a body")?;
    let mut files = Vec::new();
    for (name, form) in [("stepped", HoldForm::Stepped), ("low", HoldForm::Low)] {
        let model = hold_down(&job.shop, job.board.usable_height(), form);
        let model = model.map_err(|fault| fault.message.clone())?;
        let block = model.block.ok_or("no block")?;
        let mesh = turned(&block.mesh);
        let png = shaded(&mesh, &View::ThreeQuarter, (400, 330), Wood::Plastic);
        files.push((format!("hold-down-{name}.png"), png));
    }
    let plate = mounting.clamps.plates.first().ok_or("no plate")?;
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

fn harvest(kind: &str) -> String {
    format!("harvest-{kind}")
}

fn job(names: &[String], board: &str) -> Result<(Job, Findings), Box<dyn Error>> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("params");
    let read = |path: String| fs::read_to_string(root.join(path));
    let mut findings = Findings::new();
    let bytes = |name: &str| {
        let path = root.join("designs").join(name);
        fs::read(path).map_err(|error| error.to_string())
    };
    let mut designs = Vec::new();
    for name in names {
        let design = read(format!("designs/{name}.toml"))?;
        designs.push(drawn::design(&design, &bytes, &mut findings).0.ok_or("no design")?);
    }
    let board = read(format!("boards/{board}.toml"))?;
    let (board, _) = params::parse_board(&board, &mut findings).ok_or("no board")?;
    let shop = read("shop.toml".to_owned())?;
    let (shop, _) = params::parse_shop(&shop, &mut findings).ok_or("no shop")?;
    let brought = designs.iter().map(|design| inlay::bring(design, &bytes, &mut findings));
    let brought = brought.collect();
    let outcome = plan(&Order { brought, ..Order::new(designs, board, shop) });
    let fault = findings.iter().chain(outcome.findings.iter());
    if let Some(fault) = fault.into_iter().find(|one| one.severity == Severity::Fault) {
        return Err(format!("{}: {}", names.join(", "), fault.message).into());
    }
    Ok((outcome.job.ok_or("the job can't be made")?, outcome.findings))
}

/// A line of the list.
pub fn line(name: &str, bytes: &[u8]) -> String {
    let sum: String = Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect();
    format!("{sum}  {name}\n")
}
