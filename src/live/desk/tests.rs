use super::super::edit::{Becomes, PathStep};
use super::*;
use crate::finding::{Finding, Source};
use std::sync::Mutex;

/// A disk of one file, whether the file starts as an example, and what an editor saves at the very
/// moment at which it is written to.
struct Disk(Mutex<Option<String>>, bool, Mutex<Option<String>>);

impl Disk {
    fn with(text: &str) -> Disk {
        Disk(Mutex::new(Some(text.to_owned())), false, Mutex::default())
    }
    fn put(&self, text: &str) {
        *self.0.lock().expect("one thread") = Some(text.to_owned());
    }
    fn has(&self) -> Option<String> {
        self.0.lock().expect("one thread").clone()
    }
}

impl Shelf for Disk {
    fn files(&self) -> Vec<LiveFile> {
        let start = self.1.then(|| FILE.to_owned());
        vec![LiveFile { source: Source::Design, shown: "d.toml".into(), start }]
    }
    fn whole(&self, folder: &str) -> String {
        folder.to_owned()
    }
    fn read(&self, _: usize) -> Result<Option<String>, Box<Finding>> {
        Ok(self.has())
    }
    fn write(&self, _: usize, text: &str, before: Option<&str>) -> Result<bool, Refusal> {
        if let Some(meanwhile) = self.2.lock().expect("one thread").take() {
            self.put(&meanwhile);
        }
        let still = self.has().as_deref() == before;
        if still {
            self.put(text);
        }
        Ok(still)
    }
}

const FILE: &str = "[bowl] # round\ndepth = \"15 mm\" # deep\nwall = \"4 mm\"\n";

fn asked(page: &str, since: u64, gesture: u64, key: &str, to: &str) -> AskedEdit {
    let path = vec![PathStep::Key("bowl".into()), PathStep::Key(key.into())];
    let settings = vec![Setting { path, to: Becomes::Text(to.into()) }];
    AskedEdit { file: 0, since, page: page.into(), gesture, settings, text: None }
}

fn text(desk: &Desk) -> String {
    desk.texts()[0].1.clone()
}

#[test]
fn nothing_is_written_before_it_is_asked_for_and_then_the_value_alone() {
    let disk = Disk::with(FILE);
    let mut desk = Desk::new(&disk);
    assert_eq!(desk.state()["files"][0]["unsaved"], false);
    desk.edit(&asked("a", 1, 1, "depth", "16 mm")).expect("edited");
    assert_eq!(disk.has().as_deref(), Some(FILE));
    assert_eq!(desk.state()["files"][0]["unsaved"], true);
    desk.save(&disk).expect("saved");
    assert_eq!(disk.has(), Some(FILE.replace("15 mm", "16 mm")));
    assert_eq!(desk.state()["files"][0]["unsaved"], false);
}

/// A comment that was written on the page went when an editor saved something else.
#[test]
fn comments_of_both_are_kept_or_their_clash_is_told() {
    const LONG: &str = "[bowl] # round\ndepth = \"15 mm\"\n\n\n\n\nwall = \"4 mm\" # thick\n";
    let whole = |desk: &Desk, text: &str| AskedEdit {
        text: Some(text.to_owned()),
        settings: vec![],
        ..asked("a", desk.revision(), 1, "", "")
    };
    let disk = Disk::with(LONG);
    let mut desk = Desk::new(&disk);
    let mine = LONG.replace("# round", "# as round as an apple");
    desk.edit(&whole(&desk, &mine)).expect("edited");
    disk.put(&LONG.replace("\"4 mm\" # thick", "\"5 mm\" # thicker"));
    desk.look(&disk, 0);
    assert_eq!(text(&desk), mine.replace("\"4 mm\" # thick", "\"5 mm\" # thicker"));
    assert_eq!(desk.state()["files"][0]["clash"], serde_json::Value::Null);
    // In one and the same line nobody can say which comment is meant.
    desk.edit(&whole(&desk, &mine.replace("4 mm", "5 mm"))).expect("edited");
    disk.put(&LONG.replace("# thick", "# oiled twice"));
    desk.look(&disk, 0);
    assert_eq!(desk.state()["files"][0]["clash"], 1);
    assert_eq!(desk.save(&disk), Err(Not::Saved));
    // Values of neighbouring lines go together as before.
    let disk = Disk::with(FILE);
    let mut desk = Desk::new(&disk);
    desk.edit(&asked("a", 1, 1, "depth", "16 mm")).expect("edited");
    disk.put(&FILE.replace("4 mm", "5 mm"));
    desk.look(&disk, 0);
    assert_eq!(text(&desk), FILE.replace("15 mm", "16 mm").replace("4 mm", "5 mm"));
}

