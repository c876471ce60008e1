//! Files: whole or not at all, and one writer at a time.

use std::fs::{self, File, TryLockError};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use tempfile::NamedTempFile;

use crate::DeskError;

/// Beginning of the names of files that are still being written; swept away by the next writer.
const UNFINISHED: &str = ".foredge-unfinished-";

/// A file being written beside the one that it will replace. Dropping it leaves no trace.
pub(crate) struct Unfinished {
    file: NamedTempFile,
    target: PathBuf,
}

impl Unfinished {
    /// Begins a file that will become `target`; makes the folder if need be.
    pub(crate) fn begin(target: &Path) -> Result<Self, DeskError> {
        let folder = target.parent().unwrap_or(Path::new("."));
        fs::create_dir_all(folder)
            .map_err(|error| DeskError::io(folder, "make the folder", &error))?;
        let file = tempfile::Builder::new()
            .prefix(UNFINISHED)
            .tempfile_in(folder)
            .map_err(|error| DeskError::io(target, "write the file", &error))?;
        Ok(Self {
            file,
            target: target.to_owned(),
        })
    }

    /// The open file.
    pub(crate) fn file(&self) -> &File {
        self.file.as_file()
    }

    /// Brings it to the disk and puts it in the place of the former file.
    pub(crate) fn finish(self) -> Result<(), DeskError> {
        let target = self.target;
        let failed = |error: &io::Error| DeskError::io(&target, "write the file", error);
        open_to_others(self.file.as_file()).map_err(|error| failed(&error))?;
        self.file
            .as_file()
            .sync_all()
            .map_err(|error| failed(&error))?;
        self.file
            .persist(&target)
            .map_err(|error| failed(&error.error))?;
        sync_folder(target.parent());
        Ok(())
    }
}

/// Writes a small file whole or not at all.
pub(crate) fn write_whole(target: &Path, bytes: &[u8]) -> Result<(), DeskError> {
    let unfinished = Unfinished::begin(target)?;
    unfinished
        .file()
        .write_all(bytes)
        .map_err(|error| DeskError::io(target, "write the file", &error))?;
    unfinished.finish()
}

/// Writes a new file outside the book folder's own ones, whole or not at all. A file that is there
/// already may be somebody's art and is left alone.
///
/// # Errors
/// There is such a file; the place cannot be written to.
pub fn write_new(target: &Path, bytes: &[u8]) -> Result<(), DeskError> {
    if target.exists() {
        return Err(DeskError::new(
            target.display().to_string(),
            "there is such a file already",
            "Name another one, or take that one away first.",
        ));
    }
    write_whole(target, bytes)
}

/// The last part of a name, without what no file name should hold; `otherwise` if nothing is left.
pub(crate) fn plain_name(name: &str, otherwise: &str) -> String {
    let last = name.rsplit(['/', '\\']).next().unwrap_or_default();
    let plain: String = last
        .chars()
        .filter(|letter| !letter.is_control() && !"<>:\"|?*".contains(*letter))
        .take(120)
        .collect();
    match plain.trim_matches(['.', ' ']) {
        "" => otherwise.to_owned(),
        plain => plain.to_owned(),
    }
}

/// Takes away what a killed program left half-written in a folder. Only called by the holder of
/// the lock under which such files are written.
pub(crate) fn sweep(folder: &Path) {
    let Ok(entries) = fs::read_dir(folder) else {
        return;
    };
    for entry in entries.flatten() {
        if entry.file_name().to_string_lossy().starts_with(UNFINISHED) {
            // A file that cannot be taken away does no harm but the room it takes.
            let _ = fs::remove_file(entry.path());
        }
    }
}

/// A lock between programs and between threads; given up when dropped.
pub(crate) struct Lock {
    _file: File,
}

