//! Reckoning step by step: every figure goes through here, so that none is without its origin.

use measure::{Bulk, Grammage, Length, Mass, Size};

use super::figure::{Amount, Basis, Dimension, Part, Step, grams, grams_of_one, long, sheet_size};
use super::typical::Typical;
use crate::model::{Finish, Stock, Thickness};

/// Figures, steps, parts and assumptions, as they come.
#[derive(Default)]
pub(super) struct Reckoning {
    pub(super) steps: Vec<Step>,
    pub(super) assumed: Vec<String>,
    /// Those of them about papers.
    pub(super) papers: Vec<String>,
    pub(super) parts: Vec<Part>,
    /// The spine as it is reckoned, whatever is given for it.
    pub(super) spine: Option<Length>,
    /// Figures of the part that is being reckoned.
    open: Vec<Dimension>,
    /// Typical figures that matter, in words.
    typical: Vec<String>,
}

impl Reckoning {
    /// A figure that the book file gives, or the typical one that stands in for it.
    pub(super) fn said<T: Into<Amount> + Copy>(
        &mut self,
        said: Option<T>,
        typical: &Typical,
        usual: T,
    ) -> T {
        let value = said.unwrap_or(usual);
        let amount = value.into();
        let given = said.is_some();
        // What is not there, or is no more than a choice, is not worth a sentence.
        let nothing = matches!(
            amount,
            Amount::Count(0) | Amount::Length(Length::ZERO) | Amount::Switch(_) | Amount::Back(_)
        );
        if !given && !nothing {
            let name = typical.name.to_lowercase();
            self.typical.push(format!("{name} {amount}"));
        }
        self.open.push(Dimension {
            name: typical.name.to_owned(),
            amount,
            shown: amount.to_string(),
            basis: if given { Basis::Given } else { Basis::Typical },
            how: if given {
                String::new()
            } else {
                typical.source.to_owned()
            },
            key: Some(typical.key),
        });
        value
    }

    /// A figure that the book file always gives.
    pub(super) fn given(&mut self, name: &str, amount: impl Into<Amount>, key: &'static str) {
        let amount = amount.into();
        self.open.push(Dimension {
            name: name.to_owned(),
            amount,
            shown: amount.to_string(),
            basis: Basis::Given,
            how: String::new(),
            key: Some(key),
        });
    }

    /// A figure that follows from others.
    pub(super) fn step(&mut self, name: &str, formula: impl Into<String>, amount: Amount) {
        self.step_shown(name, formula, amount, amount.to_string());
    }

    /// The same, shown in its own way.
    pub(super) fn step_shown(
        &mut self,
        name: &str,
        formula: impl Into<String>,
        amount: Amount,
        shown: String,
    ) {
        let formula = formula.into();
        self.steps.push(Step {
            what: name.to_owned(),
            formula: formula.clone(),
            result: shown.clone(),
        });
        self.open.push(Dimension {
            name: name.to_owned(),
            amount,
            shown,
            basis: Basis::Reckoned,
            how: formula,
            key: None,
        });
    }

    /// The spine, which follows from other figures unless the book file gives it. Gives the one
    /// that holds.
    pub(super) fn spine(
        &mut self,
        said: Option<Length>,
        formula: String,
        reckoned: Length,
    ) -> Length {
        self.spine = Some(reckoned);
        let (value, how) = match said {
            Some(value) => (
                value,
                format!("as given; reckoned {formula} = {}", long(reckoned)),
            ),
            None => (reckoned, formula),
        };
        self.step("Spine", how, value.into());
        if let Some(last) = self.open.last_mut() {
            last.key = Some("binding.spine");
            if said.is_some() {
                last.basis = Basis::Given;
            }
        }
        value
    }

