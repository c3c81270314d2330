//! How long will it take? An estimate, given as a range.
//!
//! Promised: removal by volume, finishing by the true length of the passes, slots by their length
//! and depth, drilling and tool changes, added up.
//! Not promised: what the path program makes of it. Its links, its lifts and the machine's
//! acceleration are the reason for a range.

use super::cusp::skin;
use super::notes::Notes;
use super::{Context, Sides, slots};
use crate::finding::{Code, Finding, Source};
use crate::params::Cutter;
use crate::units::Length;
use crate::units::plain;

/// Carving takes longer than the shop has.
pub const LONG_JOB: Code = Code {
    name: "long-job",
    explain: "Carving takes longer than the shop's limits.longest, even by the lower end of the \
        estimate. Most of the time is usually finishing, which doubles when the step-over is halved. Take \
        a larger step-over where the ridges allow it (see cusp-too-high), a thicker ball where it \
        reaches everything, or a higher feed within the limits of cutter and machine. Planing the \
        board down saves roughing. The estimate adds up path lengths, volumes and tool changes. It \
        leaves out the path program's lifts and links and the machine's acceleration, so it is \
        given as a range.",
};

/// Lifts, links and acceleration make the whole longer by this at most (common practice, no
/// source).
const SLOWER: f64 = 1.7;
/// A change of tool with its new zero, in minutes (common practice, no source).
const CHANGE: (f64, f64) = (1.0, 4.0);
/// Turning the board over and clamping it again, in minutes (common practice, no source).
const TURN: (f64, f64) = (3.0, 10.0);
/// A drilled pin hole, in minutes (common practice, no source).
const HOLE: (f64, f64) = (0.3, 1.0);
/// Holes for two pins, through board and bed.
const HOLES: f64 = 2.0;

pub(super) fn look(at: &Context<'_>, sides: &Sides, notes: &mut Notes) -> Option<String> {
    let shop = at.shop;
    let (rough, finish) = (shop.cutter(&shop.work.rough)?, shop.cutter(&shop.work.finish)?);
    let area = sides.cell_mm2();
    let mut body = 0.0;
    let mut cells = 0.0;
    for (_, _, top, bottom) in sides.cells() {
        body += area * (top - bottom);
        cells += area;
    }
    // The skirt, as wide as the ball and cleared half through from each side, all round.
    let length = at.body.length().as_mm();
    let skirt = 2.0
        * (length + at.design.head.width().as_mm())
        * crate::relief::skirt_width(finish.diameter).as_mm();
    let height = at.stock.height.as_mm();
    let cleared = (cells + skirt) * height - body;
    let rate = rough.feed_mm_min * rough.step_over().as_mm() * rough.depth_of_pass().as_mm();
    let roughing = cleared / rate;
    let skins: f64 = sides.grounds.iter().map(|ground| skin(&ground.heights)).sum::<f64>() * area;
    let finishing = (skins + 2.0 * skirt) / (finish.step_over().as_mm() * finish.feed_mm_min);
    let mut changes = 3.0;
    let slotting = slots::minutes(at, Length::mm(height));
    if slotting > 0.0 {
        changes += 1.0;
    }
    let cutting = roughing + finishing + slotting;
    let least = cutting + changes * CHANGE.0 + TURN.0 + HOLES * HOLE.0;
    let most = cutting * SLOWER + changes * CHANGE.1 + TURN.1 + HOLES * HOLE.1;
    notes.figure("time_roughing_min", roughing);
    notes.figure("time_finishing_min", finishing);
    notes.figure("time_slots_min", slotting);
    notes.figure("time_least_min", least);
    notes.figure("time_most_min", most);
    let longest = shop.limits.check.longest_min;
    if least > longest {
        let step = |cutter: &Cutter, field: &str| {
            format!("a larger {field} for \"{}\" shortens it in proportion", cutter.name)
        };
        let mut parts = vec![
            (
                "Roughing",
                roughing,
                step(rough, "step_over or pass_depth"),
                shop.key_of(rough, "step_over"),
            ),
            ("Finishing", finishing, step(finish, "step_over"), shop.key_of(finish, "step_over")),
        ];
        parts.extend(shop.cutter(&shop.work.slots).map(|cutter| {
            let key = shop.key_of(cutter, "pass_depth");
            ("Cutting the slots", slotting, step(cutter, "pass_depth"), key)
        }));
        let most = parts.into_iter().max_by(|a, b| a.1.total_cmp(&b.1));
        let (part, minutes, shorter, key) = most?;
        notes.say(
            Finding::caution(
                LONG_JOB,
                format!(
                    "by estimate carving takes {} minutes or more; the shop's limit is {}",
                    plain(least, 0),
                    plain(longest, 0)
                ),
                format!("{part} alone takes {}; {shorter}.", plain(minutes, 0)),
            )
            .at(Source::Shop, key),
        );
    }
    Some(format!(
        "estimate: {} to {} minutes (roughing {}, finishing {}{})",
        plain(least, 0),
        plain(most, 0),
        plain(roughing, 0),
        plain(finishing, 0),
        if slotting > 0.0 { format!(", slots {}", plain(slotting, 0)) } else { String::new() }
    ))
}
