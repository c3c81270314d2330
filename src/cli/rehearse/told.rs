//! A rehearsal in words and as JSON.

use crate::cli::say::{SlipCard, escaped};
use crate::finding::{Severity, only_in};
use crate::rehearse::{
    LeftFigures, PieceProgress, PieceStanding, RIM, Rehearsal, Slip, StagePiece, StagedSetup,
    figure_rows, state,
};
use crate::units::Unit;
use serde_json::{Value, json};

/// What there is to tell.
pub(super) struct Told<'a> {
    pub(super) stage: &'a StagedSetup,
    pub(super) done: &'a Rehearsal,
    pub(super) names: &'a [String],
}

/// A piece's own figures.
fn piece((piece, (left, of)): (&StagePiece, &(LeftFigures, PieceStanding))) -> Value {
    let own = json!({
        "name": piece.name,
        "progress": match of.progress() {
            PieceProgress::Finished => "finished",
            PieceProgress::Roughed => "roughed",
            PieceProgress::Untouched => "untouched",
            PieceProgress::Partly => "partly",
            PieceProgress::Spoiled => "spoiled",
        },
        "standing_percent": 100.0 * of.standing,
        "uncut_percent": 100.0 * of.uncut,
        "standing_high_percent": 100.0 * of.high,
        "standing_most_mm": of.most,
        "slots_closed_percent": of.closed.map(|share| 100.0 * share),
    });
    with_left(own, left, piece.promised)
}

/// The same object with what is left, beside what was promised, and what is cut too deep.
fn with_left(mut object: Value, left: &LeftFigures, promised: Option<f64>) -> Value {
    object["left_most_mm"] = json!(left.most);
    object["left_most_at_mm"] = json!(left.most_at.to_array());
    object["left_nine_tenths_mm"] = json!(left.tenth);
    object["left_promised_mm"] = json!(promised);
    object["done_percent"] = json!(100.0 * left.done_share);
    object["below_most_mm"] = json!(left.below_most);
    object["below_mm2"] = json!(left.below_mm2);
    object
}

