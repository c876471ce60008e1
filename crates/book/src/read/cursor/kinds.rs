//! Taking values of kinds of their own: lists, days, shares, currencies, countries.

use jiff::civil::Date;
use measure::{Currency, Decimal};
use toml_edit::{Item, Value};

use super::{Cursor, Lined, Place};
use crate::range::{self, Percentage, Range};
use crate::read::value;

impl Cursor<'_> {
    /// A list of texts; `None` if it is not there or wrong.
    pub(in crate::read) fn texts<'t>(
        &mut self,
        place: Place<'t>,
        key: &str,
        most: Range,
    ) -> Option<Vec<Lined<&'t str>>> {
        self.list(place, key, most, Item::as_str, Value::as_str)
    }

    /// A list of whole numbers; `None` if it is not there or wrong.
    pub(in crate::read) fn wholes(
        &mut self,
        place: Place<'_>,
        key: &str,
        most: Range,
    ) -> Option<Vec<Lined<i64>>> {
        self.list(place, key, most, Item::as_integer, Value::as_integer)
    }

    /// A list, or one value that stands for a list of one.
    fn list<'t, T>(
        &mut self,
        place: Place<'t>,
        key: &str,
        most: Range,
        single: impl Fn(&'t Item) -> Option<T>,
        of: impl Fn(&'t Value) -> Option<T>,
    ) -> Option<Vec<Lined<T>>> {
        let item = place.table?.get(key)?;
        let line = self.line(item.span());
        if let Some(value) = single(item) {
            return Some(vec![Lined { value, line }]);
        }
        let Some(array) = item.as_array() else {
            return self.wrong_kind(place, key, item);
        };
        if !most.holds(&array.len()) {
            self.out_of_range(line, most, &array.len().to_string());
            return None;
        }
        let mut values = Vec::with_capacity(array.len());
        for found in array {
            let Some(value) = of(found) else {
                return self.wrong_kind(place, key, item);
            };
            let line = self.line(found.span());
            values.push(Lined { value, line });
        }
        Some(values)
    }

    /// A day, in quotes or without.
    pub(in crate::read) fn day(&mut self, place: Place<'_>, key: &str) -> Option<Lined<Date>> {
        let item = place.table?.get(key)?;
        let line = self.line(item.span());
        let (found, written) = if let Some(written) = item.as_datetime() {
            let plain = written.time.is_none() && written.offset.is_none();
            let day = written.date.filter(|_| plain).and_then(|date| {
                let month = i8::try_from(date.month).ok()?;
                Date::new(
                    i16::try_from(date.year).ok()?,
                    month,
                    i8::try_from(date.day).ok()?,
                )
                .ok()
            });
            (day, written.to_string())
        } else {
            let written = self.text(place, key)?.value;
            (value::day(written), written.to_owned())
        };
        match found {
            Some(value) if range::YEAR.holds(&value) => Some(Lined { value, line }),
            Some(_) => {
                self.out_of_range(line, range::YEAR, &written);
                None
            }
            None => {
                let expected = "a day of the calendar such as `2026-11-20`";
                self.unreadable(place, key, line, expected, &written);
                None
            }
        }
    }

    /// A share of a whole in percent, as a part of one; `None` if it is not there or wrong.
    pub(in crate::read) fn share(
        &mut self,
        place: Place<'_>,
        key: &str,
        range: Range,
    ) -> Option<Decimal> {
        let Lined { value, line } = self.text(place, key)?;
        let Some(share) = value::share(value) else {
            self.unreadable(place, key, line, "a share in percent such as `5%`", value);
            return None;
        };
        if !range.holds(&Percentage(share)) {
            self.out_of_range(line, range, value);
            return None;
        }
        Some(share)
    }

    /// A currency by its code.
    pub(in crate::read) fn currency(&mut self, place: Place<'_>, key: &str) -> Option<Currency> {
        let Lined { value, line } = self.text(place, key)?;
        let currency = Currency::from_code(value);
        if currency.is_none() {
            let expected = "the code of a currency in use such as `EUR`, `USD` or `JPY`";
            self.unreadable(place, key, line, expected, value);
        }
        currency
    }

    /// A country by two letters, in capitals; empty if none is said.
    pub(in crate::read) fn country(&mut self, place: Place<'_>, key: &str) -> String {
        let Some(Lined { value, line }) = self.text(place, key) else {
            return String::new();
        };
        let code = value.trim().to_ascii_uppercase();
        let two = code.len() == 2 && code.bytes().all(|byte| byte.is_ascii_uppercase());
        if two || code.is_empty() {
            return code;
        }
        let expected = "the two letters of a country such as `PT`";
        self.unreadable(place, key, line, expected, value);
        String::new()
    }
}
