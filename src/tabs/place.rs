//! Puts the tabs where the file asks for them.

use crate::finding::{Code, Finding, Findings, Source};
use crate::fit::{Stock, apart};
use crate::outline::ArcPath;
use crate::params::{self, Side, TabPlace};
use crate::relief::Tab;
use crate::units::Length;
use glam::DVec2;

/// A tab has nothing to stand on.
pub const TAB_MISSES_BODY: Code = Code {
    name: "tab-misses-body",
    explain: "There is no outline for a tab to bear on at the place asked for. A tab is square to \
        the outline on its left or right side, at a share of the utensil's length from the \
        handle's end. At the very end or tip the outline has no left or right side, and close to \
        them a wide tab would run round the corner. In a narrow neck a tab may run into the head. \
        Move the tab along, usually by a few per cent, or make the tabs narrower. Whether the tabs \
        hold the piece well is another check.",
};

/// Two tabs touch.
pub const TABS_TOUCH: Code = Code {
    name: "tabs-touch",
    explain: "Two tabs are so close that they run into each other. No cutter could run between \
        them, and the two would be one wide tab. Set them further apart, or leave one out. The \
        finding names both by their order in the file.",
};

/// The stock's face takes part of a tab.
pub const TAB_THINNED: Code = Code {
    name: "tab-thinned",
    explain: "A tab comes out thinner than asked, because a face of the stock is too near. A tab \
        has half of its thickness above the parting line and half below. Where a curved handle \
        brings the parting line close to the top or the underside of the stock, there isn't enough \
        wood on that side. Move the tab to where the handle is nearer to the middle of the stock, \
        or use a thicker board.",
};

/// A tab is thicker than what it stands between.
pub const TAB_TOO_THICK: Code = Code {
    name: "tab-too-thick",
    explain: "The tabs are thicker than the stock, or than the body where one of them bears. \
        A tab joins the body's edge to the frame of waste, so it can't reach higher or lower than \
        either; what would stick out is air, or would have to be pared off the body's faces. \
        The body is measured from 3 mm inside its outline, past the rounding of its edge, to as \
        far inside as the tab is wide; the thickest place of these counts. \
        Make the tabs thinner, as the help says, or move them to where the body is thicker. \
        It does not say whether thinner tabs are strong enough; tab-weak does.",
};

/// A tab stands at a fork's slot.
pub const TAB_AT_SLOT: Code = Code {
    name: "tab-at-slot",
    explain: "A tab bears on the fork where a slot will be cut. A tine held at its tip by a tab is \
        pulled when the slot is cut and when the tab is sawn off, and the mouth of the slot must \
        be cleaned up by hand. Move the tab back from the tips, or to the handle. The job can be \
        made as asked.",
};

/// A tab must face sideways by at least this much (sine of 30 degrees): less, and it would stand
/// at the end, not on the left or right.
const LEAST_SIDEWAYS: f64 = 0.5;

/// Between two tabs there must be at least this much (no source; less is no gap in wood).
pub(super) const LEAST_GAP_MM: f64 = 0.5;

/// What tabs stand on.
#[derive(Clone, Copy)]
pub struct TabGround<'a> {
    /// The utensil's length.
    pub length: Length,
    /// The outline: a closed polygon, counter-clockwise, in mm, in the design frame.
    pub outline: &'a [DVec2],
    /// The skirt's edge: the same.
    pub edge: &'a [DVec2],
    /// Height of the parting line in mm.
    pub parting: &'a dyn Fn(DVec2) -> f64,
    /// The stock.
    pub stock: &'a Stock,
    /// The skirt's width.
    pub skirt: Length,
    /// The slots: closed polygons.
    pub slots: &'a [Vec<DVec2>],
    /// Thickness of the body at a place inside its outline, in mm.
    pub height: &'a dyn Fn(DVec2) -> f64,
}

/// The body is measured this far inside the outline, past the rounding of its edge (no source).
const STOUT_AT_MM: f64 = 3.0;

impl TabGround<'_> {
    /// A tab at a place, and its outline.
    ///
    /// # Errors
    /// Why none can stand there.
    pub(super) fn stand(
        &self,
        width: Length,
        thickness: Length,
        place: TabPlace,
    ) -> Result<(Tab, ArcPath), &'static str> {
        let x = self.length.as_mm() * place.at;
        let (foot, out) =
            station(self.outline, x, place.side).ok_or("has no side of the outline to bear on")?;
        let middle = (self.parting)(foot);
        let half = thickness.half().as_mm();
        let tab = Tab {
            foot,
            out,
            width,
            bottom: Length::mm(middle - half).max(self.stock.bottom),
            top: Length::mm(middle + half).min(self.stock.top),
        };
        let bearing =
            tab.stands_on(self.outline, self.skirt).ok_or("is too wide for the outline there")?;
        // More than a mean of 45 degrees away from the foot: it runs round a corner.
        if bearing.iter().any(|b| b.as_mm().abs() > width.half().as_mm()) {
            return Err("is so wide that it runs round the body's end");
        }
        let contour = tab_contour(&tab, bearing, self.skirt, self.edge)
            .ok_or("does not come to the edge of the skirt")?;
        Ok((tab, contour))
    }
}

