//! Fuzzing on stable Rust, from the three texts to the bytes of every file of a packet.
//!
//! The corpus is every file that the project has of each of the three kinds: the shipped ones, the smallest
//! file of each finding, the bodies that once failed, and in `tests/fuzz/corpus/` what fuzzing has found,
//! named after its failure. Three of them are taken, and changed as a slip, an editor or malice would:
//! figures grow and shrink, take another unit, change places, lines go, come twice and cross over from
//! another file, letters are lost. Whatever comes out is findings of a person's length, or a packet whose
//! models are sound; never a panic, never a fault of the tool.
//!
//! The usual run tries 60 jobs, the same ones each time. `FUZZ_SECONDS` and `FUZZ_SEED` try others for so
//! long; what fails is printed with its texts.

use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use std::time::{Duration, Instant};
use treenwright::finding::Findings;
use treenwright::job::{self, Order};
use treenwright::mesh;
use treenwright::packet;
use treenwright::params::{parse_board, parse_design, parse_shop};

/// Jobs in the usual run.
const JOBS: u64 = 60;
/// Nothing takes longer than this, on a busy machine neither; in seconds.
const ENDS: u64 = 600;
/// Faults that are the tool's own.
const OF_THE_TOOL: [&str; 2] = ["mesh-unsound", "relief-not-made"];

/// Numbers that follow from a seed (P. L'Ecuyer, 1999: a multiplier for 64 bits).
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: usize) -> usize {
        self.0 = self.0.wrapping_mul(3_935_559_000_370_003_845).wrapping_add(1);
        ((self.0 >> 33) as usize) % sides.max(1)
    }

    fn pick<'a, T>(&mut self, of: &'a [T]) -> &'a T {
        &of[self.roll(of.len())]
    }
}

/// All texts of the project, of designs, boards and shops.
fn corpus() -> [Vec<String>; 3] {
    let mut all: [Vec<String>; 3] = Default::default();
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    for folder in [
        "params",
        "params/designs",
        "params/boards",
        "tests/suite",
        "tests/suite/rules",
        "tests/sound",
        "tests/fuzz/corpus",
    ] {
        let mut paths: Vec<_> = fs::read_dir(root.join(folder))
            .expect("a folder of the corpus")
            .map(|entry| entry.expect("an entry").path())
            .filter(|path| path.extension().is_some_and(|ending| ending == "toml"))
            .collect();
        paths.sort();
        for path in paths {
            let text = fs::read_to_string(&path).expect("a text");
            let kind =
                ["[utensil]", "[board]", "[shop]"].iter().position(|head| text.contains(head));
            all[kind.unwrap_or(0)].push(text);
        }
    }
    assert!(all.iter().all(|texts| texts.len() > 3));
    all
}

/// A text with a few changes.
fn changed(text: &str, others: &[String], dice: &mut Dice) -> String {
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    for _ in 0..dice.roll(4) {
        if lines.is_empty() {
            break;
        }
        let at = dice.roll(lines.len());
        match dice.roll(12) {
            0 => drop(lines.remove(at)),
            1 => lines.insert(at, lines[at].clone()),
            2 => {
                let other = dice.roll(lines.len());
                lines.swap(at, other);
            }
            3 => {
                let other: Vec<&str> = dice.pick(others).lines().collect();
                if !other.is_empty() {
                    lines.insert(at, (*dice.pick(&other)).to_owned());
                }
            }
            4 => {
                let line = &mut lines[at];
                let cut =
                    (0..=line.len()).filter(|i| line.is_char_boundary(*i)).collect::<Vec<_>>();
                line.truncate(*dice.pick(&cut));
            }
            5 => {
                let odd = ["\u{202e}", "\u{0}", "\"", "[", "é", "1e999", "nan", "  ", "\t"];
                lines[at].push_str(odd[dice.roll(odd.len())]);
            }
            _ => lines[at] = figured(&lines[at], dice),
        }
    }
    lines.join("\n") + "\n"
}

/// A line with one of its figures changed.
fn figured(line: &str, dice: &mut Dice) -> String {
    let digit = |c: char| c.is_ascii_digit();
    let starts: Vec<usize> = line
        .char_indices()
        .filter(|(i, c)| digit(*c) && !line[..*i].ends_with(|c| digit(c) || c == '.'))
        .map(|(i, _)| i)
        .collect();
    if starts.is_empty() {
        return line.to_owned();
    }
    let start = *dice.pick(&starts);
    let rest = &line[start..];
    let end = rest.find(|c: char| !digit(c) && c != '.').unwrap_or(rest.len());
    let Ok(figure) = rest[..end].trim_end_matches('.').parse::<f64>() else {
        return line.to_owned();
    };
    let by = [0.0, 0.1, 0.5, 0.8, 0.9, 0.97, 1.03, 1.1, 1.25, 2.0, 10.0, 25.4];
    let figure = figure * dice.pick(&by);
    let figure = if dice.roll(4) == 0 { figure.round() } else { (1e4 * figure).round() / 1e4 };
    let mut behind = rest[end..].to_owned();
    if dice.roll(12) == 0 {
        behind = behind.replacen(" mm", [" in", " cm"][dice.roll(2)], 1);
    }
    format!("{}{figure}{behind}", &line[..start])
}

