//! The printer's template laid over our sheet: every difference in millimetres, which side to
//! believe, and what to take over.

mod aligned;
mod verdict;

use finding::{Finding, Place, Severity};
use measure::{Length, Rect, Size};

use super::MeasuredError;
use super::source::edit;
use crate::edit::Edit;
use crate::model::Book;
use crate::object::{Allowance, FlatKind, FlatSheet, Fold, Object};
use aligned::{Line, Matched, align};
use verdict::Theirs;

pub use verdict::{Believe, Difference};

/// A straight line of the template, upright or level.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Guide {
    /// Whether it runs from head to foot; otherwise from side to side.
    pub upright: bool,
    /// Where it stands across its run, from the left or the upper edge of the template's page.
    pub at: Length,
    /// Where it begins along its run.
    pub from: Length,
    /// Where it ends.
    pub to: Length,
}

/// A template as it was drawn, measured from the upper left corner of its page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Guides {
    /// The page.
    pub page: Size,
    /// Its trim box, if it says one.
    pub trim: Option<Rect>,
    /// Its bleed box, if it says one.
    pub bleed: Option<Rect>,
    /// Its straight lines.
    pub lines: Vec<Guide>,
}

/// A line of the template laid over our sheet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LaidLine {
    /// Whether it runs from head to foot.
    pub upright: bool,
    /// Where it stands, from the left or the upper edge of our trimmed sheet.
    pub at: Length,
    /// Where it begins along its run, on our sheet.
    pub from: Length,
    /// Where it ends.
    pub to: Length,
    /// The edge or fold of ours that it was taken for: `spine | front`; `None` for any other line.
    pub taken_for: Option<String>,
    /// Where ours stands.
    pub ours: Option<Length>,
}

/// A template laid over our sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct Laid {
    /// Which sheet.
    pub kind: FlatKind,
    /// Every figure that both sides have.
    pub differences: Vec<Difference>,
    /// Figures of ours that the template does not show.
    pub unseen: Vec<String>,
    /// Its lines on our sheet; none when its figures were typed in.
    pub lines: Vec<LaidLine>,
    /// Its trim box on our sheet, if it states one.
    pub trim: Option<Rect>,
    /// Its bleed box on our sheet, if it states one.
    pub bleed: Option<Rect>,
    /// What to be careful about.
    pub findings: Vec<Finding>,
}

/// Names of the figures of a sheet that a template may state, each with ours.
pub fn figures(flat: &FlatSheet) -> Vec<(&'static str, Length)> {
    let mut figures = vec![("width", flat.trim.width), ("height", flat.trim.height)];
    match flat.allowance {
        Allowance::Bleed(bleed) => figures.push(("bleed", bleed)),
        Allowance::TurnIn(by) => {
            figures.push(("turn-in", by));
            figures.push(("board height", flat.trim.height - by * 2));
        }
    }
    let mut panels: Vec<_> = flat
        .panels
        .iter()
        .filter(|panel| !panel.name.contains("turn-in"))
        .collect();
    panels.sort_by_key(|panel| panel.rect.x);
    figures.extend(panels.iter().map(|panel| (panel.name, panel.rect.width)));
    figures
}

