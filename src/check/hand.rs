//! In the hand and in the pot: girth, balance, mass, capacity, rest on a table.

use super::notes::Notes;
use super::{Context, Sides};
use crate::finding::{Code, Finding, Source};
use crate::outline::hull::lower;
use crate::outline::wound;
use crate::params::{CheckLimits, Kind, species};
use crate::units::plain;
use glam::DVec2;

/// It does not lie still on a table.
pub const ROCKS: Code = Code {
    name: "rocks",
    explain: "On a level table the utensil rocks or tips up. Its balance point is outside the two \
        places that it rests on, or these two are closer together than the shop's limits.rest. The \
        places are the lowest points of its profile. Lower the handle's end (handle.curve), or \
        raise the back of the head. The rule looks along the utensil only: a round back rolls a \
        little sideways on any table, and that is not counted. Where a spoon or a fork rests on \
        its tip, the lip wears and picks up dirt.",
};

/// The grip is unusually thin or thick.
pub const GRIP: Code = Code {
    name: "grip",
    explain: "Where a hand takes hold, the handle is thinner than the shop's limits.grip_least or \
        thicker than limits.grip_most, measured as a round handle of the same girth. Change \
        handle.width or handle.thickness near the end. For squeezing as hard as possible, \
        cylinders of 30 to 40 mm were rated the most comfortable (Kong and Lowe, Int. J. \
        Industrial Ergonomics 35(6), 2005), and 20 to 30 mm gave the most force in another study \
        (doi 10.2478/v10038-009-0001-7, 2009). Stirring takes no such force, and spoon handles are \
        slimmer by tradition, so the usual limits are wider (common practice, no source). The rule \
        looks at one place, a fifth of the length from the end, and doesn't know your hand.",
};

/// Millilitres in a US teaspoon: a third of a tablespoon.
const TEASPOONS: f64 = 3.0;
/// Millilitres in a US tablespoon: a 256th of the gallon of 231 in³, at 25.4 mm to the inch.
const TABLESPOON_ML: f64 = 231.0 * 16.387_064 / 256.0;
/// Where a hand takes hold: a share of the length (common practice, no source).
const HOLD: f64 = 0.2;
/// What the hand takes up of the length when it stays clear of the pot, in mm, and the slope at
/// which one stirs (common practice, no source).
const CLEAR: f64 = 110.0;
const STIR: f64 = 60.0;
/// So near to the tip it rests on the lip, in mm.
const LIP: f64 = 6.0;

