use measure::PixelSize;

/// How stored rows and columns lie to the upright picture: EXIF and TIFF tag 274, values 1 to 8
/// (CIPA DC-008, TIFF 6.0 p. 36).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) struct Orientation {
    /// Rows and columns change places.
    swapped: bool,
    /// After the change of places, left and right are exchanged.
    mirrored: bool,
    /// After the change of places, top and bottom are exchanged.
    upended: bool,
}

impl Orientation {
    /// From the tag's value; anything outside 1 to 8 is taken as upright.
    pub(crate) const fn from_tag(value: u64) -> Self {
        let (swapped, mirrored, upended) = match value {
            2 => (false, true, false),
            3 => (false, true, true),
            4 => (false, false, true),
            5 => (true, false, false),
            6 => (true, true, false),
            7 => (true, true, true),
            8 => (true, false, true),
            _ => (false, false, false),
        };
        Self {
            swapped,
            mirrored,
            upended,
        }
    }

    /// Whether nothing needs turning.
    pub(crate) fn is_upright(self) -> bool {
        self == Self::default()
    }

    /// The upright picture's size.
    pub(crate) const fn apply_to_size(self, stored: PixelSize) -> PixelSize {
        if self.swapped {
            PixelSize {
                width: stored.height,
                height: stored.width,
            }
        } else {
            stored
        }
    }

    /// The samples of the upright picture. `samples` holds whole pixels of `channels` samples.
    pub(crate) fn apply<T: Copy + Default>(
        self,
        samples: &[T],
        stored: PixelSize,
        channels: usize,
    ) -> Vec<T> {
        match channels {
            1 => self.turn::<T, 1>(samples, stored),
            3 => self.turn::<T, 3>(samples, stored),
            _ => self.turn::<T, 4>(samples, stored),
        }
    }

    /// Works in square blocks, so that a quarter turn does not miss the cache at each pixel.
    fn turn<T: Copy + Default, const N: usize>(self, samples: &[T], stored: PixelSize) -> Vec<T> {
        const BLOCK: usize = 32;
        let (stored_width, stored_height) = (stored.width as usize, stored.height as usize);
        let upright = self.apply_to_size(stored);
        let (width, height) = (upright.width as usize, upright.height as usize);
        let source = samples.as_chunks::<N>().0;
        let mut turned = vec![[T::default(); N]; width * height];
        for top in (0..stored_height).step_by(BLOCK) {
            for left in (0..stored_width).step_by(BLOCK) {
                for row in top..(top + BLOCK).min(stored_height) {
                    for column in left..(left + BLOCK).min(stored_width) {
                        let (mut x, mut y) = if self.swapped {
                            (row, column)
                        } else {
                            (column, row)
                        };
                        if self.mirrored {
                            x = width - 1 - x;
                        }
                        if self.upended {
                            y = height - 1 - y;
                        }
                        turned[y * width + x] = source[row * stored_width + column];
                    }
                }
            }
        }
        turned.into_flattened()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_eight_orientations_bring_the_letter_upright() {
        // The stored rows of a picture whose upright form is `abc` over `def`.
        let cases: [(u64, u32, &str); 8] = [
            (1, 3, "abcdef"),
            (2, 3, "cbafed"),
            (3, 3, "fedcba"),
            (4, 3, "defabc"),
            (5, 2, "adbecf"),
            (6, 2, "cfbead"),
            (7, 2, "fcebda"),
            (8, 2, "daebfc"),
        ];
        for (value, width, stored) in cases {
            let size = PixelSize {
                width,
                height: 6 / width,
            };
            let orientation = Orientation::from_tag(value);
            let turned = orientation.apply(stored.as_bytes(), size, 1);
            assert_eq!(turned, b"abcdef", "orientation {value}");
            assert_eq!(
                orientation.apply_to_size(size),
                PixelSize {
                    width: 3,
                    height: 2
                }
            );
        }
        assert!(Orientation::from_tag(9).is_upright());
    }
}