/// What comes of three texts: what is wrong, if anything.
fn wrong([design, board, shop]: [&str; 3]) -> Option<String> {
    let mut findings = Findings::new();
    let design = parse_design(design, &mut findings);
    let board = parse_board(board, &mut findings);
    let shop = parse_shop(shop, &mut findings);
    let read = design.is_some() && board.is_some() && shop.is_some();
    if read == findings.has_fault() {
        return Some("a text that has no fault was not read, or the other way about".to_owned());
    }
    let long = |findings: &Findings| {
        let finding = findings.iter().find(|finding| finding.message.len() > 2000)?;
        Some(format!("a message of {} letters: {}", finding.message.len(), finding.code.name))
    };
    let (Some(design), Some(board), Some(shop)) = (design, board, shop) else {
        return long(&findings);
    };
    let order = Order::new(vec![design.0], board.0, shop.0);
    let outcome = job::plan(&Order { tolerance: mesh::COARSEST, ..order });
    let own = outcome.findings.iter().find(|f| OF_THE_TOOL.contains(&f.code.name));
    if let Some(own) = own {
        return Some(format!("{}: {}", own.code.name, own.message));
    }
    if let Some(long) = long(&outcome.findings) {
        return Some(long);
    }
    if outcome.findings.has_fault() {
        return None;
    }
    let Some(job) = outcome.job else { return Some("neither a job nor a fault".to_owned()) };
    match packet::whole(&job, &outcome.findings, &Default::default()) {
        Err(error) => Some(format!("export: {error}")),
        Ok(files) => files
            .iter()
            .find(|file| file.bytes.is_empty())
            .map(|file| format!("{} is empty", file.name)),
    }
}

#[expect(clippy::disallowed_methods, reason = "a run for so many seconds, and a judge of slowness")]
#[test]
fn whatever_is_written_gives_findings_or_a_packet() {
    let asked = |name: &str| std::env::var(name).ok().and_then(|text| text.parse::<u64>().ok());
    let (seconds, seed) = (asked("FUZZ_SECONDS"), asked("FUZZ_SEED").unwrap_or(1711));
    let start = Instant::now();
    let corpus = corpus();
    let (mut count, mut packets, mut failed) = (0_u64, 0_u64, Vec::new());
    loop {
        match seconds {
            Some(seconds) if start.elapsed() > Duration::from_secs(seconds) => break,
            None if count >= JOBS => break,
            _ => count += 1,
        }
        let mut dice = Dice(seed.wrapping_mul(1 << 32) ^ count);
        dice.roll(2);
        // Mostly two shipped files beside one that is changed: the rest seldom goes together.
        let texts: [String; 3] = std::array::from_fn(|kind| {
            let shipped = dice.roll(3) > 0;
            let base = if shipped { &corpus[kind][dice.roll(3)] } else { dice.pick(&corpus[kind]) };
            changed(base, &corpus[kind], &mut dice)
        });
        let began = Instant::now();
        let wrong = catch_unwind(AssertUnwindSafe(|| wrong(texts.each_ref().map(String::as_str))));
        let slow =
            (began.elapsed() > Duration::from_secs(ENDS)).then(|| "it takes too long".to_owned());
        match wrong {
            Ok(None) => packets += 1,
            Ok(Some(wrong)) => failed.push(format!("{seed}/{count} {wrong}")),
            Err(_) => failed.push(format!("{seed}/{count} a panic")),
        }
        failed.extend(slow.map(|slow| format!("{seed}/{count} {slow}")));
        if let Some(last) =
            failed.last().filter(|last| last.starts_with(&format!("{seed}/{count} ")))
        {
            println!("{last}\n{}", texts.join("\n#----\n"));
        }
        if count.is_multiple_of(500) {
            println!(
                "seed {seed}: {count} jobs in {} s, {} failed",
                start.elapsed().as_secs(),
                failed.len()
            );
        }
    }
    println!(
        "seed {seed}: {count} jobs, {packets} answered well, in {} s",
        start.elapsed().as_secs()
    );
    assert!(failed.is_empty(), "{failed:#?}");
}
