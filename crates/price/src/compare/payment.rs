//! Cash that is tied up from the days of payment until the books are in hand.

use measure::{Decimal, Money};

use crate::answer::{Answer, FreightSaid};
use crate::landed::{Footing, Landed, PartKind};

/// Days from the order to the approval of the proofs; our assumption.
const TO_APPROVAL: i64 = 14;
/// Days on the way within a country; our assumption.
const WAY_HOME: i64 = 5;
/// Days on the way from overseas, by sea, with customs; our assumption.
const WAY_OVERSEAS: i64 = 45;

/// What is tied up in an order until the books are in hand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Tied {
    /// What is paid to the printer, in the currency of the footing.
    pub sum: Money,
    /// For how many days on the whole, each part weighed by its share; below zero where most is paid
    /// after the books have come.
    pub days: i64,
    /// What that costs at the rate that the artist gave, if one is given.
    pub costs: Option<Money>,
}

impl Tied {
    /// What the days rest on.
    pub(super) const ASSUMED: &str = "reckoned with 14 days from order to approval, and 5 days on the \
                                      way at home, 45 from overseas: our assumptions";

    /// `EUR 8,522.00 are tied up for 40 days, which costs EUR 56.04`.
    pub fn in_words(&self) -> String {
        if self.days <= 0 {
            return format!(
                "{} are paid, on the whole, after the books have come",
                self.sum
            );
        }
        let costs = self
            .costs
            .map_or_else(String::new, |costs| format!(", which costs {costs}"));
        format!(
            "{} are tied up for {} days until the books are in hand{costs}",
            self.sum, self.days
        )
    }
}

/// When a share is paid.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Moment {
    /// With the order.
    Order,
    /// With the approval of the proofs.
    Approval,
    /// Before dispatch.
    Dispatch,
    /// When the books are in hand.
    InHand,
}

/// A share of the price as an answer's words of payment name it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Instalment {
    /// Share of the whole; all of them make up the whole but for a billionth.
    pub share: Decimal,
    /// With what it falls due.
    pub moment: Moment,
    /// Days after it.
    pub days: u16,
}

/// What an order ties up; nothing where the words of payment or the time of making cannot be read.
pub(super) fn tied(answer: &Answer, footing: &Footing<'_>, landed: &Landed) -> Option<Tied> {
    let parts = instalments(&answer.payment)?;
    let making = i64::from(answer.lead?.working_days) * 7 / 5;
    let way = if footing.home { WAY_HOME } else { WAY_OVERSEAS };
    let mut sum = landed
        .of(PartKind::Print)
        .and_then(|sum| Ok(sum.plus(landed.of(PartKind::OneOff)?)?))
        .ok()?;
    if matches!(answer.freight, FreightSaid::Given(_)) {
        sum = sum.plus(landed.of(PartKind::Freight).ok()?).ok()?;
    }
    let mut weighed = Decimal::ZERO;
    for Instalment {
        share,
        moment,
        days: after,
    } in parts
    {
        let days = match moment {
            Moment::Order => TO_APPROVAL + making + way,
            Moment::Approval => making + way,
            Moment::Dispatch => way,
            Moment::InHand => 0,
        } - i64::from(after);
        weighed = weighed.plus(share.times(Decimal::from_whole(days))?)?;
    }
    let days = weighed.with_decimals(0).parse().ok()?;
    let costs = footing.landing.interest.and_then(|rate| {
        let share = rate
            .times(weighed)?
            .over(Decimal::from_whole(365))
            .filter(|share| share.is_positive())?;
        sum.part(share).ok()
    });
    Some(Tied { sum, days, costs })
}

