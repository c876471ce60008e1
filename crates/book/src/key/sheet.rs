//! The sheets and parts around the pages: cover, case, endpapers, jacket, flaps, band and slipcase.

use super::Kind::{Switch, Text, Whole, Words};
use super::{Section, key};

pub(crate) const COVER: Section = Section {
    name: "cover",
    keys: &[
        key(
            "art",
            Text,
            "\"tide-line.png\"",
            "the picture over the whole cover",
        ),
        key("focus", Text, "\"0.5 0.4\"", "the focus of the whole cover"),
        key(
            "front",
            Text,
            "\"harbour.png\"",
            "the front cover's picture",
        ),
        key(
            "front_focus",
            Text,
            "\"0.5 0.4\"",
            "the focus of the front cover",
        ),
        key("back", Text, "\"reeds.png\"", "the back cover's picture"),
        key(
            "back_focus",
            Text,
            "\"0.5 0.4\"",
            "the focus of the back cover",
        ),
        key("ground", Text, "\"0 0 0 0\"", "the cover's ground"),
        key("front_words", Switch, "true", "words on the front cover"),
        key(
            "back_words",
            Words,
            "\"\"\"Words.\"\"\"",
            "words on the back cover",
        ),
        key(
            "spine_words",
            Text,
            "\"The Low Tide Line\"",
            "words on the spine",
        ),
        key("spine_reads", Text, "\"down\"", "which way the spine reads"),
        key(
            "front_flap_words",
            Words,
            "\"\"\"Words.\"\"\"",
            "words on the front flap",
        ),
        key(
            "back_flap_words",
            Words,
            "\"\"\"Words.\"\"\"",
            "words on the back flap",
        ),
        key("ink", Text, "\"black\"", "the ink of the cover's words"),
    ],
};

pub(crate) const CASE: Section = Section {
    name: "case",
    keys: &[
        key("back", Text, "\"flat\"", "the back of the case"),
        key("rise", Text, "\"6mm\"", "the rise of a round back"),
        key("square", Text, "\"3mm\"", "the square of the case"),
        key("setback", Text, "\"6mm\"", "the setback of the boards"),
        key("hinge", Text, "\"8mm\"", "the hinge of the case"),
        key("turn_in", Text, "\"15mm\"", "the turn-in of the case"),
        key("strip", Text, "\"2.5mm\"", "the strip in the spine"),
        key(
            "board_density",
            Text,
            "\"0.65 g/cm3\"",
            "the density of the board",
        ),
        key(
            "covering",
            Text,
            "\"135 g/m2\"",
            "the weight of the covering",
        ),
        key(
            "covering_caliper",
            Text,
            "\"0.12mm\"",
            "the thickness of the covering",
        ),
        key("bands", Switch, "true", "head and tail bands"),
        key("ribbons", Whole, "1", "the ribbons"),
    ],
};

pub(crate) const ENDPAPERS: Section = Section {
    name: "endpapers",
    keys: &[
        key(
            "grammage",
            Text,
            "\"140 g/m2\"",
            "the weight of the endpapers",
        ),
        key(
            "caliper",
            Text,
            "\"0.17mm\"",
            "the thickness of the endpapers",
        ),
        key(
            "art",
            Text,
            "\"tide-line.png\"",
            "the picture over the endpapers",
        ),
        key(
            "focus",
            Text,
            "\"0.5 0.4\"",
            "the focus of the endpapers's picture",
        ),
        key("ground", Text, "\"0 0 0 0\"", "the ground of the endpapers"),
    ],
};

pub(crate) const JACKET: Section = Section {
    name: "jacket",
    keys: &[
        key("wanted", Switch, "true", "the jacket"),
        key("grammage", Text, "\"150 g/m2\"", "the weight of the jacket"),
        key("caliper", Text, "\"0.14mm\"", "the thickness of the jacket"),
        key("height", Text, "\"306mm\"", "the height of the jacket"),
        key("turn", Text, "\"3.5mm\"", "the jacket's turn at the edge"),
        key("flap", Text, "\"85mm\"", "the flaps of the jacket"),
        key(
            "art",
            Text,
            "\"tide-line.png\"",
            "the picture over the jacket",
        ),
        key(
            "focus",
            Text,
            "\"0.5 0.4\"",
            "the focus of the jacket's picture",
        ),
        key(
            "front",
            Text,
            "\"harbour.png\"",
            "the front picture of the jacket",
        ),
        key(
            "front_focus",
            Text,
            "\"0.5 0.4\"",
            "the focus of the front of the jacket",
        ),
        key(
            "back",
            Text,
            "\"reeds.png\"",
            "the back picture of the jacket",
        ),
        key(
            "back_focus",
            Text,
            "\"0.5 0.4\"",
            "the focus of the back of the jacket",
        ),
        key("ground", Text, "\"0 0 0 0\"", "the ground of the jacket"),
        key(
            "front_words",
            Switch,
            "true",
            "title and author on the jacket",
        ),
        key(
            "back_words",
            Words,
            "\"\"\"Words.\"\"\"",
            "the words on the back of the jacket",
        ),
        key(
            "spine_words",
            Text,
            "\"The Low Tide Line\"",
            "the words on the spine of the jacket",
        ),
        key(
            "spine_reads",
            Text,
            "\"down\"",
            "which way the spine of the jacket reads",
        ),
        key(
            "front_flap_words",
            Words,
            "\"\"\"Words.\"\"\"",
            "the words on the front flap of the jacket",
        ),
        key(
            "back_flap_words",
            Words,
            "\"\"\"Words.\"\"\"",
            "the words on the back flap of the jacket",
        ),
        key(
            "ink",
            Text,
            "\"black\"",
            "the ink of the words on the jacket",
        ),
    ],
};

