//! Which of their lines is which of ours.

use std::cmp::Reverse;

use measure::Length;

/// A line across one direction.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Line {
    pub(super) at: Length,
    /// How much the gap before it counts: more, the surer it is.
    pub(super) sure: f64,
    /// Whether it is an edge, and then whether of the bleed; a fold or a mere line is none.
    pub(super) edge: Option<Edge>,
    /// How long it runs.
    pub(super) long: Length,
    /// Too short to be a fold or an edge: a mark.
    pub(super) short: bool,
    /// Whether it reaches over the whole sheet, as folds and edges do, and zones within them do not.
    pub(super) whole: bool,
    /// Whether what lies before it is the spine.
    pub(super) after_spine: bool,
}

/// Which edge.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Edge {
    Trim,
    Bleed,
}

impl Line {
    pub(super) const fn edge(at: Length, is_bleed: bool) -> Self {
        Self {
            at,
            sure: 1.0,
            edge: Some(if is_bleed { Edge::Bleed } else { Edge::Trim }),
            long: Length::ZERO,
            short: false,
            whole: true,
            after_spine: false,
        }
    }

    pub(super) const fn fold(at: Length) -> Self {
        Self {
            at,
            sure: 1.0,
            edge: None,
            long: Length::ZERO,
            short: false,
            whole: true,
            after_spine: false,
        }
    }
}

/// One of ours and the one of theirs that it was found in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Pair {
    pub(super) ours: Length,
    pub(super) theirs: Length,
    edge: Option<Edge>,
    /// Whether the template states it as that edge.
    stated: bool,
    /// Whether theirs reaches over the whole sheet.
    whole: bool,
}

impl Pair {
    /// What ours is.
    pub(super) fn name(&self) -> String {
        match self.edge {
            Some(Edge::Trim) => "edge of the sheet".to_owned(),
            Some(Edge::Bleed) => "edge of the bleed".to_owned(),
            None => "fold".to_owned(),
        }
    }
}

/// How the two sets of lines lie on each other.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Matched {
    pub(super) pairs: Vec<Pair>,
    /// Lines of theirs that are nothing of ours, and whether each reaches over the whole sheet.
    others: Vec<(Length, bool)>,
}

/// Lines nearer than this are one. Our assumption: as wide as a pencil line.
pub(super) const SAME: Length = Length::from_nm(150_000);
/// Most lines that are looked at: those that run over the whole sheet count first, then the longest.
const MOST: usize = 120;
/// What it costs to leave one of ours without its like, in millimetres of difference.
const MISSING: f64 = 12.0;
/// What it costs to take a mark for a fold or an edge.
const SHORT: f64 = 5.0;
/// What it costs to take a line that does not reach over the whole sheet, as zones in it do.
const WITHIN: f64 = 3.0;
/// What it costs to take an edge that the file states for anything else.
const WRONG_EDGE: f64 = 6.0;
/// What it costs to take the edge of the bleed that the file states for that of the trim, or the
/// other way round, and not to take what it states for what it is: more than any sheet may differ by.
const STATED: f64 = 1e6;
/// What it costs to leave one of theirs that runs the whole way outside of all that is ours.
const OUTSIDE: f64 = 4.0;
/// Another line as near as this makes a match doubtful.
const NEAR: Length = Length::from_nm(8_000_000);
/// And so does one as near as this to a mark, or to a line within the sheet.
const NEAR_A_MARK: Length = Length::from_nm(25_000_000);

