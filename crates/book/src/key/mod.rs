//! Every key of the book file: where it stands, what kind of value it takes, an example, and what
//! people call it. Reading, editing and proposing all look here.

mod asking;
mod book;
mod dates;
mod edition;
mod finishing;
mod ink;
mod named;
mod page;
mod sheet;

pub(crate) use asking::*;
pub(crate) use book::*;
pub(crate) use dates::*;
pub(crate) use edition::*;
pub(crate) use finishing::*;
pub(crate) use ink::*;
pub(crate) use named::*;
pub(crate) use page::*;
pub(crate) use sheet::*;

/// What a key takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    /// Text in quotes: a name, a word of a list, or a measure with its unit.
    Text,
    /// Text that may run over lines.
    Words,
    /// `true` or `false`.
    Switch,
    /// A whole number.
    Whole,
    /// A list of texts in quotes.
    TextList,
    /// A list of whole numbers.
    WholeList,
}

/// One key.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Key {
    /// As written in the file.
    pub(crate) name: &'static str,
    /// What it takes.
    pub(crate) kind: Kind,
    /// A value as it would stand in the file, quotes and all.
    pub(crate) example: &'static str,
    /// What people call it, as read in a sentence: `the bleed`.
    pub(crate) label: &'static str,
}

/// One section of the file that stands once.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Section {
    /// Its dotted name.
    pub(crate) name: &'static str,
    /// Its keys.
    pub(crate) keys: &'static [Key],
}

const fn key(name: &'static str, kind: Kind, example: &'static str, label: &'static str) -> Key {
    Key {
        name,
        kind,
        example,
        label,
    }
}

/// The sections that stand once, in the order in which a new file has them.
pub(crate) const SECTIONS: [Section; 20] = [
    BOOK,
    FORMAT,
    BINDING,
    CASE,
    ENDPAPERS,
    JACKET,
    FLAPS,
    BAND,
    SLIPCASE,
    TEXT_STOCK,
    COVER_STOCK,
    PRESS,
    PAPER,
    LEARNED,
    COVER,
    BAR_CODE,
    ASK,
    LANDING,
    DATES,
    EDITION,
];

/// The first words of every section name, which are what stands at the top of the file.
pub(crate) const TOP: [&str; 35] = [
    "book",
    "format",
    "binding",
    "case",
    "endpapers",
    "jacket",
    "flaps",
    "band",
    "slipcase",
    "stock",
    "press",
    "paper",
    "cover",
    "barcode",
    "finishing",
    "ask",
    "delivery",
    "printer",
    "landing",
    "rate",
    "import",
    "freight",
    "term",
    "dates",
    "closure",
    "step",
    "payment",
    "edition",
    "audience",
    "channel",
    "offer",
    "plan",
    "source",
    "piece",
    "page",
];

impl Section {
    /// The key of that name.
    pub(crate) fn key(&self, name: &str) -> Option<&'static Key> {
        self.keys.iter().find(|key| key.name == name)
    }

    /// Names of the sections directly below it: `learned` for `paper`.
    pub(crate) fn sections_within(self) -> impl Iterator<Item = &'static str> + Clone {
        SECTIONS
            .iter()
            .filter_map(move |other| other.name.strip_prefix(self.name)?.strip_prefix('.'))
    }

    /// Names of all its keys.
    pub(crate) fn names(&self) -> impl Iterator<Item = &'static str> + Clone + use<> {
        self.keys.iter().map(|key| key.name)
    }
}
