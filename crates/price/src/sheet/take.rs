//! What the cells of a filled sheet say, and what in them is doubtful.

mod amounts;
mod cells;
mod day;
mod prices;

use std::collections::BTreeSet;

use book::Term;
use measure::{Currency, Decimal};

use super::form::{self, Row};
use super::grid::{Cell, Grid, Place, Value};
use super::locate::Finder;
use super::{Sheet, SheetDoubt};
use crate::answer::{Doubt, LeadTime, MOST_COPIES};
use crate::number;
use crate::request::one_line;

use cells::named;

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
            // Many countries have dollars: the word alone names none of them.
            let more = found.next().is_some()
                || (first.is_some() && said.to_lowercase().contains("dollar"));
            let why = if more {
                "two currencies stand here"
            } else {
                "a currency has a code such as EUR, USD or GBP"
            };
            asked.whys.push(why.to_owned());
            first.filter(|_| !more)
        });
        self.sheet.draft.currency = currency;
        match currency {
            Some(currency) => self.done(asked, &cell, Some(currency.to_string())),
            None => self.left_out(asked, &cell, ""),
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
}

/// Whether a word is the mark of a specification, or the beginning of one.
fn is_mark(word: &str) -> bool {
    word.len() >= 6 && word.bytes().all(|byte| byte.is_ascii_hexdigit())
}

/// A number of copies.
fn whole(number: Decimal) -> Option<u64> {
    let one = Decimal::ONE.billionths();
    let copies = u64::try_from(number.billionths() / one).ok()?;
    (number.billionths() % one == 0 && (1..=MOST_COPIES).contains(&copies)).then_some(copies)
}
