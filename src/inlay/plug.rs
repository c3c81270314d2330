//! The plug on its own board: turned over, foot up, with its zero, its stock and its hold-down.

use super::bed_of_art::{BedOfArt, Underside};
use super::codes;
use super::holding::{PlugHold, holder, holds};
use super::one::{Cutters, OneInlay, plate_of};
use super::section::MatedSection;
use crate::blocks::{HoldDownModel, hold_down};
use crate::finding::{Finding, Findings};
use crate::fit::{Placement, SoundWood, Stock};
use crate::mesh::Mesh;
use crate::outline::{ArcPath, offset::offset};
use crate::params::{Board, Cutter, HoldForm, PlugGrain, TurnAxis};
use crate::relief::Face;
use crate::setup::Setup;
use crate::units::{Angle, Length};
use glam::{DVec2, DVec3};

/// Least wood behind a plug, in mm: it holds the plug while it is carved and pressed in (no source).
const PLATE_MM: f64 = 3.0;
/// Places on the board that are tried lie so far apart, in mm.
const STEP_MM: f64 = 5.0;

/// A plug in the frame of its own setup. In mm.
#[derive(Clone, Debug)]
pub struct Plug {
    /// Its board.
    pub board: Board,
    /// How it lies on it; X, Y and Z are zero as on any other board of the shop.
    pub setup: Setup,
    /// From the design's frame into the plug's, row by row.
    pub design_to_plug: [[f64; 4]; 4],
    /// What is carved: foot, flanks and the plate round them.
    pub relief: Mesh,
    /// The art's outlines, mirrored as it lies.
    pub outline: Vec<ArcPath>,
    /// The clearing cutter's centre stays inside these.
    pub clear_centre: Vec<ArcPath>,
    /// All that is carved.
    pub area: Vec<ArcPath>,
    /// The vee.
    pub vee: Cutter,
    /// The clearing cutter.
    pub clear: Cutter,
    /// Height of the stock.
    pub stock: Length,
    /// How deep is carved, from the stock's top down to the plate.
    pub deep: Length,
    /// What is left under the plate.
    pub plate: Length,
    /// The hold-down for this stock.
    pub hold_down: HoldDownModel,
    /// Where two of them stand.
    pub holds: Vec<PlugHold>,
    /// Wood in the recess up to the face, in mm³.
    pub volume_mm3: f64,
    /// Its foot in the plan, in mm².
    pub foot_mm2: f64,
    /// Least and greatest gap at the flanks, square to them.
    pub flank_gap: [Length; 2],
    /// Least and greatest gap under the foot.
    pub foot_gap: [Length; 2],
    /// Plug and recess, cut across where the floor is widest.
    pub section: MatedSection,
}

/// Lays a plug on its board.
pub(super) fn plug(
    one: &OneInlay<'_>,
    bed: &BedOfArt<'_>,
    under: &Underside,
    board: &Board,
    cutters: &Cutters<'_>,
    out: &mut Findings,
) -> Option<Plug> {
    let shop = one.order.shop;
    let fault = |message: String, help: &str| {
        one.about(Finding::fault(codes::INLAY_BOARD_SMALL, message, help), "board")
    };
    let stock = board.usable_height();
    let plate = plate_of(under, board);
    if plate < PLATE_MM {
        let needs = Length::mm(stock.as_mm() - plate + PLATE_MM);
        let message =
            format!("the plug's board gives {stock} of flat height, but the plug needs {needs}");
        out.push(fault(message, "Take a thicker board, or make `depth` or `proud` less."));
        return None;
    }
    let angle = Angle::degrees(if one.inlay.grain == PlugGrain::Across { 90.0 } else { 0.0 });
    let turn = Placement { origin: DVec2::ZERO, angle };
    let border: Vec<DVec2> = under.border.iter().map(|p| turn.on_board(*p)).collect();
    let low = border.iter().copied().fold(DVec2::INFINITY, DVec2::min);
    let high = border.iter().copied().fold(DVec2::NEG_INFINITY, DVec2::max);
    let margin = shop.limits.margin.as_mm();
    let ends = DVec2::new(shop.hold_down.lip.as_mm() + margin, margin);
    let room = board.size() - 2.0 * ends - (high - low);
    let wood = SoundWood::of(board);
    let steps = (room / STEP_MM).floor();
    // From the corner that is zero: the back one of the board, since the plug's frame is turned over.
    let places = (0..=steps.x.max(-1.0) as i64)
        .flat_map(|x| (0..=steps.y.max(-1.0) as i64).map(move |y| (x, y)));
    let places = places.filter(|_| room.min_element() >= 0.0).map(|(x, y)| {
        let by = DVec2::new(x as f64, y as f64) * STEP_MM;
        let corner = DVec2::new(ends.x + by.x, board.size().y - ends.y - (high - low).y - by.y);
        corner - low
    });
    let clear = |origin: &DVec2| {
        let moved: Vec<DVec2> = border.iter().map(|p| *p + *origin).collect();
        wood.gap(&moved) > 0.0
    };
    let Some(origin) = places.into_iter().find(clear) else {
        let size = high - low + 2.0 * ends;
        let message = format!(
            "the plug needs {} by {} of sound wood; its board is {} by {}",
            Length::mm(size.x),
            Length::mm(size.y),
            board.length,
            board.width
        );
        out.push(fault(message, "Take a larger board, or make the art smaller."));
        return None;
    };
    let placement = Placement { origin, angle };
    let bottom = Length::mm(under.lowest);
    let lies =
        Stock { usable: stock, height: stock, spare: Length::ZERO, top: bottom + stock, bottom };
    let setup = Setup::new(Face::Bottom, TurnAxis::X, shop.zero, board.size(), &lies, &placement);
    // The design is turned half round about X first where the face that looks up is its bottom.
    let signs = one.turned(DVec3::ONE);
    let matrix = setup
        .from_design
        .matrix()
        .map(|row| [row[0] * signs.x, row[1] * signs.y, row[2] * signs.z, row[3]]);
    let into = |path: &ArcPath| setup.from_design.path(path);
    let area = ArcPath::polygon(under.border.iter().copied());
    let centre = offset(&area, -cutters.clear.diameter.half());
    let block = hold_down(shop, stock, HoldForm::Stepped).map_err(|fault| {
        out.push(one.about(*fault, "board"));
    });
    let block = block.ok()?;
    let deep = Length::mm(under.plate - under.lowest);
    holder(one, &block, deep, cutters, out);
    let length =
        |gaps: [f64; 2]| gaps.map(|gap| Length::mm(if gap.is_finite() { gap } else { 0.0 }));
    Some(Plug {
        board: board.clone(),
        relief: setup.from_design.mesh(&under.mesh),
        outline: bed
            .loops
            .iter()
            .map(|ring| into(&ArcPath::polygon(ring.iter().copied())))
            .collect(),
        clear_centre: centre.iter().map(into).collect(),
        area: vec![into(&area)],
        vee: cutters.vee.clone(),
        clear: cutters.clear.clone(),
        stock,
        deep,
        plate: Length::mm(plate),
        holds: holds(one, (&block, board.size()), &wood, &setup, out)?,
        hold_down: block,
        design_to_plug: matrix,
        setup,
        volume_mm3: under.volume,
        foot_mm2: under.foot,
        flank_gap: length(under.gaps[0]),
        foot_gap: length(under.gaps[1]),
        section: MatedSection::of(one, bed, under)?,
    })
}
