use super::*;
use crate::params::{Slot, TineTip};
use crate::units::Angle;
use std::f64::consts::{PI, TAU};

/// A fork's head as an ellipse 92 x 66 with its tip at x = 300.
fn head() -> ArcPath {
    let ellipse: crate::shape::PlanCurve = std::sync::Arc::new(|t: f64| {
        DVec2::new(254.0 + 46.0 * (TAU * t).cos(), 33.0 * (TAU * t).sin())
    });
    crate::outline::arcs::fit(&[ellipse], Length::mm(0.001)).path
}

fn tines(count: u32, width: f64, length: f64, taper: f64) -> Tines {
    let (width, length) = (Length::mm(width), Length::mm(length));
    let slot = Slot { width, length, taper: Angle::degrees(taper) };
    Tines { count, slot, tip: TineTip::Square, splay: Angle::degrees(0.0) }
}

fn cut(outline: &ArcPath, tines: &Tines) -> Vec<ArcPath> {
    let mm = Length::mm;
    slots(outline, mm(300.0), mm(92.0), mm(66.0), tines, mm(3.175))
}

/// Where a contour is met by the line across at x.
fn across(path: &ArcPath, x: f64) -> (f64, f64) {
    let mut ys: Vec<f64> = path.segments().flat_map(|s| s.meets_x(x).collect::<Vec<_>>()).collect();
    ys.sort_by(f64::total_cmp);
    (ys[0], ys[ys.len() - 1])
}

/// How wide the tines are on the line across at x, from the right.
fn tines_across(head: &ArcPath, slots: &[ArcPath], x: f64) -> Vec<f64> {
    let (mut right, left) = across(head, x);
    let mut widths = Vec::new();
    for slot in slots {
        let (low, high) = across(slot, x);
        widths.push(low - right);
        right = high;
    }
    widths.push(left - right);
    widths
}

#[test]
fn slots_have_their_width_length_and_taper() {
    let head = head();
    for taper in [0.0, 1.0, 6.0] {
        let slots = cut(&head, &tines(4, 6.5, 55.0, taper));
        assert_eq!(slots.len(), 3);
        let root = 245.0 + 3.25 * (taper.to_radians() / 2.0).cos();
        for slot in &slots {
            assert!(slot.closed && slot.signed_area() > 0.0 && !slot.self_crosses());
            assert!((slot.bounds().unwrap().0.x - 245.0).abs() < 1e-9);
            let (low, high) = across(slot, root);
            assert!((high - low - 6.5).abs() < 1e-9);
            let (ahead_low, ahead_high) = across(slot, root + 30.0);
            let opened = (ahead_high - ahead_low) - (high - low);
            assert!((opened - 60.0 * (taper / 2.0).to_radians().tan()).abs() < 1e-9);
            // smooth where the sides leave the root
            let all: Vec<_> = slot.segments().collect();
            let kink = all[0].end_direction().angle_to(all[1].start_direction());
            assert!(kink.abs() < 1e-9);
        }
    }
}

#[test]
fn the_tines_are_equally_wide_at_the_root() {
    let head = head();
    for count in 2..7 {
        let slots = cut(&head, &tines(count, 5.0, 50.0, 0.0));
        let station = 250.0 + 2.5;
        let widths = tines_across(&head, &slots, station);
        assert_eq!(widths.len() as u32, count);
        for width in &widths {
            assert!((width - widths[0]).abs() < 1e-9 && *width > 2.0, "{widths:?}");
        }
    }
}

#[test]
fn slots_run_out_past_the_tip_by_the_cutters_radius() {
    let head = head();
    for slot in cut(&head, &tines(4, 6.5, 55.0, 1.0)) {
        let (low, high) = slot.bounds().unwrap();
        // no point of the outline in front of the slot is nearer its end than the radius
        let mut front: f64 = 0.0;
        for point in head.to_polyline(Length::mm(1e-5)) {
            if point.y >= low.y && point.y <= high.y && point.x > low.x {
                front = front.max(point.x);
            }
        }
        assert!(front > 280.0 && high.x - front >= 1.5875 - 1e-4, "{front} {high}");
        assert!(high.x <= 300.0 + 1.5875 + 1e-9);
    }
}

