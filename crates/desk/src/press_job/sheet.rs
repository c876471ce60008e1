//! Sheets of one entry: made now or taken over, set, and written.

use art::{Limits, Picture};
use finding::{Finding, Place, Severity};
use measure::{Length, PixelSize, Rect};
use press::{
    Beside, FileKind, ImageCoding, ImageData, ImageSource, PageInput, Painted, PlateInput,
    PlateName, PressError, PressWriter, StoredImage, Tint, WordsInput,
};

use super::last_file::{LastFile, Part};
use super::plan::{ArtFile, Plan, Unit};
use super::unusable_art;
use crate::bar_code::digits;
use crate::digest::Digest;
use crate::finishing::{self, MadePlate};
use crate::inks::{self, Plates};
use crate::manifest::{MadePage, MadePicture};
use crate::unit::{self, Group, Sheet};
use crate::{DeskError, art_folder};

/// A sheet, ready to be written.
pub(super) struct MadeSheet<'a> {
    pub(super) pictures: Vec<MadeImage<'a>>,
    words: Vec<WordsInput>,
    overflow: Length,
    plates: Vec<SheetPlate>,
    /// What was found of its plates.
    of_plates: Vec<Finding>,
}

/// A plate, ready to be written.
struct SheetPlate {
    name: PlateName,
    alternate: Tint,
    made: MadePlate,
}

impl SheetPlate {
    fn input(&self) -> PlateInput<'_> {
        PlateInput {
            name: self.name.clone(),
            alternate: self.alternate,
            face: self.made.face,
            painted: match &self.made.painted {
                finishing::Painted::Shapes(shapes, _) => Painted::Shapes(shapes),
                finishing::Painted::Pixels(plate) => Painted::Pixels(plate),
            },
        }
    }
}

pub(super) struct MadeImage<'a> {
    piece: String,
    key: Digest,
    rect: Rect,
    stream: Stream<'a>,
    blake3: Digest,
}

/// Where a picture's stream comes from.
pub(super) enum Stream<'a> {
    /// Made now.
    Made(ImageData),
    /// Lies unharmed in the last press file, and is copied from there part by part, so that it
    /// needs no memory.
    Kept(StoredImage, Part<'a>),
}

impl Stream<'_> {
    pub(super) fn kind(&self) -> (PixelSize, ImageCoding) {
        match self {
            Self::Made(data) => (data.size, data.coding),
            Self::Kept(stored, _) => (stored.size, stored.coding),
        }
    }

    /// Hands it over for writing.
    pub(super) fn source(&mut self) -> ImageSource<'_> {
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

impl MadeImage<'_> {
    pub(super) fn is_new(&self) -> bool {
        matches!(self.stream, Stream::Made(_))
    }
}

impl MadeSheet<'_> {
    pub(super) fn findings(&self, kind: FileKind, number: u32) -> Vec<Finding> {
        overflow_finding(kind, number, self.overflow)
            .into_iter()
            .chain(self.of_plates.iter().cloned())
            .collect()
    }

    /// Hands its pictures and words over for writing.
    pub(super) fn input(&mut self, sheet: &Sheet<'_>) -> PageInput<'_> {
        PageInput {
            ground: sheet.tint(),
            images: self
                .pictures
                .iter_mut()
                .map(|image| (image.rect, image.stream.source()))
                .collect(),
            tints: sheet.tints(),
            words: std::mem::take(&mut self.words),
            plates: self.plates.iter().map(SheetPlate::input).collect(),
            ..PageInput::bare(sheet.trim, sheet.bleed)
        }
    }
}

pub(super) fn overflow_finding(kind: FileKind, number: u32, overflow: Length) -> Option<Finding> {
    // A thousandth of a millimetre is rounding, not words.
    if overflow <= Length::from_um(1.0) {
        return None;
    }
    let (place, where_) = match kind {
        FileKind::Interior | FileKind::Proof => (Place::Page(number), format!("on page {number}")),
        FileKind::Sheet(kind) => (Place::Whole, format!("on the {}", kind.word())),
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

pub(super) fn write_sheet<W: std::io::Write>(
    writer: &mut PressWriter<W>,
    sheet: &Sheet<'_>,
    mut made: MadeSheet<'_>,
    beside: &Beside,
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
    let stored = writer.page_beside(made.input(sheet), beside)?;
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

pub(super) fn make_unit<'a>(
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
        let (words, overflow) = set_words(plan, sheet, &unit.place_of(index))?;
        sheets.push(MadeSheet {
            pictures: Vec::new(),
            words,
            overflow,
            plates: Vec::new(),
            of_plates: Vec::new(),
        });
    }
    for stamp in &unit.stamps {
        stopped()?;
        let (made, kept) = stamp.made(plan.desk);
        if let Some(sheet) = sheets.first_mut() {
            sheet.of_plates.extend(stamp.findings(&kept));
            sheet.plates.extend(made.map(|made| SheetPlate {
                name: stamp.plate_name(),
                alternate: stamp.alternate(),
                made,
            }));
        }
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
pub(super) fn kept_group<'a>(
    group: &Group,
    last: Option<&'a LastFile>,
) -> Option<Vec<MadeImage<'a>>> {
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

pub(super) fn render_group(
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
        let line_art = inks::is_line_art(&picture);
        let plates = Plates::of(group.treatment.inks, line_art);
        let resampled = art::resample(&picture, group.window, group.size);
        drop(picture);
        let mut picture = resampled;
        stopped()?;
        if let Some(sharpen) = &group.sharpen
            && !line_art
        {
            picture = art::sharpen(picture, sharpen);
            stopped()?;
        }
        plan.inks
            .separate(&picture, plates, &group.treatment.compensation)
            .map_err(|error| unusable_art(&group.piece, &error.to_string()))?
    };
    let mut images = Vec::new();
    for cut in &group.cuts {
        stopped()?;
        let size = cut.part.size();
        let data = if size == group.size {
            ImageData::encode(size, plan.coding, &cmyk)
        } else {
            let part = crop(&cmyk, group.size, cut.part);
            ImageData::encode(size, plan.coding, &part)
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

/// Sets the words of a sheet, the digits of its bar code included; also the most by which any words
/// are too tall. `place` says whose words they are, in messages.
pub(crate) fn set_words(
    plan: &Plan<'_>,
    sheet: &Sheet<'_>,
    place: &str,
) -> Result<(Vec<WordsInput>, Length), DeskError> {
    let language = &plan.standing.snapshot.book.about.language;
    let failed = |error: words::WordsError| {
        DeskError::new(
            format!("book.toml, words of {place}"),
            error.to_string(),
            "Write them with other characters.",
        )
    };
    let mut set = Vec::new();
    let mut overflow = Length::ZERO;
    for placed in sheet.words {
        let galley = words::set(&unit::block(placed, language)).map_err(failed)?;
        overflow = overflow.max(galley.overflow);
        set.push(unit::placed(placed, galley));
    }
    if let Some(bars) = sheet.flat.and_then(|flat| flat.bar_code.as_ref()) {
        set.extend(digits(bars).map_err(failed)?);
    }
    Ok((set, overflow))
}
