//! Properties over random designs, boards and shops, from the text of the files to the bytes of
//! the packet.
//!
//! `PROPTEST_CASES` sets how many designs are tried; 2,000 when it is not set.

#[path = "properties/texts.rs"]
mod texts;

use proptest::prelude::*;
use texts::{board_text, design_text, shop_text};
use treenwright::finding::Findings;
use treenwright::job::{self, Order};
use treenwright::mesh::{self, Heights, Mesh};
use treenwright::packet;
use treenwright::params::{self, Design};
use treenwright::shape::{self, Body};
use treenwright::units::Length;

/// Designs in the usual run.
const CASES: u32 = 2000;

fn cases(share: u32) -> ProptestConfig {
    let asked = std::env::var("PROPTEST_CASES").ok().and_then(|text| text.parse().ok());
    ProptestConfig {
        cases: (asked.unwrap_or(CASES) / share).max(1),
        failure_persistence: None,
        ..ProptestConfig::default()
    }
}

/// The design, when its text has no fault. A text that has one must say which.
fn design(text: &str) -> Option<Design> {
    let mut findings = Findings::new();
    let parsed = params::parse_design(text, &mut findings);
    assert_eq!(parsed.is_none(), findings.has_fault(), "{text}");
    parsed.map(|(design, _)| design)
}

/// The design and its body, when there can be one.
fn body(text: &str) -> Option<(Design, Body)> {
    let design = design(text)?;
    let body = Body::new(&design);
    body.trouble().is_none().then_some((design, body))
}

/// The heights of a mesh's top and of its bottom skin.
fn skins(made: &mesh::BodyMesh) -> [Heights<'_>; 2] {
    [&made.top, &made.bottom]
        .map(|range| Heights::new(&made.mesh, &made.mesh.triangles[range.clone()]))
}

fn sound(mesh: &Mesh, what: &str, text: &str) {
    let audit = mesh::audit(mesh);
    assert!(audit.sound(), "{what} is not sound: {audit:?}\n{text}");
}

proptest! {
    #![proptest_config(cases(1))]

    /// Every design without faults gives a closed mesh, right way out, within its tolerance and
    /// with the volume of the exact body.
    #[test]
    fn a_mesh_is_closed_and_within_its_tolerance(
        text in design_text(),
        tolerance in prop_oneof![12 => Just(0.1), 3 => Just(0.05), 1 => Just(0.02)],
    ) {
        let Some((_, body)) = body(&text) else { return Ok(()) };
        let lattice = body.lattice();
        let made = mesh::tessellate(&body, &lattice, Length::mm(tolerance));
        let audit = mesh::audit(&made.mesh);
        prop_assert!(audit.sound(), "{audit:?}\n{text}");
        prop_assert!(made.error.as_mm() <= tolerance, "{}", made.error);
        // Everywhere the mesh is nearer than its tolerance, so the volumes differ by less than
        // that times the area.
        let solids = body.solids(&lattice);
        let off = (audit.volume_mm3 - solids.body_mm3).abs();
        prop_assert!(off <= tolerance * audit.area_mm2, "volume off by {off} mm³\n{text}");
        within(&body, &made, tolerance, &text)?;
    }

    /// Text with anything in it never makes the readers panic.
    #[test]
    fn damaged_text_gives_findings_and_no_panic(
        text in design_text(),
        cut in 0.0..1.0_f64,
        put in "[ -~\u{e9}\n]{0,12}",
    ) {
        let at = (cut * text.len() as f64) as usize;
        let damaged = format!("{}{put}{}", &text[..at], &text[(at + 3).min(text.len())..]);
        for parse in [
            |text: &str, findings: &mut Findings| params::parse_design(text, findings).is_some(),
            |text: &str, findings: &mut Findings| params::parse_board(text, findings).is_some(),
            |text: &str, findings: &mut Findings| params::parse_shop(text, findings).is_some(),
        ] {
            let mut findings = Findings::new();
            let read = parse(&damaged, &mut findings);
            prop_assert_eq!(read, !findings.has_fault());
        }
    }
}

