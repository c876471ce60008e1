//! The printed sheets beside the pages, laid out.

mod bars;
mod finishings;
mod room;
mod say;
mod words;

use finding::{Finding, Place, Severity};
use measure::{Length, PixelSize, Rect};

use super::page::{Layout, placed};
use super::{PlacedPicture, PlacedWords, Plan, fit};
use crate::bar_code::BarCodeLayout;
use crate::dress::Dress;
use crate::model::{Book, Wanted, WordInk};
use crate::object::{FlatKind, FlatSheet, NoGo, Object};
use room::Role;
use words::Writer;

/// A ground with as much of black, or of the three colours together, is too dark for black words,
/// and one with less than the second too light for words in paper. Our assumption.
const DARK_GROUND: f64 = 60.0;
const LIGHT_GROUND: f64 = 25.0;

/// One printed sheet beside the pages, laid out: what the press file of it holds.
///
/// All rectangles are from the top left corner of the trimmed sheet. From below to above lie the
/// ground, the pictures, the words, the bar code, and then the finishings.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetPlan {
    /// The sheet with its panels, folds and places to keep clear.
    pub flat: FlatSheet,
    /// Ground tint C, M, Y, K in percent, over all that is printed.
    pub ground: [f64; 4],
    /// Pictures, lowest first.
    pub pictures: Vec<PlacedPicture>,
    /// Words that are printed in ink, or left unprinted in it.
    pub words: Vec<PlacedWords>,
    /// The bar code, if it stands on this sheet.
    pub bar_code: Option<PlacedBarCode>,
    /// Finishings of this sheet, in the order of the book file.
    pub finishings: Vec<PlacedFinishing>,
}

/// The bar code on its sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct PlacedBarCode {
    /// Where it stands, quiet zones and digits included; its upper left corner is the origin of
    /// the layout.
    pub rect: Rect,
    /// What is left without ink under it; `None` if it stands on whatever lies there.
    pub white: Option<Rect>,
    /// Bars and digits, from the origin.
    pub layout: BarCodeLayout,
}

impl PlacedBarCode {
    /// The bars on the sheet.
    pub fn bars(&self) -> impl Iterator<Item = Rect> + '_ {
        let Rect { x, y, .. } = self.rect;
        self.layout.bars.iter().map(move |bar| bar.moved(x, y))
    }

    /// The digits on the sheet, each with its room.
    pub fn digits(&self) -> impl Iterator<Item = (u8, Rect)> + '_ {
        let Rect { x, y, .. } = self.rect;
        let digits = self.layout.digits.iter();
        digits.map(move |digit| (digit.digit, digit.room.moved(x, y)))
    }
}

/// A finishing on its sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct PlacedFinishing {
    /// Which finishing of the book, by its index in [`Book::finishings`].
    pub finishing: usize,
    /// The panel, by its name on the sheet, or `whole`.
    pub panel: &'static str,
    /// The panel, or the trimmed sheet: a mask with its proportions is stretched over it.
    pub rect: Rect,
    /// The same with its bleed or turn-in where it meets the edge of the sheet: what a mask with
    /// *its* proportions is stretched over.
    pub with_allowance: Rect,
    /// The words that its plate is made of, where it has no mask.
    pub words: Vec<PlacedWords>,
}

/// A place to keep clear that something stands in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct InTheWay {
    /// The place.
    pub no_go: NoGo,
    /// What of it is covered.
    pub shared: Rect,
    /// How far something reaches into it, by the shortest way out.
    pub by: Length,
}

impl SheetPlan {
    /// Under this, words on a spine wander over its edges. Common practice, no source.
    pub const THINNEST_WITH_WORDS: Length = Length::from_nm(5_000_000);

