//! Is it strong enough for its load? Estimates, by beam theory and published strength.

use super::beam::{BeamSection, Bent, Slice, bend};
use super::cure::{self, Sense};
use super::notes::Notes;
use super::{Context, Sides};
use crate::finding::{Code, Finding, Source, nearest};
use crate::params::{Design, Head, Species, known, species};
use crate::units::{Length, figures_apart, plain};
use glam::DVec2;

/// A place is weaker than it should be.
pub const WEAK: Code = Code {
    name: "weak",
    explain: "Under the load in the design's [load] table, a place on the utensil or on a tine \
        bears less than the shop's limits.safety times that load. Make the place thicker (strength \
        grows with the square of the thickness) or wider, make the handle less curved, or lay the \
        piece along the grain. The estimate takes a tapered, curved beam held a hand's breadth \
        from the handle's end (a tine is held at its root), with sections of the exact surface. \
        The bending strength is the one published for the species at 12 % moisture (Wood Handbook, \
        FPL-GTR-282, Table 5-3b), lowered by Hankinson's formula for the angle between beam and \
        grain. Published figures are averages of clear wood: knots, short grain, wet wood and \
        knocks are not included.",
};

/// A tine's root is weaker than it should be, with the concentration of stress there.
pub const ROOT_WEAK: Code = Code {
    name: "root-weak",
    explain: "Stress gathers in the round between two tines, and there a tine bears less than the \
        shop's limits.root times its load. A wider slot has a rounder root. Shorter tines, thicker \
        wood or fewer slots take stress off it. For a hole in a wide plate that is bent, \
        thin-plate theory gives (5 + 3ν) / (3 + ν), which is 1.79 times the even stress for ν = \
        0.3, and three times for a hole that is small against the thickness (J. N. Goodier, 1936; \
        quoted from memory). The rule takes the lower figure. Wood gives way a little before it \
        cracks, so the theory of an even, springy plate is on the safe side; short grain at the \
        root and checks in the wood are not included.",
};

/// Nothing is published of the wood.
pub const WOOD_UNKNOWN: Code = Code {
    name: "wood-unknown",
    explain: "The tool has no figures for the board's wood, so the strength of the piece, its mass and \
        its movement with moisture are not looked at. \
        Tabs are reckoned with the weakest wood that is known. \
        If the name is misspelt or in other words, write it as the help has it. \
        If the wood is another one, judge for yourself whether it is strong enough, and whether it is one \
        to eat from: the tool doesn't know. \
        Then accept the caution with your reason.",
};

/// Even stress at a hole's rim in a bent plate, over the stress away from it: (5 + 3ν) / (3 + ν)
/// with ν = 0.3, and 3 for a hole that is small against the thickness. J. N. Goodier, Philosophical
/// Magazine 22 (1936); from memory. The reference tests solve the plate's equation for the former.
const CONCENTRATION: [f64; 2] = [5.9 / 3.3, 3.0];

/// The hand holds the handle up to here, from its end (common practice, no source).
const HAND: Length = Length::mm(90.0);
/// A load on a tip lies this far behind it, in mm.
const BEHIND: f64 = 2.0;