impl Laid {
    /// Lays figures that somebody has read off a template over our sheet.
    ///
    /// Figures go by the names of [`figures`]; `hinge`, `flap`, `tuck` and `board` mean both of
    /// those, or front and back.
    ///
    /// # Errors
    /// The book has no such sheet, the sheet no such figure, or a figure that none has.
    pub fn typed(
        book: &Book,
        object: &Object,
        kind: FlatKind,
        typed: &[(String, Length)],
    ) -> Result<Self, MeasuredError> {
        let flat = sheet(object, kind)?;
        let figures = figures(flat);
        let mut theirs = Vec::new();
        for (name, length) in typed {
            let wanted = name.trim().to_lowercase().replace(['_', '-'], " ");
            let both: &[&str] = match wanted.as_str() {
                "hinge" => &["front hinge", "back hinge"],
                "flap" => &["front flap", "back flap"],
                "tuck" => &["front tuck", "back tuck"],
                "board" => &["front", "back"],
                _ => &[],
            };
            let found: Vec<&'static str> = figures
                .iter()
                .map(|(known, _)| *known)
                .filter(|known| known.replace('-', " ") == wanted || both.contains(known))
                .collect();
            if found.is_empty() {
                let known: Vec<&str> = figures.iter().map(|(known, _)| *known).collect();
                return Err(MeasuredError::NoSuchFigure {
                    sheet: kind.word(),
                    found: name.clone(),
                    known: known.join(", "),
                });
            }
            if !(0.0..=3000.0).contains(&length.mm()) {
                return Err(MeasuredError::OutOfRange {
                    what: "a figure of the template",
                    found: length.to_string(),
                    range: "0 to 3,000 mm",
                });
            }
            theirs.extend(found.into_iter().map(|name| Theirs {
                name,
                length: *length,
                doubt: None,
            }));
        }
        if theirs.is_empty() {
            return Err(MeasuredError::Nothing {
                missing: "no figure of the template was given",
            });
        }
        Ok(Self::judged(book, object, flat, &theirs, Vec::new()))
    }

    /// Lays a drawn template over our sheet.
    ///
    /// Its lines are matched to our edges and folds in their order, so that the gaps between them
    /// differ as little as they can; what is sure (a page that the book decides) counts for more
    /// than what is not (a spine). Nothing has to be centred.
    ///
    /// # Errors
    /// The book has no such sheet, or the template shows nothing to compare with.
    pub fn drawn(
        book: &Book,
        object: &Object,
        kind: FlatKind,
        guides: &Guides,
    ) -> Result<Self, MeasuredError> {
        let flat = sheet(object, kind)?;
        let across = align(&ours(flat, true), &theirs_of(guides, true));
        let down = align(&ours(flat, false), &theirs_of(guides, false));
        if across.pairs.len() < 2 && down.pairs.len() < 2 {
            return Err(MeasuredError::Nothing {
                missing: "the template shows no boxes and no straight lines that anything of this \
                          sheet could be",
            });
        }
        let theirs = measured(flat, guides, &across, &down);
        let lines = laid(guides, &across, &down);
        let mut laid = Self::judged(book, object, flat, &theirs, lines);
        let on_ours = |rect: Rect| rect.moved(across.shift(), down.shift());
        laid.trim = guides.trim.map(on_ours);
        laid.bleed = guides.bleed.map(on_ours);
        if guides.trim.is_none() {
            laid.findings.push(
                Finding::new(
                    "book-template-without-trim",
                    Severity::Note,
                    Place::Whole,
                    "The template states no trim box: its edges are told by its lines alone.",
                )
                .hint("Hold what it says against the figures on the printer's page."),
            );
        }
        Ok(laid)
    }

    /// All figures that are to be believed of the printer, as one change of the book, each with its
    /// source in words; `None` when there is nothing to take over.
    pub fn edit(&self, source: &str) -> Option<Edit> {
        self.edit_of(source, |one| one.believe == Believe::Theirs)
    }

    /// One figure of the printer's, which somebody has asked about, by its name: whoever is to be
    /// believed. `None` when it is not there, or nothing of the book would be set by it.
    pub fn edit_figure(&self, what: &str, source: &str) -> Option<Edit> {
        self.edit_of(source, |one| {
            one.what == what && one.believe != Believe::Same
        })
    }

    fn edit_of(&self, source: &str, wanted: impl Fn(&Difference) -> bool) -> Option<Edit> {
        let accepted: Vec<_> = self
            .differences
            .iter()
            .filter(|one| wanted(one))
            .filter_map(|one| one.accepted.clone())
            .fold(Vec::new(), |mut kept, one| {
                // Front and back say the same thing twice.
                if kept
                    .iter()
                    .all(|other: &super::source::Accepted| other.key != one.key)
                {
                    kept.push(one);
                }
                kept
            });
        let what = format!("Took the figures of {source} for the {}", self.kind.word());
        edit(&accepted, source, &what)
    }

