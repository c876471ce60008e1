//! An invoice from fields, and as fields again.

use measure::{Currency, Decimal, Money, UnitPrice};

use super::{Invoice, InvoiceLine, LineKind};
use crate::PriceError;
use crate::answer::{Doubt, MOST_COPIES};

/// What was read so far; sums wait for their currency.
#[derive(Default)]
struct Half {
    number: String,
    dated: Option<jiff::civil::Date>,
    currency: Option<Currency>,
    delivered: Option<u64>,
    billed: Option<u64>,
    lines: Vec<(LineKind, String, Decimal)>,
    total: Option<Decimal>,
}

pub(super) fn read(fields: &[(&str, &str)]) -> Result<(Invoice, Vec<Doubt>), PriceError> {
    let mut half = Half::default();
    let mut doubts = Vec::new();
    for (name, value) in fields {
        let (name, value) = (name.trim(), value.trim());
        if value.is_empty() {
            continue;
        }
        if let Err(why) = half.put(name, value) {
            doubts.push(Doubt {
                cell: name.to_owned(),
                found: value.to_owned(),
                why,
                taken: None,
            });
        }
    }
    Ok((half.whole()?, doubts))
}

pub(super) fn of(invoice: &Invoice) -> Vec<(String, String)> {
    let mut fields = vec![
        ("number".to_owned(), invoice.number.clone()),
        ("currency".to_owned(), invoice.currency.to_string()),
        ("delivered".to_owned(), invoice.delivered.to_string()),
        ("billed".to_owned(), invoice.billed.to_string()),
    ];
    if let Some(day) = invoice.dated {
        fields.push(("dated".to_owned(), day.to_string()));
    }
    for line in &invoice.lines {
        let name = format!("{} {}", line.kind.word(), line.what);
        fields.push((name.trim().to_owned(), line.cost.decimal().to_string()));
    }
    if let Some(total) = invoice.total {
        fields.push(("total".to_owned(), total.decimal().to_string()));
    }
    fields
}

impl Half {
    fn put(&mut self, name: &str, value: &str) -> Result<(), String> {
        let (word, of) = name.split_once(' ').unwrap_or((name, ""));
        let of = of.trim();
        let kind = [
            LineKind::Print,
            LineKind::Overs,
            LineKind::OneOff,
            LineKind::Freight,
            LineKind::Alterations,
            LineKind::Tax,
            LineKind::Other,
        ]
        .into_iter()
        .find(|kind| kind.word() == word);
        match (word, of, kind) {
            ("number", "", _) => self.number = value.to_owned(),
            ("dated", "", _) => {
                let day = value
                    .parse()
                    .map_err(|_| "a day is written as 2026-11-25")?;
                self.dated = Some(day);
            }
            ("currency", "", _) => {
                let currency = Currency::from_code(value);
                self.same(currency.ok_or("a currency has a code such as EUR, USD or GBP")?)?;
            }
            ("delivered", "", _) => self.delivered = Some(copies(value)?),
            ("billed", "", _) => self.billed = Some(copies(value)?),
            ("total", "", _) => self.total = Some(self.amount(value)?),
            (_, of, Some(kind)) => {
                let amount = self.amount(value)?;
                self.lines.push((kind, of.to_owned(), amount));
            }
            _ => return Err("an invoice has no field of this name".to_owned()),
        }
        Ok(())
    }

    fn amount(&mut self, text: &str) -> Result<Decimal, String> {
        if let Ok(amount) = text.parse() {
            return Ok(amount);
        }
        let price: UnitPrice = text
            .parse()
            .map_err(|_| "a sum is written as 1234.50, with a point and without other signs")?;
        self.same(price.currency())?;
        Ok(price.amount())
    }

    fn same(&mut self, currency: Currency) -> Result<(), String> {
        match self.currency {
            Some(known) if known != currency => Err(format!(
                "an invoice has one currency, and {known} was said before"
            )),
            _ => {
                self.currency = Some(currency);
                Ok(())
            }
        }
    }

    fn whole(self) -> Result<Invoice, PriceError> {
        let currency = self.currency.ok_or(PriceError::Lacking("the currency"))?;
        let delivered = self
            .delivered
            .ok_or(PriceError::Lacking("how many copies were delivered"))?;
        if self.lines.is_empty() {
            return Err(PriceError::Lacking("a line of the invoice"));
        }
        let money = |amount: Decimal| {
            Money::from_decimal(amount, currency)
                .ok_or_else(|| PriceError::NoAmount(amount.to_string()))
        };
        let lines = self
            .lines
            .into_iter()
            .map(|(kind, what, amount)| {
                let cost = money(amount)?;
                Ok(InvoiceLine { kind, what, cost })
            })
            .collect::<Result<Vec<_>, PriceError>>()?;
        Ok(Invoice {
            number: self.number,
            dated: self.dated,
            currency,
            delivered,
            billed: self.billed.unwrap_or(delivered),
            lines,
            total: self.total.map(money).transpose()?,
        })
    }
}

fn copies(text: &str) -> Result<u64, String> {
    text.parse()
        .ok()
        .filter(|copies| *copies <= MOST_COPIES)
        .ok_or_else(|| "a number of copies is written as 850".to_owned())
}
