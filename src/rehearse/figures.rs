//! Figures of a rehearsal: what is left, what is cut too deep, time, depths, wood.

use super::ground::{Belongs, KeptGround};
use super::stage::StagedSetup;
use super::standing::PieceStanding;
use super::timber::Timber;
use glam::{DVec2, DVec3};

/// What came out, in mm, seconds and mm³.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct RehearsalFigures {
    /// Motions that were run.
    pub motions: u64,
    /// Time of all of them, with dwells.
    pub seconds: f64,
    /// Time of feeds, and of those of them that cut nothing.
    pub feed_seconds: f64,
    /// Of them.
    pub air_seconds: f64,
    /// Wood that was taken off.
    pub removed_mm3: f64,
    /// The deepest that one motion took off a cell.
    pub deepest: f64,
    /// Where that was: program, line, and place in the setup's frame.
    pub deepest_at: Option<(usize, u32, DVec3)>,
    /// The lowest height of a tip while it cut.
    pub lowest: f64,
    /// What is left and what is gone on all pieces together.
    pub whole: LeftFigures,
    /// Passes of the setup that no program ran, in words.
    pub not_run: Vec<String>,
    /// The same of each piece, and how far it has come.
    pub pieces: Vec<(LeftFigures, PieceStanding)>,
}

/// What is left on pieces, and what is cut too deep.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct LeftFigures {
    /// Wood left: at most.
    pub most: f64,
    /// There.
    pub most_at: DVec2,
    /// A tenth of the cells has more than this.
    pub tenth: f64,
    /// Share of the cells that were cut down to within what the shop lets be sanded, and not too deep.
    pub done_share: f64,
    /// Cut too deep: at most.
    pub below_most: f64,
    /// Area that is cut too deep.
    pub below_mm2: f64,
}

/// A step between neighbours steeper than this is an upright edge, which a height can't judge.
const STEEP: f32 = 3.0;

/// A piece is spoiled when it is cut deeper than this, over more than this.
const SPOILED_MM: f64 = 0.2;
const SPOILED_MM2: f64 = 1.0;

/// How much wood stands over each cell of a piece; none beside, and at upright edges.
pub fn left(timber: &Timber, ground: &KeptGround) -> Vec<Option<f32>> {
    let columns = timber.cells.columns;
    let step = STEEP * timber.cells.cell as f32;
    let relief = |index: Option<usize>| index.and_then(|i| ground.relief.get(i)).copied();
    let one = |index: usize| {
        let own = ground.relief[index];
        if ground.belongs[index] != Belongs::Body {
            return None;
        }
        let beside = [
            index.checked_sub(1),
            Some(index + 1),
            index.checked_sub(columns),
            Some(index + columns),
        ];
        let level = |other: Option<usize>| relief(other).is_some_and(|z| (z - own).abs() < step);
        beside.into_iter().all(level).then(|| timber.top[index] - own)
    };
    (0..timber.top.len()).map(one).collect()
}

impl LeftFigures {
    /// Of those cells with something over them, of which `own` says that they count.
    fn of(
        timber: &Timber,
        ground: &KeptGround,
        left: &[Option<f32>],
        uncut: f64,
        own: impl Fn(usize) -> bool,
    ) -> LeftFigures {
        let mut found = LeftFigures::default();
        let area = timber.cells.cell * timber.cells.cell;
        let mut all: Vec<(f32, usize)> = Vec::new();
        // What is cut too deep is not done.
        let mut done = 0usize;
        for (index, over) in left.iter().enumerate() {
            let Some(over) = over.filter(|_| own(index)) else { continue };
            all.push((over.max(0.0), index));
            // No more is cut than there was.
            let down = timber.top[index].max(timber.floor[index]);
            let deep = down < ground.least[index];
            done += usize::from(!deep && f64::from(over) <= uncut);
            if deep {
                found.below_mm2 += area;
                found.below_most = found.below_most.max(f64::from(ground.relief[index] - down));
            }
        }
        all.sort_by(|a, b| a.0.total_cmp(&b.0));
        if let Some((most, at)) = all.last() {
            (found.most, found.most_at) = (f64::from(*most), timber.cells.middle(*at));
            found.tenth = f64::from(all[all.len() * 9 / 10].0);
            found.done_share = done as f64 / all.len() as f64;
        }
        found
    }
}

impl RehearsalFigures {
    /// Adds what is left and what is cut too deep, of all and of each piece. `finished` says whether the
    /// finishing cutter has cut.
    pub fn judge(
        &mut self,
        stage: &StagedSetup,
        timber: &Timber,
        ground: &KeptGround,
        finished: bool,
    ) {
        let left = left(timber, ground);
        self.whole = LeftFigures::of(timber, ground, &left, stage.uncut, |_| true);
        let one = |number: usize| {
            let own = |index: usize| usize::from(ground.piece[index]) == number;
            let figures = LeftFigures::of(timber, ground, &left, stage.uncut, own);
            let standing = PieceStanding::of(stage, number, timber, ground, &left);
            let spoiled = figures.below_most > SPOILED_MM && figures.below_mm2 > SPOILED_MM2;
            (figures, PieceStanding { finished, spoiled, ..standing })
        };
        self.pieces = (0..stage.pieces.len()).map(one).collect();
    }

    /// Share of the feeds' time in which nothing is cut.
    pub fn air_share(&self) -> f64 {
        if self.feed_seconds > 0.0 { self.air_seconds / self.feed_seconds } else { 0.0 }
    }
}
