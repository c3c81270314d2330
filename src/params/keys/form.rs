//! The three files as forms: every table with its keys, their units, ranges and sentences, for a
//! page on which they can be changed.
//!
//! Promised: every declared key stands in it once. Not promised: what rules say of two keys
//! together; the findings say that.

use super::file::{KeyFile, file_of};
use super::{Absent, Key, KeyRange, KeyShape, Node, giving};
use crate::finding::Source;
use crate::params::design::{HEADS, Kind, needs};
use crate::params::{PLAN_KEYS, plan::PLAN_PATH};
use serde_json::{Value, json};

/// The form of one of the three files.
pub fn form(source: Source) -> Value {
    let file = file_of(source);
    let tables: Vec<Value> = file.tree().iter().map(|node| table(&file, node)).collect();
    let mut out = json!({ "file": source.name(), "says": file.says, "tables": tables });
    if source == Source::Design {
        let one = |(kind, has, _): &(Kind, _, _)| json!({ "kind": kind.name(), "has": has, "needs": needs(*kind) });
        let kinds = HEADS.iter().map(one);
        out["heads"] = kinds.collect();
        let gives = giving(file.keys).into_iter().map(|(key, _)| key);
        out["gives"] = gives.filter(|key| !key.contains('[')).collect();
        // What a drawing says stands in no file beside it.
        out["plan"] = json!({ "path": PLAN_PATH, "says": PLAN_KEYS });
    }
    out
}

/// A table at the top of a file, a list of them, or a table whose keys are the maker's.
fn table(file: &KeyFile, node: &Node) -> Value {
    let mut keys = Vec::new();
    match (&node.under, node.key) {
        (Some(under), _) => rows(file, under, &[], &mut keys),
        (None, Some(key)) => keys.push(row(file, node, key, &[])),
        (None, None) => {}
    }
    let own = node.key.filter(|_| node.under.is_none()).map(|key| shape(&key.shape));
    json!({
        "name": node.name,
        "says": file.says(node),
        "list": node.list().is_some(),
        "needed": node.needed(),
        "own": own,
        "lines": node.lines(false),
        "keys": keys,
    })
}

/// The keys of a table, those of tables within it too.
fn rows(file: &KeyFile, nodes: &[Node], above: &[&str], out: &mut Vec<Value>) {
    for node in nodes {
        let path = [above, &[node.name]].concat();
        match (&node.under, node.key) {
            (Some(under), _) => rows(file, under, &path, out),
            (None, Some(key)) => out.push(row(file, node, key, above)),
            (None, None) => {}
        }
    }
}

fn row(file: &KeyFile, node: &Node, key: &Key, above: &[&str]) -> Value {
    let mut out = shape(&key.shape);
    let usual = match key.absent {
        Absent::Usual(usual) => Some(usual),
        Absent::Needed | Absent::Words(_) => None,
    };
    out["path"] = [above, &[node.name]].concat().into();
    out["says"] = file.says(node).into();
    out["kind"] = key.kind().into();
    out["usual"] = usual.into();
    out["left_out"] = key.left_out_words().or(node.loose.map(str::to_owned)).into();
    out["needed"] = node.needed().into();
    out["example"] = key.example().into();
    out
}

/// What a field for it needs to know.
fn shape(of: &KeyShape) -> Value {
    match of {
        KeyShape::Figure(figure, KeyRange { least, most }) => json!({
            "shape": "figure",
            "unit": figure.unit,
            "units": figure.spellings.iter().map(|one| (one.name, one.worth)).collect::<Vec<_>>(),
            "whole": figure.is_whole(),
            "least": least,
            "most": most,
        }),
        KeyShape::Choice(words) => json!({
            "shape": "choice",
            "words": words.iter().map(|word| (word.name, word.says.trim())).collect::<Vec<_>>(),
        }),
        KeyShape::Text => json!({ "shape": "text" }),
        KeyShape::Flag => json!({ "shape": "flag", "words": [["true", "yes"], ["false", "no"]] }),
        KeyShape::Stations(size, KeyRange { least, most }) => {
            json!({ "shape": "stations", "size": size, "least": least, "most": most })
        }
        KeyShape::Varying(along) => shape(&along.figure()),
        KeyShape::Gives => json!({ "shape": "gives" }),
        KeyShape::Reasons => json!({ "shape": "reasons" }),
        KeyShape::WordOr("auto", ..) => json!({ "shape": "tabs" }),
        KeyShape::Place => json!({ "shape": "point" }),
        KeyShape::List(KeyShape::Place, ..) => json!({ "shape": "points" }),
        KeyShape::List(..)
        | KeyShape::WordOr(..)
        | KeyShape::Table(_)
        | KeyShape::Part(_)
        | KeyShape::Tables(..) => json!({ "shape": "written" }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::params::reference;

    fn dotted(path: &Value) -> String {
        let path = path.as_array().expect("a path").iter();
        path.filter_map(Value::as_str).collect::<Vec<_>>().join(".")
    }

    /// What a drawing takes the place of, and the key that names the drawing, are keys of the form.
    #[test]
    fn what_a_plan_says_are_keys_of_the_form() {
        let form = form(Source::Design);
        let mut known = Vec::new();
        for table in form["tables"].as_array().expect("tables") {
            for key in table["keys"].as_array().expect("keys") {
                known.push(format!(
                    "{}.{}",
                    table["name"].as_str().expect("a name"),
                    dotted(&key["path"])
                ));
            }
        }
        assert!(known.contains(&dotted(&form["plan"]["path"])));
        let says = form["plan"]["says"].as_array().expect("keys");
        assert!(says.len() > 10);
        for said in says.iter().filter_map(Value::as_str) {
            let inner = format!("{said}.");
            assert!(known.iter().any(|key| key == said || key.starts_with(&inner)), "{said}");
        }
    }

    /// Each row of the page of all keys is one of the form's, and the other way round.
    #[test]
    fn a_form_has_every_key_that_the_page_of_keys_has() {
        let page = reference();
        let mut on_page: Vec<&str> =
            page.lines().filter_map(|line| line.strip_prefix("| `")?.split('`').next()).collect();
        let mut in_form = Vec::new();
        for source in [Source::Design, Source::Board, Source::Shop] {
            let form = form(source);
            for table in form["tables"].as_array().expect("tables") {
                if !table["own"].is_null() {
                    continue;
                }
                for key in table["keys"].as_array().expect("keys") {
                    let path = dotted(&key["path"]);
                    assert!(!key["says"].as_str().expect("a sentence").is_empty(), "{path}");
                    in_form.push(path);
                }
            }
        }
        on_page.sort_unstable();
        in_form.sort_unstable();
        assert!(in_form.len() > 100);
        assert_eq!(in_form, on_page);
    }
}
