//! What stands on the machine in one setup, from a packet's own files: the board and what is carved
//! of it, what holds it, the cutters, how far the machine goes.

use super::form::CuttingForm;
use super::list::{ListedCutter, ListedHolder, ListedPasses, ListedSetup, PacketList};
use super::plan_shape::PlanShape;
use super::solid;
use crate::cutting::PassKind;
use crate::relief::Face;
use crate::units::MM_PER_INCH;
use glam::{DMat4, DVec2, DVec3};

/// A cutter of the shop.
#[derive(Clone, Debug, PartialEq)]
pub struct StageCutter {
    /// Its name.
    pub name: String,
    /// Its number in programs, if the shop gives it one.
    pub number: Option<u32>,
    /// Its true form.
    pub form: CuttingForm,
    /// Length of its edges, in mm.
    pub flute: f64,
    /// From its tip to the holder.
    pub stick_out: f64,
    /// The shop's feed, in mm/min.
    pub feed: f64,
    /// The shop's speed of the spindle, in turns a minute.
    pub speed: f64,
    /// The shop's feed straight down.
    pub plunge: f64,
    /// Depth of one pass.
    pub pass_depth: f64,
    /// How far its rows are apart, if the shop says.
    pub step_over: Option<f64>,
    /// What holds it.
    pub holder: CuttingForm,
    /// How tall that is.
    pub holder_length: f64,
}

/// A block that holds the board.
#[derive(Clone, Debug, PartialEq)]
pub struct StageClamp {
    /// Its plan.
    pub plan: PlanShape,
    /// How high it is, in the setup's frame.
    pub top: f64,
}

/// Where one pass may go.
#[derive(Clone, Debug, PartialEq)]
pub struct StagePass {
    /// What `packet.json` calls it.
    pub kind: String,
    /// The cutter's name.
    pub cutter: String,
    /// Depth of a cut, if it is cut in layers.
    pub depth: Option<f64>,
    /// What it leaves on the piece.
    pub leaves: f64,
    /// Its lowest.
    pub end: f64,
    /// Where the cutter's centre may be.
    pub centre: Vec<PlanShape>,
    /// What is cut through, and how low the tip goes there.
    pub through: Option<(Vec<PlanShape>, f64)>,
}

/// A piece of the board as one setup carves it.
#[derive(Clone, Debug)]
pub struct StagePiece {
    /// Its design's name.
    pub name: String,
    /// From the setup's frame into its design's.
    pub to_design: DMat4,
    /// The relief's triangles, in the setup's frame.
    pub relief: Vec<[DVec3; 3]>,
    /// The other setup's, in that one's frame.
    pub other: Vec<[DVec3; 3]>,
    /// Its outline.
    pub outline: Vec<PlanShape>,
    /// Its tabs.
    pub tabs: Vec<PlanShape>,
    /// Its passes.
    pub passes: Vec<StagePass>,
    /// What the packet says the finishing cutter leaves at most.
    pub promised: Option<f64>,
}

/// The machine, as far as the shop tells.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StageMachine {
    /// How far it goes, from the home corner, with the holder's lowest over the bed.
    pub travel: Option<(DVec3, f64)>,
    /// In mm/s².
    pub acceleration: f64,
    /// In mm/min.
    pub rapid: f64,
}

/// How the pins' holes are bored.
#[derive(Clone, Debug, PartialEq)]
pub struct StageBore {
    /// The cutter's name.
    pub cutter: String,
    /// How far its centre is from a hole's middle.
    pub path: f64,
    /// How low its tip goes.
    pub end: f64,
    /// How deep it goes at once.
    pub peck: Option<f64>,
}

/// One setup on the machine. Lengths in mm, in the setup's frame.
#[derive(Clone, Debug)]
pub struct StagedSetup {
    /// The packet's seal.
    pub seal: String,
    /// The board's name and species.
    pub board: [String; 2],
    /// The shop's name.
    pub shop: String,
    /// Whether the shop thinks in inches.
    pub inches: bool,
    /// Which side is carved.
    pub face: Face,
    /// Length and width of the board.
    pub size: DVec2,
    /// Its upper and its lower face.
    pub stock: [f64; 2],
    /// Whether the zero is on the upper face.
    pub zero_on_top: bool,
    /// Whether the board is turned about its width.
    pub end_for_end: bool,
    /// From the setup's frame to the board's.
    pub to_board: DMat4,
    /// The shop's cutters.
    pub cutters: Vec<StageCutter>,
    /// The cutter that finishes.
    pub finish: String,
    /// The pieces.
    pub pieces: Vec<StagePiece>,
    /// What holds the board.
    pub clamps: Vec<StageClamp>,
    /// Rebates for low hold-downs.
    pub rebates: Vec<PlanShape>,
    /// Middles of the pins' holes.
    pub pins: Vec<DVec2>,
    /// Their radius.
    pub pin_radius: f64,
    /// How high the dowels stand in this setup.
    pub dowels: Option<f64>,
    /// How the holes are bored, in the setup that bores them.
    pub bore: Option<StageBore>,
    /// Where the setup's zero is on the machine: from home in the plan, over the bed in height.
    pub enter: DVec3,
    /// The word of the setup's position, and that of the other setup's.
    pub word: Option<String>,
    /// That.
    pub other_word: Option<String>,
    /// The shop's positions, with the zero of each on the machine.
    pub positions: Vec<(String, DVec3)>,
    /// The machine.
    pub machine: StageMachine,
    /// Rapid moves are at this height or higher.
    pub safe: f64,
    /// What may be left to sand.
    pub uncut: f64,
}

