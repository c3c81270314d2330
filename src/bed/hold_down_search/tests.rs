//! Places on a board of 420 by 140 mm.

use super::*;
use crate::blocks::hold_down;
use crate::finding::{Severity, heard};
use crate::params::{Along, Flaw, FlawKind, FlawShape, HoldForm, Insert, Track};

const SIZE: DVec2 = DVec2::new(420.0, 140.0);

fn board(flaws: Vec<Flaw>) -> Board {
    Board::bare(SIZE, flaws)
}

fn models(forms: &[HoldForm]) -> Vec<HoldDownModel> {
    let shop = crate::blocks::hold_down::tests::shop(0.2);
    let made = |form: &HoldForm| hold_down(&shop, Length::mm(30.0), *form).expect("it fits");
    forms.iter().map(made).collect()
}

fn rectangle(low: DVec2, high: DVec2) -> Vec<DVec2> {
    vec![low, DVec2::new(high.x, low.y), high, DVec2::new(low.x, high.y)]
}

fn run(skirt: &[DVec2], flaws: Vec<Flaw>) -> (Vec<HoldDownPlace>, Findings) {
    let (places, findings) = with(skirt, flaws, &[], &[HoldForm::Stepped]);
    for (i, place) in places.iter().enumerate() {
        for p in place.lip {
            assert!(p.min_element() >= 0.0 && p.x <= SIZE.x && p.y <= SIZE.y, "on full wood");
        }
        let area: f64 = (0..4).map(|k| place.lip[k].perp_dot(place.lip[(k + 1) % 4]) / 2.0).sum();
        assert!((area - 24.0 * 9.0).abs() < 1e-9);
        assert!(apart(&place.lip, skirt) >= 5.0);
        let (low, high) = (
            place.plan.iter().copied().fold(place.at, DVec2::min),
            place.plan.iter().copied().fold(place.at, DVec2::max),
        );
        assert!(DVec2::ZERO.clamp(low, high).length() >= 25.0, "zero is free: {place:?}");
        assert!(place.lip.contains(&place.on_board(DVec2::new(9.0, 12.0))));
        for other in &places[..i] {
            assert!(apart(&place.lip, &other.lip) > 0.0);
        }
    }
    (places, findings)
}

fn with(
    skirt: &[DVec2],
    flaws: Vec<Flaw>,
    stops: &[Vec<DVec2>],
    forms: &[HoldForm],
) -> (Vec<HoldDownPlace>, Findings) {
    on_bed(skirt, flaws, stops, &models(forms), &Anchors::default())
}

fn on_bed(
    skirt: &[DVec2],
    flaws: Vec<Flaw>,
    stops: &[Vec<DVec2>],
    models: &[HoldDownModel],
    anchors: &Anchors,
) -> (Vec<HoldDownPlace>, Findings) {
    let board = board(flaws);
    let ground = HoldDownGround {
        face: Face::Top,
        size: SIZE,
        wood: &SoundWood::of(&board),
        skirts: &[skirt.to_vec()],
        margin: Length::mm(5.0),
        pins: &[DVec2::new(12.0, 48.0), DVec2::new(408.0, 28.0)],
        pin_hole: Length::mm(6.45),
        zero: DVec2::ZERO,
        axes: [DVec2::X, DVec2::Y],
        envelope: None,
        stops,
        rebates: &[],
        anchors,
        bolt: Length::mm(6.0),
    };
    heard(|out| place_hold_downs(&ground, models, out))
}

#[test]
fn a_stop_along_an_edge_keeps_hold_downs_from_it_and_is_named() {
    let skirt = rectangle(DVec2::new(56.0, 35.0), DVec2::new(364.0, 105.0));
    let fence = rectangle(DVec2::new(-500.0, -500.0), DVec2::new(900.0, -30.0));
    let (places, findings) = with(&skirt, vec![], &[fence], &[HoldForm::Stepped]);
    assert!(places.iter().all(|place| place.edge != BoardEdge::Front));
    assert_eq!(places.len(), 4, "the other edges have room");
    assert!(findings.is_empty());
    let all_round = [
        rectangle(DVec2::new(-500.0, -500.0), DVec2::new(900.0, -30.0)),
        rectangle(DVec2::new(-500.0, 170.0), DVec2::new(900.0, 500.0)),
        rectangle(DVec2::new(-500.0, -500.0), DVec2::new(-30.0, 500.0)),
        rectangle(DVec2::new(450.0, -500.0), DVec2::new(900.0, 500.0)),
    ];
    let (places, findings) = with(&skirt, vec![], &all_round, &[HoldForm::Stepped]);
    assert!(places.is_empty());
    let all: Vec<_> = findings.iter().collect();
    let says = "none at its back edge, where a stop stands there";
    assert!(all[0].message.contains(says), "{}", all[0].message);
}

