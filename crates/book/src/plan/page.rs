//! What one entry puts on its page or pages.

use finding::{Finding, Place, Severity};
use measure::{Length, PixelSize, Rect, Size};

use super::words::{ABOVE_CAPTION, above_folio, caption_height, folio, text_block, title_block};
use super::{Page, PlacedPicture, PlacedWords, ReaderPage, Reads, Side, WordPart, WordStyle, fit};
use crate::model::{Book, Format, Treatment, Wanted, WordInk};

/// How far the proportions of a ready page may differ from those of the page with its bleed: half
/// a percent, which is about a millimetre on a large page. Our assumption.
const READY_TOLERANCE: f64 = 0.005;
/// From this share on, cropping is said; from the second one on, it is warned of. Our assumption.
const CROP_SAID: f64 = 0.15;
const CROP_WARNED: f64 = 1.0 / 3.0;
/// The middle that the eye sees lies above the middle that is measured. Our assumption.
const OPTICAL_MIDDLE: f64 = 0.45;
/// What a picture keeps between margin and fold at the least.
const LEAST_WIDTH: Length = Length::from_nm(10_000_000);

/// Lays out entries onto their pages.
pub(super) struct Layout<'a> {
    pub(super) book: &'a Book,
    pub(super) sizes: &'a dyn Fn(&str) -> Option<PixelSize>,
    pub(super) findings: Vec<Finding>,
}

/// Pictures and words of one page.
#[derive(Default)]
pub(super) struct Content {
    pub(super) pictures: Vec<PlacedPicture>,
    pub(super) words: Vec<PlacedWords>,
}

