//! What each pass of a setup may touch: the limit of the cutter's centre, and the area that is
//! cut, for roughing, finishing, slots and the edge.
//!
//! Promised: centre and area are apart by the cutter's radius exactly, arcs kept; no area goes past
//! the skirt. Not promised: how deep a pass goes anywhere but at its lowest.

use super::kind::PassKind;
use super::limit::Limit;
use crate::finding::{Code, Finding, Findings, Source};
use crate::outline::{ArcPath, common::common, offset::offset};
use crate::params::{CleanUp, Cutter, CutterForm, Serves, Shop};
use crate::relief::Face;
use crate::units::Length;

/// One pass of one setup. Paths in the design frame, counter-clockwise.
#[derive(Clone, Debug, PartialEq)]
pub struct Pass {
    /// What kind it is.
    pub kind: PassKind,
    /// The setup.
    pub face: Face,
    /// The cutter.
    pub cutter: Cutter,
    /// The cutter's centre stays inside these; for the edge it runs along them.
    pub centre: Vec<ArcPath>,
    /// What may be touched: inside these, and for the edge between the two.
    pub area: Vec<ArcPath>,
    /// Of one that has a depth of its own, how low its tip goes, over the bed.
    pub through: Option<Length>,
}

/// What is cut through the wood along its outlines, with the bottom up, when both faces are done.
#[derive(Clone, Copy, Debug)]
pub struct Through<'a> {
    /// Slots or openings.
    pub kind: PassKind,
    /// The outlines.
    pub paths: &'a [ArcPath],
    /// How low the tip goes, over the bed.
    pub under: Option<Length>,
}

