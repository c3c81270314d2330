//! What belongs to the board, whatever pieces are on it: where they lie, how it is held, what is
//! bored for it, where it is mounted.

use super::carved::Models;
use super::{Order, Piece};
use crate::bed::mounts::{self, Mount};
use crate::bed::{self, ClampOrder, Clamps, Pins};
use crate::blocks::{self, HoldDownModel};
use crate::cutting::sweep::{Sweep, Swept};
use crate::finding::Findings;
use crate::fit::layout::Layout;
use crate::fit::{Placement, Stock, Wood};
use crate::params::Cutter;
use crate::setup::Setup;
use crate::units::Length;
use crate::work::{self, Boring};
use glam::DVec2;

/// How the board is held and mounted, and what its pieces share.
#[derive(Clone, Debug)]
pub struct Mounting {
    /// Where each piece lies on the board.
    pub placements: Vec<Placement>,
    /// Least wood beyond what must be kept between the pieces, to the edge and to flaws.
    pub clearance: Length,
    /// Strips that can be sawn off, the largest first: two corners each, on the board, in mm.
    pub offcuts: Vec<[DVec2; 2]>,
    /// The two setups of the board itself: as of a piece that lies in the board's corner, with its
    /// heights counted from the stock's underside.
    pub setups: [Setup; 2],
    /// The pins, on the board.
    pub pins: Pins,
    /// Hold-downs and spacers: what they are like, and where they stand in each setup.
    pub clamps: Clamps,
    /// Where each setup is mounted.
    pub mounts: [Mount; 2],
    /// The cutter that bores the pins' holes.
    pub bore: Option<Cutter>,
    /// The drill chart: the board's holes, then the bed's for each setup.
    pub borings: Vec<Boring>,
}

/// What a board with all its pieces is held by, as far as it is known before they are carved.
pub(super) struct Held {
    placements: Vec<Placement>,
    clearance: Length,
    offcuts: Vec<[DVec2; 2]>,
    setups: [Setup; 2],
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
    let (margin, asked) = (shop.limits.margin, &shop.bed.pin.place);
    let (pins, said) = bed::place_pins(size, &Wood::of(board), &skirts, shop.pin, margin, asked);
    out.extend(said);
    let height = board.usable_height();
    let blocks = blocks::hold_downs(shop, height).map_err(|fault| out.push(*fault)).ok();
    let stock = Stock::round(height, Length::ZERO, height);
    let corner = Placement::at(DVec2::ZERO);
    let setups = Setup::both(shop.turn, shop.zero, size, &stock, &corner);
    let Layout { clearance, offcuts, .. } = layout.clone();
    let (pins, blocks) = (pins?, blocks?);
    Some(Held { placements, clearance, offcuts, setups, pins, blocks, skirts })
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
        let Held { placements, clearance, offcuts, setups, pins, blocks, skirts } = self;
        let height = board.usable_height();
        let bores = work::bores(shop, height, &pins);
        let mounts = mounts::mounts(shop, &setups, board.size());
        let swept: Vec<&[Swept; 2]> = models.iter().map(|models| &models.swept).collect();
        let (clamps, said) = bed::clamps(&ClampOrder {
            board,
            shop,
            setups: &setups,
            mounts: &mounts,
            swept: &swept,
            skirts: &skirts,
            pins: &pins,
            bores: bores.as_ref(),
            blocks: &blocks,
        });
        out.extend(said);
        out.extend(mounts::positions(shop, &mounts));
        let (bore, said) = work::bore(shop, height, &pins);
        out.extend(said);
        let borings = work::borings(shop, height, &pins, &setups, &mounts);
        let bore = bore.cloned();
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
        };
        (mounting, bores)
    }
}
