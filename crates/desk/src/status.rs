//! Where it stands: each stage from art to press, why it is stale, and what to do next.

use std::path::Path;

use finding::{Finding, Severity};

use crate::art_folder::Piece;
use crate::checking::{self, CheckedFacts};
use crate::digest::Digest;
use crate::facts::{self, Facts};
use crate::inks::Inks;
use crate::judge::{self, JudgedFacts};
use crate::press_job::{self, Plan};
use crate::{
    Desk, DeskError, PressFile, Stage, StageState, Standing, StatusReport, asking, dates, editing,
    proofing, quantity, remembered,
};
use finding::capital;

/// Reports all stages.
pub(crate) fn report(desk: &Desk) -> Result<StatusReport, DeskError> {
    editing::note_hand_edit(desk)?;
    let standing = desk.standing()?;
    let inks = desk.inks(&standing.snapshot.book)?;
    let plan = Plan::new(desk, &standing, &inks)?;
    let blocked = blocked(&standing.art, &standing.snapshot.findings);
    let mut files = vec![file_stage(
        desk,
        &plan,
        PressFile::Interior,
        blocked.as_deref(),
    )?];
    for flat in &plan.flats {
        files.push(file_stage(desk, &plan, flat.file, blocked.as_deref())?);
    }
    let check = check_stage(desk, &plan, &files)?;
    files.push(drawing_stage(desk, &plan, blocked.as_deref())?);
    let mut stages = vec![
        art_stage(desk, &standing, &inks)?,
        order_stage(&standing),
        object_stage(&standing),
    ];
    stages.extend(files);
    stages.push(check);
    stages.push(proofing::stage(desk, &plan)?);
    stages.push(asking::stage(desk)?);
    let from = remembered::rests_on(desk)?;
    stages.push(remembered::stage(desk, from, "quantity", quantity::stage)?);
    stages.push(remembered::stage(desk, from, "dates", dates::stage)?);
    Ok(StatusReport { stages })
}

fn art_stage(desk: &Desk, standing: &Standing, inks: &Inks) -> Result<Stage, DeskError> {
    let stage = |state, because, next: &str| Stage::new("art", state, because, next);
    let pieces = counted(standing.art.len(), "picture");
    let unreadable = standing
        .art
        .iter()
        .filter_map(|piece| Some((&piece.name, piece.size.as_ref().err()?)))
        .next();
    if let Some((name, problem)) = unreadable {
        return Ok(stage(
            StageState::Blocked,
            format!("art/{name} cannot be used: {problem}."),
            "Save that picture again, or take it out of the art folder.",
        ));
    }
    let judged = desk
        .with_record(|record| record.last_made("judged"))?
        .and_then(|(_, facts)| serde_json::from_str::<JudgedFacts>(&facts).ok());
    let Some(judged) = judged else {
        return Ok(stage(
            StageState::Missing,
            format!("{pieces}, not judged for print yet."),
            "Judge the art: foredge art",
        ));
    };
    if judged.inputs != judge::inputs_now(desk, standing, inks)? {
        return Ok(stage(
            StageState::Stale,
            format!(
                "{pieces}; since they were judged, art, its size on the page or the press \
                 condition has changed."
            ),
            "Judge what changed: foredge art",
        ));
    }
    let found = found(judged.stop, judged.warn, &judged.first);
    let next = if judged.stop + judged.warn > 0 {
        "Read what was found: foredge art"
    } else {
        ""
    };
    Ok(stage(
        StageState::Fresh,
        format!("{pieces} judged; {found}"),
        next,
    ))
}

fn order_stage(standing: &Standing) -> Stage {
    let snapshot = &standing.snapshot;
    let mut of_pages = snapshot.found_of_pages().iter();
    let stop = of_pages.find(|finding| finding.severity == Severity::Stop);
    let sections = counted(snapshot.plan.sections.len(), "signature");
    let pages = counted(snapshot.plan.pages.len(), "page");
    match stop {
        Some(finding) => Stage {
            name: "running order".to_owned(),
            state: StageState::Blocked,
            because: finding.message.clone(),
            next: finding.hint.clone(),
        },
        None => Stage {
            name: "running order".to_owned(),
            state: StageState::Fresh,
            because: format!("{pages} in {sections}."),
            next: String::new(),
        },
    }
}

