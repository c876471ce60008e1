//! Reading a measurement: telling what it is, which strip it is of, and what follows from it.

use std::path::Path;

use art::{Format, Limits};
use colour::Profile;
use proof::cgats::{self, Cgats};
use proof::scan::{self, ColourFrom, ScanError, Wanted};
use proof::{Mark, Measurement, ProofError, Strip, StripLayout, fit};

use super::kept::Found;
use super::reading;
use super::strips;
use super::{FOLDER, ProofReading, ReadFrom};
use crate::digest::{Digest, Gather};
use crate::press_job::Plan;
use crate::record::{ProofFileKind, ProofFileRow, ReadingRow, StripRow};
use crate::{Desk, DeskError, Watch, files};

/// The largest text that is read as a measurement: a strip has some dozens of lines.
const LARGEST_TEXT: usize = 16 << 20;
/// The largest file that is read at all.
const LARGEST_FILE: u64 = 1 << 30;

/// Reads a file.
pub(super) fn file(
    desk: &Desk,
    path: &Path,
    scanner: Option<&Path>,
    watch: &dyn Watch,
) -> Result<ProofReading, DeskError> {
    let bytes = whole(path, "read the measurement")?;
    let scanner = scanner
        .map(|path| whole(path, "read the scanner's profile"))
        .transpose()?;
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    bytes_of(desk, &name, &bytes, scanner.as_deref(), watch)
}

fn whole(path: &Path, doing: &str) -> Result<Vec<u8>, DeskError> {
    let failed = |error: std::io::Error| DeskError::io(path, doing, &error);
    let metadata = std::fs::metadata(path).map_err(failed)?;
    if metadata.is_dir() {
        return Err(DeskError::new(
            path.display().to_string(),
            "this is a folder, not a measurement",
            "Name the file in it: CGATS text, or a scan.",
        ));
    }
    if metadata.len() > LARGEST_FILE {
        return Err(DeskError::new(
            path.display().to_string(),
            format!("{} MB are too many for a measurement", metadata.len() >> 20),
            "Scan the strip alone, at 300 ppi.",
        ));
    }
    std::fs::read(path).map_err(failed)
}

/// Reads bytes that came with a name.
pub(super) fn bytes_of(
    desk: &Desk,
    name: &str,
    bytes: &[u8],
    scanner: Option<&[u8]>,
    watch: &dyn Watch,
) -> Result<ProofReading, DeskError> {
    let name = files::plain_name(name, "measurement.txt");
    let standing = desk.standing()?;
    let inks = desk.inks(&standing.snapshot.book)?;
    let plan = Plan::new(desk, &standing, &inks)?;
    let digest = Gather::new("measurement")
        .put("file", Digest::of_large(bytes).to_string())
        .put("scanner", scanner.unwrap_or_default())
        .done();
    // The same file says the same again.
    let rows = desk.with_record(|record| record.readings())?;
    if let Some(known) = rows.into_iter().find(|row| row.digest == digest) {
        return reading::of(desk, &plan, known);
    }

    watch.step(0, 2, &format!("reading {name}"));
    let read = match Format::of(bytes) {
        Some(_) => from_scan(desk, &name, bytes, scanner)?,
        None => from_text(desk, &name, bytes)?,
    };
    if watch.stopped() {
        return Err(DeskError::stopped("proof"));
    }
    watch.step(1, 2, &format!("learning from {name}"));
    let verdict = match strips::condition_of(&read.row, &inks) {
        Some(condition) => fit::learn(&read.strip, &read.measurement, &condition)
            .map_err(|error| refused(&name, &error))?,
        None => fit::Verdict::NotEnough {
            why: format!(
                "The strip was made for the press condition `{}`, which this book has no more: what \
                 it should have looked like is known, but not what could be done about it.",
                read.row.condition
            ),
            patches: Vec::new(),
        },
    };
    let kept = keep(desk, &name, bytes)?;
    let found = Found {
        from: read.from,
        measurement: read.measurement,
        verdict,
    };
    let mut row = ReadingRow {
        id: 0,
        at: String::new(),
        name,
        kept,
        digest,
        strip: read.strip.version,
        result: found.text(),
    };
    (row.id, row.at) = desk.with_record(|record| record.add_reading(&row))?;
    watch.step(2, 2, "done");
    reading::of(desk, &plan, row)
}

/// A measurement told apart.
struct Read {
    strip: Strip,
    row: StripRow,
    measurement: Measurement,
    from: ReadFrom,
}

fn from_text(desk: &Desk, name: &str, bytes: &[u8]) -> Result<Read, DeskError> {
    let text = text_of(name, bytes)?;
    let cgats = cgats::read(&text).map_err(|error| refused(name, &error))?;
    let mark = cgats.mark().map_err(|error| refused(name, &error))?;
    let (file, strip, row) = match &mark {
        Some(mark) => strip_of_mark(desk, name, mark)?,
        None => last_strip(desk, name)?,
    };
    let expected = Mark {
        page: None,
        file: file.mark.clone(),
        version: strip.version,
    };
    let mut measurement =
        Measurement::match_to(&strip, &expected, &cgats).map_err(|error| refused(name, &error))?;
    if mark.is_none() {
        measurement.remarks.insert(
            0,
            format!(
                "It carries no mark (keyword {}); it was taken for strip {}, the last that was \
                 made.",
                cgats::MARK,
                strip.version
            ),
        );
    }
    let from = if file.kind == ProofFileKind::Practice || is_simulated(&cgats) {
        ReadFrom::Practice
    } else {
        ReadFrom::Instrument
    };
    Ok(Read {
        strip,
        row,
        measurement,
        from,
    })
}

