//! Tests of the page.

use super::figures::{bare, feed, off_by};
use super::*;
use crate::export::list::ChangeInfo;
use crate::finding::{Code, Finding, Findings, Source};
use crate::params::{Cutter, CutterForm};
use crate::units::{Angle, Length, Unit};
use crate::work::PassHeights;

const SPARE: Code = Code { name: "spare-wood", explain: "" };

fn cutter(name: &str, form: CutterForm, diameter: f64) -> Cutter {
    Cutter {
        number: None,
        pass_depth: None,
        holder: None,
        name: name.into(),
        form,
        diameter: Length::mm(diameter),
        flute: Length::mm(38.0),
        stick_out: Length::mm(52.0),
        feed_mm_min: 1800.0,
        plunge_mm_min: None,
        speed_rpm: 16_000.0,
        step_over: Some(Length::mm(diameter / 12.0)),
    }
}

fn sample(unit: Unit) -> SheetInfo {
    let size = |what: &str, asked: f64, measured: f64| SizeLine {
        what: what.into(),
        asked: Length::mm(asked),
        measured: Length::mm(measured),
        at_least: false,
    };
    let figure = |what: &str, value: &str, estimate| Labelled {
        what: what.into(),
        value: value.into(),
        estimate,
    };
    let file = |name: &str, role: &str, frame: &str, unit: &str| FileLine {
        name: name.into(),
        role: role.into(),
        frame: frame.into(),
        unit: unit.into(),
    };
    let mut findings = Findings::new();
    findings.push(
        Finding::caution(
            SPARE,
            "the stock is 31.75 mm high and the fork needs 24.1 mm, so 7.65 mm is left over",
            "Plane the board to 26 mm before you mount it, or raise `handle.curve`.",
        )
        .at(Source::Board, "readings"),
    );
    findings.push(
        Finding::caution(
            Code { name: "tab-on-end-grain", explain: "" },
            "the tab at 86 % on the left bears on short grain",
            "Move it towards the middle of the handle.",
        )
        .at(Source::Design, "tabs.place[2]"),
    );
    let svg = |low: &str, shape: &str| {
        format!(
            "<?xml version=\"1.0\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"{low}\" \
             fill=\"none\" stroke=\"#111\" stroke-width=\".5\">{shape}</svg>"
        )
    };
    let piece = PieceInfo {
        design: "harvest fork <with> \"oak leaves\" & apples".into(),
        folder: String::new(),
        kind: "fork",
        species: "pear".into(),
        sizes: vec![
            size("length over all", 290.0, 290.0),
            size("head, length", 95.0, 95.004),
            size("head, width", 64.0, 63.991),
            size("hollow, depth", 7.0, 7.012),
            size("wood under the hollow", 5.0, 4.988),
            size("rim land", 2.5, 2.5),
            size("handle, width at 0 %", 24.0, 24.02),
            size("handle, width at 100 %", 14.0, 14.0),
            size("handle, thickness at 0 %", 9.0, 8.97),
            size("handle, rise at 50 %", 6.0, 6.0),
            size("tine, least width", 9.1, 9.1),
        ],
        figures: vec![
            figure("volume of the body", "61 235 mm\u{b3}", false),
            figure("what the hollow holds", "14.2 ml", false),
            figure("mass in pear at 12 % moisture", "43 g", true),
        ],
        changes: vec![ChangeInfo {
            key: "handle.curve".into(),
            from: "100 %".into(),
            to: "82 %".into(),
            limit: "40 %".into(),
        }],
        findings,
        checks: super::ChecksLines::default(),
        pictures: vec![picture("From above")],
        plan_svg: svg(
            "-5 -40 300 80",
            "<path d=\"M0 0C0 -14 20 -12 60 -9S150 -7 185 -8C205 -12 210 -32 240 -32C275 -32 290 \
             -20 290 0C290 20 275 32 240 32C210 32 205 12 185 8S20 12 60 9S0 14 0 0Z\"/>\
             <path d=\"M235 -13h60M235 0h60M235 13h60\" stroke-width=\"6\" stroke=\"#bbb\"/>",
        ),
        profile_svg: svg(
            "-5 -15 300 30",
            "<path d=\"M0 3C60 -8 140 -8 190 0L290 0C280 9 200 12 180 9S60 0 0 7Z\"/>",
        ),
        sand: Sand {
            ridges: "Ridges 0.007 mm high.".into(),
            ridge_scale: scale("Ridges."),
            reach_scale: scale("What is left."),
            ridge_maps: vec![picture("The top's ridges")],
            maps: vec![picture("The top")],
        },
    };
    SheetInfo {
        name: piece.design.clone(),
        date: None,
        shop: "village hall shop".into(),
        unit,
        findings: Findings::new(),
        pieces: vec![piece],
        plugs: Vec::new(),
        board: BoardInfo {
            name: "pear 3, from the orchard\u{2019}s end".into(),
            species: "pear".into(),
            stock_height: Length::inches(1.25),
            layout_svg: String::new(),
            bed: Some(BedLine {
                zero: vec!["X and Y from the machine\u{2019}s home corner.".into()],
                bore: bore(3),
                holes: vec![DrillLine {
                    pin: 1,
                    setup: 2,
                    on_bed: [Length::mm(72.0), Length::mm(100.0)],
                    diameter: Length::mm(6.4),
                    depth: Length::mm(13.5),
                }],
            }),
            register: vec!["The sides may miss each other by 0.2 mm.".into()],
            setups: vec![SetupLine {
                count: 1,
                name: "top".into(),
                picture: String::new(),
                turn: "The board lies with its marked face up, the handle to the left.".into(),
                position: Some("G54".into()),
                enter: vec![Enter {
                    axis: "X",
                    at: "left end of the stock".into(),
                    enter: "60 mm".into(),
                }],
                heights: vec![("Bed at Z".into(), "0 mm".into())],
                places: vec![PlaceLine {
                    name: "P1".into(),
                    what: "pin hole".into(),
                    at: [Length::mm(12.7), Length::mm(46.6)],
                    on_bed: Some([Length::mm(72.7), Length::mm(106.6)]),
                }],
                measure: vec!["From the left end and the front edge.".into()],
                bore: Some(bore(4)),
                lift: "Lift to Z 44 mm.".into(),
                mount: vec!["Two 6 mm pins in the bed; the board pushed on to them.".into()],
                passes: vec![
                    PassLine {
                        count: 4,
                        work: "rough".into(),
                        cutters: vec![cutter("flat 8", CutterForm::Flat, 8.0)],
                        levels: vec![("spoon".into(), levels(5.5)), ("fork".into(), levels(8.2))],
                        files: vec![load("top/relief.stl"), load("top/limits.dxf")],
                    },
                    PassLine {
                        count: 5,
                        work: "slots".into(),
                        cutters: vec![cutter("vee 60", CutterForm::Vee(Angle::degrees(60.0)), 6.0)],
                        levels: vec![(String::new(), levels(1.0))],
                        files: vec![load("top/slots.dxf")],
                    },
                    PassLine {
                        count: 6,
                        work: "bore".into(),
                        cutters: Vec::new(),
                        levels: Vec::new(),
                        files: Vec::new(),
                    },
                ],
                before: vec!["Nothing is in the way of `top`.".into()],
                mind: "Stay by the machine.".into(),
            }],
        },
        steps: vec![
            StepLine {
                what: "Plane the stock to its height on both faces, and mark the top.".into(),
                why: "The files count on it.".into(),
                mind: String::new(),
                files: Vec::new(),
            },
            StepLine {
                what: "Cut the slots, from the tips to the roots.".into(),
                why: "A finishing pass chips thin tines.".into(),
                mind: "Hands out.".into(),
                files: vec![load("top/slots.dxf")],
            },
        ],
        notes: vec!["Extraction on before the spindle; gate 3 open.".into()],
        files: vec![
            file("packet.json", "what is in the packet", "", "mm"),
            file("sheet.html", "this sheet", "", ""),
            file("body.stl", "the body, unslotted", "design", "mm"),
            file("body.3mf", "the body, unslotted", "design", "mm"),
            file("body.step", "the body, unslotted, as a solid of exact faces", "design", "mm"),
            file("finished.stl", "the body with its slots, to look at", "design", "mm"),
            file("top/relief.stl", "what setup 1 carves", "top", "mm"),
            file("top/outline.dxf", "the body\u{2019}s outline", "top", "in"),
            file("top/slots.dxf", "what is cut out between the tines", "top", "in"),
            file("top/tabs.dxf", "the tabs", "top", "in"),
            file("top/pins.dxf", "holes for the pins", "top", "in"),
            file("bottom/relief.stl", "what setup 2 carves", "bottom", "mm"),
            file("bottom/outline.dxf", "the body\u{2019}s outline", "bottom", "in"),
            file("bottom/pins.dxf", "holes for the pins", "bottom", "in"),
            file("workholding/hold-down.stl", "a hold-down, to be printed", "bed", "mm"),
            file("workholding/hold-down.3mf", "a hold-down, to be printed", "bed", "mm"),
            file("workholding/hold-down.step", "a hold-down, as a solid", "bed", "mm"),
            file("board.dxf", "everything on the board, on layers", "board", "in"),
        ],
    }
}

