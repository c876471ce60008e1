//! Writing a press file (PDF/X-4) as a stream.
//!
//! `clauses.md` beside this crate's manifest says which clause is held where.

mod boxes;
pub mod document;
mod drawn;
mod file;
mod fonts;
mod image;
mod marks;
mod moment;
mod page;
mod plate;
mod xmp;

use std::io::{self, Read, Write};

use book::object::FlatKind;
use book::plan::Reads;
use measure::{Length, PixelSize, Rect, Size};
use pdf_writer::types::{OutputIntentSubtype, OverprintMode, PageLayout};
use pdf_writer::{Content, Finish, Name, Ref, TextStr};
use thiserror::Error;

pub use boxes::Margin;
pub use image::{ImageCoding, ImageData};
pub use plate::{Painted, PlateInput, PlateName};

use boxes::Boxes;
use drawn::{Drawn, Shades};
use file::{Data, File};
use fonts::Fonts;
use moment::Moment;

/// A press file that could not be written.
#[derive(Debug, Error)]
pub enum PressError {
    /// The place it is written to failed (a full disk, as a rule).
    #[error("the press file could not be written: {0}")]
    Io(#[from] std::io::Error),
    /// A font that cannot be embedded.
    #[error("the typeface `{name}` could not be embedded: {why}")]
    Font {
        /// PostScript name.
        name: String,
        /// Why.
        why: String,
    },
    /// A creation moment that is none.
    #[error("`{0}` is no moment such as 2026-11-25T14:00:00Z")]
    Moment(String),
    /// A profile that cannot be an output intent.
    #[error("the output profile cannot be embedded in a press file: {0}")]
    Intent(&'static str),
    /// Two plates whose names differ in nothing but capitals.
    #[error(
        "the finishings `{one}` and `{other}` differ only in capitals, and a press would take them \
         for one plate; give one of them another name"
    )]
    AlikePlates {
        /// The first.
        one: PlateName,
        /// The second.
        other: PlateName,
    },
    /// A page that no reader of PDF would open.
    #[error(
        "a page of {width} × {height} is none that a PDF can have: a side lies between 1 mm and \
         5.08 m"
    )]
    PageSize {
        /// Width.
        width: Length,
        /// Height.
        height: Length,
    },
    /// Words beside a sheet or on a drawing that could not be set.
    #[error("the words beside a sheet or on a drawing could not be set: {0}")]
    Words(#[from] words::WordsError),
    /// The file was given up after an earlier page failed.
    #[error("the press file cannot be finished, since a page of it failed")]
    Broken,
}

/// What kind of file it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum FileKind {
    /// Pages in reading order.
    Interior,
    /// One printed sheet beside the pages; the endpapers are two of them in one file.
    Sheet(FlatKind),
    /// Proof pages: pages of the interior, each with a control strip outside its trim.
    Proof,
}

/// What the file says of itself. No clock here: the caller gives the moment.
#[derive(Debug, Clone)]
pub struct Facts {
    /// Kind.
    pub kind: FileKind,
    /// Title.
    pub title: String,
    /// Author; may be empty.
    pub author: String,
    /// BCP 47.
    pub language: String,
    /// Creation moment, as `2026-11-25T14:00:00Z`.
    pub created: String,
    /// 16 bytes that name this version, from the digest of its inputs.
    pub id: [u8; 16],
}

/// The output intent.
#[derive(Debug, Clone)]
pub struct OutputIntent {
    /// OutputConditionIdentifier, such as the name of a characterisation set.
    pub identifier: String,
    /// RegistryName: where the identifier is registered, if it is.
    pub registry: Option<String>,
    /// Info: the condition in words.
    pub info: String,
    /// ICC bytes of the CMYK output profile.
    pub profile: Vec<u8>,
}

