//! The three files as JSON Schema 2020-12, for editors and other programs.
//!
//! Promised: a file that the reader takes is valid. Not promised: the other way round. A schema
//! can't see the range of a quantity in a text with its unit, nor what rules say of two keys
//! together, but for keys that belong to each other, which are held where they stand.

use super::file::{KeyFile, file_of};
use super::{Absent, Key, KeyRange, KeyShape, Node, field::station_keys, figure, giving};
use crate::finding::Source;
use crate::params::PLAN_KEYS;
use crate::params::design::{HEADS, needs};
use crate::params::give;
use crate::params::read::limits::{LONGEST_TEXT, MOST_ENTRIES};
use serde_json::{Map, Value, json};
use toml::de::DeValue;

/// The schema of one of the three files.
pub fn schema(source: Source) -> Value {
    let file = file_of(source);
    let mut root = object(&file, &file.tree());
    let parts = json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": format!("treenwright: the {} file", source.name()),
        "description": file.says,
    });
    merge(&mut root, parts);
    if source == Source::Design {
        heads(&mut root);
    }
    root
}

fn merge(into: &mut Value, from: Value) {
    if let (Value::Object(into), Value::Object(from)) = (into, from) {
        into.extend(from);
    }
}

/// Which of the heads a design has depends on its kind.
fn heads(root: &mut Value) {
    let kinds = HEADS.iter().map(|(kind, has, others)| {
        let is =
            json!({ "properties": { "kind": { "const": kind.name() } }, "required": ["kind"] });
        let none: Map<_, _> =
            others.iter().map(|(name, _)| ((*name).to_owned(), json!(false))).collect();
        let mut then = json!({ "required": has, "properties": none });
        if let Some([table, key]) = needs(*kind) {
            then["properties"][table] = json!({ "required": [key] });
        }
        json!({
            "if": { "properties": { "utensil": is }, "required": ["utensil"] },
            "then": then,
        })
    });
    let kinds = kinds.chain([plan(root)]).collect();
    root["allOf"] = kinds;
    if let Some(Value::Array(needed)) = root.get_mut("required") {
        needed.retain(|name| !HEADS.iter().any(|(_, has, _)| has.iter().any(|one| name == one)));
    }
}

/// What is needed but with a drawing, which takes its place.
fn plan(root: &mut Value) -> Value {
    let mut with = Map::new();
    let mut without = Map::new();
    for path in PLAN_KEYS {
        let Some((table, key)) = path.split_once('.') else { continue };
        with.entry(table).or_insert_with(|| json!({ "properties": {} }))["properties"][key] =
            json!(false);
        let needed = root["properties"][table].get_mut("required").and_then(Value::as_array_mut);
        let Some(needed) = needed else { continue };
        let all = needed.len();
        needed.retain(|name| name != key);
        if needed.len() < all {
            without.insert(table.to_owned(), json!({ "required": [key] }));
        }
    }
    json!({
        "if": {
            "properties": { "utensil": { "required": ["plan"] } },
            "required": ["utensil"],
        },
        "then": { "properties": with },
        "else": { "properties": without },
    })
}

/// A table.
fn object(file: &KeyFile, nodes: &[Node]) -> Value {
    let mut properties = Map::new();
    let mut needed = Vec::new();
    let loose: Vec<&Node> = nodes.iter().filter(|node| node.loose.is_some()).collect();
    let mut together = Map::new();
    for node in nodes {
        properties.insert(node.name.to_owned(), entry(file, node));
        if node.needed() {
            needed.push(node.name);
        }
        if node.loose.is_some() {
            let others = loose.iter().filter(|other| {
                other.name != node.name
                    && other.key.is_some_and(|key| matches!(key.absent, Absent::Needed))
            });
            together.insert(node.name.to_owned(), others.map(|other| other.name).collect());
        }
    }
    let mut out = json!({
        "type": "object",
        "properties": properties,
        "required": needed,
        "additionalProperties": false,
    });
    if !together.is_empty() {
        out["dependentRequired"] = together.into();
    }
    out
}

