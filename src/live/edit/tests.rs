use super::*;
use crate::finding::Source;
use crate::params::{Example, example, form};
use crate::units::Unit;
use proptest::prelude::*;

fn key(name: &str) -> PathStep {
    PathStep::Key(name.to_owned())
}

fn path(keys: &[&str]) -> KeyPath {
    keys.iter().map(|name| name.parse().map_or_else(|_| key(name), PathStep::Entry)).collect()
}

fn set(keys: &[&str], to: Becomes) -> Setting {
    Setting { path: path(keys), to }
}

fn text(words: &str) -> Becomes {
    Becomes::Text(words.to_owned())
}

fn files() -> Vec<String> {
    let both = [Unit::Millimetre, Unit::Inch];
    Example::ALL.iter().flat_map(|of| both.map(|unit| example(*of, unit))).collect()
}

/// Places of all values of a file that hold no others.
fn leaves(text: &str) -> Vec<KeyPath> {
    fn go(value: &serde_json::Value, at: &mut KeyPath, out: &mut Vec<KeyPath>) {
        match value {
            serde_json::Value::Object(table) if !table.contains_key("=") => {
                for (name, value) in table {
                    at.push(key(name));
                    go(value, at, out);
                    at.pop();
                }
            }
            serde_json::Value::Array(list) => {
                for (index, value) in list.iter().enumerate() {
                    at.push(PathStep::Entry(index));
                    go(value, at, out);
                    at.pop();
                }
            }
            _ => out.push(at.clone()),
        }
    }
    let mut found = Vec::new();
    go(&values(text).expect("an example can be read"), &mut Vec::new(), &mut found);
    found
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, ..ProptestConfig::default() })]

    /// Whatever is put wherever: before and behind the value every byte stays.
    #[test]
    fn a_value_changes_in_its_own_bytes_alone(
        file in 0..10_usize,
        which in any::<prop::sample::Index>(),
        words in "[ -~\u{e4}\u{2033}\\n\\t]{0,24}",
    ) {
        let before = &files()[file];
        let places = leaves(before);
        let place = which.get(&places);
        let after = edited(before, &[Setting { path: place.clone(), to: text(&words) }])
            .expect("a value that is there can be changed");
        let span = find(Document::parse(before.as_str()).expect("TOML").as_item(), place)
            .and_then(Item::span)
            .expect("a place");
        let behind = before.len() - span.end;
        prop_assert_eq!(&after[..span.start], &before[..span.start]);
        prop_assert_eq!(&after[after.len() - behind..], &before[span.end..]);
        let document = Document::parse(after.as_str()).expect("TOML");
        let there = find(document.as_item(), place).and_then(Item::as_str);
        prop_assert_eq!(there, Some(words.as_str()));
        prop_assert_eq!(differing(before, &after).map(|all| all.len() <= 1), Some(true));
    }

    /// What is put in and taken out again leaves the file as it was, to the byte.
    #[test]
    fn a_new_key_that_is_taken_out_leaves_nothing(file in 0..10_usize, words in "[a-z ]{1,12}") {
        let before = &files()[file];
        let value = values(before).expect("TOML");
        let tables = value.as_object().expect("a table");
        for (table, _) in tables.iter().filter(|(_, inner)| inner.is_object()) {
            let place = path(&[table, "zz_new"]);
            let with = edited(before, &[Setting { path: place.clone(), to: text(&words) }]).expect("put");
            prop_assert!(with.contains("zz_new"));
            let out = edited(&with, &[Setting { path: place, to: Becomes::Nothing(()) }]).expect("out");
            prop_assert_eq!(&out, before);
        }
    }

    /// No message breaks a file: it is changed and can be read, or refused.
    #[test]
    fn a_file_can_be_read_whatever_is_asked(
        file in 0..10_usize,
        which in any::<prop::sample::Index>(),
        toml in "[\\[\\]{}=\"#,a-z0-9 \\n.']{0,20}",
        kind in 0..4_usize,
    ) {
        let before = &files()[file];
        let mut place = which.get(&leaves(before)).clone();
        let to = match kind {
            0 => Becomes::Written(toml),
            1 => Becomes::More(toml),
            2 => Becomes::Before(toml),
            _ => Becomes::Nothing(()),
        };
        place.truncate(place.len() - usize::from(kind == 2));
        if let Ok(after) = edited(before, &[Setting { path: place, to }]) {
            prop_assert!(values(&after).is_some());
        }
    }
}

