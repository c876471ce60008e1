//! The last press file, out of which what has not changed is copied.

use std::collections::HashMap;
use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};

use measure::PixelSize;
use press::StoredImage;

use crate::digest::Digest;
use crate::manifest::{MadeFile, MadePicture, Manifest};
use crate::{Desk, art_folder, unit};

/// A press file made before, with what the manifest says of it.
pub(super) struct LastFile {
    pub(super) made: MadeFile,
    path: PathBuf,
    file: File,
    pictures: HashMap<Digest, MadePicture>,
}

impl LastFile {
    pub(super) fn find(old: Option<&Manifest>, path: &Path, name: &str) -> Option<Self> {
        let old = old?;
        let made = old.files.iter().find(|made| made.file == name)?.clone();
        Some(Self {
            file: File::open(path).ok()?,
            path: path.to_owned(),
            pictures: old.kept_pictures(name),
            made,
        })
    }

    /// Whether the file still is what the manifest says.
    pub(super) fn is_untouched(&self, desk: &Desk) -> bool {
        desk.digest_of(&self.path) == Some(self.made.blake3)
    }

    /// A stream of the file. `None` when it is not there or has been harmed: then it is made anew.
    pub(super) fn take_over(&self, key: Digest) -> Option<(&MadePicture, StoredImage)> {
        let picture = self.pictures.get(&key)?;
        let length = self.file.metadata().ok()?.len();
        let end = picture.offset_bytes.checked_add(picture.length_bytes)?;
        if end > length {
            return None;
        }
        let stored = StoredImage {
            size: PixelSize {
                width: picture.width_px,
                height: picture.height_px,
            },
            coding: unit::coding_of(&picture.coding)?,
            offset: picture.offset_bytes,
            length: picture.length_bytes,
        };
        let digest = art_folder::digest_all(&mut self.part(&stored)).ok()?;
        (digest == picture.blake3).then_some((picture, stored))
    }

    pub(super) fn part(&self, stored: &StoredImage) -> Part<'_> {
        Part {
            file: &self.file,
            offset: stored.offset,
            left: stored.length,
        }
    }
}

#[cfg(unix)]
pub(super) fn read_at(file: &File, bytes: &mut [u8], offset: u64) -> std::io::Result<usize> {
    use std::os::unix::fs::FileExt;
    file.read_at(bytes, offset)
}

#[cfg(windows)]
pub(super) fn read_at(file: &File, bytes: &mut [u8], offset: u64) -> std::io::Result<usize> {
    use std::os::windows::fs::FileExt;
    file.seek_read(bytes, offset)
}

/// A part of a file, read from its beginning on.
pub(super) struct Part<'a> {
    file: &'a File,
    offset: u64,
    left: u64,
}

impl Read for Part<'_> {
    fn read(&mut self, bytes: &mut [u8]) -> std::io::Result<usize> {
        let most = usize::try_from(self.left).map_or(bytes.len(), |left| left.min(bytes.len()));
        let read = read_at(self.file, &mut bytes[..most], self.offset)?;
        self.offset += read as u64;
        self.left -= read as u64;
        Ok(read)
    }
}
