//! The files that plates are drawn from.

use std::path::{Component, Path, PathBuf};
use std::sync::LazyLock;

use art::{Limits, Samples};
use finding::{Finding, Place, Severity};
use finish::{Drawing, FinishError, Typefaces};
use measure::PixelSize;
use serde::{Deserialize, Serialize};

use super::Stamp;
use crate::digest::Digest;
use crate::{Desk, art_folder};

/// The largest mask that is read.
const MOST_BYTES: u64 = 256 << 20;
/// The largest drawing: more are no shapes that a person drew.
const MOST_DRAWN: usize = 16 << 20;

/// Why there is no plate.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) enum Trouble {
    /// No file is there.
    Missing,
    /// The path leads out of the book folder.
    Outside,
    /// What is there cannot be used: why, and what to do.
    Unusable(String, String),
    /// It has other proportions than its panel.
    Unfit(String, String),
}

impl Trouble {
    /// In words, as a sentence.
    pub(crate) fn sentence(&self, stamp: &Stamp<'_>) -> String {
        let what = format!(
            "The {} `{}` gets no plate",
            stamp.finishing.process.word(),
            stamp.finishing.name
        );
        let from = stamp.facts().from;
        match self {
            Self::Missing => format!("{what}: there is no `{from}` in the book folder."),
            Self::Outside => format!("{what}: `{from}` leads out of the book folder."),
            Self::Unusable(why, _) | Self::Unfit(why, _) => format!("{what}: in `{from}`, {why}."),
        }
    }

    pub(super) fn finding(&self, stamp: &Stamp<'_>) -> Finding {
        let (code, hint) = match self {
            Self::Missing => (
                "finish-mask-missing",
                "Put the mask there, or name another one.",
            ),
            Self::Outside => (
                "finish-mask-outside",
                "Copy the mask into the book folder, and name it there.",
            ),
            Self::Unusable(_, hint) => ("finish-mask-unusable", hint.as_str()),
            Self::Unfit(_, hint) => ("finish-mask-unfit", hint.as_str()),
        };
        Finding::new(code, Severity::Stop, Place::Whole, self.sentence(stamp)).hint(hint)
    }

    fn unusable(why: impl Into<String>) -> Self {
        Self::Unusable(
            why.into(),
            "Save the mask anew as plain SVG, or as a black and white PNG.".to_owned(),
        )
    }
}

impl From<FinishError> for Trouble {
    fn from(error: FinishError) -> Self {
        let (why, hint) = (error.to_string(), error.hint().to_owned());
        match error {
            FinishError::Proportions { .. } => Self::Unfit(why, hint),
            _ => Self::Unusable(why, hint),
        }
    }
}

/// A mask that is there.
#[derive(Debug, Clone)]
pub(super) struct MaskFile {
    path: PathBuf,
    pub digest: Digest,
}

/// What a mask holds.
pub(super) enum Mask {
    /// Shapes.
    Drawing(Drawing),
    /// A byte a pixel, 0 black.
    Picture(Vec<u8>, PixelSize),
}

impl MaskFile {
    /// Finds a file by its path in the book folder. What leads out of the folder, by its steps or by
    /// a link, is not looked at.
    pub(super) fn find(desk: &Desk, name: &str) -> Result<Self, Trouble> {
        let relative = Path::new(name);
        let plain = |part: Component<'_>| matches!(part, Component::Normal(_) | Component::CurDir);
        if name.contains('\\') || !relative.components().all(plain) {
            return Err(Trouble::Outside);
        }
        let path = desk.root().join(relative);
        let (Ok(root), Ok(real)) = (desk.root().canonicalize(), path.canonicalize()) else {
            return Err(Trouble::Missing);
        };
        if !real.starts_with(root) {
            return Err(Trouble::Outside);
        }
        let metadata = real.metadata().map_err(|_| Trouble::Missing)?;
        if !metadata.is_file() {
            return Err(Trouble::Missing);
        }
        if metadata.len() > MOST_BYTES {
            return Err(Trouble::unusable(format!(
                "there is more than is read of a mask ({} MiB)",
                MOST_BYTES >> 20
            )));
        }
        let digest = desk
            .digest_of(&path)
            .ok_or_else(|| Trouble::unusable("the file cannot be read"))?;
        Ok(Self { path, digest })
    }

    pub(super) fn read(&self) -> Result<Mask, Trouble> {
        let bytes =
            art_folder::read(&self.path, &self.path.to_string_lossy()).map_err(|error| {
                Trouble::unusable(format!("the file cannot be read: {}", error.problem))
            })?;
        if is_text(&bytes) {
            return drawing(&bytes).map(Mask::Drawing);
        }
        let picture = art::decode(&bytes, &Limits::default())
            .map_err(|error| Trouble::unusable(error.to_string()))?;
        Ok(Mask::Picture(lightness(&picture.samples), picture.size))
    }
}

/// Every picture format begins with a byte that no XML begins with.
fn is_text(bytes: &[u8]) -> bool {
    let text = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let first = text.iter().find(|byte| !byte.is_ascii_whitespace());
    first == Some(&b'<')
}

fn drawing(bytes: &[u8]) -> Result<Drawing, Trouble> {
    static TYPEFACES: LazyLock<Typefaces> = LazyLock::new(|| Typefaces::new(words::typefaces()));
    if bytes.len() > MOST_DRAWN {
        return Err(Trouble::unusable(format!(
            "the drawing is larger than {} MiB",
            MOST_DRAWN >> 20
        )));
    }
    let text = std::str::from_utf8(bytes)
        .map_err(|_| Trouble::unusable("the drawing is not written in UTF-8"))?;
    Ok(Drawing::read(text, &TYPEFACES)?)
}

/// Luma of ITU-R BT.601, near enough to tell dark from light; ink counts as it covers paper.
fn lightness(samples: &Samples) -> Vec<u8> {
    let luma = |r: u32, g: u32, b: u32| (299 * r + 587 * g + 114 * b) / 1000;
    match samples {
        Samples::Grey8(grey) => grey.clone(),
        Samples::Grey16(grey) => grey.iter().map(|&value| (value >> 8) as u8).collect(),
        Samples::Rgb8(rgb) => rgb
            .as_chunks::<3>()
            .0
            .iter()
            .map(|&[r, g, b]| luma(r.into(), g.into(), b.into()) as u8)
            .collect(),
        Samples::Rgb16(rgb) => rgb
            .as_chunks::<3>()
            .0
            .iter()
            .map(|&[r, g, b]| (luma(r.into(), g.into(), b.into()) >> 8) as u8)
            .collect(),
        Samples::Cmyk8(inks) => inks
            .as_chunks::<4>()
            .0
            .iter()
            .map(|&[c, m, y, k]| {
                let left = |ink: u8| u32::from(255 - ink) * u32::from(255 - k) / 255;
                luma(left(c), left(m), left(y)) as u8
            })
            .collect(),
    }
}
