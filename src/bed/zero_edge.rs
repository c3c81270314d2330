//! Whether the edges that a setup is measured from are there: where X and Y are touched off, and
//! where the stops bear. And whether a stop that is bolted has something to be bolted to.
//!
//! Not promised: that an edge is straight; the board file says nothing of that but its wane.

use super::anchors::{Anchors, stop_on_bed};
use super::hold_down_search::TO_ZERO_MM;
use super::spacer::{DEEP_MM, Spacer};
use crate::blocks::spacer::WIDE_MM;
use crate::finding::{Code, Finding, Findings, Source};
use crate::fit::{Placement, SoundWood, Stock};
use crate::params::{Board, Fixing, Shop, StopSide, TurnAxis};
use crate::relief::Face;
use crate::setup::Setup;
use glam::DVec2;

/// A setup is measured from an edge that isn't there.
pub const ZERO_EDGE_UNSOUND: Code = Code {
    name: "zero-edge-unsound",
    explain: "The board has wane at an edge that the setup is measured from: where X or Y is touched \
        off, or where a stop bears. \
        On a wane the probe finds the bark and not the edge, and everything in that setup is \
        carved as far off as the edge is missing. \
        Joint the edge straight before the board is measured; or turn the board about its other \
        axis, or write it down the other way round, so that another corner is zero. \
        The message names the corners that are sound. \
        The 25 mm of both edges next to the corner that is zero are looked at, and as much as a \
        spacer covers at each stop. Whether an edge without wane is straight is not known; knots and \
        checks leave the edge where it is.",
};

/// A stop stands where it can't be bolted.
pub const STOP_NOT_HELD: Code = Code {
    name: "stop-not-held",
    explain: "The shop file says that a stop is bolted to the bed, and no track and no insert lies \
        under it. \
        A stop that can move sets the board wrong. \
        Move the stop over a track or an insert, or write fixing = \"fixed\" if it is screwed to the \
        bed. \
        Its bar is taken to be bolted anywhere along it.",
};

/// Wane that only meets an edge in the corner leaves it whole; in mm along the edge (no source).
const CORNER_MM: f64 = 0.5;

/// The strip of wood behind a part of the left (X = 0) or the front edge of a setup, in its plan.
fn strip(side: StopSide, from: f64, to: f64) -> [DVec2; 4] {
    let corners = [(from, 0.0), (to, 0.0), (to, DEEP_MM), (from, DEEP_MM)];
    corners.map(|(along, deep)| match side {
        StopSide::Left => DVec2::new(deep, along),
        StopSide::Front => DVec2::new(along, deep),
    })
}

/// Whether both edges next to a setup's zero are sound.
fn corner_is_sound(board: &Board, setup: &Setup) -> bool {
    [StopSide::Left, StopSide::Front].into_iter().all(|side| {
        let touched = strip(side, CORNER_MM, TO_ZERO_MM).map(|p| setup.from_board.place_back(p));
        SoundWood::of(board).wane_at(&touched).is_none()
    })
}

/// Looks at what a setup of a board is measured from. `spacers` stand at its stops.
pub(super) fn look(
    board: &Board,
    shop: &Shop,
    setup: &Setup,
    spacers: &[Spacer],
    out: &mut Findings,
) {
    for (side, axis) in [(StopSide::Left, "X"), (StopSide::Front, "Y")] {
        let touched = [(strip(side, CORNER_MM, TO_ZERO_MM), format!("{axis} is touched off"))];
        let own = spacers.iter().filter(|spacer| spacer.side == side);
        let bears = own.flat_map(|spacer| {
            spacer.at.iter().map(move |at| {
                let along = if side == StopSide::Left { at.y } else { at.x };
                let half = WIDE_MM / 2.0;
                let where_ = format!("the {} stop bears", side.name());
                (strip(side, along - half, along + half), where_)
            })
        });
        let unsound = touched.into_iter().chain(bears).find_map(|(strip, what)| {
            let on_board = strip.map(|p| setup.from_board.place_back(p));
            Some((SoundWood::of(board).wane_at(&on_board)?, what))
        });
        let Some((wane, what)) = unsound else { continue };
        let edge = edge_name(setup, side);
        out.push(
            Finding::caution(
                ZERO_EDGE_UNSOUND,
                format!(
                    "setup {}: the {edge} of the board has wane where {what}",
                    setup.face.name()
                ),
                help(board, shop, setup.face),
            )
            .at(Source::Board, board.flaw_key(wane)),
        );
    }
}

/// The edge of the board that is a setup's left or front edge.
fn edge_name(setup: &Setup, side: StopSide) -> &'static str {
    let inward = match side {
        StopSide::Left => DVec2::X,
        StopSide::Front => DVec2::Y,
    };
    let way = setup.from_board.place_back(inward) - setup.from_board.place_back(DVec2::ZERO);
    match (way.x > 0.5, way.x < -0.5, way.y > 0.5) {
        (true, ..) => "left end",
        (_, true, _) => "right end",
        (.., true) => "front edge",
        _ => "back edge",
    }
}

