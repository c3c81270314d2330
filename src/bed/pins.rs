//! Dowel pins in the frame that let the turned board go back one way only: those of the shop file,
//! or two that are placed here.

use crate::finding::{Code, Finding, Findings, Source};
use crate::fit::{Region, SoundWood};
use crate::params::Pin;
use crate::units::Length;
use glam::DVec2;

/// A pin of the file stands where it can't.
pub const PIN_OUT_OF_PLACE: Code = Code {
    name: "pin-out-of-place",
    explain: "A pin in the shop file is in the piece's skirt, in a flaw, or too near to the \
        board's edge or to another pin. A hole needs sound wood round it: its own diameter to the \
        edge, and the shop's margin to the skirt. Move the pin, or leave `pin.place` out and the \
        tool places the pins. Places are on the board, first along its length, then across.",
};

/// There is no room for two pins.
pub const NO_ROOM_FOR_PINS: Code = Code {
    name: "no-room-for-pins",
    explain: "The frame round the piece has no room for two dowel pins. The pins register the \
        board when it is turned over, so that the two sides meet. Each needs sound wood: its own \
        diameter from the board's edges, and the shop's margin from the skirt, clear of flaws. One \
        pin goes into each end third of the board, off the middle, so that the board can't go back \
        the wrong way round. Use a longer or wider board, thinner pins, or a smaller margin in the \
        shop's limits. Only places in the board are tried, not stops outside it.",
};

/// The machine doesn't go where pins could stand.
pub const PINS_OUT_OF_REACH: Code = Code {
    name: "pins-out-of-reach",
    explain: "The board has sound wood for two pins, but the machine can't go to both places in both \
        setups: in one of them a hole would lie past the end of its travel. \
        Without the pins the two sides don't meet. \
        Move the work position, turn the board about its other axis, or use a shorter or narrower \
        board; or say in `pin.place` where your pins stand. \
        The travel is what the shop file says under `[machine]`. Only holes in the two end thirds \
        of the board are looked for.",
};

/// Places are tried this far apart (no source: a third of a thin pin).
const STEP_MM: f64 = 2.0;

/// Where the pins should stand across the board, as fractions of its width: off the middle, on
/// one side, and not at the same height.
const ACROSS: [f64; 2] = [0.35, 0.2];

/// The pins of a board.
#[derive(Clone, Debug, PartialEq)]
pub struct Pins {
    /// Their middles in the board's frame, in mm: nearest the board's start first.
    pub places: Vec<DVec2>,
    /// Diameter of the holes.
    pub hole: Length,
}

/// What pins must keep clear of; places and polygons on the board, in mm.
pub struct PinGround<'a> {
    /// The board's length and width.
    pub size: DVec2,
    /// The wood.
    pub wood: &'a SoundWood<'a>,
    /// The skirts' edges of all pieces, closed polygons.
    pub skirts: &'a [Vec<DVec2>],
    /// The pins.
    pub pin: Pin,
    /// The least wood between a skirt and a hole.
    pub margin: Length,
    /// Whether the machine goes over a place, in both setups.
    pub reach: &'a dyn Fn(DVec2) -> bool,
    /// Strips that can be sawn off, by two corners: a hole should not lie in the saw's way.
    pub saw: &'a [[DVec2; 2]],
}

/// Wood that stays between a hole and a saw's line (no source).
const TO_SAW_MM: f64 = 3.0;

/// Whether the saw that takes a strip off a board of that size runs into a hole.
pub fn saw_hits(size: DVec2, [low, high]: &[DVec2; 2], hole: Length, p: DVec2) -> bool {
    let near = hole.half().as_mm() + TO_SAW_MM;
    let beside = |from: f64, to: f64, p: f64| from - near < p && p < to + near;
    let cut =
        |line: f64, end: f64, p: f64| line > 1e-6 && line < end - 1e-6 && (p - line).abs() < near;
    let upright =
        beside(low.y, high.y, p.y) && [low.x, high.x].iter().any(|x| cut(*x, size.x, p.x));
    let level = beside(low.x, high.x, p.x) && [low.y, high.y].iter().any(|y| cut(*y, size.y, p.y));
    upright || level
}

