//! Lines into actions, by the order of execution of NISTIR 6556, table 8.

use super::Action;
use super::arc::ArcPlane;
use super::cycle::DrillingCycle;
use super::given::{LineTally, PassedOver, Zeros};
use super::length::LengthInForce;
use super::modal::{ModalGroup, group_of_g, group_of_m, spelled};
use super::remark::{AFTER_END, NOT_RUN, RULE_BROKEN, Remark, TURNS_BACK, UNREADABLE, instead_of};
use super::words::{ProgramLine, Unread};
use crate::finding::Severity;
use crate::units::MM_PER_INCH;
use glam::DVec3;

/// How a sink of actions looks.
pub type Sink<'a> = &'a mut dyn FnMut(Result<Action, Remark>);

/// What stays from line to line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct ModalState {
    /// The motion code in tenths; none after G80.
    pub(super) motion: Option<u32>,
    pub(super) plane: ArcPlane,
    pub(super) incremental: bool,
    pub(super) centres_absolute: bool,
    pub(super) inverse_time: bool,
    pub(super) inches: Option<bool>,
    pub(super) position: usize,
    pub(super) retract_to_r: bool,
    pub(super) feed: f64,
    /// Whether the feed was given by an F, and not only taken back by a new mode.
    pub(super) feed_said: bool,
    pub(super) spinning: bool,
    pub(super) speed: f64,
}

const FRESH: ModalState = ModalState {
    motion: None,
    plane: ArcPlane::Xy,
    incremental: false,
    centres_absolute: false,
    inverse_time: false,
    inches: None,
    position: 0,
    retract_to_r: false,
    feed: 0.0,
    feed_said: false,
    spinning: false,
    speed: 0.0,
};

/// Runs a program.
#[derive(Debug)]
pub struct Interpreter {
    pub(super) zeros: Zeros,
    pub(super) over: PassedOver,
    pub(super) at: DVec3,
    pub(super) state: ModalState,
    /// G92's shift, and what G92.2 put aside.
    pub(super) shift: DVec3,
    pub(super) aside: DVec3,
    selected: Option<u32>,
    pub(super) in_spindle: Option<u32>,
    changes: bool,
    pub(super) length: LengthInForce,
    pub(super) drilling: DrillingCycle,
    ended: bool,
    marks: u32,
    line: ProgramLine,
    plain: Vec<u8>,
    pub(super) number: u32,
    pub(super) unit_told: bool,
    /// Whether G90 or G91 was given, or it was told that neither was.
    pub(super) distance_known: bool,
    position_known: bool,
    /// Whether a height was said, or it was told that none was.
    pub(super) height_known: bool,
    rest_told: bool,
    /// The line of the last G91.
    pub(super) steps: Option<u32>,
    pub(super) tally: LineTally,
}

/// One line's codes and letters.
#[derive(Default)]
pub(super) struct Sorted {
    g: Vec<u32>,
    m: Vec<u32>,
    letters: [Option<f64>; 26],
}

impl Sorted {
    pub(super) fn has_g(&self, code: u32) -> bool {
        self.g.contains(&code)
    }

    pub(super) fn of(&self, group: ModalGroup) -> Option<u32> {
        self.g.iter().copied().find(|code| group_of_g(*code) == Some(group))
    }

    pub(super) fn letter(&self, letter: u8) -> Option<f64> {
        self.letters[usize::from(letter - b'A') % 26]
    }

    pub(super) fn xyz(&self) -> [Option<f64>; 3] {
        [b'X', b'Y', b'Z'].map(|letter| self.letter(letter))
    }
}

/// A breach of a rule: what is wrong with the line.
pub(super) type Breach = String;

impl Interpreter {
    /// At the start of a program.
    pub fn new(zeros: Zeros) -> Interpreter {
        Interpreter {
            zeros,
            over: PassedOver::default(),
            at: zeros.start,
            state: FRESH,
            shift: DVec3::ZERO,
            aside: DVec3::ZERO,
            selected: None,
            in_spindle: None,
            changes: false,
            length: LengthInForce::default(),
            drilling: DrillingCycle::default(),
            ended: false,
            marks: 0,
            line: ProgramLine::default(),
            plain: Vec::new(),
            number: 0,
            unit_told: false,
            distance_known: false,
            position_known: false,
            height_known: false,
            rest_told: false,
            steps: None,
            tally: LineTally::default(),
        }
    }

    /// The same, with words that are passed over.
    pub fn passing(self, over: PassedOver) -> Interpreter {
        Interpreter { over, ..self }
    }

