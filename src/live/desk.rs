//! The files as they lie on the desk: what each page sees and changes, before anything is saved.
//!
//! Promised: an edit that meets another's is told, never lost and never laid over it; a change on
//! disk is taken in where it meets no edit, and told where it does; undo and redo go through all
//! that happened, in order; nothing is written before it is asked for, and never over a text that
//! the desk hasn't seen.
//! Where comments of one line were changed on disk and on the desk at once, that is told, too.

use super::edit::{self, KeyPath, NoEdit, Setting};
use super::shelf::{LiveFile, Refusal, Shelf};
use crate::finding::Finding;
use serde::Deserialize;
use serde_json::{Value, json};

/// Most steps that can be undone, and the most bytes of text that are kept for it.
const MOST_STEPS: usize = 500;
const MOST_KEPT: usize = 64 << 20;
/// How often a file is written that is written to by something else all the time.
const MOST_TRIES: usize = 5;

/// One of the files.
struct OpenFile {
    file: LiveFile,
    /// As the pages have it.
    text: String,
    /// As the disk has it, so far as is known; nothing if it isn't there yet.
    kept: Option<String>,
    /// Whether it was there and isn't any more.
    gone: bool,
    /// What the disk has instead, when both changed in the same place.
    clash: Option<String>,
    /// How often they did.
    clashes: u64,
    /// Why it can't be read from disk.
    lost: Option<Finding>,
    /// What was changed in which revision, and by which page.
    touched: Vec<(u64, String, KeyPath)>,
    /// Lists of which entries came or went since it was saved: the same number is another entry there.
    counted: Vec<KeyPath>,
}

impl OpenFile {
    fn unsaved(&self) -> bool {
        self.gone || self.clash.is_some() || self.kept.as_ref() != Some(&self.text)
    }
}

/// What happened to one file.
struct Happened {
    file: usize,
    before: String,
    after: String,
    /// The page and the gesture by which it happened: a drag or a row of key strokes is one step.
    gesture: Option<(String, u64)>,
}

/// What a page asks to change.
#[derive(Clone, Debug, Deserialize)]
pub struct AskedEdit {
    /// In which file.
    pub file: usize,
    /// The revision that the page had seen.
    pub since: u64,
    /// The page.
    pub page: String,
    /// Which of the page's gestures it belongs to.
    pub gesture: u64,
    /// What; or
    #[serde(default)]
    pub settings: Vec<Setting>,
    /// the whole text.
    #[serde(default)]
    pub text: Option<String>,
}

/// Why something was not done.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Not {
    /// It can't be.
    Possible(String),
    /// Someone else changed these places meanwhile.
    Yours(Vec<String>),
    /// The file on disk was changed meanwhile, in a place that was changed here too.
    Saved,
    /// The disk refuses.
    Written(Refusal),
}

impl From<NoEdit> for Not {
    fn from(error: NoEdit) -> Not {
        Not::Possible(error.to_string())
    }
}

/// All files of a page, and what happened to them.
pub struct Desk {
    drafts: Vec<OpenFile>,
    revision: u64,
    past: Vec<Happened>,
    future: Vec<Happened>,
}

impl Desk {
    /// With all files of a shelf.
    pub fn new(shelf: &dyn Shelf) -> Desk {
        let draft = |(index, file): (usize, LiveFile)| {
            let (kept, lost) = match shelf.read(index) {
                Ok(text) => (text, None),
                Err(lost) => (None, Some(*lost)),
            };
            let text = kept.clone().or_else(|| file.start.clone()).unwrap_or_default();
            OpenFile {
                file,
                text,
                kept,
                gone: false,
                clash: None,
                clashes: 0,
                lost,
                touched: Vec::new(),
                counted: Vec::new(),
            }
        };
        let drafts = shelf.files().into_iter().enumerate().map(draft).collect();
        Desk { drafts, revision: 1, past: Vec::new(), future: Vec::new() }
    }

