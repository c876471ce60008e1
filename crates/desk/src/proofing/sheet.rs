//! What stands beside a page on a proof: cut marks, the strip with its mark, names of its patches
//! and a line that says what it is.

use measure::{Length, Rect, Size};
use press::{Beside, Margin, Tint, WordsInput};
use proof::{MARK_SIDE, Mark, MarkPicture, PatchKind, Strip, StripLayout};
use words::{Block, Galley, Style};

use crate::DeskError;

/// Paper around the bleed: room for the cut marks, in mm.
const AROUND: f64 = 8.0;
/// Where a cut mark begins beyond the bleed, and its length, in mm.
const CUT: (f64, f64) = (2.0, 4.5);
/// Width of a cut mark and of the line around a patch of bare paper, in mm.
const HAIR: f64 = 0.1;
/// Height of each of the two lines of words under the strip, and what is free below them, in mm.
const LINE: (f64, f64) = (4.0, 4.0);
/// Names of patches are set by the style of folios and made this much smaller: about 5.5 points.
const NAME: f64 = 0.62;
/// Bare paper at either end of the line around a paper patch would look like a patch; it is faint.
const FAINT: Tint = Tint([0.0, 0.0, 0.0, 0.3]);
const BLACK: Tint = Tint([0.0, 0.0, 0.0, 1.0]);

/// The strip of one proof file, set and laid out once for all its pages.
pub(super) struct Dressing<'a> {
    pub(super) strip: &'a Strip,
    pub(super) layout: &'a StripLayout,
    /// A galley for the name of each patch.
    names: Vec<Galley>,
    language: &'a str,
}

impl<'a> Dressing<'a> {
    /// Sets the names of the patches.
    pub(super) fn new(
        strip: &'a Strip,
        layout: &'a StripLayout,
        language: &'a str,
    ) -> Result<Self, DeskError> {
        let names = strip
            .patches
            .iter()
            .zip(&layout.patches)
            .map(|(patch, place)| {
                let size = Size {
                    width: place.width.scaled(1.0 / NAME),
                    height: Length::from_mm(10.0),
                };
                let mut galley = set(Style::Folio, size, &patch.name, "en")?;
                shrink(&mut galley, NAME);
                // From the top, whatever height the typesetter has left above.
                let highest = baselines(&galley).min().unwrap_or(Length::ZERO);
                for glyph in galley.runs.iter_mut().flat_map(|run| &mut run.glyphs) {
                    glyph.y = glyph.y - highest + Length::from_mm(2.0);
                }
                Ok(galley)
            })
            .collect::<Result<_, DeskError>>()?;
        Ok(Self {
            strip,
            layout,
            names,
            language,
        })
    }

    /// The size of a sheet that holds the strip alone.
    pub(super) fn own_sheet(&self) -> Size {
        Size {
            width: self.layout.size.width,
            height: self.layout.size.height,
        }
    }

    /// What stands beside a page of this size: the strip below it, outside its bleed.
    pub(super) fn beside_page(
        &self,
        trim: Size,
        bleed: Length,
        mark: &Mark,
        lines: &[String; 2],
    ) -> Result<Beside, DeskError> {
        let size = self.layout.size;
        let x = (trim.width - size.width).scaled(0.5);
        let y = trim.height + bleed + mm(AROUND);
        let over = (-x - bleed).max(Length::ZERO);
        let side = over.max(mm(AROUND));
        let mut beside = self.at(x, y, mark, lines)?;
        beside.tints.extend(cut_marks(trim, bleed));
        beside.margin = Margin {
            top: mm(AROUND),
            right: side,
            bottom: mm(AROUND) + size.height + mm(2.0 * LINE.0 + LINE.1),
            left: side,
        };
        Ok(beside)
    }

    /// What stands on a sheet of its own, whose trim is the strip's size.
    pub(super) fn on_own_sheet(
        &self,
        mark: &Mark,
        lines: &[String; 2],
    ) -> Result<Beside, DeskError> {
        let mut beside = self.at(Length::ZERO, Length::ZERO, mark, lines)?;
        beside.margin = Margin {
            top: mm(AROUND),
            right: mm(AROUND),
            bottom: mm(2.0 * LINE.0 + LINE.1),
            left: mm(AROUND),
        };
        Ok(beside)
    }

    /// The strip with its upper left corner there, and the lines under it.
    fn at(
        &self,
        x: Length,
        y: Length,
        mark: &Mark,
        lines: &[String; 2],
    ) -> Result<Beside, DeskError> {
        let mut beside = Beside::default();
        for (patch, place) in self.strip.patches.iter().zip(&self.layout.patches) {
            let place = place.moved(x, y);
            if patch.kind == PatchKind::Paper {
                beside.tints.extend(frame(place).map(|rect| (rect, FAINT)));
            } else {
                let tint = patch.ink.map(|byte| f32::from(byte) / 255.0);
                beside.tints.push((place, Tint(tint)));
            }
        }
        for corner in &self.layout.corners {
            beside.tints.push((corner.moved(x, y), BLACK));
        }
        beside
            .tints
            .extend(modules(mark, self.layout.mark.moved(x, y))?);
        for (galley, place) in self.names.iter().zip(&self.layout.patches) {
            beside.words.push(WordsInput {
                galley: galley.clone(),
                x: place.x + x,
                y: place.bottom() + y,
                paper: false,
                reads: book::plan::Reads::Across,
            });
        }
        let room = Size {
            width: self.layout.size.width - mm(6.0),
            height: mm(LINE.0),
        };
        for (line, down) in lines.iter().zip([0.0, LINE.0]) {
            beside.words.push(WordsInput {
                galley: set(Style::Colophon, room, line, self.language)?,
                x: x + mm(3.0),
                y: y + self.layout.size.height + mm(down - 1.0),
                paper: false,
                reads: book::plan::Reads::Across,
            });
        }
        Ok(beside)
    }
}

