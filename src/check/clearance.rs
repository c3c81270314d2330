//! Does the holder stay off the stock, the hold-downs and the piece itself?
//!
//! Promised: the holder as a cone over the cutter's stick-out, at every place of every pass of both
//! setups, against the frame, the hold-downs (with their bolts' heads) and the carved surface, on cells of
//! 1 mm; a cell counts as near as its nearest corner, and the tip as low as the surface under its
//! axis, so that the room is never said to be more than it is.
//! Not promised: anything about dust shoes, the spindle's body above the holder, or other
//! pieces' carved skirts, which count as frame.

use super::notes::Notes;
use super::reach::Cut;
use super::{Context, HOLDER_HITS};
use crate::finding::{Finding, Source};
use crate::outline::{ArcPath, offset::offset};
use crate::params::{Cutter, Holder};
use crate::relief::{Face, SKIRT_FLOOR};
use crate::units::{Length, plain};
use crate::workholding::Limit;
use glam::DVec2;
use rayon::prelude::*;

/// What stands round a piece when it is carved.
pub struct Around<'a> {
    /// How far its passes go, in the design frame.
    pub limit: &'a Limit,
    /// From the design frame to the board's.
    pub on_board: &'a (dyn Fn(DVec2) -> DVec2 + Sync),
    /// What the hold-downs cover of the board's plan in each setup, counter-clockwise, each block
    /// and each bolt's head with the height of its top over the bed.
    pub hold_downs: [Vec<([DVec2; 4], Length)>; 2],
}

/// Distance of the cells, in mm.
const CELL: f64 = 1.0;
/// Nothing stands there.
const NOTHING: f64 = f64::NEG_INFINITY;

/// What the holder could meet.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Meets {
    Frame,
    HoldDown,
    Piece,
}

impl Meets {
    const fn words(self) -> &'static str {
        match self {
            Meets::Frame => "the frame",
            Meets::HoldDown => "a hold-down",
            Meets::Piece => "the piece",
        }
    }
}

/// The nearest that a holder comes.
struct Near {
    room: f64,
    at: DVec2,
    meets: Meets,
    face: Face,
    cutter: usize,
}

/// A setup as heights on cells, the higher, the nearer to the spindle.
struct Ground {
    origin: DVec2,
    columns: usize,
    stands: Vec<(f64, Meets)>,
    /// The tip at its lowest, where a pass may go with a cutter as thick as nothing.
    tips: Vec<f64>,
}

pub(super) fn look(at: &Context<'_>, around: &Around<'_>, notes: &mut Notes) -> Option<String> {
    if at.stock.spare < Length::ZERO {
        return None;
    }
    let work = &at.shop.work;
    let mut jobs: Vec<(&str, &String, Vec<ArcPath>)> = Vec::new();
    let cutter = |name: &String| at.shop.cutter(name);
    if let Some(rough) = cutter(&work.rough) {
        jobs.push(("rough", &work.rough, offset(&around.limit.area, -rough.diameter.half())));
    }
    jobs.push(("finish", &work.finish, vec![around.limit.centre.clone()]));
    let mut passes: Vec<(Face, &Cutter, Vec<ArcPath>, bool)> = Vec::new();
    for face in Face::BOTH {
        for (_, name, centre) in &jobs {
            passes.extend(cutter(name).map(|cutter| (face, cutter, centre.clone(), false)));
        }
    }
    if let Some(slots) = cutter(&work.slots).filter(|_| !at.slots.is_empty()) {
        passes.push((Face::Bottom, slots, at.slots.to_vec(), true));
    }
    let widest = passes.iter().map(|pass| holder(at, pass.1).diameter.as_mm()).fold(0.0, f64::max);
    let grounds: Vec<Ground> =
        Face::BOTH.into_par_iter().map(|face| ground(at, around, face, widest)).collect();
    let near: Vec<Near> = passes
        .into_par_iter()
        .with_max_len(1)
        .filter_map(|(face, cutter, centre, through)| {
            let ground = &grounds[usize::from(face == Face::Bottom)];
            nearest(at, ground, face, cutter, &centre, through)
        })
        .collect();
    let limit = at.shop.limits.check.holder;
    let mut says = Vec::new();
    for (index, cutter) in at.shop.cutters.iter().enumerate() {
        let own = near.iter().filter(|near| near.cutter == index);
        let Some(least) = own.min_by(|a, b| a.room.total_cmp(&b.room)) else { continue };
        let Near { room, at: place, meets, face, .. } = least;
        notes.figure(format!("holder_room_least_{}_mm", key(&cutter.name)), *room);
        says.push(format!("{}: {} mm off {}", cutter.name, plain(*room, 1), meets.words()));
        if *room < limit.as_mm() {
            notes.say(
                Finding::fault(
                    HOLDER_HITS,
                    format!(
                        "the holder of \"{}\" comes {} {} at {} mm from the handle's end, {} mm \
                         beside the middle, with the {} up; the shop wants {limit} of room",
                        cutter.name,
                        match *room {
                            room if room < 0.0 => format!("{} mm into", plain(-room, 2)),
                            room => format!("within {} mm of", plain(room, 2)),
                        },
                        meets.words(),
                        plain(place.x, 0),
                        plain(place.y, 0),
                        face.name()
                    ),
                    format!(
                        "Let it stick out {} mm further, take a slimmer holder, or {}.",
                        plain((limit.as_mm() - room).max(0.0), 1),
                        match meets {
                            Meets::HoldDown => "move the hold-downs away",
                            _ => "plane the board thinner",
                        }
                    ),
                )
                .on(*place, Some(face.name()))
                .at(Source::Shop, format!("cutter[{index}].stick_out")),
            );
        }
    }
    (!says.is_empty()).then(|| says.join("; "))
}

