//! STEP (ISO 10303-21, schema AP214) of a solid.
//!
//! The whole text is made in memory, so that a failure leaves nothing half written. The data
//! section is the B-rep library's; the header, the product's name and the face entity are ours.

use super::error::KernelError;
use super::solid::Solid;
use std::fmt::Write;
use truck_stepio::out::StepModel;

/// The format wants a time, and the same input must give the same bytes: this one can't be taken
/// for a real one.
const TIME_STAMP: &str = "1970-01-01T00:00:00";

/// Object identifier of the schema, as files of ISO 10303-214:2001 state it.
const SCHEMA: &str = "AUTOMOTIVE_DESIGN { 1 0 10303 214 1 1 1 1 }";

/// Longest name: the header's strings are STRING(256) (ISO 10303-21, file_name).
const LONGEST_NAME: usize = 256;

/// What the library writes where the product's id and name belong.
const NAMELESS: &str = "PRODUCT('','','', ";

/// The library's statement of the unit; without it the file's size would be anyone's guess.
const MILLIMETRE: &str = "LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT(.MILLI.,.METRE.)";

impl Solid {
    /// The solid as a STEP file in millimetres, under a product name.
    ///
    /// # Errors
    /// The library's formatter failed, or no longer writes what is corrected here.
    pub fn step(&self, name: &str) -> Result<Vec<u8>, KernelError> {
        let name = escaped(name);
        let body = self.body.compress();
        let mut data = String::new();
        write!(data, "{}", StepModel::from(&body))
            .map_err(|_| KernelError::Writing("the formatter failed"))?;
        if !data.contains(MILLIMETRE) {
            return Err(KernelError::Writing("the unit is not the millimetre"));
        }
        let Some(at) = data.find(NAMELESS) else {
            return Err(KernelError::Writing("there is no product to name"));
        };
        data.replace_range(at..at + NAMELESS.len(), &format!("PRODUCT('{name}','{name}','', "));
        // the representation that holds the solid takes advanced faces only (ISO 10303-514)
        let data = data.replace(" = FACE_SURFACE(", " = ADVANCED_FACE(");

        let maker = concat!("treenwright ", env!("CARGO_PKG_VERSION"));
        Ok(format!(
            "ISO-10303-21;\n\
             HEADER;\n\
             FILE_DESCRIPTION(('boundary representation in millimetres'),'2;1');\n\
             FILE_NAME('{name}','{TIME_STAMP}',(''),(''),'{maker}','{maker}','');\n\
             FILE_SCHEMA(('{SCHEMA}'));\n\
             ENDSEC;\n\
             DATA;\n\
             {data}ENDSEC;\n\
             END-ISO-10303-21;\n"
        )
        .into_bytes())
    }
}

/// A string's characters as ISO 10303-21 writes them: apostrophes and backslashes doubled,
/// whatever isn't ASCII as hexadecimal, control characters left out.
fn escaped(name: &str) -> String {
    let mut text = String::new();
    for c in name.chars().filter(|c| !c.is_control()).take(LONGEST_NAME) {
        match c {
            '\'' | '\\' => text.extend([c, c]),
            ' '..='~' => text.push(c),
            '\u{10000}'.. => text.push_str(&format!("\\X4\\{:08X}\\X0\\", u32::from(c))),
            _ => text.push_str(&format!("\\X2\\{:04X}\\X0\\", u32::from(c))),
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::super::test_solids::{block_with_hole, lens};
    use super::*;

    #[test]
    fn names_are_escaped() {
        assert_eq!(escaped("purée o'clock\\\n"), "pur\\X2\\00E9\\X0\\e o''clock\\\\");
        assert_eq!(escaped("🥄"), "\\X4\\0001F944\\X0\\");
        assert_eq!(escaped(&"x".repeat(999)).len(), 256);
    }

    #[test]
    fn the_header_is_in_order_and_the_unit_is_the_millimetre() {
        let bytes = lens(8).solid().unwrap().step("l'été").unwrap();
        let text = String::from_utf8(bytes).unwrap();
        let at = |part: &str| text.find(part).unwrap_or_else(|| panic!("no {part}"));
        assert!(text.starts_with("ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION("));
        assert!(at("FILE_DESCRIPTION(") < at("FILE_NAME("));
        assert!(at("FILE_NAME('l''\\X2\\00E9\\X0\\t\\X2\\00E9\\X0\\'") < at("FILE_SCHEMA("));
        assert!(at("FILE_SCHEMA((") < at("ENDSEC;\nDATA;"));
        assert_eq!(text.matches("ENDSEC;").count(), 2);
        at("SI_UNIT(.MILLI.,.METRE.)");
        at("PRODUCT('l''\\X2\\00E9\\X0\\t");
        assert!(text.is_ascii() && !text.contains("NaN") && !text.contains("inf"));
        assert_eq!(text.matches("ADVANCED_FACE").count(), 14);
    }

    #[test]
    fn coordinates_are_reals_on_the_grid() {
        let bytes = lens(9).solid().unwrap().step("lens").unwrap();
        let text = String::from_utf8(bytes).unwrap();
        let mut seen = 0;
        for line in text.lines().filter(|line| line.contains("CARTESIAN_POINT")) {
            let inside = line.split("('', (").nth(1).unwrap().trim_end_matches("));");
            for number in inside.split(", ") {
                let value: f64 = number.parse().unwrap();
                assert!(number.contains('.'), "{number}");
                assert!((value * 1e8 - (value * 1e8).round()).abs() < 1e-4, "{number}");
                assert!(number.len() <= 16, "{number}");
                seen += 1;
            }
        }
        assert!(seen > 1000);
    }

    #[test]
    fn the_same_solid_gives_the_same_bytes() {
        let make = || {
            let lens = lens(12).solid().unwrap().step("lens").unwrap();
            (lens, block_with_hole().unwrap().step("block").unwrap())
        };
        assert_eq!(make(), make());
    }
}
