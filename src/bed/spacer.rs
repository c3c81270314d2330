//! Spacers: blocks that stand between a stop on the bed and the board's edge, so that the board
//! comes to its work position without measuring.
//!
//! Promised: as long as the way from the stop's face to the board's edge; a spacer printed is marked
//! with its length. Not promised: that the stop stands where the shop file says, nor the printer's
//! scale; measure the spacer.

use super::anchors::stop_on_bed;
use super::hold_down_place::HoldDownPlace;
use super::mounts::Mount;
use crate::blocks::spacer::{SpacerModel, WIDE_MM, spacer};
use crate::finding::{Code, Finding, Findings, Source};
use crate::fit::{SoundWood, apart};
use crate::params::{Shop, Stop, StopSide};
use crate::relief::Face;
use crate::setup::Setup;
use crate::units::Length;
use glam::DVec2;

/// The board would lie on a stop.
pub const STOP_IN_THE_WAY: Code = Code {
    name: "stop-in-the-way",
    explain: "A stop in the shop file is where the board would lie at its work position. The face \
        of a left stop is at an X and sets the left end of the board; the face of a front stop is \
        at a Y and sets its front edge. The board lies beyond the face, with a spacer between \
        them. The finding says how far the board would lie over the stop. Move the work position \
        or the stop. If the stop is shorter than the bed, give it `from` and `to`; without them it \
        is taken to run all along the bed.",
};

/// A spacer is half as high as the stock, and no higher than this (no source).
const HIGH_MM: f64 = 20.0;
/// Thinner than this nothing is printed: a strip of card or veneer does it (no source).
const PRINTS_MM: f64 = 2.0;
/// Shorter than this the board stands against the stop itself: finer than a stop is set (no
/// source).
const NOTHING_MM: f64 = 0.02;
/// Spacers are tried along the edge this far apart (no source).
const STEP_MM: f64 = 2.0;
/// How far into the board its edge must be sound where a stop bears or X and Y are touched off (no
/// source).
pub(super) const DEEP_MM: f64 = 2.0;
/// Least room between a spacer and a hold-down (no source).
const BESIDE_MM: f64 = 1.0;

/// How a spacer is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Make {
    /// None is needed: the board stands against the stop.
    Against,
    /// It is printed.
    Print,
    /// It is cut to its length from waste wood: too long or too thin for the printer.
    Cut,
}

impl Make {
    /// `against`, `print` or `cut`.
    pub const fn name(self) -> &'static str {
        match self {
            Make::Against => "against",
            Make::Print => "print",
            Make::Cut => "cut",
        }
    }
}

/// The spacers between one stop and the board in one setup.
#[derive(Clone, Debug)]
pub struct Spacer {
    /// The setup.
    pub face: Face,
    /// The stop in the shop file, counted from 1.
    pub stop: usize,
    /// The edge that it sets.
    pub side: StopSide,
    /// The stop's face in the machine's X (left) or Y (front).
    pub stop_at: Length,
    /// From the stop's face to the board's edge.
    pub size: Length,
    /// Height of the spacer.
    pub height: Length,
    /// Where they stand against the board: the middles of their faces, in the setup's plan, in mm.
    pub at: Vec<DVec2>,
    /// From the stop's face to the middles of the pins, in their order.
    pub pins: Vec<Length>,
    /// How it is made.
    pub make: Make,
    /// What is to be printed.
    pub printed: Option<SpacerModel>,
}

impl Spacer {
    /// Name of its files without their endings, such as `spacer-top-left`.
    pub fn stem(&self) -> String {
        format!("spacer-{}-{}", self.face.name(), self.side.name())
    }

    /// What is written on it; empty where there is no room, or where it is not printed.
    pub fn mark(&self) -> &str {
        self.printed.as_ref().map_or("", |model| &model.mark)
    }
}

/// The stops' polygons on the board's plan in a setup, in mm.
pub(super) fn stops_on_board(shop: &Shop, setup: &Setup, mount: &Mount) -> Vec<Vec<DVec2>> {
    let place = |p: DVec2| setup.from_board.place_back(p - mount.zero.truncate());
    let polygon = |stop: &Stop| {
        let [low, high] = stop_on_bed(stop);
        let corners = [low, DVec2::new(high.x, low.y), high, DVec2::new(low.x, high.y)];
        corners.map(place).to_vec()
    };
    shop.bed.clamp.stops.iter().map(polygon).collect()
}

/// What spacers are worked out from, in one setup.
#[derive(Clone, Copy)]
pub struct SpacerGround<'a> {
    /// The wood.
    pub wood: &'a SoundWood<'a>,
    /// The shop, with its stops.
    pub shop: &'a Shop,
    /// How the board lies.
    pub setup: &'a Setup,
    /// Where it is mounted.
    pub mount: &'a Mount,
    /// What holds it.
    pub hold_downs: &'a [HoldDownPlace],
    /// The pins on the board, in mm.
    pub pins: &'a [DVec2],
}

