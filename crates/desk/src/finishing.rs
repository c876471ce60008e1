//! Finishings: masks found in the book folder, plates made of them, held against their process, and
//! remembered by what they were made from.

mod kept;
mod mask;
mod picture;
mod plate;
mod thicken;
mod view;

use std::sync::PoisonError;

use book::object::Panel;
use book::plan::{PlacedFinishing, SheetPlan};
use book::{Finishing, FinishingColour, MaskFit, PlateSource};
use finding::Finding;
use finish::{Bounds, Process};
use measure::Rect;
use press::{PlateName, Tint};

use crate::digest::{Digest, Gather};
use crate::facts::FinishingFacts;
use crate::{Desk, DeskError, Snapshot};

pub(crate) use self::kept::Kept;
use self::mask::MaskFile;
pub(crate) use self::mask::Trouble;
pub(crate) use self::picture::picture;
pub(crate) use self::plate::{MadePlate, Painted};
pub use self::thicken::Thickened;
pub(crate) use self::thicken::thicken;
pub use self::view::FinishingView;
pub(crate) use self::view::views;

/// Raised when the same mask would give another plate or another judgement.
const METHOD: &str = "2";

/// A finishing where it stands on a sheet, and what its plate will be made from.
#[derive(Debug, Clone)]
pub(crate) struct Stamp<'a> {
    /// Which finishing of the book.
    pub index: usize,
    pub finishing: &'a Finishing,
    pub sheet: &'a SheetPlan,
    pub placed: &'a PlacedFinishing,
    /// `None` for a plate of words.
    mask: Option<Result<MaskFile, Trouble>>,
    language: &'a str,
}

impl<'a> Stamp<'a> {
    /// All finishings of a sheet. Reads no masks, only their digests where they are not known.
    pub(crate) fn all(desk: &Desk, snapshot: &'a Snapshot, sheet: &'a SheetPlan) -> Vec<Self> {
        let book = &snapshot.book;
        sheet
            .finishings
            .iter()
            .filter_map(|placed| {
                let finishing = book.finishings.get(placed.finishing)?;
                Some(Self {
                    index: placed.finishing,
                    finishing,
                    sheet,
                    placed,
                    mask: match &finishing.source {
                        PlateSource::Mask(path) => Some(MaskFile::find(desk, path)),
                        PlateSource::Title | PlateSource::TitleAlone => None,
                    },
                    language: &book.about.language,
                })
            })
            .collect()
    }

    pub(crate) fn process(&self) -> Process {
        Process::from_word(self.finishing.process.word())
            .expect("both crates call the processes alike")
    }

    /// What the process holds, by the finisher's own figures where they are given.
    pub(crate) fn bounds(&self) -> Bounds {
        let usual = self.process().bounds();
        Bounds {
            line: self.finishing.least_line.unwrap_or(usual.line),
            gap: self.finishing.least_gap.unwrap_or(usual.gap),
            ..usual
        }
    }

    /// Digest of all that decides what stands in the press file.
    pub(crate) fn digest(&self) -> Digest {
        Gather::new("plate")
            .put("method", METHOD)
            .put("name", &self.finishing.name)
            .put("colour", self.finishing.colour.word())
            .put("mask", self.mask_text())
            .put("rect", format!("{:?}", self.placed.rect))
            .put(
                "with allowance",
                format!("{:?}", self.placed.with_allowance),
            )
            .put("words", format!("{:?}", self.placed.words))
            .put("thicken", self.finishing.thicken.to_string())
            .put("fit", self.finishing.fit.word())
            .put("language", self.language)
            .done()
    }

    /// Digest of all that decides what is said of it.
    fn judged_by(&self) -> Digest {
        Gather::new("judged plate")
            .put("plate", self.digest().to_string())
            .put("process", self.finishing.process.word())
            .put("bounds", format!("{:?}", self.bounds()))
            .put("clear", format!("{:?}", self.sheet.flat.no_go))
            .put("bars", format!("{:?}", self.bars()))
            .done()
    }

    /// The bar code on its sheet, with its quiet zones.
    fn bars(&self) -> Option<Rect> {
        self.sheet.bar_code.as_ref().map(|code| code.rect)
    }

    fn mask_text(&self) -> String {
        match &self.mask {
            None => "words".to_owned(),
            Some(Ok(mask)) => mask.digest.to_string(),
            Some(Err(trouble)) => format!("{trouble:?}"),
        }
    }

    pub(crate) fn facts(&self) -> FinishingFacts {
        FinishingFacts {
            process: self.finishing.process.word().to_owned(),
            colour: self.finishing.colour.word().to_owned(),
            panel: self.placed.panel.to_owned(),
            from: match &self.finishing.source {
                PlateSource::Mask(path) => path.clone(),
                PlateSource::Title => "title".to_owned(),
                PlateSource::TitleAlone => "title alone".to_owned(),
            },
            mask: match &self.mask {
                Some(Ok(mask)) => Some(mask.digest),
                _ => None,
            },
            thicken_mm: self.finishing.thicken.mm(),
            fit: match self.finishing.fit {
                MaskFit::Exact => String::new(),
                fit => fit.word().to_owned(),
            },
        }
    }

