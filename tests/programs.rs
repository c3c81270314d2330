//! Programs, read beside an interpreter of another hand: `tests/reference/test_programs.py` says which,
//! and makes the `.ends` that these are held against.

use glam::DVec3;
use std::fs;
use std::path::Path;
use treenwright::program::{Action, Interpreter, Motion, ProgramText, Zeros};

/// The motions of a program whose zeros are all the machine's.
fn motions(text: &[u8]) -> Vec<Motion> {
    let zeros = Zeros {
        work: [DVec3::ZERO; 9],
        unsaid: DVec3::ZERO,
        home: DVec3::ZERO,
        start: DVec3::ZERO,
    };
    let mut interpreter = Interpreter::new(zeros);
    let mut lines = ProgramText::new(text);
    let mut all = Vec::new();
    while let Some((number, line)) = lines.next_line().unwrap() {
        interpreter.run(number, line, &mut |said| match said {
            Ok(Action::Move(motion)) => all.push(motion),
            Ok(_) => {}
            Err(remark) => panic!("line {}: {}", remark.line, remark.says),
        });
    }
    all
}

#[test]
fn every_end_point_feed_and_unit_is_what_another_interpreter_reads() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference/read");
    let mut programs = 0;
    let mut ends = 0;
    for entry in fs::read_dir(&folder).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_none_or(|extension| extension != "nc") {
            continue;
        }
        programs += 1;
        let motions = motions(&fs::read(&path).unwrap());
        let known = fs::read_to_string(path.with_extension("ends")).unwrap();
        let mut at = DVec3::ZERO;
        for row in known.lines() {
            let parts: Vec<&str> = row.split(' ').collect();
            let line: u32 = parts[0].parse().unwrap();
            let figure = |index: usize| parts[index].parse::<f64>().unwrap();
            let end = DVec3::new(figure(1), figure(2), figure(3));
            let own: Vec<&Motion> = motions.iter().filter(|motion| motion.line == line).collect();
            let shown = path.display();
            // A line that leads to where the tip stands is no motion.
            assert!(!own.is_empty() || end.distance(at) < 1e-6, "{shown}, line {line}");
            if let Some(last) = own.last() {
                assert!(last.to.distance(end) < 2e-6, "{shown}, line {line}: {} {end}", last.to);
                assert!((last.feed - figure(4)).abs() < 1e-3, "{shown}, line {line}: {row}");
                assert_eq!(last.rapid, parts[5] == "G00", "{shown}, line {line}");
                at = last.to;
                ends += 1;
            }
        }
        let told: Vec<u32> =
            known.lines().map(|row| row.split(' ').next().unwrap().parse().unwrap()).collect();
        assert!(motions.iter().all(|motion| told.contains(&motion.line)), "{}", path.display());
    }
    assert!(programs >= 6 && ends > 250, "{programs} programs, {ends} ends");
}
