//! `rehearse`: carves programs in the computer against a packet.

mod asked;
mod told;

pub(super) use asked::RehearsalAsked;

use super::say::{Console, SlipCard, escaped};
use super::{Ending, files};
use crate::finding::{Code, Severity, nearest};
use crate::rehearse::codes::{PACKET_CHANGED, PACKET_UNFIT, WOOD_UNFIT};
use crate::rehearse::{
    self, CutterNumbers, KeptUnfit, NotAPacket, Rehearsal, RehearsalOrder, StagedSetup, Timber,
    board_cells, keep, kept, shop_numbers,
};
use crate::relief::Face;
use serde_json::json;
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::fs::File;
use std::io::{self, BufRead, BufReader};
use std::path::{Path, PathBuf};

/// Why nothing was rehearsed: the code if there is one, what is wrong, what to do.
type Refused = (Option<Code>, String, String);

/// The packet's list of itself.
const LIST: &str = "packet.json";

/// A program is read in pieces of this many bytes.
const BUFFER: usize = 1 << 16;

pub(super) fn rehearse(console: &Console, asked: &RehearsalAsked) -> Ending {
    if let Err((says, to_do)) = can_be_written(asked) {
        console.fault(&says, to_do);
        return Ending::Faults;
    }
    console.progress("rehearsing");
    let names: Vec<String> = asked.programs.iter().map(|path| path.display().to_string()).collect();
    let short = short(&asked.programs, &names);
    let (stage, done) = match rehearsed(asked, &short) {
        Ok(done) => done,
        Err(refused) => {
            refuse(console, refused, asked.json);
            return Ending::Faults;
        }
    };
    let told = told::Told { stage: &stage, done: &done, names: &names };
    if asked.json {
        console.out(&told.json());
    } else {
        let last = told.folded(asked.all) + &told.last_line() + &not_used(asked, &stage, &done);
        console.slips(&told.cards(asked.all), &last);
        console.out(&told.figures());
    }
    let mut written = true;
    let mut write = |path: &Option<std::path::PathBuf>, bytes: &dyn Fn() -> Vec<u8>| {
        if let Some(path) = path
            && let Err(error) = files::create(path, &bytes())
        {
            let (says, to_do) = files::not_created(path, &error);
            console.fault(&says, to_do);
            written = false;
        }
    };
    write(&asked.keep, &|| keep(&done.timber, &stage.seal, stage.face.name()));
    write(&asked.picture, &|| rehearse::picture(&stage, &done.timber));
    write(&asked.page, &|| rehearse::page(&stage, &done, &short).into_bytes());
    let fault = done.slips.iter().any(|slip| slip.severity == Severity::Fault);
    if fault || !written { Ending::Faults } else { Ending::Done }
}

/// Cutters that were given for this run and that no program names.
fn not_used(asked: &RehearsalAsked, stage: &StagedSetup, done: &Rehearsal) -> String {
    // What is no number was refused before.
    let number = |text: &String| said(text).0.and_then(|number| number.parse::<u32>().ok());
    let mut known: BTreeSet<Option<u32>> = shop_numbers(stage).into_keys().collect();
    known.extend(asked.cutter.iter().map(number).filter(Option::is_some));
    let one = |text: &&String| match number(text) {
        Some(own) => !done.tools.contains(&Some(own)),
        // That of programs without a number stands in for numbers that are not known, too.
        None => done.tools.iter().all(|tool| known.contains(tool)),
    };
    let says =
        |text: &String| format!("\n--cutter \"{text}\" was not used: no program names that tool");
    asked.cutter.iter().filter(one).map(says).collect()
}

/// Says why nothing was rehearsed.
fn refuse(console: &Console, (code, says, to_do): Refused, as_json: bool) {
    if as_json {
        let finding = json!({
            "code": code.map(|code| code.name),
            "severity": Severity::Fault.name(),
            "message": says,
            "help": to_do,
        });
        let all = json!({ "findings": [finding] });
        console.out(&(escaped(&serde_json::to_string_pretty(&all).unwrap_or_default()) + "\n"));
        return;
    }
    let Some(code) = code else { return console.fault(&says, &to_do) };
    let rows = vec![("To do", to_do), ("More", format!("treenwright explain {}", code.name))];
    let severity = Severity::Fault;
    console.slips(&[SlipCard { severity, says, rows }], "nothing was rehearsed");
}