/// A name in a figure's name.
fn key(name: &str) -> String {
    let plain = |c: char| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { '_' };
    name.chars().map(plain).collect()
}

fn holder(at: &Context<'_>, cutter: &Cutter) -> Holder {
    cutter.holder.unwrap_or(at.shop.bed.holder)
}

/// Height as it lies in a setup.
fn up(face: Face, z: f64) -> f64 {
    match face {
        Face::Top => z,
        Face::Bottom => -z,
    }
}

fn ground(at: &Context<'_>, around: &Around<'_>, face: Face, widest: f64) -> Ground {
    let (low, high) = around.limit.area.bounds().unwrap_or_default();
    let room = 0.5 * widest + 2.0 * CELL;
    let origin = low - room;
    let size = ((high + room - origin) / CELL).ceil();
    let (columns, rows) = (size.x.max(1.0) as usize, size.y.max(1.0) as usize);
    let stock = at.stock;
    let (top, under) = match face {
        Face::Top => (stock.top.as_mm(), stock.bottom.as_mm()),
        Face::Bottom => (-stock.bottom.as_mm(), -stock.top.as_mm()),
    };
    let board = DVec2::new(at.board.length.as_mm(), at.board.width.as_mm());
    let carved = around.limit.area.inside();
    let held = |p: DVec2| {
        // A cell counts when its middle is on one. Where hold-downs may stand is decided on their
        // exact edges; here they would only seem nearer than they are.
        let on = |plan: &[DVec2; 4]| {
            (0..4).all(|i| {
                let (a, b) = (plan[i], plan[(i + 1) % 4]);
                (b - a).perp_dot(p - a) >= 0.0
            })
        };
        let places = around.hold_downs[usize::from(face == Face::Bottom)].iter();
        let tops = places.filter(|(plan, _)| on(plan)).map(|(_, top)| under + top.as_mm());
        tops.reduce(f64::max)
    };
    let down = (at.shop.limits.overlap + finish_radius(at)).as_mm();
    let length = at.body.length().as_mm();
    // By columns, since much of the body's formula is the same all across it.
    let lines: Vec<Vec<((f64, Meets), f64)>> = (0..columns)
        .into_par_iter()
        .with_min_len(16)
        .map(|column| {
            let along = origin.x + CELL * column as f64;
            let own = at.body.across(Length::mm(along));
            let cut = Cut::of(at.body, face, along);
            // Beyond the ends the nearest place of the rim lies at them.
            let x = along.clamp(1e-6, length - 1e-6);
            let [right, left] = at.body.across(Length::mm(x));
            let rim_cuts = (at.body.cut_top(x), at.body.cut_bottom(x));
            let cell = |row: usize| {
                let p = DVec2::new(along, origin.y + CELL * row as f64);
                if p.y >= own[0] && p.y <= own[1] {
                    let z = cut.height(p.y);
                    return ((z, Meets::Piece), z);
                }
                // In the skirt, as deep as the relief model goes beside the nearest place of the rim.
                let y = p.y.clamp(right.min(left), left.max(right));
                let parting = 0.5 * (rim_cuts.0.height(y) + rim_cuts.1.height(y));
                let floor = (up(face, parting) - down).max(under + SKIRT_FLOOR.as_mm());
                let on = (around.on_board)(p);
                let stands = if carved(p) {
                    (NOTHING, Meets::Piece)
                } else if let Some(over) = held(on) {
                    (over, Meets::HoldDown)
                } else if on.cmpge(DVec2::ZERO).all() && on.cmple(board).all() {
                    (top, Meets::Frame)
                } else {
                    (NOTHING, Meets::Frame)
                };
                (stands, floor)
            };
            (0..rows).map(cell).collect()
        })
        .collect();
    let cells = (0..rows).flat_map(|row| lines.iter().map(move |line| line[row]));
    let (stands, tips) = cells.unzip();
    Ground { origin, columns, stands, tips }
}

