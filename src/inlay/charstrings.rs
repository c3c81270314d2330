//! How many steps the program of a letter of cubic curves (CFF) takes. It may call other programs of the font, ten
//! deep and as often as it likes, so that a few hundred bytes ask for more steps than any machine takes.
//!
//! Promised: all steps of a sound program are counted, up to a bound. Not promised: whether it is sound, and
//! anything of CFF2.

use std::collections::BTreeMap;
use ttf_parser::{Face, Tag};

/// A letter's program has no more steps: a hundred times those of a rich one.
const MOST_STEPS: usize = 200_000;
/// Programs call each other no deeper (Adobe Technical Note 5177, appendix B).
const DEEPEST: usize = 10;
/// Operators of dictionaries (Adobe Technical Note 5176).
const CHAR_STRINGS: u16 = 17;
const PRIVATE: u16 = 18;
const SUBRS: u16 = 19;
const FD_ARRAY: u16 = 0x0c24;
const FD_SELECT: u16 = 0x0c25;

/// A list of byte strings.
#[derive(Clone, Copy, Default)]
struct ByteStrings<'a> {
    data: &'a [u8],
    count: usize,
    /// Bytes of an offset, and where offsets begin.
    wide: usize,
    offsets: usize,
}

impl<'a> ByteStrings<'a> {
    /// The list at a place, and where it ends.
    fn at(data: &'a [u8], at: usize) -> Option<(ByteStrings<'a>, usize)> {
        let count = number(data, at, 2)?;
        if count == 0 {
            return Some((ByteStrings::default(), at + 2));
        }
        let own = ByteStrings { data, count, wide: number(data, at + 2, 1)?, offsets: at + 3 };
        Some((own, own.place(count)?))
    }

    fn place(&self, index: usize) -> Option<usize> {
        let offset = number(self.data, self.offsets + index * self.wide, self.wide)?;
        Some(self.offsets + (self.count + 1) * self.wide + offset.checked_sub(1)?)
    }

    fn get(&self, index: usize) -> Option<&'a [u8]> {
        if index >= self.count {
            return None;
        }
        self.data.get(self.place(index)?..self.place(index + 1)?)
    }

    /// The one that a program calls by a number.
    fn called(&self, by: i32) -> Option<&'a [u8]> {
        let bias = match self.count {
            ..1240 => 107,
            1240..33900 => 1131,
            _ => 32768,
        };
        self.get(usize::try_from(by.checked_add(bias)?).ok()?)
    }
}

/// The programs of a font's letters.
pub(super) struct CharStrings<'a> {
    letters: ByteStrings<'a>,
    global: ByteStrings<'a>,
    local: Vec<ByteStrings<'a>>,
    /// Which of `local` each letter calls.
    select: Option<&'a [u8]>,
}

/// How far a program has come.
#[derive(Default)]
struct ProgramRun {
    stack: Vec<i32>,
    stems: usize,
    steps: usize,
}