/// Inner tines of straight slots have parallel sides; with a taper they are thinnest in front.
#[test]
fn the_thinnest_place_is_found() {
    let block = ArcPath::polygon(
        [(200.0, -30.0), (300.0, -30.0), (300.0, 30.0), (200.0, 30.0)].map(DVec2::from),
    );
    let straight = tines(4, 6.0, 50.0, 0.0);
    let slots = cut(&block, &straight);
    let found = measure(&block, Length::mm(300.0), &straight, &slots).unwrap();
    assert!((found.tine_width_root.as_mm() - 10.5).abs() < 1e-9);
    assert!((found.tine_width_least.as_mm() - 10.5).abs() < 1e-9);
    // two sides lean 1 degree each towards an inner tine, from the roots to the front; the
    // shortest way over to a side that leans 1 degree is cos 1 deg of the way across
    let tapered = tines(4, 6.0, 50.0, 2.0);
    let slots = cut(&block, &tapered);
    let found = measure(&block, Length::mm(300.0), &tapered, &slots).unwrap();
    let run = 50.0 - 3.0 * (PI / 180.0).cos();
    let front = 10.5 - 2.0 * run * (PI / 180.0).tan();
    assert!(
        (found.tine_width_least.as_mm() - front * (PI / 180.0).cos()).abs() < 1e-6,
        "{found:?} {front}"
    );
    // on a real head the outer tines are the thin ones
    let head = head();
    let slots = cut(&head, &straight);
    let found = measure(&head, Length::mm(300.0), &straight, &slots).unwrap();
    assert!(found.tine_width_least < found.tine_width_root);
    assert!(found.tine_width_least > Length::mm(2.0));
}

#[test]
fn no_room_no_slots() {
    let head = head();
    for bad in [
        tines(1, 6.0, 50.0, 0.0),
        tines(0, 6.0, 50.0, 0.0),
        tines(4, 22.0, 50.0, 0.0),
        tines(4, 6.0, 92.0, 0.0),
        tines(4, f64::NAN, 50.0, 0.0),
        tines(4, 6.0, 50.0, 179.0),
        tines(4, -1.0, 50.0, 0.0),
    ] {
        assert!(cut(&head, &bad).is_empty(), "{bad:?}");
    }
    assert!(cut(&ArcPath::polygon([]), &tines(4, 6.0, 50.0, 0.0)).is_empty());
}

fn shaped(tip: TineTip, splay: f64, of: Tines) -> Tines {
    Tines { tip, splay: Angle::degrees(splay), ..of }
}

/// The outermost slots lie at half of the angle each, the middle one along X; the tines are still equally
/// wide where the roots are.
#[test]
fn slots_fan_out_by_their_angle() {
    let head = head();
    let slots = cut(&head, &shaped(TineTip::Square, 9.0, tines(4, 5.0, 50.0, 1.0)));
    assert_eq!(slots.len(), 3);
    for (slot, turn) in slots.iter().zip([-4.5_f64, 0.0, 4.5]) {
        // The middle of its two sides, behind and in front.
        let middle = |x: f64| {
            let (low, high) = across(slot, x);
            0.5 * (low + high)
        };
        let run = (middle(280.0) - middle(260.0)) / 20.0;
        // Half of the sum of two slopes 0.5 degrees on either side.
        let sides = [turn - 0.5, turn + 0.5].map(|angle| angle.to_radians().tan());
        assert!((run - 0.5 * (sides[0] + sides[1])).abs() < 1e-9, "{run} {turn}");
        assert!((slot.bounds().unwrap().0.x - 250.0).abs() < 1e-9);
        assert!(!slot.self_crosses() && slot.signed_area() > 0.0);
    }
    let station = 250.0 + 2.5 * 0.5_f64.to_radians().cos();
    let widths = tines_across(&head, &slots, station);
    assert!(widths.iter().all(|width| (width - widths[0]).abs() < 1e-6), "{widths:?}");
}

/// On a block with a straight front: what is left of an inner tine's front, how far back it is shaped,
/// and that nothing else changes.
#[test]
fn tips_are_as_they_are_asked_for() {
    let corners = [(200.0, -30.0), (300.0, -30.0), (300.0, 30.0), (200.0, 30.0)];
    let block = ArcPath::polygon(corners.map(DVec2::from));
    let straight = tines(4, 6.0, 50.0, 0.0);
    let width = 10.5;
    for (tip, left, back) in [
        (TineTip::Square, 1.0, 0.0),
        // An arc that goes 0.45 of the width in by 67.5 degrees.
        (TineTip::Round, 1.0 - 2.0 * 0.45, 0.45 / (33.75_f64.to_radians()).tan()),
        (TineTip::Pointed, 0.25, 1.5),
    ] {
        let slots = cut(&block, &shaped(tip, 0.0, straight.clone()));
        let tine = |x: f64| across(&slots[1], x).0 - across(&slots[0], x).1;
        assert!((tine(300.0 - 1e-7) - left * width).abs() < 2e-3, "{tip:?} {}", tine(300.0 - 1e-7));
        assert!((tine(300.0 - back * width - 0.01) - width).abs() < 1e-6, "{tip:?}");
        if back > 0.0 {
            let halfway = tine(300.0 - 0.5 * back * width);
            assert!(halfway < width - 0.2 && halfway > left * width, "{tip:?} {halfway}");
        }
        for slot in &slots {
            assert!(!slot.self_crosses() && slot.signed_area() > 0.0, "{tip:?}");
        }
        let measured =
            measure(&block, Length::mm(300.0), &shaped(tip, 0.0, straight.clone()), &slots);
        let measured = measured.expect("slots");
        assert!((measured.tine_width_least.as_mm() - width).abs() < 1e-9, "{tip:?} {measured:?}");
        assert!((measured.outer_reach.as_mm() - 47.0).abs() < 1e-6, "{tip:?} {measured:?}");
    }
}