/// Where a stored image's stream lies in a finished press file, so that it can be copied into the
/// next one without being made again.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StoredImage {
    /// Size.
    pub size: PixelSize,
    /// Coding.
    pub coding: ImageCoding,
    /// First byte of the stream's data in the file.
    pub offset: u64,
    /// Length of the stream's data.
    pub length: u64,
}

/// An image for a page: made now, or copied from the last press file.
pub enum ImageSource<'a> {
    /// Made now.
    Made(ImageData),
    /// Copied: exactly `stored.length` bytes are read.
    Kept {
        /// What it is (offset is where it lay before, and not used).
        stored: StoredImage,
        /// The stream's data.
        from: &'a mut dyn Read,
    },
}

/// A tint of the four inks C, M, Y, K, 0 (no ink) to 1 (solid) each; what lies outside is brought
/// in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tint(pub [f32; 4]);

impl Tint {
    /// The parts as they are written: within 0 and 1, to four places. A part that is no number is no
    /// ink.
    fn parts(self) -> [f32; 4] {
        self.0.map(|part| {
            let part = if part.is_nan() { 0.0 } else { part };
            (part.clamp(0.0, 1.0) * 10_000.0).round() / 10_000.0
        })
    }
}

/// Words placed on a page.
#[derive(Debug, Clone)]
pub struct WordsInput {
    /// The set block.
    pub galley: words::Galley,
    /// Where its top left corner lies, from the trim's top left corner.
    pub x: Length,
    /// Down.
    pub y: Length,
    /// Ink: black alone, or no ink at all (paper).
    pub paper: bool,
    /// Which way it runs. The block is turned about its own top left corner, so that `x`, `y` is the
    /// top right corner of what is turned down, and the bottom left one of what is turned up.
    pub reads: Reads,
}

/// One page to write.
pub struct PageInput<'a> {
    /// Trim size.
    pub trim: Size,
    /// Bleed on all four sides.
    pub bleed: Length,
    /// Ground tint over the bleed box, if any.
    pub ground: Option<Tint>,
    /// Images with the rectangles they fill, from the trim's top left corner; clipped at the bleed.
    pub images: Vec<(Rect, ImageSource<'a>)>,
    /// Rectangles over the pictures, from the trim's top left corner, each filled with a tint and
    /// nothing else, in this order: the white under a bar code, then its bars.
    pub tints: Vec<(Rect, Tint)>,
    /// Words over them.
    pub words: Vec<WordsInput>,
    /// Plates beside the four inks, over everything.
    pub plates: Vec<PlateInput<'a>>,
}

impl PageInput<'_> {
    /// A page with nothing on it.
    pub const fn bare(trim: Size, bleed: Length) -> Self {
        Self {
            trim,
            bleed,
            ground: None,
            images: Vec::new(),
            tints: Vec::new(),
            words: Vec::new(),
            plates: Vec::new(),
        }
    }
}

/// What a page carries outside its bleed: a proof's strip, a sheet's ticks and name.
#[derive(Debug, Clone, Default)]
pub struct Beside {
    /// Paper around the bleed.
    pub margin: Margin,
    /// Rectangles from the trim's top left corner, each filled with a tint, in this order.
    pub tints: Vec<(Rect, Tint)>,
    /// Areas and lines over them, from the trim's top left corner, in black ink alone.
    pub drawn: Vec<Drawn>,
    /// Words, like those of the page.
    pub words: Vec<WordsInput>,
    /// Rectangles that stand on every plate, inks and finishings, so that all can be laid over each
    /// other.
    pub marks: Vec<Rect>,
}

/// Where a page's images came to lie.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stored {
    /// In the order of [`PageInput::images`].
    pub images: Vec<StoredImage>,
}