fn entry(file: &KeyFile, node: &Node) -> Value {
    let mut out = match (&node.under, node.key) {
        (Some(under), key) => {
            let mut table = object(file, under);
            merge(&mut table, relations(node));
            match (node.list(), key) {
                (Some(least), _) => list(table, least, MOST_ENTRIES),
                _ => table,
            }
        }
        (None, Some(key)) => leaf(key),
        (None, None) => json!({}),
    };
    let mut says = file.says(node).to_owned();
    if let (Some(key), None) = (node.key, &node.under) {
        if let KeyShape::Figure(figure, KeyRange { least, most }) = key.shape {
            says += &format!(" From {} to {}.", figure.shown(least), figure.shown(most));
        }
        if let KeyShape::Choice(_) = key.shape {
            says += &format!(" One of {}.", key.kind());
        }
        if let Absent::Words(words) = key.absent {
            says += &format!(" Left out: {words}.");
        }
    }
    out["description"] = says.into();
    out
}

/// A value, with its default and an example.
fn leaf(key: &Key) -> Value {
    let mut out = shape(&key.shape);
    if let Absent::Usual(usual) = key.absent {
        out["default"] = parsed(&key.written(usual));
    }
    out["examples"] = json!([parsed(&key.example())]);
    out
}

fn shape(shape_of: &KeyShape) -> Value {
    match *shape_of {
        KeyShape::Figure(figure, KeyRange { least, most }) if figure.spellings.is_empty() => {
            json!({
                "type": if figure.is_whole() { "integer" } else { "number" },
                "minimum": least,
                "maximum": most,
            })
        }
        KeyShape::Figure(figure, _) => quantity(figure),
        KeyShape::Text => text(),
        KeyShape::Flag => json!({ "type": "boolean" }),
        KeyShape::Choice(words) => {
            json!({ "enum": words.iter().map(|word| word.name).collect::<Vec<_>>() })
        }
        KeyShape::Place => json!({
            "type": "array", "items": quantity(&figure::LENGTH), "minItems": 2, "maxItems": 2,
        }),
        KeyShape::List(one, least, most, _) => list(shape(one), least, most.min(MOST_ENTRIES)),
        KeyShape::Stations(size, room) => json!({
            "type": "array",
            "items": inner(&station_keys(size, room)),
            "maxItems": MOST_ENTRIES,
            "not": { "minItems": 1, "maxItems": 1 },
        }),
        KeyShape::Varying(along) => json!({
            "oneOf": [shape(&along.figure()), list(inner(&along.keys()), 2, MOST_ENTRIES)],
        }),
        KeyShape::WordOr(word, keys, least) => json!({
            "oneOf": [
                { "const": word },
                list(inner(keys), least, MOST_ENTRIES),
            ],
        }),
        KeyShape::Gives => gives(),
        KeyShape::Reasons => {
            json!({ "type": "object", "additionalProperties": shape(&KeyShape::Text) })
        }
        KeyShape::Table(keys) | KeyShape::Part(keys) | KeyShape::Tables(keys, _) => inner(keys),
    }
}

/// A list of so many of something.
fn list(of: Value, least: usize, most: usize) -> Value {
    json!({ "type": "array", "items": of, "minItems": least, "maxItems": most })
}

/// A text of one line, in letters that can be seen.
fn text() -> Value {
    const HIDDEN: &str = r"[\u0000-\u001f\u007f-\u009f\u00ad\u061c\u200b\u200e\u200f\u2028-\u202e\u2060-\u206f\ufeff]";
    json!({
        "type": "string",
        "pattern": "\\S",
        "maxLength": LONGEST_TEXT,
        "not": { "pattern": HIDDEN },
    })
}

/// A table within a value.
fn inner(keys: &[Key]) -> Value {
    let one = |key: &Key| {
        let mut out = leaf(key);
        out["description"] = key.says.trim().into();
        (key.path.to_owned(), out)
    };
    let needed = keys.iter().filter(|key| matches!(key.absent, Absent::Needed));
    json!({
        "type": "object",
        "properties": keys.iter().map(one).collect::<Map<_, _>>(),
        "required": needed.map(|key| key.path).collect::<Vec<_>>(),
        "additionalProperties": false,
    })
}

/// A number with a unit in a text, as `read::quantity` takes it.
fn quantity(figure: &figure::Figure) -> Value {
    let units: Vec<&str> = figure.spellings.iter().map(|spelling| spelling.name).collect();
    let decimal = r"[0-9]+\.?[0-9]*|\.[0-9]+";
    let fraction = r"(([0-9]+ *-|[0-9]+ +)?[0-9]+ */ *[0-9]*[1-9][0-9]*)";
    let pattern = format!(r"^\s*(- *)?({fraction}|{decimal})\s*({})\s*$", units.join("|"));
    json!({ "type": "string", "pattern": pattern })
}

