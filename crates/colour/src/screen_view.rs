use std::fmt;

use crate::engine::Rendering;
use crate::grid3::{Grid3, Side, quantise};
use crate::grid4::Grid4;
use crate::soft_proof::{convert_inks, screen_grid};
use crate::source::Source;
use crate::{ColourError, Profile, Space};

/// Art to screen (sRGB) bytes, by its own profile: relative colorimetric with black-point
/// compensation.
pub struct ScreenView {
    table: Table,
}

enum Table {
    /// The art is in sRGB, or so near that no byte changes by more than one.
    Same,
    Three(Grid3),
    Inks(Grid4),
}

impl ScreenView {
    /// RGB, grey or CMYK source; the identity for sRGB itself.
    ///
    /// # Errors
    /// A profile of the wrong kind.
    pub fn build(source: &Profile) -> Result<Self, ColourError> {
        let rendering = Rendering::RelativeCompensated;
        let srgb = Profile::srgb();
        let table = match source.space() {
            Space::Cmyk => Table::Inks(screen_grid(source, rendering)?),
            _ if source.same_as(&srgb) => Table::Same,
            _ => {
                let side = Side::Nodes33;
                let places = Grid3::places(side);
                let colours = Source::<3>::between(source, &srgb, rendering)?.convert_all(&places);
                if nearly_same(&places, &colours) && source.space() == Space::Rgb {
                    Table::Same
                } else {
                    let values: Vec<[u16; 4]> = colours
                        .iter()
                        .map(|&[r, g, b]| [quantise(r), quantise(g), quantise(b), 0])
                        .collect();
                    Table::Three(Grid3::new(side, &values))
                }
            }
        };
        Ok(Self { table })
    }

    /// RGB bytes to sRGB bytes, in place, for an RGB source, or for a grey one whose values come
    /// as three equal bytes. A CMYK source leaves them as they are.
    pub fn convert_rgb8(&self, rgb: &mut [u8]) {
        let Table::Three(grid) = &self.table else {
            return;
        };
        let mut four = [0_u8; 4 * 1024];
        for run in rgb.chunks_mut(3 * 1024) {
            let pixels = run.len() / 3;
            grid.convert8(run, &mut four[..pixels * 4]);
            for (out, value) in run.chunks_exact_mut(3).zip(four.chunks_exact(4)) {
                out.copy_from_slice(&value[..3]);
            }
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

fn nearly_same(places: &[[f32; 3]], colours: &[[f32; 3]]) -> bool {
    places
        .iter()
        .flatten()
        .zip(colours.iter().flatten())
        .all(|(place, colour)| (place - colour).abs() < 1.0 / 255.0)
}
