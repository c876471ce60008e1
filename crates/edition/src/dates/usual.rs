//! The usual way from files to books in hand. Every length is common practice without a source, and
//! is there to be replaced by what the printer says.

use book::{BindingKind, Book, Carriage, Printer, Whose};

use super::schedule::{Again, Step};
use super::spread::Spread;

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

impl Making {
    /// What the book and its printer say; a book without a printer is made at home, and books from
    /// overseas come by sea unless another way is wished for.
    pub fn of(book: &Book, printer: Option<&Printer>, copies: u64) -> Self {
        let kind = book.binding.kind;
        let overseas = printer.is_some_and(|printer| !printer.home);
        let usual = if overseas {
            Carriage::Sea
        } else {
            Carriage::Road
        };
        Self {
            sewn: matches!(kind, BindingKind::SewnCase | BindingKind::SewnSoft),
            case: kind == BindingKind::SewnCase,
            finished: !book.finishings.is_empty(),
            overseas,
            carriage: book.dates.carriage.unwrap_or(usual),
            copies,
        }
    }
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
        Whose::Printer,
        (1.0, 2.0, 4.0),
    );
    steps.add(
        "paper",
        "Paper ordered and come in",
        &["files"],
        Whose::Printer,
        (2.0, 8.0, 20.0),
    );
    steps.add(
        "proofs",
        "Proofs made",
        &["files"],
        Whose::Printer,
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
        Whose::Carrier,
        travel,
    );
    steps.add(
        "examined",
        "Proofs examined and corrected",
        &["proofs-travel"],
        Whose::Artist,
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
        Whose::Printer,
        press,
    );
    let mut before = "printed";
    if finished {
        steps.add(
            "finished",
            "Foil, varnish and embossing",
            &["printed"],
            Whose::Printer,
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
    steps.add(
        "bound",
        "Folded and bound",
        &[before],
        Whose::Printer,
        bound,
    );
    let advance = if overseas {
        (4.0, 6.0, 10.0)
    } else {
        (2.0, 3.0, 5.0)
    };
    steps.add(
        "advance",
        "Advance copies sent and looked at",
        &["bound"],
        Whose::Carrier,
        advance,
    );
    steps.add(
        "packed",
        "Packed and handed to the carrier",
        &["advance"],
        Whose::Printer,
        (1.0, 2.0, 4.0),
    );
    let carriage = match making.carriage {
        Carriage::Road => (1.0, 3.0, 7.0),
        Carriage::Sea => (25.0, 35.0, 60.0),
        Carriage::Air => (3.0, 5.0, 10.0),
    };
    steps.add(
        "carriage",
        "Under way",
        &["packed"],
        Whose::Carrier,
        carriage,
    );
    let mut before = "carriage";
    if overseas {
        steps.add(
            "customs",
            "Through customs",
            &["carriage"],
            Whose::Home,
            (1.0, 3.0, 12.0),
        );
        before = "customs";
    }
    steps.add(
        "in-hand",
        "Delivered: books in hand",
        &[before],
        Whose::Home,
        (1.0, 2.0, 5.0),
    );
    steps.0
}

#[derive(Default)]
struct Steps(Vec<Step>);

impl Steps {
    fn add(&mut self, key: &str, name: &str, after: &[&str], whose: Whose, days: (f64, f64, f64)) {
        let (least, likely, most) = days;
        self.0.push(Step {
            key: key.to_owned(),
            name: name.to_owned(),
            after: after.iter().map(|key| (*key).to_owned()).collect(),
            calendar: whose.word().to_owned(),
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