#[test]
fn a_low_one_has_a_rebate_round_its_lip_and_room_for_it() {
    let skirt = rectangle(DVec2::new(56.0, 35.0), DVec2::new(364.0, 105.0));
    let (places, _) = with(&skirt, vec![], &[], &[HoldForm::Low]);
    assert_eq!(places.len(), 4);
    for place in places {
        let rebate = place.rebate().expect("a low one");
        let area: f64 = (0..4).map(|k| rebate[k].perp_dot(rebate[(k + 1) % 4]) / 2.0).sum();
        assert!((area - 26.0 * 10.0).abs() < 1e-9, "{area}");
        assert!(apart(&rebate, &skirt) >= 5.0);
    }
}

#[test]
fn four_spread_over_the_two_long_edges() {
    let skirt = rectangle(DVec2::new(56.0, 35.0), DVec2::new(364.0, 105.0));
    let (places, findings) = run(&skirt, vec![]);
    assert!(findings.is_empty());
    assert_eq!(places.len(), 4);
    let spread = |edge: BoardEdge| {
        let xs = places.iter().filter(|p| p.edge == edge).map(|p| p.at.x);
        xs.clone().fold(0.0, f64::max) - xs.fold(SIZE.x, f64::min)
    };
    assert!(spread(BoardEdge::Front) > 200.0 && spread(BoardEdge::Back) > 200.0);
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
    assert_eq!(all[0].severity, Severity::Fault, "nothing holds the board down");
}

/// A bed with tracks and inserts, under a board whose front left corner lies at 60, 60 mm of it.
fn bed(tracks: Vec<Track>, inserts: Vec<Insert>) -> (crate::params::Shop, Anchors) {
    let mut shop = crate::blocks::hold_down::tests::shop(0.2);
    shop.bed.clamp.slide = Length::mm(6.0);
    shop.bed.clamp.tracks = tracks;
    shop.bed.clamp.inserts = inserts;
    let at = DVec2::splat(60.0);
    let serves = crate::params::Serves::Both;
    shop.bed.positions = vec![crate::params::Position { name: "G54".to_owned(), at, serves }];
    let (setups, mounts) = mounts::of_board(&board(vec![]), &shop);
    let anchors = Anchors::of(&shop).on_board(&setups[0], &mounts[0]);
    (shop, anchors)
}

fn tracks(along: Along, at: f64, count: u32, pitch: f64) -> Track {
    let [at, from, to, pitch] = [at, 0.0, 900.0, pitch].map(Length::mm);
    Track { along, at, from, to, count, pitch: Some(pitch) }
}

#[test]
fn on_a_bed_with_tracks_each_bolt_stands_in_one_within_its_slide() {
    let skirt = rectangle(DVec2::new(56.0, 35.0), DVec2::new(364.0, 105.0));
    // Across the bed every 100 mm: at 40, 140, 240 and 340 mm of the board.
    let (shop, anchors) = bed(vec![tracks(Along::Y, 100.0, 4, 100.0)], vec![]);
    let models = [hold_down(&shop, Length::mm(30.0), HoldForm::Stepped).expect("it fits")];
    let (places, findings) = on_bed(&skirt, vec![], &[], &models, &anchors);
    assert!(findings.is_empty());
    assert_eq!(places.len(), 4);
    let play = models[0].hole.radius.as_mm() - 3.0;
    for place in places {
        let off = [40.0, 140.0, 240.0, 340.0].map(|x: f64| (place.bolt.x - x).abs());
        assert!(off.into_iter().fold(f64::INFINITY, f64::min) <= play, "{:?}", place.bolt);
        assert!((place.bolt - place.on_board(models[0].hole.centre)).length() <= 3.0 + 1e-9);
    }
}

