//! Properties over random designs, boards and shops, from the text of the files to the bytes of
//! the packet.
//!
//! `PROPTEST_CASES` sets how many designs are tried; 2,000 when it is not set.

use proptest::prelude::*;
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

fn stations(field: &str, sizes: &[(f64, f64)]) -> String {
    let list: Vec<String> = sizes
        .iter()
        .map(|(at, size)| format!("{{ at = \"{at:.2} %\", {field} = \"{size:.3} mm\" }}"))
        .collect();
    format!("[{}]", list.join(", "))
}

prop_compose! {
    fn handle()(
        end in 6.0..16.0_f64,
        width in [10.0..32.0_f64, 9.0..22.0_f64, 8.0..20.0_f64],
        thickness in [6.0..14.0_f64, 6.0..14.0_f64],
        at in 20.0..80.0_f64,
        rise in [-6.0..8.0_f64, -4.0..10.0_f64, -2.0..3.0_f64],
        sway in prop_oneof![Just(0.0), -6.0..6.0_f64],
        section in 2.0..4.0_f64,
    ) -> String {
        format!(
            "[handle]\nend = \"{end:.3} mm\"\nwidth = {}\nthickness = {}\ncurve = {}\nsway = {}\n\
             section = {section:.3}\n",
            stations("size", &[(0.0, width[0]), (at, width[1]), (100.0, width[2])]),
            stations("size", &[(0.0, thickness[0]), (100.0, thickness[1])]),
            stations("rise", &[(0.0, rise[0]), (at, rise[1]), (100.0, rise[2])]),
            stations("shift", &[(0.0, sway), (100.0, 0.5 * sway)]),
        )
    }
}

/// The middle line in the head, which may be left out.
fn head_curve() -> impl Strategy<Value = String> {
    let line = |(at, middle, tip): (f64, f64, f64)| {
        format!("curve = {}\n", stations("rise", &[(at, middle), (100.0, tip)]))
    };
    prop_oneof![Just(String::new()), (30.0..70.0_f64, -4.0..4.0_f64, -8.0..12.0_f64).prop_map(line),]
}

/// An outline of the head's own, and a middle that leaves the handle's line; either may be left out.
/// `widest` is where its width is given, in %.
fn own_outline(
    [width, widest]: [f64; 2],
    own: Option<([f64; 2], [f64; 2])>,
    leaves: Option<[f64; 2]>,
) -> String {
    let outline = own.map_or_else(String::new, |([behind, ahead], [one, other])| {
        let places = [16.0 + behind * (widest - 22.0), widest + 6.0 + ahead * (88.0 - widest)];
        let sizes = [(places[0], one * width), (places[1], other * width)];
        format!("outline = {}\n", stations("size", &sizes))
    });
    let sway = leaves.map_or_else(String::new, |[middle, tip]| {
        format!("sway = {}\n", stations("shift", &[(50.0, middle), (100.0, tip)]))
    });
    outline + &sway
}

fn own() -> impl Strategy<Value = Option<([f64; 2], [f64; 2])>> {
    prop::option::of(([0.0..1.0_f64, 0.0..1.0_f64], [0.4..0.95_f64, 0.4..0.95_f64]))
}

fn leaves() -> impl Strategy<Value = Option<[f64; 2]>> {
    prop::option::of([-5.0..5.0_f64, -14.0..14.0_f64])
}

