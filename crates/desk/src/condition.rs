//! Press conditions: built in, or a profile that lies in the book folder.

use std::path::{Component, Path};

use colour::{PressCondition, Profile};

use crate::{Desk, DeskError, Edit, Edited, files, inks};

/// Folder of profiles that were brought into the book.
const PROFILES: &str = "profiles";
/// The largest file that is read as a profile.
const LARGEST: u64 = 64 << 20;

/// Where a condition comes from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Source {
    BuiltIn(String),
    /// A path in the book folder.
    File(String),
}

/// Finds out what a condition's name means, and reads the profile where it is a file.
pub(crate) fn source(desk: &Desk, name: &str) -> Result<(Source, Option<Vec<u8>>), DeskError> {
    if PressCondition::built_in_names().contains(&name) {
        return Ok((Source::BuiltIn(name.to_owned()), None));
    }
    let path = Path::new(name);
    let inside = path
        .components()
        .all(|part| matches!(part, Component::Normal(_) | Component::CurDir));
    if !inside || name.is_empty() {
        return Err(DeskError::new(
            "book.toml [press] condition",
            format!("`{name}` is no press condition of this book"),
            "Use `foredge colour use FILE.icc`: it brings the profile into the book folder.",
        ));
    }
    let bytes = read(&desk.root().join(path)).map_err(|_| {
        DeskError::new(
            "book.toml [press] condition",
            format!(
                "`{name}` is neither a built-in press condition nor a profile in the book folder"
            ),
            format!(
                "Built in are {}; `foredge colour use FILE.icc` brings a profile in.",
                PressCondition::built_in_names().join(", ")
            ),
        )
    })?;
    Ok((Source::File(name.to_owned()), Some(bytes)))
}

/// Opens a condition that [`source`] found.
pub(crate) fn open(source: Source, bytes: Option<Vec<u8>>) -> Result<PressCondition, DeskError> {
    match source {
        Source::BuiltIn(name) => PressCondition::built_in(&name).ok_or_else(|| {
            DeskError::new(
                "book.toml [press] condition",
                format!("`{name}` is not built in"),
                "",
            )
        }),
        Source::File(name) => {
            let file = Path::new(&name);
            let short = file
                .file_stem()
                .map_or_else(|| name.clone(), |stem| stem.to_string_lossy().into_owned());
            Profile::open(&bytes.unwrap_or_default())
                .and_then(|profile| PressCondition::from_profile(&short, profile))
                .map_err(|error| {
                    let mut unusable = inks::unusable(&error);
                    unusable.place = name;
                    unusable
                })
        }
    }
}

/// Makes a condition the book's own.
pub(crate) fn choose(desk: &Desk, wanted: &str) -> Result<Edited, DeskError> {
    let set = |value: &str| {
        desk.edit(&Edit::Set {
            key: "press.condition".to_owned(),
            value: value.to_owned(),
        })
    };
    if PressCondition::built_in_names().contains(&wanted) {
        return set(wanted);
    }
    let path = Path::new(wanted);
    let bytes = read(path).map_err(|error| {
        let mut error = DeskError::io(path, "read the profile", &error);
        error.hint = format!(
            "Name a CMYK output profile (.icc), or one of the built-in conditions: {}.",
            PressCondition::built_in_names().join(", ")
        );
        error
    })?;
    open(Source::File(wanted.to_owned()), Some(bytes.clone()))?;
    let file_name = path.file_name().map_or_else(
        || "press.icc".to_owned(),
        |name| name.to_string_lossy().into_owned(),
    );
    let name = format!("{PROFILES}/{file_name}");
    let target = desk.root().join(&name);
    let there = read(&target).ok();
    if there.as_ref().is_some_and(|there| *there != bytes) {
        return Err(DeskError::new(
            target.display().to_string(),
            "another profile of this name is in the book already",
            "Give the new one another file name.",
        ));
    }
    if there.is_none() {
        files::write_whole(&target, &bytes)?;
    }
    set(&name).inspect_err(|_| {
        if there.is_none() {
            // The profile came with the edit and goes with it.
            let _ = std::fs::remove_file(&target);
        }
    })
}

fn read(path: &Path) -> std::io::Result<Vec<u8>> {
    if std::fs::metadata(path)?.len() > LARGEST {
        return Err(std::io::ErrorKind::FileTooLarge.into());
    }
    std::fs::read(path)
}
