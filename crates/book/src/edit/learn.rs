//! Taking what a proof has taught into the book, and out again.

use super::Edit;
use crate::key::LEARNED;
use crate::model::Learned;

impl Edit {
    /// Writes a lesson into the book in the place of the former one, if there was any. Numbers are
    /// rounded to three decimals.
    pub fn learn(lesson: &Learned, what: impl Into<String>) -> Self {
        let Learned {
            from,
            tone,
            saturation,
            hue,
            depth,
            lift,
            cast,
        } = lesson;
        let values = [
            ("from", from.clone()),
            ("tone", pairs(tone)),
            ("saturation", list(saturation)),
            ("hue", list(hue)),
            ("depth", list(depth)),
            ("lift", list(lift)),
            ("cast", pairs(cast)),
        ];
        Self::SetAll {
            values: values
                .map(|(key, value)| (format!("{}.{key}", LEARNED.name), value))
                .to_vec(),
            what: what.into(),
        }
    }

    /// Takes what was learned out of the book.
    pub fn forget_lesson(what: impl Into<String>) -> Self {
        Self::learn(&Learned::default(), what)
    }
}

fn list(values: &[f64]) -> String {
    let words: Vec<String> = values.iter().map(|value| number(*value)).collect();
    words.join(" ")
}

fn pairs(values: &[(f64, f64)]) -> String {
    let words: Vec<String> = values
        .iter()
        .map(|(first, second)| format!("{} {}", number(*first), number(*second)))
        .collect();
    words.join(", ")
}

/// At most three decimals, and none that say nothing.
fn number(value: f64) -> String {
    // Rounded to a whole number first, so that no negative zero is written.
    let thousandths = (value * 1000.0).round() + 0.0;
    format!("{}", thousandths / 1000.0)
}
