//! `explain`: what a finding means, or the list of all.

use super::say::{self, Console};
use super::{Ending, codes};

/// How alike a misspelt code must be to be offered (Jaro-Winkler similarity; common practice for
/// short words, no source).
const ALIKE: f64 = 0.8;

/// Columns of the text: what reads well, and fits the narrowest terminals in use.
const WIDTH: usize = 76;

pub(super) fn explain(console: &Console, name: Option<&str>) -> Ending {
    let codes = codes::all();
    let Some(name) = name else {
        let wide = codes.iter().map(|code| code.name.len()).max().unwrap_or(0);
        for code in &codes {
            let first = code.explain.lines().next().unwrap_or_default();
            console.out(&format!("{:wide$}  {first}\n", code.name));
        }
        return Ending::Done;
    };
    if let Some(code) = codes.iter().find(|code| code.name == name) {
        console.out(&format!("{}\n\n{}\n", code.name, wrapped(code.explain)));
        return Ending::Done;
    }
    let nearest = codes
        .iter()
        .map(|code| (strsim::jaro_winkler(code.name, name), code.name))
        .filter(|(alike, _)| *alike >= ALIKE)
        .max_by(|a, b| a.0.total_cmp(&b.0));
    let hint = match nearest {
        Some((_, near)) => format!("did you mean `{near}`?"),
        None => "`treenwright explain` lists all codes".to_owned(),
    };
    console.err(&format!("no finding has the code `{name}`; {hint}\n"));
    Ending::Usage
}

/// Long lines broken at blanks; lines that begin with a blank, such as examples, stay as they are.
fn wrapped(text: &str) -> String {
    let line = |line: &str| match line.starts_with(' ') {
        true => format!("{line}\n"),
        false => textwrap::fill(line, say::at_blanks(WIDTH)) + "\n",
    };
    text.lines().map(line).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_word_is_lost_in_wrapping_and_no_line_is_too_long() {
        let text = "One two three. ".repeat(20) + "\n\n    an example stays\nend";
        let out = wrapped(&text);
        assert!(out.lines().all(|line| line.len() <= WIDTH));
        assert!(out.contains("\n    an example stays\n"));
        assert_eq!(out.split_whitespace().count(), text.split_whitespace().count());
    }
}
