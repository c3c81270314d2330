//! The order of work, as data: steps, what each needs done before it, and why it stands where it
//! does. The sheet prints it.
//!
//! The board is mounted once for all its pieces, so there is one order, whose steps say for which
//! pieces they are. A kind of step has a variant of [`Task`], its place with its needs in `ORDER`, and
//! an arm in `step` that says it.
//!
//! Promised: no step comes before one that it needs. Not promised: that it is the only good order.

use super::circumstances::{Circumstances, CutDepth, InlayWork, PieceWork, PlugWork};
use super::words::{self, StepWords};
use crate::cutting::PassKind::{
    self, CleanUp, Clear, Edge, Finish, InlayFloor, InlayTrim, InlayVee, Openings, Rough, Slots,
};
use crate::finding::fill;
use crate::relief::Face::{self, Bottom, Top};
use std::borrow::Cow;

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
    /// The dowels are put into the bed.
    Dowels,
    /// It is turned and mounted for the second setup.
    Turn,
    /// A pass over the piece, in a setup.
    Cut(PassKind, Face),
    /// The plugs of a face's inlays are carved on boards of their own.
    Plugs(Face),
    /// They are glued in, and sawn off over the face.
    Glue(Face),
    /// The recesses of a face are filled with resin.
    Pour(Face),
    /// The tabs are sawn off.
    TabsOff,
    /// The piece is sanded and finished.
    Sand,
}

use Task::{
    BoreBed, BorePins, Cut, Dowels, Glue, Mount, Plugs, Pour, Print, Rebates, Sand, Skim, TabsOff,
    Turn,
};

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
    (Cut(InlayVee, Top), &[Cut(Finish, Top)]),
    (Cut(InlayFloor, Top), &[Cut(Finish, Top), Cut(InlayVee, Top)]),
    (Plugs(Top), &[]),
    (Glue(Top), &[Cut(InlayVee, Top), Cut(InlayFloor, Top), Plugs(Top)]),
    (Pour(Top), &[Cut(InlayFloor, Top)]),
    (Cut(InlayTrim, Top), &[Glue(Top), Pour(Top)]),
    (Dowels, &[BoreBed, Cut(Finish, Top), Cut(InlayTrim, Top)]),
    (Turn, &[Cut(Finish, Top), Cut(InlayTrim, Top), Dowels]),
    (Cut(Rough, Bottom), &[Turn]),
    (Cut(Clear, Bottom), &[Cut(Rough, Bottom)]),
    (Cut(Finish, Bottom), &[Cut(Rough, Bottom), Cut(Clear, Bottom)]),
    (Cut(InlayVee, Bottom), &[Cut(Finish, Bottom)]),
    (Cut(InlayFloor, Bottom), &[Cut(Finish, Bottom), Cut(InlayVee, Bottom)]),
    (Plugs(Bottom), &[]),
    (Glue(Bottom), &[Cut(InlayVee, Bottom), Cut(InlayFloor, Bottom), Plugs(Bottom)]),
    (Pour(Bottom), &[Cut(InlayFloor, Bottom)]),
    (Cut(InlayTrim, Bottom), &[Glue(Bottom), Pour(Bottom)]),
    (Cut(CleanUp, Bottom), &[Cut(Finish, Top), Cut(Finish, Bottom), Cut(InlayTrim, Bottom)]),
    (
        Cut(Slots, Bottom),
        &[Cut(Finish, Top), Cut(Finish, Bottom), Cut(CleanUp, Bottom), Cut(InlayTrim, Bottom)],
    ),
    (
        Cut(Openings, Bottom),
        &[
            Cut(Finish, Top),
            Cut(Finish, Bottom),
            Cut(CleanUp, Bottom),
            Cut(Slots, Bottom),
            Cut(InlayTrim, Bottom),
        ],
    ),
    (
        Cut(Edge, Bottom),
        &[
            Cut(Finish, Top),
            Cut(Finish, Bottom),
            Cut(CleanUp, Bottom),
            Cut(Slots, Bottom),
            Cut(Openings, Bottom),
            Cut(InlayTrim, Bottom),
        ],
    ),
    (TabsOff, &[Cut(Edge, Bottom), BorePins]),
    (Sand, &[TabsOff]),
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
            Dowels => "dowels",
            Turn => "turn",
            Cut(kind, face) => {
                let other = |task: &Task| matches!(task, Cut(k, f) if *k == kind && *f != face);
                let twice = ORDER.iter().any(|(task, _)| other(task));
                return match twice {
                    true => format!("{kind}-{}", face.name()),
                    false => kind.to_string(),
                };
            }
            Plugs(face) => return format!("plugs-{}", face.name()),
            Glue(face) => return format!("glue-{}", face.name()),
            Pour(face) => return format!("pour-{}", face.name()),
            TabsOff => "tabs-off",
            Sand => "sand",
        };
        key.to_owned()
    }

    /// What must be done before it, where a job has it.
    pub fn needs(self) -> &'static [Task] {
        ORDER.iter().find(|(task, _)| *task == self).map_or(&[], |(_, needs)| needs)
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
    /// Names of the cutters: one, or those of the places that are cleaned up.
    pub cutters: Vec<String>,
    /// The pieces for which it is done, counted from 0.
    pub pieces: Vec<usize>,
    /// The packet's files that are used.
    pub files: Vec<StepFile>,
}

