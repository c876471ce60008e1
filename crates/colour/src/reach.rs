use std::fmt;

use rayon::prelude::*;

use crate::engine::{Exact, Rendering};
use crate::grid3::{Grid3, Side};
use crate::source::Source;
use crate::{ColourError, Departure, Lab, Recipe, Separation, delta_e_2000};

/// What paper does to one colour of the art.
///
/// What is *wished* is the art's colour after the recipe's compensation: the art itself where there
/// is none. What is *printed* is what the real press makes of it, as far as a departure is known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fate {
    /// ΔE00 between what is wished and what is printed, each seen relative to its own white.
    pub lost: f32,
    /// ΔE00 between what is wished and the nearest that the press has, whatever the intent: a
    /// perceptual rendering also moves colours that the press could have met. Never more than
    /// `lost`. In-gamut colours show the profile's own round-trip error, mostly under 2.
    pub beyond: f32,
    /// Lightness in the art.
    pub art_lightness: f32,
    /// a* in the art.
    pub art_a: f32,
    /// b* in the art.
    pub art_b: f32,
    /// Lightness on paper.
    pub print_lightness: f32,
    /// Total ink in percent.
    pub ink: f32,
    /// The strongest of the four inks in percent.
    pub strongest: f32,
}

/// What paper does to every colour of the art, by table: cheap enough for each pixel.
pub struct Reach {
    /// The eight values of [`Fate`] at each node; blue varies fastest.
    nodes: Vec<[f32; 8]>,
}

const CELLS: usize = 32;
const SIDE: usize = CELLS + 1;

impl Reach {
    /// Builds from the same recipe as the separation.
    ///
    /// # Errors
    /// A profile of the wrong kind.
    pub fn build(recipe: &Recipe, separation: &Separation) -> Result<Self, ColourError> {
        let places = Grid3::places(Side::Nodes33);
        let press = &recipe.press.profile;
        let art = Source::<3>::to_lab(&recipe.source, Rendering::Relative)?.convert_all(&places);
        let curves = recipe.compensation.curves();
        let wished: Vec<[f32; 3]> = art
            .par_iter()
            .map(|&colour| curves.apply(Lab::from_floats(colour)).floats())
            .collect();

        let to_lab = Exact::<4, 3>::to_lab(press, Rendering::Relative)?;
        let departure = recipe
            .departure
            .as_ref()
            .filter(|departure| !departure.is_none())
            .map(Departure::curves);
        let printed = |inks: &[[f32; 4]]| -> Vec<[f32; 3]> {
            let mut labs = to_lab.convert_all(inks);
            if let Some(departure) = &departure {
                labs.par_iter_mut()
                    .for_each(|lab| *lab = departure.apply(Lab::from_floats(*lab)).floats());
            }
            labs
        };
        let inks: Vec<[f32; 4]> = places
            .iter()
            .map(|place| {
                separation
                    .inks(place.map(|channel| (channel * 65535.0).round() as u16))
                    .map(|ink| ink / 2.55)
            })
            .collect();
        let print = printed(&inks);

        let asked: Vec<[f32; 3]> = match &departure {
            Some(departure) => wished
                .par_iter()
                .map(|&colour| departure.undo(Lab::from_floats(colour)).floats())
                .collect(),
            None => wished.clone(),
        };
        let nearest_inks = Exact::<3, 4>::from_lab(press, Rendering::Relative)?.convert_all(&asked);
        let nearest = printed(&nearest_inks);

        let nodes = (0..places.len())
            .into_par_iter()
            .map(|i| {
                let colour = Lab::from_floats(wished[i]);
                let lost = delta_e_2000(colour, Lab::from_floats(print[i])) as f32;
                let beyond = delta_e_2000(colour, Lab::from_floats(nearest[i])) as f32;
                [
                    lost,
                    beyond.min(lost),
                    art[i][0],
                    art[i][1],
                    art[i][2],
                    print[i][0],
                    inks[i].iter().sum(),
                    inks[i].iter().copied().fold(0.0, f32::max),
                ]
            })
            .collect();
        Ok(Self { nodes })
    }

    /// The fate of one colour: the mean of four nodes around it.
    pub fn fate(&self, rgb: [u8; 3]) -> Fate {
        let steps = [SIDE * SIDE, SIDE, 1];
        let mut base = 0;
        let mut ranked = [(0.0_f32, 0); 3];
        for ((rank, step), byte) in ranked.iter_mut().zip(steps).zip(rgb) {
            let at = usize::from(byte) * CELLS;
            let cell = (at / 255).min(CELLS - 1);
            base += cell * step;
            *rank = ((at - cell * 255) as f32 / 255.0, step);
        }
        ranked.sort_by(|one, other| other.0.total_cmp(&one.0));
        let mut at = base;
        let mut before = 1.0;
        let mut mean = [0.0; 8];
        for (fraction, step) in ranked {
            add(&mut mean, self.nodes[at], before - fraction);
            before = fraction;
            at += step;
        }
        add(&mut mean, self.nodes[at], before);
        let [
            lost,
            beyond,
            art_lightness,
            art_a,
            art_b,
            print_lightness,
            ink,
            strongest,
        ] = mean;
        Fate {
            lost,
            beyond,
            art_lightness,
            art_a,
            art_b,
            print_lightness,
            ink,
            strongest,
        }
    }
}

impl fmt::Debug for Reach {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Reach").finish_non_exhaustive()
    }
}

fn add(mean: &mut [f32; 8], node: [f32; 8], weight: f32) {
    for (sum, value) in mean.iter_mut().zip(node) {
        *sum += value * weight;
    }
}