proptest! {
    #![proptest_config(cases(5))]

    /// Square to the hollow, as far out as the whole wall is asked for, the wood is as thick as that within
    /// 0.05 mm, by rays through the mesh; where the rim climbs or changes its width, or the hollow is deepest
    /// elsewhere than where it is widest, up to 2 % less between the places that the back is made by. The measured
    /// size says it.
    #[test]
    fn a_wall_is_as_thick_as_asked(text in design_text()) {
        const TOLERANCE: f64 = 0.02;
        let Some((design, body)) = body(&text) else { return Ok(()) };
        let params::Head::Bowl(bowl) = &design.head else { return Ok(()) };
        let made = mesh::tessellate(&body, &body.lattice(), Length::mm(TOLERANCE));
        let sizes = mesh::measure(&body, &design, &made);
        let wall = sizes.list.iter().find(|size| size.key == "bowl.wall").expect("a bowl has a wall");
        let even = matches!(bowl.rim, params::Varying::Even(_));
        let plain = bowl.deepest.is_none() && bowl.curve.is_empty() && even;
        let share = if plain { 1.0 } else { 0.98 };
        let least = share * bowl.wall.as_mm() - 0.05;
        prop_assert!(wall.measured.as_mm() >= least, "{} of {}\n{text}", wall.measured, bowl.wall);
    }

    /// In profile the neck is as thick as the handle where it begins, by upright rays through the
    /// mesh, until the hollow begins: no step above it, no notch below.
    #[test]
    fn a_neck_is_not_pinched(text in design_text()) {
        const TOLERANCE: f64 = 0.1;
        let Some((design, body)) = body(&text) else { return Ok(()) };
        let params::Head::Bowl(bowl) = &design.head else { return Ok(()) };
        let at_neck = design.handle.thickness.last().expect("two stations").size;
        // A head that is thinner than the handle from rim to back must thin.
        if bowl.depth + bowl.wall < at_neck {
            return Ok(());
        }
        let made = mesh::tessellate(&body, &body.lattice(), Length::mm(TOLERANCE));
        let [top, bottom] = skins(&made);
        let (neck, rear) = (body.neck_x().as_mm(), body.hollow()[0](0.0).x);
        // A handle that thins towards the neck goes on doing so for a moment.
        let slope = (body.crest(2.0) - body.keel(2.0) - (body.crest(1.98) - body.keel(1.98)))
            / (body.along_mm(2.0) - body.along_mm(1.98));
        let less = 0.04 * (rear - neck) * (-slope).max(0.0);
        for step in 0..=60 {
            let x = neck + (rear - neck) * f64::from(step) / 60.0;
            let p = body.middle_at(Length::mm(x));
            let (Some([_, high]), Some([low, _])) = (top.at(p), bottom.at(p)) else { continue };
            let least = at_neck.as_mm() - 2.5 * TOLERANCE - less;
            prop_assert!(high - low >= least, "{} mm thick at {x}\n{text}", high - low);
        }
    }

    /// On a head with a line or an outline of its own, too, a hollow is as deep and the wood under it as
    /// thick as the file asks, half-way across where it is widest, below a straightedge laid across the
    /// rim, and the rim is as high; all by upright rays.
    #[test]
    fn a_curved_head_keeps_its_sizes(text in design_text()) {
        const TOLERANCE: f64 = 0.05;
        let Some((design, body)) = body(&text) else { return Ok(()) };
        let head = &design.head;
        let plain = head.curve().is_empty() && head.outline().is_empty() && head.sway().is_empty();
        if plain {
            return Ok(());
        }
        let made = mesh::tessellate(&body, &body.lattice(), Length::mm(TOLERANCE));
        let [top, bottom] = skins(&made);
        // A slope of 45 degrees makes an upright error half as large again.
        let near = |one: f64, other: f64| (one - other).abs() <= 3.0 * TOLERANCE;
        if let params::Head::Bowl(bowl) = &design.head {
            let x = body.widest_x();
            let [right, left] = body.across(x);
            let at = |y: f64| glam::DVec2::new(x.as_mm(), y);
            let middle = 0.5 * (right + left);
            // A straightedge lies on the highest place of each side.
            let highest = |from: f64| {
                let places = (0..2000).map(|i| from + (middle - from) * (f64::from(i) + 0.5) / 2000.0);
                places.filter_map(|y| top.at(at(y))).map(|[_, high]| high).reduce(f64::max)
            };
            let [Some(one), Some(other)] = [highest(right), highest(left)] else {
                return Err(TestCaseError::fail(format!("no rim at the widest place\n{text}")));
            };
            let [Some(low), Some(under)] = [top.at(at(middle)), bottom.at(at(middle))] else {
                return Err(TestCaseError::fail(format!("no wood at the widest place\n{text}")));
            };
            prop_assert!(near(one, other), "the rim leans: {one:?} {other:?}\n{text}");
            let deep = one - low[0];
            let asked = bowl.depth.as_mm();
            // Deepest elsewhere, it is less deep here.
            let deep_enough = near(deep, asked) || bowl.deepest.is_some() && deep < asked;
            prop_assert!(deep_enough, "{deep} mm deep\n{text}");
            let thick = low[0] - under[0];
            let least = bowl.wall.as_mm() - 3.0 * TOLERANCE;
            prop_assert!(bowl.deepest.is_some() || thick >= least, "{thick} mm of wood\n{text}");
        }
        let sizes = mesh::measure(&body, &design, &made);
        let rises = sizes.list.iter().filter(|size| size.key.starts_with(head.table()) && size.key.contains(".curve["));
        for (size, station) in rises.zip(head.curve()) {
            // Square to a scoop's rim that comes down the mesh may be off by the tolerance; upright that is more.
            let [before, after] = [-0.01, 0.01].map(|step| body.comes_down(body.head_x(station.at) + Length::mm(step)));
            let most = TOLERANCE * ((after - before) / 0.02).hypot(1.0);
            let off = (size.measured - size.asked).as_mm().abs();
            prop_assert!(off < most, "{} is off by {off}, over {most}\n{text}", size.key);
        }
        // Each side of the mesh's outline may be off by the tolerance, square to it; where it runs at a
        // slant, that is more across. At the very tip stands a corner of the mesh.
        let slope = |x: f64| {
            const STEP: f64 = 0.01;
            let [[a, b], [c, d]] = [x - STEP, x + STEP].map(|x| body.across(Length::mm(x)));
            (c - a).abs().max((d - b).abs()) / (2.0 * STEP)
        };
        for (name, stations) in [("outline", head.outline()), ("sway", head.sway())] {
            for (index, station) in stations.iter().enumerate() {
                let at = format!("{}.{name}[{index}]", head.table());
                let Some(size) = sizes.list.iter().find(|size| size.key.starts_with(&at)) else {
                    return Err(TestCaseError::fail(format!("{at} is not measured\n{text}")));
                };
                let slant = if station.at < 1.0 { slope(body.head_x(station.at).as_mm()) } else { 0.0 };
                let off = (size.measured - size.asked).as_mm().abs();
                let most = 2.0 * TOLERANCE * slant.hypot(1.0);
                prop_assert!(off < most, "{} is off by {off}, over {most}\n{text}", size.key);
            }
        }
    }
}

