use std::path::Path;

use desk::{Desk, DeskError, NewBook};
use serde_json::json;

use super::{art, check, press};
use crate::arguments::New;
use crate::outcome::{Outcome, counted};
use crate::progress::Terminal;

/// Makes a book folder.
pub fn new(new: &New) -> Result<Outcome, DeskError> {
    let desk = Desk::create(&NewBook {
        folder: new.dir.clone(),
        art: new.art.clone(),
        title: new.title.clone(),
        author: new.author.clone(),
        trim: new.trim,
        copy: !new.link,
    })?;
    let snapshot = desk.snapshot()?;
    let placed = snapshot
        .pieces
        .iter()
        .filter(|piece| !piece.pages.is_empty())
        .count();
    let dir = new.dir.display();
    let text = format!(
        "Made {dir}: {}, {} of them placed on {}.",
        counted(snapshot.pieces.len(), "picture"),
        placed,
        counted(snapshot.plan.pages.len(), "page"),
    );
    let json = json!({
        "folder": dir.to_string(),
        "pictures": snapshot.pieces.len(),
        "placed": placed,
        "pages": snapshot.plan.pages.len(),
    });
    Ok(Outcome::new(text, json)
        .with_findings(&snapshot.findings)
        .advising(format!(
            "Look at it in the browser:  foredge --book {dir} serve\n\
             Or open {dir}/book.toml in any editor: it explains itself."
        )))
}

/// Makes the demonstration book and takes it all the way.
pub fn demo(dir: &Path) -> Result<Outcome, DeskError> {
    let watch = Terminal::new();
    let desk = desk::demo(dir, &watch)?;
    let judged = desk.judge(&watch)?;
    let pressed = desk.press(&watch)?;
    let mut checked = Vec::new();
    for file in &pressed.files {
        checked.push((file.clone(), desk.check(file, &watch)?));
    }
    drop(watch);

    let snapshot = desk.snapshot()?;
    let mut lines = vec![format!(
        "\"{}\": {} drawn, {} laid out, press files made and checked.",
        snapshot.book.about.title,
        counted(snapshot.pieces.len(), "picture"),
        counted(snapshot.plan.pages.len(), "page"),
    )];
    lines.push(String::new());
    lines.push(format!("Art      {}", art::summary(&judged.findings)));
    for (file, report) in &checked {
        lines.push(format!(
            "Check    {}: {}",
            press::short(&desk, file),
            art::summary(&report.findings)
        ));
    }
    lines.push(String::new());
    lines.push("Look at".to_owned());
    for file in &pressed.files {
        lines.push(format!("  {}/{}", dir.display(), press::short(&desk, file)));
    }
    let json = json!({
        "folder": dir.display().to_string(),
        "pages": snapshot.plan.pages.len(),
        "art": art::document(&judged),
        "press": press::document(&desk, &pressed),
        "checks": checked
            .iter()
            .map(|(file, report)| check::document(file, report))
            .collect::<Vec<_>>(),
    });
    let stop = |findings: &[desk::finding::Finding]| {
        desk::finding::worst(findings) == Some(desk::finding::Severity::Stop)
    };
    let mut outcome = Outcome::new(lines.join("\n"), json);
    outcome.stop = stop(&judged.findings)
        || stop(&pressed.findings)
        || checked.iter().any(|(_, report)| stop(&report.findings));
    let dir = dir.display();
    Ok(outcome.advising(format!(
        "What was found in the art:     foredge --book {dir} art\n\
         A proof that waits for a word: foredge --book {dir} proof\n\
         The whole book in the browser: foredge --book {dir} serve"
    )))
}
