//! The bar code and the finishings.

use super::Kind::{Switch, Text};
use super::{Section, key};

pub(crate) const BAR_CODE: Section = Section {
    name: "barcode",
    keys: &[
        key("wanted", Switch, "true", "the bar code"),
        key("on", Text, "\"jacket\"", "the piece with the bar code"),
        key("panel", Text, "\"back\"", "the panel of the bar code"),
        key("place", Text, "\"foot right\"", "the place of the bar code"),
        key(
            "magnification",
            Text,
            "\"100%\"",
            "the magnification of the bar code",
        ),
        key(
            "width_reduction",
            Text,
            "\"0.02mm\"",
            "the bar width reduction",
        ),
        key("price", Text, "\"52495\"", "the price beside the bar code"),
        key(
            "white",
            Switch,
            "true",
            "the white panel under the bar code",
        ),
    ],
};

/// A plate of foil, varnish or a blind stamp; stands once for each of them.
pub(crate) const FINISHING: Section = Section {
    name: "finishing",
    keys: &[
        key("name", Text, "\"title foil\"", "the name of the finishing"),
        key("process", Text, "\"foil\"", "the process"),
        key("on", Text, "\"cover\"", "the piece that is finished"),
        key("panel", Text, "\"front\"", "the panel that is finished"),
        key("mask", Text, "\"masks/title.svg\"", "the mask"),
        key(
            "words",
            Text,
            "\"title alone\"",
            "the words that are finished",
        ),
        key("colour", Text, "\"gold\"", "the colour"),
        key("least_line", Text, "\"0.3mm\"", "the finest line"),
        key("least_gap", Text, "\"0.4mm\"", "the finest gap"),
        key("thicken", Text, "\"0.1mm\"", "how much wider its lines are"),
        key("fit", Text, "\"centre\"", "how its mask fits"),
    ],
};
