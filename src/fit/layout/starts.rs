//! Where a search begins: pieces in rows across the board, in several orders, turned end for end
//! in several ways.

use super::ask::Match;
use super::table::Table;
use crate::fit::Placement;
use crate::units::Angle;
use glam::DVec2;
use std::f64::consts::PI;

/// Most orders of the pieces that are tried.
const ORDERS: usize = 24;

/// A start: places, and the pieces in their order across the board.
pub(super) struct Start {
    pub(super) places: Vec<Placement>,
    pub(super) order: Vec<usize>,
}

/// How a row of pieces is laid out.
struct PieceRow<'a> {
    /// Pieces in their order across the board.
    order: &'a [usize],
    /// Columns along the board.
    columns: usize,
    /// Pieces that are turned end for end, a bit for each.
    turn: u32,
    /// Where each piece lies along its column, as a share of the slack that it has.
    ends: &'a [f64],
    /// Whether the pieces keep to a part of the board's width, with half of what is left free
    /// beside them, and which: 0 is its near edge, 1 its far edge.
    aside: Option<f64>,
}

/// All starts, the likeliest first, by the number of columns: a board long enough for two is wide
/// enough for one beside the other, too, and which is better shows only when both are followed.
pub(super) fn all(table: &Table<'_>) -> Vec<Vec<Start>> {
    if table.tied() {
        return vec![tied(table)];
    }
    let count = table.pieces.len();
    // Every other one first: heads lie beside handles.
    let other: u32 = (0..count).filter(|i| i % 2 == 1).map(|i| 1 << i).sum();
    let all = 1_u32 << count.min(4);
    let mut turns = vec![other];
    turns.extend((0..all).filter(|turn| *turn != other));
    let mut kinds: Vec<Vec<Start>> = Vec::new();
    for columns in columns(table) {
        let mut starts = Vec::new();
        for order in orders(count) {
            for turn in &turns {
                for ends in ends(count) {
                    for aside in asides(table) {
                        let row =
                            PieceRow { order: &order, columns, turn: *turn, ends: &ends, aside };
                        starts.push(rows(table, &row));
                    }
                    if count == 1 {
                        let row = PieceRow {
                            order: &order,
                            columns,
                            turn: *turn,
                            ends: &ends,
                            aside: None,
                        };
                        starts.extend([0.0, 1.0].map(|side| alone(table, &row, side)));
                    }
                }
            }
        }
        kinds.push(starts);
    }
    kinds
}

/// Starts of pieces that go together: one column, its pieces at one length of the board, with
/// their handles' ends, middles or tips in line; the column at either end or in the middle.
fn tied(table: &Table<'_>) -> Vec<Start> {
    let count = table.pieces.len();
    let longest = (0..count).map(|i| extent(table, i).x).fold(0.0, f64::max);
    let slack = (table.size.x - longest - 2.0 * table.frame).max(0.0);
    let whole = (1_u32 << count) - 1;
    let mut starts = Vec::new();
    for order in orders(count) {
        let every_other: u32 = order.iter().skip(1).step_by(2).map(|i| 1 << i).sum();
        let first = if table.together() == Match::HeadToTail { every_other } else { 0 };
        for turn in [first, first ^ whole] {
            for (line, place) in SHARES.iter().flat_map(|line| SHARES.map(|place| (line, place))) {
                // A piece's share of its own slack that brings it there.
                let share = |i: usize| {
                    let own = longest - extent(table, i).x;
                    let all = slack + own;
                    if all > 0.0 { (place * slack + line * own) / all } else { 0.0 }
                };
                let ends: Vec<f64> = (0..count).map(share).collect();
                for aside in asides(table) {
                    let row = PieceRow { order: &order, columns: 1, turn, ends: &ends, aside };
                    starts.push(rows(table, &row));
                }
            }
        }
    }
    starts
}

/// Shares of the slack along the board that are tried.
const SHARES: [f64; 3] = [0.5, 0.0, 1.0];

/// Whether pieces are tried all over the width only, or on parts of it as well: where there are
/// flaws to keep clear of, those may be the roomier.
fn asides(table: &Table<'_>) -> Vec<Option<f64>> {
    if table.flawed() && table.pieces.len() > 1 {
        vec![None, Some(0.0), Some(0.5), Some(1.0)]
    } else {
        vec![None]
    }
}

/// How many columns there may be: as many as the board is long enough for, then fewer, as far as
/// that changes how many pieces are in one.
fn columns(table: &Table<'_>) -> Vec<usize> {
    let count = table.pieces.len();
    let longest = (0..count).map(|i| extent(table, i).x).fold(0.0, f64::max);
    let most = ((table.size.x - 2.0 * table.frame) / (longest + table.frame)).floor().max(1.0);
    let mut all: Vec<usize> = Vec::new();
    for columns in (1..=(most as usize).min(count)).rev() {
        let deep = count.div_ceil(columns);
        if all.iter().all(|known| count.div_ceil(*known) != deep) {
            all.push(columns);
        }
    }
    all
}

