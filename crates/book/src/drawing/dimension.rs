//! Chains of dimensions beside a drawing, with words that never run into each other.

use super::mark::{Anchor, Line, Mark, Words, width_of};

/// One link of a chain: from, to, and its words.
#[derive(Debug, Clone)]
pub(super) struct Link {
    pub(super) from: f64,
    pub(super) to: f64,
    pub(super) text: String,
}

/// Millimetres as a drawing says them: to the tenth, without an idle zero.
pub(super) fn tenth(mm: f64) -> String {
    let text = format!("{mm:.1}");
    text.trim_end_matches(".0").to_owned()
}

/// A chain above something whose upper edge lies at `y`: the dimension line, and its words in as
/// many rows as they need. Gives the height that it takes.
pub(super) fn above(links: &[Link], y: f64, letter: f64, marks: &mut Vec<Mark>) -> f64 {
    chain(links, y, letter, Side::Above, marks)
}

/// The same below something whose lower edge lies at `y`, for what may have gaps between its links.
pub(super) fn under(links: &[Link], y: f64, letter: f64, marks: &mut Vec<Mark>) -> f64 {
    chain(links, y, letter, Side::Under, marks)
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Side {
    Above,
    Under,
}

fn chain(links: &[Link], y: f64, letter: f64, side: Side, marks: &mut Vec<Mark>) -> f64 {
    let away = match side {
        Side::Above => -letter,
        Side::Under => letter,
    };
    let line = y + away * 1.3;
    for link in links {
        marks.push(Mark::stroke(
            Line::Dimension,
            [(link.from, line), (link.to, line)],
        ));
    }
    let mut ends: Vec<f64> = links.iter().flat_map(|link| [link.from, link.to]).collect();
    ends.dedup_by(|a, b| (*a - *b).abs() < 1e-9);
    for end in ends {
        marks.push(Mark::stroke(
            Line::Dimension,
            [(end, y + away * 0.4), (end, line + away * 0.5)],
        ));
        marks.push(tick(end, line, letter));
    }
    // Words come last, on ground of their own, so that no line to another one runs through them.
    let mut words = Vec::with_capacity(links.len());
    let mut rows: Vec<f64> = Vec::new();
    let mut farthest = 0;
    for link in links {
        let middle = (link.from + link.to) / 2.0;
        let half = width_of(&link.text, letter) / 2.0;
        let fits = half * 2.0 <= link.to - link.from - letter * 0.4;
        let row = rows
            .iter()
            .position(|end| *end + letter * 0.6 < middle - half)
            // What is too narrow for its words does not stand in the first row, between its ticks.
            .filter(|row| fits || *row > 0)
            .unwrap_or_else(|| {
                if !fits && rows.is_empty() {
                    rows.push(f64::NEG_INFINITY);
                }
                let free = (usize::from(!fits)..rows.len())
                    .find(|row| rows[*row] + letter * 0.6 < middle - half);
                free.unwrap_or_else(|| {
                    rows.push(f64::NEG_INFINITY);
                    rows.len() - 1
                })
            });
        rows[row] = middle + half;
        farthest = farthest.max(row);
        let out = row as f64 * 1.35;
        let (base, edge) = match side {
            Side::Above => (line - letter * (0.55 + out), 0.2),
            Side::Under => (line + letter * (1.25 + out), -0.9),
        };
        if row > 0 {
            marks.push(Mark::stroke(
                Line::Dimension,
                [(middle, line), (middle, base + letter * edge)],
            ));
        }
        words.push(Mark::Words(Words {
            at: (middle, base),
            text: link.text.clone(),
            size: letter,
            anchor: Anchor::Middle,
            turned: false,
            strong: false,
            cleared: row > 0,
        }));
    }
    marks.append(&mut words);
    letter * (2.9 + farthest as f64 * 1.35)
}

/// One dimension below something whose lower edge lies at `y`.
pub(super) fn below(link: &Link, y: f64, letter: f64, marks: &mut Vec<Mark>) {
    let line = y + letter * 1.3;
    marks.push(Mark::stroke(
        Line::Dimension,
        [(link.from, line), (link.to, line)],
    ));
    for end in [link.from, link.to] {
        marks.push(Mark::stroke(
            Line::Dimension,
            [(end, y + letter * 0.4), (end, line + letter * 0.5)],
        ));
        marks.push(tick(end, line, letter));
    }
    marks.push(Mark::words(
        ((link.from + link.to) / 2.0, line + letter * 1.25),
        link.text.clone(),
        letter,
        Anchor::Middle,
    ));
}

/// A chain to the right of something whose right edge lies at `x`. Words stand beside their links;
/// where links are too low for them, they are spread and led to. Gives the width that it takes.
pub(super) fn beside(links: &[Link], x: f64, letter: f64, marks: &mut Vec<Mark>) -> f64 {
    let line = x + letter * 1.3;
    let leading = letter * 1.2;
    let middle = |link: &Link| (link.from + link.to) / 2.0;
    let mut at: Vec<f64> = Vec::with_capacity(links.len());
    for link in links {
        let wished = middle(link);
        let next = at.last().map_or(wished, |last| wished.max(last + leading));
        at.push(next);
    }
    // Where words have been pushed down, all of them share the way.
    let pushed = links
        .iter()
        .zip(&at)
        .map(|(link, at)| at - middle(link))
        .fold(0.0, f64::max);
    let spread = pushed > letter * 0.1;
    let mut widest = 0.0_f64;
    for (link, at) in links.iter().zip(at) {
        marks.push(Mark::stroke(
            Line::Dimension,
            [(line, link.from), (line, link.to)],
        ));
        for end in [link.from, link.to] {
            marks.push(Mark::stroke(
                Line::Dimension,
                [(x + letter * 0.4, end), (line + letter * 0.5, end)],
            ));
            marks.push(tick(line, end, letter));
        }
        let at = at - pushed / 2.0;
        let start = line + letter * if spread { 2.4 } else { 0.8 };
        if spread {
            marks.push(Mark::stroke(
                Line::Dimension,
                [
                    (line + letter * 0.5, middle(link)),
                    (line + letter * 1.3, middle(link)),
                    (line + letter * 2.2, at),
                ],
            ));
        }
        marks.push(Mark::words(
            (start, at + letter * 0.35),
            link.text.clone(),
            letter,
            Anchor::Start,
        ));
        widest = widest.max(width_of(&link.text, letter));
    }
    letter * if spread { 3.9 } else { 2.3 } + widest
}

/// One upright dimension to the left of something whose left edge lies at `x`. Gives its width.
pub(super) fn to_the_left(link: &Link, x: f64, letter: f64, marks: &mut Vec<Mark>) -> f64 {
    let line = x - letter * 1.3;
    marks.push(Mark::stroke(
        Line::Dimension,
        [(line, link.from), (line, link.to)],
    ));
    for end in [link.from, link.to] {
        marks.push(Mark::stroke(
            Line::Dimension,
            [(x - letter * 0.4, end), (line - letter * 0.5, end)],
        ));
        marks.push(tick(line, end, letter));
    }
    marks.push(Mark::words(
        (
            line - letter * 0.8,
            (link.from + link.to) / 2.0 + letter * 0.35,
        ),
        link.text.clone(),
        letter,
        Anchor::End,
    ));
    letter * 2.6 + width_of(&link.text, letter)
}

fn tick(x: f64, y: f64, letter: f64) -> Mark {
    let reach = letter * 0.28;
    Mark::stroke(
        Line::Dimension,
        [(x - reach, y + reach), (x + reach, y - reach)],
    )
}
