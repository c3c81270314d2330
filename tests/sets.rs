//! Several designs on one board.

use std::fs;
use std::path::Path;
use treenwright::finding::{Finding, Findings, Source};
use treenwright::fit::layout::Match;
use treenwright::job::{self, Mounted, Order, Outcome, Scope};
use treenwright::params::{self, Design, template};
use treenwright::sheet::Title;
use treenwright::units::Length;
use treenwright::{mesh, packet};

fn design(name: &str) -> Design {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let text = fs::read_to_string(root.join(format!("params/designs/{name}.toml"))).unwrap();
    params::parse_design(&text, &mut Findings::new()).unwrap().0
}

/// The shipped cherry board, planed thicker, of another length and width, without flaws.
fn planned(designs: &[&str], length: f64, width: f64, together: Match) -> Outcome {
    let order = ordered(designs.iter().map(|name| design(name)).collect(), 36.0);
    let mut board = order.board.clone();
    board.length = Length::mm(length);
    board.width = Length::mm(width);
    job::plan(&Order { board, together, ..order })
}

/// A job of these designs on the shipped cherry board, planed to another thickness, without flaws.
fn ordered(designs: Vec<Design>, thickness: f64) -> Order {
    let mut board = params::parse_board(template(Source::Board), &mut Findings::new()).unwrap().0;
    board.flaws.clear();
    board.readings.truncate(1);
    board.readings[0].thickness = Length::mm(thickness);
    let shop = params::parse_shop(template(Source::Shop), &mut Findings::new()).unwrap().0;
    Order::new(designs, board, shop)
}

fn skirt(at: &Mounted<'_>) -> Vec<glam::DVec2> {
    at.piece.outlines.limit.skirt_edge().iter().map(|p| at.placement.on_board(*p)).collect()
}

#[test]
fn three_pieces_share_a_board_its_pins_and_its_hold_downs() {
    let all = ["harvest-spoon", "harvest-fork", "harvest-turner"];
    let outcome = planned(&all, 520.0, 330.0, Match::Free);
    assert!(!outcome.findings.has_fault(), "{:#?}", outcome.findings);
    let job = outcome.job.as_ref().unwrap();
    let pieces = job.mounted();
    assert_eq!(pieces.len(), 3);
    let margin = job.shop.limits.margin.as_mm();
    let skirts: Vec<_> = pieces.iter().map(skirt).collect();
    for (i, one) in skirts.iter().enumerate() {
        for other in &skirts[..i] {
            let gap = one
                .iter()
                .flat_map(|p| other.iter().map(move |q| p.distance(*q)))
                .fold(f64::INFINITY, f64::min);
            assert!(gap >= margin - 1e-6, "{gap}");
        }
        for pin in &job.mounting.as_ref().unwrap().pins.places {
            let gap = one.iter().map(|p| p.distance(*pin)).fold(f64::INFINITY, f64::min);
            assert!(gap >= margin + 3.0, "a pin stands {gap} from skirt {i}");
        }
    }
    let artefacts = packet::whole(job, &outcome.findings, &Title::default()).unwrap();
    let names: Vec<&str> = artefacts.iter().map(|artefact| artefact.name.as_str()).collect();
    for name in [
        "packet.json",
        "sheet.html",
        "board.dxf",
        "workholding/hold-down.stl",
        "harvest-turner/templates.pdf",
        "harvest-spoon/body.step",
        "harvest-fork/bottom/slots.dxf",
        "top/pins.dxf",
        "bed/pins.dxf",
        "harvest-turner/bottom/relief.stl",
    ] {
        assert_eq!(names.iter().filter(|known| **known == name).count(), 1, "{name} in {names:#?}");
    }
    // What belongs to the board stands once, and slots only where they are cut.
    for name in ["board.dxf", "top/pins.dxf", "bottom/pins.dxf", "top/slots.dxf", "top/limit.dxf"] {
        assert!(!names.contains(&format!("harvest-fork/{name}").as_str()), "{name}");
    }
    assert!(!names.contains(&"bottom/pins.dxf"));
    let sheet = artefacts.iter().find(|artefact| artefact.name == "sheet.html").unwrap();
    let sheet = String::from_utf8_lossy(&sheet.bytes);
    assert!(sheet.contains("<h1>Set of 3 pieces</h1>"));
    assert_eq!(sheet.matches("The board</h2>").count(), 1);
    assert_eq!(
        sheet.matches("Setup 1: top up</h2>").count(),
        1,
        "the board is mounted once a side"
    );
    // What each piece has is said once, with the folders that it is in.
    assert!(sheet.contains("<code>harvest-spoon/</code>"));
    assert!(sheet.contains("<code>*/top/relief.stl</code>"));
    // Nothing is left that the ball can't reach, so that those maps are white and stay away.
    assert_eq!(sheet.matches("alt=\"Map of the").count(), 0);
    assert_eq!(sheet.matches("alt=\"Ridges of the").count(), 6);
}

