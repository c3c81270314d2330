//! What the sheet says of a job.

mod setups;

use super::board_view::{self, Shows};
use super::page::{Figure, FileLine, Picture, SheetInfo, Size};
use super::{drawings, words};
use crate::export::Artefact;
use crate::export::packet::PacketInfo;
use crate::finding::Findings;
use crate::job::{Job, Round};
use crate::params::Head;
use crate::units::{Length, Unit, plain};

/// Millilitres in a US tablespoon: a 256th of the gallon of 231 in³, at 25.4 mm to the inch.
const TABLESPOON_ML: f64 = 231.0 * 16.387_064 / 256.0;

/// The sheet of a job: what there is to say about it, and the packet's other files.
pub(super) fn of(
    job: &Job,
    round: &Round,
    info: &PacketInfo,
    findings: &Findings,
    files: &[Artefact],
    pictures: Vec<Picture>,
) -> SheetInfo {
    let order = &job.order;
    SheetInfo {
        design: order.design.name.clone(),
        kind: order.design.kind.name(),
        board: order.board.name.clone(),
        species: order.board.species.clone(),
        shop: order.shop.name.clone(),
        unit: order.shop.unit,
        stock_height: job.stock.height,
        sizes: sizes(job),
        figures: figures(job, round, info),
        changes: info.changes.clone(),
        findings: findings.clone(),
        files: files.iter().map(FileLine::from).collect(),
        setups: setups::setups(job, round, files),
        steps: setups::steps(round),
        drill: setups::drill(round),
        register: setups::register(round),
        layout_svg: board_view::svg(
            job,
            round,
            &round.setups[0].0,
            Shows::Wood,
            words::LAYOUT_NAME,
        ),
        finishing: vec![
            words::FINISH_WHERE,
            words::FINISH_SAND,
            words::FINISH_DUST,
            words::FINISH_OIL,
            words::FINISH_RULES,
        ],
        notes: order.shop.notes.clone(),
        pictures,
        plan_svg: drawings::views(job),
        profile_svg: drawings::cross_sections(job),
    }
}

fn sizes(job: &Job) -> Vec<Size> {
    let measured = job.sizes.list.iter();
    measured
        .map(|size| Size { what: size.what.clone(), asked: size.asked, measured: size.measured })
        .collect()
}

fn figures(job: &Job, round: &Round, info: &PacketInfo) -> Vec<Figure> {
    let unit = job.order.shop.unit;
    let figure =
        |what: &str, value: String, estimate| Figure { what: what.into(), value, estimate };
    let length =
        |length: Length| format!("{} {}", plain(length.as_unit(unit), places(unit)), unit.symbol());
    let measured = &info.measured;
    let mut figures = vec![
        figure("height over all", length(measured.height), false),
        figure("spare height of the stock", length(job.stock.spare), false),
        figure(
            "volume of the body",
            format!("{} cm³", plain(measured.body_volume_mm3 / 1e3, 1)),
            false,
        ),
    ];
    if let Some(wall) = measured.wall_least {
        let what = match job.order.design.head {
            Head::Bowl(_) => "least wall between hollow and back",
            Head::Blade(_) => "thickness of the blade's flat",
        };
        figures.push(figure(what, length(wall), false));
    }
    if let Some(tine) = measured.tine_width_least {
        figures.push(figure("least width of a tine", length(tine), false));
    }
    if let Some(capacity) = measured.capacity_ml {
        let spoons = plain(capacity / TABLESPOON_ML, 1);
        let value = format!("{} mL, {spoons} US tablespoons", plain(capacity, 1));
        figures.push(figure("what the hollow holds, level", value, false));
    }
    if let Some(mass) = measured.mass_g {
        let what = format!("mass in {} at 12 % moisture", job.order.board.species);
        figures.push(figure(&what, format!("{} g", plain(mass, 0)), true));
    }
    let held = &round.held;
    let of = if held.own_wood { "" } else { ", the weakest wood known" };
    let value = format!(
        "{} times a push of {} N in {}{of}",
        plain(held.borne.factor(), 1),
        plain(job.order.shop.bed.tabs.push_n, 1),
        held.wood
    );
    figures.push(figure("the weakest tab bears", value, true));
    figures.push(figure("pushed so, the piece gives way by", length(held.borne.sag), true));
    figures
}

const fn places(unit: Unit) -> usize {
    match unit {
        Unit::Millimetre => 2,
        Unit::Inch => 3,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The gallon of 231 in³ over 256: 14.78676478125 mL exactly.
    #[test]
    fn a_us_tablespoon_is_its_part_of_the_gallon() {
        assert!((TABLESPOON_ML - 14.786_764_781_25).abs() < 1e-11);
    }
}
