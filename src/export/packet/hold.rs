//! What `packet.json` says of pins, mountings, passes and the order of work, under `workholding`.

use super::in_mm;
use crate::job::Round;
use crate::units::Length;
use glam::DVec2;
use serde_json::{Value, json};

/// A place in a plan, in mm.
pub(super) fn place(p: DVec2) -> Value {
    json!([in_mm(Length::mm(p.x)), in_mm(Length::mm(p.y))])
}

pub(super) fn value(round: &Round) -> Value {
    let hold = &round.hold;
    let registration = &hold.registration;
    let mountings = registration.mountings.iter().map(|way| {
        json!({
            "setup": way.face.name(),
            "way": way.way,
            "misses_mm": in_mm(way.misses),
            "stands_off_mm": way.stands_off.map(in_mm),
        })
    });
    let causes = registration
        .causes
        .iter()
        .map(|cause| json!({ "what": cause.what, "most_mm": in_mm(cause.most) }));
    let chart = hold.borings.iter().map(|hole| {
        json!({
            "pin": hole.pin,
            "in": if hole.in_board { "board" } else { "bed" },
            "setup": hole.face.name(),
            "at_mm": place(hole.at),
            "on_bed_mm": place(hole.on_bed),
            "diameter_mm": in_mm(hole.diameter),
            "depth_mm": in_mm(hole.depth),
        })
    });
    let mounts = hold.mounts.iter().map(|mount| {
        json!({
            "setup": mount.face.name(),
            "position": mount.word,
            "enter_x_mm": in_mm(Length::mm(mount.zero.x)),
            "enter_y_mm": in_mm(Length::mm(mount.zero.y)),
            "enter_z_over_bed_mm": in_mm(Length::mm(mount.zero.z)),
            "zero_on_board_mm": place(mount.zero_on_board),
            "board_low_mm": place(mount.low),
            "board_high_mm": place(mount.high),
        })
    });
    let passes = hold.passes.iter().map(|pass| {
        let area = |paths: &[crate::outline::ArcPath]| {
            let sum: f64 = paths.iter().map(crate::outline::ArcPath::signed_area).sum();
            super::rounded(sum)
        };
        json!({
            "setup": pass.face.name(),
            "pass": pass.key,
            "cutter": pass.cutter.name,
            "centre_mm2": area(&pass.centre),
            "through": pass.through,
        })
    });
    let steps = hold.steps.iter().map(|step| {
        json!({
            "key": step.key,
            "what": step.what,
            "why": step.why,
            "after": step.after,
            "setup": step.setup.map(crate::relief::Face::name),
            "cutter": step.cutter,
            "files": step.files,
        })
    });
    json!({
        "registration": {
            "worst_mm": in_mm(registration.worst),
            "worst_at_mm": place(registration.worst_at),
            "likely_mm": in_mm(registration.likely),
            "causes": causes.collect::<Vec<_>>(),
            "mountings": mountings.collect::<Vec<_>>(),
        },
        "drill_chart": chart.collect::<Vec<_>>(),
        "bore": hold.bore.as_ref().map(|cutter| &cutter.name),
        "mounts": mounts.collect::<Vec<_>>(),
        "hold_downs": super::clamps::hold_downs(round),
        "spacers": super::clamps::spacers(round),
        "plates": round.clamps.plates.iter().map(|plate| json!({ "count": plate.count })).collect::<Vec<_>>(),
        "passes": passes.collect::<Vec<_>>(),
        "steps": steps.collect::<Vec<_>>(),
    })
}