    /// Lays out every flat sheet of the object, in its order.
    ///
    /// `sizes` gives a piece's pixels, upright, by its name, as for [`Plan::lay_out`]. Whatever
    /// cannot be placed is left out, and a finding says why.
    pub fn lay_out_all(
        book: &Book,
        plan: &Plan,
        sizes: &dyn Fn(&str) -> Option<PixelSize>,
    ) -> (Vec<Self>, Vec<Finding>) {
        let flats = Object::of(book, plan).flats;
        let mut findings = Vec::new();
        on_idle_dresses(book, &flats, &mut findings);
        finishings::without_sheet(book, &flats, &mut findings);
        let bar_code_on = book
            .bar_code
            .as_ref()
            .and_then(|wish| bars::carrier(wish, &flats, &mut findings));
        let sheets = flats
            .into_iter()
            .map(|flat| Self::lay_out(book, flat, bar_code_on, sizes, &mut findings))
            .collect();
        // Two sheets of one dress have the same to say.
        let mut once: Vec<Finding> = Vec::with_capacity(findings.len());
        for finding in findings {
            if !once.contains(&finding) {
                once.push(finding);
            }
        }
        (sheets, once)
    }

    fn lay_out(
        book: &Book,
        flat: FlatSheet,
        bar_code_on: Option<FlatKind>,
        sizes: &dyn Fn(&str) -> Option<PixelSize>,
        findings: &mut Vec<Finding>,
    ) -> Self {
        let dress = book.dress_of(flat.kind);
        let pictures = pictures(book, dress, &flat, sizes, findings);
        let bar_code = book
            .bar_code
            .as_ref()
            .filter(|_| bar_code_on == Some(flat.kind))
            .and_then(|wish| bars::place(book, wish, &flat, findings));
        let mut blocked: Vec<Rect> = flat.no_go.iter().map(|no_go| no_go.rect).collect();
        blocked.extend(
            bar_code
                .as_ref()
                .map(|bars| bars.white.unwrap_or(bars.rect)),
        );
        // The covering of a slipcase's ends has no faces to write on.
        let words = match flat.kind {
            FlatKind::SlipcaseEnds => Vec::new(),
            _ => Writer {
                book,
                dress,
                flat: &flat,
                blocked,
                findings,
            }
            .words(),
        };
        let mut sheet = Self {
            ground: dress.ground,
            flat,
            pictures,
            words,
            bar_code,
            finishings: Vec::new(),
        };
        bars::on_ground(&sheet, findings);
        finishings::place(book, &mut sheet, findings);
        findings.extend(unreadable(&sheet, dress));
        findings.extend(too_much_ink(book, &sheet));
        sheet
    }

    /// Which sheet it is.
    pub const fn kind(&self) -> FlatKind {
        self.flat.kind
    }

    /// Whether anything is printed or stamped on it at all. An endpaper need not be.
    pub fn has_print(&self) -> bool {
        self.ground.iter().any(|&ink| ink > 0.0)
            || !self.pictures.is_empty()
            || !self.words.is_empty()
            || self.bar_code.is_some()
            || !self.finishings.is_empty()
    }

    /// Width of its spine, or of the closed edge of a slipcase; zero for a sheet without one.
    pub fn spine(&self) -> Length {
        ["spine", "closed edge"]
            .into_iter()
            .find_map(|name| self.flat.panel(name))
            .map_or(Length::ZERO, |panel| panel.rect.width)
    }

    /// Says of something, such as the shape of a plate, into which places to keep clear it reaches,
    /// and how far. `what` begins the sentence: ``The finishing `title foil` ``.
    pub fn say_in_the_way(&self, what: &str, rect: Rect) -> Vec<Finding> {
        self.in_the_way(rect)
            .into_iter()
            .map(|found| {
                let by = format!("{:.1} mm", found.by.mm());
                Finding::new(
                    "book-in-no-go",
                    Severity::Warn,
                    Place::Whole,
                    format!(
                        "{what} reaches {by} into a place that is to stay clear on {}: {}.",
                        say::the(self.kind()),
                        found.no_go.why
                    ),
                )
                .hint("Move it off, or make it smaller; the drawing of the object shows the place.")
                .figures(by, "0 mm")
            })
            .collect()
    }

    /// The places to keep clear that something in a rectangle stands in, widest first.
    pub fn in_the_way(&self, rect: Rect) -> Vec<InTheWay> {
        let mut found: Vec<InTheWay> = self
            .flat
            .no_go
            .iter()
            .filter_map(|no_go| {
                let shared = no_go.rect.shared(rect)?;
                let out = [
                    no_go.rect.right() - rect.x,
                    rect.right() - no_go.rect.x,
                    no_go.rect.bottom() - rect.y,
                    rect.bottom() - no_go.rect.y,
                ];
                let by = out.into_iter().fold(out[0], Length::min);
                Some(InTheWay {
                    no_go: no_go.clone(),
                    shared,
                    by,
                })
            })
            .collect();
        found.sort_by_key(|found| std::cmp::Reverse(found.by));
        found
    }
}

