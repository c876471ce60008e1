//! How it stands with prices, for the status and for what an edit makes stale.

use book::Printer;

use super::answers::{self, AnswerView};
use super::requests::{self, RequestView};
use super::specified;
use crate::standing::Standing;
use crate::status::counted;
use crate::{Desk, DeskError, Stage, StageState, moment};
use finding::capital;

type Said = (StageState, String, String);

/// The stage of the prices.
pub(crate) fn stage(desk: &Desk) -> Result<Stage, DeskError> {
    let standing = desk.standing()?;
    let printers = &standing.snapshot.book.printers;
    let requests = requests::all(desk)?;
    let mut answers = answers::all(desk)?;
    answers.retain(AnswerView::stands);
    let (state, because, next) = if !answers.is_empty() {
        of_answers(&answers)
    } else if !requests.is_empty() {
        of_requests(&requests)
    } else {
        of_printers(printers)
    };
    Ok(Stage {
        name: "prices".to_owned(),
        state,
        because,
        next,
    })
}

fn of_printers(printers: &[Printer]) -> Said {
    if printers.is_empty() {
        return (
            StageState::Missing,
            "No printer is named yet.".to_owned(),
            "Name one: foredge printers add KEY name=\"Its name\" country=XA".to_owned(),
        );
    }
    (
        StageState::Missing,
        format!(
            "{} named, and nobody was asked yet.",
            counted(printers.len(), "printer")
        ),
        "Ask them for prices: foredge ask --all".to_owned(),
    )
}

fn of_requests(requests: &[RequestView]) -> Said {
    let newest = requests.last();
    let by = newest
        .and_then(|request| request.answer_by)
        .map_or_else(String::new, |day| {
            format!(" Answers were wished for by {}.", moment::day_in_words(day))
        });
    if let Some(stale) = requests.iter().find(|request| !request.stale.is_empty())
        && requests.iter().all(|request| !request.stale.is_empty())
    {
        return (
            StageState::Stale,
            format!(
                "{}; what was asked is for the book before that, and nobody has answered yet.",
                capital(&stale.stale.join("; "))
            ),
            "Ask anew: foredge ask --all".to_owned(),
        );
    }
    (
        StageState::Missing,
        format!(
            "{} written, no answer yet.{by}",
            counted(requests.len(), "request")
        ),
        "Type an answer in: foredge prices enter printer=KEY …".to_owned(),
    )
}

fn of_answers(answers: &[AnswerView]) -> Said {
    let stale: Vec<&AnswerView> = answers.iter().filter(|one| !one.stale.is_empty()).collect();
    let lapsed: Vec<&AnswerView> = answers
        .iter()
        .filter(|one| one.stale.is_empty() && one.lapsed_days.is_some())
        .collect();
    let good: Vec<&AnswerView> = answers.iter().filter(|one| one.holds()).collect();
    let mut sentences = Vec::new();
    if !good.is_empty() {
        sentences.push(format!(
            "{} for the book as it is ({}).",
            counted(good.len(), "answer"),
            names(&good)
        ));
    }
    if let Some(first) = stale.first() {
        let for_older = match stale.len() {
            1 => "is for the book before that",
            _ => "are for older books",
        };
        sentences.push(format!(
            "{}; {} of {} {for_older}.",
            first.stale.join("; "),
            if stale.len() == 1 {
                "the answer"
            } else {
                "the answers"
            },
            names(&stale),
        ));
    }
    if !lapsed.is_empty() {
        sentences.push(format!("The prices of {} have lapsed.", names(&lapsed)));
    }
    let late: Vec<&AnswerView> = answers
        .iter()
        .filter(|one| one.late_days.is_some())
        .collect();
    if !late.is_empty() {
        sentences.push(format!("Late was {}.", names(&late)));
    }
    let again = stale.first().or(lapsed.first());
    let next = again.map_or_else(
        || "Compare them: foredge prices".to_owned(),
        |one| format!("Ask anew: foredge ask {}", one.answer.printer),
    );
    let state = if again.is_some() {
        StageState::Stale
    } else {
        StageState::Fresh
    };
    (state, sentences.join(" "), next)
}

fn names(answers: &[&AnswerView]) -> String {
    let mut names: Vec<&str> = Vec::new();
    for answer in answers {
        if !names.contains(&answer.name.as_str()) {
            names.push(&answer.name);
        }
    }
    names.join(", ")
}

/// Prices that were for the book before a change, and are not for the book after it.
pub(crate) fn newly_stale(desk: &Desk, before: &Standing) -> Result<Vec<String>, DeskError> {
    let then = specified::now(&before.snapshot);
    let now = specified::now(&desk.standing()?.snapshot);
    if then.text() == now.text() {
        return Ok(Vec::new());
    }
    let kept = specified::kept(&then);
    let reasons = specified::since(&kept, &now).thing;
    let mut stale = Vec::new();
    for answer in answers::all(desk)? {
        // What the change itself brought about is all that makes it stale: it was for the book before.
        if answer.stands() && !answer.stale.is_empty() && answer.stale == reasons {
            stale.push(format!(
                "the prices of {} ({})",
                answer.name,
                reasons.join("; ")
            ));
        }
    }
    Ok(stale)
}
