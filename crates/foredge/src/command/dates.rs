use desk::edition::dates::{Happened, LastDay, Launch, Rests};
use desk::figures::percent;
use desk::{DatesView, Desk, DeskError};
use serde_json::{Value, json};

use crate::arguments::DatesStep;
use crate::outcome::{Outcome, table};

/// The caution that stands below every date.
const CAUTION: &str = "Dates are estimates for a decision: lengths are drawn independently, so one \
                       cause that slows several steps comes on top. Ask the printer to confirm \
                       what a launch hangs on.";

/// The dates of the book as they are foretold now.
pub fn show(desk: &Desk) -> Result<Outcome, DeskError> {
    outcome(desk.dates()?)
}

/// Something that happened, or the calendar file.
pub fn step(desk: &Desk, step: DatesStep) -> Result<Outcome, DeskError> {
    let view = match step {
        DatesStep::Calendar { file } => {
            desk::write_new(&file, desk.calendar_file()?.as_bytes())?;
            let file = file.display().to_string();
            return Ok(Outcome::new(
                format!("Wrote {file}: every step on its middle dates."),
                json!({ "file": file }),
            ));
        }
        DatesStep::Begun { step, on, note } => {
            let day = on.unwrap_or_else(desk::today);
            desk.step_happened(&step, Some(Happened::Begun(day)), &note)?
                .after
        }
        DatesStep::Done { step, on, note } => {
            let day = on.unwrap_or_else(desk::today);
            desk.step_happened(&step, Some(Happened::Done(day)), &note)?
                .after
        }
        DatesStep::Open { step } => desk.step_happened(&step, None, "")?.after,
    };
    outcome(view)
}

fn outcome(view: DatesView) -> Result<Outcome, DeskError> {
    let foretold = &view.foretold;
    let ends = &foretold.histories.ends;
    let mut blocks = vec![format!(
        "Books in hand: half of all histories by {}, four of five by {}, nineteen of twenty by {} \
         ({} histories; {}).",
        ends.by(0.5),
        ends.by(0.8),
        ends.by(0.95),
        foretold.histories.count,
        if foretold.schedule.is_begun() {
            "the files were sent".to_owned()
        } else {
            format!("files sent on {}", foretold.send)
        }
    )];
    if let Some(launch) = &foretold.launch {
        blocks.push(launch_words(launch));
    }
    blocks.push(steps(&view));
    let usual = foretold
        .rests
        .iter()
        .filter(|rests| **rests == Rests::Usual);
    let usual = usual.count();
    if usual > 0 {
        blocks.push(format!(
            "{usual} of {} steps take as long as is common practice (no source); say what the \
             printer says: foredge set step.KEY.takes \"least, likely, most\"",
            foretold.rests.len()
        ));
    }
    if let Some(cost) = &view.cost {
        let older = if cost.holds {
            ""
        } else {
            ", which is not for the book as it is"
        };
        blocks.push(format!(
            "What goes to the printer by the answer of {}, {} for {} copies{older}:\n{}",
            cost.name,
            if view.named {
                "whom the book names for its calendar,"
            } else {
                "the cheapest"
            },
            cost.copies,
            due(&view)
        ));
    }
    let advice = if foretold.launch.is_none() {
        "Name the day by which you wish for the books: foredge set dates.launch 2027-06-01"
    } else {
        "Say what has happened: foredge dates done STEP --on DAY"
    };
    blocks.push(CAUTION.to_owned());
    let document = document(&view);
    Ok(Outcome::new(blocks.join("\n\n"), document).advising(advice))
}

fn launch_words(launch: &Launch) -> String {
    let chance = format!(
        "Launch {}: in hand by then with a chance of {}",
        launch.day,
        percent(launch.chance)
    );
    let surety = launch.surety * 100.0;
    match launch.last {
        LastDay::On(day) => {
            format!("{chance}. Last day to send files for {surety:.0} % surety: {day}.")
        }
        LastDay::Sent => format!("{chance}; {surety:.0} % were wished for. The files were sent."),
        LastDay::TooLate(now) => format!(
            "{chance}. Even files sent today reach it only with a chance of {}, not {surety:.0} %: \
             move the launch, choose a quicker way, or take the risk.",
            percent(now)
        ),
    }
}

