//! Answers side by side: what one good copy costs in hand.

use desk::price::compare::{Column, Dearer, Point};
use desk::price::landed::{Landed, Part, PartKind};
use desk::{AnswerView, ComparisonView, Desk, DeskError, PRICES_CAUTION};
use serde_json::{Value, json};

use super::answers;
use crate::outcome::{Outcome, columns, table};

/// All answers that stand, on one footing.
pub fn compared(desk: &Desk, at: &[u64]) -> Result<Outcome, DeskError> {
    let view = desk.comparison(at)?;
    let json = document(&view);
    if view.answers.is_empty() {
        return Ok(Outcome::new("No answer was read yet.", json)
            .advising("Read one: foredge prices read FILE"));
    }
    let mut blocks = vec![table_of(&view)];
    if let Some(ranges) = ranges(&view) {
        blocks.push(ranges);
    }
    blocks.push(side_by_side(&view));
    blocks.extend(dearer(&view));
    blocks.extend(known(&view));
    blocks.push(PRICES_CAUTION.to_owned());
    Ok(Outcome::new(blocks.join("\n\n"), json).advising(
        "One answer part by part: foredge prices show NUMBER\n\
         All as they were read:   foredge prices answers",
    ))
}

/// One answer for one quantity.
pub(super) fn one(desk: &Desk, answer: u32, copies: Option<u64>) -> Result<Outcome, DeskError> {
    let wish = copies.or(desk.snapshot()?.book.ask.copies);
    let at: Vec<u64> = wish.into_iter().collect();
    let view = desk.comparison(&at)?;
    let place = view.answers.iter().position(|one| one.number == answer);
    let Some(place) = place else {
        return Err(DeskError::new(
            format!("answer {answer}"),
            "there is no answer with this number that stands",
            "`foredge prices answers` lists them with their numbers.",
        ));
    };
    let named = &view.answers[place];
    let middle = view.comparison.copies.len() / 2;
    let landed = view.comparison.columns[place].landed.get(middle);
    let landed = match landed {
        Some(Ok(landed)) => landed,
        Some(Err(error)) => {
            return Err(DeskError::new(
                format!("answer {answer}"),
                error.to_string(),
                error.hint(),
            ));
        }
        None => {
            return Err(DeskError::new(
                "book.toml",
                "the book does not say how many copies are wished for",
                "Say it: foredge prices show NUMBER --copies 800",
            ));
        }
    };
    let mut blocks = vec![
        format!("{}, {} copies in your hands:", named.name, landed.copies),
        parts(landed),
    ];
    blocks.push(last_lines(landed).join("\n"));
    let against = against(&view, place);
    if !against.is_empty() {
        blocks.push(against.join("\n"));
    }
    let to_check = to_check(&view, place);
    if !to_check.is_empty() {
        blocks.push(format!("To be checked:\n  {}", to_check.join("\n  ")));
    }
    blocks.push(PRICES_CAUTION.to_owned());
    let json = json!({
        "answer": answer,
        "name": named.name,
        "landed": landed_document(landed),
        "remarks": named.remarks(),
        "to_check": view.to_check(place),
    });
    Ok(Outcome::new(blocks.join("\n\n"), json))
}

fn table_of(view: &ComparisonView) -> String {
    let comparison = &view.comparison;
    let copies: Vec<String> = comparison.copies.iter().map(u64::to_string).collect();
    let mut head = vec!["", ""];
    head.extend(copies.iter().map(String::as_str));
    let rows: Vec<Vec<String>> = view
        .answers
        .iter()
        .zip(&comparison.columns)
        .map(|(answer, column)| {
            let mut row = vec![
                answer.number.to_string(),
                format!("{}{}", answer.name, if answer.holds() { "" } else { " *" }),
            ];
            row.extend(column.landed.iter().map(each));
            row
        })
        .collect();
    let mut text = format!(
        "One good copy in your hands, in {}, by copies ordered:\n{}",
        comparison.currency,
        table(&head, &rows)
    );
    if rows.iter().any(|row| row[1].ends_with('*')) {
        text.push_str("\n* for an older book, or lapsed: see below");
    }
    if rows.iter().flatten().any(|cell| cell.starts_with('≥')) {
        text.push_str("\n≥ more in truth: something is missing, see below");
    }
    text
}

