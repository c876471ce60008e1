//! What is done to the art for paper: the book's recipe, and what single pieces wish instead.

use art::{Sharpen, Softening, Strength, Surface};
use book::{
    Book, Finish, ForPaper, Learned, OwnFigures, PaperRecipe, PieceInks, PieceWish, Sharpening,
};
use colour::{Compensation, Departure};
use measure::Resolution;

use crate::DeskError;
use crate::digest::{Digest, Gather};

/// What is done to one piece.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Treatment {
    pub compensation: Compensation,
    pub inks: PieceInks,
    pub sharpening: Sharpening,
}

impl Treatment {
    /// Digest of all of it.
    pub(crate) fn digest(&self) -> Digest {
        Gather::new("treatment")
            .put("compensation", format!("{:?}", self.compensation))
            .put("inks", self.inks.word())
            .put("sharpening", self.sharpening.word())
            .done()
    }
}

/// The paper and the screen that soften what is printed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Softens {
    pub surface: Surface,
    pub ruling: Option<f64>,
}

impl Softens {
    pub(crate) fn new(finish: Finish, paper: &ForPaper) -> Self {
        Self {
            surface: match finish {
                Finish::Gloss | Finish::Silk | Finish::Matt => Surface::Coated,
                Finish::Uncoated => Surface::Uncoated,
            },
            ruling: paper.ruling,
        }
    }

    /// The sharpening of a picture at its final pixels.
    pub(crate) fn sharpen(self, sharpening: Sharpening, resolution: Resolution) -> Option<Sharpen> {
        let strength = match sharpening {
            Sharpening::None => return None,
            Sharpening::Modest => Strength::Modest,
            Sharpening::Strong => Strength::Strong,
        };
        let softening = Softening {
            surface: self.surface,
            ruling_lpi: self.ruling,
            resolution,
        };
        Sharpen::for_paper(softening, strength)
    }
}

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

    /// What is done to a piece.
    pub(crate) fn treatment(&self, piece: &str) -> Treatment {
        let wish = self.wish(piece);
        Treatment {
            compensation: self.compensation(Some(piece)),
            inks: wish.map_or(PieceInks::ByLook, |wish| wish.inks),
            sharpening: wish
                .and_then(|wish| wish.sharpening)
                .unwrap_or(self.whole.sharpening),
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

    /// Whether a piece has figures or a recipe of its own.
    pub(crate) fn is_exception(&self, piece: &str) -> bool {
        self.wish(piece)
            .is_some_and(|wish| wish.recipe.is_some() || wish.own != OwnFigures::default())
    }

    fn wish(&self, piece: &str) -> Option<&'a PieceWish> {
        self.wishes.iter().find(|wish| wish.piece == piece)
    }
}

/// What an accepted proof has taught of the press.
pub(crate) fn departure(learned: Option<&Learned>) -> Result<Option<Departure>, DeskError> {
    let Some(learned) = learned else {
        return Ok(None);
    };
    let departure = Departure {
        tone: learned.tone.clone(),
        saturation: learned.saturation.clone(),
        hue: learned.hue.clone(),
        depth: learned.depth.clone(),
        lift: learned.lift.clone(),
        cast: learned.cast.clone(),
    };
    let departure = departure.checked().map_err(|error| {
        DeskError::new(
            "book.toml [paper.learned]",
            error.to_string(),
            "Take the acceptance of the proof back with `foredge undo`, or delete this section and \
             accept the proof again.",
        )
    })?;
    Ok((!departure.is_none()).then_some(departure))
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