    /// Rises with every change of a text, or of what a text names.
    pub fn revision(&self) -> u64 {
        self.revision
    }

    /// The files with their texts, and why one can't be read.
    pub fn texts(&self) -> Vec<(LiveFile, String, Option<Finding>)> {
        let one = |draft: &OpenFile| (draft.file.clone(), draft.text.clone(), draft.lost.clone());
        self.drafts.iter().map(one).collect()
    }

    /// Makes a change that a page asks for.
    ///
    /// # Errors
    /// When it can't be made, or meets a change that the page hadn't seen.
    pub fn edit(&mut self, asked: &AskedEdit) -> Result<(), Not> {
        let draft = self.drafts.get_mut(asked.file).ok_or_else(no_file)?;
        let whole = asked.text.clone().map(|text| edit::ended_like(&draft.text, text));
        let places = match &whole {
            Some(after) => edit::differing(&draft.text, after).unwrap_or_else(|| vec![Vec::new()]),
            None => asked.settings.iter().map(edit::touched).collect(),
        };
        let theirs = draft.touched.iter().filter(|(when, page, path)| {
            let meets = places.iter().any(|place| edit::overlap(place, path));
            // A whole text stands in the way of whatever its page hadn't seen.
            *when > asked.since && *page != asked.page && (meets || asked.text.is_some())
        });
        let mut theirs: Vec<String> = theirs.map(|(.., path)| edit::dotted(path)).collect();
        theirs.dedup();
        if !theirs.is_empty() {
            return Err(Not::Yours(theirs));
        }
        let after = match whole {
            Some(after) => after,
            None => {
                let plain = edit::edited(&draft.text, &asked.settings)?;
                put_back(self.past.last(), asked, &draft.text, &plain).unwrap_or(plain)
            }
        };
        let gesture = Some((asked.page.clone(), asked.gesture));
        let counted = asked.settings.iter().filter(|setting| edit::counts(setting));
        draft.counted.extend(counted.map(edit::touched));
        self.happen(asked.file, &asked.page, after, places, gesture);
        self.settle(asked.file);
        Ok(())
    }

    /// Takes what the disk has where nothing is left of the changes that it met.
    fn settle(&mut self, file: usize) {
        let Some(draft) = self.drafts.get_mut(file) else { return };
        if draft.kept.as_ref() == Some(&draft.text)
            && let Some(disk) = draft.clash.take()
        {
            self.take(file, disk.clone(), disk);
        }
    }

    /// Notes that a file's text is another now.
    fn happen(
        &mut self,
        file: usize,
        page: &str,
        after: String,
        places: Vec<KeyPath>,
        gesture: Option<(String, u64)>,
    ) {
        let Some(draft) = self.drafts.get_mut(file) else { return };
        if draft.text == after {
            return;
        }
        self.revision += 1;
        let before = std::mem::replace(&mut draft.text, after.clone());
        let revision = self.revision;
        draft.touched.extend(places.into_iter().map(|path| (revision, page.to_owned(), path)));
        self.future.clear();
        match self.past.last_mut() {
            Some(last) if last.file == file && gesture.is_some() && last.gesture == gesture => {
                last.after = after;
            }
            _ => self.past.push(Happened { file, before, after, gesture }),
        }
        let mut kept = 0;
        let size = |step: &Happened| step.before.len() + step.after.len();
        let fits = self.past.iter().rev().take(MOST_STEPS).take_while(|step| {
            kept += size(step);
            kept <= MOST_KEPT
        });
        let more = self.past.len() - fits.count();
        self.past.drain(..more);
    }

    /// Takes the last change back, or makes it again. Whether there was one.
    pub fn step(&mut self, page: &str, back: bool) -> bool {
        let from = if back { &mut self.past } else { &mut self.future };
        let Some(step) = from.pop() else { return false };
        let to = if back { &step.before } else { &step.after };
        if let Some(draft) = self.drafts.get_mut(step.file) {
            let places = edit::differing(&draft.text, to).unwrap_or_else(|| vec![Vec::new()]);
            self.revision += 1;
            let revision = self.revision;
            draft.touched.extend(places.into_iter().map(|path| (revision, page.to_owned(), path)));
            draft.text = to.clone();
        }
        let file = step.file;
        if back {
            self.future.push(step)
        } else {
            self.past.push(step)
        }
        self.settle(file);
        true
    }

