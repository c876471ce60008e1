//! The block: leaves, their thickness and their weight.

use measure::Length;

use super::figure::{Amount, long};
use super::reckoning::Reckoning;
use super::typical;
use crate::model::{BindingKind, Book, Thickness};

/// The block, reckoned.
#[derive(Debug, Clone, Copy)]
pub(super) struct Block {
    pub(super) pages: u32,
    pub(super) leaves: u32,
    pub(super) caliper: Length,
    /// All leaves, pressed.
    pub(super) thickness: Length,
    /// What sewing adds at the back.
    pub(super) swell: Length,
}

impl Block {
    /// Leaves × caliper, where the caliper is stated or grammage × bulk (ISO 534); weight is area ×
    /// grammage.
    pub(super) fn reckon(book: &Book, pages: u32, reckoning: &mut Reckoning) -> Self {
        let leaves = pages / 2;
        reckoning.step_shown(
            "Leaves",
            format!("{pages} pages ÷ 2"),
            Amount::Count(leaves),
            format!("{leaves} leaves"),
        );
        reckoning.given("Page", book.format.trim, "format.trim");
        reckoning.given("Paper", book.text_stock.grammage, "stock.text.grammage");
        let key = match book.text_stock.thickness {
            Thickness::Caliper(_) => "stock.text.caliper",
            _ => "stock.text.bulk",
        };
        let caliper = reckoning.caliper("text", &book.text_stock, key);
        let thickness = caliper * i64::from(leaves);
        reckoning.step(
            "Block",
            format!("{leaves} leaves × {caliper}"),
            thickness.into(),
        );
        let sewn = matches!(
            book.binding.kind,
            BindingKind::SewnCase | BindingKind::SewnSoft
        );
        let swell = if sewn {
            reckoning.said(book.object.swell, &typical::SWELL, Length::ZERO)
        } else {
            Length::ZERO
        };
        let mass = reckoning.sheets(
            "Text",
            i64::from(leaves),
            "leaf",
            book.format.trim,
            book.text_stock.grammage,
        );
        reckoning.part("text", mass);
        Self {
            pages,
            leaves,
            caliper,
            thickness,
            swell,
        }
    }

    /// Thickness at the back, in words and as a length.
    pub(super) fn at_the_back(&self) -> (String, Length) {
        if self.swell == Length::ZERO {
            (long(self.thickness), self.thickness)
        } else {
            (
                format!("{} + {} swell", long(self.thickness), long(self.swell)),
                self.thickness + self.swell,
            )
        }
    }
}
