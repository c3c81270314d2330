//! One smallest file for each finding: `tests/suite/*.toml`.
//!
//! The first lines of a file say which of the three inputs it is and exactly which findings must
//! come out; the other two inputs are shipped examples:
//!
//! ```text
//! # file: design                            design, board or shop
//! # board: pear                             another example than the usual one, if need be
//! # expect: fault not-a-length at bowl.depth
//! # expect: caution some-code at board:reading[0]     a key of another of the three files
//! # expect: fault some-code                 a finding without a place
//! ```

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use treenwright::finding::{Code, Findings, Severity, Source};
use treenwright::params::{self, parse_board, parse_design, parse_shop, template};

/// What the three texts give. A runner that does the whole job plugs in here.
fn findings_of(design: &str, board: &str, shop: &str) -> Findings {
    let mut findings = Findings::new();
    parse_design(design, &mut findings);
    parse_board(board, &mut findings);
    parse_shop(shop, &mut findings);
    findings
}

/// All codes that must have a file here.
fn codes() -> Vec<Code> {
    params::CODES.to_vec()
}

/// Severity, code and place, as they stand after `# expect:`.
type Expectation = String;

struct Case {
    path: PathBuf,
    texts: BTreeMap<Source, String>,
    file: Source,
    expected: Vec<Expectation>,
}

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn example(folder: &str, name: &str) -> String {
    let path = root().join("params").join(folder).join(format!("{name}.toml"));
    fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

fn cases() -> Vec<Case> {
    let mut paths: Vec<PathBuf> = fs::read_dir(root().join("tests/suite"))
        .expect("tests/suite is there")
        .map(|entry| entry.expect("an entry of tests/suite").path())
        .filter(|path| path.extension().is_some_and(|extension| extension == "toml"))
        .collect();
    paths.sort();
    paths.into_iter().map(case).collect()
}

fn case(path: PathBuf) -> Case {
    let text = fs::read_to_string(&path).expect("a file of the suite can be read");
    let mut texts: BTreeMap<Source, String> = [Source::Design, Source::Board, Source::Shop]
        .map(|source| (source, template(source).to_owned()))
        .into();
    let mut file = None;
    let mut expected = Vec::new();
    for line in text.lines().map_while(|line| line.strip_prefix("# ")) {
        let (word, rest) = line.split_once(": ").unwrap_or_else(|| bad(&path, line));
        match word {
            "file" => {
                file = [Source::Design, Source::Board, Source::Shop]
                    .into_iter()
                    .find(|source| source.name() == rest);
            }
            "design" => drop(texts.insert(Source::Design, example("designs", rest))),
            "board" => drop(texts.insert(Source::Board, example("boards", rest))),
            "expect" => expected.push(rest.to_owned()),
            _ => bad(&path, line),
        }
    }
    let file = file.unwrap_or_else(|| panic!("{}: no `# file:` line", path.display()));
    texts.insert(file, text);
    expected.sort();
    Case { path, texts, file, expected }
}

fn bad<T>(path: &Path, line: &str) -> T {
    panic!("{}: `# {line}` isn't a line of the head", path.display())
}

fn findings(case: &Case) -> Findings {
    let [design, board, shop] =
        [Source::Design, Source::Board, Source::Shop].map(|source| case.texts[&source].as_str());
    findings_of(design, board, shop)
}

fn got(case: &Case) -> Vec<Expectation> {
    let mut got: Vec<Expectation> = Vec::new();
    for finding in findings(case).iter() {
        let mut line = format!("{} {}", finding.severity.name(), finding.code.name);
        if let Some(place) = &finding.place {
            let other = place.source != case.file;
            if !place.key.is_empty() || other {
                line += " at ";
            }
            if other {
                line += place.source.name();
                line += ":";
            }
            line += &place.key;
            if let Some(span) = &place.span {
                let text = &case.texts[&place.source];
                assert!(text.get(span.clone()).is_some(), "{}: {finding:?}", case.path.display());
            }
        }
        assert!(
            finding.message.len() > 10 && finding.help.len() > 10,
            "{}: a finding says what is wrong and what to do: {finding:?}",
            case.path.display()
        );
        got.push(line);
    }
    got.sort();
    got
}

#[test]
fn each_file_gives_exactly_what_it_expects() {
    let mut wrong = String::new();
    for case in cases() {
        let got = got(&case);
        if got != case.expected {
            let name = case.path.file_name().unwrap_or_default().to_string_lossy();
            wrong += &format!("{name}\n  expected {:#?}\n  got {got:#?}\n", case.expected);
        }
    }
    assert!(wrong.is_empty(), "\n{wrong}");
}

/// What a help shows to write: `Write depth = "29.7 mm" or less` gives `"29.7 mm"`.
fn advice<'h>(help: &'h str, key: &str) -> Option<&'h str> {
    let name = key.rsplit('.').next()?;
    let start = help.find(&format!("rite {name} = "))? + "rite ".len() + name.len() + " = ".len();
    let rest = &help[start..];
    let end = match rest.strip_prefix('"') {
        Some(text) => text.find('"')? + 2,
        None => rest.find([' ', ',']).unwrap_or(rest.len()),
    };
    Some(rest[..end].trim_end_matches('.'))
}

