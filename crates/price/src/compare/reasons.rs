//! What speaks for a dearer printer: time, cash and risk.

use jiff::civil::Date;
use measure::{Decimal, Money};

use super::{Column, Dearer, Tied};
use crate::PriceError;
use crate::answer::Answer;
use crate::incoterms;
use crate::landed::{Footing, Landed, PartKind};
use crate::specification::percent;

/// By how much a rate of exchange may move between answer and payment; our assumption.
const RATE_MOVES: i64 = 5;

/// Every answer that is dearer than the cheapest, at the middle quantity.
pub(super) fn dearer(
    answers: &[(&Answer, Footing<'_>)],
    columns: &[Column],
    copies: &[u64],
    today: Date,
) -> Vec<Dearer> {
    let middle = copies.len() / 2;
    let at = |place: usize| -> Option<&Landed> { columns[place].landed.get(middle)?.as_ref().ok() };
    let Some(than) = (0..answers.len())
        .filter(|&place| at(place).is_some())
        .min_by_key(|&place| at(place).map(|landed| landed.each.amount()))
    else {
        return Vec::new();
    };
    let Some(cheapest) = at(than) else {
        return Vec::new();
    };
    (0..answers.len())
        .filter(|&place| place != than)
        .filter_map(|place| {
            let landed = at(place)?;
            Some(Dearer {
                answer: place,
                than,
                copies: landed.copies,
                by: landed.total.minus(cheapest.total).ok()?,
                reasons: reasons(
                    (&answers[place], landed, columns[place].tied),
                    (&answers[than], cheapest, columns[than].tied),
                    today,
                ),
            })
        })
        .collect()
}

type Side<'a> = (&'a (&'a Answer, Footing<'a>), &'a Landed, Option<Tied>);

fn reasons(dear: Side<'_>, cheap: Side<'_>, today: Date) -> Vec<String> {
    let ((answer, footing), landed, tied) = dear;
    let ((other, other_footing), other_landed, other_tied) = cheap;
    let mut reasons = Vec::new();
    match (answer.lead, other.lead) {
        (Some(lead), Some(than)) if lead < than => reasons.push(format!(
            "Time: {} working days after approval instead of {}.",
            lead.working_days, than.working_days
        )),
        (Some(lead), None) => reasons.push(format!(
            "Time: {} working days are promised; the cheaper answer says none.",
            lead.working_days
        )),
        _ => {}
    }
    if footing.home && !other_footing.home {
        reasons.push(
            "Time and risk: no way by sea or customs between you, proofs come in days, and the law \
             for a complaint is your own."
                .to_owned(),
        );
    }
    if let Ok(Some(risk)) = rate_risk(other, other_footing, other_landed)
        && answer.currency == footing.landing.currency
    {
        reasons.push(format!(
            "Risk: the cheaper price is in {}; a rate {RATE_MOVES} % worse on the day of payment \
             costs {risk} more.",
            other.currency
        ));
    }
    if landed.missing.is_empty() && !other_landed.missing.is_empty() {
        reasons.push(format!(
            "Risk: nothing is left open, while the cheaper figure lacks {}.{}",
            other_landed.missing.join("; "),
            match landed.total.minus(other_landed.total) {
                Ok(by) if by.minor() > 0 =>
                    format!(" If that costs more than {by}, this one is the cheaper."),
                _ => String::new(),
            }
        ));
    }
    let arrives = |answer: &Answer| answer.term.is_some_and(incoterms::arrives);
    if arrives(answer) && !arrives(other) {
        reasons.push(
            "Risk: what is lost or spoiled on the way is the printer's loss by its delivery term."
                .to_owned(),
        );
    }
    let holds = |answer: &Answer| answer.valid_until.filter(|until| *until >= today);
    match (holds(answer), holds(other)) {
        (Some(until), Some(than)) if until > than => {
            reasons.push(format!(
                "Time: its prices hold until {until} instead of {than}."
            ));
        }
        (Some(until), None) => reasons.push(format!(
            "Risk: its prices hold until {until}; the cheaper ones have lapsed or say no day."
        )),
        _ => {}
    }
    let tolerance = |answer: &Answer| answer.overs.unwrap_or_default();
    if answer.overs.is_some() && tolerance(answer) < tolerance(other) {
        reasons.push(format!(
            "Cash: at most {} of overs are billed instead of {}.",
            percent(tolerance(answer)),
            percent(tolerance(other))
        ));
    }
    let short = |answer: &Answer| answer.unders.unwrap_or_default();
    if answer.unders.is_some() && short(answer) < short(other) {
        reasons.push(format!(
            "Risk: at most {} of the copies may lack instead of {}.",
            percent(short(answer)),
            percent(short(other))
        ));
    }
    let less_tied = tied.zip(other_tied).filter(|(tied, other)| {
        let weight = |tied: &Tied| i128::from(tied.sum.minor()) * i128::from(tied.days);
        weight(tied) < weight(other)
    });
    if let Some((tied, other)) = less_tied {
        reasons.push(format!(
            "Cash: {}; with the cheaper one {} (about, {}).",
            tied.in_words(),
            other.in_words(),
            Tied::ASSUMED
        ));
    }
    if !answer.payment.is_empty() && !other.payment.is_empty() && answer.payment != other.payment {
        reasons.push(format!(
            "Cash: it is paid otherwise: {} (the cheaper one: {}).",
            answer.payment, other.payment
        ));
    }
    reasons
}

/// What a worse rate would cost, where an answer is in another currency.
fn rate_risk(
    answer: &Answer,
    footing: &Footing<'_>,
    landed: &Landed,
) -> Result<Option<Money>, PriceError> {
    if answer.currency == footing.landing.currency {
        return Ok(None);
    }
    let mut foreign = Money::zero(landed.total.currency());
    for kind in [PartKind::Print, PartKind::OneOff, PartKind::Freight] {
        foreign = foreign.plus(landed.of(kind)?)?;
    }
    let share = Decimal::from_whole(RATE_MOVES).over(Decimal::from_whole(100));
    Ok(Some(foreign.part(share.unwrap_or_default())?))
}
