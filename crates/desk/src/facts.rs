//! What a press file is made from, as facts that can be compared and told in words: what changed,
//! from what to what, and what that does.

mod change;
mod flat;
mod on_paper;
mod words;

use std::collections::BTreeMap;

pub(crate) use change::{Change, reason_of_drawing, reasons};
pub(crate) use flat::{FinishingFacts, FlatFacts};
pub(crate) use on_paper::PaperFacts;
use words::from_to;
pub(crate) use words::list;

use book::object::FlatKind;
use book::{Stock, Thickness};
use serde::{Deserialize, Serialize};

use crate::digest::{Digest, Gather};
use crate::{PressFile, Snapshot, press_job};

/// Facts of the whole book, the interior and the other sheets.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(crate) struct Facts {
    pub title: String,
    pub author: String,
    pub language: String,
    pub trim: String,
    pub bleed: String,
    pub binding: String,
    pub text_stock: StockFacts,
    pub cover_stock: StockFacts,
    pub page_count: u32,
    pub condition: String,
    /// Digest of the press condition's tables.
    pub inks: Digest,
    pub ink_limit_percent: f64,
    pub rendering: String,
    pub resolution: String,
    pub pictures: String,
    /// Pages of the interior, in order.
    pub pages: Vec<SheetFacts>,
    /// The files of the sheets beside the pages, by [`PressFile::word`].
    #[serde(default)]
    pub flats: BTreeMap<String, FlatFacts>,
    /// Digest of the dimensioned drawing; `None` in what was made before there was one.
    #[serde(default)]
    pub drawing: Option<Digest>,
    /// Digests of the art that is shown.
    pub art: BTreeMap<String, Digest>,
    /// Digests of what is done to that art for paper.
    #[serde(default)]
    pub treated: BTreeMap<String, Digest>,
    /// The recipe for paper and the exceptions from it.
    #[serde(default)]
    pub paper: PaperFacts,
}

/// A paper.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(crate) struct StockFacts {
    pub name: String,
    pub grammage: String,
    pub thickness: String,
    pub finish: String,
}

/// One sheet.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(crate) struct SheetFacts {
    /// Digest of everything on it.
    pub digest: Digest,
    /// Art on it.
    pub shows: Vec<String>,
}

impl StockFacts {
    pub(crate) fn of(stock: &Stock) -> Self {
        let thickness = match stock.thickness {
            Thickness::Caliper(caliper) => caliper.to_string(),
            Thickness::Bulk(bulk) => bulk.to_string(),
            Thickness::Assumed(bulk) => format!("{bulk}, assumed"),
        };
        Self {
            name: stock.name.clone(),
            grammage: stock.grammage.to_string(),
            thickness,
            finish: stock.finish.word().to_owned(),
        }
    }

    /// What changed, as `from 150 to 170 g/m²`.
    fn change(&self, now: &Self) -> Option<String> {
        let pairs = [
            (&self.grammage, &now.grammage),
            (&self.thickness, &now.thickness),
            (&self.finish, &now.finish),
            (&self.name, &now.name),
        ];
        let changed: Vec<String> = pairs
            .into_iter()
            .filter(|(then, now)| then != now)
            .map(|(then, now)| from_to(then, now))
            .collect();
        (!changed.is_empty()).then(|| list(&changed))
    }
}

impl Facts {
    /// Facts that follow from the decisions alone; pages, sheets and art come from the plan.
    pub(crate) fn of_decisions(snapshot: &Snapshot, inks: &crate::inks::Inks) -> Self {
        let book = &snapshot.book;
        Self {
            title: book.about.title.clone(),
            author: book.about.author.clone(),
            language: book.about.language.clone(),
            trim: book.format.trim.to_string(),
            bleed: book.format.bleed.to_string(),
            binding: book.binding.kind.word().to_owned(),
            text_stock: StockFacts::of(&book.text_stock),
            cover_stock: StockFacts::of(&book.cover_stock),
            page_count: snapshot.object.pages,
            condition: book.press.condition.clone(),
            inks: inks.digest,
            ink_limit_percent: inks.ink_limit.percent(),
            rendering: book.press.rendering.word().to_owned(),
            resolution: book.press.resolution.to_string(),
            pictures: book.press.pictures.word().to_owned(),
            pages: Vec::new(),
            flats: BTreeMap::new(),
            drawing: Some(press_job::drawing_inputs(snapshot)),
            art: BTreeMap::new(),
            treated: BTreeMap::new(),
            paper: PaperFacts::of(book),
        }
    }

