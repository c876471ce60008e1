//! Every key of the book file: where it stands, what kind of value it takes, an example, and what
//! people call it. Reading, editing and proposing all look here.

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

use Kind::{Switch, Text, Whole, Words};

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

pub(crate) const PRESS: Section = Section {
    name: "press",
    keys: &[
        key("condition", Text, "\"coated\"", "the press condition"),
        key("rendering", Text, "\"perceptual\"", "the rendering"),
        key("ink_limit", Text, "\"300%\"", "the ink limit"),
        key(
            "resolution",
            Text,
            "\"300ppi\"",
            "the resolution of the press file",
        ),
        key("pictures", Text, "\"lossless\"", "how pictures are stored"),
    ],
};

pub(crate) const PAPER: Section = Section {
    name: "paper",
    keys: &[
        key("recipe", Text, "\"usual\"", "the recipe for paper"),
        key("name", Text, "\"quiet night\"", "the name of the recipe"),
        key("contrast", Text, "\"-8%\"", "the contrast for paper"),
        key("lightening", Text, "\"3\"", "the lightening for paper"),
        key("saturation", Text, "\"-8%\"", "the saturation for paper"),
        key("red", Text, "\"-6%\"", "the saturation of reds"),
        key("yellow", Text, "\"-2%\"", "the saturation of yellows"),
        key("green", Text, "\"-2%\"", "the saturation of greens"),
        key("cyan", Text, "\"-6%\"", "the saturation of cyans"),
        key("blue", Text, "\"-2%\"", "the saturation of blues"),
        key("magenta", Text, "\"-2%\"", "the saturation of magentas"),
        key("black", Text, "\"4\"", "the lightness of the art's black"),
        key("white", Text, "\"98\"", "the lightness of the art's white"),
        key("sharpening", Text, "\"modest\"", "the sharpening for paper"),
        key("ruling", Text, "\"175lpi\"", "the screen ruling"),
    ],
};

pub(crate) const LEARNED: Section = Section {
    name: "paper.learned",
    keys: &[
        key(
            "from",
            Text,
            "\"proof 1, strip 1\"",
            "what taught the correction",
        ),
        key(
            "tone",
            Text,
            "\"0 3, 50 44, 100 100\"",
            "the tone learned from the proof",
        ),
        key(
            "saturation",
            Text,
            "\"1.1 1.08 1.02 1 1 1.05\"",
            "the saturation learned from the proof",
        ),
        key(
            "hue",
            Text,
            "\"0 0 -2 0 1 0\"",
            "the turn of hue learned from the proof",
        ),
        key(
            "depth",
            Text,
            "\"1.02 1 0.98\"",
            "the chroma of darks and lights learned from the proof",
        ),
        key(
            "lift",
            Text,
            "\"0 -1.5 -1 0 0 0.5\"",
            "the lightness of strong colours learned from the proof",
        ),
        key(
            "cast",
            Text,
            "\"0 0, 0.3 -0.2, 0 0\"",
            "the cast learned from the proof",
        ),
    ],
};

/// What is wished for one piece, wherever it stands; stands once for each of them.
pub(crate) const PIECE: Section = Section {
    name: "piece",
    keys: &[
        key("art", Text, "\"night.png\"", "the piece"),
        key("recipe", Text, "\"none\"", "the recipe for paper"),
        key("contrast", Text, "\"-8%\"", "the contrast for paper"),
        key("lightening", Text, "\"3\"", "the lightening for paper"),
        key("saturation", Text, "\"-8%\"", "the saturation for paper"),
        key("red", Text, "\"-6%\"", "the saturation of reds"),
        key("yellow", Text, "\"-2%\"", "the saturation of yellows"),
        key("green", Text, "\"-2%\"", "the saturation of greens"),
        key("cyan", Text, "\"-6%\"", "the saturation of cyans"),
        key("blue", Text, "\"-2%\"", "the saturation of blues"),
        key("magenta", Text, "\"-2%\"", "the saturation of magentas"),
        key("black", Text, "\"4\"", "the lightness of the black"),
        key("white", Text, "\"98\"", "the lightness of the white"),
        key("inks", Text, "\"black\"", "the inks"),
        key("sharpening", Text, "\"none\"", "the sharpening"),
    ],
};