    fn judged(
        book: &Book,
        object: &Object,
        flat: &FlatSheet,
        theirs: &[Theirs],
        lines: Vec<LaidLine>,
    ) -> Self {
        let figures = figures(flat);
        let mut differences = verdict::differences(book, object, flat, &figures, theirs);
        differences.dedup();
        let unseen = figures
            .iter()
            .map(|(name, _)| *name)
            .filter(|name| theirs.iter().all(|one| one.name != *name))
            .map(str::to_owned)
            .collect();
        let findings = verdict::findings(flat, &differences);
        Self {
            kind: flat.kind,
            differences,
            unseen,
            lines,
            trim: None,
            bleed: None,
            findings,
        }
    }
}

/// A line that ends so near to the edge of the sheet reaches it. Our assumption.
const END: Length = Length::from_nm(500_000);

/// Marks stand no further from the sheet than this. Our assumption.
const BESIDE: Length = Length::from_nm(25_000_000);

fn sheet(object: &Object, kind: FlatKind) -> Result<&FlatSheet, MeasuredError> {
    object
        .flat(kind)
        .ok_or(MeasuredError::NoSuchSheet { sheet: kind.word() })
}

/// Our edges and folds across one direction, in order, with how sure the gap before each is.
fn ours(flat: &FlatSheet, upright: bool) -> Vec<Line> {
    let far = if upright {
        flat.trim.width
    } else {
        flat.trim.height
    };
    let mut lines = vec![Line::edge(Length::ZERO, false), Line::edge(far, false)];
    if let Allowance::Bleed(bleed) = flat.allowance
        && bleed > Length::ZERO
    {
        lines.push(Line::edge(-bleed, true));
        lines.push(Line::edge(far + bleed, true));
    }
    for fold in &flat.folds {
        match fold {
            Fold::Upright(at) if upright => lines.push(Line::fold(*at)),
            Fold::Level(at) if !upright => lines.push(Line::fold(*at)),
            _ => {}
        }
    }
    lines.sort_by_key(|line| line.at);
    // The page is decided by the book, a board nearly; a spine may be anything.
    for index in 1..lines.len() {
        let (before, after) = (lines[index - 1].at, lines[index].at);
        let middle = before + (after - before) / 2;
        let panel = flat.panels.iter().find(|panel| {
            let (low, high) = if upright {
                (panel.rect.x, panel.rect.right())
            } else {
                (panel.rect.y, panel.rect.bottom())
            };
            (low..high).contains(&middle) && !panel.name.contains("turn-in")
        });
        lines[index].after_spine = upright && panel.is_some_and(|panel| panel.name == "spine");
        lines[index].sure = match (upright, panel.map(|panel| panel.name)) {
            (false, Some(_)) => 3.0,
            (true, Some("front" | "back")) => 3.0,
            (true, Some("spine")) => 1.0,
            _ => 1.5,
        };
    }
    lines
}

