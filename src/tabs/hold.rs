//! The tabs of a job: places asked for or chosen, and what they bear where the piece lies.

use super::auto::{self, AutoGround};
use super::load::{Borne, Pushed, TABS_OFF_BALANCE, inside_supports};
use super::place::{self, TAB_THINNED, TabGround};
use crate::finding::{Finding, Findings, Severity, Source};
use crate::fit::Placement;
use crate::params::{self, Board, TabLoad, species, weakest};
use crate::relief::Tab;
use crate::units::Length;
use glam::DVec2;

/// What tabs are placed by.
#[derive(Clone, Copy)]
pub struct TabOrder<'a> {
    /// What the design asks for.
    pub asked: &'a params::Tabs,
    /// What they stand on.
    pub ground: TabGround<'a>,
    /// The hollow's edge: a closed polygon, or nothing.
    pub hollow: &'a [DVec2],
    /// Middle of the piece's mass in the plan, in mm, in the design frame.
    pub middle: DVec2,
    /// The board, for its wood and its grain.
    pub board: &'a Board,
    /// Where the piece lies on it.
    pub placement: &'a Placement,
    /// What the tabs must bear.
    pub load: TabLoad,
}

/// The tabs as they are made.
#[derive(Clone, Debug)]
pub struct HeldTabs {
    /// The design's tabs with every place filled in.
    pub asked: params::Tabs,
    /// The tabs in the design frame.
    pub tabs: Vec<Tab>,
    /// What they bear, by estimate.
    pub borne: Borne,
    /// The wood that it is reckoned with: the board's, or the weakest known.
    pub wood: &'static str,
    /// Whether that is the board's own.
    pub own_wood: bool,
    /// How far inside the supports the middle of the piece's mass lies, in mm; negative outside.
    pub within_mm: f64,
}

/// Tabs where they stand, and what they bear.
struct Stood {
    asked: params::Tabs,
    tabs: Vec<Tab>,
    borne: Borne,
    findings: Findings,
}

/// Places tabs of a design.
fn stand(order: &TabOrder<'_>, pushed: Pushed<'_>, asked: &params::Tabs) -> Stood {
    let TabOrder { ground, hollow, middle, .. } = *order;
    // Too thick for the stock is too thick anywhere.
    let mut findings = Findings::new();
    let asked = match ground.stock.height < asked.thickness {
        true => asked.clone(),
        false => {
            let at = AutoGround { ground, pushed, hollow, middle };
            auto::choose(asked, &at, &mut findings)
        }
    };
    let tabs = place::place_tabs(&asked, &ground, &mut findings);
    let borne = pushed.reckon(&tabs);
    Stood { asked, tabs, borne, findings }
}

/// The least thickness, in half millimetres up to 10, that does.
fn thick_enough(asked: &params::Tabs, does: impl Fn(Length) -> bool) -> Option<Length> {
    let halves = (4..=20).map(|half| Length::mm(0.5 * f64::from(half)));
    halves.filter(|thick| *thick > asked.thickness).find(|thick| does(*thick))
}

/// Places the tabs, and says what is to be said of them.
pub fn hold_tabs(order: &TabOrder<'_>, out: &mut Findings) -> HeldTabs {
    let known = species(&order.board.species);
    let wood = known.unwrap_or_else(weakest);
    let turned = order.placement.angle.as_radians();
    let grain = |p: DVec2| order.board.grain_at(order.placement.on_board(p)).as_radians() - turned;
    let pushed = Pushed {
        outline: order.ground.outline,
        skirt: order.ground.skirt,
        wood,
        grain: &grain,
        load: order.load,
    };
    let Stood { asked, tabs, borne, findings } = stand(order, pushed, order.asked);
    out.extend(findings);
    let within_mm = inside_supports(&tabs, order.middle);
    // A tab that could not stand has been told of; what the rest bears says nothing then.
    if !tabs.is_empty() && !out.has_fault() {
        let names: Vec<String> =
            asked.place.iter().enumerate().map(|(i, place)| place::name(i, *place)).collect();
        // The thickness that would do is tried from the first step on: the tool may then choose
        // other places, and a face of the stock or the body may be too near for it.
        let does = |thickness: Length| {
            let asked = params::Tabs { thickness, ..order.asked.clone() };
            let stood = stand(order, pushed, &asked);
            let whole = |finding: &Finding| {
                finding.severity == Severity::Caution && finding.code != TAB_THINNED
            };
            stood.findings.iter().all(whole) && stood.borne.enough(&order.load)
        };
        pushed.judge(&borne, &names, || thick_enough(order.asked, does), out);
        if within_mm < 0.0 {
            out.push(
                Finding::caution(
                    TABS_OFF_BALANCE,
                    format!(
                        "the piece's centre of mass, {:.0} mm from the handle's end, is {:.1} mm \
                         outside the supports of the tabs",
                        order.middle.x, -within_mm
                    ),
                    "Move a tab to that side or add one, or write place = \"auto\".",
                )
                .at(Source::Design, "tabs.place"),
            );
        }
    }
    HeldTabs { asked, tabs, borne, wood: wood.names[0], own_wood: known.is_some(), within_mm }
}
