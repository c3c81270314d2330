//! Where hold-downs bear on the board, for each setup.
//!
//! Promised: a lip bears wholly on sound wood of full height (or on the floor of its own rebate),
//! the shop's margin from the skirt and clear of pins and of the corner that is zero; no holder, no
//! stop and no rebate of the other side comes into its way. Where fewer than four find room, a
//! finding says at which edge and why. Not promised: the best places. Those nearest to the corners
//! are taken, crosswise, from as far out as bears a pull best.

use super::anchors::Anchors;
use super::hold_down_place::{BESIDE_MM, BoardEdge, HoldDownPlace, along};
use super::lift;
use super::mounts;
use super::pins::{PinGround, place_pins};
use crate::blocks::{HoldDownModel, shaped};
use crate::cutting::envelope::Envelope;
use crate::finding::{Code, Finding, Findings, Source};
use crate::fit::{Region, SoundWood, apart};
use crate::params::{Board, Shop};
use crate::relief::Face;
use crate::setup::Setup;
use crate::units::Length;
use glam::DVec2;
use std::collections::BTreeMap;

/// Fewer than four hold-downs fit.
pub const FEW_HOLD_DOWNS: Code = Code {
    name: "few-hold-downs",
    explain: "Fewer than four hold-downs find room on the board's edges in one of the setups. \
        Each bears with its whole lip on sound wood, the shop's margin away from the skirt and \
        clear of the pins, leaves the corner that is zero free to be touched off, and stands where \
        neither a stop nor the holder of any cutter comes: the holder is as wide as the shop file \
        says and hangs as low over the bed as the deepest place near there and the cutter's \
        stick-out bring it. \
        The message names, for each edge without one, what is in the way most often. \
        With fewer than four the board can lift or turn under the cutter; with none at all nothing \
        holds it down, and that is a fault. \
        On a bed with tracks or inserts the board is also tried up to a hand's breadth further along \
        the bed; where that makes room for more, the message says which way and how far. \
        Use a wider or longer board, a longer stick-out, a narrower block, low hold-downs \
        (`hold_down.form`), or a smaller margin, or hold the board in another way as well, such as \
        screws through the waste. \
        Clamping from above the board and vacuum are not looked at.",
};

/// How many hold-downs are wanted (common practice, no source).
pub const WANTED: usize = 4;

/// How far from a corner the first places are wanted, as parts of the long edges (no source).
const SHARES: [f64; 4] = [0.2, 0.15, 0.1, 0.05];

/// A load of one side of the hold-downs that is well borne, for a pull of 1 (no source).
const LOAD_WELL: f64 = 1.25;

/// Least distance from a block to a stop on the bed (no source).
const TO_STOP_MM: f64 = 0.5;

/// Least distance from a block to the corner that is zero, so that both its edges can be touched
/// off there: about what the nut of a small collet takes (no source).
pub(super) const TO_ZERO_MM: f64 = 25.0;

/// How far apart moves of the board on the bed are tried, in mm, and how many (no source).
const MOVE_MM: f64 = 2.5;
const MOST_MOVES: u32 = 40;

/// What keeps a hold-down from a place where nothing else does.
const NO_ANCHOR: &str = "neither a track nor an insert is under its bolt";

/// What hold-downs must keep clear of in a setup; places and polygons on the board, in mm.
pub struct HoldDownGround<'a> {
    /// The setup.
    pub face: Face,
    /// The board's length and width.
    pub size: DVec2,
    /// The wood.
    pub wood: &'a SoundWood<'a>,
    /// The skirts' edges of all pieces, closed polygons.
    pub skirts: &'a [Vec<DVec2>],
    /// The least distance to one.
    pub margin: Length,
    /// The pins' middles.
    pub pins: &'a [DVec2],
    /// The diameter of their holes.
    pub pin_hole: Length,
    /// The corner that is zero in the setup.
    pub zero: DVec2,
    /// What the cutters sweep; none where only the plan counts.
    pub envelope: Option<&'a Envelope<'a>>,
    /// Closed polygons of stops on the bed.
    pub stops: &'a [Vec<DVec2>],
    /// Rebates of the other setup.
    pub rebates: &'a [Vec<DVec2>],
    /// Which way the machine's X and Y run on the board, unit vectors.
    pub axes: [DVec2; 2],
    /// What the bolts can be held in.
    pub anchors: &'a Anchors,
    /// How thick a bolt is.
    pub bolt: Length,
}