fn object_stage(standing: &Standing) -> Stage {
    let mut around = standing.snapshot.found_around().iter();
    // Missing art is told by the stages of the files that wait for it.
    let stop = around.find(|finding| {
        finding.severity == Severity::Stop && !finding.code.starts_with("book-art-")
    });
    if let Some(finding) = stop {
        return Stage {
            name: "object".to_owned(),
            state: StageState::Blocked,
            because: finding.message.clone(),
            next: finding.hint.clone(),
        };
    }
    let object = &standing.snapshot.object;
    let assumed = match object.assumed.first() {
        Some(first) => format!(" {first}"),
        None => String::new(),
    };
    let spine = if object.spine_mm() > 0.0 {
        format!(", spine {:.2} mm", object.spine_mm())
    } else {
        String::new()
    };
    Stage {
        name: "object".to_owned(),
        state: StageState::Fresh,
        because: format!(
            "{} leaves, block {:.2} mm{spine}, {:.0} g a copy.{assumed}",
            object.leaves,
            object.block_mm(),
            object.copy_g()
        ),
        next: String::new(),
    }
}

fn file_stage(
    desk: &Desk,
    plan: &Plan<'_>,
    file: PressFile,
    blocked: Option<&str>,
) -> Result<Stage, DeskError> {
    let name = file.name();
    let reason = |then: &Facts| {
        (then.inputs(file) != plan.facts.inputs(file)).then(|| {
            let mut reasons = facts::reasons(then, &plan.facts, file);
            if reasons.is_empty() {
                reasons.push("The program that makes it changed".to_owned());
            }
            reasons.join("; ")
        })
    };
    let at = match made_stage(desk, file.word(), name, blocked, reason)? {
        Ok(at) => at,
        Err(stage) => return Ok(stage),
    };
    let stage = |state, because: String, next: &str| Stage {
        name: file.word().to_owned(),
        state,
        because,
        next: next.to_owned(),
    };
    if let Some(trouble) = without_plate(desk, plan, file) {
        return Ok(stage(
            StageState::Blocked,
            format!("press/{name} is made, but not whole. {trouble}"),
            "Mend the mask, or take the finishing out; then make the press files again.",
        ));
    }
    let what = match plan.facts.flats.get(file.word()) {
        Some(flat) if flat.spine_mm > 0.0 => format!("press/{name}, spine {:.2} mm", flat.spine_mm),
        Some(_) => format!("press/{name}"),
        None => format!("press/{name}, {}", counted(plan.facts.pages.len(), "page")),
    };
    Ok(stage(
        StageState::Fresh,
        format!("{what}, made {} for the book as it is.", day(&at)),
        "",
    ))
}

fn drawing_stage(desk: &Desk, plan: &Plan<'_>, blocked: Option<&str>) -> Result<Stage, DeskError> {
    const WORD: &str = "drawing";
    let reason = |then: &Facts| {
        (then.drawing != plan.facts.drawing).then(|| facts::reason_of_drawing(then, &plan.facts))
    };
    Ok(
        match made_stage(desk, WORD, press_job::DRAWING, blocked, reason)? {
            Ok(at) => Stage {
                name: WORD.to_owned(),
                state: StageState::Fresh,
                because: format!(
                    "press/{}, made {} for the book as it is.",
                    press_job::DRAWING,
                    day(&at)
                ),
                next: String::new(),
            },
            Err(stage) => stage,
        },
    )
}

/// When a file of the press folder was made for the book as it is; or else the stage that says why
/// it is not. `reason` says why what it was made from has changed, if it has.
fn made_stage(
    desk: &Desk,
    word: &str,
    name: &str,
    blocked: Option<&str>,
    reason: impl Fn(&Facts) -> Option<String>,
) -> Result<Result<String, Stage>, DeskError> {
    let stage = |state, because: String, next: &str| {
        Ok(Err(Stage {
            name: word.to_owned(),
            state,
            because,
            next: next.to_owned(),
        }))
    };
    if let Some(blocked) = blocked {
        return stage(
            StageState::Blocked,
            blocked.to_owned(),
            "Put the picture back, or take it out of the running order.",
        );
    }
    const MAKE: &str = "Make the press files: foredge press";
    let path = desk.root().join("press").join(name);
    let made = desk
        .with_record(|record| record.last_made(name))?
        .and_then(|(at, facts)| Some((at, serde_json::from_str::<Facts>(&facts).ok()?)));
    let Some((at, then)) = made.filter(|_| path.is_file()) else {
        return stage(
            StageState::Missing,
            format!("press/{name} is not made yet."),
            MAKE,
        );
    };
    if let Some(reason) = reason(&then) {
        return stage(
            StageState::Stale,
            format!(
                "{}; press/{name} was made for the book before that.",
                capital(&reason)
            ),
            MAKE,
        );
    }
    if !is_as_made(desk, &path, name) {
        return stage(
            StageState::Stale,
            format!("press/{name} was changed by something else since it was made."),
            MAKE,
        );
    }
    Ok(Ok(at))
}