fn from_scan(
    desk: &Desk,
    name: &str,
    bytes: &[u8],
    scanner: Option<&[u8]>,
) -> Result<Read, DeskError> {
    let picture = art::decode(bytes, &Limits::default()).map_err(|error| {
        DeskError::new(
            name,
            error.to_string(),
            "Scan the strip again and save it as TIFF or PNG.",
        )
    })?;
    let scanner = scanner.map(Profile::open).transpose().map_err(|error| {
        DeskError::new(
            "the scanner's profile",
            error.to_string(),
            "Give the ICC profile that came with the scanner or was made for it, or leave it \
                 out: then the scanner is told from the strip itself.",
        )
    })?;
    let unreadable = |error: ScanError| scan_refused(name, &error);
    let marks = scan::marks(&picture).map_err(unreadable)?;
    let Some(mark) = marks.first() else {
        return Err(scan_refused(
            name,
            &ScanError::NoMark("no mark could be read".to_owned()),
        ));
    };
    if let Some(other) = marks.iter().find(|other| *other != mark) {
        return Err(scan_refused(
            name,
            &ScanError::Several(vec![mark.clone(), other.clone()]),
        ));
    }
    let (file, strip, row) = strip_of_mark(desk, name, mark)?;
    let layout = StripLayout::of(&strip, measure::Length::from_nm(file.width_nm));
    let wanted = Wanted {
        strip: &strip,
        layout: &layout,
        mark,
    };
    let read = scan::read(&picture, wanted, scanner.as_ref()).map_err(unreadable)?;
    let from = ReadFrom::Scan {
        turned: read.turned,
        ppi: read.ppi,
        colour: colour_words(&read.colour),
    };
    let measurement = read.measurement(&strip);
    Ok(Read {
        strip,
        row,
        measurement,
        from,
    })
}

fn colour_words(colour: &ColourFrom) -> String {
    match colour {
        ColourFrom::Profile { name, agreement } => format!(
            "Its colours come from the scanner's profile `{name}`; paper, solids and overprints \
             agree with the press condition within {agreement:.1} ΔE00 on average."
        ),
        ColourFrom::Characterised {
            model,
            error,
            most,
            patches,
        } => format!(
            "The scanner was told from {patches} patches of the strip itself ({model}); each, \
             foretold by the others, is {error:.1} ΔE00 off on average and {most:.1} at most."
        ),
    }
}

/// The strip that a mark names.
fn strip_of_mark(
    desk: &Desk,
    name: &str,
    mark: &Mark,
) -> Result<(ProofFileRow, Strip, StripRow), DeskError> {
    let file = desk.with_record(|record| record.proof_file(&mark.file))?;
    let Some(file) = file else {
        return Err(DeskError::new(
            name,
            format!(
                "its mark `{}` names the proof file {}, which was not made for this book",
                mark.text(),
                mark.file
            ),
            "Look whether it is of another book, or of another copy of this book's folder.",
        ));
    };
    if file.strip != mark.version {
        return Err(DeskError::new(
            name,
            format!(
                "its mark says strip {}, but the proof file {} holds strip {}",
                mark.version, mark.file, file.strip
            ),
            "Look whether its mark was changed by hand.",
        ));
    }
    if let Some(page) = mark.page
        && !file.pages.contains(&page)
    {
        return Err(DeskError::new(
            name,
            format!(
                "its mark says page {page}, but the proof file {} has no such page",
                mark.file
            ),
            "Look whether its mark was changed by hand.",
        ));
    }
    let (strip, row) = strips::kept(desk, file.strip)?.ok_or_else(|| strips::unreadable(desk))?;
    Ok((file, strip, row))
}

/// The strip of the file that was made last: what a measurement without a mark is taken for.
fn last_strip(desk: &Desk, name: &str) -> Result<(ProofFileRow, Strip, StripRow), DeskError> {
    let file = desk.with_record(|record| record.last_proof_file())?;
    let Some(file) = file else {
        return Err(DeskError::new(
            name,
            "this book has no proof that it could be of: no strip was made yet",
            "Make proof pages with `foredge proof make`, have them printed, and measure those.",
        ));
    };
    let (strip, row) = strips::kept(desk, file.strip)?.ok_or_else(|| strips::unreadable(desk))?;
    Ok((file, strip, row))
}

/// Whether a measurement says of itself that no paper was printed.
fn is_simulated(cgats: &Cgats) -> bool {
    cgats
        .keywords
        .iter()
        .any(|(_, value)| value.to_lowercase().contains("simulated"))
}