fn scale(says: &str) -> MapScale {
    let steps = ["to 0.02 mm", "to 0.04 mm", "to 0.08 mm", "to 0.16 mm", "more"];
    MapScale { says: says.into(), steps: steps.map(str::to_owned).to_vec() }
}

fn load(name: &str) -> Loaded {
    Loaded { name: name.into(), unit: if name.ends_with("stl") { "mm" } else { "in" }.into() }
}

fn levels(end: f64) -> PassHeights {
    PassHeights {
        start: Length::mm(31.75),
        end: Length::mm(end),
        depth: Some(Length::mm(3.0)),
        leaves: Length::mm(0.5),
        lift: Length::mm(44.0),
        over_tabs: Some(Length::mm(20.0)),
    }
}

fn bore(count: usize) -> BoreLine {
    let drill = CutterForm::Drill(Angle::degrees(118.0));
    BoreLine {
        count,
        work: "bore".into(),
        cutter: Some(Cutter { step_over: None, ..cutter("drill 6.4", drill, 6.4) }),
        way: "Drill straight down.".into(),
        peck: Some(Length::mm(6.4)),
        heights: [Length::ZERO, Length::mm(-13.5)],
        files: vec![load("bed/pins.dxf")],
    }
}

fn picture(caption: &str) -> PagePicture {
    PagePicture {
        caption: caption.into(),
        alt: format!("{caption}, shaded."),
        width: 1,
        height: 1,
        source: "data:image/png;base64,iVBORw0KGgo=".into(),
    }
}