/// Where each piece lies along the board, as a share of the slack that it has. Few pieces are tried
/// at their own ends each, since a head beside a neck makes room; more would take too long.
fn ends(count: usize) -> Vec<Vec<f64>> {
    if count > 3 {
        return SHARES.iter().map(|share| vec![*share; count]).collect();
    }
    let of = |number: usize| (0..count as u32).map(move |i| SHARES[number / 3_usize.pow(i) % 3]);
    (0..3_usize.pow(count as u32)).map(|number| of(number).collect()).collect()
}

/// Permutations of so many, in their own order, as far as they are tried.
fn orders(count: usize) -> Vec<Vec<usize>> {
    let mut all = vec![(0..count).collect::<Vec<usize>>()];
    let mut next = all[0].clone();
    while all.len() < ORDERS {
        let Some(i) = (1..count).rev().find(|i| next[i - 1] < next[*i]) else { break };
        let Some(j) = (i..count).rev().find(|j| next[*j] > next[i - 1]) else { break };
        next.swap(i - 1, j);
        next[i..].reverse();
        // Turned over, a row is the same row.
        if next.first() <= next.last() {
            all.push(next.clone());
        }
    }
    all
}

/// Angle of a piece, end for end or not, as near to the board's length as its grain allows.
fn angle(table: &Table<'_>, index: usize, turned: bool) -> f64 {
    let [least, most] = table.angles(index);
    0.0_f64.clamp(least, most) + if turned { PI } else { 0.0 }
}

/// Pieces one beside the other across the board, as close as their outlines allow; what is left is
/// shared out. Those that don't fit across go into a second column.
fn rows(table: &Table<'_>, row: &PieceRow<'_>) -> Start {
    const STEP: f64 = 2.0;
    let PieceRow { order, columns, turn, ends, aside } = *row;
    let count = order.len();
    let mut places = vec![Placement::default(); count];
    let per_column = count.div_ceil(columns).max(1);
    for (column, members) in order.chunks(per_column).enumerate() {
        let room = table.size.x / (count.div_ceil(per_column)) as f64;
        let mut ceiling: Vec<f64> = vec![0.0; (table.size.x / STEP).ceil() as usize + 1];
        let mut lifts = Vec::new();
        for index in members {
            let at = Placement {
                angle: Angle::radians(angle(table, *index, turn & (1 << index) != 0)),
                ..Placement::default()
            };
            let corners: Vec<DVec2> =
                table.coarse[*index][1].iter().map(|p| at.on_board(*p)).collect();
            let (low, high) = bounds(&corners);
            let slack = (room - (high.x - low.x) - 2.0 * table.frame).max(0.0);
            let x = column as f64 * room + table.frame + ends[*index] * slack - low.x;
            // The lower side of the piece over each step along the board.
            let steps = |p: f64| ((p + x) / STEP).clamp(0.0, ceiling.len() as f64 - 1.0);
            let mut lift = f64::NEG_INFINITY;
            let mut upper: Vec<(usize, f64)> = Vec::new();
            for (i, a) in corners.iter().enumerate() {
                let b = corners[(i + 1) % corners.len()];
                let (from, to) = (steps(a.x.min(b.x)).floor(), steps(a.x.max(b.x)).ceil());
                let reach = from as usize..=to as usize;
                for (step, floor) in reach.clone().zip(&ceiling[reach]) {
                    let share = ((step as f64 * STEP - x - a.x) / (b.x - a.x)).clamp(0.0, 1.0);
                    let y = if share.is_finite() { a.y + share * (b.y - a.y) } else { a.y };
                    lift = lift.max(floor + table.frame - y);
                    upper.push((step, y));
                }
            }
            for (step, y) in upper {
                ceiling[step] = ceiling[step].max(y + lift);
            }
            places[*index] = Placement { origin: DVec2::new(x, lift), ..at };
            lifts.push(*index);
        }
        let top = ceiling.iter().copied().fold(0.0, f64::max);
        let spare = table.size.y - table.frame - top;
        let (used, from) = match aside {
            Some(side) => (0.5 * spare, 0.5 * spare * side),
            None => (spare, 0.0),
        };
        let share = used / (members.len() + 1) as f64;
        for (i, index) in lifts.iter().enumerate() {
            places[*index].origin.y += from + share * (i + 1) as f64;
        }
    }
    Start { places, order: order.to_vec() }
}

/// A single piece at one side of the board.
fn alone(table: &Table<'_>, row: &PieceRow<'_>, side: f64) -> Start {
    let mut start = rows(table, row);
    let half = 0.5 * (table.size.y - 2.0 * table.frame - extent(table, 0).y).max(0.0);
    start.places[0].origin.y += (2.0 * side - 1.0) * half;
    start
}

fn extent(table: &Table<'_>, index: usize) -> DVec2 {
    let (low, high) = bounds(&table.coarse[index][1]);
    high - low
}

fn bounds(corners: &[DVec2]) -> (DVec2, DVec2) {
    let low = corners.iter().copied().reduce(DVec2::min).unwrap_or_default();
    let high = corners.iter().copied().reduce(DVec2::max).unwrap_or_default();
    (low, high)
}
