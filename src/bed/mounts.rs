//! Where on the bed each setup is mounted, what to enter there, and whether the machine reaches
//! all of it.
//!
//! The bed's frame is the machine's own: X and Y from its home corner, Z up from the bed.
//! Not promised: that nothing else stands in the way on the bed, nor the spindle's body above the
//! holder.

use crate::cutting::PassKind;
use crate::cutting::passes::Pass;
use crate::finding::{Code, Finding, Findings, Source};
use crate::fit::{Placement, Stock};
use crate::params::{Board, Cutter, FIGURE_DOUBTFUL, Position, Serves, Shop, Travel};
use crate::relief::Face;
use crate::setup::Setup;
use crate::units::Length;
use glam::{DVec2, DVec3};

/// No work position for a setup.
pub const NO_POSITION: Code = Code {
    name: "no-position",
    explain: "The shop file lists work positions on the bed, but none of them serves one of the \
        two setups. A `[[position]]` serves both setups unless its `serves` says `top` or \
        `bottom`. Add a position for the other side, or leave `serves` out. When no position is \
        listed, zero on the bed is the corner of the stock.",
};

/// The machine does not go that far.
pub const OUT_OF_TRAVEL: Code = Code {
    name: "out-of-travel",
    explain: "The machine would have to go further than it can, in X, Y or Z. X and Y are the \
        limits of every pass and of the pin holes at their work position. Z goes from the deepest \
        place, with the cutter's stick-out, up to where the tip clears the hold-downs, or to machine.safe. The finding \
        says by how much. Move the work position, raise the board with a waste board, chuck the \
        cutter longer or shorter, or use a lower hold-down. The travel is taken from `[machine]` \
        in the shop file; clamps, rails and hoses that shorten it are not known here.",
};

/// Two boards would lie on each other.
pub const BOARDS_COLLIDE: Code = Code {
    name: "boards-collide",
    explain: "The two setups have work positions of their own, so that one board can be carved top \
        up while another lies bottom up. Two boards of this size, with the hold-downs round them, \
        overlap on the bed. Move the positions apart by the distance given, or mount one board at \
        a time. Only the board of this job is checked, in both places.",
};

/// The tip clears what stands on the bed by this much when it travels (common practice, no source).
pub const LIFT_CLEAR: Length = Length::mm(5.0);

/// One mounting of the board on the bed.
#[derive(Clone, Debug, PartialEq)]
pub struct Mount {
    /// The setup.
    pub face: Face,
    /// The work position's word, if the shop lists any.
    pub word: Option<String>,
    /// The setup's zero in the machine's X and Y, and over the bed, in mm: what to enter.
    pub zero: DVec3,
    /// The setup's X and Y zero on the board, in mm.
    pub zero_on_board: DVec2,
    /// The corner of the board's rectangle on the bed that is nearest to home, in mm.
    pub low: DVec2,
    /// The far corner.
    pub high: DVec2,
}

impl Mount {
    /// A place of the setup's plan, in mm, in the machine's X and Y.
    pub fn on_bed(&self, p: DVec2) -> DVec2 {
        p + self.zero.truncate()
    }
}

/// What must be reached in a setup.
#[derive(Clone, Debug, PartialEq)]
pub struct Reached<'a> {
    /// The pass.
    pub pass: &'a Pass,
    /// Height of the tip over the bed at the deepest place.
    pub deepest: Length,
}

/// Where a setup is mounted: at a position for this side alone, or else at one for both, or else at
/// the bed's zero. `size` is the board's length and width in mm.
fn mount(shop: &Shop, setup: &Setup, size: DVec2) -> Mount {
    let positions = &shop.bed.positions;
    let serves = |p: &&Position| match p.serves {
        Serves::Both => true,
        Serves::Top => setup.face == Face::Top,
        Serves::Bottom => setup.face == Face::Bottom,
    };
    let own = positions.iter().filter(serves).find(|p| p.serves != Serves::Both);
    let position = own.or_else(|| positions.iter().find(serves));
    let at = position.map_or(DVec2::ZERO, |p| p.at);
    Mount {
        face: setup.face,
        word: position.map(|p| p.name.clone()),
        // The stock lies on the bed.
        zero: at.extend(-setup.stock_bottom.as_mm()),
        zero_on_board: setup.from_board.place_back(DVec2::ZERO),
        low: at,
        high: at + size,
    }
}

