//! Messages with gaps: `{name}` stands for a word or a figure. Each room that has words for the reader
//! keeps them in a file `words.rs` of such messages, so that they can be translated.

/// A message with its gaps filled. A gap that has no value stays as it is.
pub fn fill(message: &str, values: &[(&str, &str)]) -> String {
    let mut out = String::new();
    let mut rest = message;
    while let Some((before, after)) = rest.split_once('{') {
        out.push_str(before);
        let value = after.split_once('}').and_then(|(name, left)| {
            values.iter().find(|(known, _)| *known == name).map(|(_, value)| (*value, left))
        });
        match value {
            Some((value, left)) => {
                out.push_str(value);
                rest = left;
            }
            None => {
                out.push('{');
                rest = after;
            }
        }
    }
    out.push_str(rest);
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn gaps_are_filled_once_and_values_are_not_read_again() {
        assert_eq!(fill("{a} and {b}", &[("a", "{b}"), ("b", "x")]), "{b} and x");
        assert_eq!(fill("{a {b} {", &[("b", "x")]), "{a x {");
    }
}