    /// Whether the program has ended: what follows is not run.
    pub fn ended(&self) -> bool {
        self.ended
    }

    /// What was read until now.
    pub fn tally(&self) -> LineTally {
        self.tally
    }

    /// Runs one line.
    pub fn run(&mut self, number: u32, text: &[u8], out: Sink<'_>) {
        self.number = number;
        let mut line = std::mem::take(&mut self.line);
        if self.ended {
            let any = line.read(text, &mut self.plain).is_ok()
                && line.words.iter().any(|word| word.letter != b'N');
            if any && !std::mem::replace(&mut self.rest_told, true) {
                let says = "the file goes on after the program's end, and nothing of that is run"
                    .to_owned();
                let help = "Take out the M2, M30 or % before it, or make two programs of it.";
                let (code, severity) = (AFTER_END, Severity::Fault);
                self.remark(Remark { code, severity, line: 0, says, help }, out);
            }
            self.line = line;
            return;
        }
        match line.read(text, &mut self.plain) {
            Ok(()) if line.percent => {
                // The first begins, the second ends; a first one after the first words ends, too.
                self.marks += 1;
                self.ended = self.marks > 1 || self.state != FRESH;
            }
            Ok(()) => {
                self.tally.worded += u64::from(!line.words.is_empty());
                if line.optional && !line.words.is_empty() {
                    let says = "the line begins with a stroke, so a switch on the machine decides \
                                whether it runs; it is run here";
                    self.caution(says.to_owned(), "Take the stroke or the line out.", out);
                }
                if let Some(sorted) = self.sorted(&line, out)
                    && let Err(says) = self.execute(&sorted, out)
                {
                    self.broken(says, out);
                }
            }
            Err(unread) => self.unread(&unread, out),
        }
        self.line = line;
    }

    pub(super) fn remark(&self, remark: Remark, out: Sink<'_>) {
        out(Err(Remark { line: self.number, ..remark }));
    }

    pub(super) fn caution(&self, says: String, help: &'static str, out: Sink<'_>) {
        let severity = Severity::Caution;
        self.remark(Remark { code: RULE_BROKEN, severity, line: 0, says, help }, out);
    }

    fn broken(&self, says: String, out: Sink<'_>) {
        let help =
            "Make the program anew with your machine's post processor. The line was not run.";
        let severity = Severity::Fault;
        self.remark(Remark { code: RULE_BROKEN, severity, line: 0, says, help }, out);
    }

    fn unknown(&self, word: &str, says: String, out: Sink<'_>) {
        let help = instead_of(word);
        let severity = Severity::Fault;
        self.remark(Remark { code: NOT_RUN, severity, line: 0, says, help }, out);
    }

    fn unread(&mut self, unread: &Unread, out: Sink<'_>) {
        let says = match unread {
            Unread::Formula(letter) => {
                let what = "a parameter, a formula or a subprogram, which is not read";
                self.tally.worded += 1;
                return self.unknown(
                    &letter.to_string(),
                    format!("{letter} stands with {what}"),
                    out,
                );
            }
            Unread::Long => "the line is longer than 4096 characters".to_owned(),
            Unread::Comment => {
                "a comment in parentheses has no end, or another one in it".to_owned()
            }
            Unread::NoNumber(letter) => format!("{letter} has no number that can be read"),
            Unread::Stray(sign) => format!("'{sign}' is no word of a program"),
        };
        if self.tally.unread == 0 {
            self.tally.unread_first = self.number;
        }
        self.tally.unread += 1;
        let help = "Check that it is a program for the machine. The line was not run.";
        let severity = Severity::Fault;
        self.remark(Remark { code: UNREADABLE, severity, line: 0, says, help }, out);
    }

