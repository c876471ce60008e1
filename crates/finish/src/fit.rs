//! Masks whose proportions are not those of the face that they are for.

use measure::{Length, Size};

use crate::FinishError;

/// What becomes of a mask whose proportions are not those of its face.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Fit {
    /// It is refused: nobody knows what was meant.
    #[default]
    Exact,
    /// It keeps its proportions, as large as the face allows, in the middle.
    Centre,
    /// It is stretched to the face.
    Stretch,
}

/// What was done to a mask of other proportions.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Fitted {
    /// It lies in the middle, and so much of the face is left free on each of two sides.
    Centred {
        /// At the left, and as much at the right.
        beside: Length,
        /// At the head, and as much at the foot.
        above: Length,
    },
    /// It is so many times wider than drawn, against its height; more than nothing.
    Stretched(f64),
}

/// How far the proportions of a mask may be off, as a share.
const STRETCH: f64 = 0.005;

/// A mask on its face, in millimetres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Placing {
    /// Of its left edge, from that of the face.
    pub(crate) left: f64,
    /// Of its head, from that of the face.
    pub(crate) top: f64,
    /// Millimetres to a unit of the mask, across and down.
    pub(crate) scale: (f64, f64),
    pub(crate) fitted: Option<Fitted>,
}

/// Places a mask of a width and height in units of its own, which may be off by another `slack`. `told`
/// says in words how large something of so many units is.
pub(crate) fn place(
    (width, height): (f64, f64),
    face: Size,
    fit: Fit,
    slack: f64,
    told: impl Fn(f64, f64) -> String,
) -> Result<Placing, FinishError> {
    let (face_width, face_height) = (face.width.mm(), face.height.mm());
    let (across, down) = (face_width / width, face_height / height);
    let filling = Placing {
        left: 0.0,
        top: 0.0,
        scale: (across, down),
        fitted: None,
    };
    // What is no number is refused too.
    if (across / down - 1.0).abs().le(&(STRETCH + slack)) {
        return Ok(filling);
    }
    let sound = across.is_finite() && down.is_finite() && across > 0.0 && down > 0.0;
    match fit {
        Fit::Stretch if sound => Ok(Placing {
            fitted: Some(Fitted::Stretched(across / down)),
            ..filling
        }),
        Fit::Centre if sound => {
            let scale = across.min(down);
            let (left, top) = (
                (face_width - width * scale) / 2.0,
                (face_height - height * scale) / 2.0,
            );
            Ok(Placing {
                left,
                top,
                scale: (scale, scale),
                fitted: Some(Fitted::Centred {
                    beside: Length::from_mm(left),
                    above: Length::from_mm(top),
                }),
            })
        }
        _ => Err(FinishError::Proportions {
            found: told(width, height),
            wanted: face,
            needed: told(width, width * face_height / face_width),
        }),
    }
}
