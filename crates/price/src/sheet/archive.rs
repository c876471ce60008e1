//! The archive of a workbook, unpacked within limits.

use std::io::{Cursor, Read};

use zip::ZipArchive;

use super::SheetError;

/// What a filled sheet may weigh, packed.
const LARGEST: usize = 16 << 20;
/// What all parts that are read may weigh, unpacked; what was sent has some 30 KiB. Our assumption.
const MOST_UNPACKED: u64 = 24 << 20;
/// Parts that an archive may have.
const MOST_PARTS: usize = 1000;
/// The same as people read it.
const LIMIT: &str = "16 MB packed, 24 MB unpacked and 1000 parts";

/// A workbook's parts.
pub(super) struct Archive<'b> {
    zip: ZipArchive<Cursor<&'b [u8]>>,
    names: Vec<String>,
    left: u64,
}

/// Whether bytes begin like an archive.
pub(super) fn is_archive(bytes: &[u8]) -> bool {
    bytes.starts_with(b"PK\x03\x04")
}

impl<'b> Archive<'b> {
    /// Looks at the table of an archive, and unpacks nothing.
    pub fn open(bytes: &'b [u8]) -> Result<Self, SheetError> {
        if bytes.starts_with(&[0xd0, 0xcf, 0x11, 0xe0]) {
            return Err(SheetError::Locked);
        }
        if bytes.len() > LARGEST {
            return Err(too_large("the file"));
        }
        let mut zip =
            ZipArchive::new(Cursor::new(bytes)).map_err(|error| broken(&error.to_string()))?;
        if zip.len() > MOST_PARTS {
            return Err(too_large("its number of parts"));
        }
        let mut names = Vec::new();
        let mut said = 0_u64;
        for index in 0..zip.len() {
            let part = zip
                .by_index_raw(index)
                .map_err(|error| broken(&error.to_string()))?;
            said = said.saturating_add(part.size());
            names.push(
                part.name()
                    .map_err(|error| broken(&error.to_string()))?
                    .into_owned(),
            );
        }
        if said > MOST_UNPACKED {
            return Err(too_large("what is packed in it"));
        }
        Ok(Self {
            zip,
            names,
            left: MOST_UNPACKED,
        })
    }

    /// Names of all parts.
    pub fn names(&self) -> &[String] {
        &self.names
    }

    /// A part as text; nothing where there is none. What an archive says of its sizes is not believed.
    pub fn part(&mut self, name: &str) -> Result<Option<String>, SheetError> {
        let name = name.trim_start_matches('/');
        let Some(index) = self
            .names
            .iter()
            .position(|known| known.trim_start_matches('/').eq_ignore_ascii_case(name))
        else {
            return Ok(None);
        };
        let part = self
            .zip
            .by_index(index)
            .map_err(|error| broken(&error.to_string()))?;
        let mut bytes = Vec::new();
        part.take(self.left + 1)
            .read_to_end(&mut bytes)
            .map_err(|error| broken(&error.to_string()))?;
        self.left = self
            .left
            .checked_sub(bytes.len() as u64)
            .ok_or_else(|| too_large("what is packed in it"))?;
        let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(&bytes);
        match std::str::from_utf8(bytes) {
            Ok(text) => Ok(Some(text.to_owned())),
            Err(_) => Err(broken(&format!("{name} is not written in UTF-8"))),
        }
    }
}

pub(super) fn broken(why: &str) -> SheetError {
    SheetError::Broken(why.trim_end_matches('.').to_owned())
}

fn too_large(what: &str) -> SheetError {
    SheetError::TooLarge {
        what: what.to_owned(),
        limit: LIMIT,
    }
}
