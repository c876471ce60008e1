//! What the cells of a filled sheet say, and what in them is doubtful.

mod day;

use std::collections::BTreeSet;

use book::Term;
use measure::{Currency, Decimal, Money};

use super::form::{self, Row};
use super::grid::{Cell, Grid, Place, Value};
use super::locate::{Finder, Found};
use super::{Sheet, SheetDoubt};
use crate::answer::{Doubt, DraftFreight, DraftPrice, LeadTime, MOST_COPIES};
use crate::number;

/// Working days of a week, for times that are said in weeks.
const WEEK: u32 = 5;

/// Takes what a page says.
pub(super) fn take(grid: &Grid, page: usize) -> Sheet {
    let mut taker = Taker {
        finder: Finder::new(grid, page),
        sheet: Sheet::default(),
        merged: BTreeSet::new(),
    };
    if let Some(part) = &grid.macros {
        taker.sheet.doubts.push(SheetDoubt {
            field: String::new(),
            doubt: Doubt {
                cell: "the file".to_owned(),
                found: part.clone(),
                why: "it carries a macro. Macros are never run here; but one may have changed what stands in \
                      the cells"
                    .to_owned(),
                taken: Some("the values as they are stored".to_owned()),
            },
        });
    }
    taker.identity();
    taker.currency();
    taker.by_quantity();
    taker.charges();
    taker.offer();
    taker.rounded();
    taker.sheet
}

struct Taker<'g> {
    finder: Finder<'g>,
    sheet: Sheet,
    /// Merged areas that were told.
    merged: BTreeSet<usize>,
}

/// A cell's doubts while it is read.
struct Asked {
    field: String,
    place: Place,
    whys: Vec<String>,
}

impl<'g> Taker<'g> {
    /// Request and specification.
    fn identity(&mut self) {
        if let Some((asked, cell)) = self.asked(form::REFERENCE, "request") {
            self.sheet.reference = Some(named(asked.place));
            let said = cell.shown();
            let mut parts = said.trim().split('-');
            let number = parts.next().and_then(|number| {
                number
                    .strip_prefix(['R', 'r'])
                    .and_then(|number| number.parse().ok())
            });
            self.sheet.draft.request = number;
            self.sheet.draft.digest = said
                .rsplit('-')
                .next()
                .map(|start| start.trim().to_lowercase())
                .filter(|start| is_mark(start));
            match number {
                Some(_) => self.done(asked, &cell, Some(said)),
                None => self.left_out(asked, &cell, "this is not the reference of a request"),
            }
        }
        if let Some((mut asked, cell)) = self.asked(form::SPECIFICATION, "digest") {
            self.sheet.specification = Some(named(asked.place));
            let digest = match &cell.value {
                Value::Text(text) => text.trim().to_lowercase(),
                _ => String::new(),
            };
            if is_mark(&digest) {
                let start = self.sheet.draft.digest.replace(digest.clone());
                if start.is_some_and(|start| !digest.starts_with(&start)) {
                    asked.whys.push(
                        "this is not the specification that the reference above it names"
                            .to_owned(),
                    );
                }
                self.done(asked, &cell, Some(digest));
            } else {
                self.left_out(asked, &cell, "this is not the mark of a specification");
            }
        }
    }

    fn currency(&mut self) {
        let Some((mut asked, cell)) = self.asked(form::CURRENCY, "currency") else {
            return;
        };
        let said = cell.shown();
        let currency = match said.trim() {
            "€" => Some(Currency::EUR),
            "£" => Some(Currency::GBP),
            word => Currency::from_code(word),
        };
        let currency = currency.or_else(|| {
            let words: Vec<&str> = said
                .split(|c: char| !c.is_alphabetic() && !"€£$¥".contains(c))
                .collect();
            let mut found = words
                .into_iter()
                .filter_map(|word| number::read(&format!("1 {word}")).ok()?.currency)
                .collect::<BTreeSet<_>>()
                .into_iter();
            let first = found.next();
            match found.next() {
                Some(_) => asked.whys.push("two currencies stand here".to_owned()),
                None => asked
                    .whys
                    .push("a currency has a code such as EUR, USD or GBP".to_owned()),
            }
            first.filter(|_| asked.whys.iter().all(|why| !why.starts_with("two")))
        });
        self.sheet.draft.currency = currency;
        match currency {
            Some(currency) => self.done(asked, &cell, Some(currency.to_string())),
            None => self.left_out(asked, &cell, ""),
        }
    }

