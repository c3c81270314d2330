//! What is said about a program's text.

use crate::finding::{Code, Severity};

/// One thing to say about a line.
#[derive(Clone, Debug, PartialEq)]
pub struct Remark {
    /// What kind.
    pub code: Code,
    /// How grave.
    pub severity: Severity,
    /// Line of the program, from 1.
    pub line: u32,
    /// What is wrong, in one sentence.
    pub says: String,
    /// What to do.
    pub help: &'static str,
}

/// What to do about a word that is not read. Never to take it out: the path may need it.
pub(super) fn instead_of(word: &str) -> &'static str {
    match word {
        "G41" | "G42" => {
            "Let the path program offset the path itself. The line was not run; without the word the path would be off \
             by the cutter's radius."
        }
        "G73" | "G84" | "G85" | "G86" | "G87" | "G88" | "G89" | "G76" => {
            "Have the post processor write G81 to G83, or single moves. The line was not run."
        }
        "M98" | "M99" | "G65" | "G66" | "O" => {
            "Have the post processor write the subprogram out in full. The line was not run."
        }
        "#" | "[" | "=" => "Have the post processor write plain numbers. The line was not run.",
        _ => "Choose a plainer post processor. The line was not run.",
    }
}

/// A word that is not known.
pub const NOT_RUN: Code = Code {
    name: "program-word",
    explain: "The program has a word that is not read here. A line with such a word is not run, so \
        what comes after it is rehearsed from where the cutter stood before.\n\nRead are G0 to G4, \
        G17 to G21, G28, G40, G43, G49, G53 to G59.3, G61, G64, G80 to G83, G90 to G94, G98, G99, \
        M0 to M9, M30, M48, M49, M60 and the letters that go with them. Not read are cutter \
        compensation (G41, G42), other cycles, parameters, formulas and subprograms.\n\nChoose a \
        post processor that leaves the word out. Taking it out by hand may drop a subprogram, or shift \
        the path by the cutter's radius.",
};

/// A line that breaks a rule of the language.
pub const RULE_BROKEN: Code = Code {
    name: "program-rule",
    explain: "A line breaks a rule of RS-274, so machines stop on it or read it each in its own \
        way.\n\nTwo words of one group on a line, a motion without a feed, an arc whose ends are \
        not equally far from its centre, a drilling cycle without its depth: the message says \
        which. The line is not run here, unless the message says otherwise.\n\nMake the program \
        anew with the post processor of your machine. What a make of machine allows beyond the \
        common rules is not known here.",
};

/// Text that is not a program's.
pub const UNREADABLE: Code = Code {
    name: "program-text",
    explain: "A line is not RS-274 text.\n\nEach word is a letter and a number, and comments stand \
        in parentheses or after a semicolon. A line that can't be read is not run. If most lines \
        are so, the file is of another kind, such as a project file of the path program.\n\nLines \
        over 4096 characters are not read.",
};

/// No G20 or G21.
pub const UNIT_NOT_SAID: Code = Code {
    name: "unit-not-said",
    explain: "The program moves before it says its unit with G20 or G21.\n\nIt then runs in \
        whatever unit the machine was left in: an error of 25.4 times. It is rehearsed in \
        millimetres.\n\nHave the path program write G21, or G20 for inches, at its beginning.",
};

/// No G90 or G91.
pub const DISTANCE_NOT_SAID: Code = Code {
    name: "distance-not-said",
    explain: "The program moves before it says G90 or G91.\n\nIts numbers are places after G90, and ways \
        from where the cutter stands after G91. A machine takes what it was left in, most often G90; so \
        does the rehearsal.\n\nHave the path program write G90 at its beginning.",
};

/// No height.
pub const HEIGHT_NOT_SAID: Code = Code {
    name: "height-not-said",
    explain: "The program moves along the board before it says a height.\n\nIts first motion has X or Y \
        and no Z before it. The cutter goes at whatever height it was left at: through wood or a hold-down, \
        when that is low. It is rehearsed from the top of the travel.\n\nHave the path program lift first: \
        G0 Z at the clearance height, G53 G0 Z0 or G28.",
};

/// What stands after the end.
pub const AFTER_END: Code = Code {
    name: "program-goes-on",
    explain: "The file goes on after the program's end.\n\nM2 and M30 end a program, and so does a second \
        %. Machines don't run what follows, and it isn't rehearsed. Most often two programs were joined into \
        one file with the end of the first still in it, or an M30 was written for a change of \
        tool.\n\nTake the early end out, or give two files.",
};

/// M4.
pub const TURNS_BACK: Code = Code {
    name: "spindle-backwards",
    explain: "The spindle turns backwards.\n\nM4 turns it counter-clockwise. Common cutters cut \
        clockwise alone: turned backwards they rub, burn, and may work loose.\n\nHave the post \
        processor write M3.",
};

/// Another tool's length.
pub const TOOL_LENGTH: Code = Code {
    name: "tool-length",
    explain: "A tool works with the length of another one.\n\nThe machine adds the length that H names \
        to every height. With the length of another tool the tip goes deeper, or stays higher, by as much \
        as the two differ: often several millimetres, into the piece or the bed. Told is a G43 with an H \
        that isn't the tool in the spindle, an H that stays in force after a change of tool, and a tool \
        without any length when others of the program have theirs. It is rehearsed with the right \
        length.\n\nHave the post processor write G43 with the tool's own H after each change of tool. \
        Lengths themselves stand in the machine, and are not seen here.",
};

/// No end.
pub const NOT_ENDED: Code = Code {
    name: "program-unended",
    explain: "The program has no end: neither M2 nor M30, and no M5 that stops the spindle after \
        the last motion.\n\nThe file may have been cut short on its way, and the machine may \
        stand with its spindle turning.\n\nWrite the program again, and compare the size of the \
        file.",
};

/// G92.
pub const ZERO_SHIFTED: Code = Code {
    name: "zero-shifted",
    explain: "The program shifts the zero itself with G92.\n\nFrom that line on its numbers are \
        counted from elsewhere than the work position; many machines keep the shift for the next \
        program, too. It is rehearsed with the shift, which each program here begins \
        without.\n\nSet the zero by the work position alone, and leave G92 out.",
};

/// A file of another kind.
pub const NOT_A_PROGRAM: Code = Code {
    name: "program-none",
    explain: "The file is not a program for the machine.\n\nMore of its lines can't be read as \
        RS-274 than can. It may be a project of the path program, a model, a picture, or text that \
        was saved in another encoding (UTF-16). Nothing that it did in the rehearsal means \
        anything.\n\nGive the file that the post processor wrote.",
};

/// A file without a word.
pub const EMPTY: Code = Code {
    name: "program-empty",
    explain: "The program has not one word that a machine would do.\n\nThe file is empty, or has \
        comments alone. A post processor that stopped half-way leaves such files.\n\nWrite the \
        program again, and look at its size.",
};

/// Every code of this room.
pub const CODES: &[Code] = &[
    NOT_A_PROGRAM,
    EMPTY,
    AFTER_END,
    NOT_RUN,
    RULE_BROKEN,
    UNREADABLE,
    TOOL_LENGTH,
    ZERO_SHIFTED,
    TURNS_BACK,
    NOT_ENDED,
    UNIT_NOT_SAID,
    DISTANCE_NOT_SAID,
    HEIGHT_NOT_SAID,
];
