//! Small forms of one value each, sent as soon as it is changed.

use maud::{Markup, html};

use crate::rooms::order::hidden;

/// Signs that are seen whole in a field of half the width.
const LONGEST_IN_HALF: usize = 10;

/// Forms that lead back to a room, by its name in forms.
#[derive(Clone, Copy)]
pub(super) struct Forms(pub &'static str);

/// A choice of a list: its value, its words, and whether it holds.
pub(super) type Choice = (String, String, bool);

impl Forms {
    /// A text with its value.
    pub fn field(self, key: &str, label: &str, value: &str, example: &str) -> Markup {
        self.text(key, &id_of(key), label, (value, ""), example)
    }

    /// A text that is not said yet; what holds in its place stands in it greyed.
    pub fn open_field(self, key: &str, label: &str, holds: &str, example: &str) -> Markup {
        self.text(key, &id_of(key), label, ("", holds), example)
    }

    /// A text under an id of its own: its value, and what holds without it.
    pub fn text(
        self,
        key: &str,
        id: &str,
        label: &str,
        (value, holds): (&str, &str),
        example: &str,
    ) -> Markup {
        let whole = value.chars().count() > LONGEST_IN_HALF;
        html! {
            form.field.whole[whole] method="post" action="/edit" data-act data-auto {
                (hidden("wish", "set")) (hidden("room", self.0)) (hidden("key", key))
                label for=(id) { (label) }
                input #(id) type="text" name="value" value=(value) placeholder=[(!holds.is_empty()).then_some(holds)]
                    autocomplete="off" spellcheck="false" aria-describedby={ (id) "-example" };
                noscript { button { "Set" } }
                p.example id={ (id) "-example" } { (example) }
            }
        }
    }

    /// Words that may run over lines.
    pub fn words(self, key: &str, label: &str, value: &str, example: &str) -> Markup {
        let id = id_of(key);
        html! {
            form.field.whole method="post" action="/edit" data-act data-auto {
                (hidden("wish", "set")) (hidden("room", self.0)) (hidden("key", key))
                label for=(id) { (label) }
                textarea #(id) name="value" rows="3" aria-describedby={ (id) "-example" } { (value) }
                noscript { button { "Set" } }
                p.example id={ (id) "-example" } { (example) }
            }
        }
    }

    /// One of a list.
    pub fn choice(self, key: &str, label: &str, choices: &[Choice]) -> Markup {
        let is_long = |(_, words, _): &Choice| words.chars().count() > LONGEST_IN_HALF;
        self.chosen(
            key,
            &id_of(key),
            label,
            choices,
            choices.iter().any(is_long),
        )
    }

    /// One of a list, under an id of its own.
    pub fn chosen(
        self,
        key: &str,
        id: &str,
        label: &str,
        choices: &[Choice],
        whole: bool,
    ) -> Markup {
        html! {
            form.field.whole[whole] method="post" action="/edit" data-act data-auto {
                (hidden("wish", "set")) (hidden("room", self.0)) (hidden("key", key))
                label for=(id) { (label) }
                select #(id) name="value" { (options(choices)) }
                noscript { button { "Set" } }
            }
        }
    }
}

/// What a list offers.
pub(super) fn options(choices: &[Choice]) -> Markup {
    html! { @for (value, words, chosen) in choices { option value=(value) selected[*chosen] { (words) } } }
}

/// Words of the book file as choices.
pub(super) fn word_choices<const N: usize>(words: [&str; N], chosen: &str) -> [Choice; N] {
    words.map(|word| (word.to_owned(), word.to_owned(), word == chosen))
}

/// Something that is there or not.
pub(super) fn there_or_not(there: bool) -> [Choice; 2] {
    [("true", "yes", there), ("false", "none", !there)]
        .map(|(value, words, chosen)| (value.to_owned(), words.to_owned(), chosen))
}

/// The id of the field of a key.
pub(super) fn id_of(key: &str) -> String {
    key.replace(|letter: char| !letter.is_ascii_alphanumeric(), "-")
}
