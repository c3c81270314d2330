//! Random designs whose sizes lie at, near and past the limits of their keys.

use proptest::prelude::*;

mod rims;

use rims::rims;

/// A size between two limits, often at one of them or just past it.
fn size(least: f64, most: f64) -> impl Strategy<Value = f64> {
    prop_oneof![
        12 => (0.0..1.0_f64).prop_map(move |t| least * (most / least).powf(t)),
        1 => Just(least),
        1 => Just(most),
        1 => Just(least * 1.001),
        1 => Just(most * 0.999),
        1 => prop_oneof![Just(least * 0.99), Just(most * 1.01)],
    ]
}

/// A length as some maker would write it.
fn written(mm: f64, unit: u32) -> String {
    match unit % 4 {
        0 => format!("\"{:.5} cm\"", mm / 10.0),
        1 => format!("\"{:.6} in\"", mm / 25.4),
        2 if mm > 0.5 => format!("\"{}/64 in\"", (mm / 25.4 * 64.0).round().max(1.0)),
        _ => format!("\"{mm:.4} mm\""),
    }
}

/// Stations along a handle of that run: places, and sizes that go from one to the next by a share
/// of what the rules allow.
fn stations(
    field: &str,
    raw: &[(f64, f64)],
    [run, share]: [f64; 2],
    [least, most]: [f64; 2],
    whole: bool,
) -> String {
    let mut places: Vec<f64> = raw.iter().map(|(at, _)| *at).collect();
    places.sort_by(f64::total_cmp);
    if whole {
        places[0] = 0.0;
        *places.last_mut().expect("two at least") = 1.0;
    }
    // Most of them as far apart as they must be, or further.
    let apart = raw.iter().map(|(at, _)| if *at < 0.02 { 0.9 } else { 1.02 });
    let mut apart = apart.cycle().map(|mm| mm / run);
    places.dedup_by(|b, a| *b - *a < apart.next().unwrap_or_default());
    if whole {
        *places.last_mut().expect("one at least") = 1.0;
    }
    let mut here = least + (most - least) * (0.5 + 0.5 * raw[0].1);
    let mut before = places[0];
    let list = places.iter().zip(raw).map(|(at, (_, step))| {
        here = (here + step * 0.99 * run * (at - before) / share).clamp(least, most);
        before = *at;
        format!("{{ at = \"{:.6} %\", {field} = \"{here:.4} mm\" }}", at * 100.0)
    });
    format!("[{}]", list.collect::<Vec<_>>().join(", "))
}

fn raw(most: usize) -> impl Strategy<Value = Vec<(f64, f64)>> {
    let some = |count: std::ops::RangeInclusive<usize>| {
        prop::collection::vec((0.0..1.0_f64, -1.0..1.0_f64), count)
    };
    prop_oneof![3 => some(2..=4), 1 => some(2..=most)]
}

/// What a handle's section and end are: mostly such as have room.
fn handle_forms([end, run]: [f64; 2], forms: &HandleForms) -> String {
    let HandleForms { squares, end_shape, facets, knob } = forms;
    let mut text = String::new();
    if let Some(squares) = squares {
        let mut here = 0.0;
        let list = squares.iter().map(|(far, square)| {
            here += (9.9 + far * run) / run;
            format!("{{ at = \"{:.4} %\", square = {square:.4} }}", 100.0 * f64::min(here, 1.0))
        });
        text += &format!("section = [{}]\n", list.collect::<Vec<_>>().join(", "));
    }
    if let Some(shape) = end_shape {
        text += &format!("end_shape = \"{}\"\n", ["round", "blunt", "pointed"][*shape as usize]);
    }
    if let Some((flats, chamfer, from, to, run_out)) = facets {
        let chamfer =
            chamfer.map_or_else(String::new, |chamfer| format!("chamfer = \"{chamfer:.4} mm\", "));
        text += &format!(
            "facets = {{ flats = \"{}\", {chamfer}from = \"{from:.3} %\", to = \"{to:.3} %\", \
             run = \"{:.4} mm\" }}\n",
            ["six", "eight"][*flats as usize],
            5.0 + run_out * 0.5 * run,
        );
    }
    if let Some([width, thickness, length]) = knob {
        text += &format!(
            "knob = {{ width = \"{width:.4} mm\", thickness = \"{thickness:.4} mm\", \
             length = \"{:.4} mm\" }}\n",
            end + length * run
        );
    }
    text
}