/// Looks at the places of what is to be written before anything is carved: a long program is not carved
/// for nothing, and not one of the files is written when another can't be.
fn can_be_written(asked: &RehearsalAsked) -> Result<(), (String, &'static str)> {
    let all = [&asked.keep, &asked.picture, &asked.page];
    let asked: Vec<&PathBuf> = all.into_iter().flatten().collect();
    for (index, path) in asked.iter().enumerate() {
        if asked[..index].contains(path) {
            let says = format!("`{}` is asked for twice.", path.display());
            return Err((says, "Give each file a name of its own."));
        }
        let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty());
        if path.is_dir() {
            let says = format!("Can't write `{}`: it is a folder.", path.display());
            return Err((says, "Give the name of a new file, such as one in that folder."));
        }
        let kind = match folder {
            _ if path.symlink_metadata().is_ok() => io::ErrorKind::AlreadyExists,
            Some(folder) if !folder.is_dir() => io::ErrorKind::NotFound,
            _ => continue,
        };
        return Err(files::not_created(path, &kind.into()));
    }
    Ok(())
}

fn rehearsed(
    asked: &RehearsalAsked,
    names: &[String],
) -> Result<(StagedSetup, Rehearsal), Refused> {
    let face = Face::from(asked.setup);
    let files: RefCell<Vec<(String, Vec<u8>)>> = RefCell::default();
    let read = |name: &str| {
        let path = asked.packet.join(name);
        if endless(&path) {
            return Err(format!("{} is no plain file", path.display()));
        }
        let bytes = std::fs::read(&path).map_err(|error| match error.kind() {
            io::ErrorKind::NotFound => format!("there is no {}", path.display()),
            _ => format!("{} can't be read: {error}", path.display()),
        })?;
        files.borrow_mut().push((name.to_owned(), bytes.clone()));
        Ok(bytes)
    };
    let unfit = |NotAPacket(says)| {
        let to_do = "Give the folder that `treenwright build` wrote, unchanged and whole; of a set, the set's own.";
        (Some(PACKET_UNFIT), says, to_do.to_owned())
    };
    let stage = rehearse::stage(face, &read).map_err(unfit)?;
    unchanged(&files.borrow())?;
    let cutters = numbers(asked, &stage)?;
    let cell = asked.cell.as_mm();
    if board_cells(&stage, cell).is_none() {
        let says = format!("cells of {cell} mm are too many for this board");
        return Err((None, says, "Give a larger --cell.".to_owned()));
    }
    let wood = asked.from.as_deref().map(|path| wood(path, &stage)).transpose()?;
    let open = |index: usize| -> io::Result<Box<dyn BufRead>> {
        let file = File::open(&asked.programs[index])?;
        Ok(Box::new(BufReader::with_capacity(BUFFER, file)))
    };
    for path in &asked.programs {
        // A pipe or a device could be endless, and can't be read twice.
        let says = match std::fs::metadata(path) {
            Ok(found) if found.is_file() => match File::open(path) {
                Ok(_) => continue,
                Err(error) => {
                    let says = format!("`{}` can't be read: {error}.", path.display());
                    return Err((None, says, "Check that you may read it.".to_owned()));
                }
            },
            Ok(found) if found.is_dir() => format!("`{}` is a folder.", path.display()),
            Ok(_) => format!("`{}` is no plain file.", path.display()),
            Err(error) if error.kind() == io::ErrorKind::NotFound => {
                format!("There is no file `{}`.", path.display())
            }
            Err(error) => format!("`{}` can't be read: {error}.", path.display()),
        };
        return Err((None, says, "Give the program's own file.".to_owned()));
    }
    let programs = asked.programs.len();
    let order = RehearsalOrder {
        stage: &stage,
        cell,
        cutters: &cutters,
        wood,
        programs,
        names,
        open: &open,
    };
    let done = rehearse::rehearse(&order).map_err(|error| {
        (
            None,
            format!("A program can't be read to its end: {error}."),
            "Check that you may read it, and that its disk is there.".to_owned(),
        )
    })?;
    Ok((stage, done))
}

