//! What a press file is made from, as facts that can be compared and told in words: what changed,
//! from what to what, and what that does.

mod on_paper;

use std::collections::BTreeMap;

pub(crate) use on_paper::PaperFacts;

use book::object::Object;
use book::{Book, Stock, Thickness};
use serde::{Deserialize, Serialize};

use crate::digest::{Digest, Gather};

/// Facts of the whole book, the interior and the cover.
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
    pub spine_mm: f64,
    pub condition: String,
    /// Digest of the press condition's tables.
    pub inks: Digest,
    pub ink_limit_percent: f64,
    pub rendering: String,
    pub resolution: String,
    pub pictures: String,
    /// Pages of the interior, in order.
    pub pages: Vec<SheetFacts>,
    /// The flat cover, if the binding has one.
    pub cover: Option<SheetFacts>,
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
    /// Facts that follow from the decisions alone; pages, cover and art come from the plan.
    pub(crate) fn of_decisions(book: &Book, object: &Object, inks: &crate::inks::Inks) -> Self {
        Self {
            title: book.about.title.clone(),
            author: book.about.author.clone(),
            language: book.about.language.clone(),
            trim: book.format.trim.to_string(),
            bleed: book.format.bleed.to_string(),
            binding: book.binding.kind.word().to_owned(),
            text_stock: StockFacts::of(&book.text_stock),
            cover_stock: StockFacts::of(&book.cover_stock),
            page_count: object.pages,
            spine_mm: object.spine_mm(),
            condition: book.press.condition.clone(),
            inks: inks.digest,
            ink_limit_percent: inks.ink_limit.percent(),
            rendering: book.press.rendering.word().to_owned(),
            resolution: book.press.resolution.to_string(),
            pictures: book.press.pictures.word().to_owned(),
            pages: Vec::new(),
            cover: None,
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

    /// Digest of everything that the cover is made from.
    pub(crate) fn cover_inputs(&self) -> Option<Digest> {
        let cover = self.cover.as_ref()?;
        let mut all = Gather::new("cover");
        self.put_common(&mut all);
        all.put("cover", cover.digest.to_string());
        Some(all.done())
    }

    /// Digest of everything that the interior or the cover is made from.
    pub(crate) fn inputs(&self, cover: bool) -> Option<Digest> {
        if cover {
            self.cover_inputs()
        } else {
            Some(self.interior())
        }
    }

    fn put_common(&self, all: &mut Gather) {
        all.put("program", crate::PROGRAM)
            .put("title", &self.title)
            .put("author", &self.author)
            .put("language", &self.language)
            .put("inks", self.inks.to_string());
    }
}

/// What changed between two books, each change as a sentence without its full stop, and whether
/// it is a reason for the interior or the cover to be made anew.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Change {
    pub text: String,
    pub touches_interior: bool,
    pub touches_cover: bool,
}

