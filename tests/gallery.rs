//! Whether the gallery is fresh, whole and small.

#[path = "../examples/gallery/pieces.rs"]
mod pieces;

use std::fs;
use std::path::PathBuf;

const COMMAND: &str = "make it anew: cargo run --release --example gallery";

fn gallery() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("gallery")
}

#[test]
fn the_gallery_is_what_the_tool_makes_now() {
    let list = fs::read_to_string(gallery().join(pieces::LIST)).expect(COMMAND);
    let mut now = String::new();
    for (name, bytes) in pieces::all().expect("the shipped designs can be made") {
        now.push_str(&pieces::line(&name, &bytes));
        if name != pieces::SHEET {
            let kept = fs::read(gallery().join(&name)).unwrap_or_default();
            assert!(kept == bytes, "gallery/{name} is stale; {COMMAND}");
        }
    }
    assert!(list == now, "the gallery is stale; {COMMAND}");
}

#[test]
fn the_gallery_is_small() {
    let mut whole = 0;
    for entry in fs::read_dir(gallery()).expect("gallery/ is there") {
        let entry = entry.expect("an entry");
        let bytes = entry.metadata().expect("its size").len();
        assert!(bytes < 160_000, "{} has {bytes} bytes", entry.path().display());
        whole += bytes;
    }
    assert!(whole < 3_000_000, "{whole} bytes in all");
}
