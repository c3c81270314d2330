//! Wood that is kept from one setup to the next, as bytes: a line of text, then the heights.

use super::cells::{BoardCells, CELLS_MOST};
use super::timber::Timber;
use glam::DVec2;
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

/// What the bytes begin with; the number is raised when they change.
const BEGINS: &str = "treenwright wood 2";

#[derive(Serialize, Deserialize)]
struct Kept {
    seal: String,
    setup: String,
    cell_mm: f64,
    columns: usize,
    rows: usize,
    first_mm: [f64; 2],
    /// SHA-256 of this head, but for itself, and of the heights: what was changed by hand is no wood.
    sum: String,
}

/// The wood after a setup of the packet with that seal.
pub fn keep(timber: &Timber, seal: &str, setup: &str) -> Vec<u8> {
    let cells = &timber.cells;
    let head = Kept {
        seal: seal.to_owned(),
        setup: setup.to_owned(),
        cell_mm: cells.cell,
        columns: cells.columns,
        rows: cells.rows,
        first_mm: cells.first.to_array(),
        sum: String::new(),
    };
    let values = timber.top.iter().chain(&timber.floor);
    let heights: Vec<u8> = values.flat_map(|value| value.to_le_bytes()).collect();
    let head = Kept { sum: sum(&head, &heights), ..head };
    let mut bytes = format!("{BEGINS}\n{}\n", text(&head)).into_bytes();
    bytes.extend_from_slice(&heights);
    bytes
}

fn text(head: &Kept) -> String {
    // A struct of numbers and texts has no way to fail.
    serde_json::to_string(head).unwrap_or_default()
}

/// What a head without a sum and its heights come to.
fn sum(head: &Kept, heights: &[u8]) -> String {
    let all = Sha256::new().chain_update(text(head)).chain_update(heights).finalize();
    all.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// Why wood can't be begun with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum KeptUnfit {
    /// The file is not one of kept wood, or not whole.
    Broken,
    /// It is of another packet.
    OtherPacket,
    /// It is of another setup of this packet.
    OtherSetup,
}

/// Kept wood read back.
///
/// # Errors
/// When it is not whole, or not of that packet and setup.
pub fn kept(bytes: &[u8], seal: &str, setup: &str) -> Result<Timber, KeptUnfit> {
    let (head, timber) = whole(bytes).ok_or(KeptUnfit::Broken)?;
    match () {
        () if head.seal != seal => Err(KeptUnfit::OtherPacket),
        () if head.setup != setup => Err(KeptUnfit::OtherSetup),
        () => Ok(timber),
    }
}

/// Kept wood with its head, whatever it is of; none when it is not whole.
fn whole(bytes: &[u8]) -> Option<(Kept, Timber)> {
    let rest = bytes.strip_prefix(BEGINS.as_bytes())?.strip_prefix(b"\n")?;
    let end = rest.iter().position(|byte| *byte == b'\n')?;
    let mut head: Kept = serde_json::from_slice(&rest[..end]).ok()?;
    let told = std::mem::take(&mut head.sum);
    if told != sum(&head, &rest[end + 1..]) {
        return None;
    }
    let cells = BoardCells {
        cell: head.cell_mm,
        columns: head.columns,
        rows: head.rows,
        first: DVec2::from(head.first_mm),
    };
    let all = head.columns.checked_mul(head.rows)?;
    let heights = rest[end + 1..].as_chunks::<4>();
    let sound = (0.01..=10.0).contains(&head.cell_mm)
        && all as f64 <= CELLS_MOST
        && heights.1.is_empty()
        && heights.0.len() == 2 * all;
    if !sound || all == 0 {
        return None;
    }
    let values: Vec<f32> = heights.0.iter().map(|bytes| f32::from_le_bytes(*bytes)).collect();
    let (top, floor) = values.split_at(all);
    let finite = values.iter().all(|value| value.is_finite());
    finite.then(|| (head, Timber { cells, top: top.to_vec(), floor: floor.to_vec() }))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn kept_wood_comes_back_and_only_for_its_own_packet() {
        let cells = BoardCells::over(DVec2::ZERO, DVec2::new(7.0, 3.0), 0.5);
        let mut timber = Timber::flat(cells, 31.3, 0.0);
        timber.top[5] = -0.5;
        let bytes = keep(&timber, "abc", "top");
        assert_eq!(kept(&bytes, "abc", "top"), Ok(timber.clone()));
        assert_eq!(kept(&bytes, "abd", "top"), Err(KeptUnfit::OtherPacket));
        assert_eq!(kept(&bytes, "abc", "bottom"), Err(KeptUnfit::OtherSetup));
        assert_eq!(kept(&bytes[..bytes.len() - 1], "abc", "top"), Err(KeptUnfit::Broken));
        assert_eq!(kept(b"", "abc", "top"), Err(KeptUnfit::Broken));
        // Heights or a head that somebody changed.
        for at in [BEGINS.len() + 40, bytes.len() - 2] {
            let mut changed = bytes.clone();
            changed[at] ^= 1;
            assert_eq!(kept(&changed, "abc", "top"), Err(KeptUnfit::Broken));
        }
        for end_for_end in [false, true] {
            let turned = timber.turned(end_for_end, 31.3);
            assert_eq!(turned.turned(end_for_end, 31.3).top.len(), timber.top.len());
            let holes = |t: &Timber| {
                (0..t.top.len()).filter(|i| t.top[*i] <= t.floor[*i]).collect::<Vec<_>>()
            };
            let [hole] = holes(&turned)[..] else { panic!("one hole") };
            let (before, after) = (cells.middle(5), cells.middle(hole));
            let expected = if end_for_end {
                DVec2::new(7.0 - before.x, before.y)
            } else {
                DVec2::new(before.x, 3.0 - before.y)
            };
            assert!(after.distance(expected) < 1e-9);
        }
    }
}