    /// Thickness of one sheet of a stock, with how it comes about.
    pub(super) fn caliper(&mut self, part: &str, stock: &Stock, key: &'static str) -> Length {
        let caliper = stock.caliper();
        let what = format!("Thickness of one {part} sheet");
        let from_bulk = |bulk: Bulk| format!("{} × {bulk} ÷ 1000", stock.grammage);
        let basis = match stock.thickness {
            Thickness::Caliper(_) => {
                self.step_shown(&what, "as stated", caliper.into(), caliper.to_string());
                Basis::Given
            }
            Thickness::Bulk(bulk) => {
                self.step_shown(&what, from_bulk(bulk), caliper.into(), caliper.to_string());
                Basis::Reckoned
            }
            Thickness::Assumed(bulk) => {
                self.step_shown(&what, from_bulk(bulk), caliper.into(), caliper.to_string());
                self.papers.push(format!(
                    "A bulk of {bulk} is assumed for the {part} stock ({} paper runs {}): ask the \
                     printer for the bulk or the thickness of one sheet.",
                    stock.finish.word(),
                    match stock.finish {
                        Finish::Uncoated => "from 1.2 to 1.6",
                        Finish::Gloss | Finish::Silk | Finish::Matt => "from 0.8 to 1.0",
                    }
                ));
                Basis::Typical
            }
        };
        if let Some(last) = self.open.last_mut() {
            last.basis = basis;
            last.key = Some(key);
        }
        caliper
    }

    /// The weight of some equal sheets, with how it comes about.
    pub(super) fn sheets(
        &mut self,
        what: &str,
        count: i64,
        unit: &str,
        size: Size,
        grammage: Grammage,
    ) -> Mass {
        let one = grammage.mass_of(size);
        let mass = Mass::from_grams(grammage.gsm() * size.square_metres() * count as f64);
        self.weighed(
            what,
            count,
            unit,
            format!("{} × {grammage}", sheet_size(size)),
            (one, mass),
        )
    }

    /// The weight of some equal pieces of board.
    pub(super) fn boards(
        &mut self,
        what: &str,
        count: i64,
        size: Size,
        thickness: Length,
        density: f64,
    ) -> Mass {
        // mm² × mm × g/cm³, where a cubic centimetre has a thousand cubic millimetres.
        let grams = size.square_metres() * 1e6 * thickness.mm() * density / 1000.0;
        let one = Mass::from_grams(grams);
        let mass = Mass::from_grams(grams * count as f64);
        let formula = format!(
            "{} × {} × {density} g/cm³",
            sheet_size(size),
            long(thickness)
        );
        self.weighed(what, count, "piece", formula, (one, mass))
    }

    fn weighed(
        &mut self,
        what: &str,
        count: i64,
        unit: &str,
        one_formula: String,
        (one, mass): (Mass, Mass),
    ) -> Mass {
        if count == 1 {
            self.step(what, one_formula, mass.into());
        } else {
            self.step_shown(
                &format!("One {unit} of the {}", what.to_lowercase()),
                one_formula,
                one.into(),
                grams_of_one(one),
            );
            self.step(
                what,
                format!("{count} × {}", grams_of_one(one)),
                mass.into(),
            );
        }
        mass
    }

    /// Closes a part: all figures since the last one are its own.
    pub(super) fn part(&mut self, name: &str, mass: Mass) {
        self.parts.push(Part {
            name: name.to_owned(),
            mass,
            dimensions: std::mem::take(&mut self.open),
        });
    }

    /// The weight of all parts, as the last step.
    pub(super) fn sum(&mut self) -> Mass {
        let copy = self.parts.iter().map(|part| part.mass).sum();
        self.assumed.extend(self.papers.iter().cloned());
        let masses: Vec<String> = self.parts.iter().map(|part| grams(part.mass)).collect();
        self.steps.push(Step {
            what: "One copy".to_owned(),
            formula: masses.join(" + "),
            result: grams(copy),
        });
        if !self.typical.is_empty() {
            self.assumed.push(format!(
                "Typical figures stand in for what printer and bindery have not given yet: {}. Ask \
                 them, and set what they say.",
                self.typical.join(", ")
            ));
        }
        copy
    }
}
