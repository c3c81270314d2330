//! The relief models of a stand-in body, judged by rays and by edge counts.

use super::*;
use std::collections::BTreeMap;
use std::f64::consts::TAU;

const EDGE: f64 = 2.5;
const AROUND: usize = 240;
const RINGS: usize = 10;

/// A waisted plan on a wavy parting line: nothing in it is symmetrical.
struct Body {
    mesh: Mesh,
    top: std::ops::Range<usize>,
    bottom: std::ops::Range<usize>,
    rim_top: Vec<u32>,
    rim_bottom: Vec<u32>,
}

fn plan_at(angle: f64) -> DVec2 {
    let radius = 1.0 + 0.25 * (2.0 * angle).cos();
    DVec2::new(100.0 + 78.0 * radius * angle.cos(), 3.0 + 34.0 * radius * angle.sin())
}

fn parting(p: DVec2) -> f64 {
    2.0 * (p.x / 35.0).sin() + 0.02 * p.y
}

fn body() -> Body {
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

/// The plan grown by its normals: exact enough where the plan bends less than the skirt is wide.
fn grown(by: f64) -> Vec<DVec2> {
    let count = 300;
    (0..count)
        .map(|step| {
            let angle = TAU * f64::from(step) / f64::from(count);
            let way = plan_at(angle + 1e-6) - plan_at(angle - 1e-6);
            plan_at(angle) - way.normalize().perp() * by
        })
        .collect()
}

fn tab_at(angle: f64) -> Tab {
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

const TAB_ANGLES: [f64; 4] = [0.5, 2.3, 3.9, 5.6];

struct Case {
    body: Body,
    tabs: Vec<Tab>,
    edge: Vec<DVec2>,
    ball: f64,
    stock: (f64, f64),
}

fn case() -> Case {
    let ball = 3.175;
    let tabs = TAB_ANGLES.map(tab_at).to_vec();
    let edge = grown(skirt_width(Length::mm(ball)).as_mm());
    Case { body: body(), tabs, edge, ball, stock: (-11.0, 14.0) }
}

fn make(case: &Case, face: Face) -> Result<Relief, Finding> {
    let (range, rim) = match face {
        Face::Top => (case.body.top.clone(), &case.body.rim_top),
        Face::Bottom => (case.body.bottom.clone(), &case.body.rim_bottom),
    };
    model(&Order {
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
        overlap: Length::mm(0.5),
        stock_bottom: Length::mm(case.stock.0),
        stock_top: Length::mm(case.stock.1),
    })
}

/// Every directed edge once, its reverse once; no triangle without area; and the volume.
fn audit(mesh: &Mesh) -> f64 {
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
struct Rays<'a> {
    mesh: &'a Mesh,
    cells: BTreeMap<(i64, i64), Vec<usize>>,
}

impl<'a> Rays<'a> {
    const CELL: f64 = 4.0;

    fn new(mesh: &'a Mesh) -> Rays<'a> {
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

    fn at(&self, p: DVec2) -> Vec<f64> {
        let cell = ((p.x / Self::CELL).floor() as i64, (p.y / Self::CELL).floor() as i64);
        let mut heights: Vec<f64> = self
            .cells
            .get(&cell)
            .into_iter()
            .flatten()
            .filter_map(|index| {
                let [a, b, c] = self.mesh.triangles[*index].map(|i| self.mesh.points[i as usize]);
                let (u, v) = ((b - a).truncate(), (c - a).truncate());
                let area = u.perp_dot(v);
                let w = p - a.truncate();
                let (s, t) = (w.perp_dot(v) / area, u.perp_dot(w) / area);
                (area != 0.0 && s >= 0.0 && t >= 0.0 && s + t < 1.0)
                    .then(|| a.z + s * (b.z - a.z) + t * (c.z - a.z))
            })
            .collect();
        heights.sort_by(f64::total_cmp);
        heights
    }
}

fn inside(ring: &[DVec2], p: DVec2) -> bool {
    (0..ring.len()).fold(false, |odd, i| {
        let (a, b) = (ring[i], ring[(i + 1) % ring.len()]);
        let crosses =
            (a.y > p.y) != (b.y > p.y) && p.x < a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x);
        odd != crosses
    })
}

fn from_ring(ring: &[DVec2], p: DVec2) -> f64 {
    (0..ring.len())
        .map(|i| {
            let (a, b) = (ring[i], ring[(i + 1) % ring.len()]);
            let t = ((p - a).dot(b - a) / (b - a).length_squared()).clamp(0.0, 1.0);
            p.distance(a.lerp(b, t))
        })
        .fold(f64::INFINITY, f64::min)
}

#[test]
fn both_models_are_closed_and_fill_the_stock_down_to_its_far_face() {
    let case = case();
    audit(&case.body.mesh);
    for face in Face::BOTH {
        let relief = make(&case, face).expect("the case is sound");
        audit(&relief.mesh);
        let z = relief.mesh.points.iter().map(|p| p.z);
        match face {
            Face::Top => assert_eq!(z.fold(f64::INFINITY, f64::min), case.stock.0),
            Face::Bottom => assert_eq!(z.fold(f64::NEG_INFINITY, f64::max), case.stock.1),
        }
        assert!(relief.findings.is_empty());
        assert_eq!(relief.raised, Length::ZERO);
    }
}

#[test]
fn the_two_setups_carve_the_body_and_its_tabs_and_nothing_else() {
    let case = case();
    let top = make(&case, Face::Top).expect("sound");
    let bottom = make(&case, Face::Bottom).expect("sound");
    let (body, top, bottom) =
        (Rays::new(&case.body.mesh), Rays::new(&top.mesh), Rays::new(&bottom.mesh));
    let rim: Vec<DVec2> =
        case.body.rim_top.iter().map(|i| case.body.mesh.points[*i as usize].truncate()).collect();
    let mut seen = [0; 3];
    for i in 0..430 {
        for j in 0..260 {
            // Odd steps, so that no ray goes through a corner.
            let p = DVec2::new(-15.0 + 0.5271 * f64::from(i), -50.0 + 0.4113 * f64::from(j));
            let (above, below) = (top.at(p), bottom.at(p));
            if from_ring(&rim, p) < 0.05 || from_ring(&case.edge, p) < 0.1 {
                continue;
            }
            if !inside(&case.edge, p) {
                assert!(above.is_empty() && below.is_empty(), "a model reaches too far, at {p}");
                continue;
            }
            assert_eq!((above.len(), below.len()), (2, 2), "at {p}");
            // The top model fills from the stock's underside, the bottom model from its top: what
            // is left is what both hold.
            let (high, low) = (above[1], below[0]);
            if inside(&rim, p) {
                let exact = body.at(p);
                assert_eq!(exact.len(), 2, "at {p}");
                assert!((high - exact[1]).abs() < 1e-9 && (low - exact[0]).abs() < 1e-9, "at {p}");
                seen[0] += 1;
                continue;
            }
            let across = case.tabs.iter().map(|tab| {
                let from = p - tab.foot;
                let near = from.dot(tab.out).abs() < 12.0;
                if near { from.dot(tab.along()).abs() - 4.5 } else { 99.0 }
            });
            let beside = across.fold(f64::INFINITY, f64::min);
            if beside < -0.03 {
                // The tab's top and underside may give way to the rim by 0.0025 mm each.
                assert!((high - low - 5.0).abs() < 0.006, "tab of {} at {p}", high - low);
                seen[1] += 1;
            } else if beside > 0.03 {
                let gap = low - high;
                assert!(
                    (gap - (case.ball + 1.0)).abs() < 0.05,
                    "gap of {gap} mm in the skirt at {p}"
                );
                seen[2] += 1;
            }
        }
    }
    assert!(seen[0] > 30_000 && seen[1] > 600 && seen[2] > 5_000, "{seen:?}");
}

#[test]
fn the_floor_lies_a_ball_radius_and_the_overlap_under_the_parting_line() {
    let case = case();
    let top = make(&case, Face::Top).expect("sound");
    let rays = Rays::new(&top.mesh);
    for step in 0..200 {
        let angle = TAU * (f64::from(step) + 0.37) / 200.0;
        if TAB_ANGLES.iter().any(|tab| (tab - angle).abs() < 0.3) {
            continue;
        }
        let way = plan_at(angle + 1e-6) - plan_at(angle - 1e-6);
        let p = plan_at(angle) - way.normalize().perp() * 0.1;
        let floor = *rays.at(p).last().expect("in the skirt");
        let expected = parting(plan_at(angle)) - 0.5 - case.ball / 2.0;
        assert!((floor - expected).abs() < 0.03, "{floor} for {expected} at {p}");
    }
}

#[test]
fn a_floor_that_would_break_through_stops_short_and_a_ridge_is_told() {
    let mut case = case();
    case.ball = 9.0;
    case.edge = grown(skirt_width(Length::mm(9.0)).as_mm());
    case.stock.0 = -7.7;
    let relief = make(&case, Face::Top).expect("still made");
    audit(&relief.mesh);
    let floor_least = Rays::new(&relief.mesh);
    let mut least = f64::INFINITY;
    for step in 0..400 {
        let angle = TAU * (f64::from(step) + 0.37) / 400.0;
        let way = plan_at(angle + 1e-6) - plan_at(angle - 1e-6);
        let p = plan_at(angle) - way.normalize().perp() * 0.1;
        least = least.min(*floor_least.at(p).last().expect("in the skirt"));
    }
    assert!((least - (-7.7 + 0.5)).abs() < 1e-3, "{least}");
    // Parting line: about -2.6 at the lowest. Wanted 2.6 + 0.5 + 4.5 = 7.6 deep.
    assert!(relief.raised.as_mm() > 0.1 && relief.raised.as_mm() < 1.0, "{}", relief.raised);
    assert_eq!(relief.ridge, Length::ZERO, "the overlaps make up for it");
    case.stock.0 = -6.6;
    let relief = make(&case, Face::Top).expect("still made");
    assert!(relief.ridge > Length::ZERO);
    assert!(relief.findings.iter().all(|f| f.code == SKIRT_RIDGE));
}

#[test]
fn touching_tabs_and_tabs_beside_the_body_are_faults_not_panics() {
    let mut case = case();
    case.tabs.push(tab_at(TAB_ANGLES[0] + 0.05));
    assert_eq!(make(&case, Face::Top).unwrap_err().code, RELIEF_NOT_MADE);
    case.tabs.pop();
    case.tabs[0].foot.x += 400.0;
    assert_eq!(make(&case, Face::Bottom).unwrap_err().code, RELIEF_NOT_MADE);
    case.tabs[0] = Tab { foot: DVec2::NAN, ..case.tabs[1] };
    assert!(make(&case, Face::Top).is_err());
    case.tabs.truncate(0);
    case.edge.clear();
    assert!(make(&case, Face::Top).is_err());
}

#[test]
fn a_tab_may_stand_anywhere_round_the_body() {
    for step in 0..180 {
        let angle = TAU * f64::from(step) / 180.0 + 0.003;
        let tabs = vec![tab_at(angle)];
        let case = Case { tabs, ..case() };
        for face in Face::BOTH {
            let relief = make(&case, face).unwrap_or_else(|f| panic!("{angle}: {}", f.message));
            audit(&relief.mesh);
        }
    }
}
