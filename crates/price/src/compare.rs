//! Answers side by side on one footing: what each quantity costs, which answer is the cheapest in which
//! range of quantities, and what speaks for a dearer one.

mod payment;
mod reasons;

use jiff::civil::Date;
use measure::{Currency, Money, UnitPrice};

use crate::PriceError;
use crate::answer::Answer;
use crate::curve::{Curve, Parts};
use crate::landed::{Footing, Ground, Landed};

pub use payment::{Instalment, Moment, Tied, instalments};

/// Quantities that are looked at between two knots, so that no crossing is missed.
const BETWEEN: u64 = 12;
/// Quantities that are looked at in all, about, beside those that are asked for.
const MOST_LOOKS: usize = 160;

/// Answers side by side.
#[derive(Debug, Clone)]
pub struct Comparison {
    /// The currency of everything in hand.
    pub currency: Currency,
    /// The quantities that were asked for, rising and each once.
    pub copies: Vec<u64>,
    /// One for each answer, in the order in which they were given.
    pub columns: Vec<Column>,
    /// Which is the cheapest in which range; the ranges follow on one another.
    pub ranges: Vec<Cheapest>,
    /// What speaks for those that are dearer than the cheapest, at the middle one of the quantities.
    pub dearer: Vec<Dearer>,
}

/// One answer on the footing.
#[derive(Debug, Clone)]
pub struct Column {
    /// What each quantity costs, or why that cannot be said.
    pub landed: Vec<Result<Landed, PriceError>>,
    /// The cost in hand over quantities, rising, for a chart; empty where it cannot be said.
    pub chart: Vec<Point>,
    /// The quoted prices parted in what is fixed and what runs, in the currency of the answer.
    pub parts: Option<Parts>,
    /// What is to be checked before one orders by it, each in a sentence.
    pub to_check: Vec<String>,
    /// What is tied up until the books are in hand, at the middle one of the quantities; nothing where
    /// the answer's words of payment or its time cannot be read.
    pub tied: Option<Tied>,
}

/// One quantity of a chart.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Point {
    /// Copies ordered.
    pub copies: u64,
    /// What they cost in hand.
    pub total: Money,
    /// How many of them are good.
    pub good: u64,
    /// What one good copy costs.
    pub each: UnitPrice,
    /// Whether the printer quoted this very quantity.
    pub quoted: bool,
    /// Whether it lies beyond all that the printer quoted.
    pub beyond: bool,
}

impl Point {
    /// Whether one good copy costs less than by another: by cross-multiplication, so that nothing is
    /// rounded.
    fn is_under(&self, other: &Self) -> bool {
        let product =
            |one: &Self, other: &Self| i128::from(one.total.minor()) * i128::from(other.good);
        product(self, other) < product(other, self)
    }
}

/// A range of quantities with the answer that is the cheapest in it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cheapest {
    /// Its first quantity.
    pub from: u64,
    /// Its last quantity.
    pub to: u64,
    /// Place of the answer among those given.
    pub answer: usize,
    /// What is missing in its figures: it is the cheapest only as long as that costs less than the
    /// leads.
    pub missing: Vec<String>,
    /// What its figures rest on that the printer has not said.
    pub unsaid: Vec<String>,
    /// By how much it leads, at the quantities of the range that were asked for.
    pub leads: Vec<Lead>,
}

impl Cheapest {
    /// One quantity, with nothing said of it yet.
    const fn from(copies: u64, answer: usize) -> Self {
        Self {
            from: copies,
            to: copies,
            answer,
            missing: Vec::new(),
            unsaid: Vec::new(),
            leads: Vec::new(),
        }
    }

    /// Whether it is surely the cheapest, as far as the asked quantities of the range tell: nothing is
    /// missing or unsaid, and the bounds of its figures lie below those of all others.
    pub fn is_sure(&self) -> bool {
        let bounded = !self.leads.is_empty() && self.leads.iter().all(|lead| lead.apart);
        bounded && self.missing.is_empty() && self.unsaid.is_empty()
    }
}

/// By how much the cheapest answer leads at a quantity.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Lead {
    /// Copies ordered.
    pub copies: u64,
    /// Place of the next one; nothing where there is no other figure.
    pub over: Option<usize>,
    /// How much dearer that one is in all; nothing where there is none.
    pub by: Option<Money>,
    /// Whether the upper bound of the cheapest figure lies below the lower bounds of all others.
    pub apart: bool,
}

