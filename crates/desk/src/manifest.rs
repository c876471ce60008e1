//! `press/manifest.json`: what the press files were made from, and where each picture lies in
//! them, so that the next press files can take over what has not changed.

use std::collections::HashMap;
use std::path::Path;

use serde::{Deserialize, Serialize};

use crate::DeskError;
use crate::digest::Digest;
use crate::files;

/// The layout of the manifest; raised when its meaning changes.
pub(crate) const LAYOUT: u32 = 1;

/// The whole manifest.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(crate) struct Manifest {
    /// [`LAYOUT`].
    pub layout: u32,
    /// The program and its version.
    pub program: String,
    /// When, in UTC.
    pub created: String,
    /// The decisions.
    pub book: BookInputs,
    /// The press condition.
    pub press_condition: ConditionInputs,
    /// Every piece of art that is on a page or on the cover.
    pub art: Vec<ArtInput>,
    /// The files.
    pub files: Vec<MadeFile>,
}

/// The book file.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(crate) struct BookInputs {
    pub title: String,
    /// Digest of `book.toml` as it was.
    pub file_blake3: Digest,
    /// Digest of what the book decides, comments and spacing apart.
    pub decisions_blake3: Digest,
}

/// The press condition.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(crate) struct ConditionInputs {
    pub name: String,
    pub identifier: String,
    pub profile_blake3: Digest,
    pub rendering: String,
    pub ink_limit_percent: f64,
}

/// A piece of art.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(crate) struct ArtInput {
    pub piece: String,
    pub size_bytes: u64,
    pub blake3: Digest,
}

/// One press file.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(crate) struct MadeFile {
    /// Its name in the press folder.
    pub file: String,
    pub size_bytes: u64,
    pub blake3: Digest,
    /// Digest of everything that it was made from.
    pub inputs_blake3: Digest,
    pub pages: Vec<MadePage>,
}

/// One page of a press file.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(crate) struct MadePage {
    /// 1-based.
    pub page: u32,
    /// Digest of everything on the page.
    pub inputs_blake3: Digest,
    pub pictures: Vec<MadePicture>,
}

/// One picture on a page, and where its stream lies in the file.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(crate) struct MadePicture {
    pub piece: String,
    /// Digest of all that decides the stream's bytes.
    pub inputs_blake3: Digest,
    pub width_px: u32,
    pub height_px: u32,
    /// `lossless` or `jpeg`.
    pub coding: String,
    pub offset_bytes: u64,
    pub length_bytes: u64,
    pub blake3: Digest,
}

impl Manifest {
    /// Reads a manifest; `None` where there is none or it cannot be understood, since then all is
    /// made anew and nothing is lost.
    pub(crate) fn read(path: &Path) -> Option<Self> {
        let text = std::fs::read_to_string(path).ok()?;
        let manifest: Self = serde_json::from_str(&text).ok()?;
        (manifest.layout == LAYOUT).then_some(manifest)
    }

    /// Writes it, whole or not at all.
    pub(crate) fn write(&self, path: &Path) -> Result<(), DeskError> {
        let mut text = serde_json::to_string_pretty(self)
            .expect("a manifest holds only strings, numbers and lists");
        text.push('\n');
        files::write_whole(path, text.as_bytes())
    }

    /// Pictures of a file by the digest of their inputs.
    pub(crate) fn kept_pictures(&self, file: &str) -> HashMap<Digest, MadePicture> {
        self.files
            .iter()
            .filter(|made| made.file == file)
            .flat_map(|made| &made.pages)
            .flat_map(|page| &page.pictures)
            .map(|picture| (picture.inputs_blake3, picture.clone()))
            .collect()
    }
}
