//! What of an answer and a footing is the same for every quantity, and the reckoning of one quantity.

mod open;

use book::{Delivery, DutyOn, Import, Landing, Term};
use jiff::civil::Date;
use measure::{Currency, Decimal, Money, MoneyError};

use super::{Factor, Footing, Landed, Part, PartKind, WithOvers};
use crate::PriceError;
use crate::answer::{Answer, FreightSaid, MOST_COPIES};
use crate::curve::{Curve, Estimate};
use crate::incoterms::{self, Division, Step};
use crate::specification::percent;

/// An answer with its footing, ready to be reckoned for any quantity.
#[derive(Debug)]
pub(crate) struct Ground<'a> {
    answer: &'a Answer,
    landing: &'a Landing,
    deliveries: &'a [Delivery],
    home: bool,
    charges: &'a [&'static str],
    to: Currency,
    curve: Curve,
    /// From the answer's currency, where it is another one.
    factor: Option<Factor>,
    freight: Freight,
    one_offs: Money,
    insurance: Option<Decimal>,
    import: Option<&'a Import>,
    broker: Money,
    bank: Option<Money>,
    spoilage: Decimal,
}

/// Where the freight comes from.
#[derive(Debug)]
enum Freight {
    /// The answer says it by quantity, in its own currency.
    Said(Curve),
    /// The answer says one sum for every quantity.
    Flat(Money),
    /// The answer says that it is in the price.
    Included,
    /// The term says that it is in the price.
    ByTerm(Term),
    /// The artist's own estimate, in the currency of the footing or another one.
    Own {
        fixed: Money,
        each: measure::UnitPrice,
        factor: Option<Factor>,
        term: Term,
        on: Date,
        by: String,
    },
    /// Nobody says it.
    Missing,
}

/// The sums of one quantity, in the currency of the footing; without words, so that many can be
/// compared in little time.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Sums {
    pub estimate: Estimate,
    /// Freight in the currency in which it was said.
    freight: Estimate,
    parts: Totals,
    pub total: Money,
    pub good: u64,
}

impl Sums {
    /// Whether nothing in them is estimated between or beyond what was quoted.
    pub(crate) const fn quoted(&self) -> bool {
        self.estimate.quoted && self.freight.quoted
    }
}

/// What a price of print and one of freight come to, in the currency of the footing.
#[derive(Debug, Clone, Copy)]
struct Totals {
    print: Money,
    freight: Money,
    insurance: Money,
    duty: Money,
    tax: Money,
    total: Money,
}

impl<'a> Ground<'a> {
    pub(crate) fn of(answer: &'a Answer, footing: &Footing<'a>) -> Result<Self, PriceError> {
        let landing = footing.landing;
        let to = landing.currency;
        let factor = factor(answer.currency, to, landing)?;
        let points = answer
            .prices
            .iter()
            .map(|quoted| Ok((quoted.copies, quoted.total()?)))
            .collect::<Result<Vec<_>, PriceError>>()?;
        let mut one_offs = Money::zero(to);
        for one_off in &answer.one_offs {
            one_offs = one_offs.plus(turned(factor, one_off.cost)?)?;
        }
        let abroad = !footing.home;
        let imported = abroad && !in_the_price(answer, landing, Step::Import);
        let import = landing.import_from(&answer.printer).filter(|_| imported);
        let broker = match import.and_then(|import| import.broker) {
            Some(broker) => super::converted(broker, to, landing)?,
            None => Money::zero(to),
        };
        let bank = match landing.bank_fee {
            Some(fee) if abroad || factor.is_some() => Some(super::converted(fee, to, landing)?),
            _ => None,
        };
        Ok(Self {
            answer,
            landing,
            deliveries: footing.deliveries,
            home: footing.home,
            charges: footing.charges,
            to,
            curve: Curve::of(&points)?,
            factor,
            freight: Freight::of(answer, landing)?,
            one_offs,
            insurance: insurance(answer, landing),
            import,
            broker,
            bank,
            spoilage: landing.spoilage.unwrap_or_else(Landing::usual_spoilage),
        })
    }

