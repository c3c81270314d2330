//! Looks at each motion with what it did to the wood, and says what is wrong.

use super::cells::BoardCells;
use super::codes::*;
use super::engaged::DeepSquares;
use super::form::CuttingForm;
use super::ground::{KINDS, KeptGround};
use super::limit::CutterLimit;
use super::slips::{Slip, Slips};
use super::stage::{StageCutter, StagePass, StagedSetup};
use super::timber::{Bite, MotionTool};
use crate::cutting::PassKind;
use crate::finding::{Code, Severity};
use crate::program::{Motion, PathForm};
use glam::{DVec2, DVec3};
use std::collections::BTreeMap;

/// Cuts of a rapid less than this are shavings of the cutter's own last pass, in mm.
const RAPID_MM: f32 = 0.05;

/// A motion is looked at in no more than so many steps.
const STEPS_MOST: f64 = 2000.0;

/// What one cutter may do in a setup.
#[derive(Clone, Debug)]
pub(super) struct Allowed {
    pub(super) limit: Option<CutterLimit>,
    /// Depth of a layer; none for one that finishes.
    pub(super) depth: Option<f64>,
    /// How low it goes round the edge, where the floor of the skirt is no limit to it: there one level
    /// line is cut down to the least of both sides.
    edge: Option<f64>,
    /// Of one that finishes, the deepest wood that it meets when the passes before it were cut: the steps of
    /// their layers, and what these leave; no less than a layer of its own.
    pub(super) finish: Option<f64>,
}

/// What is kept from motion to motion.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Going {
    /// Of steep descents without a break: how far down, and what was cut.
    pub(super) down: f64,
    pub(super) down_cut: f64,
    /// What was cut of the plan by steep descents without a break, in mm³.
    pub(super) plunge: f64,
    /// Of level cuts: how long, and how much of the plan was cut deeper than a layer.
    pub(super) run: f64,
    pub(super) run_deep: f64,
}

/// Says a slip: its code, how grave, where, by how much, what is wrong, what to do.
pub(super) type Say<'a> = &'a mut dyn FnMut(Code, Severity, DVec3, f64, String, &'static str);

/// The watch over one setup.
pub struct Watch<'a> {
    pub(super) stage: &'a StagedSetup,
    pub(super) cells: BoardCells,
    allowed: BTreeMap<usize, Allowed>,
    pub(super) going: Going,
    /// Of each finishing cutter, where it went too deep in this program.
    pub(super) deep: BTreeMap<usize, DeepSquares>,
    /// How low the motion before was at its end, if it was a feed.
    down: Option<f64>,
    /// Whether a cutter that works in layers has cut wood, in this program or before.
    pub(super) layered: bool,
}

/// A cut that comes from the side over so much less than it is deep is told by that: a height says little there.
const ASIDE: f64 = 0.5;

/// A tip this little below a height is at it, in mm.
const LEVEL_MM: f64 = 0.02;

/// How much deeper than its layer a cut may be, in mm: rounding of heights.
const LAYER_OVER_MM: f64 = 0.1;