prop_compose! {
    fn bowl()(
        length in 45.0..120.0_f64,
        width in 30.0..90.0_f64,
        depth in 3.0..22.0_f64,
        wall in 3.0..8.0_f64,
        rim in 1.2..5.0_f64,
        fullness in 2.0..4.0_f64,
        widest in 42.0..66.0_f64,
        neck in prop_oneof![Just(None), (20.0..42.0_f64, 0.0..25.0_f64).prop_map(Some)],
        curve in head_curve(),
        (own, leaves) in (own(), leaves()),
        deepest in prop::option::of(0.05..0.95_f64),
    ) -> String {
        let deepest = deepest.map_or_else(String::new, |share| {
            format!("deepest = \"{:.2} %\"\n", 0.5 * widest + 50.0 * share)
        });
        let curve = curve + &own_outline([width, widest], own, leaves) + &deepest;
        let neck = neck.map_or_else(String::new, |(shoulder, further)| {
            format!("shoulder = \"{shoulder:.2} %\"\nkeel = \"{:.2} %\"\n", shoulder + further)
        });
        format!(
            "[bowl]\nlength = \"{length:.3} mm\"\nwidth = \"{width:.3} mm\"\n\
             depth = \"{depth:.3} mm\"\nwall = \"{wall:.3} mm\"\nrim = \"{rim:.3} mm\"\n\
             fullness = {fullness:.3}\nwidest = \"{widest:.2} %\"\n{neck}{curve}"
        )
    }
}

prop_compose! {
    fn blade()(
        length in 50.0..140.0_f64,
        width in 30.0..110.0_f64,
        thickness in 3.0..10.0_f64,
        front in 0.8..2.5_f64,
        bevel in 5.0..30.0_f64,
        fullness in 2.0..7.0_f64,
        widest in 60.0..88.0_f64,
        curve in head_curve(),
        (own, leaves) in (own(), leaves()),
    ) -> (String, f64) {
        let curve = curve + &own_outline([width, widest], own, leaves);
        let text = format!(
            "[blade]\nlength = \"{length:.3} mm\"\nwidth = \"{width:.3} mm\"\n\
             thickness = \"{thickness:.3} mm\"\nfront = \"{front:.3} mm\"\n\
             bevel = \"{bevel:.3} mm\"\nfullness = {fullness:.3}\nwidest = \"{widest:.2} %\"\n\
             {curve}"
        );
        (text, thickness)
    }
}

prop_compose! {
    fn tines()(count in 2_u32..6, width in 3.2..9.0_f64, share in 0.2..0.7_f64, taper in 0.0..4.0_f64)
        -> (u32, f64, f64, f64) {
        (count, width, share, taper)
    }
}

prop_compose! {
    fn design_text()(
        kind in 0..5,
        (mirror, tip, splay) in (any::<bool>(), 0..3_usize, 0.0..12.0_f64),
        thin in 0.1..0.9_f64,
        length in 130.0..400.0_f64,
        edge in 1.0..3.0_f64,
        bowl in bowl(),
        blade in blade(),
        handle in handle(),
        (count, width, share, taper) in tines(),
        tabs in [6.0..25.0_f64, 60.0..95.0_f64],
        hole in prop::option::of((3.2..7.0_f64, 0.3..0.8_f64, -12.0..12.0_f64, any::<bool>())),
    ) -> String {
        let (kind, head, tines) = match kind {
            0 => ("spoon", bowl, String::new()),
            1 => (
                "fork",
                bowl,
                format!(
                    "[tines]\ncount = {count}\nslot = {{ width = \"{width:.3} mm\", length = \
                     \"{:.3} mm\", taper = \"{taper:.3} deg\" }}\ntip = \"{}\"\n\
                     splay = \"{splay:.3} deg\"\n",
                    share * 60.0,
                    ["square", "round", "pointed"][tip]
                ),
            ),
            2 => ("scoop", bowl, String::new()),
            3 => ("turner", blade.0, String::new()),
            _ => {
                let (text, thick) = blade;
                let least = 0.9 * (0.25 * thick + 0.75 * edge) + 0.1 * edge;
                let thin = format!("thin = \"{:.4} mm\"\n", least + thin * (thick - least));
                ("spreader", text + &thin, String::new())
            }
        };
        let [near, far] = tabs;
        let hole = hole.map_or_else(String::new, |(wide, along, aside, many)| {
            let row = if many { "across = 2\npitch = [\"0 mm\", \"12 mm\"]\n" } else { "" };
            format!(
                "[[opening]]\nat = [\"{:.3} mm\", \"{aside:.3} mm\"]\nwidth = \"{wide:.3} mm\"\n\
                 length = \"{:.3} mm\"\n{row}",
                length * (0.6 + 0.35 * along),
                2.0 * wide
            )
        });
        format!(
            "[utensil]\nname = \"random {kind}\"\nkind = \"{kind}\"\nmirror = {mirror}\nlength = \"{length:.3} mm\"\n\
             edge = \"{edge:.3} mm\"\n{head}{handle}{tines}[tabs]\nwidth = \"8 mm\"\n\
             thickness = \"4 mm\"\nplace = [{{ side = \"left\", at = \"{near:.2} %\" }}, \
             {{ side = \"right\", at = \"{far:.2} %\" }}]\n{hole}"
        )
    }
}

