//! Making the press files: entry by entry, a few at once, written in reading order; what has not
//! changed is taken over from the last press file byte by byte.

use std::collections::{BTreeMap, HashMap};
use std::fs::File;
use std::io::{BufWriter, Read};
use std::path::{Path, PathBuf};
use std::time::Duration;

use art::{Limits, Picture};
use book::PictureCoding;
use book::plan::{Cause, PlacedWords, ReaderPage};
use finding::{Finding, Place, Severity};
use measure::{Length, PixelSize, Rect};
use press::{
    Facts as FileFacts, FileKind, ImageCoding, ImageData, ImageSource, OutputIntent, PageInput,
    PressError, PressWriter, StoredImage, WordsInput,
};

use crate::conveyor::{self, Load};
use crate::digest::{Digest, DigestingWriter};
use crate::facts::{self, Facts, SheetFacts};
use crate::files::{self, Lock, Unfinished};
use crate::inks::{self, Inks};
use crate::manifest::{
    ArtInput, BookInputs, ConditionInputs, LAYOUT, MadeFile, MadePage, MadePicture, Manifest,
};
use crate::record::{Seen, Signs};
use crate::unit::{self, Group, Known, Making, Sheet};
use crate::{Desk, DeskError, PressReport, Standing, Watch, art_folder, moment};

/// Name of the interior in the press folder.
pub(crate) const INTERIOR: &str = "interior.pdf";
/// Name of the cover in the press folder.
pub(crate) const COVER: &str = "cover.pdf";
/// Name of the manifest in the press folder.
pub(crate) const MANIFEST: &str = "manifest.json";
/// All of them.
pub(crate) const FILES: [&str; 3] = [INTERIOR, COVER, MANIFEST];

/// Memory for entries in making. With the finished ones that wait to be written, the program and
/// its tables this stays under 1.5 GiB.
const MAKING_BYTES: u64 = 900 << 20;
/// Bytes that a pixel of the art takes while it is brought to press pixels: 8-bit RGB, and the
/// same in linear light at 16 bits.
const BYTES_OF_ART_PIXEL: u64 = 9;
/// Bytes that a press pixel takes: 16-bit RGB, CMYK, and its compressed stream.
const BYTES_OF_PRESS_PIXEL: u64 = 14;
/// Writes smaller than this are gathered.
const BUFFER: usize = 1 << 20;

/// Everything that decides the press files, and what they will be made of.
pub(crate) struct Plan<'a> {
    pub standing: &'a Standing,
    pub inks: &'a Inks,
    pub making: Making,
    pub art: HashMap<&'a str, ArtFile<'a>>,
    pub interior: Vec<Unit<'a>>,
    pub cover: Option<Unit<'a>>,
    pub facts: Facts,
}

/// A readable piece of art.
#[derive(Debug, Clone, Copy)]
pub(crate) struct ArtFile<'a> {
    pub known: Known,
    pub path: &'a Path,
    pub bytes: u64,
}

/// The sheets of one entry.
pub(crate) struct Unit<'a> {
    /// Number of the first sheet, 1-based.
    pub first: u32,
    pub sheets: Vec<Sheet<'a>>,
    pub groups: Vec<Group>,
}

