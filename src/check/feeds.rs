//! Can a cutter run as fast as the shop file says?

use super::Context;
use crate::cutting::passes;
use crate::finding::{Code, Finding, Findings, Source};
use crate::params::{Cutter, CutterForm};
use crate::units::plain;

/// A feed or a speed that no cutter of that size takes.
pub const FEED_DOUBTFUL: Code = Code {
    name: "feed-doubtful",
    explain: "A cutter that the work names has a feed, a plunge or a spindle speed that is most likely a \
        slip: a nought too many or too few, or inches for millimetres. \
        The feed over the speed is the way in one turn. \
        Makers of cutters print 0.02 to 0.05 of the diameter for each cutting edge in hardwood, so that \
        more than 0.15 of the diameter in a turn breaks a cutter, and less than 0.004 rubs, burns the \
        wood and dulls the edge. \
        A spindle of a router turns from 2000 to 60000 times in a minute. \
        Straight down a cutter goes slower than along, so a plunge faster than the feed is doubted, too. \
        Correct the figure in the shop file, since the job sheet repeats it and the estimate of time \
        follows from it. \
        The limits are common practice and no source; how many edges the cutter has, how deep it cuts and \
        how hard the wood is are left out.",
};

/// Turns in a minute of any router's spindle (common practice, no source).
const TURNS: [f64; 2] = [2_000.0, 60_000.0];
/// The way in one turn, as a share of the diameter (see the explanation above).
const SHARES: [f64; 2] = [0.004, 0.15];

pub(super) fn look(at: &Context<'_>, out: &mut Findings) {
    let work = &at.shop.work;
    let slots = at.design.tines.as_ref().map(|_| &work.slots);
    let clears = passes::clearing_cutter(at.shop).map(|cutter| &cutter.name);
    let named = [Some(&work.rough), Some(&work.finish), slots, work.pins.as_ref(), clears];
    for (index, cutter) in at.shop.cutters.iter().enumerate() {
        if let Some((key, message)) = doubtful(cutter)
            && named.contains(&Some(&cutter.name))
        {
            let help =
                "Is it a slip? Check the noughts and the units of `feed`, `speed` and `plunge`.";
            let finding = Finding::caution(FEED_DOUBTFUL, message, help);
            out.push(finding.at(Source::Shop, format!("cutter[{index}].{key}")));
        }
    }
}

/// The key of the figure that is doubted, and why.
fn doubtful(cutter: &Cutter) -> Option<(&'static str, String)> {
    let Cutter { name, diameter, feed_mm_min: feed, speed_rpm: speed, .. } = cutter;
    let [slowest, fastest] = TURNS;
    // A drill may be for the drill press.
    let drill = matches!(cutter.form, CutterForm::Drill(_));
    if *speed > fastest || (*speed < slowest && !drill) {
        let turns = plain(*speed, 0);
        return Some((
            "speed",
            format!(
                "\"{name}\" is to turn {turns} times in a minute; a router's spindle turns from {slowest} to \
                 {fastest} times"
            ),
        ));
    }
    let turn = feed / speed;
    let [least, most] = SHARES.map(|share| diameter.as_mm() * share);
    if turn > most || turn < least {
        let (what, limit) = if turn > most { ("most", most) } else { ("least", least) };
        return Some((
            "feed",
            format!(
                "\"{name}\" goes {} mm in one turn, its feed over its speed; the {what} for a cutter {diameter} \
                 thick is {} mm",
                plain(turn, 3),
                plain(limit, 3)
            ),
        ));
    }
    let plunge = cutter.plunge();
    (plunge > *feed).then(|| {
        (
            "plunge",
            format!(
                "\"{name}\" goes down at {} mm/min, faster than along, at {} mm/min",
                plain(plunge, 0),
                plain(*feed, 0)
            ),
        )
    })
}
