//! Values that a help tells to write, in the unit that the file has there.
//!
//! Every room says them in millimetres, in quotation marks: `depth = "4.5 mm"`. Promised: what comes out
//! is no more where the help says "or less" behind it, and no less where it says "or more".

use crate::units::{Length, Rounding, Unit};

/// A help with the lengths that it tells to write in a unit.
pub fn written_in(help: &str, unit: Unit) -> String {
    if unit == Unit::Millimetre {
        return help.to_owned();
    }
    let parts: Vec<&str> = help.split('"').collect();
    let last = parts.len() - 1;
    let written = |(index, part): (usize, &&str)| {
        let mm = part.strip_suffix(" mm").and_then(|figure| figure.parse().ok());
        match mm.filter(|_| index % 2 == 1 && index < last) {
            Some(mm) => {
                let side = match parts[index + 1] {
                    after if after.starts_with(" or less") => Rounding::Down,
                    after if after.starts_with(" or more") => Rounding::Up,
                    _ => Rounding::Nearest,
                };
                Length::mm(mm).written(unit, side)
            }
            None => (*part).to_owned(),
        }
    };
    parts.iter().enumerate().map(written).collect::<Vec<_>>().join("\"")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_to_be_written_keeps_the_limit_in_inches() {
        for (said, told) in [
            ("Write depth = \"29.2 mm\" or less.", "Write depth = \"1.149 in\" or less."),
            ("Write length = \"29.2 mm\" or more.", "Write length = \"1.15 in\" or more."),
            ("Write pass_depth = \"3.175 mm\".", "Write pass_depth = \"1/8 in\"."),
            ("At 3 mm, as \"60 %\" says.", "At 3 mm, as \"60 %\" says."),
            ("The name is \"9 mm", "The name is \"9 mm"),
        ] {
            assert_eq!(written_in(said, Unit::Inch), told);
            assert_eq!(written_in(said, Unit::Millimetre), said);
        }
    }
}
