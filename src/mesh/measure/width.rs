//! How wide the head is.

use super::super::words;
use super::{Rule, Sizes};
use crate::finding::fill;
use crate::params::{Design, Head};
use crate::units::plain;

impl Rule<'_> {
    /// Extent across at a place along the utensil, from where the rim's polygon crosses it.
    pub(super) fn extent(&self, x: f64) -> Option<[f64; 2]> {
        let rim = &self.mesh.rim_top;
        let point = |i: usize| self.mesh.mesh.points[rim[i % rim.len()] as usize];
        (0..rim.len())
            .filter_map(|i| {
                let (p, q) = (point(i), point(i + 1));
                let t = (x - p.x) / (q.x - p.x);
                (p.x != q.x && (0.0..=1.0).contains(&t)).then_some(p.y + t * (q.y - p.y))
            })
            .fold(None, |found: Option<[f64; 2]>, y| {
                Some(found.map_or([y, y], |[low, high]| [low.min(y), high.max(y)]))
            })
    }

    /// The greatest width of the head; of one with an outline or a middle of its own, where it is said
    /// to be widest.
    pub(super) fn head_width(&self, head: &Head) -> f64 {
        if !(head.outline().is_empty() && head.sway().is_empty()) {
            let [low, high] = self.extent(self.body.widest_x().as_mm()).unwrap_or_default();
            return high - low;
        }
        let neck = self.body.neck_x().as_mm();
        let head = self.mesh.rim_top.iter().map(|i| self.mesh.mesh.points[*i as usize]);
        let [low, high] = head
            .filter(|p| p.x > neck)
            .fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], p| {
                [low.min(p.y), high.max(p.y)]
            });
        high - low
    }

    /// The greatest width of a head with an outline or a middle of its own, where it is more than asked for.
    pub(super) fn wider(&self, design: &Design, sizes: &mut Sizes) {
        /// Less is not told, in mm: what sizes are true within.
        const TOLD: f64 = 0.05;
        const LOOKS: u32 = 400;
        let head = &design.head;
        if design.plan.is_some() || (head.outline().is_empty() && head.sway().is_empty()) {
            return;
        }
        let widths = (1..LOOKS).filter_map(|look| {
            let share = f64::from(look) / f64::from(LOOKS);
            let [right, left] = self.extent(self.body.head_x(share).as_mm())?;
            Some((share, left - right))
        });
        let Some((share, width)) = widths.max_by(|a, b| a.1.total_cmp(&b.1)) else { return };
        if width > head.width().as_mm() + TOLD {
            let place = plain(100.0 * share, 0);
            let what = fill(words::GREATEST_WIDTH, &[("place", &place)]);
            sizes.add(what, &format!("{}.width", head.table()), head.width(), width);
        }
    }
}
