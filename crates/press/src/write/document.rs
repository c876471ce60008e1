//! Plain documents: pages of lines, areas and words in shades of grey, to be read and printed in an
//! office. They hold no pictures, and are no press files.

mod drawing;

use std::io::Write;

use book::plan::Reads;
use measure::{Length, Rect, Size};
use pdf_writer::{Content, Name, Ref, TextStr};

use super::PressError;
use super::boxes::{Boxes, Margin};
use super::drawn::{Shades, fill};
use super::file::{Data, File};
use super::fonts::Fonts;
use super::moment::Moment;
use super::page::{self, Placed};
use super::xmp::About;

pub(super) use drawing::{label_of, marks};

pub use super::drawn::{Drawn, Grey, Point};
pub use drawing::drawing;

/// What a document says of itself. No clock here: the caller gives the moment.
#[derive(Debug, Clone)]
pub struct Facts {
    /// Title, shown by readers in place of the file's name.
    pub title: String,
    /// Author; may be empty.
    pub author: String,
    /// What it is about, in a sentence; may be empty.
    pub subject: String,
    /// BCP 47; may be empty.
    pub language: String,
    /// Creation moment, as `2026-11-25T14:00:00Z`.
    pub created: String,
    /// 16 bytes that name this version, from the digest of its inputs.
    pub id: [u8; 16],
}

/// What a page is made of; later marks lie over earlier ones.
#[derive(Debug, Clone)]
pub enum Mark<'a> {
    /// An area or a line, from the page's top left corner.
    Drawn(Drawn),
    /// Runs of glyphs, measured from a point, which a turned line is turned about.
    Words {
        /// The runs; their fonts are those of the page.
        runs: &'a [words::Run],
        /// The point.
        at: Point,
        /// Which way they run.
        reads: Reads,
        /// Shade.
        grey: Grey,
    },
}

impl Mark<'_> {
    /// An upright rectangle, filled.
    pub fn rect(rect: Rect, grey: Grey) -> Self {
        Self::Drawn(Drawn::rect(rect, grey))
    }
}

/// One page.
#[derive(Debug, Clone)]
pub struct Page<'a> {
    /// Its size.
    pub size: Size,
    /// Its name in the list of contents that readers show beside the pages; not listed if empty.
    pub name: &'a str,
    /// The fonts that its runs name by index.
    pub fonts: &'a [words::Font],
    /// What stands on it.
    pub marks: Vec<Mark<'a>>,
}

/// Writes a document as a stream. The same calls give the same bytes.
pub struct Document<W: Write> {
    file: File<W>,
    about: About,
    catalog: Ref,
    page_tree: Ref,
    pages: Vec<Ref>,
    /// Pages of the list of contents, by name.
    listed: Vec<(String, Ref)>,
    fonts: Fonts,
    /// Whether a page failed half-way.
    broken: bool,
}

impl<W: Write> Document<W> {
    /// Writes the header.
    ///
    /// # Errors
    /// When the place cannot be written to, or the moment is none.
    pub fn begin(out: W, facts: &Facts) -> Result<Self, PressError> {
        let about = About::document(facts, Moment::read(&facts.created)?);
        let mut file = File::begin(out)?;
        Ok(Self {
            about,
            catalog: file.reserve(),
            page_tree: file.reserve(),
            pages: Vec::new(),
            listed: Vec::new(),
            fonts: Fonts::default(),
            broken: false,
            file,
        })
    }

    /// Adds a page. After an error the document cannot be finished.
    ///
    /// # Errors
    /// When the place cannot be written to, a font cannot be embedded, or the page is larger than a
    /// page of a PDF can be ([`LONGEST_SIDE`]).
    pub fn page(&mut self, page: &Page<'_>) -> Result<(), PressError> {
        if self.broken {
            return Err(PressError::Broken);
        }
        let written = self.write_page(page);
        self.broken = written.is_err();
        written
    }