/// `11.76`; with a sign before it where something is missing in it.
fn each(landed: &Result<Landed, desk::price::PriceError>) -> String {
    match landed {
        Ok(landed) => {
            let each = landed
                .each
                .amount()
                .with_decimals(landed.each.currency().decimals());
            if landed.missing.is_empty() {
                each
            } else {
                format!("≥ {each}")
            }
        }
        Err(desk::price::PriceError::Money(desk::measure::MoneyError::TooLarge)) => {
            "too large".to_owned()
        }
        Err(_) => "–".to_owned(),
    }
}

fn ranges(view: &ComparisonView) -> Option<String> {
    let ranges = &view.comparison.ranges;
    if view.answers.len() < 2 || ranges.is_empty() {
        return None;
    }
    let among = if view.among_holding {
        ""
    } else {
        ", though no answer holds for the book as it is"
    };
    let lines: Vec<String> = ranges
        .iter()
        .map(|range| {
            let answer = &view.answers[range.answer];
            let mut lines = vec![format!(
                "  {} to {} copies: {} (answer {}), {}",
                range.from,
                range.to,
                answer.name,
                answer.number,
                ComparisonView::how_sure(range)
            )];
            let leads = view.leads(range);
            lines.extend(leads.iter().map(|lead| format!("    {lead}")));
            lines.join("\n")
        })
        .collect();
    Some(format!("Cheapest{among}:\n{}", lines.join("\n")))
}

/// The parts of the middle quantity, printer by printer.
fn side_by_side(view: &ComparisonView) -> String {
    let comparison = &view.comparison;
    let middle = comparison.copies.len() / 2;
    let Some(copies) = comparison.copies.get(middle) else {
        return "The book does not say how many copies are wished for: foredge set ask.copies 800"
            .to_owned();
    };
    let landed: Vec<Option<&Landed>> = comparison
        .columns
        .iter()
        .map(|column| column.landed[middle].as_ref().ok())
        .collect();
    let mut names: Vec<(PartKind, &str)> = Vec::new();
    for part in landed.iter().flatten().flat_map(|landed| &landed.parts) {
        if !names.contains(&(part.kind, part.what.as_str())) {
            names.push((part.kind, &part.what));
        }
    }
    names.sort_by_key(|(kind, _)| *kind);
    let mut rows: Vec<Vec<String>> = Vec::new();
    for (kind, what) in names {
        let mut row = vec![what.to_owned()];
        row.extend(landed.iter().map(|landed| {
            let part = landed.and_then(|landed| {
                let mut parts = landed.parts.iter();
                parts.find(|part| part.kind == kind && part.what == what)
            });
            part.map_or_else(String::new, amount)
        }));
        rows.push(row);
    }
    let mut last = |what: &str, of: &dyn Fn(&Landed) -> String| {
        let mut row = vec![what.to_owned()];
        row.extend(
            landed
                .iter()
                .map(|landed| landed.map_or_else(String::new, of)),
        );
        rows.push(row);
    };
    last("in all", &|landed| plain(landed.total));
    last("good copies", &|landed| landed.good.to_string());
    last("one good copy", &|landed| {
        landed
            .each
            .amount()
            .with_decimals(landed.each.currency().decimals())
    });
    let mut head = vec![String::new()];
    head.extend(view.answers.iter().map(|answer| answer.name.clone()));
    let mut all = vec![head];
    all.extend(rows);
    format!(
        "{copies} copies, in {} (~ not by the printer: an estimate, or by the delivery term):\n{}",
        comparison.currency,
        right(&all)
    )
}