/// A round corner is an arc that leaves the slot's side without a bend, turns into the tine and ends just past
/// the outline.
#[test]
fn a_round_tip_leaves_the_side_smoothly_and_ends_past_the_outline() {
    let head = head();
    let mut turns = Vec::new();
    // The first slot's right tine is an outer one, whose end is cut across.
    for slot in cut(&head, &shaped(TineTip::Round, 6.0, tines(4, 5.0, 50.0, 1.0))).split_off(1) {
        let all: Vec<_> = slot.segments().collect();
        // The root's arc, the right side, its corner.
        let (side, corner) = (all[1], all[2]);
        assert!(corner.bulge < 0.0, "round the wood, not round the slot");
        assert!(side.end_direction().distance(corner.start_direction()) < 1e-6);
        // It turns by 67 degrees in the wood, less where the front leans its way, and ends a little past it.
        turns.push(corner.sweep().abs().to_degrees());
        let front = head.segments().min_by(|a, b| {
            let off = |segment: &Segment| segment.distance(corner.to);
            off(a).total_cmp(&off(b))
        });
        let front = front.expect("an outline").start_direction();
        let crossing = corner.end_direction().perp_dot(front).abs().asin().to_degrees();
        assert!(crossing > 20.0, "it runs along the front: {crossing}");
        assert!(!head.contains(corner.to) && head.distance(corner.to).as_mm() < 1.0);
    }
    assert!(turns.iter().any(|turn| *turn > 60.0), "{turns:?}");
}

/// Slots with shaped mouths keep clear of each other: one tine has two of them.
#[test]
fn mouths_keep_clear_of_each_other() {
    let head = head();
    for (tip, splay) in [
        (TineTip::Round, 0.0),
        (TineTip::Pointed, 0.0),
        (TineTip::Round, 12.0),
        (TineTip::Pointed, 12.0),
    ] {
        for count in 3..7 {
            let slots = cut(&head, &shaped(tip, splay, tines(count, 4.0, 45.0, 0.5)));
            for pair in slots.windows(2) {
                let apart = pair[1].to_polyline(Length::mm(0.01)).into_iter();
                let apart = apart
                    .map(|p| if pair[0].contains(p) { -1.0 } else { pair[0].distance(p).as_mm() });
                assert!(apart.fold(f64::INFINITY, f64::min) > 0.1, "{tip:?} {splay} {count}");
            }
        }
    }
}

/// On a head whose halves are alike, so are its tines: both sides of each tip are shaped, or neither, however far they
/// fan out. A point was once lost on one side alone.
#[test]
fn tips_are_alike_in_a_mirror_however_far_tines_fan_out() {
    let head = head();
    let mut shaped_ones = 0;
    for (tip, splay) in [TineTip::Round, TineTip::Pointed]
        .into_iter()
        .flat_map(|tip| (0..=20).map(move |s| (tip, s)))
    {
        for count in 3..6 {
            let asked = shaped(tip, f64::from(splay), tines(count, 5.0, 46.0, 1.0));
            let slots = cut(&head, &asked);
            let found = measure(&head, Length::mm(300.0), &asked, &slots).expect("slots");
            assert!(!found.square_tips, "{tip:?} {splay} {count}");
            for (slot, twin) in slots.iter().zip(slots.iter().rev()) {
                for p in slot.to_polyline(Length::mm(0.01)) {
                    let off = twin.distance(DVec2::new(p.x, -p.y)).as_mm();
                    assert!(off < 0.01, "{tip:?} {splay} {count}: {p} is {off} off");
                }
                shaped_ones += 1;
            }
        }
    }
    assert_eq!(shaped_ones, 2 * 21 * (2 + 3 + 4));
}
