//! The templates on pages: the plan tiled with overlaps and marks to join it by, the gauges in
//! rows, a scale bar on each.

use super::gauges;
use super::plan::{DrawnGroup, extent, open, plan};
use crate::drawing::words::{self, fill};
use crate::job::{Mounted, Piece};
use crate::units::{Length, MM_PER_INCH, Unit};
use glam::DVec2;

/// What most printers can't print, at each edge, in mm (common practice, no source).
const MARGIN: f64 = 10.0;

/// Paper kept below the drawing for the scale bar and the page's words, in mm.
const FOOT: f64 = 26.0;

/// How much two neighbouring pages show alike, in mm.
const OVERLAP: f64 = 15.0;

/// Half of a joining mark's arms, in mm.
const MARK: f64 = 4.0;

/// Height of the letters.
const LETTERS: Length = Length::mm(3.2);

/// A page, its origin in the lower left corner, in mm.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Page {
    /// Of the paper.
    pub(super) size: DVec2,
    /// What is drawn only inside `window`.
    pub(super) tile: Vec<DrawnGroup>,
    /// Least and greatest corner of the window.
    pub(super) window: (DVec2, DVec2),
    /// What is drawn round it.
    pub(super) frame: Vec<DrawnGroup>,
}

/// All pages.
pub(super) fn of(at: &Mounted<'_>) -> Vec<Page> {
    let [short, long] = at.job.shop.paper.size().map(Length::as_mm);
    let parts = plan(at);
    // Pins far from a piece, as on a board with several, are no reason for pages with nothing else.
    let near: Vec<DrawnGroup> = parts.iter().filter(|part| part.name != "pins").cloned().collect();
    let neck = at.piece.body.neck_x().as_mm();
    let choices = [&parts, &near].into_iter().flat_map(|shown| {
        let (low, high) = extent(shown);
        let (low, high) = (low - 2.0, high + 2.0);
        let ways = [DVec2::new(long, short), DVec2::new(short, long)];
        ways.map(|paper| (Tiles::of(paper, high - low), low))
    });
    // The handle whole where a page holds it, then the fewest pages; the long side level and the pins
    // shown if it makes no difference.
    let cut = |(tiles, low): &(Tiles, DVec2)| neck - low.x > tiles.window.x;
    let Some((tiles, low)) = choices.min_by_key(|one| (cut(one), one.0.count())) else {
        return Vec::new();
    };
    let parts = tiles.shown(parts, low);
    let mut pages = tiles.pages(&parts, low);
    pages.extend(gauge_pages((at.piece, at.job.shop.unit), DVec2::new(short, long)));
    let count = pages.len().to_string();
    for (i, page) in (1..).zip(&mut pages) {
        let values = [
            ("design", at.piece.design.name.as_str()),
            ("page", &i.to_string()),
            ("pages", &count),
        ];
        let title = fill(words::TEMPLATE_PAGE, &values);
        let at = DVec2::new(MARGIN + 2.0, MARGIN + 2.0);
        let mut said = DrawnGroup::new("words", Vec::new());
        said.texts.push((at, title, LETTERS));
        let bar = DVec2::new(MARGIN + 2.0, MARGIN + 12.5);
        let beside = bar + DVec2::X * 107.0;
        said.texts.push((beside + DVec2::Y * 2.5, words::TEMPLATE_BAR.to_owned(), LETTERS));
        let gauges = page.tile.iter().all(|part| part.name == "gauges");
        let legend = if gauges { words::TEMPLATE_GAUGES } else { words::TEMPLATE_LINES };
        said.texts.push((beside - DVec2::Y * 2.5, legend.to_owned(), LETTERS));
        page.frame.push(said);
        page.frame.push(scale_bar(bar));
    }
    pages
}

/// How the plan is cut into tiles.
struct Tiles {
    paper: DVec2,
    /// Of a window.
    window: DVec2,
    columns: u32,
    rows: u32,
}

impl Tiles {
    fn of(paper: DVec2, size: DVec2) -> Tiles {
        let window = paper - DVec2::new(2.0 * MARGIN, 2.0 * MARGIN + FOOT);
        // No utensil that can be asked for needs more than a few.
        let count = |size: f64, window: f64| {
            (((size - OVERLAP) / (window - OVERLAP)).ceil()).clamp(1.0, 50.0) as u32
        };
        Tiles { paper, window, columns: count(size.x, window.x), rows: count(size.y, window.y) }
    }

    fn count(&self) -> u32 {
        self.columns * self.rows
    }

    /// The parts with those pins alone that are on the pages whole.
    fn shown(&self, parts: Vec<DrawnGroup>, low: DVec2) -> Vec<DrawnGroup> {
        let high = self.corner(low, self.columns - 1, self.rows - 1) + self.window;
        let on = |part: &DrawnGroup| {
            let (least, most) = extent(std::slice::from_ref(part));
            least.cmpge(low).all() && most.cmple(high).all()
        };
        parts.into_iter().filter(|part| part.name != "pins" || on(part)).collect()
    }

    /// Lower left corner of a tile in the plan.
    fn corner(&self, low: DVec2, column: u32, row: u32) -> DVec2 {
        let step = self.window - OVERLAP;
        low + step * DVec2::new(f64::from(column), f64::from(row))
    }