#[test]
fn comments_units_and_order_stay() {
    let before =
        "# head\n[bowl]   # the bowl\ndepth = \"1-1/4 in\"   # deep\nwall='4 mm'\n\n# foot\n";
    let after = edited(before, &[set(&["bowl", "wall"], text("5 mm"))]).expect("changed");
    assert_eq!(after, before.replace("'4 mm'", "\"5 mm\""));
    let after = edited(before, &[set(&["bowl", "depth"], Becomes::Nothing(()))]).expect("out");
    assert_eq!(after, "# head\n[bowl]   # the bowl\n# deep\nwall='4 mm'\n\n# foot\n");
    let after = edited(before, &[set(&["bowl", "rim"], text("2 mm"))]).expect("put");
    assert_eq!(after, before.replace("'4 mm'\n", "'4 mm'\nrim = \"2 mm\"\n"));
}

#[test]
fn stations_and_tables_come_and_go() {
    let spoon = example(Example::Spoon, Unit::Millimetre);
    let station = "{ at = \"15 %\", size = \"21 mm\" }".to_owned();
    let more = edited(&spoon, &[set(&["handle", "width", "1"], Becomes::Before(station))]);
    let more = more.expect("a station");
    assert_eq!(more.lines().count(), spoon.lines().count() + 1);
    assert!(
        more.contains("    { at = \"15 %\", size = \"21 mm\" },\n    { at = \"30 %\""),
        "{more}"
    );
    let back = edited(&more, &[set(&["handle", "width", "1"], Becomes::Nothing(()))]);
    assert_eq!(back.as_deref(), Ok(spoon.as_str()));

    let shop = example(Example::Shop, Unit::Millimetre);
    let cutter = "name = \"new\"\nform = \"flat\"\n".to_owned();
    let more = edited(&shop, &[set(&["cutter"], Becomes::More(cutter))]).expect("a cutter");
    assert_eq!(values(&more).expect("TOML")["cutter"].as_array().map(Vec::len), Some(5));
    let back = edited(&more, &[set(&["cutter", "4"], Becomes::Nothing(()))]);
    assert_eq!(back.as_deref(), Ok(shop.as_str()));
    let area =
        "at = [\"206 mm\", \"0 mm\"]\nsize = [\"30 mm\", \"20 mm\"]\nside = \"top\"".to_owned();
    let more = edited(&spoon, &[set(&["clean_up"], Becomes::More(area))]).expect("a first table");
    assert!(more.contains("\n[[clean_up]]\nat = "), "{more}");
}

#[test]
fn what_is_not_there_is_refused() {
    let spoon = example(Example::Spoon, Unit::Millimetre);
    for setting in [
        set(&[], text("x")),
        set(&["bowl"], text("x")),
        set(&["bowl", "depth", "deeper"], text("x")),
        set(&["handle", "width", "9", "size"], text("x")),
        set(&["bowl", "depth"], Becomes::Written("1\n[other]\nx = 1".to_owned())),
        set(&["bowl", "depth"], Becomes::Before("1".to_owned())),
    ] {
        assert!(edited(&spoon, std::slice::from_ref(&setting)).is_err(), "{setting:?}");
    }
    assert!(edited("a = [", &[set(&["a"], text("x"))]).is_err());
}

#[test]
fn every_key_of_the_forms_can_be_put_into_an_empty_file() {
    for source in [Source::Design, Source::Board, Source::Shop] {
        let form = form(source);
        for table in form["tables"].as_array().expect("tables") {
            for row in
                table["keys"].as_array().expect("keys").iter().filter(|_| table["own"].is_null())
            {
                let mut place = path(&[table["name"].as_str().expect("a name")]);
                if table["list"] == true {
                    continue;
                }
                place.extend(
                    row["path"]
                        .as_array()
                        .expect("a path")
                        .iter()
                        .map(|k| key(k.as_str().expect("a key"))),
                );
                let written = Becomes::Written(row["example"].as_str().expect("one").to_owned());
                let after = edited("", &[Setting { path: place.clone(), to: written }]);
                let after = after.unwrap_or_else(|error| panic!("{place:?}: {error}"));
                let document = Document::parse(after.as_str()).expect("TOML");
                assert!(find(document.as_item(), &place).is_some(), "{after}");
            }
        }
    }
}

#[test]
fn differing_places_are_found_and_can_be_brought_over() {
    let base = "a = 1\n[b]\nc = \"x\" # kept\nd = [1, 2]\n";
    let ours = "a = 2\n[b]\nc = \"x\" # kept\nd = [1, 3]\n";
    let places = differing(base, ours).expect("both can be read");
    assert_eq!(places.iter().map(|p| dotted(p)).collect::<Vec<_>>(), ["a", "b.d[1]"]);
    let theirs = base.replace("# kept", "# theirs").replace("\"x\"", "\"y\"");
    let settings = bringing(&places, ours).expect("values");
    let joined = edited(&theirs, &settings).expect("joined");
    assert_eq!(joined, "a = 2\n[b]\nc = \"y\" # theirs\nd = [1, 3]\n");
    assert!(overlap(&path(&["b"]), &path(&["b", "c"])) && !overlap(&path(&["a"]), &path(&["b"])));
}