/// What a packet's folder can't give.
#[derive(Clone, Debug, PartialEq)]
pub struct NotAPacket(pub String);

/// A tip so near to a pin's way is at the pin, in mm.
const AT_A_PIN_MM: f64 = 0.05;

/// A common router's acceleration and rapid, for shops that say nothing (common practice, no
/// source).
pub const ACCELERATION: f64 = 400.0;
/// In mm/min.
pub const RAPID: f64 = 5000.0;

type OfPacket<T> = Result<T, NotAPacket>;

fn no<T>(what: impl Into<String>) -> OfPacket<T> {
    Err(NotAPacket(what.into()))
}

fn matrix(rows: &[[f64; 4]; 4]) -> DMat4 {
    DMat4::from_cols_array_2d(rows).transpose()
}

fn polygon(corners: &[[f64; 2]], to: DMat4) -> PlanShape {
    let place =
        |corner: &[f64; 2]| to.transform_point3(DVec2::from(*corner).extend(0.0)).truncate();
    PlanShape::closed(corners.iter().map(place).collect())
}

/// Reads files of the packet by their names.
pub type PacketFiles<'a> = &'a dyn Fn(&str) -> Result<Vec<u8>, String>;

/// The stage of a setup, by a function that gives the packet's files.
///
/// # Errors
/// When a file is missing, or is not what a packet of this format has.
pub fn stage(face: Face, files: PacketFiles<'_>) -> OfPacket<StagedSetup> {
    let bytes = files("packet.json").map_err(NotAPacket)?;
    let list: PacketList = serde_json::from_slice(&bytes).map_err(|error| {
        NotAPacket(format!("packet.json was changed: see its line {}", error.line()))
    })?;
    if list.tool != env!("CARGO_PKG_NAME") || list.format != crate::export::list::FORMAT {
        return no("packet.json is not of this tool and this format");
    }
    let Some(mounting) = &list.mounting else {
        return no("the packet has no mounting: it was built with --only, or not for a board");
    };
    let name = face.name();
    let parts: Vec<(&str, &str, &std::collections::BTreeMap<String, ListedSetup>, &ListedPasses)> =
        match (&list.pieces, &list.design, &list.setups, &list.workholding) {
            (Some(pieces), ..) => pieces
                .iter()
                .map(|p| (p.folder.as_str(), p.design.name.as_str(), &p.setups, &p.workholding))
                .collect(),
            (None, Some(design), Some(setups), Some(held)) => {
                vec![("", design.name.as_str(), setups, held)]
            }
            _ => return no("packet.json has no setups: the packet was built with --only"),
        };
    let Some((_, _, setups, _)) = parts.first() else { return no("the packet has no piece") };
    let Some(setup) = setups.get(name) else { return no(format!("there is no setup {name}")) };
    let from_board = matrix(&setup.board_to_setup);
    let reach = |index: usize| match &list.pieces {
        Some(pieces) => pieces.get(index).map(|piece| &piece.checks),
        None => list.checks.as_ref(),
    };
    let mut pieces = Vec::new();
    for (index, (folder, design, setups, held)) in parts.iter().enumerate() {
        let path = |rest: &str| {
            if folder.is_empty() { rest.to_owned() } else { format!("{folder}/{rest}") }
        };
        let unit = |file: &str| {
            let found = list.files.iter().find(|listed| listed.name == file);
            if found.is_some_and(|f| f.unit.as_deref() == Some("in")) { MM_PER_INCH } else { 1.0 }
        };
        let relief = |side: Face| -> OfPacket<Vec<[DVec3; 3]>> {
            let file = path(&format!("{}/relief.stl", side.name()));
            solid::triangles(&files(&file).map_err(NotAPacket)?, unit(&file))
                .ok_or_else(|| NotAPacket(format!("{file} is not a binary STL file")))
        };
        let drawing = |rest: &str| -> OfPacket<Vec<(String, PlanShape)>> {
            let file = path(&format!("{name}/{rest}"));
            solid::outlines(&files(&file).map_err(NotAPacket)?)
                .ok_or_else(|| NotAPacket(format!("{file} is not a DXF file")))
        };
        let Some(own) = setups.get(name) else { return no(format!("there is no setup {name}")) };
        let other = if face == Face::Top { Face::Bottom } else { Face::Top };
        let limits = drawing("limits.dxf")?;
        let on = |layer: &str| -> Vec<PlanShape> {
            limits.iter().filter(|(own, _)| own == layer).map(|(_, shape)| shape.clone()).collect()
        };
        let passes = held.passes.iter().filter(|pass| pass.setup == name).map(|pass| StagePass {
            kind: pass.pass.clone(),
            cutter: pass.cutter.clone(),
            depth: pass.pass_depth_mm,
            leaves: pass.leaves_mm,
            end: pass.end_z_mm,
            centre: on(&format!("{}-centre", pass.pass)),
            through: pass
                .tip_lowest_mm
                .map(|low| (on(&format!("{}-area", pass.pass)), own.stock_bottom_mm + low)),
        });
        let shapes = |rest: &str| -> OfPacket<Vec<PlanShape>> {
            Ok(drawing(rest)?.into_iter().map(|(_, shape)| shape).collect())
        };
        let promised = reach(index).and_then(|checks| {
            checks
                .reach
                .iter()
                .find(|reach| reach.finishes && reach.side == name)
                .map(|reach| reach.most_mm)
        });
        pieces.push(StagePiece {
            name: (*design).to_owned(),
            to_design: matrix(&own.design_to_setup).inverse(),
            relief: relief(face)?,
            other: relief(other)?,
            outline: shapes("outline.dxf")?,
            tabs: shapes("tabs.dxf")?,
            passes: passes.collect(),
            promised,
        });
    }
    let Some(mount) = mounting.mounts.iter().find(|mount| mount.setup == name) else {
        return no("packet.json says nothing of where the board lies on the bed");
    };
    let other_mount = mounting.mounts.iter().find(|mount| mount.setup != name);
    let enter = DVec3::new(mount.enter_x_mm, mount.enter_y_mm, mount.enter_z_over_bed_mm);
    let bed = setup.stock_bottom_mm;
    let over = |form: &str| {
        let own = mounting.hold_downs.models.iter().filter(|model| model.form == form);
        own.map(|model| model.over_mm).fold(0.0, f64::max)
    };
    let places = mounting.hold_downs.setups.iter().filter(|one| one.setup == name);
    let places: Vec<_> = places.flat_map(|one| &one.places).collect();
    let clamps = places.iter().map(|clamp| StageClamp {
        plan: polygon(&clamp.block_mm, from_board),
        top: bed + over(&clamp.form),
    });
    let rebates =
        places.iter().filter_map(|p| p.rebate_mm.as_ref()).map(|p| polygon(p, from_board));
    let pin = |p: &[f64; 2]| from_board.transform_point3(DVec2::from(*p).extend(0.0)).truncate();
    let machine = &list.shop.machine;
    let travel = match (machine.x_mm, machine.y_mm, machine.z_mm) {
        (Some(x), Some(y), Some(z)) => Some((DVec3::new(x, y, z), machine.nose_mm)),
        _ => None,
    };
    let lift = parts.iter().flat_map(|(.., held)| &held.passes).filter(|pass| pass.setup == name);
    let lift = lift.map(|pass| pass.lift_z_mm).fold(setup.stock_top_mm, f64::max);
    let positions = list.shop.positions.iter();
    let positions =
        positions.map(|p| (p.name.clone(), DVec3::new(p.at_mm[0], p.at_mm[1], enter.z)));
    Ok(StagedSetup {
        seal: list.seal.clone(),
        board: [list.board.name.clone(), list.board.species.clone()],
        shop: list.shop.name.clone(),
        inches: list.shop.unit == "in",
        face,
        size: DVec2::new(list.board.length_mm, list.board.width_mm),
        stock: [setup.stock_top_mm, setup.stock_bottom_mm],
        zero_on_top: list.shop.zero == "top",
        end_for_end: list.shop.turn == "y",
        to_board: from_board.inverse(),
        cutters: list
            .shop
            .cutters
            .iter()
            .map(|c| cutter(c, &list.shop.holder))
            .collect::<OfPacket<_>>()?,
        finish: list.shop.work.finish.clone(),
        clamps: clamps.collect(),
        rebates: rebates.collect(),
        pins: mounting.pins_mm.iter().map(pin).collect(),
        pin_radius: mounting.pin_hole_mm / 2.0,
        dowels: (face == Face::Bottom).then_some(bed + mounting.dowel.in_board_mm),
        bore: mounting.drilling.as_ref().filter(|_| face == Face::Top).map(|drilling| StageBore {
            cutter: drilling.cutter.clone(),
            path: drilling.path_mm.unwrap_or(0.0),
            end: drilling.board.end_z_mm,
            peck: drilling.peck_mm,
        }),
        enter,
        word: mount.position.clone(),
        other_word: other_mount.and_then(|mount| mount.position.clone()),
        positions: positions.collect(),
        machine: StageMachine {
            travel,
            acceleration: machine.acceleration_mm_s2.unwrap_or(ACCELERATION),
            rapid: machine.rapid_mm_min.unwrap_or(RAPID),
        },
        safe: machine.safe_mm.map_or(lift, |safe| setup.stock_top_mm + safe),
        uncut: list.shop.limits.uncut_mm,
        pieces,
    })
}

