//! Words as coverage: the outlines of set glyphs filled on the pixels of a preview. The press file
//! itself carries the glyphs as type, never as pixels.

use book::plan::Reads;
use press::WordsInput;
use ttf_parser::{Face, GlyphId, OutlineBuilder};
use zeno::{Command, Mask, PathBuilder, Placement, Vector};

use crate::grid::{Grid, PixelRect};

/// How much of each pixel of a sheet is covered by ink, glyph by glyph.
///
/// `spot` is called with a pixel's place in `area` and the coverage, 1 to 255.
pub(crate) fn cover(
    words: &WordsInput,
    grid: Grid,
    area: PixelRect,
    mut spot: impl FnMut(usize, usize, u8),
) {
    let (across, down) = grid.pixels_per_mm();
    for run in &words.galley.runs {
        let Some(font) = words.galley.fonts.get(run.font) else {
            continue;
        };
        // A font that the typesetter could use opens; a preview goes on without one that does not.
        let Ok(face) = Face::parse(&font.data, font.index) else {
            continue;
        };
        let scale = run.size.mm() / f64::from(face.units_per_em().max(1));
        for glyph in &run.glyphs {
            let placing = Placing {
                origin: (glyph.x.mm(), glyph.y.mm()),
                scale,
                corner: (words.x.mm(), words.y.mm()),
                reads: words.reads,
                pixels_per_mm: (across, down),
                area: (area.left as f64, area.top as f64),
            };
            let mut outline = Outline {
                placing,
                commands: Vec::new(),
            };
            if face
                .outline_glyph(GlyphId(glyph.id), &mut outline)
                .is_none()
            {
                // A space has no outline.
                continue;
            }
            let (mask, placement) = Mask::new(&outline.commands[..]).render();
            lay(&mask, placement, area, &mut spot);
        }
    }
}

fn lay(
    mask: &[u8],
    placement: Placement,
    area: PixelRect,
    spot: &mut impl FnMut(usize, usize, u8),
) {
    let size = area.size();
    for (row, line) in mask
        .chunks_exact(placement.width.max(1) as usize)
        .enumerate()
    {
        let y = i64::from(placement.top) + row as i64;
        if y < 0 || y >= i64::from(size.height) {
            continue;
        }
        for (column, &coverage) in line.iter().enumerate() {
            let x = i64::from(placement.left) + column as i64;
            if coverage > 0 && x >= 0 && x < i64::from(size.width) {
                spot(x as usize, y as usize, coverage);
            }
        }
    }
}

/// From a glyph's units to pixels of the area.
struct Placing {
    /// In millimetres from the block's corner.
    origin: (f64, f64),
    /// Millimetres to a unit.
    scale: f64,
    /// The block's corner on the sheet, in millimetres.
    corner: (f64, f64),
    reads: Reads,
    pixels_per_mm: (f64, f64),
    area: (f64, f64),
}

impl Placing {
    fn point(&self, x: f32, y: f32) -> Vector {
        let along = self.origin.0 + f64::from(x) * self.scale;
        let down = self.origin.1 - f64::from(y) * self.scale;
        let (x, y) = match self.reads {
            Reads::Across => (self.corner.0 + along, self.corner.1 + down),
            Reads::Down => (self.corner.0 - down, self.corner.1 + along),
            Reads::Up => (self.corner.0 + down, self.corner.1 - along),
        };
        Vector::new(
            (x * self.pixels_per_mm.0 - self.area.0) as f32,
            (y * self.pixels_per_mm.1 - self.area.1) as f32,
        )
    }
}

struct Outline {
    placing: Placing,
    commands: Vec<Command>,
}

impl OutlineBuilder for Outline {
    fn move_to(&mut self, x: f32, y: f32) {
        let point = self.placing.point(x, y);
        PathBuilder::move_to(&mut self.commands, point);
    }

    fn line_to(&mut self, x: f32, y: f32) {
        let point = self.placing.point(x, y);
        PathBuilder::line_to(&mut self.commands, point);
    }

    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        let (control, point) = (self.placing.point(x1, y1), self.placing.point(x, y));
        PathBuilder::quad_to(&mut self.commands, control, point);
    }

    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        let (first, second) = (self.placing.point(x1, y1), self.placing.point(x2, y2));
        let point = self.placing.point(x, y);
        PathBuilder::curve_to(&mut self.commands, first, second, point);
    }

    fn close(&mut self) {
        PathBuilder::close(&mut self.commands);
    }
}
