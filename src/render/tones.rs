//! Lines of equal tone round a field of values, by marching squares.
//!
//! Promised: each line is closed; filled by the even-odd rule, they cover what is at or over the
//! level, to the straight line between two values. The field's border counts as under every level.

/// Values in rows.
pub(super) struct ToneMap {
    pub(super) wide: usize,
    pub(super) high: usize,
    pub(super) values: Vec<f32>,
}

/// A closed line, its corners in the field's steps.
pub(super) type Loop = Vec<[f32; 2]>;

const NONE: u32 = u32::MAX;

impl ToneMap {
    fn at(&self, x: usize, y: usize) -> f32 {
        // A ring of nothing lies round the field, so that every line closes.
        let inside = (1..=self.wide).contains(&x) && (1..=self.high).contains(&y);
        if inside { self.values[(y - 1) * self.wide + x - 1] } else { f32::NEG_INFINITY }
    }

    /// The lines round all that is at or over a level.
    pub(super) fn loops(&self, level: f32) -> Vec<Loop> {
        let (wide, high) = (self.wide + 2, self.high + 2);
        // An edge of the lattice is named by its upper or left end, twice, and 1 when it is upright.
        let mut next = vec![NONE; wide * high * 2];
        for y in 0..high - 1 {
            for x in 0..wide - 1 {
                self.cell((x, y), level, wide, &mut next);
            }
        }
        let mut loops = Vec::new();
        for start in 0..next.len() {
            let mut line = Loop::new();
            let mut edge = start;
            while next[edge] != NONE {
                line.push(self.crossing(edge, level, wide));
                edge = std::mem::replace(&mut next[edge], NONE) as usize;
            }
            if line.len() > 2 {
                loops.push(line);
            }
        }
        loops
    }

    /// The lines through one cell: from each edge where the way round it leaves the level to the
    /// next one where it comes back.
    fn cell(&self, (x, y): (usize, usize), level: f32, wide: usize, next: &mut [u32]) {
        let corners = [(x, y), (x + 1, y), (x + 1, y + 1), (x, y + 1)];
        let over = corners.map(|(x, y)| self.at(x, y) >= level);
        if over == [true; 4] || over == [false; 4] {
            return;
        }
        let name = |x: usize, y: usize, upright: usize| (y * wide + x) * 2 + upright;
        let edges = [name(x, y, 0), name(x + 1, y, 1), name(x, y + 1, 0), name(x, y, 1)];
        for from in 0..4 {
            if over[from] && !over[(from + 1) % 4] {
                let back = (1..4).map(|k| (from + k) % 4).find(|&k| !over[k] && over[(k + 1) % 4]);
                if let Some(to) = back {
                    next[edges[from]] = edges[to] as u32;
                }
            }
        }
    }

    /// Where the level is on an edge.
    fn crossing(&self, edge: usize, level: f32, wide: usize) -> [f32; 2] {
        let (at, upright) = (edge / 2, edge % 2 == 1);
        let (x, y) = (at % wide, at / wide);
        let (a, b) = if upright {
            (self.at(x, y), self.at(x, y + 1))
        } else {
            (self.at(x, y), self.at(x + 1, y))
        };
        // On the field's border there is only one value.
        let part = match (a.is_finite(), b.is_finite()) {
            (true, true) => ((level - a) / (b - a)).clamp(0.0, 1.0),
            _ => 0.5,
        };
        let (x, y) = (x as f32 - 0.5, y as f32 - 0.5);
        if upright { [x, y + part] } else { [x + part, y] }
    }
}

/// A closed line with corners left out that lie within `off` of the line without them (Douglas and
/// Peucker, 1973).
pub(super) fn simpler(line: &Loop, off: f32) -> Loop {
    let Some(first) = line.first() else { return Loop::new() };
    // Two ends to begin with: the first corner, and the one farthest from it.
    let far = |p: &[f32; 2]| (p[0] - first[0]).powi(2) + (p[1] - first[1]).powi(2);
    let middle = (0..line.len()).max_by(|&a, &b| far(&line[a]).total_cmp(&far(&line[b])));
    let middle = middle.unwrap_or(0);
    let mut kept = vec![false; line.len() + 1];
    (kept[0], kept[middle]) = (true, true);
    let at = |i: usize| line[i % line.len()];
    let mut open = vec![(0, middle), (middle, line.len())];
    while let Some((from, to)) = open.pop() {
        let (a, b) = (at(from), at(to));
        let way = [b[0] - a[0], b[1] - a[1]];
        let long = way[0].hypot(way[1]);
        let off_line = |p: [f32; 2]| {
            let d = [p[0] - a[0], p[1] - a[1]];
            if long > 0.0 { (d[0] * way[1] - d[1] * way[0]).abs() / long } else { d[0].hypot(d[1]) }
        };
        let most = (from + 1..to).max_by(|&i, &j| off_line(at(i)).total_cmp(&off_line(at(j))));
        if let Some(most) = most.filter(|&i| off_line(at(i)) > off) {
            kept[most] = true;
            open.extend([(from, most), (most, to)]);
        }
    }
    (0..line.len()).filter(|&i| kept[i]).map(at).collect()
}

/// Twice the area of a closed line, with its sign.
pub(super) fn area(line: &Loop) -> f32 {
    let next = line.iter().cycle().skip(1);
    line.iter().zip(next).map(|(a, b)| a[0] * b[1] - b[0] * a[1]).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A cone over the middle: its line at a level is a circle of known radius.
    #[test]
    fn a_line_of_a_cone_is_a_circle_and_stays_one_when_simpler() {
        let (wide, high) = (80, 60);
        let values = (0..wide * high)
            .map(|i| {
                let (x, y) = ((i % wide) as f32 + 0.5, (i / wide) as f32 + 0.5);
                30.0 - (x - 40.0).hypot(y - 30.0)
            })
            .collect();
        let field = ToneMap { wide, high, values };
        let loops = field.loops(10.0);
        assert_eq!(loops.len(), 1);
        let is = area(&loops[0]).abs() / 2.0;
        let circle = std::f32::consts::PI * 400.0;
        assert!((is / circle - 1.0).abs() < 0.01, "{is} for {circle}");
        let few = simpler(&loops[0], 0.2);
        assert!(few.len() * 2 < loops[0].len(), "{} of {}", few.len(), loops[0].len());
        assert!((area(&few).abs() / 2.0 / circle - 1.0).abs() < 0.03);
    }

    #[test]
    fn a_field_that_is_full_has_a_line_round_it_and_a_saddle_closes_too() {
        let full = ToneMap { wide: 4, high: 3, values: vec![1.0; 12] };
        let loops = full.loops(0.5);
        assert_eq!(loops.len(), 1);
        assert!((area(&loops[0]).abs() / 2.0 - 11.5).abs() < 0.01, "{}", area(&loops[0]));
        let saddle = ToneMap { wide: 2, high: 2, values: vec![1.0, 0.0, 0.0, 1.0] };
        let sum: f32 = saddle.loops(0.5).iter().map(|line| area(line).abs() / 2.0).sum();
        assert!(sum > 1.0 && sum < 3.5, "{sum}");
    }
}
