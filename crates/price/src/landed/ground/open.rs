//! What an answer leaves open on its footing: what is missing in every figure, and what is to be checked
//! before one orders by it.

use book::{DutyOn, Term};
use measure::Decimal;

use super::{Freight, Ground, in_the_price};
use crate::incoterms::{Payer, Step};
use crate::specification::percent;

impl Ground<'_> {
    /// What nobody has said, so that every figure is too low by it.
    pub(crate) fn missing(&self) -> Vec<String> {
        let mut missing = Vec::new();
        if matches!(self.freight, Freight::Missing) {
            let from = self.answer.term.map_or_else(
                || "the printer".to_owned(),
                |term| format!("{} {}", term.code(), self.answer.term_place),
            );
            missing.push(format!("freight from {} to you", from.trim()));
        }
        let own = matches!(self.freight, Freight::Own { .. });
        let export = self
            .division()
            .is_some_and(|division| division.payer(Step::Export) == Payer::Artist);
        if export && !self.home && !own {
            let term = self.answer.term.map_or("", Term::code);
            missing.push(format!("clearance for export, which {term} leaves to you"));
        }
        if !self.home && !in_the_price(self.answer, self.landing, Step::Import) {
            match self.import {
                None => {
                    missing.push("duty, tax and the customs broker: ask a broker".to_owned());
                }
                Some(import) => {
                    if import.duty.is_none() {
                        missing.push("duty: ask a customs broker".to_owned());
                    }
                    if import.tax.is_none() {
                        missing.push("tax on import: ask a customs broker".to_owned());
                    }
                    if import.broker.is_none() {
                        missing.push("what the customs broker takes".to_owned());
                    }
                }
            }
        }
        if self.bank.is_none() && (!self.home || self.factor.is_some()) {
            missing.push("what the bank takes for a payment abroad".to_owned());
        }
        missing.extend(self.second_country());
        if self.answer.term.is_none() {
            missing.push(
                "the delivery term: who pays and who bears the risk on the way is not said"
                    .to_owned(),
            );
        }
        missing
    }

    /// What every figure rests on that the printer has not said, so that it may turn out dearer.
    pub(crate) fn unsaid(&self) -> Vec<String> {
        let freight = match &self.freight {
            Freight::Own { on, .. } => Some(format!("your own estimate of the freight, of {on}")),
            Freight::ByTerm(term) => Some(format!(
                "the freight being in the price by {}, of which it says nothing",
                term.code()
            )),
            _ => None,
        };
        let charges = self.charges_unsaid();
        let charges = (!charges.is_empty()).then(|| {
            format!(
                "the price holding what it says nothing of: {}",
                charges.join(", ")
            )
        });
        let slip = self.answer.is_upside_down().then(|| {
            "prices that fall while copies rise, or the other way round: a slip, it seems"
                .to_owned()
        });
        freight.into_iter().chain(charges).chain(slip).collect()
    }

    /// Charges that were asked for and of which the answer says nothing, not even 0.
    fn charges_unsaid(&self) -> Vec<&'static str> {
        let said = |charge: &&'static str| {
            let of_it = |what: &str| what.trim().eq_ignore_ascii_case(charge);
            !self.answer.one_offs.iter().any(|one| of_it(&one.what))
        };
        self.charges.iter().copied().filter(said).collect()
    }

    /// Copies that cross one more border, whose customs nobody has named.
    fn second_country(&self) -> Option<String> {
        let home = &self.deliveries.first()?.country;
        let mut countries: Vec<&str> = Vec::new();
        let mut share = Decimal::ZERO;
        for place in self.deliveries {
            if place.country.is_empty() || home.is_empty() || place.country == *home {
                continue;
            }
            if !countries.contains(&place.country.as_str()) {
                countries.push(&place.country);
            }
            share = share.plus(place.share)?;
        }
        (!countries.is_empty()).then(|| {
            let reckoned = if self.import.is_some() {
                format!(", beside what is reckoned as if all came to {home}")
            } else {
                String::new()
            };
            format!(
                "the customs of {} for {} of the copies{reckoned}: ask a broker there",
                countries.join(" and "),
                percent(share)
            )
        })
    }

    /// What is to be checked before one orders by it, each in a sentence.
    pub(crate) fn to_check(&self) -> Vec<String> {
        let mut sentences = Vec::new();
        if let Some(rate) =
            crate::landed::rate_in_words(self.answer.currency, self.to, self.landing)
        {
            sentences.push(format!(
                "Its sums are in {} and taken {rate}; the rate on the day of payment counts.",
                self.answer.currency
            ));
        }
        if let Some(division) = self.division() {
            sentences.push(division.left_to_artist(self.home));
            if division.payer(Step::Export) == Payer::Artist
                && !self.home
                && matches!(self.freight, Freight::Own { .. })
            {
                let term = self.answer.term.map_or("", Term::code);
                sentences.push(format!(
                    "Ask the forwarder whether your estimate of the freight holds the clearance for \
                     export, which {term} leaves to you."
                ));
            }
        }
        let charges = self.charges_unsaid();
        if !charges.is_empty() {
            sentences.push(format!(
                "It says nothing of {}: ask whether the prices hold them.",
                charges.join(", ")
            ));
        }
        match &self.freight {
            Freight::ByTerm(term) => sentences.push(format!(
                "It says nothing of the freight, which by {} is in the price: have that confirmed.",
                term.code()
            )),
            Freight::Own { on, .. } => sentences.push(format!(
                "The freight is your own estimate of {on}: have a firm price before you order."
            )),
            _ => {}
        }
        let said = matches!(
            self.freight,
            Freight::Said(_) | Freight::Flat(_) | Freight::Included | Freight::ByTerm(_)
        );
        if said && self.deliveries.len() > 1 {
            let places: Vec<String> = self
                .deliveries
                .iter()
                .map(|delivery| format!("{} ({})", delivery.place, percent(delivery.share)))
                .collect();
            sentences.push(format!(
                "The copies go to {} places: {}. Ask whether the freight is to all of them.",
                places.len(),
                places.join(", ")
            ));
        }
        if let Some(import) = self.import
            && import.duty.is_some_and(Decimal::is_positive)
        {
            let on = match import.duty_on {
                DutyOn::GoodsAndWay => "goods with freight and insurance",
                DutyOn::Goods if matches!(self.freight, Freight::Included | Freight::ByTerm(_)) => {
                    "the whole price, in which the freight is"
                }
                DutyOn::Goods => "goods alone",
            };
            sentences.push(format!(
                "Duty is reckoned on {on}; countries differ: ask a customs broker."
            ));
        }
        sentences
    }
}
