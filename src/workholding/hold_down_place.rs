//! Where hold-downs bear on the board.

use super::pins::place_pins;
use crate::finding::{Code, Finding, Findings, Source};
use crate::fit::{Wood, apart};
use crate::params::{Board, HoldDown, Shop};
use crate::units::Length;
use glam::DVec2;

/// Fewer than four hold-downs fit.
pub const FEW_HOLD_DOWNS: Code = Code {
    name: "few-hold-downs",
    explain: "Fewer than four hold-downs find room on the board's edges. \
        Each bears with its whole lip on sound wood, the shop's margin away from the skirt, and \
        clear of the pins. \
        With fewer than four the board can lift or turn under the cutter. \
        Use a wider or longer board, a shorter lip, or a smaller margin, or hold the board in \
        another way as well, such as screws through the waste. \
        Clamping from above the board and vacuum are not looked at.",
};

/// How many hold-downs are wanted (common practice, no source).
const WANTED: usize = 4;

/// Places along an edge are tried this far apart (no source).
const STEP_MM: f64 = 2.0;

/// Least wood beside a lip's place, to a corner of the board or a pin's hole (no source).
const BESIDE_MM: f64 = 2.0;

/// An edge of the board.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Edge {
    /// Y = 0.
    Front,
    /// Y = width.
    Back,
    /// X = 0.
    Start,
    /// X = length.
    End,
}

impl Edge {
    /// `front`, `back`, `start` or `end`.
    pub const fn name(self) -> &'static str {
        match self {
            Edge::Front => "front",
            Edge::Back => "back",
            Edge::Start => "start",
            Edge::End => "end",
        }
    }
}

/// Where a hold-down bears, in the board's frame, in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HoldDownPlace {
    /// The edge that it reaches over.
    pub edge: Edge,
    /// Middle of the block on that edge.
    pub at: DVec2,
    /// Unit vector from the edge over the board.
    pub inward: DVec2,
    /// What the lip covers, counter-clockwise.
    pub lip: [DVec2; 4],
}

impl HoldDownPlace {
    fn new(edge: Edge, at: DVec2, block: &HoldDown) -> HoldDownPlace {
        let inward = match edge {
            Edge::Front => DVec2::Y,
            Edge::Back => DVec2::NEG_Y,
            Edge::Start => DVec2::X,
            Edge::End => DVec2::NEG_X,
        };
        let side = inward.perp() * block.width.half().as_mm();
        let reach = inward * block.lip.as_mm();
        let lip = [at + side, at - side, at - side + reach, at + side + reach];
        HoldDownPlace { edge, at, inward, lip }
    }

    /// A place given as X over the board and Y along its edge, as in the hold-down's model, on the
    /// board's plan. In mm.
    pub fn on_board(&self, p: DVec2) -> DVec2 {
        self.at + self.inward * p.x + self.inward.perp() * p.y
    }
}