#[test]
fn of_two_pages_the_later_is_told_and_other_places_meet_nobody() {
    let mut desk = Desk::new(&Disk::with(FILE));
    desk.edit(&asked("a", 1, 1, "depth", "16 mm")).expect("edited");
    desk.edit(&asked("b", 1, 1, "wall", "5 mm")).expect("another place");
    let late = desk.edit(&asked("b", 1, 2, "depth", "20 mm"));
    assert_eq!(late, Err(Not::Yours(vec!["bowl.depth".to_owned()])));
    assert!(text(&desk).contains("16 mm"), "nothing was lost");
    desk.edit(&asked("b", desk.revision(), 2, "depth", "20 mm")).expect("now it has seen it");
    let before = desk.revision() - 1;
    desk.edit(&asked("b", before, 3, "depth", "21 mm")).expect("its own change is no other's");
    let whole =
        AskedEdit { text: Some(FILE.into()), settings: Vec::new(), ..asked("a", 2, 9, "", "") };
    assert!(matches!(desk.edit(&whole), Err(Not::Yours(_))), "a whole text lies over all");
}

#[test]
fn a_gesture_is_one_step_of_undo_and_redo_brings_it_back() {
    let mut desk = Desk::new(&Disk::with(FILE));
    for (gesture, to) in [(1, "16 mm"), (1, "17 mm"), (1, "18 mm"), (2, "19 mm")] {
        desk.edit(&asked("a", desk.revision(), gesture, "depth", to)).expect("edited");
    }
    assert!(desk.step("a", true) && text(&desk).contains("18 mm"));
    assert!(desk.step("a", true));
    assert_eq!(text(&desk), FILE);
    assert!(!desk.step("a", true));
    assert!(desk.step("a", false) && text(&desk).contains("18 mm"));
    assert!(desk.step("a", false) && text(&desk).contains("19 mm"));
    assert!(!desk.step("a", false));
}

#[test]
fn a_change_on_disk_is_taken_in_and_joined_with_what_is_not_saved() {
    let disk = Disk::with(FILE);
    let mut desk = Desk::new(&disk);
    disk.put(&FILE.replace("15 mm", "14 mm"));
    assert!(desk.look(&disk, 0) && text(&desk).contains("14 mm"));
    assert!(!desk.look(&disk, 0), "nothing new");
    desk.edit(&asked("a", desk.revision(), 1, "wall", "5 mm")).expect("edited");
    disk.put(&FILE.replace("15 mm", "13 mm").replace("# deep", "# deeper"));
    assert!(desk.look(&disk, 0));
    assert_eq!(text(&desk), "[bowl] # round\ndepth = \"13 mm\" # deeper\nwall = \"5 mm\"\n");
    desk.save(&disk).expect("saved");
    assert_eq!(disk.has(), Some(text(&desk)));
}

#[test]
fn a_change_on_disk_of_the_same_place_is_told_and_either_can_be_kept() {
    for keeps_disk in [true, false] {
        let disk = Disk::with(FILE);
        let mut desk = Desk::new(&disk);
        desk.edit(&asked("a", 1, 1, "depth", "16 mm")).expect("edited");
        let theirs = FILE.replace("15 mm", "12 mm");
        disk.put(&theirs);
        assert_eq!(desk.save(&disk), Err(Not::Saved), "not over a text that nobody saw");
        assert_eq!(disk.has().as_ref(), Some(&theirs));
        let state = desk.state();
        assert_eq!(
            state["files"][0]["clash_at"],
            serde_json::json!([["bowl.depth", "12 mm", "16 mm"]])
        );
        desk.choose(0, keeps_disk, 1).expect("chosen");
        assert!(text(&desk).contains(if keeps_disk { "12 mm" } else { "16 mm" }));
        desk.save(&disk).expect("saved");
        assert_eq!(disk.has(), Some(text(&desk)));
        assert!(desk.step("a", true), "what gave way can be had back");
    }
}

