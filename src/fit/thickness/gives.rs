//! What may be changed: the gives of a design as plain variables.
//!
//! A variable is a *relative change*: 0 is what the file asks for, 0.1 is a tenth more. Of a
//! length that is asked to be nothing (a rise of 0 mm) and of rises and shifts, whose zero is
//! anywhere, the change is told in shares of the greatest rise or shift of the same line.

use crate::params::{self, Bound, Design, Dimension, Station, dimension};
use crate::units::{Angle, Length, plain};

/// What a change of a dimension without a size of its own is told in: one millimetre, one degree.
const UNIT: f64 = 1.0;
/// Changes smaller than this share are none.
const NONE: f64 = 1e-9;

/// What fitting did to one dimension.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// Key of the design file.
    pub key: String,
    /// What the file asks for, with its unit.
    pub asked: String,
    /// What is made, with its unit.
    pub fitted: String,
    /// The limit on that side, with its unit.
    pub limit: String,
    /// The change as a share of what is asked.
    pub share: f64,
    /// The group that it changes alike with, if any.
    pub alike: Option<String>,
}

/// How a variable is written.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Written {
    Length,
    Number,
    Angle,
    /// A factor on all stations of a line.
    Stations,
}

/// One dimension that may change.
#[derive(Clone, Debug)]
struct GivenSize {
    key: String,
    form: Written,
    /// In mm, degrees, or as a plain number; 1 for a line of stations.
    asked: f64,
    /// What a relative change of 1 is.
    scale: f64,
    /// Which way the file counts it.
    way: f64,
    /// Relative changes that its own limits allow.
    least: f64,
    most: f64,
    /// Relative changes that are possible at all.
    room: [f64; 2],
}

/// One give, or all of a design that change alike.
#[derive(Clone, Debug)]
pub(super) struct Variable {
    members: Vec<GivenSize>,
    /// The group that it changes alike with.
    pub(super) alike: Option<String>,
    /// Relative changes that are allowed.
    pub(super) least: f64,
    pub(super) most: f64,
    /// Relative changes that are possible at all.
    pub(super) room: [f64; 2],
    /// How unwillingly it changes; 1 is the most unwilling of the design.
    pub(super) weight: f64,
}

/// The gives of a design as variables, those of one group as one; one whose key is unknown is
/// passed over.
pub(super) fn variables(design: &Design) -> Vec<Variable> {
    let mut copy = design.clone();
    let heaviest = design.give.iter().map(|give| give.weight).fold(f64::MIN_POSITIVE, f64::max);
    let mut all: Vec<Variable> = Vec::new();
    for give in &design.give {
        let Some(member) = member(design, &mut copy, give) else { continue };
        let next = Variable {
            least: member.least,
            most: member.most,
            room: member.room,
            weight: give.weight / heaviest,
            alike: give.alike.clone(),
            members: vec![member],
        };
        let same = |known: &&mut Variable| known.alike.is_some() && known.alike == next.alike;
        match all.iter_mut().find(same) {
            Some(known) => known.join(next),
            None => all.push(next),
        }
    }
    all
}

fn member(design: &Design, copy: &mut Design, give: &params::Give) -> Option<GivenSize> {
    let (form, asked) = match dimension(copy, &give.key)? {
        Dimension::Length(length) => (Written::Length, length.as_mm()),
        Dimension::Number(number) => (Written::Number, *number),
        Dimension::Angle(angle) => (Written::Angle, angle.as_degrees()),
        Dimension::Stations(_) => (Written::Stations, 1.0),
    };
    let scale = match line_of(design, &give.key) {
        // Alike is by the same share of what each asks.
        _ if give.alike.is_some() => asked,
        Some(line) if form == Written::Length => greatest(line),
        _ => asked.abs(),
    };
    let scale = if scale.abs() > 1e-6 { scale } else { UNIT };
    let value = |bound: &Bound| match bound {
        Bound::Length(length) => length.as_mm(),
        Bound::Fraction(share) => share * asked,
    };
    let change = |value: f64| (value - asked) / scale;
    let [one, other] = params::room(design, &give.key).map(change);
    let room = [one.min(other), one.max(other)];
    let (one, other) = (change(value(&give.least)), change(value(&give.most)));
    Some(GivenSize {
        key: give.key.clone(),
        form,
        asked,
        scale,
        way: design.way_of(&give.key),
        // A share of a negative rise runs the other way. What is asked is always allowed.
        least: one.min(other).clamp(room[0].min(0.0), 0.0),
        most: one.max(other).clamp(0.0, room[1].max(0.0)),
        room,
    })
}