fn cutter(listed: &ListedCutter, shops: &ListedHolder) -> OfPacket<StageCutter> {
    let radius = listed.diameter_mm / 2.0;
    let half = |angle: f64| 1.0 / (angle.to_radians() / 2.0).tan();
    let form = match (listed.form.as_str(), listed.angle_deg, listed.corner_mm) {
        ("flat", ..) => CuttingForm::flat(radius),
        ("ball", ..) => CuttingForm::bull(radius, radius),
        ("bull", _, Some(corner)) => CuttingForm::bull(radius, corner),
        ("vee" | "drill", Some(angle), _) => CuttingForm::cone(radius, half(angle)),
        _ => return no(format!("the cutter {} has no form that is known", listed.name)),
    };
    let holder = listed.holder.unwrap_or(*shops);
    let (nose, wide) = (holder.nose_mm / 2.0, holder.diameter_mm / 2.0);
    // A cone is taken as wide as it is at its top only where it is so: from its nose up.
    let holder_form = CuttingForm::blunt_cone(nose.min(wide), wide, holder.length_mm);
    Ok(StageCutter {
        name: listed.name.clone(),
        number: listed.number.filter(|n| n.fract() == 0.0 && *n >= 0.0).map(|n| n as u32),
        form,
        flute: listed.flute_mm,
        stick_out: listed.stick_out_mm,
        feed: listed.feed_mm_min,
        speed: listed.speed_rpm,
        plunge: listed.plunge_mm_min.unwrap_or(listed.feed_mm_min / 3.0),
        pass_depth: listed.pass_depth_mm,
        step_over: listed.step_over_mm,
        holder: holder_form,
        holder_length: holder.length_mm,
    })
}