/// Shares of the price with the moment of each and the days after it; nothing where the words say it
/// otherwise than in shares that make up the whole.
pub fn instalments(words: &str) -> Option<Vec<Instalment>> {
    let words = words.to_lowercase();
    if words.trim().is_empty() {
        return None;
    }
    let mut parts: Vec<(Option<Decimal>, Moment, u16)> = Vec::new();
    for piece in words
        .split([',', ';'])
        .flat_map(|piece| piece.split(" and "))
    {
        parts.push((share(piece)?, moment(piece)?, days(piece)));
    }
    let mut said = Decimal::ZERO;
    for (share, _, _) in &parts {
        said = said.plus(share.unwrap_or_default())?;
    }
    // Shares such as three times a third lack a billionth.
    let near = |one: Decimal| (one.billionths() - Decimal::ONE.billionths()).abs() <= 10;
    let rest = Decimal::from_billionths(Decimal::ONE.billionths() - said.billionths())?;
    let open = parts.iter().filter(|(share, _, _)| share.is_none()).count();
    if open > 1 || open == 1 && !rest.is_positive() || open == 0 && !near(said) {
        return None;
    }
    let whole = parts.into_iter().map(|(share, moment, days)| Instalment {
        share: share.unwrap_or(rest),
        moment,
        days,
    });
    Some(whole.collect())
}

/// The share of a piece; the inner nothing stands for the rest.
#[expect(
    clippy::option_option,
    reason = "unread, and read as the rest, are two things"
)]
fn share(piece: &str) -> Option<Option<Decimal>> {
    let part = |of: i64| Decimal::ONE.over(Decimal::from_whole(of));
    if let Some((before, _)) = piece.split_once('%') {
        let figure = before.split_whitespace().last()?;
        let share: Decimal = figure.parse().ok()?;
        return share.over(Decimal::from_whole(100)).map(Some);
    }
    let has = |word: &str| piece.split_whitespace().any(|known| known == word);
    Some(if has("half") {
        part(2)
    } else if has("third") {
        part(3)
    } else if has("quarter") {
        part(4)
    } else if has("thirds") || has("quarters") || figures(piece) > usize::from(days(piece) > 0) {
        return None;
    } else {
        // `the rest`, `balance`, `in full`, `30 days after invoice`: whatever is left.
        None
    })
}

/// How many figures a piece has.
fn figures(piece: &str) -> usize {
    let digits = |word: &&str| word.bytes().any(|byte| byte.is_ascii_digit());
    piece.split_whitespace().filter(digits).count()
}

fn moment(piece: &str) -> Option<Moment> {
    let has = |words: &[&str]| words.iter().any(|word| piece.contains(word));
    Some(if has(&["proof", "approval"]) {
        Moment::Approval
    } else if has(&["dispatch", "shipment", "shipping", "invoice"]) {
        Moment::Dispatch
    } else if has(&["delivery", "receipt", "arrival"]) {
        Moment::InHand
    } else if has(&["order", "deposit", "advance"]) {
        Moment::Order
    } else {
        return None;
    })
}

/// `30 days`; none where none are named.
fn days(piece: &str) -> u16 {
    let words: Vec<&str> = piece.split_whitespace().collect();
    words
        .windows(2)
        .find(|pair| pair[1].starts_with("day"))
        .and_then(|pair| pair[0].parse::<u16>().ok())
        .unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_of_payment_are_read_or_left_alone() {
        let shares = |words: &str| {
            instalments(words).map(|parts| {
                parts
                    .into_iter()
                    .map(|one| (one.share.with_decimals(2), one.moment, one.days))
                    .collect::<Vec<_>>()
            })
        };
        let part = |share: &str, moment, days| (share.to_owned(), moment, days);
        assert_eq!(
            shares("a third with the order, a third with the proofs, a third before dispatch"),
            Some(vec![
                part("0.33", Moment::Order, 0),
                part("0.33", Moment::Approval, 0),
                part("0.33", Moment::Dispatch, 0),
            ])
        );
        assert_eq!(
            shares("30 % with order; balance 30 days after invoice"),
            Some(vec![
                part("0.30", Moment::Order, 0),
                part("0.70", Moment::Dispatch, 30),
            ])
        );
        assert_eq!(
            shares("in full on receipt"),
            Some(vec![part("1.00", Moment::InHand, 0)])
        );
        for unread in [
            "",
            "as usual",
            "two thirds with the order",
            "3000 with the order",
            "40 % with order, 40 % before dispatch",
            "90 % with order and half on receipt",
        ] {
            assert_eq!(shares(unread), None, "{unread}");
        }
    }
}
