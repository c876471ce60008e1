//! The figures of a recipe for paper, as sliders send them, and as the book file keeps them.

use std::collections::HashMap;

use desk::Edit;
use desk::colour::Compensation;

use crate::problem::Problem;

/// One figure of a recipe: what it is called, and where its slider ends.
pub(crate) struct Figure {
    /// Its name in the book file and in forms.
    pub key: &'static str,
    /// Its name on the page.
    pub words: &'static str,
    /// What a smaller and what a larger figure does.
    pub ways: [&'static str; 2],
    /// Lowest value.
    pub least: f64,
    /// Highest value.
    pub most: f64,
    /// Whether it is a percentage; otherwise it is a lightness, L*.
    pub percent: bool,
}

const fn figure(
    key: &'static str,
    words: &'static str,
    ways: [&'static str; 2],
    (least, most): (f64, f64),
    percent: bool,
) -> Figure {
    Figure {
        key,
        words,
        ways,
        least,
        most,
        percent,
    }
}

const CALMER: [&str; 2] = ["calmer", "stronger"];
const BAND: (f64, f64) = (-60.0, 30.0);

/// What is done to lightness. The ranges are those of [`Compensation`].
pub(crate) const TONE: [Figure; 4] = [
    figure(
        "contrast",
        "Contrast",
        ["flatter", "harder"],
        (-40.0, 20.0),
        true,
    ),
    figure(
        "lightening",
        "Middle tones",
        ["darker", "lighter"],
        (-10.0, 20.0),
        false,
    ),
    figure("black", "Blacks at", ["", ""], (0.0, 20.0), false),
    figure("white", "Whites at", ["", ""], (85.0, 100.0), false),
];

/// What is done to the strength of colours: all of them, then around each hue.
pub(crate) const COLOUR: [Figure; 7] = [
    figure("saturation", "All colours", CALMER, BAND, true),
    figure("red", "Reds", CALMER, BAND, true),
    figure("yellow", "Yellows", CALMER, BAND, true),
    figure("green", "Greens", CALMER, BAND, true),
    figure("cyan", "Cyans", CALMER, BAND, true),
    figure("blue", "Blues", CALMER, BAND, true),
    figure("magenta", "Magentas", CALMER, BAND, true),
];

impl Figure {
    /// Its value in a compensation.
    pub fn of(&self, compensation: &Compensation) -> f64 {
        match self.key {
            "contrast" => compensation.contrast,
            "lightening" => compensation.lightening,
            "saturation" => compensation.saturation,
            "black" => compensation.black,
            "white" => compensation.white,
            band => Compensation::BANDS
                .iter()
                .position(|name| *name == band)
                .map_or(0.0, |index| compensation.bands[index]),
        }
    }

    fn set(&self, compensation: &mut Compensation, value: f64) {
        match self.key {
            "contrast" => compensation.contrast = value,
            "lightening" => compensation.lightening = value,
            "saturation" => compensation.saturation = value,
            "black" => compensation.black = value,
            "white" => compensation.white = value,
            band => {
                let index = Compensation::BANDS.iter().position(|name| *name == band);
                if let Some(index) = index {
                    compensation.bands[index] = value;
                }
            }
        }
    }

    /// A value as a person reads it: `−8 %`, `L* 4`.
    pub fn said(&self, value: f64) -> String {
        let number = short(value.abs());
        let sign = match value {
            value if value < -0.04 => "−",
            value if value > 0.04 && (self.percent || self.key == "lightening") => "+",
            _ => "",
        };
        match (self.percent, self.key) {
            (true, _) => format!("{sign}{number} %"),
            (false, "lightening") => format!("{sign}{number} L*"),
            (false, _) => format!("L* {sign}{number}"),
        }
    }

    /// A value in words, as it stands beside its slider: `8 % flatter`.
    pub fn in_words(&self, value: f64) -> String {
        let number = short(value.abs());
        let unit = if self.percent { "%" } else { "L*" };
        match (self.key, value) {
            ("black" | "white", _) => format!("L* {number}"),
            (_, value) if value < -SAME => format!("{number} {unit} {}", self.ways[0]),
            (_, value) if value > SAME => format!("{number} {unit} {}", self.ways[1]),
            _ => "as it is".to_owned(),
        }
    }

    /// A value as the book file keeps it.
    fn written(&self, value: f64) -> String {
        // A negative zero is a zero.
        let number = short(value + 0.0);
        if self.percent {
            format!("{number}%")
        } else {
            number
        }
    }
}

/// All figures, tone first.
pub(crate) fn all() -> impl Iterator<Item = &'static Figure> {
    TONE.iter().chain(&COLOUR)
}

/// The compensation that a form or an address asks for, each figure held within its range; what is
/// left out is as if nothing were done.
///
/// # Errors
/// A figure that is no number.
pub(crate) fn of_form(fields: &HashMap<String, String>) -> Result<Compensation, Problem> {
    let mut wanted = Compensation::NONE;
    for figure in all() {
        let Some(text) = fields.get(figure.key) else {
            continue;
        };
        let value = text.trim().parse::<f64>().ok();
        let Some(value) = value.filter(|value| value.is_finite()) else {
            return Err(Problem::unreadable("One of the figures is not a number."));
        };
        figure.set(&mut wanted, value.clamp(figure.least, figure.most));
    }
    Ok(wanted)
}

/// Figures closer than this are the same: sliders move by half a unit.
const SAME: f64 = 0.05;

/// The edit that takes figures for the whole book, or for one piece, in one step. `recipe` is the
/// built-in one that they start from, and `base` are its figures; only what differs is written.
pub(crate) fn take(
    piece: Option<&str>,
    recipe: &str,
    base: &Compensation,
    wanted: &Compensation,
) -> Edit {
    let prefix = piece.map_or_else(|| "paper".to_owned(), |piece| format!("piece.{piece}"));
    let mut values = vec![(format!("{prefix}.recipe"), recipe.to_owned())];
    let mut differing = Vec::new();
    for figure in all() {
        let (own, given) = (figure.of(wanted), figure.of(base));
        let differs = (own - given).abs() > SAME;
        if differs {
            differing.push(format!(
                "{} {}",
                figure.words.to_lowercase(),
                figure.said(own)
            ));
        }
        let value = if differs {
            figure.written(own)
        } else {
            String::new()
        };
        values.push((format!("{prefix}.{}", figure.key), value));
    }
    Edit::SetAll {
        values,
        what: sentence(piece, recipe, &differing),
    }
}

fn sentence(piece: Option<&str>, recipe: &str, differing: &[String]) -> String {
    let own = match differing.len() {
        0 => String::new(),
        1..=3 => format!(", with {}", differing.join(", ")),
        many => format!(", with {many} figures of its own"),
    };
    match (piece, recipe, differing.is_empty()) {
        (None, "none", true) => "Took no recipe for paper for the book".to_owned(),
        (None, recipe, _) => format!("Took the recipe {recipe} for the book{own}"),
        (Some(piece), "none", true) => format!("Left `{piece}` as it is on paper"),
        (Some(piece), "", true) => format!("Let `{piece}` follow the book's recipe"),
        (Some(piece), "", _) => format!("Let `{piece}` follow the book's recipe{own}"),
        (Some(piece), recipe, _) => format!("Took the recipe {recipe} for `{piece}`{own}"),
    }
}

/// A number to a tenth, without idle zeros.
pub(crate) fn short(value: f64) -> String {
    let text = format!("{value:.1}");
    text.strip_suffix(".0").unwrap_or(&text).to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn values(edit: Edit) -> Vec<(String, String)> {
        match edit {
            Edit::SetAll { values, .. } => values,
            other => panic!("expected several values, but found {other:?}"),
        }
    }

    #[test]
    fn every_figure_of_a_compensation_has_a_slider_that_reaches_it() {
        for name in Compensation::NAMES {
            let built_in = Compensation::built_in(name).unwrap();
            for figure in all() {
                let value = figure.of(&built_in);
                assert!(
                    (figure.least..=figure.most).contains(&value),
                    "{name} {}",
                    figure.key
                );
            }
        }
        assert_eq!(all().count(), 5 + Compensation::BANDS.len());
    }

    #[test]
    fn figures_out_of_range_are_held_and_no_number_is_refused() {
        let fields = |text: &[(&str, &str)]| -> HashMap<String, String> {
            let owned = text
                .iter()
                .map(|(key, value)| ((*key).to_owned(), (*value).to_owned()));
            owned.collect()
        };
        let held = of_form(&fields(&[
            ("contrast", "-900"),
            ("white", "3"),
            ("cyan", "-7.5"),
        ]))
        .unwrap();
        assert_eq!(
            (held.contrast, held.white, held.bands[3]),
            (-40.0, 85.0, -7.5)
        );
        assert_eq!(of_form(&fields(&[])).unwrap(), Compensation::NONE);
        for wrong in ["NaN", "inf", "", "dark"] {
            assert!(of_form(&fields(&[("cyan", wrong)])).is_err(), "{wrong}");
        }
    }

    #[test]
    fn only_what_differs_from_the_recipe_is_written() {
        let base = Compensation::built_in("usual").unwrap();
        let wanted = Compensation {
            contrast: -12.5,
            ..base
        };
        let written = values(take(None, "usual", &base, &wanted));
        let said: Vec<_> = written
            .iter()
            .filter(|(_, value)| !value.is_empty())
            .collect();
        assert_eq!(
            said,
            [
                &("paper.recipe".to_owned(), "usual".to_owned()),
                &("paper.contrast".to_owned(), "-12.5%".to_owned()),
            ]
        );
        assert_eq!(written.len(), 12, "the others are taken out");
    }

    #[test]
    fn a_piece_keeps_its_name_whole() {
        let none = Compensation::NONE;
        let written = values(take(Some("birds/heron 2.png"), "none", &none, &none));
        assert_eq!(
            written[0],
            (
                "piece.birds/heron 2.png.recipe".to_owned(),
                "none".to_owned()
            )
        );
    }

    #[test]
    fn values_are_said_with_sign_and_unit() {
        let said =
            |key: &str, value: f64| all().find(|figure| figure.key == key).unwrap().said(value);
        assert_eq!(said("contrast", -8.0), "−8 %");
        assert_eq!(said("contrast", 0.0), "0 %");
        assert_eq!(said("lightening", 3.5), "+3.5 L*");
        assert_eq!(said("black", 4.0), "L* 4");
    }
}
