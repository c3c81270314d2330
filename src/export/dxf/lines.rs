//! Lines and arcs of a drawing, read back.

use crate::outline::{ArcPath, ArcVertex};
use crate::units::MM_PER_INCH;
use glam::DVec2;

/// The light polylines of a DXF file as text, each with its layer, in mm; none when it is not one.
pub fn lines(bytes: &[u8]) -> Option<Vec<(String, ArcPath)>> {
    let mut text = std::str::from_utf8(bytes).ok()?.lines();
    let pairs = std::iter::from_fn(|| Some((text.next()?.trim(), text.next()?.trim())));
    let number = |value: &str| value.parse().ok().filter(|number: &f64| number.is_finite());
    let (mut variable, mut unit, mut ends) = ("", 1.0, false);
    let mut found: Vec<(String, ArcPath)> = Vec::new();
    // The one that the pairs are of.
    let mut own = false;
    for (code, value) in pairs {
        match (code, found.last_mut().filter(|_| own)) {
            ("9", _) => variable = value,
            ("70", None) if variable == "$INSUNITS" => {
                unit = if value == "1" { MM_PER_INCH } else { 1.0 };
                variable = "";
            }
            ("0", _) => {
                own = value == "LWPOLYLINE";
                ends = value == "EOF";
                if own {
                    found.push((String::new(), ArcPath { vertices: Vec::new(), closed: false }));
                }
            }
            ("8", Some((layer, _))) => value.clone_into(layer),
            ("70", Some((_, path))) => path.closed = value.parse::<u32>().ok()? & 1 == 1,
            ("10", Some((_, path))) => {
                let point = DVec2::new(number(value)? * unit, 0.0);
                path.vertices.push(ArcVertex { point, bulge: 0.0 });
            }
            ("20", Some((_, path))) => path.vertices.last_mut()?.point.y = number(value)? * unit,
            ("42", Some((_, path))) => path.vertices.last_mut()?.bulge = number(value)?,
            _ => {}
        }
    }
    ends.then_some(found)
}
