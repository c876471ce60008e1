//! Measurements as the record keeps them: JSON with units in the names of its keys.

use book::BindingKind;
use book::measured::dummy::{Compared, DummyMeasured, Unit};
use book::measured::shelf::OnTheShelf;
use book::measured::template::{Guide, Guides};
use book::measured::{Tools, Unsure};
use book::object::FlatKind;
use measure::{Length, Mass, Rect, Size};
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};

pub(super) fn text<T: Serialize>(value: &T) -> String {
    serde_json::to_string(value).expect("numbers, words and lists are always written")
}

/// `None` where it cannot be understood.
pub(super) fn of<T: DeserializeOwned>(text: &str) -> Option<T> {
    serde_json::from_str(text).ok()
}

#[derive(Debug, Clone, Copy, Serialize, Deserialize)]
struct KeptTools {
    ruler_nm: i64,
    gauge_nm: i64,
    scale_g: f64,
}

impl From<Tools> for KeptTools {
    fn from(tools: Tools) -> Self {
        Self {
            ruler_nm: tools.ruler.nm(),
            gauge_nm: tools.gauge.nm(),
            scale_g: tools.scale.grams(),
        }
    }
}

impl From<KeptTools> for Tools {
    fn from(kept: KeptTools) -> Self {
        Self {
            ruler: Length::from_nm(kept.ruler_nm),
            gauge: Length::from_nm(kept.gauge_nm),
            scale: Mass::from_grams(kept.scale_g),
        }
    }
}

#[derive(Debug, Serialize, Deserialize)]
pub(super) struct KeptShelf {
    kind: String,
    width_nm: i64,
    height_nm: i64,
    block_nm: i64,
    pages: u32,
    mass_g: f64,
    board_nm: Option<i64>,
    with: Vec<String>,
    weighed_g: Vec<(String, f64)>,
    finish: Option<String>,
    tools: KeptTools,
}

impl KeptShelf {
    pub(super) fn of(measured: &OnTheShelf) -> Self {
        Self {
            kind: measured.kind.word().to_owned(),
            width_nm: measured.page.width.nm(),
            height_nm: measured.page.height.nm(),
            block_nm: measured.block.nm(),
            pages: measured.pages,
            mass_g: measured.mass.grams(),
            board_nm: measured.board.map(Length::nm),
            with: measured.with.clone(),
            weighed_g: measured
                .weighed
                .iter()
                .map(|(name, mass)| (name.clone(), mass.grams()))
                .collect(),
            finish: measured.finish.map(|finish| finish.word().to_owned()),
            tools: measured.tools.into(),
        }
    }

    pub(super) fn measured(self) -> OnTheShelf {
        use book::Finish::{Gloss, Matt, Silk, Uncoated};
        OnTheShelf {
            kind: kind_of(&self.kind),
            page: Size {
                width: Length::from_nm(self.width_nm),
                height: Length::from_nm(self.height_nm),
            },
            block: Length::from_nm(self.block_nm),
            pages: self.pages,
            mass: Mass::from_grams(self.mass_g),
            board: self.board_nm.map(Length::from_nm),
            with: self.with,
            weighed: self
                .weighed_g
                .into_iter()
                .map(|(name, grams)| (name, Mass::from_grams(grams)))
                .collect(),
            finish: self.finish.and_then(|word| {
                [Gloss, Silk, Matt, Uncoated]
                    .into_iter()
                    .find(|finish| finish.word() == word)
            }),
            tools: self.tools.into(),
        }
    }
}

fn kind_of(word: &str) -> BindingKind {
    use BindingKind::{GluedSoft, SewnCase, SewnSoft, WireStitched};
    [SewnCase, SewnSoft, GluedSoft, WireStitched]
        .into_iter()
        .find(|kind| kind.word() == word)
        .unwrap_or(SewnSoft)
}

#[derive(Debug, Serialize, Deserialize)]
pub(super) struct KeptDummy {
    pages: Option<u32>,
    block_nm: Option<i64>,
    spine_nm: Option<i64>,
    mass_g: Option<f64>,
    board_nm: Option<i64>,
    cover_nm: Option<i64>,
    endpaper_nm: Option<i64>,
    tools: KeptTools,
}

impl KeptDummy {
    pub(super) fn of(measured: &DummyMeasured) -> Self {
        Self {
            pages: measured.pages,
            block_nm: measured.block.map(Length::nm),
            spine_nm: measured.spine.map(Length::nm),
            mass_g: measured.mass.map(Mass::grams),
            board_nm: measured.board.map(Length::nm),
            cover_nm: measured.cover.map(Length::nm),
            endpaper_nm: measured.endpaper.map(Length::nm),
            tools: measured.tools.into(),
        }
    }

    pub(super) fn measured(self) -> DummyMeasured {
        DummyMeasured {
            pages: self.pages,
            block: self.block_nm.map(Length::from_nm),
            spine: self.spine_nm.map(Length::from_nm),
            mass: self.mass_g.map(Mass::from_grams),
            board: self.board_nm.map(Length::from_nm),
            cover: self.cover_nm.map(Length::from_nm),
            endpaper: self.endpaper_nm.map(Length::from_nm),
            tools: self.tools.into(),
        }
    }
}

/// A figure foretold and measured, in the unit that it names.
#[derive(Debug, Default, Serialize, Deserialize)]
pub(super) struct KeptCompared {
    what: String,
    unit: String,
    predicted: f64,
    measured: f64,
    likely: f64,
    lowest: f64,
    highest: f64,
    after: f64,
}

/// What is compared.
const COMPARED: [&str; 9] = [
    "Block",
    "Spine",
    "One leaf",
    "Board",
    "Cover sheet",
    "Endpaper",
    "Swell",
    "Copy",
    "Text paper",
];

