//! Prices, freight and charges, by quantity and once.

use measure::Decimal;

use super::super::form::{self, Row};
use super::super::grid::{Cell, Place, Value};
use super::super::locate::Found;
use super::{Taker, whole};
use crate::answer::{DraftFreight, DraftPrice};
use crate::number;
use crate::request::one_line;

impl Taker<'_> {
    /// Prices and freight.
    pub(super) fn by_quantity(&mut self) {
        let quantities = self.quantities();
        for (row, each) in [(form::TOTAL, false), (form::EACH, true)] {
            for (copies, found) in self.row(row, &quantities) {
                let field = format!("{} {copies}", row.name);
                let amount = self.amount(&field, &found, each);
                if let Some(amount) = amount {
                    self.price(copies, amount, each, &found);
                }
            }
        }
        for (copies, found) in self.row(form::FREIGHT, &quantities) {
            let cell = self.finder.page.cell(found.place);
            let text = cell.map(Cell::shown).unwrap_or_default();
            let included = ["included", "incl", "inclusive", "inbegriffen"];
            if included.contains(&form::bare(&text).as_str()) {
                if self.sheet.draft.freight == DraftFreight::NotSaid {
                    self.sheet.draft.freight = DraftFreight::Included;
                }
                if let DraftFreight::Given(_) = self.sheet.draft.freight {
                    self.doubt(
                        "freight",
                        found.place,
                        &text,
                        "freight is in the prices here, and costs something in another cell"
                            .to_owned(),
                        None,
                    );
                }
                continue;
            }
            let field = format!("freight {copies}");
            if let Some(amount) = self.amount(&field, &found, false) {
                match &mut self.sheet.draft.freight {
                    DraftFreight::Given(given) => given.push((copies, amount)),
                    other => {
                        let contradicts = *other == DraftFreight::Included;
                        *other = DraftFreight::Given(vec![(copies, amount)]);
                        if contradicts {
                            self.doubt(
                                &field,
                                found.place,
                                &text,
                                "freight costs something here, and is in the prices in another cell"
                                    .to_owned(),
                                Some(amount.to_string()),
                            );
                        }
                    }
                }
            }
        }
    }

    /// Quantities with their columns: by the words of their row, or else by the names of their cells.
    pub(super) fn quantities(&mut self) -> Vec<(u64, u32)> {
        let places: Vec<Found> = match self.finder.words(form::QUANTITY.words) {
            Some(label) => {
                let places = self.finder.filled_right(label).into_iter();
                places.map(|place| Found { place, moved: None }).collect()
            }
            None => {
                let named = self.finder.numbered(form::QUANTITY).into_iter();
                named
                    .map(|(_, place)| Found { place, moved: None })
                    .collect()
            }
        };
        let mut quantities: Vec<(u64, u32)> = Vec::new();
        for found in places {
            let Some(cell) = self.finder.page.cell(found.place).cloned() else {
                continue;
            };
            let mut asked = self.begin("", &found);
            self.look(&mut asked, &cell);
            let copies = match &cell.value {
                Value::Number(number, _) => whole(*number),
                Value::Text(text) => {
                    let text = text.to_lowercase();
                    let bare = text.trim_end_matches("copies").trim_end_matches("copy");
                    let number = number::read(bare).ok();
                    number
                        .filter(|number| number.currency.is_none() && number.doubts.len() <= 1)
                        .and_then(|number| whole(number.amount))
                }
                _ => None,
            };
            match copies {
                Some(copies) if quantities.iter().any(|(known, _)| *known == copies) => self
                    .left_out(
                        asked,
                        &cell,
                        "this number of copies stands in another column too",
                    ),
                Some(copies) => {
                    quantities.push((copies, found.place.column));
                    self.done(asked, &cell, Some(format!("{copies} copies")));
                }
                None => self.left_out(asked, &cell, "this is no number of copies"),
            }
        }
        quantities
    }

    /// Filled cells of a row, each with the quantity above it.
    pub(super) fn row(&mut self, row: Row, quantities: &[(u64, u32)]) -> Vec<(u64, Found)> {
        let named: Vec<Place> = self
            .finder
            .numbered(row)
            .into_iter()
            .map(|(_, place)| place)
            .collect();
        let (places, strange) = match self.finder.words(row.words) {
            Some(label) => (self.finder.filled_right(label), false),
            None => (named.clone(), true),
        };
        let mut cells = Vec::new();
        for place in places {
            let Some(cell) = self.finder.page.cell(place) else {
                continue;
            };
            let above = quantities
                .iter()
                .position(|(_, column)| *column == place.column);
            // The cell of the same quantity as it was sent; names stay behind where columns are moved by
            // programs that do not know them.
            let asked = above.and_then(|at| self.finder.named(&row.numbered(at + 1)));
            let moved = if strange {
                Some("the words of this row are not those that were sent".to_owned())
            } else if asked.is_some_and(|asked| asked != place)
                || !(named.is_empty() || asked.is_some() || named.contains(&place))
            {
                Some(format!(
                    "what was asked in this row was asked in cells {}; columns or rows were moved",
                    listed(&named)
                ))
            } else {
                None
            };
            let above = above.map(|at| quantities[at]);
            match above {
                Some((copies, _)) => cells.push((copies, Found { place, moved })),
                None => {
                    let shown = cell.shown();
                    self.doubt(
                        "",
                        place,
                        &shown,
                        "no number of copies stands above it".to_owned(),
                        None,
                    );
                }
            }
        }
        cells
    }

    /// A price; one of all and one of one copy for the same quantity are held against each other.
    pub(super) fn price(&mut self, copies: u64, amount: Decimal, each: bool, found: &Found) {
        let known = self
            .sheet
            .draft
            .prices
            .iter()
            .find(|price| price.copies == copies)
            .copied();
        let Some(total) = known else {
            self.sheet.draft.prices.push(DraftPrice {
                copies,
                amount,
                each,
            });
            return;
        };
        // A price of one is rounded by the printer: it may be off by half of its last decimal a copy.
        let count = i64::try_from(copies).unwrap_or(i64::MAX);
        let product = amount.times(Decimal::from_whole(count));
        let half = half_of_last(amount).times(Decimal::from_whole(count));
        let fits = product.zip(half).is_some_and(|(product, half)| {
            let apart = (product.billionths() - total.amount.billionths()).abs();
            apart <= half.billionths().max(10_000_000)
        });
        if !fits {
            self.doubt(
                &format!("each {copies}"),
                found.place,
                &amount.to_string(),
                format!(
                    "{copies} times this is not the price of all copies, {}",
                    total.amount
                ),
                Some(format!("{} for all copies", total.amount)),
            );
        }
    }

    /// What arises once: below its heading, down to the next one.
    pub(super) fn charges(&mut self) {
        let mut rows: Vec<(Place, Found)> = Vec::new();
        let named: Vec<Place> = (1..=form::MOST_NUMBERED)
            .filter_map(|number| self.finder.named(&form::charge(number)))
            .collect();
        if let Some(heading) = self.finder.words(form::ONCE) {
            let end = self
                .finder
                .words(form::OFFER)
                .map_or(u32::MAX, |end| end.row);
            for by in 1..=40 {
                let label = heading.below(by);
                if label.row >= end {
                    break;
                }
                let place = self.finder.page.beside(label);
                if self.finder.page.cell(place).is_none() {
                    continue;
                }
                let moved = (!named.is_empty() && !named.contains(&place)).then(|| {
                    format!(
                        "what was asked here was asked in cells {}; columns or rows were moved",
                        listed(&named)
                    )
                });
                rows.push((label, Found { place, moved }));
            }
        } else {
            for number in 1..=form::MOST_NUMBERED {
                let label = self.finder.named(&form::charge_for(number));
                let place = self.finder.named(&form::charge(number));
                if let (Some(label), Some(place)) = (label, place) {
                    let moved = "the words above this cell are not those that were sent";
                    let moved = Some(moved.to_owned());
                    rows.push((label, Found { place, moved }));
                }
            }
        }
        for (label, found) in rows {
            if self.finder.page.cell(found.place).is_none() {
                continue;
            }
            let what = self
                .finder
                .page
                .cell(label)
                .map(Cell::shown)
                .unwrap_or_default();
            let what = charge_words(&one_line(&what));
            let known = self
                .sheet
                .draft
                .one_offs
                .iter()
                .any(|(known, _)| *known == what);
            if what.is_empty() || known {
                let shown = self.finder.page.cell(found.place).map(Cell::shown);
                let why = match known {
                    true => "a charge of this name stands in another row too",
                    false => "it is not said what this is for",
                };
                self.doubt(
                    "",
                    found.place,
                    &shown.unwrap_or_default(),
                    why.to_owned(),
                    None,
                );
                continue;
            }
            let field = format!("one-off {what}");
            if let Some(amount) = self.amount_or_zero(&field, &found) {
                self.sheet.draft.one_offs.push((what, amount));
            }
        }
    }
}

/// What a charge is for, as it stands within a sentence: the sheet's own words begin with a capital.
fn charge_words(label: &str) -> String {
    let mut letters = label.chars();
    let (first, rest) = (letters.next(), letters.as_str());
    match first {
        Some(first) if rest.starts_with(char::is_lowercase) => {
            first.to_lowercase().chain(rest.chars()).collect()
        }
        _ => label.to_owned(),
    }
}

fn listed(places: &[Place]) -> String {
    match places {
        [first, .., last] => format!("{first} to {last}"),
        [only] => only.to_string(),
        [] => String::new(),
    }
}

/// Half of one in an amount's last decimal; at most of a cent, since amounts end in cents.
fn half_of_last(amount: Decimal) -> Decimal {
    let decimals = amount
        .to_string()
        .split_once('.')
        .map_or(0, |(_, part)| part.len())
        .max(2);
    let decimals = u32::try_from(decimals).unwrap_or(9).min(8);
    Decimal::from_billionths(5 * 10_i128.pow(8 - decimals)).unwrap_or(Decimal::ZERO)
}
