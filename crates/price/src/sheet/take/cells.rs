//! A cell while it is read, and what is doubtful of it.

use super::super::SheetDoubt;
use super::super::form::Row;
use super::super::grid::{Cell, Place, Value};
use super::super::locate::Found;
use super::{Asked, Taker};
use crate::answer::Doubt;
use crate::request::one_line;

impl<'g> Taker<'g> {
    /// What is asked once, if it is filled in.
    pub(super) fn asked(&mut self, row: Row, field: &str) -> Option<(Asked, Cell)> {
        let found = self.finder.single(row)?;
        let cell = self.finder.page.cell(found.place)?.clone();
        let mut asked = self.begin(field, &found);
        self.look(&mut asked, &cell);
        Some((asked, cell))
    }

    pub(super) fn begin(&mut self, field: &str, found: &Found) -> Asked {
        Asked {
            field: field.to_owned(),
            place: found.place,
            whys: found.moved.clone().into_iter().collect(),
        }
    }

    /// What is doubtful of any cell.
    pub(super) fn look(&mut self, asked: &mut Asked, cell: &Cell) {
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

    pub(super) fn done(&mut self, asked: Asked, cell: &Cell, taken: Option<String>) {
        if asked.whys.is_empty() {
            return;
        }
        let shown = cell.shown();
        let why = asked.whys.join("; ");
        self.doubt(&asked.field, asked.place, &shown, why, taken);
    }

    pub(super) fn left_out(&mut self, mut asked: Asked, cell: &Cell, why: &str) {
        if !why.is_empty() {
            asked.whys.push(why.to_owned());
        }
        self.done(asked, cell, None);
    }

    pub(super) fn doubt(
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

/// A cell by its name, as it is told.
pub(super) fn named(place: Place) -> String {
    format!("cell {place}")
}
