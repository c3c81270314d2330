//! A stand-in body for the tests of relief models, and what judges them.

use super::super::*;
use crate::finding::heard;
use crate::outline::arcs::fit;
use crate::outline::offset::offset;
use crate::shape::PlanCurve;
use std::collections::BTreeMap;
use std::f64::consts::TAU;
use std::sync::Arc;

pub const EDGE: f64 = 2.5;
pub const AROUND: usize = 240;
pub const RINGS: usize = 10;

/// A waisted plan on a wavy parting line: nothing in it is symmetrical.
pub struct Body {
    pub mesh: Mesh,
    pub top: std::ops::Range<usize>,
    pub bottom: std::ops::Range<usize>,
    pub rim_top: Vec<u32>,
    pub rim_bottom: Vec<u32>,
}

pub fn plan_at(angle: f64) -> DVec2 {
    let radius = 1.0 + 0.25 * (2.0 * angle).cos();
    DVec2::new(100.0 + 78.0 * radius * angle.cos(), 3.0 + 34.0 * radius * angle.sin())
}

pub fn parting(p: DVec2) -> f64 {
    2.0 * (p.x / 35.0).sin() + 0.02 * p.y
}

pub fn body() -> Body {
    let mut mesh = Mesh::default();
    let mut skin = |up: f64| {
        let first = mesh.points.len() as u32;
        let middle = DVec2::new(100.0, 3.0);
        let mut push = |p: DVec2, rho: f64| {
            let dome = if up > 0.0 { 6.0 - 8.0 * rho * rho } else { 4.0 };
            let z = parting(p) + up * (EDGE / 2.0 + dome * (1.0 - rho * rho));
            mesh.points.push(p.extend(z));
        };
        push(middle, 0.0);
        for ring in 1..=RINGS {
            let rho = ring as f64 / RINGS as f64;
            for step in 0..AROUND {
                push(middle.lerp(plan_at(TAU * step as f64 / AROUND as f64), rho), rho);
            }
        }
        let at = |ring: usize, step: usize| {
            if ring == 0 { first } else { first + (1 + (ring - 1) * AROUND + step % AROUND) as u32 }
        };
        let start = mesh.triangles.len();
        for ring in 0..RINGS {
            for step in 0..AROUND {
                let (a, b) = (at(ring, step), at(ring, step + 1));
                let (c, d) = (at(ring + 1, step + 1), at(ring + 1, step));
                mesh.triangles.push([a, d, c]);
                if ring > 0 {
                    mesh.triangles.push([a, c, b]);
                }
            }
        }
        if up < 0.0 {
            for triangle in &mut mesh.triangles[start..] {
                triangle.swap(1, 2);
            }
        }
        let rim = (0..AROUND).map(|step| at(RINGS, step)).collect::<Vec<u32>>();
        (start..mesh.triangles.len(), rim)
    };
    let (top, rim_top) = skin(1.0);
    let (bottom, rim_bottom) = skin(-1.0);
    for step in 0..AROUND {
        let next = (step + 1) % AROUND;
        let (a, b) = (rim_bottom[step], rim_bottom[next]);
        let (c, d) = (rim_top[next], rim_top[step]);
        mesh.triangles.push([a, b, c]);
        mesh.triangles.push([a, c, d]);
    }
    Body { mesh, top, bottom, rim_top, rim_bottom }
}

/// The plan grown by the outline room.
pub fn grown(by: f64) -> Vec<DVec2> {
    let curve: Vec<PlanCurve> = vec![Arc::new(|t: f64| plan_at(TAU * t))];
    let outline = fit(&curve, Length::mm(0.005)).path;
    let paths = offset(&outline, Length::mm(by));
    assert_eq!(paths.len(), 1);
    paths[0].to_polyline(Length::mm(0.02))
}

pub fn tab_at(angle: f64) -> Tab {
    let foot = plan_at(angle);
    let way = plan_at(angle + 1e-6) - plan_at(angle - 1e-6);
    Tab {
        foot,
        out: -way.normalize().perp(),
        width: Length::mm(9.0),
        bottom: Length::mm(parting(foot) - 2.5),
        top: Length::mm(parting(foot) + 2.5),
    }
}

pub const TAB_ANGLES: [f64; 4] = [0.5, 2.3, 3.9, 5.6];

pub struct Case {
    pub body: Body,
    pub tabs: Vec<Tab>,
    pub edge: Vec<DVec2>,
    pub ball: f64,
    pub overlap: f64,
    pub stock: (f64, f64),
}

