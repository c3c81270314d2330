//! What was made, as one message: a length, as much JSON, and the pictures' corners behind it.
//!
//! Promised: little-endian; every array begins at a multiple of four from the end of the JSON, which
//! says where.

use super::lines::{flat, lines};
use super::made::{self, Made, Stage};
use crate::export::list::ChecksInfo;
use crate::finding::{Finding, Source};
use crate::fit::Change;
use crate::inlay::Inlaid;
use crate::mesh::Size;
use crate::render::{self, Paint, PictureMesh, Wood};
use crate::units::Length;
use serde_json::{Value, json};

/// The message. `state` is what else the page is told with it.
pub(super) fn frame(made: &Made, good: Option<&Made>, state: Value) -> Vec<u8> {
    let mut bytes = Vec::new();
    let shown = if made.job.is_some() { Some(made) } else { good };
    let pieces: Vec<Value> = shown.map_or_else(Vec::new, |shown| pieces(shown, &mut bytes));
    let made_of = |design: usize| {
        let index = made.only.map_or(Some(design), |only| (only == design).then_some(0))?;
        made.job.as_ref()?.pieces.get(index)
    };
    let lines = made
        .parsed
        .designs()
        .map(|(index, design)| (index.to_string(), json!(lines(design, made_of(index)))));
    let looked = |(name, checks): &(String, _)| {
        let mut checks = json!(ChecksInfo::of(checks));
        checks["name"] = name.as_str().into();
        checks
    };
    let mut head = json!({
        "stage": made.stage.name(),
        "revision": made.revision,
        "only": made.only,
        "stale": made.job.is_none(),
        "mounted": made.job.as_ref().is_some_and(|job| job.mounting.is_some()),
        "findings": made.findings.iter().map(|finding| said(made, finding)).collect::<Vec<_>>(),
        "pieces": pieces,
        "lines": lines.collect::<serde_json::Map<_, _>>(),
        "checks": made.looked.iter().map(looked).collect::<Vec<_>>(),
        "times": made.times.iter().map(|(part, ms)| ((*part).to_owned(), json!(ms))).collect::<serde_json::Map<_, _>>(),
        "state": state,
    })
    .to_string();
    // What is behind it begins at a multiple of four.
    head.push_str(&" ".repeat(head.len().next_multiple_of(4) - head.len()));
    let mut out = (head.len() as u32).to_le_bytes().to_vec();
    out.extend_from_slice(head.as_bytes());
    out.append(&mut bytes);
    out
}

fn pieces(made: &Made, bytes: &mut Vec<u8>) -> Vec<Value> {
    let Some(job) = &made.job else { return Vec::new() };
    let paint = Wood::of(&job.board.species).paint();
    let unit = job.shop.unit;
    let one = |(index, (piece, facets)): (usize, (&crate::job::Piece, &PictureMesh))| {
        let size = |size: &Size| {
            let asked = asked(size, &piece.changes);
            let off = (size.measured - asked).as_mm().abs();
            json!({
                "what": size.what,
                "key": size.key,
                "asked": asked.said(unit),
                "measured": size.measured.said(unit),
                "off": off > 0.005,
            })
        };
        let change =
            |change: &Change| json!([change.key, change.asked, change.fitted, change.limit]);
        json!({
            "file": made.only.unwrap_or(index),
            "coarse": made.stage == Stage::Coarse,
            "name": piece.design.name,
            "kind": piece.design.kind.name(),
            "low": piece.sizes.low.to_array(),
            "high": piece.sizes.high.to_array(),
            "sizes": piece.sizes.list.iter().map(size).collect::<Vec<_>>(),
            "figures": made::figures(job, piece),
            "changes": piece.changes.iter().map(change).collect::<Vec<_>>(),
            "mesh": mesh(facets, bytes),
            "paint": painted(paint),
            "let_in": piece.carved.as_ref().map(|carved| carved.inlays.iter().map(let_in).collect::<Vec<_>>()),
        })
    };
    job.pieces.iter().zip(&made.facets).enumerate().map(one).collect()
}

/// How a wood looks.
fn painted(paint: Paint) -> Value {
    json!({
        "early": paint.early, "late": paint.late, "rings": paint.rings,
        "fibres": paint.fibres, "spacing": paint.spacing,
    })
}

/// What is let into a face: its outlines, of which an even number is none of it, and its wood.
fn let_in(inlay: &Inlaid) -> Value {
    /// Finer than a pixel of the picture.
    const CHORD: Length = Length::mm(0.05);
    let art = inlay.art.iter().map(|path| flat(path, CHORD)).collect::<Vec<_>>();
    json!({ "face": inlay.face.name(), "art": art, "paint": painted(render::wood_let_in(inlay).paint()) })
}

/// What the file asks for: a size that was fitted to the board was made from that.
fn asked(size: &Size, changes: &[Change]) -> Length {
    let of = |change: &&Change| {
        let rest = size.key.strip_prefix(change.key.as_str());
        rest.is_some_and(|rest| rest.is_empty() || rest.starts_with('['))
    };
    match changes.iter().find(of).filter(|change| change.share > -1.0) {
        Some(change) => Length::mm(size.asked.as_mm() / (1.0 + change.share)),
        None => size.asked,
    }
}

/// Puts a picture behind the rest, and says where.
fn mesh(facets: &PictureMesh, bytes: &mut Vec<u8>) -> Value {
    let at = bytes.len();
    bytes.extend(facets.places.iter().flatten().flat_map(|part| part.to_le_bytes()));
    bytes.extend(facets.normals.iter().flatten().flat_map(|part| part.to_le_bytes()));
    bytes.extend(facets.triangles.iter().flatten().flat_map(|part| part.to_le_bytes()));
    json!({ "at": at, "corners": facets.places.len(), "triangles": facets.triangles.len() })
}

/// A finding, with the file and the line that it is about.
fn said(made: &Made, finding: &Finding) -> Value {
    let designs = made.parsed.spans.len().saturating_sub(2);
    let file = finding.place.as_ref().map(|place| match place.source {
        Source::Design => finding.piece.or(made.only).unwrap_or(0),
        Source::Board => designs,
        Source::Shop => designs + 1,
    });
    json!({
        "code": finding.code.name,
        "severity": finding.severity.name(),
        "message": finding.message,
        "help": finding.help,
        "explain": finding.code.explain,
        "accepted": finding.accepted,
        "file": file,
        "line": finding.place.as_ref().zip(file).and_then(|(at, file)| made.parsed.line(file, at)),
        "source": finding.place.as_ref().map(|place| place.source.name()),
        "key": finding.place.as_ref().map(|place| place.key.as_str()),
        "piece": finding.piece,
    })
}
