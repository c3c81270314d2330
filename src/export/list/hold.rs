//! What `packet.json` says of pins, mountings and the order of work, under `mounting`, and of a
//! piece's passes and tabs, under `workholding`.

use super::figures::{in_mm, place};
use crate::job::{Carved, Mounted, Mounting};
use crate::units::Length;
use crate::work::lift;
use serde_json::{Value, json};

/// What the tabs bear. An estimate, and it says so.
fn tabs(carved: &Carved) -> Value {
    let held = &carved.held;
    let each = held.tabs.iter().zip(&held.borne.each).map(|(tab, bears)| {
        json!({
            "foot_mm": place(tab.foot),
            "width_mm": in_mm(tab.width),
            "thickness_mm": in_mm(tab.top - tab.bottom),
            "stress_mpa": super::rounded(bears.stress_mpa),
            "strength_mpa": super::rounded(bears.strength_mpa),
            "bears_factor": super::rounded(bears.factor()),
        })
    });
    json!({
        "estimate": "each tab a beam clamped at both ends, the piece rigid, published strength lowered by Hankinson's formula",
        "wood": held.wood,
        "wood_is_the_boards": held.own_wood,
        "each": each.collect::<Vec<_>>(),
        "gives_way_mm": in_mm(held.borne.sag),
        "gives_way_at_mm": place(held.borne.sags_at),
        "middle_inside_supports_mm": in_mm(Length::mm(held.within_mm)),
    })
}

/// Of a piece: how its sides meet, what its tabs bear, its passes.
pub(super) fn piece(at: &Mounted<'_>) -> Value {
    let Mounted { carved, .. } = at;
    let registration = &carved.registration;
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
    let passes = carved.passes.iter().map(|pass| {
        let area = |paths: &[crate::outline::ArcPath]| {
            let sum: f64 = paths.iter().map(crate::outline::ArcPath::signed_area).sum();
            super::rounded(sum)
        };
        let levels = at.levels(pass);
        json!({
            "setup": pass.face.name(),
            "pass": pass.kind.key(),
            "cutter": pass.cutter.name,
            "start_z_mm": in_mm(levels.start),
            "end_z_mm": in_mm(levels.end),
            "pass_depth_mm": levels.depth.map(in_mm),
            "leaves_mm": in_mm(levels.leaves),
            "lift_z_mm": in_mm(levels.lift),
            "over_tabs_z_mm": levels.over_tabs.map(in_mm),
            "centre_mm2": area(&pass.centre),
            "through": pass.through.is_some(),
            "tip_lowest_mm": pass.through.map(in_mm),
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
        "tabs": tabs(carved),
        "passes": passes.collect::<Vec<_>>(),
    })
}

/// Of the board, for all its pieces: pins, mountings, clamps and the order of work.
pub(super) fn mounting(mounting: &Mounting, folders: &[String]) -> Value {
    let chart = mounting.borings.iter().map(|hole| {
        json!({
            "pin": hole.pin,
            "in": if hole.in_board { "board" } else { "bed" },
            "setup": hole.face.name(),
            "at_mm": place(hole.at),
            "on_bed_mm": place(hole.on_bed),
            "diameter_mm": in_mm(hole.diameter),
            "depth_mm": in_mm(hole.depth),
            "tip_depth_mm": in_mm(hole.tip),
        })
    });
    let mounts = mounting.mounts.iter().map(|mount| {
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
    let steps = mounting.steps.iter().map(|step| {
        json!({
            "key": step.task.key(),
            "what": step.what,
            "why": step.why,
            "mind": step.mind,
            "after": step.after.iter().map(|task| task.key()).collect::<Vec<_>>(),
            "setup": step.setup.map(crate::relief::Face::name),
            "cutters": step.cutters,
            "pieces": step.pieces,
            "files": step.files.iter().map(|file| file.path(folders)).collect::<Vec<_>>(),
        })
    });
    let plates = mounting.clamps.plates.iter().map(|plate| json!({ "count": plate.count }));
    json!({
        "pins_mm": mounting.pins.places.iter().map(|pin| place(*pin)).collect::<Vec<_>>(),
        "pin_hole_mm": in_mm(mounting.pins.hole),
        "drill_chart": chart.collect::<Vec<_>>(),
        "drilling": drilling(mounting),
        "dowel": {
            "count": mounting.pins.places.len(),
            "length_mm": in_mm(mounting.dowel.length()),
            "in_bed_mm": in_mm(mounting.dowel.in_bed),
            "in_board_mm": in_mm(mounting.dowel.in_board),
        },
        "mounts": mounts.collect::<Vec<_>>(),
        "hold_downs": super::clamps::hold_downs(mounting),
        "spacers": super::clamps::spacers(mounting),
        "plates": plates.collect::<Vec<_>>(),
        "steps": steps.collect::<Vec<_>>(),
    })
}

/// How the pins' holes are bored in the board and in the bed, each by a file in a frame of its own.
fn drilling(mounting: &Mounting) -> Option<Value> {
    let drilling = mounting.drilling()?;
    let setup = &mounting.setups[0];
    let deepest = |in_board: bool| {
        let own = mounting.borings.iter().filter(|hole| hole.in_board == in_board);
        own.map(|hole| hole.tip).fold(Length::ZERO, Length::max)
    };
    Some(json!({
        "cutter": drilling.cutter.name,
        "way": if drilling.path.is_some() { "path" } else { "drill" },
        "path_mm": drilling.path.map(in_mm),
        "turn_mm": drilling.turn.map(in_mm),
        "peck_mm": in_mm(drilling.peck),
        "plunge_mm_min": super::rounded(drilling.cutter.plunge()),
        "speed_rpm": super::rounded(drilling.cutter.speed_rpm),
        "board": {
            "file": "top/pins.dxf",
            "frame": "top",
            "start_z_mm": in_mm(setup.stock_top),
            "end_z_mm": in_mm(setup.stock_top - deepest(true)),
            "lift_z_mm": in_mm(lift(setup, mounting.clamps.over())),
        },
        "bed": {
            "file": "bed/pins.dxf",
            "frame": "bed",
            "start_z_mm": 0.0,
            "end_z_mm": in_mm(-deepest(false)),
        },
    }))
}
