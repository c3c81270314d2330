//! The piece's lines as they are asked for: side view and plan, and the points of the lists of
//! stations on them, of the handle and of the head.

use crate::job::Piece;
use crate::outline::ArcPath;
use crate::params::{Design, PLAN_KEYS, Station};
use crate::shape::Body;
use crate::units::{Length, plain};
use glam::DVec2;
use serde_json::{Value, json};

/// Places along the piece at which the views are drawn: fine enough that no corner shows.
const STEPS: u32 = 180;

/// The views of a design, in mm, with what is cut through the piece that is made of it and let into it;
/// none if it can't be shaped.
pub(super) fn lines(design: &Design, piece: Option<&Piece>) -> Option<Value> {
    /// As fine as the drawing.
    const CHORD: Length = Length::mm(0.2);
    let cuts = piece.map_or_else(Vec::new, |piece| piece.outlines.cuts());
    let let_in = piece.and_then(|piece| piece.carved.as_ref()).map(|carved| {
        let art = carved.inlays.iter().flat_map(|inlay| &inlay.art);
        art.map(|path| flat(path, CHORD)).collect::<Vec<_>>()
    });
    let body = Body::new(design);
    if body.trouble().is_some() {
        return None;
    }
    let length = body.length().as_mm();
    // Closer together towards both ends, which are round.
    let share =
        |i: u32| (1.0 - (std::f64::consts::PI * f64::from(i) / f64::from(STEPS)).cos()) / 2.0;
    let along = || (0..=STEPS).map(|i| Length::mm(length * share(i)));
    let view = |at: &dyn Fn(Length) -> f64| -> Vec<[f64; 2]> {
        along().map(|x| [short(x.as_mm()), short(at(x))]).filter(|[_, y]| y.is_finite()).collect()
    };
    let middle = |x: Length| body.middle_at(x);
    let list = |table: &str, name: &str, stations: &[Station], at: &dyn Fn(Length, f64) -> f64| {
        let one = |station: &Station| {
            let x =
                if table == "handle" { body.handle_x(station.at) } else { body.head_x(station.at) };
            [short(x.as_mm()), short(at(x, station.size.as_mm()))]
        };
        // What comes from a drawing has no points in the file.
        let drawn =
            design.plan.is_some() && PLAN_KEYS.contains(&format!("{table}.{name}").as_str());
        let stations = if drawn { &[] } else { stations };
        let points: Vec<[f64; 2]> = stations.iter().map(one).collect();
        json!({ "list": format!("{table}.{name}"), "points": points })
    };
    let (handle, head) = (&design.handle, &design.head);
    let table = head.table();
    let ends = |x: &dyn Fn(f64) -> Length| [0.0, 1.0].map(|share| short(x(share).as_mm()));
    Some(json!({
        "length": short(length),
        "handle": ends(&|share| body.handle_x(share)),
        "head": ends(&|share| body.head_x(share)),
        "mirror": design.mirror,
        "side": {
            "high": view(&|x| body.top(middle(x))),
            "low": view(&|x| body.bottom(middle(x))),
            "rim": view(&|x| body.parting(DVec2::new(x.as_mm(), body.across(x)[0]))),
            "lists": [
                list("handle", "curve", &handle.curve, &|_, rise| rise),
                list(table, "curve", head.curve(), &|_, rise| rise),
                list("handle", "thickness", &handle.thickness, &|x, _| body.top(middle(x))),
            ],
        },
        "plan": {
            "high": view(&|x| body.across(x)[1]),
            "low": view(&|x| body.across(x)[0]),
            "cuts": cuts.iter().map(|path| flat(path, CHORD)).collect::<Vec<_>>(),
            "let_in": let_in,
            "drawing": design.plan.as_ref().map(|plan| plan.file.as_str()),
            "lists": [
                list("handle", "sway", &handle.sway, &|_, shift| shift),
                list(table, "sway", head.sway(), &|_, shift| shift),
                list("handle", "width", &handle.width, &|x, size| middle(x).y + size / 2.0),
                list(table, "outline", head.outline(), &|x, size| middle(x).y + size / 2.0),
            ],
        },
    }))
}

/// An outline as points.
pub(super) fn flat(path: &ArcPath, chord: Length) -> Vec<[f64; 2]> {
    path.to_polyline(chord).into_iter().map(|p| [short(p.x), short(p.y)]).collect()
}

fn short(mm: f64) -> f64 {
    plain(mm, 3).parse().unwrap_or(mm)
}
