//! What sales teach about the audiences.

use book::Book;
use edition::dates::Happened;
use edition::quantity::{Conversion, Ground, Sales, Season};
use jiff::civil::Date;

use super::wrong;
use crate::record::{NewSale, SaleRow};
use crate::{Desk, DeskError, Told, moment};

/// The step of the calendar with whose end the books are in hand.
const IN_HAND: &str = "in-hand";

/// Copies that were sold to an audience.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SaleView {
    /// Its number, from 1.
    pub number: u32,
    /// When it was said, in UTC.
    pub at: String,
    /// The audience.
    pub audience: String,
    /// Copies.
    pub copies: u64,
    /// By which day they were sold.
    pub day: Date,
    /// Whether no copy was left by then.
    pub sold_out: bool,
    /// A note; may be empty.
    pub note: String,
    /// Whether it was taken back.
    pub taken_back: bool,
}

/// What a sale taught.
#[derive(Debug, Clone, PartialEq)]
pub struct SaleTold {
    /// Number of the sale.
    pub number: u32,
    /// The audience.
    pub audience: String,
    /// What was known of its share of buyers before.
    pub before: Conversion,
    /// What is known now.
    pub after: Conversion,
}

impl Desk {
    /// Keeps that so many copies were sold to an audience by a day.
    ///
    /// # Errors
    /// No such audience; a day that is still to come; more copies in all than there are people. Nothing is
    /// kept then.
    pub fn sold(
        &self,
        audience: &str,
        copies: u64,
        day: Date,
        sold_out: bool,
        note: &str,
    ) -> Result<SaleTold, DeskError> {
        let before = self.known(audience)?;
        if day > moment::today() {
            return Err(DeskError::new(
                format!("sales to `{audience}`"),
                format!("{day} is still to come"),
                "Say a day up to today. Nothing was kept.".to_owned(),
            ));
        }
        let standing = self.standing()?;
        let book = &standing.snapshot.book;
        let audiences = &book.edition.audiences;
        let known = audiences.iter().find(|known| known.place == audience);
        let people = known.map_or(0, |known| known.people);
        let learned = self.learned(book, &self.sales()?)?;
        let before_now = learned.iter().find(|known| known.audience == audience);
        let sold = before_now
            .map_or(0, |known| known.copies)
            .saturating_add(copies);
        if sold > people {
            return Err(DeskError::new(
                format!("sales to `{audience}`"),
                format!("{sold} copies in all would be sold to {people} people"),
                "Look for a slip, or say how many people there are by now. Nothing was kept."
                    .to_owned(),
            ));
        }
        let sale = NewSale {
            audience,
            copies,
            day: &day.to_string(),
            sold_out,
            note,
        };
        let number = self.with_record(|record| record.add_sale(sale))?;
        Ok(SaleTold {
            number,
            audience: audience.to_owned(),
            before,
            after: self.known(audience)?,
        })
    }

    /// Takes a sale back; its row stays in the record.
    ///
    /// # Errors
    /// No such sale.
    pub fn take_sale_back(&self, number: u32) -> Result<SaleTold, DeskError> {
        let sales = self.sales()?;
        let sale = sales
            .iter()
            .find(|sale| sale.number == number && !sale.taken_back);
        let Some(sale) = sale else {
            return Err(DeskError::new(
                format!("sale {number}"),
                "there is no such sale that stands".to_owned(),
                "`foredge quantity` lists them.".to_owned(),
            ));
        };
        let before = self.known(&sale.audience)?;
        self.with_record(|record| record.take_sale_back(number))?;
        Ok(SaleTold {
            number,
            audience: sale.audience.clone(),
            before,
            after: self.known(&sale.audience)?,
        })
    }

    /// What is known of an audience now.
    fn known(&self, audience: &str) -> Result<Conversion, DeskError> {
        let standing = self.standing()?;
        let book = &standing.snapshot.book;
        let ground = Ground::of(book, None, &self.learned(book, &self.sales()?)?).map_err(wrong)?;
        let found = ground
            .audiences
            .iter()
            .find(|known| known.place == audience);
        found.map(|known| known.now).ok_or_else(|| {
            let names: Vec<&str> = ground
                .audiences
                .iter()
                .map(|known| known.place.as_str())
                .collect();
            DeskError::new(
                format!("audience `{audience}`"),
                "the book has no such audience".to_owned(),
                format!("There are: {}.", names.join(", ")),
            )
        })
    }

    /// All sales, oldest first, taken back or not.
    pub(super) fn sales(&self) -> Result<Vec<SaleView>, DeskError> {
        let rows = self.with_record(|record| record.sales())?;
        Ok(rows.into_iter().filter_map(view).collect())
    }

    /// What all sales that stand add up to, by audience. The season is counted from the day on which the books
    /// were in hand; where that is not known, the sales are those of a whole season.
    pub(super) fn learned(&self, book: &Book, sales: &[SaleView]) -> Result<Vec<Sales>, DeskError> {
        let standing: Vec<&SaleView> = sales.iter().filter(|sale| !sale.taken_back).collect();
        let Some(first) = standing.iter().map(|sale| sale.day).min() else {
            return Ok(Vec::new());
        };
        // Sales of an edition of which no day is known are those of a whole season.
        let from = in_hand(&self.told()?).map(|day| day.min(first));
        let season = Season::of_book(book).map_err(wrong)?.unwrap_or_default();
        let mut learned: Vec<Sales> = Vec::new();
        for sale in standing {
            let elapsed = from.map_or(1.0, |from| {
                let days = from.until(sale.day).map_or(0, |span| span.get_days());
                // A sale on the very first day has had that day.
                season.come(f64::from(days + 1) / 30.0)
            });
            match learned
                .iter_mut()
                .find(|known| known.audience == sale.audience)
            {
                Some(known) => {
                    known.copies += sale.copies;
                    known.elapsed = known.elapsed.max(elapsed);
                    known.sold_out |= sale.sold_out;
                }
                None => learned.push(Sales {
                    audience: sale.audience.clone(),
                    copies: sale.copies,
                    elapsed,
                    sold_out: sale.sold_out,
                }),
            }
        }
        Ok(learned)
    }
}

/// The day on which the books were in hand, if that was said.
pub(super) fn in_hand(told: &[Told]) -> Option<Date> {
    let last = told.iter().rev().find(|told| told.step == IN_HAND)?;
    match last.happened {
        Some(Happened::Done(day)) => Some(day),
        _ => None,
    }
}

fn view(row: SaleRow) -> Option<SaleView> {
    Some(SaleView {
        number: row.number,
        at: row.at,
        audience: row.audience,
        copies: row.copies,
        day: row.day.parse().ok()?,
        sold_out: row.sold_out,
        note: row.note,
        taken_back: row.taken_back,
    })
}