impl<'a> Plan<'a> {
    /// Lays out everything without decoding any art.
    pub(crate) fn new(
        desk: &Desk,
        standing: &'a Standing,
        inks: &'a Inks,
    ) -> Result<Self, DeskError> {
        let snapshot = &standing.snapshot;
        let book = &snapshot.book;
        let mut interior: Vec<(u32, Vec<Sheet<'a>>)> = Vec::new();
        let mut last_entry = None;
        for page in &snapshot.plan.pages {
            let sheet = Sheet::of_page(page, &book.format);
            let entry = match page.cause {
                Cause::Entry(index) => Some(index),
                Cause::ForcedByFold { .. } | Cause::ForcedBySignature => None,
            };
            match interior.last_mut() {
                Some((_, sheets)) if entry.is_some() && entry == last_entry => sheets.push(sheet),
                _ => interior.push((page.number.0, vec![sheet])),
            }
            last_entry = entry;
        }
        let cover = snapshot
            .cover
            .as_ref()
            .map(|cover| vec![Sheet::of_cover(cover, &book.format)]);
        let art = art_files(
            desk,
            standing,
            interior.iter().map(|(_, sheets)| sheets).chain(&cover),
        )?;
        let making = Making {
            resolution: book.press.resolution,
            coding: match book.press.pictures {
                PictureCoding::Lossless => ImageCoding::Lossless,
                PictureCoding::Jpeg => ImageCoding::Jpeg,
            },
            inks: inks.digest,
        };
        let unit = |first: u32, sheets: Vec<Sheet<'a>>| Unit {
            first,
            groups: unit::groups(
                &sheets,
                |piece| art.get(piece).map(|art| art.known),
                &making,
            ),
            sheets,
        };
        let interior: Vec<Unit<'a>> = interior
            .into_iter()
            .map(|(first, sheets)| unit(first, sheets))
            .collect();
        let cover = cover.map(|sheets| unit(1, sheets));
        let mut facts = Facts::of_decisions(book, &snapshot.object, inks);
        let language = &book.about.language;
        facts.pages = interior
            .iter()
            .flat_map(|unit| unit.sheet_facts(language))
            .collect();
        facts.cover = cover
            .as_ref()
            .and_then(|unit| unit.sheet_facts(language).pop());
        facts.art = art
            .iter()
            .map(|(name, art)| ((*name).to_owned(), art.known.digest))
            .collect();
        Ok(Self {
            standing,
            inks,
            making,
            art,
            interior,
            cover,
            facts,
        })
    }
}

impl Unit<'_> {
    fn sheet_facts(&self, language: &str) -> Vec<SheetFacts> {
        self.sheets
            .iter()
            .enumerate()
            .map(|(index, sheet)| SheetFacts {
                digest: unit::sheet_digest(
                    sheet,
                    &unit::cuts_of_sheet(&self.groups, index),
                    language,
                ),
                shows: unit::pieces_of(std::slice::from_ref(sheet))
                    .into_iter()
                    .map(str::to_owned)
                    .collect(),
            })
            .collect()
    }

    /// Bytes needed while it is made.
    fn needs(&self, art: &HashMap<&str, ArtFile<'_>>) -> u64 {
        let group = |group: &Group| {
            let art = art.get(group.piece.as_str());
            art.map_or(0, |art| art.known.size.count()) * BYTES_OF_ART_PIXEL
                + group.size.count() * BYTES_OF_PRESS_PIXEL
        };
        // Groups are made one after the other.
        self.groups.iter().map(group).max().unwrap_or(0)
    }
}

/// The readable art of the sheets, with digests.
fn art_files<'a, 'b>(
    desk: &Desk,
    standing: &'a Standing,
    sheets: impl Iterator<Item = &'b Vec<Sheet<'a>>>,
) -> Result<HashMap<&'a str, ArtFile<'a>>, DeskError>
where
    'a: 'b,
{
    let shown: std::collections::HashSet<&str> =
        sheets.flat_map(|sheets| unit::pieces_of(sheets)).collect();
    let pieces: Vec<&art_folder::Piece> = standing
        .art
        .iter()
        .filter(|piece| piece.size.is_ok() && shown.contains(piece.name.as_str()))
        .collect();
    let digests = desk.with_record(|record| art_folder::digests(&pieces, record))?;
    Ok(pieces
        .into_iter()
        .zip(digests)
        .filter_map(|(piece, digest)| {
            let known = Known {
                size: *piece.size.as_ref().ok()?,
                digest: digest?,
            };
            let file = ArtFile {
                known,
                path: &piece.path,
                bytes: piece.signs.map_or(0, |signs| signs.size),
            };
            Some((piece.name.as_str(), file))
        })
        .collect())
}

