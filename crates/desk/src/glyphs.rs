//! Words as coverage: the outlines of set glyphs filled on the pixels of a preview, or taken over as
//! the shapes of a plate. In ink the press file carries the glyphs as type, never as pixels.

use book::plan::Reads;
use finish::{FillRule, Shape};
use measure::Length;
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

/// The outlines of set glyphs as shapes of a plate, in millimetres from a corner on the sheet.
pub(crate) fn shapes(words: &WordsInput, corner: (Length, Length)) -> Vec<Shape> {
    let mut shapes = Vec::new();
    for run in &words.galley.runs {
        let Some(font) = words.galley.fonts.get(run.font) else {
            continue;
        };
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
                pixels_per_mm: (1.0, 1.0),
                area: (corner.0.mm(), corner.1.mm()),
            };
            let mut outline = Outline {
                placing,
                commands: Vec::new(),
            };
            if face
                .outline_glyph(GlyphId(glyph.id), &mut outline)
                .is_some()
            {
                shapes.push(Shape {
                    outline: in_millimetres(&outline.commands),
                    rule: FillRule::NonZero,
                    adds: true,
                });
            }
        }
    }
    shapes
}

/// A curve of one control is the cubic one whose controls lie two thirds of the way to it.
fn in_millimetres(commands: &[Command]) -> Vec<finish::Command> {
    let mut at = (0.0, 0.0);
    let pair = |point: Vector| (f64::from(point.x), f64::from(point.y));
    commands
        .iter()
        .map(|command| match *command {
            Command::MoveTo(to) => {
                at = pair(to);
                finish::Command::Move(at.0, at.1)
            }
            Command::LineTo(to) => {
                at = pair(to);
                finish::Command::Line(at.0, at.1)
            }
            Command::QuadTo(control, to) => {
                let (from, control, to) = (at, pair(control), pair(to));
                let near = |end: f64, control: f64| end + (control - end) * 2.0 / 3.0;
                at = to;
                finish::Command::Cubic(
                    near(from.0, control.0),
                    near(from.1, control.1),
                    near(to.0, control.0),
                    near(to.1, control.1),
                    to.0,
                    to.1,
                )
            }
            Command::CurveTo(one, two, to) => {
                let (one, two) = (pair(one), pair(two));
                at = pair(to);
                finish::Command::Cubic(one.0, one.1, two.0, two.1, at.0, at.1)
            }
            Command::Close => finish::Command::Close,
        })
        .collect()
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
