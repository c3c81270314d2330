//! Tabs that the tool places: on stout parts, round the middle of the piece's mass, as few and as
//! thin as bear the finishing pass by estimate.
//!
//! Promised: the supports enclose the middle; no tab stands at a slot, at the hollow or on a part
//! thinner than the tab. Not promised: the best places of all. They are found by moving one tab at
//! a time as long as that helps.

use super::load::{Borne, Pushed, as_thick, inside_supports};
use super::place::{self, TabGround};
use crate::finding::{Code, Finding, Findings, Source};
use crate::fit::apart;
use crate::params::{self, Side, TabPlace};
use crate::relief::Tab;
use crate::units::Length;
use glam::DVec2;

/// No room for tabs.
pub const NO_ROOM_FOR_TABS: Code = Code {
    name: "no-room-for-tabs",
    explain: "The tool was to place the tabs and found no places. A tab goes on the left or right \
        of the outline, where the body is at least as thick as the tab, a tab's width away from \
        the edge of the hollow and behind the roots of slots, with its whole thickness inside the \
        stock. Enough such places are needed, two tab widths apart, with the piece's centre of \
        mass between their supports. Make the tabs narrower or thinner, ask for more of them, or \
        write the places yourself. Places at the very end and at the tip are not tried.",
};

/// What the tool chooses from.
#[derive(Clone, Copy)]
pub struct AutoGround<'a> {
    /// What tabs stand on.
    pub ground: TabGround<'a>,
    /// What pushes and what bears.
    pub pushed: Pushed<'a>,
    /// The hollow's edge: a closed polygon, or nothing.
    pub hollow: &'a [DVec2],
    /// Middle of the piece's mass in the plan, in mm.
    pub middle: DVec2,
}

/// Places are tried at every so many hundredths of the utensil's length.
const STEP_PERCENT: u32 = 1;
/// The middle must be inside the supports by this much (no source).
const WITHIN_MM: f64 = 0.5;
/// Three tabs hold a piece as a stool stands; two leave it to their own stiffness.
const FEWEST: u32 = 3;
const MOST: u32 = 8;
/// So much more than is needed is enough: the rest of the choice goes by other things (no source).
const ENOUGH: f64 = 1.2;
/// Thinnest tab that is worth sawing (common practice, no source).
const THINNEST_MM: f64 = 2.0;
const THICKNESS_STEP_MM: f64 = 0.5;

/// A place that would do.
#[derive(Clone)]
struct Candidate {
    place: TabPlace,
    tab: Tab,
    /// Of its outline.
    corners: Vec<DVec2>,
}

/// The tabs of a design, with places chosen by the tool if it asks for that.
pub fn choose(asked: &params::Tabs, at: &AutoGround<'_>, out: &mut Findings) -> params::Tabs {
    let Some(auto) = asked.auto else { return asked.clone() };
    let candidates = candidates(asked, at);
    let counts = auto.count.map_or(FEWEST..=MOST, |count| count..=count);
    let mut best: Option<(f64, Vec<Candidate>)> = None;
    for count in counts {
        let Some(chosen) = spread(&candidates, count as usize, at) else { continue };
        let borne = reckon(&chosen, asked.thickness, at);
        let enough = borne.enough(&at.pushed.load);
        let score = score(&borne, at);
        if best.as_ref().is_none_or(|(before, _)| score > *before) {
            best = Some((score, chosen));
        }
        if enough {
            break;
        }
    }
    let Some((_, mut chosen)) = best else {
        let wanted = auto.count.map_or_else(|| "three".to_owned(), |count| count.to_string());
        out.push(
            Finding::fault(
                NO_ROOM_FOR_TABS,
                format!(
                    "of {} places thick enough for a tab {} wide, no {wanted} support the middle \
                     of the piece, {:.0} mm from the handle's end",
                    candidates.len(),
                    asked.width,
                    at.middle.x
                ),
                "Write the places yourself, or make the tabs narrower or thinner.",
            )
            .at(Source::Design, "tabs.place"),
        );
        return asked.clone();
    };
    // As thin as bears the push.
    let steps = ((asked.thickness.as_mm() - THINNEST_MM) / THICKNESS_STEP_MM).ceil();
    let thinner = (0..steps.clamp(0.0, 100.0) as u32)
        .map(|step| Length::mm(THINNEST_MM + THICKNESS_STEP_MM * f64::from(step)))
        .find(|thin| {
            auto.thickness.is_none() && reckon(&chosen, *thin, at).enough(&at.pushed.load)
        });
    chosen.sort_by(|a, b| {
        let key = |c: &Candidate| (c.place.at, c.place.side == Side::Right);
        let ((x, right), (other_x, other_right)) = (key(a), key(b));
        x.total_cmp(&other_x).then(right.cmp(&other_right))
    });
    params::Tabs {
        width: asked.width,
        thickness: thinner.unwrap_or(asked.thickness),
        place: chosen.iter().map(|candidate| candidate.place).collect(),
        auto: Some(auto),
    }
}