impl HoldDownGround<'_> {
    /// What is in the way of a hold-down at a place; none if nothing is.
    fn way(
        &self,
        skirts: &[Region<'_>],
        place: &HoldDownPlace,
        model: &HoldDownModel,
    ) -> Option<String> {
        let rebate = place.rebate();
        let cut = rebate.as_ref().unwrap_or(&place.lip);
        let say = |text: &str| Some(text.to_owned());
        if skirts.iter().any(|skirt| skirt.nearer(cut, self.margin.as_mm())) {
            return say("the skirt is too near");
        }
        let beside = self.pin_hole.half().as_mm() + BESIDE_MM;
        if self.pins.iter().any(|p| apart(&[*p], cut) < beside) {
            return say("a pin stands there");
        }
        if self.wood.gap(cut) <= 0.0 {
            return say("the wood is not sound");
        }
        if self.rebates.iter().any(|other| apart(cut, other) < BESIDE_MM) {
            return say("the other side's rebates are there");
        }
        if self.stops.iter().any(|stop| apart(&place.plan, stop) < TO_STOP_MM) {
            return say("a stop stands there");
        }
        if apart(&[self.zero], &place.plan) < TO_ZERO_MM {
            return say("zero is touched off at the corner");
        }
        let envelope = self.envelope?;
        let (pass, cutter) = place.standing(model).iter().find_map(|part| envelope.hits(part))?;
        Some(format!("the holder of cutter {cutter} ({pass}) comes there"))
    }
}

/// What keeps hold-downs from each edge, and how often.
type Ways = BTreeMap<&'static str, BTreeMap<String, usize>>;

/// Places hold-downs, four where there is room, spread round the board: of the first model as many
/// as fit, then of the next.
pub fn place_hold_downs(
    ground: &HoldDownGround<'_>,
    models: &[HoldDownModel],
    out: &mut Findings,
) -> Vec<HoldDownPlace> {
    let (chosen, ways) = search(ground, models);
    if chosen.len() < WANTED {
        out.push(few(ground, models, &chosen, &ways));
    }
    chosen
}

fn search(ground: &HoldDownGround<'_>, models: &[HoldDownModel]) -> (Vec<HoldDownPlace>, Ways) {
    let size = ground.size;
    let carved = ground.skirts.concat();
    let skirts: Vec<Region<'_>> = ground.skirts.iter().map(|skirt| Region::new(skirt)).collect();
    let mut chosen: Vec<HoldDownPlace> = Vec::new();
    let mut ways = Ways::new();
    for model in models {
        if chosen.len() >= WANTED {
            break;
        }
        let places = BoardEdge::ALL.map(|edge| {
            let mut free = Vec::new();
            for mut place in along(edge, size, model, ground.anchors) {
                let bolt = ground.anchors.bolt(&place.slot(ground.bolt, model));
                place.bolt = bolt.unwrap_or(place.bolt);
                let way = ground.way(&skirts, &place, model);
                // What else is in the way is told first: where nothing is, a track would help.
                let way = way.or_else(|| bolt.is_none().then(|| NO_ANCHOR.to_owned()));
                match way {
                    None => free.push(place),
                    Some(way) => {
                        *ways.entry(edge.name()).or_default().entry(way).or_default() += 1;
                    }
                }
            }
            free
        });
        let tried = SHARES.map(|share| {
            let mut tried = chosen.clone();
            choose(&places, size, share, &mut tried);
            let bear: Vec<DVec2> = tried.iter().map(HoldDownPlace::bears).collect();
            // A little more load is no reason to go further out, where the middle is held less.
            let load = (lift::lift(&bear, &carved).load.max(LOAD_WELL) * 20.0).ceil();
            (tried, load)
        });
        let better = |a: &(Vec<HoldDownPlace>, f64), b: &(Vec<HoldDownPlace>, f64)| {
            b.0.len().cmp(&a.0.len()).then(a.1.total_cmp(&b.1))
        };
        if let Some((best, _)) = tried.into_iter().min_by(better) {
            chosen = best;
        }
    }
    (chosen, ways)
}

