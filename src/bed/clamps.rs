//! Everything that holds the board down and sets it in its place: hold-downs for each setup, their
//! rebates, spacers, and what of it is printed together.

use super::anchors::Anchors;
use super::hold_down_place::HoldDownPlace;
use super::hold_down_search::{HoldDownGround, axes_of, place_hold_downs};
use super::lift::{self, Lift};
use super::lip;
use super::mounts::Mount;
use super::pins::Pins;
use super::spacer::{Make, Spacer, SpacerGround, spacers, stops_on_board};
use super::zero_edge;
use crate::blocks::plate::{self, Plate};
use crate::blocks::{HoldDownModel, hold_down};
use crate::cutting::envelope::Envelope;
use crate::cutting::sweep::{Sweep, Swept};
use crate::finding::{Findings, Source};
use crate::fit::SoundWood;
use crate::mesh::Mesh;
use crate::outline::ArcPath;
use crate::params::{Board, HoldForm, Shop};
use crate::setup::Setup;
use crate::units::Length;
use glam::DVec2;

/// What the clamps are planned from.
#[derive(Clone, Copy)]
pub struct ClampOrder<'a> {
    /// The board.
    pub board: &'a Board,
    /// The shop.
    pub shop: &'a Shop,
    /// How the board lies in the two setups.
    pub setups: &'a [Setup; 2],
    /// Where it is mounted in them.
    pub mounts: &'a [Mount; 2],
    /// What the passes of each piece sweep in each.
    pub swept: &'a [&'a [Swept; 2]],
    /// The skirts' edges of all pieces on the board, closed polygons in mm.
    pub skirts: &'a [Vec<DVec2>],
    /// The pins on the board.
    pub pins: &'a Pins,
    /// The boring of their holes through the board, in the first setup; none without a cutter.
    pub bores: Option<&'a Sweep>,
    /// The hold-downs for this stock: the one that is taken first, then its stand-in.
    pub blocks: &'a [HoldDownModel],
}

/// Everything that holds the board down and sets it in its place.
#[derive(Clone, Debug)]
pub struct Clamps {
    /// The hold-downs for this stock that are used: the first is the one that is taken first.
    pub models: Vec<HoldDownModel>,
    /// Where they bear in each setup, on the board.
    pub places: [Vec<HoldDownPlace>; 2],
    /// How a pull of the cutter is borne in each setup.
    pub lifts: [Lift; 2],
    /// Depth of the rebates; none without low hold-downs.
    pub rebate: Option<Length>,
    /// Spacers of each setup.
    pub spacers: [Vec<Spacer>; 2],
    /// Hold-downs for the other heights that the shop asks for.
    pub stack: Vec<HoldDownModel>,
    /// What is printed together.
    pub plates: Vec<Plate>,
}

impl Clamps {
    /// The hold-down that stands at a place.
    pub fn model(&self, place: &HoldDownPlace) -> Option<&HoldDownModel> {
        self.models.iter().find(|model| model.form == place.form)
    }

    /// The rebates of a setup on the board, counter-clockwise.
    pub fn rebates(&self, side: usize) -> Vec<ArcPath> {
        let places = self.places.get(side).map_or(&[][..], Vec::as_slice);
        places.iter().filter_map(HoldDownPlace::rebate).map(ArcPath::polygon).collect()
    }

    /// Spacers of a setup, each as often as it stands somewhere, and where, in the setup's plan, in
    /// mm.
    pub fn stands(&self, side: usize) -> impl Iterator<Item = (&Spacer, DVec2)> {
        let spacers = self.spacers.get(side).map_or(&[][..], Vec::as_slice);
        let made = spacers.iter().filter(|spacer| spacer.make != Make::Against);
        made.flat_map(|spacer| spacer.at.iter().map(move |at| (spacer, *at)))
    }

    /// Height over the bed of the highest of them.
    pub fn over(&self) -> Length {
        self.models.iter().map(|model| model.over).fold(Length::ZERO, Length::max)
    }
}

