//! Where a finding begins. Each number with its source.

use measure::Length;

/// A picture under this many pixels an inch must not go to print. Common practice, no source.
pub(super) const PPI_STOP: f64 = 150.0;
/// Under this many, look at it. Common practice, no source.
pub(super) const PPI_WARN: f64 = 250.0;
/// The same for pictures of pure black and white. Common practice, no source.
pub(super) const PPI_LINE_ART: f64 = 600.0;
/// Pictures of up to this many samples are colours, not pictures. Our assumption.
pub(super) const SAMPLES_OF_A_COLOUR: usize = 16;
/// A ppi this close to the limit still passes, since boxes are rounded. Our assumption.
pub(super) const PPI_SLACK: f64 = 0.5;

/// What an ink total may be over the limit before it counts, in percent: four plates of 8 bits, each
/// rounded by up to half of 1/255, can be 0.8 percent off.
pub(super) const INK_ROUNDING: f64 = 1.0;
/// An area over the limit that stops; less is specks, and only warned of. Ink sets off and fails to
/// dry by area, not by point. Our assumption.
pub(super) const INK_AREA_MM2: f64 = 1.0;

/// How far a trim or a spine may be off. Our assumption: finer than a fold or a cut can be set.
pub(super) const SIZE_SLACK: Length = Length::from_nm(100_000);
/// How much bleed may be missing. Our assumption: boxes are stated in hundredths of a point.
pub(super) const BLEED_SLACK: Length = Length::from_nm(50_000);
