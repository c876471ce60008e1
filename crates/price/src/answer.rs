//! What a printer answered: prices by quantity, charges that arise once, freight and terms.
//!
//! A [`Draft`] is what was found in a sheet or typed into a form, complete or not; with a currency, a
//! price and a printer it becomes an [`Answer`]. What could not be read for certain is a [`Doubt`]:
//! nothing doubtful enters an answer unless a person has agreed to it.

mod fields;

use book::Term;
use jiff::civil::Date;
use measure::{Currency, Decimal, Money, UnitPrice};

use crate::PriceError;

/// The largest quantity that a price is read for; our assumption.
pub const MOST_COPIES: u64 = 10_000_000;

/// A printer's answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answer {
    /// Key of the printer.
    pub printer: String,
    /// Number of the request that it answers, if it says so.
    pub request: Option<u32>,
    /// Digest of the specification that it is for, if it says so.
    pub digest: Option<String>,
    /// Its day.
    pub dated: Option<Date>,
    /// The last day on which its prices hold.
    pub valid_until: Option<Date>,
    /// The currency of all its sums.
    pub currency: Currency,
    /// Prices by quantity, rising, each quantity once; at least one.
    pub prices: Vec<Quoted>,
    /// Charges that arise once.
    pub one_offs: Vec<OneOff>,
    /// Delivery term.
    pub term: Option<Term>,
    /// The named place of the term; may be empty.
    pub term_place: String,
    /// Freight to the delivery places.
    pub freight: FreightSaid,
    /// How long it takes.
    pub lead: Option<LeadTime>,
    /// Copies over the order that are billed, as a share of it.
    pub overs: Option<Decimal>,
    /// Copies under the order that must be put up with, as a share of it.
    pub unders: Option<Decimal>,
    /// When what is paid; may be empty.
    pub payment: String,
    /// What else was said; may be empty.
    pub notes: String,
}

/// The price of a quantity.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Quoted {
    /// How many copies; above zero.
    pub copies: u64,
    /// As it was said.
    pub price: Said,
}

impl Answer {
    /// Whether more copies cost less in all, or each of more copies costs more: as a rule a slip.
    pub fn is_upside_down(&self) -> bool {
        upside_down(&self.prices).is_some()
    }

    /// The fields that [`Draft::from_fields`] makes this answer of again: for a form to correct it in,
    /// and to keep it.
    pub fn fields(&self) -> Vec<(String, String)> {
        fields::of(self)
    }
}

/// Two neighbouring quantities, rising, of which more copies cost less in all or each of more copies
/// costs more.
pub fn upside_down(prices: &[Quoted]) -> Option<[Quoted; 2]> {
    prices.windows(2).find_map(|pair| {
        let [few, many] = [pair.first()?, pair.get(1)?];
        let (less, more) = (few.total().ok()?.minor(), many.total().ok()?.minor());
        // By cross-multiplication, so that nothing is rounded; a sum said to the cent may make each of
        // more copies dearer by less than one.
        let dearer = i128::from(more) * i128::from(few.copies)
            > (i128::from(less) + 1) * i128::from(many.copies);
        (more < less || dearer).then_some([*few, *many])
    })
}

impl Quoted {
    /// What all copies cost; a price of one is multiplied and rounded half away from zero to the
    /// smallest unit of its currency.
    ///
    /// # Errors
    /// Too large.
    pub fn total(&self) -> Result<Money, PriceError> {
        match self.price {
            Said::Each(each) => Ok(each.times(self.copies)?),
            Said::Total(total) => Ok(total),
        }
    }
}

/// How a price was said.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Said {
    /// For one copy.
    Each(UnitPrice),
    /// For all.
    Total(Money),
}

/// Freight, as far as it was said.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub enum FreightSaid {
    /// Nothing was said.
    #[default]
    NotSaid,
    /// It is in the prices.
    Included,
    /// By quantity, rising; zero copies stand for every quantity.
    Given(Vec<(u64, Money)>),
}

/// A charge that arises once.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OneOff {
    /// What for, such as `printing plates`.
    pub what: String,
    /// How much.
    pub cost: Money,
}

/// How long the printer takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct LeadTime {
    /// Working days from the approval of proofs to dispatch.
    pub working_days: u32,
}

