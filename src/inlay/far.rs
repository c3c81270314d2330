//! How far from all chords a place is at least, by squares of the plan: where a flank is over a plate anyway, how
//! far over it is nobody's business.

use std::collections::VecDeque;

/// Squares round those that have chords.
const ROUND: i32 = 24;

/// Of each square, how many squares away the nearest one with a chord is.
#[derive(Debug)]
pub(super) struct FarMap {
    columns: i32,
    rows: i32,
    away: Vec<u16>,
}

impl FarMap {
    /// Of a grid of so many columns and rows; `has` says whether a square has a chord.
    pub(super) fn new(columns: i32, rows: i32, has: impl Fn(i32, i32) -> bool) -> FarMap {
        let (wide, high) = (columns + 2 * ROUND, rows + 2 * ROUND);
        let mut away = vec![u16::MAX; (wide * high) as usize];
        let mut open = VecDeque::new();
        for y in 0..rows {
            for x in (0..columns).filter(|x| has(*x, y)) {
                away[((y + ROUND) * wide + x + ROUND) as usize] = 0;
                open.push_back((x + ROUND, y + ROUND));
            }
        }
        while let Some((x, y)) = open.pop_front() {
            let next = away[(y * wide + x) as usize].saturating_add(1);
            for (u, v) in (x - 1..=x + 1).flat_map(|u| (y - 1..=y + 1).map(move |v| (u, v))) {
                if (0..wide).contains(&u) && (0..high).contains(&v) {
                    let own = &mut away[(v * wide + u) as usize];
                    if *own == u16::MAX {
                        *own = next;
                        open.push_back((u, v));
                    }
                }
            }
        }
        FarMap { columns: wide, rows: high, away }
    }

    /// How many squares lie between a square and the nearest chord at least; none where that isn't known.
    pub(super) fn between(&self, (x, y): (i32, i32)) -> u16 {
        let (x, y) = (x.saturating_add(ROUND), y.saturating_add(ROUND));
        let known = (0..self.columns).contains(&x) && (0..self.rows).contains(&y);
        if known { self.away[(y * self.columns + x) as usize].saturating_sub(1) } else { 0 }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn squares_between_are_counted_across_corners_too() {
        let far = FarMap::new(9, 5, |x, y| (x, y) == (2, 1) || (x, y) == (8, 4));
        let each = [(2, 1), (3, 2), (4, 1), (5, -2), (8, 1), (-7, 9), (900, 0)];
        assert_eq!(each.map(|at| far.between(at)), [0, 0, 1, 2, 2, 8, 0]);
    }
}