impl StagedSetup {
    /// What the setup's passes leave for finishing at most, beside the piece's surface.
    pub fn leaves(&self) -> f64 {
        let passes = self.pieces.iter().flat_map(|piece| &piece.passes);
        passes.map(|pass| pass.leaves).fold(0.0, f64::max)
    }

    /// The deepest wood that finishing meets after the passes before it: the steps that their layers
    /// leave on a slope, and what they leave beside the surface.
    pub fn left_for_finishing(&self) -> Option<f64> {
        let passes = self.pieces.iter().flat_map(|piece| &piece.passes);
        let before = passes.filter(|pass| pass.leaves > 0.0);
        before.filter_map(|pass| Some(pass.depth? + pass.leaves)).reduce(f64::max)
    }

    /// Whether the tip is at one of the pins' holes.
    pub fn at_a_pin(&self, at: DVec2) -> bool {
        let near = |path: f64| self.pins.iter().any(|pin| pin.distance(at) <= path + AT_A_PIN_MM);
        self.bore.as_ref().is_some_and(|bore| near(bore.path))
    }

    /// The passes of a cutter.
    pub fn passes_of(&self, cutter: usize) -> impl Iterator<Item = &StagePass> {
        let name = self.cutters.get(cutter).map(|cutter| cutter.name.as_str());
        let passes = self.pieces.iter().flat_map(|piece| &piece.passes);
        passes.filter(move |pass| Some(pass.cutter.as_str()) == name)
    }

    /// Whether a cutter has a pass in this setup.
    pub fn has_pass(&self, cutter: usize) -> bool {
        self.passes_of(cutter).next().is_some()
    }

    /// Whether a cutter has a pass that roughs.
    pub fn roughs(&self, cutter: usize) -> bool {
        self.passes_of(cutter).any(|pass| pass.kind == PassKind::Rough.key())
    }

    /// The cutter that finishes, by its place among the cutters.
    pub fn finisher(&self) -> Option<usize> {
        self.cutters.iter().position(|cutter| cutter.name == self.finish)
    }

    /// What a height in this setup and the same one in the other make together.
    pub fn kept_sum(&self) -> f32 {
        // Both setups have their zero on the same face as the board lies.
        (self.stock[0] + self.stock[1]) as f32
    }
}
