use desk::book::plan::{Cause, Page, Plan, ReaderPage, Section, Side};
use desk::{Desk, DeskError, Snapshot};
use serde_json::{Value, json};

use crate::outcome::{Outcome, counted};

/// Columns of one page in the strip.
const WIDE: usize = 24;

/// The running order as a strip of openings, with the signatures marked.
pub fn show(desk: &Desk) -> Result<Outcome, DeskError> {
    let snapshot = desk.snapshot()?;
    let mut lines = vec![format!(
        "{}: {} in {}",
        snapshot.book.about.title,
        counted(snapshot.plan.pages.len(), "page"),
        counted(snapshot.plan.sections.len(), "signature")
    )];
    lines.push(String::new());
    lines.extend(strip(&snapshot));
    lines.push(String::new());
    lines.extend(entries(&snapshot));
    Ok(Outcome::new(lines.join("\n"), document(&snapshot)).with_findings(&snapshot.findings))
}

/// One line an opening: the left page, the fold, the right page.
fn strip(snapshot: &Snapshot) -> Vec<String> {
    let plan = &snapshot.plan;
    let mut lines = Vec::new();
    let mut left: Option<&Page> = None;
    let mut section = 0;
    for page in &plan.pages {
        if let Some(begins) = plan.sections.get(section)
            && page.number == begins.first
        {
            section += 1;
            if let Some(page) = left.take() {
                lines.push(opening(snapshot, Some(page), None));
            }
            lines.push(rule(begins, section));
        }
        match page.number.side() {
            Side::Left => left = Some(page),
            Side::Right => lines.push(opening(snapshot, left.take(), Some(page))),
        }
    }
    if let Some(page) = left {
        lines.push(opening(snapshot, Some(page), None));
    }
    lines
}

fn rule(section: &Section, number: usize) -> String {
    let text = format!(
        " signature {number}: pages {}–{} ",
        section.first.0,
        section.first.0 + section.pages - 1
    );
    format!("──{text:─<width$}", width = 2 * WIDE + 11)
}

fn opening(snapshot: &Snapshot, left: Option<&Page>, right: Option<&Page>) -> String {
    let crosses = matches!((left, right), (Some(left), Some(right))
        if left.cause == right.cause && is_spread(snapshot, left));
    let fill = if crosses { '═' } else { ' ' };
    let cell = |page: Option<&Page>, towards_fold_left: bool| -> String {
        let name = page.map_or_else(String::new, |page| name_of(snapshot, page));
        let name: String = name.chars().take(WIDE).collect();
        let pad: String =
            std::iter::repeat_n(fill, WIDE.saturating_sub(name.chars().count())).collect();
        match (page, towards_fold_left) {
            (None, _) => " ".repeat(WIDE + 6),
            (Some(page), false) => format!("{:>4}  {name}{pad}", page.number.0),
            (Some(page), true) => format!("{pad}{name}  {:<4}", page.number.0),
        }
    };
    let fold = if crosses { '╪' } else { '│' };
    format!("{}{fold}{}", cell(left, false), cell(right, true))
        .trim_end()
        .to_owned()
}

fn is_spread(snapshot: &Snapshot, page: &Page) -> bool {
    match page.cause {
        Cause::Entry(index) => snapshot
            .book
            .running_order
            .get(index)
            .is_some_and(|entry| entry.treatment.word() == "spread"),
        Cause::ForcedByFold { .. } | Cause::ForcedBySignature => false,
    }
}

fn name_of(snapshot: &Snapshot, page: &Page) -> String {
    match page.cause {
        Cause::Entry(index) => snapshot
            .book
            .running_order
            .get(index)
            .map_or_else(String::new, |entry| entry.name.clone()),
        Cause::ForcedByFold { .. } => "(blank before a spread)".to_owned(),
        Cause::ForcedBySignature => "(blank)".to_owned(),
    }
}

/// The entries with their places, by which they are moved.
fn entries(snapshot: &Snapshot) -> Vec<String> {
    let rows: Vec<Vec<String>> = snapshot
        .book
        .running_order
        .iter()
        .enumerate()
        .map(|(index, entry)| {
            let pieces: Vec<&str> = entry
                .treatment
                .pictures()
                .iter()
                .map(|wanted| wanted.piece.as_str())
                .collect();
            vec![
                (index + 1).to_string(),
                entry.name.clone(),
                entry.treatment.word().to_owned(),
                span(&snapshot.plan, index),
                pieces.join(", "),
            ]
        })
        .collect();
    crate::outcome::table(&["place", "entry", "treatment", "pages", "art"], &rows)
        .lines()
        .map(str::to_owned)
        .collect()
}

fn span(plan: &Plan, entry: usize) -> String {
    let pages: Vec<ReaderPage> = plan.pages_of(entry).collect();
    match pages[..] {
        [] => "–".to_owned(),
        [only] => only.0.to_string(),
        [first, .., last] => format!("{}–{}", first.0, last.0),
    }
}

fn document(snapshot: &Snapshot) -> Value {
    let plan = &snapshot.plan;
    let pages: Vec<Value> = plan
        .pages
        .iter()
        .map(|page| {
            let (cause, entry) = match page.cause {
                Cause::Entry(index) => ("entry", snapshot.book.running_order.get(index)),
                Cause::ForcedByFold { .. } => ("blank before a spread", None),
                Cause::ForcedBySignature => ("blank to fill the signature", None),
            };
            json!({
                "page": page.number.0,
                "because": cause,
                "entry": entry.map(|entry| &entry.name),
                "treatment": entry.map(|entry| entry.treatment.word()),
                "pieces": page.pictures.iter().map(|placed| &placed.piece).collect::<Vec<_>>(),
            })
        })
        .collect();
    let order: Vec<Value> = snapshot
        .book
        .running_order
        .iter()
        .enumerate()
        .map(|(index, entry)| {
            json!({
                "place": index + 1,
                "name": entry.name,
                "treatment": entry.treatment.word(),
                "pages": plan.pages_of(index).map(|page| page.0).collect::<Vec<_>>(),
            })
        })
        .collect();
    let signatures: Vec<Value> = plan
        .sections
        .iter()
        .map(|section| json!({ "first_page": section.first.0, "pages": section.pages }))
        .collect();
    json!({ "pages": pages, "running_order": order, "signatures": signatures })
}
