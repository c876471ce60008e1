//! The drawing of one flat sheet.

use finding::capital;
use measure::Rect;

use super::Drawing;
use super::dimension::{Link, above, below, beside, tenth, under};
use super::mark::{Anchor, Area, Line, Mark, Words, hatching, width_of};
use crate::object::{Allowance, FlatSheet, Fold};

/// Draws a flat sheet: trim solid, folds broken, bleed thin, no-go places hatched, each panel named
/// and each width and height said, that of no-go places below the sheet. `dressed` lies on it, and `said` says what that is.
pub(super) fn sheet(flat: &FlatSheet, letter: f64, dressed: Vec<Mark>, said: &str) -> Drawing {
    let mut marks = Vec::new();
    let over = match flat.allowance {
        Allowance::Bleed(bleed) => bleed.mm(),
        Allowance::TurnIn(_) => 0.0,
    };
    let (width, height) = (flat.trim.width.mm(), flat.trim.height.mm());
    let trim = (0.0, 0.0, width, height);
    if over > 0.0 {
        let printed = (-over, -over, width + over * 2.0, height + over * 2.0);
        marks.push(Mark::area(Area::Beyond, printed, None));
        marks.push(Mark::frame(Line::Bleed, printed));
    }
    marks.push(Mark::area(Area::Paper, trim, None));
    for no_go in &flat.no_go {
        // Narrow places are hatched closer, so that each is seen to be.
        let narrow = no_go.rect.width.min(no_go.rect.height).mm();
        let gap = (letter * 0.55).min((narrow * 0.7).max(letter * 0.2));
        marks.extend(hatching(plain(no_go.rect), gap));
    }
    for fold in &flat.folds {
        let reach = letter * 0.9;
        let points = match fold {
            Fold::Upright(x) => [(x.mm(), -over - reach), (x.mm(), height + over + reach)],
            Fold::Level(y) => [(-over - reach, y.mm()), (width + over + reach, y.mm())],
        };
        marks.push(Mark::stroke(Line::Fold, points));
    }
    marks.push(Mark::frame(Line::Trim, trim));
    for panel in &flat.panels {
        marks.extend(named(panel.name, panel.rect, letter));
    }
    marks.extend(grain(width, height, letter));
    marks.extend(dressed);

    let top = above(&columns(flat), -over, letter, &mut marks);
    let whole = Link {
        from: 0.0,
        to: width,
        text: format!("{} mm cut", tenth(width)),
    };
    let clear = clear(flat);
    let mut bottom = over;
    if !clear.is_empty() {
        bottom += under(&clear, height + over, letter, &mut marks);
    }
    below(&whole, height + bottom, letter, &mut marks);
    let mut links = rows(flat);
    if links.len() == 1 {
        links[0].text = format!("{} mm cut", tenth(height));
    }
    let mut right = beside(&links, width + over, letter, &mut marks);
    if links.len() > 1 {
        let whole = Link {
            from: 0.0,
            to: height,
            text: format!("{} mm cut", tenth(height)),
        };
        right += beside(&[whole], width + over + right, letter, &mut marks);
    }
    let mut described = format!(
        "{}: {} by {} mm cut, {}. {}.",
        capital(flat.name()),
        tenth(width),
        tenth(height),
        match flat.allowance {
            Allowance::Bleed(bleed) => format!("with {bleed} of bleed on each side"),
            Allowance::TurnIn(by) => format!("of which {by} are turned in on each side"),
        },
        flat.panels
            .iter()
            .map(|panel| format!("{} {}", panel.name, tenth(panel.rect.width.mm())))
            .collect::<Vec<_>>()
            .join(", ")
    );
    if !said.is_empty() {
        described.push(' ');
        described.push_str(said);
    }
    // Words of a narrow panel at the edge reach out over it.
    let (out, end) = marks
        .iter()
        .filter_map(Mark::reach)
        .fold((0.0, width + over + right), |(out, end), (from, to)| {
            (f64::min(out, from), f64::max(end, to))
        });
    let left = (over + letter * 1.6).max(letter * 0.3 - out);
    bottom += letter * 4.2;
    Drawing {
        name: flat.name().to_owned(),
        described,
        size: (left + end + letter, top + over + height + bottom),
        marks: marks
            .into_iter()
            .map(|mark| mark.moved(left, top + over))
            .collect(),
    }
}