/// Puts lines in order, and those that lie on each other together; the surest of them stays.
pub(super) fn tidied(mut lines: Vec<Line>) -> Vec<Line> {
    lines.sort_by_key(|line| (line.at, line.edge.is_none(), line.short));
    let mut tidy: Vec<Line> = Vec::new();
    for line in lines {
        match tidy.last_mut() {
            Some(last) if line.at - last.at <= SAME => {
                let long = last.long.max(line.long);
                if last.edge.is_none() && line.edge.is_some() {
                    *last = line;
                } else {
                    last.short &= line.short;
                    last.whole |= line.whole;
                }
                last.long = long;
            }
            _ => tidy.push(line),
        }
    }
    if tidy.len() > MOST {
        tidy.sort_by_key(|line| (line.edge.is_none(), !line.whole, Reverse(line.long)));
        tidy.truncate(MOST);
        tidy.sort_by_key(|line| line.at);
    }
    tidy
}

/// The least cost of a match that ends with one of ours on one of theirs, and the pair before it.
type Known = (f64, Option<(usize, usize)>);

/// Matches theirs to ours in order, at the least cost: each gap costs what it differs by, times how
/// sure ours is, and each of ours that is left out costs as much as a great difference.
pub(super) fn align(ours: &[Line], theirs: &[Line]) -> Matched {
    let (m, n) = (ours.len(), theirs.len());
    // The trim of what is turned in may be that of the finished case.
    let states = |edge: Edge, lines: &[Line]| lines.iter().any(|line| line.edge == Some(edge));
    let trim_is_stated = states(Edge::Bleed, ours) && states(Edge::Trim, theirs);
    let missed = |ours: &[Line]| left_out(ours, trim_is_stated);
    // By ours, then by theirs.
    let mut best: Vec<Vec<Known>> = vec![Vec::with_capacity(n); m];
    let mut finest: Option<(f64, usize, usize)> = None;
    for i in 0..m {
        for j in 0..n {
            let own = fit(ours[i], theirs[j]);
            let mut cost = (missed(&ours[..i]) + outside(&theirs[..j]) + own, None);
            for before in 0..i {
                // A gap that spans some left out is as sure as its least sure part.
                let sure = ours[before + 1..=i]
                    .iter()
                    .map(|line| line.sure)
                    .fold(f64::INFINITY, f64::min);
                let gap = ours[i].at - ours[before].at;
                let missing = missed(&ours[before + 1..i]);
                for (earlier, known) in best[before].iter().enumerate().take(j) {
                    let differs = theirs[j].at - theirs[earlier].at - gap;
                    let sum = known.0 + missing + differs.mm().abs() * sure + own;
                    if sum < cost.0 {
                        cost = (sum, Some((before, earlier)));
                    }
                }
            }
            best[i].push(cost);
            let whole = cost.0 + missed(&ours[i + 1..]) + outside(&theirs[j + 1..]);
            if finest.is_none_or(|(least, ..)| whole < least) {
                finest = Some((whole, i, j));
            }
        }
    }
    let mut matched = Matched::default();
    let mut taken = vec![false; n];
    let mut at = finest.map(|(_, i, j)| (i, j));
    while let Some((i, j)) = at {
        matched.pairs.push(Pair {
            ours: ours[i].at,
            theirs: theirs[j].at,
            edge: ours[i].edge,
            stated: theirs[j].edge.is_some() && theirs[j].edge == ours[i].edge,
            whole: theirs[j].whole,
        });
        taken[j] = true;
        at = best[i][j].1;
    }
    matched.pairs.reverse();
    // An edge that the file states is known for what it is.
    matched.others = theirs
        .iter()
        .zip(taken)
        .filter(|(line, taken)| !taken && !line.short && line.edge.is_none())
        .map(|(line, _)| (line.at, line.whole))
        .collect();
    matched.leave_out_middle(ours);
    matched
}

/// What it costs to take one line for another, wherever they stand.
fn fit(ours: Line, theirs: Line) -> f64 {
    let edge = match (ours.edge, theirs.edge) {
        // What a file states counts for more than what it draws.
        (Some(one), Some(other)) if one == other => 0.0,
        (Some(_), Some(_)) => STATED,
        (_, Some(_)) => WRONG_EDGE,
        (_, None) => 1.0,
    };
    let reach = match (theirs.short, theirs.whole) {
        (true, _) => SHORT,
        (false, false) => WITHIN,
        (false, true) => 0.0,
    };
    edge + reach
}