pub(super) fn look(at: &Context<'_>, sides: &Sides, notes: &mut Notes) -> Option<String> {
    let Some(wood) = species(&at.board.species) else {
        notes.say(unknown(at));
        return Some(format!("not looked at: no published strength for {}", at.board.species));
    };
    let columns = Columns::of(at, sides);
    let load = at.design.load;
    let bent = on_tip(at, &columns, wood);
    notes.figure("strength_tip_factor", 1.0 / bent.used);
    notes.figure("strength_tip_stress_mpa", bent.stress);
    notes.figure("strength_tip_at_mm", bent.at);
    notes.figure("strength_tip_sag_mm", bent.sag);
    let mut says = vec![format!(
        "estimate: {} N on the tip bends it {} mm; it bears {} times that, and is weakest at {} mm",
        plain(load.tip_n, 0),
        plain(bent.sag, 1),
        plain(1.0 / bent.used, 1),
        plain(bent.at, 0)
    )];
    let ways = tip_ways(at, bent.at);
    let key = ways.first().map_or("handle.thickness", |(key, _)| key);
    judge(at, ("the tip", key), load.tip_n, &bent, notes, |least| match ways {
        [] => stout_handle(at, sides, wood, least),
        _ => stout_head(at, sides, wood, ways),
    });
    if at.design.tines.is_some() {
        let tines = tines(at, &columns);
        if let Some(bent) = on_tine(at, &tines, wood) {
            notes.figure("strength_tine_factor", 1.0 / bent.used);
            notes.figure("strength_tine_stress_mpa", bent.stress);
            notes.figure("strength_tine_at_mm", bent.at);
            notes.figure("strength_tine_sag_mm", bent.sag);
            says.push(format!(
                "{} N on a tine bends it {} mm; it bears {} times that",
                plain(load.tine_n, 0),
                plain(bent.sag, 2),
                plain(1.0 / bent.used, 1)
            ));
            judge(at, ("a tine", "tines"), load.tine_n, &bent, notes, |_| {
                stout_tines(at, sides, wood)
            });
            says.push(root_says(at, &tines, load.tine_n, wood, notes)?);
        }
    }
    Some(says.join("; "))
}

fn unknown(at: &Context<'_>) -> Finding {
    Finding::caution(
        WOOD_UNKNOWN,
        format!(
            "no figures are known for {}: strength and movement are not looked at",
            at.board.species
        ),
        format!(
            "{}The woods with figures are: {}.",
            nearest(at.board.species.trim(), &known())
                .map_or(String::new(), |near| format!("Did you mean \"{near}\"? ")),
            known().join(", ")
        ),
    )
    .at(Source::Board, "board.species")
}

/// The bending of the whole piece by a load on its tip.
fn on_tip(at: &Context<'_>, columns: &Columns, wood: &Species) -> Bent {
    let length = at.body.length().as_mm();
    let from = HAND.as_mm().min(0.4 * length);
    let whole: Vec<BeamSection> = columns.sections(|x, _| x >= from && x <= length - BEHIND);
    let grain = at.board.grain.as_radians();
    reckon(&whole, at.design.load.tip_n, length - BEHIND, wood, grain)
}

/// The sections of each tine, with the place of its load.
fn tines(at: &Context<'_>, columns: &Columns) -> Vec<(Vec<BeamSection>, f64)> {
    let Some(tines) = &at.design.tines else { return Vec::new() };
    let root = at.body.length().as_mm() - tines.slot.length.as_mm();
    (0..tines.count as usize)
        .filter_map(|gap| {
            let tine = columns.sections(|x, found| x >= root && found == Some(gap));
            Some((tine, columns.end(gap)? - BEHIND))
        })
        .collect()
}

/// The bending of the tine that is weakest.
fn on_tine(at: &Context<'_>, tines: &[(Vec<BeamSection>, f64)], wood: &Species) -> Option<Bent> {
    let grain = at.board.grain.as_radians();
    tines
        .iter()
        .map(|(tine, load_at)| reckon(tine, at.design.load.tine_n, *load_at, wood, grain))
        .max_by(|a, b| a.used.total_cmp(&b.used))
}

/// By how much the handle's thickness must grow, in words.
fn stout_handle(at: &Context<'_>, sides: &Sides, wood: &Species, least: u32) -> Option<String> {
    let wanted = at.shop.limits.check.safety;
    cure::thicker_handle(at, least, |design| {
        let bent =
            cure::looked(at, sides, design, |at, sides| on_tip(at, &Columns::of(at, sides), wood));
        1.0 / bent.used >= wanted
    })
}