/// Makes the press files and the manifest.
pub(crate) fn run(desk: &Desk, watch: &dyn Watch) -> Result<PressReport, DeskError> {
    let folder = desk.root().join("press");
    let lock = Lock::take(&desk.private("press.lock"), Duration::ZERO)?;
    let Some(_lock) = lock else {
        return Err(DeskError::new(
            folder.display().to_string(),
            "the press files are being made already",
            "Wait until that is done, or stop it.",
        ));
    };
    let standing = desk.standing()?;
    let inks = desk.inks(&standing.snapshot.book)?;
    let plan = Plan::new(desk, &standing, &inks)?;
    refuse_what_cannot_be_pressed(&plan)?;
    files::sweep(&folder);

    let old = Manifest::read(&folder.join(MANIFEST));
    let total = plan.facts.pages.len() + usize::from(plan.cover.is_some());
    let mut report = PressReport {
        files: Vec::new(),
        pages: plan.facts.page_count,
        rendered: 0,
        findings: plan.standing.snapshot.findings.clone(),
    };
    let mut made = Vec::new();
    let mut unfinished = Vec::new();
    let interior = FileJob {
        name: INTERIOR,
        kind: FileKind::Interior,
        units: &plan.interior,
        inputs: plan.facts.interior(),
    };
    let cover = plan.cover.as_ref().map(|unit| FileJob {
        name: COVER,
        kind: FileKind::Cover,
        units: std::slice::from_ref(unit),
        inputs: plan.facts.cover_inputs().unwrap_or(inks.digest),
    });
    let mut done = 0;
    for job in std::iter::once(&interior).chain(&cover) {
        let target = folder.join(job.name);
        report.files.push(target.clone());
        let last = LastFile::find(desk, old.as_ref(), &target, job.name);
        if let Some(last) = &last
            && last.made.inputs_blake3 == job.inputs
            && last.is_untouched(desk)
        {
            done += job.sheets();
            watch.step(done, total, job.name);
            report.findings.extend(words_findings(&plan, job)?);
            made.push(last.made.clone());
            continue;
        }
        let progress = Progress {
            watch,
            before: done,
            total,
        };
        let (file, written) = job.make(&plan, &target, last.as_ref(), &progress)?;
        done += job.sheets();
        report.rendered += written.rendered;
        report.findings.extend(written.findings);
        made.push(written.made);
        unfinished.push(file);
    }
    if watch.stopped() {
        return Err(DeskError::stopped("press"));
    }
    // All files are whole; only now do the former ones give way.
    for file in unfinished {
        file.finish()?;
    }
    let files = made.clone();
    manifest(&plan, made).write(&folder.join(MANIFEST))?;
    remember(desk, &plan, &folder, &files)?;
    report.findings.extend(old_cover(&plan, &folder));
    report.findings.extend(art_findings(desk, &plan));
    Ok(report)
}

/// One press file to make.
struct FileJob<'a> {
    name: &'static str,
    kind: FileKind,
    units: &'a [Unit<'a>],
    inputs: Digest,
}

struct Progress<'a> {
    watch: &'a dyn Watch,
    before: usize,
    total: usize,
}

struct Written {
    made: MadeFile,
    rendered: u32,
    findings: Vec<Finding>,
}