/// Columns of figures to the right, the first one to the left.
fn right(rows: &[Vec<String>]) -> String {
    let width = |column: usize| {
        let cells = rows.iter().filter_map(|row| row.get(column));
        cells.map(|cell| cell.chars().count()).max().unwrap_or(0)
    };
    let lines: Vec<String> = rows
        .iter()
        .map(|row| {
            let cells: Vec<String> = row
                .iter()
                .enumerate()
                .map(|(column, cell)| {
                    let width = width(column);
                    if column == 0 {
                        format!("{cell:<width$}")
                    } else {
                        format!("{cell:>width$}")
                    }
                })
                .collect();
            cells.join("  ").trim_end().to_owned()
        })
        .collect();
    lines.join("\n")
}

fn amount(part: &Part) -> String {
    let sign = if part.assumed { "~ " } else { "" };
    format!("{sign}{}", plain(part.in_hand))
}

/// A sum without its currency, which stands above.
fn plain(sum: desk::measure::Money) -> String {
    let text = sum.to_string();
    text.split_once(' ')
        .map_or(text.clone(), |(_, amount)| amount.to_owned())
}

fn dearer(view: &ComparisonView) -> Option<String> {
    let lines: Vec<String> = view
        .comparison
        .dearer
        .iter()
        .filter(|dearer| !dearer.reasons.is_empty())
        .map(|dearer| {
            let mut lines = vec![format!(
                "{} What speaks for it:",
                view.how_much_dearer(dearer)
            )];
            lines.extend(dearer.reasons.iter().map(|reason| format!("  - {reason}")));
            lines.join("\n")
        })
        .collect();
    (!lines.is_empty()).then(|| lines.join("\n\n"))
}

fn known(view: &ComparisonView) -> Option<String> {
    let middle = view.comparison.copies.len() / 2;
    let blocks: Vec<String> = view
        .answers
        .iter()
        .zip(&view.comparison.columns)
        .enumerate()
        .filter_map(|(place, (answer, column))| {
            let mut lines = against(view, place);
            if let Some(Err(error)) = column.landed.get(middle) {
                lines.push(format!("! {error}. {}", error.hint()));
            }
            lines.extend(to_check(view, place));
            (!lines.is_empty()).then(|| {
                format!(
                    "{:>3}  {}\n     {}",
                    answer.number,
                    answer.name,
                    lines.join("\n     ")
                )
            })
        })
        .collect();
    (!blocks.is_empty()).then(|| {
        format!(
            "To be known before you decide (! speaks against the figure, - is to be checked):\n{}",
            blocks.join("\n")
        )
    })
}

fn against(view: &ComparisonView, place: usize) -> Vec<String> {
    let against = view.against(place);
    against
        .iter()
        .map(|sentence| format!("! {sentence}"))
        .collect()
}

/// What is to be checked before one orders by an answer, what is fixed in its prices, and the cash that
/// it ties up.
fn to_check(view: &ComparisonView, place: usize) -> Vec<String> {
    let made_of = view.made_of(place);
    let sentences = view.to_check(place).iter().chain(&made_of);
    sentences.map(|sentence| format!("- {sentence}")).collect()
}

fn parts(landed: &Landed) -> String {
    let rows: Vec<Vec<String>> = landed
        .parts
        .iter()
        .map(|part| {
            let said = if part.said.currency() == part.in_hand.currency() {
                String::new()
            } else {
                format!("{} = ", part.said)
            };
            let sign = if part.assumed { "~ " } else { "" };
            vec![
                format!("  {}", part.what),
                format!("{sign}{said}{}", part.in_hand),
                part.how.clone(),
            ]
        })
        .collect();
    columns(&rows)
}

fn last_lines(landed: &Landed) -> Vec<String> {
    let mut lines = vec![format!("In all {}.", landed.total)];
    if let Some((low, high)) = landed.range {
        lines.push(format!(
            "This quantity was not quoted: in all it lies between {low} and {high}."
        ));
    }
    lines.push(format!("Good copies: {}.", landed.spoilage));
    lines.push(format!("One good copy: {}.", landed.each));
    if let Some(overs) = landed.overs {
        lines.push(format!(
            "If all overs come, {} more copies cost {} more.",
            overs.copies, overs.cost
        ));
    }
    lines
}

