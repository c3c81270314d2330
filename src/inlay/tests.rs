//! Closed forms on a flat face, and the mesh's own soundness.

use super::bed_of_art::{ART, FACE};
use super::level::lines;
use super::shore::Shore;
use super::sketch::ArtGround;
use super::solid::{WoodSide, solid};
use super::terrain::terrain;
use super::valley::Lies;
use super::{Art, even_odd};
use crate::mesh::{Mesh, audit};
use glam::DVec2;
use std::f64::consts::{PI, TAU};

const DEPTH: f64 = 2.0;

fn recess(loops: &[Vec<DVec2>], t: f64, face: &(dyn Fn(DVec2) -> f64 + Sync)) -> (Mesh, f64) {
    let loops = even_odd::bounds(loops, &even_odd::odd(loops)).expect("art");
    let inside = even_odd::odd(&loops);
    let shore = Shore::new(&loops, 0.2, 1.0 / t, face);
    let high = shore.points.iter().fold(0.0, |far: f64, p| far.max(p.length())) + 2.0;
    let border: Vec<DVec2> =
        (0..120).map(|k| high * DVec2::from_angle(TAU * f64::from(k) / 120.0)).collect();
    let height = |p: DVec2, lies| match lies {
        Lies::In => shore.below(p).max(face(p) - DEPTH),
        _ => face(p),
    };
    let flank = |p: DVec2| shore.below(p) - (face(p) - DEPTH);
    let ground = |border| ArtGround { shore: &shore, inside: &inside, border, height: &height };
    let own = lines(&ground(&[]), Lies::In, &[&flank]).expect("lines");
    let made = terrain(&ground(&border), &[&own[0]], [ART, FACE]).expect("a terrain");
    let mesh = solid(&made, -10.0, WoodSide::Below).expect("a solid");
    let found = audit(&mesh);
    let area = border.iter().zip(border.iter().cycle().skip(1));
    let area: f64 = area.map(|(a, b)| a.perp_dot(*b) / 2.0).sum();
    (mesh, area * 10.0 - found.volume_mm3)
}

fn ring(radius: f64, count: u32) -> Vec<DVec2> {
    (0..count).map(|k| radius * DVec2::from_angle(TAU * f64::from(k) / f64::from(count))).collect()
}

#[test]
fn a_disc_a_stroke_and_a_square_on_a_flat_face_have_their_closed_forms() {
    let flat = |_: DVec2| 0.0;
    for t in [0.131_652, 0.577_35] {
        let (mesh, volume) = recess(&[ring(5.0, 720)], t, &flat);
        assert!(audit(&mesh).sound(), "{:?}", audit(&mesh).trouble());
        let r = 5.0 - DEPTH * t;
        let exact = PI * DEPTH * (25.0 + 5.0 * r + r * r) / 3.0;
        assert!((volume - exact).abs() < 2e-3 * exact, "disc {volume} {exact}");
        let square = [(-4.0, -4.0), (4.0, -4.0), (4.0, 4.0), (-4.0, 4.0)].map(DVec2::from).to_vec();
        let (mesh, volume) = recess(&[square], t, &flat);
        assert!(audit(&mesh).sound(), "{:?}", audit(&mesh).trouble());
        let u = 8.0 - 2.0 * DEPTH * t;
        let exact = DEPTH * (64.0 + 8.0 * u + u * u) / 3.0;
        assert!((volume - exact).abs() < 1e-3 * exact, "square {volume} {exact}");
    }
}

#[test]
fn a_star_on_a_crest_is_sound() {
    let face = |p: DVec2| (36.0 - p.y * p.y).max(0.0).sqrt() + 0.1 * p.x - 6.0;
    let star: Vec<DVec2> = (0..10)
        .map(|k| {
            let radius = if k % 2 == 0 { 4.5 } else { 1.8 };
            radius * DVec2::from_angle(TAU * f64::from(k) / 10.0 + 0.1)
        })
        .collect();
    for t in [0.131_652, 0.577_35] {
        let (mesh, volume) = recess(&[star.clone(), ring(1.0, 90)], t, &face);
        assert!(audit(&mesh).sound(), "{:?}", audit(&mesh).trouble());
        assert!(volume > 5.0);
    }
}