impl KeptCompared {
    pub(super) fn of(one: &Compared) -> Self {
        Self {
            what: one.what.to_owned(),
            unit: one.unit.word().to_owned(),
            predicted: one.predicted,
            measured: one.measured.value,
            likely: one.measured.likely,
            lowest: one.measured.lowest,
            highest: one.measured.highest,
            after: one.after,
        }
    }

    pub(super) fn compared(&self) -> Option<Compared> {
        use Unit::{Gram, GramPerSquareMetre, Micrometre, Millimetre};
        Some(Compared {
            what: COMPARED.into_iter().find(|what| *what == self.what)?,
            unit: [Millimetre, Micrometre, Gram, GramPerSquareMetre]
                .into_iter()
                .find(|unit| unit.word() == self.unit)?,
            predicted: self.predicted,
            measured: Unsure {
                value: self.measured,
                likely: self.likely,
                lowest: self.lowest,
                highest: self.highest,
            },
            after: self.after,
        })
    }
}

/// x, y, width and height.
type KeptRect = [i64; 4];

#[derive(Debug, Serialize, Deserialize)]
pub(super) struct KeptTemplate {
    sheet: String,
    /// Figures that were typed in.
    figures_nm: Vec<(String, i64)>,
    /// What was read off a file.
    drawn: Option<KeptGuides>,
    /// The page that counts, from 1.
    #[serde(default)]
    page: Option<u32>,
    /// How many pages the file has.
    #[serde(default)]
    pages: u32,
    /// Its other pages that could be the template too.
    #[serde(default)]
    others: Vec<(u32, KeptGuides)>,
}

/// A page of a template, its number and what is drawn on it.
pub(super) type GuidePage = (u32, Guides);

#[derive(Debug, Clone, Serialize, Deserialize)]
struct KeptGuides {
    page_nm: [i64; 2],
    trim_nm: Option<KeptRect>,
    bleed_nm: Option<KeptRect>,
    /// Upright or not, where it stands, where it begins and ends.
    lines_nm: Vec<(bool, i64, i64, i64)>,
}

impl KeptTemplate {
    pub(super) fn typed(kind: FlatKind, figures: Vec<(String, Length)>) -> Self {
        Self {
            sheet: kind.word().to_owned(),
            figures_nm: figures
                .into_iter()
                .map(|(name, length)| (name, length.nm()))
                .collect(),
            drawn: None,
            page: None,
            pages: 0,
            others: Vec::new(),
        }
    }

    /// `chosen` is the page that counts, of `pages`.
    pub(super) fn drawn(
        kind: FlatKind,
        pages: u32,
        chosen: &GuidePage,
        others: &[GuidePage],
    ) -> Self {
        Self {
            sheet: kind.word().to_owned(),
            figures_nm: Vec::new(),
            drawn: Some(KeptGuides::of(&chosen.1)),
            page: Some(chosen.0),
            pages,
            others: others
                .iter()
                .map(|(page, guides)| (*page, KeptGuides::of(guides)))
                .collect(),
        }
    }

    /// The same template, another page of which counts.
    pub(super) fn turned(self, page: u32) -> Option<Self> {
        let at = self.others.iter().position(|(other, _)| *other == page)?;
        let mut others = self.others;
        let (_, chosen) = others.remove(at);
        if let (Some(before), Some(drawn)) = (self.page, self.drawn) {
            others.push((before, drawn));
            others.sort_by_key(|(page, _)| *page);
        }
        Some(Self {
            drawn: Some(chosen),
            page: Some(page),
            others,
            ..self
        })
    }

    /// The page that counts, how many there are, and those that could count instead.
    pub(super) fn pages(&self) -> Option<(u32, u32, Vec<u32>)> {
        let others = self.others.iter().map(|(page, _)| *page).collect();
        Some((self.page?, self.pages, others))
    }

    pub(super) fn kind(&self) -> Option<FlatKind> {
        FlatKind::ALL
            .into_iter()
            .find(|kind| kind.word() == self.sheet)
    }

    pub(super) fn figures(&self) -> Vec<(String, Length)> {
        self.figures_nm
            .iter()
            .map(|(name, nm)| (name.clone(), Length::from_nm(*nm)))
            .collect()
    }

    pub(super) fn guides(&self) -> Option<Guides> {
        self.drawn.as_ref().map(KeptGuides::guides)
    }
}

impl KeptGuides {
    fn of(guides: &Guides) -> Self {
        let rect = |rect: Rect| [rect.x.nm(), rect.y.nm(), rect.width.nm(), rect.height.nm()];
        Self {
            page_nm: [guides.page.width.nm(), guides.page.height.nm()],
            trim_nm: guides.trim.map(rect),
            bleed_nm: guides.bleed.map(rect),
            lines_nm: guides
                .lines
                .iter()
                .map(|line| (line.upright, line.at.nm(), line.from.nm(), line.to.nm()))
                .collect(),
        }
    }

    fn guides(&self) -> Guides {
        let rect = |[x, y, width, height]: KeptRect| {
            Rect::new(
                Length::from_nm(x),
                Length::from_nm(y),
                Length::from_nm(width),
                Length::from_nm(height),
            )
        };
        let [width, height] = self.page_nm.map(Length::from_nm);
        Guides {
            page: Size { width, height },
            trim: self.trim_nm.map(rect),
            bleed: self.bleed_nm.map(rect),
            lines: self
                .lines_nm
                .iter()
                .map(|&(upright, at, from, to)| Guide {
                    upright,
                    at: Length::from_nm(at),
                    from: Length::from_nm(from),
                    to: Length::from_nm(to),
                })
                .collect(),
        }
    }
}
