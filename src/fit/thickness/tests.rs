use super::*;
use crate::finding::Findings;
use crate::params::{Bound, Dimension, Give, dimension, parse_board, parse_design, parse_shop};
use crate::shape::Body;
use crate::units::Length;
use glam::DVec2;

const SPOON: &str = include_str!("../../../params/designs/harvest-spoon.toml");
const FORK: &str = include_str!("../../../params/designs/harvest-fork.toml");
const TURNER: &str = include_str!("../../../params/designs/harvest-turner.toml");

fn design(text: &str) -> Design {
    parse_design(text, &mut Findings::new()).expect("a shipped example").0
}

/// With a straight handle, so that only the bowl reaches to the stock's faces, and round figures.
fn straight() -> Design {
    let mut spoon = design(SPOON);
    spoon.handle.curve.clear();
    for (key, size) in [("bowl.depth", 14.0), ("bowl.wall", 4.5)] {
        if let Some(Dimension::Length(length)) = dimension(&mut spoon, key) {
            *length = Length::mm(size);
        }
    }
    spoon
}

fn shop() -> Shop {
    let text = include_str!("../../../params/shop.toml");
    parse_shop(text, &mut Findings::new()).expect("the shipped shop").0
}

fn height(design: &Design) -> f64 {
    let [low, high] = Body::new(design).heights();
    (high - low).as_mm()
}

fn lower(design: &Design, by: f64) -> BodyRoom {
    BodyRoom { height: height(design) - by, length: 2000.0, width: 2000.0 }
}

fn give(key: &str, least: Bound, most: Bound, weight: f64) -> Give {
    Give { key: key.to_owned(), least, most, weight, alike: None }
}

/// One design by itself.
fn to_room(design: &Design, shop: &Shop, room: BodyRoom, spare: Spare) -> Fit {
    super::to_room(std::slice::from_ref(design), shop, room, spare).remove(0)
}

#[test]
fn a_design_that_fits_is_left_alone() {
    for text in [SPOON, FORK, TURNER] {
        let asked = design(text);
        let fit = to_room(&asked, &shop(), lower(&asked, -0.001), Spare::Leave);
        assert_eq!(fit.design, asked);
        assert!(fit.changes.is_empty() && fit.advice.is_none());
    }
}

#[test]
fn a_change_of_less_than_is_printed_is_not_listed() {
    let asked = design(SPOON);
    for by in [1e-5, 1e-4, 1e-3, 1e-2] {
        let room = lower(&asked, by);
        let fit = to_room(&asked, &shop(), room, Spare::Leave);
        assert!(fit.advice.is_none() && fit.design != asked, "{by}: {fit:?}");
        assert!(height(&fit.design) <= room.height, "{by}");
        let same = fit.changes.iter().find(|change| change.asked == change.fitted);
        assert!(same.is_none(), "{by}: {same:?}");
        assert!(by > 2e-5 || fit.changes.is_empty(), "{by}: {fit:?}");
    }
}

#[test]
fn a_spoon_too_tall_is_made_exactly_as_high_as_the_stock() {
    let asked = design(SPOON);
    for by in [0.05, 0.5, 1.0, 2.0, 3.0] {
        let room = lower(&asked, by);
        let fit = to_room(&asked, &shop(), room, Spare::Leave);
        assert!(fit.advice.is_none(), "{by}: {fit:?}");
        let height = height(&fit.design);
        assert!(height <= room.height && height > room.height - 1e-5, "{height} {room:?}");
        assert!(!fit.changes.is_empty());
    }
}

/// The height of a spoon falls by as much as the depth does; its handle stays below the rim here,
/// so the curve is no use, and all must come from the depth.
#[test]
fn with_one_give_the_answer_is_plain_arithmetic() {
    let mut asked = straight();
    asked.give = vec![give("bowl.depth", Bound::Fraction(0.5), Bound::Fraction(1.2), 3.0)];
    let fit = to_room(&asked, &shop(), lower(&asked, 1.25), Spare::Leave);
    let mut fitted = fit.design.clone();
    let Some(Dimension::Length(depth)) = dimension(&mut fitted, "bowl.depth") else {
        panic!("{fit:?}")
    };
    assert!((depth.as_mm() - 12.75).abs() < 1e-6, "{depth:?}");
    assert!((fit.cost - 3.0 * (1.25_f64 / 14.0).powi(2)).abs() < 1e-8, "{}", fit.cost);
    assert_eq!(fit.changes[0].asked, "14 mm");
    assert_eq!(fit.changes[0].fitted, "12.75 mm");
    assert_eq!(fit.changes[0].limit, "7 mm");
}

