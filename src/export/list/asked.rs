//! The three files' values, resolved, as `packet.json` repeats them: names end in their unit.

use super::{in_mm, rounded};
use crate::params::{
    Blade, Board, BoltFit, Bound, Bowl, Cutter, CutterForm, Design, FlawShape, Give, Head, Holder,
    Serves, Shop, Side, Station, TurnAxis, Zero,
};
use glam::DVec2;
use serde_json::{Map, Value, json};

pub(super) fn design(design: &Design) -> Value {
    let mut out = Map::new();
    out.insert("name".into(), json!(design.name));
    out.insert("kind".into(), json!(design.kind.name()));
    out.insert("length_mm".into(), json!(in_mm(design.length)));
    out.insert("edge_mm".into(), json!(in_mm(design.edge)));
    out.insert("lean_deg".into(), json!(rounded(design.lean.as_degrees())));
    match &design.head {
        Head::Bowl(head) => out.insert("bowl".into(), bowl(head)),
        Head::Blade(head) => out.insert("blade".into(), blade(head)),
    };
    let handle = &design.handle;
    out.insert(
        "handle".into(),
        json!({
            "end_mm": in_mm(handle.end),
            "width": stations(&handle.width),
            "thickness": stations(&handle.thickness),
            "curve": stations(&handle.curve),
            "sway": stations(&handle.sway),
            "section": rounded(handle.section),
        }),
    );
    if let Some(tines) = &design.tines {
        out.insert(
            "tines".into(),
            json!({
                "count": tines.count,
                "slot_width_mm": in_mm(tines.slot.width),
                "slot_length_mm": in_mm(tines.slot.length),
                "slot_taper_deg": rounded(tines.slot.taper.as_degrees()),
            }),
        );
    }
    let place: Vec<Value> = design
        .tabs
        .place
        .iter()
        .map(|tab| {
            let side = match tab.side {
                Side::Left => "left",
                Side::Right => "right",
            };
            json!({ "side": side, "at_percent": percent(tab.at) })
        })
        .collect();
    out.insert(
        "tabs".into(),
        json!({
            "width_mm": in_mm(design.tabs.width),
            "thickness_mm": in_mm(design.tabs.thickness),
            "place": place,
            "placed_by": if design.tabs.auto.is_some() { "tool" } else { "file" },
            "count": design.tabs.auto.and_then(|auto| auto.count),
        }),
    );
    let clean_up = design.clean_up.iter().map(|place| {
        json!({
            "at_mm": point(place.at),
            "size_mm": point(place.size),
            "side": serves(place.sides),
            "cutter": place.cutter,
        })
    });
    out.insert("clean_up".into(), clean_up.collect());
    out.insert("give".into(), design.give.iter().map(give).collect());
    out.insert(
        "load".into(),
        json!({ "tip_n": rounded(design.load.tip_n), "tine_n": rounded(design.load.tine_n) }),
    );
    let accepted = design.accept.iter();
    out.insert(
        "accept".into(),
        accepted.map(|accept| json!({ "code": accept.code, "reason": accept.reason })).collect(),
    );
    Value::Object(out)
}

fn bowl(bowl: &Bowl) -> Value {
    json!({
        "length_mm": in_mm(bowl.length),
        "width_mm": in_mm(bowl.width),
        "depth_mm": in_mm(bowl.depth),
        "wall_mm": in_mm(bowl.wall),
        "rim_mm": in_mm(bowl.rim),
        "fullness": rounded(bowl.fullness),
        "widest_percent": percent(bowl.widest),
    })
}

fn blade(blade: &Blade) -> Value {
    json!({
        "length_mm": in_mm(blade.length),
        "width_mm": in_mm(blade.width),
        "thickness_mm": in_mm(blade.thickness),
        "front_mm": in_mm(blade.front),
        "bevel_mm": in_mm(blade.bevel),
        "fullness": rounded(blade.fullness),
        "widest_percent": percent(blade.widest),
    })
}

fn stations(stations: &[Station]) -> Value {
    stations
        .iter()
        .map(|station| json!({ "at_percent": percent(station.at), "size_mm": in_mm(station.size) }))
        .collect()
}

