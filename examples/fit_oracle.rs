//! Answers questions of an independent optimiser: one JSON object a line in, one a line out.
//!
//! In: `design` (the text of a design file) and, to have it fitted, `height` (of the stock, in
//! mm). Out: `heights` (lowest and highest point), `margin` (the least by which a rule of a valid
//! design is kept, in mm), `wall` (the least wood behind the hollow, or null); fitted also `cost`,
//! `shares` (relative change of each key that gives), `lowest` (null, or the lowest that is possible).
//!
//! `cargo run --release --example fit_oracle`

use std::io::{self, BufRead, Write};
use treenwright::finding::Findings;
use treenwright::fit::{self, Spare, thickness};
use treenwright::params::{self, Design, Dimension, Shop};
use treenwright::shape::Body;

fn main() -> io::Result<()> {
    let shop = include_str!("../params/shop.toml");
    let Some((shop, _)) = params::parse_shop(shop, &mut Findings::new()) else {
        return Err(io::Error::other("the shipped shop has faults"));
    };
    let mut out = io::stdout().lock();
    for line in io::stdin().lock().lines() {
        let asked: serde_json::Value = serde_json::from_str(&line?)?;
        writeln!(out, "{}", answer(&asked, &shop))?;
        out.flush()?;
    }
    Ok(())
}

fn answer(asked: &serde_json::Value, shop: &Shop) -> serde_json::Value {
    let mut findings = Findings::new();
    let text = asked["design"].as_str().unwrap_or_default();
    let Some((design, _)) = params::parse_design(text, &mut findings) else {
        let all: Vec<_> = findings.iter().map(|finding| finding.message.clone()).collect();
        return serde_json::json!({ "faults": all });
    };
    let body = Body::new(&design);
    let places = (-10..=10).flat_map(|i| (0..=12).map(move |j| (i, j)));
    let walls = places.filter_map(|(i, j)| body.wall(f64::from(i) / 10.0, f64::from(j) / 12.0));
    let mut answer = serde_json::json!({
        "heights": body.heights().map(|height| height.as_mm()),
        "margin": params::margins(&design).into_iter().fold(f64::INFINITY, f64::min),
        "wall": walls.reduce(f64::min),
    });
    if let Some(height) = asked["height"].as_f64() {
        let room = thickness::BodyRoom { height, length: 1e6, width: 1e6 };
        let fitted: fit::Fit =
            thickness::to_room(std::slice::from_ref(&design), shop, room, Spare::Leave).remove(0);
        // To the last digit, also where it is less than is printed.
        let keys = design.give.iter().map(|give| give.key.clone());
        let shares = keys.map(|key| {
            let share = sum(&fitted.design, &key) / sum(&design, &key) - 1.0;
            (key, share.into())
        });
        answer["cost"] = fitted.cost.into();
        answer["shares"] = serde_json::Value::Object(shares.collect());
        answer["lowest"] = fitted.advice.map(|advice| advice.lowest.as_mm()).into();
    }
    answer
}

/// A dimension's size; of a line the sum of its sizes without their signs.
fn sum(design: &Design, key: &str) -> f64 {
    match params::dimension(&mut design.clone(), key) {
        Some(Dimension::Length(length)) => length.as_mm(),
        Some(Dimension::Number(number)) => *number,
        Some(Dimension::Angle(angle)) => angle.as_degrees(),
        Some(Dimension::Stations(line)) => line.iter().map(|at| at.size.as_mm().abs()).sum(),
        None => f64::NAN,
    }
}
