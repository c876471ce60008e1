//! What the press files will be made of, laid out before any art is decoded.

use std::collections::HashMap;
use std::path::Path;

use book::PictureCoding;
use book::plan::{Cause, SheetPlan};
use press::ImageCoding;

use crate::digest::{Digest, Gather};
use crate::facts::{Facts, FlatFacts, SheetFacts};
use crate::finishing::Stamp;
use crate::inks::Inks;
use crate::paper::{Paper, Softens, Treatment};
use crate::unit::{self, Group, Known, Making, Sheet};
use crate::{Desk, DeskError, PressFile, Standing, art_folder};

/// Bytes that a pixel of the art takes while it is brought to press pixels: 8-bit RGB, and the
/// same in linear light at 16 bits.
const BYTES_OF_ART_PIXEL: u64 = 9;
/// Bytes that a press pixel takes: 16-bit RGB, CMYK, and its compressed stream.
const BYTES_OF_PRESS_PIXEL: u64 = 14;

/// Everything that decides the press files, and what they will be made of.
pub(crate) struct Plan<'a> {
    pub desk: &'a Desk,
    pub standing: &'a Standing,
    pub inks: &'a Inks,
    pub coding: ImageCoding,
    pub art: HashMap<&'a str, ArtFile<'a>>,
    pub interior: Vec<Unit<'a>>,
    /// The other files, each with a unit a sheet.
    pub flats: Vec<FlatFile<'a>>,
    pub facts: Facts,
}

/// A readable piece of art.
#[derive(Debug, Clone, Copy)]
pub(crate) struct ArtFile<'a> {
    pub known: Known,
    pub path: &'a Path,
    pub bytes: u64,
}

/// A press file of sheets beside the pages.
pub(crate) struct FlatFile<'a> {
    pub file: PressFile,
    /// One for each sheet, in order.
    pub units: Vec<Unit<'a>>,
}

/// The sheets of one entry, or one sheet beside the pages.
pub(crate) struct Unit<'a> {
    /// Number of the first sheet, 1-based.
    pub first: u32,
    pub sheets: Vec<Sheet<'a>>,
    pub groups: Vec<Group>,
    /// Finishings of its one sheet, if that is no page.
    pub stamps: Vec<Stamp<'a>>,
}

impl<'a> Plan<'a> {
    /// Lays out everything without decoding any art.
    pub(crate) fn new(
        desk: &'a Desk,
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
        let flats: Vec<(PressFile, Vec<Vec<Sheet<'a>>>)> = PressFile::ALL
            .into_iter()
            .map(|file| (file, file.sheets(snapshot)))
            .filter(|(_, sheets)| !sheets.is_empty())
            .map(|(file, sheets)| {
                let sheets = sheets.into_iter().map(|plan| vec![Sheet::of_flat(plan)]);
                (file, sheets.collect())
            })
            .collect();
        let art = art_files(
            desk,
            standing,
            interior
                .iter()
                .map(|(_, sheets)| sheets)
                .chain(flats.iter().flat_map(|(_, sheets)| sheets)),
        )?;
        let making = |finish| Making {
            resolution: book.press.resolution,
            coding: match book.press.pictures {
                PictureCoding::Lossless => ImageCoding::Lossless,
                PictureCoding::Jpeg => ImageCoding::Jpeg,
            },
            inks: inks.whole,
            softens: Softens::new(finish, &book.paper),
        };
        let of_text = making(book.text_stock.finish);
        let of_cover = making(book.cover_stock.finish);
        let unit = |first: u32, sheets: Vec<Sheet<'a>>, making: &Making| Unit {
            first,
            groups: unit::groups(&sheets, |piece| art.get(piece).map(|art| art.known), making),
            stamps: sheets
                .iter()
                .filter_map(|sheet| sheet.flat)
                .flat_map(|flat| Stamp::all(desk, snapshot, flat))
                .collect(),
            sheets,
        };
        let interior: Vec<Unit<'a>> = interior
            .into_iter()
            .map(|(first, sheets)| unit(first, sheets, &of_text))
            .collect();
        let flats: Vec<FlatFile<'a>> = flats
            .into_iter()
            .map(|(file, sheets)| FlatFile {
                file,
                units: (1..)
                    .zip(sheets)
                    .map(|(number, sheet)| unit(number, sheet, &of_cover))
                    .collect(),
            })
            .collect();
        let mut facts = Facts::of_decisions(snapshot, inks);
        let language = &book.about.language;
        facts.pages = interior
            .iter()
            .flat_map(|unit| unit.sheet_facts(language))
            .collect();
        facts.flats = flats
            .iter()
            .map(|flat| (flat.file.word().to_owned(), flat.facts(language)))
            .collect();
        facts.art = art
            .iter()
            .map(|(name, art)| ((*name).to_owned(), art.known.digest))
            .collect();
        let softens = [of_text.softens, of_cover.softens];
        facts.treated = art
            .iter()
            .map(|(name, art)| ((*name).to_owned(), treated(&art.known.treatment, softens)))
            .collect();
        Ok(Self {
            desk,
            standing,
            inks,
            coding: of_text.coding,
            art,
            interior,
            flats,
            facts,
        })
    }
}