impl TabGround<'_> {
    /// Thickness of the body behind a tab's foot and behind both of its sides, in mm.
    pub(super) fn behind(&self, tab: &Tab) -> [f64; 3] {
        let [first, second] = tab.sides();
        [first, tab.foot, second].map(|foot| (self.height)(foot - tab.out * STOUT_AT_MM))
    }

    /// Thickness of the body where a tab bears, in mm: the greatest from there to as far inside as
    /// the tab is wide, since near its edge a body is thin and still holds.
    fn body_at(&self, tab: &Tab) -> f64 {
        let deep = (tab.width.as_mm() - STOUT_AT_MM).max(0.0).ceil() as u32;
        let places = (0..=deep).map(|mm| STOUT_AT_MM + f64::from(mm));
        places.map(|inside| (self.height)(tab.foot - tab.out * inside)).fold(0.0, f64::max)
    }

    /// How thick tabs at these places can be, and the body's thickness where each bears, in mm.
    fn thickest(&self, asked: &params::Tabs) -> (f64, Vec<Option<f64>>) {
        let bears = |place: &TabPlace| {
            let (tab, _) = self.stand(asked.width, asked.thickness, *place).ok()?;
            Some(self.body_at(&tab))
        };
        let bodies: Vec<Option<f64>> = asked.place.iter().map(bears).collect();
        (bodies.iter().flatten().copied().fold(self.stock.height.as_mm(), f64::min), bodies)
    }

    /// What the tabs must be thinned to, where they are thicker than the stock, or than the body at a
    /// place where one bears; in whole tenths of a millimetre.
    pub fn thinned(&self, asked: &params::Tabs) -> Option<Length> {
        let (most, _) = self.thickest(asked);
        (asked.thickness.as_mm() > most + 1e-9).then(|| tenths(most))
    }

    /// Tabs that are thicker than the stock, or than the body at each place where one bears, said
    /// once for all of them.
    pub(super) fn too_thick(&self, asked: &params::Tabs) -> Option<Finding> {
        let stock = self.stock.height.as_mm();
        let (most, bodies) = self.thickest(asked);
        let thick = asked.thickness;
        if thick.as_mm() <= most + 1e-9 {
            return None;
        }
        let message = if thick.as_mm() > stock {
            format!("the tabs are {thick} thick, and the stock is {}", self.stock.height)
        } else {
            let named = asked.place.iter().zip(&bodies).enumerate();
            let over = named.filter_map(|(index, (place, body))| {
                let body = body.filter(|body| thick.as_mm() > *body + 1e-9)?;
                Some(format!("{} on {}", name(index, *place), Length::mm(body)))
            });
            let over: Vec<String> = over.collect();
            format!("tabs {thick} thick stand on a thinner body: {}", over.join("; "))
        };
        let most = tenths(most);
        let help = format!(
            "Make tabs.thickness {most} or less, or move the tabs to where the body is thicker."
        );
        Some(Finding::fault(TAB_TOO_THICK, message, help).at(Source::Design, "tabs.thickness"))
    }
}

fn tenths(mm: f64) -> Length {
    Length::mm((10.0 * mm + 1e-9).floor() / 10.0)
}

/// What a tab is called in messages, counted from 0.
pub(super) fn name(index: usize, place: TabPlace) -> String {
    format!("tab {}, {} at {:.0} %", index + 1, side(place.side), place.at * 100.0)
}

/// Places the tabs that the design asks for. Tabs with a fault are left out.
pub fn place_tabs(asked: &params::Tabs, ground: &TabGround<'_>, out: &mut Findings) -> Vec<Tab> {
    if let Some(finding) = ground.too_thick(asked) {
        out.push(finding);
        return Vec::new();
    }
    let mut tabs: Vec<(usize, Tab, ArcPath)> = Vec::new();
    for (index, place) in asked.place.iter().enumerate() {
        let key = match asked.auto {
            Some(_) => "tabs.place".to_owned(),
            None => format!("tabs.place[{index}].at"),
        };
        let name = name(index, *place);
        let (tab, contour) = match ground.stand(asked.width, asked.thickness, *place) {
            Ok(stands) => stands,
            Err(why) => {
                out.push(
                    Finding::fault(
                        TAB_MISSES_BODY,
                        format!("{name}, {why}"),
                        "Move it a little along the body, or make the tabs narrower.",
                    )
                    .at(Source::Design, &key),
                );
                continue;
            }
        };
        let left = tab.top - tab.bottom;
        if (asked.thickness - left).as_mm() > 0.01 {
            out.push(
                Finding::caution(
                    TAB_THINNED,
                    format!(
                        "{name}, is {left} thick instead of {}: the stock ends there",
                        asked.thickness
                    ),
                    "Move it to where the handle is nearer to the middle of the stock.",
                )
                .at(Source::Design, &key),
            );
        }
        let corners = corners(&contour);
        if ground.slots.iter().any(|slot| apart(&corners, slot) <= 0.0) {
            out.push(
                Finding::caution(
                    TAB_AT_SLOT,
                    format!("{name}, bears where a slot will be cut"),
                    "Move it back from the tips.",
                )
                .at(Source::Design, &key),
            );
        }
        if let Some((other, _, _)) = tabs
            .iter()
            .find(|(_, _, before)| apart(&corners, &self::corners(before)) < LEAST_GAP_MM)
        {
            out.push(
                Finding::fault(
                    TABS_TOUCH,
                    format!("{name}, touches tab {}", other + 1),
                    "Set them further apart, or leave one out.",
                )
                .at(Source::Design, &key),
            );
            continue;
        }
        tabs.push((index, tab, contour));
    }
    tabs.into_iter().map(|(_, tab, _)| tab).collect()
}