#[test]
fn a_bolt_stands_over_an_insert_or_nowhere_and_what_is_missing_is_said() {
    let skirt = rectangle(DVec2::new(56.0, 35.0), DVec2::new(364.0, 105.0));
    let stepped = |shop: &crate::params::Shop| {
        [hold_down(shop, Length::mm(30.0), HoldForm::Stepped).expect("it fits")]
    };
    let grid = |y: f64| Insert {
        at: vec![DVec2::new(103.0, y)],
        pitch: Some(DVec2::new(150.0, 188.0)),
        columns: 3,
        rows: 2,
    };
    // The hole lies some 20 mm behind the edge; along the front it is at 60 - 20 mm of the bed.
    let (shop, _) = bed(vec![], vec![]);
    let behind = -stepped(&shop)[0].hole.centre.x;
    let (shop, anchors) = bed(vec![], vec![grid(60.0 - behind + 2.0)]);
    let (places, _) = on_bed(&skirt, vec![], &[], &stepped(&shop), &anchors);
    let front: Vec<_> = places.iter().filter(|place| place.edge == BoardEdge::Front).collect();
    assert!(!front.is_empty());
    for place in front {
        assert!((place.bolt.y + behind - 2.0).abs() < 1e-9, "{:?}", place.bolt);
        assert!(((place.bolt.x - 43.0).rem_euclid(150.0)).abs() < 0.5, "{:?}", place.bolt);
    }
    // A grid that no block's slot reaches.
    let (shop, anchors) = bed(vec![], vec![grid(60.0 - behind - 12.0)]);
    let models = stepped(&shop);
    let (places, findings) = on_bed(&skirt, vec![], &[], &models, &anchors);
    assert!(places.iter().all(|place| place.edge != BoardEdge::Front));
    let all: Vec<_> = findings.iter().collect();
    assert_eq!(all[0].code, FEW_HOLD_DOWNS);
    assert!(
        all[0].message.contains("none at its front edge, where neither a track"),
        "{}",
        all[0].message
    );
}

#[test]
fn the_least_move_of_the_board_that_makes_room_is_told_and_does_it() {
    let skirt = rectangle(DVec2::new(56.0, 35.0), DVec2::new(364.0, 105.0));
    // Two tracks that would serve the long edges, were the board not 14 mm too far back.
    let (shop, _) = bed(vec![], vec![]);
    let models = [hold_down(&shop, Length::mm(30.0), HoldForm::Stepped).expect("it fits")];
    let behind = -models[0].hole.centre.x;
    let two = tracks(Along::X, 60.0 - behind - 14.0, 2, 140.0 + 2.0 * behind);
    let (_, anchors) = bed(vec![two], vec![]);
    let (places, findings) = on_bed(&skirt, vec![], &[], &models, &anchors);
    assert!(places.is_empty());
    let all: Vec<_> = findings.iter().collect();
    assert_eq!(all[0].severity, Severity::Fault, "nothing holds the board down");
    // The bolt slides 3 mm either way, and moves are tried 2.5 mm apart.
    let said = "Put the board at Y 12.5 mm less on the bed (the work position, `position.at`): \
                there 4 ";
    assert!(all[0].help.starts_with(said), "{}", all[0].help);
    let moved = |by: f64| anchors.moved(DVec2::new(0.0, by));
    let (places, findings) = on_bed(&skirt, vec![], &[], &models, &moved(12.5));
    assert_eq!((places.len(), findings.iter().count()), (4, 0));
    let (places, _) = on_bed(&skirt, vec![], &[], &models, &moved(10.0));
    assert!(places.is_empty(), "less of a move does not do it");
}

#[test]
fn a_bed_that_no_move_helps_is_told_to_have_a_track_added() {
    let skirt = rectangle(DVec2::new(56.0, 35.0), DVec2::new(364.0, 105.0));
    let far = Insert { at: vec![DVec2::new(2000.0, 9.0)], pitch: None, columns: 1, rows: 1 };
    let (shop, anchors) = bed(vec![], vec![far]);
    let models = [hold_down(&shop, Length::mm(30.0), HoldForm::Stepped).expect("it fits")];
    let (places, findings) = on_bed(&skirt, vec![], &[], &models, &anchors);
    assert!(places.is_empty());
    let help = &findings.iter().next().expect("a fault").help;
    assert!(help.starts_with("Add a track or an insert there"), "{help}");
}
