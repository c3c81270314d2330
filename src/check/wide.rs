//! Is the head as wide as its `width` says?

use super::{Context, cure};
use crate::finding::{Code, Finding, Findings, Source};
use crate::params::{self, Design, Head, Station};
use crate::shape::Body;
use crate::units::{Length, plain};

/// The head is wider than its width somewhere else.
pub const HEAD_WIDER: Code = Code {
    name: "head-wider",
    explain: "The head has an outline of its own, and away from its widest place it is more than one part in a \
        hundred wider than its `width`. The outline is a smooth line through its stations and through `width` at \
        `widest`, so a station that is greater, or one that is nearly as great and not far away, makes it swell \
        beyond. A greater head takes more of the board, and may not be what you meant. Move `widest` to where the \
        head is to be widest, make the station smaller, or accept it if you like the outline.",
};

/// So much wider than asked for is told, as a share of the width: less is hardly seen (by eye).
const MORE: f64 = 0.01;
/// Places looked at along the head.
const LOOKS: u32 = 400;

/// Where along the head of a design it is widest, and how wide, if that is more than its `width`.
fn wider(design: &Design, body: &Body) -> Option<(f64, Length)> {
    let head = &design.head;
    // What a drawing says is as wide as drawn.
    if head.outline().is_empty() || design.plan.is_some() {
        return None;
    }
    let share = |look: u32| f64::from(look) / f64::from(LOOKS);
    let width = |share: f64| {
        let [right, left] = body.across(body.head_x(share));
        left - right
    };
    let most = (1..LOOKS).map(share).max_by(|a, b| width(*a).total_cmp(&width(*b)))?;
    let found = width(most);
    (found > head.width().as_mm() * (1.0 + MORE)).then_some((most, Length::mm(found)))
}

pub(super) fn look(at: &Context<'_>, out: &mut Findings) {
    let Some((place, found)) = wider(at.design, at.body) else { return };
    let head = &at.design.head;
    let message = format!(
        "The head is {found} wide at {} of its length, and its `width` is {}.",
        percent(place),
        head.width()
    );
    let help = cure::advice(at, || narrower(at, place, found));
    let key = format!("{}.outline", head.table());
    out.push(Finding::caution(HEAD_WIDER, message, help).at(Source::Design, &key));
}

/// What keeps the head to its width: saying that it is widest there, or one more station.
fn narrower(at: &Context<'_>, place: f64, found: Length) -> String {
    /// How far from there, in parts of the head, is looked, nearest first.
    const BESIDE: [f64; 9] = [0.0, -0.02, 0.02, -0.04, 0.04, -0.07, 0.07, -0.1, 0.1];
    /// How much less than the width a station there is.
    const LESS: [f64; 5] = [0.0, 0.01, 0.02, 0.03, 0.05];
    let whole = |share: f64| (100.0 * share).round() / 100.0;
    let places = BESIDE.map(|by| whole(place + by));
    // What a maker writes: tenths of a millimetre.
    let tenths = |size: f64| Length::mm((10.0 * size).round() / 10.0);
    let head = &at.design.head;
    let keeps = |change: &dyn Fn(&mut Design)| {
        let mut design = at.design.clone();
        change(&mut design);
        // The body by itself is looked at first: fitting it takes longer.
        let alone = !params::faults(&design).has_fault() && {
            let body = Body::new(&design);
            body.trouble().is_none() && wider(&design, &body).is_none()
        };
        alone
            && cure::changed(at, change).is_some_and(|fit| wider(&fit, &Body::new(&fit)).is_none())
    };
    let size = tenths(found.as_mm() + 0.05);
    let widest = places.into_iter().find(|share| {
        keeps(&|design: &mut Design| match &mut design.head {
            Head::Bowl(bowl) => (bowl.widest, bowl.width) = (*share, size),
            Head::Blade(blade) => (blade.widest, blade.width) = (*share, size),
        })
    });
    let sizes = LESS.map(|less| tenths(head.width().as_mm() * (1.0 - less)));
    let stations = places.into_iter().flat_map(|at| sizes.map(|size| Station { at, size }));
    let asks_less = head.outline().iter().all(|station| station.size <= head.width());
    let station = asks_less.then_some(stations).into_iter().flatten().find(|station| {
        keeps(&|design: &mut Design| {
            let outline = match &mut design.head {
                Head::Bowl(bowl) => &mut bowl.outline,
                Head::Blade(blade) => &mut blade.outline,
            };
            let index = outline.partition_point(|other| other.at < station.at);
            outline.insert(index, *station);
        })
    });
    let table = head.table();
    let widest = widest.map(|share| {
        let share = percent(share);
        format!("If it is to be widest there, write widest = \"{share}\" and width = \"{size}\".")
    });
    let station = station.map(|Station { at, size }| {
        let at = percent(at);
        format!(
            "To keep it narrower, add {{ at = \"{at}\", size = \"{size}\" }} to `{table}.outline`."
        )
    });
    let less = "To keep it narrower, make the sizes of `outline` near there less.".to_owned();
    let ways: Vec<String> = widest.into_iter().chain(station.or(Some(less))).collect();
    format!("{} Or accept it.", ways.join(" "))
}

fn percent(share: f64) -> String {
    format!("{} %", plain(100.0 * share, 0))
}

pub(super) fn says(at: &Context<'_>) -> Option<String> {
    wider(at.design, at.body)
        .map(|(_, found)| format!("head {found}, asked for {}", at.design.head.width()))
}
