//! What `packet.json` says of hold-downs and spacers, under `mounting`.

use super::figures::{in_mm, place, rounded};
use crate::bed::HoldDownPlace;
use crate::blocks::HoldDownModel;
use crate::job::Mounting;
use glam::DVec2;
use serde_json::{Value, json};

/// Models, and where they stand in each setup.
pub(super) fn hold_downs(mounting: &Mounting) -> Value {
    let clamps = &mounting.clamps;
    let setups: Vec<Value> = mounting
        .mounts
        .iter()
        .enumerate()
        .map(|(side, mount)| {
            let setup = &mounting.setups[side];
            let lift = &clamps.lifts[side];
            let on_bed = |p: DVec2| mount.on_bed(setup.from_board.place(p));
            let one = |held: &HoldDownPlace| {
                json!({
                    "form": held.form.name(),
                    "edge": held.edge.name(),
                    "at_mm": place(held.at),
                    "lip_mm": held.lip.map(place),
                    "block_mm": held.plan.map(place),
                    "rebate_mm": held.rebate().map(|corners| corners.map(place)),
                    "bolt_mm": place(held.bolt),
                    "bolt_on_bed_mm": place(on_bed(held.bolt)),
                })
            };
            json!({
                "setup": mount.face.name(),
                "places": clamps.places[side].iter().map(one).collect::<Vec<_>>(),
                // JSON has no infinity.
                "lift_load_factor": lift.load.is_finite().then(|| rounded(lift.load)),
                "lift_at_mm": place(lift.at),
            })
        })
        .collect();
    let models: Vec<Value> = clamps.models.iter().map(model).collect();
    let stack: Vec<Value> = clamps.stack.iter().map(model).collect();
    json!({
        "models": models,
        "stack": stack,
        "rebate_mm": clamps.rebate.map(in_mm),
        "setups": setups,
    })
}

fn model(model: &HoldDownModel) -> Value {
    json!({
        "form": model.form.name(),
        "file": format!("workholding/{}", model.stem()),
        "stock_mm": in_mm(model.stock),
        "bearing_mm": in_mm(model.bearing),
        "height_mm": in_mm(model.height),
        "over_mm": in_mm(model.over),
        "hole_mm": in_mm(model.hole.radius * 2.0),
        "hole_at_mm": place(model.hole.centre),
        "slide_mm": in_mm(model.hole.slide),
        "mark": model.mark,
        "lip_holds_n": rounded(model.lip_holds_n.round()),
    })
}

/// Spacers of each setup.
pub(super) fn spacers(mounting: &Mounting) -> Value {
    mounting
        .clamps
        .spacers
        .iter()
        .flatten()
        .map(|spacer| {
            json!({
                "setup": spacer.face.name(),
                "stop": spacer.stop,
                "side": spacer.side.name(),
                "stop_at_mm": in_mm(spacer.stop_at),
                "size_mm": in_mm(spacer.size),
                "height_mm": in_mm(spacer.height),
                "make": spacer.make.name(),
                "mark": spacer.mark(),
                "at_mm": spacer.at.iter().map(|p| place(*p)).collect::<Vec<_>>(),
                "pins_from_stop_mm":
                    spacer.pins.iter().copied().map(in_mm).collect::<Vec<f64>>(),
            })
        })
        .collect::<Vec<Value>>()
        .into()
}