fn give(give: &Give) -> Value {
    let mut out = Map::new();
    out.insert("key".into(), json!(give.key));
    for (name, bound) in [("least", give.least), ("most", give.most)] {
        match bound {
            Bound::Length(length) => out.insert(format!("{name}_mm"), json!(in_mm(length))),
            Bound::Fraction(part) => out.insert(format!("{name}_percent"), json!(percent(part))),
        };
    }
    out.insert("weight".into(), json!(rounded(give.weight)));
    Value::Object(out)
}

pub(super) fn board(board: &Board) -> Value {
    let readings: Vec<Value> = board
        .readings
        .iter()
        .map(|r| json!({ "at_mm": point(r.at), "thickness_mm": in_mm(r.thickness) }))
        .collect();
    let flaws: Vec<Value> = board
        .flaws
        .iter()
        .map(|flaw| {
            let kind = flaw.kind.name();
            match &flaw.shape {
                FlawShape::Circle { centre, radius } => json!({
                    "kind": kind, "centre_mm": point(*centre), "radius_mm": in_mm(*radius),
                }),
                FlawShape::Polygon(corners) => {
                    json!({ "kind": kind, "polygon_mm": points(corners) })
                }
                FlawShape::Line(corners) => json!({ "kind": kind, "line_mm": points(corners) }),
            }
        })
        .collect();
    json!({
        "name": board.name,
        "species": board.species,
        "length_mm": in_mm(board.length),
        "width_mm": in_mm(board.width),
        "readings": readings,
        "skim_top_mm": in_mm(board.skim_top),
        "skim_bottom_mm": in_mm(board.skim_bottom),
        "moisture_now_percent": board.moisture_now.map(rounded),
        "moisture_use_percent": board.moisture_use.map(rounded),
        "grain_deg": rounded(board.grain.as_degrees()),
        "grain_at": board.form.grain_at.iter().map(|(at, angle)| json!({
            "at_mm": point(*at), "angle_deg": rounded(angle.as_degrees()),
        })).collect::<Vec<_>>(),
        "cup_mm": in_mm(board.form.cup),
        "bow_mm": in_mm(board.form.bow),
        "twist_mm": in_mm(board.form.twist),
        "temperature_use_c": board.form.air.map(|air| rounded(air.celsius)),
        "humidity_use_percent": board.form.air.map(|air| rounded(air.humidity)),
        "nominal": board.form.nominal.map(|nominal| format!("{}/4", nominal.quarters)),
        "flaws": flaws,
    })
}

