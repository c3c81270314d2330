//! The files that an inlay names: its art and its plug's board, lent by whoever has a disk.

use super::art::Art;
use crate::finding::{Code, Finding, Findings, Severity, Source};
use crate::params::{Board, Design, InlayFill, parse_board};

/// Art that can't be had.
pub const INLAY_ART: Code = Code {
    name: "inlay-art",
    explain: "The art of an inlay can't be had. Its file is looked for from the folder of the design file. \
        It must be an SVG or a DXF with closed outlines: in SVG, paths and plain shapes that have a \
        filling; in DXF, closed polylines, circles, ellipses, and lines and arcs that join end to end. \
        What lies inside an odd number of outlines is art, so that a hole is a hole whichever way it \
        was drawn. A stroke has no outline of its own: let your drawing program turn strokes and texts \
        into paths. Style sheets, clip paths, masks, splines of DXF and linked copies (`use`) are not \
        read. The art's own size does not matter, since `size` says how large it is cut.",
};

/// A plug's board that can't be had.
pub const INLAY_BOARD: Code = Code {
    name: "inlay-board",
    explain: "The board that a plug is made of can't be had. `board` of the [[inlay]] names a board file, \
        looked for from the folder of the design file; it is a file as `treenwright new board` writes \
        it, with the plug's species, its readings and its moisture. A plug's place, its zero, its \
        hold-downs and what it will shrink or swell by all come from it. Only one of the faults of that \
        file is told here; `treenwright check` with that board tells all of them.",
};

/// What an inlay's files hold.
#[derive(Clone, Debug, PartialEq)]
pub struct Brought {
    /// The art.
    pub art: Art,
    /// The plug's board; none for one that is poured.
    pub board: Option<Board>,
}

/// The files of all inlays of a design. `read` gives the bytes of a file by the name that the design
/// has for it, or says why it can't. Nothing for an inlay whose files can't be had, which is said.
pub fn bring(
    design: &Design,
    read: &dyn Fn(&str) -> Result<Vec<u8>, String>,
    out: &mut Findings,
) -> Vec<Option<Brought>> {
    let each = design.inlay.iter().enumerate().map(|(index, inlay)| {
        let mut fault = |code: Code, key: &str, message: String, help: &str| {
            let key = format!("inlay[{index}].{key}");
            out.push(Finding::fault(code, message, help).at(Source::Design, key));
        };
        let name = &inlay.art;
        let art = match read(name) {
            Err(why) => Err(format!("the art `{name}` can't be read: {why}")),
            Ok(bytes) => Art::read(name, &bytes).map_err(|why| format!("the art `{name}` {why}")),
        };
        let art = art.map_err(|message| {
            let help =
                "Name an SVG or DXF file with closed outlines, as seen from the design's folder.";
            fault(INLAY_ART, "art", message, help);
        });
        let help = "Name a board file, as seen from the design's folder.";
        let board = match (inlay.fill, &inlay.board) {
            (InlayFill::Poured, _) => Ok(None),
            (InlayFill::Plug, None) => {
                fault(INLAY_BOARD, "board", "the plug has no board".to_owned(), help);
                Err(())
            }
            (InlayFill::Plug, Some(name)) => match board(name, read) {
                Ok(board) => Ok(Some(board)),
                Err(why) => {
                    fault(INLAY_BOARD, "board", format!("the plug's board `{name}` {why}"), help);
                    Err(())
                }
            },
        };
        Some(Brought { art: art.ok()?, board: board.ok()? })
    });
    each.collect()
}

fn board(name: &str, read: &dyn Fn(&str) -> Result<Vec<u8>, String>) -> Result<Board, String> {
    let bytes = read(name).map_err(|why| format!("can't be read: {why}"))?;
    let text = String::from_utf8(bytes).map_err(|_| "is not UTF-8 text".to_owned())?;
    let mut said = Findings::new();
    let read = parse_board(&text, &mut said);
    let fault = said.into_iter().find(|found| found.severity == Severity::Fault);
    match (read, fault) {
        (Some((board, _)), None) => Ok(board),
        (_, Some(fault)) => Err(format!("has a fault: {}", fault.message)),
        (None, None) => Err("can't be read as a board".to_owned()),
    }
}