#[test]
fn a_design_given_twice_is_made_twice_in_folders_of_its_own() {
    let outcome = planned(&["harvest-spoon", "harvest-spoon"], 480.0, 230.0, Match::HeadToTail);
    assert!(!outcome.findings.has_fault(), "{:#?}", outcome.findings);
    let job = outcome.job.unwrap();
    assert_eq!(packet::folders(&job), ["harvest-spoon", "harvest-spoon-2"]);
    let [one, other] = job.mounted()[..] else { panic!("two pieces") };
    let turn = |at: Mounted<'_>| at.placement.angle.as_degrees();
    let off = (turn(one) - turn(other)).rem_euclid(360.0);
    assert!((off - 180.0).abs() < 20.0, "{off}");
}

#[test]
fn mirrored_pieces_lean_by_the_same_angle_to_the_other_side() {
    let outcome = planned(&["harvest-spoon", "harvest-spoon"], 440.0, 215.0, Match::Mirrored);
    assert!(!outcome.findings.has_fault(), "{:#?}", outcome.findings);
    let places = outcome.job.unwrap().mounting.unwrap().placements;
    let sum = places[0].angle.as_radians() + places[1].angle.as_radians();
    assert!(sum.abs() < 1e-9, "{places:?}");
    assert!((places[0].origin.x - places[1].origin.x).abs() < 1e-6, "{places:?}");
}

#[test]
fn a_set_too_large_for_the_board_is_a_fault_that_names_what_has_no_place() {
    let outcome =
        planned(&["harvest-spoon", "harvest-turner", "harvest-turner"], 400.0, 150.0, Match::Free);
    assert!(outcome.job.is_some_and(|job| job.mounting.is_none()), "nothing holds it");
    let fault = outcome.findings.iter().find(|f| f.code == job::SET_NOT_PLACED).expect("a fault");
    assert!(fault.message.contains("harvest turner"), "{}", fault.message);
}

#[test]
fn what_is_said_of_one_piece_names_it_and_what_is_said_of_all_is_said_once() {
    // Both spoons have to be made lower for a thinner board, each by its own file.
    let mut findings = Findings::new();
    let mut board = params::parse_board(template(Source::Board), &mut findings).unwrap().0;
    board.flaws.clear();
    board.width = Length::mm(260.0);
    board.form.nominal = Some(params::Nominal { quarters: 8 });
    board.readings.iter_mut().for_each(|reading| reading.thickness = Length::mm(29.5));
    let shop = params::parse_shop(template(Source::Shop), &mut findings).unwrap().0;
    let designs = vec![design("harvest-spoon"), design("harvest-spoon")];
    let tolerance = mesh::COARSEST;
    let outcome = job::plan(&Order { tolerance, ..Order::new(designs, board, shop) });
    let of = |name: &str| -> Vec<Option<usize>> {
        outcome.findings.iter().filter(|f| f.code.name == name).map(|f| f.piece).collect()
    };
    assert_eq!(of("fitted-to-board"), [Some(0), Some(1)]);
    assert_eq!(of("nominal-disagrees"), [None]);
}