/// An answer that may lack anything; its sums have no currency yet.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Draft {
    /// As [`Answer::printer`].
    pub printer: Option<String>,
    /// As [`Answer::request`].
    pub request: Option<u32>,
    /// As [`Answer::digest`].
    pub digest: Option<String>,
    /// As [`Answer::dated`].
    pub dated: Option<Date>,
    /// As [`Answer::valid_until`].
    pub valid_until: Option<Date>,
    /// As [`Answer::currency`].
    pub currency: Option<Currency>,
    /// Prices by quantity, in any order.
    pub prices: Vec<DraftPrice>,
    /// Charges that arise once.
    pub one_offs: Vec<(String, Decimal)>,
    /// As [`Answer::term`].
    pub term: Option<Term>,
    /// As [`Answer::term_place`].
    pub term_place: String,
    /// Freight.
    pub freight: DraftFreight,
    /// As [`Answer::lead`].
    pub lead: Option<LeadTime>,
    /// As [`Answer::overs`].
    pub overs: Option<Decimal>,
    /// As [`Answer::unders`].
    pub unders: Option<Decimal>,
    /// As [`Answer::payment`].
    pub payment: String,
    /// As [`Answer::notes`].
    pub notes: String,
}

/// A price without its currency.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DraftPrice {
    /// How many copies.
    pub copies: u64,
    /// How much, in main units.
    pub amount: Decimal,
    /// Whether one copy costs that, and not all.
    pub each: bool,
}

/// Freight without its currency.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub enum DraftFreight {
    /// Nothing was said.
    #[default]
    NotSaid,
    /// It is in the prices.
    Included,
    /// By quantity; zero copies stand for every quantity.
    Given(Vec<(u64, Decimal)>),
}

/// Something that could not be read for certain.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Doubt {
    /// Where: `Answer!C7`, or the name of a field.
    pub cell: String,
    /// What stands there.
    pub found: String,
    /// What is doubtful about it, in a sentence.
    pub why: String,
    /// How it is taken if a person agrees; it is left out, otherwise.
    pub taken: Option<String>,
}

/// What was read, with what is doubtful. The draft holds what is taken if a person agrees.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Reading {
    /// What was read.
    pub draft: Draft,
    /// What is doubtful.
    pub doubts: Vec<Doubt>,
}

impl Reading {
    /// The answer, with all doubts agreed to.
    ///
    /// # Errors
    /// As [`Draft::answer`].
    pub fn agreed(self) -> Result<Answer, PriceError> {
        self.draft.answer()
    }

    /// The answer, if nothing is doubtful.
    ///
    /// # Errors
    /// [`PriceError::Doubtful`] with the first doubt; as [`Draft::answer`].
    pub fn plain(self) -> Result<Answer, PriceError> {
        match self.doubts.into_iter().next() {
            Some(doubt) => Err(PriceError::Doubtful(Box::new(doubt))),
            None => self.draft.answer(),
        }
    }
}

impl Draft {
    /// From fields as a form or a command line hands them in; an empty value is not given. A name may
    /// be followed by a quantity or by what a charge is for:
    ///
    /// `printer`, `request`, `digest`, `dated`, `valid`, `currency`, `each 800`, `total 800`,
    /// `one-off printing plates`, `term`, `place`, `freight` (an amount, or `included`),
    /// `freight 800`, `lead` (working days), `overs`, `unders`, `payment`, `notes`.
    pub fn from_fields(fields: &[(&str, &str)]) -> Reading {
        fields::read(fields)
    }

    /// This draft with what a later one says in its place: of prices and freight by quantity, of
    /// charges by what they are for.
    #[must_use]
    pub fn with(mut self, later: Self) -> Self {
        self.printer = later.printer.or(self.printer);
        self.request = later.request.or(self.request);
        self.digest = later.digest.or(self.digest);
        self.dated = later.dated.or(self.dated);
        self.valid_until = later.valid_until.or(self.valid_until);
        self.currency = later.currency.or(self.currency);
        self.term = later.term.or(self.term);
        self.lead = later.lead.or(self.lead);
        self.overs = later.overs.or(self.overs);
        self.unders = later.unders.or(self.unders);
        for (text, later) in [
            (&mut self.term_place, later.term_place),
            (&mut self.payment, later.payment),
            (&mut self.notes, later.notes),
        ] {
            if !later.is_empty() {
                *text = later;
            }
        }
        let said = |copies: u64| later.prices.iter().any(|price| price.copies == copies);
        self.prices.retain(|price| !said(price.copies));
        self.prices.extend(later.prices);
        let said = |what: &str| later.one_offs.iter().any(|(later, _)| later == what);
        self.one_offs.retain(|(what, _)| !said(what));
        self.one_offs.extend(later.one_offs);
        if later.freight != DraftFreight::NotSaid {
            self.freight = later.freight;
        }
        self
    }