/// The line of rises or shifts that a key is of.
fn line_of<'d>(design: &'d Design, key: &str) -> Option<&'d [Station]> {
    if key.starts_with("handle.curve") {
        Some(&design.handle.curve)
    } else if key.starts_with("handle.sway") {
        Some(&design.handle.sway)
    } else if key.starts_with("bowl.curve") || key.starts_with("blade.curve") {
        Some(design.head.curve())
    } else {
        None
    }
}

fn greatest(line: &[Station]) -> f64 {
    line.iter().map(|station| station.size.as_mm().abs()).fold(0.0, f64::max)
}

/// The design with its gives moved. Lines of stations first, so that a station with a give of its
/// own has the last word.
pub(super) fn moved(design: &Design, variables: &[Variable], changes: &[f64]) -> Design {
    let mut moved = design.clone();
    for whole in [true, false] {
        let each = variables.iter().zip(changes);
        let each =
            each.flat_map(|(variable, change)| variable.members.iter().map(move |m| (m, change)));
        for (member, change) in each {
            if (member.form == Written::Stations) != whole || change.abs() < NONE {
                continue;
            }
            let value = member.value(*change);
            match dimension(&mut moved, &member.key) {
                Some(Dimension::Length(length)) => *length = Length::mm(value),
                Some(Dimension::Number(number)) => *number = value,
                Some(Dimension::Angle(angle)) => *angle = Angle::degrees(value),
                Some(Dimension::Stations(stations)) => {
                    for station in stations {
                        station.size = station.size * value;
                    }
                }
                None => {}
            }
        }
    }
    moved
}

impl Variable {
    /// Adds what changes alike with it.
    fn join(&mut self, other: Variable) {
        self.members.extend(other.members);
        self.weight += other.weight;
        self.room = [self.room[0].max(other.room[0]), self.room[1].min(other.room[1])];
        self.keep_to([other.least, other.most]);
    }

    /// Allows no change beyond these bounds, which enclose what is asked.
    pub(super) fn keep_to(&mut self, [least, most]: [f64; 2]) {
        self.least = self.least.max(least);
        self.most = self.most.min(most);
    }

    /// Keys of the design file that it moves.
    pub(super) fn keys(&self) -> impl Iterator<Item = &str> {
        self.members.iter().map(|member| member.key.as_str())
    }

    /// A limit of the file that a relative change stands for, rounded as it is printed: up, down,
    /// or not at all. Of all but single lengths it is a share of what is asked.
    pub(super) fn limit(&self, change: f64, up: Option<bool>) -> Bound {
        let rounded = |value: f64| match up {
            Some(true) => (1000.0 * value - 1e-9).ceil() / 1000.0,
            Some(false) => (1000.0 * value + 1e-9).floor() / 1000.0,
            None => value,
        };
        match &self.members[..] {
            [one] if self.alike.is_none() => {
                let value = one.value(change);
                match one.form {
                    Written::Length => Bound::Length(Length::mm(one.way * rounded(value))),
                    _ => Bound::Fraction(rounded(100.0 * value / one.asked) / 100.0),
                }
            }
            _ => Bound::Fraction(rounded(100.0 * (1.0 + change)) / 100.0),
        }
    }

    /// What was done to its dimensions, if anything.
    pub(super) fn changes(&self, change: f64) -> Vec<Change> {
        let limit = if change < 0.0 { self.least } else { self.most };
        let one = |member: &GivenSize| {
            let shown = |change: f64| member.shown(member.value(change));
            let (asked, fitted) = (shown(0.0), shown(change));
            // A change of less than is printed is none to the maker, and none can be measured.
            (change.abs() >= NONE && asked != fitted).then(|| Change {
                key: member.key.clone(),
                asked,
                fitted,
                limit: shown(limit),
                share: change,
                alike: self.alike.clone(),
            })
        };
        self.members.iter().filter_map(one).collect()
    }
}

impl GivenSize {
    fn value(&self, change: f64) -> f64 {
        self.asked + change * self.scale
    }

    /// With its unit, as the file would have it.
    fn shown(&self, value: f64) -> String {
        match self.form {
            Written::Length => format!("{} mm", plain(self.way * value, 3)),
            Written::Number => plain(value, 4),
            Written::Angle => format!("{} deg", plain(value, 3)),
            Written::Stations => format!("{} %", plain(100.0 * value, 2)),
        }
    }
}
