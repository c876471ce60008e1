use desk::{Desk, DeskError, StageState};
use serde_json::json;

use crate::outcome::Outcome;

/// Where it stands.
pub fn status(desk: &Desk) -> Result<Outcome, DeskError> {
    let report = desk.status()?;
    let snapshot = desk.snapshot()?;
    let about = &snapshot.book.about;
    let mut lines = vec![if about.author.is_empty() {
        about.title.clone()
    } else {
        format!("{}, {}", about.title, about.author)
    }];
    lines.push(String::new());
    for stage in &report.stages {
        lines.push(format!(
            "{:<14} {:<8} {}",
            stage.name,
            word(stage.state),
            stage.because
        ));
        if !stage.next.is_empty() {
            lines.push(format!("{:<14} {:<8} → {}", "", "", stage.next));
        }
    }
    let json = json!({
        "title": about.title,
        "author": about.author,
        "stages": report
            .stages
            .iter()
            .map(|stage| {
                json!({
                    "name": stage.name,
                    "state": word(stage.state),
                    "because": stage.because,
                    "next": stage.next,
                })
            })
            .collect::<Vec<_>>(),
    });
    Ok(Outcome::new(lines.join("\n"), json))
}

const fn word(state: StageState) -> &'static str {
    match state {
        StageState::Fresh => "fresh",
        StageState::Stale => "stale",
        StageState::Missing => "missing",
        StageState::Blocked => "blocked",
    }
}
