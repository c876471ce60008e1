use qrcode::{Color, EcLevel, QrCode, Version};

use crate::Mark;

/// Modules of a side of every mark, quiet zone excluded: QR version 3 of ISO/IEC 18004.
///
/// The longest text of a mark has 40 characters, and this version holds 47 alphanumeric ones at
/// level Q, at which a quarter of the code may be unreadable. One size for all marks spares the
/// scan a guess.
pub const MARK_SIDE: usize = 29;

/// Width of the clear border that a mark needs around it, in modules (ISO/IEC 18004).
pub const MARK_QUIET: usize = 4;

/// A mark as a square of dark and light modules.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MarkPicture {
    dark: Vec<bool>,
}

impl MarkPicture {
    /// The QR code of a mark's text.
    ///
    /// `None` where the text is too long or holds what a mark cannot: a [`Mark`] that was not
    /// parsed and whose file is no digest.
    pub fn of(mark: &Mark) -> Option<Self> {
        let text = mark.text();
        let code = QrCode::with_version(text, Version::Normal(3), EcLevel::Q).ok()?;
        let dark: Vec<bool> = code
            .to_colors()
            .into_iter()
            .map(|module| module == Color::Dark)
            .collect();
        (dark.len() == MARK_SIDE * MARK_SIDE).then_some(Self { dark })
    }

    /// Whether a module is dark; the light quiet zone lies all around.
    pub fn is_dark(&self, column: usize, row: usize) -> bool {
        column < MARK_SIDE && row < MARK_SIDE && self.dark[row * MARK_SIDE + column]
    }

    /// Runs of dark modules, row by row, as (column, row, how many): what to fill with black.
    pub fn runs(&self) -> Vec<(usize, usize, usize)> {
        let mut runs = Vec::new();
        for row in 0..MARK_SIDE {
            let mut column = 0;
            while column < MARK_SIDE {
                let length = (column..MARK_SIDE)
                    .take_while(|&at| self.is_dark(at, row))
                    .count();
                if length > 0 {
                    runs.push((column, row, length));
                }
                column += length + 1;
            }
        }
        runs
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mark(page: Option<u32>) -> Mark {
        Mark {
            page,
            file: "0a1b2c3d".into(),
            version: 3,
        }
    }

    #[test]
    fn every_mark_that_can_be_has_the_same_size() {
        let longest = Mark {
            page: Some(u32::MAX),
            version: u32::MAX,
            ..mark(None)
        };
        for mark in [mark(None), mark(Some(12)), longest] {
            assert!(MarkPicture::of(&mark).is_some(), "{}", mark.text());
        }
        let nonsense = Mark {
            file: "x".repeat(200),
            ..mark(None)
        };
        assert_eq!(MarkPicture::of(&nonsense), None);
    }

    #[test]
    fn runs_fill_exactly_the_dark_modules() {
        let picture = MarkPicture::of(&mark(Some(4))).unwrap();
        let mut filled = vec![false; MARK_SIDE * MARK_SIDE];
        for (column, row, length) in picture.runs() {
            for at in column..column + length {
                assert!(!filled[row * MARK_SIDE + at]);
                filled[row * MARK_SIDE + at] = true;
            }
        }
        assert_eq!(filled, picture.dark);
    }

    #[test]
    fn the_three_finders_stand_in_their_corners() {
        let picture = MarkPicture::of(&mark(Some(4))).unwrap();
        for (column, row) in [(0, 0), (MARK_SIDE - 7, 0), (0, MARK_SIDE - 7)] {
            for i in 0..7 {
                assert!(picture.is_dark(column + i, row) && picture.is_dark(column, row + i));
            }
            assert!(!picture.is_dark(column + 1, row + 1));
            assert!(picture.is_dark(column + 3, row + 3));
        }
    }
}