/// The spacers of a setup.
pub fn spacers(ground: &SpacerGround<'_>, out: &mut Findings) -> Vec<Spacer> {
    let SpacerGround { shop, setup, mount, pins, .. } = *ground;
    let stock = setup.stock_top - setup.stock_bottom;
    let mut found: Vec<Spacer> = Vec::new();
    for (index, stop) in shop.bed.clamp.stops.iter().enumerate() {
        // Along the stop, and across it.
        let split = |p: DVec2| match stop.side {
            StopSide::Left => (p.y, p.x),
            StopSide::Front => (p.x, p.y),
        };
        let ((low, edge), (high, far)) = (split(mount.low), split(mount.high));
        let (from, to) = (low.max(stop.from.as_mm()), high.min(stop.to.as_mm()));
        let size = edge - stop.at.as_mm();
        let back = stop.at - stop.deep;
        if to - from < WIDE_MM || back.as_mm() >= far {
            continue;
        }
        if size < -NOTHING_MM {
            let over = stop.at.as_mm().min(far) - back.as_mm().max(edge);
            out.push(
                Finding::caution(
                    STOP_IN_THE_WAY,
                    format!(
                        "setup {}: the board would lie {} over the {} stop",
                        setup.face.name(),
                        Length::mm((over * 10.0).ceil() / 10.0),
                        stop.side.name()
                    ),
                    "Move the work position or the stop.",
                )
                .at(Source::Shop, format!("stop[{index}].at")),
            );
            continue;
        }
        let spacer = Spacer {
            face: setup.face,
            stop: index + 1,
            side: stop.side,
            stop_at: stop.at,
            size: Length::mm(size),
            height: stock.half().min(Length::mm(HIGH_MM)),
            at: standing(ground, stop.side, [from, to], size),
            pins: pins
                .iter()
                .map(|pin| mount.on_bed(setup.from_board.place(*pin)))
                .map(|pin| Length::mm(split(pin).1) - stop.at)
                .collect(),
            make: Make::Against,
            printed: None,
        };
        // Of two stops of one side the nearer one sets the board.
        match found.iter_mut().find(|other| other.side == stop.side) {
            Some(other) if other.size > spacer.size => *other = spacer,
            Some(_) => {}
            None => found.push(spacer),
        }
    }
    for spacer in &mut found {
        make(spacer, shop);
        // Numbered from the left, from the front, as the board lies.
        spacer.at.sort_by(|a, b| (a.x + a.y).total_cmp(&(b.x + b.y)));
    }
    found
}

/// Where spacers stand along the board's edge, clear of the hold-downs and on sound wood where there
/// is any: two along the front, one at the left end. In the setup's plan.
fn standing(
    ground: &SpacerGround<'_>,
    side: StopSide,
    [from, to]: [f64; 2],
    size: f64,
) -> Vec<DVec2> {
    let SpacerGround { wood, setup, mount, hold_downs, .. } = *ground;
    let wanted: &[f64] = match side {
        StopSide::Front => &[0.3, 0.7],
        StopSide::Left => &[0.5],
    };
    // From the machine's frame along the stop to the setup's plan.
    let zero = mount.zero.truncate();
    let place = |along: f64, across: f64| match side {
        StopSide::Left => DVec2::new(mount.low.x - across, along) - zero,
        StopSide::Front => DVec2::new(along, mount.low.y - across) - zero,
    };
    let half = WIDE_MM / 2.0;
    // From the board's edge outward, or into the board.
    let covers = |along: f64, out: f64| {
        [(-half, 0.0), (half, 0.0), (half, out), (-half, out)]
            .map(|(beside, out)| setup.from_board.place_back(place(along + beside, out)))
    };
    let free = |along: f64| {
        hold_downs.iter().all(|held| apart(&held.plan, &covers(along, size)) >= BESIDE_MM)
    };
    let sound = |along: &f64| wood.gap(&covers(*along, -DEEP_MM)) > 0.0;
    let room = to - from - WIDE_MM;
    let steps = (room / STEP_MM).floor().clamp(0.0, 1.0e4) as u32;
    let mut all: Vec<f64> = (0..=steps)
        .map(|step| from + half + STEP_MM * f64::from(step))
        .filter(|along| free(*along))
        .collect();
    if all.iter().any(sound) {
        all.retain(sound);
    }
    let mut found = Vec::new();
    for share in wanted {
        let target = from + half + share * room;
        let best =
            all.iter().copied().min_by(|a, b| (a - target).abs().total_cmp(&(b - target).abs()));
        if let Some(best) = best {
            found.push(place(best, 0.0));
            all.retain(|along| (along - best).abs() >= WIDE_MM + BESIDE_MM);
        }
    }
    found
}