/// Of two dimensions with the same effect the changes are as 1 / (weight · size), by Lagrange:
/// weight · change / size is the same for both.
#[test]
fn two_gives_share_the_change_by_weight() {
    let mut asked = straight();
    asked.give = vec![
        give("bowl.depth", Bound::Fraction(0.1), Bound::Fraction(1.0), 2.0),
        give("bowl.wall", Bound::Fraction(0.8), Bound::Fraction(1.0), 1.0),
    ];
    let fit = to_room(&asked, &shop(), lower(&asked, 1.0), Spare::Leave);
    let [depth, wall] = [14.0 * fit.changes[0].share, 4.5 * fit.changes[1].share];
    assert!((depth + wall + 1.0).abs() < 1e-6, "{depth} {wall}");
    assert!(
        (2.0 * depth / 14.0_f64.powi(2) - wall / 4.5_f64.powi(2)).abs() < 1e-6,
        "{depth} {wall}"
    );
}

#[test]
fn when_it_can_not_be_done_it_is_said_what_would_do() {
    let mut asked = straight();
    asked.give =
        vec![give("bowl.depth", Bound::Length(Length::mm(13.0)), Bound::Fraction(1.0), 1.0)];
    let room = lower(&asked, 2.5);
    let fit = to_room(&asked, &shop(), room, Spare::Leave);
    assert_eq!(fit.design, asked);
    let advice = fit.advice.expect("1 mm can't give 2.5");
    assert!((advice.lowest.as_mm() - (height(&asked) - 1.0)).abs() < 2e-3, "{advice:?}");
    assert_eq!(advice.widen.len(), 1);
    assert_eq!(advice.widen[0].limit, "13 mm");
    let to: f64 = advice.widen[0].to.trim_end_matches(" mm").parse().unwrap();
    assert!(to <= 11.5 + 1e-3 && to > 11.5 - 0.01, "{to}");
}

#[test]
fn the_shop_s_least_wall_is_kept() {
    let mut asked = straight();
    asked.give = vec![
        give("bowl.depth", Bound::Fraction(0.3), Bound::Fraction(1.0), 1000.0),
        give("bowl.wall", Bound::Fraction(0.3), Bound::Fraction(1.0), 1.0),
    ];
    let fit = to_room(&asked, &shop(), lower(&asked, 3.0), Spare::Leave);
    let body = Body::new(&fit.design);
    let mesh = crate::mesh::tessellate(&body, &body.lattice(), Length::mm(0.01));
    let wall = crate::mesh::measure(&body, &fit.design, &mesh).wall_least;
    assert!(wall.as_mm() > 3.0 - 0.02, "{wall} of 3 mm");
    assert!(wall.as_mm() < 3.05, "the cheap give is used up to its limit: {wall}");
}

#[test]
fn spare_height_deepens_the_hollow_only_when_asked() {
    let asked = design(SPOON);
    let room = lower(&asked, -1.0);
    assert!(to_room(&asked, &shop(), room, Spare::Leave).changes.is_empty());
    let fit = to_room(&asked, &shop(), room, Spare::Use);
    assert!(fit.changes.iter().all(|change| change.share > 0.0), "{:?}", fit.changes);
    let high = height(&fit.design);
    assert!(high <= room.height && high > room.height - 1e-3, "{high} {room:?}");
}

#[test]
fn a_short_board_shortens_what_may_be_shortened() {
    let mut asked = design(SPOON);
    asked.give = vec![give("utensil.length", Bound::Fraction(0.9), Bound::Fraction(1.0), 1.0)];
    let room = BodyRoom { length: 285.5, ..lower(&asked, -5.0) };
    let fit = to_room(&asked, &shop(), room, Spare::Leave);
    assert!(fit.design.length.as_mm() <= 285.5 && fit.design.length.as_mm() > 285.499);
}

