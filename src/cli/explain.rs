//! `explain`: what a finding means, or the list of all.

use super::say::{self, Console};
use super::{Ending, codes};
use crate::finding::nearest;

/// Columns of the text: what reads well, and fits the narrowest terminals in use.
const WIDTH: usize = 76;

pub(super) fn explain(console: &Console, name: Option<&str>) -> Ending {
    let codes = codes::all();
    let Some(name) = name else {
        let wide = codes.iter().map(|code| code.name.len()).max().unwrap_or(0);
        for code in &codes {
            let first =
                textwrap::fill(first_sentence(code.explain), say::at_blanks(WIDTH - wide - 2));
            let lines = first.replace('\n', &format!("\n{:wide$}  ", ""));
            console.out(&format!("{:wide$}  {lines}\n", code.name));
        }
        return Ending::Done;
    };
    if let Some(code) = codes.iter().find(|code| code.name == name) {
        console.out(&format!("{}\n\n{}\n", code.name, wrapped(code.explain)));
        return Ending::Done;
    }
    let names: Vec<&str> = codes.iter().map(|code| code.name).collect();
    console.err(&format!("There is no finding `{name}`; {}\n", hint(name, &names)));
    Ending::Usage
}

/// The finding that is meant, or those that have the word in their name, or how all are listed.
fn hint(name: &str, names: &[&str]) -> String {
    const LIST: &str = "`treenwright explain` lists all codes";
    if let Some(near) = nearest(name, names) {
        return format!("did you mean `{near}`?");
    }
    let word = name.to_lowercase();
    let word = word.strip_suffix('s').filter(|word| word.len() > 2).unwrap_or(&word);
    let with = names
        .iter()
        .filter(|known| known.split('-').any(|part| word.len() > 2 && part.starts_with(word)));
    let with: Vec<String> = with.take(6).map(|known| format!("`{known}`")).collect();
    match with[..] {
        [] => LIST.to_owned(),
        _ => format!("about that there is {}; {LIST}", with.join(", ")),
    }
}

/// What a finding is, without why and what to do.
fn first_sentence(text: &str) -> &str {
    let line = text.lines().next().unwrap_or_default();
    line.find(". ").map_or(line, |end| &line[..=end])
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
    fn the_list_has_a_short_sentence_for_each() {
        for code in codes::all() {
            let first = first_sentence(code.explain);
            assert!(first.ends_with('.') && first.len() <= 220, "{}: {first}", code.name);
        }
    }

    #[test]
    fn a_word_that_is_no_code_leads_to_those_that_have_it_or_to_the_list() {
        let names: Vec<&str> = codes::all().iter().map(|code| code.name).collect();
        assert!(hint("hole", &names).contains("`bolt-hole-too-near`"), "{}", hint("hole", &names));
        assert!(hint("pins", &names).contains("`pin-tight`"));
        assert!(hint("too-tal", &names).contains("`too-tall`"));
        let none = "`treenwright explain` lists all codes";
        assert_eq!(hint("banana", &names), none);
        assert_eq!(hint("", &names), none);
    }

    #[test]
    fn no_word_is_lost_in_wrapping_and_no_line_is_too_long() {
        let text = "One two three. ".repeat(20) + "\n\n    an example stays\nend";
        let out = wrapped(&text);
        assert!(out.lines().all(|line| line.len() <= WIDTH));
        assert!(out.contains("\n    an example stays\n"));
        assert_eq!(out.split_whitespace().count(), text.split_whitespace().count());
    }
}