impl Layout<'_> {
    /// The contents of an entry's pages, as many as it takes, the first at `number`.
    pub(super) fn entry(&mut self, treatment: &Treatment, number: ReaderPage) -> Vec<Content> {
        let format = &self.book.format;
        let side = number.side();
        match treatment {
            Treatment::FullPage(wanted) => vec![self.full_page(wanted, number)],
            Treatment::Ready(wanted) => vec![self.ready_page(wanted, number)],
            Treatment::Spread(wanted) => self.spread(wanted, number),
            Treatment::Inset {
                picture,
                margin,
                caption,
            } => vec![self.inset(picture, *margin, caption, number)],
            Treatment::Paired {
                left,
                right,
                margin,
            } => self.paired(left, right, *margin),
            Treatment::Title => vec![Content::of_words(title(self.book, side))],
            Treatment::Text {
                heading,
                paragraphs,
            } => {
                if heading.is_empty() && paragraphs.is_empty() {
                    self.say_no_words(number);
                    return vec![Content::default()];
                }
                let mut content = Content::of_words(PlacedWords {
                    rect: text_block(format, side),
                    style: WordStyle::Prose,
                    heading: heading.clone(),
                    paragraphs: paragraphs.clone(),
                    ink: WordInk::Black,
                    part: WordPart::Whole,
                    reads: Reads::Across,
                });
                if format.folios {
                    content.words.push(folio(format, side, number.0));
                }
                vec![content]
            }
            Treatment::Colophon { paragraphs } => {
                if paragraphs.is_empty() {
                    self.say_no_words(number);
                    return vec![Content::default()];
                }
                vec![Content::of_words(PlacedWords {
                    rect: text_block(format, side),
                    style: WordStyle::Colophon,
                    heading: String::new(),
                    paragraphs: paragraphs.clone(),
                    ink: WordInk::Black,
                    part: WordPart::Whole,
                    reads: Reads::Across,
                })]
            }
            Treatment::Blank => vec![Content::default()],
        }
    }

    /// The picture's size; says so once for each place if it is not known.
    pub(super) fn size(&mut self, piece: &str, place: &str) -> Option<PixelSize> {
        let size = (self.sizes)(piece).filter(|size| size.width > 0 && size.height > 0);
        if size.is_none() {
            self.findings.push(
                Finding::new(
                    "book-art-missing",
                    Severity::Stop,
                    Place::Piece(piece.to_owned()),
                    format!("{place} wants `{piece}`, which is not in art/ or cannot be read."),
                )
                .hint(format!(
                    "Put the picture into the book's art folder under this name, or give {place} \
                     another one."
                )),
            );
        }
        size
    }

    fn full_page(&mut self, wanted: &Wanted, number: ReaderPage) -> Content {
        let target = self.book.format.bleed_box();
        let place = format!("page {}", number.0);
        let frame = match self.size(&wanted.piece, &place) {
            Some(size) => {
                let frame = fit::cover(target, size, wanted.focus);
                self.say_cropped(wanted, target, frame, number);
                frame
            }
            None => target,
        };
        Content::of_picture(placed(wanted, frame, target))
    }

    fn ready_page(&mut self, wanted: &Wanted, number: ReaderPage) -> Content {
        let format = self.book.format;
        let target = format.bleed_box();
        let place = format!("page {}", number.0);
        let Some(size) = self.size(&wanted.piece, &place) else {
            return Content::of_picture(placed(wanted, target, target));
        };
        let proportions = f64::from(size.width) / f64::from(size.height);
        let off = |rect: Rect| (proportions / rect.width.ratio(rect.height) - 1.0).abs();
        if off(target) > READY_TOLERANCE {
            let hint = if off(format.page()) <= READY_TOLERANCE {
                format!(
                    "It has the proportions of the page without bleed. Make it {} with bleed, or \
                     use `full page`.",
                    size_of(target)
                )
            } else {
                format!(
                    "Make it {} (the page with its bleed), or use `full page` or `inset`.",
                    size_of(target)
                )
            };
            self.findings.push(
                Finding::new(
                    "book-ready-proportions",
                    Severity::Warn,
                    Place::Page(number.0),
                    format!(
                        "`{}` is placed as a ready page, but has other proportions than the page \
                         with its bleed; what stands over is cut off.",
                        wanted.piece
                    ),
                )
                .hint(hint)
                .figures(
                    format!("{proportions:.3} wide to high"),
                    format!("{:.3}", target.width.ratio(target.height)),
                ),
            );
        }
        Content::of_picture(placed(
            wanted,
            fit::cover(target, size, wanted.focus),
            target,
        ))
    }

    /// One frame over both pages. The strip around the fold is on both of them if the book says
    /// so; then the right page's frame lies that much less than a page to the left.
    fn spread(&mut self, wanted: &Wanted, number: ReaderPage) -> Vec<Content> {
        let format = self.book.format;
        let window = format.bleed_box();
        let step = format.trim.width - format.fold_repeat * 2;
        let target = Rect::new(window.x, window.y, window.width + step, window.height);
        let place = format!("pages {} and {}", number.0, number.0 + 1);
        let frame = match self.size(&wanted.piece, &place) {
            Some(size) => {
                let frame = fit::cover(target, size, wanted.focus);
                self.say_cropped(wanted, target, frame, number);
                frame
            }
            None => target,
        };
        vec![
            Content::of_picture(placed(wanted, frame, window)),
            Content::of_picture(placed(wanted, frame.moved(-step, Length::ZERO), window)),
        ]
    }

    fn inset(
        &mut self,
        wanted: &Wanted,
        margin: Length,
        caption: &str,
        number: ReaderPage,
    ) -> Content {
        let format = self.book.format;
        let side = number.side();
        let mut area = picture_area(&format, side, margin);
        if !caption.is_empty() {
            let live = format.live(side);
            area = area.shared(live).unwrap_or(live);
        }
        if format.folios {
            let bottom = area.bottom().min(above_folio(&format, side));
            area.height = (bottom - area.y).max(area.height / 2);
        }
        let below = if caption.is_empty() {
            Length::ZERO
        } else {
            (ABOVE_CAPTION + caption_height(caption, area.width)).min(area.height / 3)
        };
        let room = Size {
            width: area.width,
            height: area.height - below,
        };
        let size = match self.size(&wanted.piece, &format!("page {}", number.0)) {
            Some(size) => fit::contain(room, size),
            None => room,
        };
        let frame = Rect::new(
            area.x + (area.width - size.width) / 2,
            area.y + (room.height - size.height).scaled(OPTICAL_MIDDLE),
            size.width,
            size.height,
        );
        let mut content = Content::of_picture(placed(wanted, frame, frame));
        if !caption.is_empty() {
            let y = frame.bottom() + ABOVE_CAPTION.min(below / 2);
            content.words.push(PlacedWords {
                rect: Rect::new(area.x, y, area.width, frame.bottom() + below - y),
                style: WordStyle::Caption,
                heading: String::new(),
                paragraphs: vec![caption.to_owned()],
                ink: WordInk::Black,
                part: WordPart::Whole,
                reads: Reads::Across,
            });
        }
        if format.folios {
            content.words.push(folio(&format, side, number.0));
        }
        content
    }

    /// Two pictures of one height, their heads on one line.
    fn paired(&mut self, left: &Wanted, right: &Wanted, margin: Length) -> Vec<Content> {
        let format = self.book.format;
        let sides = [(left, Side::Left), (right, Side::Right)];
        let areas = sides.map(|(_, side)| picture_area(&format, side, margin));
        let rooms = areas.map(size_of_rect);
        let places = ["the left page of the pair", "the right page of the pair"];
        let sizes = [
            self.size(&left.piece, places[0]),
            self.size(&right.piece, places[1]),
        ];
        let largest = |index: usize| match sizes[index] {
            Some(size) => fit::contain(rooms[index], size),
            None => rooms[index],
        };
        let largest = [largest(0), largest(1)];
        let height = largest[0].height.min(largest[1].height);
        let mut contents = Vec::with_capacity(2);
        for (index, (wanted, _)) in sides.into_iter().enumerate() {
            let area = areas[index];
            let width = match sizes[index] {
                Some(size) => {
                    let room = Size {
                        width: area.width,
                        height,
                    };
                    fit::contain(room, size).width
                }
                None => area.width,
            };
            let frame = Rect::new(
                area.x + (area.width - width) / 2,
                area.y + (area.height - height).scaled(OPTICAL_MIDDLE),
                width,
                height,
            );
            contents.push(Content::of_picture(placed(wanted, frame, frame)));
        }
        contents
    }

    fn say_cropped(&mut self, wanted: &Wanted, target: Rect, frame: Rect, number: ReaderPage) {
        let share = fit::share_cropped(target, frame);
        if share <= CROP_SAID {
            return;
        }
        let severity = if share > CROP_WARNED {
            Severity::Warn
        } else {
            Severity::Note
        };
        let where_cut = if frame.height > target.height {
            "at head and foot"
        } else {
            "at its sides"
        };
        self.findings.push(
            Finding::new(
                "book-cropped",
                severity,
                Place::Page(number.0),
                format!(
                    "{:.0} % of `{}` is cut off {where_cut}.",
                    share * 100.0,
                    wanted.piece
                ),
            )
            .hint("Say with `focus` which part stays in view, or show it whole as an inset.")
            .figures(
                format!("{:.0} %", share * 100.0),
                format!("{:.0} %", CROP_SAID * 100.0),
            ),
        );
    }

    fn say_no_words(&mut self, number: ReaderPage) {
        self.findings.push(
            Finding::new(
                "book-page-without-words",
                Severity::Warn,
                Place::Page(number.0),
                format!(
                    "Page {} is for words but has none; it prints empty.",
                    number.0
                ),
            )
            .hint("Write its words, or make it a blank."),
        );
    }
}

