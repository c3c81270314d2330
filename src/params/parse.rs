//! Each of the three files, from its text to checked values.

use super::design::{HEADS, likely};
use super::keys::{Keyed, tree};
use super::read::file;
use super::{Air, Board, Design, Holder, Shop, codes, plan, validate};
use crate::finding::{Findings, Source, Spans};
use crate::units::Unit;
use toml::de::DeTable;

/// The handle's end is rounded over this fraction of its width.
const END: f64 = 0.6;

/// Reads a design file.
///
/// All faults of the file are added to `findings`, each with the key and the bytes that it is
/// about. The design is returned, with the places of its keys, only if there is none.
pub fn parse_design(text: &str, findings: &mut Findings) -> Option<(Design, Spans)> {
    file(Source::Design, text, findings, |reader, root| {
        let kind = likely(root);
        let others = HEADS.iter().find(|(other, ..)| *other == kind).map_or(&[][..], |head| head.2);
        for (section, whose) in others.iter().filter(|(section, _)| root.has(section)) {
            reader.fault(
                codes::WRONG_SECTION,
                section,
                format!("A {} has no [{section}]; that section is for a {whose}.", kind.name()),
                format!("Take [{section}] out, or change `kind` in [utensil]."),
            );
        }
        let others: Vec<&str> = others.iter().map(|(section, _)| *section).collect();
        reader.shape(root, &tree(Design::KEYS), &others);
        let drawn = root.under(plan::PLAN_PATH[0]).has(plan::PLAN_PATH[1]);
        if drawn {
            plan::alone(root, reader);
        }
        if drawn || reader.was_meant(&plan::PLAN_PATH.join(".")) {
            reader.spare(&plan::SAID_BY_PLAN);
        }
        let mut design = Design::read(reader, root)?;
        if !root.under("handle").has("end")
            && let Some(first) = design.handle.width.first()
        {
            design.handle.end = match &design.handle.knob {
                Some(knob) => knob.width_of(&design.handle) * 0.5,
                None => first.size * END,
            };
        }
        let before = reader.count();
        validate::design(&design, reader);
        // What doesn't go together because of one slip is told as that slip.
        let slip = validate::slip(&design);
        if let Some(slip) = slip.filter(|slip| slip.explains(reader.noted(before))) {
            reader.instead(before, slip.finding);
        }
        Some(design.made())
    })
}

/// Reads a board file.
///
/// All faults of the file are added to `findings`, each with the key and the bytes that it is
/// about. The board is returned, with the places of its keys, only if there is none. Its flaws
/// stand in this order: knots, checks, wanes, each in the order of the file.
pub fn parse_board(text: &str, findings: &mut Findings) -> Option<(Board, Spans)> {
    file(Source::Board, text, findings, |reader, root| {
        reader.shape(root, &tree(Board::KEYS), &[]);
        let mut board = Board::read(reader, root)?;
        if board.moisture_use.is_some() && board.form.air.is_some() {
            reader.fault(
                codes::TWO_MOISTURES,
                "board.moisture_use",
                "The moisture in use is given twice: as a figure, and by the air of the room.",
                "Keep `moisture_use`, or keep `temperature_use` and `humidity_use`.",
            );
        }
        board.moisture_use = board.moisture_use.or(board.form.air.map(Air::moisture));
        validate::board(&board, reader);
        Some(board)
    })
}

/// Reads a shop file.
///
/// All faults of the file are added to `findings`, each with the key and the bytes that it is
/// about. The shop is returned, with the places of its keys, only if there is none. Whether the
/// cutters named in `[work]` exist is not asked here.
pub fn parse_shop(text: &str, findings: &mut Findings) -> Option<(Shop, Spans)> {
    file(Source::Shop, text, findings, |reader, root| {
        reader.shape(root, &tree(Shop::KEYS), &[]);
        let mut shop = Shop::read(reader, root)?;
        shop.bed.complete(shop.pin.diameter, root);
        for cutter in &mut shop.cutters {
            cutter.holder = cutter.holder.map(Holder::complete);
        }
        validate::shop(&shop, reader);
        Some(shop)
    })
}

/// The unit that a shop's file asks for, as far as it can be read: findings of a file with faults
/// are told in the unit that its maker thinks in, too.
pub fn unit_of_shop(text: &str) -> Unit {
    let (document, _) = DeTable::parse_recoverable(text);
    let shop = document.get_ref().get("shop").and_then(|shop| shop.get_ref().as_table());
    let unit = shop.and_then(|shop| shop.get("unit")?.get_ref().as_str());
    if unit == Some("in") { Unit::Inch } else { Unit::Millimetre }
}