/// Places the pins. `asked` are the places that the shop file has, if any; then they are only
/// looked at.
pub fn place_pins(ground: &PinGround<'_>, asked: &[DVec2], out: &mut Findings) -> Option<Pins> {
    let PinGround { size, wood, pin, margin, .. } = *ground;
    let hole = pin.hole();
    let inset = hole.half().as_mm() + pin.diameter.as_mm();
    let skirts: Vec<Region<'_>> = ground.skirts.iter().map(|skirt| Region::new(skirt)).collect();
    let free = |p: DVec2| {
        let far = hole.half().as_mm() + margin.as_mm();
        !skirts.iter().any(|skirt| skirt.nearer(&[p], far))
            && wood.gap(&[p]) > hole.half().as_mm() + 1.0
    };
    if !asked.is_empty() {
        let inside = |p: DVec2| p.min(size - p).min_element() >= inset;
        out_of_place(asked, pin, &|p| inside(p) && free(p), out);
        return Some(Pins { places: asked.to_vec(), hole });
    }
    let clear = |p: DVec2| ground.saw.iter().all(|strip| !saw_hits(size, strip, hole, p));
    let reach = |p: DVec2| free(p) && (ground.reach)(p);
    let pair = |free: &dyn Fn(DVec2) -> bool| pair(size, inset, pin, free);
    let found = pair(&|p| reach(p) && clear(p)).or_else(|_| pair(&reach));
    let places = match found.or_else(|_| pair(&free)) {
        Ok(places) => places,
        Err(lacking) => {
            out.push(
                Finding::fault(
                    NO_ROOM_FOR_PINS,
                    format!("no sound wood is left {lacking} for a pin hole of {hole}"),
                    "Use a longer or wider board, thinner pins, or a smaller margin.",
                )
                .at(Source::Shop, "pin.diameter"),
            );
            return None;
        }
    };
    if let Some(off) = places.iter().find(|p| !(ground.reach)(**p)) {
        out.push(
            Finding::fault(
                PINS_OUT_OF_REACH,
                format!(
                    "the machine doesn't reach both ends of the board: a pin at {}, {} mm of the \
                     board is past its travel in one of the setups",
                    crate::units::plain(off.x, 1),
                    crate::units::plain(off.y, 1)
                ),
                "Move the work position, or use a shorter or narrower board.",
            )
            .at(Source::Shop, "machine"),
        );
        return None;
    }
    Some(Pins { places: places.to_vec(), hole })
}

/// Two free places that let the board go back one way only, near its ends.
///
/// # Errors
/// Where there is no free place, when there are none.
fn pair(
    size: DVec2,
    inset: f64,
    pin: Pin,
    free: &dyn Fn(DVec2) -> bool,
) -> Result<[DVec2; 2], &'static str> {
    let starts = candidates(size, inset, ACROSS[0], free);
    let ends: Vec<DVec2> =
        candidates(size, inset, ACROSS[1], &|p| free(DVec2::new(size.x - p.x, p.y)))
            .into_iter()
            .map(|p| DVec2::new(size.x - p.x, p.y))
            .collect();
    let pair = starts.iter().find_map(|start| {
        let end = ends.iter().find(|end| {
            wrong_way_stands_off(size, [*start, **end]) >= 2.0 * pin.diameter.as_mm()
        })?;
        Some([*start, *end])
    });
    pair.ok_or(match (starts.is_empty(), ends.is_empty()) {
        (true, true) => "at either end of the board",
        (true, false) => "at the left end of the board",
        (false, true) => "at the right end of the board",
        (false, false) => "off the middle of the board",
    })
}

/// Pins of the file that stand where they can't.
fn out_of_place(asked: &[DVec2], pin: Pin, free: &dyn Fn(DVec2) -> bool, out: &mut Findings) {
    for (index, p) in asked.iter().enumerate() {
        let least = 3.0 * pin.diameter.as_mm();
        let crowded = asked[..index].iter().any(|other| other.distance(*p) < least);
        if crowded || !free(*p) {
            let why = if crowded { "another pin" } else { "the edge, a flaw or the skirt" };
            out.push(
                Finding::fault(
                    PIN_OUT_OF_PLACE,
                    format!("pin {} is too near to {why}", index + 1),
                    "Move it, or leave `pin.place` out and the tool places the pins.",
                )
                .at(Source::Shop, format!("pin.place[{index}]")),
            );
        }
    }
}

