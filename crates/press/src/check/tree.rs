//! The pages of a file in order, with what they inherit.

use std::collections::HashSet;
use std::sync::Arc;

use super::document::Document;
use super::object::{Dict, Obj};

/// Most pages that are looked at.
pub(super) const MOST_PAGES: usize = 20_000;
/// Deepest nesting of the tree.
const DEEPEST: usize = 64;

/// A page's own dictionary and what it inherits.
#[derive(Clone)]
pub(super) struct PageNode {
    pub(super) dict: Arc<Dict>,
    above: Arc<Inherited>,
}

/// Values of the nodes above, the nearest counting.
#[derive(Default, Clone)]
struct Inherited {
    resources: Option<Obj>,
    media: Option<Obj>,
    crop: Option<Obj>,
    rotate: Option<Obj>,
}

/// All pages.
pub(super) struct Pages {
    pub(super) pages: Vec<PageNode>,
    /// There are more than are looked at.
    pub(super) too_many: bool,
    /// The tree runs in a circle, holds a page twice, or miscounts its pages.
    pub(super) broken: bool,
}

impl Pages {
    pub(super) fn read(document: &Document<'_>) -> Self {
        let mut found = Self {
            pages: Vec::new(),
            too_many: false,
            broken: false,
        };
        let Some(catalogue) = document.catalogue() else {
            return found;
        };
        let mut seen = HashSet::new();
        let root = catalogue.raw("Pages").cloned().unwrap_or(Obj::Null);
        let mut waiting = vec![(root, Arc::new(Inherited::default()), 0)];
        while let Some((value, above, depth)) = waiting.pop() {
            if let Obj::Ref(number) = value
                && !seen.insert(number)
            {
                found.broken = true;
                continue;
            }
            let Obj::Dict(dict) = document.resolve(&value) else {
                found.broken = true;
                continue;
            };
            let kids = document.get(&dict, "Kids");
            let is_page = document.get(&dict, "Type").name() == Some("Page");
            match kids {
                Obj::Array(kids) if !is_page => {
                    if depth >= DEEPEST {
                        found.broken = true;
                        continue;
                    }
                    let below = Arc::new(above.below(&dict));
                    for kid in kids.iter().rev() {
                        waiting.push((kid.clone(), Arc::clone(&below), depth + 1));
                    }
                }
                _ => {
                    if found.pages.len() >= MOST_PAGES {
                        found.too_many = true;
                        break;
                    }
                    found.pages.push(PageNode { dict, above });
                }
            }
        }
        let root = document.get_dict(&catalogue, "Pages");
        let count = document.get(&root, "Count").int();
        if !found.too_many && count.is_some_and(|count| count != found.pages.len() as i64) {
            found.broken = true;
        }
        found
    }
}

impl Inherited {
    fn below(&self, dict: &Dict) -> Self {
        let take =
            |key: &str, above: &Option<Obj>| dict.raw(key).cloned().or_else(|| above.clone());
        Self {
            resources: take("Resources", &self.resources),
            media: take("MediaBox", &self.media),
            crop: take("CropBox", &self.crop),
            rotate: take("Rotate", &self.rotate),
        }
    }
}

impl PageNode {
    fn inherited(&self, key: &str, above: &Option<Obj>) -> Obj {
        let own = self.dict.raw(key).cloned();
        own.or_else(|| above.clone()).unwrap_or(Obj::Null)
    }

    pub(super) fn resources(&self, document: &Document<'_>) -> Arc<Dict> {
        match document.resolve(&self.inherited("Resources", &self.above.resources)) {
            Obj::Dict(dict) => dict,
            _ => Arc::default(),
        }
    }

    pub(super) fn media(&self, document: &Document<'_>) -> Option<PageBox> {
        PageBox::read(document, &self.inherited("MediaBox", &self.above.media))
    }

    pub(super) fn crop(&self, document: &Document<'_>) -> Option<PageBox> {
        PageBox::read(document, &self.inherited("CropBox", &self.above.crop))
    }

    /// A box that is not inherited: `TrimBox`, `BleedBox` or `ArtBox`.
    pub(super) fn own_box(&self, document: &Document<'_>, key: &str) -> Option<PageBox> {
        PageBox::read(document, self.dict.raw(key)?)
    }

    /// Quarter turns clockwise at which the page is shown.
    pub(super) fn turns(&self, document: &Document<'_>) -> u8 {
        let degrees = document.resolve(&self.inherited("Rotate", &self.above.rotate));
        (degrees.int().unwrap_or(0).rem_euclid(360) / 90) as u8
    }

    /// How many 1/72 inch one unit is.
    pub(super) fn user_unit(&self, document: &Document<'_>) -> f64 {
        let unit = document.get(&self.dict, "UserUnit").num().unwrap_or(1.0);
        if (0.001..=1000.0).contains(&unit) {
            unit
        } else {
            1.0
        }
    }
}

/// A page box in the page's own units, with area.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct PageBox {
    pub(super) left: f64,
    pub(super) bottom: f64,
    pub(super) right: f64,
    pub(super) top: f64,
}

impl PageBox {
    fn read(document: &Document<'_>, value: &Obj) -> Option<Self> {
        let value = document.resolve(value);
        let items = value.array()?;
        let number = |index: usize| document.resolve(items.get(index)?).num();
        let (a, b, c, d) = (number(0)?, number(1)?, number(2)?, number(3)?);
        let read = Self {
            left: a.min(c),
            bottom: b.min(d),
            right: a.max(c),
            top: b.max(d),
        };
        // A sheet of a hundred metres is past all sense, and so is one of no size.
        let sane = [a, b, c, d].iter().all(|edge| edge.abs() < 300_000.0);
        (sane && read.width() > 0.01 && read.height() > 0.01).then_some(read)
    }

    pub(super) fn width(self) -> f64 {
        self.right - self.left
    }

    pub(super) fn height(self) -> f64 {
        self.top - self.bottom
    }

    /// Whether the other box lies inside, give or take a thousandth of an inch.
    pub(super) fn contains(self, other: Self) -> bool {
        const SLACK: f64 = 0.072;
        other.left >= self.left - SLACK
            && other.bottom >= self.bottom - SLACK
            && other.right <= self.right + SLACK
            && other.top <= self.top + SLACK
    }

    pub(super) fn shared(self, other: Self) -> Option<Self> {
        let shared = Self {
            left: self.left.max(other.left),
            bottom: self.bottom.max(other.bottom),
            right: self.right.min(other.right),
            top: self.top.min(other.top),
        };
        (shared.width() > 0.0 && shared.height() > 0.0).then_some(shared)
    }
}