impl Told<'_> {
    fn unit(&self) -> Unit {
        if self.stage.inches { Unit::Inch } else { Unit::Millimetre }
    }

    /// Each slip as a card; what comes of a cause only when `all` are asked for.
    pub(super) fn cards(&self, all: bool) -> Vec<SlipCard> {
        let shown = self.done.slips.iter().filter(|slip| all || !slip.explained);
        shown.map(|slip| self.card(slip)).collect()
    }

    /// How many were not shown, in a line of its own; and the cause again, which may have scrolled away.
    pub(super) fn folded(&self, all: bool) -> String {
        let folded = self.done.slips.iter().filter(|slip| slip.explained).count();
        let causes = self.done.slips.iter().filter(|slip| slip.is_cause() && !slip.explained);
        let first = causes
            .map(|slip| format!("First put this right: {}\n", only_in(&slip.says, self.unit())));
        let more = if folded > 0 && !all {
            let comes = if folded == 1 { "1 more that comes" } else { "more that come" };
            let count = if folded == 1 { String::new() } else { format!("{folded} ") };
            format!("{count}{comes} of it: --all shows them\n")
        } else {
            String::new()
        };
        more + &first.collect::<String>()
    }

    fn card(&self, slip: &Slip) -> SlipCard {
        let mut whence = match &slip.programs(self.names)[..] {
            [] => String::new(),
            [one] => (*one).to_owned(),
            [most @ .., last] => format!("{} and {last}", most.join(", ")),
        };
        if slip.line > 0 {
            whence += &format!(", line {}", slip.line);
        }
        if slip.times > 1 {
            whence += &format!(", and {} more", slip.times - 1);
            if slip.worst_line != slip.line {
                whence += &format!("; worst in line {}", slip.worst_line);
            }
        }
        let mut rows = vec![("Where", whence)];
        rows.retain(|(_, whence)| !whence.is_empty());
        rows.extend(slip.place(self.stage).map(|place| ("At", only_in(&place, self.unit()))));
        rows.push(("To do", slip.help.to_owned()));
        rows.push(("More", format!("treenwright explain {}", slip.code.name)));
        SlipCard { severity: slip.severity, says: only_in(&slip.says, self.unit()), rows }
    }

    /// Such as `2 faults, 1 caution`.
    pub(super) fn last_line(&self) -> String {
        let count =
            |severity| self.done.slips.iter().filter(|slip| slip.severity == severity).count();
        let words = |count: usize, one: &str| match count {
            1 => format!("1 {one}"),
            many => format!("{many} {one}s"),
        };
        match (count(Severity::Fault), count(Severity::Caution)) {
            (0, 0) => format!("no findings{}; watch the first run all the same", self.not_done()),
            (faults, cautions) => {
                let counted = format!("{}, {}", words(faults, "fault"), words(cautions, "caution"));
                counted + &self.not_cut_through()
            }
        }
    }

    /// Slots that are not cut, beside whatever else is found.
    fn not_cut_through(&self) -> String {
        let pieces = self.stage.pieces.iter().zip(&self.done.figures.pieces);
        let closed = pieces.filter(|(_, (_, of))| {
            of.progress() == PieceProgress::Finished && of.closed.is_some_and(|share| share > RIM)
        });
        let says =
            closed.map(|(piece, (left, of))| format!("; {}: {}", piece.name, state(left, of)));
        only_in(&says.collect::<String>(), self.unit())
    }

    /// What is not finished by design: a program that only roughs, one that only bores.
    fn not_done(&self) -> String {
        let pieces = self.stage.pieces.iter().zip(&self.done.figures.pieces);
        let behind = pieces.filter(|(_, (_, of))| {
            of.progress() != PieceProgress::Finished || of.closed.is_some_and(|share| share > RIM)
        });
        let says =
            behind.map(|(piece, (left, of))| format!("; {}: {}", piece.name, state(left, of)));
        only_in(&says.collect::<String>(), self.unit())
    }

    /// The figures, a line each.
    pub(super) fn figures(&self) -> String {
        let rows = figure_rows(self.stage, self.done);
        let wide = rows.iter().map(|(name, _)| name.chars().count()).max().unwrap_or(0);
        let line = |(name, value): &(String, String)| {
            format!("{name:wide$}  {}\n", only_in(value, self.unit()))
        };
        rows.iter().map(line).collect()
    }

    /// All of it for programs; lengths in mm.
    pub(super) fn json(&self) -> String {
        let slips: Vec<Value> = self.done.slips.iter().map(|slip| self.slip(slip)).collect();
        let f = &self.done.figures;
        let pieces: Vec<Value> = self.stage.pieces.iter().zip(&f.pieces).map(piece).collect();
        let promised = self.stage.pieces.iter().filter_map(|p| p.promised).reduce(f64::max);
        let figures = json!({
            "motions": f.motions,
            "time_s": f.seconds,
            "air_percent": 100.0 * f.air_share(),
            "removed_mm3": f.removed_mm3,
            "cut_deepest_mm": f.deepest,
            "cut_deepest_program": f.deepest_at.and_then(|(program, ..)| self.names.get(program)),
            "cut_deepest_line": f.deepest_at.map(|(_, line, _)| line),
            "cut_deepest_at_mm": f.deepest_at.map(|(.., at)| at.to_array()),
            "tip_lowest_mm": f.lowest,
            "passes_not_run": f.not_run,
        });
        let all = json!({
            "setup": self.stage.face.name(),
            "programs": self.names,
            "cell_mm": self.done.timber.cells.cell,
            "findings": slips,
            "figures": with_left(figures, &f.whole, promised),
            "pieces": pieces,
        });
        escaped(&serde_json::to_string_pretty(&all).unwrap_or_default()) + "\n"
    }

    fn slip(&self, slip: &Slip) -> Value {
        let on_piece = slip.on_piece(self.stage).map(|(index, at)| {
            json!({ "piece": self.stage.pieces[index].name, "along_mm": at.x, "left_mm": at.y })
        });
        json!({
            "code": slip.code.name,
            "severity": slip.severity.name(),
            "program": self.names.get(slip.program),
            "programs": slip.programs(self.names),
            "line": slip.line,
            "worst_line": slip.worst_line,
            "times": slip.times,
            "message": slip.says,
            "help": slip.help,
            "amount": slip.amount,
            "explained": slip.explained,
            "at_mm": slip.at.map(|at| at.to_array()),
            "on_board_mm": slip.on_board(self.stage).map(|at| at.to_array()),
            "on_piece": on_piece,
        })
    }
}
