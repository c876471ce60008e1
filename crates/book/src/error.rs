//! What is wrong with a book file, in words for people.

use std::fmt;

use measure::{Currency, MeasureError};
use thiserror::Error;

use crate::bar_code::IsbnError;

/// Everything that is wrong with a book file, in the order of its lines. Never empty.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub struct BookErrors(pub Vec<BookError>);

impl fmt::Display for BookErrors {
    /// One problem a line, each followed by its hint.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (index, error) in self.0.iter().enumerate() {
            if index > 0 {
                f.write_str("\n")?;
            }
            if let Some(line) = error.line {
                write!(f, "line {line}: ")?;
            }
            write!(f, "{error}")?;
            let hint = error.hint();
            if !hint.is_empty() {
                write!(f, "\n  {hint}")?;
            }
        }
        Ok(())
    }
}

impl From<BookError> for BookErrors {
    fn from(error: BookError) -> Self {
        Self(vec![error])
    }
}

/// One thing that is wrong. Displays as a sentence without its place.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{problem}")]
pub struct BookError {
    /// Line of the file, 1-based, where there is one to name.
    pub line: Option<u32>,
    /// What is wrong.
    pub problem: Problem,
}

impl BookError {
    pub(crate) fn new(line: impl Into<Option<u32>>, problem: Problem) -> Self {
        Self {
            line: line.into(),
            problem,
        }
    }

    /// What to do about it; a sentence.
    pub fn hint(&self) -> String {
        self.problem.hint()
    }
}