impl Lock {
    /// Waits up to `patience` for the lock file; `None` when another still holds it.
    pub(crate) fn take(path: &Path, patience: Duration) -> Result<Option<Self>, DeskError> {
        if let Some(folder) = path.parent() {
            fs::create_dir_all(folder)
                .map_err(|error| DeskError::io(folder, "make the folder", &error))?;
        }
        let file = File::options()
            .create(true)
            .truncate(false)
            .write(true)
            .open(path)
            .map_err(|error| DeskError::io(path, "open the lock", &error))?;
        let until = Instant::now() + patience;
        loop {
            match file.try_lock() {
                Ok(()) => return Ok(Some(Self { _file: file })),
                Err(TryLockError::WouldBlock) if Instant::now() < until => {
                    std::thread::sleep(Duration::from_millis(20));
                }
                Err(TryLockError::WouldBlock) => return Ok(None),
                // Some network file systems know no locks; working there beats refusing to.
                Err(TryLockError::Error(error)) if error.kind() == io::ErrorKind::Unsupported => {
                    return Ok(Some(Self { _file: file }));
                }
                Err(TryLockError::Error(error)) => {
                    return Err(DeskError::io(path, "take the lock", &error));
                }
            }
        }
    }
}

/// Temporary files are private to their maker; a finished file follows the usual rules.
#[cfg(unix)]
fn open_to_others(file: &File) -> io::Result<()> {
    use std::os::unix::fs::PermissionsExt;
    file.set_permissions(fs::Permissions::from_mode(0o644))
}

#[cfg(not(unix))]
fn open_to_others(_: &File) -> io::Result<()> {
    Ok(())
}

/// Makes a rename last through a power cut, where the system can.
fn sync_folder(folder: Option<&Path>) {
    if let Some(folder) = folder
        && let Ok(folder) = File::open(folder)
    {
        // Not every file system syncs folders; the file itself is safe already.
        let _ = folder.sync_all();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_name_loses_its_folders_and_what_no_name_should_hold() {
        let plain = |name| plain_name(name, "file");
        assert_eq!(plain("C:\\scans\\strip 1.tif"), "strip 1.tif");
        assert_eq!(plain("../../etc/passwd"), "passwd");
        assert_eq!(plain("..."), "file");
        assert_eq!(plain(""), "file");
        assert_eq!(plain("a\u{0}b:c.txt"), "abc.txt");
    }

    proptest! {
        #[test]
        fn a_name_never_leads_out_of_its_folder(name in ".*") {
            let plain = plain_name(&name, "file");
            prop_assert!(!plain.contains(['/', '\\']) && !plain.starts_with('.'));
            prop_assert!(!plain.is_empty());
        }
    }

    #[test]
    fn an_unfinished_file_leaves_the_former_one_untouched() {
        let folder = tempfile::tempdir().unwrap();
        let target = folder.path().join("book.toml");
        write_whole(&target, b"first").unwrap();
        {
            let unfinished = Unfinished::begin(&target).unwrap();
            unfinished.file().write_all(b"sec").unwrap();
        }
        assert_eq!(fs::read(&target).unwrap(), b"first");
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
    }

    #[test]
    fn a_second_writer_is_refused_until_the_first_is_done() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("lock");
        let first = Lock::take(&path, Duration::ZERO).unwrap();
        assert!(first.is_some());
        assert!(Lock::take(&path, Duration::ZERO).unwrap().is_none());
        drop(first);
        assert!(Lock::take(&path, Duration::ZERO).unwrap().is_some());
    }

    #[test]
    fn what_a_killed_program_left_is_swept_away_and_nothing_else() {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join(".foredge-unfinished-x1"), b"half").unwrap();
        fs::write(folder.path().join("interior.pdf"), b"whole").unwrap();
        sweep(folder.path());
        let left: Vec<_> = fs::read_dir(folder.path()).unwrap().flatten().collect();
        assert_eq!(left.len(), 1);
        assert_eq!(left[0].file_name(), "interior.pdf");
    }
}
