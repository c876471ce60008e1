use std::io;
use std::path::Path;

use thiserror::Error;

/// What stops a use case: one problem, where, and what to do.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{place}: {problem}")]
pub struct DeskError {
    /// `book.toml:12`, `art/harbour.png`, or the folder.
    pub place: String,
    /// What is wrong.
    pub problem: String,
    /// What to do.
    pub hint: String,
    /// Whether a person stopped it (then nothing is wrong).
    pub stopped: bool,
}

impl DeskError {
    /// A problem at a place, with what to do about it.
    pub fn new(
        place: impl Into<String>,
        problem: impl Into<String>,
        hint: impl Into<String>,
    ) -> Self {
        Self {
            place: place.into(),
            problem: problem.into(),
            hint: hint.into(),
            stopped: false,
        }
    }

    /// A person stopped the work; `what` is the work.
    pub fn stopped(what: &str) -> Self {
        Self {
            place: what.to_owned(),
            problem: "stopped as you asked".to_owned(),
            hint: "Nothing was half-written; start it again when you like.".to_owned(),
            stopped: true,
        }
    }

    /// The file system refused; the remedy follows from how.
    pub(crate) fn io(path: &Path, doing: &str, error: &io::Error) -> Self {
        let hint = match error.kind() {
            io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => {
                "The disk is full. Make room and try again; the former files are untouched."
            }
            io::ErrorKind::FileTooLarge => {
                "The file would be larger than this disk or account allows. Write to another \
                 place; the former files are untouched."
            }
            io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem => {
                "You may not write or read there. Look at the permissions of the folder."
            }
            io::ErrorKind::NotFound => "Look whether it was moved or renamed.",
            _ => "Look at the disk, then try again; the former files are untouched.",
        };
        Self::new(
            path.display().to_string(),
            format!("could not {doing}: {}", plain(error)),
            hint,
        )
    }
}

/// The system's words without its number in brackets.
fn plain(error: &io::Error) -> String {
    let text = error.to_string();
    match text.find(" (os error") {
        Some(end) => text[..end].to_lowercase(),
        None => text,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_full_disk_is_named_as_such() {
        let error = DeskError::io(
            Path::new("press/interior.pdf"),
            "write the press file",
            &io::Error::from_raw_os_error(28),
        );
        assert_eq!(
            error.to_string(),
            "press/interior.pdf: could not write the press file: no space left on device"
        );
        assert!(error.hint.starts_with("The disk is full."));
    }
}