/// Writes a press file as a stream: memory does not grow with the pages, but for some bytes each.
///
/// The same calls give the same bytes.
pub struct PressWriter<W: Write> {
    file: File<W>,
    facts: Facts,
    moment: Moment,
    /// Numbers of the objects that everything refers to.
    known: Known,
    pages: Vec<Ref>,
    fonts: Fonts,
    /// Plates beside the four inks, in the order in which they turned up.
    plates: Vec<(PlateName, Ref)>,
    /// The colour that stands on every plate, once a page has marks.
    every_plate: Option<Ref>,
    /// Whether a page failed half-way.
    broken: bool,
}

struct Known {
    catalog: Ref,
    page_tree: Ref,
    intent: Ref,
    overprints: Ref,
    knocks_out: Ref,
}

impl<W: Write> PressWriter<W> {
    /// Writes header and output intent.
    ///
    /// # Errors
    /// When the place cannot be written to, the moment is none, or the profile is no CMYK output
    /// profile.
    pub fn begin(out: W, facts: &Facts, intent: &OutputIntent) -> Result<Self, PressError> {
        let moment = Moment::read(&facts.created)?;
        must_be_cmyk_output(&intent.profile)?;
        let mut file = File::begin(out)?;
        let known = Known {
            catalog: file.reserve(),
            page_tree: file.reserve(),
            intent: file.reserve(),
            overprints: file.reserve(),
            knocks_out: file.reserve(),
        };
        let profile = file.reserve();
        file.stream(profile, Data::Bytes(&intent.profile), |dict| {
            dict.pair(Name(b"N"), 4);
        })?;
        file.object(known.intent, |chunk| {
            let mut out = chunk
                .indirect(known.intent)
                .start::<pdf_writer::writers::OutputIntent<'_>>();
            out.subtype(OutputIntentSubtype::PDFX);
            out.output_condition_identifier(TextStr(&intent.identifier));
            if let Some(registry) = &intent.registry {
                out.registry_name(TextStr(registry));
            }
            out.info(TextStr(&intent.info));
            out.dest_output_profile(profile);
        })?;
        // Mode 1 leaves the plates of absent inks alone: black goes over what is there.
        for (id, overprint) in [(known.overprints, true), (known.knocks_out, false)] {
            file.object(id, |chunk| {
                let mut state = chunk.ext_graphics(id);
                state.overprint(overprint);
                state.overprint_fill(overprint);
                state.overprint_mode(OverprintMode::IgnoreZeroChannel);
            })?;
        }
        Ok(Self {
            file,
            facts: facts.clone(),
            moment,
            known,
            pages: Vec::new(),
            fonts: Fonts::default(),
            plates: Vec::new(),
            every_plate: None,
            broken: false,
        })
    }

    /// Adds a page and says where its images lie.
    ///
    /// After an error the file cannot be finished.
    ///
    /// # Errors
    /// When the place cannot be written to, a kept image is cut short, or a font cannot be
    /// embedded.
    pub fn page(&mut self, page: PageInput<'_>) -> Result<Stored, PressError> {
        self.page_beside(page, &Beside::default())
    }

    /// Adds a page with something outside its bleed. What is painted there lies in the media box
    /// alone, so that it falls away with the paper around the trimmed page.
    ///
    /// # Errors
    /// As [`PressWriter::page`].
    pub fn page_beside(
        &mut self,
        page: PageInput<'_>,
        beside: &Beside,
    ) -> Result<Stored, PressError> {
        if self.broken {
            return Err(PressError::Broken);
        }
        let stored = self.write_page(page, beside);
        self.broken = stored.is_err();
        stored
    }