    /// This draft without one of its fields, by the names of [`Draft::from_fields`]; a quantity loses
    /// its price whether that was said for one copy or for all. As it is where it has no such field.
    #[must_use]
    pub fn without(self, field: &str) -> Self {
        fields::without(self, field)
    }

    /// The answer. Sums finer than the smallest unit of the currency are rounded half away from zero
    /// to it; prices of one copy stay as they are.
    ///
    /// # Errors
    /// [`PriceError::Lacking`] without a printer, a currency or a price; [`PriceError::Twice`] for
    /// two prices of one quantity; [`PriceError::NoAmount`] for a quantity or a price that none has.
    pub fn answer(self) -> Result<Answer, PriceError> {
        let printer = self
            .printer
            .filter(|key| !key.is_empty())
            .ok_or(PriceError::Lacking("the printer"))?;
        let currency = self.currency.ok_or(PriceError::Lacking("the currency"))?;
        let money = |amount: Decimal| -> Result<Money, PriceError> {
            if amount < Decimal::ZERO {
                return Err(PriceError::NoAmount(amount.to_string()));
            }
            Money::from_decimal(amount, currency)
                .ok_or_else(|| PriceError::NoAmount(amount.to_string()))
        };
        let mut prices = self
            .prices
            .iter()
            .map(|price| price.quoted(currency))
            .collect::<Result<Vec<_>, _>>()?;
        prices.sort_by_key(|quoted| quoted.copies);
        if prices.is_empty() {
            return Err(PriceError::Lacking("a price"));
        }
        if let Some(pair) = prices
            .windows(2)
            .find(|pair| pair[0].copies == pair[1].copies)
        {
            return Err(PriceError::Twice(pair[0].copies));
        }
        let freight = match self.freight {
            DraftFreight::NotSaid => FreightSaid::NotSaid,
            DraftFreight::Included => FreightSaid::Included,
            DraftFreight::Given(given) => {
                let mut given = given
                    .into_iter()
                    .map(|(copies, amount)| Ok((copies, money(amount)?)))
                    .collect::<Result<Vec<_>, PriceError>>()?;
                given.sort_by_key(|(copies, _)| *copies);
                if let Some(pair) = given.windows(2).find(|pair| pair[0].0 == pair[1].0) {
                    return Err(PriceError::Twice(pair[0].0));
                }
                FreightSaid::Given(given)
            }
        };
        let one_offs = self
            .one_offs
            .into_iter()
            .map(|(what, amount)| {
                let cost = money(amount)?;
                Ok(OneOff { what, cost })
            })
            .collect::<Result<Vec<_>, PriceError>>()?;
        Ok(Answer {
            printer,
            request: self.request,
            digest: self.digest,
            dated: self.dated,
            valid_until: self.valid_until,
            currency,
            prices,
            one_offs,
            term: self.term,
            term_place: self.term_place,
            freight,
            lead: self.lead,
            overs: self.overs,
            unders: self.unders,
            payment: self.payment,
            notes: self.notes,
        })
    }
}

impl DraftPrice {
    fn quoted(&self, currency: Currency) -> Result<Quoted, PriceError> {
        let no_amount = || PriceError::NoAmount(self.amount.to_string());
        if self.copies == 0 || self.copies > MOST_COPIES {
            return Err(PriceError::NoAmount(format!("{} copies", self.copies)));
        }
        if self.amount <= Decimal::ZERO {
            return Err(no_amount());
        }
        let quoted = Quoted {
            copies: self.copies,
            price: if self.each {
                Said::Each(UnitPrice::new(self.amount, currency))
            } else {
                Said::Total(Money::from_decimal(self.amount, currency).ok_or_else(no_amount)?)
            },
        };
        quoted.total()?;
        Ok(quoted)
    }
}
