//! Source files as tokens.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

/// A word or a sign of the source, with its line.
#[derive(Clone, Debug, PartialEq)]
pub struct Token {
    pub text: String,
    pub line: usize,
}

/// The tokens of a source text, without comments, strings, characters and lifetimes.
pub fn tokens(source: &str) -> Vec<Token> {
    let chars: Vec<char> = source.chars().collect();
    let at = |i: usize| chars.get(i).copied().unwrap_or('\0');
    let mut found = Vec::new();
    let (mut i, mut line) = (0, 1);
    while i < chars.len() {
        let c = at(i);
        let start = i;
        if c == '/' && at(i + 1) == '/' {
            while i < chars.len() && at(i) != '\n' {
                i += 1;
            }
        } else if c == '/' && at(i + 1) == '*' {
            i = past_block_comment(&chars, i);
        } else if let Some(end) = past_raw_string(&chars, i) {
            i = end;
        } else if c == '"' || (matches!(c, 'b' | 'c') && at(i + 1) == '"') {
            i += if c == '"' { 1 } else { 2 };
            while i < chars.len() && at(i) != '"' {
                i += if at(i) == '\\' { 2 } else { 1 };
            }
            i += 1;
        } else if c == '\'' {
            i = past_quote(&chars, i);
        } else if c.is_alphabetic() || c == '_' {
            while at(i).is_alphanumeric() || at(i) == '_' {
                i += 1;
            }
            found.push(Token { text: chars[start..i].iter().collect(), line });
        } else if c == ':' && at(i + 1) == ':' {
            i += 2;
            found.push(Token { text: "::".to_owned(), line });
        } else {
            i += 1;
            if !c.is_whitespace() {
                found.push(Token { text: c.to_string(), line });
            }
        }
        line += chars[start..i.min(chars.len())].iter().filter(|&&c| c == '\n').count();
    }
    found
}

/// The index past a block comment, which may hold others.
fn past_block_comment(chars: &[char], mut i: usize) -> usize {
    let mut depth = 0;
    while i < chars.len() {
        match (chars[i], chars.get(i + 1)) {
            ('/', Some('*')) => (depth, i) = (depth + 1, i + 2),
            ('*', Some('/')) => {
                (depth, i) = (depth - 1, i + 2);
                if depth == 0 {
                    return i;
                }
            }
            _ => i += 1,
        }
    }
    i
}

/// The index past a raw string, if one starts here.
fn past_raw_string(chars: &[char], start: usize) -> Option<usize> {
    if start > 0 && (chars[start - 1].is_alphanumeric() || chars[start - 1] == '_') {
        return None;
    }
    let mut i = start;
    if matches!(chars.get(i), Some('b' | 'c')) {
        i += 1;
    }
    if chars.get(i) != Some(&'r') {
        return None;
    }
    i += 1;
    let hashes = chars[i..].iter().take_while(|&&c| c == '#').count();
    i += hashes;
    if chars.get(i) != Some(&'"') {
        return None;
    }
    i += 1;
    while i < chars.len() {
        if chars[i] == '"'
            && chars[i + 1..].iter().take(hashes).filter(|&&c| c == '#').count() == hashes
        {
            return Some(i + 1 + hashes);
        }
        i += 1;
    }
    Some(i)
}

/// The index past a character literal or a lifetime.
fn past_quote(chars: &[char], start: usize) -> usize {
    let at = |i: usize| chars.get(i).copied().unwrap_or('\0');
    if at(start + 1) == '\\' {
        let mut i = start + 3;
        while i < chars.len() && at(i) != '\'' {
            i += 1;
        }
        return i + 1;
    }
    if at(start + 2) == '\'' {
        return start + 3;
    }
    let mut i = start + 1;
    while at(i).is_alphanumeric() || at(i) == '_' {
        i += 1;
    }
    i
}

/// Every source file: its path under `src/`, and its text.
pub fn sources() -> Vec<(String, String)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut folders = vec![root.clone()];
    let mut files = BTreeSet::<PathBuf>::new();
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder).expect("src can be read") {
            let path = entry.expect("src can be read").path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|extension| extension == "rs") {
                files.insert(path);
            }
        }
    }
    files
        .into_iter()
        .map(|path| {
            let text = fs::read_to_string(&path).expect("source is UTF-8");
            let short = path.strip_prefix(&root).expect("it is under src");
            (short.to_string_lossy().replace('\\', "/"), text)
        })
        .collect()
}
