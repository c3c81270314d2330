//! What `packet.json` says of a piece's inlays.

use super::{in_mm, rounded};
use crate::inlay::{Inlaid, Plug};
use crate::job::Mounted;
use serde_json::{Value, json};

/// Each inlay of a piece, with its plug in the plug's own frame.
pub(super) fn of(at: &Mounted<'_>) -> Vec<Value> {
    at.carved.inlays.iter().map(one).collect()
}

fn one(inlay: &Inlaid) -> Value {
    json!({
        "inlay": inlay.number,
        "folder": inlay.folder(),
        "face": inlay.face.name(),
        "floor_reached": inlay.floor_reached.map(rounded),
        "recess_mm3": rounded(inlay.recess_mm3),
        "tip_leaves_mm": in_mm(inlay.tip_leaves),
        "poured": inlay.poured.as_ref().map(|poured| json!({
            "volume_ml": rounded(poured.volume_mm3 / 1000.0),
            "layers": poured.layers,
        })),
        "plug": inlay.plug.as_ref().map(plug),
    })
}

fn plug(plug: &Plug) -> Value {
    json!({
        "board": plug.board.name,
        "species": plug.board.species,
        "design_to_plug": plug.design_to_plug,
        "stock_mm": in_mm(plug.stock),
        "stock_top_mm": in_mm(plug.setup.stock_top),
        "stock_bottom_mm": in_mm(plug.setup.stock_bottom),
        "deep_mm": in_mm(plug.deep),
        "plate_mm": in_mm(plug.plate),
        "volume_mm3": rounded(plug.volume_mm3),
        "foot_mm2": rounded(plug.foot_mm2),
        "flank_gap_least_mm": in_mm(plug.flank_gap[0]),
        "flank_gap_most_mm": in_mm(plug.flank_gap[1]),
        "foot_gap_least_mm": in_mm(plug.foot_gap[0]),
        "foot_gap_most_mm": in_mm(plug.foot_gap[1]),
        "bolts_mm": plug.holds.iter().map(|hold| hold.bolt.to_array().map(rounded)).collect::<Vec<_>>(),
    })
}
