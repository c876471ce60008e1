//! Originals that came from printers: kept whole below `.foredge/kept/`, each in a folder that is
//! named by its digest, under the name that it came with.

use std::path::Path;

use serde::{Deserialize, Serialize};

use crate::digest::Digest;
use crate::{Desk, DeskError, files};

/// Folder of the originals, from the private folder.
const FOLDER: &str = "kept";
/// What printers send are sheets, letters and photographs of samples. Our assumption.
const LARGEST: u64 = 256 << 20;

/// A file that is handed in: its name and its bytes.
#[derive(Debug, Clone, Copy)]
pub struct GivenFile<'f> {
    /// Its name; folders before it are left out.
    pub name: &'f str,
    /// What it holds.
    pub bytes: &'f [u8],
}

/// An original that is kept.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct KeptFile {
    /// The name that it came with.
    pub name: String,
    /// Where it is kept, from the book folder, with forward slashes.
    pub path: String,
    /// Its digest.
    pub digest: Digest,
    /// Its size.
    pub bytes: u64,
}

/// Keeps an original. The same bytes under the same name are kept once.
pub(super) fn keep(desk: &Desk, file: GivenFile<'_>) -> Result<KeptFile, DeskError> {
    if file.bytes.len() as u64 > LARGEST {
        return Err(too_large(file.name));
    }
    let name = files::plain_name(file.name, "file");
    let digest = Digest::of_large(file.bytes);
    let folder: String = digest.to_string().chars().take(16).collect();
    let path = format!(".foredge/{FOLDER}/{folder}/{name}");
    let place = desk.root().join(&path);
    if std::fs::read(&place).ok().as_deref() != Some(file.bytes) {
        files::write_whole(&place, file.bytes)?;
    }
    Ok(KeptFile {
        name,
        path,
        digest,
        bytes: file.bytes.len() as u64,
    })
}

/// Reads a file that is to be kept.
pub(super) fn read(path: &Path) -> Result<(String, Vec<u8>), DeskError> {
    let failed = |error: std::io::Error| DeskError::io(path, "read the file", &error);
    let metadata = std::fs::metadata(path).map_err(failed)?;
    if metadata.is_dir() {
        return Err(DeskError::new(
            path.display().to_string(),
            "this is a folder, not a file",
            "Name the file in it.",
        ));
    }
    if metadata.len() > LARGEST {
        return Err(too_large(&path.display().to_string()));
    }
    let bytes = std::fs::read(path).map_err(failed)?;
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    Ok((name.into_owned(), bytes))
}

/// What a kept file holds, if it still is what was kept.
pub(super) fn bytes(desk: &Desk, file: &KeptFile) -> Result<Vec<u8>, DeskError> {
    let place = desk.root().join(&file.path);
    let bytes = std::fs::read(&place)
        .map_err(|error| DeskError::io(&place, "read the kept file", &error))?;
    if Digest::of_large(&bytes) == file.digest {
        return Ok(bytes);
    }
    Err(DeskError::new(
        file.path.as_str(),
        "this is not what was kept: something else has changed it",
        "Put the original back from a copy; what was read from it is in the record all the same.",
    ))
}

fn too_large(name: &str) -> DeskError {
    DeskError::new(
        name,
        "this is far too large for something that a printer sends",
        "Give the sheet, the letter or the photograph itself.",
    )
}