    fn write_page(&mut self, page: PageInput<'_>, beside: &Beside) -> Result<Stored, PressError> {
        let boxes = Boxes::new(page.trim, page.bleed, beside.margin);
        let mut content = Content::new();
        if let Some(tint) = page.ground {
            page::tint(&mut content, boxes.bleed, tint);
        }
        let mut images = Vec::new();
        let mut stored = Vec::new();
        for (index, (rect, source)) in page.images.into_iter().enumerate() {
            let id = self.file.reserve();
            stored.push(self.write_image(id, source)?);
            images.push(id);
            let name = page::image_name(index);
            page::image(&mut content, &boxes, boxes.place(rect), &name);
        }
        for (rect, tint) in page.tints.iter().chain(&beside.tints) {
            page::tint(&mut content, boxes.place(*rect), *tint);
        }
        for drawn in &beside.drawn {
            drawn.paint(&mut content, &boxes, Shades::Black);
        }
        let mut fonts = Vec::new();
        let all_words = || page.words.iter().chain(&beside.words);
        for words in all_words() {
            page::words(
                &mut content,
                &boxes,
                words,
                &mut self.fonts,
                &mut fonts,
                &mut self.file,
            )?;
        }
        let mut spaces = Vec::new();
        let mut masks = Vec::new();
        for plate in &page.plates {
            let index = self.plate(plate)?;
            let space = plate::space_name(index);
            match plate.painted {
                Painted::Shapes(shapes) => {
                    plate::shapes(&mut content, &boxes, plate.face, shapes, &space);
                }
                Painted::Pixels(pixels) => {
                    let id = self.write_mask(pixels)?;
                    masks.push(id);
                    let name = plate::mask_name(masks.len());
                    plate::pixels(&mut content, &boxes, plate.face, &space, &name);
                }
            }
            let known = (space, self.plates[index].1);
            if !spaces.contains(&known) {
                spaces.push(known);
            }
        }
        if !beside.marks.is_empty() {
            spaces.push((plate::EVERY.to_vec(), self.every_plate()?));
            plate::marks(&mut content, &boxes, &beside.marks);
        }
        let content = content.finish();
        let contents = self.file.reserve();
        self.file.stream(contents, Data::Bytes(&content), |_| {})?;
        let id = self.file.reserve();
        self.file.object(id, |chunk| {
            let mut out = chunk.page(id);
            out.parent(self.known.page_tree);
            out.media_box(boxes.media.pdf());
            out.bleed_box(boxes.bleed.pdf());
            out.trim_box(boxes.trim.pdf());
            out.contents(contents);
            let mut resources = out.resources();
            if !images.is_empty() || !masks.is_empty() {
                let mut names = resources.x_objects();
                for (index, mask) in masks.iter().enumerate() {
                    names.pair(Name(&plate::mask_name(index + 1)), *mask);
                }
                for (index, image) in images.iter().enumerate() {
                    names.pair(Name(&page::image_name(index)), *image);
                }
            }
            if !spaces.is_empty() {
                let mut names = resources.color_spaces();
                for (name, id) in &spaces {
                    names.pair(Name(name), *id);
                }
            }
            if all_words().next().is_some() || !page.plates.is_empty() {
                let mut names = resources.ext_g_states();
                names.pair(Name(page::KNOCKS_OUT), self.known.knocks_out);
                names.pair(Name(page::OVERPRINTS), self.known.overprints);
            }
            self.fonts.name(&mut resources, &fonts);
        })?;
        self.pages.push(id);
        Ok(Stored { images: stored })
    }

    /// The index of a plate; its colour is written when its name turns up first.
    fn plate(&mut self, plate: &PlateInput<'_>) -> Result<usize, PressError> {
        let alike = self
            .plates
            .iter()
            .position(|(name, _)| name.is_like(&plate.name));
        if let Some(index) = alike {
            let known = &self.plates[index].0;
            if *known == plate.name {
                return Ok(index);
            }
            return Err(PressError::AlikePlates {
                one: known.clone(),
                other: plate.name.clone(),
            });
        }
        let name = plate.name.as_str().as_bytes();
        let id = self.separation(Name(name), plate.alternate)?;
        self.plates.push((plate.name.clone(), id));
        Ok(self.plates.len() - 1)
    }

    fn every_plate(&mut self) -> io::Result<Ref> {
        if let Some(id) = self.every_plate {
            return Ok(id);
        }
        let id = self.separation(Name(b"All"), Tint([1.0; 4]))?;
        self.every_plate = Some(id);
        Ok(id)
    }