    /// The line's codes by group; nothing, and a remark, when it can't be run.
    fn sorted(&self, line: &ProgramLine, out: Sink<'_>) -> Option<Sorted> {
        let mut sorted = Sorted::default();
        let mut groups: Vec<ModalGroup> = Vec::new();
        for word in &line.words {
            let letter = word.letter as char;
            match word.letter {
                b'G' | b'M' => {
                    let tenths = (word.value * 10.0).round();
                    let whole = (word.value * 10.0 - tenths).abs() < 1e-6;
                    let code = if whole && (0.0..10_000.0).contains(&tenths) {
                        tenths as u32
                    } else {
                        u32::MAX
                    };
                    let group = match word.letter {
                        b'G' => group_of_g(code),
                        _ => Some(code).filter(|c| c % 10 == 0).and_then(|c| group_of_m(c / 10)),
                    };
                    let Some(group) = group else {
                        let name = if code == u32::MAX {
                            format!("{letter}{}", word.value)
                        } else {
                            spelled(letter, code)
                        };
                        self.unknown(&name, format!("{name} is not read"), out);
                        return None;
                    };
                    // M7 and M8 may stand together.
                    if groups.contains(&group) && group != ModalGroup::Cooling {
                        let name = spelled(letter, code);
                        self.broken(format!("{name} stands with another word of its group"), out);
                        return None;
                    }
                    groups.push(group);
                    if word.letter == b'G' { sorted.g.push(code) } else { sorted.m.push(code / 10) }
                }
                b'N' => {}
                b'F' | b'H' | b'I' | b'J' | b'K' | b'L' | b'P' | b'Q' | b'R' | b'S' | b'T'
                | b'X' | b'Y' | b'Z' => {
                    let place = &mut sorted.letters[usize::from(word.letter - b'A')];
                    if place.replace(word.value).is_some() {
                        self.broken(format!("{letter} stands twice"), out);
                        return None;
                    }
                }
                _ => {
                    let name = format!("{letter}{}", word.value);
                    self.unknown(&name, format!("{name} is not read"), out);
                    return None;
                }
            }
        }
        Some(sorted)
    }

    pub(super) fn unit(&self) -> f64 {
        if self.state.inches == Some(true) { MM_PER_INCH } else { 1.0 }
    }

    /// What the program's zero is, in the frame of the motions.
    pub(super) fn zero(&self) -> DVec3 {
        let work = self.zeros.work[self.state.position];
        (if self.position_known { work } else { self.zeros.unsaid }) + self.shift
    }

    fn execute(&mut self, at: &Sorted, out: Sink<'_>) -> Result<(), Breach> {
        self.checked(at)?;
        self.settings(at, out);
        self.once(at, out)?;
        let [x, y, z] = at.xyz();
        let axes = x.or(y).or(z).is_some();
        self.height_known |= z.is_some() && !at.has_g(920);
        // The axis words of these are theirs.
        let taken = [280, 920, 40].iter().any(|code| at.has_g(*code));
        let code = at.of(ModalGroup::Motion);
        // An arc may be given by its centre alone: once round.
        let centred = [b'I', b'J', b'K', b'R'].iter().any(|letter| at.letter(*letter).is_some());
        let arc = matches!(self.state.motion, Some(20 | 30)) && centred;
        if !taken && (axes || code.map_or(arc, |code| code >= 20)) {
            self.without_use(at, out);
            self.motion(at, out)?;
        } else if let Some(code @ (0 | 10)) = code {
            // Alone on a line it holds for the lines after it.
            self.state.motion = Some(code);
        }
        if at.m.iter().any(|code| matches!(code, 2 | 30)) {
            (self.ended, self.tally.stopped) = (true, true);
        }
        Ok(())
    }

    /// Says which words of a motion's line have no use there.
    fn without_use(&self, at: &Sorted, out: Sink<'_>) {
        let letters: &[u8] = match at.of(ModalGroup::Motion).or(self.state.motion) {
            Some(20 | 30) => b"PQL",
            Some(810..=830) => b"IJK",
            Some(0 | 10) => b"IJKLPQR",
            _ => return,
        };
        let dwells = at.has_g(40);
        let mut idle = letters.iter().filter(|letter| at.letter(**letter).is_some());
        if let Some(letter) = idle.find(|letter| !(**letter == b'P' && dwells)) {
            let says = format!("{} has no use in this line, and is passed over", *letter as char);
            let help = "Machines read it each in its own way, such as P with an arc as turns: have it left out.";
            self.caution(says, help, out);
        }
    }

    /// Rules about the line as a whole, before anything of it is done.
    fn checked(&self, at: &Sorted) -> Result<(), Breach> {
        let axes = at.xyz().iter().any(Option::is_some);
        for code in [280, 920] {
            if at.has_g(code)
                && at.of(ModalGroup::Motion).is_some_and(|motion| motion != 800)
                && axes
            {
                return Err(format!(
                    "{} and a motion both want the axis words",
                    spelled('G', code)
                ));
            }
        }
        for (letter, name) in [(b'F', "feed"), (b'S', "spindle speed"), (b'T', "tool number")] {
            if at.letter(letter).is_some_and(|value| value < 0.0) {
                return Err(format!("the {name} is negative"));
            }
        }
        let whole = |value: f64| value.fract() == 0.0 && value <= 99_999.0;
        if at.letter(b'T').is_some_and(|value| !whole(value)) {
            return Err("the tool number is not a whole one, or too great".into());
        }
        if at.has_g(40) && !at.letter(b'P').is_some_and(|seconds| seconds >= 0.0) {
            return Err("G4 needs P, the time in seconds".into());
        }
        let far = |value: &f64| value.abs() > 1e6;
        if at.letters.iter().flatten().any(far) {
            return Err("a number is over a million".into());
        }
        Ok(())
    }

