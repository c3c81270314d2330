//! The order of work, as data: steps, what each needs done before it, and why it stands where it
//! does. The sheet prints it.
//!
//! A kind of step has a variant of [`Task`], its place with its needs in `ORDER`, and an arm in
//! `step` that says it.
//!
//! Promised: no step comes before one that it needs. Not promised: that it is the only good order.

use super::words::{self, StepWords};
use crate::cutting::PassKind::{self, CleanUp, Clear, Edge, Finish, Rough, Slots};
use crate::finding::fill;
use crate::relief::Face::{self, Bottom, Top};

/// What is done in a step.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Task {
    /// The board is planed to its height.
    Skim,
    /// Hold-downs and spacers are printed.
    Print,
    /// The bed gets its holes for the pins.
    BoreBed,
    /// The board gets its rebates for low hold-downs.
    Rebates,
    /// The board is mounted for the first setup.
    Mount,
    /// It gets its holes for the pins.
    BorePins,
    /// It is turned and mounted for the second setup.
    Turn,
    /// A pass over the piece, in a setup.
    Cut(PassKind, Face),
    /// The tabs are sawn off.
    TabsOff,
    /// The piece is sanded.
    Sand,
    /// It is wetted and sanded again.
    RaiseGrain,
}

use Task::{BoreBed, BorePins, Cut, Mount, Print, RaiseGrain, Rebates, Sand, Skim, TabsOff, Turn};

/// All tasks in their order, each with those that must be done before it where a job has them.
const ORDER: &[(Task, &[Task])] = &[
    (Skim, &[]),
    (Print, &[Skim]),
    (BoreBed, &[]),
    (Rebates, &[Skim]),
    (Mount, &[Skim, Print, BoreBed, Rebates]),
    (BorePins, &[Mount]),
    (Cut(Rough, Top), &[BorePins]),
    (Cut(Clear, Top), &[Cut(Rough, Top)]),
    (Cut(Finish, Top), &[Cut(Rough, Top), Cut(Clear, Top)]),
    (Turn, &[Cut(Finish, Top)]),
    (Cut(Rough, Bottom), &[Turn]),
    (Cut(Clear, Bottom), &[Cut(Rough, Bottom)]),
    (Cut(Finish, Bottom), &[Cut(Rough, Bottom), Cut(Clear, Bottom)]),
    (Cut(CleanUp, Bottom), &[Cut(Finish, Top), Cut(Finish, Bottom)]),
    (Cut(Slots, Bottom), &[Cut(Finish, Top), Cut(Finish, Bottom), Cut(CleanUp, Bottom)]),
    (
        Cut(Edge, Bottom),
        &[Cut(Finish, Top), Cut(Finish, Bottom), Cut(CleanUp, Bottom), Cut(Slots, Bottom)],
    ),
    (TabsOff, &[Cut(Edge, Bottom), BorePins]),
    (Sand, &[TabsOff]),
    (RaiseGrain, &[Sand]),
];

impl Task {
    /// What `packet.json` calls it. A pass over each face has its face's name in it.
    pub fn key(self) -> String {
        let key = match self {
            Skim => "skim",
            Print => "print",
            BoreBed => "bore-bed",
            Rebates => "rebates",
            Mount => "mount-top",
            BorePins => "bore-pins",
            Turn => "turn",
            Cut(kind, face) => {
                let other = |task: &Task| matches!(task, Cut(k, f) if *k == kind && *f != face);
                let twice = ORDER.iter().any(|(task, _)| other(task));
                return match twice {
                    true => format!("{kind}-{}", face.name()),
                    false => kind.to_string(),
                };
            }
            TabsOff => "tabs-off",
            Sand => "sand",
            RaiseGrain => "raise-grain",
        };
        key.to_owned()
    }

    /// The kind of pass of one that loads files into the machine with the board on it.
    pub const fn pass(self) -> Option<PassKind> {
        match self {
            Cut(kind, _) => Some(kind),
            BorePins => Some(PassKind::Pins),
            _ => None,
        }
    }
}

/// One step of the work.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// What kind of step it is.
    pub task: Task,
    /// What is done, in a sentence or two.
    pub what: String,
    /// Why it stands at this place.
    pub why: &'static str,
    /// What to mind; empty for nothing of its own. The machine's manual and local rules go first.
    pub mind: &'static str,
    /// The steps that must be done before.
    pub after: Vec<Task>,
    /// The setup in which it is done; none on the bench.
    pub setup: Option<Face>,
    /// Name of the cutter.
    pub cutter: Option<String>,
    /// The packet's files that are used.
    pub files: Vec<&'static str>,
}

/// What the steps and their wording depend on.
#[derive(Clone, Debug, Default)]
pub struct Circumstances {
    /// Skims and the stock's height, as they are written.
    pub skim_top: String,
    /// The same of the bottom face.
    pub skim_bottom: String,
    /// The stock's height.
    pub stock: String,
    /// Diameter of the pins' holes.
    pub hole: String,
    /// How many pins.
    pub pins: usize,
    /// How the board is turned.
    pub turn: &'static str,
    /// Name of the boring cutter; none where the shop has none.
    pub bore: Option<String>,
    /// The passes over the piece, each with its cutter's name.
    pub passes: Vec<(PassKind, Face, String)>,
    /// How far under the stock's upper face slots go.
    pub slots_deep: String,
    /// How many places are cleaned up.
    pub clean_up: usize,
    /// How many hold-downs stand in each setup.
    pub hold_downs: [usize; 2],
    /// How many rebates each face gets.
    pub rebates: [usize; 2],
    /// Their depth, as it is written.
    pub rebate: String,
    /// Whether spacers are made.
    pub spacers: bool,
    /// The work positions' words.
    pub positions: [Option<String>; 2],
}

