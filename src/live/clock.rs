//! How long each part of an answer takes, for whoever wants to make it faster.

use std::time::Instant;

/// A clock that is read between parts.
pub(super) struct Clock {
    last: Instant,
    parts: Vec<(&'static str, f64)>,
}

impl Clock {
    #[expect(clippy::disallowed_methods, reason = "nothing that is made depends on the clock")]
    fn now() -> Instant {
        Instant::now()
    }

    pub(super) fn start() -> Clock {
        Clock { last: Clock::now(), parts: Vec::new() }
    }

    /// Ends a part.
    pub(super) fn part(&mut self, name: &'static str) {
        let now = Clock::now();
        self.parts.push((name, (now - self.last).as_secs_f64() * 1e3));
        self.last = now;
    }

    /// All parts with their time in ms.
    pub(super) fn parts(self) -> Vec<(&'static str, f64)> {
        self.parts
    }
}