    /// The quantities for which a price of print was quoted, rising.
    pub(crate) fn quoted(&self) -> impl Iterator<Item = u64> + '_ {
        self.curve.points().iter().map(|(copies, _)| *copies)
    }

    /// The quantities at which the cost may bend: those for which a price of print or of freight was
    /// quoted.
    pub(crate) fn bends(&self) -> impl Iterator<Item = u64> + '_ {
        let freight = match &self.freight {
            Freight::Said(curve) => curve.points(),
            _ => &[],
        };
        self.quoted()
            .chain(freight.iter().map(|(copies, _)| *copies))
    }

    /// Reckons a quantity.
    pub(crate) fn sums(&self, copies: u64) -> Result<Sums, PriceError> {
        if copies == 0 || copies > MOST_COPIES {
            return Err(PriceError::NoAmount(format!("{copies} copies")));
        }
        let estimate = self.curve.at(copies)?;
        let freight = self.freight(copies)?;
        let parts = self.totals(estimate.cost, freight.cost)?;
        Ok(Sums {
            estimate,
            freight,
            parts,
            total: parts.total,
            good: good(copies, self.spoilage),
        })
    }

    /// Everything that follows from a price of print and one of freight, each as it was said.
    fn totals(&self, print: Money, freight: Money) -> Result<Totals, PriceError> {
        let print = turned(self.factor, print)?;
        let factor = match &self.freight {
            Freight::Own { factor, .. } => *factor,
            _ => self.factor,
        };
        let freight = turned(factor, freight)?;
        let share = |share: Option<Decimal>| share.unwrap_or_default();
        let goods = print.plus(self.one_offs)?;
        let moved = goods.plus(freight)?;
        let insurance = moved.part(share(self.insurance))?;
        let arrived = moved.plus(insurance)?;
        let dutiable = match self.import.map(|import| import.duty_on) {
            Some(DutyOn::Goods) => goods,
            _ => arrived,
        };
        let duty = dutiable.part(share(self.import.and_then(|import| import.duty)))?;
        let tax = arrived
            .plus(duty)?
            .part(share(self.import.and_then(|import| import.tax)))?;
        let mut total = arrived;
        for more in [
            duty,
            tax,
            self.broker,
            self.bank.unwrap_or(Money::zero(self.to)),
        ] {
            total = total.plus(more)?;
        }
        Ok(Totals {
            print,
            freight,
            insurance,
            duty,
            tax,
            total,
        })
    }

    /// Freight in the currency in which it was said.
    fn freight(&self, copies: u64) -> Result<Estimate, PriceError> {
        let cost = match &self.freight {
            Freight::Said(curve) => return curve.at(copies),
            Freight::Flat(cost) => *cost,
            Freight::Own { fixed, each, .. } => fixed.plus(each.times(copies)?)?,
            Freight::Included | Freight::ByTerm(_) | Freight::Missing => {
                Money::zero(self.answer.currency)
            }
        };
        Ok(Estimate {
            cost,
            low: cost,
            high: cost,
            quoted: true,
            beyond: false,
        })
    }

    /// Reckons a quantity, in words.
    pub(crate) fn landed(&self, copies: u64) -> Result<Landed, PriceError> {
        let sums = self.sums(copies)?;
        let mut parts = vec![self.print(copies, &sums)];
        for one_off in &self.answer.one_offs {
            parts.push(Part {
                kind: PartKind::OneOff,
                what: one_off.what.clone(),
                said: one_off.cost,
                in_hand: turned(self.factor, one_off.cost)?,
                how: format!("once, by the answer{}", self.at_rate(one_off.cost)),
                assumed: false,
            });
        }
        self.freight_part(&sums, &mut parts);
        self.insurance_part(&sums, &mut parts);
        self.import_parts(&sums, &mut parts);
        self.bank_part(&mut parts);
        let each = match sums.total.each(sums.good) {
            Some(each) => each,
            None if sums.good == 0 => {
                return Err(PriceError::NoAmount(format!(
                    "{copies} copies, none of them good"
                )));
            }
            None => return Err(MoneyError::TooLarge.into()),
        };
        let spoiled = copies.saturating_sub(sums.good);
        Ok(Landed {
            copies,
            good: sums.good,
            parts,
            total: sums.total,
            each,
            missing: self.missing(),
            unsaid: self.unsaid(),
            overs: self.overs(copies, &sums)?,
            spoilage: format!(
                "{} of {copies} copies; {} is {} not to be fit for sale ({spoiled}, rounded up)",
                sums.good,
                percent(self.spoilage),
                if self.landing.spoilage.is_some() {
                    "said"
                } else {
                    "assumed"
                }
            ),
            range: self.range(&sums)?,
        })
    }

    /// Bounds of the total where the price of the quantity, or its freight, is estimated.
    pub(crate) fn range(&self, sums: &Sums) -> Result<Option<(Money, Money)>, PriceError> {
        if sums.quoted() {
            return Ok(None);
        }
        let (print, freight) = (&sums.estimate, &sums.freight);
        Ok(Some((
            self.totals(print.low, freight.low)?.total,
            self.totals(print.high, freight.high)?.total,
        )))
    }

    fn overs(&self, copies: u64, sums: &Sums) -> Result<Option<WithOvers>, PriceError> {
        let Some(share) = self.answer.overs.filter(|share| share.is_positive()) else {
            return Ok(None);
        };
        let more = part_of(copies, share, false);
        let each = sums.parts.print.each(copies);
        Ok(match each {
            Some(each) if more > 0 => Some(WithOvers {
                copies: more,
                cost: each.times(more)?,
            }),
            _ => None,
        })
    }

    fn print(&self, copies: u64, sums: &Sums) -> Part {
        let said = sums.estimate.cost;
        let estimate = &sums.estimate;
        let mut how = if estimate.quoted {
            format!("quoted for {copies} copies")
        } else {
            let quoted: Vec<String> = self.quoted().map(|copies| copies.to_string()).collect();
            let beyond = if estimate.beyond { "beyond" } else { "between" };
            format!(
                "not quoted: {beyond} the quoted {}; from {} to {}",
                quoted.join(", "),
                estimate.low,
                estimate.high
            )
        };
        how.push_str(&self.at_rate(said));
        Part {
            kind: PartKind::Print,
            what: "print".to_owned(),
            said,
            in_hand: sums.parts.print,
            how,
            assumed: !estimate.quoted,
        }
    }

    fn freight_part(&self, sums: &Sums, parts: &mut Vec<Part>) {
        let (how, assumed) = match &self.freight {
            Freight::Said(_) if sums.freight.quoted => ("by the answer".to_owned(), false),
            Freight::Said(_) => (
                format!(
                    "between or beyond what the answer says; from {} to {}",
                    sums.freight.low, sums.freight.high
                ),
                true,
            ),
            Freight::Flat(_) => (
                "one sum for every quantity, by the answer".to_owned(),
                false,
            ),
            Freight::Included => ("in the price, by the answer".to_owned(), false),
            Freight::ByTerm(term) => (
                format!(
                    "not said; by {} (Incoterms 2020) it is in the price to {}: check the contract",
                    term.code(),
                    match self.answer.term_place.as_str() {
                        "" => "the named place",
                        place => place,
                    }
                ),
                true,
            ),
            Freight::Own {
                fixed,
                each,
                term,
                on,
                by,
                ..
            } => {
                let by = match by.as_str() {
                    "" => "yourself",
                    by => by,
                };
                (
                    format!(
                        "not said; your own estimate from {}: {fixed} and {each} a copy, by {by} on \
                         {on}{}",
                        term.code(),
                        self.at_rate(*fixed)
                    ),
                    true,
                )
            }
            Freight::Missing => return,
        };
        let how = match &self.freight {
            Freight::Own { .. } => how,
            _ => format!("{how}{}", self.at_rate(sums.freight.cost)),
        };
        parts.push(Part {
            kind: PartKind::Freight,
            what: "freight".to_owned(),
            said: sums.freight.cost,
            in_hand: sums.parts.freight,
            how,
            assumed,
        });
    }

    fn insurance_part(&self, sums: &Sums, parts: &mut Vec<Part>) {
        let Some(share) = self.insurance else { return };
        let said = self.landing.insurance.is_some();
        parts.push(Part {
            kind: PartKind::Insurance,
            what: "insurance".to_owned(),
            said: sums.parts.insurance,
            in_hand: sums.parts.insurance,
            how: format!(
                "{} of goods and freight{}",
                percent(share),
                if said { "" } else { ", assumed" }
            ),
            assumed: !said,
        });
    }

    fn import_parts(&self, sums: &Sums, parts: &mut Vec<Part>) {
        let Some(import) = self.import else { return };
        let by = match import.by.as_str() {
            "" => String::new(),
            by => format!(", by {by}"),
        };
        let mut say = |kind, what: &str, in_hand, how: String| {
            parts.push(Part {
                kind,
                what: what.to_owned(),
                said: in_hand,
                in_hand,
                how,
                assumed: false,
            });
        };
        if let Some(duty) = import.duty {
            let on = match import.duty_on {
                DutyOn::GoodsAndWay => "goods, freight and insurance",
                DutyOn::Goods => "goods alone, without the way",
            };
            let how = format!("{} of {on}{by}", percent(duty));
            say(PartKind::Duty, "duty", sums.parts.duty, how);
        }
        if let Some(tax) = import.tax {
            let how = format!("{} of goods, freight, insurance and duty{by}", percent(tax));
            say(PartKind::Tax, "tax on import", sums.parts.tax, how);
        }
        if let Some(broker) = import.broker {
            parts.push(Part {
                kind: PartKind::Broker,
                what: "customs broker".to_owned(),
                said: broker,
                in_hand: self.broker,
                how: format!("one consignment{by}{}", self.at_rate(broker)),
                assumed: false,
            });
        }
    }

    fn bank_part(&self, parts: &mut Vec<Part>) {
        if let (Some(in_hand), Some(said)) = (self.bank, self.landing.bank_fee) {
            parts.push(Part {
                kind: PartKind::Bank,
                what: "bank fee".to_owned(),
                said,
                in_hand,
                how: format!(
                    "for one payment; each further one costs it again{}",
                    self.at_rate(said)
                ),
                assumed: false,
            });
        }
    }

    /// `, at 0.92 EUR for 1 USD of 2026-11-20, by …`, where a sum is in another currency.
    fn at_rate(&self, sum: Money) -> String {
        super::rate_in_words(sum.currency(), self.to, self.landing)
            .map_or_else(String::new, |rate| format!(", {rate}"))
    }

    /// What the answer's term divides in this book.
    fn division(&self) -> Option<Division<'_>> {
        let term = self.answer.term?;
        Some(Division::of(term, self.landing))
    }
}