fn document(view: &ComparisonView) -> Value {
    let comparison = &view.comparison;
    json!({
        "today": view.today.to_string(),
        "currency": comparison.currency.code(),
        "copies": comparison.copies,
        "answers": view
            .answers
            .iter()
            .zip(&comparison.columns)
            .map(|(answer, column)| column_document(answer, column))
            .collect::<Vec<_>>(),
        "cheapest": comparison
            .ranges
            .iter()
            .map(|range| {
                let said = range.missing.is_empty() && range.unsaid.is_empty();
                json!({
                    "from_copies": range.from,
                    "to_copies": range.to,
                    "answer": view.answers[range.answer].number,
                    "missing": range.missing,
                    "unsaid": range.unsaid,
                    "sure": range.is_sure(),
                    "leads": range
                        .leads
                        .iter()
                        .map(|lead| {
                            json!({
                                "copies": lead.copies,
                                "over": lead.over.map(|over| view.answers[over].number),
                                "by": lead.by.map(|by| by.decimal().to_string()),
                                "sure": lead.apart && said,
                            })
                        })
                        .collect::<Vec<_>>(),
                })
            })
            .collect::<Vec<_>>(),
        "cheapest_among_holding": view.among_holding,
        "dearer": comparison
            .dearer
            .iter()
            .map(|dearer| dearer_document(view, dearer))
            .collect::<Vec<_>>(),
        "caution": PRICES_CAUTION,
    })
}

fn column_document(answer: &AnswerView, column: &Column) -> Value {
    let mut document = answers::document(answer);
    document["holds"] = json!(answer.holds());
    document["landed"] = column
        .landed
        .iter()
        .map(|landed| match landed {
            Ok(landed) => landed_document(landed),
            Err(error) => json!({ "problem": error.to_string(), "hint": error.hint() }),
        })
        .collect();
    document["to_check"] = json!(column.to_check);
    document["tied_up"] = match column.tied {
        Some(tied) => json!({
            "sum": tied.sum.decimal().to_string(),
            "days": tied.days,
            "costs": tied.costs.map(|costs| costs.decimal().to_string()),
        }),
        None => Value::Null,
    };
    document["curve"] = column.chart.iter().map(point_document).collect();
    document["fixed_and_running"] = match &column.parts {
        Some(parts) => json!({
            "fixed": parts.fixed.decimal().to_string(),
            "running_each": parts.running.amount().to_string(),
            "fixed_within": parts
                .within
                .map(|(fixed, _)| fixed.decimal().to_string()),
            "running_within": parts
                .within
                .map(|(_, running)| running.amount().to_string()),
        }),
        None => Value::Null,
    };
    document
}

fn point_document(point: &Point) -> Value {
    json!({
        "copies": point.copies,
        "total": point.total.decimal().to_string(),
        "each": point.each.amount().to_string(),
        "quoted": point.quoted,
        "beyond": point.beyond,
    })
}

fn landed_document(landed: &Landed) -> Value {
    json!({
        "copies": landed.copies,
        "good_copies": landed.good,
        "total": landed.total.decimal().to_string(),
        "each": landed.each.amount().to_string(),
        "currency": landed.total.currency().code(),
        "between": landed.range.map(|(low, high)| {
            [low.decimal().to_string(), high.decimal().to_string()]
        }),
        "parts": landed
            .parts
            .iter()
            .map(|part| {
                json!({
                    "what": part.what,
                    "said": part.said.decimal().to_string(),
                    "said_currency": part.said.currency().code(),
                    "in_hand": part.in_hand.decimal().to_string(),
                    "how": part.how,
                    "assumed": part.assumed,
                })
            })
            .collect::<Vec<_>>(),
        "missing": landed.missing,
        "unsaid": landed.unsaid,
        "spoilage": landed.spoilage,
        "with_overs": landed.overs.map(|overs| {
            json!({ "copies": overs.copies, "cost": overs.cost.decimal().to_string() })
        }),
    })
}

fn dearer_document(view: &ComparisonView, dearer: &Dearer) -> Value {
    json!({
        "answer": view.answers[dearer.answer].number,
        "than": view.answers[dearer.than].number,
        "copies": dearer.copies,
        "by": dearer.by.decimal().to_string(),
        "reasons": dearer.reasons,
    })
}
