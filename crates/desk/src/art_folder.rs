//! Finding the pictures in a folder, and remembering what their headers say.

use std::collections::HashSet;
use std::fs::{self, File};
use std::io::Read;
use std::path::{Path, PathBuf};

use art::{ArtError, Limits};
use measure::PixelSize;

use crate::DeskError;
use crate::digest::Digest;
use crate::record::{Record, Seen, Signs};

/// How much of a file is read to understand its header; enough for all but headers that lie behind
/// the pixels (TIFF) or hold large thumbnails and profiles, for which the rest is read too.
const BEGINNING: u64 = 256 * 1024;
/// The largest file that is read as a picture.
const LARGEST_FILE: u64 = 4 << 30;

/// A file found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Found {
    /// Path below the folder, with forward slashes.
    pub name: String,
    /// Where it is.
    pub path: PathBuf,
}

/// Every file below a folder in the order of its name, numbers by their value; hidden ones, and
/// what lies in `except`, are left out. Names that are no text are left out too.
pub(crate) fn files_below(folder: &Path, except: Option<&Path>) -> Result<Vec<Found>, DeskError> {
    let mut found = Vec::new();
    walk(folder, "", except, &mut HashSet::new(), &mut found)?;
    found.sort_by(|one, other| by_name(&one.name, &other.name));
    Ok(found)
}

fn walk(
    folder: &Path,
    prefix: &str,
    except: Option<&Path>,
    visited: &mut HashSet<PathBuf>,
    found: &mut Vec<Found>,
) -> Result<(), DeskError> {
    let failed = |error: &std::io::Error| DeskError::io(folder, "read the folder", error);
    // Each folder once, so that links that lead back up do not lead round for ever.
    if !visited.insert(folder.canonicalize().map_err(|error| failed(&error))?) {
        return Ok(());
    }
    for entry in fs::read_dir(folder).map_err(|error| failed(&error))? {
        let entry = entry.map_err(|error| failed(&error))?;
        let file_name = entry.file_name();
        let Some(name) = file_name.to_str().filter(|name| !name.starts_with('.')) else {
            continue;
        };
        let path = entry.path();
        if except.is_some_and(|except| path == except) {
            continue;
        }
        let name = format!("{prefix}{name}");
        // Links are followed: linked art is art. A link that leads nowhere is a file that cannot
        // be read, and is named as such later.
        match fs::metadata(&path) {
            Ok(metadata) if metadata.is_dir() => {
                walk(&path, &format!("{name}/"), except, visited, found)?;
            }
            Ok(metadata) if !metadata.is_file() => {}
            _ => found.push(Found { name, path }),
        }
    }
    Ok(())
}

/// `2.png` before `10.png`, capitals as small letters; equal only for equal names.
pub(crate) fn by_name(one: &str, other: &str) -> std::cmp::Ordering {
    let (mut left, mut right) = (one, other);
    while let (Some(a), Some(b)) = (left.chars().next(), right.chars().next()) {
        if a.is_ascii_digit() && b.is_ascii_digit() {
            let (first, rest_left) = number(left);
            let (second, rest_right) = number(right);
            let order = first.len().cmp(&second.len()).then(first.cmp(second));
            if order.is_ne() {
                return order;
            }
            (left, right) = (rest_left, rest_right);
        } else {
            let order = a.to_lowercase().cmp(b.to_lowercase());
            if order.is_ne() {
                return order;
            }
            (left, right) = (&left[a.len_utf8()..], &right[b.len_utf8()..]);
        }
    }
    left.len().cmp(&right.len()).then_with(|| one.cmp(other))
}

/// The digits at the beginning, without leading zeros, and what follows them.
fn number(text: &str) -> (&str, &str) {
    let end = text
        .find(|c: char| !c.is_ascii_digit())
        .unwrap_or(text.len());
    (text[..end].trim_start_matches('0'), &text[end..])
}

/// What a header says: the size, why it cannot be read, or `None` when it is no picture at all.
pub(crate) fn header(path: &Path) -> Option<Result<PixelSize, String>> {
    let limits = Limits::default();
    let read = |most: u64| -> std::io::Result<Vec<u8>> {
        let mut bytes = Vec::new();
        File::open(path)?.take(most).read_to_end(&mut bytes)?;
        Ok(bytes)
    };
    let beginning = match read(BEGINNING) {
        Ok(bytes) => bytes,
        Err(error) => return Some(Err(cannot_open(&error))),
    };
    let said = match art::probe(&beginning, &limits) {
        Err(ArtError::Damaged(_)) if beginning.len() as u64 == BEGINNING => {
            match read(LARGEST_FILE) {
                Ok(bytes) => art::probe(&bytes, &limits),
                Err(error) => return Some(Err(cannot_open(&error))),
            }
        }
        said => said,
    };
    match said {
        Ok(header) => Some(Ok(header.size)),
        Err(ArtError::UnknownFormat) => None,
        Err(error) => Some(Err(error.to_string())),
    }
}

fn cannot_open(error: &std::io::Error) -> String {
    match error.kind() {
        std::io::ErrorKind::NotFound => "the link leads to a file that is not there".to_owned(),
        std::io::ErrorKind::PermissionDenied => "you may not read it".to_owned(),
        _ => format!("the disk could not read it: {error}"),
    }
}

/// A whole art file.
pub(crate) fn read(path: &Path, name: &str) -> Result<Vec<u8>, DeskError> {
    let place = format!("art/{name}");
    let failed = |error: &std::io::Error| {
        DeskError::new(
            place.clone(),
            cannot_open(error),
            "Put the picture back, or take it out of the running order.",
        )
    };
    let length = fs::metadata(path).map_err(|error| failed(&error))?.len();
    if length > LARGEST_FILE {
        return Err(DeskError::new(
            place,
            "the file is larger than 4 GiB",
            "Save it again as one flat picture without layers.",
        ));
    }
    fs::read(path).map_err(|error| failed(&error))
}