/// All changes, gravest first.
pub(crate) fn changes(then: &Facts, now: &Facts) -> Vec<Change> {
    let mut changes = Vec::new();
    let mut add = |text: String, touches_interior: bool, touches_cover: bool| {
        changes.push(Change {
            text,
            touches_interior,
            touches_cover,
        });
    };
    let whole = |name: &str, then: &str, now: &str| {
        (then != now).then(|| format!("{name} changed {}", from_to(then, now)))
    };
    for (name, then, now) in [
        ("The trim", &then.trim, &now.trim),
        ("The bleed", &then.bleed, &now.bleed),
        ("The press condition", &then.condition, &now.condition),
        ("The rendering of colours", &then.rendering, &now.rendering),
        ("The picture resolution", &then.resolution, &now.resolution),
        ("The storage of pictures", &then.pictures, &now.pictures),
        ("The title", &then.title, &now.title),
        ("The author", &then.author, &now.author),
        ("The language", &then.language, &now.language),
    ] {
        if let Some(text) = whole(name, then, now) {
            add(text, true, true);
        }
    }
    if then.condition == now.condition && then.inks != now.inks {
        let text = if then.ink_limit_percent == now.ink_limit_percent {
            "The colour tables changed".to_owned()
        } else {
            format!(
                "The ink limit changed from {:.0} to {:.0} %",
                then.ink_limit_percent, now.ink_limit_percent
            )
        };
        add(text, true, true);
    }
    // These reach the cover through the spine alone.
    let spine = then.spine_mm != now.spine_mm;
    if then.binding != now.binding {
        add(
            format!(
                "The binding changed {}",
                from_to(&then.binding, &now.binding)
            ),
            false,
            true,
        );
    }
    // Another surface wants other sharpening.
    let touched = treated_anew(then, now);
    if let Some(change) = then.text_stock.change(&now.text_stock) {
        let sharpened = then.text_stock.finish != now.text_stock.finish && touched.interior;
        add(format!("The text stock changed {change}"), sharpened, spine);
    }
    if let Some(change) = then.cover_stock.change(&now.cover_stock) {
        let sharpened = then.cover_stock.finish != now.cover_stock.finish && touched.cover;
        add(
            format!("The cover stock changed {change}"),
            false,
            spine || sharpened,
        );
    }
    if then.page_count != now.page_count {
        add(
            format!(
                "The page count changed from {} to {}",
                then.page_count, now.page_count
            ),
            true,
            spine,
        );
    }
    if spine && let Some(last) = changes.iter_mut().rev().find(|change| change.touches_cover) {
        last.text.push_str(&format!(
            ": spine {:.2} → {:.2} mm",
            then.spine_mm, now.spine_mm
        ));
    }
    changes.extend(on_paper::changes(then, now));
    changes.extend(art_changes(then, now));
    changes.extend(page_changes(then, now, &changes));
    if let (Some(before), Some(after)) = (&then.cover, &now.cover)
        && before.digest != after.digest
        && !changes.iter().any(|change| change.touches_cover)
    {
        changes.push(Change {
            text: "The cover's pictures or words changed".to_owned(),
            touches_interior: false,
            touches_cover: true,
        });
    }
    changes
}

/// Pieces that were saved anew under their old name.
fn art_changes(then: &Facts, now: &Facts) -> Option<Change> {
    let anew: Vec<&String> = now
        .art
        .iter()
        .filter(|(piece, digest)| then.art.get(*piece).is_some_and(|then| then != *digest))
        .map(|(piece, _)| piece)
        .collect();
    if anew.is_empty() {
        return None;
    }
    let shown_on = |sheet: &SheetFacts| anew.iter().any(|piece| sheet.shows.contains(piece));
    let names: Vec<String> = anew.iter().map(|piece| format!("`{piece}`")).collect();
    let was = if anew.len() == 1 { "was" } else { "were" };
    Some(Change {
        text: format!("{} {was} saved anew", short_list(&names)),
        touches_interior: now.pages.iter().any(shown_on),
        touches_cover: now.cover.iter().any(shown_on),
    })
}

/// Which files show art to which something else is done for paper.
struct Touched {
    interior: bool,
    cover: bool,
}

fn treated_anew(then: &Facts, now: &Facts) -> Touched {
    let anew = |piece: &String| {
        then.treated
            .get(piece)
            .is_some_and(|then| now.treated.get(piece) != Some(then))
    };
    touched_by(then, now, anew)
}

/// Which files show a piece of a kind on a sheet that is not as it was.
fn touched_by(then: &Facts, now: &Facts, piece: impl Fn(&String) -> bool) -> Touched {
    let shown = |now: &SheetFacts, then: Option<&SheetFacts>| {
        then.is_none_or(|then| then.digest != now.digest) && now.shows.iter().any(&piece)
    };
    Touched {
        interior: now
            .pages
            .iter()
            .enumerate()
            .any(|(index, page)| shown(page, then.pages.get(index))),
        cover: now
            .cover
            .iter()
            .any(|cover| shown(cover, then.cover.as_ref())),
    }
}