/// Plans the clamps.
pub fn clamps(order: &ClampOrder<'_>, out: &mut Findings) -> Clamps {
    let ClampOrder { board, shop, pins, blocks, .. } = *order;
    let mut sides = [Side::default(), Side::default()];
    let mut rebates: Vec<Vec<DVec2>> = Vec::new();
    for (count, side) in sides.iter_mut().enumerate() {
        let (setup, mount) = (&order.setups[count], &order.mounts[count]);
        let envelope = envelope(order, count);
        let size = board.size();
        let ground = HoldDownGround {
            face: setup.face,
            size,
            wood: &SoundWood::of(board),
            skirts: order.skirts,
            margin: shop.limits.margin,
            pins: &pins.places,
            pin_hole: pins.hole,
            zero: setup.from_board.place_back(DVec2::ZERO),
            axes: axes_of(setup),
            envelope: Some(&envelope),
            stops: &stops_on_board(shop, setup, mount),
            rebates: &rebates,
            anchors: &Anchors::of(shop).on_board(setup, mount),
            bolt: shop.bolt.size.thickness(),
        };
        let found = place_hold_downs(&ground, blocks, out);
        let bear: Vec<DVec2> = found.iter().map(HoldDownPlace::bears).collect();
        side.lift = lift::lift(&bear, &order.skirts.concat());
        // With one or none there is nothing to compare; that too few fit is told.
        if found.len() > 1 {
            lift::judge(setup.face, &side.lift).into_iter().for_each(|finding| out.push(finding));
        }
        rebates.extend(found.iter().filter_map(HoldDownPlace::rebate).map(|r| r.to_vec()));
        let (wood, hold_downs) = (&SoundWood::of(board), &found[..]);
        let ground = SpacerGround { wood, shop, setup, mount, hold_downs, pins: &pins.places };
        side.spacers = spacers(&ground, out);
        zero_edge::look(board, shop, setup, &side.spacers, out);
        side.places = found;
    }
    zero_edge::stops_held(shop, out);
    let [top, bottom] = sides;
    let lifts = [top.lift, bottom.lift];
    let (places, spaced) = ([top.places, bottom.places], [top.spacers, bottom.spacers]);
    let models = blocks.to_vec();
    // A stand-in that is nowhere used is not made.
    let used = |model: &HoldDownModel| places.iter().flatten().any(|p| p.form == model.form);
    let models: Vec<HoldDownModel> = models
        .into_iter()
        .enumerate()
        .filter(|(count, model)| *count == 0 || used(model))
        .map(|(_, model)| model)
        .collect();
    lip::judge(shop, &models, out);
    let stack = stack(shop, &models, out);
    let low = models.iter().any(|model| model.form == HoldForm::Low && used(model));
    let mut clamps = Clamps {
        models,
        places,
        lifts,
        rebate: low.then_some(shop.bed.clamp.rebate),
        spacers: spaced,
        stack,
        plates: Vec::new(),
    };
    clamps.plates = plate::plates(&to_print(&clamps), shop.bed.clamp.plate, out);
    clamps
}

/// What is found of one setup.
#[derive(Default)]
struct Side {
    places: Vec<HoldDownPlace>,
    spacers: Vec<Spacer>,
    lift: Lift,
}

/// What is swept in a setup for all pieces.
fn envelope<'a>(order: &ClampOrder<'a>, side: usize) -> Envelope<'a> {
    let passes = order.swept.iter().flat_map(|swept| &swept[side].sweeps);
    // The pins' holes are bored in the first setup.
    let bores = order.bores.filter(|_| side == 0);
    Envelope::new(passes.chain(bores), order.shop.limits.check.holder)
}

/// Hold-downs of the forms used for the other heights that the shop asks for.
fn stack(shop: &Shop, models: &[HoldDownModel], out: &mut Findings) -> Vec<HoldDownModel> {
    let mut stack = Vec::new();
    for (index, height) in shop.bed.clamp.stack.iter().enumerate() {
        for model in models.iter().filter(|model| model.stock != *height) {
            match hold_down(shop, *height, model.form) {
                Ok(made) => stack.push(made),
                Err(fault) => {
                    out.push(fault.at(Source::Shop, format!("hold_down.stack[{index}]")));
                }
            }
        }
    }
    stack
}

/// What goes on the plates: as many hold-downs of each form as either setup needs, as many again
/// for each height of the stack, and of each length as many spacers as either setup needs.
fn to_print(clamps: &Clamps) -> Vec<(&Mesh, usize)> {
    let needed = |form: HoldForm| {
        let count = |places: &Vec<HoldDownPlace>| places.iter().filter(|p| p.form == form).count();
        clamps.places.iter().map(count).max().unwrap_or(0)
    };
    let held = clamps.models.iter().chain(&clamps.stack);
    let mut all: Vec<(&Mesh, usize)> =
        held.filter_map(|model| Some((&model.block.as_ref()?.mesh, needed(model.form)))).collect();
    let printed = |side: &Vec<Spacer>, size: Length| -> usize {
        let same = side.iter().filter(|s| s.make == Make::Print && s.size == size);
        same.map(|s| s.at.len()).sum()
    };
    let mut seen: Vec<Length> = Vec::new();
    for spacer in clamps.spacers.iter().flatten() {
        // The same spacers serve both setups when the board is moved.
        if let Some(model) = spacer.printed.as_ref().filter(|_| !seen.contains(&spacer.size)) {
            let count = clamps.spacers.iter().map(|side| printed(side, spacer.size)).max();
            seen.push(spacer.size);
            all.push((&model.block.mesh, count.unwrap_or(0)));
        }
    }
    all
}
