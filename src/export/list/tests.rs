//! Tests of the list.

use super::*;
use crate::finding::{Code, Finding, Source};
use crate::params::*;
use crate::units::Unit;
use glam::DVec2;

const LOW: Code = Code { name: "spare-wood", explain: "" };

/// A whole `Entry` of a fork of the harvest supper.
pub(crate) fn sample() -> Entry {
    let mut findings = Findings::new();
    findings.push(
        Finding::caution(LOW, "9.95 mm to spare", "Plane it off.").at(Source::Board, "readings"),
    );
    findings.push(Finding::caution(LOW, "no place", "None."));
    let at = |at: f64, size: f64| Station { at, size: Length::mm(size) };
    Entry {
        folder: String::new(),
        design: Design {
            plan: None,
            name: "harvest fork".into(),
            kind: Kind::Fork,
            length: Length::mm(290.0),
            lean: crate::units::Angle::degrees(8.0),
            mirror: false,
            edge: Length::mm(2.0),
            head: Head::Bowl(Bowl {
                length: Length::mm(95.0),
                width: Length::mm(64.0),
                depth: Length::mm(7.0),
                wall: Length::mm(5.0),
                rim: Varying::Even(Length::mm(2.5)),
                rim_round: None,
                fullness: 2.4,
                widest: 0.55,
                deepest: None,
                shoulder: None,
                keel: None,
                curve: vec![],
                outline: vec![],
                sway: vec![],
            }),
            handle: Handle {
                end: Length::mm(12.0),
                width: vec![at(0.0, 24.0), at(1.0, 14.0)],
                thickness: vec![at(0.0, 9.0), at(1.0, 13.0)],
                curve: vec![],
                sway: vec![],
                section: Varying::Even(2.2),
                end_shape: None,
                facets: None,
                knob: None,
            },
            opening: vec![],
            tines: Some(Tines {
                count: 4,
                slot: Slot {
                    width: Length::mm(6.5),
                    length: Length::mm(55.0),
                    taper: Angle::degrees(1.0),
                },
                tip: TineTip::Square,
                splay: Angle::degrees(0.0),
            }),
            tabs: Tabs {
                width: Length::mm(9.0),
                thickness: Length::mm(5.0),
                place: vec![TabPlace { side: Side::Left, at: 0.12 }],
                auto: None,
            },
            clean_up: vec![],
            inlay: vec![],
            load: crate::params::Load::default(),
            accept: vec![],
            give: vec![Give {
                key: "handle.curve".into(),
                least: Bound::Fraction(0.4),
                most: Bound::Length(Length::mm(9.0)),
                weight: 1.0,
                alike: None,
            }],
        },
        measured: Measured {
            length: Length::mm(290.0001234),
            width: Length::mm(64.0),
            height: Length::mm(21.3),
            bowl_depth: Some(Length::mm(6.999)),
            body_volume_mm3: 61_234.567_89,
            tine_width_least: Some(Length::mm(9.1)),
            ..Measured::default()
        },
        mesh: MeshInfo {
            tolerance: Length::mm(0.02),
            error_max: Length::mm(0.018_761),
            triangles: 30_000,
            angle_least: Angle::degrees(14.2),
        },
        stock: StockInfo {
            usable: Length::mm(31.25),
            height: Length::mm(31.25),
            spare: Length::mm(-0.0),
        },
        changes: vec![ChangeInfo {
            key: "bowl.depth".into(),
            from: "7 mm".into(),
            to: "6.5 mm".into(),
            limit: "5 mm".into(),
        }],
        findings,
        round: None,
        movement: Vec::new(),
        grain: Vec::new(),
        checks: super::ChecksInfo::default(),
    }
}

