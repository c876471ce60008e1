use std::fmt;

use rayon::prelude::*;

use crate::duo::{DuoInk, DuoRamp};
use crate::engine::{Exact, Rendering};
use crate::grid3::{FULL, Grid3, Side, quantise};
use crate::limiter::Limiter;
use crate::route::Route;
use crate::source::Source;
use crate::{ColourError, InkLimit, Lab, Profile, Recipe, delta_e_2000};

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
    /// Samples the reference library at full precision, with the recipe's compensation before it
    /// and its departure undone behind it, then holds the ink limit at each node.
    ///
    /// A grey source takes its values as three equal bytes.
    ///
    /// # Errors
    /// A profile of the wrong kind.
    pub fn build(recipe: &Recipe) -> Result<Self, ColourError> {
        let press = &recipe.press.profile;
        let exact = Route::of(recipe)?;
        let mut side = Side::Nodes65;
        let mut values = sample(&exact, side);
        if wants_finer(&exact, press, &Grid3::new(side, &values))? {
            let fine = sample(&exact, Side::Nodes129);
            if over_limit(&fine, recipe.ink_limit) <= MOST_HELD {
                side = Side::Nodes129;
                values = fine;
            }
        }
        hold_limit(&mut values, press, recipe.ink_limit)?;
        // The library's floats leave a trace of ink in white, which would print as specks. A white
        // that is to be toned keeps its ink.
        if recipe.compensation.clamped().white >= 100.0
            && let Some(white) = values.last_mut()
        {
            *white = [0; 4];
        }
        Ok(Self {
            grid: Grid3::new(side, &values),
        })
    }

    /// The table for art that prints in black ink alone or in black and one more: as light as the
    /// art, after the recipe's compensation, as far as the inks can; below that its darks close up
    /// evenly. Colour in the art counts by its lightness only. A known departure's lightness is
    /// undone, paper stays bare, and the ink limit holds as for any other table.
    ///
    /// The recipe's rendering says how the art's profile is read.
    ///
    /// # Errors
    /// A profile of the wrong kind.
    pub fn duo(recipe: &Recipe, second: DuoInk) -> Result<Self, ColourError> {
        let side = Side::Nodes65;
        let n = side.nodes();
        let budget = node_budget(recipe.ink_limit).unwrap_or(4 * u32::from(FULL));
        let ramp = DuoRamp::of(recipe, second, f64::from(budget) / f64::from(FULL))?;
        let art = Source::<3>::to_lab(&recipe.source, recipe.intent.rendering())?;
        let curves = recipe.compensation.curves();
        let mut values = vec![[0; 4]; n * n * n];
        values
            .par_chunks_mut(n * n)
            .enumerate()
            .for_each(|(red, values)| {
                let labs = art.convert(&Grid3::places_of_red(side, red));
                for (value, lab) in values.iter_mut().zip(labs) {
                    let lightness = curves.apply(Lab::from_floats(lab)).l;
                    *value = to_node(ramp.inks(lightness).map(f64::from), budget);
                }
            });
        if recipe.compensation.clamped().white >= 100.0 {
            values[n * n * n - 1] = [0; 4];
        }
        Ok(Self {
            grid: Grid3::new(side, &values),
        })
    }

    /// Nodes of a side of the table: 65, or 129 for a profile whose own tables bend so sharply
    /// that 65 would be seen to miss them.
    pub fn side(&self) -> usize {
        self.grid.side().nodes()
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
        self.grid.unrounded(rgb)
    }
}

impl fmt::Debug for Separation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Separation")
            .field("side", &self.side())
            .finish_non_exhaustive()
    }
}

/// Tried colours for [`wants_finer`].
const PROBES: u32 = 4096;
/// Most that the table may be off at one colour in a hundred before bytes are rounded, in ΔE00.
/// Rounding to bytes is off by about 0.19 there, so that less is hidden by it.
const TOLERATED: f64 = 0.15;

/// Most nodes of the fine table that are held to the limit one by one, which takes about two
/// seconds of one core. With more the coarse table is used: it is built in an eighth of the time.
const MOST_HELD: usize = 50_000;

fn over_limit(values: &[[u16; 4]], limit: InkLimit) -> usize {
    node_budget(limit).map_or(0, |budget| {
        values.iter().filter(|value| sum(**value) > budget).count()
    })
}

/// The reference library's inks at each node.
fn sample(exact: &Route, side: Side) -> Vec<[u16; 4]> {
    let n = side.nodes();
    let mut values = vec![[0; 4]; n * n * n];
    values
        .par_chunks_mut(n * n)
        .enumerate()
        .for_each(|(red, values)| {
            let percent = exact.inks(&Grid3::places_of_red(side, red));
            for (value, inks) in values.iter_mut().zip(percent) {
                *value = inks.map(|ink| quantise(ink / 100.0));
            }
        });
    values
}

/// Whether a table misses the reference library by more than is tolerated between its nodes.
fn wants_finer(exact: &Route, press: &Profile, grid: &Grid3) -> Result<bool, ColourError> {
    // Multiples of the roots of x⁴ = x + 1 spread evenly over the cube (the sequence R₃ of
    // M. Roberts, 2018, from memory).
    const ROOT: f64 = 1.220_744_084_605_759_6;
    let steps = [1.0 / ROOT, 1.0 / ROOT.powi(2), 1.0 / ROOT.powi(3)];
    let colours: Vec<[u16; 3]> = (0..PROBES)
        .map(|i| steps.map(|step| ((f64::from(i) * step).fract() * 65535.0) as u16))
        .collect();
    let places: Vec<[f32; 3]> = colours
        .iter()
        .map(|colour| colour.map(|channel| f32::from(channel) / 65535.0))
        .collect();
    let to_lab = Exact::<4, 3>::to_lab(press, Rendering::Relative)?;
    let wanted = to_lab.convert_all(&exact.inks(&places));
    let inks: Vec<[f32; 4]> = colours
        .iter()
        .map(|&colour| grid.unrounded(colour).map(|ink| ink / 2.55))
        .collect();
    let mut off: Vec<f64> = to_lab
        .convert_all(&inks)
        .into_iter()
        .zip(wanted)
        .map(|(one, other)| delta_e_2000(Lab::from_floats(one), Lab::from_floats(other)))
        .collect();
    off.sort_by(f64::total_cmp);
    Ok(off[off.len() * 99 / 100] > TOLERATED)
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
    if over_limit(values, limit) == 0 {
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
