//! Lines that are too thin for their process made wide enough, as an edit of the book.

use finish::{Fault, FaultKind, MOST_THICKENING, least_thickening};
use measure::Length;

use super::plate::Drawn;
use super::{Stamp, Trouble, stamp};
use crate::{Desk, DeskError, Edit, Edited};

/// What came of the wish to make a finishing's lines wide enough.
#[derive(Debug, Clone)]
pub struct Thickened {
    /// By how much its lines are wider than drawn now; zero where they hold as drawn.
    pub by: Length,
    /// Whether every line holds then. If not, nothing was changed: no thickening up to
    /// [`MOST_THICKENING`] is enough.
    pub holds: bool,
    /// Gaps that closed by it, on the sheet.
    pub closes: Vec<Fault>,
    /// Places that are still too fine, on the sheet; the first [`finish::Judged::MOST`] of each kind.
    pub left: Vec<Fault>,
    /// The edit: what was done and what it made stale.
    pub edited: Edited,
    /// What it leaves to be looked at, in sentences.
    pub said: Vec<String>,
}

/// Makes the lines of a finishing as wide as its process needs, and no wider.
pub(crate) fn thicken(desk: &Desk, name: &str) -> Result<Thickened, DeskError> {
    let standing = desk.standing()?;
    let failed = |problem: String| {
        DeskError::new(
            format!("book.toml [[finishing]] `{name}`"),
            problem,
            "Look at what is said of it in the list of finishings.",
        )
    };
    let stamp = stamp(desk, &standing.snapshot, name)?
        .ok_or_else(|| failed("it stands on no sheet of this book".to_owned()))?;
    let without = |trouble: Trouble| failed(trouble.sentence(&stamp));
    let drawn = Drawn::of(&stamp).map_err(without)?;
    let mut face = None;
    let found = least_thickening(Length::ZERO, &stamp.bounds(), |by| {
        let made = drawn.thickened(by)?;
        face = Some(made.face);
        Ok(made.painted.into_plate())
    })
    .map_err(without)?;
    let corner = face.map_or((Length::ZERO, Length::ZERO), |face| (face.x, face.y));
    let on_sheet = |faults: &[Fault]| -> Vec<Fault> {
        faults
            .iter()
            .map(|fault| Fault {
                place: fault.place.moved(corner.0, corner.1),
                ..*fault
            })
            .collect()
    };
    let (left, closes) = (on_sheet(&found.judged.faults), on_sheet(&found.closes));
    let edited = if !found.holds {
        Edited {
            what: format!("Left the lines of `{name}` as they are"),
            stale: Vec::new(),
        }
    } else if found.by == stamp.finishing.thicken {
        Edited {
            what: if found.by == Length::ZERO {
                format!("Nothing changed: every line of `{name}` holds as drawn")
            } else {
                format!(
                    "Nothing changed: the lines of `{name}` are {} wider already",
                    found.by
                )
            },
            stale: Vec::new(),
        }
    } else {
        let value = if found.by == Length::ZERO {
            String::new()
        } else {
            format!("{:.2}mm", found.by.mm())
        };
        desk.edit(&Edit::SetAll {
            values: vec![(format!("finishing.{name}.thicken"), value)],
            what: if found.by == Length::ZERO {
                format!("Took the lines of `{name}` as drawn: every one of them holds")
            } else {
                format!("Made the lines of `{name}` {} wider", found.by)
            },
        })?
    };
    let thickened = Thickened {
        by: found.by,
        holds: found.holds,
        closes,
        left,
        edited,
        said: Vec::new(),
    };
    Ok(Thickened {
        said: said(&thickened, &stamp),
        ..thickened
    })
}

/// What is to be looked at then.
fn said(found: &Thickened, stamp: &Stamp<'_>) -> Vec<String> {
    let bounds = stamp.bounds();
    let of = |kind| found.left.iter().filter(move |fault| fault.kind == kind);
    let places = |count: usize| match count {
        1 => "one place".to_owned(),
        count => format!("{count} places"),
    };
    let mut said = Vec::new();
    if !found.holds {
        let finest = of(FaultKind::Line).map(|fault| fault.width).min();
        said.push(format!(
            "Lines {MOST_THICKENING} wider would still be too thin in {}{}: draw it anew, or ask for \
             another process.",
            places(of(FaultKind::Line).count()),
            finest.map_or_else(String::new, |width| format!(", {width} at the thinnest")),
        ));
        return said;
    }
    if !found.closes.is_empty() {
        let narrowest = found.closes.iter().map(|fault| fault.width).min();
        said.push(format!(
            "Gaps close in {} by it{}: look whether they may.",
            places(found.closes.len()),
            narrowest.map_or_else(String::new, |width| format!(
                ", {:.2} mm wide as drawn",
                width.mm()
            )),
        ));
    }
    let gaps = of(FaultKind::Gap).count();
    if gaps > 0 {
        said.push(format!(
            "Gaps in {} are narrower than the {} that the process holds.",
            places(gaps),
            bounds.gap
        ));
    }
    if found.closes.is_empty() && gaps == 0 {
        said.push(format!(
            "Every line is at least {} wide, and every gap at least {}.",
            bounds.line, bounds.gap
        ));
    }
    said
}
