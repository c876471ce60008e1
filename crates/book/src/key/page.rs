//! The entries of the running order.

use super::Kind::{Switch, Text, Words};
use super::{Section, key};

/// The keys of an entry of the running order, whatever its treatment.
pub(crate) const PAGE: Section = Section {
    name: "page",
    keys: &[
        key("name", Text, "\"harbour\"", "the name"),
        key("treatment", Text, "\"full page\"", "the treatment"),
        key("art", Text, "\"harbour.png\"", "the picture"),
        key("left", Text, "\"ebb.png\"", "the left picture"),
        key("right", Text, "\"flood.png\"", "the right picture"),
        key("focus", Text, "\"0.5 0.4\"", "the focus"),
        key("left_focus", Text, "\"0.5 0.4\"", "the left focus"),
        key("right_focus", Text, "\"0.5 0.4\"", "the right focus"),
        key("margin", Text, "\"25mm\"", "the margin"),
        key("caption", Text, "\"Harbour, evening\"", "the caption"),
        key("heading", Text, "\"Before the tide\"", "the heading"),
        key("words", Words, "\"\"\"Words.\"\"\"", "the words"),
        key(
            "accept_low_resolution",
            Switch,
            "true",
            "printing in spite of a low resolution",
        ),
        key("again", Switch, "true", "showing a piece a second time"),
    ],
};

/// The keys that mean something under each treatment, beside `name` and `treatment`.
pub(crate) const fn keys_of(treatment: &str) -> Option<&'static [&'static str]> {
    Some(match treatment.as_bytes() {
        b"full page" | b"spread" | b"ready page" => {
            &["art", "focus", "accept_low_resolution", "again"]
        }
        b"inset" => &[
            "art",
            "focus",
            "margin",
            "caption",
            "accept_low_resolution",
            "again",
        ],
        b"paired" => &[
            "left",
            "right",
            "left_focus",
            "right_focus",
            "margin",
            "accept_low_resolution",
            "again",
        ],
        b"text" => &["heading", "words"],
        b"colophon" => &["words"],
        b"title" | b"blank" => &[],
        _ => return None,
    })
}

/// The words for treatments, as the file writes them.
pub(crate) const TREATMENTS: [&str; 9] = [
    "full page",
    "spread",
    "inset",
    "paired",
    "ready page",
    "title",
    "text",
    "colophon",
    "blank",
];