pub(crate) const COVER: Section = Section {
    name: "cover",
    keys: &[
        key(
            "art",
            Text,
            "\"tide-line.png\"",
            "the picture over the whole cover",
        ),
        key("focus", Text, "\"0.5 0.4\"", "the focus of the whole cover"),
        key(
            "front",
            Text,
            "\"harbour.png\"",
            "the front cover's picture",
        ),
        key(
            "front_focus",
            Text,
            "\"0.5 0.4\"",
            "the focus of the front cover",
        ),
        key("back", Text, "\"reeds.png\"", "the back cover's picture"),
        key(
            "back_focus",
            Text,
            "\"0.5 0.4\"",
            "the focus of the back cover",
        ),
        key("ground", Text, "\"0 0 0 0\"", "the cover's ground"),
        key("front_words", Switch, "true", "words on the front cover"),
        key(
            "back_words",
            Words,
            "\"\"\"Words.\"\"\"",
            "words on the back cover",
        ),
        key(
            "spine_words",
            Text,
            "\"The Low Tide Line\"",
            "words on the spine",
        ),
        key("spine_reads", Text, "\"down\"", "which way the spine reads"),
        key(
            "front_flap_words",
            Words,
            "\"\"\"Words.\"\"\"",
            "words on the front flap",
        ),
        key(
            "back_flap_words",
            Words,
            "\"\"\"Words.\"\"\"",
            "words on the back flap",
        ),
        key("ink", Text, "\"black\"", "the ink of the cover's words"),
    ],
};

pub(crate) const CASE: Section = Section {
    name: "case",
    keys: &[
        key("back", Text, "\"flat\"", "the back of the case"),
        key("rise", Text, "\"6mm\"", "the rise of a round back"),
        key("square", Text, "\"3mm\"", "the square of the case"),
        key("setback", Text, "\"6mm\"", "the setback of the boards"),
        key("hinge", Text, "\"8mm\"", "the hinge of the case"),
        key("turn_in", Text, "\"15mm\"", "the turn-in of the case"),
        key("strip", Text, "\"2.5mm\"", "the strip in the spine"),
        key(
            "board_density",
            Text,
            "\"0.65 g/cm3\"",
            "the density of the board",
        ),
        key(
            "covering",
            Text,
            "\"135 g/m2\"",
            "the weight of the covering",
        ),
        key(
            "covering_caliper",
            Text,
            "\"0.12mm\"",
            "the thickness of the covering",
        ),
        key("bands", Switch, "true", "head and tail bands"),
        key("ribbons", Whole, "1", "the ribbons"),
    ],
};

pub(crate) const ENDPAPERS: Section = Section {
    name: "endpapers",
    keys: &[
        key(
            "grammage",
            Text,
            "\"140 g/m2\"",
            "the weight of the endpapers",
        ),
        key(
            "caliper",
            Text,
            "\"0.17mm\"",
            "the thickness of the endpapers",
        ),
        key(
            "art",
            Text,
            "\"tide-line.png\"",
            "the picture over the endpapers",
        ),
        key(
            "focus",
            Text,
            "\"0.5 0.4\"",
            "the focus of the endpapers's picture",
        ),
        key("ground", Text, "\"0 0 0 0\"", "the ground of the endpapers"),
    ],
};

pub(crate) const JACKET: Section = Section {
    name: "jacket",
    keys: &[
        key("wanted", Switch, "true", "the jacket"),
        key("grammage", Text, "\"150 g/m2\"", "the weight of the jacket"),
        key("caliper", Text, "\"0.14mm\"", "the thickness of the jacket"),
        key("height", Text, "\"306mm\"", "the height of the jacket"),
        key("turn", Text, "\"3.5mm\"", "the jacket's turn at the edge"),
        key("flap", Text, "\"85mm\"", "the flaps of the jacket"),
        key(
            "art",
            Text,
            "\"tide-line.png\"",
            "the picture over the jacket",
        ),
        key(
            "focus",
            Text,
            "\"0.5 0.4\"",
            "the focus of the jacket's picture",
        ),
        key(
            "front",
            Text,
            "\"harbour.png\"",
            "the front picture of the jacket",
        ),
        key(
            "front_focus",
            Text,
            "\"0.5 0.4\"",
            "the focus of the front of the jacket",
        ),
        key(
            "back",
            Text,
            "\"reeds.png\"",
            "the back picture of the jacket",
        ),
        key(
            "back_focus",
            Text,
            "\"0.5 0.4\"",
            "the focus of the back of the jacket",
        ),
        key("ground", Text, "\"0 0 0 0\"", "the ground of the jacket"),
        key(
            "front_words",
            Switch,
            "true",
            "title and author on the jacket",
        ),
        key(
            "back_words",
            Words,
            "\"\"\"Words.\"\"\"",
            "the words on the back of the jacket",
        ),
        key(
            "spine_words",
            Text,
            "\"The Low Tide Line\"",
            "the words on the spine of the jacket",
        ),
        key(
            "spine_reads",
            Text,
            "\"down\"",
            "which way the spine of the jacket reads",
        ),
        key(
            "front_flap_words",
            Words,
            "\"\"\"Words.\"\"\"",
            "the words on the front flap of the jacket",
        ),
        key(
            "back_flap_words",
            Words,
            "\"\"\"Words.\"\"\"",
            "the words on the back flap of the jacket",
        ),
        key(
            "ink",
            Text,
            "\"black\"",
            "the ink of the words on the jacket",
        ),
    ],
};

