//! The known name that a misspelt one was meant to be.

/// How many slips a name of so many letters may have and still be taken for another: a letter left
/// out, put in, changed, or two that changed places. More, and a short word is near to any other
/// (`hole` would be `handle`).
const fn slips(letters: usize) -> usize {
    match letters {
        0..=2 => 0,
        3..=5 => 1,
        6..=9 => 2,
        _ => 3,
    }
}

/// The longest name that is compared; a longer one is no slip of the finger.
const LONGEST: usize = 64;

/// The nearest known name, if it is near enough to be meant. Capitals, hyphens and blanks count for
/// nothing.
pub fn nearest<'k>(name: &str, known: &[&'k str]) -> Option<&'k str> {
    if name.chars().nth(LONGEST).is_some() {
        return None;
    }
    let plain = |name: &str| name.to_lowercase().replace(['-', ' '], "_");
    let name = plain(name);
    let near = |candidate: &&'k str| {
        let other = plain(candidate);
        let most = slips(name.chars().count().min(other.chars().count()));
        let apart = strsim::osa_distance(&name, &other);
        (apart <= most).then_some((apart, *candidate))
    };
    known.iter().filter_map(near).min_by_key(|(apart, _)| *apart).map(|(_, name)| name)
}

#[cfg(test)]
mod tests {
    use super::*;

    const SECTIONS: [&str; 9] =
        ["utensil", "bowl", "blade", "handle", "tines", "tabs", "clean_up", "give", "accept"];
    const KEYS: [&str; 9] =
        ["length", "width", "depth", "wall", "rim", "widest", "step_over", "stick_out", "at"];

    #[test]
    fn a_slip_is_put_right() {
        for (name, meant) in
            [("handel", "handle"), ("tine", "tines"), ("cleanup", "clean_up"), ("BOWL", "bowl")]
        {
            assert_eq!(nearest(name, &SECTIONS), Some(meant), "{name}");
        }
        for (name, meant) in [
            ("widht", "width"),
            ("lenght", "length"),
            ("step-over", "step_over"),
            ("dept", "depth"),
        ] {
            assert_eq!(nearest(name, &KEYS), Some(meant), "{name}");
        }
    }

    #[test]
    fn what_was_meant_as_something_else_is_left_alone() {
        for name in ["hole", "crank", "outline", "inlay", "neck", "shaft", "notch", "", "x", "box"]
        {
            assert_eq!(nearest(name, &SECTIONS), None, "{name}");
            assert_eq!(nearest(name, &KEYS), None, "{name}");
        }
        assert_eq!(nearest(&"width".repeat(1000), &KEYS), None);
    }
}