/// `[give]`: dotted keys in quotation marks, or as TOML's tables within tables.
fn gives() -> Value {
    let limit = || {
        json!({
            "description": give::LIMIT.says,
            "anyOf": [quantity(&figure::LENGTH), quantity(&figure::SHARE)],
        })
    };
    let mut one = inner(&[give::WEIGHT, give::ALIKE]);
    one["properties"]["least"] = limit();
    one["properties"]["most"] = limit();
    one["required"] = json!(["least", "most"]);
    let mut tables = Map::new();
    let mut names = Map::new();
    let keys = giving(file_of(Source::Design).keys);
    for (key, _) in keys.iter().filter(|(key, _)| !key.contains('[')) {
        names.insert(key.clone(), one.clone());
        let mut at = &mut tables;
        let mut parts = key.split('.').peekable();
        while let Some(part) = parts.next() {
            if parts.peek().is_none() {
                at.insert(part.to_owned(), one.clone());
                break;
            }
            let next = at.entry(part).or_insert_with(
                || json!({ "type": "object", "properties": {}, "additionalProperties": false }),
            );
            let Some(Value::Object(next)) = next.get_mut("properties") else { break };
            at = next;
        }
    }
    names.extend(tables);
    json!({
        "type": "object",
        "properties": names,
        "patternProperties": {
            "^handle\\.(width|thickness|curve|sway)\\[[0-9]+\\]\\.(at|size|rise|shift)$": one,
            "^(bowl|blade)\\.curve\\[[0-9]+\\]\\.(at|rise)$": one,
        },
        "additionalProperties": false,
    })
}

/// What keys of one table ask of each other.
fn relations(table: &Node) -> Value {
    let only = |key: &str, word: &str, with: &str| {
        json!({
            "if": { "properties": { key: { "const": word } }, "required": [key] },
            "then": { "required": [with] },
            "else": { "properties": { with: false } },
        })
    };
    let without = |keys: &[&str]| -> Map<String, Value> {
        keys.iter().map(|key| ((*key).to_owned(), json!(false))).collect()
    };
    match table.name {
        "cutter" => json!({ "allOf": [
            only("form", "bull", "corner"),
            // A vee needs its angle, a drill may have one; a drill alone has no step-over.
            {
                "if": { "properties": { "form": { "const": "vee" } }, "required": ["form"] },
                "then": { "required": ["angle"] },
            },
            {
                "if": { "properties": { "form": { "const": "drill" } }, "required": ["form"] },
                "then": { "properties": without(&["step_over"]) },
                "else": { "required": ["step_over"] },
            },
            {
                "if": { "properties": { "form": { "enum": ["vee", "drill"] } } },
                "else": { "properties": without(&["angle"]) },
            },
        ]}),
        "tabs" if table.has("place") => json!({
            "if": { "properties": { "place": { "const": "auto" } }, "required": ["place"] },
            "else": { "required": ["width", "thickness"], "properties": without(&["count"]) },
        }),
        "knot" => json!({ "oneOf": [
            { "required": ["centre", "radius"], "properties": without(&["polygon"]) },
            { "required": ["polygon"], "properties": without(&["centre", "radius"]) },
        ]}),
        "check" | "wane" => json!({ "oneOf": [
            { "required": ["line"], "properties": without(&["polygon"]) },
            { "required": ["polygon"], "properties": without(&["line"]) },
        ]}),
        _ => json!({}),
    }
}

/// A value of a file as JSON.
fn parsed(text: &str) -> Value {
    DeValue::parse(text).map_or(Value::Null, |value| as_json(value.get_ref()))
}

fn as_json(value: &DeValue<'_>) -> Value {
    match value {
        DeValue::String(text) => json!(text),
        DeValue::Array(items) => items.iter().map(|item| as_json(item.get_ref())).collect(),
        DeValue::Table(table) => {
            let one = |(name, value): (&toml::Spanned<_>, &toml::Spanned<DeValue<'_>>)| {
                let name: &std::borrow::Cow<'_, str> = name.get_ref();
                (name.to_string(), as_json(value.get_ref()))
            };
            table.iter().map(one).collect::<Map<_, _>>().into()
        }
        DeValue::Integer(number) => json!(number.as_str().parse::<i64>().ok()),
        DeValue::Float(number) => json!(number.as_str().parse::<f64>().ok()),
        DeValue::Boolean(yes) => json!(yes),
        DeValue::Datetime(_) => Value::Null,
    }
}
