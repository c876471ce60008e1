//! Directories of tagged values as TIFF and EXIF keep them (TIFF 6.0, section 2; BigTIFF).
//!
//! Only ever one directory is read, so that a chain that bites its own tail does no harm.

use crate::orientation::Orientation;

/// Bytes that are laid out as TIFF.
#[derive(Debug, Clone, Copy)]
pub(super) struct Layout<'a> {
    bytes: &'a [u8],
    big_endian: bool,
    /// BigTIFF: 64-bit offsets.
    wide: bool,
}

/// One tagged value, still where it is in the file.
#[derive(Debug, Clone, Copy)]
struct Entry {
    tag: u16,
    kind: u16,
    count: u64,
    /// Where the values are.
    at: u64,
}

/// The values of one directory.
#[derive(Debug)]
pub(super) struct Directory<'a> {
    layout: Layout<'a>,
    entries: Vec<Entry>,
}

/// More entries than any real directory has.
const MOST_ENTRIES: u64 = 4096;

impl<'a> Layout<'a> {
    /// Reads the file's head; `None` where it is not TIFF. The offset is that of the first
    /// directory.
    pub(super) fn open(bytes: &'a [u8]) -> Option<(Self, u64)> {
        let big_endian = match bytes.get(..2)? {
            b"II" => false,
            b"MM" => true,
            _ => return None,
        };
        let mut layout = Self {
            bytes,
            big_endian,
            wide: false,
        };
        match layout.number(2, 2)? {
            42 => Some((layout, layout.number(4, 4)?)),
            43 if layout.number(4, 2)? == 8 => {
                layout.wide = true;
                Some((layout, layout.number(8, 8)?))
            }
            _ => None,
        }
    }

    /// Whether the most significant byte comes first.
    pub(super) const fn is_big_endian(&self) -> bool {
        self.big_endian
    }

    /// Reads the directory at an offset; `None` where it is cut or absurd.
    pub(super) fn directory(self, at: u64) -> Option<Directory<'a>> {
        let (count_size, entry_size, offset_size) = if self.wide { (8, 20, 8) } else { (2, 12, 4) };
        let count = self.number(at, count_size)?;
        if count > MOST_ENTRIES {
            return None;
        }
        let first = at.checked_add(count_size as u64)?;
        let mut entries = Vec::with_capacity(count as usize);
        for index in 0..count {
            let start = first.checked_add(index * entry_size)?;
            self.slice(start, entry_size)?;
            let kind = self.number(start + 2, 2)? as u16;
            let count = self.number(start + 4, offset_size)?;
            let place = start + 4 + offset_size as u64;
            let inline = size_of_kind(kind)
                .and_then(|size| count.checked_mul(size))
                .is_some_and(|size| size <= offset_size as u64);
            entries.push(Entry {
                tag: self.number(start, 2)? as u16,
                kind,
                count,
                at: if inline {
                    place
                } else {
                    self.number(place, offset_size)?
                },
            });
        }
        Some(Directory {
            layout: self,
            entries,
        })
    }

    fn slice(&self, at: u64, length: u64) -> Option<&'a [u8]> {
        let start = usize::try_from(at).ok()?;
        let end = start.checked_add(usize::try_from(length).ok()?)?;
        self.bytes.get(start..end)
    }

    fn number(&self, at: u64, size: usize) -> Option<u64> {
        let bytes = self.slice(at, size as u64)?;
        let fold = |sum: u64, byte: &u8| sum << 8 | u64::from(*byte);
        Some(if self.big_endian {
            bytes.iter().fold(0, fold)
        } else {
            bytes.iter().rev().fold(0, fold)
        })
    }
}

impl<'a> Directory<'a> {
    /// Whether there is such a tag.
    pub(super) fn has(&self, tag: u16) -> bool {
        self.entry(tag).is_some()
    }

    /// All values of a tag of whole numbers. `None` where it is missing, cut or of another type.
    pub(super) fn numbers(&self, tag: u16) -> Option<Vec<u64>> {
        let entry = self.entry(tag)?;
        let size = match entry.kind {
            1 | 7 => 1,
            3 => 2,
            4 | 13 => 4,
            16 | 18 => 8,
            _ => return None,
        };
        // The bytes are looked for before room is made, so that a lying count costs nothing.
        let bytes = self
            .layout
            .slice(entry.at, entry.count.checked_mul(size as u64)?)?;
        (0..bytes.len() / size)
            .map(|index| self.layout.number(entry.at + (index * size) as u64, size))
            .collect()
    }

    /// The first value of a tag of whole numbers.
    pub(super) fn number(&self, tag: u16) -> Option<u64> {
        self.numbers(tag)?.first().copied()
    }

    /// The bytes of a tag.
    pub(super) fn bytes(&self, tag: u16) -> Option<&'a [u8]> {
        let entry = self.entry(tag)?;
        let size = size_of_kind(entry.kind)?;
        self.layout.slice(entry.at, entry.count.checked_mul(size)?)
    }

    fn entry(&self, tag: u16) -> Option<Entry> {
        self.entries.iter().find(|entry| entry.tag == tag).copied()
    }
}

/// Bytes that one value of a type takes.
const fn size_of_kind(kind: u16) -> Option<u64> {
    Some(match kind {
        1 | 2 | 6 | 7 => 1,
        3 | 8 => 2,
        4 | 9 | 11 | 13 => 4,
        5 | 10 | 12 | 16..=18 => 8,
        _ => return None,
    })
}

const ORIENTATION: u16 = 274;

/// The orientation that an EXIF block asks for. An absurd block asks for nothing: the picture is
/// still good.
pub(super) fn exif_orientation(exif: &[u8]) -> Orientation {
    let exif = exif.strip_prefix(b"Exif\0\0").unwrap_or(exif);
    Layout::open(exif)
        .and_then(|(layout, at)| layout.directory(at))
        .map_or_else(Orientation::default, |directory| orientation_of(&directory))
}

/// The orientation that a directory states.
pub(super) fn orientation_of(directory: &Directory<'_>) -> Orientation {
    Orientation::from_tag(directory.number(ORIENTATION).unwrap_or(1))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn exif(value: u16) -> Vec<u8> {
        let mut bytes = b"Exif\0\0MM\0\x2a\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01".to_vec();
        bytes.extend(value.to_be_bytes());
        bytes.extend([0; 6]);
        bytes
    }

    #[test]
    fn exif_says_how_to_turn() {
        for value in 0..10 {
            assert_eq!(
                exif_orientation(&exif(value)),
                Orientation::from_tag(u64::from(value))
            );
        }
    }

    #[test]
    fn absurd_exif_asks_for_nothing() {
        let whole = exif(6);
        for cut in 0..whole.len() - 6 {
            assert!(exif_orientation(&whole[..cut]).is_upright(), "cut at {cut}");
        }
        // A directory that claims more entries than there are bytes, and one beyond the end.
        assert!(exif_orientation(b"II\x2a\0\x08\0\0\0\xff\xff").is_upright());
        assert!(exif_orientation(b"II\x2a\0\xff\xff\xff\xff").is_upright());
    }
}