    /// The name of its plate.
    pub(crate) fn plate_name(&self) -> PlateName {
        PlateName::new(&self.finishing.name)
    }

    /// `title foil (foil, gold)`.
    pub(crate) fn told(&self) -> String {
        format!(
            "{} ({}, {})",
            self.plate_name(),
            self.finishing.process.word(),
            self.finishing.colour.word()
        )
    }

    /// How it is printed or shown where there is no such plate: a tint that tells it from others.
    /// Our choice.
    pub(crate) const fn alternate(&self) -> Tint {
        Tint(match self.finishing.colour {
            FinishingColour::Gold => [0.0, 0.2, 0.6, 0.2],
            FinishingColour::Silver => [0.0, 0.0, 0.0, 0.35],
            FinishingColour::Copper => [0.0, 0.5, 0.6, 0.2],
            FinishingColour::Black => [0.0, 0.0, 0.0, 1.0],
            FinishingColour::White => [0.1, 0.0, 0.0, 0.0],
            FinishingColour::Clear => [0.25, 0.0, 0.0, 0.0],
        })
    }

    /// What is known of its plate without making it.
    pub(crate) fn known(&self, desk: &Desk) -> Option<Kept> {
        if let Some(Err(trouble)) = &self.mask {
            return Some(Kept::without_plate(trouble.clone()));
        }
        Kept::read(desk, self.judged_by())
    }

    /// What is to be said of its plate, which is made where that is not known yet.
    pub(crate) fn judged(&self, desk: &Desk) -> Kept {
        if let Some(known) = self.known(desk) {
            return known;
        }
        // One at a time: a plate takes memory, and the next one who asks may ask for the same.
        let _alone = desk
            .room
            .plates
            .lock()
            .unwrap_or_else(PoisonError::into_inner);
        if let Some(known) = self.known(desk) {
            return known;
        }
        match MadePlate::make(self) {
            Ok(made) => self.keep(desk, &made),
            Err(trouble) => self.keep_trouble(desk, trouble),
        }
    }

    /// The plate for the press file, and what is to be said of it.
    pub(crate) fn made(&self, desk: &Desk) -> (Option<MadePlate>, Kept) {
        if let Some(known) = self.known(desk).filter(|known| known.trouble.is_some()) {
            return (None, known);
        }
        match MadePlate::make(self) {
            Ok(made) => {
                let kept = self.known(desk).unwrap_or_else(|| self.keep(desk, &made));
                (Some(made), kept)
            }
            Err(trouble) => (None, self.keep_trouble(desk, trouble)),
        }
    }

    fn keep(&self, desk: &Desk, made: &MadePlate) -> Kept {
        let kept = Kept::of(self, made);
        kept.write(desk, self.judged_by());
        picture::note(desk, self, made);
        kept
    }

    fn keep_trouble(&self, desk: &Desk, trouble: Trouble) -> Kept {
        let kept = Kept::without_plate(trouble);
        kept.write(desk, self.judged_by());
        kept
    }

    /// All that is to be said of it.
    pub(crate) fn findings(&self, kept: &Kept) -> Vec<Finding> {
        kept.findings(self)
    }

    /// Places of its sheet to keep clear, but for what is turned in: a mask runs over that edge as
    /// pictures do.
    fn places_to_keep_clear(&self) -> impl Iterator<Item = Rect> + '_ {
        let flat = &self.sheet.flat;
        let is_turn_in =
            |panel: &Panel, rect: Rect| panel.rect == rect && panel.name.contains("turn-in");
        flat.no_go
            .iter()
            .map(|no_go| no_go.rect)
            .filter(move |rect| !flat.panels.iter().any(|panel| is_turn_in(panel, *rect)))
    }
}

/// A finishing of the book by its name, where it stands.
fn stamp<'a>(
    desk: &Desk,
    snapshot: &'a Snapshot,
    name: &str,
) -> Result<Option<Stamp<'a>>, DeskError> {
    let known = &snapshot.book.finishings;
    if !known.iter().any(|finishing| finishing.name == name) {
        let names: Vec<String> = known
            .iter()
            .map(|finishing| format!("`{}`", finishing.name))
            .collect();
        return Err(DeskError::new(
            "book.toml [[finishing]]",
            format!("the book has no finishing `{name}`"),
            if names.is_empty() {
                "It has none at all.".to_owned()
            } else {
                format!("It has {}.", crate::facts::list(&names))
            },
        ));
    }
    Ok(snapshot
        .sheets
        .iter()
        .flat_map(|sheet| Stamp::all(desk, snapshot, sheet))
        .find(|stamp| stamp.finishing.name == name))
}
