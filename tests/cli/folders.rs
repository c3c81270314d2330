//! Whose the folder is that a packet goes into, and what a write that fails or is met by another leaves.

use super::*;

#[test]
fn a_folder_of_someone_elses_is_never_touched() {
    let place = Place::with_files("foreign");
    fs::create_dir(place.path("out")).expect("a folder");
    fs::write(place.path("out/letter.txt"), "dear").expect("written");
    let refused = place.build(&["--out", "out", "--json"]);
    assert_eq!(status(&refused), 1);
    assert_eq!(codes(&refused), ["out-refused"]);
    assert_eq!(place.files("out").len(), 1);
    fs::write(place.path("file"), "x").expect("written");
    for target in ["file", "none/out", "..", "file/out"] {
        let refused = place.build(&["--out", target, "--json"]);
        assert_eq!(status(&refused), 1, "{target}");
        assert_eq!(codes(&refused), ["out-refused"], "{target}");
    }
    assert_eq!(fs::read(place.path("file")).expect("there"), b"x");
}

#[test]
fn our_own_packet_gives_way_until_someone_changes_it() {
    let place = Place::with_files("own");
    fs::create_dir(place.path("out")).expect("an empty folder");
    for _ in 0..2 {
        let built = place.build(&["--out", "out"]);
        assert_eq!(status(&built), 0, "{}", err(&built));
    }
    let body = place.path("out/body.stl");
    let mut bytes = fs::read(&body).expect("there");
    bytes[90] ^= 1;
    fs::write(&body, &bytes).expect("written");
    let refused = place.build(&["--out", "out"]);
    assert_eq!(status(&refused), 1);
    assert!(err(&refused).contains("`body.stl`"), "{}", err(&refused));
    assert!(err(&refused).ends_with("nothing written\n"), "{}", err(&refused));
    assert_eq!(fs::read(&body).expect("there"), bytes);
}

#[cfg(unix)]
#[test]
fn a_disk_that_takes_no_more_leaves_nothing_behind() {
    let place = Place::with_files("full");
    // The shell's file size limit of one block stands for a full disk; its signal is ignored, so
    // that the write itself fails.
    let line = "trap '' XFSZ; ulimit -f 1; exec \"$0\" build design.toml --board board.toml \
                --shop shop.toml --out out";
    let output = Command::new("sh")
        .args(["-c", line, PROGRAM])
        .current_dir(&place.0)
        .output()
        .expect("a shell");
    assert_eq!(status(&output), 1, "{}", err(&output));
    assert!(err(&output).contains("out-failed"), "{}", err(&output));
    assert_eq!(place.names(), ["board.toml", "design.toml", "shop.toml"]);
}

#[test]
fn two_runs_at_once_leave_one_whole_packet() {
    let place = Place::with_files("at-once");
    let mut runs: Vec<_> = (0..4)
        .map(|_| {
            let args = [
                "build",
                "design.toml",
                "--board",
                "board.toml",
                "--shop",
                "shop.toml",
                "--out",
                "out",
            ];
            let mut command = place.command(&args);
            command.stderr(Stdio::piped()).spawn().expect("the program runs")
        })
        .collect();
    let done = runs.iter_mut().filter_map(|run| run.wait().ok()).filter(|s| s.success()).count();
    assert!(done >= 1);
    let built = place.build(&["--out", "out"]);
    assert_eq!(status(&built), 0, "{}", err(&built));
    assert!(place.names().iter().all(|name| !name.contains(".new-")), "{:?}", place.names());
}
