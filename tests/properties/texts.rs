//! Texts of random designs, boards and shops.

#[path = "../random/rims.rs"]
mod rims;

use proptest::prelude::*;
use rims::rims;

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
        (rim, rims) in (1.2..5.0_f64, rims()),
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
        let rim = rims.written(rim, &format!("\"{rim:.3} mm\""));
        let neck = neck.map_or_else(String::new, |(shoulder, further)| {
            format!("shoulder = \"{shoulder:.2} %\"\nkeel = \"{:.2} %\"\n", shoulder + further)
        });
        format!(
            "[bowl]\nlength = \"{length:.3} mm\"\nwidth = \"{width:.3} mm\"\n\
             depth = \"{depth:.3} mm\"\nwall = \"{wall:.3} mm\"\n{rim}\
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
    pub fn design_text()(
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
    pub fn board_text()(
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

pub fn shop_text(turn: &str, zero: &str, unit: &str) -> String {
    include_str!("../../params/shop.toml")
        .replace("turn = \"X\"", &format!("turn = \"{turn}\""))
        .replace("zero = \"bottom\"", &format!("zero = \"{zero}\""))
        .replace("unit = \"mm\"", &format!("unit = \"{unit}\""))
}