/// What to do, with the corners that would do.
fn help(board: &Board, shop: &Shop, face: Face) -> String {
    let other = match shop.turn {
        TurnAxis::X => TurnAxis::Y,
        TurnAxis::Y => TurnAxis::X,
    };
    let stock =
        Stock::round(board.usable_height(), crate::units::Length::ZERO, board.usable_height());
    let corner = Placement::at(DVec2::ZERO);
    let turned = Setup::both(other, shop.zero, board.size(), &stock, &corner);
    let helps = turned.iter().any(|setup| setup.face == face && corner_is_sound(board, setup));
    let mut ways = vec!["Joint the edge straight before you measure the board".to_owned()];
    if face == Face::Bottom && helps {
        ways.push(format!(
            "turn the board about {0} (turn = \"{0}\"), which makes another corner zero",
            other.name()
        ));
    }
    let sound: Vec<&str> = corners(board);
    if !sound.is_empty() {
        ways.push(format!("measure it from another corner: sound is {}", sound.join(", ")));
    }
    format!("{}.", ways.join("; or "))
}

/// The corners of a board that have a sound edge on both sides.
fn corners(board: &Board) -> Vec<&'static str> {
    let size = board.size();
    let all = [
        ("front left", DVec2::new(1.0, 1.0)),
        ("front right", DVec2::new(-1.0, 1.0)),
        ("back left", DVec2::new(1.0, -1.0)),
        ("back right", DVec2::NEG_ONE),
    ];
    let wood = SoundWood::of(board);
    let sound = |way: DVec2| {
        let at = DVec2::new(
            if way.x > 0.0 { 0.0 } else { size.x },
            if way.y > 0.0 { 0.0 } else { size.y },
        );
        let touched = |side| strip(side, 0.0, TO_ZERO_MM).map(|p| at + p * way);
        [StopSide::Left, StopSide::Front]
            .into_iter()
            .all(|side| wood.wane_at(&touched(side)).is_none())
    };
    all.into_iter().filter(|(_, way)| sound(*way)).map(|(name, _)| name).collect()
}

/// Asks of the stops that are bolted whether there is something to bolt them to.
pub(super) fn stops_held(shop: &Shop, out: &mut Findings) {
    let bed = Anchors::of(shop);
    for (index, stop) in shop.bed.clamp.stops.iter().enumerate() {
        if stop.fixing == Fixing::Bolted && !bed.under(stop_on_bed(stop)) {
            out.push(
                Finding::caution(
                    STOP_NOT_HELD,
                    format!(
                        "the {} stop at {} is bolted, but no track or insert lies under it",
                        stop.side.name(),
                        stop.at
                    ),
                    "Move it over a track or an insert, or write fixing = \"fixed\" if it is screwed \
                     to the bed.",
                )
                .at(Source::Shop, format!("stop[{index}].at")),
            );
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::heard;
    use crate::params::{Flaw, FlawKind, FlawShape, parse_shop, template};

    fn shop() -> Shop {
        parse_shop(template(Source::Shop), &mut Findings::new()).expect("an example").0
    }

    /// A wane along the back edge, from 300 mm on to the right end.
    fn board(from: f64) -> Board {
        let line =
            vec![DVec2::new(from, 140.0), DVec2::new(from + 20.0, 130.0), DVec2::new(420.0, 128.0)];
        let wane = Flaw { kind: FlawKind::Wane, shape: FlawShape::Line(line) };
        Board::bare(DVec2::new(420.0, 140.0), vec![wane])
    }

    fn said(board: &Board, shop: &Shop) -> Vec<String> {
        let (setups, _) = super::super::mounts::of_board(board, shop);
        let ((), findings) =
            heard(|out| setups.iter().for_each(|setup| look(board, shop, setup, &[], out)));
        findings.iter().map(|f| format!("{} {}", f.message, f.help)).collect()
    }

    #[test]
    fn a_wane_on_the_back_edge_is_at_zero_only_when_that_edge_comes_to_the_front() {
        // Turned about X, the back left corner is zero in the second setup.
        assert!(said(&board(300.0), &shop()).is_empty());
        let all = said(&board(5.0), &shop());
        assert_eq!(all.len(), 1, "{all:?}");
        assert!(
            all[0].contains("setup bottom: the back edge of the board has wane where Y"),
            "{}",
            all[0]
        );
        assert!(all[0].contains("turn = \"Y\""), "{}", all[0]);
        assert!(all[0].contains("sound is front left, front right"), "{}", all[0]);
        // Turned about Y, the front right corner is zero, which is sound.
        let mut turned = shop();
        turned.turn = TurnAxis::Y;
        assert!(said(&board(5.0), &turned).is_empty());
    }

    #[test]
    fn a_bolted_stop_wants_a_track_under_it() {
        let mut shop = shop();
        let look = |shop: &Shop| heard(|out| stops_held(shop, out)).1.iter().count();
        assert_eq!(look(&shop), 0);
        shop.bed.clamp.stops[0].fixing = Fixing::Bolted;
        assert_eq!(look(&shop), 1);
        let insert = |x: f64| crate::params::Insert {
            at: vec![DVec2::new(x, 100.0)],
            pitch: None,
            columns: 1,
            rows: 1,
        };
        shop.bed.clamp.inserts = vec![insert(30.0)];
        assert_eq!(look(&shop), 1, "beside it");
        shop.bed.clamp.inserts = vec![insert(10.0)];
        assert_eq!(look(&shop), 0);
    }
}
