//! Can a cutter run as fast as the shop file says?

use super::Context;
use super::used::Used;
use crate::finding::{Code, Finding, Findings, Source};
use crate::params::{Cutter, CutterForm};
use crate::units::plain;

/// A feed or a speed that no cutter of that size takes.
pub const FEED_DOUBTFUL: Code = Code {
    name: "feed-doubtful",
    explain: "A cutter that the job uses has a feed, a plunge or a spindle speed that is most likely a \
        slip: a nought too many or too few, or inches for millimetres. \
        The feed over the speed is the way in one turn. \
        Makers of cutters print 0.02 to 0.05 of the diameter for each cutting edge in hardwood, so that \
        more than 0.15 of the diameter in a turn breaks a cutter, and less than 0.004 rubs, burns the \
        wood and dulls the edge; for a vee, of the width to which its inlay sinks it. \
        A spindle of a router turns from 2000 to 60000 times in a minute. \
        Straight down a cutter goes slower than along, so a plunge faster than the feed is doubted, too; \
        at less than a tenth of the feed it rubs in one place and burns. \
        Correct the figure in the shop file, since the job sheet repeats it and the estimate of time \
        follows from it. \
        The limits are common practice and no source; how many edges the cutter has, how deep it cuts and \
        how hard the wood is are left out.",
};

/// Turns in a minute of any router's spindle (common practice, no source).
const TURNS: [f64; 2] = [2_000.0, 60_000.0];
/// The way in one turn, as a share of the diameter (see the explanation above).
const SHARES: [f64; 2] = [0.004, 0.15];
/// The least plunge, as a share of the feed: a third is usual, and less than this rubs (common practice,
/// no source).
const SLOWEST_PLUNGE: f64 = 0.1;

pub(super) fn look(at: &Context<'_>, used: &[Used<'_>], out: &mut Findings) {
    for used in used {
        if let Some((key, message)) = doubtful(used) {
            let help =
                "Is it a slip? Check the noughts and the units of `feed`, `speed` and `plunge`.";
            let finding = Finding::caution(FEED_DOUBTFUL, message, help);
            out.push(finding.at(Source::Shop, at.shop.key_of(used.cutter, key)));
        }
    }
}

/// The key of the figure that is doubted, and why.
fn doubtful(used: &Used<'_>) -> Option<(&'static str, String)> {
    let Used { cutter, thick, .. } = used;
    let Cutter { name, feed_mm_min: feed, speed_rpm: speed, .. } = cutter;
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
    let [least, most] = SHARES.map(|share| thick.as_mm() * share);
    if turn > most || turn < least {
        let (what, limit) = if turn > most { ("most", most) } else { ("least", least) };
        let such = match cutter.form {
            CutterForm::Vee(_) => format!("a vee that cuts {thick} wide"),
            _ => format!("a cutter {thick} thick"),
        };
        return Some((
            "feed",
            format!(
                "\"{name}\" goes {} mm in one turn, its feed over its speed; the {what} for {such} is {} mm",
                plain(turn, 3),
                plain(limit, 3)
            ),
        ));
    }
    let plunge = cutter.plunge();
    let how = match plunge {
        plunge if plunge > *feed => "faster than along, at",
        plunge if plunge < SLOWEST_PLUNGE * feed => "less than a tenth of its feed,",
        _ => return None,
    };
    let [down, along] = [plunge, *feed].map(|feed| plain(feed, 0));
    Some(("plunge", format!("\"{name}\" goes down at {down} mm/min, {how} {along} mm/min")))
}