impl FileJob<'_> {
    fn sheets(&self) -> usize {
        self.units.iter().map(|unit| unit.sheets.len()).sum()
    }

    fn make(
        &self,
        plan: &Plan<'_>,
        target: &Path,
        last: Option<&LastFile>,
        progress: &Progress<'_>,
    ) -> Result<(Unfinished, Written), DeskError> {
        let failed = |error: PressError| write_failed(target, error);
        let book = &plan.standing.snapshot.book;
        let unfinished = Unfinished::begin(target)?;
        let out = BufWriter::with_capacity(BUFFER, DigestingWriter::new(unfinished.file()));
        let facts = FileFacts {
            kind: self.kind,
            title: book.about.title.clone(),
            author: book.about.author.clone(),
            language: book.about.language.clone(),
            created: moment::now(),
            id: self.inputs.short(),
        };
        let condition = &plan.inks.condition;
        let intent = OutputIntent {
            identifier: condition.identifier.clone(),
            registry: condition.registry.clone(),
            info: condition.info.clone(),
            profile: condition.profile.bytes().to_vec(),
        };
        let mut writer = PressWriter::begin(out, &facts, &intent).map_err(failed)?;
        let mut pages = Vec::new();
        let mut findings = Vec::new();
        let mut rendered = 0;
        let needs: Vec<u64> = self
            .units
            .iter()
            .map(|unit| unit.needs(&plan.art))
            .collect();
        let load = Load {
            workers: std::thread::available_parallelism().map_or(1, usize::from),
            bytes: MAKING_BYTES,
        };
        let stop = || progress.watch.stopped();
        conveyor::run(
            &needs,
            load,
            |index| make_unit(plan, &self.units[index], last, &stop),
            |index, sheets| {
                let unit = &self.units[index];
                for (sheet, made) in unit.sheets.iter().zip(sheets) {
                    if stop() {
                        return Err(DeskError::stopped("press"));
                    }
                    let number = pages.len() as u32 + 1;
                    findings.extend(made.findings(self.kind, number));
                    rendered += u32::from(made.pictures.iter().any(MadeImage::is_new));
                    pages.push(write_sheet(&mut writer, sheet, made, number).map_err(failed)?);
                    let what = format!("{}, page {number}", self.name);
                    progress
                        .watch
                        .step(progress.before + pages.len(), progress.total, &what);
                }
                Ok(())
            },
        )?;
        let out = writer.finish().map_err(failed)?;
        let out = out
            .into_inner()
            .map_err(|error| DeskError::io(target, "write the press file", error.error()))?;
        let (_, size_bytes, blake3) = out.done();
        let language = &book.about.language;
        let digests = self
            .units
            .iter()
            .flat_map(|unit| unit.sheet_facts(language));
        for (page, facts) in pages.iter_mut().zip(digests) {
            page.inputs_blake3 = facts.digest;
        }
        let made = MadeFile {
            file: self.name.to_owned(),
            size_bytes,
            blake3,
            inputs_blake3: self.inputs,
            pages,
        };
        Ok((
            unfinished,
            Written {
                made,
                rendered,
                findings,
            },
        ))
    }
}

/// A sheet, ready to be written.
struct MadeSheet<'a> {
    pictures: Vec<MadeImage<'a>>,
    words: Vec<WordsInput>,
    overflow: Length,
}

struct MadeImage<'a> {
    piece: String,
    key: Digest,
    rect: Rect,
    stream: Stream<'a>,
    blake3: Digest,
}

/// Where a picture's stream comes from.
enum Stream<'a> {
    /// Made now.
    Made(ImageData),
    /// Lies unharmed in the last press file, and is copied from there part by part, so that it
    /// needs no memory.
    Kept(StoredImage, Part<'a>),
}

impl Stream<'_> {
    fn kind(&self) -> (PixelSize, ImageCoding) {
        match self {
            Self::Made(data) => (data.size, data.coding),
            Self::Kept(stored, _) => (stored.size, stored.coding),
        }
    }

    /// Hands it over for writing.
    fn source(&mut self) -> ImageSource<'_> {
        match self {
            Self::Made(data) => ImageSource::Made(ImageData {
                size: data.size,
                coding: data.coding,
                bytes: std::mem::take(&mut data.bytes),
            }),
            Self::Kept(stored, part) => ImageSource::Kept {
                stored: *stored,
                from: part,
            },
        }
    }
}

/// A part of a file, read from its beginning on.
struct Part<'a> {
    file: &'a File,
    offset: u64,
    left: u64,
}

