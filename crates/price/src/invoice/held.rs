//! The holding of an invoice against a price.

use finding::{Finding, Place, Severity, capital};
use measure::{Decimal, Money};

use super::{Held, Invoice, InvoiceRead, LineKind};
use crate::PriceError;
use crate::answer::{Answer, FreightSaid, MOST_COPIES};
use crate::curve::Curve;
use crate::landed::part_of;
use crate::specification::percent;

pub(super) fn hold(
    invoice: &Invoice,
    against: &Answer,
    ordered: u64,
    freight: Option<Money>,
) -> Result<InvoiceRead, PriceError> {
    if ordered == 0 || ordered > MOST_COPIES {
        return Err(PriceError::NoAmount(format!("{ordered} copies ordered")));
    }
    if invoice.currency != against.currency {
        return Err(PriceError::BilledOtherwise {
            billed: invoice.currency,
            asked: against.currency,
        });
    }
    let mut read = Reading {
        invoice,
        against,
        ordered,
        held: Vec::new(),
        findings: Vec::new(),
    };
    read.copies();
    read.print()?;
    read.one_offs()?;
    read.freight(freight)?;
    read.beside()?;
    read.whole()
}

struct Reading<'a> {
    invoice: &'a Invoice,
    against: &'a Answer,
    ordered: u64,
    held: Vec<Held>,
    findings: Vec<Finding>,
}

