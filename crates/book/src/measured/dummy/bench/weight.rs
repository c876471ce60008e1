//! What the mass of a dummy teaches: the weight of the text paper.

use finding::{Finding, Place, Severity};
use measure::Grammage;

use super::{BOARD_SPREAD, Bench, MILL, OTHER_PAPER};
use crate::measured::MeasuredError;
use crate::measured::dummy::{DummyMeasured, Lesson, Unit};
use crate::measured::shelf::{spread, trimmed};
use crate::measured::unsure::{Input, carried};
use crate::model::Thickness;
use crate::object::{Basis, Object, Part};

/// The parts that lie on the scale with a dummy.
fn measured_parts(object: &Object) -> impl Iterator<Item = &Part> {
    let beside = |name: &str| matches!(name, "jacket" | "belly band" | "slipcase");
    object.parts.iter().filter(move |part| !beside(&part.name))
}

/// What a copy weighs in grams, without jacket, band and slipcase.
pub(super) fn of_copy(object: &Object) -> f64 {
    measured_parts(object).map(|part| part.mass.grams()).sum()
}

impl Bench {
    /// The weight of the text paper, from the mass.
    pub(super) fn weight(
        &mut self,
        measured: &DummyMeasured,
        predicted: &Object,
    ) -> Result<(), MeasuredError> {
        let Some(mass) = measured.mass else {
            return Ok(());
        };
        let scale = self.tools.scale.grams();
        let foretold = of_copy(predicted);
        let (whole, _) = carried([Input::new(mass.grams(), scale)], |[mass]| mass);
        self.compare("Copy", Unit::Gram, foretold, whole);
        let now = self.object();
        let (mut rest, mut squares) = (0.0, 0.0_f64);
        for part in measured_parts(&now) {
            if part.name == "text" {
                continue;
            }
            let typical = part
                .dimensions
                .iter()
                .any(|one| one.basis == Basis::Typical);
            let factor = if typical {
                spread(&part.name).0
            } else {
                BOARD_SPREAD
            };
            rest += part.mass.grams();
            squares += (part.mass.grams() * factor).powi(2);
        }
        let area = self.leaves * self.book.format.trim.square_metres();
        let inputs = [
            Input::new(mass.grams(), scale),
            Input::new(rest, squares.sqrt()),
        ];
        let (found, _) = carried(inputs, |[mass, rest]| (mass - rest) / area);
        let stands = self.book.text_stock.grammage.gsm();
        if !(10.0..=1000.0).contains(&found.value) {
            return Err(MeasuredError::Contradiction {
                why: format!(
                    "{mass} less {rest:.0} g that are not text make a paper of {:.0} g/m²",
                    found.value
                ),
            });
        }
        self.compare("Text paper", Unit::GramPerSquareMetre, stands, found);
        let off = (found.value - stands).abs();
        if off <= found.likely.max(stands * MILL) {
            let mut kept = format!(
                "The weight of the text paper stays at {stands:.0} g/m²: {:.1} ± {:.1} was found.",
                found.value, found.likely
            );
            let more = mass.grams() - foretold;
            if more.abs() > whole.likely {
                kept.push_str(&format!(
                    " That the copy is {:.1} g {} than foretold may lie in any of its papers: mills \
                     keep to a stated weight within {:.0} %, and a cover is less sure still. Weigh the \
                     leaves without their cover to know.",
                    more.abs(),
                    if more > 0.0 { "heavier" } else { "lighter" },
                    MILL * 100.0
                ));
            }
            self.kept.push(kept);
            return Ok(());
        }
        if off > stands * OTHER_PAPER {
            self.findings.push(
                Finding::new(
                    "book-dummy-other-paper",
                    Severity::Warn,
                    Place::Whole,
                    format!(
                        "By its mass the dummy is made of a paper of {:.0} ± {:.0} g/m², and the \
                         book names {stands:.0}.",
                        found.value, found.likely
                    ),
                )
                .hint("Ask the bindery which paper it is before you accept its figures.")
                .figures(
                    format!("{:.0} g/m²", found.value),
                    format!("{stands:.0} g/m² named"),
                ),
            );
        }
        let Some(grammage) = Grammage::from_gsm((found.value * 10.0).round() / 10.0) else {
            return Ok(());
        };
        // Without a thickness of its own the paper would grow thicker with its weight.
        let caliper = self.book.text_stock.caliper();
        self.lessons.push(Lesson {
            key: "stock.text.grammage",
            what: "the weight of the text paper",
            before: format!("{stands:.1} g/m², given"),
            value: format!("{} g/m2", trimmed(grammage.gsm(), 1)),
            how: format!(
                "({} g − {rest:.1} g that are not text) ÷ {area:.3} m² = {:.1} ± {:.1} g/m².",
                trimmed(mass.grams(), 1),
                found.value,
                found.likely
            ),
        });
        self.book.text_stock.grammage = grammage;
        if measured.block.is_some() || measured.spine.is_some() {
            self.book.text_stock.thickness = Thickness::Caliper(caliper);
        }
        Ok(())
    }
}