prop_compose! {
    fn board_text()(
        length in 300.0..600.0_f64,
        width in 90.0..200.0_f64,
        thickness in 20.0..60.0_f64,
        knot in [0.0..1.0_f64, 0.0..1.0_f64],
        radius in 2.0..20.0_f64,
    ) -> String {
        format!(
            "[board]\nname = \"random\"\nspecies = \"cherry\"\nlength = \"{length:.2} mm\"\n\
             width = \"{width:.2} mm\"\n[[reading]]\nat = [\"50 mm\", \"50 mm\"]\n\
             thickness = \"{thickness:.3} mm\"\n[[knot]]\ncentre = [\"{:.2} mm\", \"{:.2} mm\"]\n\
             radius = \"{radius:.2} mm\"\n",
            knot[0] * length,
            knot[1] * width
        )
    }
}

fn shop_text(turn: &str, zero: &str, unit: &str) -> String {
    include_str!("../params/shop.toml")
        .replace("turn = \"X\"", &format!("turn = \"{turn}\""))
        .replace("zero = \"bottom\"", &format!("zero = \"{zero}\""))
        .replace("unit = \"mm\"", &format!("unit = \"{unit}\""))
}

/// The design, when its text has no fault. A text that has one must say which.
fn design(text: &str) -> Option<Design> {
    let mut findings = Findings::new();
    let parsed = params::parse_design(text, &mut findings);
    assert_eq!(parsed.is_none(), findings.has_fault(), "{text}");
    parsed.map(|(design, _)| design)
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
        let Some(design) = design(&text) else { return Ok(()) };
        let body = Body::new(&design);
        if body.trouble().is_some() {
            return Ok(());
        }
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

    /// Square to the hollow, as far out as the whole wall is asked for, the wood is as thick as that, by
    /// rays through the mesh; up to 2 % less between the places that the back is made by, and up to 7 % where the
    /// rim climbs or the hollow is deepest elsewhere than where it is widest. The measured size says it.
    #[test]
    fn a_wall_is_as_thick_as_asked(text in design_text()) {
        const TOLERANCE: f64 = 0.02;
        let Some(design) = design(&text) else { return Ok(()) };
        let params::Head::Bowl(bowl) = &design.head else { return Ok(()) };
        let body = Body::new(&design);
        if body.trouble().is_some() {
            return Ok(());
        }
        let made = mesh::tessellate(&body, &body.lattice(), Length::mm(TOLERANCE));
        let sizes = mesh::measure(&body, &design, &made);
        let wall = sizes.list.iter().find(|size| size.key == "bowl.wall").expect("a bowl has a wall");
        let plain = bowl.deepest.is_none() && bowl.curve.is_empty();
        let share = if plain { 0.98 } else { 0.93 };
        let least = share * bowl.wall.as_mm() - 2.0 * TOLERANCE;
        prop_assert!(wall.measured.as_mm() >= least, "{} of {}\n{text}", wall.measured, bowl.wall);
    }
}