    /// Prices and freight.
    fn by_quantity(&mut self) {
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
    fn quantities(&mut self) -> Vec<(u64, u32)> {
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
    fn row(&mut self, row: Row, quantities: &[(u64, u32)]) -> Vec<(u64, Found)> {
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
    fn price(&mut self, copies: u64, amount: Decimal, each: bool, found: &Found) {
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
    fn charges(&mut self) {
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

    /// Terms and times.
    fn offer(&mut self) {
        if let Some((mut asked, cell)) = self.asked(form::TERM, "term") {
            let said = one_line(&cell.shown());
            let words: Vec<&str> = said.split(' ').collect();
            let found = words.iter().enumerate().find_map(|(index, word)| {
                let bare = word.trim_matches(|c: char| !c.is_alphanumeric());
                Some((index, Term::from_code(bare)?))
            });
            match found {
                Some((index, term)) => {
                    self.sheet.draft.term = Some(term);
                    let rest = words[index + 1..].join(" ");
                    if index > 0 {
                        asked
                            .whys
                            .push("other words stand before the term".to_owned());
                    }
                    if !form::bare(&rest).is_empty() && !form::bare(&rest).starts_with("incoterms")
                    {
                        self.sheet.draft.term_place = rest;
                    }
                    self.done(asked, &cell, Some(term.code().to_owned()));
                }
                None => {
                    let codes: Vec<&str> = Term::ALL.iter().map(|term| term.code()).collect();
                    let why = format!("a delivery term is one of {}", codes.join(", "));
                    self.left_out(asked, &cell, &why);
                }
            }
        }
        if let Some(text) = self.text(form::PLACE, "place") {
            self.sheet.draft.term_place = text;
        }
        self.lead();
        self.sheet.draft.valid_until = self.day(form::VALID, "valid");
        self.sheet.draft.dated = self.day(form::DATED, "dated");
        self.sheet.draft.overs = self.share(form::OVERS, "overs");
        self.sheet.draft.unders = self.share(form::UNDERS, "unders");
        self.sheet.draft.payment = self.text(form::PAYMENT, "payment").unwrap_or_default();
        self.sheet.draft.notes = self.text(form::NOTE, "notes").unwrap_or_default();
    }

    fn lead(&mut self) {
        let Some((mut asked, cell)) = self.asked(form::LEAD, "lead") else {
            return;
        };
        let days = match &cell.value {
            Value::Number(number, _) => whole(*number),
            Value::Text(text) => number::read(text).ok().and_then(|number| {
                let days = whole(number.amount)?;
                let words = text.to_lowercase();
                match (words.contains("week"), words.contains("working")) {
                    (true, _) => {
                        asked
                            .whys
                            .push("a week is taken for five working days".to_owned());
                        days.checked_mul(u64::from(WEEK))
                    }
                    (false, working) => {
                        if !working && !number.doubts.is_empty() {
                            asked.whys.extend(number.doubts);
                        }
                        Some(days)
                    }
                }
            }),
            _ => None,
        };
        let days = days
            .and_then(|days| u32::try_from(days).ok())
            .filter(|days| (1..=2000).contains(days));
        match days {
            Some(working_days) => {
                self.sheet.draft.lead = Some(LeadTime { working_days });
                self.done(asked, &cell, Some(format!("{working_days} working days")));
            }
            None => self.left_out(
                asked,
                &cell,
                "how long it takes is a number of working days, such as 25",
            ),
        }
    }

    fn day(&mut self, row: Row, field: &str) -> Option<jiff::civil::Date> {
        let (mut asked, cell) = self.asked(row, field)?;
        let day = match &cell.value {
            Value::Number(number, _) => {
                if !cell.day {
                    asked.whys.push(
                        "this is a number, and is taken for a day as spreadsheets count them"
                            .to_owned(),
                    );
                }
                day::of_serial(*number)
            }
            Value::Text(text) => day::of_text(text),
            _ => None,
        };
        match day {
            Some(day) => self.done(asked, &cell, Some(day.to_string())),
            None => self.left_out(asked, &cell, "a day is written as 2026-11-25"),
        }
        day
    }

    fn share(&mut self, row: Row, field: &str) -> Option<Decimal> {
        let (mut asked, cell) = self.asked(row, field)?;
        let hundred = Decimal::from_whole(100);
        let percent = match &cell.value {
            Value::Number(number, _) if cell.percent || *number < Decimal::ONE => {
                number.times(hundred)
            }
            Value::Number(number, _) => {
                asked.whys.push("this is taken for percent".to_owned());
                Some(*number)
            }
            Value::Text(text) => match text.trim().strip_suffix('%') {
                Some(percent) => number::read(percent).ok().map(|number| {
                    asked.whys.extend(number.doubts);
                    number.or.unwrap_or(number.amount)
                }),
                None => number::read(text).ok().map(|number| {
                    asked.whys.push("this is taken for percent".to_owned());
                    number.or.unwrap_or(number.amount)
                }),
            },
            _ => None,
        };
        let share = percent
            .and_then(|percent| percent.over(hundred))
            .filter(|share| *share >= Decimal::ZERO && *share <= Decimal::ONE);
        match share {
            Some(share) => self.done(asked, &cell, Some(crate::specification::percent(share))),
            None => self.left_out(asked, &cell, "a share is written as 5%"),
        }
        share
    }

    fn text(&mut self, row: Row, field: &str) -> Option<String> {
        let (asked, cell) = self.asked(row, field)?;
        if let Value::Error(_) = cell.value {
            self.left_out(asked, &cell, "this is an error of the spreadsheet");
            return None;
        }
        let value = Cell {
            formula: None,
            ..cell.clone()
        };
        let text = one_line(&value.shown());
        self.done(asked, &cell, Some(text.clone()));
        Some(text)
    }

    /// An amount above nothing.
    fn amount(&mut self, field: &str, found: &Found, each: bool) -> Option<Decimal> {
        self.sum(field, found, each, false)
    }

    /// An amount, or nothing where a charge is not made.
    fn amount_or_zero(&mut self, field: &str, found: &Found) -> Option<Decimal> {
        self.sum(field, found, false, true)
    }

    fn sum(&mut self, field: &str, found: &Found, each: bool, zero: bool) -> Option<Decimal> {
        let cell = self.finder.page.cell(found.place)?.clone();
        let mut asked = self.begin(field, found);
        self.look(&mut asked, &cell);
        if cell.percent {
            self.left_out(
                asked,
                &cell,
                "this is a share in percent, and an amount was expected",
            );
            return None;
        }
        let (amount, currency) = match &cell.value {
            Value::Number(amount, _) => (Ok(*amount), cell.currency),
            Value::Text(text) => match number::read(text) {
                Ok(number) => {
                    asked
                        .whys
                        .push("this is text, and a number was expected".to_owned());
                    asked.whys.extend(number.doubts);
                    let amount = number.or.filter(|_| each).unwrap_or(number.amount);
                    (Ok(amount), number.currency)
                }
                Err(error) => (Err(error.to_string()), None),
            },
            Value::Error(_) => (Err("this is an error of the spreadsheet".to_owned()), None),
            Value::Blank => (Err("the formula has no stored value".to_owned()), None),
        };
        // A table knows no numbers: there a plain text is no doubt.
        if self.finder.is_table() {
            asked.whys.retain(|why| !why.starts_with("this is text"));
        }
        let amount = match amount {
            Ok(amount) if amount < Decimal::ZERO => {
                Err("this is below zero, and no price is".to_owned())
            }
            Ok(amount) if amount.is_zero() && !zero => {
                Err("this is nothing, and no price is".to_owned())
            }
            other => other,
        };
        let amount = match amount {
            Ok(amount) => amount,
            Err(why) => {
                self.left_out(asked, &cell, &why);
                return None;
            }
        };
        match (self.sheet.draft.currency, currency) {
            (Some(known), Some(other)) if known != other => {
                let why = format!("this is in {other}, and {known} was said before");
                self.left_out(asked, &cell, &why);
                return None;
            }
            (None, Some(currency)) => {
                self.sheet.draft.currency = Some(currency);
                asked.whys.push(
                    "the currency of all prices is said nowhere but beside this amount".to_owned(),
                );
                self.done(asked, &cell, Some(format!("{currency} {amount}")));
                return Some(amount);
            }
            _ => {}
        }
        self.done(asked, &cell, Some(amount.to_string()));
        Some(amount)
    }

    /// Sums finer than the smallest unit of their currency are rounded half away from zero, and told.
    fn rounded(&mut self) {
        let Some(currency) = self.sheet.draft.currency else {
            return;
        };
        let mut told: Vec<(String, Decimal, Decimal)> = Vec::new();
        let mut round = |field: String, amount: &mut Decimal| {
            if let Some(money) = Money::from_decimal(*amount, currency)
                && money.decimal() != *amount
            {
                told.push((field, *amount, money.decimal()));
                *amount = money.decimal();
            }
        };
        let draft = &mut self.sheet.draft;
        for price in draft.prices.iter_mut().filter(|price| !price.each) {
            round(format!("total {}", price.copies), &mut price.amount);
        }
        for (what, amount) in &mut draft.one_offs {
            round(format!("one-off {what}"), amount);
        }
        if let DraftFreight::Given(given) = &mut draft.freight {
            for (copies, amount) in given {
                round(format!("freight {copies}"), amount);
            }
        }
        for (field, found, taken) in told {
            let cell = self.cell_of(&field);
            self.sheet.doubts.push(SheetDoubt {
                field,
                doubt: Doubt {
                    cell,
                    found: found.to_string(),
                    why: format!(
                        "this is finer than the smallest unit of {currency}, and is rounded to it"
                    ),
                    taken: Some(taken.to_string()),
                },
            });
        }
    }

    /// The cell that a field was taken from.
    fn cell_of(&self, field: &str) -> String {
        let (word, of) = field.split_once(' ').unwrap_or((field, ""));
        let place = match word {
            "one-off" => self
                .finder
                .words(of)
                .map(|label| self.finder.page.beside(label)),
            word => {
                let row = [form::TOTAL, form::FREIGHT]
                    .into_iter()
                    .find(|row| row.name == word);
                let label = row.and_then(|row| self.finder.words(row.words));
                let heading = self.finder.words(form::QUANTITY.words);
                let column = heading.and_then(|heading| {
                    self.finder.filled_right(heading).into_iter().find(|place| {
                        matches!(
                            self.finder.page.cell(*place).map(|cell| &cell.value),
                            Some(Value::Number(number, _)) if number.to_string() == of
                        )
                    })
                });
                label.zip(column).map(|(label, heading)| Place {
                    row: label.row,
                    column: heading.column,
                })
            }
        };
        place.map_or_else(|| field.to_owned(), named)
    }

    /// What is asked once, if it is filled in.
    fn asked(&mut self, row: Row, field: &str) -> Option<(Asked, Cell)> {
        let found = self.finder.single(row)?;
        let cell = self.finder.page.cell(found.place)?.clone();
        let mut asked = self.begin(field, &found);
        self.look(&mut asked, &cell);
        Some((asked, cell))
    }

    fn begin(&mut self, field: &str, found: &Found) -> Asked {
        Asked {
            field: field.to_owned(),
            place: found.place,
            whys: found.moved.clone().into_iter().collect(),
        }
    }

    /// What is doubtful of any cell.
    fn look(&mut self, asked: &mut Asked, cell: &Cell) {
        let within = |(first, last): &(Place, Place)| {
            let place = asked.place;
            first != last
                && (first.row..=last.row).contains(&place.row)
                && (first.column..=last.column).contains(&place.column)
        };
        let merged = &self.finder.page.merged;
        if let Some(index) = merged.iter().position(within)
            && self.merged.insert(index)
        {
            let (first, last) = merged[index];
            asked.whys.push(format!(
                "cells {first} to {last} are merged, and this value is taken for this cell alone"
            ));
        }
        if cell.formula.is_some() {
            asked.whys.push(
                "this is a formula; it is not reckoned here, and its stored value is taken"
                    .to_owned(),
            );
        }
        if let Value::Number(_, true) = cell.value {
            asked.whys.push(
                "this has more decimals than are kept, and is rounded at the ninth".to_owned(),
            );
        }
    }

    fn done(&mut self, asked: Asked, cell: &Cell, taken: Option<String>) {
        if asked.whys.is_empty() {
            return;
        }
        let shown = cell.shown();
        let why = asked.whys.join("; ");
        self.doubt(&asked.field, asked.place, &shown, why, taken);
    }

    fn left_out(&mut self, mut asked: Asked, cell: &Cell, why: &str) {
        if !why.is_empty() {
            asked.whys.push(why.to_owned());
        }
        self.done(asked, cell, None);
    }

    fn doubt(
        &mut self,
        field: &str,
        place: Place,
        found: &str,
        why: String,
        taken: Option<String>,
    ) {
        let found: String = found.chars().take(80).collect();
        self.sheet.doubts.push(SheetDoubt {
            field: field.to_owned(),
            doubt: Doubt {
                cell: named(place),
                found: one_line(&found),
                why,
                taken,
            },
        });
    }
}

/// Whether a word is the mark of a specification, or the beginning of one.
fn is_mark(word: &str) -> bool {
    word.len() >= 6 && word.bytes().all(|byte| byte.is_ascii_hexdigit())
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

fn named(place: Place) -> String {
    format!("cell {place}")
}

fn listed(places: &[Place]) -> String {
    match places {
        [first, .., last] => format!("{first} to {last}"),
        [only] => only.to_string(),
        [] => String::new(),
    }
}

/// A number of copies.
fn whole(number: Decimal) -> Option<u64> {
    let one = Decimal::ONE.billionths();
    let copies = u64::try_from(number.billionths() / one).ok()?;
    (number.billionths() % one == 0 && (1..=MOST_COPIES).contains(&copies)).then_some(copies)
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

fn one_line(text: &str) -> String {
    text.split(|c: char| c.is_whitespace() || c.is_control())
        .filter(|word| !word.is_empty())
        .collect::<Vec<_>>()
        .join(" ")
}
