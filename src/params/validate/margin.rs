//! The same rules as `design`, as figures: by how much a design keeps each of them.
//!
//! For whoever moves a design to its limits. A test holds the two against each other.

use super::design::{
    DEEPEST, FLAT_FROM, HIGHEST_EDGE, LEAST_HANDLE, LEAST_ROOT, LEAST_TIP, LONGEST_BEVEL,
    LONGEST_SLOT, THICKEST, WIDEST_RIM, rounds_of_rim,
};
use super::kinds::{deepest_scoop, least_thin};
use super::line::{LEAST_APART, SQUARES_APART, STEEPEST, head_line, head_lines, outline_room};
use crate::finding::{Findings, Source};
use crate::params::keys::{ALONG, Keyed, giving};
use crate::params::read::Reader;
use crate::params::{Design, Dimension, Head, Kind, Station, Varying};

/// What a rule that says "less than" keeps, in mm: far less than can be measured.
const LESS: f64 = 1e-6;

/// All faults of a whole design, as its file would give them.
pub fn faults(design: &Design) -> Findings {
    let mut reader = Reader::bare(Source::Design);
    super::design(design, &mut reader);
    reader.into_findings()
}

/// By how much a design keeps each rule that [`faults`] looks at, in mm; one that is negative is
/// broken. Smooth in every dimension, and always as many for designs of the same make.
pub fn margins(design: &Design) -> Vec<f64> {
    let mut kept = Vec::new();
    let edge = design.edge.as_mm();
    match &design.head {
        Head::Bowl(bowl) => {
            let (depth, wall) = (bowl.depth.as_mm(), bowl.wall.as_mm());
            for size in [bowl.length.as_mm(), bowl.width.as_mm()] {
                kept.push(DEEPEST * size - depth);
                kept.push(THICKEST * size - wall);
                kept.push(0.5 * WIDEST_RIM * size - bowl.rim.range()[1].as_mm() - LESS);
            }
            kept.push(depth + wall - edge - LESS);
            if let Some(round) = bowl.rim_round {
                kept.extend(rounds_of_rim(bowl, design.edge).map(|most| (most - round).as_mm()));
            }
            let run_out = |share: f64| (bowl.widest - share) * bowl.length.as_mm();
            kept.extend(bowl.shoulder.map(run_out));
            if design.kind == Kind::Scoop {
                kept.push((deepest_scoop(bowl) - bowl.depth).as_mm());
            }
        }
        Head::Blade(blade) => {
            kept.push((blade.thickness - blade.front).as_mm());
            kept.push((blade.length * LONGEST_BEVEL - blade.bevel).as_mm() - LESS);
            kept.push(blade.thickness.as_mm() - edge - LESS);
            if let Some(thin) = blade.thin {
                kept.push((blade.thickness - thin).as_mm() - LESS);
                kept.push((thin - least_thin(blade.thickness, design.edge)).as_mm());
            }
            let flat = FLAT_FROM * (blade.length - blade.bevel).as_mm();
            let run_out = |share: f64| flat - share * blade.length.as_mm();
            kept.extend([blade.shoulder, blade.keel].into_iter().flatten().map(run_out));
        }
    }
    let handle = &design.handle;
    kept.extend(handle.thickness.iter().map(|station| HIGHEST_EDGE * station.size.as_mm() - edge));
    if let Some(neck) = handle.width.last() {
        kept.push((design.head.width() - neck.size).as_mm() - LESS);
    }
    let run = (design.length - design.head.length() - handle.end).as_mm();
    kept.push(run - LEAST_HANDLE.as_mm());
    for (stations, share) in
        [(&handle.width, 0.5), (&handle.thickness, 0.5), (&handle.curve, 1.0), (&handle.sway, 1.0)]
    {
        for pair in stations.windows(2) {
            let along = run * (pair[1].at - pair[0].at);
            let off = (pair[1].size - pair[0].size).as_mm() * share;
            kept.extend([
                along * STEEPEST - off,
                along * STEEPEST + off,
                along - LEAST_APART.as_mm(),
            ]);
        }
    }
    if let Varying::At(all) = &handle.section {
        let apart = |pair: &[(f64, f64)]| run * (pair[1].0 - pair[0].0) - SQUARES_APART.as_mm();
        kept.extend(all.windows(2).map(apart));
    }
    let long = design.head.length().as_mm();
    kept.extend(outline_room(design).into_iter().map(|share| share * long));
    for [one, other] in head_lines(design).into_iter().flat_map(|line| head_line(design, line)) {
        let (along, off) = (other.0 - one.0, other.1 - one.1);
        kept.extend([along * STEEPEST - off, along * STEEPEST + off, along - LEAST_APART.as_mm()]);
    }
    if let (Some(tines), Head::Bowl(bowl)) = (&design.tines, &design.head) {
        let slot = &tines.slot;
        let (count, slots) = (f64::from(tines.count), f64::from(tines.count.saturating_sub(1)));
        let tine = |width: f64| (bowl.width.as_mm() - slots * width) / count;
        let open = 2.0 * slot.length.as_mm() * (0.5 * slot.taper.as_radians()).tan();
        kept.push((bowl.length * LONGEST_SLOT - slot.length).as_mm() - LESS);
        kept.push((slot.length - slot.width).as_mm() - LESS);
        kept.push(tine(slot.width.as_mm()) - LEAST_ROOT);
        kept.push(tine(slot.width.as_mm() + open) - LEAST_TIP);
    }
    kept
}