#[test]
fn a_file_in_a_bad_state_is_shown_as_it_is_and_told_where_it_meets_an_edit() {
    let disk = Disk::with(FILE);
    let mut desk = Desk::new(&disk);
    disk.put("[bowl\n");
    assert!(desk.look(&disk, 0));
    assert!(desk.state()["files"][0]["values"].is_null());
    disk.put(FILE);
    assert!(desk.look(&disk, 0));
    assert_eq!(text(&desk), FILE);
    desk.edit(&asked("a", desk.revision(), 1, "depth", "16 mm")).expect("edited");
    disk.put("[bowl\n");
    assert!(desk.look(&disk, 0) && text(&desk).contains("16 mm"));
    assert_eq!(desk.state()["files"][0]["clash"], 1);
    disk.put(FILE);
    assert!(desk.look(&disk, 0));
    assert_eq!(desk.state()["files"][0]["clash"], serde_json::Value::Null, "it is as it was");
    assert!(text(&desk).contains("16 mm"));
}

#[test]
fn a_new_file_is_there_once_it_is_saved_and_one_that_was_taken_away_comes_back() {
    let disk = Disk(Mutex::new(None), true, Mutex::default());
    let mut desk = Desk::new(&disk);
    assert_eq!((text(&desk).as_str(), disk.has()), (FILE, None));
    assert_eq!(desk.state()["files"][0]["new"], true);
    desk.save(&disk).expect("saved");
    assert_eq!(disk.has().as_deref(), Some(FILE));
    *disk.0.lock().expect("one thread") = None;
    assert!(desk.look(&disk, 0) && !desk.look(&disk, 0));
    assert_eq!(desk.state()["files"][0]["unsaved"], true);
    desk.save(&disk).expect("saved again");
    assert_eq!(disk.has().as_deref(), Some(FILE));
}

#[test]
fn what_an_editor_saves_at_the_very_moment_is_never_written_over() {
    let disk = Disk::with(FILE);
    let mut desk = Desk::new(&disk);
    desk.edit(&asked("a", 1, 1, "depth", "16 mm")).expect("edited");
    let other = FILE.replace("4 mm", "5 mm");
    *disk.2.lock().expect("one thread") = Some(other.clone());
    desk.save(&disk).expect("saved");
    assert_eq!(disk.has(), Some(other.replace("15 mm", "16 mm")), "both");
    desk.edit(&asked("a", desk.revision(), 2, "depth", "17 mm")).expect("edited");
    let same = disk.has().expect("a file").replace("16 mm", "11 mm");
    *disk.2.lock().expect("one thread") = Some(same.clone());
    assert_eq!(desk.save(&disk), Err(Not::Saved));
    assert_eq!(disk.has(), Some(same));
    assert_eq!(desk.state()["files"][0]["unsaved"], true);
}

#[test]
fn a_clash_that_was_not_seen_is_not_ended_by_a_choice() {
    let disk = Disk::with(FILE);
    let mut desk = Desk::new(&disk);
    desk.edit(&asked("a", 1, 1, "depth", "16 mm")).expect("edited");
    for (number, theirs) in [(1, "12 mm"), (2, "13 mm")] {
        disk.put(&FILE.replace("15 mm", theirs));
        assert!(desk.look(&disk, 0));
        assert_eq!(desk.state()["files"][0]["clash"], number);
    }
    desk.choose(0, false, 1).expect("an older one");
    assert_eq!(desk.state()["files"][0]["clash"], 2, "it is still to be seen");
    desk.choose(0, true, 2).expect("chosen");
    assert!(text(&desk).contains("13 mm"));
}

#[test]
fn what_is_kept_for_undo_has_a_most() {
    let disk = Disk::with(FILE);
    let mut desk = Desk::new(&disk);
    for step in 0..80 {
        let text = format!("{FILE}# {}\n", "x".repeat(900_000 + step));
        let asked = AskedEdit {
            text: Some(text),
            settings: Vec::new(),
            ..asked("a", desk.revision(), step as u64, "", "")
        };
        desk.edit(&asked).expect("edited");
    }
    let steps = std::iter::from_fn(|| desk.step("a", true).then_some(())).count();
    assert!((10..60).contains(&steps), "{steps}");
}
