//! Amounts as they stand in cells, and what is finer than their currency.

use measure::{Decimal, Money};

use super::super::SheetDoubt;
use super::super::form;
use super::super::grid::{Place, Value};
use super::super::locate::Found;
use super::Taker;
use super::cells::named;
use crate::answer::{Doubt, DraftFreight};
use crate::number;

impl Taker<'_> {
    /// An amount above nothing.
    pub(super) fn amount(&mut self, field: &str, found: &Found, each: bool) -> Option<Decimal> {
        self.sum(field, found, each, false)
    }

    /// An amount, or nothing where a charge is not made.
    pub(super) fn amount_or_zero(&mut self, field: &str, found: &Found) -> Option<Decimal> {
        self.sum(field, found, false, true)
    }

    pub(super) fn sum(
        &mut self,
        field: &str,
        found: &Found,
        each: bool,
        zero: bool,
    ) -> Option<Decimal> {
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
    pub(super) fn rounded(&mut self) {
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
    pub(super) fn cell_of(&self, field: &str) -> String {
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
}
