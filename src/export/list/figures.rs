//! Figures of the list: rounded to what they can tell, and refused when they are no numbers.

use crate::units::{Angle, Length};
use glam::DVec2;
use serde::Serializer;
use serde::ser::Error as _;
use serde_json::{Value, json};

/// A length to 1e-5 mm: a two-hundredth of the finest tolerance that can be asked for.
pub(super) fn in_mm(length: Length) -> f64 {
    (length.as_mm() * 1e5).round() / 1e5 + 0.0
}

/// A place in a plan, in mm.
pub(super) fn place(p: DVec2) -> Value {
    json!([in_mm(Length::mm(p.x)), in_mm(Length::mm(p.y))])
}

/// A figure to seven places that count, about what a mesh at 0.002 mm can tell of a volume.
pub(super) fn rounded(value: f64) -> f64 {
    format!("{value:.6e}").parse::<f64>().unwrap_or(value) + 0.0
}

fn number<S: Serializer>(value: f64, to: S) -> Result<S::Ok, S::Error> {
    // The library would write `null`.
    if value.is_finite() { to.serialize_f64(value) } else { Err(S::Error::custom("not finite")) }
}

pub(super) fn mm<S: Serializer>(length: &Length, to: S) -> Result<S::Ok, S::Error> {
    number(in_mm(*length), to)
}

pub(super) fn figure<S: Serializer>(value: &f64, to: S) -> Result<S::Ok, S::Error> {
    number(rounded(*value), to)
}

pub(super) fn degrees<S: Serializer>(angle: &Angle, to: S) -> Result<S::Ok, S::Error> {
    number(rounded(angle.as_degrees()), to)
}

pub(super) fn some_mm<S: Serializer>(length: &Option<Length>, to: S) -> Result<S::Ok, S::Error> {
    number(in_mm(length.unwrap_or_default()), to)
}

pub(super) fn some_figure<S: Serializer>(value: &Option<f64>, to: S) -> Result<S::Ok, S::Error> {
    number(rounded(value.unwrap_or_default()), to)
}

pub(super) fn no(length: &Option<Length>) -> bool {
    length.is_none()
}
