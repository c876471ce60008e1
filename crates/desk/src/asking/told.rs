//! What a comparison says in sentences, by answer and by range: both faces show these.

use measure::Decimal;
use price::compare::{Cheapest, Dearer};

use super::compared::ComparisonView;

/// What an estimate does not tell; stands below every cost in hand.
pub const PRICES_CAUTION: &str = "Estimates for a decision; no tax, customs or legal advice. Books \
                                  are taxed differently by country: ask the customs broker and follow \
                                  local rules. Check what a delivery term means in the contract. Every \
                                  sum is rounded half away from zero to the smallest unit of its \
                                  currency.";

impl ComparisonView {
    /// How sure it is that an answer is the cheapest in its range; completes “A is the cheapest, …”.
    pub fn how_sure(range: &Cheapest) -> &'static str {
        let alone = range.leads.iter().all(|lead| lead.over.is_none());
        if alone && !range.leads.is_empty() {
            "the only figure there is"
        } else if !range.missing.is_empty() {
            "only while what its figure lacks stays cheap"
        } else if !range.unsaid.is_empty() {
            "as long as what its figure rests on holds"
        } else if range.is_sure() {
            "surely at the quantities below"
        } else if range.leads.is_empty() {
            "by our best guess between quoted quantities"
        } else {
            "by our best guess"
        }
    }

    /// By how much the cheapest leads, at each quantity of its range that was asked for; last what is
    /// missing in its figure, if anything is. Empty where there is no other figure.
    pub fn leads(&self, range: &Cheapest) -> Vec<String> {
        let mut lines: Vec<String> = range
            .leads
            .iter()
            .filter_map(|lead| {
                let (over, by) = (lead.over?, lead.by?);
                let next = &self.answers[over].name;
                let copies = lead.copies;
                Some(if !range.missing.is_empty() {
                    format!(
                        "{copies} copies: cheapest if what is missing costs less than {by} (next: \
                         {next})"
                    )
                } else if lead.apart {
                    format!("{copies} copies: {by} less than {next}")
                } else {
                    format!(
                        "{copies} copies: {by} less than {next} by our best guess; what was not \
                         quoted may turn that round"
                    )
                })
            })
            .collect();
        if !range.missing.is_empty() && !lines.is_empty() {
            lines.push(format!("Missing: {}.", range.missing.join("; ")));
        }
        if !range.unsaid.is_empty() && !lines.is_empty() {
            lines.push(format!("It rests on {}.", range.unsaid.join("; and on ")));
        }
        lines
    }

    /// How much dearer an answer is than the cheapest, as the head of what speaks for it all the same.
    pub fn how_much_dearer(&self, dearer: &Dearer) -> String {
        format!(
            "{} costs {} more than {} for {} copies.",
            self.answers[dearer.answer].name,
            dearer.by,
            self.answers[dearer.than].name,
            dearer.copies
        )
    }

    /// What speaks against the figure of an answer: for which book it is, when it came and how long it
    /// holds, and what is missing in it. `place` is the answer's place in [`Self::answers`].
    pub fn against(&self, place: usize) -> Vec<String> {
        let middle = self.comparison.copies.len() / 2;
        let landed = self.comparison.columns[place].landed.get(middle);
        let missing = landed
            .and_then(|landed| landed.as_ref().ok())
            .into_iter()
            .flat_map(|landed| &landed.missing)
            .map(|missing| format!("Missing in its figure: {missing}."));
        self.answers[place]
            .remarks()
            .into_iter()
            .chain(missing)
            .collect()
    }

    /// What is to be checked with a printer before one orders by an answer.
    pub fn to_check(&self, place: usize) -> &[String] {
        &self.comparison.columns[place].to_check
    }

    /// What in the price of an answer is fixed and what runs, with how far that may be off, and the
    /// cash that it ties up; what cannot be told is left out.
    pub fn made_of(&self, place: usize) -> Vec<String> {
        let column = &self.comparison.columns[place];
        let tied = column
            .tied
            .map(|tied| format!("Cash: about {}.", tied.in_words()));
        self.fixed_and_running(place)
            .into_iter()
            .chain(tied)
            .collect()
    }

    fn fixed_and_running(&self, place: usize) -> Option<String> {
        let parts = self.comparison.columns[place].parts.as_ref()?;
        if parts.fixed.minor() < 0 || parts.running.amount() < Decimal::ZERO {
            return Some(
                "Its prices cannot be parted in something fixed and a price a copy: look for a slip \
                 in them."
                    .to_owned(),
            );
        }
        let line = format!(
            "about {} whatever the quantity and {} a copy",
            parts.fixed, parts.running
        );
        Some(match parts.within {
            None => format!(
                "Print by its two prices: {line}; two prices cannot tell how far that is off."
            ),
            Some((fixed, _)) if fixed.minor() == 0 => format!(
                "Print by its {} prices: {line}. They lie on one straight line; beyond them nobody \
                 knows.",
                self.answers[place].answer.prices.len()
            ),
            Some((fixed, running)) => format!(
                "Print by its {} prices: {line}; that may be {fixed} and {running} off, up or down \
                 (95 % interval of a straight line).",
                self.answers[place].answer.prices.len()
            ),
        })
    }
}
