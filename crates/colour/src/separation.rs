use std::fmt;

use rayon::prelude::*;

use crate::grid3::{FULL, Grid3, Side, quantise};
use crate::limiter::Limiter;
use crate::source::Source;
use crate::{ColourError, InkLimit, Profile, Recipe};

/// The fused table: RGB to CMYK at 16 bit, every node within the ink limit.
///
/// **The limit is a guarantee.** Nodes are held two byte steps (0.8 percent of ink) under it; a
/// result is a mean of four nodes, so its exact total is no more; and rounding four inks to bytes
/// adds two byte steps at most. So the four bytes of every result sum to at most
/// `limit · 2.55`, whatever the input.
pub struct Separation {
    grid: Grid3,
}

impl Separation {
    /// Samples the reference library at full precision, then holds the ink limit at each node.
    ///
    /// A grey source takes its values as three equal bytes.
    ///
    /// # Errors
    /// A profile of the wrong kind.
    pub fn build(recipe: &Recipe) -> Result<Self, ColourError> {
        let side = Side::Nodes65;
        let exact = Source::<4>::between(
            &recipe.source,
            &recipe.press.profile,
            recipe.intent.rendering(),
        )?;
        let percent = exact.convert_all(&Grid3::places(side));
        let mut values: Vec<[u16; 4]> = percent
            .iter()
            .map(|inks| inks.map(|ink| quantise(ink / 100.0)))
            .collect();
        hold_limit(&mut values, &recipe.press.profile, recipe.ink_limit)?;
        // The library's floats leave a trace of ink in white, which would print as specks.
        if let Some(white) = values.last_mut() {
            *white = [0; 4];
        }
        Ok(Self {
            grid: Grid3::new(side, &values),
        })
    }

    /// RGB bytes to CMYK bytes, for each whole pixel that both slices hold
    /// (`rgb.len() / 3 == cmyk.len() / 4`).
    pub fn convert_rgb8(&self, rgb: &[u8], cmyk: &mut [u8]) {
        self.grid.convert8(rgb, cmyk);
    }

    /// RGB in 16 bit (0 to 65535, encoded like the source profile) to CMYK bytes, for each whole
    /// pixel that both slices hold. A byte's colour is that of the byte times 257.
    pub fn convert_rgb16(&self, rgb: &[u16], cmyk: &mut [u8]) {
        self.grid.convert16(rgb, cmyk);
    }

    /// Inks of one colour before they are rounded to bytes, 0 to 255 each.
    pub(crate) fn inks(&self, rgb: [u16; 3]) -> [f32; 4] {
        self.grid.exact(rgb)
    }
}

impl fmt::Debug for Separation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Separation")
            .field("side", &self.grid.side())
            .finish_non_exhaustive()
    }
}

/// Brings every node within `limit` less two byte steps; at 400 percent nothing is held.
fn hold_limit(
    values: &mut [[u16; 4]],
    press: &Profile,
    limit: InkLimit,
) -> Result<(), ColourError> {
    let Some(budget) = node_budget(limit) else {
        return Ok(());
    };
    if values.iter().all(|value| sum(*value) <= budget) {
        return Ok(());
    }
    let most_black = values.iter().map(|value| value[3]).max().unwrap_or(FULL);
    let whole = f64::from(FULL);
    let limiter = Limiter::new(
        press,
        f64::from(budget) / whole,
        f64::from(most_black) / whole,
    )?;
    values.par_iter_mut().for_each(|value| {
        if sum(*value) > budget {
            *value = to_node(
                limiter.hold(value.map(|ink| f64::from(ink) / whole)),
                budget,
            );
        }
    });
    Ok(())
}

/// Largest sum of a node's four values.
fn node_budget(limit: InkLimit) -> Option<u32> {
    (limit.percent() < 400.0).then(|| limit.byte_sum() * 256 - 2 * 256)
}

/// Rounded down, and whatever still stands over the budget taken from the strongest colour.
fn to_node(inks: [f64; 4], budget: u32) -> [u16; 4] {
    let mut value = inks.map(|ink| (ink.clamp(0.0, 1.0) * f64::from(FULL)) as u16);
    while sum(value) > budget {
        let over = sum(value) - budget;
        let strongest = (0..4).max_by_key(|&i| value[i]).unwrap_or(0);
        value[strongest] = value[strongest].saturating_sub(over.min(u32::from(FULL)) as u16);
    }
    value
}

fn sum(value: [u16; 4]) -> u32 {
    value.iter().map(|&ink| u32::from(ink)).sum()
}