/// The steps of a job in their order.
pub fn steps(work: &Circumstances) -> Vec<Step> {
    let mut steps: Vec<Step> = Vec::new();
    for (task, needs) in ORDER {
        let Some(step) = step(*task, work) else { continue };
        let has = |need: &&Task| steps.iter().any(|step| step.task == **need);
        let after = needs.iter().filter(has).copied().collect();
        steps.push(Step { after, ..step });
    }
    steps
}

/// A task of a job, as it is said; none where the job doesn't have it. What it needs stands in
/// [`ORDER`].
fn step(task: Task, work: &Circumstances) -> Option<Step> {
    let bore = work.bore.as_deref().unwrap_or(words::A_DRILL);
    Some(match task {
        Skim => {
            let values =
                [("top", &work.skim_top), ("bottom", &work.skim_bottom), ("stock", &work.stock)];
            said(task, &words::SKIM, values, &[])
        }
        Print => said(task, &words::PRINT, NONE, &["workholding/print-plate.3mf"]),
        BoreBed => Step {
            cutter: work.bore.clone(),
            ..said(task, &words::BORE_BED, [("hole", &*work.hole), ("cutter", bore)], &["bed.dxf"])
        },
        Rebates => {
            let [top, bottom] = work.rebates.map(|count| count.to_string());
            let values = [("depth", &work.rebate), ("top", &top), ("bottom", &bottom)];
            let files = ["top/rebates.dxf", "bottom/rebates.dxf"];
            (work.rebates != [0, 0]).then(|| said(task, &words::REBATES, values, &files))?
        }
        Mount => {
            let mut step = mounting(task, &words::MOUNT_TOP, work, Top);
            if work.spacers {
                step.what.push_str(words::SPACERS);
            }
            step
        }
        BorePins => {
            let values = [("count", &work.pins.to_string()), ("hole", &work.hole)];
            Step {
                setup: Some(Top),
                cutter: Some(bore.to_owned()),
                ..said(task, &words::BORE_PINS, values, &["top/pins.dxf"])
            }
        }
        Turn => mounting(task, &words::TURN, work, Bottom),
        Cut(kind, face) => pass(kind, face, work)?,
        TabsOff => said(task, &words::TABS_OFF, NONE, &["bottom/saw.dxf", "templates.pdf"]),
        Sand => said(task, &words::SAND, NONE, &["templates.pdf"]),
        RaiseGrain => said(task, &words::RAISE_GRAIN, NONE, &[]),
    })
}

/// A pass over the piece; none where the job has none of that kind.
fn pass(kind: PassKind, face: Face, work: &Circumstances) -> Option<Step> {
    let own = work.passes.iter().filter(|(known, ..)| *known == kind);
    // A kind that stands in the order once may be of the other face: cleaning up.
    let (.., cutter) = own.min_by_key(|(_, known, _)| *known != face)?;
    let places = match work.clean_up {
        1 => words::ONE_PLACE.to_owned(),
        many => fill(words::PLACES, &[("count", &many.to_string())]),
    };
    let limits: &[&str] = match face {
        Top => &["top/limits.dxf"],
        Bottom => &["bottom/limits.dxf"],
    };
    let model: &[&str] = match face {
        Top => &["top/relief.stl", "top/limits.dxf"],
        Bottom => &["bottom/relief.stl", "bottom/limits.dxf"],
    };
    let (words, files) = match (kind, face) {
        (Rough, Top) => (&words::ROUGH_TOP, model),
        (Rough, Bottom) => (&words::ROUGH_BOTTOM, model),
        (Clear, _) => (&words::CLEAR, limits),
        (Finish, Top) => (&words::FINISH_TOP, model),
        (Finish, Bottom) => (&words::FINISH_BOTTOM, model),
        (CleanUp, _) => (&words::CLEAN_UP, &["top/limits.dxf", "bottom/limits.dxf"][..]),
        (Slots, _) => (&words::SLOTS, &["bottom/slots.dxf"][..]),
        (Edge, _) => (&words::EDGE, limits),
        // Not over the piece.
        (PassKind::Pins | PassKind::Bed, _) => return None,
    };
    let values = [("cutter", cutter), ("places", &places), ("deep", &work.slots_deep)];
    Some(Step {
        setup: Some(face),
        cutter: Some(cutter.clone()),
        ..said(Cut(kind, face), words, values, files)
    })
}

/// The board's mounting for a setup.
fn mounting(task: Task, words: &StepWords, work: &Circumstances, face: Face) -> Step {
    let side = usize::from(face == Bottom);
    let at = work.positions[side].as_ref();
    let at = at.map_or(String::new(), |word| fill(words::AT_POSITION, &[("word", word)]));
    let count = work.hold_downs[side].to_string();
    let values = [("turn", work.turn), ("at", &at), ("count", &count)];
    Step { setup: Some(face), ..said(task, words, values, &[]) }
}

/// Nothing to fill in.
const NONE: [(&str, &str); 0] = [];

/// A step on the bench.
fn said<const N: usize>(
    task: Task,
    words: &StepWords,
    values: [(&str, impl AsRef<str>); N],
    files: &[&'static str],
) -> Step {
    let values = values.each_ref().map(|(name, value)| (*name, value.as_ref()));
    Step {
        task,
        what: fill(words.what, &values),
        why: words.why,
        mind: words.mind,
        after: Vec::new(),
        setup: None,
        cutter: None,
        files: files.to_vec(),
    }
}

#[cfg(test)]
mod tests;
