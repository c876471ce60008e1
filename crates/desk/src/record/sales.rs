//! What the record knows of copies that were sold. Rows are only added; what is taken back is named by a
//! row of its own.

use rusqlite::params;

use super::Record;
use crate::DeskError;
use crate::moment;

/// Copies that were sold to an audience.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct SaleRow {
    pub number: u32,
    pub at: String,
    pub audience: String,
    pub copies: u64,
    /// By which day they were sold, as `2026-11-25`.
    pub day: String,
    /// Whether no copy was left by then.
    pub sold_out: bool,
    pub note: String,
    /// Whether a later row takes it back.
    pub taken_back: bool,
}

/// Copies that were sold, before they have a number.
#[derive(Debug, Clone, Copy)]
pub(crate) struct NewSale<'s> {
    pub audience: &'s str,
    pub copies: u64,
    pub day: &'s str,
    pub sold_out: bool,
    pub note: &'s str,
}

impl Record {
    /// Keeps a sale.
    pub(crate) fn add_sale(&mut self, sale: NewSale<'_>) -> Result<u32, DeskError> {
        let copies = i64::try_from(sale.copies).unwrap_or(i64::MAX);
        self.database
            .execute(
                "INSERT INTO sale (at, audience, copies, day, sold_out, note)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
                params![
                    moment::now(),
                    sale.audience,
                    copies,
                    sale.day,
                    sale.sold_out,
                    sale.note
                ],
            )
            .map_err(self.wrong())?;
        Ok(u32::try_from(self.database.last_insert_rowid()).unwrap_or(u32::MAX))
    }

    /// Takes a sale back; taking it back twice is no more than once.
    pub(crate) fn take_sale_back(&mut self, number: u32) -> Result<(), DeskError> {
        self.database
            .execute(
                "INSERT INTO sale_back (at, sale) VALUES (?1, ?2)",
                params![moment::now(), number],
            )
            .map(|_| ())
            .map_err(self.wrong())
    }

    /// All sales, oldest first.
    pub(crate) fn sales(&self) -> Result<Vec<SaleRow>, DeskError> {
        let read = |row: &rusqlite::Row<'_>| {
            let copies: i64 = row.get(3)?;
            Ok(SaleRow {
                number: row.get(0)?,
                at: row.get(1)?,
                audience: row.get(2)?,
                copies: u64::try_from(copies).unwrap_or(0),
                day: row.get(4)?,
                sold_out: row.get(5)?,
                note: row.get(6)?,
                taken_back: row.get(7)?,
            })
        };
        let mut query = self
            .database
            .prepare_cached(
                "SELECT id, at, audience, copies, day, sold_out, note,
                        EXISTS (SELECT 1 FROM sale_back WHERE sale_back.sale = sale.id)
                 FROM sale ORDER BY id",
            )
            .map_err(self.wrong())?;
        let rows = query.query_map([], read).map_err(self.wrong())?;
        rows.collect::<Result<Vec<_>, _>>().map_err(self.wrong())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sale_stays_when_it_is_taken_back() {
        let folder = tempfile::tempdir().unwrap();
        let mut record = Record::open(&folder.path().join("record.sqlite")).unwrap();
        let sale = NewSale {
            audience: "fair",
            copies: 40,
            day: "2027-05-02",
            sold_out: false,
            note: "",
        };
        let number = record.add_sale(sale).unwrap();
        record.take_sale_back(number).unwrap();
        let sales = record.sales().unwrap();
        assert_eq!(sales.len(), 1);
        assert!(sales[0].taken_back && sales[0].copies == 40);
        assert!(record.take_sale_back(99).is_err(), "there is no such sale");
    }
}