#[derive(Clone, Debug)]
struct HandleForms {
    squares: Option<Vec<(f64, f64)>>,
    end_shape: Option<u32>,
    facets: Option<(u32, Option<f64>, f64, f64, f64)>,
    knob: Option<[f64; 3]>,
}

prop_compose! {
    fn forms()(
        squares in prop::option::weighted(0.3, prop::collection::vec((0.0..0.5_f64, size(2.0, 6.0)), 2..=4)),
        end_shape in prop::option::of(0..3_u32),
        facets in prop::option::weighted(
            0.4,
            (0..2_u32, prop::option::of(size(0.5, 12.0)), 0.0..40.0_f64, 60.0..100.0_f64, 0.0..0.8_f64),
        ),
        knob in prop::option::weighted(0.3, [size(6.0, 60.0), size(5.0, 40.0), size(0.02, 1.02)]),
    ) -> HandleForms {
        HandleForms { squares, end_shape, facets, knob }
    }
}

prop_compose! {
    fn handle(most: usize)(
        width in raw(most),
        thickness in raw(most),
        curve in raw(most),
        sway in raw(most),
        bent in [any::<bool>(), any::<bool>()],
        widths in [size(2.0, 30.0), size(4.0, 60.0)],
        thick in [size(0.3, 20.0), size(2.0, 40.0)],
        out in size(0.5, 30.0),
        section in size(2.0, 6.0),
        (end, forms) in (size(0.1, 100.0), forms()),
        run in size(20.1, 300.0),
    ) -> (f64, f64, f64, String) {
        let span = |[a, b]: [f64; 2]| [a.min(b), a.max(b)];
        let thin = span(thick)[0];
        let section = match forms.squares {
            Some(_) => String::new(),
            None => format!("section = {section:.4}\n"),
        };
        let mut text = format!(
            "[handle]\nend = \"{end:.4} mm\"\n{section}{}width = {}\nthickness = {}\n",
            handle_forms([end, run], &forms),
            stations("size", &width, [run, 0.5], span(widths), true),
            stations("size", &thickness, [run, 0.5], span(thick), true),
        );
        for (key, field, list, is) in
            [("curve", "rise", &curve, bent[0]), ("sway", "shift", &sway, bent[1])]
        {
            if is {
                let list = stations(field, list, [run, 1.0], [-out, out], false);
                text += &format!("{key} = {list}\n");
            }
        }
        (end, run, thin, text)
    }
}

/// Tines for a head of that width and length: mostly such as leave wood between the slots.
fn tines(
    [width, length]: [f64; 2],
    (count, slot, root, taper): (u32, f64, f64, f64),
    (tip, splay): (u32, f64),
    unit: u32,
) -> String {
    let slot = written(slot * width / f64::from(count), unit);
    let root = written(root * length, unit / 4);
    format!(
        "[tines]\ncount = {count}\nslot = {{ width = {slot}, length = {root}, taper = \"{taper:.3} deg\" }}\n\
         tip = \"{}\"\nsplay = \"{splay:.3} deg\"\n",
        ["square", "round", "pointed"][tip as usize]
    )
}

/// Tabs by the tool, or written: some near the ends, on one side, or close together.
fn tabs() -> impl Strategy<Value = String> {
    let place = (any::<bool>(), size(1.0, 99.0)).prop_map(|(left, at)| {
        let side = if left { "left" } else { "right" };
        format!("{{ side = \"{side}\", at = \"{at:.2} %\" }}")
    });
    let written = (size(1.0, 40.0), size(1.0, 20.0), prop::collection::vec(place, 2..9)).prop_map(
        |(width, thickness, places)| {
            let places = places.join(", ");
            format!(
                "width = \"{width:.3} mm\"\nthickness = \"{thickness:.3} mm\"\nplace = [{places}]\n"
            )
        },
    );
    let count = (2..=8).prop_map(|count| format!("place = \"auto\"\ncount = {count}\n"));
    prop_oneof![
        2 => Just("place = \"auto\"\n".to_owned()),
        1 => count,
        2 => written,
    ]
}