/// Kinds of things that can be wrong with a book file, or with a change to it.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum Problem {
    /// Not TOML.
    #[error("this cannot be read: {message}")]
    Syntax {
        /// What the reader of TOML says.
        message: String,
    },
    /// Larger than any book file.
    #[error("the book file has {bytes} bytes, more than the {limit} that are accepted")]
    TooLarge {
        /// Its size.
        bytes: usize,
        /// The limit.
        limit: usize,
    },
    /// One key stands twice in a section.
    #[error("`{key}` stands here a second time{}", first_line(*.first))]
    KeyTwice {
        /// The key.
        key: String,
        /// Where it stood first, if that was found.
        first: Option<u32>,
    },
    /// A key that nothing reads.
    #[error("`{key}` is not known in {within}")]
    UnknownKey {
        /// The key as written.
        key: String,
        /// Section, as a person reads it.
        within: String,
        /// The key that was meant, perhaps.
        near: Option<String>,
        /// All keys that are known there.
        known: String,
    },
    /// A key that means nothing under the entry's treatment.
    #[error("`{key}` means nothing on a page whose treatment is `{treatment}`")]
    IdleKey {
        /// The key.
        key: String,
        /// The treatment.
        treatment: String,
        /// Treatments that read the key.
        belongs: String,
    },
    /// Something must be said and is not.
    #[error("{within} does not say `{key}`")]
    MissingKey {
        /// The key.
        key: String,
        /// Section, as a person reads it.
        within: String,
        /// How it would be written.
        example: String,
    },
    /// A value of another kind.
    #[error("`{key}` expected {expected}, but found {found}")]
    WrongKind {
        /// The key.
        key: String,
        /// What would have been accepted.
        expected: &'static str,
        /// What stands there.
        found: String,
        /// How it would be written.
        example: String,
    },
    /// A measure that cannot be read.
    #[error("`{key}`: {error}")]
    Measure {
        /// The key.
        key: String,
        /// Why.
        error: MeasureError,
        /// How it would be written.
        example: String,
    },
    /// A value beyond what is accepted.
    #[error("{name} is `{found}`, outside the range {range}")]
    OutOfRange {
        /// What it is, as a person calls it.
        name: &'static str,
        /// What stands there.
        found: String,
        /// The range, in words.
        range: String,
    },
    /// A word that is none of those known.
    #[error("`{key}` expected {expected}, but found `{found}`")]
    UnknownWord {
        /// The key.
        key: String,
        /// The words known.
        expected: String,
        /// What stands there.
        found: String,
        /// The word that was meant, perhaps.
        near: Option<String>,
    },
    /// Text that is written in a way of its own, such as a language or a focus.
    #[error("`{key}` expected {expected}, but found `{found}`")]
    Unreadable {
        /// The key.
        key: String,
        /// What would have been accepted.
        expected: &'static str,
        /// What stands there.
        found: String,
        /// How it would be written.
        example: String,
    },
    /// Two entries of one name.
    #[error("the name `{name}` is taken on line {first}")]
    NameTwice {
        /// The name.
        name: String,
        /// Line of the first.
        first: u32,
        /// A name that is free.
        free: String,
    },
    /// One piece placed by two entries.
    #[error("`{piece}` is placed already by `{entry}` on line {first}")]
    PieceTwice {
        /// The piece.
        piece: String,
        /// The first entry.
        entry: String,
        /// Its line.
        first: u32,
    },
    /// Wishes for one piece at two places.
    #[error("what is wished for `{piece}` is said already on line {first}")]
    WishedTwice {
        /// The piece.
        piece: String,
        /// Line of the first.
        first: u32,
    },
    /// One thing said at two places.
    #[error("{what} is said already on line {first}")]
    SaidTwice {
        /// What it is, as a person calls it.
        what: String,
        /// Line of the first.
        first: u32,
    },
    /// A printer's short name that is none.
    #[error("`{found}` cannot be the short name of a printer")]
    PrinterKey {
        /// What stands there.
        found: String,
    },
    /// No printer of that short name.
    #[error("there is no printer `{key}`")]
    NoSuchPrinter {
        /// The short name.
        key: String,
        /// The one that was meant, perhaps.
        near: Option<String>,
    },
    /// Shares that are not the whole.
    #[error("the shares of the delivery places sum to {sum}%, and not to 100%")]
    Shares {
        /// What they sum to, in percent.
        sum: String,
    },
    /// Payments that are not the whole price.
    #[error("the payments sum to {sum} % of the price, not to 100 %")]
    PaymentShares {
        /// What they sum to, in percent.
        sum: String,
    },
    /// Shares of a whole that are more than it.
    #[error("{what} make {sum} %, more than the whole")]
    OverTheWhole {
        /// What.
        what: &'static str,
        /// What they make, in percent.
        sum: String,
    },
    /// A sum of the edition in another currency than the first.
    #[error("`{key}` is in {found}, and what stands before it in {first}")]
    OtherCurrency {
        /// The key.
        key: String,
        /// Its currency.
        found: Currency,
        /// The currency of what stands before.
        first: Currency,
    },
    /// An offer that pays nothing, or in two ways.
    #[error("an offer pays either a `royalty` or a `profit_share`")]
    OfferPays,
    /// More shares than there is to share.
    #[error("nothing is left for `{place}`, which has no share of its own")]
    NothingLeft {
        /// The place.
        place: String,
    },
    /// A rate from a currency to itself.
    #[error("this `[[rate]]` goes from {currency} to {currency}")]
    SameCurrency {
        /// The currency.
        currency: Currency,
    },
    /// Sums that belong together, in two currencies.
    #[error("this `[[freight]]` is in {first} and in {second}")]
    TwoCurrencies {
        /// One.
        first: Currency,
        /// The other.
        second: Currency,
    },
    /// A path that leads elsewhere.
    #[error("`{key}` is `{found}`, which {why}")]
    Path {
        /// The key.
        key: String,
        /// The path.
        found: String,
        /// What is wrong with it.
        why: &'static str,
    },
    /// Both of two keys that exclude each other.
    #[error("{within} says both `{first}` and `{second}`")]
    Clash {
        /// Section, as a person reads it.
        within: String,
        /// One.
        first: &'static str,
        /// The other.
        second: &'static str,
    },
    /// Margins that leave nothing.
    #[error("{what} leaves {left}, less than the {least} that a page needs")]
    NoRoom {
        /// The margins, as a person calls them.
        what: String,
        /// What they leave.
        left: String,
        /// What is needed.
        least: String,
    },
    /// No entry of that name.
    #[error("the running order has no entry `{name}`")]
    NoSuchEntry {
        /// The name.
        name: String,
        /// The name that was meant, perhaps.
        near: Option<String>,
    },
    /// No such place in the running order.
    #[error("place {place} is beyond the running order, which has {entries} entries")]
    NoSuchPlace {
        /// The place asked for, counted from 1.
        place: usize,
        /// How many entries there are.
        entries: usize,
    },
    /// A treatment that the entry cannot take.
    #[error("`{entry}` cannot become `{treatment}`: {why}")]
    CannotTreat {
        /// The entry.
        entry: String,
        /// The treatment asked for.
        treatment: String,
        /// Why not.
        why: String,
        /// What to do instead.
        instead: String,
    },
    /// A book number that is none.
    #[error("`isbn`: {error}")]
    BookNumber {
        /// Why.
        error: IsbnError,
    },
    /// A language whose books open at the other side.
    #[error(
        "`language` is `{language}`, which is written from right to left; Foredge makes only books \
         that are bound at their left edge and read from left to right"
    )]
    FromTheRight {
        /// The language.
        language: String,
    },
    /// Something that the book file cannot choose.
    #[error("`{key}` cannot be chosen: {why}")]
    NotToBeChosen {
        /// The key.
        key: String,
        /// How it always is.
        why: &'static str,
        /// What to do.
        instead: &'static str,
    },
    /// A bar code that cannot be made.
    #[error("`[barcode]`: {why}")]
    BarCode {
        /// Why.
        why: String,
    },
    /// A plate that cannot have its name.
    #[error("`{name}` cannot be the name of a finishing: {why}")]
    PlateName {
        /// The name.
        name: String,
        /// Why not.
        why: String,
    },
    /// A setting that does not exist.
    #[error("`{key}` is not a setting of the book")]
    UnknownSetting {
        /// The dotted key.
        key: String,
        /// The setting that was meant, perhaps.
        near: Option<String>,
    },
}

fn first_line(first: Option<u32>) -> String {
    first.map_or_else(String::new, |line| {
        format!("; it stood first on line {line}")
    })
}

