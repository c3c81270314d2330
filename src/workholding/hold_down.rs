//! The printed hold-down: a stepped block that stands on the bed beside the board and reaches
//! over its edge.
//!
//! How it holds: the block's heel stands on the bed at the back, the lip bears on the board in
//! front, the bolt pulls down between them. The step is as high as the stock less the squeeze, so
//! the lip touches first and the block, tipped back by the squeeze onto its heel, presses; without
//! squeeze it sits flat and only keeps the board from rising. The nearer the bolt is to the board,
//! the more of its pull goes to the lip, so it stands as near as its washer allows.
//!
//! Print it lying on its side, the stepped profile on the printer's bed, so that the layers run
//! along the lip and do not part when it is bent.
//!
//! Not promised: strength. It depends on the filament, the fill and how hard the bolt is pulled.

use super::bolt;
use crate::finding::{Code, Finding, Source};
use crate::fit::Stock;
use crate::mesh::Mesh;
use crate::mesh::flat::fill_loops;
use crate::params::Shop;
use crate::units::Length;
use glam::{DVec2, DVec3};
use std::f64::consts::{PI, TAU};

/// The hold-down has no room for its bolt.
pub const BOLT_HOLE_TOO_NEAR: Code = Code {
    name: "bolt-hole-too-near",
    explain: "The hold-down asked for in the shop file can't be made. \
        The block behind the board's edge must take the bolt's clearance hole with a wall of at \
        least 4 mm all round, and the lip must have a length and a thickness. \
        The step, which is the stock's height less the squeeze, must be higher than nothing. \
        Make the block longer or wider, or use a thinner bolt. \
        The washer may be wider than the block; that is not looked at.",
};

/// Least wall of printed plastic round the hole: ten lines of a common 0.4 mm nozzle (common
/// practice, no source).
const WALL_MM: f64 = 4.0;

/// The hole's mesh leaves the circle by at most this much, outwards.
const HOLE_ERROR_MM: f64 = 0.01;

/// A round upright hole through the block.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hole {
    /// In X and Y, in mm.
    pub centre: DVec2,
    /// Half of its diameter, with the printer's allowance.
    pub radius: Length,
}

/// The hold-down. X = 0 is the board's edge and grows over the board, Y runs along the edge with
/// zero in the middle, Z = 0 is the bed.
#[derive(Clone, Debug, PartialEq)]
pub struct HoldDownModel {
    /// The stepped profile in X and Z in mm, counter-clockwise with X to the right and Z up.
    pub profile: Vec<DVec2>,
    /// From where to where it goes along Y.
    pub across: [Length; 2],
    /// For the bolt; from the bed to the block's top.
    pub hole: Hole,
    /// Height of the face that bears on the board.
    pub bearing: Length,
    /// Height of the whole block.
    pub height: Length,
    /// The closed solid.
    pub mesh: Mesh,
}

/// The hold-down for that shop and that stock.
///
/// # Errors
/// A fault (`bolt-hole-too-near`) when the bolt's hole does not fit into the block.
pub fn hold_down(shop: &Shop, stock: &Stock) -> Result<HoldDownModel, Box<Finding>> {
    let asked = &shop.hold_down;
    let bearing = (stock.height - asked.squeeze).as_mm();
    let height = bearing + asked.lip_thickness.as_mm();
    let (body, lip) = (asked.body.as_mm(), asked.lip.as_mm());
    let half = asked.width.half().as_mm();
    let radius = (bolt::clearance_hole(shop.bolt) + shop.printer_fit).half().as_mm();

    let too_small = |message: String| {
        Box::new(
            Finding::fault(
                BOLT_HOLE_TOO_NEAR,
                message,
                "Make the hold-down longer or wider, or use a thinner bolt.",
            )
            .at(Source::Shop, "hold_down"),
        )
    };
    let least = 2.0 * (radius + WALL_MM);
    for (size, name) in [(body, "long"), (2.0 * half, "wide")] {
        // Asked this way round, NaN fails too.
        if !(least..1.0e4).contains(&size) {
            return Err(too_small(format!(
                "the hold-down is {} {name}; its bolt hole of {} needs {}",
                Length::mm(size),
                Length::mm(2.0 * radius),
                Length::mm(least)
            )));
        }
    }
    let sound = bearing > 0.5 && height - bearing > 0.1 && lip > 0.1 && height + lip < 1.0e4;
    if !sound {
        return Err(too_small(format!(
            "the hold-down's step would be {} high, its lip {} long and {} thick",
            Length::mm(bearing),
            asked.lip,
            asked.lip_thickness
        )));
    }

    // As near to the board as the washer allows, but never nearer to the heel than a wall.
    let washer = bolt::washer(shop.bolt.size).half().as_mm();
    let behind = washer.max(radius + WALL_MM).min(body - radius - WALL_MM);
    let hole = Hole { centre: DVec2::new(-behind, 0.0), radius: Length::mm(radius) };
    let profile =
        [(-body, 0.0), (0.0, 0.0), (0.0, bearing), (lip, bearing), (lip, height), (-body, height)]
            .map(|(x, z)| DVec2::new(x, z))
            .to_vec();
    let mesh = solid(&profile, half, &hole)
        .ok_or_else(|| too_small("the hold-down's faces can't be closed".to_owned()))?;
    Ok(HoldDownModel {
        profile,
        across: [Length::mm(-half), Length::mm(half)],
        hole,
        bearing: Length::mm(bearing),
        height: Length::mm(height),
        mesh,
    })
}