/// A file that is used in a step.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StepFile {
    /// The piece in whose folder it is; none for one of the board.
    pub piece: Option<usize>,
    /// Its name there.
    pub name: Cow<'static, str>,
}

impl StepFile {
    /// Its path in the packet whose pieces are in these folders.
    pub fn path(&self, folders: &[String]) -> String {
        let folder = self.piece.and_then(|piece| folders.get(piece));
        match folder.map_or("", String::as_str) {
            "" => self.name.clone().into_owned(),
            folder => format!("{folder}/{}", self.name),
        }
    }
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
    let of_board = |step: Step, names: &[&'static str]| Step {
        files: names.iter().map(|name| StepFile { piece: None, name: (*name).into() }).collect(),
        ..step
    };
    let of_pieces = |step: Step, names: &[&'static str]| {
        let files = files_of(&step.pieces, names);
        Step { files, ..step }
    };
    Some(match task {
        Skim => {
            let values = [("skim", &work.skim), ("stock", &work.stock)];
            said(task, &words::SKIM, work, values)
        }
        Print => of_board(said(task, &words::PRINT, work, NONE), &["workholding/print-plate.3mf"]),
        BoreBed => {
            let values = [("hole", &*work.hole), ("cutter", bore)];
            let step = Step {
                cutters: work.bore.iter().cloned().collect(),
                ..said(task, &words::BORE_BED, work, values)
            };
            of_board(step, &["bed/pins.dxf"])
        }
        Rebates => {
            let [top, bottom] = work.rebates.map(|count| count.to_string());
            let values = [("depth", &work.rebate), ("top", &top), ("bottom", &bottom)];
            let names = ["top/rebates.dxf", "bottom/rebates.dxf"];
            let cut = names.into_iter().zip(work.rebates).filter(|(_, count)| *count > 0);
            let names: Vec<&str> = cut.map(|(name, _)| name).collect();
            let step = || of_board(said(task, &words::REBATES, work, values), &names);
            (!names.is_empty()).then(step)?
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
            let step = Step {
                setup: Some(Top),
                cutters: work.bore.iter().cloned().collect(),
                ..said(task, &words::BORE_PINS, work, values)
            };
            of_board(step, &["top/pins.dxf"])
        }
        Dowels => {
            let values = [
                ("count", &work.pins.to_string()),
                ("dowel", &work.dowel),
                ("long", &work.dowel_long),
                ("bed", &work.dowel_in_bed),
                ("board", &work.dowel_in_board),
                ("below", &work.dowel_below),
            ];
            said(task, &words::DOWELS, work, values)
        }
        Turn => mounting(task, &words::TURN, work, Bottom),
        Cut(kind, face) => pass(kind, face, work)?,
        Plugs(face) | Glue(face) | Pour(face) => inlaid(task, face, work)?,
        TabsOff => of_pieces(
            said(task, &words::TABS_OFF, work, NONE),
            &["bottom/saw.dxf", "templates.pdf"],
        ),
        Sand => of_pieces(said(task, &words::SAND, work, NONE), &["templates.pdf"]),
    })
}