impl Read for Part<'_> {
    fn read(&mut self, bytes: &mut [u8]) -> std::io::Result<usize> {
        let most = usize::try_from(self.left).map_or(bytes.len(), |left| left.min(bytes.len()));
        let read = read_at(self.file, &mut bytes[..most], self.offset)?;
        self.offset += read as u64;
        self.left -= read as u64;
        Ok(read)
    }
}

impl MadeImage<'_> {
    fn is_new(&self) -> bool {
        matches!(self.stream, Stream::Made(_))
    }
}

impl MadeSheet<'_> {
    fn findings(&self, kind: FileKind, number: u32) -> Option<Finding> {
        overflow_finding(kind, number, self.overflow)
    }
}

fn overflow_finding(kind: FileKind, number: u32, overflow: Length) -> Option<Finding> {
    // A thousandth of a millimetre is rounding, not words.
    if overflow <= Length::from_um(1.0) {
        return None;
    }
    let (place, where_) = match kind {
        FileKind::Interior => (Place::Page(number), format!("on page {number}")),
        FileKind::Cover => (Place::Whole, "on the cover".to_owned()),
    };
    Some(
        Finding::new(
            "press-words-overflow",
            Severity::Stop,
            place,
            format!(
                "The words {where_} are {:.1} mm taller than the room they have.",
                overflow.mm()
            ),
        )
        .hint("Shorten them, or part them over two pages.")
        .figures(format!("{:.1} mm too tall", overflow.mm()), "0 mm"),
    )
}

fn write_sheet<W: std::io::Write>(
    writer: &mut PressWriter<W>,
    sheet: &Sheet<'_>,
    mut made: MadeSheet<'_>,
    number: u32,
) -> Result<MadePage, PressError> {
    let mut pictures: Vec<MadePicture> = made
        .pictures
        .iter()
        .map(|image| {
            let (size, coding) = image.stream.kind();
            MadePicture {
                piece: image.piece.clone(),
                inputs_blake3: image.key,
                width_px: size.width,
                height_px: size.height,
                coding: unit::coding_word(coding).to_owned(),
                offset_bytes: 0,
                length_bytes: 0,
                blake3: image.blake3,
            }
        })
        .collect();
    let images = made
        .pictures
        .iter_mut()
        .map(|image| (image.rect, image.stream.source()))
        .collect();
    let stored = writer.page(PageInput {
        trim: sheet.trim,
        bleed: sheet.bleed,
        ground: sheet.tint(),
        images,
        words: made.words,
    })?;
    for (picture, stored) in pictures.iter_mut().zip(stored.images) {
        picture.offset_bytes = stored.offset;
        picture.length_bytes = stored.length;
    }
    Ok(MadePage {
        page: number,
        inputs_blake3: Digest::of(b""),
        pictures,
    })
}

fn make_unit<'a>(
    plan: &Plan<'_>,
    unit: &Unit<'_>,
    last: Option<&'a LastFile>,
    stop: &(dyn Fn() -> bool + Sync),
) -> Result<Vec<MadeSheet<'a>>, DeskError> {
    let stopped = || {
        if stop() {
            Err(DeskError::stopped("press"))
        } else {
            Ok(())
        }
    };
    let mut sheets: Vec<MadeSheet<'a>> = Vec::new();
    for (index, sheet) in unit.sheets.iter().enumerate() {
        let number = ReaderPage(unit.first + index as u32);
        let (words, overflow) = set_words(plan, sheet.words, number)?;
        sheets.push(MadeSheet {
            pictures: Vec::new(),
            words,
            overflow,
        });
    }
    let mut images: Vec<(usize, usize, MadeImage<'a>)> = Vec::new();
    for group in &unit.groups {
        stopped()?;
        let made = match kept_group(group, last) {
            Some(kept) => kept,
            None => render_group(plan, group, &stopped)?,
        };
        for (cut, image) in group.cuts.iter().zip(made) {
            images.push((cut.sheet, cut.picture, image));
        }
    }
    // Pictures lie over each other in the order of the sheet, whatever groups they came from.
    images.sort_by_key(|(sheet, picture, _)| (*sheet, *picture));
    for (sheet, _, image) in images {
        sheets[sheet].pictures.push(image);
    }
    Ok(sheets)
}

