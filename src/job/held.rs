//! How the board is held with all its pieces: pins, then hold-downs and spacers round all that is
//! carved.

use super::carving::Models;
use super::made::sound;
use super::order::Order;
use super::parts::{Mounting, Piece};
use crate::bed::mounts::{self, Mount};
use crate::bed::{self, ClampOrder, Clamps, PinGround, Pins};
use crate::blocks::{self, HoldDownModel};
use crate::cutting::sweep::{Sweep, Swept};
use crate::finding::Findings;
use crate::fit::layout::Layout;
use crate::fit::{Placement, SoundWood};
use crate::mesh;
use crate::setup::Setup;
use crate::units::Length;
use crate::work::{self, Dowel};
use glam::DVec2;

/// What a board with all its pieces is held by, as far as it is known before they are carved.
pub(super) struct Held {
    placements: Vec<Placement>,
    clearance: Length,
    offcuts: Vec<[DVec2; 2]>,
    setups: [Setup; 2],
    mounts: [Mount; 2],
    pins: Pins,
    blocks: Vec<HoldDownModel>,
    /// The skirts' edges on the board.
    skirts: Vec<Vec<DVec2>>,
}

/// Places the pins and makes the hold-downs; none when the board can't be held, which is said.
pub(super) fn held(
    order: &Order,
    pieces: &[Piece],
    layout: &Layout,
    out: &mut Findings,
) -> Option<Held> {
    let Order { board, shop, .. } = order;
    let size = board.size();
    let placements: Vec<Placement> = layout.places.iter().copied().collect::<Option<_>>()?;
    let skirts: Vec<Vec<DVec2>> = pieces
        .iter()
        .zip(&placements)
        .map(|(piece, place)| {
            piece.outlines.limit.skirt_edge().iter().map(|p| place.on_board(*p)).collect()
        })
        .collect();
    let (setups, mounts) = mounts::of_board(board, shop);
    let Layout { clearance, mut offcuts, .. } = layout.clone();
    let ground = PinGround {
        size,
        wood: &SoundWood::of(board),
        skirts: &skirts,
        pin: shop.pin,
        margin: shop.limits.margin,
        reach: &|p| mounts::reached(shop, &setups, &mounts, p),
        saw: &offcuts,
    };
    let pins = bed::place_pins(&ground, &shop.bed.pin.place, out);
    let blocks = blocks::hold_downs(shop, board.usable_height());
    let blocks = blocks.map_err(|fault| out.push(*fault)).ok();
    let (pins, blocks) = (pins?, blocks?);
    let hit = |strip: &[DVec2; 2], p: &DVec2| bed::saw_hits(size, strip, pins.hole, *p);
    // Strips come off one after the other: none goes further than the first that can't.
    let free = offcuts.iter().position(|strip| pins.places.iter().any(|p| hit(strip, p)));
    offcuts.truncate(free.unwrap_or(offcuts.len()));
    Some(Held { placements, clearance, offcuts, setups, mounts, pins, blocks, skirts })
}

impl Held {
    /// Places hold-downs and spacers round all that is carved. Beside the mounting there is the
    /// boring of the pins' holes through the board.
    pub(super) fn clamped(
        self,
        order: &Order,
        models: &[Models],
        out: &mut Findings,
    ) -> (Mounting, Option<Sweep>) {
        let Order { board, shop, .. } = order;
        let Held { placements, clearance, offcuts, setups, mounts, pins, blocks, skirts } = self;
        let height = board.usable_height();
        let bores = work::bores(shop, height, &pins);
        let swept: Vec<&[Swept; 2]> = models.iter().map(|models| &models.swept).collect();
        let clamps = ClampOrder {
            board,
            shop,
            setups: &setups,
            mounts: &mounts,
            swept: &swept,
            skirts: &skirts,
            pins: &pins,
            bores: bores.as_ref(),
            blocks: &blocks,
        };
        let clamps = bed::clamps(&clamps, out);
        printed_sound(&clamps, out);
        mounts::positions(shop, &mounts, out);
        let bore = work::bore(shop, height, &pins, out).cloned();
        let borings = work::borings(shop, height, &pins, bore.as_ref(), &setups, &mounts);
        let over = clamps.over();
        if let Some(cutter) = &bore {
            let deepest = |in_board: bool, from: Length| {
                let own = borings.iter().filter(|hole| hole.in_board == in_board);
                own.map(|hole| from - hole.tip).fold(from, Length::min)
            };
            let tips = [deepest(true, height), deepest(false, Length::ZERO)];
            mounts::bored(shop, cutter, tips, over, out);
        }
        let swept = swept.iter().flat_map(|pair| pair.iter()).flat_map(|swept| &swept.sweeps);
        let cutters = swept.map(|sweep| &sweep.cutter).chain(&bore);
        mounts::safe(shop, height, over, cutters, out);
        let mounting = Mounting {
            placements,
            clearance,
            offcuts,
            setups,
            pins,
            clamps,
            mounts,
            bore,
            borings,
            dowel: Dowel::of(shop, height),
            steps: Vec::new(),
        };
        (mounting, bores)
    }
}

/// Says so when something to print is not what every mesh must be.
fn printed_sound(clamps: &Clamps, out: &mut Findings) {
    let held = clamps
        .models
        .iter()
        .filter_map(|model| Some((model.stem().to_owned(), &model.block.as_ref()?.mesh)));
    let spacers = clamps.spacers.iter().flatten();
    let spacers =
        spacers.filter_map(|spacer| Some((spacer.stem(), &spacer.printed.as_ref()?.block.mesh)));
    let single = held.chain(spacers).map(|(name, mesh)| (name, mesh, 1));
    let plates = clamps.plates.iter();
    let plates = plates.map(|plate| ("the print plate".to_owned(), &plate.mesh, plate.count));
    for (name, mesh, pieces) in single.chain(plates) {
        sound(&name, mesh::audit(mesh).trouble_of(pieces), out);
    }
}