/// Least and most that a key of a design may be by itself, in mm, degrees or as a plain number;
/// of a list of stations the share of what it is.
pub fn room(design: &Design, key: &str) -> [f64; 2] {
    let part = |stations: &[Station], [least, most]: [f64; 2]| {
        let size = |f: fn(f64, f64) -> f64, from: f64| {
            stations.iter().map(|station| station.size.as_mm().abs()).fold(from, f)
        };
        // What may be negative changes as a whole, and never to the other side.
        [least.max(0.0) / size(f64::min, f64::INFINITY).max(1e-9), most / size(f64::max, 1e-9)]
    };
    if key.ends_with("].at") {
        return [ALONG.least / 100.0, ALONG.most / 100.0];
    }
    // A station has the range of its list.
    let name = key.split('[').next().unwrap_or(key);
    let declared = giving(Design::KEYS).into_iter().find(|(known, _)| known == name);
    let room = declared.map_or([f64::NEG_INFINITY, f64::INFINITY], |(_, room)| room);
    match Keyed::dimension(&mut design.clone(), key) {
        Some(Dimension::Stations(list)) => part(list, room),
        _ => room,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::params::{dimension, parse_design};
    use crate::units::Length;
    use proptest::prelude::*;

    const SHIPPED: [&str; 5] = [
        include_str!("../../../params/designs/harvest-spoon.toml"),
        include_str!("../../../params/designs/harvest-fork.toml"),
        include_str!("../../../params/designs/harvest-turner.toml"),
        include_str!("../../../params/designs/harvest-spreader.toml"),
        include_str!("../../../params/designs/harvest-scoop.toml"),
    ];
    const LENGTHS: [&str; 16] = [
        "utensil.length",
        "utensil.edge",
        "bowl.length",
        "bowl.width",
        "bowl.depth",
        "bowl.wall",
        "bowl.rim",
        "blade.length",
        "blade.thickness",
        "blade.bevel",
        "blade.thin",
        "handle.end",
        "handle.thickness[1].size",
        "handle.curve[1].rise",
        "handle.width[2].size",
        "tines.slot.length",
    ];

    proptest! {
        #[test]
        fn a_margin_is_negative_just_when_there_is_a_fault(
            which in 0_usize..5,
            changes in proptest::collection::vec((0_usize..LENGTHS.len(), 0.3..3.0_f64), 1..6),
        ) {
            let mut design = parse_design(SHIPPED[which], &mut Findings::new()).unwrap().0;
            design.give.clear();
            for (key, factor) in changes {
                if let Some(Dimension::Length(length)) = dimension(&mut design, LENGTHS[key]) {
                    *length = Length::mm(length.as_mm() * factor);
                }
            }
            let least = margins(&design).into_iter().fold(f64::INFINITY, f64::min);
            // At the very limit either may be right.
            if least.abs() > 1e-5 {
                prop_assert_eq!(least < 0.0, faults(&design).has_fault(), "{}", least);
            }
        }
    }
}
