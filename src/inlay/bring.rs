//! The files that an inlay names: its art and its plug's board, lent by whoever has a disk.

use super::art::Art;
use super::trouble::LettersTrouble;
use crate::finding::{Code, Finding, Findings, Severity, Source};
use crate::params::{Board, Design, Inlay, InlayFill, parse_board};

/// Art that can't be had.
pub const INLAY_ART: Code = Code {
    name: "inlay-art",
    explain: "The art of an inlay can't be had. Its file is looked for from the folder of the design file. \
        It must be an SVG or a DXF with closed outlines: in SVG, paths and plain shapes that have a \
        filling; in DXF, closed polylines, circles, ellipses, and lines and arcs that join end to end. \
        What lies inside an odd number of outlines is art, so that a hole is a hole whichever way it \
        was drawn. A stroke has no outline of its own: let your drawing program turn strokes and texts \
        into paths, or write letters with `text` and `font` instead. Style sheets, clip paths, masks, splines of DXF and linked copies (`use`) are not \
        read. The art's own size does not matter, since `size` says how large it is cut.",
};

/// Parts of art that are not cut.
pub const INLAY_LEFT_OUT: Code = Code {
    name: "inlay-left-out",
    explain: "The file of an inlay's art holds more than what is cut. Only the fillings of outlines are cut. A \
        stroke is as wide as a drawing program shows it, not as a cutter cuts, so it is left out, also round a \
        shape that has a filling; let your drawing program turn it into a path if it is part of the art. \
        Style sheets are not read, so a filling that only a style sheet gives or takes away is not known: save \
        the file as plain SVG, with the properties at each shape. Clip paths, masks and filters change what is \
        seen but not what is cut. Of a DXF, hatches, solids, dimensions, points and whatever has no outline \
        are left out. Look at the plug's outline on the sheet: that is what will be cut.",
};

/// A font that can't be had.
pub const INLAY_FONT: Code = Code {
    name: "inlay-font",
    explain: "The font of an inlay's text can't be had. `font` names a font file of your own, TTF or OTF, looked \
        for from the folder of the design file. Of a collection (TTC) the first font is taken, of a variable \
        font its usual form. It must be a whole font with outlines: what browsers use (WOFF), fonts of dots \
        and fonts of coloured pictures have none that are read here. Whether a font's licence lets you carve \
        its letters for sale is for you to see.",
};

/// A text that can't be written.
pub const INLAY_LETTERS: Code = Code {
    name: "inlay-letters",
    explain: "The text of an inlay can't be written with its font. Letters are set one after the other on a \
        line, each as the font draws it, with its kerning. The font must have every letter of the text. A \
        letter with an accent must be one letter, as keyboards write it, not a letter and a mark that \
        follows it. Scripts that run from right to left or join their letters are not set: write them in a \
        drawing program, turn the text into paths and name the SVG as `art`; so also for ligatures, or for \
        letters on an arc or in several lines.",
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
pub fn bring(design: &Design, read: ReadFile<'_>, out: &mut Findings) -> Vec<Option<Brought>> {
    let each = design.inlay.iter().enumerate().map(|(index, inlay)| {
        let mut say = |finding: Finding, key: &str| {
            out.push(finding.at(Source::Design, format!("inlay[{index}].{key}")));
        };
        let art = match &inlay.text {
            Some(text) => lettered(text, inlay, read),
            None => drawn(inlay, read),
        };
        let art = art.map_err(|lost| {
            say(Finding::fault(lost.code, lost.message, lost.help), lost.key);
        });
        if let Some(left) = art.as_ref().ok().and_then(Art::left_out) {
            say(left_out(inlay.art.as_deref().unwrap_or_default(), &left), "art");
        }
        let mut fault = |message: String, help: &str| {
            say(Finding::fault(INLAY_BOARD, message, help), "board");
        };
        let help = "Name a board file, as seen from the design's folder.";
        let board = match (inlay.fill, &inlay.board) {
            (InlayFill::Poured, _) => Ok(None),
            (InlayFill::Plug, None) => {
                fault("the plug has no board".to_owned(), help);
                Err(())
            }
            (InlayFill::Plug, Some(name)) => match board(name, read) {
                Ok(board) => Ok(Some(board)),
                Err(why) => {
                    fault(format!("the plug's board `{name}` {why}"), help);
                    Err(())
                }
            },
        };
        Some(Brought { art: art.ok()?, board: board.ok()? })
    });
    each.collect()
}

/// Why art can't be had.
struct LostArt {
    code: Code,
    key: &'static str,
    message: String,
    help: &'static str,
}

type ReadFile<'a> = &'a dyn Fn(&str) -> Result<Vec<u8>, String>;

fn left_out(name: &str, left: &str) -> Finding {
    Finding::caution(
        INLAY_LEFT_OUT,
        format!("of the art `{name}` some is not cut: {left}"),
        "Turn what is part of the art into paths with a filling, in your drawing program; take the rest out, or \
         accept this.",
    )
}

fn drawn(inlay: &Inlay, read: ReadFile<'_>) -> Result<Art, LostArt> {
    let name = inlay.art.as_deref().unwrap_or_default();
    let art = match read(name) {
        Err(why) => Err((
            format!("the art `{name}` can't be read: {why}"),
            "Name an SVG or DXF file with closed outlines, as seen from the design's folder.",
        )),
        Ok(bytes) => {
            Art::read(name, &bytes).map_err(|why| (format!("the art `{name}` {why}"), why.help()))
        }
    };
    art.map_err(|(message, help)| LostArt { code: INLAY_ART, key: "art", message, help })
}

fn lettered(text: &str, inlay: &Inlay, read: ReadFile<'_>) -> Result<Art, LostArt> {
    let name = inlay.font.as_deref().unwrap_or_default();
    let font = |message: String| LostArt {
        code: INLAY_FONT,
        key: "font",
        message,
        help: "Name a TTF or OTF file, as seen from the design's folder.",
    };
    let bytes =
        read(name).map_err(|why| font(format!("the font `{name}` can't be read: {why}")))?;
    Art::lettered(text, &bytes).map_err(|why| {
        let message = format!("the font `{name}` {why}");
        if !why.of_text() {
            return font(message);
        }
        let help = match why {
            LettersTrouble::Missing { .. } => "Take a font that has it, or other letters.",
            LettersTrouble::Mark { .. } => "Write the letter and its accent as one letter.",
            _ => "Write it shorter, or draw it, turn it into paths and name the SVG as `art`.",
        };
        LostArt { code: INLAY_LETTERS, key: "text", message, help }
    })
}

fn board(name: &str, read: ReadFile<'_>) -> Result<Board, String> {
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