/// A pass over the pieces that have it; none where no piece has one of that kind.
fn pass(kind: PassKind, face: Face, work: &Circumstances) -> Option<Step> {
    // A kind that stands in the order once may be of the other face: cleaning up.
    let once = !ORDER.iter().any(|(task, _)| matches!(task, Cut(k, f) if *k == kind && *f != face));
    let mut faces: Vec<Face> = Vec::new();
    let mut cutters: Vec<String> = Vec::new();
    let mut pieces: Vec<usize> = Vec::new();
    for (index, piece) in work.pieces.iter().enumerate() {
        for (own, side, cutter) in &piece.passes {
            if *own == kind && (once || *side == face) {
                if !cutters.contains(cutter) {
                    cutters.push(cutter.clone());
                }
                if !faces.contains(side) {
                    faces.push(*side);
                }
                if pieces.last() != Some(&index) {
                    pieces.push(index);
                }
            }
        }
    }
    if pieces.is_empty() {
        return None;
    }
    let has = |face: Face| faces.contains(&face);
    let names: &[&'static str] = match (kind, face) {
        (Rough | Clear | Finish, Top) => &["top/relief.stl", "top/limits.dxf"],
        (Rough | Clear | Finish, Bottom) => &["bottom/relief.stl", "bottom/limits.dxf"],
        (Slots, _) => &["bottom/slots.dxf"],
        (Openings, _) => &["bottom/openings.dxf"],
        _ if has(Top) && has(Bottom) => &["top/limits.dxf", "bottom/limits.dxf"],
        _ if has(Top) => &["top/limits.dxf"],
        _ => &["bottom/limits.dxf"],
    };
    let clears =
        work.pieces.iter().flat_map(|piece| &piece.passes).any(|(kind, ..)| *kind == Clear);
    let words = match (kind, face) {
        (InlayVee, _) => &words::INLAY_VEE,
        (InlayFloor, _) => &words::INLAY_FLOOR,
        (InlayTrim, _) => &words::INLAY_TRIM,
        (Rough, Top) => &words::ROUGH_TOP,
        (Rough, Bottom) if clears => &words::ROUGH_BOTTOM,
        (Rough, Bottom) => &words::ROUGH_THROUGH,
        (Clear, Top) => &words::CLEAR_TOP,
        (Clear, Bottom) => &words::CLEAR_BOTTOM,
        (Finish, Top) => &words::FINISH_TOP,
        (Finish, Bottom) => &words::FINISH_BOTTOM,
        (CleanUp, _) => &words::CLEAN_UP,
        (Slots, _) => &words::SLOTS,
        (Openings, _) => &words::OPENINGS,
        (Edge, _) => &words::EDGE,
        // Not over a piece.
        (PassKind::Pins | PassKind::Bed, _) => return None,
    };
    let own = || pieces.iter().filter_map(|index| work.pieces.get(*index));
    let places = match own().map(|piece| piece.clean_up).sum() {
        1 => words::ONE_PLACE.to_owned(),
        many => fill(words::PLACES, &[("count", &many.to_string())]),
    };
    let depth_of: fn(&PieceWork) -> &CutDepth = match kind {
        Openings => |piece| &piece.openings_deep,
        _ => |piece| &piece.slots_deep,
    };
    let deep_of = |piece| depth_of(piece).said.as_str();
    let to_bed = own().any(|piece| depth_of(piece).to_bed);
    let through = if to_bed { words::TO_BED } else { words::INTO_SPACE };
    let deep: Vec<&str> = own().map(deep_of).collect();
    let deep = match deep.as_slice() {
        [first, rest @ ..] if rest.iter().any(|other| other != first) => {
            let each = own().map(|piece| {
                let values = [("deep", deep_of(piece)), ("piece", &*piece.name)];
                fill(words::DEEP_EACH, &values)
            });
            each.collect::<Vec<_>>().join(", ")
        }
        same => same.first().copied().unwrap_or_default().to_owned(),
    };
    let cutter = cutters.join(words::AND);
    let values = [("cutter", &*cutter), ("places", &places), ("deep", &deep), ("through", through)];
    let mut step = said(Cut(kind, face), words, work, values);
    if pieces.len() < work.pieces.len() {
        let names: Vec<&str> = own().map(|piece| piece.name.as_str()).collect();
        step.what.push_str(&fill(words::ONLY_FOR, &[("pieces", &names.join(words::AND))]));
    }
    let mut files = files_of(&pieces, names);
    let own = match kind {
        InlayVee => &["recess.stl", "vee.dxf"][..],
        InlayFloor => &["recess.stl", "recess.dxf"],
        _ => &[],
    };
    // A poured recess has no line for the vee.
    let asks = |inlay: &InlayWork| inlay.face == face && (kind != InlayVee || inlay.plug.is_some());
    files.extend(files_of_inlays(&pieces, work, asks, own));
    Some(Step { setup: Some(face), cutters, files, pieces, ..step })
}