/// The lines and box edges of a template across one direction, in order.
fn theirs_of(guides: &Guides, upright: bool) -> Vec<Line> {
    let along = |rect: Rect| {
        if upright {
            (rect.y, rect.bottom())
        } else {
            (rect.x, rect.right())
        }
    };
    let run = guides.trim.map(along);
    let page = if upright {
        guides.page.height
    } else {
        guides.page.width
    };
    let far = run.map_or(page, |(from, to)| to - from);
    // What lies far beyond the sheet, such as a small drawing below it, is no mark of it.
    let near = |guide: &&Guide| {
        run.is_none_or(|(from, to)| guide.to >= from - BESIDE && guide.from <= to + BESIDE)
    };
    let those = || {
        let along = guides.lines.iter().filter(|guide| guide.upright == upright);
        along.filter(near)
    };
    // Marks at both ends of the sheet are one line whose middle is left out.
    let reach = |at: Length| {
        let same = those().filter(|guide| (guide.at - at).abs() <= aligned::SAME);
        same.fold(None, |reach: Option<(Length, Length)>, guide| {
            let (from, to) = reach.unwrap_or((guide.from, guide.to));
            Some((from.min(guide.from), to.max(guide.to)))
        })
    };
    let longest = those()
        .filter_map(|guide| reach(guide.at))
        .map(|(from, to)| to - from)
        .max()
        .unwrap_or(Length::ZERO);
    let whole = |at: Length| {
        let Some((from, to)) = reach(at) else {
            return true;
        };
        match run {
            Some((first, last)) => from <= first + END && to >= last - END,
            None => (to - from).ratio(longest) >= 0.98,
        }
    };
    let mut lines: Vec<Line> = those()
        .map(|guide| Line {
            at: guide.at,
            sure: 1.0,
            edge: None,
            long: guide.to - guide.from,
            short: (guide.to - guide.from).ratio(far) < 0.3,
            whole: whole(guide.at),
            after_spine: false,
        })
        .collect();
    for (rect, is_bleed) in [(guides.trim, false), (guides.bleed, true)] {
        let Some(rect) = rect else { continue };
        // A bleed box that is the trim box says nothing of its own.
        if is_bleed && guides.trim == Some(rect) {
            continue;
        }
        let sides = if upright {
            [rect.x, rect.right()]
        } else {
            [rect.y, rect.bottom()]
        };
        lines.extend(sides.map(|at| Line::edge(at, is_bleed)));
    }
    aligned::tidied(lines)
}

/// Their figures, where both ends of them were found.
fn measured(flat: &FlatSheet, guides: &Guides, across: &Matched, down: &Matched) -> Vec<Theirs> {
    let mut theirs = Vec::new();
    let mut add = |name, found: Option<(Length, Option<String>)>| {
        if let Some((length, doubt)) = found {
            theirs.push(Theirs {
                name,
                length,
                doubt,
            });
        }
    };
    let (width, height) = (flat.trim.width, flat.trim.height);
    add("width", across.between(Length::ZERO, width));
    add("height", down.between(Length::ZERO, height));
    match flat.allowance {
        Allowance::Bleed(bleed) => {
            let said = guides.trim.zip(guides.bleed).map(|(trim, bleed)| {
                [
                    trim.x - bleed.x,
                    trim.y - bleed.y,
                    bleed.right() - trim.right(),
                    bleed.bottom() - trim.bottom(),
                ]
                .into_iter()
                .min()
                .unwrap_or(Length::ZERO)
            });
            let said = said
                .filter(|bleed| *bleed > Length::ZERO)
                .map(|bleed| (bleed, None));
            let drawn = across.between(-bleed, Length::ZERO);
            add("bleed", said.or(drawn));
        }
        Allowance::TurnIn(by) => {
            add("turn-in", down.between(Length::ZERO, by));
            add("board height", down.between(by, height - by));
        }
    }
    for panel in flat
        .panels
        .iter()
        .filter(|panel| !panel.name.contains("turn-in"))
    {
        add(panel.name, across.between(panel.rect.x, panel.rect.right()));
    }
    theirs
}

/// Every line of the template on our sheet, with what it was taken for.
fn laid(guides: &Guides, across: &Matched, down: &Matched) -> Vec<LaidLine> {
    let (right, lower) = (across.shift(), down.shift());
    guides
        .lines
        .iter()
        .map(|guide| {
            let (matched, own, along) = if guide.upright {
                (across, right, lower)
            } else {
                (down, lower, right)
            };
            let pair = matched.pair_of(guide.at);
            LaidLine {
                upright: guide.upright,
                at: guide.at + own,
                from: guide.from + along,
                to: guide.to + along,
                taken_for: pair.map(|pair| pair.name()),
                ours: pair.map(|pair| pair.ours),
            }
        })
        .collect()
}
