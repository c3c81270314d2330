//! The three files' values, resolved, as `packet.json` repeats them: names end in their unit.
//!
//! They follow from the declarations in `params`; here stands only what the packet says otherwise.

use super::{in_mm, rounded};
use crate::params::{Board, Design, Shop, echo};
use crate::units::Length;
use serde_json::{Map, Value, json};

pub(super) fn design(design: &Design) -> Value {
    let mut out = echo(&design.as_written());
    if let Some(Value::Object(tines)) = out.get_mut("tines")
        && let Some(Value::Object(slot)) = tines.remove("slot")
    {
        tines.extend(slot.into_iter().map(|(name, value)| (format!("slot_{name}"), value)));
    }
    if design.tines.is_none() {
        out.remove("tines");
    }
    if design.inlay.is_empty() {
        out.remove("inlay");
    }
    round("", out.into())
}

pub(super) fn board(board: &Board) -> Value {
    round("", echo(board).into())
}

pub(super) fn shop(shop: &Shop) -> Value {
    let mut out = echo(shop);
    let turn = shop.turn.name().to_lowercase();
    out.insert("turn".into(), json!(turn));
    if let Some(Value::Object(printer)) = out.remove("printer") {
        out.extend(printer.into_iter().map(|(name, value)| (format!("printer_{name}"), value)));
    }
    if let Some(Value::Array(cutters)) = out.get_mut("cutters") {
        for (value, cutter) in cutters.iter_mut().zip(&shop.cutters) {
            // Of every cutter, the usual depth too.
            value["pass_depth_mm"] = json!(cutter.depth_of_pass().as_mm());
        }
    }
    round("", out.into())
}

/// All figures rounded as a packet has them: lengths by their name, in mm.
fn round(name: &str, value: Value) -> Value {
    match value {
        Value::Object(map) => {
            let one = |(name, value): (String, Value)| {
                let rounded = round(&name, value);
                (name, rounded)
            };
            Value::Object(map.into_iter().map(one).collect::<Map<_, _>>())
        }
        Value::Array(values) => values.into_iter().map(|value| round(name, value)).collect(),
        Value::Number(number) if number.is_f64() => match number.as_f64() {
            Some(figure) if name.ends_with("_mm") => json!(in_mm(Length::mm(figure))),
            Some(figure) => json!(rounded(figure)),
            None => Value::Number(number),
        },
        other => other,
    }
}