fn finish_radius(at: &Context<'_>) -> Length {
    let finish = at.shop.cutter(&at.shop.work.finish);
    finish.map_or(Length::ZERO, |cutter| cutter.diameter.half())
}

/// The least room under a holder, wherever the cutter's centre may go.
fn nearest(
    at: &Context<'_>,
    ground: &Ground,
    face: Face,
    cutter: &Cutter,
    centre: &[ArcPath],
    through: bool,
) -> Option<Near> {
    let index = at.shop.cutters.iter().position(|other| other.name == cutter.name)?;
    let Holder { diameter, nose, length } = holder(at, cutter);
    let (outer, nose, length) = (diameter.half().as_mm(), nose.half().as_mm(), length.as_mm());
    let inside: Vec<_> = centre.iter().map(ArcPath::inside).collect();
    let place = |index: usize| {
        let (column, row) = (index % ground.columns, index / ground.columns);
        ground.origin + CELL * DVec2::new(column as f64, row as f64)
    };
    // Under the body's far side, and half a millimetre into the bed's board.
    let far = ground.tips.iter().copied().fold(f64::INFINITY, f64::min) - 0.5;
    let mut tips: Vec<(f64, usize)> = (0..ground.tips.len())
        .filter(|index| inside.iter().any(|inside| inside(place(*index))))
        .map(|index| (if through { far } else { ground.tips[index] }, index))
        .collect();
    tips.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    // What a ring of the holder adds to its nose's height; its nearest corner counts.
    let reach = (outer / CELL).ceil() as isize + 1;
    let mut rings: Vec<(f64, isize, isize)> = Vec::new();
    for dy in -reach..=reach {
        for dx in -reach..=reach {
            let away = ((dx * dx + dy * dy) as f64).sqrt() * CELL - CELL * 0.5_f64.sqrt();
            if away <= outer {
                let up = match outer - nose {
                    wide if wide > 1e-9 => ((away - nose) / wide).max(0.0) * length,
                    _ => 0.0,
                };
                rings.push((up, dx, dy));
            }
        }
    }
    rings.sort_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
    let highest = ground.stands.iter().map(|(z, _)| *z).fold(NOTHING, f64::max);
    let stick_out = cutter.stick_out.as_mm();
    let mut best: Option<Near> = None;
    let rows = (ground.stands.len() / ground.columns) as isize;
    for (tip, cell) in tips {
        let least = best.as_ref().map_or(f64::INFINITY, |near| near.room);
        // Sorted: all that follow are higher.
        if tip + stick_out - highest >= least {
            break;
        }
        let (column, row) = ((cell % ground.columns) as isize, (cell / ground.columns) as isize);
        for (up, dx, dy) in &rings {
            let least = best.as_ref().map_or(f64::INFINITY, |near| near.room);
            if tip + stick_out + up - highest >= least {
                break;
            }
            let (x, y) = (column + dx, row + dy);
            if x < 0 || y < 0 || x >= ground.columns as isize || y >= rows {
                continue;
            }
            let (stands, meets) = ground.stands[y as usize * ground.columns + x as usize];
            let room = tip + stick_out + up - stands;
            if room < least {
                best = Some(Near { room, at: place(cell), meets, face, cutter: index });
            }
        }
    }
    best
}