/// Places hold-downs, four where there is room, spread round the board. `size` is the board's
/// length and width in mm; `skirts` the skirts' edges of all pieces on it, closed polygons, and
/// `pins` the pins' middles, on the board, in mm; `pin_hole` their diameter; `margin` the least
/// distance to a skirt.
pub fn place_hold_downs(
    size: DVec2,
    wood: &Wood<'_>,
    skirts: &[Vec<DVec2>],
    pins: &[DVec2],
    pin_hole: Length,
    block: &HoldDown,
    margin: Length,
) -> (Vec<HoldDownPlace>, Findings) {
    let free = |place: &HoldDownPlace| {
        skirts.iter().all(|skirt| apart(&place.lip, skirt) >= margin.as_mm())
            && pins.iter().all(|p| apart(&[*p], &place.lip) >= pin_hole.half().as_mm() + BESIDE_MM)
            && wood.gap(&place.lip) > 0.0
    };
    let edges = [Edge::Front, Edge::Back, Edge::Start, Edge::End];
    let places: Vec<Vec<HoldDownPlace>> = edges
        .iter()
        .map(|edge| along(*edge, size, block).into_iter().filter(|p| free(p)).collect())
        .collect();

    let mut chosen: Vec<HoldDownPlace> = Vec::new();
    let apart_from = |chosen: &[HoldDownPlace], place: &HoldDownPlace| {
        chosen.iter().all(|other| apart(&other.lip, &place.lip) > BESIDE_MM)
    };
    // First one near each corner along the two long edges, crosswise.
    let long = if size.x >= size.y { [0, 1] } else { [2, 3] };
    let reach = size.max_element();
    for (edge, share) in [(long[0], 0.2), (long[1], 0.8), (long[0], 0.8), (long[1], 0.2)] {
        let from_start = |place: &HoldDownPlace| {
            let p = if size.x >= size.y { place.at.x } else { place.at.y };
            (p - share * reach).abs()
        };
        let best = places[edge]
            .iter()
            .filter(|place| from_start(place) < 0.25 * reach && apart_from(&chosen, place))
            .min_by(|a, b| from_start(a).total_cmp(&from_start(b)));
        chosen.extend(best.copied());
    }
    // Then wherever it is furthest from the others.
    while chosen.len() < WANTED {
        let lonely = |place: &HoldDownPlace| {
            chosen.iter().map(|other| other.at.distance(place.at)).fold(reach, f64::min)
        };
        let best = places
            .iter()
            .flatten()
            .filter(|place| apart_from(&chosen, place))
            .max_by(|a, b| lonely(a).total_cmp(&lonely(b)))
            .copied();
        let Some(best) = best else { break };
        chosen.push(best);
    }

    let mut findings = Findings::new();
    if chosen.len() < WANTED {
        let without: Vec<&str> = edges
            .iter()
            .filter(|edge| chosen.iter().all(|place| place.edge != **edge))
            .map(|edge| edge.name())
            .collect();
        findings.push(
            Finding::caution(
                FEW_HOLD_DOWNS,
                format!(
                    "only {} of {WANTED} hold-downs fit on the board; none at its {} edge",
                    chosen.len(),
                    without.join(", ")
                ),
                "Use a larger board, a shorter lip or a smaller margin, or add screws in the waste.",
            )
            .at(Source::Shop, "hold_down"),
        );
    }
    (chosen, findings)
}

/// Whether pins and as many hold-downs as are wanted find room on a board round skirts' edges,
/// closed polygons in mm.
pub fn has_room(board: &Board, shop: &Shop, skirts: &[Vec<DVec2>]) -> bool {
    let size = DVec2::new(board.length.as_mm(), board.width.as_mm());
    let wood = Wood::of(board);
    let margin = shop.limits.margin;
    let (pins, said) = place_pins(size, &wood, skirts, shop.pin, margin, &shop.bed.pin.place);
    let Some(pins) = pins.filter(|_| said.is_empty()) else { return false };
    let places = &pins.places;
    let (found, _) =
        place_hold_downs(size, &wood, skirts, places, pins.hole, &shop.hold_down, margin);
    found.len() >= WANTED
}