/// What makes a place so far from the handle's end stronger; nothing where the handle still bears.
fn tip_ways(at: &Context<'_>, along: f64) -> &'static [(&'static str, Sense)] {
    let length = at.body.length();
    let root = at.design.tines.as_ref().map(|tines| (length - tines.slot.length).as_mm());
    match at.design.head {
        _ if along < at.body.blended_x().as_mm() => &[],
        Head::Bowl(_) if root.is_some_and(|root| along >= root) => &[
            ("tines.slot.width", Sense::Less),
            ("tines.slot.length", Sense::Less),
            ("bowl.wall", Sense::More),
        ],
        Head::Bowl(_) => &[("bowl.wall", Sense::More)],
        Head::Blade(_) => &[("blade.thickness", Sense::More), ("blade.front", Sense::More)],
    }
}

/// What the head's sizes must be, in words.
fn stout_head(
    at: &Context<'_>,
    sides: &Sides,
    wood: &Species,
    ways: &[(&'static str, Sense)],
) -> Option<String> {
    let wanted = at.shop.limits.check.safety;
    let does = |design: &Design| {
        let cut = design.tines.is_none() || cure::tine_least(at, design).is_some();
        let bent = |at: &Context<'_>, sides: &Sides| on_tip(at, &Columns::of(at, sides), wood);
        cut && 1.0 / cure::looked(at, sides, design, bent).used >= wanted
    };
    let to = ways.iter().map(|(key, way)| (*key, cure::length(at, key, *way, does)));
    let found = cure::found(&to.collect::<Vec<_>>());
    (!found.is_empty()).then(|| format!("Make {}", found.join(" or ")))
}

/// How thick the wood under the tines must be, in words.
fn stout_tines(at: &Context<'_>, sides: &Sides, wood: &Species) -> Option<String> {
    let wanted = at.shop.limits.check.safety;
    let does = |design: &Design| {
        let bent = cure::looked(at, sides, design, |at, sides| {
            on_tine(at, &tines(at, &Columns::of(at, sides)), wood)
        });
        bent.is_some_and(|bent| 1.0 / bent.used >= wanted)
    };
    let ways = [("tines.slot.length", Sense::Less), ("bowl.wall", Sense::More)];
    let found = cure::found(&ways.map(|(key, way)| (key, cure::length(at, key, way, does))));
    (!found.is_empty()).then(|| format!("Make {}", found.join(" or ")))
}

/// Stress at the roots of the tines with its concentration, in words. `tines` are their sections,
/// each with the place of its load.
fn root_says(
    at: &Context<'_>,
    tines: &[(Vec<BeamSection>, f64)],
    force: f64,
    wood: &Species,
    notes: &mut Notes,
) -> Option<String> {
    let grain = at.board.grain.as_radians();
    let used = |(tine, load_at): &(Vec<BeamSection>, f64)| {
        let first = tine.first()?;
        let arm = load_at - first.along;
        let stress = force * arm * first.outer / first.second;
        let strength = wood.strength_mpa_at(grain);
        Some((stress / strength, stress, first.along))
    };
    let (used, stress, along) = tines.iter().filter_map(used).max_by(|a, b| a.0.total_cmp(&b.0))?;
    let [low, high] = CONCENTRATION;
    let factor = 1.0 / (used * low);
    notes.figure("strength_root_stress_mpa", stress);
    notes.figure("strength_root_concentration_least_factor", low);
    notes.figure("strength_root_concentration_most_factor", high);
    notes.figure("strength_root_factor", factor);
    let wanted = at.shop.limits.check.root;
    if factor < wanted {
        let [bears, least] = figures_apart([factor, wanted], 1);
        notes.say(
            Finding::caution(
                ROOT_WEAK,
                format!(
                    "at the tines' roots, {} mm from the handle's end, stress gathers to {} to {} \
                     MPa; by estimate the wood bears at best {bears} times the {} N on a tine, and the \
                     shop's least is {least} times",
                    plain(along, 0),
                    plain(stress * low, 1),
                    plain(stress * high, 1),
                    plain(force, 0),
                ),
                "Make the slots shorter or wider or the wood under them thicker, or correct the \
                 load under [load].",
            )
            .on(DVec2::new(along, 0.0), None)
            .at(Source::Design, "tines.slot.length"),
        );
    }
    Some(format!(
        "at its root {} MPa, {} to {} with the round of the slot",
        plain(stress, 1),
        plain(stress * low, 1),
        plain(stress * high, 1)
    ))
}

fn reckon(sections: &[BeamSection], force: f64, load_at: f64, wood: &Species, grain: f64) -> Bent {
    // Board grain in the plan and the beam's lean in the profile stand square to each other.
    let angle = |lean: f64| (lean.cos() * grain.cos()).clamp(-1.0, 1.0).acos();
    bend(
        sections,
        force,
        load_at,
        |lean| wood.strength_mpa_at(angle(lean)),
        |lean| wood.stiffness_mpa_at(angle(lean)),
    )
}

fn judge(
    at: &Context<'_>,
    (what, key): (&str, &'static str),
    force: f64,
    bent: &Bent,
    notes: &mut Notes,
    cure: impl FnOnce(u32) -> Option<String>,
) {
    let factor = 1.0 / bent.used;
    let wanted = at.shop.limits.check.safety;
    if factor >= wanted {
        return;
    }
    let [bears, least] = figures_apart([factor, wanted], 1);
    // Strength grows with the square of the thickness, so less can't do.
    let thicker = 100.0 * ((wanted / factor).sqrt() - 1.0);
    let cure = cure(thicker.ceil().clamp(1.0, 1e3) as u32)
        .unwrap_or_else(|| "Make it thicker or wider there".to_owned());
    notes.say(
        Finding::caution(
            WEAK,
            format!(
                "{} mm from the handle's end it bears {bears} times the {} N on {what}, by estimate; \
                 the shop's least is {least} times",
                plain(bent.at, 0),
                plain(force, 0),
            ),
            format!("{cure}, or correct the load under [load]."),
        )
        .on(DVec2::new(bent.at, 0.0), None)
        .at(Source::Design, key),
    );
}

/// A cell: its row, the gap between slots that it lies in, and its heights in mm.
#[derive(Clone, Copy)]
struct Cell {
    row: u32,
    gap: Option<u16>,
    low: f32,
    high: f32,
}

/// A column of cells, by rows, and its place along the body.
struct Column {
    x: f64,
    cells: Vec<Cell>,
}

/// The body's cells by columns, without the slots.
pub(super) struct Columns {
    step: f64,
    columns: Vec<Column>,
}

impl Columns {
    pub(super) fn of(at: &Context<'_>, sides: &Sides) -> Columns {
        /// Chords of the slots, finer than a cell.
        const CHORD: Length = Length::mm(0.05);
        let slots: Vec<Vec<glam::DVec2>> =
            at.slots.iter().map(|slot| slot.to_polyline(CHORD)).collect();
        let openings: Vec<Vec<glam::DVec2>> =
            at.openings.iter().map(|path| path.to_polyline(CHORD)).collect();
        let step = sides.cell_mm2().sqrt();
        let column = |column: usize| {
            let x = sides.place(column, 0).x;
            let mut cuts: Vec<[f64; 2]> = slots.iter().filter_map(|slot| across(slot, x)).collect();
            cuts.sort_by(|a, b| a[0].total_cmp(&b[0]));
            let all = cuts.len() == slots.len() && !slots.is_empty();
            let holes: Vec<[f64; 2]> = openings.iter().filter_map(|path| across(path, x)).collect();
            let whole = sides.column(column).filter_map(|(row, high, low)| {
                let y = sides.place(column, row).y;
                if cuts.iter().chain(&holes).any(|[from, to]| y > *from && y < *to) {
                    return None;
                }
                let gap = all.then(|| cuts.iter().filter(|cut| cut[1] <= y).count() as u16);
                Some(Cell { row: row as u32, gap, low, high })
            });
            Column { x, cells: whole.collect() }
        };
        let columns = (0..sides.grounds[0].heights.columns).map(column).collect();
        Columns { step, columns }
    }

    /// Where a tine ends along the body, in mm: an outer one where the front's round leaves it,
    /// before the tip.
    fn end(&self, tine: usize) -> Option<f64> {
        let own = |column: &&Column| column.cells.iter().any(|cell| cell.lies_in(tine));
        Some(self.columns.iter().rfind(own)?.x + 0.5 * self.step)
    }

    /// Place, width and thickness of a tine so far behind its end, in mm.
    pub(super) fn tip(&self, tine: usize, behind: f64) -> Option<[f64; 3]> {
        let of = |column: &Column| {
            let own = column.cells.iter().filter(|cell| cell.lies_in(tine));
            own.map(|cell| cell.slice(self.step)).fold((0.0, 0.0_f64), |(wide, thick), strip| {
                (wide + strip.width, thick.max(strip.high - strip.low))
            })
        };
        // A cell or two in a column are the round of the tip itself.
        let end = self.columns.iter().rposition(|column| of(column).0 > 2.0 * self.step)?;
        let at = end.checked_sub((behind / self.step).round() as usize)?;
        let column = self.columns.get(at)?;
        let (wide, thick) = of(column);
        Some([column.x, wide, thick])
    }

    fn sections(&self, wanted: impl Fn(f64, Option<usize>) -> bool) -> Vec<BeamSection> {
        let own = |at: usize| {
            let Column { x, cells } = &self.columns[at];
            let wanted = &wanted;
            cells.iter().filter(move |cell| wanted(*x, cell.gap.map(usize::from)))
        };
        let last = self.columns.len().saturating_sub(1);
        let section = |(at, column): (usize, &Column)| {
            let section = BeamSection::of(column.x, own(at).map(|cell| cell.slice(self.step)));
            // A sliver of a cell or two is no section.
            (section.area > 4.0 * self.step).then(|| {
                let [behind, ahead] = [at.saturating_sub(1), (at + 1).min(last)];
                let run = self.columns[ahead].x - self.columns[behind].x;
                let lean = lean(own(behind), own(ahead), run).unwrap_or_default();
                BeamSection { lean, ..section }
            })
        };
        self.columns.iter().enumerate().filter_map(section).collect()
    }
}

impl Cell {
    fn lies_in(&self, tine: usize) -> bool {
        self.gap.map(usize::from) == Some(tine)
    }

    fn slice(&self, width: f64) -> Slice {
        Slice { low: f64::from(self.low), high: f64::from(self.high), width }
    }
}

/// The slope of the wood from one column's cells to another's, so far apart in mm, as an angle: the
/// mean over the rows that both have, so that cells which begin or end between them don't count.
/// None without such a row.
fn lean<'a>(
    behind: impl Iterator<Item = &'a Cell>,
    ahead: impl Iterator<Item = &'a Cell>,
    run: f64,
) -> Option<f64> {
    let (mut rise, mut count) = (0.0, 0_u32);
    let mut others = ahead.peekable();
    for cell in behind {
        while others.next_if(|other| other.row < cell.row).is_some() {}
        if let Some(other) = others.next_if(|other| other.row == cell.row) {
            let (strip, other) = (cell.slice(0.0), other.slice(0.0));
            rise += 0.5 * (other.low + other.high - strip.low - strip.high);
            count += 1;
        }
    }
    (count > 0 && run > 0.0).then(|| (rise / f64::from(count) / run).atan())
}

/// Where a line across meets a closed polygon, least and greatest.
fn across(polygon: &[glam::DVec2], x: f64) -> Option<[f64; 2]> {
    let count = polygon.len();
    (0..count)
        .filter_map(|i| {
            let (p, q) = (polygon[i], polygon[(i + 1) % count]);
            let t = (x - p.x) / (q.x - p.x);
            (p.x != q.x && (0.0..=1.0).contains(&t)).then_some(p.y + t * (q.y - p.y))
        })
        .fold(None, |found: Option<[f64; 2]>, y| {
            Some(found.map_or([y, y], |[low, high]| [low.min(y), high.max(y)]))
        })
}