/// The streams of a group out of the last press file, if all of them are there and unharmed.
fn kept_group<'a>(group: &Group, last: Option<&'a LastFile>) -> Option<Vec<MadeImage<'a>>> {
    let last = last?;
    group
        .cuts
        .iter()
        .map(|cut| {
            let (picture, stored) = last.take_over(cut.key)?;
            (stored.size == cut.part.size()).then(|| MadeImage {
                piece: group.piece.clone(),
                key: cut.key,
                rect: cut.rect,
                stream: Stream::Kept(stored, last.part(&stored)),
                blake3: picture.blake3,
            })
        })
        .collect()
}

fn render_group(
    plan: &Plan<'_>,
    group: &Group,
    stopped: &dyn Fn() -> Result<(), DeskError>,
) -> Result<Vec<MadeImage<'static>>, DeskError> {
    let art = plan.art.get(group.piece.as_str()).ok_or_else(|| {
        // Refused before any work began.
        unusable_art(&group.piece, "it is not there")
    })?;
    let cmyk = {
        let picture = decode(art, &group.piece)?;
        stopped()?;
        let black = inks::black_of(&picture);
        let picture = art::resample(&picture, group.window, group.size);
        stopped()?;
        plan.inks
            .separate(&picture, black)
            .map_err(|error| unusable_art(&group.piece, &error.to_string()))?
    };
    let mut images = Vec::new();
    for cut in &group.cuts {
        stopped()?;
        let size = cut.part.size();
        let data = if size == group.size {
            ImageData::encode(size, plan.making.coding, &cmyk)
        } else {
            let part = crop(&cmyk, group.size, cut.part);
            ImageData::encode(size, plan.making.coding, &part)
        };
        images.push(MadeImage {
            piece: group.piece.clone(),
            key: cut.key,
            rect: cut.rect,
            blake3: Digest::of_large(&data.bytes),
            stream: Stream::Made(data),
        });
    }
    Ok(images)
}

/// Reads and decodes a piece, and makes sure that it still is the one that was planned with.
pub(crate) fn decode(art: &ArtFile<'_>, name: &str) -> Result<Picture, DeskError> {
    let bytes = art_folder::read(art.path, name)?;
    let picture = art::decode(&bytes, &Limits::default())
        .map_err(|error| unusable_art(name, &error.to_string()))?;
    if picture.size != art.known.size {
        return Err(unusable_art(
            name,
            &format!(
                "its header says {}, but it holds {}",
                art.known.size, picture.size
            ),
        ));
    }
    Ok(picture)
}

/// A part of CMYK bytes.
pub(crate) fn crop(cmyk: &[u8], size: PixelSize, part: crate::grid::PixelRect) -> Vec<u8> {
    let row = size.width as usize * 4;
    let (left, right) = (part.left as usize * 4, part.right as usize * 4);
    let rows = part.top as usize..part.bottom as usize;
    let mut out = Vec::with_capacity(rows.len() * (right - left));
    for line in rows {
        out.extend_from_slice(&cmyk[line * row + left..line * row + right]);
    }
    out
}

/// Sets the words of a sheet; also the most by which any of them is too tall.
pub(crate) fn set_words(
    plan: &Plan<'_>,
    placed: &[PlacedWords],
    page: ReaderPage,
) -> Result<(Vec<WordsInput>, Length), DeskError> {
    let book = &plan.standing.snapshot.book;
    let mut set = Vec::new();
    let mut overflow = Length::ZERO;
    for placed in placed {
        let block = unit::block(placed, &book.about.language);
        let galley = words::set(&block).map_err(|error| {
            DeskError::new(
                format!("book.toml, words of page {}", page.0),
                error.to_string(),
                "Write them with other characters.",
            )
        })?;
        overflow = overflow.max(galley.overflow);
        set.push(unit::placed(placed, galley));
    }
    Ok((set, overflow))
}

