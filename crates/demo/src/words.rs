//! The words of the demonstration books, as book files: each binding has its own decisions, and
//! all share the running order and what is wished for single pictures.

/// How the pages are bound.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Binding {
    /// Sewn, in a soft cover with flaps and a spot varnish.
    Soft,
    /// Sewn, in a case with endpapers, a blind stamp, and a jacket with foil.
    Case,
    /// Stitched with wire through the fold.
    Zine,
}

impl Binding {
    /// All of them, the demonstration book itself first.
    pub const ALL: [Self; 3] = [Self::Soft, Self::Case, Self::Zine];

    /// The word for it, which names its folder.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Soft => "soft",
            Self::Case => "case",
            Self::Zine => "zine",
        }
    }

    /// The book file, commented.
    pub fn book_toml(self) -> String {
        let decisions = match self {
            Self::Soft => include_str!("books/soft.toml"),
            Self::Case => include_str!("books/case.toml"),
            Self::Zine => include_str!("books/zine.toml"),
        };
        [decisions, include_str!("books/pages.toml")].concat()
    }
}

/// The book file of the demonstration book, commented.
pub fn book_toml() -> String {
    Binding::Soft.book_toml()
}
