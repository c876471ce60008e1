//! Answers side by side on one footing: what each quantity costs, which answer is the cheapest in which
//! range of quantities, and what speaks for a dearer one.

mod reasons;

use jiff::civil::Date;
use measure::{Currency, Money, UnitPrice};

use crate::PriceError;
use crate::answer::Answer;
use crate::curve::{Curve, Parts};
use crate::landed::{Footing, Ground, Landed};

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
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Cheapest {
    /// Its first quantity.
    pub from: u64,
    /// Its last quantity.
    pub to: u64,
    /// Place of the answer among those given.
    pub answer: usize,
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
        .map(|((answer, _), ground)| column(answer, ground, &copies, &looks))
        .collect();
    let winners = winners(&columns, &looks);
    let currency = answers
        .first()
        .map_or(Currency::EUR, |(_, footing)| footing.landing.currency);
    let ranges = ranges(&grounds, &winners);
    let dearer = reasons::dearer(answers, &columns, &copies, today);
    Comparison {
        currency,
        copies,
        columns,
        ranges,
        dearer,
    }
}

/// The quantities that are looked at: all that are asked for or quoted, and some between them.
fn looks(grounds: &[Result<Ground<'_>, PriceError>], at: &[u64]) -> Vec<u64> {
    let mut knots: Vec<u64> = at.to_vec();
    for ground in grounds.iter().flatten() {
        knots.extend(ground.quoted());
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
    answer: &Answer,
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
            };
        }
    };
    let chart = looks
        .iter()
        .filter_map(|&copies| point(ground, copies))
        .collect();
    Column {
        landed: copies.iter().map(|&copies| ground.landed(copies)).collect(),
        chart,
        parts: parts(answer),
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
            _ => ranges.push(Cheapest {
                from: copies,
                to: copies,
                answer,
            }),
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
        ranges.push(Cheapest {
            from: high,
            to: high,
            answer,
        });
        known = high;
    }
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
        quoted: sums.estimate.quoted,
        beyond: sums.estimate.beyond,
    })
}