/// A hole, a slot or a pattern of them: its place as shares of the length and of the head's width, its
/// size as a share of that width.
#[derive(Clone, Debug)]
struct Holes {
    on_head: bool,
    place: [f64; 2],
    width: f64,
    long: Option<f64>,
    turn: f64,
    rows: [u32; 2],
    pitch: [f64; 2],
    ring: Option<(f64, u32)>,
}

impl Holes {
    fn written(&self, [neck, tip, width]: [f64; 3]) -> String {
        let [along, aside] = self.place;
        let x = if self.on_head { neck + along * (tip - neck) } else { along * neck };
        let y = if self.on_head { aside * width } else { 0.05 * aside * width };
        let wide = if self.on_head { self.width * width } else { 0.3 * self.width * width };
        let long = self.long.map_or_else(String::new, |long| {
            format!("length = \"{:.4} mm\"\nturn = \"{:.2} deg\"\n", wide * long, self.turn)
        });
        let [rows, columns] = self.rows;
        let many = match self.ring {
            Some((radius, count)) => {
                format!("ring = \"{:.4} mm\"\ncount = {count}\n", radius * width)
            }
            None if rows * columns > 1 => {
                let [far, apart] = self.pitch.map(|pitch| pitch * wide);
                let pitch = format!("[\"{far:.4} mm\", \"{apart:.4} mm\"]");
                format!("along = {rows}\nacross = {columns}\npitch = {pitch}\n")
            }
            None => String::new(),
        };
        format!(
            "[[opening]]\nat = [\"{x:.4} mm\", \"{y:.4} mm\"]\nwidth = \"{wide:.4} mm\"\n{long}{many}"
        )
    }
}

prop_compose! {
    fn openings()(
        on_head in prop::bool::weighted(0.8),
        place in [0.05..0.95_f64, -0.4..0.4_f64],
        width in size(0.01, 0.2),
        (long, turn) in (prop::option::of(size(1.001, 8.0)), -90.0..90.0_f64),
        rows in [1..4_u32, 1..5_u32],
        pitch in [1.01..3.0_f64, 1.01..3.0_f64],
        ring in prop::option::weighted(0.3, (0.05..0.4_f64, 2..10_u32)),
    ) -> Holes {
        Holes { on_head, place, width, long, turn, rows, pitch, ring }
    }
}

