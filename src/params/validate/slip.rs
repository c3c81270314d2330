//! Sizes that look like a slip: a unit or a decimal point beside the one that was meant.
//!
//! Promised: only a size is doubted that is far from what such utensils have, and that is usual in the
//! other unit or with its point elsewhere. Not promised: that it is a slip.

use crate::finding::{Finding, Source, key_in_words};
use crate::params::{Design, Head, Station, codes};
use crate::units::{Length, MM_PER_INCH, plain};

/// A size with its key, what it is, and what it usually is, from and to, in mm (common practice, no
/// source; wide enough for a ladle and for a salt spoon).
type Usual = (String, &'static str, Length, [f64; 2]);

/// A size that looks like a slip.
pub struct SizeSlip {
    /// What is said of it, as a caution.
    pub finding: Finding,
    /// Whether it is one of the sizes from which all others follow.
    first: bool,
}

impl SizeSlip {
    /// Whether it is told in place of all faults: where they follow from it, or one of them is about that very size.
    pub fn explains<'f>(&self, mut faults: impl Iterator<Item = &'f Finding>) -> bool {
        let key = |finding: &Finding| finding.place.as_ref().map(|place| place.key.clone());
        faults.any(|fault| self.first || key(fault) == key(&self.finding))
    }
}

/// The first size of a design that looks like a slip.
pub fn slip(design: &Design) -> Option<SizeSlip> {
    let all = first_sizes(design).into_iter().map(|size| (size, true));
    all.chain(sizes(design).into_iter().map(|size| (size, false))).find_map(|(size, first)| {
        let (key, what, size, usual) = size;
        let meant = meant(size, usual)?;
        let far = if size.as_mm() > usual[1] { "large" } else { "small" };
        let message =
            format!("{} is {size}, which is {far} for {what}", key_in_words(&key, &|_| None));
        let help =
            format!("Is it a slip? Check the unit and the decimal point: {meant} would be usual.");
        let finding = Finding::caution(codes::SIZE_DOUBTFUL, message, help);
        Some(SizeSlip { finding: finding.at(Source::Design, key), first })
    })
}

/// Whether a size from which all others follow looks like a slip: a search would be for a design that nobody means.
pub fn slipped(design: &Design) -> bool {
    slip(design).is_some_and(|slip| slip.first)
}

fn own(key: &str, what: &'static str, size: Length, usual: [f64; 2]) -> Usual {
    (key.to_owned(), what, size, usual)
}

/// Those from which all others follow.
fn first_sizes(design: &Design) -> Vec<Usual> {
    let mut all = vec![own("utensil.length", "a utensil's length", design.length, [100.0, 600.0])];
    match &design.head {
        Head::Bowl(bowl) => all.extend([
            own("bowl.length", "a bowl's length", bowl.length, [20.0, 220.0]),
            own("bowl.width", "a bowl's width", bowl.width, [15.0, 160.0]),
            own("bowl.depth", "a bowl's depth", bowl.depth, [2.0, 70.0]),
        ]),
        Head::Blade(blade) => all.extend([
            own("blade.length", "a blade's length", blade.length, [25.0, 250.0]),
            own("blade.width", "a blade's width", blade.width, [20.0, 200.0]),
        ]),
    }
    let handle = &design.handle;
    all.extend(stations("handle.width", "a handle's width", &handle.width, [4.0, 80.0]));
    let thickness = "a handle's thickness";
    all.extend(stations("handle.thickness", thickness, &handle.thickness, [3.0, 50.0]));
    all
}

/// The others.
fn sizes(design: &Design) -> Vec<Usual> {
    let mut all = vec![own("utensil.edge", "an edge", design.edge, [0.4, 10.0])];
    match &design.head {
        Head::Bowl(bowl) => all.extend([
            own("bowl.wall", "a bowl's wall", bowl.wall, [1.0, 20.0]),
            own("bowl.rim", "a rim land", bowl.rim.last(), [0.4, 25.0]),
        ]),
        Head::Blade(blade) => {
            all.push(own("blade.thickness", "a blade's thickness", blade.thickness, [1.5, 20.0]));
        }
    }
    if let Some(tines) = &design.tines {
        all.extend([
            own("tines.slot.length", "a slot's length", tines.slot.length, [12.0, 150.0]),
            own("tines.slot.width", "a slot's width", tines.slot.width, [1.2, 20.0]),
        ]);
    }
    let handle = &design.handle;
    if let Some(knob) = &handle.knob {
        let usual = [6.0, 90.0];
        all.extend([
            own("handle.knob.width", "a knob's width", knob.width_of(handle), usual),
            own("handle.knob.thickness", "a knob's thickness", knob.thickness_of(handle), usual),
        ]);
    }
    if let Some(facets) = &handle.facets {
        let chamfer = facets.chamfer;
        all.extend(
            chamfer.map(|size| own("handle.facets.chamfer", "a chamfer", size, [0.6, 15.0])),
        );
        all.push(own("handle.facets.run", "the run of flats", facets.run, [5.0, 120.0]));
    }
    for (index, opening) in design.opening.iter().enumerate() {
        let key = format!("opening[{index}].width");
        all.push(own(&key, "an opening's width", opening.width, [1.0, 50.0]));
    }
    all
}

fn stations(
    key: &str,
    what: &'static str,
    all: &[Station],
    usual: [f64; 2],
) -> impl Iterator<Item = Usual> {
    let one = move |(index, at): (usize, &Station)| {
        (format!("{key}[{index}].size"), what, at.size, usual)
    };
    all.iter().enumerate().map(one)
}

/// What a size would be in the other unit or with its point elsewhere, where that is usual; the latter as
/// what is to be written, in the file's own unit.
fn meant(size: Length, [least, most]: [f64; 2]) -> Option<String> {
    let mm = size.as_mm();
    let usual = |mm: f64| mm >= least && mm <= most;
    // A figure that someone could have written, not what a conversion leaves.
    let written = |value: f64| (1000.0 * value - (1000.0 * value).round()).abs() < 1e-6;
    if !mm.is_finite() || usual(mm) {
        return None;
    }
    let number = |value: f64| plain(value, 3);
    let in_mm = (usual(mm / MM_PER_INCH) && written(mm / MM_PER_INCH))
        .then(|| format!("`{} mm`", number(mm / MM_PER_INCH)));
    let in_inches =
        (usual(mm * MM_PER_INCH) && written(mm)).then(|| format!("`{} in`", number(mm)));
    let moved = [mm / 10.0, mm * 10.0].into_iter().find(|mm| usual(*mm));
    let moved = moved.map(|mm| format!("\"{}\"", Length::mm(mm)));
    let all: Vec<String> = [in_mm, moved, in_inches].into_iter().flatten().collect();
    (!all.is_empty()).then(|| all.join(" or "))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_unit_or_a_point_beside_the_one_that_was_meant_is_named() {
        for (mm, told) in [
            (1651.0, Some("`65 mm`")),
            (2.559, Some("\"25.59 mm\" or `2.559 in`")),
            (6.5, Some("\"65 mm\"")),
            (650.0, Some("\"65 mm\"")),
            (1500.0, Some("\"150 mm\"")),
            (65.0, None),
            (15.0, None),
            (1.0, Some("`1 in`")),
            (0.3, None),
            (f64::NAN, None),
        ] {
            assert_eq!(meant(Length::mm(mm), [15.0, 160.0]).as_deref(), told, "{mm}");
        }
    }
}
