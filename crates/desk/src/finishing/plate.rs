//! Plates made of masks and of words.

use finish::{Plate, Shape};
use measure::{Length, Rect, Size};

use super::Stamp;
use super::mask::{Mask, Trouble};
use crate::{glyphs, unit};

/// A plate where it stands on its sheet.
pub(crate) struct MadePlate {
    /// The face that it fills, from the trim's top left corner.
    pub face: Rect,
    pub painted: Painted,
    /// Share of the mask that is neither dark nor light.
    pub soft: f64,
}

/// What it is painted from. A drawing stays outlines in the press file; its pixels serve to judge it.
pub(crate) enum Painted {
    Shapes(Vec<Shape>, Plate),
    Pixels(Plate),
}

impl Painted {
    pub(crate) const fn plate(&self) -> &Plate {
        match self {
            Self::Shapes(_, plate) | Self::Pixels(plate) => plate,
        }
    }
}

impl MadePlate {
    pub(super) fn make(stamp: &Stamp<'_>) -> Result<Self, Trouble> {
        match &stamp.mask {
            Some(Ok(file)) => Self::of_mask(stamp, file.read()?),
            Some(Err(trouble)) => Err(trouble.clone()),
            None => Self::of_words(stamp),
        }
    }

    /// Over the panel if the mask has its proportions, else over the panel with its bleed.
    fn of_mask(stamp: &Stamp<'_>, mask: Mask) -> Result<Self, Trouble> {
        let faces = [stamp.placed.rect, stamp.placed.with_allowance];
        match mask {
            Mask::Drawing(drawing) => {
                let mut found = drawing.shapes(size_of(faces[0])).map(|shapes| (0, shapes));
                if found.is_err()
                    && let Ok(shapes) = drawing.shapes(size_of(faces[1]))
                {
                    found = Ok((1, shapes));
                }
                let (face, shapes) = found?;
                Self::of_shapes(stamp, faces[face], shapes)
            }
            Mask::Picture(lightness, size) => {
                let on = |face: Rect| Plate::from_picture(&lightness, size, size_of(face));
                let (face, (plate, remarks)) = match on(faces[0]) {
                    Ok(made) => (faces[0], made),
                    Err(error) => (faces[1], on(faces[1]).map_err(|_| error)?),
                };
                Ok(Self {
                    face,
                    painted: Painted::Pixels(plate),
                    soft: remarks.soft,
                })
            }
        }
    }

    fn of_words(stamp: &Stamp<'_>) -> Result<Self, Trouble> {
        let face = stamp.placed.rect;
        let mut shapes = Vec::new();
        for placed in &stamp.placed.words {
            let galley = words::set(&unit::block(placed, stamp.language)).map_err(|error| {
                Trouble::Unusable(
                    error.to_string(),
                    "Write the words with other characters.".to_owned(),
                )
            })?;
            let words = unit::placed(placed, galley);
            shapes.extend(glyphs::shapes(&words, (face.x, face.y)));
        }
        Self::of_shapes(stamp, face, shapes)
    }

    fn of_shapes(stamp: &Stamp<'_>, face: Rect, shapes: Vec<Shape>) -> Result<Self, Trouble> {
        let bounds = stamp.bounds();
        let plate = Plate::from_shapes(&shapes, size_of(face), bounds.line.min(bounds.gap));
        if !plate.pixels().contains(&1) {
            return Err(Trouble::Unusable(
                "nothing of it falls on the panel".to_owned(),
                "Draw it within the edges of the drawing.".to_owned(),
            ));
        }
        Ok(Self {
            face,
            painted: Painted::Shapes(shapes, plate),
            soft: 0.0,
        })
    }

    /// The smallest rectangle around what of the plate lies within a part of the sheet.
    pub(super) fn extent(&self, within: Rect) -> Option<Rect> {
        let plate = self.painted.plate();
        let size = plate.size();
        let part = within.shared(self.face)?;
        let across = f64::from(size.width) / self.face.width.mm();
        let down = f64::from(size.height) / self.face.height.mm();
        let columns = span(
            part.x - self.face.x,
            part.right() - self.face.x,
            across,
            size.width,
        );
        let rows = span(
            part.y - self.face.y,
            part.bottom() - self.face.y,
            down,
            size.height,
        );
        let (mut left, mut right) = (usize::MAX, 0);
        let (mut top, mut bottom) = (usize::MAX, 0);
        let width = size.width as usize;
        for y in rows.0..rows.1 {
            let row = &plate.pixels()[y * width + columns.0..y * width + columns.1];
            let Some(first) = row.iter().position(|&pixel| pixel != 0) else {
                continue;
            };
            let last = row.iter().rposition(|&pixel| pixel != 0).unwrap_or(first);
            left = left.min(columns.0 + first);
            right = right.max(columns.0 + last + 1);
            top = top.min(y);
            bottom = y + 1;
        }
        if left >= right {
            return None;
        }
        let x = |column: usize| self.face.x + Length::from_mm(column as f64 / across);
        let y = |row: usize| self.face.y + Length::from_mm(row as f64 / down);
        Some(Rect::new(
            x(left),
            y(top),
            x(right) - x(left),
            y(bottom) - y(top),
        ))
    }
}

/// The pixels whose middles lie in a stretch.
fn span(from: Length, to: Length, scale: f64, most: u32) -> (usize, usize) {
    let place = |at: Length| {
        let at = (at.mm() * scale - 0.5).ceil();
        at.clamp(0.0, f64::from(most)) as usize
    };
    let (from, to) = (place(from), place(to));
    (from, to.max(from))
}

fn size_of(rect: Rect) -> Size {
    Size {
        width: rect.width,
        height: rect.height,
    }
}