    /// Digest of everything that the interior is made from.
    pub(crate) fn interior(&self) -> Digest {
        let mut all = Gather::new("interior");
        self.put_common(&mut all);
        for page in &self.pages {
            all.put("page", page.digest.to_string());
        }
        all.done()
    }

    /// Digest of everything that a press file is made from; `None` if there is no such file.
    pub(crate) fn inputs(&self, file: PressFile) -> Option<Digest> {
        if file == PressFile::Interior {
            return Some(self.interior());
        }
        let flat = self.flats.get(file.word())?;
        let mut all = Gather::new(file.word());
        self.put_common(&mut all);
        for sheet in &flat.sheets {
            all.put("sheet", sheet.digest.to_string());
        }
        Some(all.done())
    }

    /// A sheet beside the pages.
    pub(crate) fn sheet(&self, kind: FlatKind) -> Option<&SheetFacts> {
        let flat = self.flats.get(PressFile::of(kind).word())?;
        let index = flat.kinds.iter().position(|word| word == kind.word())?;
        flat.sheets.get(index)
    }

    fn put_common(&self, all: &mut Gather) {
        all.put("program", crate::PROGRAM)
            .put("title", &self.title)
            .put("author", &self.author)
            .put("language", &self.language)
            .put("inks", self.inks.to_string());
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use super::change::changes;
    use super::words::pages_words;
    use super::*;

    pub(super) fn sheet(name: &str) -> SheetFacts {
        SheetFacts {
            digest: Digest::of(name.as_bytes()),
            shows: vec![name.to_owned()],
        }
    }

    pub(super) fn flat(name: &str, spine_mm: f64) -> FlatFacts {
        FlatFacts {
            kinds: vec!["soft cover".to_owned()],
            spine_mm,
            width_mm: 500.0 + spine_mm,
            height_mm: 300.0,
            shape: Digest::of(format!("{spine_mm}").as_bytes()),
            sheets: vec![sheet(name)],
            finishings: BTreeMap::new(),
            bar_code: String::new(),
        }
    }

    pub(super) fn facts() -> Facts {
        let stock = |grammage: &str| StockFacts {
            name: String::new(),
            grammage: grammage.to_owned(),
            thickness: "0.90 cm³/g, assumed".to_owned(),
            finish: "silk".to_owned(),
        };
        Facts {
            title: "Low Water".to_owned(),
            author: String::new(),
            language: "en".to_owned(),
            trim: "250 × 300 mm".to_owned(),
            bleed: "3 mm".to_owned(),
            binding: "sewn soft".to_owned(),
            text_stock: stock("150 g/m²"),
            cover_stock: stock("300 g/m²"),
            page_count: 192,
            condition: "coated".to_owned(),
            inks: Digest::of(b"inks"),
            ink_limit_percent: 300.0,
            rendering: "relative".to_owned(),
            resolution: "300 ppi".to_owned(),
            pictures: "lossless".to_owned(),
            pages: ["a.png", "b.png", "c.png", "d.png"].map(sheet).to_vec(),
            flats: [("cover".to_owned(), flat("a.png", 12.96))].into(),
            drawing: None,
            art: ["a.png", "b.png", "c.png", "d.png"]
                .map(|name| (name.to_owned(), Digest::of(name.as_bytes())))
                .into(),
            treated: ["a.png", "b.png", "c.png", "d.png"]
                .map(|name| (name.to_owned(), Digest::of(b"usual")))
                .into(),
            paper: on_paper::tests::usual(),
        }
    }

    pub(super) fn told(now: &Facts) -> Vec<(String, bool, bool)> {
        changes(&facts(), now)
            .into_iter()
            .map(|change| {
                let touches = |file| change.touches.has(file);
                (
                    change.text.clone(),
                    touches(PressFile::Interior),
                    touches(PressFile::Cover),
                )
            })
            .collect()
    }

    #[test]
    fn a_heavier_paper_is_told_with_what_it_does_to_the_spine() {
        let mut now = facts();
        now.text_stock.grammage = "170 g/m²".to_owned();
        now.flats = [("cover".to_owned(), flat("wider", 14.69))].into();
        assert_eq!(
            told(&now),
            [(
                "The text stock changed from 150 to 170 g/m²".to_owned(),
                false,
                true
            )]
        );
        assert_eq!(
            reasons(&facts(), &now, PressFile::Cover),
            ["The text stock changed from 150 to 170 g/m²: spine 12.96 → 14.69 mm"]
        );
        assert_eq!(facts().interior(), now.interior());
        let inputs = |facts: &Facts| facts.inputs(PressFile::Cover);
        assert_ne!(inputs(&facts()), inputs(&now));
        assert_eq!(now.inputs(PressFile::Jacket), None);
    }

    #[test]
    fn every_sheet_tells_its_own_spine() {
        let (mut then, mut now) = (facts(), facts());
        then.flats.insert("jacket".to_owned(), flat("a.png", 16.0));
        now.flats = [
            ("cover".to_owned(), flat("wider", 14.69)),
            ("jacket".to_owned(), flat("wider", 17.73)),
        ]
        .into();
        now.page_count = 218;
        now.pages.push(sheet("d.png"));
        for (file, reason) in [
            (
                PressFile::Interior,
                "The page count changed from 192 to 218",
            ),
            (
                PressFile::Cover,
                "The page count changed from 192 to 218: spine 12.96 → 14.69 mm",
            ),
            (
                PressFile::Jacket,
                "The page count changed from 192 to 218: spine 16.00 → 17.73 mm",
            ),
        ] {
            assert_eq!(reasons(&then, &now, file), [reason]);
        }
    }

    #[test]
    fn a_finishing_that_came_or_was_drawn_anew_is_named_on_its_sheet_alone() {
        let foil = |mask: &[u8]| FinishingFacts {
            process: "foil".to_owned(),
            colour: "gold".to_owned(),
            panel: "front".to_owned(),
            from: "masks/title.svg".to_owned(),
            mask: Some(Digest::of(mask)),
            thicken_mm: 0.0,
            fit: String::new(),
        };
        let with = |foil: FinishingFacts, name: &str| {
            let mut cover = flat(name, 12.96);
            cover.finishings.insert("title foil".to_owned(), foil);
            let mut facts = facts();
            facts.flats.insert("cover".to_owned(), cover);
            facts
        };
        let (first, second) = (with(foil(b"1"), "first"), with(foil(b"2"), "second"));
        let told = |then: &Facts, now: &Facts| reasons(then, now, PressFile::Cover);
        assert_eq!(told(&facts(), &first), ["The foil `title foil` was added"]);
        assert_eq!(told(&first, &second), ["`masks/title.svg` was saved anew"]);
        assert_eq!(
            told(&second, &facts()),
            ["The foil `title foil` was taken out"]
        );
        assert!(reasons(&first, &second, PressFile::Interior).is_empty());
        let wider = with(
            FinishingFacts {
                thicken_mm: 0.12,
                ..foil(b"1")
            },
            "wider",
        );
        assert_eq!(
            told(&first, &wider),
            ["The lines of the foil `title foil` were made 0.12 mm wider"]
        );
        assert_eq!(
            told(&wider, &first),
            ["The lines of the foil `title foil` are as drawn again"]
        );
    }

    #[test]
    fn a_picture_saved_anew_is_named() {
        let mut now = facts();
        now.art.insert("b.png".to_owned(), Digest::of(b"anew"));
        now.pages[1].digest = Digest::of(b"page with b anew");
        assert_eq!(
            told(&now),
            [("`b.png` was saved anew".to_owned(), true, false)]
        );
    }

    #[test]
    fn pages_that_changed_places_are_named() {
        let mut now = facts();
        now.pages.swap(2, 3);
        assert_eq!(
            told(&now),
            [("Pages 3–4 show something else".to_owned(), true, false)]
        );
    }

    #[test]
    fn an_unchanged_book_has_nothing_to_tell() {
        assert_eq!(told(&facts()), []);
    }

    #[test]
    fn page_numbers_read_as_a_person_says_them() {
        assert_eq!(pages_words(&[4]), "page 4");
        assert_eq!(pages_words(&[4, 6, 7, 8, 12]), "pages 4, 6–8 and 12");
        assert_eq!(
            pages_words(&[1, 3, 5, 7, 9, 11]),
            "pages 1, 3, 5 and 3 more"
        );
    }
}