fn steps(view: &DatesView) -> String {
    let foretold = &view.foretold;
    let all = foretold
        .schedule
        .steps()
        .iter()
        .zip(&foretold.histories.steps);
    let rows: Vec<Vec<String>> = all
        .map(|(step, over)| {
            let state = match step.happened {
                Some(Happened::Done(_)) => "done",
                Some(Happened::Begun(_)) => "under way",
                None => "",
            };
            vec![
                step.key.clone(),
                step.name.clone(),
                over.begins.by(0.5).to_string(),
                over.ends.by(0.5).to_string(),
                over.ends.by(0.95).to_string(),
                format!("{:.0} %", over.critical * 100.0),
                format!("{:.0} %", over.drives * 100.0),
                state.to_owned(),
            ]
        })
        .collect();
    let head = [
        "step",
        "what",
        "begins (half by)",
        "ends (half by)",
        "95 % by",
        "waited for",
        "of the spread",
        "",
    ];
    table(&head, &rows)
}

fn due(view: &DatesView) -> String {
    let rows: Vec<Vec<String>> = view
        .foretold
        .due
        .iter()
        .map(|due| {
            vec![
                due.name.clone(),
                due.sum.to_string(),
                due.early.to_string(),
                due.middle.to_string(),
                due.late.to_string(),
            ]
        })
        .collect();
    table(&["payment", "sum", "5 % by", "half by", "95 % by"], &rows)
}

fn document(view: &DatesView) -> Value {
    let foretold = &view.foretold;
    let all = foretold
        .schedule
        .steps()
        .iter()
        .zip(&foretold.histories.steps);
    let rests = foretold.rests.iter().zip(&foretold.pert.steps);
    let steps: Vec<Value> = all
        .zip(rests)
        .map(|((step, over), (rests, pert))| {
            json!({
                "key": step.key,
                "name": step.name,
                "after": step.after,
                "days_of": step.calendar,
                "begins_50": over.begins.by(0.5).to_string(),
                "ends_50": over.ends.by(0.5).to_string(),
                "ends_80": over.ends.by(0.8).to_string(),
                "ends_95": over.ends.by(0.95).to_string(),
                "critical_share": over.critical,
                "spread_share": over.drives,
                "rounds_mean": over.rounds,
                "expected_days": pert.expected,
                "rests_on": match rests {
                    Rests::Usual => "common practice, no source",
                    Rests::Said(by) => by.as_str(),
                },
                "happened": match step.happened {
                    Some(Happened::Done(day)) => json!({ "done": day.to_string() }),
                    Some(Happened::Begun(day)) => json!({ "begun": day.to_string() }),
                    None => Value::Null,
                },
            })
        })
        .collect();
    let due: Vec<Value> = foretold
        .due
        .iter()
        .map(|due| {
            json!({
                "name": due.name,
                "sum_minor": due.sum.minor(),
                "currency": due.sum.currency().code(),
                "early": due.early.to_string(),
                "middle": due.middle.to_string(),
                "late": due.late.to_string(),
            })
        })
        .collect();
    let ends = &foretold.histories.ends;
    json!({
        "today": view.today.to_string(),
        "send": foretold.send.to_string(),
        "copies": view.copies,
        "histories": foretold.histories.count,
        "in_hand_50": ends.by(0.5).to_string(),
        "in_hand_80": ends.by(0.8).to_string(),
        "in_hand_95": ends.by(0.95).to_string(),
        "launch": foretold.launch.as_ref().map(|launch| json!({
            "day": launch.day.to_string(),
            "surety_share": launch.surety,
            "chance_share": launch.chance,
            "last_day_to_send": match launch.last {
                LastDay::On(day) => json!(day.to_string()),
                LastDay::TooLate(_) | LastDay::Sent => Value::Null,
            },
        })),
        "steps": steps,
        "due": due,
        "caution": CAUTION,
    })
}