/// Free places in the first third of the board, those nearest to its end first. Every place has
/// another x or y; at most some hundreds, which is plenty for a pair.
fn candidates(size: DVec2, inset: f64, across: f64, free: &dyn Fn(DVec2) -> bool) -> Vec<DVec2> {
    let mut found = Vec::new();
    let rows = ((size.y - 2.0 * inset) / STEP_MM).floor();
    if !(0.0..=1.0e4).contains(&rows) {
        return found;
    }
    let mut ys: Vec<f64> = (0..=rows as u32).map(|row| inset + STEP_MM * f64::from(row)).collect();
    ys.sort_by(|a, b| (a - across * size.y).abs().total_cmp(&(b - across * size.y).abs()));
    let columns = ((size.x / 3.0 - inset) / STEP_MM).floor();
    if !(0.0..=1.0e4).contains(&columns) {
        return found;
    }
    for column in 0..=columns as u32 {
        let x = inset + STEP_MM * f64::from(column);
        found.extend(ys.iter().map(|y| DVec2::new(x, *y)).filter(|p| free(*p)));
        if found.len() >= 200 {
            break;
        }
    }
    found
}

/// How far off the board visibly stands when it is put on the pins in a wrong way: the least over
/// all wrong ways, in mm.
///
/// Two pins can't keep a loose board from being pushed onto them askew, so what counts is how far
/// its corners then lie from the corners of the board in its right place. The wrong ways, seen
/// from the right one: the same face up but end for end, and the other face up, both ways round.
/// Which axis the shop turns about makes no difference, since the two half turns over differ by
/// a half turn in the plane.
pub(super) fn wrong_way_stands_off(size: DVec2, pins: [DVec2; 2]) -> f64 {
    let over = pins.map(|p| DVec2::new(p.x, size.y - p.y));
    let swapped = |[a, b]: [DVec2; 2]| [b, a];
    let corners = [DVec2::ZERO, DVec2::new(size.x, 0.0), size, DVec2::new(0.0, size.y)];
    let mut least = f64::INFINITY;
    for [first, second] in [swapped(pins), over, swapped(over)] {
        // The motion that brings these holes onto the pins.
        let (from, to) = (second - first, pins[1] - pins[0]);
        let turn = DVec2::new(from.dot(to), from.perp_dot(to)).normalize_or_zero();
        let moved = |p: DVec2| pins[0] + turn.rotate(p - first);
        for place in [|_, p| p, |size: DVec2, p: DVec2| size - p] {
            let off = corners.iter().map(|c| moved(*c).distance(place(size, *c)));
            least = least.min(off.fold(0.0, f64::max));
        }
    }
    least
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::heard;
    use crate::params::{Board, Flaw, FlawKind, FlawShape};

    const SIZE: DVec2 = DVec2::new(420.0, 140.0);
    const PIN: Pin = Pin { diameter: Length::mm(6.35), play: Length::mm(0.1) };

    fn board(flaws: Vec<Flaw>) -> Board {
        Board::bare(SIZE, flaws)
    }

    fn ground<'a>(wood: &'a SoundWood<'a>, skirts: &'a [Vec<DVec2>]) -> PinGround<'a> {
        PinGround {
            size: SIZE,
            wood,
            skirts,
            pin: PIN,
            margin: Length::mm(5.0),
            reach: &|_| true,
            saw: &[],
        }
    }

    #[test]
    fn pins_stand_where_the_machine_goes_and_out_of_the_saws_way() {
        let board = board(vec![]);
        let (wood, skirts) = (SoundWood::of(&board), [skirt(90.0)]);
        let strip = [[DVec2::new(0.0, 112.0), SIZE]];
        // Only between 20 and 400 mm, and what the saw takes begins where a pin would stand.
        let within = |p: DVec2| (20.0..=400.0).contains(&p.x) && p.y > 100.0;
        let ground = PinGround { reach: &within, saw: &strip, ..ground(&wood, &skirts) };
        let (pins, findings) = heard(|out| place_pins(&ground, &[], out));
        assert!(findings.is_empty());
        for p in pins.expect("there is room").places {
            assert!(within(p), "{p}");
            assert!((p.y - 112.0).abs() >= 6.45 / 2.0 + 3.0, "{p}");
        }
    }

    #[test]
    fn a_machine_that_reaches_one_end_only_is_a_fault() {
        let board = board(vec![]);
        let (wood, skirts) = (SoundWood::of(&board), [skirt(56.0)]);
        let ground = PinGround { reach: &|p| p.x < 270.0, ..ground(&wood, &skirts) };
        let (pins, findings) = heard(|out| place_pins(&ground, &[], out));
        assert!(pins.is_none());
        let said: Vec<_> = findings.iter().map(|finding| finding.code.name).collect();
        assert_eq!(said, ["pins-out-of-reach"]);
    }

    fn skirt(inset_x: f64) -> Vec<DVec2> {
        let (low, high) = (DVec2::new(inset_x, 35.0), DVec2::new(SIZE.x - inset_x, 105.0));
        vec![low, DVec2::new(high.x, low.y), high, DVec2::new(low.x, high.y)]
    }

    #[test]
    fn no_wrong_way_lets_both_pins_in() {
        let board = board(vec![]);
        let (pins, findings) =
            heard(|out| place_pins(&ground(&SoundWood::of(&board), &[skirt(56.0)]), &[], out));
        assert!(findings.is_empty());
        let pins = pins.expect("there is room");
        assert!((pins.hole.as_mm() - 6.45).abs() < 1e-12);
        // The board lies square in its corner; both turn axes; by their own maps.
        let ways: [fn(DVec2) -> DVec2; 4] = [
            |p| p,
            |p| DVec2::new(p.x, SIZE.y - p.y),
            |p| DVec2::new(SIZE.x - p.x, p.y),
            |p| SIZE - p,
        ];
        for right in [1, 2] {
            let at = [pins.places[0], pins.places[1]];
            let bed = at.map(ways[right]);
            for (index, way) in ways.iter().enumerate() {
                let holes = at.map(way);
                let miss = |a: DVec2, b: DVec2| (a.distance(bed[0])).max(b.distance(bed[1]));
                let least = miss(holes[0], holes[1]).min(miss(holes[1], holes[0]));
                if index == right {
                    assert!(least < 1e-12);
                } else {
                    assert!(least > 6.35, "way {index} misses by {least} only");
                }
            }
        }
        for &p in &pins.places {
            let inset = 6.45 / 2.0 + 6.35 - 1e-9;
            assert!(p.x >= inset && p.y >= inset && p.x <= SIZE.x - inset && p.y <= SIZE.y - inset);
            assert!(p.x <= 56.0 - 8.2 || p.x >= SIZE.x - 56.0 + 8.2 || p.y < 26.8 || p.y > 113.2);
        }
        assert!(pins.places[1].x - pins.places[0].x > 380.0, "near the two ends");
    }

    #[test]
    fn pins_in_a_line_with_the_middle_would_let_the_board_go_back_wrong() {
        let middle = [DVec2::new(20.0, 70.0), DVec2::new(400.0, 70.0)];
        assert!(wrong_way_stands_off(SIZE, middle) < 1e-9);
        // On one level but off the middle: still loose, the board only slides across.
        let level = [DVec2::new(20.0, 40.0), DVec2::new(400.0, 40.0)];
        assert!(wrong_way_stands_off(SIZE, level) < 1e-9, "turned about its width it fits");
    }

    #[test]
    fn a_check_at_the_end_moves_the_pin() {
        let crack = Flaw {
            kind: FlawKind::Check,
            shape: FlawShape::Line(vec![DVec2::new(0.0, 49.0), DVec2::new(40.0, 49.0)]),
        };
        let board = board(vec![crack]);
        let (pins, _) =
            heard(|out| place_pins(&ground(&SoundWood::of(&board), &[skirt(56.0)]), &[], out));
        let first = pins.expect("there is room").places[0];
        assert!((first.y - 49.0).abs() > 6.45 / 2.0 + 1.0, "{first}");
    }

    #[test]
    fn a_skirt_that_fills_the_board_leaves_no_room() {
        let board = board(vec![]);
        let full = vec![
            DVec2::new(5.0, 5.0),
            DVec2::new(415.0, 5.0),
            DVec2::new(415.0, 135.0),
            DVec2::new(5.0, 135.0),
        ];
        let (pins, findings) =
            heard(|out| place_pins(&ground(&SoundWood::of(&board), &[full]), &[], out));
        assert!(pins.is_none());
        assert!(findings.has_fault());
    }
}
