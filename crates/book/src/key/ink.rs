//! From art to ink: press, paper, what a proof has taught, and single pieces.

use super::Kind::Text;
use super::{Section, key};

pub(crate) const PRESS: Section = Section {
    name: "press",
    keys: &[
        key("condition", Text, "\"coated\"", "the press condition"),
        key("rendering", Text, "\"perceptual\"", "the rendering"),
        key("ink_limit", Text, "\"300%\"", "the ink limit"),
        key(
            "resolution",
            Text,
            "\"300ppi\"",
            "the resolution of the press file",
        ),
        key("pictures", Text, "\"lossless\"", "how pictures are stored"),
    ],
};

pub(crate) const PAPER: Section = Section {
    name: "paper",
    keys: &[
        key("recipe", Text, "\"usual\"", "the recipe for paper"),
        key("name", Text, "\"quiet night\"", "the name of the recipe"),
        key("contrast", Text, "\"-8%\"", "the contrast for paper"),
        key("lightening", Text, "\"3\"", "the lightening for paper"),
        key("saturation", Text, "\"-8%\"", "the saturation for paper"),
        key("red", Text, "\"-6%\"", "the saturation of reds"),
        key("yellow", Text, "\"-2%\"", "the saturation of yellows"),
        key("green", Text, "\"-2%\"", "the saturation of greens"),
        key("cyan", Text, "\"-6%\"", "the saturation of cyans"),
        key("blue", Text, "\"-2%\"", "the saturation of blues"),
        key("magenta", Text, "\"-2%\"", "the saturation of magentas"),
        key("black", Text, "\"4\"", "the lightness of the art's black"),
        key("white", Text, "\"98\"", "the lightness of the art's white"),
        key("sharpening", Text, "\"modest\"", "the sharpening for paper"),
        key("ruling", Text, "\"175lpi\"", "the screen ruling"),
    ],
};

pub(crate) const LEARNED: Section = Section {
    name: "paper.learned",
    keys: &[
        key(
            "from",
            Text,
            "\"proof 1, strip 1\"",
            "what taught the correction",
        ),
        key(
            "tone",
            Text,
            "\"0 3, 50 44, 100 100\"",
            "the tone learned from the proof",
        ),
        key(
            "saturation",
            Text,
            "\"1.1 1.08 1.02 1 1 1.05\"",
            "the saturation learned from the proof",
        ),
        key(
            "hue",
            Text,
            "\"0 0 -2 0 1 0\"",
            "the turn of hue learned from the proof",
        ),
        key(
            "depth",
            Text,
            "\"1.02 1 0.98\"",
            "the chroma of darks and lights learned from the proof",
        ),
        key(
            "lift",
            Text,
            "\"0 -1.5 -1 0 0 0.5\"",
            "the lightness of strong colours learned from the proof",
        ),
        key(
            "cast",
            Text,
            "\"0 0, 0.3 -0.2, 0 0\"",
            "the cast learned from the proof",
        ),
    ],
};

/// What is wished for one piece, wherever it stands; stands once for each of them.
pub(crate) const PIECE: Section = Section {
    name: "piece",
    keys: &[
        key("art", Text, "\"night.png\"", "the piece"),
        key("recipe", Text, "\"none\"", "the recipe for paper"),
        key("contrast", Text, "\"-8%\"", "the contrast for paper"),
        key("lightening", Text, "\"3\"", "the lightening for paper"),
        key("saturation", Text, "\"-8%\"", "the saturation for paper"),
        key("red", Text, "\"-6%\"", "the saturation of reds"),
        key("yellow", Text, "\"-2%\"", "the saturation of yellows"),
        key("green", Text, "\"-2%\"", "the saturation of greens"),
        key("cyan", Text, "\"-6%\"", "the saturation of cyans"),
        key("blue", Text, "\"-2%\"", "the saturation of blues"),
        key("magenta", Text, "\"-2%\"", "the saturation of magentas"),
        key("black", Text, "\"4\"", "the lightness of the black"),
        key("white", Text, "\"98\"", "the lightness of the white"),
        key("inks", Text, "\"black\"", "the inks"),
        key("sharpening", Text, "\"none\"", "the sharpening"),
    ],
};