/// Decides how a spacer is made, and makes the block to print.
fn make(one: &mut Spacer, shop: &Shop) {
    let (long, high) = (one.size.as_mm(), one.height.as_mm());
    let plate = shop.bed.clamp.plate;
    if long >= NOTHING_MM {
        let prints = long >= PRINTS_MM && long <= plate.x && high <= plate.y;
        // One that can't be built is cut too, and the sheet says so.
        one.printed = prints.then(|| spacer(shop, one.size, one.height)).and_then(Result::ok);
        one.make = if one.printed.is_some() { Make::Print } else { Make::Cut };
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bed::mounts::mounts;
    use crate::blocks::block::overhangs;
    use crate::blocks::hold_down::tests::shop;
    use crate::finding::heard;
    use crate::fit::{Placement, Stock};
    use crate::mesh::audit;
    use crate::params::{Board, Fixing, Position, Serves, TurnAxis, Zero};

    fn run(stops: Vec<Stop>, at: DVec2) -> (Vec<Vec<Spacer>>, Findings) {
        let mut shop = shop(0.2);
        shop.bed.positions = vec![Position { name: "G54".to_owned(), at, serves: Serves::Both }];
        shop.bed.clamp.stops = stops;
        let stock = Stock::round(Length::mm(30.0), Length::mm(-10.0), Length::mm(10.0));
        let (size, placement) = (DVec2::new(400.0, 120.0), Placement::at(DVec2::ZERO));
        let setups = Setup::both(TurnAxis::X, Zero::Top, size, &stock, &placement);
        let mounts = mounts(&shop, &setups, size);
        let pins = [DVec2::new(12.0, 40.0)];
        heard(|out| {
            let both = setups.iter().zip(&mounts);
            let board = Board::bare(size, Vec::new());
            let wood = &SoundWood::of(&board);
            let (shop, hold_downs, pins) = (&shop, &[][..], &pins[..]);
            let ground =
                |(setup, mount)| SpacerGround { wood, shop, setup, mount, hold_downs, pins };
            both.map(|both| spacers(&ground(both), out)).collect()
        })
    }

    fn stop(side: StopSide, at: f64) -> Stop {
        let [from, to, deep] = [0.0, 1.0e4, 20.0].map(Length::mm);
        Stop { side, at: Length::mm(at), from, to, deep, fixing: Fixing::Fixed }
    }

    /// The position is at (60, 75), the stops at 20 and 30.5.
    #[test]
    fn a_spacer_is_as_long_as_the_way_from_the_stop_to_the_board() {
        let (made, said) = run(
            vec![stop(StopSide::Left, 20.0), stop(StopSide::Front, 30.5)],
            DVec2::new(60.0, 75.0),
        );
        assert!(said.is_empty());
        for spacers in &made {
            let [left, front] = &spacers[..] else { panic!("two: {spacers:?}") };
            assert_eq!((left.size.as_mm(), front.size.as_mm()), (40.0, 44.5));
            assert_eq!([left, front].map(|s| s.mark()), ["40", "44.5"]);
            assert_eq!((left.at.len(), front.at.len()), (1, 2));
            for spacer in [left, front] {
                let mesh = &spacer.printed.as_ref().expect("printed").block.mesh;
                assert!(audit(mesh).sound());
                assert_eq!(overhangs(mesh), 0.0);
                let [low, high] = mesh.bounds();
                assert!((high.x - low.x - spacer.size.as_mm()).abs() < 1e-9);
                assert_eq!(high.z, 15.0, "half of the stock");
            }
            // The pin: 12 from the board's left end; 40 from its front edge, or turned over 80.
            assert_eq!(left.pins[0].as_mm(), 52.0);
            let across = if front.face == Face::Top { 40.0 } else { 80.0 };
            assert!((front.pins[0].as_mm() - (44.5 + across)).abs() < 1e-9);
        }
    }

    #[test]
    fn a_stop_under_the_board_is_told_with_how_far() {
        let (made, said) = run(vec![stop(StopSide::Left, 62.5)], DVec2::new(60.0, 75.0));
        assert!(made.iter().all(Vec::is_empty));
        let all: Vec<_> = said.iter().collect();
        assert_eq!(all.len(), 2, "in both setups");
        assert!(all[0].message.contains("2.5 mm over the left stop"), "{}", all[0].message);
    }

    #[test]
    fn the_nearer_of_two_stops_counts_and_one_beside_the_board_does_not() {
        let beside =
            Stop { from: Length::mm(300.0), to: Length::mm(500.0), ..stop(StopSide::Left, 59.0) };
        let stops = vec![stop(StopSide::Left, 20.0), stop(StopSide::Left, 60.0), beside];
        let (made, _) = run(stops, DVec2::new(60.0, 75.0));
        assert_eq!(made[0].len(), 1);
        assert_eq!((made[0][0].make, made[0][0].stop), (Make::Against, 2));
        let (made, _) = run(vec![stop(StopSide::Front, 30.0)], DVec2::new(60.0, 330.0));
        assert_eq!((made[0][0].make, made[0][0].size.as_mm()), (Make::Cut, 300.0));
    }
}