/// The exact heights over a grid of the plan against upright rays through the mesh: an error
/// measured by other samples, and in another direction, than the mesher's own.
fn within(
    body: &Body,
    made: &mesh::BodyMesh,
    tolerance: f64,
    text: &str,
) -> Result<(), TestCaseError> {
    let [top, bottom] = skins(made);
    let length = body.length().as_mm();
    for i in 1..40 {
        let x = length * f64::from(i) / 40.0 + 0.0137;
        let [right, left] = [params::Side::Right, params::Side::Left]
            .map(|side| body.outline_at(Length::mm(x), side).y);
        for j in 1..8 {
            let share = f64::from(j) / 8.0 + 0.0031;
            let p = glam::DVec2::new(x, right + share * (left - right));
            for (heights, exact) in [(&top, body.top(p)), (&bottom, body.bottom(p))] {
                let Some([low, high]) = heights.at(p) else { continue };
                // Upright distance is farther than square to the surface; the slope says by how
                // much. A crease within reach makes the slope meaningless, so take the steepest
                // near by.
                let near = 0.02;
                let up = |q: glam::DVec2| {
                    if std::ptr::eq(heights, &top) { body.top(q) } else { body.bottom(q) }
                };
                let slopes =
                    [glam::DVec2::X, glam::DVec2::Y, glam::DVec2::NEG_X, glam::DVec2::NEG_Y]
                        .map(|way| (up(p + near * way) - exact) / near);
                let steep = slopes.iter().map(|s| s.abs()).fold(0.0, f64::max);
                let allowed = tolerance * (1.0 + steep) * 1.5 + 1e-6;
                let off = (low - exact).abs().min((high - exact).abs());
                prop_assert!(off <= allowed, "off by {off} at {p}, steep {steep}\n{text}");
            }
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(cases(20))]

    /// From text to all exporters: a job either has a fault, or gives a whole packet in which
    /// every model is closed; never a panic.
    #[test]
    fn a_job_gives_a_fault_or_a_whole_packet(
        text in design_text(),
        board in board_text(),
        turn in prop_oneof![Just("X"), Just("Y")],
        zero in prop_oneof![Just("top"), Just("bottom")],
        unit in prop_oneof![Just("mm"), Just("in")],
    ) {
        let Some(design) = design(&text) else { return Ok(()) };
        let mut findings = Findings::new();
        let Some((board, _)) = params::parse_board(&board, &mut findings) else { return Ok(()) };
        let Some((shop, _)) = params::parse_shop(&shop_text(turn, zero, unit), &mut findings)
        else {
            panic!("the example shop has faults");
        };
        let tolerance = mesh::COARSEST;
        let outcome =
            job::plan(&Order { tolerance, ..Order::new(vec![design], board, shop) });
        if outcome.findings.has_fault() {
            return Ok(());
        }
        let job = outcome.job.expect("a job without fault");
        let mounted = job.mounted();
        let [job::Mounted { mounting, piece, carved, .. }] = mounted[..] else {
            panic!("all of it")
        };
        for (setup, relief) in &carved.setups {
            sound(relief, setup.face.name(), &text);
        }
        sound(&carved.finished, "the finished view", &text);
        let held = &mounting.clamps;
        let models = held.models.iter().map(|m| (m.stem().to_owned(), m.block.as_ref()));
        let printed = held.spacers.iter().flatten().filter_map(|s| Some((s, s.printed.as_ref()?)));
        let spacers = printed.map(|(s, model)| (s.stem(), Some(&model.block)));
        for (name, block) in models.chain(spacers) {
            sound(&block.expect("built").mesh, &name, &text);
        }
        let solid = shape::solid(&piece.body, &piece.lattice);
        let solid = solid.map_err(|error| TestCaseError::fail(format!("{error}\n{text}")))?;
        let off = solid.volume_mm3() / piece.solids.body_mm3 - 1.0;
        prop_assert!(off.abs() < 1e-4, "B-rep volume off by {off}\n{text}");
        let packet = packet::whole(&job, &outcome.findings, &Default::default());
        prop_assert!(packet.is_ok(), "{:?}\n{text}", packet.err());
    }
}