/// A saw line stands this far off the body, so that the saw's set does not score it and a stub is
/// left to pare (common practice, no source).
const STUB_MM: f64 = 0.6;

/// How far a saw line goes past both sides of a tab, in mm, so that it can be followed.
const SAW_PAST_MM: f64 = 3.0;

/// The line along which a tab is sawn off: straight across it, just clear of the body, from past
/// one side to past the other. Open, in the design frame.
pub fn saw_line(tab: &Tab, outline: &[DVec2]) -> ArcPath {
    let [first, second] = tab.sides();
    let half = tab.width.half().as_mm();
    // The furthest that the body comes out beside the line.
    let most = half + SAW_PAST_MM;
    let local = |p: DVec2| DVec2::new((p - tab.foot).dot(tab.along()), (p - tab.foot).dot(tab.out));
    let mut out: f64 = 0.0;
    for (index, a) in outline.iter().enumerate() {
        let (a, b) = (local(*a), local(outline[(index + 1) % outline.len()]));
        // Of each side of the outline, what lies within the line's length.
        let at = |x: f64| (x - a.x) / (b.x - a.x);
        for t in [0.0, 1.0, at(-most), at(most)] {
            let p = a.lerp(b, t);
            let within = (0.0..=1.0).contains(&t) && p.x.abs() <= most + 1e-9;
            if within && p.y.abs() <= tab.width.as_mm() {
                out = out.max(p.y);
            }
        }
    }
    let off = tab.out * (out + STUB_MM);
    let past = tab.along() * SAW_PAST_MM;
    ArcPath { closed: false, ..ArcPath::polygon([first - past + off, second + past + off]) }
}

/// The outline of a tab across the skirt: a rectangle from the body (a little into it where the
/// outline is round, so that no gap is left) to the skirt's edge, a closed polygon; where that is
/// further than the skirt is wide, too. `bearing` is what [`Tab::stands_on`] gives.
/// Counter-clockwise, in the design frame. Nothing when the tab does not come to the edge.
pub fn tab_contour(
    tab: &Tab,
    bearing: [Length; 2],
    skirt: Length,
    edge: &[DVec2],
) -> Option<ArcPath> {
    let ends = tab.ends_at(edge, bearing)?;
    let inner = bearing[0].min(bearing[1]).min(Length::ZERO).as_mm();
    let outer = bearing[0].max(bearing[1]).max(Length::ZERO) + skirt;
    let outer = outer.max(ends[0]).max(ends[1]).as_mm();
    let [first, second] = tab.sides();
    let corners = [
        first + tab.out * inner,
        first + tab.out * outer,
        second + tab.out * outer,
        second + tab.out * inner,
    ];
    Some(ArcPath::polygon(corners))
}

pub(super) fn corners(path: &ArcPath) -> Vec<DVec2> {
    path.vertices.iter().map(|vertex| vertex.point).collect()
}

const fn side(side: Side) -> &'static str {
    match side {
        Side::Left => "left",
        Side::Right => "right",
    }
}

/// The outermost place of the outline on that side at that x, and the normal there.
fn station(outline: &[DVec2], x: f64, side: Side) -> Option<(DVec2, DVec2)> {
    let sign = match side {
        Side::Left => 1.0,
        Side::Right => -1.0,
    };
    let count = outline.len();
    let (index, t, foot) = (0..count)
        .filter_map(|i| {
            let (a, b) = (outline[i], outline[(i + 1) % count]);
            let crosses = (a.x < x) != (b.x < x);
            let t = (x - a.x) / (b.x - a.x);
            crosses.then(|| (i, t, a.lerp(b, t)))
        })
        .max_by(|a, b| (a.2.y * sign).total_cmp(&(b.2.y * sign)))?;
    // The normal of the curve that the polygon stands for: between those at the two corners.
    let segment = |i: usize| {
        (outline[(i + 1) % count] - outline[i % count]).try_normalize().unwrap_or(DVec2::ZERO)
    };
    let (before, here, after) = (segment(index + count - 1), segment(index), segment(index + 1));
    let along = (before + here).lerp(here + after, t).try_normalize()?;
    let out = -along.perp();
    (out.y * sign >= LEAST_SIDEWAYS).then_some((foot, out))
}

#[cfg(test)]
mod tests;