pub(crate) const FLAPS: Section = Section {
    name: "flaps",
    keys: &[
        key("wanted", Switch, "true", "flaps on the cover"),
        key("width", Text, "\"85mm\"", "the width of the flaps"),
        key(
            "over",
            Text,
            "\"1mm\"",
            "how far the cover stands over the fore edge",
        ),
    ],
};

pub(crate) const BAND: Section = Section {
    name: "band",
    keys: &[
        key("wanted", Switch, "true", "the belly band"),
        key(
            "grammage",
            Text,
            "\"135 g/m2\"",
            "the weight of the belly band",
        ),
        key(
            "caliper",
            Text,
            "\"0.12mm\"",
            "the thickness of the belly band",
        ),
        key("height", Text, "\"70mm\"", "the height of the belly band"),
        key("tuck", Text, "\"80mm\"", "the tucks of the belly band"),
        key("ease", Text, "\"0.5mm\"", "the ease of the belly band"),
        key(
            "art",
            Text,
            "\"tide-line.png\"",
            "the picture over the belly band",
        ),
        key(
            "focus",
            Text,
            "\"0.5 0.4\"",
            "the focus of the belly band's picture",
        ),
        key(
            "words",
            Words,
            "\"\"\"Words.\"\"\"",
            "the words on the belly band",
        ),
        key(
            "back_words",
            Words,
            "\"\"\"Words.\"\"\"",
            "the words on the back of the belly band",
        ),
        key(
            "spine_words",
            Text,
            "\"The Low Tide Line\"",
            "the words on the spine of the belly band",
        ),
        key(
            "spine_reads",
            Text,
            "\"down\"",
            "which way the spine of the belly band reads",
        ),
        key(
            "ground",
            Text,
            "\"0 0 0 0\"",
            "the ground of the belly band",
        ),
        key(
            "ink",
            Text,
            "\"black\"",
            "the ink of the words on the belly band",
        ),
    ],
};

pub(crate) const SLIPCASE: Section = Section {
    name: "slipcase",
    keys: &[
        key("wanted", Switch, "true", "the slipcase"),
        key("board", Text, "\"2mm\"", "the board of the slipcase"),
        key("clearance", Text, "\"2mm\"", "the room in the slipcase"),
        key(
            "covering",
            Text,
            "\"135 g/m2\"",
            "the weight of the slipcase's covering",
        ),
        key(
            "covering_caliper",
            Text,
            "\"0.12mm\"",
            "the thickness of the slipcase's covering",
        ),
        key("turn_in", Text, "\"15mm\"", "the turn-in of the slipcase"),
        key(
            "art",
            Text,
            "\"tide-line.png\"",
            "the picture over the slipcase",
        ),
        key(
            "focus",
            Text,
            "\"0.5 0.4\"",
            "the focus of the slipcase's picture",
        ),
        key(
            "front",
            Text,
            "\"harbour.png\"",
            "the front picture of the slipcase",
        ),
        key(
            "front_focus",
            Text,
            "\"0.5 0.4\"",
            "the focus of the front of the slipcase",
        ),
        key(
            "back",
            Text,
            "\"reeds.png\"",
            "the back picture of the slipcase",
        ),
        key(
            "back_focus",
            Text,
            "\"0.5 0.4\"",
            "the focus of the back of the slipcase",
        ),
        key("ground", Text, "\"0 0 0 0\"", "the ground of the slipcase"),
        key(
            "front_words",
            Switch,
            "true",
            "title and author on the slipcase",
        ),
        key(
            "spine_words",
            Text,
            "\"The Low Tide Line\"",
            "the words on the spine of the slipcase",
        ),
        key(
            "spine_reads",
            Text,
            "\"down\"",
            "which way the spine of the slipcase reads",
        ),
        key(
            "ink",
            Text,
            "\"black\"",
            "the ink of the words on the slipcase",
        ),
    ],
};