fn reckon(chosen: &[Candidate], thickness: Length, at: &AutoGround<'_>) -> Borne {
    let tabs: Vec<Tab> = chosen.iter().map(|c| as_thick(&c.tab, thickness)).collect();
    at.pushed.reckon(&tabs)
}

/// The lesser of what is left of strength and of stiffness: 1 is just enough.
fn score(borne: &Borne, at: &AutoGround<'_>) -> f64 {
    let load = &at.pushed.load;
    let stiff = load.sag.as_mm() / borne.sag.as_mm().max(1e-9);
    (borne.factor() / load.safety).min(stiff)
}

fn candidates(asked: &params::Tabs, at: &AutoGround<'_>) -> Vec<Candidate> {
    let ground = &at.ground;
    let width = asked.width.as_mm();
    let slots = ground.slots.iter().flatten().map(|p| p.x);
    let roots = slots.fold(f64::INFINITY, f64::min);
    let mut found = Vec::new();
    for step in 1..100 / STEP_PERCENT {
        for side in [Side::Left, Side::Right] {
            let place = TabPlace { side, at: f64::from(step * STEP_PERCENT) / 100.0 };
            let Ok((tab, contour)) = ground.stand(asked.width, asked.thickness, place) else {
                continue;
            };
            let whole = (asked.thickness - (tab.top - tab.bottom)).as_mm() < 0.01;
            let stout = ground.behind(&tab).iter().all(|body| *body >= asked.thickness.as_mm());
            let corners = place::corners(&contour);
            let off_hollow = at.hollow.is_empty() || apart(&corners, at.hollow) >= width;
            let off_slots = tab.foot.x + 1.5 * width <= roots;
            if whole && stout && off_hollow && off_slots {
                found.push(Candidate { place, tab, corners });
            }
        }
    }
    found
}