#[test]
fn the_page_is_whole_escaped_and_fetches_and_runs_nothing() {
    let text = page(&sample(Unit::Millimetre));
    assert!(text.starts_with("<!DOCTYPE html><html lang=\"en\">"));
    assert!(text.contains("harvest fork &lt;with&gt; &quot;oak leaves&quot; &amp; apples</h1>"));
    for wrong in ["<with>", "<script", "http://", "https://", "@import", "url(", "<?xml", "<link"] {
        let there = text.replace("http://www.w3.org/2000/svg", "").contains(wrong);
        assert!(!there, "{wrong}");
    }
    // Every element that is opened is closed.
    for name in ["html", "body", "main", "section", "table", "tr", "td", "th", "ul", "ol", "li"] {
        let opened =
            text.matches(&format!("<{name}>")).count() + text.matches(&format!("<{name} ")).count();
        assert_eq!(opened, text.matches(&format!("</{name}>")).count(), "{name}");
    }
}

#[test]
fn headings_go_down_one_step_at_a_time() {
    let text = page(&sample(Unit::Millimetre));
    let mut last = 0;
    for (at, _) in text.match_indices("<h") {
        let Some(level) = text[at + 2..].chars().next().and_then(|c| c.to_digit(10)) else {
            continue;
        };
        assert!(level <= last + 1, "h{level} after h{last}");
        last = level;
    }
    assert_eq!(text.matches("<h1>").count(), 1);
}

