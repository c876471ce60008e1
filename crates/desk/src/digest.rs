//! BLAKE3 digests: what a thing was made from, in 32 bytes.

use std::fmt;
use std::io::{self, Write};

use serde::{Deserialize, Deserializer, Serialize, Serializer};

/// A BLAKE3 digest; printed and stored as 64 hexadecimal digits.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Digest([u8; 32]);

impl Digest {
    /// The digest of bytes.
    pub fn of(bytes: &[u8]) -> Self {
        Self(*blake3::hash(bytes).as_bytes())
    }

    /// The digest of large bytes, on all cores.
    pub(crate) fn of_large(bytes: &[u8]) -> Self {
        let mut hasher = blake3::Hasher::new();
        hasher.update_rayon(bytes);
        Self(*hasher.finalize().as_bytes())
    }

    /// From 64 hexadecimal digits.
    pub fn from_hex(text: &str) -> Option<Self> {
        blake3::Hash::from_hex(text)
            .ok()
            .map(|hash| Self(*hash.as_bytes()))
    }

    /// The first 16 bytes, as a file identifier.
    pub(crate) fn short(self) -> [u8; 16] {
        let mut short = [0; 16];
        short.copy_from_slice(&self.0[..16]);
        short
    }
}

impl fmt::Display for Digest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(blake3::Hash::from_bytes(self.0).to_hex().as_str())
    }
}

impl fmt::Debug for Digest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{self}")
    }
}

impl Serialize for Digest {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Digest {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        Self::from_hex(&text)
            .ok_or_else(|| serde::de::Error::custom("expected a digest of 64 hexadecimal digits"))
    }
}

/// Gathers named values into one digest. Every value carries its name and length, so that two
/// different lists of values never run together into the same bytes.
pub(crate) struct Gather(blake3::Hasher);

impl Gather {
    /// Begins; `kind` keeps digests of different things apart.
    pub(crate) fn new(kind: &str) -> Self {
        let mut gather = Self(blake3::Hasher::new());
        gather.put("kind", kind.as_bytes());
        gather
    }

    /// Adds a named value.
    pub(crate) fn put(&mut self, name: &str, value: impl AsRef<[u8]>) -> &mut Self {
        for part in [name.as_bytes(), value.as_ref()] {
            self.0.update(&(part.len() as u64).to_le_bytes());
            self.0.update(part);
        }
        self
    }

    /// The digest of all that was put.
    pub(crate) fn done(&self) -> Digest {
        Digest(*self.0.finalize().as_bytes())
    }
}

/// Passes bytes on and digests them on the way.
pub(crate) struct DigestingWriter<W> {
    inner: W,
    hasher: blake3::Hasher,
    length: u64,
}

impl<W: Write> DigestingWriter<W> {
    pub(crate) fn new(inner: W) -> Self {
        Self {
            inner,
            hasher: blake3::Hasher::new(),
            length: 0,
        }
    }

    /// What it wrote to, how much, and its digest.
    pub(crate) fn done(self) -> (W, u64, Digest) {
        let digest = Digest(*self.hasher.finalize().as_bytes());
        (self.inner, self.length, digest)
    }
}

/// Below this, cutting the work for several cores costs more than it brings (BLAKE3's own advice
/// is 128 KiB on x86-64).
const WORTH_SHARING: usize = 1 << 18;

impl<W: Write> Write for DigestingWriter<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let written = self.inner.write(bytes)?;
        if written >= WORTH_SHARING {
            self.hasher.update_rayon(&bytes[..written]);
        } else {
            self.hasher.update(&bytes[..written]);
        }
        self.length += written as u64;
        Ok(written)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.inner.flush()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: the BLAKE3 team's published test vector for input length 0 and 1
    /// (`test_vectors.json`, first 32 bytes), given here from memory of that file.
    #[test]
    fn digests_are_those_of_the_published_vectors() {
        assert_eq!(
            Digest::of(b"").to_string(),
            "af1349b9f5f9a1a6a0404dea36dcc9499bcb25c9adc112b7cc9a93cae41f3262"
        );
        assert_eq!(
            Digest::of(&[0]).to_string(),
            "2d3adedff11b61f14c886e35afa036736dcd87a74d27b5c1510225d0f592e213"
        );
    }

    #[test]
    fn values_do_not_run_together() {
        let one = Gather::new("x").put("a", "bc").put("d", "").done();
        let other = Gather::new("x").put("a", "b").put("cd", "").done();
        assert_ne!(one, other);
    }

    #[test]
    fn what_is_written_is_what_is_digested() {
        let mut writer = DigestingWriter::new(Vec::new());
        writer.write_all(b"har").unwrap();
        writer.write_all(&vec![7; WORTH_SHARING]).unwrap();
        let (bytes, length, digest) = writer.done();
        assert_eq!(length, bytes.len() as u64);
        assert_eq!(digest, Digest::of(&bytes));
    }
}
