//! The flat cover of a soft binding.

use finding::{Finding, Place, Severity};
use measure::{Length, PixelSize, Rect, Size};

use super::page::{Layout, author, placed};
use super::{CoverPlan, PlacedWords, Plan, Reads, WordStyle, fit};
use crate::dress::SpineReads;
use crate::model::{BindingKind, Book, Format, WordInk};
use crate::object::{Object, SPINE_EDGE};

/// Words on the front keep this clear of the trim, where the book has the room. Our assumption.
const CLEAR_OF_TRIM: Length = Length::from_nm(12_000_000);
/// A ground with as much of black, or of the three colours together, is too dark for black words,
/// and one with less than the second too light for words in paper. Our assumption.
const DARK_GROUND: f64 = 60.0;
const LIGHT_GROUND: f64 = 25.0;

impl CoverPlan {
    /// Under this, words on a spine wander over its edges. Common practice, no source.
    pub const THINNEST_WITH_WORDS: Length = Length::from_nm(5_000_000);

    /// Lays out the flat sheet: back, spine and front, side by side.
    ///
    /// The spine is that of [`Object`]; a wire-stitched cover has none. `None` for a case, whose
    /// sheet is wrapped around boards and is another thing.
    pub fn lay_out(
        book: &Book,
        plan: &Plan,
        sizes: &dyn Fn(&str) -> Option<PixelSize>,
    ) -> (Option<Self>, Vec<Finding>) {
        if book.binding.kind == BindingKind::SewnCase {
            let finding = Finding::new(
                "book-case-cover",
                Severity::Note,
                Place::Whole,
                "A sewn case is wrapped around boards; its cover is another sheet, with hinges and \
                 turn-ins, which is not made here.",
            )
            .hint("Ask the bindery for its case template, or choose a soft binding.");
            return (None, vec![finding]);
        }
        let spine = Object::of(book, plan).spine;
        let Size { width, height } = book.format.trim;
        let bleed = book.format.bleed;
        let mut layout = Layout {
            book,
            sizes,
            findings: Vec::new(),
        };
        let mut cover = Self {
            trim: Size {
                width: width * 2 + spine,
                height,
            },
            spine,
            ground: book.cover.ground,
            pictures: Vec::new(),
            words: Vec::new(),
        };
        let wishes = &book.cover;
        let sheet_height = height + bleed * 2;
        let back = Rect::new(-bleed, -bleed, width + bleed, sheet_height);
        let front = Rect::new(width + spine, -bleed, width + bleed, sheet_height);
        let sides = [
            (&wishes.back, back, "the back cover"),
            (&wishes.front, front, "the front cover"),
        ];
        for (piece, window, place) in sides {
            let Some(wanted) = piece else { continue };
            let frame = match layout.size(&wanted.piece, place) {
                Some(size) => fit::cover(window, size, wanted.focus),
                None => window,
            };
            cover.pictures.push(placed(wanted, frame, window));
        }
        let mut findings = layout.findings;
        if wishes.front_words {
            cover.words.push(PlacedWords {
                rect: front_words(&book.format).moved(width + spine, Length::ZERO),
                style: WordStyle::CoverFront,
                heading: book.about.title.clone(),
                paragraphs: author(book),
                ink: wishes.ink,
                turned: false,
                reads: Reads::Across,
            });
        }
        cover.words.extend(spine_words(book, spine, &mut findings));
        let on_ground = !cover.words.is_empty()
            && (wishes.front.is_none() || cover.words.iter().any(|words| words.turned));
        if on_ground {
            findings.extend(unreadable(wishes.ground, wishes.ink));
        }
        findings.extend(too_much_ink(book));
        (Some(cover), findings)
    }
}

/// Where the front's words may stand, from the front's own corner: all that is clear of the trim.
fn front_words(format: &Format) -> Rect {
    let Size { width, height } = format.trim;
    // A title sits further in than a caption may; a small book has less to give.
    let clear = format.safe.max(CLEAR_OF_TRIM.min(width / 10));
    Rect::new(Length::ZERO, Length::ZERO, width, height).grown(-clear)
}

fn spine_words(book: &Book, spine: Length, findings: &mut Vec<Finding>) -> Option<PlacedWords> {
    let words = &book.cover.spine_words;
    if words.is_empty() {
        return None;
    }
    if spine < CoverPlan::THINNEST_WITH_WORDS {
        let message = if book.binding.kind == BindingKind::WireStitched {
            "A wire-stitched book has no spine; the spine's words are left out.".to_owned()
        } else {
            format!("The spine is {spine} wide, too thin for words; they are left out.")
        };
        findings.push(
            Finding::new("book-spine-too-thin", Severity::Warn, Place::Whole, message)
                .hint(
                    "Take `cover.spine_words` out, or make the block thicker: more pages or a \
                   bulkier text stock.",
                )
                .figures(
                    spine.to_string(),
                    format!("at least {}", CoverPlan::THINNEST_WITH_WORDS),
                ),
        );
        return None;
    }
    let Size { width, height } = book.format.trim;
    // Clear paper at head and foot.
    let clear = book.format.safe.max(height / 18);
    Some(PlacedWords {
        rect: Rect::new(
            width + SPINE_EDGE,
            clear,
            spine - SPINE_EDGE * 2,
            height - clear * 2,
        ),
        style: WordStyle::Spine,
        heading: words.clone(),
        paragraphs: Vec::new(),
        ink: book.cover.ink,
        turned: true,
        reads: match book.spine_reads(&book.cover) {
            SpineReads::Down => Reads::Down,
            SpineReads::Up => Reads::Up,
        },
    })
}

/// Words that nobody can read on the ground they stand on.
fn unreadable(ground: [f64; 4], ink: WordInk) -> Option<Finding> {
    let [cyan, magenta, yellow, black] = ground;
    // Yellow hardly darkens anything, so that it counts for a third.
    let darkness = black.max((cyan + magenta) / 2.0 + yellow / 3.0);
    let (message, hint) = match ink {
        WordInk::Paper if darkness < LIGHT_GROUND => (
            "The cover's words are left unprinted on a light ground, where nobody can read them.",
            "Set `cover.ink` to `black`, or give the cover a darker ground.",
        ),
        WordInk::Black if darkness > DARK_GROUND => (
            "The cover's words are black on a dark ground, where they are hard to read.",
            "Set `cover.ink` to `paper`, or give the cover a lighter ground.",
        ),
        _ => return None,
    };
    Some(
        Finding::new(
            "book-cover-words-unseen",
            Severity::Warn,
            Place::Whole,
            message,
        )
        .hint(hint),
    )
}

fn too_much_ink(book: &Book) -> Option<Finding> {
    let total: f64 = book.cover.ground.iter().sum();
    let limit = book.press.ink_limit?;
    (total > limit).then(|| {
        Finding::new(
            "book-ground-over-ink-limit",
            Severity::Stop,
            Place::Whole,
            "The cover's ground asks for more ink than the limit.",
        )
        .hint("Lower the inks of `cover.ground`.")
        .figures(format!("{total:.0} %"), format!("{limit:.0} %"))
    })
}
