//! Drilling: G81, G82 and G83, by NISTIR 6556, 3.5.16.

use glam::DVec3;

/// How far short of the last depth a rapid stops on its way back into a hole: 0.254 mm (NISTIR
/// 6556, 3.5.16.4: 0.010 in).
const SHORT_MM: f64 = 0.254;

/// More pecks than this in one line are a slip of the pen.
const PECKS_MOST: f64 = 10_000.0;

/// What a cycle keeps from line to line, in mm.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct DrillingCycle {
    z: Option<f64>,
    r: Option<f64>,
    q: Option<f64>,
}

/// Where a cycle goes, in the frame of the motions.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DrillingDepths {
    /// The plane from which it feeds.
    pub clear: f64,
    /// The hole's bottom.
    pub bottom: f64,
    /// How deep one peck goes.
    pub peck: f64,
}

impl DrillingCycle {
    /// Takes what a line gives.
    pub fn take(&mut self, given: impl Fn(u8) -> Option<f64>) {
        self.z = given(b'Z').or(self.z);
        self.r = given(b'R').or(self.r);
        self.q = given(b'Q').or(self.q);
    }

    /// The depths, from zero or, in incremental mode, from where the tip is. A line drills so many holes.
    pub fn depths(
        &self,
        code: u32,
        from: f64,
        incremental: bool,
        repeats: f64,
    ) -> Result<DrillingDepths, String> {
        let (Some(z), Some(r)) = (self.z, self.r) else {
            return Err(
                "a drilling cycle needs Z, its depth, and R, the plane it starts from".into()
            );
        };
        let clear = from + r;
        let bottom = if incremental { clear + z } else { from + z };
        if bottom > clear {
            return Err("the drilling cycle's depth lies above the plane it starts from".into());
        }
        let peck = match (code, self.q) {
            (830, None) => return Err("G83 needs Q, the depth of a peck".into()),
            (830, Some(peck)) if peck <= 0.0 => {
                return Err("Q of G83, the depth of a peck, is not over zero".into());
            }
            (830, Some(peck)) if repeats * (clear - bottom) / peck > PECKS_MOST => {
                let pecks = repeats * ((clear - bottom) / peck).ceil();
                return Err(format!(
                    "Q of G83, the depth of a peck, is so small that the line takes {pecks:.0} pecks"
                ));
            }
            (830, Some(peck)) => peck,
            _ => f64::INFINITY,
        };
        Ok(DrillingDepths { clear, bottom, peck })
    }
}

/// The moves of one hole, each with whether it is a rapid.
pub fn moves(
    code: u32,
    at: DVec3,
    over: DVec3,
    depth: DrillingDepths,
    back: f64,
) -> impl Iterator<Item = (DVec3, bool)> {
    let mut moves = Vec::new();
    let mut here = at;
    let mut go = |to: DVec3, rapid: bool| {
        if to != here {
            moves.push((to, rapid));
            here = to;
        }
    };
    let level = at.z.max(depth.clear);
    go(DVec3::new(at.x, at.y, level), true);
    go(DVec3::new(over.x, over.y, level), true);
    let down = |z: f64| DVec3::new(over.x, over.y, z);
    go(down(depth.clear), true);
    let mut last = depth.clear;
    while code == 830 && last - depth.peck > depth.bottom {
        last -= depth.peck;
        go(down(last), false);
        go(down(depth.clear), true);
        go(down((last + SHORT_MM).min(depth.clear)), true);
    }
    go(down(depth.bottom), false);
    go(down(back), true);
    moves.into_iter()
}
