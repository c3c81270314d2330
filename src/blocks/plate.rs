//! Print plates: blocks laid on their near side, in rows, ready to print.

use crate::finding::{Code, Finding, Findings, Source};
use crate::mesh::Mesh;
use glam::{DVec2, DVec3};

/// A block does not fit on the printer's bed.
pub const PLATE_TOO_SMALL: Code = Code {
    name: "plate-too-small",
    explain: "A block to print, lying on its side, is larger than the printer's bed at \
        `printer.plate` in the shop file (180 by 180 mm if it is left out). It is left off the \
        print plates; its own file is in the packet all the same. Print it on the diagonal if that \
        is long enough, make the block shorter, or write the true size of the printer's bed. \
        Blocks are not turned on the plate, and no room is left for a brim.",
};

/// Room between two blocks, and to the plate's edge (common practice, no source).
const APART_MM: f64 = 6.0;

/// No more plates than this (no source).
const PLATES_MOST: usize = 20;

/// One plate.
#[derive(Clone, Debug, PartialEq)]
pub struct Plate {
    /// How many blocks.
    pub count: usize,
    /// All of them, with Z = 0 the printer's bed, X and Y from its corner, in mm.
    pub mesh: Mesh,
}

/// Lays blocks on plates of that size: meshes, each so many times, in their order.
pub fn plates(blocks: &[(&Mesh, usize)], size: DVec2, out: &mut Findings) -> Vec<Plate> {
    let mut plates: Vec<Plate> = Vec::new();
    // Where the next block goes, and how far the row reaches.
    let mut at = DVec2::splat(APART_MM);
    let mut row: f64 = 0.0;
    for (mesh, count) in blocks {
        let laid = laid(mesh);
        let [low, high] = laid.bounds();
        let box_size = (high - low).truncate();
        let fits = box_size.cmple(size).all() && box_size.is_finite();
        if !fits {
            out.push(
                Finding::caution(
                    PLATE_TOO_SMALL,
                    format!(
                        "a block of {:.0} by {:.0} mm is too large for the printer's bed",
                        box_size.x, box_size.y
                    ),
                    "Make it shorter, or write the true size of the printer's bed.",
                )
                .at(Source::Shop, "printer.plate"),
            );
            continue;
        }
        for _ in 0..*count {
            let room = size - box_size;
            // The first block of a row and the first row of a plate always fit.
            if at.x > room.x && at.x > APART_MM {
                at = DVec2::new(APART_MM, at.y + row + APART_MM);
                row = 0.0;
            }
            let full = at.y > room.y && at.y > APART_MM;
            if plates.is_empty() || full {
                if plates.len() >= PLATES_MOST {
                    return plates;
                }
                plates.push(Plate { count: 0, mesh: Mesh::default() });
                (at, row) = (DVec2::splat(APART_MM), 0.0);
            }
            // A block as large as the plate lies without its edge of room.
            let place = at.min(room);
            if let Some(plate) = plates.last_mut() {
                put(&mut plate.mesh, &laid, place.extend(0.0) - low);
                plate.count += 1;
            }
            at.x += box_size.x + APART_MM;
            row = row.max(box_size.y);
        }
    }
    plates
}

/// A block on its near side: its far side looks up, with its mark to be read from the front.
fn laid(mesh: &Mesh) -> Mesh {
    Mesh {
        points: mesh.points.iter().map(|p| DVec3::new(-p.x, p.z, p.y)).collect(),
        triangles: mesh.triangles.clone(),
    }
}

fn put(onto: &mut Mesh, mesh: &Mesh, by: DVec3) {
    let first = onto.points.len() as u32;
    onto.points.extend(mesh.points.iter().map(|p| *p + by));
    onto.triangles.extend(mesh.triangles.iter().map(|t| t.map(|corner| corner + first)));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::blocks::hold_down::{hold_down, tests::shop};
    use crate::finding::heard;
    use crate::mesh::audit;
    use crate::params::HoldForm;
    use crate::units::Length;

    #[test]
    fn four_blocks_lie_apart_on_one_plate_and_more_go_on_the_next() {
        let model = hold_down(&shop(0.2), Length::mm(30.0), HoldForm::Stepped).expect("it fits");
        let mesh = &model.block.expect("built").mesh;
        let (found, said) = heard(|out| plates(&[(mesh, 4)], DVec2::splat(180.0), out));
        assert!(said.is_empty());
        assert_eq!(found.iter().map(|p| p.count).collect::<Vec<_>>(), [4]);
        let whole = audit(&found[0].mesh);
        assert!(whole.closed && whole.pieces == 4 && whole.crossing == 0);
        assert!((whole.volume_mm3 - 4.0 * audit(mesh).volume_mm3).abs() < 1e-6);
        let [low, high] = found[0].mesh.bounds();
        assert!(low.z.abs() < 1e-9 && (high.z - 24.0).abs() < 1e-9, "on its side");
        assert!(
            low.truncate().cmpge(DVec2::ZERO).all()
                && high.truncate().cmple(DVec2::splat(180.0)).all()
        );
        // Seen from above, no two overlap: the boxes of each block's points.
        let each = mesh.points.len();
        let boxes: Vec<[DVec2; 2]> = found[0]
            .mesh
            .points
            .chunks(each)
            .map(|own| {
                let flat = own.iter().map(|p| p.truncate());
                [
                    flat.clone().fold(DVec2::splat(1e9), DVec2::min),
                    flat.fold(DVec2::ZERO, DVec2::max),
                ]
            })
            .collect();
        for (i, a) in boxes.iter().enumerate() {
            for b in &boxes[..i] {
                assert!((a[0] - b[1]).max(b[0] - a[1]).max_element() >= 5.9);
            }
        }
        let (found, _) = heard(|out| plates(&[(mesh, 40)], DVec2::splat(180.0), out));
        assert!(found.len() > 1);
        assert_eq!(found.iter().map(|p| p.count).sum::<usize>(), 40);
    }

    #[test]
    fn a_block_longer_than_the_plate_is_told() {
        let model = hold_down(&shop(0.2), Length::mm(30.0), HoldForm::Stepped).expect("it fits");
        let mesh = &model.block.expect("built").mesh;
        let (found, said) = heard(|out| plates(&[(mesh, 1)], DVec2::splat(30.0), out));
        assert!(found.is_empty());
        assert_eq!(said.iter().map(|f| f.code).collect::<Vec<_>>(), [PLATE_TOO_SMALL]);
    }
}