impl Freight {
    fn of(answer: &Answer, landing: &Landing) -> Result<Self, PriceError> {
        let by_quantity = |given: &[(u64, Money)]| -> Result<Self, PriceError> {
            let some: Vec<(u64, Money)> = given
                .iter()
                .copied()
                .filter(|(copies, _)| *copies > 0)
                .collect();
            match (some.is_empty(), given.first()) {
                (false, _) => Ok(Self::Said(Curve::of(&some)?)),
                (true, Some((_, cost))) => Ok(Self::Flat(*cost)),
                (true, None) => Ok(Self::Missing),
            }
        };
        match (&answer.freight, answer.term) {
            (FreightSaid::Given(given), _) => by_quantity(given),
            (FreightSaid::Included, _) => Ok(Self::Included),
            (FreightSaid::NotSaid, Some(term)) => {
                if let Some(own) = landing.freight_from(&answer.printer, term) {
                    return Ok(Self::Own {
                        fixed: own.fixed,
                        each: own.each,
                        factor: factor(own.fixed.currency(), landing.currency, landing)?,
                        term,
                        on: own.on,
                        by: own.by.clone(),
                    });
                }
                Ok(if Division::of(term, landing).freight_paid() {
                    Self::ByTerm(term)
                } else {
                    Self::Missing
                })
            }
            (FreightSaid::NotSaid, None) => Ok(Self::Missing),
        }
    }
}

