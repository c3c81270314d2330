//! What to enter, and what is out of reach, by arithmetic on a board of 400 by 120 by 30 mm.

use super::*;
use crate::blocks::hold_down::tests::shop;
use crate::finding::heard;
use crate::fit::{Placement, Stock};
use crate::outline::ArcPath;
use crate::params::{Cutter, CutterForm, Travel, TurnAxis, Zero};

const SIZE: DVec2 = DVec2::new(400.0, 120.0);

fn position(name: &str, x: f64, y: f64, serves: Serves) -> Position {
    Position { name: name.to_owned(), at: DVec2::new(x, y), serves }
}

fn setups(turn: TurnAxis, zero: Zero) -> [Setup; 2] {
    let stock = Stock::round(Length::mm(30.0), Length::mm(-10.0), Length::mm(10.0));
    Setup::both(turn, zero, SIZE, &stock, &Placement::at(DVec2::new(50.0, 60.0)))
}

fn said(shop: &Shop, mounts: &[Mount; 2]) -> Findings {
    heard(|out| positions(shop, mounts, out)).1
}

fn positioned(positions: Vec<Position>) -> Shop {
    let mut shop = shop(0.2);
    shop.bed.positions = positions;
    shop
}

#[test]
fn what_to_enter_is_the_corner_and_the_height_of_zero() {
    let shop = positioned(vec![
        position("G54", 60.0, 75.0, Serves::Top),
        position("G55", 60.0, 320.0, Serves::Bottom),
    ]);
    for (zero, height) in [(Zero::Top, 30.0), (Zero::Bottom, 0.0)] {
        let both = setups(TurnAxis::X, zero);
        let made = mounts(&shop, &both, SIZE);
        assert!(said(&shop, &made).is_empty());
        let [top, bottom] = made;
        assert_eq!((top.word.as_deref(), bottom.word.as_deref()), (Some("G54"), Some("G55")));
        assert_eq!(top.zero, DVec3::new(60.0, 75.0, height));
        assert_eq!(bottom.zero, DVec3::new(60.0, 320.0, height));
        // The same corner on the bed is another corner of the board once it is turned about X.
        assert_eq!(top.zero_on_board, DVec2::ZERO);
        assert_eq!(bottom.zero_on_board, DVec2::new(0.0, 120.0));
        assert_eq!(bottom.high, DVec2::new(460.0, 440.0));
        // A place of the plan comes to the machine's own.
        assert_eq!(top.on_bed(DVec2::new(10.0, 20.0)), DVec2::new(70.0, 95.0));
    }
    let about_y = setups(TurnAxis::Y, Zero::Top);
    assert_eq!(mount(&shop, &about_y[1], SIZE).zero_on_board, DVec2::new(400.0, 0.0));
}

#[test]
fn a_position_for_one_side_goes_before_one_for_both() {
    let shop = positioned(vec![
        position("G54", 10.0, 10.0, Serves::Both),
        position("G56", 30.0, 30.0, Serves::Bottom),
    ]);
    let [top, bottom] = setups(TurnAxis::X, Zero::Top);
    assert_eq!(mount(&shop, &top, SIZE).word.as_deref(), Some("G54"));
    assert_eq!(mount(&shop, &bottom, SIZE).word.as_deref(), Some("G56"));
    let only_top = positioned(vec![position("G54", 10.0, 10.0, Serves::Top)]);
    let told = said(&only_top, &mounts(&only_top, &[top, bottom], SIZE));
    assert_eq!(told.iter().map(|f| f.code).collect::<Vec<_>>(), [NO_POSITION]);
    let none = positioned(Vec::new());
    let made = mounts(&none, &[top, bottom], SIZE);
    let [there, _] = &made;
    assert!(said(&none, &made).is_empty() && there.word.is_none() && there.low == DVec2::ZERO);
}

#[test]
fn two_boards_need_room_for_both_rows_of_hold_downs() {
    let both = setups(TurnAxis::X, Zero::Top);
    let gap = |y: f64| {
        let shop = positioned(vec![
            position("G54", 0.0, 0.0, Serves::Top),
            position("G55", 0.0, y, Serves::Bottom),
        ]);
        collide(&mounts(&shop, &both, SIZE), Length::mm(40.0))
    };
    // 120 of board and two bodies of 40.
    assert!(gap(200.0).is_none());
    let said = gap(197.5).expect("2.5 too near");
    assert!(said.message.contains("overlap by 2.5 mm"), "{}", said.message);
}

/// The pass's centre goes from (100, 40) to (300, 80) of the setup's plan.
fn reach(most: Travel, at: DVec2, stick_out: f64, deepest: f64) -> Vec<String> {
    let mut shop = positioned(vec![position("G54", at.x, at.y, Serves::Both)]);
    shop.bed.travel = Some(most);
    let [top, _] = setups(TurnAxis::X, Zero::Top);
    let cutter = Cutter::bare("ball 3", CutterForm::Ball, 3.0, stick_out);
    let corners = [(50.0, -20.0), (250.0, -20.0), (250.0, 20.0), (50.0, 20.0)];
    let centre = vec![ArcPath::polygon(corners.map(DVec2::from))];
    let pass = Pass {
        kind: crate::cutting::PassKind::Finish,
        face: Face::Top,
        cutter,
        area: centre.clone(),
        centre,
        through: None,
    };
    let reached = [Reached { pass: &pass, deepest: Length::mm(deepest) }];
    let here = mount(&shop, &top, SIZE);
    let bored = [DVec2::new(12.0, 50.0)];
    let over = Length::mm(40.0);
    let (_, said) = heard(|out| travel(&shop, &top, &here, &reached, &bored, over, out));
    said.iter().map(|finding| finding.message.clone()).collect()
}