pub(super) fn shop(shop: &Shop) -> Value {
    let size = shop.bolt.size.name();
    let fit = match shop.bolt.fit {
        BoltFit::Close => "close",
        BoltFit::Normal => "normal",
        BoltFit::Loose => "loose",
    };
    let block = &shop.hold_down;
    let limits = &shop.limits;
    let clamp = &shop.bed.clamp;
    let stops: Vec<Value> = clamp
        .stops
        .iter()
        .map(|stop| {
            json!({
                "side": stop.side.name(),
                "at_mm": in_mm(stop.at),
                "from_mm": in_mm(stop.from),
                "to_mm": in_mm(stop.to),
                "deep_mm": in_mm(stop.deep),
            })
        })
        .collect();
    let bed = &shop.bed;
    let positions = bed.positions.iter().map(|position| {
        json!({
            "name": position.name,
            "at_mm": point(position.at),
            "serves": serves(position.serves),
        })
    });
    json!({
        "name": shop.name,
        "unit": shop.unit.symbol(),
        "paper": shop.paper.name(),
        "turn": match shop.turn { TurnAxis::X => "x", TurnAxis::Y => "y" },
        "zero": match shop.zero { Zero::Top => "top", Zero::Bottom => "bottom" },
        "cutters": shop.cutters.iter().map(cutter).collect::<Vec<_>>(),
        "work": { "rough": shop.work.rough, "finish": shop.work.finish, "slots": shop.work.slots },
        "pin": {
            "diameter_mm": in_mm(shop.pin.diameter),
            "play_mm": in_mm(shop.pin.play),
            "least_mm": in_mm(bed.pin.least),
            "most_mm": in_mm(bed.pin.most),
            "bore_mm": in_mm(bed.pin.bore),
            "depth_mm": in_mm(bed.pin.depth),
            "mismatch_mm": in_mm(bed.pin.mismatch),
            "place_mm": points(&bed.pin.place),
        },
        "tabs": {
            "push_n": rounded(bed.tabs.push_n),
            "safety": rounded(bed.tabs.safety),
            "sag_mm": in_mm(bed.tabs.sag),
        },
        "machine": {
            "x_mm": bed.travel.map(|travel| in_mm(travel.x)),
            "y_mm": bed.travel.map(|travel| in_mm(travel.y)),
            "z_mm": bed.travel.map(|travel| in_mm(travel.z)),
            "nose_mm": bed.travel.map(|travel| in_mm(travel.nose)),
            "repeat_mm": in_mm(bed.repeat),
        },
        "positions": positions.collect::<Vec<_>>(),
        "bolt": { "size": size, "fit": fit },
        "hold_down": {
            "lip_mm": in_mm(block.lip),
            "lip_thickness_mm": in_mm(block.lip_thickness),
            "body_mm": in_mm(block.body),
            "width_mm": in_mm(block.width),
            "squeeze_mm": in_mm(block.squeeze),
            "form": clamp.form.name(),
            "rebate_mm": in_mm(clamp.rebate),
            "head": clamp.head.name(),
            "slide_mm": in_mm(clamp.slide),
            "wall_mm": in_mm(clamp.wall),
            "rib_mm": clamp.rib.map(in_mm),
            "stack_mm": clamp.stack.iter().copied().map(in_mm).collect::<Vec<_>>(),
        },
        "stops": stops,
        "printer_fit_mm": in_mm(shop.printer_fit),
        "printer_plate_mm": point(clamp.plate),
        "limits": {
            "tine_mm": in_mm(limits.tine),
            "wall_mm": in_mm(limits.wall),
            "rim_mm": in_mm(limits.rim),
            "spare_mm": in_mm(limits.spare),
            "margin_mm": in_mm(limits.margin),
            "overlap_mm": in_mm(limits.overlap),
            "uncut_mm": in_mm(limits.check.uncut),
            "cusp_mm": in_mm(limits.check.cusp),
            "holder_mm": in_mm(limits.check.holder),
            "chip_mm": in_mm(limits.check.chip),
            "safety": rounded(limits.check.safety),
            "root": rounded(limits.check.root),
            "thin_mm": in_mm(limits.check.thin),
            "edge_mm": in_mm(limits.check.edge),
            "tip_mm": in_mm(limits.check.tip),
            "moves_mm": in_mm(limits.check.moves),
            "rest_percent": percent(limits.check.rest),
            "grip_least_mm": in_mm(limits.check.grip[0]),
            "grip_most_mm": in_mm(limits.check.grip[1]),
            "longest_min": rounded(limits.check.longest_min),
        },
        "holder": holder(shop.bed.holder),
        "notes": shop.notes,
    })
}

fn cutter(cutter: &Cutter) -> Value {
    let (form, angle) = match cutter.form {
        CutterForm::Flat => ("flat", None),
        CutterForm::Ball => ("ball", None),
        CutterForm::Bull(_) => ("bull", None),
        CutterForm::Vee(angle) => ("vee", Some(rounded(angle.as_degrees()))),
    };
    json!({
        "name": cutter.name,
        "form": form,
        "angle_deg": angle,
        "diameter_mm": in_mm(cutter.diameter),
        "flute_mm": in_mm(cutter.flute),
        "stick_out_mm": in_mm(cutter.stick_out),
        "feed_mm_min": rounded(cutter.feed_mm_min),
        "speed_rpm": rounded(cutter.speed_rpm),
        "step_over_mm": in_mm(cutter.step_over),
        "corner_mm": match cutter.form {
            CutterForm::Bull(corner) => Some(in_mm(corner)),
            _ => None,
        },
        "pass_depth_mm": in_mm(cutter.depth_of_pass()),
        "holder": cutter.holder.map(holder),
    })
}

fn holder(holder: Holder) -> Value {
    json!({
        "diameter_mm": in_mm(holder.diameter),
        "nose_mm": in_mm(holder.nose),
        "length_mm": in_mm(holder.length),
    })
}

const fn serves(sides: Serves) -> &'static str {
    match sides {
        Serves::Both => "both",
        Serves::Top => "top",
        Serves::Bottom => "bottom",
    }
}

fn percent(part: f64) -> f64 {
    rounded(part * 100.0)
}

fn point(p: DVec2) -> Value {
    let at = |v: f64| in_mm(crate::units::Length::mm(v));
    json!([at(p.x), at(p.y)])
}

fn points(points: &[DVec2]) -> Value {
    points.iter().map(|p| point(*p)).collect()
}