/// Whether a step is in the price by the answer's term.
fn in_the_price(answer: &Answer, landing: &Landing, step: Step) -> bool {
    let term = answer.term;
    term.is_some_and(|term| Division::of(term, landing).in_the_price(step))
}

/// The share of goods and freight that insurance costs; nothing where the printer insures or bears the
/// risk until the goods are there.
fn insurance(answer: &Answer, landing: &Landing) -> Option<Decimal> {
    let theirs = answer.term.is_some_and(|term| {
        incoterms::arrives(term) || Division::of(term, landing).in_the_price(Step::Insurance)
    });
    (!theirs).then(|| landing.insurance.unwrap_or_else(Landing::usual_insurance))
}

fn factor(from: Currency, to: Currency, landing: &Landing) -> Result<Option<Factor>, PriceError> {
    if from == to {
        Ok(None)
    } else {
        Factor::between(from, to, landing).map(Some)
    }
}

fn turned(factor: Option<Factor>, sum: Money) -> Result<Money, PriceError> {
    factor.map_or(Ok(sum), |factor| factor.of(sum))
}

/// Copies that are fit to be sold: those that are not are rounded up.
fn good(copies: u64, spoilage: Decimal) -> u64 {
    copies.saturating_sub(part_of(copies, spoilage, true))
}

/// A share of copies, rounded up or down to whole ones.
pub(crate) fn part_of(copies: u64, share: Decimal, up: bool) -> u64 {
    const ONE: i128 = Decimal::ONE.billionths();
    let product = i128::from(copies).saturating_mul(share.billionths().max(0));
    let whole = product / ONE + i128::from(up && product % ONE != 0);
    u64::try_from(whole).unwrap_or(u64::MAX)
}