/// All passes over a piece, those that clean up last. `limit` is that of finishing.
pub fn all(
    shop: &Shop,
    outline: &ArcPath,
    limit: &Limit,
    through: &[Through<'_>],
    clean_up: &[CleanUp],
    out: &mut Findings,
) -> Vec<Pass> {
    let mut all = passes(shop, outline, limit, through);
    all.extend(clean_ups(shop, clean_up, limit, out));
    all
}

/// The passes of a job in the order in which they are cut.
fn passes(shop: &Shop, outline: &ArcPath, limit: &Limit, through: &[Through<'_>]) -> Vec<Pass> {
    let mut all = Vec::new();
    let rough = shop.cutter(&shop.work.rough);
    let finish = shop.cutter(&shop.work.finish);
    for face in Face::BOTH {
        let cleared = rough.and_then(|_| clearing_cutter(shop));
        for (kind, cutter) in [(PassKind::Rough, rough), (PassKind::Clear, cleared)] {
            let Some(cutter) = cutter else { continue };
            let centre = counter_clockwise(offset(&limit.area, -cutter.diameter.half()));
            let area = centre.iter().flat_map(|path| offset(path, cutter.diameter.half()));
            let area = counter_clockwise(area.collect());
            all.push(pass(kind, face, cutter, centre, area));
        }
        if let Some(cutter) = finish {
            let (centre, area) = (vec![limit.centre.clone()], vec![limit.area.clone()]);
            all.push(pass(PassKind::Finish, face, cutter, centre, area));
        }
    }
    for Through { kind, paths, under } in through.iter().filter(|cut| !cut.paths.is_empty()) {
        let Some(cutter) = shop.cutter(&shop.work.slots) else { continue };
        let radius = cutter.diameter.half();
        let centre = paths.iter().flat_map(|path| offset(path, -radius)).collect();
        let area = counter_clockwise(paths.to_vec());
        let cut = pass(*kind, Face::Bottom, cutter, counter_clockwise(centre), area);
        all.push(Pass { through: *under, ..cut });
    }
    if let Some(cutter) = edge_cutter(shop) {
        let radius = cutter.diameter.half();
        let centre = counter_clockwise(offset(outline, radius));
        let outer = counter_clockwise(offset(outline, cutter.diameter));
        let area = outer.into_iter().chain([outline.clone()]).collect();
        all.push(pass(PassKind::Edge, Face::Bottom, cutter, centre, area));
    }
    all
}

/// The cutter for the edge: the flat cutter for slots if it fits in the skirt, or else the
/// finishing ball, for which the skirt is made.
pub fn edge_cutter(shop: &Shop) -> Option<&Cutter> {
    let finish = shop.cutter(&shop.work.finish)?;
    let slots = shop.cutter(&shop.work.slots);
    let fits = |cutter: &&Cutter| {
        cutter.form == CutterForm::Flat
            && cutter.diameter <= crate::relief::skirt_width(finish.diameter)
    };
    Some(slots.filter(fits).unwrap_or(finish))
}

/// Whether the roughing cutter is too thick to go down into the skirt.
pub fn rough_misses_skirt(shop: &Shop) -> bool {
    let [rough, finish] = [&shop.work.rough, &shop.work.finish].map(|name| shop.cutter(name));
    rough
        .zip(finish)
        .is_some_and(|(rough, finish)| rough.diameter > crate::relief::skirt_width(finish.diameter))
}

/// The cutter that clears the skirt where the roughing cutter is too thick for it: the thickest
/// flat one that fits, so that the finishing ball has not to cut its full depth there. None where
/// there is no need, and where the shop has none.
pub fn clearing_cutter(shop: &Shop) -> Option<&Cutter> {
    let finish = shop.cutter(&shop.work.finish)?;
    let width = crate::relief::skirt_width(finish.diameter);
    let fits = |cutter: &&Cutter| {
        cutter.form == CutterForm::Flat
            && cutter.diameter <= width
            // A thinner one than the ball would be the weaker of the two.
            && cutter.diameter >= finish.diameter * 0.75
    };
    let thickest = |a: &&Cutter, b: &&Cutter| a.diameter.as_mm().total_cmp(&b.diameter.as_mm());
    shop.cutters.iter().filter(fits).max_by(thickest).filter(|_| rough_misses_skirt(shop))
}

fn pass(
    kind: PassKind,
    face: Face,
    cutter: &Cutter,
    centre: Vec<ArcPath>,
    area: Vec<ArcPath>,
) -> Pass {
    Pass { kind, face, cutter: cutter.clone(), centre, area, through: None }
}

fn counter_clockwise(paths: Vec<ArcPath>) -> Vec<ArcPath> {
    let turned = |path: ArcPath| if path.signed_area() < 0.0 { path.reversed() } else { path };
    paths.into_iter().map(turned).collect()
}

/// A place to clean up can't be cut so.
pub const CLEAN_UP_ASTRAY: Code = Code {
    name: "clean-up-astray",
    explain: "A place to clean up has no room for its cutter. The place is narrower than the \
        cutter, lies outside the limit of finishing, or names a cutter that the shop doesn't have. \
        The cutter's centre stays a radius inside the place and inside the limit of finishing, so \
        that it touches neither the frame nor a hold-down. Make the place wider than the cutter, \
        move it onto the piece, or name another cutter. Whether the cutter reaches every corner of \
        the place is not checked.",
};

/// The passes of the places to clean up. `finish` is the limit of finishing with the finishing
/// cutter.
fn clean_ups(shop: &Shop, asked: &[CleanUp], finish: &Limit, out: &mut Findings) -> Vec<Pass> {
    let mut passes = Vec::new();
    for (index, place) in asked.iter().enumerate() {
        let name = place.cutter.as_deref().unwrap_or(&shop.work.finish);
        // A drill only bores.
        let drill = |cutter: &&Cutter| matches!(cutter.form, CutterForm::Drill(_));
        let cutter = shop.cutter(name).filter(|cutter| !drill(cutter));
        let faces = Face::BOTH.into_iter().filter(|face| match place.sides {
            Serves::Both => true,
            Serves::Top => *face == Face::Top,
            Serves::Bottom => *face == Face::Bottom,
        });
        let before = passes.len();
        for face in faces {
            passes.extend(cutter.and_then(|c| clean_up(place.at, place.size, face, c, finish)));
        }
        if passes.len() == before {
            out.push(
                Finding::caution(
                    CLEAN_UP_ASTRAY,
                    match cutter {
                        Some(cutter) => format!(
                            "the place to clean up at {:.0}, {:.0} mm has no room for the centre \
                             of {name}, diameter {}, inside the limit of finishing",
                            place.at.x, place.at.y, cutter.diameter
                        ),
                        None => format!("the shop has no cutter {name} that can clean up"),
                    },
                    "Make it larger, move it onto the piece, or name another cutter.",
                )
                .at(Source::Design, format!("clean_up[{index}]")),
            );
        }
    }
    passes
}

/// A small rectangle for cleaning up a place by a short pass: limit of the centre and area touched,
/// `size` long and wide round `at`, in mm, cut off where it would go past `finish`. None when
/// nothing is left of it for the cutter.
pub fn clean_up(
    at: glam::DVec2,
    size: glam::DVec2,
    face: Face,
    cutter: &Cutter,
    finish: &Limit,
) -> Option<Pass> {
    let radius = cutter.diameter.half();
    let inner = size - cutter.diameter.as_mm();
    if inner.min_element() <= 0.0 || !inner.is_finite() || !at.is_finite() {
        return None;
    }
    let corners = [(-0.5, -0.5), (0.5, -0.5), (0.5, 0.5), (-0.5, 0.5)]
        .map(|(x, y)| at + glam::DVec2::new(x, y) * inner);
    let rectangle = ArcPath::polygon(corners);
    let limits = offset(&finish.area, -radius);
    let centre = limits.iter().flat_map(|limit| common(&rectangle, limit)).collect();
    let centre = counter_clockwise(centre);
    // A round cutter leaves the area's corners round.
    let area = centre.iter().flat_map(|path| offset(path, radius)).collect();
    (!centre.is_empty())
        .then(|| pass(PassKind::CleanUp, face, cutter, centre, counter_clockwise(area)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Length;
    use glam::DVec2;

    fn cutter(form: CutterForm, diameter: f64) -> Cutter {
        Cutter::bare("cutter", form, diameter, 38.0)
    }

    fn disc_side() -> DVec2 {
        DVec2::new(250.0, 0.0)
    }

    #[test]
    fn a_clean_up_rectangle_has_round_corners_and_its_size() {
        let ball = cutter(CutterForm::Ball, 3.0);
        let disc = ArcPath::circle(DVec2::new(200.0, 0.0), Length::mm(50.0));
        let finish = Limit::round(&disc, Length::mm(3.0)).expect("a disc");
        let size = DVec2::new(40.0, 20.0);
        let pass = clean_up(DVec2::new(200.0, 5.0), size, Face::Top, &ball, &finish).expect("fits");
        let area: f64 = pass.area.iter().map(ArcPath::signed_area).sum();
        // Less the four corners: (4 - pi) r².
        let exact = 40.0 * 20.0 - (4.0 - std::f64::consts::PI) * 1.5 * 1.5;
        assert!((area - exact).abs() < 1e-6, "{area} {exact}");
        assert!((pass.centre[0].signed_area() - 37.0 * 17.0).abs() < 1e-9);
        assert!(clean_up(disc_side(), DVec2::new(40.0, 2.0), Face::Top, &ball, &finish).is_none());
        assert!(clean_up(DVec2::ZERO, size, Face::Top, &ball, &finish).is_none());
        // Half over the skirt's edge: the centre stays inside the ball's own limit.
        let pass = clean_up(disc_side(), size, Face::Top, &ball, &finish).expect("in part");
        for p in pass.centre[0].to_polyline(Length::mm(0.01)) {
            assert!(p.distance(DVec2::new(200.0, 0.0)) <= 52.5 + 1e-6, "{p}");
        }
        for p in pass.area[0].to_polyline(Length::mm(0.01)) {
            assert!(p.distance(DVec2::new(200.0, 0.0)) <= 54.0 + 1e-6, "{p}");
        }
    }
}
