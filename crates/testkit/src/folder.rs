use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use tempfile::TempDir;

/// A folder that vanishes with its owner.
#[derive(Debug)]
pub struct Folder(TempDir);

impl Default for Folder {
    fn default() -> Self {
        Self::new()
    }
}

impl Folder {
    /// An empty folder.
    pub fn new() -> Self {
        Self(TempDir::new().expect("the system has room for temporary files"))
    }

    /// Adds a file, with the folders on its way.
    #[must_use]
    pub fn with(self, name: &str, bytes: impl AsRef<[u8]>) -> Self {
        self.put(name, bytes);
        self
    }

    /// Writes a file, with the folders on its way.
    pub fn put(&self, name: &str, bytes: impl AsRef<[u8]>) {
        let path = self.at(name);
        if let Some(folder) = path.parent() {
            std::fs::create_dir_all(folder).expect("a folder can be made");
        }
        std::fs::write(path, bytes).expect("a file can be written");
    }

    /// Where a file of the folder is.
    pub fn at(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    /// Where the folder is.
    pub fn path(&self) -> &Path {
        self.0.path()
    }
}

/// Digests of every file below a folder, by path; two that are equal mean that nothing was
/// touched. What lies in `except` (paths from the folder) is left out.
pub fn digests(folder: &Path, except: &[&str]) -> BTreeMap<String, String> {
    let mut found = BTreeMap::new();
    gather(folder, folder, except, &mut found);
    found
}

fn gather(root: &Path, folder: &Path, except: &[&str], found: &mut BTreeMap<String, String>) {
    for entry in std::fs::read_dir(folder)
        .expect("the folder can be read")
        .flatten()
    {
        let path = entry.path();
        let name = path
            .strip_prefix(root)
            .expect("the path begins with the folder it was found in")
            .to_string_lossy()
            .replace('\\', "/");
        if except.contains(&name.as_str()) {
            continue;
        }
        if path.is_dir() {
            gather(root, &path, except, found);
        } else {
            let bytes = std::fs::read(&path).expect("the file can be read");
            found.insert(name, blake3::hash(&bytes).to_string());
        }
    }
}
