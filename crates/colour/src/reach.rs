use std::fmt;

use rayon::prelude::*;

use crate::engine::{Exact, Rendering};
use crate::grid3::{Grid3, Side};
use crate::source::Source;
use crate::{ColourError, Lab, Recipe, Separation, delta_e_2000};

/// What paper does to one colour of the art.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fate {
    /// ΔE00 between the art's colour and its print, each seen relative to its own white.
    pub lost: f32,
    /// ΔE00 between the art's colour and the nearest that the press has, whatever the intent: a
    /// perceptual rendering also moves colours that the press could have met. Never more than
    /// `lost`. In-gamut colours show the profile's own round-trip error, mostly under 2.
    pub beyond: f32,
    /// Lightness in the art.
    pub art_lightness: f32,
    /// Lightness on paper.
    pub print_lightness: f32,
    /// Total ink in percent.
    pub ink: f32,
}

/// What paper does to every colour of the art, by table: cheap enough for each pixel.
pub struct Reach {
    /// The five values of [`Fate`] at each node; blue varies fastest.
    nodes: Vec<[f32; 5]>,
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

        let to_lab = Exact::<4, 3>::to_lab(press, Rendering::Relative)?;
        let inks: Vec<[f32; 4]> = places
            .iter()
            .map(|place| {
                separation
                    .inks(place.map(|channel| (channel * 65535.0).round() as u16))
                    .map(|ink| ink / 2.55)
            })
            .collect();
        let print = to_lab.convert_all(&inks);

        let nearest_inks = Exact::<3, 4>::from_lab(press, Rendering::Relative)?.convert_all(&art);
        let nearest = to_lab.convert_all(&nearest_inks);

        let nodes = (0..places.len())
            .into_par_iter()
            .map(|i| {
                let colour = Lab::from_floats(art[i]);
                let lost = delta_e_2000(colour, Lab::from_floats(print[i])) as f32;
                let beyond = delta_e_2000(colour, Lab::from_floats(nearest[i])) as f32;
                [
                    lost,
                    beyond.min(lost),
                    art[i][0],
                    print[i][0],
                    inks[i].iter().sum(),
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
        let mut mean = [0.0; 5];
        for (fraction, step) in ranked {
            add(&mut mean, self.nodes[at], before - fraction);
            before = fraction;
            at += step;
        }
        add(&mut mean, self.nodes[at], before);
        let [lost, beyond, art_lightness, print_lightness, ink] = mean;
        Fate {
            lost,
            beyond,
            art_lightness,
            print_lightness,
            ink,
        }
    }
}

impl fmt::Debug for Reach {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Reach").finish_non_exhaustive()
    }
}

fn add(mean: &mut [f32; 5], node: [f32; 5], weight: f32) {
    for (sum, value) in mean.iter_mut().zip(node) {
        *sum += value * weight;
    }
}