impl Content {
    fn of_picture(picture: PlacedPicture) -> Self {
        Self {
            pictures: vec![picture],
            words: Vec::new(),
        }
    }

    fn of_words(words: PlacedWords) -> Self {
        Self {
            pictures: Vec::new(),
            words: vec![words],
        }
    }

    /// The page that this is the content of.
    pub(super) fn into_page(self, number: ReaderPage, cause: super::Cause) -> Page {
        Page {
            number,
            cause,
            pictures: self.pictures,
            words: self.words,
        }
    }
}

pub(super) fn placed(wanted: &Wanted, frame: Rect, window: Rect) -> PlacedPicture {
    PlacedPicture {
        piece: wanted.piece.clone(),
        frame,
        window,
        accept_low_resolution: wanted.accept_low_resolution,
    }
}

/// Where a picture within margins may stand: the margin on every side, and the fold margin at the
/// fold if that is wider and leaves something.
fn picture_area(format: &Format, side: Side, margin: Length) -> Rect {
    let Size { width, height } = format.trim;
    let inner = margin
        .max(format.fold)
        .min((width - margin - LEAST_WIDTH).max(margin));
    let x = match side {
        Side::Left => margin,
        Side::Right => inner,
    };
    Rect::new(x, margin, width - margin - inner, height - margin * 2)
}

fn title(book: &Book, side: Side) -> PlacedWords {
    PlacedWords {
        rect: title_block(&book.format, side),
        style: WordStyle::Title,
        heading: book.about.title.clone(),
        paragraphs: author(book),
        ink: WordInk::Black,
        part: WordPart::Whole,
        reads: Reads::Across,
    }
}

/// The author as a paragraph, if there is one.
pub(super) fn author(book: &Book) -> Vec<String> {
    if book.about.author.is_empty() {
        Vec::new()
    } else {
        vec![book.about.author.clone()]
    }
}

fn size_of_rect(rect: Rect) -> Size {
    Size {
        width: rect.width,
        height: rect.height,
    }
}

fn size_of(rect: Rect) -> String {
    size_of_rect(rect).to_string()
}
