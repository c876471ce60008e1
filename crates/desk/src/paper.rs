//! What is done to the art for paper: the book's recipe, and what single pieces wish instead.

use book::{Book, ForPaper, OwnFigures, PaperRecipe, PieceWish};
use colour::Compensation;

/// The book's wishes for paper.
pub(crate) struct Paper<'a> {
    whole: &'a ForPaper,
    wishes: &'a [PieceWish],
}

impl<'a> Paper<'a> {
    pub(crate) fn of(book: &'a Book) -> Self {
        Self {
            whole: &book.paper,
            wishes: &book.piece_wishes,
        }
    }

    /// The compensation of the book, or of one piece.
    pub(crate) fn compensation(&self, piece: Option<&str>) -> Compensation {
        let whole = figures(built_in(self.whole.recipe), &self.whole.own);
        let Some(wish) = piece.and_then(|piece| self.wish(piece)) else {
            return whole.clamped();
        };
        let begin = wish.recipe.map_or(whole, built_in);
        figures(begin, &wish.own).clamped()
    }

    fn wish(&self, piece: &str) -> Option<&'a PieceWish> {
        self.wishes.iter().find(|wish| wish.piece == piece)
    }
}

fn built_in(recipe: PaperRecipe) -> Compensation {
    Compensation::built_in(recipe.word()).expect("every recipe of the book file is built in")
}

/// Figures of a recipe with own ones over them.
fn figures(recipe: Compensation, own: &OwnFigures) -> Compensation {
    Compensation {
        contrast: own.contrast.unwrap_or(recipe.contrast),
        lightening: own.lightening.unwrap_or(recipe.lightening),
        saturation: own.saturation.unwrap_or(recipe.saturation),
        bands: std::array::from_fn(|band| own.bands[band].unwrap_or(recipe.bands[band])),
        black: own.black.unwrap_or(recipe.black),
        white: own.white.unwrap_or(recipe.white),
    }
}