    fn write_page(&mut self, page: &Page<'_>) -> Result<(), PressError> {
        let Size { width, height } = page.size;
        let opens = SHORTEST_SIDE..=LONGEST_SIDE;
        if !opens.contains(&width) || !opens.contains(&height) {
            return Err(PressError::PageSize { width, height });
        }
        let boxes = Boxes::new(page.size, Length::ZERO, Margin::default());
        let mut content = Content::new();
        // As lines end and turn in drawings for the screen.
        content.set_miter_limit(4.0);
        let mut fonts = Vec::new();
        for mark in &page.marks {
            match mark {
                Mark::Drawn(drawn) => drawn.paint(&mut content, &boxes, Shades::Grey),
                Mark::Words {
                    runs,
                    at: (x, y),
                    reads,
                    grey,
                } => {
                    fill(&mut content, Shades::Grey, *grey);
                    let placed = Placed {
                        fonts: page.fonts,
                        runs,
                        x: *x,
                        y: *y,
                        reads: *reads,
                    };
                    page::runs(
                        &mut content,
                        &boxes,
                        placed,
                        &mut self.fonts,
                        &mut fonts,
                        &mut self.file,
                    )?;
                }
            }
        }
        let contents = self.file.reserve();
        let content = content.finish();
        self.file.stream(contents, Data::Bytes(&content), |_| {})?;
        let id = self.file.reserve();
        self.file.object(id, |chunk| {
            let mut out = chunk.page(id);
            out.parent(self.page_tree);
            out.media_box(boxes.media.pdf());
            out.contents(contents);
            self.fonts.name(&mut out.resources(), &fonts);
        })?;
        self.pages.push(id);
        if !page.name.trim().is_empty() {
            self.listed.push((page.name.trim().to_owned(), id));
        }
        Ok(())
    }

    /// Writes fonts, contents, metadata and the end; gives the place back.
    ///
    /// # Errors
    /// When the place cannot be written to, a font cannot be embedded, or a page failed before.
    pub fn finish(mut self) -> Result<W, PressError> {
        if self.broken {
            return Err(PressError::Broken);
        }
        self.fonts.embed(&mut self.file)?;
        let page_tree = self.page_tree;
        let count = i32::try_from(self.pages.len()).unwrap_or(i32::MAX);
        self.file.object(page_tree, |chunk| {
            chunk
                .pages(page_tree)
                .kids(self.pages.iter().copied())
                .count(count);
        })?;
        let outline = self.write_list()?;
        let (metadata, info) = self.about.write(&mut self.file)?;
        let catalog = self.catalog;
        self.file.object(catalog, |chunk| {
            let mut out = chunk
                .indirect(catalog)
                .start::<pdf_writer::writers::Catalog<'_>>();
            out.pages(page_tree);
            out.metadata(metadata);
            if let Some(outline) = outline {
                out.outlines(outline);
            }
            if !self.about.language().is_empty() {
                out.lang(TextStr(self.about.language()));
            }
            // A drawing or a form that is fitted to the printer's paper is no longer true to scale.
            let mut shown = out.viewer_preferences();
            shown.display_doc_title(true);
            shown.pair(Name(b"PrintScaling"), Name(b"None"));
        })?;
        let id = *self.about.id();
        Ok(self.file.finish(catalog, info, &id)?)
    }

    /// Writes the list of contents, if any page is in it.
    fn write_list(&mut self) -> Result<Option<Ref>, PressError> {
        let ids: Vec<Ref> = self.listed.iter().map(|_| self.file.reserve()).collect();
        let (Some(first), Some(last)) = (ids.first(), ids.last()) else {
            return Ok(None);
        };
        let list = self.file.reserve();
        for (index, ((name, page), id)) in self.listed.iter().zip(&ids).enumerate() {
            self.file.object(*id, |chunk| {
                let mut item = chunk.outline_item(*id);
                item.title(TextStr(name)).parent(list);
                if let Some(before) = index.checked_sub(1) {
                    item.prev(ids[before]);
                }
                if let Some(after) = ids.get(index + 1) {
                    item.next(*after);
                }
                item.dest().page(*page).fit();
            })?;
        }
        let count = i32::try_from(ids.len()).unwrap_or(i32::MAX);
        self.file.object(list, |chunk| {
            chunk.outline(list).first(*first).last(*last).count(count);
        })?;
        Ok(Some(list))
    }
}

/// The longest side of a page without a unit of its own: 14,400 points (ISO 32000-1, annex C).
pub const LONGEST_SIDE: Length = Length::from_nm(5_080_000_000);

/// The shortest: 3 points, rounded down (ISO 32000-1, annex C).
const SHORTEST_SIDE: Length = Length::from_nm(1_000_000);

/// Writes a letter that was set.
///
/// # Errors
/// As [`Document::begin`], [`Document::page`] and [`Document::finish`].
pub fn letter<W: Write>(
    out: W,
    facts: &Facts,
    letter: &words::letter::Pages,
) -> Result<W, PressError> {
    let mut document = Document::begin(out, facts)?;
    for page in &letter.pages {
        let rules = page.rules.iter();
        let mut marks: Vec<Mark<'_>> = rules.map(|rule| Mark::rect(*rule, Grey::BLACK)).collect();
        marks.push(Mark::Words {
            runs: &page.runs,
            at: (Length::ZERO, Length::ZERO),
            reads: Reads::Across,
            grey: Grey::BLACK,
        });
        document.page(&Page {
            size: letter.size,
            name: "",
            fonts: &letter.fonts,
            marks,
        })?;
    }
    document.finish()
}