pub(crate) const FLAPS: Section = Section {
    name: "flaps",
    keys: &[
        key("wanted", Switch, "true", "flaps on the cover"),
        key("width", Text, "\"85mm\"", "the width of the flaps"),
        key(
            "over",
            Text,
            "\"1mm\"",
            "how far the cover stands over the fore edge",
        ),
    ],
};

pub(crate) const BAND: Section = Section {
    name: "band",
    keys: &[
        key("wanted", Switch, "true", "the belly band"),
        key(
            "grammage",
            Text,
            "\"135 g/m2\"",
            "the weight of the belly band",
        ),
        key(
            "caliper",
            Text,
            "\"0.12mm\"",
            "the thickness of the belly band",
        ),
        key("height", Text, "\"70mm\"", "the height of the belly band"),
        key("tuck", Text, "\"80mm\"", "the tucks of the belly band"),
        key("ease", Text, "\"0.5mm\"", "the ease of the belly band"),
        key(
            "art",
            Text,
            "\"tide-line.png\"",
            "the picture over the belly band",
        ),
        key(
            "focus",
            Text,
            "\"0.5 0.4\"",
            "the focus of the belly band's picture",
        ),
        key(
            "words",
            Words,
            "\"\"\"Words.\"\"\"",
            "the words on the belly band",
        ),
        key(
            "back_words",
            Words,
            "\"\"\"Words.\"\"\"",
            "the words on the back of the belly band",
        ),
        key(
            "spine_words",
            Text,
            "\"The Low Tide Line\"",
            "the words on the spine of the belly band",
        ),
        key(
            "spine_reads",
            Text,
            "\"down\"",
            "which way the spine of the belly band reads",
        ),
        key(
            "ground",
            Text,
            "\"0 0 0 0\"",
            "the ground of the belly band",
        ),
        key(
            "ink",
            Text,
            "\"black\"",
            "the ink of the words on the belly band",
        ),
    ],
};

pub(crate) const SLIPCASE: Section = Section {
    name: "slipcase",
    keys: &[
        key("wanted", Switch, "true", "the slipcase"),
        key("board", Text, "\"2mm\"", "the board of the slipcase"),
        key("clearance", Text, "\"2mm\"", "the room in the slipcase"),
        key(
            "covering",
            Text,
            "\"135 g/m2\"",
            "the weight of the slipcase's covering",
        ),
        key(
            "covering_caliper",
            Text,
            "\"0.12mm\"",
            "the thickness of the slipcase's covering",
        ),
        key("turn_in", Text, "\"15mm\"", "the turn-in of the slipcase"),
        key(
            "art",
            Text,
            "\"tide-line.png\"",
            "the picture over the slipcase",
        ),
        key(
            "focus",
            Text,
            "\"0.5 0.4\"",
            "the focus of the slipcase's picture",
        ),
        key(
            "front",
            Text,
            "\"harbour.png\"",
            "the front picture of the slipcase",
        ),
        key(
            "front_focus",
            Text,
            "\"0.5 0.4\"",
            "the focus of the front of the slipcase",
        ),
        key(
            "back",
            Text,
            "\"reeds.png\"",
            "the back picture of the slipcase",
        ),
        key(
            "back_focus",
            Text,
            "\"0.5 0.4\"",
            "the focus of the back of the slipcase",
        ),
        key("ground", Text, "\"0 0 0 0\"", "the ground of the slipcase"),
        key(
            "front_words",
            Switch,
            "true",
            "title and author on the slipcase",
        ),
        key(
            "spine_words",
            Text,
            "\"The Low Tide Line\"",
            "the words on the spine of the slipcase",
        ),
        key(
            "spine_reads",
            Text,
            "\"down\"",
            "which way the spine of the slipcase reads",
        ),
        key(
            "ink",
            Text,
            "\"black\"",
            "the ink of the words on the slipcase",
        ),
    ],
};
