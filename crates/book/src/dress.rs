//! What is printed on a sheet beside the pages: its pictures, its ground and its words. The cover,
//! the jacket, the belly band, the slipcase and the endpapers are all dressed in the same words.

use crate::model::{Book, Wanted, WordInk};
use crate::object::FlatKind;

/// Pictures, ground and words of one sheet. A sheet takes of it what it has panels for.
#[derive(Debug, Clone, PartialEq)]
pub struct Dress {
    /// One picture over the whole sheet, under everything else.
    pub whole: Option<Wanted>,
    /// Picture of the front.
    pub front: Option<Wanted>,
    /// Picture of the back.
    pub back: Option<Wanted>,
    /// Ground of what no picture covers, as C, M, Y, K in percent.
    pub ground: [f64; 4],
    /// Whether title and author are set on the front.
    pub front_words: bool,
    /// Words on the front instead of title and author, as on a belly band; one paragraph each.
    pub words: Vec<String>,
    /// Words on the back, one paragraph each.
    pub back_words: Vec<String>,
    /// Words on the spine; empty for none.
    pub spine_words: String,
    /// Which way the spine reads, where the book file says it; else as is the custom of the
    /// book's language.
    pub spine_reads: Option<SpineReads>,
    /// Words on the front flap, one paragraph each.
    pub front_flap_words: Vec<String>,
    /// Words on the back flap, one paragraph each.
    pub back_flap_words: Vec<String>,
    /// Ink of all words.
    pub ink: WordInk,
    /// Whether the book file says anything of it.
    pub said: bool,
}

impl Dress {
    /// Nothing at all.
    pub const BARE: Self = Self {
        whole: None,
        front: None,
        back: None,
        ground: [0.0; 4],
        front_words: false,
        words: Vec::new(),
        back_words: Vec::new(),
        spine_words: String::new(),
        spine_reads: None,
        front_flap_words: Vec::new(),
        back_flap_words: Vec::new(),
        ink: WordInk::Black,
        said: false,
    };

    /// Its pictures.
    pub fn pictures(&self) -> impl Iterator<Item = &Wanted> {
        [&self.whole, &self.back, &self.front].into_iter().flatten()
    }
}

/// Which way words on a spine read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum SpineReads {
    /// From head to foot: upright when the book lies with its front up: `down`.
    Down,
    /// From foot to head: `up`.
    Up,
}

/// Languages whose books are titled upwards. ISO 6357 names both ways; which country uses which is
/// from memory, and publishers in each of them differ.
const READS_UP: [&str; 19] = [
    "fr", "es", "it", "pt", "de", "ca", "gl", "eu", "ro", "pl", "cs", "sk", "hu", "ru", "uk", "bg",
    "el", "hr", "sr",
];

impl SpineReads {
    pub(crate) const WORDS: [(&'static str, Self); 2] = [("down", Self::Down), ("up", Self::Up)];

    /// The word for it in the book file.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Down => "down",
            Self::Up => "up",
        }
    }

    /// The custom where a language is read, by its BCP 47 tag.
    pub fn custom_of(language: &str) -> Self {
        let primary = language.split('-').next().unwrap_or_default();
        if READS_UP
            .iter()
            .any(|known| known.eq_ignore_ascii_case(primary))
        {
            Self::Up
        } else {
            Self::Down
        }
    }
}

/// A printed piece that can carry a finishing or the bar code.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Carrier {
    /// The soft cover, or the covering of a case: `cover`.
    Cover,
    /// `jacket`.
    Jacket,
    /// The belly band: `band`.
    Band,
    /// `slipcase`.
    Slipcase,
}

impl Carrier {
    pub(crate) const WORDS: [(&'static str, Self); 4] = [
        ("cover", Self::Cover),
        ("jacket", Self::Jacket),
        ("band", Self::Band),
        ("slipcase", Self::Slipcase),
    ];

    /// The word for it in the book file.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Cover => "cover",
            Self::Jacket => "jacket",
            Self::Band => "band",
            Self::Slipcase => "slipcase",
        }
    }

    /// Whether a sheet is the one that it means.
    pub const fn is(self, kind: FlatKind) -> bool {
        matches!(
            (self, kind),
            (Self::Cover, FlatKind::SoftCover | FlatKind::CaseWrap)
                | (Self::Jacket, FlatKind::Jacket)
                | (Self::Band, FlatKind::BellyBand)
                | (Self::Slipcase, FlatKind::SlipcaseWrap)
        )
    }
}

impl Book {
    /// What a sheet is dressed in.
    pub const fn dress_of(&self, kind: FlatKind) -> &Dress {
        match kind {
            FlatKind::SoftCover | FlatKind::CaseWrap => &self.cover,
            FlatKind::Jacket => &self.jacket,
            FlatKind::BellyBand => &self.band,
            FlatKind::SlipcaseWrap | FlatKind::SlipcaseEnds => &self.slipcase,
            FlatKind::FrontEndpaper | FlatKind::BackEndpaper => &self.endpapers,
        }
    }

    /// The section of the book file that dresses a sheet: `cover`.
    pub const fn dress_section(kind: FlatKind) -> &'static str {
        match kind {
            FlatKind::SoftCover | FlatKind::CaseWrap => "cover",
            FlatKind::Jacket => "jacket",
            FlatKind::BellyBand => "band",
            FlatKind::SlipcaseWrap | FlatKind::SlipcaseEnds => "slipcase",
            FlatKind::FrontEndpaper | FlatKind::BackEndpaper => "endpapers",
        }
    }

    /// Which way the words on a spine of this dress read.
    pub fn spine_reads(&self, dress: &Dress) -> SpineReads {
        dress
            .spine_reads
            .unwrap_or_else(|| SpineReads::custom_of(&self.about.language))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spines_read_as_is_the_custom_of_the_language() {
        for (language, reads) in [
            ("en", SpineReads::Down),
            ("en-GB", SpineReads::Down),
            ("nl", SpineReads::Down),
            ("fr", SpineReads::Up),
            ("ES-mx", SpineReads::Up),
            ("it-IT", SpineReads::Up),
            ("fry", SpineReads::Down),
            ("", SpineReads::Down),
        ] {
            assert_eq!(SpineReads::custom_of(language), reads, "{language}");
        }
    }
}
