//! What lies upwards, before there are walls, and the places of it that are shaped.

use glam::{DVec2, DVec3};

/// What a face is.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    Skin,
    /// The top of that tab.
    TabTop(usize),
    Floor,
}

/// What lies upwards, before there are walls.
pub(super) struct Built<'a> {
    pub points: &'a mut Vec<DVec3>,
    pub faces: &'a mut Vec<[u32; 3]>,
    /// Which points belong to the skin or to a tab's top.
    pub upper: Vec<bool>,
    /// Which points lie on the rim.
    pub on_rim: Vec<bool>,
    /// What each face is.
    pub kinds: Vec<Kind>,
    /// The rim and the skirt's edge in the plan.
    pub rim: &'a [DVec2],
    pub edge: &'a [DVec2],
    /// Height of the stock's upper face.
    pub over: f64,
}

/// A tab's surroundings: a rectangle in the plan, along the outline and outwards.
pub(super) struct FootRegion {
    /// Which tab.
    pub(super) tab: usize,
    pub(super) foot: DVec2,
    pub(super) along: DVec2,
    pub(super) out: DVec2,
    pub(super) top: f64,
    /// Half of the tab's width.
    pub(super) half: f64,
    /// Least and greatest corner of what may be lifted.
    pub(super) low: DVec2,
    pub(super) high: DVec2,
}

impl FootRegion {
    pub(super) fn local(&self, p: DVec2) -> DVec2 {
        let from = p - self.foot;
        DVec2::new(from.dot(self.along), from.dot(self.out))
    }

    /// The part of a line that goes through what may be lifted, in the place's own frame.
    pub(super) fn part(&self, a: DVec2, b: DVec2) -> Option<[DVec2; 2]> {
        let (a, b) = (self.local(a), self.local(b));
        let (mut from, mut to) = (0.0, 1.0);
        for axis in 0..2 {
            let way = b[axis] - a[axis];
            let (low, high) = (self.low[axis] - a[axis], self.high[axis] - a[axis]);
            if way == 0.0 {
                if low > 0.0 || high < 0.0 {
                    return None;
                }
                continue;
            }
            let (s, t) = (low / way, high / way);
            from = f64::max(from, s.min(t));
            to = f64::min(to, s.max(t));
        }
        (from <= to).then(|| [a.lerp(b, from), a.lerp(b, to)])
    }
}