/// The mark's dark modules as rectangles. Rows overlap by a hair, so that no renderer leaves a
/// light line between them.
fn modules(mark: &Mark, place: Rect) -> Result<Vec<(Rect, Tint)>, DeskError> {
    let picture = MarkPicture::of(mark).ok_or_else(|| {
        DeskError::new(
            "proof",
            format!("the mark `{}` is too long", mark.text()),
            "This is a fault of the program.",
        )
    })?;
    let at = |from: Length, side: Length, count: usize| {
        from + side.scaled(count as f64 / MARK_SIDE as f64)
    };
    let rects = picture.runs().into_iter().map(|(column, row, length)| {
        let left = at(place.x, place.width, column);
        let right = at(place.x, place.width, column + length);
        let top = at(place.y, place.height, row);
        let below = (column..column + length).all(|column| picture.is_dark(column, row + 1));
        let overlap = if below { mm(0.05) } else { Length::ZERO };
        let bottom = at(place.y, place.height, row + 1) + overlap;
        (Rect::new(left, top, right - left, bottom - top), BLACK)
    });
    Ok(rects.collect())
}

/// Eight lines at the corners of the trim, outside the bleed.
fn cut_marks(trim: Size, bleed: Length) -> Vec<(Rect, Tint)> {
    let (from, long) = (bleed + mm(CUT.0), mm(CUT.1));
    let hair = mm(HAIR);
    let half = hair.scaled(0.5);
    let mut marks = Vec::new();
    for x in [Length::ZERO, trim.width] {
        for y in [-from - long, trim.height + from] {
            marks.push((Rect::new(x - half, y, hair, long), BLACK));
        }
    }
    for y in [Length::ZERO, trim.height] {
        for x in [-from - long, trim.width + from] {
            marks.push((Rect::new(x, y - half, long, hair), BLACK));
        }
    }
    marks
}

/// Four lines inside a rectangle's edge.
fn frame(place: Rect) -> [Rect; 4] {
    let hair = mm(HAIR);
    let (right, bottom) = (place.right() - hair, place.bottom() - hair);
    [
        Rect::new(place.x, place.y, place.width, hair),
        Rect::new(place.x, bottom, place.width, hair),
        Rect::new(place.x, place.y, hair, place.height),
        Rect::new(right, place.y, hair, place.height),
    ]
}

fn set(style: Style, size: Size, line: &str, language: &str) -> Result<Galley, DeskError> {
    let (heading, paragraphs) = match style {
        Style::Folio => (line.to_owned(), Vec::new()),
        _ => (String::new(), vec![line.to_owned()]),
    };
    words::set(&Block {
        size,
        style,
        heading,
        paragraphs,
        language: language.to_owned(),
    })
    .map_err(|error| {
        DeskError::new(
            "book.toml [book] title",
            error.to_string(),
            "Write it with other characters.",
        )
    })
}

fn shrink(galley: &mut Galley, factor: f64) {
    for run in &mut galley.runs {
        run.size = run.size.scaled(factor);
        for glyph in &mut run.glyphs {
            glyph.x = glyph.x.scaled(factor);
            glyph.y = glyph.y.scaled(factor);
        }
    }
}

fn baselines(galley: &Galley) -> impl Iterator<Item = Length> {
    galley
        .runs
        .iter()
        .flat_map(|run| &run.glyphs)
        .map(|glyph| glyph.y)
}

fn mm(mm: f64) -> Length {
    Length::from_mm(mm)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mark() -> Mark {
        Mark {
            page: Some(12),
            file: "0a1b2c3d".to_owned(),
            version: 3,
        }
    }

    #[test]
    fn the_mark_fills_its_square_and_nothing_beside_it() {
        let place = Rect::from_mm(10.0, 20.0, 15.0, 15.0);
        let modules = modules(&mark(), place).unwrap();
        assert!(modules.iter().all(|(rect, _)| place.contains(*rect)));
        // The finder patterns reach into three corners.
        let corner = |x: Length, y: Length| {
            modules.iter().any(|(rect, _)| {
                rect.x <= x && x <= rect.right() && rect.y <= y && y <= rect.bottom()
            })
        };
        assert!(corner(place.x, place.y));
        assert!(corner(place.right(), place.y));
        assert!(corner(place.x, place.bottom()));
        assert!(!corner(place.right(), place.bottom()));
    }

    #[test]
    fn cut_marks_point_at_the_trim_from_outside_the_bleed() {
        let trim = Size::from_mm(100.0, 120.0);
        let bleed = mm(3.0);
        let bled = Rect::from_mm(-3.0, -3.0, 106.0, 126.0);
        let marks = cut_marks(trim, bleed);
        assert_eq!(marks.len(), 8);
        for (rect, _) in marks {
            assert_eq!(rect.shared(bled), None, "{rect:?}");
            assert!(rect.shared(bled.grown(mm(AROUND))) == Some(rect));
        }
    }
}