    fn pages(&self, parts: &[DrawnGroup], low: DVec2) -> Vec<Page> {
        let marks = self.marks(low);
        let origin = DVec2::new(MARGIN, MARGIN + FOOT);
        let mut pages = Vec::new();
        for row in (0..self.rows).rev() {
            for column in 0..self.columns {
                let by = origin - self.corner(low, column, row);
                let mut tile: Vec<DrawnGroup> = parts.iter().map(|part| part.moved(by)).collect();
                tile.push(marks.moved(by));
                let window = (origin, origin + self.window);
                pages.push(Page {
                    size: self.paper,
                    tile,
                    window,
                    frame: vec![self.edges(origin, column, row)],
                });
            }
        }
        pages
    }

    /// Where a neighbour's page begins: lines across the shared strip's edge.
    fn edges(&self, origin: DVec2, column: u32, row: u32) -> DrawnGroup {
        let (low, high) = (origin, origin + self.window);
        let mut lines = Vec::new();
        if column > 0 {
            lines.push(open([low + DVec2::X * OVERLAP, DVec2::new(low.x + OVERLAP, high.y)]));
        }
        if column + 1 < self.columns {
            lines.push(open([DVec2::new(high.x - OVERLAP, low.y), high - DVec2::X * OVERLAP]));
        }
        if row > 0 {
            lines.push(open([low + DVec2::Y * OVERLAP, DVec2::new(high.x, low.y + OVERLAP)]));
        }
        if row + 1 < self.rows {
            lines.push(open([DVec2::new(low.x, high.y - OVERLAP), high - DVec2::Y * OVERLAP]));
        }
        DrawnGroup::new("overlap", lines)
    }

    /// Crosses in the shared strips, at the same places of the plan on both pages.
    fn marks(&self, low: DVec2) -> DrawnGroup {
        let mut part = DrawnGroup::new("marks", Vec::new());
        let mut mark = |at: DVec2, letter: String| {
            part.paths.push(open([at - DVec2::X * MARK, at + DVec2::X * MARK]));
            part.paths.push(open([at - DVec2::Y * MARK, at + DVec2::Y * MARK]));
            part.texts.push((at + DVec2::new(1.0, 1.0), letter, LETTERS));
        };
        let inset = MARK + 6.0;
        for row in 0..self.rows {
            for column in 1..self.columns {
                let corner = self.corner(low, column, row);
                let x = corner.x + OVERLAP / 2.0;
                mark(DVec2::new(x, corner.y + inset + OVERLAP), format!("{column}a"));
                mark(
                    DVec2::new(x, corner.y + self.window.y - inset - OVERLAP),
                    format!("{column}b"),
                );
            }
        }
        for row in 1..self.rows {
            for column in 0..self.columns {
                let corner = self.corner(low, column, row);
                let y = corner.y + OVERLAP / 2.0;
                mark(DVec2::new(corner.x + inset + OVERLAP, y), format!("{row}c"));
                mark(DVec2::new(corner.x + self.window.x - inset - OVERLAP, y), format!("{row}d"));
            }
        }
        part
    }
}

/// The gauges in rows, on as many pages as they take.
fn gauge_pages((piece, unit): (&Piece, Unit), paper: DVec2) -> Vec<Page> {
    const BETWEEN: f64 = 5.0;
    let origin = DVec2::new(MARGIN, MARGIN + FOOT);
    let room = paper - DVec2::new(2.0 * MARGIN, 2.0 * MARGIN + FOOT);
    let fresh = || Page {
        size: paper,
        tile: Vec::new(),
        window: (origin, origin + room),
        frame: Vec::new(),
    };
    let mut pages = Vec::new();
    let mut page = fresh();
    // The upper left corner of the next gauge, and how high the row is.
    let mut at = DVec2::new(origin.x, origin.y + room.y);
    let mut row = 0.0_f64;
    for gauge in gauges::of(piece, unit) {
        let (low, high) = extent(std::slice::from_ref(&gauge));
        let size = high - low;
        if at.x > origin.x && at.x + size.x > origin.x + room.x {
            at = DVec2::new(origin.x, at.y - row - BETWEEN);
            row = 0.0;
        }
        if at.y - size.y < origin.y && !page.tile.is_empty() {
            pages.push(std::mem::replace(&mut page, fresh()));
            at = DVec2::new(origin.x, origin.y + room.y);
            row = 0.0;
        }
        page.tile.push(gauge.moved(at - DVec2::Y * size.y - low));
        at.x += size.x + BETWEEN;
        row = row.max(size.y);
    }
    pages.push(page);
    pages
}

/// A bar of 100 mm with a tick each 10 mm above it, and of 4 in with a tick each half inch below.
pub(super) fn scale_bar(at: DVec2) -> DrawnGroup {
    let tick = |x: f64, up: f64| open([at + DVec2::new(x, 0.0), at + DVec2::new(x, up)]);
    let mut paths = vec![open([at, at + DVec2::X * 4.0 * MM_PER_INCH])];
    for i in 0..=10_u32 {
        let tall = if i % 5 == 0 { 3.0 } else { 1.8 };
        paths.push(tick(10.0 * f64::from(i), tall));
    }
    for i in 0..=8_u32 {
        let tall = if i % 2 == 0 { -2.2 } else { -1.2 };
        paths.push(tick(MM_PER_INCH / 2.0 * f64::from(i), tall));
    }
    let mut part = DrawnGroup::new("scale-bar", paths);
    let small = Length::mm(2.6);
    part.texts.push((at + DVec2::new(1.0, 3.4), words::BAR_ZERO.to_owned(), small));
    part.texts.push((at + DVec2::new(88.0, 3.4), words::BAR_MM.to_owned(), small));
    part.texts.push((at + DVec2::new(93.0, -4.4), words::BAR_IN.to_owned(), small));
    part
}