    /// Looks what the disk has of a file. Whether anything is different now.
    pub fn look(&mut self, shelf: &dyn Shelf, file: usize) -> bool {
        let Some(draft) = self.drafts.get_mut(file) else { return false };
        let disk = match shelf.read(file) {
            Ok(disk) => disk,
            Err(lost) => {
                let new = draft.lost.as_ref() != Some(&*lost);
                draft.lost = Some(*lost);
                self.revision += u64::from(new);
                return new;
            }
        };
        let found = draft.lost.take().is_some();
        self.revision += u64::from(found);
        let Some(disk) = disk else {
            // It was taken away, or isn't there yet: what is on the desk is all there is.
            let went = draft.kept.is_some() && !draft.gone;
            draft.gone = draft.kept.is_some();
            return went || found;
        };
        let found = std::mem::take(&mut draft.gone) || found;
        if draft.kept.as_ref() == Some(&disk) {
            return draft.clash.take().is_some() || found;
        }
        if draft.clash.as_ref() == Some(&disk) {
            return found;
        }
        if draft.kept.as_ref() == Some(&draft.text) || draft.text == disk {
            draft.clash = None;
            self.take(file, disk.clone(), disk);
            return true;
        }
        let together =
            draft.kept.as_ref().and_then(|kept| joined(kept, (&draft.text, &draft.counted), &disk));
        match together {
            Some(text) => {
                draft.clash = None;
                self.take(file, text, disk);
            }
            None => {
                draft.clash = Some(disk);
                draft.clashes += 1;
            }
        }
        true
    }

    /// Notes that what a design names may be another now: the texts are the same, what they make is not.
    pub fn look_at_lent(&mut self) {
        self.revision += 1;
    }

    /// Takes a text over that comes from the disk.
    fn take(&mut self, file: usize, text: String, disk: String) {
        let Some(draft) = self.drafts.get_mut(file) else { return };
        if disk == text {
            draft.counted.clear();
        }
        draft.kept = Some(disk);
        draft.file.start = None;
        let places = edit::differing(&draft.text, &text).unwrap_or_else(|| vec![Vec::new()]);
        self.happen(file, "", text, places, None);
    }

    /// Ends a clash: with the disk's text, or with the one on the desk. `shown` is the number of the
    /// clash that was seen; one that came since stays, to be seen.
    ///
    /// # Errors
    /// When there is no such file.
    pub fn choose(&mut self, file: usize, disk: bool, shown: u64) -> Result<(), Not> {
        let draft = self.drafts.get_mut(file).ok_or_else(no_file)?;
        if draft.clashes != shown {
            return Ok(());
        }
        if let Some(theirs) = draft.clash.take() {
            let text = if disk { theirs.clone() } else { draft.text.clone() };
            self.take(file, text, theirs);
        }
        Ok(())
    }

    /// Writes the files that have something to save.
    ///
    /// # Errors
    /// When one was changed on disk in the meantime, or the disk refuses.
    pub fn save(&mut self, shelf: &dyn Shelf) -> Result<(), Not> {
        let all = 0..self.drafts.len();
        let unsaved: Vec<usize> = all.filter(|file| self.drafts[*file].unsaved()).collect();
        for file in &unsaved {
            self.look(shelf, *file);
        }
        if unsaved.iter().any(|file| self.drafts[*file].clash.is_some()) {
            return Err(Not::Saved);
        }
        // One that can't be written keeps no other from it.
        let each = unsaved.into_iter().map(|file| self.save_one(shelf, file));
        each.fold(Ok(()), Result::and)
    }