/// Corners of a polygon round a circle, whose sides touch the circle, so that the bolt passes.
fn circumscribed(hole: &Hole) -> Vec<DVec2> {
    let radius = hole.radius.as_mm();
    // A corner lies r (1 / cos(pi / n) - 1) outside the circle.
    let count = (PI / (radius / (radius + HOLE_ERROR_MM)).acos()).ceil().clamp(8.0, 720.0);
    let outer = radius / (PI / count).cos();
    (0..count as u32)
        .map(|i| hole.centre + DVec2::from_angle(TAU * f64::from(i) / count) * outer)
        .collect()
}

/// The stepped block with its hole, as a closed mesh.
fn solid(profile: &[DVec2], half: f64, hole: &Hole) -> Option<Mesh> {
    let &[heel, toe, step, nose, lip, back] = profile else { return None };
    let mut points: Vec<DVec3> = Vec::new();
    // The profile's corners at the near side, then at the far side.
    for y in [-half, half] {
        points.extend(profile.iter().map(|p| DVec3::new(p.x, y, p.y)));
    }
    let count = profile.len() as u32;
    let ring = circumscribed(hole);
    let turns = ring.len() as u32;
    let (low, high) = (2 * count, 2 * count + turns);
    for z in [heel.y, back.y] {
        points.extend(ring.iter().map(|p| p.extend(z)));
    }

    let mut triangles: Vec<[u32; 3]> = Vec::new();
    // The two sides. Seen from the near side, the profile runs counter-clockwise.
    for [a, b, c] in fill_loops(&[profile.to_vec()])? {
        triangles.push([a, b, c]);
        triangles.push([a + count, c + count, b + count]);
    }
    // Faces along Y, but not those with the hole in them.
    for (i, holed) in [true, false, false, false, true, false].into_iter().enumerate() {
        if !holed {
            let (a, b) = (i as u32, (i as u32 + 1) % count);
            triangles.push([a, a + count, b + count]);
            triangles.push([a, b + count, b]);
        }
    }
    // Underside (between heel and toe) and top (between back and lip).
    let mut clockwise = ring.clone();
    clockwise.reverse();
    let caps = [(heel, toe, [0, 1], low, false), (back, lip, [5, 4], high, true)];
    for (from, to, [a, b], first, up) in caps {
        let plan = vec![
            DVec2::new(from.x, -half),
            DVec2::new(to.x, -half),
            DVec2::new(to.x, half),
            DVec2::new(from.x, half),
        ];
        let own = |corner: u32| match corner {
            0 => a,
            1 => b,
            2 => b + count,
            3 => a + count,
            other => first + (turns - 1 - (other - 4)),
        };
        for corners in fill_loops(&[plan, clockwise.clone()])? {
            let [a, b, c] = corners.map(own);
            triangles.push(if up { [a, b, c] } else { [a, c, b] });
        }
    }
    // The hole's wall looks at its axis.
    for i in 0..turns {
        let next = (i + 1) % turns;
        triangles.push([low + i, high + i, high + next]);
        triangles.push([low + i, high + next, low + next]);
    }
    (step.y == nose.y).then_some(Mesh { points, triangles })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::params::{Bolt, BoltFit, BoltSize, HoldDown, Limits, Pin, TurnAxis, Work, Zero};
    use crate::units::Unit;
    use std::collections::BTreeMap;

    fn shop(squeeze: f64) -> Shop {
        Shop {
            name: "barn shop".to_owned(),
            unit: Unit::Millimetre,
            turn: TurnAxis::X,
            zero: Zero::Top,
            paper: Default::default(),
            cutters: Vec::new(),
            work: Work { rough: String::new(), finish: String::new(), slots: String::new() },
            pin: Pin { diameter: Length::mm(6.0), play: Length::mm(0.1) },
            bolt: Bolt { size: BoltSize::M6, fit: BoltFit::Normal },
            hold_down: HoldDown {
                lip: Length::mm(9.0),
                lip_thickness: Length::mm(8.0),
                body: Length::mm(40.0),
                width: Length::mm(24.0),
                squeeze: Length::mm(squeeze),
            },
            printer_fit: Length::mm(0.2),
            limits: Limits {
                tine: Length::mm(5.0),
                wall: Length::mm(3.0),
                rim: Length::mm(1.5),
                spare: Length::mm(6.0),
                margin: Length::mm(5.0),
                overlap: Length::mm(0.5),
                check: crate::params::CheckLimits::default(),
            },
            bed: crate::params::Bed::usual(Length::mm(6.0)),
            notes: Vec::new(),
        }
    }

    fn stock(height: f64) -> Stock {
        Stock::round(Length::mm(height), Length::mm(-10.0), Length::mm(10.0))
    }

    /// Heights at which an upright line meets a mesh.
    fn ray(mesh: &Mesh, p: DVec2) -> Vec<f64> {
        let mut heights: Vec<f64> = mesh
            .triangles
            .iter()
            .filter_map(|t| {
                let [a, b, c] = t.map(|i| mesh.points[i as usize]);
                let (u, v) = ((b - a).truncate(), (c - a).truncate());
                let area = u.perp_dot(v);
                let w = p - a.truncate();
                let (s, t) = (w.perp_dot(v) / area, u.perp_dot(w) / area);
                (area != 0.0 && s >= 0.0 && t >= 0.0 && s + t < 1.0)
                    .then_some(a.z + s * (b.z - a.z) + t * (c.z - a.z))
            })
            .collect();
        heights.sort_by(f64::total_cmp);
        heights
    }

    #[test]
    fn an_inch_and_a_quarter_of_stock_gives_a_bearing_face_there_exactly() {
        let model = hold_down(&shop(0.0), &stock(31.75)).expect("it fits");
        assert_eq!(ray(&model.mesh, DVec2::new(4.3, 3.1)), [31.75, 39.75]);
        assert_eq!(
            ray(&model.mesh, DVec2::new(-30.2, 3.1)),
            [0.0, 39.75],
            "the heel is on the bed"
        );
        assert_eq!(model.bearing, Length::mm(31.75));
        let squeezed = hold_down(&shop(0.3), &stock(31.75)).expect("it fits");
        assert_eq!(ray(&squeezed.mesh, DVec2::new(4.3, 3.1))[0], 31.75 - 0.3);
    }

    #[test]
    fn the_block_is_closed_and_has_the_volume_of_its_profile_less_the_hole() {
        let model = hold_down(&shop(0.0), &stock(31.75)).expect("it fits");
        let mut edges: BTreeMap<(u32, u32), u32> = BTreeMap::new();
        let mut volume = 0.0;
        for t in &model.mesh.triangles {
            let [a, b, c] = t.map(|i| model.mesh.points[i as usize]);
            volume += a.dot(b.cross(c)) / 6.0;
            assert!((b - a).cross(c - a).length() > 1e-3);
            for i in 0..3 {
                *edges.entry((t[i], t[(i + 1) % 3])).or_default() += 1;
            }
        }
        for (&(a, b), &count) in &edges {
            assert!(count == 1 && edges.contains_key(&(b, a)), "edge {a}-{b}");
        }
        // ISO 273 medium for M6 is 6.6 mm; 0.2 mm for the printer. The polygon is a little larger
        // than the circle: by less than its perimeter times 0.01 mm.
        let radius: f64 = 3.4;
        let exact = 24.0 * (40.0 * 39.75 + 9.0 * 8.0) - PI * radius * radius * 39.75;
        assert!(volume < exact && volume > exact - TAU * radius * 0.01 * 39.75, "{volume} {exact}");
    }

    #[test]
    fn the_bolt_passes_and_its_washer_stays_on_the_block() {
        let model = hold_down(&shop(0.0), &stock(31.75)).expect("it fits");
        let centre = model.hole.centre;
        let (mut least, mut most) = (f64::INFINITY, 0.0_f64);
        for i in 0..3600 {
            let way = DVec2::from_angle(TAU * f64::from(i) / 3600.0);
            let r = (300..400)
                .map(|k| f64::from(k) / 100.0 + 1e-5)
                .find(|r| !ray(&model.mesh, centre + way * *r).is_empty())
                .expect("wood round the hole");
            least = least.min(r);
            most = most.max(r);
        }
        assert!(least >= 3.4 && most <= 3.4 + 0.0201, "{least} to {most}");
        // ISO 7089: 12 mm for M6.
        assert!(centre.x + 6.0 <= 0.0 && centre.x - 6.0 >= -40.0);
        // Nearer to the lip's middle than to the heel, so that most of the pull goes to the lip.
        assert!(4.5 - centre.x < centre.x + 40.0);
    }

    #[test]
    fn a_block_without_room_for_its_bolt_is_a_fault() {
        let mut narrow = shop(0.0);
        narrow.hold_down.width = Length::mm(12.0);
        assert_eq!(hold_down(&narrow, &stock(20.0)).unwrap_err().code, BOLT_HOLE_TOO_NEAR);
        let mut squeezed = shop(0.0);
        squeezed.hold_down.squeeze = Length::mm(20.0);
        assert!(hold_down(&squeezed, &stock(20.0)).is_err());
        let mut odd = shop(0.0);
        odd.hold_down.body = Length::mm(f64::NAN);
        assert!(hold_down(&odd, &stock(20.0)).is_err());
    }
}
