//! Asking printers for prices.

use desk::{Desk, DeskError, RequestView};
use serde_json::{Value, json};

use crate::arguments::Ask;
use crate::outcome::{Outcome, counted};

/// Asks, or lists what was asked.
pub fn ask(desk: &Desk, ask: &Ask) -> Result<Outcome, DeskError> {
    match &ask.key {
        Some(key) if ask.show => {
            let words = desk.request_words(key)?;
            Ok(Outcome::new(words.trim_end(), json!({ "e_mail": words })))
        }
        Some(key) => written(&desk.ask(Some(key), ask.dated)?),
        None if ask.all => written(&desk.ask(None, ask.dated)?),
        None => list(desk),
    }
}

fn written(requests: &[RequestView]) -> Result<Outcome, DeskError> {
    let mut lines = Vec::new();
    for request in requests {
        lines.push(format!(
            "{}  {}: {}",
            request.reference,
            request.name,
            quantities(request)
        ));
        lines.extend(request.files.iter().map(|file| format!("  {file}")));
    }
    Ok(Outcome::new(lines.join("\n"), document(requests)).advising(
        "Nothing was sent. Look at the letter, then send letter and sheet yourself; the sheet that comes\n  \
         back filled in is read with\n  foredge prices read FILE",
    ))
}

fn list(desk: &Desk) -> Result<Outcome, DeskError> {
    let requests = desk.requests()?;
    let json = document(&requests);
    if requests.is_empty() {
        return Ok(Outcome::new("Nobody was asked yet.", json)
            .advising("Ask every printer of the book: foredge ask --all"));
    }
    let blocks: Vec<String> = requests.iter().map(words).collect();
    Ok(Outcome::new(blocks.join("\n\n"), json))
}

fn words(request: &RequestView) -> String {
    let by = request
        .answer_by
        .map_or_else(String::new, |day| format!(", answer by {day}"));
    let mut lines = vec![format!(
        "{}  {}, {}: {}{by}",
        request.reference,
        request.name,
        request.dated,
        quantities(request)
    )];
    if request.stale.is_empty() {
        lines.push("  for the book as it is".to_owned());
    } else {
        lines.push(format!(
            "  for an older book. {}.",
            request.stale.join(". ")
        ));
    }
    if !request.terms.is_empty() {
        lines.push(format!(
            "  terms are asked otherwise by now. {}.",
            request.terms.join(". ")
        ));
    }
    lines.join("\n")
}

fn quantities(request: &RequestView) -> String {
    let all: Vec<String> = request.quantities.iter().map(u64::to_string).collect();
    match all.as_slice() {
        [only] if only == "1" => counted(1, "copy"),
        _ => format!("{} copies", all.join(", ")),
    }
}

fn document(requests: &[RequestView]) -> Value {
    let one = |request: &RequestView| {
        json!({
            "number": request.number,
            "reference": request.reference,
            "written_at": request.at,
            "dated": request.dated.to_string(),
            "printer": request.printer,
            "name": request.name,
            "digest": request.digest,
            "quantities": request.quantities,
            "answer_by": request.answer_by.map(|day| day.to_string()),
            "files": request.files,
            "stale": request.stale,
            "terms_changed": request.terms,
        })
    };
    json!({ "requests": requests.iter().map(one).collect::<Vec<_>>() })
}
