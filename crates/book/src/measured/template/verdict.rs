//! Which side to believe, figure by figure.

use finding::{Finding, Place, Severity, capital};
use measure::{Length, Size};

use crate::measured::shelf::trimmed;
use crate::measured::source::Accepted;
use crate::model::{Book, Thickness};
use crate::object::{Basis, FlatKind, FlatSheet, Object};

/// Whom to believe.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Believe {
    /// They agree.
    Same,
    /// The printer.
    Theirs,
    /// Us.
    Ours,
    /// Nobody yet: ask.
    Ask,
    /// It follows from the other figures.
    Follows,
}

impl Believe {
    /// `same`, `the printer`, `the book`, `ask`, `follows`.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Same => "same",
            Self::Theirs => "the printer",
            Self::Ours => "the book",
            Self::Ask => "ask",
            Self::Follows => "follows",
        }
    }
}

/// One figure on both sides.
#[derive(Debug, Clone, PartialEq)]
pub struct Difference {
    /// What it is: `spine`.
    pub what: &'static str,
    /// As our sheet has it.
    pub ours: Length,
    /// As the template has it.
    pub theirs: Length,
    /// Where ours comes from.
    pub basis: Basis,
    /// Whom to believe.
    pub believe: Believe,
    /// Why, as a sentence.
    pub why: String,
    /// What makes their figure doubtful, if anything does.
    pub doubt: Option<String>,
    /// What would be set.
    pub(in crate::measured) accepted: Option<Accepted>,
}

impl Difference {
    /// Theirs less ours.
    pub fn by(&self) -> Length {
        self.theirs - self.ours
    }

    /// The dotted key of the book that would be set, and its value.
    pub fn sets(&self) -> Option<(&'static str, &str)> {
        self.accepted
            .as_ref()
            .map(|one| (one.key, one.value.as_str()))
    }
}

/// A figure of the template.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Theirs {
    pub(super) name: &'static str,
    pub(super) length: Length,
    pub(super) doubt: Option<String>,
}

/// Finer than a fold or a cut can be set. Our assumption.
const SAME: Length = Length::from_nm(100_000);
/// A spine that differs by more than this part of it was reckoned for another book. Our assumption:
/// twice what the bulk of a paper may be off.
const OTHER_BOOK: f64 = 0.16;