/// Why a finishing of a file has no plate, as far as that is known.
fn without_plate(desk: &Desk, plan: &Plan<'_>, file: PressFile) -> Option<String> {
    plan.units_of(file)
        .iter()
        .flat_map(|unit| &unit.stamps)
        .find_map(|stamp| {
            let trouble = stamp.known(desk)?.trouble?;
            Some(trouble.sentence(stamp))
        })
}

fn check_stage(desk: &Desk, plan: &Plan<'_>, files: &[Stage]) -> Result<Stage, DeskError> {
    let stage = |state, because, next: &str| Stage::new("check", state, because, next);
    if files.iter().any(|file| file.state != StageState::Fresh) {
        let state = if files.iter().any(|file| file.state == StageState::Blocked) {
            StageState::Blocked
        } else {
            StageState::Missing
        };
        return Ok(stage(
            state,
            "There are no press files of the book as it is.".to_owned(),
            "",
        ));
    }
    let made = std::iter::once(PressFile::Interior).chain(plan.flats.iter().map(|flat| flat.file));
    let (mut stop, mut warn, mut first) = (0, 0, String::new());
    for file in made {
        let name = file.name();
        let path = desk.root().join("press").join(name);
        let inputs = plan.facts.inputs(file);
        let checked = desk
            .with_record(|record| record.last_made(&checking::kind(name)))?
            .and_then(|(_, facts)| serde_json::from_str::<CheckedFacts>(&facts).ok());
        let next = format!("Check it: foredge check press/{name}");
        let Some(checked) = checked else {
            return Ok(stage(
                StageState::Missing,
                format!("press/{name} is not checked yet."),
                &next,
            ));
        };
        if Some(checked.file) != desk.digest_of(&path) || checked.inputs != inputs {
            return Ok(stage(
                StageState::Stale,
                format!("press/{name} was made anew since it was checked."),
                &next,
            ));
        }
        stop += checked.stop;
        warn += checked.warn;
        if first.is_empty() {
            first = checked.first;
        }
    }
    let found = capital(&found(stop, warn, &first));
    Ok(if stop > 0 {
        stage(
            StageState::Blocked,
            found,
            "Mend what was found, then make the press files again.",
        )
    } else if warn > 0 {
        let next = "Read what was found: foredge check press/interior.pdf";
        stage(StageState::Fresh, found, next)
    } else {
        stage(StageState::Fresh, found, "")
    })
}

/// Why nothing can be pressed, if so.
fn blocked(art: &[Piece], findings: &[Finding]) -> Option<String> {
    let missing = findings
        .iter()
        .find(|finding| finding.code == "book-art-missing")?;
    // A file that is there and cannot be read is told as such.
    let unreadable = art.iter().find_map(|piece| {
        let problem = piece.size.as_ref().err()?;
        missing
            .message
            .contains(&piece.name)
            .then(|| format!("art/{} cannot be used: {problem}.", piece.name))
    });
    Some(unreadable.unwrap_or_else(|| missing.message.clone()))
}

/// Whether a press file still is what the manifest says.
fn is_as_made(desk: &Desk, path: &Path, file: &str) -> bool {
    let manifest =
        crate::manifest::Manifest::read(&desk.root().join("press").join(press_job::MANIFEST));
    let wanted: Option<Digest> = manifest.and_then(|manifest| {
        let made = manifest.files.into_iter().find(|made| made.file == file)?;
        Some(made.blake3)
    });
    wanted.is_some() && desk.digest_of(path) == wanted
}

fn found(stop: usize, warn: usize, first: &str) -> String {
    match (stop, warn) {
        (0, 0) => "nothing was found that needs a look.".to_owned(),
        (0, warn) => format!("{} to look at.", counted(warn, "finding")),
        (stop, _) => format!(
            "{} must not go to print as it is: {first}",
            counted(stop, "thing")
        ),
    }
}

/// `1 page`, `2 pages`.
pub(crate) fn counted(count: usize, noun: &str) -> String {
    if count == 1 {
        format!("1 {noun}")
    } else {
        format!("{count} {noun}s")
    }
}

/// `2026-11-25 14:00 UTC` from a moment.
fn day(moment: &str) -> String {
    match (moment.get(..10), moment.get(11..16)) {
        (Some(day), Some(time)) => format!("{day} {time} UTC"),
        _ => moment.to_owned(),
    }
}
