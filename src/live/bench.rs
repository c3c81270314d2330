//! What all pages share: the desk, what was last made of it, and the packet that is being made.

use super::desk::{Desk, Not};
use super::made::{self, Made, Stage, Wish};
use super::packing::Packing;
use super::shelf::Shelf;
use crate::job::StopWord;
use rayon::{ThreadPool, ThreadPoolBuilder};
use serde_json::{Value, json};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use tokio::sync::watch;

/// What all pages share.
pub struct Bench {
    pub(super) shelf: Arc<dyn Shelf>,
    desk: Mutex<Desk>,
    /// Rises with whatever a page should look at anew.
    news: watch::Sender<u64>,
    /// What was last made of each stage. Whoever makes it holds the lock, so that two pages don't
    /// make the same.
    made: [Mutex<Option<Arc<Made>>>; 3],
    /// The last that had a picture.
    good: Mutex<Option<Arc<Made>>>,
    /// What is being made now, by the revision.
    running: Mutex<Vec<(u64, StopWord)>>,
    pub(super) packing: Mutex<Packing>,
    /// Threads for what may take long, so that a coarse picture never waits for them.
    slow: Option<ThreadPool>,
}

/// Its content, whatever happened to who held it last.
pub(super) fn held<T>(of: &Mutex<T>) -> MutexGuard<'_, T> {
    of.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Bench {
    /// With the files of a shelf.
    pub fn new(shelf: Arc<dyn Shelf>) -> Bench {
        Bench {
            desk: Mutex::new(Desk::new(shelf.as_ref())),
            shelf,
            news: watch::Sender::new(1),
            made: Default::default(),
            good: Mutex::default(),
            running: Mutex::default(),
            packing: Mutex::default(),
            slow: ThreadPoolBuilder::new().build().ok(),
        }
    }

    /// Does something with the desk, and tells all pages if anything is different then. What is
    /// being made of an older revision ends.
    pub(super) fn with_desk<T>(&self, act: impl FnOnce(&mut Desk, &dyn Shelf) -> T) -> T {
        let (done, revision) = {
            let mut desk = held(&self.desk);
            (act(&mut desk, self.shelf.as_ref()), desk.revision())
        };
        held(&self.running).retain(|(of, stop)| {
            let wanted = *of == revision;
            if !wanted {
                stop.ask();
            }
            wanted
        });
        self.tell();
        done
    }

    /// Looks at a file on disk, because something happened to it.
    pub fn look(&self, file: usize) {
        let new = held(&self.desk).look(self.shelf.as_ref(), file);
        if new {
            self.with_desk(|_, _| ());
        }
    }

    /// Has all be made anew, because something happened to a file that a design names.
    pub fn look_at_lent(&self) {
        self.with_desk(|desk, _| desk.look_at_lent());
    }

    /// Saves all files.
    pub(super) fn save(&self) -> Result<(), Not> {
        self.with_desk(|desk, shelf| desk.save(shelf))
    }

    /// The files that have changes which aren't saved, as the maker named them.
    pub fn unsaved(&self) -> Vec<String> {
        held(&self.desk).unsaved()
    }

    /// Has all pages look.
    pub(super) fn tell(&self) {
        self.news.send_modify(|number| *number += 1);
    }

    pub(super) fn news(&self) -> watch::Receiver<u64> {
        self.news.subscribe()
    }

    pub(super) fn revision(&self) -> u64 {
        held(&self.desk).revision()
    }

    /// All that a page shows beside pictures and findings.
    pub(super) fn state(&self) -> Value {
        let news = *self.news.borrow();
        let packing = held(&self.packing).state();
        let mut state = held(&self.desk).state();
        state["news"] = news.into();
        state["packing"] = packing;
        state
    }

    /// The last that had a picture.
    pub(super) fn good(&self) -> Option<Arc<Made>> {
        held(&self.good).clone()
    }

    /// Makes a stage of the newest revision, unless it is made already; none when it became older
    /// meanwhile.
    pub(super) fn make(&self, stage: Stage, only: Option<usize>) -> Option<Arc<Made>> {
        let mut slot = held(&self.made[stage as usize]);
        let (revision, texts) = {
            let desk = held(&self.desk);
            (desk.revision(), desk.texts())
        };
        if let Some(made) =
            slot.as_ref().filter(|made| made.revision == revision && made.only == only)
        {
            return Some(made.clone());
        }
        let wish = Wish { only, ..Wish::default() };
        held(&self.running).push((revision, wish.stop.clone()));
        // It may have become older before it was noted.
        if self.revision() != revision {
            wish.stop.ask();
        }
        let make = || made::made(&texts, revision, stage, &wish, &*self.shelf);
        let made = match &self.slow {
            Some(slow) if stage != Stage::Coarse => slow.install(make),
            _ => make(),
        };
        let made = Arc::new(made?);
        *slot = Some(made.clone());
        if made.job.is_some() && only.is_none() {
            let mut good = held(&self.good);
            // A coarse picture of the same revision is no better than a fine one.
            if good.as_ref().is_none_or(|good| (good.revision, good.stage) <= (revision, stage)) {
                *good = Some(made.clone());
            }
        }
        Some(made)
    }

    /// A whole job, for a packet.
    pub(super) fn job(&self, use_spare: bool) -> Option<Arc<Made>> {
        if !use_spare {
            return self.make(Stage::Whole, None);
        }
        let (revision, texts) = {
            let desk = held(&self.desk);
            (desk.revision(), desk.texts())
        };
        let wish = Wish { use_spare, ..Wish::default() };
        made::made(&texts, revision, Stage::Whole, &wish, &*self.shelf).map(Arc::new)
    }

    /// Ends what is being made.
    pub fn stop(&self) {
        held(&self.running).iter().for_each(|(_, stop)| stop.ask());
    }
}

/// What a page is told when its wish was refused.
pub(super) fn refused(not: &Not) -> Value {
    match not {
        Not::Possible(why) => json!({ "not": "possible", "says": why }),
        Not::Yours(places) => json!({ "not": "yours", "places": places }),
        Not::Saved => json!({ "not": "saved" }),
        Not::Written(refusal) => {
            json!({ "not": "written", "says": refusal.says, "to_do": refusal.to_do })
        }
    }
}
