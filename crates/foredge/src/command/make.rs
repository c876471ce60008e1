use std::path::{Path, PathBuf};

use desk::finding::{Finding, Severity, worst};
use desk::press::CheckReport;
use desk::{ArtReport, Desk, DeskError, NewBook, PressReport};
use serde_json::{Value, json};

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

/// A demonstration book with what came of it.
struct Made {
    desk: Desk,
    judged: ArtReport,
    pressed: PressReport,
    checked: Vec<(PathBuf, CheckReport)>,
}

impl Made {
    /// Takes a book all the way.
    fn of(desk: Desk, watch: &Terminal) -> Result<Self, DeskError> {
        let judged = desk.judge(watch)?;
        let pressed = desk.press(watch)?;
        let mut checked = Vec::new();
        for file in &pressed.files {
            checked.push((file.clone(), desk.check(file, watch)?));
        }
        Ok(Self {
            desk,
            judged,
            pressed,
            checked,
        })
    }

    fn stops(&self) -> bool {
        let stop = |findings: &[Finding]| worst(findings) == Some(Severity::Stop);
        stop(&self.judged.findings)
            || stop(&self.pressed.findings)
            || self
                .checked
                .iter()
                .any(|(_, report)| stop(&report.findings))
    }

    /// A line for the pages and a line for each press file that was checked.
    fn lines(&self) -> Result<Vec<String>, DeskError> {
        let snapshot = self.desk.snapshot()?;
        let object = &snapshot.object;
        let spine = match object.spine_mm() {
            spine if spine > 0.0 => format!(", spine {spine:.1} mm"),
            _ => String::new(),
        };
        let mut lines = vec![format!(
            "{}: {}{spine}, {:.0} g",
            snapshot.book.binding.kind.word(),
            counted(snapshot.plan.pages.len(), "page"),
            object.copy_g(),
        )];
        lines.extend(self.checked.iter().map(|(file, report)| {
            format!(
                "  {:<24} {}",
                press::short(&self.desk, file),
                art::summary(&report.findings)
            )
        }));
        Ok(lines)
    }

    fn document(&self) -> Value {
        json!({
            "folder": self.desk.root().display().to_string(),
            "press": press::document(&self.desk, &self.pressed),
            "checks": self
                .checked
                .iter()
                .map(|(file, report)| check::document(file, report))
                .collect::<Vec<_>>(),
        })
    }
}

/// Makes the demonstration books and takes them all the way.
pub fn demo(dir: &Path) -> Result<Outcome, DeskError> {
    let watch = Terminal::new();
    let first = Made::of(desk::demo(dir, &watch)?, &watch)?;
    let mut others = Vec::new();
    for desk in desk::demo_bindings(&first.desk)? {
        others.push(Made::of(desk, &watch)?);
    }
    drop(watch);

    let snapshot = first.desk.snapshot()?;
    let mut lines = vec![
        format!(
            "\"{}\": {} drawn, one running order bound in {} ways, press files made and checked.",
            snapshot.book.about.title,
            counted(snapshot.pieces.len(), "picture"),
            others.len() + 1,
        ),
        String::new(),
        format!("Art: {}", art::summary(&first.judged.findings)),
    ];
    for made in std::iter::once(&first).chain(&others) {
        lines.push(String::new());
        let folder = made.desk.root().strip_prefix(first.desk.root());
        let folder = dir.join(folder.unwrap_or(Path::new("")));
        lines.push(
            folder
                .components()
                .collect::<PathBuf>()
                .display()
                .to_string(),
        );
        lines.extend(made.lines()?);
    }
    let mut json = first.document();
    json["folder"] = json!(dir.display().to_string());
    json["pages"] = json!(snapshot.plan.pages.len());
    json["art"] = art::document(&first.judged);
    json["other_bindings"] = others.iter().map(Made::document).collect();
    let mut outcome = Outcome::new(lines.join("\n"), json);
    outcome.stop = first.stops() || others.iter().any(Made::stops);
    let dir = dir.display();
    Ok(outcome.advising(format!(
        "What was found in the art:     foredge --book {dir} art\n\
         A proof that waits for a word: foredge --book {dir} proof\n\
         The whole book in the browser: foredge --book {dir} serve"
    )))
}