impl Problem {
    fn hint(&self) -> String {
        match self {
            Self::Syntax { .. } => "Text and measures stand in quotes, such as `bleed = \"3mm\"`; \
                                    each section begins with its name in brackets."
                .to_owned(),
            Self::TooLarge { .. } => {
                "Keep long words in fewer pages; the art itself does not belong in this file."
                    .to_owned()
            }
            Self::KeyTwice { key, .. } => format!("Keep one `{key}` and take the other out."),
            Self::UnknownKey { near, known, .. } => match near {
                Some(near) => format!("Did you mean `{near}`?"),
                None => format!("Known here: {known}."),
            },
            Self::IdleKey { key, belongs, .. } => {
                format!("Take `{key}` out, or change the treatment: it belongs to {belongs}.")
            }
            Self::MissingKey { example, .. } => format!("Add a line such as `{example}`."),
            Self::WrongKind { example, .. }
            | Self::Measure { example, .. }
            | Self::Unreadable { example, .. } => format!("Write it like `{example}`."),
            Self::OutOfRange { range, .. } => format!("Choose a value from {range}."),
            Self::UnknownWord { near, .. } => match near {
                Some(near) => format!("Did you mean `{near}`?"),
                None => "Choose one of those given.".to_owned(),
            },
            Self::NameTwice { free, .. } => {
                format!("Give each entry a name of its own, such as `{free}`.")
            }
            Self::PieceTwice { .. } => "Take one of the two out, or add `again = true` to the \
                                        second if it is meant to be seen twice."
                .to_owned(),
            Self::WishedTwice { .. } => {
                "Put all that is wished for it under one `[[piece]]`.".to_owned()
            }
            Self::SaidTwice { .. } => "Keep one of the two and take the other out.".to_owned(),
            Self::PrinterKey { .. } => "Use small letters, digits and hyphens, such as `quay` or \
                                        `north-2`: files are named by it."
                .to_owned(),
            Self::NoSuchPrinter { near, .. } => match near {
                Some(near) => format!("Did you mean `{near}`?"),
                None => "Use the `key` of a `[[printer]]` in the book.".to_owned(),
            },
            Self::Shares { .. } => "Leave the share of one place out, and it gets what the others \
                                    leave."
                .to_owned(),
            Self::PaymentShares { .. } => {
                "Change the share of one payment, or add the one that is missing.".to_owned()
            }
            Self::OverTheWhole { .. } => {
                "Make some of them smaller; together they are at most 100%.".to_owned()
            }
            Self::OtherCurrency { first, .. } => {
                format!("Say it in {first}: all sums of the edition are in one currency.")
            }
            Self::OfferPays => "Say one of the two, such as `royalty = \"10%\"`.".to_owned(),
            Self::NothingLeft { .. } => {
                "Make the shares of the other places smaller, or take this place out.".to_owned()
            }
            Self::SameCurrency { .. } => {
                "Name the two currencies that the rate is between.".to_owned()
            }
            Self::TwoCurrencies { .. } => {
                "Write `fixed` and `each` in one currency, the one that the forwarder named."
                    .to_owned()
            }
            Self::Path { key, .. } if key == "mask" => "Write the name as it stands in the book \
                                                        folder, with forward slashes, such as \
                                                        `masks/title.svg`."
                .to_owned(),
            Self::Path { .. } => "Write the name as it stands below `art/` in the book folder, \
                                  with forward slashes, such as `coast/harbour.png`."
                .to_owned(),
            Self::Clash { first, second, .. } => {
                format!("Keep `{first}` or `{second}`: the other follows from it.")
            }
            Self::NoRoom { .. } => "Make the margins smaller or the page larger.".to_owned(),
            Self::NoSuchEntry { near, .. } => match near {
                Some(near) => format!("Did you mean `{near}`?"),
                None => "Use a name that the running order shows.".to_owned(),
            },
            Self::NoSuchPlace { entries, .. } => format!("Choose a place from 1 to {entries}."),
            Self::CannotTreat { instead, .. } => instead.clone(),
            Self::BookNumber { error } => match error {
                IsbnError::OldNumber(anew) => format!("Write it like `isbn = \"{anew}\"`."),
                _ => "Compare it with the number that the agency gave, digit by digit.".to_owned(),
            },
            Self::FromTheRight { .. } => "Pages, spreads, spine and flaps would all lie on the \
                                          wrong side, so nothing is made. A book in two languages \
                                          that is bound at the left can name the other one."
                .to_owned(),
            Self::NotToBeChosen { instead, .. } => (*instead).to_owned(),
            Self::BarCode { .. } => "A magnification of 100% without a reduction is always \
                                     possible."
                .to_owned(),
            Self::PlateName { .. } => "Each plate needs a name that is no ink's and no other \
                                       plate's, such as `title foil`."
                .to_owned(),
            Self::UnknownSetting { near, .. } => match near {
                Some(near) => format!("Did you mean `{near}`?"),
                None => "Write section and key, such as `format.bleed`, or `page.NAME.caption` \
                         for one page."
                    .to_owned(),
            },
        }
    }
}
