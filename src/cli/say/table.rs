//! What the rules say, as a table that can be taken in at a glance.

use super::colour::{Tint, tint};
use super::harmless::harmless;
use super::text::at_blanks;
use crate::check::{Row, Verdict};

/// One line for each rule: a mark, its name, its figures; long ones go on under themselves.
pub(super) fn table(rows: &[Row], fancy: bool, width: usize) -> String {
    let names = rows.iter().map(|row| row.rule.chars().count()).max().unwrap_or(0);
    let verdicts = rows.iter().map(|row| row.verdict.name().len()).max().unwrap_or(0);
    let left = names + verdicts + 4;
    let mut out = String::new();
    for row in rows {
        let verdict = format!("{:verdicts$}", row.verdict.name());
        let says = harmless(&row.says);
        let columns = at_blanks(width.saturating_sub(left).max(20));
        for (index, line) in textwrap::wrap(&says, columns).iter().enumerate() {
            if index == 0 {
                let name = format!("{:names$}", row.rule);
                out += &format!("{}  {name}  {line}\n", coloured(&verdict, row.verdict, fancy));
            } else {
                out += &format!("{:left$}{line}\n", "");
            }
        }
    }
    out.push('\n');
    out
}

fn coloured(text: &str, verdict: Verdict, fancy: bool) -> String {
    let colour = match verdict {
        Verdict::Good => Tint::Green,
        Verdict::Accepted => Tint::Cyan,
        Verdict::Caution => Tint::Yellow,
        Verdict::Fault => Tint::Red,
    };
    tint(text, colour, fancy)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_line_is_wider_than_the_terminal_and_no_word_is_lost() {
        let says =
            "top: 0.02 mm left at most; bottom: 0 mm left at most; tightest hollow R 21.4 mm";
        let rows = [
            Row { rule: "reach", verdict: Verdict::Good, says: says.into() },
            Row { rule: "flutes", verdict: Verdict::Caution, says: "short".into() },
        ];
        let table = table(&rows, false, 60);
        assert!(table.lines().all(|line| line.chars().count() <= 60), "{table}");
        let words = |text: &str| text.split_whitespace().map(str::to_owned).collect::<Vec<_>>();
        for word in words(says) {
            assert!(words(&table).contains(&word), "{word}");
        }
        assert!(!table.contains('\x1b'));
    }
}