/// So many places that enclose the middle: first spread evenly, then one after the other moved to
/// where the tabs together bear most, until no move helps.
fn spread(candidates: &[Candidate], count: usize, at: &AutoGround<'_>) -> Option<Vec<Candidate>> {
    let last = candidates.len().checked_sub(1)?;
    let free = |chosen: &[Candidate], but: usize, place: &Candidate| {
        let least = 2.0 * place.tab.width.as_mm();
        chosen.iter().enumerate().all(|(i, other)| {
            let feet = other.tab.foot.distance(place.tab.foot);
            // Where the outline is hollow, tabs come nearer to each other further out.
            i == but
                || (feet >= least && apart(&other.corners, &place.corners) >= place::LEAST_GAP_MM)
        })
    };
    // The sides in turn, from the handle's end on.
    let mut chosen: Vec<Candidate> = Vec::new();
    for index in 0..count {
        let want = candidates[last * index / (count - 1).max(1)].tab.foot.x;
        let side = if index % 2 == 0 { Side::Left } else { Side::Right };
        let near = |c: &Candidate| {
            (c.tab.foot.x - want).abs() + if c.place.side == side { 0.0 } else { 10.0 }
        };
        let next = candidates
            .iter()
            .filter(|c| free(&chosen, usize::MAX, c))
            .min_by(|a, b| near(a).total_cmp(&near(b)))?;
        chosen.push(next.clone());
    }
    // Enclosing counts first, then strength; both by one figure that grows.
    let worth = |chosen: &[Candidate]| {
        let tabs: Vec<Tab> = chosen.iter().map(|c| c.tab).collect();
        let within = inside_supports(&tabs, at.middle);
        if within < WITHIN_MM {
            return within - 1e6;
        }
        // Strong enough, then with the least of the piece hanging free: it is not rigid.
        let score = score(&at.pushed.reckon(&tabs), at);
        let free =
            at.ground.outline.iter().step_by(8).map(|p| {
                tabs.iter().map(|tab| tab.foot.distance(*p)).fold(f64::INFINITY, f64::min)
            });
        let free = free.fold(0.0, f64::max) / at.ground.length.as_mm();
        if score < ENOUGH { score } else { ENOUGH + 1.0 / (1.0 + free) }
    };
    let mut best = worth(&chosen);
    const ROUNDS: usize = 6;
    for _ in 0..ROUNDS {
        let before = best;
        for index in 0..count {
            for candidate in candidates {
                if !free(&chosen, index, candidate) {
                    continue;
                }
                let old = std::mem::replace(&mut chosen[index], candidate.clone());
                let now = worth(&chosen);
                if now > best * (1.0 + 1e-9) + 1e-12 {
                    best = now;
                } else {
                    chosen[index] = old;
                }
            }
        }
        if best <= before {
            break;
        }
    }
    (best > -1e5).then_some(chosen)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::heard;
    use crate::fit::Stock;
    use crate::params::{AutoTabs, TabLoad, species};

    /// A rectangle of 200 by 40 with a hollow in its last third.
    fn outline() -> Vec<DVec2> {
        let mut points = Vec::new();
        for i in 0..100 {
            points.push(DVec2::new(2.0 * f64::from(i), -20.0));
        }
        for i in 0..20 {
            points.push(DVec2::new(200.0, -20.0 + 2.0 * f64::from(i)));
        }
        for i in 0..100 {
            points.push(DVec2::new(200.0 - 2.0 * f64::from(i), 20.0));
        }
        for i in 0..20 {
            points.push(DVec2::new(0.0, 20.0 - 2.0 * f64::from(i)));
        }
        points
    }

    const HOLLOW: [DVec2; 4] = [
        DVec2::new(150.0, -15.0),
        DVec2::new(195.0, -15.0),
        DVec2::new(195.0, 15.0),
        DVec2::new(150.0, 15.0),
    ];

    fn run(count: Option<u32>, thickness: Option<Length>, push_n: f64) -> (params::Tabs, Vec<Tab>) {
        let outline = outline();
        let corners = [(-4.0, -24.0), (204.0, -24.0), (204.0, 24.0), (-4.0, 24.0)];
        let edge = corners.map(|(x, y)| DVec2::new(x, y));
        let stock = Stock::round(Length::mm(30.0), Length::mm(-10.0), Length::mm(10.0));
        let grain = |_: DVec2| 0.0;
        // Thin in the first tenth.
        let height = |p: DVec2| if p.x < 20.0 { 3.0 } else { 12.0 };
        let at = AutoGround {
            ground: TabGround {
                height: &height,
                length: Length::mm(200.0),
                outline: &outline,
                edge: &edge,
                parting: &|_| 0.0,
                stock: &stock,
                skirt: Length::mm(4.0),
                slots: &[],
            },
            pushed: Pushed {
                outline: &outline,
                skirt: Length::mm(4.0),
                wood: species("cherry").expect("known"),
                grain: &grain,
                load: TabLoad { push_n, ..TabLoad::default() },
            },
            hollow: &HOLLOW,
            middle: DVec2::new(95.0, 0.0),
        };
        let asked = params::Tabs {
            width: Length::mm(9.0),
            thickness: thickness.unwrap_or(Length::mm(6.0)),
            place: Vec::new(),
            auto: Some(AutoTabs { count, thickness }),
        };
        let (made, findings) = heard(|out| choose(&asked, &at, out));
        assert_eq!(findings.iter().count(), 0);
        let (tabs, findings) = heard(|out| place::place_tabs(&made, &at.ground, out));
        assert!(!findings.has_fault());
        let enough = at.pushed.reckon(&tabs).enough(&at.pushed.load);
        assert!(enough || count == Some(2), "{made:?}");
        // One step thinner would not do, unless that is the thinnest of all.
        let thinner: Vec<Tab> = tabs
            .iter()
            .map(|t| as_thick(t, made.thickness - Length::mm(THICKNESS_STEP_MM)))
            .collect();
        let least = made.thickness <= Length::mm(THINNEST_MM) || thickness.is_some();
        assert!(least || !at.pushed.reckon(&thinner).enough(&at.pushed.load));
        (made, tabs)
    }

    #[test]
    fn tabs_enclose_the_middle_and_keep_off_thin_parts_and_the_hollow() {
        for count in [None, Some(2), Some(3), Some(4), Some(6), Some(8)] {
            let (made, tabs) = run(count, None, 6.0);
            assert!(count.is_none_or(|count| tabs.len() == count as usize));
            assert!(inside_supports(&tabs, DVec2::new(95.0, 0.0)) >= WITHIN_MM, "{made:?}");
            for tab in &tabs {
                assert!(tab.foot.x >= 24.5 && tab.foot.x <= 139.0, "{}", tab.foot);
            }
        }
    }

    #[test]
    fn a_harder_push_wants_more_or_thicker_tabs() {
        let wood = |push: f64| {
            let (made, tabs) = run(None, None, push);
            made.thickness.as_mm() * tabs.len() as f64
        };
        assert!(wood(3.0) < wood(15.0));
        assert_eq!(run(None, Some(Length::mm(5.0)), 3.0).0.thickness, Length::mm(5.0));
    }
}