/// Mounts both setups. `size` is the board's length and width in mm.
pub(super) fn mounts(shop: &Shop, setups: &[Setup; 2], size: DVec2) -> [Mount; 2] {
    setups.each_ref().map(|setup| mount(shop, setup, size))
}

/// How a board lies in the two setups, with its heights counted from the stock's underside, and
/// where it is mounted in them.
pub fn of_board(board: &Board, shop: &Shop) -> ([Setup; 2], [Mount; 2]) {
    let (size, height) = (board.size(), board.usable_height());
    let stock = Stock::round(height, Length::ZERO, height);
    let setups = Setup::both(shop.turn, shop.zero, size, &stock, &Placement::at(DVec2::ZERO));
    let mounts = mounts(shop, &setups, size);
    (setups, mounts)
}

/// Whether the machine goes over a place of the board in both setups; anywhere, where the shop does
/// not say how far it goes.
pub fn reached(shop: &Shop, setups: &[Setup; 2], mounts: &[Mount; 2], p: DVec2) -> bool {
    let Some(travel) = &shop.bed.travel else { return true };
    let far = DVec2::new(travel.x.as_mm(), travel.y.as_mm());
    setups.iter().zip(mounts).all(|(setup, mount)| {
        let at = mount.on_bed(setup.from_board.place(p));
        at.min(far - at).min_element() >= 0.0
    })
}

/// Asks whether a work position serves each setup, and whether two boards, each with its hold-downs
/// beside it, lie clear of each other at theirs.
pub fn positions(shop: &Shop, mounts: &[Mount; 2], out: &mut Findings) {
    for mount in mounts.iter().filter(|mount| mount.word.is_none()) {
        if !shop.bed.positions.is_empty() {
            out.push(
                Finding::caution(
                    NO_POSITION,
                    format!("no work position serves the setup {}", mount.face.name()),
                    "Add a [[position]] for it, or take `serves` out of one.",
                )
                .at(Source::Shop, "position"),
            );
        }
    }
    collide(mounts, shop.hold_down.body).into_iter().for_each(|finding| out.push(finding));
}

/// Asks whether two boards, each with `around` mm for the hold-downs beside it, lie clear of each
/// other.
fn collide(mounts: &[Mount; 2], around: Length) -> Option<Finding> {
    let [a, b] = mounts;
    let (one, other) = (a.word.as_ref()?, b.word.as_ref()?);
    if one == other {
        return None;
    }
    // The blocks beside one board may stand between those beside the other, but not on them.
    let gap = (a.low - b.high).max(b.low - a.high);
    let lacking = 2.0 * around.as_mm() - gap.max_element();
    (lacking > 0.0).then(|| {
        Finding::caution(
            BOARDS_COLLIDE,
            format!(
                "a board at {one} and one at {other}, with their hold-downs, overlap by {}",
                Length::mm((lacking * 10.0).ceil() / 10.0)
            ),
            "Move the two positions apart, or mount one board at a time.",
        )
        .at(Source::Shop, "position")
    })
}

