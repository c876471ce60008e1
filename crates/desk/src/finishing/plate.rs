//! Plates made of masks and of words.

use book::MaskFit;
use finish::{FinishError, Fit, Fitted, Plate, Shape};
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
    /// What was done to a mask of other proportions.
    pub fitted: Option<Fitted>,
}

/// What it is painted from. A drawing stays outlines in the press file; its pixels serve to judge it.
pub(crate) enum Painted {
    /// Shapes that add alone.
    Shapes(Vec<Shape>, Plate),
    Pixels(Plate),
}

impl Painted {
    pub(crate) const fn plate(&self) -> &Plate {
        match self {
            Self::Shapes(_, plate) | Self::Pixels(plate) => plate,
        }
    }

    pub(super) fn into_plate(self) -> Plate {
        match self {
            Self::Shapes(_, plate) | Self::Pixels(plate) => plate,
        }
    }
}

/// What a plate is made from, read and placed, before its lines are made wider.
pub(super) struct Drawn {
    face: Rect,
    content: Content,
    soft: f64,
    fitted: Option<Fitted>,
    /// The finest detail that matters.
    finest: Length,
}

enum Content {
    /// Shapes that add alone.
    Shapes(Vec<Shape>),
    /// Shapes of which some take away; too many to be cut out of each other.
    Taking(Vec<Shape>),
    Pixels(Plate),
}

impl Drawn {
    pub(super) fn of(stamp: &Stamp<'_>) -> Result<Self, Trouble> {
        match &stamp.mask {
            Some(Ok(file)) => Self::of_mask(stamp, file.read()?),
            Some(Err(trouble)) => Err(trouble.clone()),
            None => Self::of_words(stamp),
        }
    }

    /// Over the panel if the mask has its proportions, else over the panel with its bleed; else over
    /// the panel as the book wishes.
    fn of_mask(stamp: &Stamp<'_>, mask: Mask) -> Result<Self, Trouble> {
        let (panel, with_allowance) = (stamp.placed.rect, stamp.placed.with_allowance);
        let wish = match stamp.finishing.fit {
            MaskFit::Exact => Fit::Exact,
            MaskFit::Centre => Fit::Centre,
            MaskFit::Stretch => Fit::Stretch,
        };
        let ways = [
            (panel, Fit::Exact),
            (with_allowance, Fit::Exact),
            (panel, wish),
        ];
        match mask {
            Mask::Drawing(drawing) => {
                let (face, (shapes, fitted)) =
                    first_that_fits(ways, |face, fit| drawing.shapes(face, fit))?;
                let mut drawn = Self::of_shapes(stamp, face, shapes);
                drawn.fitted = fitted;
                Ok(drawn)
            }
            Mask::Picture(lightness, size) => {
                let (face, (plate, remarks)) = first_that_fits(ways, |face, fit| {
                    Plate::from_picture(&lightness, size, face, fit)
                })?;
                Ok(Self {
                    face,
                    content: Content::Pixels(plate),
                    soft: remarks.soft,
                    fitted: remarks.fitted,
                    finest: Length::ZERO,
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
        Ok(Self::of_shapes(stamp, face, shapes))
    }

    fn of_shapes(stamp: &Stamp<'_>, face: Rect, shapes: Vec<Shape>) -> Self {
        let bounds = stamp.bounds();
        Self {
            face,
            content: match finish::without_taking_away(&shapes, size_of(face)) {
                Some(shapes) => Content::Shapes(shapes),
                None => Content::Taking(shapes),
            },
            soft: 0.0,
            fitted: None,
            finest: bounds.line.min(bounds.gap),
        }
    }

    /// The plate with every line wider by so much.
    pub(super) fn thickened(&self, by: Length) -> Result<MadePlate, Trouble> {
        let face = size_of(self.face);
        let painted = match &self.content {
            Content::Shapes(shapes) => {
                let shapes: Vec<Shape> = shapes
                    .iter()
                    .flat_map(|shape| shape.thickened(by))
                    .collect();
                let plate = Plate::from_shapes(&shapes, face, self.finest);
                Painted::Shapes(shapes, plate)
            }
            // Programs that show no overprinting would show what takes away as white paper.
            Content::Taking(shapes) => {
                Painted::Pixels(Plate::from_shapes(shapes, face, self.finest).thickened(by))
            }
            Content::Pixels(plate) => Painted::Pixels(plate.clone().thickened(by)),
        };
        if !painted.plate().pixels().contains(&1) {
            return Err(Trouble::Unusable(
                "nothing of it falls on the panel".to_owned(),
                "Draw it within the edges of the drawing.".to_owned(),
            ));
        }
        Ok(MadePlate {
            face: self.face,
            painted,
            soft: self.soft,
            fitted: self.fitted,
        })
    }
}

/// What the first way gives that fits; if none does, why the first one does not.
fn first_that_fits<T>(
    ways: [(Rect, Fit); 3],
    on: impl Fn(Size, Fit) -> Result<T, FinishError>,
) -> Result<(Rect, T), FinishError> {
    let mut why = None;
    for (face, fit) in ways {
        match on(size_of(face), fit) {
            Ok(made) => return Ok((face, made)),
            Err(error) => why = why.or(Some(error)),
        }
    }
    Err(why.expect("there is more than one way"))
}

impl MadePlate {
    pub(super) fn make(stamp: &Stamp<'_>) -> Result<Self, Trouble> {
        Drawn::of(stamp)?.thickened(stamp.finishing.thicken)
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