    /// Writes a colour of its own: its one alternate is CMYK, its one tint transform a straight line
    /// from paper.
    fn separation(&mut self, name: Name<'_>, alternate: Tint) -> io::Result<Ref> {
        let id = self.file.reserve();
        self.file.object(id, |chunk| {
            let mut out = chunk.color_space(id).separation(name);
            out.alternate_color_space().device_cmyk();
            out.tint_exponential()
                .domain([0.0, 1.0])
                .c0([0.0; 4])
                .c1(alternate.parts())
                .n(1.0);
        })?;
        Ok(id)
    }

    fn write_mask(&mut self, plate: &finish::Plate) -> io::Result<Ref> {
        let id = self.file.reserve();
        let bits = plate::bits(plate)?;
        self.file.stream(id, Data::Bytes(&bits), |dict| {
            plate::describe(dict, plate.size());
        })?;
        Ok(id)
    }

    fn write_image(&mut self, id: Ref, source: ImageSource<'_>) -> io::Result<StoredImage> {
        let (size, coding, length, data) = match source {
            ImageSource::Made(ref made) => (
                made.size,
                made.coding,
                made.bytes.len() as u64,
                Data::Bytes(&made.bytes),
            ),
            ImageSource::Kept { stored, from } => (
                stored.size,
                stored.coding,
                stored.length,
                Data::Copied(stored.length, from),
            ),
        };
        let offset = self
            .file
            .stream(id, data, |dict| image::describe(dict, size, coding))?;
        Ok(StoredImage {
            size,
            coding,
            offset,
            length,
        })
    }

    /// Writes fonts, page tree, XMP, xref and trailer; gives the place back.
    ///
    /// # Errors
    /// When the place cannot be written to, a font cannot be embedded, or a page failed before.
    pub fn finish(mut self) -> Result<W, PressError> {
        if self.broken {
            return Err(PressError::Broken);
        }
        let Known {
            catalog,
            page_tree,
            intent,
            ..
        } = self.known;
        self.fonts.embed(&mut self.file)?;
        let count = i32::try_from(self.pages.len()).unwrap_or(i32::MAX);
        self.file.object(page_tree, |chunk| {
            chunk
                .pages(page_tree)
                .kids(self.pages.iter().copied())
                .count(count);
        })?;

        let about = xmp::About::press(&self.facts, self.moment);
        let (metadata, info) = about.write(&mut self.file)?;
        self.file.object(catalog, |chunk| {
            let mut out = chunk
                .indirect(catalog)
                .start::<pdf_writer::writers::Catalog<'_>>();
            out.pages(page_tree);
            out.metadata(metadata);
            out.insert(Name(b"OutputIntents")).array().item(intent);
            if !about.language().is_empty() {
                out.lang(TextStr(about.language()));
            }
            if self.facts.kind == FileKind::Interior {
                // Odd pages on the right, as in the bound book.
                out.page_layout(PageLayout::TwoPageRight);
            }
            out.viewer_preferences().display_doc_title(true).finish();
        })?;
        Ok(self.file.finish(catalog, info, about.id())?)
    }
}

/// Reads the three signatures of an ICC header (ICC.1:2022, 7.2) that an output intent depends on.
fn must_be_cmyk_output(profile: &[u8]) -> Result<(), PressError> {
    let Some(header) = profile.get(..128) else {
        return Err(PressError::Intent("it is too short to be an ICC profile"));
    };
    if &header[36..40] != b"acsp" {
        return Err(PressError::Intent("it is no ICC profile"));
    }
    if &header[12..16] != b"prtr" {
        return Err(PressError::Intent(
            "it is no profile of a printing condition",
        ));
    }
    if &header[16..20] != b"CMYK" {
        return Err(PressError::Intent("its inks are not C, M, Y and K"));
    }
    Ok(())
}
