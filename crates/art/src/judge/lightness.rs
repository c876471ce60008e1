use crate::{Picture, Samples};

/// The lightness of a picture, 0 (dark) to 255, read where it is asked for.
///
/// Encoded values, one part red, two green, one blue; of inks what is left of the light. Good for
/// looking at structure, not at colour.
pub(super) struct Lightness<'a> {
    picture: &'a Picture,
}

impl<'a> Lightness<'a> {
    pub(super) const fn of(picture: &'a Picture) -> Self {
        Self { picture }
    }

    pub(super) const fn width(&self) -> usize {
        self.picture.size.width as usize
    }

    pub(super) const fn height(&self) -> usize {
        self.picture.size.height as usize
    }

    /// A square of `side` pixels from its left top corner, row by row. It must lie inside.
    pub(super) fn square(&self, x: usize, y: usize, side: usize) -> Vec<f32> {
        let mut values = Vec::with_capacity(side * side);
        let channels = self.picture.samples.channels();
        for row in y..y + side {
            let start = (row * self.width() + x) * channels;
            let span = start..start + side * channels;
            match &self.picture.samples {
                Samples::Grey8(bytes) => {
                    values.extend(bytes[span].iter().map(|&grey| f32::from(grey)));
                }
                Samples::Grey16(words) => {
                    values.extend(words[span].iter().map(|&grey| f32::from(grey) / 257.0));
                }
                Samples::Rgb8(bytes) => values.extend(bytes[span].chunks_exact(3).map(|rgb| {
                    let sum = u16::from(rgb[0]) + 2 * u16::from(rgb[1]) + u16::from(rgb[2]);
                    f32::from(sum) / 4.0
                })),
                Samples::Rgb16(words) => values.extend(words[span].chunks_exact(3).map(|rgb| {
                    let sum = u32::from(rgb[0]) + 2 * u32::from(rgb[1]) + u32::from(rgb[2]);
                    sum as f32 / (4.0 * 257.0)
                })),
                Samples::Cmyk8(bytes) => {
                    values.extend(bytes[span].chunks_exact(4).map(|inks| {
                        let sum = u16::from(inks[0]) + 2 * u16::from(inks[1]) + u16::from(inks[2]);
                        let light = 255.0 - f32::from(sum) / 4.0;
                        light * (255.0 - f32::from(inks[3])) / 255.0
                    }));
                }
            }
        }
        values
    }

    /// Left top corners of squares, on a grid of whole squares, at most about `most` of them and
    /// then evenly spread. Corners are multiples of `side`.
    pub(super) fn places(&self, side: usize, most: usize) -> Vec<(usize, usize)> {
        let (across, down) = (self.width() / side, self.height() / side);
        let skip = (across * down).div_ceil(most).max(1);
        (0..across * down)
            .step_by(skip)
            .map(|index| {
                // A stride that shares a factor with the row length would only see some columns.
                let (row, column) = (index / across, (index + index / across) % across);
                (column * side, row * side)
            })
            .collect()
    }
}

/// Rows become columns in a square.
pub(super) fn transposed(values: &[f32], side: usize) -> Vec<f32> {
    let mut turned = Vec::with_capacity(values.len());
    for column in 0..side {
        turned.extend((0..side).map(|row| values[row * side + column]));
    }
    turned
}