#[test]
fn the_shipped_boards_take_the_shipped_designs() {
    for (text, board) in [
        (SPOON, include_str!("../../../params/boards/cherry.toml")),
        (FORK, include_str!("../../../params/boards/beech.toml")),
        (TURNER, include_str!("../../../params/boards/pear.toml")),
    ] {
        let board = parse_board(board, &mut Findings::new()).unwrap().0;
        let fits = to_board(&[design(text)], &board, &shop(), Spare::Leave);
        let fit = &fits[0];
        assert!(fit.changes.is_empty() && fit.advice.is_none(), "{fit:?}");
    }
}

#[test]
fn the_wall_is_what_the_mesh_measures() {
    let design = design(SPOON);
    let body = Body::new(&design);
    let mesh = crate::mesh::tessellate(&body, &body.lattice(), Length::mm(0.005));
    let measured = crate::mesh::measure(&body, &design, &mesh).wall_least.as_mm();
    let mut least = f64::INFINITY;
    for i in -40..=40 {
        for j in 0..=40 {
            // Closer together towards the edge, where the wall changes quickly.
            let short = 1.0 - f64::from(j) / 40.0;
            let wall = body.wall(f64::from(i) / 40.0, 1.0 - short * short);
            least = least.min(wall.unwrap_or(f64::INFINITY));
        }
    }
    assert!((least - measured).abs() < 0.005, "{least} against {measured}");
}

/// The upper half millimetre of the hollow was left out, and its edge after that: the shipped fork's
/// wall is thinnest from the very edge, and was told 0.02 mm too thick.
#[test]
fn the_wall_is_measured_from_the_hollows_edge_too() {
    for text in [SPOON, FORK] {
        let design = design(text);
        let body = Body::new(&design);
        let mesh = crate::mesh::tessellate(&body, &body.lattice(), Length::mm(0.005));
        let measured = crate::mesh::measure(&body, &design, &mesh).wall_least.as_mm();
        // By brute force: points of the edge against points of the back near them.
        let edge = body.hollow();
        let edge = edge.iter().flat_map(|curve| (0..200).map(|i| curve(f64::from(i) / 200.0)));
        let mut least = f64::INFINITY;
        for p in edge {
            let from = p.extend(body.top(p));
            for i in -60..=60 {
                for j in -60..=60 {
                    let q = p + 0.05 * DVec2::new(f64::from(i), f64::from(j));
                    let [right, left] = body.across(Length::mm(q.x));
                    if right < q.y && q.y < left {
                        least = least.min((from - q.extend(body.bottom(q))).length());
                    }
                }
            }
        }
        assert!((measured - least).abs() < 0.01, "{measured} against {least}");
    }
}

/// Flats of a chamfer of their own have less and less room on a handle that is made thinner.
#[test]
fn flats_keep_their_room_when_the_handle_gives_way() {
    let text = SPOON.replacen(
        "[handle]",
        "[handle]\nfacets = { flats = \"eight\", chamfer = \"3.6 mm\", from = \"8 %\", to = \"85 %\" }",
        1,
    );
    let asked = design(&text);
    assert!(Body::new(&asked).trouble().is_none());
    let gives = [("handle.curve", 0.3, 1.0), ("handle.thickness", 0.7, 1.0)];
    let asked = Design {
        give: gives
            .map(|(key, least, most)| give(key, Bound::Fraction(least), Bound::Fraction(most), 1.0))
            .to_vec(),
        ..asked
    };
    for by in [0.5, 1.5, 2.5, 3.5] {
        let fit = to_room(&asked, &shop(), lower(&asked, by), Spare::Leave);
        assert!(fit.advice.is_none(), "{by} mm lower");
        let body = Body::new(&fit.design);
        assert!(body.trouble().is_none(), "{by} mm lower: {:?}", body.trouble());
        assert!(body.facet_spare().is_some_and(|spare| spare.iter().all(|spare| *spare >= 0.0)));
    }
}