/// Digest of all that is done to a piece for paper, wherever it stands.
fn treated(treatment: &Treatment, softens: [Softens; 2]) -> Digest {
    Gather::new("treated")
        .put("treatment", treatment.digest().to_string())
        .put("softens", format!("{softens:?}"))
        .done()
}

impl<'a> Plan<'a> {
    /// Every unit, those of the pages first.
    pub(crate) fn units(&self) -> impl Iterator<Item = &Unit<'a>> {
        let flats = self.flats.iter().flat_map(|flat| &flat.units);
        self.interior.iter().chain(flats)
    }

    /// The units of a file.
    pub(crate) fn units_of(&self, file: PressFile) -> &[Unit<'a>] {
        match file {
            PressFile::Interior => &self.interior,
            file => self
                .flats
                .iter()
                .find(|flat| flat.file == file)
                .map_or(&[], |flat| &flat.units),
        }
    }
}

impl FlatFile<'_> {
    fn facts(&self, language: &str) -> FlatFacts {
        let sheets: Vec<&SheetPlan> = self
            .units
            .iter()
            .flat_map(|unit| &unit.sheets)
            .filter_map(|sheet| sheet.flat)
            .collect();
        let of_first =
            |figure: fn(&SheetPlan) -> f64| sheets.first().map_or(0.0, |plan| figure(plan));
        let mut shape = Gather::new("shape");
        for plan in &sheets {
            shape.put("flat", format!("{:?}", plan.flat));
        }
        FlatFacts {
            kinds: sheets
                .iter()
                .map(|plan| plan.kind().word().to_owned())
                .collect(),
            spine_mm: of_first(|plan| plan.spine().mm()),
            width_mm: of_first(|plan| plan.flat.trim.width.mm()),
            height_mm: of_first(|plan| plan.flat.trim.height.mm()),
            shape: shape.done(),
            sheets: self
                .units
                .iter()
                .flat_map(|unit| unit.sheet_facts(language))
                .collect(),
            finishings: self
                .units
                .iter()
                .flat_map(|unit| &unit.stamps)
                .map(|stamp| (stamp.finishing.name.clone(), stamp.facts()))
                .collect(),
            bar_code: sheets
                .iter()
                .filter_map(|plan| plan.bar_code.as_ref())
                .map(|bars| format!("{bars:?}"))
                .collect(),
        }
    }
}

impl Unit<'_> {
    pub(super) fn sheet_facts(&self, language: &str) -> Vec<SheetFacts> {
        self.sheets
            .iter()
            .enumerate()
            .map(|(index, sheet)| SheetFacts {
                digest: self.with_plates(unit::sheet_digest(
                    sheet,
                    &unit::cuts_of_sheet(&self.groups, index),
                    language,
                )),
                shows: unit::pieces_of(std::slice::from_ref(sheet))
                    .into_iter()
                    .map(str::to_owned)
                    .collect(),
            })
            .collect()
    }

    fn with_plates(&self, sheet: Digest) -> Digest {
        if self.stamps.is_empty() {
            return sheet;
        }
        let mut all = Gather::new("sheet with plates");
        all.put("sheet", sheet.to_string());
        for stamp in &self.stamps {
            all.put("plate", stamp.digest().to_string());
        }
        all.done()
    }

    /// One of its sheets, as it is called within a sentence.
    pub(super) fn place_of(&self, index: usize) -> String {
        match self.sheets.get(index).and_then(|sheet| sheet.flat) {
            Some(flat) => format!("the {}", flat.kind().word()),
            None => format!("page {}", self.first + index as u32),
        }
    }

    /// Bytes needed while it is made.
    pub(super) fn needs(&self, art: &HashMap<&str, ArtFile<'_>>) -> u64 {
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
    let paper = Paper::of(&standing.snapshot.book);
    Ok(pieces
        .into_iter()
        .zip(digests)
        .filter_map(|(piece, digest)| {
            let known = Known {
                size: *piece.size.as_ref().ok()?,
                digest: digest?,
                treatment: paper.treatment(&piece.name),
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
