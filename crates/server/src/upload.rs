//! A measurement that a person hands in: streamed into a folder of its own, then read as work.

use std::fs::File;
use std::io::Write;
use std::path::{Path, PathBuf};

use axum::extract::State as Shared;
use axum::extract::multipart::{Field, Multipart, MultipartRejection};
use axum::http::{HeaderMap, StatusCode};
use axum::response::Response;
use tempfile::TempDir;

use crate::State;
use crate::act::refuse;
use crate::problem::Problem;
use crate::work::{self, Task};

/// Most bytes of a measurement: an A4 page at 600 ppi in 16 bit, uncompressed, is about 200 MB.
pub(crate) const MOST: usize = 200 << 20;
/// Most bytes of a scanner's profile.
const MOST_PROFILE: usize = 16 << 20;
/// Most bytes of the whole form: the names of its fields come on top.
pub(crate) const WHOLE: usize = MOST + MOST_PROFILE + (64 << 10);
/// The limit in words.
pub(crate) const MOST_WORDS: &str = "200 MB";

/// What was handed in. The files go with it.
pub(crate) struct Measured {
    /// Lives as long as the files are wanted.
    _folder: TempDir,
    file: PathBuf,
    scanner: Option<PathBuf>,
}

impl Measured {
    /// The measurement.
    pub fn file(&self) -> &Path {
        &self.file
    }

    /// The scanner's profile.
    pub fn scanner(&self) -> Option<&Path> {
        self.scanner.as_deref()
    }
}

/// `POST /proofs/read`: a form with the file `measurement`, and `scanner` where there is a profile.
pub(crate) async fn read(
    Shared(state): Shared<State>,
    headers: HeaderMap,
    form: Result<Multipart, MultipartRejection>,
) -> Response {
    let measured = match form {
        Ok(form) => receive(form).await,
        Err(_) => Err(Problem::unreadable("No file came with the form.")),
    };
    let begun = measured.and_then(|measured| work::begin(&state, Task::Read(measured)));
    match begun {
        Ok(kind) => work::begun(&headers, kind),
        Err(problem) => refuse(&state, &headers, "/proofs", problem),
    }
}

async fn receive(mut form: Multipart) -> Result<Measured, Problem> {
    let folder = TempDir::with_prefix("foredge-").map_err(|error| no_room(&error))?;
    let (mut file, mut scanner) = (None, None);
    while let Some(field) = form.next_field().await.map_err(|error| broken(&error))? {
        let (place, most, own) = match field.name() {
            Some("measurement") => (&mut file, MOST, "measurement"),
            Some("scanner") => (&mut scanner, MOST_PROFILE, "scanner"),
            _ => continue,
        };
        // A file chooser that was left empty sends a file without a name.
        let Some(name) = field.file_name().filter(|name| !name.is_empty()) else {
            continue;
        };
        // Each in a folder of its own, so that two files of one name do not meet.
        let within = folder.path().join(own);
        std::fs::create_dir_all(&within).map_err(|error| no_room(&error))?;
        let path = within.join(cleaned(name));
        store(field, &path, most).await?;
        *place = Some(path);
    }
    let file = file.ok_or_else(|| {
        Problem::plain(
            StatusCode::UNPROCESSABLE_ENTITY,
            "No measurement came",
            "No file was chosen.",
            "Choose the text file of an instrument, or the scan of a proof page.",
        )
    })?;
    Ok(Measured {
        _folder: folder,
        file,
        scanner,
    })
}

/// Writes a field into a file piece by piece, so that a scan passes through in a little memory.
async fn store(mut field: Field<'_>, path: &Path, most: usize) -> Result<(), Problem> {
    let (send, mut receive) = tokio::sync::mpsc::channel::<Vec<u8>>(4);
    let path = path.to_owned();
    let writing = tokio::task::spawn_blocking(move || -> std::io::Result<()> {
        let mut file = File::create_new(path)?;
        while let Some(piece) = receive.blocking_recv() {
            file.write_all(&piece)?;
        }
        file.flush()
    });
    let mut length = 0;
    while let Some(piece) = field.chunk().await.map_err(|error| broken(&error))? {
        length += piece.len();
        if length > most {
            return Err(too_large());
        }
        // The writer is gone when it failed; its reason is asked for below.
        if send.send(piece.to_vec()).await.is_err() {
            break;
        }
    }
    drop(send);
    match writing.await {
        Ok(written) => written.map_err(|error| no_room(&error)),
        Err(_) => Err(Problem::own_fault()),
    }
}

/// A plain file name: what follows the last slash, letters, digits and a few marks of it. Never
/// empty, never hidden, never a way to another folder.
pub(crate) fn cleaned(name: &str) -> String {
    const LONGEST: usize = 80;
    let last = name.rsplit(['/', '\\']).next().unwrap_or_default();
    let plain: Vec<char> = last
        .chars()
        .map(|letter| match letter {
            letter if letter.is_alphanumeric() => letter,
            '.' | '-' | '_' | ' ' => letter,
            _ => '-',
        })
        .collect();
    // The ending says what the file is, so it is the beginning that is cut.
    let from = plain.len().saturating_sub(LONGEST);
    let text: String = plain[from..].iter().collect();
    let text = text.trim_matches([' ', '.']);
    if text.is_empty() {
        "measurement".to_owned()
    } else {
        text.to_owned()
    }
}

fn too_large() -> Problem {
    Problem::plain(
        StatusCode::PAYLOAD_TOO_LARGE,
        "That file is too large",
        &format!("A measurement may have {MOST_WORDS}, and this one has more."),
        "Scan only the strip, or at 300 ppi: more does not make the reading better.",
    )
}

fn broken(error: &axum::extract::multipart::MultipartError) -> Problem {
    if error.status() == StatusCode::PAYLOAD_TOO_LARGE {
        return too_large();
    }
    Problem::unreadable("The file did not arrive whole.")
}

fn no_room(error: &std::io::Error) -> Problem {
    Problem::plain(
        StatusCode::INSUFFICIENT_STORAGE,
        "The file could not be kept",
        &format!("The system does not take the file: {error}."),
        "Make room on the disk, and try again.",
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_is_never_a_way_to_another_folder() {
        for (name, wanted) in [
            ("strip 1.txt", "strip 1.txt"),
            ("../../book.toml", "book.toml"),
            ("C:\\scans\\Bogen 3.tif", "Bogen 3.tif"),
            ("..", "measurement"),
            ("", "measurement"),
            (".hidden", "hidden"),
            ("a\0b\n.png", "a-b-.png"),
            ("größe 10%.jpg", "größe 10-.jpg"),
        ] {
            assert_eq!(cleaned(name), wanted, "{name:?}");
        }
        let long = cleaned(&format!("{}.tif", "x".repeat(400)));
        assert!(long.len() == 80 && long.ends_with(".tif"));
    }
}