/// One picture of the book folder.
#[derive(Debug, Clone)]
pub(crate) struct Piece {
    pub name: String,
    pub path: PathBuf,
    pub signs: Option<Signs>,
    pub size: Result<PixelSize, String>,
    digest: Option<Digest>,
}

/// The pictures below `art/` with their sizes; headers are read only of files not seen before.
pub(crate) fn pieces(folder: &Path, record: &mut Record) -> Result<Vec<Piece>, DeskError> {
    if !folder.is_dir() {
        return Ok(Vec::new());
    }
    let mut pieces = Vec::new();
    let mut news = Vec::new();
    for found in files_below(folder, None)? {
        let key = key(&found.name);
        let signs = Signs::of(&found.path).ok();
        let seen = match signs {
            Some(signs) => record.seen(&key, signs)?,
            None => Seen::default(),
        };
        let picture = match seen.picture {
            Some(picture) => Some(picture),
            None => {
                // Files that are no pictures are remembered by an empty problem.
                let picture = match header(&found.path) {
                    Some(Ok(size)) => Ok((size.width, size.height)),
                    Some(Err(problem)) => Err(problem),
                    None => Err(String::new()),
                };
                if let Some(signs) = signs {
                    news.push((
                        key,
                        signs,
                        Seen {
                            digest: seen.digest,
                            picture: Some(picture.clone()),
                        },
                    ));
                }
                Some(picture)
            }
        };
        let size = match picture {
            Some(Ok((width, height))) => Ok(PixelSize { width, height }),
            Some(Err(problem)) if problem.is_empty() => continue,
            Some(Err(problem)) => Err(problem),
            None => continue,
        };
        pieces.push(Piece {
            name: found.name,
            path: found.path,
            signs,
            size,
            digest: seen.digest,
        });
    }
    record.remember(&news)?;
    Ok(pieces)
}

/// Digests of pieces, in their order; only files not digested before are read. `None` for a file
/// that cannot be read.
pub(crate) fn digests(
    pieces: &[&Piece],
    record: &mut Record,
) -> Result<Vec<Option<Digest>>, DeskError> {
    let mut digests = Vec::with_capacity(pieces.len());
    let mut news = Vec::new();
    for piece in pieces {
        let digest = match piece.digest {
            Some(digest) => Some(digest),
            None => digest_file(&piece.path),
        };
        if piece.digest.is_none()
            && let (Some(digest), Some(signs)) = (digest, piece.signs)
        {
            let picture = Some(piece.size.clone().map(|size| (size.width, size.height)));
            let seen = Seen {
                digest: Some(digest),
                picture,
            };
            news.push((key(&piece.name), signs, seen));
        }
        digests.push(digest);
    }
    record.remember(&news)?;
    Ok(digests)
}

fn key(name: &str) -> String {
    format!("art/{name}")
}

/// The digest of a file's bytes.
pub(crate) fn digest_file(path: &Path) -> Option<Digest> {
    digest_all(&mut File::open(path).ok()?).ok()
}

/// The digest of all that a reader gives, in parts that stay in the processor's cache.
pub(crate) fn digest_all(from: &mut impl Read) -> std::io::Result<Digest> {
    let mut writer = crate::digest::DigestingWriter::new(std::io::sink());
    let mut part = vec![0; 1 << 19];
    loop {
        match from.read(&mut part) {
            Ok(0) => return Ok(writer.done().2),
            Ok(length) => std::io::Write::write_all(&mut writer, &part[..length])?,
            Err(error) if error.kind() == std::io::ErrorKind::Interrupted => {}
            Err(error) => return Err(error),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_in_the_order_a_person_counts() {
        let mut names = [
            "plate 10.png",
            "Plate 2.png",
            "plate 1.png",
            "plate 02b.png",
        ];
        names.sort_by(|one, other| by_name(one, other));
        assert_eq!(
            names,
            [
                "plate 1.png",
                "Plate 2.png",
                "plate 02b.png",
                "plate 10.png"
            ]
        );
    }

    #[test]
    fn hidden_files_and_the_book_itself_are_left_out() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        fs::create_dir_all(at("sea/.trash")).unwrap();
        fs::create_dir_all(at("book")).unwrap();
        for name in [
            "b.png",
            ".hidden.png",
            "sea/a.png",
            "sea/.trash/c.png",
            "book/d.png",
        ] {
            fs::write(at(name), b"x").unwrap();
        }
        let found = files_below(folder.path(), Some(&at("book"))).unwrap();
        let names: Vec<_> = found.iter().map(|found| found.name.as_str()).collect();
        assert_eq!(names, ["b.png", "sea/a.png"]);
    }

    #[cfg(unix)]
    #[test]
    fn a_loop_of_links_ends() {
        let folder = tempfile::tempdir().unwrap();
        std::os::unix::fs::symlink(folder.path(), folder.path().join("again")).unwrap();
        fs::write(folder.path().join("a.png"), b"x").unwrap();
        let found = files_below(folder.path(), None).unwrap();
        assert_eq!(found.len(), 1);
    }

    proptest::proptest! {
        #[test]
        fn the_order_of_names_is_an_order(one in "[a0-2.]{0,5}", two in "[a0-2.]{0,5}", three in "[a0-2.]{0,5}") {
            let cmp = |a: &str, b: &str| by_name(a, b);
            proptest::prop_assert_eq!(cmp(&one, &two), cmp(&two, &one).reverse());
            if cmp(&one, &two).is_le() && cmp(&two, &three).is_le() {
                proptest::prop_assert!(cmp(&one, &three).is_le());
            }
        }
    }
}