/// The shipped motifs on a handle's crest that also rises along it.
#[test]
fn the_motifs_make_sound_recesses_and_plugs_that_fit() {
    use super::bed_of_art::{BedOfArt, InlayFigures};
    use crate::outline::ArcPath;
    use crate::units::{Angle, Length};
    let face =
        |p: DVec2| 5.0 * (1.0 - (p.y / 11.0).powi(2)).max(0.0).sqrt() + 2.0 * (p.x / 40.0).sin();
    let outline = [(-60.0, -10.5), (60.0, -10.5), (60.0, 10.5), (-60.0, 10.5)];
    let outline = ArcPath::polygon(outline.map(DVec2::from));
    for (name, text, size) in [
        ("wheat", include_str!("../../params/art/wheat-ear.svg"), 48.0),
        ("oak", include_str!("../../params/art/oak-leaf.svg"), 30.0),
        ("apple", include_str!("../../params/art/apple.svg"), 16.0),
    ] {
        let art = Art::read("a.svg", text.as_bytes()).expect("a motif");
        for (t, gap) in [(0.577_35, 0.02), (0.131_652, 0.0)] {
            let loops =
                art.placed(DVec2::ZERO, Angle::degrees(-90.0), Length::mm(size), Some(1.0 / t));
            let loops = loops.expect("loops");
            let asked = InlayFigures {
                t,
                depth: 1.2,
                under: 0.2,
                proud: 1.0,
                gap,
                tip: 0.05,
                clear: 3.175,
            };
            let bed = BedOfArt::new(loops, &face, asked).expect("art");
            let lines = bed.lines().expect("lines");
            let made = bed.recess(&lines, &outline, -10.0).expect("a recess");
            let found = audit(&made.mesh);
            assert!(found.sound(), "{name} {t}: {:?} {found:?}", found.trouble());
            let inside = even_odd::odd(&bed.loops);
            let recess = |p| if inside(p) { bed.cut(p) } else { face(p) };
            off(&made.mesh, &recess, &format!("{name} {t} recess"), 0.01, &|_| true);
            let plug = bed.over_face(&|p| outline.contains(p)).expect("a plate");
            let plug = bed.underside(&lines, plug, 14.0).expect("a plug");
            let found = audit(&plug.mesh);
            assert!(found.sound(), "{name} {t}: {:?} {found:?}", found.trouble());
            let lift = asked.lift();
            let under = |p| match inside(p) {
                true => (bed.shore.below(p) + lift).max(bed.floor(p) + asked.under),
                false => (bed.shore.above(p) + lift).min(plug.plate),
            };
            off(&plug.mesh, &under, &format!("{name} {t} plug"), 0.008, &inside);
            // Over the face the flanks touch nothing, and are sawn off.
            off(&plug.mesh, &under, &format!("{name} {t} plug over the face"), 0.06, &|p| {
                !inside(p)
            });
            let [flank, foot] = plug.gaps;
            assert!(flank[0] > gap - 0.01 && flank[1] < gap + 0.01, "{name} {t}: flank {flank:?}");
            assert!(foot[0] > 0.19 && foot[1] < 0.21, "{name} {t}: foot {foot:?}");
        }
    }
}

/// Nowhere off the surface, upright, by more than so much, where it is looked at: at eight places of each
/// triangle that no division knows.
fn off(
    mesh: &Mesh,
    exact: &dyn Fn(DVec2) -> f64,
    name: &str,
    most: f64,
    looks: &dyn Fn(DVec2) -> bool,
) {
    let mut worst = (0.0, DVec2::ZERO);
    for (at, triangle) in mesh.triangles.iter().enumerate() {
        let [a, b, c] = mesh.corners(*triangle);
        let area = (b - a).truncate().perp_dot((c - a).truncate());
        let level = a.z == b.z && b.z == c.z;
        if area.abs() < 1e-9 || level || !looks(((a + b + c) / 3.0).truncate()) {
            continue;
        }
        for turn in 0..8 {
            let at = 8 * at + turn;
            let u = ((at * 7919) % 1013) as f64 / 1013.0;
            let v = (1.0 - u) * ((at * 104_729) % 977) as f64 / 977.0;
            let p = a * u + b * v + c * (1.0 - u - v);
            let far = (exact(p.truncate()) - p.z).abs();
            if far > worst.0 {
                worst = (far, p.truncate());
            }
        }
    }
    assert!(worst.0 < most, "{name}: off by {} at {}", worst.0, worst.1);
}

#[test]
fn two_letters_that_overlap_along_their_upper_edges_are_one_and_sound() {
    let bar = |x: f64, y: f64, wide: f64, high: f64| -> Vec<DVec2> {
        let corner = |(u, v): (f64, f64)| DVec2::new(x + u * wide, y + v * high);
        [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)].map(corner).to_vec()
    };
    let tee = [
        (1.43, 6.0),
        (3.43, 6.0),
        (3.43, 0.0),
        (4.43, 0.0),
        (4.43, 6.0),
        (6.43, 6.0),
        (6.43, 7.0),
        (1.43, 7.0),
    ];
    let loops = [bar(0.0, 0.0, 1.8, 7.0), tee.map(DVec2::from).to_vec()];
    for degrees in [0.0_f64, 3.0, 17.0] {
        let way = DVec2::from_angle(degrees.to_radians());
        let turned: Vec<Vec<DVec2>> =
            loops.iter().map(|ring| ring.iter().map(|p| way.rotate(*p)).collect()).collect();
        let each = turned.iter().map(|ring| even_odd::odd(std::slice::from_ref(ring)));
        let each: Vec<_> = each.collect();
        let own =
            even_odd::bounds(&turned, &|p| each.iter().any(|inside| inside(p))).expect("loops");
        assert_eq!(own.len(), 1, "{degrees}: {own:?}");
        let (mesh, _) = recess(&own, 0.577_35, &|_| 0.0);
        assert!(audit(&mesh).sound(), "{degrees}: {:?} {own:?}", audit(&mesh).trouble());
    }
}
