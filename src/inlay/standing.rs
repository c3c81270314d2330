//! What is left standing of the handle's wood in and between the art: islands and thin walls.

use super::bed_of_art::BedOfArt;
use super::codes::{INLAY_ISLAND, INLAY_WALL};
use super::one::OneInlay;
use crate::finding::{Finding, Findings};
use crate::outline::{ArcPath, offset::offset};
use crate::units::{Length, plain};
use glam::DVec2;

/// Wood between two parts of the art that is thinner at the face crumbles as the vee goes along it (no
/// source).
const THIN: Length = Length::mm(0.25);
/// The length of such walls that is told, in mm: where parts of the art meet at a point every wall ends thin
/// (no source).
const LONG_MM: f64 = 3.0;
/// Whether there is art behind a wall is tried so often across it.
const TRIES: u32 = 3;

/// Looks at both.
pub(super) fn look(one: &OneInlay<'_>, bed: &BedOfArt<'_>, out: &mut Findings) {
    islands(one, bed, out);
    walls(one, bed, out);
}

/// Whether an island of the handle's own wood is stout enough to stand.
fn islands(one: &OneInlay<'_>, bed: &BedOfArt<'_>, out: &mut Findings) {
    let paths = bed.loops.iter().map(|ring| ArcPath::polygon(ring.iter().copied()));
    // What is art lies on the left, so that an island's outline runs clockwise.
    let islands = paths.filter(|path| path.signed_area() < 0.0);
    let depth = one.inlay.depth;
    let thin = islands.filter_map(|path| {
        let stands = !offset(&path, -depth.half()).is_empty();
        (!stands).then(|| path.vertices.first().map(|vertex| vertex.point))?
    });
    let thin: Vec<DVec2> = thin.collect();
    if let Some(p) = thin.first() {
        let many = if thin.len() == 1 { "an island" } else { "islands" };
        let message =
            format!("in the art {many} of the handle's wood would be less than {depth} wide");
        let help = "Draw it larger, leave it out, or make `depth` less.";
        let finding = Finding::caution(INLAY_ISLAND, message, help);
        out.push(one.about(finding, one.inlay.shown_by()).on(one.in_plan(*p), None));
    }
}

/// Whether the wood between two parts of the art is thick enough to stand.
fn walls(one: &OneInlay<'_>, bed: &BedOfArt<'_>, out: &mut Findings) {
    let shore = &bed.shore;
    let thin = |at: usize| {
        let (a, b) = (shore.points[at], shore.points[shore.next[at] as usize]);
        let middle = 0.5 * (a + b);
        // Away from the art, which lies on the left.
        let away = (b - a).normalize_or_zero() * THIN.as_mm() / f64::from(TRIES);
        let away = DVec2::new(away.y, -away.x);
        let meets = (1..=TRIES).any(|k| bed.is_art(middle + away * f64::from(k)));
        meets.then(|| (a.distance(b), middle))
    };
    let thin: Vec<(f64, DVec2)> = (0..shore.points.len()).filter_map(thin).collect();
    // A wall has two sides.
    let long = 0.5 * thin.iter().map(|(long, _)| long).sum::<f64>();
    if let (true, Some((_, p))) = (long > LONG_MM, thin.get(thin.len() / 2)) {
        let message = format!(
            "along {} mm of the art the handle's wood between two parts of it is thinner than {THIN}",
            plain(long, 0)
        );
        let help = "Move the parts further apart or let them run together, or make the art larger.";
        let finding = Finding::caution(INLAY_WALL, message, help);
        out.push(one.about(finding, one.inlay.shown_by()).on(one.in_plan(*p), None));
    }
}