fn few(
    ground: &HoldDownGround<'_>,
    models: &[HoldDownModel],
    chosen: &[HoldDownPlace],
    ways: &Ways,
) -> Finding {
    let without = BoardEdge::ALL.iter().filter(|edge| chosen.iter().all(|p| p.edge != **edge));
    let why: Vec<String> = without
        .map(|edge| {
            let ways = ways.get(edge.name());
            // A place that lacks nothing but a track says more than the many in the cutter's way.
            let most = ways.and_then(|ways| {
                let lacking = ways.get_key_value(NO_ANCHOR);
                lacking.or_else(|| ways.iter().max_by_key(|(_, count)| **count))
            });
            let way = most.map_or("it is too short", |(way, _)| way.as_str());
            format!("none at its {}, where {way}", edge.said())
        })
        .collect();
    let lacking = ways.values().any(|ways| ways.contains_key(NO_ANCHOR));
    let (help, key) = match lacking.then(|| elsewhere(ground, models, chosen.len())) {
            Some(found) => (
                found.unwrap_or_else(|| {
                    "Add a track or an insert there, or let the bolt slide further \
                     (`hold_down.slide`); no move of the board of up to 100 mm on the bed makes room \
                     for more. Or add screws in the waste."
                        .to_owned()
                }),
                if ground.anchors.has_tracks() { "track" } else { "insert" },
            ),
            None => (
                "Use a larger board, low hold-downs, a longer stick-out or a smaller margin, or \
                 add screws in the waste."
                    .to_owned(),
                "hold_down",
            ),
        };
    let why = if why.is_empty() { "the edges are full".to_owned() } else { why.join("; ") };
    let message = format!(
        "setup {}: only {} of {WANTED} hold-downs fit on the board; {why}",
        ground.face.name(),
        chosen.len(),
    );
    // With none the board is loose, whatever else is meant to hold it.
    let say = if chosen.is_empty() { Finding::fault } else { Finding::caution };
    say(FEW_HOLD_DOWNS, message, help).at(Source::Shop, key)
}

/// The least move of the board along one axis of the machine that makes room for all hold-downs, or
/// else for the most, in words; none where no move makes room for more.
fn elsewhere(ground: &HoldDownGround<'_>, models: &[HoldDownModel], now: usize) -> Option<String> {
    let moves = (1..=MOST_MOVES).flat_map(|step| {
        let by = MOVE_MM * f64::from(step);
        [("X", 0, by), ("X", 0, -by), ("Y", 1, by), ("Y", 1, -by)]
    });
    let mut best = (now, None);
    for (axis, number, by) in moves {
        // The bed goes the other way under the board.
        let under = -by * ground.axes[number];
        let stops: Vec<Vec<DVec2>> = ground
            .stops
            .iter()
            .map(|stop| stop.iter().map(|corner| *corner + under).collect())
            .collect();
        let anchors = ground.anchors.moved(under);
        let moved = HoldDownGround { anchors: &anchors, stops: &stops, ..*ground };
        let count = search(&moved, models).0.len();
        if count > best.0 {
            best = (count, Some((axis, by)));
        }
        if count >= WANTED {
            break;
        }
    }
    let (count, (axis, by)) = (best.0, best.1?);
    let way = if by > 0.0 { "more" } else { "less" };
    Some(format!(
        "Put the board at {axis} {} {way} on the bed (the work position, `position.at`): there \
         {count} hold-downs fit over tracks and inserts. Or add a track or an insert, or screws in \
         the waste.",
        Length::mm(by.abs()),
    ))
}