/// The pictures of a dress, lowest first, each with what its print needs beyond its panel.
fn pictures(
    book: &Book,
    dress: &Dress,
    flat: &FlatSheet,
    sizes: &dyn Fn(&str) -> Option<PixelSize>,
    findings: &mut Vec<Finding>,
) -> Vec<PlacedPicture> {
    if flat.kind == FlatKind::SlipcaseEnds {
        return Vec::new();
    }
    let mut layout = Layout {
        book,
        sizes,
        findings: Vec::new(),
    };
    let mut pictures = Vec::new();
    let mut put = |wanted: &Wanted, window: Rect, place: &str| {
        let frame = match layout.size(&wanted.piece, place) {
            Some(size) => fit::cover(window, size, wanted.focus),
            None => window,
        };
        pictures.push(placed(wanted, frame, window));
    };
    if let Some(wanted) = &dress.whole {
        put(wanted, flat.printed(), say::the(flat.kind));
    }
    for (wanted, role, face) in [
        (&dress.back, Role::Back, "back"),
        (&dress.front, Role::Front, "front"),
    ] {
        let (Some(wanted), Some(panel)) = (wanted, role.panel(flat)) else {
            continue;
        };
        let place = match flat.kind {
            FlatKind::SoftCover | FlatKind::CaseWrap => format!("the {face} cover"),
            kind => format!("the {face} {}", say::of_the(kind)),
        };
        put(wanted, room::reach(flat, panel), &place);
    }
    findings.append(&mut layout.findings);
    pictures
}

/// What is said of a piece that this book does not have.
fn on_idle_dresses(book: &Book, flats: &[FlatSheet], findings: &mut Vec<Finding>) {
    let bare = !flats
        .iter()
        .any(|flat| flat.kind == FlatKind::FrontEndpaper);
    if book.endpapers.said && bare {
        findings.push(
            Finding::new(
                "book-endpapers-idle",
                Severity::Note,
                Place::Whole,
                "`[endpapers]` says what is printed on them, but only a case has endpapers.",
            )
            .hint("Take it out, or choose `sewn case`."),
        );
    }
}

/// Words that nobody can read on the ground they stand on.
fn unreadable(sheet: &SheetPlan, dress: &Dress) -> Option<Finding> {
    let on_ground = sheet.words.iter().any(|words| {
        !sheet
            .pictures
            .iter()
            .any(|picture| picture.window.contains(words.rect))
    });
    if !on_ground {
        return None;
    }
    let [cyan, magenta, yellow, black] = sheet.ground;
    // Yellow hardly darkens anything, so that it counts for a third.
    let darkness = black.max((cyan + magenta) / 2.0 + yellow / 3.0);
    let section = Book::dress_section(sheet.kind());
    let words = format!("{} words", say::owned_by(sheet.kind()));
    let (message, hint) = match dress.ink {
        WordInk::Paper if darkness < LIGHT_GROUND => (
            format!("{words} are left unprinted on a light ground, where nobody can read them."),
            format!("Set `{section}.ink` to `black`, or give it a darker `{section}.ground`."),
        ),
        WordInk::Black if darkness > DARK_GROUND => (
            format!("{words} are black on a dark ground, where they are hard to read."),
            format!("Set `{section}.ink` to `paper`, or give it a lighter `{section}.ground`."),
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

fn too_much_ink(book: &Book, sheet: &SheetPlan) -> Option<Finding> {
    let total: f64 = sheet.ground.iter().sum();
    let limit = book.press.ink_limit?;
    (total > limit).then(|| {
        Finding::new(
            "book-ground-over-ink-limit",
            Severity::Stop,
            Place::Whole,
            format!(
                "{} ground asks for more ink than the limit.",
                say::owned_by(sheet.kind())
            ),
        )
        .hint(format!(
            "Lower the inks of `{}.ground`.",
            Book::dress_section(sheet.kind())
        ))
        .figures(format!("{total:.0} %"), format!("{limit:.0} %"))
    })
}