proptest! {
    #![proptest_config(cases(5))]

    /// In profile the neck is as thick as the handle where it begins, by upright rays through the
    /// mesh, until the hollow begins: no step above it, no notch below.
    #[test]
    fn a_neck_is_not_pinched(text in design_text()) {
        const TOLERANCE: f64 = 0.1;
        let Some(design) = design(&text) else { return Ok(()) };
        let params::Head::Bowl(bowl) = &design.head else { return Ok(()) };
        let body = Body::new(&design);
        let at_neck = design.handle.thickness.last().expect("two stations").size;
        // A head that is thinner than the handle from rim to back must thin.
        if body.trouble().is_some() || bowl.depth + bowl.wall < at_neck {
            return Ok(());
        }
        let made = mesh::tessellate(&body, &body.lattice(), Length::mm(TOLERANCE));
        let skin = |range: &std::ops::Range<usize>| {
            Heights::new(&made.mesh, &made.mesh.triangles[range.clone()])
        };
        let (top, bottom) = (skin(&made.top), skin(&made.bottom));
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
}

proptest! {
    #![proptest_config(cases(5))]

    /// On a head with a line or an outline of its own, too, a hollow is as deep and the wood under it as
    /// thick as the file asks, half-way across where it is widest, below a straightedge laid across the
    /// rim, and the rim is as high; all by upright rays.
    #[test]
    fn a_curved_head_keeps_its_sizes(text in design_text()) {
        const TOLERANCE: f64 = 0.05;
        let Some(design) = design(&text) else { return Ok(()) };
        let body = Body::new(&design);
        let head = &design.head;
        let plain = head.curve().is_empty() && head.outline().is_empty() && head.sway().is_empty();
        if plain || body.trouble().is_some() {
            return Ok(());
        }
        let made = mesh::tessellate(&body, &body.lattice(), Length::mm(TOLERANCE));
        let skin = |range: &std::ops::Range<usize>| {
            Heights::new(&made.mesh, &made.mesh.triangles[range.clone()])
        };
        let (top, bottom) = (skin(&made.top), skin(&made.bottom));
        // A slope of 45 degrees makes an upright error half as large again.
        let near = |one: f64, other: f64| (one - other).abs() <= 3.0 * TOLERANCE;
        if let params::Head::Bowl(bowl) = &design.head {
            let x = body.widest_x();
            let [right, left] = body.across(x);
            let inside = 0.5 * bowl.rim.as_mm();
            let at = |y: f64| glam::DVec2::new(x.as_mm(), y);
            let [Some(one), Some(other), Some(low), Some(under)] = [
                top.at(at(right + inside)),
                top.at(at(left - inside)),
                top.at(at(0.5 * (right + left))),
                bottom.at(at(0.5 * (right + left))),
            ] else {
                return Err(TestCaseError::fail(format!("no wood at the widest place\n{text}")));
            };
            prop_assert!(near(one[1], other[1]), "the rim leans: {one:?} {other:?}\n{text}");
            let deep = one[1] - low[0];
            let asked = bowl.depth.as_mm();
            // Deepest elsewhere, it is less deep here.
            let deep_enough = near(deep, asked) || bowl.deepest.is_some() && deep < asked;
            prop_assert!(deep_enough, "{deep} mm deep\n{text}");
            let thick = low[0] - under[0];
            let least = bowl.wall.as_mm() - 3.0 * TOLERANCE;
            prop_assert!(bowl.deepest.is_some() || thick >= least, "{thick} mm of wood\n{text}");
        }
        let sizes = mesh::measure(&body, &design, &made);
        for size in sizes.list.iter().filter(|size| size.key.contains(".curve[")) {
            let off = (size.measured - size.asked).as_mm().abs();
            prop_assert!(off < 0.05, "{} is off by {off}\n{text}", size.key);
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
    let skin = |range: &std::ops::Range<usize>| {
        Heights::new(&made.mesh, &made.mesh.triangles[range.clone()])
    };
    let (top, bottom) = (skin(&made.top), skin(&made.bottom));
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