    /// Writes one file, with what was written to it meanwhile taken in.
    fn save_one(&mut self, shelf: &dyn Shelf, file: usize) -> Result<(), Not> {
        for _ in 0..MOST_TRIES {
            let draft = &mut self.drafts[file];
            if let Some(lost) = &draft.lost {
                let (says, to_do) = (lost.message.clone(), lost.help.clone());
                return Err(Not::Written(Refusal { says, to_do }));
            }
            if !draft.unsaved() {
                return Ok(());
            }
            let before = draft.kept.as_deref().filter(|_| !draft.gone);
            if shelf.write(file, &draft.text, before).map_err(Not::Written)? {
                draft.kept = Some(draft.text.clone());
                draft.counted.clear();
                draft.gone = false;
                draft.file.start = None;
                return Ok(());
            }
            self.look(shelf, file);
            if self.drafts[file].clash.is_some() {
                break;
            }
        }
        Err(Not::Saved)
    }

    /// The files that have something to save, as the maker named them.
    pub fn unsaved(&self) -> Vec<String> {
        let unsaved = self.drafts.iter().filter(|draft| {
            // A new one that nobody changed is none.
            draft.unsaved() && draft.file.start.as_ref() != Some(&draft.text)
        });
        unsaved.map(|draft| draft.file.shown.clone()).collect()
    }

    /// All that a page shows of the files.
    pub fn state(&self) -> Value {
        let one = |draft: &OpenFile| {
            let clash = draft.clash.as_ref().map(|disk| {
                let base = draft.kept.as_deref().unwrap_or_default();
                let places = edit::differing(base, disk)?;
                let [theirs, here] = [disk, &draft.text].map(|text| edit::values_at(text, &places));
                let all = places.iter().zip(theirs).zip(here);
                Some(
                    all.map(|((path, theirs), here)| json!([edit::dotted(path), theirs, here]))
                        .collect::<Vec<_>>(),
                )
            });
            json!({
                "source": draft.file.source.name(),
                "path": draft.file.shown,
                "new": draft.kept.is_none(),
                "unsaved": draft.unsaved(),
                "clash": clash.is_some().then_some(draft.clashes),
                "clash_at": clash.flatten(),
                "text": draft.text,
                "values": edit::values(&draft.text),
            })
        };
        json!({
            "revision": self.revision,
            "undo": !self.past.is_empty(),
            "redo": !self.future.is_empty(),
            "files": self.drafts.iter().map(one).collect::<Vec<_>>(),
        })
    }
}

fn no_file() -> Not {
    Not::Possible("There is no such file.".into())
}

/// The text that a change makes of the one before the last change, if it comes to the same: a key that was
/// taken out and is given again stands where it stood, beside its comment.
fn put_back(last: Option<&Happened>, asked: &AskedEdit, text: &str, plain: &str) -> Option<String> {
    let last = last.filter(|last| last.file == asked.file && last.after == text)?;
    let back = edit::edited(&last.before, &asked.settings).ok()?;
    edit::alike(&back, plain).then_some(back)
}

/// The disk's text with the desk's changes in it, if the two meet nowhere.
fn joined(kept: &str, (desk, counted): (&str, &[KeyPath]), disk: &str) -> Option<String> {
    let ours = edit::differing(kept, desk)?;
    let theirs = edit::differing(kept, disk)?;
    let lists = edit::shuffled(&theirs);
    let own = || ours.iter().chain(counted);
    if own().any(|our| theirs.iter().chain(&lists).any(|their| edit::overlap(our, their))) {
        return None;
    }
    let settings = edit::bringing(&ours, desk)?;
    let values = edit::edited(disk, &settings).ok()?;
    // Line by line comments come along from both sides; two values of one line don't go that way.
    let lines = diffy::merge(kept, desk, disk).ok().filter(|text| edit::alike(text, &values));
    let bare = || edit::edited(kept, &settings).is_ok_and(|text| text == desk);
    lines.or_else(|| bare().then_some(values))
}

#[cfg(test)]
mod tests;