#[test]
fn figures_are_in_the_shops_unit() {
    let inch = page(&sample(Unit::Inch));
    assert!(inch.contains("<dd>1.25\u{a0}in</dd>"));
    assert!(page(&sample(Unit::Millimetre)).contains("<dd>31.75\u{a0}mm</dd>"));
    let size = |asked: f64, measured: f64| SizeLine {
        what: String::new(),
        asked: Length::mm(asked),
        measured: Length::mm(measured),
        at_least: false,
    };
    assert_eq!(off_by(&size(7.0, 7.012), Unit::Millimetre), "+0.012");
    assert_eq!(off_by(&size(9.0, 8.97), Unit::Millimetre), "\u{2212}0.03");
    assert_eq!(off_by(&size(9.0, 8.9996), Unit::Millimetre), "0");
    assert_eq!(off_by(&SizeLine { at_least: true, ..size(7.0, 7.5) }, Unit::Millimetre), "0");
    assert_eq!(off_by(&size(25.4, 25.41), Unit::Inch), "+0.0004", "its figures would hide it");
    assert_eq!(bare(Length::mm(24.0), Unit::Millimetre), "24.00");
    assert_eq!(bare(Length::mm(-3.0), Unit::Millimetre), "\u{2212}3.00");
    assert_eq!(bare(Length::mm(-0.001), Unit::Millimetre), "0.00");
    assert_eq!(shown(Length::inches(0.125), Unit::Inch), "0.125\u{a0}in");
    assert_eq!(with("cherry, board 3", "Cherry"), "cherry, board 3");
    assert_eq!(with("board 3", "cherry"), "board 3, cherry");
    assert_eq!(text("raise `a<b` now").into_string(), "raise <code>a&lt;b</code> now");
    assert_eq!(feed(1270.0, Unit::Inch), "50");
    // A length on the page is in the shop's unit, and in no other.
    let tables = &inch[inch.find("Setup 1").expect("a setup")..inch.find("Files<").expect("files")];
    assert!(tables.contains("Feed, in/min") && !tables.contains("mm/min"));
}

#[test]
fn what_a_job_has_none_of_leaves_no_empty_heading() {
    let mut info = sample(Unit::Millimetre);
    info.pieces[0].findings = Findings::new();
    info.pieces[0].changes.clear();
    info.pieces[0].plan_svg.clear();
    info.steps.clear();
    let text = page(&info);
    for wrong in ["Look at this first", "Faults", "Changed to fit", "Order of work", "Drawing<"] {
        assert!(!text.contains(wrong), "{wrong}");
    }
}

#[test]
fn a_pass_says_its_heights_and_each_file_its_unit() {
    let text = page(&sample(Unit::Millimetre));
    let rough =
        &text[text.find("4. rough").expect("a pass")..text.find("5. slots").expect("another")];
    for told in ["31.75</td>", "0.50</td>", "by piece", "Z to, mm: spoon 5.50, fork 8.20."] {
        assert!(rough.contains(told), "{told}: {rough}");
    }
    assert!(rough.contains("<code>top/relief.stl</code> (<b>mm</b>)"), "{rough}");
    assert!(rough.contains("<code>top/limits.dxf</code> (<b>in</b>)"));
    assert!(rough.contains("Over the tabs lift to Z 20\u{a0}mm"));
    let slots = &text[text.find("5. slots").expect("a pass")..];
    assert!(slots.contains("<td data-label=\"Z to, mm\">1.00</td>"));
}

#[test]
fn drilling_has_a_row_of_its_own_without_a_step_over() {
    let text = page(&sample(Unit::Millimetre));
    let bed = &text[text.find("bed\u{2019}s holes</h2>").expect("a part")..];
    let bed = &bed[..bed.find("</section>").expect("its end")];
    for told in ["Peck, mm", "Plunge, mm/min", "drill 6.4", "600</td>", "Depth, mm", "13.50"] {
        assert!(bed.contains(told), "{told}: {bed}");
    }
    assert!(!bed.contains("Step-over") && bed.contains("bed/pins.dxf"));
}

#[test]
fn what_comes_first_at_the_bench_comes_first_on_the_sheet_and_every_box_can_be_tapped() {
    let text = page(&sample(Unit::Millimetre));
    let order = [
        "Look at this first",
        "Before you begin",
        "Order of work",
        "Setup 1",
        "Sanding</h2>",
        "Finishing</h2>",
        "The finished piece",
        "Sizes</h2>",
        "Drawing</h2>",
        "Files</h2>",
    ];
    let places = order.map(|word| text.find(word).unwrap_or_else(|| panic!("no {word}")));
    assert!(places.is_sorted(), "{places:?}");
    let boxes = text.matches("<input type=\"checkbox\"").count();
    assert_eq!(text.matches("<label class=\"do\"><input type=\"checkbox\">").count(), boxes);
    // Steps, what to mount and to look at, holes, passes, sanding.
    assert!(boxes > 12, "{boxes}");
    assert!(text.contains("Caution:") && !text.contains("Mind:"));
}
