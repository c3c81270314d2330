//! The codes of what the outside can do to a job: files that can't be read, folders that can't be
//! written.

use crate::finding::Code;
use crate::job;

pub(super) const FILE_MISSING: Code = Code {
    name: "file-missing",
    explain: "There is no file at this path.\n\nA packet needs all three files, so nothing is made \
        without one of them.\n\nCheck the spelling and the folder you are in, or write a file to \
        start from with `treenwright new design`, `new board` or `new shop`.",
};

pub(super) const FILE_IS_FOLDER: Code = Code {
    name: "file-is-folder",
    explain: "The path is a folder, a pipe or a device, not a file.\n\nGive the path of the TOML \
        file itself.",
};

pub(super) const FILE_UNREADABLE: Code = Code {
    name: "file-unreadable",
    explain: "The file is there, but the system doesn't let it be read.\n\nUsually you don't have \
        permission, or the disk or the network that holds it has a fault. The finding ends with \
        what the system said.",
};

pub(super) const FILE_NOT_TEXT: Code = Code {
    name: "file-not-text",
    explain: "The file is not UTF-8 text.\n\nTOML files are always UTF-8. A file saved by an older \
        editor may be in another encoding: open it and save it again as UTF-8. A model, a picture \
        or a packed file given by mistake has this finding as well.",
};

pub(super) const FILE_TOO_LARGE: Code = Code {
    name: "file-too-large",
    explain: "The file is larger than 1 MB.\n\nA design, a board or a shop is a page or two of \
        text, so a file of this size is something else, given by mistake. It is not read.",
};

pub(super) const OUT_REFUSED: Code = Code {
    name: "out-refused",
    explain: "The packet's folder can't be made, or must not be replaced.\n\nA packet is a new \
        folder of its own. An existing folder is replaced only when it is empty, or when it is a \
        packet that this tool wrote, with every file as it was written and nothing else in it. So \
        no notes, drawings or tool paths that you keep there are ever lost. Symbolic links are not \
        followed.\n\nGive another name with `--out`, or move what you want to keep out of the \
        folder. Files missing from the old packet don't matter.",
};

pub(super) const OUT_FAILED: Code = Code {
    name: "out-failed",
    explain: "The disk refused while the packet was being written.\n\nThe whole packet is first \
        written to a hidden folder beside its place, and that folder is then renamed. When this \
        fails, the hidden folder is removed, and everything is as it was before. The usual reasons \
        are a full disk, a folder that you may not write to, and a disk that was taken out.",
};

pub(super) const EXPORT_FAILED: Code = Code {
    name: "export-failed",
    explain: "A file of the packet could not be made, although the job has no faults.\n\nYour \
        files are not to blame: this is a fault of the tool, found by its own check before \
        anything was written. Please report it with the three files. Another tolerance \
        (`--tolerance`) may get you past it.",
};

pub(super) const NO_FINISHER: Code = Code {
    name: "no-finisher",
    explain: "The shop's work.finish names a cutter that the shop doesn't have.\n\nThe skirt round \
        each piece is as wide as the finishing cutter needs to run out, so without it pieces can't \
        be laid on a board. Name a ball cutter of the shop at work.finish.",
};

/// Every code that the tool can give, by name.
pub(super) fn all() -> Vec<Code> {
    let mut codes = vec![
        FILE_MISSING,
        FILE_IS_FOLDER,
        FILE_UNREADABLE,
        FILE_NOT_TEXT,
        FILE_TOO_LARGE,
        OUT_REFUSED,
        OUT_FAILED,
        EXPORT_FAILED,
        NO_FINISHER,
    ];
    codes.extend(job::codes());
    codes.extend_from_slice(crate::drawn::CODES);
    codes.extend_from_slice(crate::program::CODES);
    codes.extend_from_slice(crate::rehearse::CODES);
    codes.sort();
    codes.dedup();
    codes
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_code_is_named_once_in_kebab_case_and_explained() {
        let codes = all();
        for pair in codes.windows(2) {
            assert_ne!(pair[0].name, pair[1].name);
        }
        for code in codes {
            assert!(
                code.name.chars().all(|c| c.is_ascii_lowercase() || c == '-' || c.is_ascii_digit())
            );
            assert!(code.explain.len() > 60, "{}", code.name);
        }
    }
}