#[test]
fn what_the_help_says_to_write_takes_the_finding_away() {
    let mut followed = BTreeSet::new();
    for case in cases() {
        let text = &case.texts[&case.file];
        for finding in findings(&case).iter() {
            let Some(place) = finding.place.as_ref().filter(|place| place.source == case.file)
            else {
                continue;
            };
            let Some(advice) = advice(&finding.help, &place.key) else { continue };
            let Some(span) = place.span.clone().filter(|span| !text[span.clone()].contains('['))
            else {
                continue;
            };
            let mut mended = text.clone();
            mended.replace_range(span, advice);
            let mut texts = case.texts.clone();
            texts.insert(case.file, mended);
            let mended =
                Case { path: case.path.clone(), texts, file: case.file, expected: Vec::new() };
            let line = format!("fault {} at {}", finding.code.name, place.key);
            assert!(!got(&mended).contains(&line), "{}: {finding:?}", case.path.display());
            followed.insert(finding.code.name);
        }
    }
    assert!(followed.len() >= 12, "too few helps show what to write: {followed:?}");
}

#[test]
fn each_code_has_a_file_named_after_it() {
    let named: BTreeSet<String> = cases()
        .iter()
        .filter_map(|case| {
            let stem = case.path.file_stem()?.to_string_lossy().into_owned();
            let code = |line: &String| line.split(' ').nth(1).map(str::to_owned);
            case.expected.iter().filter_map(code).find(|code| *code == stem)
        })
        .collect();
    for code in codes() {
        assert!(named.contains(code.name), "tests/suite/{}.toml is missing", code.name);
    }
}

#[test]
fn each_expected_code_exists() {
    let known: BTreeSet<&str> = codes().iter().map(|code| code.name).collect();
    for case in cases() {
        for line in &case.expected {
            let mut words = line.split(' ');
            let severity = words.next().unwrap_or_default();
            assert!(
                [Severity::Fault, Severity::Caution].iter().any(|s| s.name() == severity),
                "{line}"
            );
            assert!(known.contains(words.next().unwrap_or_default()), "{line}");
        }
    }
}

#[test]
fn the_shipped_examples_give_no_fault() {
    for design in ["harvest-spoon", "harvest-fork", "harvest-turner"] {
        for board in ["pear", "beech", "cherry"] {
            let findings = findings_of(
                &example("designs", design),
                &example("boards", board),
                template(Source::Shop),
            );
            assert!(!findings.has_fault(), "{design} on {board}: {findings:#?}");
        }
    }
}

#[test]
fn each_code_has_a_name_of_its_own_and_a_page() {
    let mut names = BTreeSet::new();
    for code in codes() {
        assert!(names.insert(code.name), "{} stands twice", code.name);
        let plain = |c: char| c.is_ascii_lowercase() || c == '-';
        assert!(code.name.chars().all(plain), "{}", code.name);
        let sentences = code.explain.matches(". ").count() + 1;
        assert!(!code.explain.contains("  ") && !code.explain.contains('\n'), "{}", code.name);
        assert!((3..=8).contains(&sentences), "{}: {sentences} sentences", code.name);
    }
}