    /// Feed, tool, spindle and modes, in the order of execution.
    fn settings(&mut self, at: &Sorted, out: Sink<'_>) {
        match at.of(ModalGroup::Feed) {
            Some(930) => {
                self.state.inverse_time = true;
                (self.state.feed, self.state.feed_said) = (0.0, false);
            }
            Some(_) if std::mem::take(&mut self.state.inverse_time) => {
                (self.state.feed, self.state.feed_said) = (0.0, false);
            }
            _ => {}
        }
        let units = at.of(ModalGroup::Units).map(|code| code == 200);
        if let Some(feed) = at.letter(b'F') {
            let changed = units.is_some_and(|inches| inches != (self.state.inches == Some(true)));
            if changed
                && !self.state.inverse_time
                && (self.state.inches.is_some() || units == Some(true))
            {
                let says = "F stands on the line that changes the unit: machines read it in the \
                            unit before or after it; here it is the one before";
                self.caution(says.to_owned(), "Put F on a line after the unit.", out);
            }
            let unit = if self.state.inverse_time { 1.0 } else { self.unit() };
            (self.state.feed, self.state.feed_said) = (feed * unit, true);
        }
        if let Some(tool) = at.letter(b'T') {
            self.selected = Some(tool as u32);
        }
        if at.m.contains(&6) {
            if self.selected.is_none() {
                let says = "M6 changes the tool, and no T before it says which";
                self.caution(says.to_owned(), "Have the post processor write T before M6.", out);
            }
            (self.changes, self.in_spindle, self.state.spinning) = (true, self.selected, false);
            if let Some(number) = self.in_spindle {
                out(Ok(Action::Tool { line: self.number, number }));
            }
        } else if !self.changes && self.in_spindle != self.selected {
            // Without any change of tool in the program the number names what is in the spindle.
            self.in_spindle = self.selected;
            if let Some(number) = self.in_spindle {
                out(Ok(Action::Tool { line: self.number, number }));
            }
        }
        for code in &at.m {
            match code {
                3 => self.state.spinning = true,
                4 => {
                    self.state.spinning = true;
                    let says = "M4 turns the spindle backwards".to_owned();
                    let help =
                        "Have the post processor write M3, unless the cutter is made for it.";
                    let (code, severity) = (TURNS_BACK, Severity::Fault);
                    self.remark(Remark { code, severity, line: 0, says, help }, out);
                }
                5 => (self.state.spinning, self.tally.stopped) = (false, true),
                _ => {}
            }
        }
        if let Some(speed) = at.letter(b'S') {
            self.state.speed = speed;
            self.state.spinning &= speed > 0.0;
        }
        if let (true, Some(seconds)) = (at.has_g(40), at.letter(b'P')) {
            out(Ok(Action::Dwell(seconds)));
        }
        match at.of(ModalGroup::Plane) {
            Some(170) => self.state.plane = ArcPlane::Xy,
            Some(180) => self.state.plane = ArcPlane::Zx,
            Some(_) => self.state.plane = ArcPlane::Yz,
            None => {}
        }
        self.state.inches = units.or(self.state.inches);
        if at.has_g(490) {
            self.length.drop();
        }
        if at.has_g(430) {
            // Without H it is the length of the tool in the spindle.
            let named = at.letter(b'H').map(|number| number as u32);
            self.length.take(named.or(self.in_spindle), self.number);
        }
        if let Some(code) = at.of(ModalGroup::Position) {
            let index = if code < 590 { (code - 540) / 10 } else { 5 + code - 590 };
            (self.state.position, self.position_known) = ((index as usize).min(8), true);
            out(Ok(Action::Position { line: self.number, index: self.state.position }));
        }
        if let Some(code) = at.of(ModalGroup::Distance) {
            self.distance_known = true;
            self.state.incremental = code == 910 && !self.over.steps;
            if code == 910 {
                self.steps = Some(self.number);
            }
        }
        if let Some(code) = at.of(ModalGroup::Centres) {
            self.state.centres_absolute = code == 901;
        }
        if let Some(code) = at.of(ModalGroup::Retract) {
            self.state.retract_to_r = code == 990;
        }
    }
}
