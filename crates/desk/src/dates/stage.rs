//! Where the calendar stands.

use edition::dates::{Happened, LastDay};

use crate::figures::percent;
use crate::report::{Stage, StageState};
use crate::{Desk, DeskError, day_in_words};

/// When the books can be here, in a sentence, or what is in the way.
pub(crate) fn stage(desk: &Desk) -> Result<Stage, DeskError> {
    let stage = |state, because, next: &str| Stage::new("dates", state, because, next);
    let standing = desk.standing()?;
    if standing.snapshot.book.dates.launch.is_none() && desk.told()?.is_empty() {
        let because = "No launch is wished for yet.".to_owned();
        let next = "Say by when the books are wished for: foredge set dates.launch DAY";
        return Ok(stage(StageState::Missing, because, next));
    }
    let view = match desk.dates() {
        Ok(view) => view,
        Err(error) => {
            let because = format!("The calendar cannot be: {}.", error.problem);
            return Ok(stage(StageState::Blocked, because, &error.hint));
        }
    };
    let foretold = &view.foretold;
    let steps = foretold.schedule.steps();
    let done = |happened: Option<Happened>| matches!(happened, Some(Happened::Done(_)));
    if steps.iter().all(|step| done(step.happened)) {
        return Ok(stage(
            StageState::Fresh,
            format!(
                "The books were in hand on {}.",
                day_in_words(foretold.histories.ends.by(0.5))
            ),
            "",
        ));
    }
    let ends = &foretold.histories.ends;
    let hand = format!(
        "Books in hand between {} and {}, in nine of ten cases.",
        day_in_words(ends.by(0.05)),
        day_in_words(ends.by(0.95))
    );
    let Some(launch) = &foretold.launch else {
        return Ok(stage(StageState::Fresh, hand, ""));
    };
    let day = day_in_words(launch.day);
    Ok(match launch.last {
        LastDay::Sent => stage(
            if launch.chance < launch.surety {
                StageState::Blocked
            } else {
                StageState::Fresh
            },
            format!(
                "{hand} They are here for the launch on {day} with a chance of {}; {} was wished for.",
                percent(launch.chance),
                percent(launch.surety)
            ),
            "",
        ),
        LastDay::On(last) => stage(
            StageState::Fresh,
            format!(
                "{hand} For the launch on {day}, files are to be sent by {} ({} sure).",
                day_in_words(last),
                percent(launch.surety)
            ),
            "",
        ),
        LastDay::TooLate(chance) => stage(
            StageState::Blocked,
            format!(
                "{hand} Even files sent today are here for the launch on {day} only with a chance of {}.",
                percent(chance)
            ),
            "Move the launch, or see what could be quicker: foredge dates",
        ),
    })
}