/// What it costs to leave these out. Templates often draw no bleed; but a trim that the file states
/// is the trim, however much it differs.
fn left_out(ours: &[Line], trim_is_stated: bool) -> f64 {
    ours.iter()
        .map(|line| match line.edge {
            Some(Edge::Bleed) => 2.0,
            Some(Edge::Trim) if trim_is_stated => STATED,
            _ => MISSING,
        })
        .sum()
}

/// What it costs to have these of theirs outside of all that is ours.
fn outside(theirs: &[Line]) -> f64 {
    theirs.iter().filter(|line| !line.short).count() as f64 * OUTSIDE
}

impl Matched {
    /// Templates often mark the middle of a spine. A line there is known for what it is, if it is
    /// the only one about.
    fn leave_out_middle(&mut self, ours: &[Line]) {
        let spine = self.pairs.windows(2).find(|pair| {
            let until = ours.iter().position(|line| line.at == pair[1].ours);
            until.is_some_and(|until| {
                until > 0 && ours[until].after_spine && ours[until - 1].at == pair[0].ours
            })
        });
        let Some([low, high]) = spine else { return };
        let folds_are_whole = low.whole && high.whole;
        let (low, high) = (low.theirs, high.theirs);
        let about: Vec<Length> = self
            .others
            .iter()
            .filter(|(_, whole)| *whole || !folds_are_whole)
            .map(|(at, _)| *at)
            .filter(|at| (low - NEAR..=high + NEAR).contains(at))
            .collect();
        if let [middle] = about[..]
            && (middle - low - (high - low) / 2).abs() <= SAME
        {
            self.others.retain(|(at, _)| *at != middle);
        }
    }

    /// Their length between two lines of ours, if both were found; and what makes it doubtful.
    pub(super) fn between(&self, low: Length, high: Length) -> Option<(Length, Option<String>)> {
        let find = |at: Length| self.pairs.iter().find(|pair| pair.ours == at);
        let (low, high) = (find(low)?, find(high)?);
        // What the file states is sure; and a line within the sheet is none that reaches over it.
        let near: Vec<String> = self
            .others
            .iter()
            .filter(|(other, whole)| {
                [low, high].iter().any(|end| {
                    let near = if end.whole { NEAR } else { NEAR_A_MARK };
                    !end.stated && (*whole || !end.whole) && (*other - end.theirs).abs() <= near
                })
            })
            .map(|(other, _)| other.to_string())
            .collect();
        let length = high.theirs - low.theirs;
        // Where everything agrees, other lines are other lines.
        let doubt = (!near.is_empty() && !self.agrees()).then(|| {
            format!(
                "other lines stand near its ends, {} from the edge of the template's page",
                near.join(" and ")
            )
        });
        Some((length, doubt))
    }

    /// Whether every gap is as ours is.
    fn agrees(&self) -> bool {
        self.pairs.windows(2).all(|pair| {
            let gap = |of: fn(&Pair) -> Length| of(&pair[1]) - of(&pair[0]);
            (gap(|pair| pair.theirs) - gap(|pair| pair.ours)).abs() <= SAME
        })
    }

    /// How far theirs must be moved to lie on ours: so that the sheets lie with their middles on
    /// each other.
    pub(super) fn shift(&self) -> Length {
        let (Some(first), Some(last)) = (self.pairs.first(), self.pairs.last()) else {
            return Length::ZERO;
        };
        ((first.ours - first.theirs) + (last.ours - last.theirs)) / 2
    }

    /// The pair of a line of theirs.
    pub(super) fn pair_of(&self, theirs: Length) -> Option<&Pair> {
        self.pairs
            .iter()
            .find(|pair| (pair.theirs - theirs).abs() <= SAME)
    }
}
