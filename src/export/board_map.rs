//! A drawing of a board with everything on it, for paper: board, flaws, pieces with their skirts,
//! grain, places of the pieces, offcut. Black lines that differ by width and dashes.

use super::dxf::Layer;
use super::svg;
use crate::fit::Placement;
use crate::fit::layout::{Layout, Piece};
use crate::outline::ArcPath;
use crate::params::{Board, FlawShape};
use crate::units::{Length, Unit, plain};
use glam::DVec2;

/// A piece on the board.
#[derive(Clone, Debug)]
pub struct Laid {
    /// Its name, written into it.
    pub name: String,
    /// What it is.
    pub piece: Piece,
    /// Where it lies.
    pub place: Placement,
}

/// The drawing, at true size, as SVG.
pub fn picture(board: &Board, pieces: &[Laid], layout: &Layout, title: &str) -> String {
    /// Letters, in mm: legible at half size.
    const LETTERS: Length = Length::mm(5.0);
    /// Room round the board, in mm.
    const ROOM: f64 = 14.0;
    let size = DVec2::new(board.length.as_mm(), board.width.as_mm());
    let closed = |corners: &[DVec2]| ArcPath::polygon(corners.iter().copied());
    let open = |corners: &[DVec2]| ArcPath { closed: false, ..closed(corners) };
    let edge = closed(&[DVec2::ZERO, DVec2::new(size.x, 0.0), size, DVec2::new(0.0, size.y)]);
    let (mut flaws, mut circles, mut words) = (Vec::new(), Vec::new(), Vec::new());
    for flaw in &board.flaws {
        let (shape, at) = match &flaw.shape {
            FlawShape::Circle { centre, radius } => {
                circles.push((*centre, *radius));
                (None, *centre)
            }
            FlawShape::Polygon(corners) => (Some(closed(corners)), corners[0]),
            FlawShape::Line(points) => (Some(open(points)), points[0]),
        };
        flaws.extend(shape);
        words.push((at + DVec2::splat(1.0), flaw.kind.name().to_owned(), Length::mm(3.5)));
    }
    // The grain as short strokes, away from the pieces' names.
    let way = DVec2::from_angle(board.grain.as_radians());
    let strokes = (1..=3).map(|i| {
        let middle = DVec2::new(size.x * 0.5, size.y * 0.25 * f64::from(i));
        open(&[middle - 20.0 * way, middle + 20.0 * way])
    });
    let on_board = |laid: &Laid, path: &ArcPath| path.transformed(laid.place.affine());
    for (number, laid) in (1..).zip(pieces) {
        let (low, high) = laid.piece.sound.bounds().unwrap_or_default();
        let middle = 0.5 * (low + high);
        words.push((laid.place.on_board(middle), format!("{number}. {}", laid.name), LETTERS));
    }
    words.push((DVec2::new(0.0, size.y + 5.0), title.to_owned(), LETTERS));
    let scale = format!(
        "{} by {} mm, grain {} deg",
        plain(size.x, 1),
        plain(size.y, 1),
        plain(board.grain.as_degrees(), 1)
    );
    words.push((DVec2::new(0.0, -9.0), scale, LETTERS));
    let offcut: Vec<ArcPath> = layout
        .offcuts
        .iter()
        .map(|[low, high]| {
            closed(&[*low, DVec2::new(high.x, low.y), *high, DVec2::new(low.x, high.y)])
        })
        .collect();
    let origins =
        pieces.iter().map(|laid| (laid.place.origin, Length::mm(1.5))).collect::<Vec<_>>();
    let edges = [edge];
    let bodies: Vec<ArcPath> = pieces.iter().map(|p| on_board(p, &p.piece.sound)).collect();
    let skirts: Vec<ArcPath> = pieces.iter().map(|p| on_board(p, &p.piece.whole)).collect();
    let strokes: Vec<ArcPath> = strokes.collect();
    let layer = |name, paths| Layer { name, paths, ..Layer::default() };
    let layers = [
        layer("board", &edges[..]),
        Layer { circles, ..layer("flaws", &flaws[..]) },
        layer("outline", &bodies[..]),
        layer("limit", &skirts[..]),
        layer("grain", &strokes[..]),
        layer("offcut", &offcut[..]),
        Layer { circles: origins, texts: words, ..layer("places", &[]) },
    ];
    let room = DVec2::splat(ROOM);
    svg::drawing(&layers, Unit::Millimetre, (-room, size + room))
}