/// A board and a shop for it.
fn bench() -> (Board, Shop) {
    let board = Board {
        name: "pear 3".into(),
        species: "pear".into(),
        length: Length::mm(600.0),
        width: Length::mm(140.0),
        readings: vec![Reading { at: DVec2::new(10.0, 20.0), thickness: Length::inches(1.25) }],
        skim_top: Length::mm(0.5),
        skim_bottom: Length::ZERO,
        moisture_now: Some(9.5),
        moisture_use: None,
        grain: Angle::degrees(0.0),
        form: crate::params::Form::default(),
        flaws: vec![Flaw {
            kind: FlawKind::Knot,
            shape: FlawShape::Circle { centre: DVec2::new(300.0, 40.0), radius: Length::mm(12.0) },
        }],
    };
    let shop = Shop {
        name: "village hall shop".into(),
        unit: Unit::Inch,
        turn: TurnAxis::X,
        zero: Zero::Bottom,
        models: Unit::Millimetre,
        paper: crate::params::Paper::A4,
        cutters: vec![Cutter {
            name: "ball 6".into(),
            number: None,
            form: CutterForm::Ball,
            diameter: Length::mm(6.0),
            flute: Length::mm(38.0),
            stick_out: Length::mm(50.0),
            feed_mm_min: 1800.0,
            plunge_mm_min: None,
            speed_rpm: 18_000.0,
            step_over: Some(Length::mm(0.5)),
            pass_depth: None,
            holder: None,
        }],
        work: Work {
            rough: "flat 8".into(),
            finish: "ball 6".into(),
            slots: "flat 6".into(),
            pins: None,
            leave: Length::mm(0.5),
        },
        pin: Pin { diameter: Length::mm(6.0), play: Length::mm(0.05) },
        bolt: Bolt { size: BoltSize::M6, fit: BoltFit::Normal },
        hold_down: HoldDown {
            lip: Length::mm(12.0),
            lip_thickness: Length::mm(8.0),
            body: Length::mm(40.0),
            width: Length::mm(30.0),
            squeeze: Length::mm(0.2),
        },
        printer_fit: Length::mm(0.2),
        limits: Limits {
            tine: Length::mm(5.0),
            wall: Length::mm(3.0),
            rim: Length::mm(2.0),
            spare: Length::mm(6.0),
            margin: Length::mm(10.0),
            overlap: Length::mm(0.5),
            check: crate::params::CheckLimits::default(),
        },
        bed: Bed::usual(Length::mm(6.0)),
        notes: vec!["Extraction on before the spindle.".into()],
    };
    (board, shop)
}

/// The list of a packet of that one piece.
pub(crate) fn list(entry: &Entry, artefacts: &[Artefact]) -> Result<Artefact, ExportError> {
    let (board, shop) = bench();
    let pieces = std::slice::from_ref(entry);
    super::list((&board, &shop, None), pieces, &Findings::new(), artefacts)
}

pub(crate) fn artefact(name: &str, bytes: &[u8]) -> Artefact {
    Artefact {
        name: name.into(),
        role: "the body, unslotted",
        unit: "mm",
        frame: "design",
        bytes: bytes.into(),
    }
}

fn text(info: &Entry) -> String {
    String::from_utf8(list(info, &[artefact("top/relief.stl", b"abc")]).unwrap().bytes).unwrap()
}

#[test]
fn the_keys_of_format_1_are_there_in_their_order() {
    let text = text(&sample());
    let keys = [
        "format",
        "tool",
        "tool_version",
        "design",
        "board",
        "shop",
        "measured",
        "mesh",
        "stock",
        "changes",
        "findings",
        "files",
        "seal",
    ];
    let mut from = 0;
    for key in keys {
        let at = text[from..].find(&format!("\n  \"{key}\": ")).expect(key);
        from += at + 1;
    }
    let json: serde_json::Value = serde_json::from_str(&text).unwrap();
    assert_eq!(json["format"], 2);
    assert_eq!(json["measured"]["length_mm"], 290.00012);
    assert_eq!(json["measured"]["body_volume_mm3"], 61_234.57);
    assert_eq!(json["measured"].get("capacity_ml"), None);
    assert_eq!(json["mesh"]["error_max_mm"], 0.01876);
    assert_eq!(json["board"]["readings"][0]["thickness_mm"], 31.75);
    assert_eq!(json["design"]["give"][0]["least_percent"], 40.0);
    assert_eq!(json["findings"][0]["where"]["file"], "board");
    assert_eq!(json["findings"][1]["where"], serde_json::Value::Null);
    // SHA-256 of "abc": FIPS 180-4's own example.
    assert_eq!(
        json["files"][0]["sha256"],
        "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    );
    assert_eq!(json["files"][0]["bytes"], 3);
    assert!(!text.contains("-0.0"), "a negative zero");
}

#[test]
fn a_figure_that_is_not_a_number_is_an_error_and_never_null() {
    for wrong in [f64::NAN, f64::INFINITY, 1e300 * 1e300] {
        let mut info = sample();
        info.measured.bowl_depth = Some(Length::mm(wrong));
        assert!(list(&info, &[]).is_err());
        let mut info = sample();
        info.measured.body_area_mm2 = wrong;
        assert!(list(&info, &[]).is_err());
    }
}

#[test]
fn a_list_is_known_as_ours_until_a_byte_of_it_is_changed() {
    let text = text(&sample());
    let files = read(&text).unwrap();
    assert_eq!(files[0].name, "top/relief.stl");
    assert!(read(&text.replace("harvest fork", "harvest tork")).is_none());
    assert!(read(&text.replace("\"seal\": \"", "\"seal\": \"0")).is_none());
    assert!(read(&text.replace("  \"files\"", "  \"fils\"")).is_none());
    for other in ["", "{}", "[]", "{\"files\": [], \"tool\": \"treenwright\"}"] {
        assert!(read(other).is_none());
    }
}