/// Whether pins and as many hold-downs as are wanted find room on a board round skirts' edges,
/// closed polygons in mm: in the plan, without the holder and without stops; over the bed's tracks
/// and inserts in both setups.
pub fn has_room(board: &Board, shop: &Shop, skirts: &[Vec<DVec2>]) -> bool {
    let size = board.size();
    let wood = SoundWood::of(board);
    let (setups, mounts) = mounts::of_board(board, shop);
    let mut said = Findings::new();
    let ground = PinGround {
        size,
        wood: &wood,
        skirts,
        pin: shop.pin,
        margin: shop.limits.margin,
        reach: &|p| mounts::reached(shop, &setups, &mounts, p),
        saw: &[],
    };
    let pins = place_pins(&ground, &shop.bed.pin.place, &mut said);
    let Some(pins) = pins.filter(|_| said.is_empty()) else { return false };
    // Of a block that can't be made another finding tells.
    let Ok(model) = shaped(shop, board.usable_height(), shop.bed.clamp.form) else { return true };
    let bed = Anchors::of(shop);
    // On a bed that takes a bolt anywhere the second setup is as the first.
    let sides = if bed.is_empty() { 1 } else { setups.len() };
    setups.iter().zip(&mounts).take(sides).all(|(setup, mount)| {
        let ground = HoldDownGround {
            face: setup.face,
            size,
            wood: &wood,
            skirts,
            margin: shop.limits.margin,
            pins: &pins.places,
            pin_hole: pins.hole,
            zero: setup.from_board.place_back(DVec2::ZERO),
            axes: axes_of(setup),
            envelope: None,
            stops: &[],
            rebates: &[],
            anchors: &bed.on_board(setup, mount),
            bolt: shop.bolt.size.thickness(),
        };
        search(&ground, std::slice::from_ref(&model)).0.len() >= WANTED
    })
}

/// Which way the machine's X and Y run on the board of a setup.
pub(super) fn axes_of(setup: &Setup) -> [DVec2; 2] {
    let zero = setup.from_board.place_back(DVec2::ZERO);
    [DVec2::X, DVec2::Y].map(|axis| setup.from_board.place_back(axis) - zero)
}

/// Adds places to those chosen until there are as many as wanted.
fn choose(
    places: &[Vec<HoldDownPlace>; 4],
    size: DVec2,
    share: f64,
    chosen: &mut Vec<HoldDownPlace>,
) {
    let outer = |place: &HoldDownPlace| place.rebate().unwrap_or(place.lip);
    let apart_from = |chosen: &[HoldDownPlace], place: &HoldDownPlace| {
        chosen.iter().all(|other| {
            apart(&outer(other), &outer(place)) > BESIDE_MM && apart(&other.plan, &place.plan) > 0.0
        })
    };
    // First one near each corner along the two long edges, crosswise.
    let long = if size.x >= size.y { [0, 1] } else { [2, 3] };
    let reach = size.max_element();
    let (near, far) = (share, 1.0 - share);
    for (edge, share) in [(long[0], near), (long[1], far), (long[0], far), (long[1], near)] {
        let from_start = |place: &HoldDownPlace| {
            let p = if size.x >= size.y { place.at.x } else { place.at.y };
            (p - share * reach).abs()
        };
        if chosen.len() < WANTED {
            let mut near: Vec<&HoldDownPlace> =
                places[edge].iter().filter(|place| from_start(place) < 0.25 * reach).collect();
            near.sort_by(|a, b| from_start(a).total_cmp(&from_start(b)));
            let best = near.into_iter().find(|place| apart_from(chosen, place)).copied();
            chosen.extend(best);
        }
    }
    // Then wherever it is furthest from the others.
    while chosen.len() < WANTED {
        let lonely = |place: &HoldDownPlace| {
            chosen.iter().map(|other| other.at.distance(place.at)).fold(reach, f64::min)
        };
        let mut others: Vec<(f64, &HoldDownPlace)> =
            places.iter().flatten().map(|place| (lonely(place), place)).collect();
        // Of those equally far the last.
        others.reverse();
        others.sort_by(|a, b| b.0.total_cmp(&a.0));
        let best = others.into_iter().find(|(_, place)| apart_from(chosen, place));
        let Some((_, &best)) = best else { break };
        chosen.push(best);
    }
}

#[cfg(test)]
mod tests;