impl<'a> CharStrings<'a> {
    /// None for a font of another kind.
    pub(super) fn of(face: &Face<'a>) -> Option<CharStrings<'a>> {
        let data = face.raw_face().table(Tag::from_bytes(b"CFF "))?;
        let (_, at) = ByteStrings::at(data, number(data, 2, 1)?)?;
        let (tops, at) = ByteStrings::at(data, at)?;
        let (_, at) = ByteStrings::at(data, at)?;
        let (global, _) = ByteStrings::at(data, at)?;
        let top = dictionary(tops.get(0)?);
        let place = |key: u16| usize::try_from(*top.get(&key)?.last()?).ok();
        let (letters, _) = ByteStrings::at(data, place(CHAR_STRINGS)?)?;
        let fonts = place(FD_ARRAY).and_then(|at| ByteStrings::at(data, at));
        let local = match fonts {
            Some((fonts, _)) => (0..fonts.count)
                .map(|index| dictionary(fonts.get(index).unwrap_or_default()))
                .map(|font| local(data, &font).unwrap_or_default())
                .collect(),
            None => vec![local(data, &top).unwrap_or_default()],
        };
        let select = place(FD_SELECT).and_then(|at| data.get(at..));
        Some(CharStrings { letters, global, local, select })
    }

    /// Whether a letter's program comes to an end in good time.
    pub(super) fn ends(&self, glyph: u16) -> bool {
        let font = self.select.map_or(Some(0), |select| selected(select, usize::from(glyph)));
        let local = font.and_then(|font| self.local.get(font)).copied().unwrap_or_default();
        let Some(program) = self.letters.get(usize::from(glyph)) else { return true };
        let mut run = ProgramRun::default();
        self.follow(program, &local, DEEPEST, &mut run);
        run.steps <= MOST_STEPS
    }

    /// Follows a program; whether the one that called it goes on.
    fn follow(
        &self,
        program: &[u8],
        local: &ByteStrings<'a>,
        more: usize,
        run: &mut ProgramRun,
    ) -> bool {
        let mut at = 0;
        while let Some(code) = program.get(at).copied() {
            run.steps += 1;
            if run.steps > MOST_STEPS {
                return false;
            }
            at += 1;
            let operand = match code {
                // Its whole part; two bytes of fraction follow.
                255 => Some((short(program, at), 4)),
                _ => operand(code, program, at),
            };
            if let Some((operand, bytes)) = operand {
                run.stack.push(operand);
                at += bytes;
                continue;
            }
            match code {
                10 | 29 => {
                    let list = if code == 10 { local } else { &self.global };
                    let called = run.stack.pop().and_then(|by| list.called(by));
                    // What can't be called, the reader refuses.
                    let Some(called) = called.filter(|_| more > 0) else { return false };
                    if !self.follow(called, local, more - 1, run) {
                        return false;
                    }
                    continue;
                }
                11 => return true,
                14 => {
                    // Four numbers name two other letters: no font of today has that.
                    if run.stack.len() >= 4 {
                        run.steps = MOST_STEPS + 1;
                    }
                    return false;
                }
                1 | 3 | 18 | 23 => run.stems += run.stack.len() / 2,
                19 | 20 => {
                    run.stems += run.stack.len() / 2;
                    at += run.stems.div_ceil(8);
                }
                12 => at += 1,
                _ => {}
            }
            run.stack.clear();
        }
        true
    }
}

/// The programs that only one font of a file calls.
fn local<'a>(data: &'a [u8], font: &BTreeMap<u16, Vec<i32>>) -> Option<ByteStrings<'a>> {
    let [size, at] = font.get(&PRIVATE)?[..] else { return None };
    let (size, at) = (usize::try_from(size).ok()?, usize::try_from(at).ok()?);
    let own = dictionary(data.get(at..at.checked_add(size)?)?);
    let by = usize::try_from(*own.get(&SUBRS)?.last()?).ok()?;
    Some(ByteStrings::at(data, at.checked_add(by)?)?.0)
}

/// Of which font of a file a letter is.
fn selected(select: &[u8], glyph: usize) -> Option<usize> {
    if number(select, 0, 1)? == 0 {
        return number(select, 1 + glyph, 1);
    }
    let first = |range: usize| number(select, 3 + 3 * range, 2);
    let range = (0..number(select, 1, 2)?)
        .take_while(|range| first(*range).is_some_and(|own| own <= glyph));
    number(select, 5 + 3 * range.last()?, 1)
}

/// Operators of a dictionary, with the whole numbers before each.
fn dictionary(data: &[u8]) -> BTreeMap<u16, Vec<i32>> {
    let (mut found, mut own, mut at) = (BTreeMap::new(), Vec::new(), 0);
    while let Some(code) = data.get(at).copied() {
        at += 1;
        let next = |k: usize| data.get(at + k).copied().map_or(0, i32::from);
        let wide = i32::from(code);
        match code {
            0..=21 => {
                let operator = if code == 12 { wide << 8 | next(0) } else { wide };
                at += usize::from(code == 12);
                found.insert(operator as u16, std::mem::take(&mut own));
            }
            29 => {
                own.push(next(0) << 24 | next(1) << 16 | next(2) << 8 | next(3));
                at += 4;
            }
            30 => {
                while data.get(at).is_some_and(|byte| byte & 15 != 15 && byte >> 4 != 15) {
                    at += 1;
                }
                at += 1;
                own.push(0);
            }
            _ => {
                if let Some((operand, bytes)) = operand(code, data, at) {
                    own.push(operand);
                    at += bytes;
                }
            }
        }
    }
    found
}

/// The number that a code begins, of those that programs and dictionaries write alike, and how many bytes of it
/// follow from a place on. Bytes that aren't there are 0.
fn operand(code: u8, data: &[u8], at: usize) -> Option<(i32, usize)> {
    let wide = i32::from(code);
    let next = data.get(at).copied().map_or(0, i32::from);
    match code {
        28 => Some((short(data, at), 2)),
        32..=246 => Some((wide - 139, 0)),
        247..=250 => Some(((wide - 247) * 256 + next + 108, 1)),
        251..=254 => Some((-(wide - 251) * 256 - next - 108, 1)),
        _ => None,
    }
}

/// A signed number of two bytes at a place; bytes that aren't there are 0.
fn short(data: &[u8], at: usize) -> i32 {
    let next = |k: usize| data.get(at + k).copied().map_or(0, i32::from);
    i32::from((next(0) << 8 | next(1)) as i16)
}

/// A number of so many bytes, the greatest first.
fn number(data: &[u8], at: usize, bytes: usize) -> Option<usize> {
    let own = data.get(at..at.checked_add(bytes)?)?;
    Some(own.iter().fold(0, |sum, byte| sum << 8 | usize::from(*byte)))
}