/// What the words of a file that is taken over whole would have been found to be.
fn words_findings(plan: &Plan<'_>, job: &FileJob<'_>) -> Result<Vec<Finding>, DeskError> {
    let mut findings = Vec::new();
    for unit in job.units {
        for (number, sheet) in (unit.first..).zip(&unit.sheets) {
            let (_, overflow) = set_words(plan, sheet.words, ReaderPage(number))?;
            findings.extend(overflow_finding(job.kind, number, overflow));
        }
    }
    Ok(findings)
}

/// A press file made before, with what the manifest says of it.
struct LastFile {
    made: MadeFile,
    path: PathBuf,
    file: File,
    pictures: HashMap<Digest, MadePicture>,
}

impl LastFile {
    fn find(desk: &Desk, old: Option<&Manifest>, path: &Path, name: &str) -> Option<Self> {
        let _ = desk;
        let old = old?;
        let made = old.files.iter().find(|made| made.file == name)?.clone();
        Some(Self {
            file: File::open(path).ok()?,
            path: path.to_owned(),
            pictures: old.kept_pictures(name),
            made,
        })
    }

    /// Whether the file still is what the manifest says.
    fn is_untouched(&self, desk: &Desk) -> bool {
        desk.digest_of(&self.path) == Some(self.made.blake3)
    }

    /// A stream of the file. `None` when it is not there or has been harmed: then it is made anew.
    fn take_over(&self, key: Digest) -> Option<(&MadePicture, StoredImage)> {
        let picture = self.pictures.get(&key)?;
        let length = self.file.metadata().ok()?.len();
        let end = picture.offset_bytes.checked_add(picture.length_bytes)?;
        if end > length {
            return None;
        }
        let stored = StoredImage {
            size: PixelSize {
                width: picture.width_px,
                height: picture.height_px,
            },
            coding: unit::coding_of(&picture.coding)?,
            offset: picture.offset_bytes,
            length: picture.length_bytes,
        };
        let digest = art_folder::digest_all(&mut self.part(&stored)).ok()?;
        (digest == picture.blake3).then_some((picture, stored))
    }

    fn part(&self, stored: &StoredImage) -> Part<'_> {
        Part {
            file: &self.file,
            offset: stored.offset,
            left: stored.length,
        }
    }
}

#[cfg(unix)]
fn read_at(file: &File, bytes: &mut [u8], offset: u64) -> std::io::Result<usize> {
    use std::os::unix::fs::FileExt;
    file.read_at(bytes, offset)
}

#[cfg(windows)]
fn read_at(file: &File, bytes: &mut [u8], offset: u64) -> std::io::Result<usize> {
    use std::os::windows::fs::FileExt;
    file.seek_read(bytes, offset)
}

fn manifest(plan: &Plan<'_>, files: Vec<MadeFile>) -> Manifest {
    let standing = plan.standing;
    let book = &standing.snapshot.book;
    let mut art: Vec<ArtInput> = plan
        .art
        .iter()
        .map(|(piece, art)| ArtInput {
            piece: (*piece).to_owned(),
            size_bytes: art.bytes,
            blake3: art.known.digest,
        })
        .collect();
    art.sort_by(|one, other| one.piece.cmp(&other.piece));
    Manifest {
        layout: LAYOUT,
        program: crate::PROGRAM.to_owned(),
        created: moment::now(),
        book: BookInputs {
            title: book.about.title.clone(),
            file_blake3: standing.digest,
            decisions_blake3: Digest::of(format!("{book:?}").as_bytes()),
        },
        press_condition: ConditionInputs {
            name: plan.inks.condition.name.clone(),
            identifier: plan.inks.condition.identifier.clone(),
            profile_blake3: Digest::of(plan.inks.condition.profile.bytes()),
            rendering: plan.facts.rendering.clone(),
            ink_limit_percent: plan.inks.ink_limit.percent(),
        },
        art,
        files,
    }
}

