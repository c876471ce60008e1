//! The press files that belong to the book itself: its pages, and one file for each printed sheet.

use book::object::FlatKind;
use book::plan::{ReaderPage, SheetPlan};

use crate::{SheetName, Snapshot};

/// One press file of the book.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PressFile {
    /// The pages, in reading order.
    Interior,
    /// A soft cover.
    Cover,
    /// The covering of a case.
    Case,
    /// The jacket.
    Jacket,
    /// The belly band.
    Band,
    /// The covering of a slipcase's sides and closed edge.
    Slipcase,
    /// The covering of a slipcase's head and foot.
    SlipcaseEnds,
    /// Both endpapers, the front one first.
    Endpapers,
}

impl PressFile {
    /// All of them, in the order in which they are made and told.
    pub const ALL: [Self; 8] = [
        Self::Interior,
        Self::Cover,
        Self::Case,
        Self::Jacket,
        Self::Band,
        Self::Slipcase,
        Self::SlipcaseEnds,
        Self::Endpapers,
    ];

    /// Its name in the press folder.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Interior => "interior.pdf",
            Self::Cover => "cover.pdf",
            Self::Case => "case.pdf",
            Self::Jacket => "jacket.pdf",
            Self::Band => "band.pdf",
            Self::Slipcase => "slipcase.pdf",
            Self::SlipcaseEnds => "slipcase-ends.pdf",
            Self::Endpapers => "endpapers.pdf",
        }
    }

    /// The name without its ending, which is also that of its stage.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Interior => "interior",
            Self::Cover => "cover",
            Self::Case => "case",
            Self::Jacket => "jacket",
            Self::Band => "band",
            Self::Slipcase => "slipcase",
            Self::SlipcaseEnds => "slipcase-ends",
            Self::Endpapers => "endpapers",
        }
    }

    /// What people call it, as it stands within a sentence: `case wrap`.
    pub const fn title(self) -> &'static str {
        match self {
            Self::Interior => "interior",
            Self::Cover => "cover",
            Self::Case => "case wrap",
            Self::Jacket => "jacket",
            Self::Band => "belly band",
            Self::Slipcase => "slipcase",
            Self::SlipcaseEnds => "ends of the slipcase",
            Self::Endpapers => "endpapers",
        }
    }

    /// The sheets that it holds, one a page; none for the interior.
    pub const fn kinds(self) -> &'static [FlatKind] {
        match self {
            Self::Interior => &[],
            Self::Cover => &[FlatKind::SoftCover],
            Self::Case => &[FlatKind::CaseWrap],
            Self::Jacket => &[FlatKind::Jacket],
            Self::Band => &[FlatKind::BellyBand],
            Self::Slipcase => &[FlatKind::SlipcaseWrap],
            Self::SlipcaseEnds => &[FlatKind::SlipcaseEnds],
            Self::Endpapers => &[FlatKind::FrontEndpaper, FlatKind::BackEndpaper],
        }
    }

    /// The file that holds a sheet.
    pub const fn of(kind: FlatKind) -> Self {
        match kind {
            FlatKind::SoftCover => Self::Cover,
            FlatKind::CaseWrap => Self::Case,
            FlatKind::Jacket => Self::Jacket,
            FlatKind::BellyBand => Self::Band,
            FlatKind::SlipcaseWrap => Self::Slipcase,
            FlatKind::SlipcaseEnds => Self::SlipcaseEnds,
            FlatKind::FrontEndpaper | FlatKind::BackEndpaper => Self::Endpapers,
        }
    }

    /// The file of a name in the press folder, or of the name without its ending.
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL
            .into_iter()
            .find(|file| file.name() == name || file.word() == name)
    }

    /// Its sheets in a book; none where it has no use for the file, since such sheets are not part
    /// of it or stay bare.
    pub fn sheets(self, snapshot: &Snapshot) -> Vec<&SheetPlan> {
        self.kinds()
            .iter()
            .filter_map(|&kind| snapshot.sheet(kind))
            .filter(|sheet| sheet.kind() == FlatKind::SoftCover || sheet.has_print())
            .collect()
    }
}

impl SheetName {
    /// The flat soft cover.
    pub const COVER: Self = Self::Flat(FlatKind::SoftCover);

    /// The word for it in addresses and on the command line: the page's number, or the sheet's
    /// name.
    pub fn word(self) -> String {
        match self {
            Self::Page(page) => page.0.to_string(),
            Self::Flat(kind) => flat_word(kind).to_owned(),
        }
    }

    /// The sheet of a word, whether the book has it or not.
    pub fn of(word: &str) -> Option<Self> {
        let flat = FlatKind::ALL
            .into_iter()
            .find(|&kind| flat_word(kind) == word);
        flat.map(Self::Flat)
            .or_else(|| Some(Self::Page(ReaderPage(word.parse().ok()?))))
    }
}

const fn flat_word(kind: FlatKind) -> &'static str {
    match kind {
        FlatKind::FrontEndpaper => "front-endpaper",
        FlatKind::BackEndpaper => "back-endpaper",
        kind => PressFile::of(kind).word(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_sheet_has_a_word_of_its_own_and_a_file() {
        for file in PressFile::ALL {
            assert_eq!(PressFile::named(file.name()), Some(file));
            assert_eq!(PressFile::named(file.word()), Some(file));
            for &kind in file.kinds() {
                assert_eq!(PressFile::of(kind), file);
                let name = SheetName::Flat(kind);
                assert_eq!(SheetName::of(&name.word()), Some(name));
            }
        }
        let page = SheetName::Page(ReaderPage(12));
        assert_eq!(SheetName::of(&page.word()), Some(page));
        assert_eq!(SheetName::of("spine"), None);
    }
}