pub(super) fn differences(
    book: &Book,
    object: &Object,
    flat: &FlatSheet,
    figures: &[(&'static str, Length)],
    theirs: &[Theirs],
) -> Vec<Difference> {
    let judge = Judge {
        book,
        object,
        kind: flat.kind,
        square: theirs
            .iter()
            .find(|one| one.name == "board height")
            .map(|one| (one.length - book.format.trim.height) / 2),
    };
    let mut differences: Vec<Difference> = theirs
        .iter()
        .filter_map(|one| {
            let (what, ours) = figures.iter().find(|(name, _)| *name == one.name)?;
            Some(judge.difference(what, *ours, one))
        })
        .collect();
    for whole in ["width", "height"] {
        if let Some(why) = unfollowed(flat, figures, &differences, whole)
            && let Some(one) = differences.iter_mut().find(|one| one.what == whole)
        {
            one.believe = Believe::Ask;
            one.why = why;
        }
    }
    differences
}

/// Why a width or height that should follow from the other figures does not follow from those that the
/// template has; nothing where it does.
fn unfollowed(
    flat: &FlatSheet,
    figures: &[(&'static str, Length)],
    differences: &[Difference],
    whole: &'static str,
) -> Option<String> {
    let one = differences
        .iter()
        .find(|one| one.what == whole && one.believe == Believe::Follows)?;
    // A turn-in lies on both sides.
    let parts: Vec<(&'static str, Length, i64)> = figures
        .iter()
        .filter_map(|&(name, ours)| match name {
            "turn-in" => Some((name, ours, 2)),
            "board height" if whole == "height" => Some((name, ours, 1)),
            _ if whole == "width" && flat.panels.iter().any(|panel| panel.name == name) => {
                Some((name, ours, 1))
            }
            _ => None,
        })
        .collect();
    let sum = parts
        .iter()
        .fold(Length::ZERO, |sum, &(_, ours, times)| sum + ours * times);
    if (sum - one.ours).abs() > SAME {
        return None;
    }
    let stated = |name: &str| differences.iter().find(|one| one.what == name);
    let by = parts.iter().fold(Length::ZERO, |by, &(name, _, times)| {
        by + stated(name).map_or(Length::ZERO, Difference::by) * times
    });
    let foretold = one.ours + by;
    if (one.theirs - foretold).abs() <= SAME * parts.len() as i64 {
        return None;
    }
    let open: Vec<&str> = parts
        .iter()
        .map(|&(name, ..)| name)
        .filter(|name| stated(name).is_none())
        .collect();
    Some(if open.is_empty() {
        format!("Its other figures make {foretold}. Ask which of them holds.")
    } else {
        format!(
            "It would be {foretold} by the other figures. The rest lies in what is not known of the \
             template: {}. Ask for those.",
            open.join(", ")
        )
    })
}

/// What the differences mean.
pub(super) fn findings(flat: &FlatSheet, differences: &[Difference]) -> Vec<Finding> {
    differences
        .iter()
        .filter_map(|one| {
            let severity = match one.believe {
                Believe::Ours | Believe::Ask => Severity::Warn,
                _ => return None,
            };
            // A bleed that is wider than asked for does no harm.
            if one.what == "bleed" {
                return None;
            }
            let code = if one.believe == Believe::Ours {
                "book-template-for-another-book"
            } else {
                "book-template-ask"
            };
            Some(
                Finding::new(
                    code,
                    severity,
                    Place::Whole,
                    format!(
                        "{}: {} on the template's {}, {} on ours.",
                        capital(one.what),
                        one.theirs,
                        flat.name(),
                        one.ours
                    ),
                )
                .hint(one.why.clone())
                .figures(one.theirs.to_string(), one.ours.to_string()),
            )
        })
        .collect()
}

struct Judge<'a> {
    book: &'a Book,
    object: &'a Object,
    kind: FlatKind,
    /// The square that the template's boards have over our page.
    square: Option<Length>,
}

/// What is thought of a figure.
struct Thought {
    believe: Believe,
    why: String,
    accepted: Option<Accepted>,
}

impl Thought {
    fn new(believe: Believe, why: impl Into<String>) -> Self {
        Self {
            believe,
            why: why.into(),
            accepted: None,
        }
    }
}

impl Judge<'_> {
    fn difference(&self, what: &'static str, ours: Length, theirs: &Theirs) -> Difference {
        let length = theirs.length;
        let same = (length - ours).abs() <= SAME;
        let key = self.key(what);
        // A face follows from the page and from more than its key.
        let basis = key
            .filter(|_| !matches!(what, "front" | "back"))
            .and_then(|key| self.stands(key))
            .map_or(Basis::Reckoned, |(basis, _)| basis);
        let mut thought = if same {
            Thought::new(Believe::Same, "They agree.")
        } else {
            self.thought(what, ours, length)
        };
        if theirs.doubt.is_some() && thought.believe == Believe::Theirs {
            thought = Thought::new(
                Believe::Ask,
                "It cannot be told which line of the template is meant: look at it, and set what \
                 it says.",
            );
        }
        Difference {
            what,
            ours,
            theirs: length,
            basis,
            believe: thought.believe,
            why: thought.why,
            doubt: theirs.doubt.clone(),
            accepted: thought.accepted,
        }
    }

    /// The value of the book file that a figure follows from.
    fn key(&self, what: &str) -> Option<&'static str> {
        use FlatKind::{BellyBand, CaseWrap, Jacket, SlipcaseEnds, SlipcaseWrap, SoftCover};
        Some(match (self.kind, what) {
            (SoftCover | CaseWrap, "spine") => "binding.spine",
            (SoftCover, "front flap" | "back flap") => "flaps.width",
            (SoftCover, "front" | "back") if self.book.object.flaps.is_some() => "flaps.over",
            (CaseWrap, "turn-in") => "case.turn_in",
            (CaseWrap, "board height") => "case.square",
            (CaseWrap, "front" | "back") => "case.setback",
            (CaseWrap, "front hinge" | "back hinge") => "case.hinge",
            (Jacket, "height") => "jacket.height",
            (Jacket, "front" | "back") => "jacket.turn",
            (Jacket, "front flap" | "back flap") => "jacket.flap",
            (BellyBand, "height") => "band.height",
            (BellyBand, "front" | "back") => "band.ease",
            (BellyBand, "front tuck" | "back tuck") => "band.tuck",
            (SlipcaseWrap | SlipcaseEnds, "turn-in") => "slipcase.turn_in",
            (_, "bleed") => "format.bleed",
            _ => return None,
        })
    }

    /// Where the figure under a key comes from in our object, and its source in words.
    fn stands(&self, key: &str) -> Option<(Basis, String)> {
        if key == "format.bleed" {
            return Some((Basis::Given, String::new()));
        }
        self.object
            .parts
            .iter()
            .flat_map(|part| &part.dimensions)
            .find(|one| one.key == Some(key))
            .map(|one| (one.basis, one.how.clone()))
    }

    fn thought(&self, what: &'static str, ours: Length, theirs: Length) -> Thought {
        use FlatKind::{BackEndpaper, BellyBand, FrontEndpaper, Jacket, SoftCover};
        let Size { width, height } = self.book.format.trim;
        let page = || {
            Thought::new(
                Believe::Ours,
                format!(
                    "The page of {width} × {height} is yours to decide: the template was made for \
                     another one. Ask for one of this size."
                ),
            )
        };
        match what {
            "bleed" if theirs < ours => {
                Thought::new(Believe::Ours, "More bleed than is asked for does no harm.")
            }
            "bleed" => self.take(
                "format.bleed",
                theirs,
                20.0,
                "The printer cuts, so the printer's bleed counts; every file of the book gets it.",
            ),
            "height" if self.kind == SoftCover => page(),
            "width" | "height" if !matches!((self.kind, what), (Jacket | BellyBand, "height")) => {
                if matches!(self.kind, FrontEndpaper | BackEndpaper) {
                    page()
                } else {
                    Thought::new(Believe::Follows, "It follows from the other figures.")
                }
            }
            "spine" if matches!(self.kind, Jacket | BellyBand) => Thought::new(
                Believe::Follows,
                "It follows from the spine of the book: hold the template of the cover or the case \
                 against ours first.",
            ),
            "spine" => self.spine(ours, theirs),
            "front" | "back" => self.face(what, ours, theirs).unwrap_or_else(page),
            _ => match self.key(what) {
                Some(key) => self.own(key, what, theirs),
                None if matches!(self.kind, FrontEndpaper | BackEndpaper) => page(),
                None => Thought::new(
                    Believe::Ask,
                    "Ask what book the template was made for; ours follows from this one.",
                ),
            },
        }
    }

    /// A figure that stands in the book file as it is.
    fn own(&self, key: &'static str, what: &str, theirs: Length) -> Thought {
        let value = if what == "board height" {
            self.square.unwrap_or(theirs)
        } else {
            theirs
        };
        self.take(
            key,
            value,
            f64::INFINITY,
            "The printer makes it, so the printer's figure counts.",
        )
    }

    /// Believes the printer where ours is no more than typical, and asks where it was given.
    fn take(&self, key: &'static str, value: Length, most: f64, why: &str) -> Thought {
        if value < Length::ZERO || value.mm() > most {
            return Thought::new(
                Believe::Ask,
                format!("It would make {key} {value}, which cannot be: ask what it was made for."),
            );
        }
        let accepted = Some(Accepted {
            key,
            value: format!("{}mm", trimmed(value.mm(), 3)),
        });
        match self.stands(key) {
            Some((Basis::Given, source)) if key != "format.bleed" => {
                let source = if source.is_empty() {
                    "it was given by hand".to_owned()
                } else {
                    format!("it comes from {source}")
                };
                Thought {
                    believe: Believe::Ask,
                    why: format!(
                        "Ours is no guess: {source}. Ask the printer, and set {key} if theirs holds."
                    ),
                    accepted,
                }
            }
            _ => Thought {
                believe: Believe::Theirs,
                why: why.to_owned(),
                accepted,
            },
        }
    }

    /// Front and back: what of them the book does not decide.
    fn face(&self, what: &str, ours: Length, theirs: Length) -> Option<Thought> {
        let by = theirs - ours;
        let find = |name: &str| {
            self.object
                .parts
                .iter()
                .flat_map(|part| &part.dimensions)
                .find(|one| one.key == Some(name))
                .and_then(|one| match one.amount {
                    crate::object::Amount::Length(length) => Some(length),
                    _ => None,
                })
        };
        let key = self.key(what)?;
        let stands = find(key)?;
        let (value, most) = match key {
            // A wider board stays nearer to the back; a higher one stands over the fore edge too.
            "case.setback" => {
                let square = find("case.square")?;
                (stands - by + (self.square.unwrap_or(square) - square), 20.0)
            }
            "flaps.over" | "band.ease" => (stands + by, 5.0),
            _ => (stands + by, 20.0),
        };
        if value < Length::ZERO || value.mm() > most {
            return None;
        }
        Some(self.take(
            key,
            value,
            most,
            "The printer folds it, so the printer's figure counts.",
        ))
    }

    fn spine(&self, ours: Length, theirs: Length) -> Thought {
        let leaves = i64::from(self.object.leaves.max(1));
        let off = (theirs - ours).ratio(ours).abs();
        let per_leaf = self.object.caliper;
        let rest = ours - per_leaf * leaves;
        if off > OTHER_BOOK {
            let pages = ((theirs - rest).ratio(per_leaf) * 2.0).round().max(0.0);
            return Thought::new(
                Believe::Ask,
                format!(
                    "On the paper of this book it would be a spine of about {pages:.0} pages, and \
                     there are {}. Ask for which paper and how many pages it was made.",
                    self.object.pages
                ),
            );
        }
        if let Some(source) = self
            .book
            .source_of("stock.text.caliper")
            .filter(|source| source.contains("dummy"))
        {
            return Thought::new(
                Believe::Ours,
                format!(
                    "Ours was measured ({source}), and theirs was reckoned: send them what the \
                     dummy measured."
                ),
            );
        }
        let caliper = (theirs - rest) / leaves;
        match self.book.text_stock.thickness {
            Thickness::Assumed(_) if self.book.object.spine.is_none() => Thought {
                believe: Believe::Theirs,
                why: format!(
                    "The thickness of our paper is assumed, and the printer knows theirs: {} a \
                     leaf follows, and the spine keeps moving with the number of pages.",
                    caliper
                ),
                accepted: Some(Accepted {
                    key: "stock.text.caliper",
                    value: format!("{}mm", trimmed(caliper.mm(), 4)),
                }),
            },
            _ => Thought {
                believe: Believe::Ask,
                why: "Both sides reckon from a stated paper: ask for the thickness of theirs. If \
                      their spine holds, set binding.spine; a blank dummy settles it."
                    .to_owned(),
                accepted: Some(Accepted {
                    key: "binding.spine",
                    value: format!("{}mm", trimmed(theirs.mm(), 2)),
                }),
            },
        }
    }
}