/// Refuses a packet of which a file is not the one that was built.
fn unchanged(files: &[(String, Vec<u8>)]) -> Result<(), Refused> {
    let list = files.iter().find(|(name, _)| name == LIST);
    let list = list.map(|(_, bytes)| String::from_utf8_lossy(bytes)).unwrap_or_default();
    let changed = crate::export::list::changed(&list, files);
    if changed.is_empty() {
        return Ok(());
    }
    let says = format!("{} is not as the packet was built", changed.join(", "));
    let to_do = "Build the packet again, and make the programs from its files.".to_owned();
    Err((Some(PACKET_CHANGED), says, to_do))
}

/// What `--cutter` gives: a number, if it has one, and the cutter's name.
fn said(text: &str) -> (Option<&str>, &str) {
    match text.split_once('=') {
        Some((number, name)) => (Some(number.trim()), name.trim()),
        None => (None, text.trim()),
    }
}

/// Cutters by their numbers: the shop's, and what was given.
fn numbers(asked: &RehearsalAsked, stage: &StagedSetup) -> Result<CutterNumbers, Refused> {
    let mut numbers = shop_numbers(stage);
    let mut given: BTreeMap<Option<u32>, &str> = BTreeMap::new();
    for text in &asked.cutter {
        let (number, name) = said(text);
        let number = number.map(|number| {
            number.parse::<u32>().map_err(|_| {
                let says = format!("`{number}` is no tool number.");
                (None, says, "Write it as in \"2=ball 1/8\".".to_owned())
            })
        });
        let number = number.transpose()?;
        let Some(index) = stage.cutters.iter().position(|cutter| cutter.name == name) else {
            let names: Vec<&str> =
                stage.cutters.iter().map(|cutter| cutter.name.as_str()).collect();
            let near = nearest(name, &names).map(|near| format!(" Did you mean \"{near}\"?"));
            let to_do = format!("The shop has {}.{}", names.join(", "), near.unwrap_or_default());
            return Err((None, format!("The shop has no cutter \"{name}\"."), to_do));
        };
        if let Some(other) = given.insert(number, name) {
            let whose = number.map_or_else(
                || "of programs that name none".to_owned(),
                |number| format!("of tool {number}"),
            );
            let says =
                format!("--cutter gives the cutter {whose} twice: \"{other}\" and \"{name}\".");
            return Err((None, says, "Give each number one cutter.".to_owned()));
        }
        numbers.insert(number, index);
    }
    Ok(numbers)
}

/// Whether a path is something else than a file: a pipe never ends, and a device has no end.
fn endless(path: &Path) -> bool {
    path.metadata().is_ok_and(|found| !found.is_file())
}

/// Kept wood, turned over when it is of setup 1 and this is setup 2.
fn wood(path: &Path, stage: &StagedSetup) -> Result<Timber, Refused> {
    let to_do = "Give the file that --keep wrote with this packet.".to_owned();
    if endless(path) {
        return Err((None, format!("`{}` is no plain file.", path.display()), to_do));
    }
    let bytes = std::fs::read(path).map_err(|error| {
        (None, format!("`{}` can't be read: {error}.", path.display()), to_do.clone())
    })?;
    let first = match kept(&bytes, &stage.seal, stage.face.name()) {
        Ok(same) => return Ok(same),
        Err(KeptUnfit::OtherSetup) if stage.face == Face::Bottom => {
            kept(&bytes, &stage.seal, Face::Top.name())
        }
        Err(why) => Err(why),
    };
    let why = match first {
        Ok(first) => return Ok(first.turned(stage.end_for_end, stage.kept_sum())),
        Err(KeptUnfit::Broken) => "is not a file that --keep wrote, or not whole",
        Err(KeptUnfit::OtherPacket) => {
            "is wood of another packet, or of this one before it was built anew"
        }
        Err(KeptUnfit::OtherSetup) => "is wood after setup 2, and this is setup 1",
    };
    Err((Some(WOOD_UNFIT), format!("`{}` {why}", path.display()), to_do))
}

/// The files' own names for the page, where folders are of no use; with their folders when two are of one
/// name.
fn short(programs: &[PathBuf], names: &[String]) -> Vec<String> {
    let own: Option<Vec<String>> = programs
        .iter()
        .map(|path| Some(path.file_name()?.to_string_lossy().into_owned()))
        .collect();
    let apart = |own: &Vec<String>| own.iter().collect::<BTreeSet<_>>().len() == own.len();
    own.filter(apart).unwrap_or_else(|| names.to_vec())
}