prop_compose! {
    /// A design of any kind.
    pub fn text()(
        (end, run, thin, handle) in handle(60),
        kind in 0..5,
        cut in (2..=12_u32, size(0.02, 1.0), size(0.05, 1.0), size(0.01, 10.0)),
        (ends, mirror, thin_side) in ((0..3_u32, size(0.01, 20.0)), any::<bool>(), prop::option::of(size(0.2, 1.0))),
        tabs in tabs(),
        length in size(20.0, 160.0),
        width in size(15.0, 130.0),
        depth in size(0.02, 1.0),
        wall in size(0.02, 1.0),
        (rim, rims) in (prop_oneof![size(0.02, 1.0), size(0.02, 0.3)], rims()),
        edge in size(0.02, 1.0),
        thickness in size(0.5, 25.0),
        front in size(0.05, 1.0),
        bevel in size(0.01, 1.0),
        fullness in prop_oneof![size(2.0, 6.0), size(2.0, 8.0)],
        widest in prop_oneof![size(35.0, 70.0), size(55.0, 90.0)],
        neck in prop::option::of([20.0..60.0_f64, 20.0..70.0_f64]),
        deepest in prop::option::of(0.0..1.1_f64),
        (bent, own, leaves, holes) in (
            prop::option::of([0.05..0.95_f64, -0.5..0.5_f64, -0.5..0.5_f64]),
            prop::option::of(prop::collection::vec((0.1..1.0_f64, size(0.3, 2.0)), 2..=4)),
            prop::option::of([0.05..0.95_f64, -0.5..0.5_f64, -0.5..0.5_f64]),
            prop::collection::vec(openings(), 0..3),
        ),
        units in prop::collection::vec(any::<u32>(), 7),
    ) -> String {
        let spoon = [0, 1, 4].contains(&kind);
        let lesser = f64::min(length, width);
        let (depth, wall) = (0.45 * lesser * depth, 0.3 * lesser * wall);
        let high = if spoon { depth + wall } else { thickness };
        let edge = f64::min(0.8 * thin, 0.98 * high) * edge;
        let head = if spoon {
            format!(
                "kind = \"{}\"\n[bowl]\nlength = \"{length:.4} mm\"\nwidth = {}\ndepth = {}\n\
                 wall = {}\n{}",
                ["spoon", "fork", "", "", "scoop"][kind as usize],
                written(width, units[0]),
                written(depth, units[1]),
                written(wall, units[2]),
                rims.written(0.3 * lesser * rim, &written(0.3 * lesser * rim, units[3])),
            )
        } else {
            // A spreader without one is a fault, and one that is too thin for its edge is another.
            let thin = thin_side.map_or_else(String::new, |share| {
                let least = 0.9 * (0.25 * thickness + 0.75 * edge) + 0.1 * edge;
                format!("thin = \"{:.5} mm\"\n", least + (thickness - least) * (share - 0.21))
            });
            let kind = if kind == 2 { "turner" } else { "spreader" };
            format!(
                "kind = \"{kind}\"\n[blade]\nlength = \"{length:.4} mm\"\nwidth = {}\n\
                 thickness = {}\nfront = {}\nbevel = {}\n{thin}",
                written(width, units[0]),
                written(thickness, units[1]),
                written(thickness * front, units[2]),
                written(0.6 * length * bevel, units[3]),
            )
        };
        let neck = neck.map_or_else(String::new, |[shoulder, keel]| {
            format!("shoulder = \"{shoulder:.3} %\"\nkeel = \"{keel:.3} %\"\n")
        });
        // From half of the way to the neck to half of the way to the tip, and a little further.
        let deepest = deepest.filter(|_| spoon && kind != 4).map_or_else(String::new, |share| {
            format!("deepest = \"{:.3} %\"\n", 0.5 * widest + 50.0 * share)
        });
        // The head's own middle line: often as steep as it may be, or steeper.
        let line = |key: &str, field: &str, line: Option<[f64; 3]>| {
            line.map_or_else(String::new, |[at, middle, tip]| {
                format!(
                    "{key} = [{{ at = \"{:.3} %\", {field} = \"{:.4} mm\" }}, \
                     {{ at = \"100 %\", {field} = \"{:.4} mm\" }}]\n",
                    100.0 * at,
                    middle * length * at,
                    (middle * at + tip * (1.0 - at)) * length
                )
            })
        };
        let own = own.map_or_else(String::new, |mut own| {
            own.sort_by(|a, b| a.0.total_cmp(&b.0));
            own.dedup_by(|b, a| b.0 - a.0 < 0.05);
            // Most of them clear of the widest place.
            own.retain(|(at, times)| (100.0 * at - widest).abs() > 5.0 || *times > 1.9);
            if own.len() < 2 {
                return String::new();
            }
            let one = |(at, times): &(f64, f64)| {
                format!("{{ at = \"{:.3} %\", size = \"{:.4} mm\" }}", 100.0 * at, times * width)
            };
            format!("outline = [{}]\n", own.iter().map(one).collect::<Vec<_>>().join(", "))
        });
        let bent = line("curve", "rise", bent) + &own + &line("sway", "shift", leaves);
        let tines =
            if kind == 1 { tines([width, length], cut, ends, units[6]) } else { String::new() };
        let whole = written(length + end + run, units[4]);
        let edge = written(edge, units[5]);
        let [neck_x, tip] = [end + run, end + run + length];
        let holes: String = holes.iter().map(|hole| hole.written([neck_x, tip, width])).collect();
        format!(
            "[utensil]\nname = \"random\"\nmirror = {mirror}\nlength = {whole}\nedge = {edge}\n{head}\
             fullness = {fullness:.4}\nwidest = \"{widest:.3} %\"\n{deepest}{neck}{bent}{handle}{tines}\
             [tabs]\n{tabs}{holes}"
        )
    }
}
