//! The book itself: title, page, binding and stocks.

use super::Kind::{Switch, Text, Whole};
use super::{Section, key};

pub(crate) const BOOK: Section = Section {
    name: "book",
    keys: &[
        key("title", Text, "\"The Low Tide Line\"", "the title"),
        key("author", Text, "\"Ines Marlow\"", "the author"),
        key("language", Text, "\"en\"", "the language"),
        key("isbn", Text, "\"978-0-306-40615-7\"", "the book number"),
    ],
};

pub(crate) const FORMAT: Section = Section {
    name: "format",
    keys: &[
        key("trim", Text, "\"250x300mm\"", "the trimmed page"),
        key("bleed", Text, "\"3mm\"", "the bleed"),
        key("safe", Text, "\"8mm\"", "the safe margin"),
        key("fold", Text, "\"10mm\"", "the fold margin"),
        key(
            "fold_repeat",
            Text,
            "\"0mm\"",
            "the strip repeated at the fold",
        ),
        key("folios", Switch, "true", "page numbers"),
    ],
};

pub(crate) const BINDING: Section = Section {
    name: "binding",
    keys: &[
        key("kind", Text, "\"sewn soft\"", "the binding"),
        key("signature", Whole, "16", "pages to a signature"),
        key("board", Text, "\"2.5mm\"", "the board of the case"),
        key("spine", Text, "\"14.5mm\"", "the spine as given"),
        key("swell", Text, "\"0.5mm\"", "the swell of the sewing"),
    ],
};

pub(crate) const TEXT_STOCK: Section = Section {
    name: "stock.text",
    keys: &[
        key("name", Text, "\"Silk art paper\"", "the text stock's name"),
        key(
            "grammage",
            Text,
            "\"150 g/m2\"",
            "the weight of the text stock",
        ),
        key("bulk", Text, "\"0.9 cm3/g\"", "the bulk of the text stock"),
        key(
            "caliper",
            Text,
            "\"0.135mm\"",
            "the thickness of the text stock",
        ),
        key("finish", Text, "\"silk\"", "the finish of the text stock"),
    ],
};

pub(crate) const COVER_STOCK: Section = Section {
    name: "stock.cover",
    keys: &[
        key("name", Text, "\"Silk board\"", "the cover stock's name"),
        key(
            "grammage",
            Text,
            "\"300 g/m2\"",
            "the weight of the cover stock",
        ),
        key("bulk", Text, "\"1.1 cm3/g\"", "the bulk of the cover stock"),
        key(
            "caliper",
            Text,
            "\"0.33mm\"",
            "the thickness of the cover stock",
        ),
        key("finish", Text, "\"silk\"", "the finish of the cover stock"),
    ],
};
