//! Making a book folder: all of it, or nothing.

use std::fs;
use std::path::{Path, PathBuf};

use book::propose::{FirstBook, propose};
use measure::PixelSize;

use crate::art_folder::{self, Found};
use crate::record::Record;
use crate::{DeskError, NewBook, files, place};

/// Beginning of the name of a folder that is still being built.
const BUILDING: &str = ".foredge-new-";

/// Makes the folder.
pub(crate) fn create(request: &NewBook) -> Result<(), DeskError> {
    refuse_taken(&request.folder)?;
    let pictures = pictures(request)?;
    let text = propose(&FirstBook {
        title: request.title.clone(),
        author: request.author.clone(),
        trim: request.trim,
        art: pictures
            .iter()
            .filter_map(|(found, size)| Some((found.name.clone(), *size.as_ref().ok()?)))
            .collect(),
    })
    .map_err(|errors| place::book_errors("the new book", &errors))?;
    build(&request.folder, |building| {
        for (found, _) in &pictures {
            bring_in(found, &building.join("art").join(&found.name), request.copy)?;
        }
        write_book(building, &text)
    })
}

/// Builds a folder beside its place and puts it there when all of it is done.
pub(crate) fn build(
    folder: &Path,
    fill: impl FnOnce(&Path) -> Result<(), DeskError>,
) -> Result<(), DeskError> {
    let folder = std::path::absolute(folder)
        .map_err(|error| DeskError::io(folder, "find the folder", &error))?;
    let parent = folder.parent().unwrap_or(Path::new("/")).to_owned();
    let made = MadeFolders::make(&parent)?;
    let building = tempfile::Builder::new()
        .prefix(BUILDING)
        .tempdir_in(&parent)
        .map_err(|error| DeskError::io(&parent, "make a folder", &error))?;
    fill(building.path())?;
    open_to_others(building.path());
    // An empty folder may stand in the way; one that is not empty stays and is an error.
    let _ = fs::remove_dir(&folder);
    fs::rename(building.path(), &folder)
        .map_err(|error| DeskError::io(&folder, "make the book folder", &error))?;
    // What was built has its place now; there is nothing left to take away.
    let _ = building.keep();
    made.keep();
    Ok(())
}

/// Writes book file and record into a folder being built.
pub(crate) fn write_book(building: &Path, text: &str) -> Result<(), DeskError> {
    files::write_whole(&building.join("book.toml"), text.as_bytes())?;
    let mut record = Record::open(&building.join(".foredge/record.sqlite"))?;
    record.add_edit("The book as first proposed", None, text)
}

/// Refuses a folder that holds anything.
pub(crate) fn refuse_taken(folder: &Path) -> Result<(), DeskError> {
    let taken = match fs::read_dir(folder) {
        Ok(mut entries) => entries.next().is_some(),
        Err(_) => fs::symlink_metadata(folder).is_ok(),
    };
    if taken {
        return Err(DeskError::new(
            folder.display().to_string(),
            "there is something in this place already",
            "Name a folder that does not exist yet, or an empty one.",
        ));
    }
    Ok(())
}

type Pictures = Vec<(Found, Result<PixelSize, String>)>;

/// The pictures of the art folder; those that cannot be read come along, so that they are named
/// when the art is judged.
fn pictures(request: &NewBook) -> Result<Pictures, DeskError> {
    let art = &request.art;
    if !art.is_dir() {
        return Err(DeskError::new(
            art.display().to_string(),
            "this is not a folder of art",
            "Name the folder that holds your pictures after `--art`.",
        ));
    }
    let art = art
        .canonicalize()
        .map_err(|error| DeskError::io(art, "find the folder", &error))?;
    let except = std::path::absolute(&request.folder).ok();
    let pictures: Pictures = art_folder::files_below(&art, except.as_deref())?
        .into_iter()
        .filter_map(|found| {
            let said = art_folder::header(&found.path)?;
            Some((found, said))
        })
        .collect();
    if !pictures.iter().any(|(_, size)| size.is_ok()) {
        let first = pictures
            .iter()
            .find_map(|(found, size)| Some((&found.name, size.as_ref().err()?)));
        let problem = match first {
            None => "there is no JPEG, PNG, TIFF or WebP picture in this folder".to_owned(),
            Some((name, problem)) => {
                format!("no picture in this folder can be read; `{name}`: {problem}")
            }
        };
        return Err(DeskError::new(
            request.art.display().to_string(),
            problem,
            "Name the folder that holds your finished pictures after `--art`.",
        ));
    }
    Ok(pictures)
}

/// Copies or links one picture. Copying shares the blocks where the file system can (the standard
/// library asks it to), so that a copy then costs no room.
fn bring_in(found: &Found, to: &Path, copy: bool) -> Result<(), DeskError> {
    let failed = |error: &std::io::Error| {
        DeskError::io(&found.path, "bring the picture into the book", error)
    };
    if let Some(folder) = to.parent() {
        fs::create_dir_all(folder).map_err(|error| failed(&error))?;
    }
    if copy {
        fs::copy(&found.path, to)
            .map(|_| ())
            .map_err(|error| failed(&error))
    } else {
        link(&found.path, to).map_err(|error| failed(&error))
    }
}

/// A link to the place of the picture: a picture that is saved anew there is seen here.
#[cfg(unix)]
fn link(from: &Path, to: &Path) -> std::io::Result<()> {
    std::os::unix::fs::symlink(from.canonicalize()?, to)
}

/// Links to places need special rights on this system: the same file under two names instead.
#[cfg(not(unix))]
fn link(from: &Path, to: &Path) -> std::io::Result<()> {
    fs::hard_link(from, to)
}

#[cfg(unix)]
fn open_to_others(folder: &Path) {
    use std::os::unix::fs::PermissionsExt;
    // A folder that stays private is no harm.
    let _ = fs::set_permissions(folder, fs::Permissions::from_mode(0o755));
}

#[cfg(not(unix))]
fn open_to_others(_: &Path) {}

/// Folders made on the way, taken away again unless kept.
struct MadeFolders(Vec<PathBuf>);

impl MadeFolders {
    fn make(folder: &Path) -> Result<Self, DeskError> {
        let missing = folder
            .ancestors()
            .take_while(|folder| !folder.exists())
            .map(Path::to_owned)
            .collect();
        let made = Self(missing);
        fs::create_dir_all(folder)
            .map_err(|error| DeskError::io(folder, "make the folder", &error))?;
        Ok(made)
    }

    fn keep(mut self) {
        self.0.clear();
    }
}

impl Drop for MadeFolders {
    fn drop(&mut self) {
        for folder in &self.0 {
            // Only empty folders go; anything else in there is not ours.
            let _ = fs::remove_dir(folder);
        }
    }
}
