//! The two skins: what handle and head make together, at one place along the utensil.
//!
//! Much of a skin's formula depends on the place along the utensil alone, so whoever asks for many
//! points of one section cuts the skin there once.

use super::blade::BladeSide;
use super::bowl_cut::{BowlBottom, BowlTop};
use super::handle::HandleSection;
use super::{Body, HeadSkins, Parts};
use glam::DVec2;

/// The top skin, cut across at one place along the utensil.
pub struct CutTop {
    rise: f64,
    /// How far the neck has run out into the head.
    share: f64,
    handle: Option<HandleSection>,
    head: Option<HeadTop>,
}

enum HeadTop {
    Bowl(BowlTop),
    Blade(BladeSide),
}

impl CutTop {
    /// Height at a Y inside the outline, in mm.
    pub fn height(&self, y: f64) -> f64 {
        let below = match &self.head {
            Some(HeadTop::Bowl(bowl)) => bowl.below(y),
            _ => 0.0,
        };
        self.land(y) - below
    }

    /// Height at a Y inside the outline, in mm, of what the hollow is cut into, its land not yet eased.
    pub(super) fn land(&self, y: f64) -> f64 {
        let head = self.head.as_ref().map(|head| match head {
            HeadTop::Bowl(bowl) => bowl.rim_plane,
            HeadTop::Blade(blade) => blade.height(y),
        });
        match (&self.handle, head) {
            (Some(handle), Some(head)) => {
                self.rise + (1.0 - self.share) * handle.half_thickness(y) + self.share * head
            }
            (Some(handle), None) => self.rise + handle.half_thickness(y),
            (None, head) => self.rise + head.unwrap_or_default(),
        }
    }
}

/// The bottom skin, cut across at one place along the utensil.
pub struct CutBottom {
    rise: f64,
    share: f64,
    half_edge: f64,
    handle: Option<HandleSection>,
    head: Option<HeadBottom>,
}

enum HeadBottom {
    Bowl(BowlBottom),
    Blade(BladeSide),
}

impl CutBottom {
    /// Height at a Y inside the outline, in mm.
    pub fn height(&self, y: f64) -> f64 {
        let half = self.handle.as_ref().map(|handle| handle.half_thickness(y));
        match (&self.head, half) {
            (Some(HeadBottom::Bowl(bowl)), half) => {
                let ridge = half.map_or(0.0, |half| half - self.half_edge);
                self.rise + bowl.height(y, ridge)
            }
            (Some(HeadBottom::Blade(blade)), Some(half)) => {
                self.rise - (1.0 - self.share) * half + self.share * blade.height(y)
            }
            (Some(HeadBottom::Blade(blade)), None) => self.rise + blade.height(y),
            (None, half) => self.rise - half.unwrap_or_default(),
        }
    }

    /// What the back of a bowl must be for the skin to lie at a height at a Y (see [`BowlBottom::asks`]);
    /// none of a handle or a blade.
    pub(super) fn asks(&self, y: f64, height: f64) -> Option<[f64; 2]> {
        let Some(HeadBottom::Bowl(bowl)) = &self.head else { return None };
        let half = self.handle.as_ref().map_or(self.half_edge, |handle| handle.half_thickness(y));
        Some(bowl.asks(y, half - self.half_edge, self.rise - height))
    }
}

impl Body {
    /// Height of the top skin at a point inside the outline, in mm.
    pub fn top(&self, p: DVec2) -> f64 {
        self.cut_top(p.x).height(p.y)
    }

    /// Height at a point inside the outline of what the hollow is cut into, in mm: the top skin as it
    /// would be without it, and with a rim land that is not eased.
    pub fn land(&self, p: DVec2) -> f64 {
        self.cut_top(p.x).land(p.y)
    }

    /// Height of the bottom skin at a point inside the outline, in mm.
    pub fn bottom(&self, p: DVec2) -> f64 {
        self.cut_bottom(p.x).height(p.y)
    }

    /// The top skin at an X in mm, for many points of it.
    pub fn cut_top(&self, x: f64) -> CutTop {
        let Parts { plan, handle, head, .. } = &*self.0;
        let (in_handle, in_head) = (x <= plan.neck || x < plan.shoulder, x > plan.neck);
        let head = in_head.then(|| match head {
            HeadSkins::Bowl(bowl) => HeadTop::Bowl(bowl.top(plan, x)),
            HeadSkins::Blade(blade) => HeadTop::Blade(blade.top(plan, x)),
        });
        CutTop {
            rise: self.rise(x),
            share: plan.come_down(x),
            handle: in_handle.then(|| handle.section(plan, x)),
            head,
        }
    }

    /// The bottom skin at an X in mm, for many points of it.
    pub fn cut_bottom(&self, x: f64) -> CutBottom {
        let Parts { plan, handle, head, .. } = &*self.0;
        let head = (x > plan.neck).then(|| match head {
            HeadSkins::Bowl(bowl) => HeadBottom::Bowl(bowl.bottom(plan, x, handle.ridge(x))),
            HeadSkins::Blade(blade) => HeadBottom::Blade(blade.bottom(plan, x)),
        });
        let in_handle = match &head {
            Some(HeadBottom::Bowl(bowl)) => bowl.has_keel(),
            Some(HeadBottom::Blade(_)) => x < plan.keel,
            None => true,
        };
        CutBottom {
            rise: self.rise(x),
            share: plan.come_up(x),
            half_edge: handle.half_edge(),
            handle: in_handle.then(|| handle.section(plan, x)),
            head,
        }
    }
}