const LINES: &str = "[handle]\nwidth = [\n    # three of them\n    { at = \"0 %\", size = \"22 mm\" },   # end\n    { at = \"75 %\", size = \"12 mm\" }, # not under 12\n    { at = \"100 %\", size = \"13 mm\" }  # neck\n]\n";

#[test]
fn comments_behind_entries_stay_with_them() {
    let at =
        |index: &str, to| edited(LINES, &[set(&["handle", "width", index], to)]).expect("edited");
    let without = |line: &str| LINES.replace(line, "");
    assert_eq!(
        at("2", Becomes::Nothing(())),
        without("    { at = \"100 %\", size = \"13 mm\" }  # neck\n")
    );
    assert_eq!(
        at("0", Becomes::Nothing(())),
        without("    { at = \"0 %\", size = \"22 mm\" },   # end\n")
    );
    let entry = "{ at = \"40 %\", size = \"16 mm\" }";
    let new = format!("    {entry},\n");
    let behind = at("1", Becomes::Before(entry.into()));
    assert_eq!(behind, LINES.replace("# end\n", &format!("# end\n{new}")));
    let last =
        edited(LINES, &[set(&["handle", "width"], Becomes::More(entry.into()))]).expect("edited");
    let comma = LINES.replace("\"13 mm\" }  # neck\n", &format!("\"13 mm\" }},  # neck\n{new}"));
    assert_eq!(last, comma);
}

#[test]
fn a_table_goes_and_the_comments_above_it_stay() {
    let file = "# head\n\n# Knots are measured from the corner.\n[[knot]]\nradius = \"5 mm\" # dead\n\n[[knot]]\nradius = \"6 mm\"\n";
    let without = edited(file, &[set(&["knot", "0"], Becomes::Nothing(()))]).expect("edited");
    assert_eq!(
        without,
        "# head\n\n# Knots are measured from the corner.\n\n[[knot]]\nradius = \"6 mm\"\n"
    );
    let none = edited(&without, &[set(&["knot", "0"], Becomes::Nothing(()))]).expect("edited");
    assert_eq!(none, "# head\n\n# Knots are measured from the corner.\n");
}

#[test]
fn line_ends_stay_as_they_are() {
    let file = LINES.replace('\n', "\r\n");
    for to in [
        set(&["handle", "width", "1"], Becomes::Nothing(())),
        set(&["handle", "end"], text("9 mm")),
        set(&["bowl", "rim"], text("3 mm")),
    ] {
        let after = edited(&file, &[to]).expect("edited");
        assert_eq!(after.matches('\n').count(), after.matches("\r\n").count(), "{after:?}");
    }
}

#[test]
fn dotted_keys_and_tables_on_a_line_are_edited_too() {
    let file = "bowl.fullness = 3\n[give]\nbowl.depth = { least = \"12 mm\" }\nbowl.wall.least = \"3 mm\"\nhandle.width.most = \"105 %\"\n";
    for (keys, line) in [
        (&["bowl", "fullness"][..], "bowl.fullness = 3\n"),
        (&["give", "bowl", "depth"], "bowl.depth = { least = \"12 mm\" }\n"),
        (&["give", "bowl", "wall", "least"], "bowl.wall.least = \"3 mm\"\n"),
    ] {
        assert_eq!(
            edited(file, &[set(keys, Becomes::Nothing(()))]).expect("edited"),
            file.replace(line, ""),
            "{keys:?}"
        );
    }
    let line = "clean_up = [{ side = \"top\" }]\n";
    let more = edited(line, &[set(&["clean_up"], Becomes::More("side = \"both\"\n".into()))])
        .expect("edited");
    assert!(
        more.contains("side = \"both\"")
            && values(&more).expect("readable")["clean_up"].as_array().expect("a list").len() == 2,
        "{more}"
    );
    let slot = edited(
        "",
        &[
            set(&["tines", "slot", "width"], text("6 mm")),
            set(&["tines", "slot", "length"], text("50 mm")),
        ],
    )
    .expect("edited");
    assert!(slot.contains("slot = { width = \"6 mm\", length = \"50 mm\" }"), "{slot}");
}

#[test]
fn a_path_that_is_deep_is_refused() {
    let deep: KeyPath = std::iter::repeat_n(key("a"), 10_000).collect();
    assert!(edited("", &[Setting { path: deep, to: text("x") }]).is_err());
}
