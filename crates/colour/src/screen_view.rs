use std::fmt;

use crate::engine::{Exact, Rendering, Screen};
use crate::grid4::Grid4;
use crate::soft_proof::{convert_inks, screen_grid};
use crate::{ColourError, Profile, Space};

/// Art to screen (sRGB) bytes, by its own profile: relative colorimetric with black-point
/// compensation.
pub struct ScreenView {
    table: Table,
}

enum Table {
    /// The art is in sRGB, or so near that no byte changes by more than one.
    Same,
    Grey(Box<[[u8; 3]; 256]>),
    Rgb(Screen),
    Inks(Grid4),
}

impl ScreenView {
    /// RGB, grey or CMYK source; the identity for sRGB itself.
    ///
    /// # Errors
    /// A profile of the wrong kind.
    pub fn build(source: &Profile) -> Result<Self, ColourError> {
        let table = match source.space() {
            Space::Cmyk => Table::Inks(screen_grid(source, RENDERING)?),
            Space::Grey => Table::Grey(grey_table(source)?),
            Space::Rgb if source.same_as(&Profile::srgb()) => Table::Same,
            Space::Rgb => {
                let screen = Screen::of(source)?;
                if is_identity(&screen) {
                    Table::Same
                } else {
                    Table::Rgb(screen)
                }
            }
        };
        Ok(Self { table })
    }

    /// RGB bytes to sRGB bytes, in place, for an RGB source, or for a grey one whose values come
    /// as three equal bytes. A CMYK source leaves them as they are.
    pub fn convert_rgb8(&self, rgb: &mut [u8]) {
        let pixels = rgb.as_chunks_mut::<3>().0;
        match &self.table {
            Table::Rgb(screen) => screen.convert(pixels),
            Table::Grey(table) => {
                for pixel in pixels {
                    *pixel = table[usize::from(pixel[0])];
                }
            }
            Table::Same | Table::Inks(_) => {}
        }
    }

    /// CMYK bytes to sRGB bytes, for a CMYK source. Other sources leave `rgb` as it is.
    pub fn convert_cmyk8(&self, cmyk: &[u8], rgb: &mut [u8]) {
        if let Table::Inks(grid) = &self.table {
            convert_inks(grid, cmyk, rgb);
        }
    }
}

impl fmt::Debug for ScreenView {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("ScreenView").finish_non_exhaustive()
    }
}

const RENDERING: Rendering = Rendering::RelativeCompensated;

fn grey_table(source: &Profile) -> Result<Box<[[u8; 3]; 256]>, ColourError> {
    let exact = Exact::<1, 3>::between(source, &Profile::srgb(), RENDERING)?;
    let mut table = Box::new([[0; 3]; 256]);
    let greys: Vec<[f32; 1]> = (0..=255_u8).map(|grey| [f32::from(grey) / 255.0]).collect();
    for (entry, colour) in table.iter_mut().zip(exact.convert_all(&greys)) {
        *entry = colour.map(|channel| (channel.clamp(0.0, 1.0) * 255.0).round() as u8);
    }
    Ok(table)
}

/// Whether no colour of a lattice changes by more than one byte: many files carry an sRGB that
/// was written by another hand.
fn is_identity(screen: &Screen) -> bool {
    let level = |step: usize| (step * 15) as u8;
    let before: Vec<[u8; 3]> = (0..18 * 18 * 18)
        .map(|i| [level(i / 324), level(i / 18 % 18), level(i % 18)])
        .collect();
    let mut after = before.clone();
    screen.convert(&mut after);
    before
        .as_flattened()
        .iter()
        .zip(after.as_flattened())
        .all(|(one, other)| one.abs_diff(*other) <= 1)
}