/// What speaks for a dearer answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Dearer {
    /// Place of the answer.
    pub answer: usize,
    /// Place of the cheapest.
    pub than: usize,
    /// At how many copies.
    pub copies: u64,
    /// By how much it is dearer in all.
    pub by: Money,
    /// What speaks for it all the same, each in a sentence; empty if nothing does.
    pub reasons: Vec<String>,
}

/// Puts answers side by side for the quantities `at`.
pub fn compare(answers: &[(&Answer, Footing<'_>)], at: &[u64], today: Date) -> Comparison {
    let mut copies = at.to_vec();
    copies.sort_unstable();
    copies.dedup();
    let grounds: Vec<Result<Ground<'_>, PriceError>> = answers
        .iter()
        .map(|(answer, footing)| Ground::of(answer, footing))
        .collect();
    let looks = looks(&grounds, &copies);
    let columns: Vec<Column> = answers
        .iter()
        .zip(&grounds)
        .map(|((answer, footing), ground)| column((answer, footing), ground, &copies, &looks))
        .collect();
    let winners = winners(&columns, &looks);
    let currency = answers
        .first()
        .map_or(Currency::EUR, |(_, footing)| footing.landing.currency);
    let mut ranges = ranges(&grounds, &winners);
    for range in &mut ranges {
        mark(&grounds, &copies, range);
    }
    let dearer = reasons::dearer(answers, &columns, &copies, today);
    Comparison {
        currency,
        copies,
        columns,
        ranges,
        dearer,
    }
}

/// The quantities that are looked at: all that are asked for, all at which a cost bends, and some
/// between them.
fn looks(grounds: &[Result<Ground<'_>, PriceError>], at: &[u64]) -> Vec<u64> {
    let mut knots: Vec<u64> = at.to_vec();
    for ground in grounds.iter().flatten() {
        knots.extend(ground.bends());
    }
    knots.sort_unstable();
    knots.dedup();
    // Of very many, some are enough: a range is narrowed down to the copy between any two.
    let every = knots.len() / MOST_LOOKS + 1;
    let (first, last) = (knots.first().copied(), knots.last().copied());
    let mut looks: Vec<u64> = knots.iter().copied().step_by(every).chain(last).collect();
    looks.extend(at);
    looks.sort_unstable();
    looks.dedup();
    debug_assert_eq!(looks.first().copied(), first, "the span is kept");
    if every == 1 {
        let pairs = knots.len().saturating_sub(1).max(1);
        let between = BETWEEN.min((MOST_LOOKS / pairs) as u64).max(1);
        for pair in knots.windows(2) {
            let gap = pair[1] - pair[0];
            looks.extend((1..between).map(|step| pair[0] + gap / between * step));
        }
        looks.sort_unstable();
        looks.dedup();
    }
    looks
}

fn column(
    (answer, footing): (&Answer, &Footing<'_>),
    ground: &Result<Ground<'_>, PriceError>,
    copies: &[u64],
    looks: &[u64],
) -> Column {
    let ground = match ground {
        Ok(ground) => ground,
        Err(error) => {
            return Column {
                landed: copies.iter().map(|_| Err(error.clone())).collect(),
                chart: Vec::new(),
                parts: parts(answer),
                to_check: Vec::new(),
                tied: None,
            };
        }
    };
    let chart = looks
        .iter()
        .filter_map(|&copies| point(ground, copies))
        .collect();
    let landed: Vec<Result<Landed, PriceError>> =
        copies.iter().map(|&copies| ground.landed(copies)).collect();
    let middle = landed.get(copies.len() / 2);
    let tied = middle
        .and_then(|landed| landed.as_ref().ok())
        .and_then(|landed| payment::tied(answer, footing, landed));
    Column {
        landed,
        chart,
        parts: parts(answer),
        to_check: ground.to_check(),
        tied,
    }
}

fn parts(answer: &Answer) -> Option<Parts> {
    let points = answer
        .prices
        .iter()
        .map(|quoted| Some((quoted.copies, quoted.total().ok()?)))
        .collect::<Option<Vec<_>>>()?;
    Curve::of(&points).ok()?.parts().ok()?
}

/// The cheapest at each quantity that is looked at, from the charts.
fn winners(columns: &[Column], looks: &[u64]) -> Vec<(u64, usize)> {
    let mut best: Vec<Option<(usize, Point)>> = vec![None; looks.len()];
    for (place, column) in columns.iter().enumerate() {
        let mut points = column.chart.iter().peekable();
        for (look, best) in looks.iter().zip(&mut best) {
            let Some(point) = points.next_if(|point| point.copies == *look) else {
                continue;
            };
            if best.as_ref().is_none_or(|(_, most)| point.is_under(most)) {
                *best = Some((place, *point));
            }
        }
    }
    let named = looks.iter().zip(best);
    named
        .filter_map(|(look, best)| Some((*look, best?.0)))
        .collect()
}

/// The ranges in which each is the cheapest by the cost of one good copy.
fn ranges(grounds: &[Result<Ground<'_>, PriceError>], winners: &[(u64, usize)]) -> Vec<Cheapest> {
    let mut ranges: Vec<Cheapest> = Vec::new();
    let mut before: Option<(u64, usize)> = None;
    for &(copies, answer) in winners {
        match (before, ranges.last_mut()) {
            (Some((_, same)), Some(last)) if same == answer => last.to = copies,
            (Some((known, _)), Some(_)) => change(grounds, known, copies, &mut ranges),
            _ => ranges.push(Cheapest::from(copies, answer)),
        }
        before = Some((copies, answer));
    }
    ranges
}

/// Finds the quantities between two at which another answer becomes the cheapest.
fn change(
    grounds: &[Result<Ground<'_>, PriceError>],
    mut known: u64,
    until: u64,
    ranges: &mut Vec<Cheapest>,
) {
    while known < until {
        let Some(last) = ranges.last_mut() else {
            return;
        };
        // The last quantity from here on at which the same one still is the cheapest.
        let (mut low, mut high) = (known, until);
        if cheapest(grounds, until) == Some(last.answer) {
            last.to = until;
            return;
        }
        while high - low > 1 {
            let middle = low + (high - low) / 2;
            if cheapest(grounds, middle) == Some(last.answer) {
                low = middle;
            } else {
                high = middle;
            }
        }
        last.to = low;
        let Some(answer) = cheapest(grounds, high) else {
            return;
        };
        ranges.push(Cheapest::from(high, answer));
        known = high;
    }
}

/// Says what is missing in the figures of the cheapest, and by how much it leads at the quantities that
/// were asked for; only there, since it asks for the bounds of every answer.
fn mark(grounds: &[Result<Ground<'_>, PriceError>], at: &[u64], range: &mut Cheapest) {
    let Some(Ok(best)) = grounds.get(range.answer) else {
        return;
    };
    range.missing = best.missing();
    range.unsaid = best.unsaid();
    let asked = at
        .iter()
        .copied()
        .filter(|copies| (range.from..=range.to).contains(copies));
    range.leads = asked
        .filter_map(|copies| {
            let sums = best.sums(copies).ok()?;
            let high = best.range(&sums).ok()?.map_or(sums.total, |(_, high)| high);
            let mut next: Option<(usize, Money)> = None;
            let mut apart = true;
            for (place, ground) in grounds.iter().enumerate() {
                let Some(ground) = ground.as_ref().ok().filter(|_| place != range.answer) else {
                    continue;
                };
                let Ok(other) = ground.sums(copies) else {
                    continue;
                };
                let low = ground
                    .range(&other)
                    .ok()?
                    .map_or(other.total, |(low, _)| low);
                apart &= low.minor() > high.minor();
                if next.is_none_or(|(_, total)| other.total.minor() < total.minor()) {
                    next = Some((place, other.total));
                }
            }
            Some(Lead {
                copies,
                over: next.map(|(place, _)| place),
                by: next.and_then(|(_, total)| total.minus(sums.total).ok()),
                apart,
            })
        })
        .collect();
}

/// The first of those that are the cheapest for a quantity.
fn cheapest(grounds: &[Result<Ground<'_>, PriceError>], copies: u64) -> Option<usize> {
    let mut best: Option<(usize, Point)> = None;
    for (place, ground) in grounds.iter().enumerate() {
        if let Some(point) = ground
            .as_ref()
            .ok()
            .and_then(|ground| point(ground, copies))
            && best.as_ref().is_none_or(|(_, most)| point.is_under(most))
        {
            best = Some((place, point));
        }
    }
    best.map(|(place, _)| place)
}

/// A quantity on the footing; nothing where it cannot be reckoned or no copy of it is good.
fn point(ground: &Ground<'_>, copies: u64) -> Option<Point> {
    let sums = ground.sums(copies).ok()?;
    Some(Point {
        copies,
        total: sums.total,
        good: sums.good,
        each: sums.total.each(sums.good)?,
        quoted: sums.quoted(),
        beyond: sums.estimate.beyond,
    })
}