/// Records what was made, so that the status can tell what it was made from.
fn remember(
    desk: &Desk,
    plan: &Plan<'_>,
    folder: &Path,
    files: &[MadeFile],
) -> Result<(), DeskError> {
    let facts =
        serde_json::to_string(&plan.facts).expect("facts hold only strings, numbers and lists");
    let seen: Vec<(String, Signs, Seen)> = files
        .iter()
        .filter_map(|made| {
            let seen = Seen {
                digest: Some(made.blake3),
                picture: None,
            };
            let signs = Signs::of(&folder.join(&made.file)).ok()?;
            Some((format!("press/{}", made.file), signs, seen))
        })
        .collect();
    desk.with_record(|record| {
        for made in files {
            record.add_made(&made.file, &facts)?;
        }
        record.remember(&seen)
    })
}

/// A book that cannot be pressed is refused with all that is missing, before any work.
fn refuse_what_cannot_be_pressed(plan: &Plan<'_>) -> Result<(), DeskError> {
    let mut missing: BTreeMap<&str, String> = BTreeMap::new();
    let sheets = plan
        .interior
        .iter()
        .chain(&plan.cover)
        .flat_map(|unit| &unit.sheets);
    for placed in sheets.flat_map(|sheet| sheet.pictures) {
        if plan.art.contains_key(placed.piece.as_str()) {
            continue;
        }
        let piece = plan
            .standing
            .art
            .iter()
            .find(|piece| piece.name == placed.piece);
        let why = match piece.map(|piece| &piece.size) {
            Some(Err(problem)) => problem.clone(),
            Some(Ok(_)) => "it cannot be read".to_owned(),
            None => "it is not there".to_owned(),
        };
        missing.insert(&placed.piece, why);
    }
    let mut missing = missing.into_iter();
    let Some((piece, why)) = missing.next() else {
        return Ok(());
    };
    let mut error = unusable_art(piece, &why);
    for (piece, why) in missing {
        error.hint.push_str(&format!("\nAlso art/{piece}: {why}."));
    }
    Err(error)
}

/// A cover that the binding has no use for any more would be sent by mistake.
fn old_cover(plan: &Plan<'_>, folder: &Path) -> Option<Finding> {
    let path = folder.join(COVER);
    (plan.cover.is_none() && path.exists()).then(|| {
        Finding::new(
            "press-cover-left-over",
            Severity::Warn,
            Place::Whole,
            format!(
                "press/{COVER} is left over from another binding; a {} book has no soft cover.",
                plan.facts.binding
            ),
        )
        .hint("Take the file away, so that it is not sent by mistake.")
    })
}

/// What is known of the art as it is placed; from memory where it was judged already.
fn art_findings(desk: &Desk, plan: &Plan<'_>) -> Vec<Finding> {
    match crate::judge::known(desk, plan.standing, plan.inks) {
        Ok(Some(report)) => report
            .findings
            .into_iter()
            .filter(|finding| finding.severity >= Severity::Warn)
            .collect(),
        _ => crate::judge::resolution_findings(plan.standing),
    }
}

pub(crate) fn unusable_art(piece: &str, problem: &str) -> DeskError {
    DeskError::new(
        format!("art/{piece}"),
        problem,
        "Put a whole picture there, or take it out of the running order.",
    )
}

fn write_failed(target: &Path, error: PressError) -> DeskError {
    match error {
        PressError::Io(error) => DeskError::io(target, "write the press file", &error),
        other => DeskError::new(
            target.display().to_string(),
            other.to_string(),
            "The former press files are untouched.",
        ),
    }
}

/// Why a press file is not fit for the book any more, in words.
pub(crate) fn reasons(then: &Facts, now: &Facts, cover: bool) -> Vec<String> {
    facts::changes(then, now)
        .into_iter()
        .filter(|change| {
            if cover {
                change.touches_cover
            } else {
                change.touches_interior
            }
        })
        .map(|change| change.text)
        .collect()
}