/// All places along an edge.
fn along(edge: Edge, size: DVec2, block: &HoldDown) -> Vec<HoldDownPlace> {
    let (length, depth) = match edge {
        Edge::Front | Edge::Back => (size.x, size.y),
        Edge::Start | Edge::End => (size.y, size.x),
    };
    let inset = block.width.half().as_mm() + BESIDE_MM;
    let steps = ((length - 2.0 * inset) / STEP_MM).floor();
    if !(0.0..=1.0e4).contains(&steps) || block.lip.as_mm() >= depth {
        return Vec::new();
    }
    (0..=steps as u32)
        .map(|step| {
            let s = inset + STEP_MM * f64::from(step);
            let at = match edge {
                Edge::Front => DVec2::new(s, 0.0),
                Edge::Back => DVec2::new(s, size.y),
                Edge::Start => DVec2::new(0.0, s),
                Edge::End => DVec2::new(size.x, s),
            };
            HoldDownPlace::new(edge, at, block)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::params::{Board, Flaw, FlawKind, FlawShape};
    use crate::units::Angle;

    const SIZE: DVec2 = DVec2::new(420.0, 140.0);

    fn board(flaws: Vec<Flaw>) -> Board {
        Board {
            name: "pear board".to_owned(),
            species: "pear".to_owned(),
            length: Length::mm(SIZE.x),
            width: Length::mm(SIZE.y),
            readings: Vec::new(),
            skim_top: Length::ZERO,
            skim_bottom: Length::ZERO,
            moisture_now: None,
            moisture_use: None,
            grain: Angle::degrees(0.0),
            form: crate::params::Form::default(),
            flaws,
        }
    }

    fn block() -> HoldDown {
        HoldDown {
            lip: Length::mm(9.0),
            lip_thickness: Length::mm(8.0),
            body: Length::mm(40.0),
            width: Length::mm(24.0),
            squeeze: Length::ZERO,
        }
    }

    fn rectangle(low: DVec2, high: DVec2) -> Vec<DVec2> {
        vec![low, DVec2::new(high.x, low.y), high, DVec2::new(low.x, high.y)]
    }

    fn run(skirt: &[DVec2], flaws: Vec<Flaw>) -> (Vec<HoldDownPlace>, Findings) {
        let board = board(flaws);
        let pins = [DVec2::new(12.0, 48.0), DVec2::new(408.0, 28.0)];
        let (places, findings) = place_hold_downs(
            SIZE,
            &Wood::of(&board),
            &[skirt.to_vec()],
            &pins,
            Length::mm(6.45),
            &block(),
            Length::mm(5.0),
        );
        for (i, place) in places.iter().enumerate() {
            for p in place.lip {
                assert!(p.min_element() >= 0.0 && p.x <= SIZE.x && p.y <= SIZE.y, "on full wood");
            }
            let area: f64 =
                (0..4).map(|k| place.lip[k].perp_dot(place.lip[(k + 1) % 4]) / 2.0).sum();
            assert!((area - 24.0 * 9.0).abs() < 1e-9);
            assert!(apart(&place.lip, skirt) >= 5.0);
            assert!(place.lip.contains(&place.on_board(DVec2::new(9.0, 12.0))));
            for other in &places[..i] {
                assert!(apart(&place.lip, &other.lip) > 0.0);
            }
        }
        (places, findings)
    }

    #[test]
    fn four_spread_over_the_two_long_edges() {
        let skirt = rectangle(DVec2::new(56.0, 35.0), DVec2::new(364.0, 105.0));
        let (places, findings) = run(&skirt, vec![]);
        assert!(findings.is_empty());
        assert_eq!(places.len(), 4);
        let spread = |edge: Edge| {
            let xs = places.iter().filter(|p| p.edge == edge).map(|p| p.at.x);
            xs.clone().fold(0.0, f64::max) - xs.fold(SIZE.x, f64::min)
        };
        assert!(spread(Edge::Front) > 200.0 && spread(Edge::Back) > 200.0);
    }

    #[test]
    fn a_knot_under_a_lip_moves_it() {
        let skirt = rectangle(DVec2::new(56.0, 35.0), DVec2::new(364.0, 105.0));
        let knot = Flaw {
            kind: FlawKind::Knot,
            shape: FlawShape::Circle { centre: DVec2::new(84.0, 5.0), radius: Length::mm(6.0) },
        };
        let (places, _) = run(&skirt, vec![knot]);
        assert_eq!(places.len(), 4);
        for place in places {
            let near = DVec2::new(84.0, 5.0).clamp(
                place.lip.iter().copied().fold(SIZE, DVec2::min),
                place.lip.iter().copied().fold(DVec2::ZERO, DVec2::max),
            );
            assert!(near.distance(DVec2::new(84.0, 5.0)) > 6.0);
        }
    }

    #[test]
    fn where_the_long_edges_are_full_the_ends_take_what_fits_and_the_rest_is_told() {
        let skirt = rectangle(DVec2::new(56.0, 8.0), DVec2::new(364.0, 132.0));
        let (places, findings) = run(&skirt, vec![]);
        assert_eq!(places.len(), 4, "at the corners and the ends");
        assert!(findings.is_empty());
        let skirt = rectangle(DVec2::new(10.0, 8.0), DVec2::new(364.0, 132.0));
        let (places, findings) = run(&skirt, vec![]);
        if places.len() < 4 {
            assert_eq!(findings.iter().map(|f| f.code).collect::<Vec<_>>(), [FEW_HOLD_DOWNS]);
        }
        let skirt = rectangle(DVec2::new(8.0, 8.0), DVec2::new(412.0, 132.0));
        let (places, findings) = run(&skirt, vec![]);
        assert!(places.is_empty());
        let all: Vec<_> = findings.iter().collect();
        assert!(all[0].message.contains("only 0 of 4"), "{}", all[0].message);
    }
}