pub(super) fn look(at: &Context<'_>, sides: &Sides, notes: &mut Notes) -> Option<String> {
    let length = at.body.length().as_mm();
    let wide = sides.grounds[0].heights.columns;
    let cell = sides.cell_mm2().sqrt();
    let mut mass = vec![0.0; wide];
    let mut lowest = vec![f64::INFINITY; wide];
    let mut girth = vec![[f64::NAN; 4]; wide];
    let mut round = vec![0.0; wide];
    let gone = wound(&[at.slots, at.openings].concat());
    let mut solid = 0.0;
    for (column, row, top, bottom) in sides.cells() {
        solid += top - bottom;
        if !gone(sides.place(column, row)) {
            mass[column] += top - bottom;
        }
        lowest[column] = lowest[column].min(bottom);
        let [last_top, last_bottom, first, _] = girth[column];
        if first.is_nan() {
            round[column] += top - bottom;
            girth[column][2] = 0.0;
        } else {
            round[column] += cell.hypot(top - last_top) + cell.hypot(bottom - last_bottom);
        }
        girth[column][0] = top;
        girth[column][1] = bottom;
        girth[column][3] = top - bottom;
    }
    for column in 0..wide {
        round[column] += if girth[column][3].is_nan() { 0.0 } else { girth[column][3] };
    }
    let x = |column: usize| sides.place(column, 0).x;
    let whole: f64 = mass.iter().sum();
    let balance =
        mass.iter().enumerate().map(|(column, m)| m * x(column)).sum::<f64>() / whole.max(1e-9);
    notes.figure("balance_point_mm", balance);
    let at_grip = (0..wide).find(|column| x(*column) >= HOLD * length).unwrap_or_default();
    let girth = round[at_grip];
    notes.figure("grip_girth_mm", girth);
    let round = girth / std::f64::consts::PI;
    notes.figure("grip_as_cylinder_mm", round);
    let CheckLimits { grip_least: least, grip_most: most, .. } = at.shop.limits.check;
    if round < least.as_mm() || round > most.as_mm() {
        notes.say(
            Finding::caution(
                GRIP,
                format!(
                    "the grip is {} mm round, like a round handle {} mm thick; the shop's limits \
                     are {least} to {most}",
                    plain(girth, 0),
                    plain(round, 1)
                ),
                "Change handle.width or handle.thickness near the handle's end.",
            )
            .on(DVec2::new(x(at_grip), 0.0), None)
            .at(
                Source::Design,
                if round < least.as_mm() { "handle.thickness" } else { "handle.width" },
            ),
        );
    }
    let mut says = vec![format!("balances at {} mm", plain(balance, 0))];
    if let Some(species) = species(&at.board.species) {
        let [grams, unslotted] =
            [whole, solid].map(|upright| species.density_kg_m3 * 1e-6 * upright * cell * cell);
        notes.figure("mass_g", grams);
        notes.figure("mass_unslotted_g", unslotted);
        says.push(format!("{} g", plain(grams, 0)));
    }
    if matches!(at.design.kind, Kind::Spoon | Kind::Scoop) {
        let ml = at.solids.hollow_mm3 / 1000.0;
        notes.figure("capacity_ml", ml);
        notes.figure("capacity_tablespoons", ml / TABLESPOON_ML);
        notes.figure("capacity_teaspoons", TEASPOONS * ml / TABLESPOON_ML);
        let how = if at.design.kind == Kind::Scoop { "up to its rim" } else { "when level" };
        says.push(format!(
            "holds {} mL {how}, {} or {}",
            plain(ml, 0),
            counted(ml / TABLESPOON_ML, "tablespoon"),
            counted(TEASPOONS * ml / TABLESPOON_ML, "teaspoon")
        ));
    }
    says.push(format!(
        "grip {} mm round, like a round handle {} mm thick",
        plain(girth, 0),
        plain(round, 1)
    ));
    if at.design.kind != Kind::Spreader {
        let pot = (length - CLEAR).max(0.0) * STIR.to_radians().sin();
        notes.figure("pot_depth_most_mm", pot);
        says.push(format!("for pots up to {} mm deep", plain(pot, 0)));
    }
    let profile: Vec<DVec2> = (0..wide)
        .filter(|column| lowest[*column].is_finite())
        .map(|column| DVec2::new(x(column), lowest[column]))
        .collect();
    if let Some([rear, front]) = rests(&profile, balance) {
        let tilt = ((front.y - rear.y) / (front.x - rear.x)).atan().to_degrees();
        notes.figure("rest_rear_mm", rear.x);
        notes.figure("rest_front_mm", front.x);
        notes.figure("rest_tilt_deg", tilt);
        says.push(format!("rests at {} and {} mm", plain(rear.x, 0), plain(front.x, 0)));
        let narrow = front.x - rear.x < at.shop.limits.check.rest * length;
        // Where the lip is the front place, it touches the table.
        let lip = front.x > length - LIP;
        notes.figure("rest_on_lip", f64::from(u8::from(lip)));
        if lip {
            says.push("its lip touches the table".to_owned());
        }
        let outside = balance < rear.x || balance > front.x;
        if narrow || outside {
            notes.say(
                Finding::caution(
                    ROCKS,
                    format!(
                        "on a table it rests at {} and {} mm from the handle's end but balances at \
                         {} mm, so it rocks",
                        plain(rear.x, 0),
                        plain(front.x, 0),
                        plain(balance, 0)
                    ),
                    "Lower the handle's end (handle.curve), or raise the back of the head.",
                )
                .on(DVec2::new(balance, 0.0), Some("bottom"))
                .at(Source::Design, "handle.curve"),
            );
        }
    }
    Some(says.join("; "))
}

/// `1 tablespoon`, `1.8 tablespoons`.
fn counted(count: f64, what: &str) -> String {
    let count = plain(count, 1);
    let several = if count == "1" { "" } else { "s" };
    format!("{count} {what}{several}")
}

/// The two places of a profile that a table touches with the balance point between them: the edge
/// of the lower hull under it.
fn rests(profile: &[DVec2], balance: f64) -> Option<[DVec2; 2]> {
    let hull = lower(profile.iter().copied());
    let edge = hull.windows(2).find(|edge| edge[0].x <= balance && balance <= edge[1].x)?;
    Some([edge[0], edge[1]])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_table_touches_the_hull_under_the_balance_point() {
        let profile: Vec<DVec2> = [(0.0, 1.0), (50.0, 4.0), (100.0, 0.0), (120.0, 3.0)]
            .map(|(x, z)| DVec2::new(x, z))
            .to_vec();
        let found = rests(&profile, 60.0).map(|[a, b]| (a.x, b.x));
        assert_eq!(found, Some((0.0, 100.0)));
        assert_eq!(rests(&profile, 110.0).map(|[a, b]| (a.x, b.x)), Some((100.0, 120.0)));
        assert_eq!(rests(&profile, 130.0), None);
    }
}