pub(crate) const BAR_CODE: Section = Section {
    name: "barcode",
    keys: &[
        key("wanted", Switch, "true", "the bar code"),
        key("on", Text, "\"jacket\"", "the piece with the bar code"),
        key("panel", Text, "\"back\"", "the panel of the bar code"),
        key("place", Text, "\"foot right\"", "the place of the bar code"),
        key(
            "magnification",
            Text,
            "\"100%\"",
            "the magnification of the bar code",
        ),
        key(
            "width_reduction",
            Text,
            "\"0.02mm\"",
            "the bar width reduction",
        ),
        key("price", Text, "\"52495\"", "the price beside the bar code"),
        key(
            "white",
            Switch,
            "true",
            "the white panel under the bar code",
        ),
    ],
};

/// A plate of foil, varnish or a blind stamp; stands once for each of them.
pub(crate) const FINISHING: Section = Section {
    name: "finishing",
    keys: &[
        key("name", Text, "\"title foil\"", "the name of the finishing"),
        key("process", Text, "\"foil\"", "the process"),
        key("on", Text, "\"cover\"", "the piece that is finished"),
        key("panel", Text, "\"front\"", "the panel that is finished"),
        key("mask", Text, "\"masks/title.svg\"", "the mask"),
        key("words", Text, "\"title\"", "the words that are finished"),
        key("colour", Text, "\"gold\"", "the colour"),
        key("least_line", Text, "\"0.3mm\"", "the finest line"),
        key("least_gap", Text, "\"0.4mm\"", "the finest gap"),
    ],
};

/// The sections that stand once, in the order in which a new file has them.
pub(crate) const SECTIONS: [Section; 16] = [
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
];

/// The first words of every section name, which are what stands at the top of the file.
pub(crate) const TOP: [&str; 18] = [
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
    "source",
    "piece",
    "page",
];

/// The keys of an entry of the running order, whatever its treatment.
pub(crate) const PAGE: Section = Section {
    name: "page",
    keys: &[
        key("name", Text, "\"harbour\"", "the name"),
        key("treatment", Text, "\"full page\"", "the treatment"),
        key("art", Text, "\"harbour.png\"", "the picture"),
        key("left", Text, "\"ebb.png\"", "the left picture"),
        key("right", Text, "\"flood.png\"", "the right picture"),
        key("focus", Text, "\"0.5 0.4\"", "the focus"),
        key("left_focus", Text, "\"0.5 0.4\"", "the left focus"),
        key("right_focus", Text, "\"0.5 0.4\"", "the right focus"),
        key("margin", Text, "\"25mm\"", "the margin"),
        key("caption", Text, "\"Harbour, evening\"", "the caption"),
        key("heading", Text, "\"Before the tide\"", "the heading"),
        key("words", Words, "\"\"\"Words.\"\"\"", "the words"),
        key(
            "accept_low_resolution",
            Switch,
            "true",
            "printing in spite of a low resolution",
        ),
        key("again", Switch, "true", "showing a piece a second time"),
    ],
};

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

/// The keys that mean something under each treatment, beside `name` and `treatment`.
pub(crate) const fn keys_of(treatment: &str) -> Option<&'static [&'static str]> {
    Some(match treatment.as_bytes() {
        b"full page" | b"spread" | b"ready page" => {
            &["art", "focus", "accept_low_resolution", "again"]
        }
        b"inset" => &[
            "art",
            "focus",
            "margin",
            "caption",
            "accept_low_resolution",
            "again",
        ],
        b"paired" => &[
            "left",
            "right",
            "left_focus",
            "right_focus",
            "margin",
            "accept_low_resolution",
            "again",
        ],
        b"text" => &["heading", "words"],
        b"colophon" => &["words"],
        b"title" | b"blank" => &[],
        _ => return None,
    })
}

/// The words for treatments, as the file writes them.
pub(crate) const TREATMENTS: [&str; 9] = [
    "full page",
    "spread",
    "inset",
    "paired",
    "ready page",
    "title",
    "text",
    "colophon",
    "blank",
];