/// Text in UTF-8, in UTF-16 with its mark, or, failing both, in Latin-1: figures and patch names
/// are the same in all of them.
fn text_of(name: &str, bytes: &[u8]) -> Result<String, DeskError> {
    let no_measurement = |what: &str| {
        DeskError::new(
            name,
            format!("{what}, not a measurement"),
            "Give the text (CGATS) that the instrument's program saves, or a scan as TIFF, PNG or \
             JPEG.",
        )
    };
    if bytes.is_empty() {
        return Err(no_measurement("this is an empty file"));
    }
    if bytes.starts_with(b"%PDF") {
        return Err(no_measurement("this is a PDF"));
    }
    if bytes.len() > LARGEST_TEXT {
        return Err(no_measurement("this is a very large file"));
    }
    let wide = |bytes: &[u8], unit: fn([u8; 2]) -> u16| {
        let units: Vec<u16> = bytes
            .chunks_exact(2)
            .map(|pair| unit([pair[0], pair[1]]))
            .collect();
        String::from_utf16_lossy(&units)
    };
    let text = match bytes {
        [0xff, 0xfe, rest @ ..] => wide(rest, u16::from_le_bytes),
        [0xfe, 0xff, rest @ ..] => wide(rest, u16::from_be_bytes),
        _ => match std::str::from_utf8(bytes) {
            Ok(text) => text.trim_start_matches('\u{feff}').to_owned(),
            Err(_) => bytes.iter().map(|&byte| char::from(byte)).collect(),
        },
    };
    if text.contains('\0') {
        return Err(no_measurement("this is no text"));
    }
    Ok(text)
}

/// Keeps the original below `proofs/` and says where, from the book folder.
fn keep(desk: &Desk, name: &str, bytes: &[u8]) -> Result<String, DeskError> {
    let folder = desk.root().join(FOLDER);
    let path = Path::new(name);
    let stem = path.file_stem().unwrap_or_default().to_string_lossy();
    let ending = path.extension().map_or_else(String::new, |ending| {
        format!(".{}", ending.to_string_lossy())
    });
    for number in 1..10_000_u32 {
        let candidate = match number {
            1 => format!("{stem}{ending}"),
            _ => format!("{stem}-{number}{ending}"),
        };
        let place = folder.join(&candidate);
        match std::fs::read(&place) {
            Ok(there) if there == bytes => {}
            Ok(_) => continue,
            Err(_) => files::write_whole(&place, bytes)?,
        }
        return Ok(format!("{FOLDER}/{candidate}"));
    }
    Err(DeskError::new(
        FOLDER,
        format!("there are thousands of files named like `{name}`"),
        "Give the measurement another name.",
    ))
}

fn refused(name: &str, error: &ProofError) -> DeskError {
    let hint = match error {
        ProofError::Line { .. } => "Mend that line, or export the measurement again.",
        ProofError::File(_) => {
            "Export it again as CGATS text with Lab or XYZ values and the patches' names."
        }
        ProofError::OtherStrip(_) => {
            "Read it in the book that it was printed for; `foredge proof` lists this book's proofs."
        }
        ProofError::Mark(_) => "Leave the line with the mark as the program has written it.",
        ProofError::Colour(_) => "Look at the book's press condition.",
    };
    let place = match error {
        ProofError::Line { line, .. } => format!("{name}:{line}"),
        _ => name.to_owned(),
    };
    let problem = match error {
        ProofError::Line { what, .. } => what.clone(),
        other => other.to_string(),
    };
    DeskError::new(place, problem, hint)
}

fn scan_refused(name: &str, error: &ScanError) -> DeskError {
    let hint = match error {
        ScanError::Picture(_) => "Scan in colour at 300 ppi and save as TIFF or PNG.",
        ScanError::NoMark(_) => {
            "Lay the whole strip on the glass, its square mark included, and scan at 300 ppi."
        }
        ScanError::OtherStrip { .. } => "Scan the proof of this book.",
        ScanError::Several(_) => "Cut the others off the picture, or scan one strip at a time.",
        ScanError::Strip(_) => "Lay the whole strip flat on the glass and scan it again.",
        ScanError::Colour(_) => {
            "Turn off every improvement of the scanner's program (levels, sharpening, colour), or \
             give the scanner's ICC profile with `--scanner`."
        }
        ScanError::Library(_) => "Look at the scan's embedded profile.",
    };
    DeskError::new(name, error.to_string(), hint)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_is_read_in_the_encodings_that_instruments_write() {
        let wide: Vec<u8> = [0xff, 0xfe]
            .into_iter()
            .chain("A1 ü".encode_utf16().flat_map(u16::to_le_bytes))
            .collect();
        assert_eq!(text_of("x", &wide).unwrap(), "A1 ü");
        assert_eq!(text_of("x", b"\xef\xbb\xbfA1").unwrap(), "A1");
        assert_eq!(text_of("x", b"A1 \xfc").unwrap(), "A1 ü");
        assert!(text_of("x", b"").is_err());
        assert!(text_of("x", b"%PDF-1.6").is_err());
        assert!(text_of("x", b"ab\0cd").is_err());
    }
}
