//! The usual way from files to books in hand. Every length is common practice without a source, and
//! is there to be replaced by what the printer says.

use super::schedule::{Again, Step};
use super::spread::Spread;

/// Calendar of the printer.
pub const PRINTER: &str = "printer";
/// Calendar of the artist.
pub const ARTIST: &str = "artist";
/// Calendar of ships, aeroplanes and lorries on the road: every day.
pub const CARRIER: &str = "carrier";
/// Calendar of customs and of delivery at home.
pub const HOME: &str = "home";

/// How the books travel.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Carriage {
    /// By lorry within a country or to its neighbours.
    Road,
    /// In a container or a part of one.
    Sea,
    /// By air.
    Air,
}

impl Carriage {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Road, Self::Sea, Self::Air];

    /// Its word in the book file.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Road => "road",
            Self::Sea => "sea",
            Self::Air => "air",
        }
    }

    /// By its word.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|way| way.word() == word)
    }
}

/// What of the book decides about the steps.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Making {
    /// Sewn, in boards or soft.
    pub sewn: bool,
    /// In boards.
    pub case: bool,
    /// Has foil, varnish or embossing.
    pub finished: bool,
    /// Printed in another country: proofs travel far, and customs look at the books.
    pub overseas: bool,
    /// How the books travel.
    pub carriage: Carriage,
    /// Copies.
    pub copies: u64,
}

/// The usual steps.
pub fn steps(making: Making) -> Vec<Step> {
    let mut steps = Steps::default();
    let Making {
        overseas, finished, ..
    } = making;
    steps.add(
        "files",
        "Files looked at by the printer",
        &[],
        PRINTER,
        (1.0, 2.0, 4.0),
    );
    steps.add(
        "paper",
        "Paper ordered and come in",
        &["files"],
        PRINTER,
        (2.0, 8.0, 20.0),
    );
    steps.add(
        "proofs",
        "Proofs made",
        &["files"],
        PRINTER,
        (3.0, 5.0, 8.0),
    );
    let travel = if overseas {
        (3.0, 5.0, 9.0)
    } else {
        (1.0, 2.0, 4.0)
    };
    steps.add(
        "proofs-travel",
        "Proofs under way",
        &["proofs"],
        CARRIER,
        travel,
    );
    steps.add(
        "examined",
        "Proofs examined, and corrected where need be",
        &["proofs-travel"],
        ARTIST,
        (1.0, 3.0, 7.0),
    );
    // A late change costs two to three weeks.
    steps.again(Again {
        chance: 0.35,
        takes: Spread::ThreePoint {
            least: 7.0,
            likely: 12.0,
            most: 18.0,
        },
        at_most: 3,
    });
    // A thousand copies more take about a day more on the press and in the bindery.
    let more = (making.copies as f64 / 1000.0).clamp(0.0, 100.0);
    let press = (3.0 + more, 5.0 + more, 9.0 + 2.0 * more);
    steps.add(
        "printed",
        "Printed and dried",
        &["examined", "paper"],
        PRINTER,
        press,
    );
    let mut before = "printed";
    if finished {
        steps.add(
            "finished",
            "Foil, varnish and embossing",
            &["printed"],
            PRINTER,
            (2.0, 4.0, 8.0),
        );
        before = "finished";
    }
    let bound = if making.case {
        (7.0 + more, 10.0 + more, 16.0 + 2.0 * more)
    } else if making.sewn {
        (4.0 + more, 6.0 + more, 10.0 + 2.0 * more)
    } else {
        (2.0 + more, 3.0 + more, 6.0 + 2.0 * more)
    };
    steps.add("bound", "Folded and bound", &[before], PRINTER, bound);
    let advance = if overseas {
        (4.0, 6.0, 10.0)
    } else {
        (2.0, 3.0, 5.0)
    };
    steps.add(
        "advance",
        "Advance copies sent and looked at",
        &["bound"],
        CARRIER,
        advance,
    );
    steps.add(
        "packed",
        "Packed and handed to the carrier",
        &["advance"],
        PRINTER,
        (1.0, 2.0, 4.0),
    );
    let carriage = match making.carriage {
        Carriage::Road => (1.0, 3.0, 7.0),
        Carriage::Sea => (25.0, 35.0, 60.0),
        Carriage::Air => (3.0, 5.0, 10.0),
    };
    steps.add("carriage", "Under way", &["packed"], CARRIER, carriage);
    let mut before = "carriage";
    if overseas {
        steps.add(
            "customs",
            "Through customs",
            &["carriage"],
            HOME,
            (1.0, 3.0, 12.0),
        );
        before = "customs";
    }
    steps.add(
        "in-hand",
        "Delivered: books in hand",
        &[before],
        HOME,
        (1.0, 2.0, 5.0),
    );
    steps.0
}

#[derive(Default)]
struct Steps(Vec<Step>);

impl Steps {
    fn add(
        &mut self,
        key: &str,
        name: &str,
        after: &[&str],
        calendar: &str,
        days: (f64, f64, f64),
    ) {
        let (least, likely, most) = days;
        self.0.push(Step {
            key: key.to_owned(),
            name: name.to_owned(),
            after: after.iter().map(|key| (*key).to_owned()).collect(),
            calendar: calendar.to_owned(),
            takes: Spread::ThreePoint {
                least,
                likely,
                most,
            },
            again: None,
            happened: None,
        });
    }

    /// The last step may have to be done again.
    fn again(&mut self, again: Again) {
        if let Some(step) = self.0.last_mut() {
            step.again = Some(again);
        }
    }
}