/// Files of these names, of each inlay of these pieces that is asked for.
fn files_of_inlays(
    pieces: &[usize],
    work: &Circumstances,
    asks: impl Fn(&InlayWork) -> bool,
    names: &[&str],
) -> Vec<StepFile> {
    let of = |piece: &usize| {
        let inlays = work.pieces.get(*piece).map_or(&[][..], |piece| &piece.inlays);
        let own = inlays.iter().filter(|inlay| asks(inlay));
        let piece = Some(*piece);
        let named =
            own.flat_map(|inlay| names.iter().map(|name| format!("{}/{name}", inlay.folder)));
        named.map(|name| StepFile { piece, name: name.into() }).collect::<Vec<_>>()
    };
    pieces.iter().flat_map(of).collect()
}

/// What is done on the bench and on a plug's own board; none where no inlay of that face asks for it.
fn inlaid(task: Task, face: Face, work: &Circumstances) -> Option<Step> {
    let asks =
        |inlay: &InlayWork| inlay.face == face && inlay.plug.is_some() != matches!(task, Pour(_));
    let has = |piece: &PieceWork| piece.inlays.iter().any(asks);
    let pieces: Vec<usize> =
        (0..work.pieces.len()).filter(|index| work.pieces.get(*index).is_some_and(has)).collect();
    if pieces.is_empty() {
        return None;
    }
    let own = pieces.iter().filter_map(|index| work.pieces.get(*index)).flat_map(|p| &p.inlays);
    let plugs: Vec<&PlugWork> =
        own.filter(|inlay| asks(inlay)).filter_map(|inlay| inlay.plug.as_ref()).collect();
    let each = |pick: fn(&PlugWork) -> &str| {
        let mut all: Vec<&str> = plugs.iter().map(|plug| pick(plug)).collect();
        all.dedup();
        all.join(words::AND)
    };
    let (wood, stock, proud) = (each(|p| &p.species), each(|p| &p.stock), each(|p| &p.proud));
    let own = pieces.iter().filter_map(|index| work.pieces.get(*index)).flat_map(|p| &p.inlays);
    let resin: Vec<&str> =
        own.filter(|inlay| asks(inlay)).filter_map(|inlay| inlay.resin.as_deref()).collect();
    let resin = resin.join(words::AND);
    let cutters = |which: usize| {
        let mut all: Vec<String> = plugs.iter().map(|plug| plug.cutters[which].clone()).collect();
        all.dedup();
        all
    };
    let (clear, vee) = (cutters(0), cutters(1));
    let joined = [clear.join(words::AND), vee.join(words::AND)];
    let values = [
        ("wood", wood.as_str()),
        ("stock", &stock),
        ("proud", &proud),
        ("resin", &resin),
        ("clear", &joined[0]),
        ("vee", &joined[1]),
    ];
    let (said_by, names): (&StepWords, &[&str]) = match task {
        Plugs(_) => (&words::PLUGS, &["plug/relief.stl", "plug/limit.dxf"]),
        Glue(_) => (&words::GLUE, &[]),
        _ => (&words::POUR, &["dam.dxf"]),
    };
    let cutters = if matches!(task, Plugs(_)) { [clear, vee].concat() } else { Vec::new() };
    let mut step = said(task, said_by, work, values);
    step.files = files_of_inlays(&pieces, work, asks, names);
    Some(Step { pieces, cutters, ..step })
}

/// Files of these names, of each of these pieces.
fn files_of(pieces: &[usize], names: &[&'static str]) -> Vec<StepFile> {
    let of = |piece: &usize| {
        let piece = Some(*piece);
        names.iter().map(move |name| StepFile { piece, name: (*name).into() })
    };
    pieces.iter().flat_map(of).collect()
}

/// The board's mounting for a setup.
fn mounting(task: Task, words: &StepWords, work: &Circumstances, face: Face) -> Step {
    let side = usize::from(face == Bottom);
    let at = work.positions[side].as_ref();
    let at = at.map_or(String::new(), |word| fill(words::AT_POSITION, &[("word", word)]));
    let count = work.hold_downs[side].to_string();
    let values = [("turn", work.turn), ("at", &at), ("count", &count)];
    Step { setup: Some(face), ..said(task, words, work, values) }
}

/// Nothing to fill in.
const NONE: [(&str, &str); 0] = [];

/// A step on the bench, for all pieces.
fn said<const N: usize>(
    task: Task,
    words: &StepWords,
    work: &Circumstances,
    values: [(&str, impl AsRef<str>); N],
) -> Step {
    let values = values.each_ref().map(|(name, value)| (*name, value.as_ref()));
    Step {
        task,
        what: fill(words.what, &values),
        why: words.why,
        mind: words.mind,
        after: Vec::new(),
        setup: None,
        cutters: Vec::new(),
        pieces: (0..work.pieces.len()).collect(),
        files: Vec::new(),
    }
}

#[cfg(test)]
mod tests;