pub fn case() -> Case {
    let ball = 3.175;
    let tabs = TAB_ANGLES.map(tab_at).to_vec();
    let edge = grown(skirt_width(Length::mm(ball)).as_mm());
    Case { body: body(), tabs, edge, ball, overlap: 0.5, stock: (-11.0, 14.0) }
}

pub fn make(case: &Case, face: Face) -> Result<Relief, Box<Finding>> {
    told(case, face).0
}

/// The same, and what is said of it.
pub fn told(case: &Case, face: Face) -> (Result<Relief, Box<Finding>>, Findings) {
    let (range, rim) = match face {
        Face::Top => (case.body.top.clone(), &case.body.rim_top),
        Face::Bottom => (case.body.bottom.clone(), &case.body.rim_bottom),
    };
    let order = ReliefOrder {
        face,
        skin: Skin {
            points: &case.body.mesh.points,
            triangles: &case.body.mesh.triangles[range],
            rim,
        },
        skirt_edge: &case.edge,
        parting: &parting,
        tabs: &case.tabs,
        ball: Length::mm(case.ball),
        overlap: Length::mm(case.overlap),
        stock_bottom: Length::mm(case.stock.0),
        stock_top: Length::mm(case.stock.1),
    };
    heard(|out| model(&order, out))
}

/// Every directed edge once, its reverse once; no triangle without area, none through another;
/// and the volume.
pub fn audit(mesh: &Mesh) -> f64 {
    let crossing = crate::mesh::crossings(&mesh.points, &mesh.triangles);
    if let Some([one, other]) = crossing.first() {
        let [p, q] = [one, other].map(|index| mesh.corners(mesh.triangles[*index as usize]));
        panic!("{} pairs cross, one of them {p:?} and {q:?}", crossing.len());
    }
    let mut edges: BTreeMap<(u32, u32), u32> = BTreeMap::new();
    let mut volume = 0.0;
    for triangle in &mesh.triangles {
        let [a, b, c] = triangle.map(|i| mesh.points[i as usize]);
        let area = (b - a).cross(c - a).length() / 2.0;
        assert!(area > 1e-6, "a triangle of {area} mm2 at {a}");
        volume += a.dot(b.cross(c)) / 6.0;
        for i in 0..3 {
            *edges.entry((triangle[i], triangle[(i + 1) % 3])).or_default() += 1;
        }
    }
    for (&(a, b), &count) in &edges {
        assert_eq!(count, 1, "edge {a}-{b} twice, at {}", mesh.points[a as usize]);
        assert!(edges.contains_key(&(b, a)), "open edge at {}", mesh.points[a as usize]);
    }
    assert!(volume > 0.0);
    volume
}

/// Heights at which an upright line meets a mesh.
pub struct Rays<'a> {
    pub mesh: &'a Mesh,
    pub cells: BTreeMap<(i64, i64), Vec<usize>>,
}

impl<'a> Rays<'a> {
    const CELL: f64 = 4.0;

    pub fn new(mesh: &'a Mesh) -> Rays<'a> {
        let mut cells: BTreeMap<(i64, i64), Vec<usize>> = BTreeMap::new();
        for (index, triangle) in mesh.triangles.iter().enumerate() {
            let p = triangle.map(|i| mesh.points[i as usize].truncate());
            let (low, high) = (p[0].min(p[1]).min(p[2]), p[0].max(p[1]).max(p[2]));
            for x in (low.x / Self::CELL).floor() as i64..=(high.x / Self::CELL).floor() as i64 {
                for y in (low.y / Self::CELL).floor() as i64..=(high.y / Self::CELL).floor() as i64
                {
                    cells.entry((x, y)).or_default().push(index);
                }
            }
        }
        Rays { mesh, cells }
    }

    pub fn at(&self, p: DVec2) -> Vec<f64> {
        let cell = ((p.x / Self::CELL).floor() as i64, (p.y / Self::CELL).floor() as i64);
        self.mesh.met_among(self.cells.get(&cell).into_iter().flatten().copied(), p)
    }
}

pub fn inside(ring: &[DVec2], p: DVec2) -> bool {
    (0..ring.len()).fold(false, |odd, i| {
        let (a, b) = (ring[i], ring[(i + 1) % ring.len()]);
        let crosses =
            (a.y > p.y) != (b.y > p.y) && p.x < a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x);
        odd != crosses
    })
}

pub fn from_ring(ring: &[DVec2], p: DVec2) -> f64 {
    (0..ring.len())
        .map(|i| {
            let (a, b) = (ring[i], ring[(i + 1) % ring.len()]);
            let t = ((p - a).dot(b - a) / (b - a).length_squared()).clamp(0.0, 1.0);
            p.distance(a.lerp(b, t))
        })
        .fold(f64::INFINITY, f64::min)
}