impl Reading<'_> {
    fn say(&mut self, code: &'static str, severity: Severity, message: String, hint: &str) {
        let finding = Finding::new(code, severity, Place::Whole, message);
        self.findings.push(finding.hint(hint));
    }

    /// How many copies may be billed: those that were delivered, up to the overs that were agreed.
    fn billable(&self) -> u64 {
        self.invoice.delivered.min(self.most())
    }

    /// The order and the overs that were agreed.
    fn most(&self) -> u64 {
        let overs = part_of(self.ordered, self.against.overs.unwrap_or_default(), false);
        self.ordered.saturating_add(overs)
    }

    /// Copies against the order and its tolerance.
    fn copies(&mut self) {
        let (ordered, delivered, billed) =
            (self.ordered, self.invoice.delivered, self.invoice.billed);
        let most = self.most();
        let overs = most - ordered;
        let unders = part_of(ordered, self.against.unders.unwrap_or_default(), false);
        let agreed = |share: Option<Decimal>, copies: u64| match share {
            Some(share) => format!("{} ({copies}) were agreed", percent(share)),
            None => "the answer says none".to_owned(),
        };
        if delivered > most {
            let more = delivered - ordered;
            self.say(
                "invoice-overs-beyond",
                Severity::Warn,
                format!(
                    "{delivered} copies were delivered for {ordered} ordered: {more} over the order, \
                     and of overs {}.",
                    agreed(self.against.overs, overs)
                ),
                "Copies beyond what was agreed need not be paid; settle with the printer whether they \
                 are given, bought at the price of further copies, or fetched back.",
            );
        } else if delivered > ordered {
            self.say(
                "invoice-overs-within",
                Severity::Note,
                format!(
                    "{delivered} copies were delivered for {ordered} ordered: {} over the order, \
                     within the overs, of which {}.",
                    delivered - ordered,
                    agreed(self.against.overs, overs)
                ),
                "",
            );
        }
        if delivered < ordered.saturating_sub(unders) {
            self.say(
                "invoice-copies-short",
                Severity::Warn,
                format!(
                    "{delivered} copies were delivered for {ordered} ordered: {} lack, and of unders \
                     {}.",
                    ordered - delivered,
                    agreed(self.against.unders, unders)
                ),
                "Ask for the copies that lack, or for a smaller bill.",
            );
        } else if delivered < ordered {
            self.say(
                "invoice-unders-within",
                Severity::Note,
                format!(
                    "{delivered} copies were delivered for {ordered} ordered, within the unders that \
                     were agreed.",
                ),
                "Only delivered copies are paid.",
            );
        }
        if billed > delivered {
            self.say(
                "invoice-billed-undelivered",
                Severity::Warn,
                format!("{billed} copies are billed, and {delivered} were delivered."),
                "Count the cartons again, then ask for a smaller bill.",
            );
        }
        if billed > most && billed <= delivered {
            self.say(
                "invoice-overs-billed",
                Severity::Warn,
                format!(
                    "{} copies are billed beyond the {most} that may be.",
                    billed - most
                ),
                "Ask for a bill without them.",
            );
        }
    }

    /// Print and overs, for the copies that may be billed.
    fn print(&mut self) -> Result<(), PriceError> {
        let points = self
            .against
            .prices
            .iter()
            .map(|quoted| Ok((quoted.copies, quoted.total()?)))
            .collect::<Result<Vec<_>, PriceError>>()?;
        let estimate = Curve::of(&points)?.at(self.ordered)?;
        let of_order = estimate.cost;
        let each = of_order
            .each(self.ordered)
            .ok_or_else(|| PriceError::NoAmount(format!("{} copies", self.ordered)))?;
        let may = self.billable();
        let asked = if may == self.ordered {
            of_order
        } else {
            each.times(may)?
        };
        let quoted = if estimate.quoted {
            "the price that was quoted".to_owned()
        } else {
            format!(
                "a price between {} and {}, since this quantity was not quoted",
                estimate.low, estimate.high
            )
        };
        let billed = self.sum(|kind| matches!(kind, LineKind::Print | LineKind::Overs))?;
        self.held.push(Held {
            what: format!("print, {may} copies"),
            asked: Some(asked),
            billed,
            how: format!(
                "{of_order} for {} copies, {quoted}; {} {} a copy",
                self.ordered,
                each.currency(),
                each.amount()
            ),
        });
        if let Some(billed) = billed {
            self.compare(
                ("invoice-print-over", "invoice-print-under"),
                "Print",
                billed,
                asked,
                "Ask how the sum comes about: the price that was asked stands beside it.",
            )?;
        }
        Ok(())
    }

    /// Charges that arise once, by what they are for.
    fn one_offs(&mut self) -> Result<(), PriceError> {
        let of_invoice: Vec<(String, Money)> = self
            .invoice
            .lines
            .iter()
            .filter(|line| line.kind == LineKind::OneOff)
            .map(|line| (line.what.clone(), line.cost))
            .collect();
        let same = |one: &str, other: &str| one.trim().eq_ignore_ascii_case(other.trim());
        let against = self.against;
        for one_off in &against.one_offs {
            let mut billed: Option<Money> = None;
            for (_, cost) in of_invoice
                .iter()
                .filter(|(what, _)| same(what, &one_off.what))
            {
                billed = Some(billed.map_or(Ok(*cost), |sum| sum.plus(*cost))?);
            }
            self.held.push(Held {
                what: one_off.what.clone(),
                asked: Some(one_off.cost),
                billed,
                how: "once, by the answer".to_owned(),
            });
            if let Some(billed) = billed {
                self.compare(
                    ("invoice-charge-over", "invoice-charge-under"),
                    &capital(&one_off.what),
                    billed,
                    one_off.cost,
                    "Ask how the sum comes about.",
                )?;
            }
        }
        self.not_billed()?;
        for (what, cost) in of_invoice {
            if against.one_offs.iter().any(|one| same(&what, &one.what)) {
                continue;
            }
            self.say(
                "invoice-charge-unasked",
                Severity::Warn,
                format!("{cost} are billed for “{what}”, of which the answer says nothing."),
                "Ask what it is for and who ordered it.",
            );
            self.held.push(Held {
                what,
                asked: None,
                billed: Some(cost),
                how: "not in the answer".to_owned(),
            });
        }
        Ok(())
    }

    /// Charges that were agreed and are not on the bill: the sum looks small by them.
    fn not_billed(&mut self) -> Result<(), PriceError> {
        let mut sum = Money::zero(self.invoice.currency);
        let mut what = Vec::new();
        for one_off in &self.against.one_offs {
            let open = |held: &Held| held.what == one_off.what && held.billed.is_none();
            if !Self::is_nothing(one_off.cost) && self.held.iter().any(open) {
                sum = sum.plus(one_off.cost)?;
                what.push(one_off.what.clone());
            }
        }
        if !what.is_empty() {
            self.say(
                "invoice-charges-open",
                Severity::Note,
                format!(
                    "{sum} that were agreed are not on this bill: {}.",
                    what.join(", ")
                ),
                "Ask whether a second bill comes: the sum below is smaller by it.",
            );
        }
        Ok(())
    }

    /// Freight as billed, against what was said or estimated.
    fn freight(&mut self, own: Option<Money>) -> Result<(), PriceError> {
        let billed = self.sum(|kind| kind == LineKind::Freight)?;
        let zero = Money::zero(self.invoice.currency);
        let (asked, how) = match &self.against.freight {
            FreightSaid::Given(given) => {
                let exact = given.iter().find(|(copies, _)| *copies == self.ordered);
                let any = given.iter().find(|(copies, _)| *copies == 0);
                match exact.or(any) {
                    Some((_, cost)) => (Some(*cost), "by the answer".to_owned()),
                    None => (
                        Some(Curve::of(given)?.at(self.ordered)?.cost),
                        "between or beyond what the answer says".to_owned(),
                    ),
                }
            }
            FreightSaid::Included => (Some(zero), "in the price, by the answer".to_owned()),
            FreightSaid::NotSaid => match own {
                Some(own) if own.currency() == self.invoice.currency => {
                    (Some(own), "your own estimate".to_owned())
                }
                _ => (None, "the answer says nothing of it".to_owned()),
            },
        };
        if asked.is_none_or(Self::is_nothing) && billed.is_none() {
            return Ok(());
        }
        self.held.push(Held {
            what: "freight".to_owned(),
            asked,
            billed,
            how,
        });
        match (billed, asked) {
            (Some(billed), Some(asked)) => self.compare(
                ("invoice-freight-over", "invoice-freight-under"),
                "Freight",
                billed,
                asked,
                "Ask for the carrier's bill, and for how many places and pallets it is.",
            ),
            (Some(billed), None) => {
                self.say(
                    "invoice-freight-unasked",
                    Severity::Warn,
                    format!("{billed} are billed for freight, of which the answer says nothing."),
                    "Look at the delivery term: it says who pays the way.",
                );
                Ok(())
            }
            _ => Ok(()),
        }
    }

    /// Alterations, tax, and whatever else.
    fn beside(&mut self) -> Result<(), PriceError> {
        for line in &self.invoice.lines {
            let what = |otherwise: &str| match line.what.as_str() {
                "" => otherwise.to_owned(),
                what => what.to_owned(),
            };
            let (name, how) = match line.kind {
                LineKind::Alterations => (
                    what("author's alterations"),
                    "in no price: changes after it was made",
                ),
                LineKind::Tax => (what("sales tax"), "prices were asked without it"),
                LineKind::Other => (what("other"), "not in the answer"),
                _ => continue,
            };
            let message = match line.kind {
                LineKind::Alterations => Some((
                    "invoice-alterations",
                    format!("{} are billed for author's alterations.", line.cost),
                    "Ask for the list: what was changed, when, and who asked for it. The printer's own \
                     mistakes are not yours to pay.",
                )),
                LineKind::Other => Some((
                    "invoice-charge-unasked",
                    format!(
                        "{} are billed for “{name}”, of which the answer says nothing.",
                        line.cost
                    ),
                    "Ask what it is for and who ordered it.",
                )),
                _ => None,
            };
            self.held.push(Held {
                what: name,
                asked: None,
                billed: Some(line.cost),
                how: how.to_owned(),
            });
            if let Some((code, message, hint)) = message {
                let finding = Finding::new(code, Severity::Warn, Place::Whole, message);
                self.findings.push(finding.hint(hint));
            }
        }
        Ok(())
    }

    /// The sums, and whether they add up.
    fn whole(mut self) -> Result<InvoiceRead, PriceError> {
        let zero = Money::zero(self.invoice.currency);
        let mut sum = zero;
        for line in &self.invoice.lines {
            sum = sum.plus(line.cost)?;
        }
        let mut expected = zero;
        for held in &self.held {
            expected = expected.plus(held.asked.unwrap_or(zero))?;
        }
        let tax = self.sum(|kind| kind == LineKind::Tax)?.unwrap_or(zero);
        let expected = expected.plus(tax)?;
        if let Some(total) = self.invoice.total.filter(|total| *total != sum) {
            let off = total.minus(sum)?;
            self.say(
                "invoice-sum-wrong",
                Severity::Warn,
                format!(
                    "Its lines sum to {sum}, but {total} stand at its foot: {off} between them."
                ),
                "Look whether a line was left out here; otherwise ask for a new invoice.",
            );
        }
        Ok(InvoiceRead {
            held: self.held,
            sum,
            expected,
            findings: self.findings,
        })
    }

    /// Says by how much a sum differs.
    fn compare(
        &mut self,
        (over, under): (&'static str, &'static str),
        what: &str,
        billed: Money,
        asked: Money,
        hint: &str,
    ) -> Result<(), PriceError> {
        let off = billed.minus(asked)?;
        if off.minor() > 0 {
            let finding = Finding::new(
                over,
                Severity::Warn,
                Place::Whole,
                format!("{what}: {billed} are billed, {off} more than was asked."),
            );
            self.findings.push(
                finding
                    .hint(hint)
                    .figures(billed.to_string(), asked.to_string()),
            );
        } else if off.minor() < 0 {
            let finding = Finding::new(
                under,
                Severity::Note,
                Place::Whole,
                format!("{what}: {billed} are billed, less than the {asked} that were asked."),
            );
            self.findings
                .push(finding.figures(billed.to_string(), asked.to_string()));
        }
        Ok(())
    }

    /// The sum of all lines of some kinds; nothing without one.
    fn sum(&self, wanted: impl Fn(LineKind) -> bool) -> Result<Option<Money>, PriceError> {
        let mut sum: Option<Money> = None;
        for line in self.invoice.lines.iter().filter(|line| wanted(line.kind)) {
            sum = Some(sum.map_or(Ok(line.cost), |sum| sum.plus(line.cost))?);
        }
        Ok(sum)
    }

    const fn is_nothing(sum: Money) -> bool {
        sum.minor() == 0
    }
}