/// Pages that show something else, beyond what art saved anew explains. When all pages changed
/// for a reason already told, nothing is added.
fn page_changes(then: &Facts, now: &Facts, told: &[Change]) -> Option<Change> {
    let same_lesson = then.paper.learned == now.paper.learned;
    let same_art = |sheet: &SheetFacts| {
        sheet.shows.iter().all(|piece| {
            then.art.get(piece) == now.art.get(piece)
                && then.treated.get(piece) == now.treated.get(piece)
                && same_lesson
        })
    };
    let changed: Vec<u32> = now
        .pages
        .iter()
        .zip(&then.pages)
        .zip(1u32..)
        .filter(|((now, then), _)| {
            now.digest != then.digest && (now.shows != then.shows || same_art(now))
        })
        .map(|(_, page)| page)
        .collect();
    let explained = told
        .iter()
        .any(|change| change.touches_interior && change.touches_cover);
    if changed.is_empty() || explained && changed.len() == now.pages.len() {
        return None;
    }
    let verb = if changed.len() == 1 { "shows" } else { "show" };
    Some(Change {
        text: format!("{} {verb} something else", capital(&pages_words(&changed))),
        touches_interior: true,
        touches_cover: false,
    })
}

/// `page 4`, `pages 4, 6–9 and 12`.
pub(crate) fn pages_words(pages: &[u32]) -> String {
    let mut runs: Vec<(u32, u32)> = Vec::new();
    for &page in pages {
        match runs.last_mut() {
            Some((_, last)) if *last + 1 == page => *last = page,
            _ => runs.push((page, page)),
        }
    }
    let words: Vec<String> = runs
        .iter()
        .map(|&(first, last)| {
            if first == last {
                first.to_string()
            } else {
                format!("{first}–{last}")
            }
        })
        .collect();
    let noun = if pages.len() == 1 { "page" } else { "pages" };
    format!("{noun} {}", short_list(&words))
}

/// `from 150 to 170 g/m²`: a unit that both share is said once.
fn from_to(then: &str, now: &str) -> String {
    let named = |text: &str| {
        if text.is_empty() {
            "nothing".to_owned()
        } else {
            text.to_owned()
        }
    };
    match (then.split_once(' '), now.split_once(' ')) {
        (Some((number, unit)), Some((_, same)))
            if unit == same && number.parse::<f64>().is_ok() =>
        {
            format!("from {number} to {now}")
        }
        _ => format!("from {} to {}", named(then), named(now)),
    }
}

/// `a`, `a and b`, `a, b and c`.
pub(crate) fn list(words: &[String]) -> String {
    match words {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// A list of at most four; the others are counted.
fn short_list(words: &[String]) -> String {
    const MOST: usize = 4;
    if words.len() <= MOST {
        return list(words);
    }
    let mut short = words[..MOST - 1].to_vec();
    short.push(format!("{} more", words.len() - short.len()));
    list(&short)
}

/// The same text with a capital at its beginning.
pub(crate) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    match letters.next() {
        Some(first) => first.to_uppercase().chain(letters).collect(),
        None => String::new(),
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;

    pub(super) fn sheet(name: &str) -> SheetFacts {
        SheetFacts {
            digest: Digest::of(name.as_bytes()),
            shows: vec![name.to_owned()],
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
            spine_mm: 12.96,
            condition: "coated".to_owned(),
            inks: Digest::of(b"inks"),
            ink_limit_percent: 300.0,
            rendering: "relative".to_owned(),
            resolution: "300 ppi".to_owned(),
            pictures: "lossless".to_owned(),
            pages: ["a.png", "b.png", "c.png", "d.png"].map(sheet).to_vec(),
            cover: Some(sheet("a.png")),
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
            .map(|change| (change.text, change.touches_interior, change.touches_cover))
            .collect()
    }

    #[test]
    fn a_heavier_paper_is_told_with_what_it_does_to_the_spine() {
        let mut now = facts();
        now.text_stock.grammage = "170 g/m²".to_owned();
        now.spine_mm = 14.69;
        now.cover = Some(sheet("wider"));
        assert_eq!(
            told(&now),
            [(
                "The text stock changed from 150 to 170 g/m²: spine 12.96 → 14.69 mm".to_owned(),
                false,
                true
            )]
        );
        assert_eq!(facts().interior(), now.interior());
        assert_ne!(facts().cover_inputs(), now.cover_inputs());
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