/// Asks whether the machine goes everywhere that a setup needs. `bored` are the pins' holes in the
/// setup's plan; `over` the height over the bed of the highest thing that stands on it.
pub fn travel(
    shop: &Shop,
    setup: &Setup,
    mount: &Mount,
    reached: &[Reached<'_>],
    bored: &[DVec2],
    over: Length,
    out: &mut Findings,
) {
    let Some(travel) = &shop.bed.travel else { return };
    let setup_name = format!("setup {}: ", setup.face.name());
    let mut say = |what: String, by: f64, key: &str| out.push(out_by(&setup_name, &what, by, key));
    let mut low = DVec2::splat(f64::INFINITY);
    let mut high = DVec2::splat(f64::NEG_INFINITY);
    for (from, to) in reached
        .iter()
        .flat_map(|r| &r.pass.centre)
        .filter_map(|path| setup.from_design.path(path).bounds())
    {
        low = low.min(mount.on_bed(from));
        high = high.max(mount.on_bed(to));
    }
    for p in bored {
        low = low.min(mount.on_bed(*p));
        high = high.max(mount.on_bed(*p));
    }
    let ends = [
        (low.x, high.x, travel.x.as_mm(), "X", "machine.x"),
        (low.y, high.y, travel.y.as_mm(), "Y", "machine.y"),
    ];
    for (low, high, travel, axis, key) in ends {
        if low < -1e-9 {
            say(format!("{axis} would pass its home end"), -low, key);
        }
        if high > travel + 1e-9 {
            say(format!("{axis} would pass its far end"), high - travel, key);
        }
    }
    for Reached { pass, deepest } in reached {
        up_and_down(travel, &pass.cutter, pass.kind, [*deepest, over], &mut say);
    }
}

/// One thing that the machine can't do, and by how much.
fn out_by(setup: &str, what: &str, by: f64, key: &str) -> Finding {
    Finding::caution(
        OUT_OF_TRAVEL,
        format!("{setup}{what} by {}", Length::mm((by * 10.0).ceil() / 10.0)),
        "Move the work position, or change what the finding names.",
    )
    .at(Source::Shop, key)
}

/// Asks whether the spindle comes down to a pass's deepest place and lifts its cutter clear of the
/// highest on the bed; both over the bed.
fn up_and_down(
    travel: &Travel,
    cutter: &Cutter,
    kind: PassKind,
    [deepest, over]: [Length; 2],
    say: &mut dyn FnMut(String, f64, &str),
) {
    let Travel { nose, z, .. } = *travel;
    let name = &cutter.name;
    let by = (nose - (deepest + cutter.stick_out)).as_mm();
    if by > 1e-9 {
        let what = format!("the spindle can't come down far enough for cutter {name} ({kind})");
        say(what, by, "machine.nose");
    }
    let by = (over + LIFT_CLEAR + cutter.stick_out - (nose + z)).as_mm();
    if by > 1e-9 {
        let what = format!("the spindle can't lift cutter {name} ({kind}) clear of the hold-downs");
        say(what, by, "machine.z");
    }
}

/// Asks whether the machine goes down to the ends of the pins' holes, and up again. `tips` are the
/// deepest that the tip goes in the board and in the bed, over the bed; `over` is the highest on it.
pub fn bored(
    shop: &Shop,
    cutter: &Cutter,
    [board, bed]: [Length; 2],
    over: Length,
    out: &mut Findings,
) {
    let Some(travel) = &shop.bed.travel else { return };
    let mut say = |what: String, by: f64, key: &str| out.push(out_by("", &what, by, key));
    up_and_down(travel, cutter, PassKind::Pins, [board, over], &mut say);
    // Nothing stands on the bed yet, so it lifts no higher than it does over the board.
    let none = Length::ZERO - LIFT_CLEAR - cutter.stick_out;
    up_and_down(travel, cutter, PassKind::Bed, [bed, none], &mut say);
}

/// Rapid moves pass over what stands on the bed by this much at least (common practice, no source).
const SAFE_OVER: Length = Length::mm(1.0);

/// Asks whether rapid moves at the shop's `machine.safe` over stock of that height clear the highest on
/// the bed, and whether the spindle lifts the longest of these cutters so far.
pub fn safe<'c>(
    shop: &Shop,
    height: Length,
    over: Length,
    cutters: impl Iterator<Item = &'c Cutter>,
    out: &mut Findings,
) {
    let Some(safe) = shop.bed.safe else { return };
    let stands = (over - height).max(Length::ZERO);
    if safe < stands + SAFE_OVER {
        let what = match stands > Length::ZERO {
            true => format!("the hold-downs stand {stands} over it"),
            false => "a board is hardly that flat".to_owned(),
        };
        let least = Length::mm((stands + LIFT_CLEAR).as_mm().ceil());
        out.push(
            Finding::caution(
                FIGURE_DOUBTFUL,
                format!("`machine.safe` is {safe} over the stock, but {what}"),
                format!("Write safe = \"{least}\" or more, or leave it out."),
            )
            .at(Source::Shop, "machine.safe"),
        );
    }
    let longest = cutters.max_by(|a, b| a.stick_out.as_mm().total_cmp(&b.stick_out.as_mm()));
    if let Some((travel, cutter)) = shop.bed.travel.as_ref().zip(longest) {
        let by = (height + safe + cutter.stick_out - (travel.nose + travel.z)).as_mm();
        if by > 1e-9 {
            let what =
                format!("the spindle can't lift cutter {} to {safe} over the stock", cutter.name);
            let most = (safe.as_mm() - by).floor();
            let help = match most > stands.as_mm() {
                true => format!("Write safe = \"{}\" or less.", Length::mm(most)),
                false => "Chuck the cutter shorter, or use lower hold-downs.".to_owned(),
            };
            out.push(Finding { help, ..out_by("", &what, by, "machine.safe") });
        }
    }
}

#[cfg(test)]
mod tests;