fn plain(rect: Rect) -> (f64, f64, f64, f64) {
    (rect.x.mm(), rect.y.mm(), rect.width.mm(), rect.height.mm())
}

/// The name of a panel in its middle, turned where it is narrow, left to the chain of dimensions
/// where it does not fit at all.
fn named(name: &str, rect: Rect, letter: f64) -> Option<Mark> {
    let (x, y, width, height) = plain(rect);
    let long = width_of(name, letter) + letter;
    let turned = width < long;
    if turned && (width < letter * 1.6 || height < long) || height < letter * 1.4 {
        return None;
    }
    let at = if turned {
        (x + width / 2.0 + letter * 0.35, y + height / 2.0)
    } else {
        (x + width / 2.0, y + height / 2.0 + letter * 0.35)
    };
    Some(Mark::Words(Words {
        at,
        text: name.to_owned(),
        size: letter,
        anchor: Anchor::Middle,
        turned,
        strong: true,
        cleared: true,
    }))
}

/// An arrow along the grain, near the foot of the sheet.
fn grain(width: f64, height: f64, letter: f64) -> Vec<Mark> {
    let long = (height * 0.12).clamp(letter * 3.0, letter * 8.0);
    if height < letter * 16.0 || width < letter * 12.0 {
        return Vec::new();
    }
    let x = width * 0.75;
    let (top, foot) = (height * 0.8 - long / 2.0, height * 0.8 + long / 2.0);
    let head = letter * 0.5;
    vec![
        Mark::stroke(Line::Edge, [(x, top), (x, foot)]),
        Mark::stroke(
            Line::Edge,
            [(x - head, top + head), (x, top), (x + head, top + head)],
        ),
        Mark::stroke(
            Line::Edge,
            [(x - head, foot - head), (x, foot), (x + head, foot - head)],
        ),
        Mark::Words(Words {
            at: (x + letter * 0.8, height * 0.8 + letter * 0.35),
            text: "grain".to_owned(),
            size: letter,
            anchor: Anchor::Start,
            turned: false,
            strong: false,
            cleared: true,
        }),
    ]
}

/// Widths from left to right. Names that do not stand in their panels stand here.
fn columns(flat: &FlatSheet) -> Vec<Link> {
    let row = flat
        .panels
        .iter()
        .filter(|panel| panel.rect.height * 2 > flat.trim.height);
    let mut links: Vec<Link> = row
        .map(|panel| {
            let (from, _, width, _) = plain(panel.rect);
            Link {
                from,
                to: from + width,
                text: if panel.name.contains("turn-in") {
                    format!("turn-in {}", tenth(width))
                } else {
                    format!("{} {}", panel.name, tenth(width))
                },
            }
        })
        .collect();
    links.sort_by(|a, b| a.from.total_cmp(&b.from));
    links
}

/// Heights from head to foot.
fn rows(flat: &FlatSheet) -> Vec<Link> {
    let height = flat.trim.height.mm();
    let mut cuts = vec![0.0, height];
    for fold in &flat.folds {
        if let Fold::Level(y) = fold {
            cuts.push(y.mm());
        }
    }
    cuts.sort_by(f64::total_cmp);
    cuts.windows(2)
        .map(|pair| Link {
            from: pair[0],
            to: pair[1],
            text: tenth(pair[1] - pair[0]),
        })
        .collect()
}

/// Widths of the no-go places that run from head to foot, those that meet taken together. What is a
/// panel of its own has its width above the sheet.
fn clear(flat: &FlatSheet) -> Vec<Link> {
    let mut places: Vec<(f64, f64)> = flat
        .no_go
        .iter()
        .map(|no_go| no_go.rect)
        .filter(|rect| rect.height >= rect.width)
        .filter(|rect| !flat.panels.iter().any(|panel| panel.rect == *rect))
        .map(|rect| (rect.x.mm(), rect.right().mm()))
        .collect();
    places.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut joined: Vec<(f64, f64)> = Vec::with_capacity(places.len());
    for (from, to) in places {
        match joined.last_mut() {
            Some(last) if from <= last.1 + 1e-6 => last.1 = last.1.max(to),
            _ => joined.push((from, to)),
        }
    }
    joined
        .into_iter()
        .map(|(from, to)| Link {
            from,
            to,
            text: format!("clear {}", tenth(to - from)),
        })
        .collect()
}