impl<'a> Watch<'a> {
    /// Over a stage on those cells.
    pub fn new(stage: &'a StagedSetup, cells: BoardCells) -> Watch<'a> {
        Watch {
            stage,
            cells,
            allowed: BTreeMap::new(),
            going: Going::default(),
            deep: BTreeMap::new(),
            down: None,
            layered: false,
        }
    }

    /// Forgets what goes on, at the beginning of a program.
    pub fn fresh(&mut self) {
        (self.going, self.down) = (Going::default(), None);
        self.deep.clear();
    }

    /// A cutter as the wood needs it.
    pub fn tool(&mut self, index: usize) -> Option<MotionTool> {
        let cutter = self.stage.cutters.get(index)?;
        let allowed = self.allow(index);
        let deep = allowed.depth.or(allowed.finish);
        let deep = deep.map_or(f32::INFINITY, |depth| (depth + LAYER_OVER_MM) as f32);
        Some(MotionTool { form: cutter.form, holder: None, deep })
    }

    pub(super) fn allow(&mut self, index: usize) -> &Allowed {
        let stage = self.stage;
        self.allowed.entry(index).or_insert_with(|| {
            let cutter = &stage.cutters[index];
            let passes = stage.pieces.iter().flat_map(|piece| &piece.passes);
            let mut own = passes.filter(|pass| pass.cutter == cutter.name).peekable();
            let edge = own
                .clone()
                .filter(|pass| pass.kind == PassKind::Edge.key())
                .map(|pass| pass.end)
                .reduce(f64::min);
            let depth = match own.peek() {
                None => Some(cutter.pass_depth),
                Some(_) => own
                    .map(|pass| pass.depth)
                    .try_fold(0.0, |most: f64, depth| depth.map(|depth| most.max(depth))),
            };
            // A vee of an inlay has no layers either, and cuts into solid wood.
            let finish = PassKind::Finish.key();
            let free = |pass: &&StagePass| pass.cutter == cutter.name && pass.depth.is_none();
            let mut free = stage.pieces.iter().flat_map(|piece| &piece.passes).filter(free);
            let finish = (depth.is_none() && free.all(|pass| pass.kind == finish))
                .then(|| stage.left_for_finishing().unwrap_or(0.0).max(cutter.pass_depth));
            Allowed { limit: CutterLimit::of(stage, &cutter.name), depth, edge, finish }
        })
    }

    /// Looks at one motion.
    pub fn look(
        &mut self,
        program: usize,
        index: usize,
        motion: &Motion,
        (bite, ground): (&Bite, &KeptGround),
        out: &mut Slips,
    ) {
        let stage = self.stage;
        let Some(cutter) = stage.cutters.get(index) else { return };
        let low = motion.from.z.min(motion.to.z);
        let edge = self.allow(index).edge.is_some_and(|end| low >= end - LEVEL_MM);
        let mut say =
            |code: Code, severity: Severity, at: DVec3, amount: f64, says: String, help| {
                // What is the machine's and not the cutter's is told once.
                let key = if [PAST_TRAVEL, RAPID_LOW].contains(&code) { "" } else { &cutter.name };
                out.add(
                    key,
                    Slip {
                        code,
                        severity,
                        program,
                        line: motion.line,
                        worst_line: motion.line,
                        says,
                        help,
                        at: Some(at),
                        amount,
                        times: 1,
                        also: Vec::new(),
                        cause: false,
                        explained: false,
                    },
                );
            };
        let cells = self.cells;
        let at_cell = |cell: u32| cells.middle(cell as usize).extend(motion.to.z);
        let name = &cutter.name;
        let fault = Severity::Fault;
        let cuts = bite.cuts();
        let mut in_wood = |code: Code, (deep, cell): (f32, u32), says: String, help| {
            say(code, fault, at_cell(cell), f64::from(deep), says, help);
        };
        let (deep, _) = bite.deepest;
        if motion.rapid && deep > RAPID_MM {
            let into = bite.below[1].0.max(bite.below[2].0);
            let into =
                if into > 0.0 { format!(", {into:.1} mm into the piece") } else { String::new() };
            let says = format!("a rapid goes through wood, {deep:.1} mm deep, with {name}{into}");
            // Where the cut before it ended: it never came up.
            let lift = self.down.is_some_and(|down| (down - motion.from.z).abs() < LEVEL_MM);
            let help = if lift && (motion.from.z - motion.to.z).abs() < LEVEL_MM {
                "No lift stands between the cut before it and this rapid: have it written again."
            } else {
                "Raise the retract height in the path program."
            };
            in_wood(RAPID_IN_WOOD, bite.deepest, says, help);
        }
        if cuts && !motion.spinning {
            let says = format!(
                "{name} goes through wood while the spindle stands, up to {deep:.1} mm deep"
            );
            let help = "Have M3 written before the first cut and after each change of tool.";
            in_wood(SPINDLE_OFF, bite.deepest, says, help);
        }
        if bite.holder.0 > 0.05 {
            let says = format!("the holder of {name} goes {:.1} mm into wood", bite.holder.0);
            let help = "Let the cutter stick out further, or clear the wood round the place first.";
            in_wood(HOLDER_IN_WOOD, bite.holder, says, help);
        }
        if f64::from(deep) > cutter.flute + LAYER_OVER_MM {
            let says = format!(
                "a cut is {deep:.1} mm deep and the edges of {name} are {:.1} mm long",
                cutter.flute
            );
            in_wood(FLUTE_PASSED, bite.deepest, says, "Cut in layers, or take a longer cutter.");
        }
        // What a rapid spoils is told with it.
        let through = motion.rapid && deep > RAPID_MM;
        let kinds: [Option<(Code, &str, Severity, &str)>; KINDS] = [
            None,
            Some((
                INTO_PIECE,
                "into the piece",
                fault,
                "Check the cutter, the zero, and what the path program leaves.",
            )),
            Some((
                INTO_TAB,
                "into a tab",
                fault,
                "Carve the packet's own relief, and lift over the tabs at the edge.",
            )),
            Some((
                BELOW_SKIRT,
                "below the floor of the skirt",
                Severity::Caution,
                "End the pass at the height on the setup's page.",
            )),
            Some((INTO_DOWEL, "into a dowel", fault, "Keep cuts inside the packet's limits.")),
        ];
        for (kind, (below, cell)) in kinds.into_iter().zip(bite.below) {
            if let Some((code, what, severity, help)) = kind
                && below > 0.0
                && !through
                && !(code == BELOW_SKIRT && edge)
            {
                // What is let pass counts once it is passed.
                let deep = f64::from(below + super::ground::TOLERANCE_MM);
                let low = ground.least[cell as usize] - below;
                let says = match ground.sideways(&cells, cell as usize, low) {
                    Some(side) if side < ASIDE * deep => format!(
                        "{name} cuts about {side:.1} mm sideways {what}, at a wall that is {deep:.2} mm high there"
                    ),
                    _ => format!("{name} cuts {deep:.2} mm {what}"),
                };
                say(code, severity, at_cell(cell), deep, says, help);
            }
        }
        let bores = self.bores_beside(index, cutter, motion).is_some();
        self.beside(cutter, motion, (low, through, bores), &mut say);
        self.feeds(index, cutter, motion, bite, cuts, &mut say);
        self.limits(index, cutter, motion, low, &mut say);
        self.down = (!motion.rapid).then_some(motion.to.z);
    }

    /// Hold-downs, the bed, the machine's travel.
    fn beside(
        &self,
        cutter: &StageCutter,
        motion: &Motion,
        (low, through, bores): (f64, bool, bool),
        say: Say<'_>,
    ) {
        let stage = self.stage;
        let name = &cutter.name;
        for clamp in &stage.clamps {
            let parts: [(&CuttingForm, f64, &str); 2] =
                [(&cutter.form, 0.0, ""), (&cutter.holder, cutter.stick_out, "the holder of ")];
            for (form, up, whose) in parts {
                if low + up >= clamp.top || !near(motion, clamp.plan.bounds(), form.radius) {
                    continue;
                }
                let over = |p: DVec3| {
                    let away = clamp.plan.away(p.truncate(), form.radius);
                    if away <= form.radius {
                        clamp.top - (p.z + up + form.height(away))
                    } else {
                        0.0
                    }
                };
                let mut worst = (0.0, DVec3::ZERO);
                let step = motion.length() / along(motion, 0.2).count().max(1) as f64;
                let mut clear = 0.0;
                for p in along(motion, 0.2) {
                    clear -= step;
                    if clear > 0.0 {
                        continue;
                    }
                    // What is further from it than the cutter is wide can't meet it for a while.
                    clear = clamp.plan.away(p.truncate(), form.radius) - form.radius - step;
                    let by = over(p);
                    if by > worst.0 {
                        worst = (by, p);
                    }
                }
                if worst.0 > 0.01 {
                    let says = format!(
                        "{whose}{name} runs into a hold-down, {:.1} mm below its top",
                        worst.0
                    );
                    say(
                        INTO_CLAMP,
                        Severity::Fault,
                        worst.1,
                        worst.0,
                        says,
                        "Keep cuts inside the limits, and rapids over the height on the setup's page.",
                    );
                }
            }
        }
        let bed = stage.stock[1];
        if low < bed - LEVEL_MM {
            let place = if motion.from.z < motion.to.z { motion.from } else { motion.to };
            // In the wrong place a hole is as deep as in the right one.
            let bored = (bores || stage.at_a_pin(place.truncate()))
                && stage.bore.as_ref().is_some_and(|bore| low >= bore.end - LEVEL_MM);
            if !bored {
                let deep = bed - low;
                let says = format!("{name} goes {deep:.2} mm into the bed");
                say(
                    INTO_BED,
                    Severity::Fault,
                    place,
                    deep,
                    says,
                    "Check the height of the zero and the depth of the pass.",
                );
            }
        }
        if let Some((travel, nose)) = stage.machine.travel {
            let most = DVec3::new(travel.x, travel.y, nose + travel.z);
            let least = DVec3::new(0.0, 0.0, nose);
            for p in along(motion, 20.0) {
                let on = p + stage.enter + DVec3::new(0.0, 0.0, cutter.stick_out);
                let past = (on - most).max(least - on);
                let by = past.max_element();
                if by > 0.01 {
                    let axis = if past.x == by {
                        "X"
                    } else if past.y == by {
                        "Y"
                    } else {
                        "Z"
                    };
                    let says = format!(
                        "a motion with {name} goes {by:.1} mm beyond the machine's travel along {axis}"
                    );
                    say(
                        PAST_TRAVEL,
                        Severity::Fault,
                        p,
                        by,
                        says,
                        "Move the board on the bed, or what the program goes to.",
                    );
                }
            }
        }
        let flat = motion.from.truncate().distance(motion.to.truncate());
        if motion.rapid && !through && flat > 1.0 && low < stage.safe - 0.01 {
            let by = stage.safe - low;
            let says = format!(
                "a rapid with {name} travels at Z {low:.1}, {by:.1} mm below the height that clears all"
            );
            say(
                RAPID_LOW,
                Severity::Caution,
                motion.to,
                by,
                says,
                "Raise the clearance height in the path program.",
            );
        }
    }
}

/// Places along a motion, its end among them.
pub(super) fn along(motion: &Motion, step: f64) -> impl Iterator<Item = DVec3> + '_ {
    let count = (motion.length() / step).ceil().clamp(1.0, STEPS_MOST);
    // The start is the end of the one before.
    (1..=count as u32).map(move |i| motion.at(f64::from(i) / count))
}

/// Whether a motion's box comes nearer than that to another.
fn near(motion: &Motion, (low, high): (DVec2, DVec2), reach: f64) -> bool {
    let (mut least, mut most) = (
        motion.from.truncate().min(motion.to.truncate()),
        motion.from.truncate().max(motion.to.truncate()),
    );
    if let PathForm::Turn { centre, .. } = motion.form {
        let radius = DVec2::splat(motion.from.truncate().distance(centre));
        (least, most) = (least.min(centre - radius), most.max(centre + radius));
    }
    (least - reach).cmple(high).all() && (most + reach).cmpge(low).all()
}

/// Whether a slip of that kind means that what the program carves is not what is wanted.
pub fn astray(code: Code) -> bool {
    [
        INTO_PIECE,
        INTO_TAB,
        INTO_BED,
        INTO_CLAMP,
        PAST_LIMIT,
        PAST_TRAVEL,
        INTO_DOWEL,
        NOTHING_CUT,
        BELOW_SKIRT,
    ]
    .contains(&code)
}