#[test]
fn each_file_of_a_packet_can_be_had_alone_with_the_same_bytes() {
    let all = ["harvest-spoon", "harvest-fork"];
    for designs in [&all[..1], &all[..]] {
        let outcome = planned(designs, 480.0, 260.0, Match::Free);
        let (job, findings) = (outcome.job.unwrap(), outcome.findings);
        let title = Title { name: None, date: Some("today") };
        let whole = packet::whole(&job, &findings, &title).unwrap();
        assert!(whole.len() > 40, "{}", whole.len());
        for file in &whole {
            let names = [file.name.clone()];
            let some = packet::some(&job, &findings, &title, &names).unwrap();
            let listed = some[0].name == "packet.json";
            if file.name == "packet.json" {
                // The list has what is there beside it: here nothing.
                assert!(listed && some.len() == 1);
            } else {
                assert!(listed && some[1..] == [file.clone()], "{}", file.name);
            }
        }
        let known = |name: &str| packet::some(&job, &findings, &title, &[name.to_owned()]).is_ok();
        assert!(!known("fork.stl"));
        // A piece's own file is in its folder, and there alone.
        assert_eq!(known("templates.pdf"), designs.len() == 1);
        assert_eq!(known("harvest-fork/templates.pdf"), designs.len() > 1);
    }
}

/// What is said with that code of the bodies of a job.
fn said(order: &Order, code: &str) -> Vec<Finding> {
    let outcome = job::plan(&Order { scope: Scope::Body, ..order.clone() });
    outcome.findings.into_iter().filter(|finding| finding.code.name == code).collect()
}

#[test]
fn a_board_is_not_planed_too_thin_for_the_tallest_piece_of_a_set() {
    let [spoon, turner] = ["harvest-spoon", "harvest-turner"].map(design);
    // The turner alone has much to spare on a board that the spoon needs.
    assert_eq!(said(&ordered(vec![turner.clone()], 32.0), "too-thick").len(), 1);
    assert!(said(&ordered(vec![spoon.clone(), turner.clone()], 32.0), "too-thick").is_empty());
    for (thickness, tells) in [(37.0, "Plane off "), (46.0, "Resaw the board so that ")] {
        let order = ordered(vec![turner.clone(), spoon.clone()], thickness);
        let told = said(&order, "too-thick");
        let [one] = &told[..] else { panic!("said once for all: {told:#?}") };
        assert!(one.piece.is_none() && one.message.contains("tallest piece"), "{one:#?}");
        let rest = one.help.strip_prefix(tells).unwrap_or_else(|| panic!("{one:#?}"));
        let off: f64 = rest.split(' ').next().and_then(|off| off.parse().ok()).expect("a figure");
        let done = ordered(vec![turner.clone(), spoon.clone()], thickness - off);
        for code in ["too-thick", "too-tall", "fitted-to-board"] {
            assert!(said(&done, code).is_empty(), "{code} after {off} mm came off {thickness} mm");
        }
    }
}

#[test]
fn handles_of_a_set_on_a_thinner_board_stay_alike() {
    let text = |name: &str, word: &str| {
        let root = Path::new(env!("CARGO_MANIFEST_DIR"));
        let text = fs::read_to_string(root.join(format!("params/designs/{name}.toml"))).unwrap();
        let (before, after) = text.split_once("\"handle.curve\" = { ").expect("a give");
        let text = format!("{before}\"handle.curve\" = {{ {word}{after}");
        params::parse_design(&text, &mut Findings::new()).expect("a design").0
    };
    let curves = |word: &str| -> Vec<String> {
        let set = ["harvest-spoon", "harvest-fork"].map(|name| text(name, word));
        let told = said(&ordered(set.into(), 25.5), "fitted-to-board");
        let share = |finding: &Finding| {
            let (_, rest) = finding.message.split_once("handle.curve from 100 % to ")?;
            rest.split(' ').next().map(str::to_owned)
        };
        told.iter().filter_map(share).collect()
    };
    let apart = curves("");
    assert!(apart.len() == 1 || apart[0] != apart[1], "they would differ: {apart:?}");
    let alike = curves("alike = \"handles\", ");
    assert!(alike.len() == 2 && alike[0] == alike[1], "{alike:?}");
}