fn roomy() -> Travel {
    let [x, y, z, nose] = [400.0, 200.0, 90.0, 10.0].map(Length::mm);
    Travel { x, y, z, nose }
}

#[test]
fn what_is_in_reach_gives_no_finding() {
    assert_eq!(reach(roomy(), DVec2::new(20.0, 20.0), 40.0, 5.0), Vec::<String>::new());
}

#[test]
fn beyond_the_ends_it_says_by_how_much() {
    // The far side of the limit at 150 + 300 is 50 past 400.
    let said = reach(roomy(), DVec2::new(150.0, 20.0), 40.0, 5.0);
    assert_eq!(said.len(), 1, "{said:?}");
    assert!(said[0].contains("X would pass its far end by 50 mm"), "{}", said[0]);
    // The pin's hole at 12 is 8 before home when the board's corner is at -20; the limit is not.
    let said = reach(roomy(), DVec2::new(-20.0, 20.0), 40.0, 5.0);
    assert!(said[0].contains("X would pass its home end by 8 mm"), "{}", said[0]);
    let said = reach(roomy(), DVec2::new(20.0, 135.0), 40.0, 5.0);
    assert!(said[0].contains("Y would pass its far end by 15 mm"), "{}", said[0]);
}

#[test]
fn a_drill_s_length_counts_as_it_does_in_a_pass() {
    let mut shop = positioned(Vec::new());
    shop.bed.travel = Some(roomy());
    // The tip ends 2 under the bed in the board's holes, 14 in the bed's; 40 stand on the bed.
    let bores = |stick_out: f64| {
        let drill = Cutter::bare("drill 6", CutterForm::Flat, 6.0, stick_out);
        let (tips, over) = ([-2.0, -14.0].map(Length::mm), Length::mm(40.0));
        let (_, said) = heard(|out| bored(&shop, &drill, tips, over, out));
        said.iter().map(|finding| finding.message.clone()).collect::<Vec<_>>()
    };
    assert_eq!(bores(40.0), Vec::<String>::new());
    let bed = "the spindle can't come down far enough for cutter drill 6 (bed) by 1 mm";
    assert_eq!(bores(23.0), [bed]);
    // 40 on the bed, 5 to clear it and 635 of stick-out; the spindle lifts to 100.
    let lift = "the spindle can't lift cutter drill 6 (pins) clear of the hold-downs by 580 mm";
    assert_eq!(bores(635.0), [lift]);
}

#[test]
fn rapid_moves_clear_the_hold_downs_and_stay_within_the_travel() {
    let said = |safe: f64, over: f64| {
        let mut shop = positioned(Vec::new());
        shop.bed.travel = Some(roomy());
        shop.bed.safe = Some(Length::mm(safe));
        let cutters = [30.0, 40.0].map(|out| Cutter::bare("flat 6", CutterForm::Flat, 6.0, out));
        let [height, over] = [30.0, over].map(Length::mm);
        let (_, said) = heard(|out| super::safe(&shop, height, over, cutters.iter(), out));
        said.iter().map(|finding| finding.message.clone()).collect::<Vec<_>>()
    };
    // 10 stand over the stock, and 30 are left to 100 over 30 of stock and 40 of stick-out.
    for safe in [11.0, 15.0, 30.0] {
        assert_eq!(said(safe, 40.0), Vec::<String>::new());
    }
    let low = "`machine.safe` is 10.5 mm over the stock, but the hold-downs stand 10 mm over it";
    assert_eq!(said(10.5, 40.0), [low]);
    let high = "the spindle can't lift cutter flat 6 to 31.5 mm over the stock by 1.5 mm";
    assert_eq!(said(31.5, 40.0), [high]);
    // Hold-downs in rebates stand under the stock's face.
    assert_eq!(said(0.1, 25.0).len(), 1);
    assert_eq!(said(2.0, 25.0), Vec::<String>::new());
}

#[test]
fn the_tool_s_length_counts_up_and_down() {
    // Tip at 5 and 2 of stick-out put the holder at 7; the spindle comes down to 10.
    let said = reach(roomy(), DVec2::new(20.0, 20.0), 2.0, 5.0);
    assert_eq!(said.len(), 1);
    let low = "the spindle can't come down far enough for cutter ball 3 (finish) by 3 mm";
    assert!(said[0].contains(low), "{}", said[0]);
    // 40 of hold-down, 5 to clear it and 58 of stick-out are 103; the spindle lifts to 100.
    let said = reach(roomy(), DVec2::new(20.0, 20.0), 58.0, 5.0);
    assert_eq!(said.len(), 1);
    assert!(said[0].contains("can't lift cutter ball 3 (finish) clear of the hold-downs by 3 mm"));
}
