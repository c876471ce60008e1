//! From a book on the shelf to the paper that it must be made of.
//!
//! ```text
//! leaves   = pages ÷ 2
//! caliper  = block ÷ leaves                              (µm)
//! text     = mass − what is not text                     (g)
//! grammage = text ÷ (leaves × width × height)            (g/m²)
//! bulk     = caliper ÷ grammage = block × width × height ÷ text   (cm³/g, ISO 534)
//! ```
//!
//! What is not text is taken as weighed, where a part was weighed by itself; otherwise it is reckoned
//! by the very model of the object that our own books are reckoned by, with typical papers, and may
//! be off by as much as the ranges that those are taken from.

use measure::{Bulk, Grammage, Length, Mass, Size};

use super::MeasuredError;
use super::source::{Accepted, edit};
use super::stocks::{NearStock, nearest};
use super::unsure::{Input, Tools, Unsure, carried};
use crate::edit::Edit;
use crate::model::{BindingKind, Finish, Stock};
use crate::object::{Object, Step};
use crate::read::read;

/// A book that somebody likes, as it was measured.
#[derive(Debug, Clone, PartialEq)]
pub struct OnTheShelf {
    /// How it is bound.
    pub kind: BindingKind,
    /// Width and height of a page, not of the boards. 50 to 1,000 mm.
    pub page: Size,
    /// Thickness of all leaves, pressed together, without cover and endpapers. 0.5 to 200 mm.
    pub block: Length,
    /// Pages of the block, both sides of every leaf counted, unnumbered ones too. 4 to 2,000.
    pub pages: u32,
    /// What lay on the scale: the copy with everything that `with` names. Up to 20 kg.
    pub mass: Mass,
    /// Thickness of one board of a case, if it was measured.
    pub board: Option<Length>,
    /// What lay on the scale beside the bound book: `jacket`, `belly band`, `slipcase`, `ribbons`,
    /// `flaps`.
    pub with: Vec<String>,
    /// Parts that were weighed by themselves too, by the names of the object's parts.
    pub weighed: Vec<(String, Mass)>,
    /// Surface of the paper, if it can be told.
    pub finish: Option<Finish>,
    /// How far the tools may be off.
    pub tools: Tools,
}

/// A part of the copy that is not text.
#[derive(Debug, Clone, PartialEq)]
pub struct PartWeight {
    /// Its name.
    pub name: String,
    /// What it weighs.
    pub mass: Mass,
    /// How far that may be off, either way.
    pub off: Mass,
    /// Whether it was weighed by itself.
    pub weighed: bool,
    /// How it comes about, in words.
    pub how: String,
}

/// What the book must be made of.
#[derive(Debug, Clone, PartialEq)]
pub struct Told {
    /// Leaves of the block.
    pub leaves: u32,
    /// Everything that is not text.
    pub parts: Vec<PartWeight>,
    /// Mass of the text in grams.
    pub text_g: Unsure,
    /// Thickness of one leaf in micrometres.
    pub caliper_um: Unsure,
    /// Mass per area in g/m².
    pub grammage_gsm: Unsure,
    /// Bulk in cm³/g.
    pub bulk_cm3_per_g: Unsure,
    /// What the error of the weight comes from, in parts of one, most first: `mass`, `width`,
    /// `height`, and the parts by name.
    pub weight_error: Vec<(String, f64)>,
    /// What the error of the bulk comes from: the same, and `block`.
    pub bulk_error: Vec<(String, f64)>,
    /// Every step, so that it can be followed.
    pub steps: Vec<Step>,
    /// The nearest papers, nearest first.
    pub nearest: Vec<NearStock>,
    /// What would make it surer, as a sentence; empty when nothing much would.
    pub advice: String,
}

/// Parts that lie on the scale only if somebody says so, with what the book file says of them.
const BESIDE: [(&str, &str); 5] = [
    ("jacket", "[jacket]\nwanted = true"),
    ("belly band", "[band]\nwanted = true"),
    ("slipcase", "[slipcase]\nwanted = true"),
    ("flaps", "[flaps]\nwanted = true"),
    ("ribbons", ""),
];

/// How far a part that nobody weighed may be off, as a factor, and why.
pub(super) fn spread(part: &str) -> (f64, &'static str) {
    match part {
        "cover" => (
            0.25,
            "300 g/m² assumed; covers run from 230 to 350 and a little over",
        ),
        "endpapers" => (0.35, "140 g/m² assumed; binderies take 90 to 170"),
        "covering" => (0.25, "135 g/m² assumed; binderies take 120 to 170"),
        "jacket" => (0.15, "150 g/m² assumed; printers take 135 to 170"),
        "belly band" => (0.15, "135 g/m² assumed; printers take 120 to 150"),
        "boards" => (
            0.3,
            "boards of 2.5 mm assumed; they run from 2 to 3 mm, and their density by a tenth",
        ),
        "spine strip" => (0.3, "as thick as the boards"),
        "slipcase" => (0.3, "board of 2 mm assumed"),
        _ => (0.5, "a strip of woven tape"),
    }
}
/// Density of a board may be off by so much, once its thickness is measured. Our assumption.
const DENSITY_SPREAD: f64 = 0.1;

impl Told {
    /// Reckons it. `own` are stocks of the artist's book, to be compared with those that are usual.
    ///
    /// # Errors
    /// Figures that no book has, parts that this one does not have, or figures that contradict each
    /// other.
    pub fn of(book: &OnTheShelf, own: &[Stock]) -> Result<Self, MeasuredError> {
        check(book)?;
        let leaves = book.pages / 2;
        let parts = parts(book)?;
        let other: f64 = parts.iter().map(|part| part.mass.grams()).sum();
        let text = book.mass.grams() - other;
        let most: f64 = parts.iter().map(|part| part.off.grams()).sum();
        let least = text - most - book.tools.scale.grams();
        if least <= 0.0 {
            return Err(MeasuredError::Contradiction {
                why: format!(
                    "cover and all else may weigh up to {:.0} g of the {:.0} g, so that nothing \
                     can be said of the text",
                    other + most,
                    book.mass.grams()
                ),
            });
        }
        let off = |length: Length, off: Length| Input::new(length.mm(), off.mm());
        let tools = book.tools;
        // What is not text is one input for the sum; its share is divided up afterwards, by
        // squares, since the parts only add.
        let squares: Vec<f64> = parts.iter().map(|part| part.off.grams().powi(2)).collect();
        let root = squares.iter().sum::<f64>().sqrt();
        let mass = Input::new(book.mass.grams(), tools.scale.grams());
        let width = off(book.page.width, tools.ruler);
        let height = off(book.page.height, tools.ruler);
        let block = off(book.block, tools.gauge);
        let count = f64::from(leaves);
        let (caliper_um, _) = carried([block], |[block]| block * 1000.0 / count);
        let rest = Input::new(other, root);
        let (mut text_g, _) = carried([mass, rest], |[mass, rest]| mass - rest);
        let grammage =
            |[mass, rest, width, height]: [f64; 4]| (mass - rest) * 1e6 / (count * width * height);
        let (mut grammage_gsm, weight) = carried([mass, rest, width, height], grammage);
        let bulk = |[mass, rest, width, height, block]: [f64; 5]| {
            block * width * height / ((mass - rest) * 1000.0)
        };
        let (mut bulk_cm3_per_g, volume) = carried([mass, rest, width, height, block], bulk);
        // At the worst, all parts are off together.
        let (low, high) = (other - most, other + most);
        let (ruler, scale) = (tools.ruler.mm(), tools.scale.grams());
        let (m, w, h, b) = (mass.value, width.value, height.value, block.value);
        text_g.lowest = m - scale - high;
        text_g.highest = m + scale - low;
        grammage_gsm.lowest = grammage([m - scale, high, w + ruler, h + ruler]);
        grammage_gsm.highest = grammage([m + scale, low, w - ruler, h - ruler]);
        let gauge = tools.gauge.mm();
        bulk_cm3_per_g.lowest = bulk([m + scale, low, w - ruler, h - ruler, b - gauge]);
        bulk_cm3_per_g.highest = bulk([m - scale, high, w + ruler, h + ruler, b + gauge]);
        if !bulk_cm3_per_g.value.is_finite()
            || bulk_cm3_per_g.highest < 0.5
            || bulk_cm3_per_g.lowest > 3.0
        {
            return Err(MeasuredError::Contradiction {
                why: format!(
                    "a paper of {:.2} cm³/g would follow, and there is none: papers run from about \
                     0.7 to 2.2",
                    bulk_cm3_per_g.value
                ),
            });
        }
        let shares = |shares: &[f64], last: Option<f64>| {
            let mut named: Vec<(String, f64)> = vec![
                ("mass".to_owned(), shares[0]),
                ("width".to_owned(), shares[2]),
                ("height".to_owned(), shares[3]),
            ];
            named.extend(last.map(|share| ("block".to_owned(), share)));
            for (part, square) in parts.iter().zip(&squares) {
                if root > 0.0 {
                    named.push((part.name.clone(), shares[1] * square / (root * root)));
                }
            }
            named.sort_by(|a, b| b.1.total_cmp(&a.1));
            named
        };
        let weight_error = shares(&weight, None);
        let bulk_error = shares(&volume, Some(volume[4]));
        let nearest = nearest(grammage_gsm, caliper_um, book.finish, own);
        let steps = steps(
            book,
            leaves,
            other,
            text_g.value,
            [caliper_um.value, grammage_gsm.value, bulk_cm3_per_g.value],
        );
        let advice = advice(book, &parts, &bulk_error, bulk_cm3_per_g);
        Ok(Self {
            leaves,
            parts,
            text_g,
            caliper_um,
            grammage_gsm,
            bulk_cm3_per_g,
            weight_error,
            bulk_error,
            steps,
            nearest,
            advice,
        })
    }

    /// Thickness of one leaf.
    pub fn caliper(&self) -> Length {
        Length::from_um(self.caliper_um.value)
    }

    /// The weight, where it is one that paper has.
    pub fn grammage(&self) -> Option<Grammage> {
        Grammage::from_gsm(self.grammage_gsm.value)
    }

    /// The bulk, where it is one that paper has.
    pub fn bulk(&self) -> Option<Bulk> {
        Bulk::from_cm3_per_g(self.bulk_cm3_per_g.value)
    }

    /// Gives the artist's book one of the nearest papers, as one change with its source.
    ///
    /// `None` when there is no such paper.
    pub fn take(&self, index: usize, source: &str) -> Option<Edit> {
        let stock = self.nearest.get(index)?;
        let accepted = [
            Accepted {
                key: "stock.text.grammage",
                value: format!("{} g/m2", trimmed(stock.grammage.gsm(), 1)),
            },
            Accepted {
                key: "stock.text.caliper",
                value: format!("{}mm", trimmed(stock.caliper.mm(), 4)),
            },
            Accepted {
                key: "stock.text.finish",
                value: stock.finish.word().to_owned(),
            },
        ];
        let what = format!("Took {} for the text, after {source}", weight_words(stock));
        edit(&accepted, source, &what)
    }
}

/// `silk coated, 150 g/m²`.
fn weight_words(stock: &NearStock) -> String {
    format!("{}, {}", stock.name, stock.grammage)
}

/// A number with so many decimals, and none that say nothing.
pub(super) fn trimmed(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

fn check(book: &OnTheShelf) -> Result<(), MeasuredError> {
    let length = |what, length: Length, least: f64, most: f64, range| {
        within(what, length.mm(), length.to_string(), least, most, range)
    };
    length(
        "the width of a page",
        book.page.width,
        50.0,
        1000.0,
        "50 to 1,000 mm",
    )?;
    length(
        "the height of a page",
        book.page.height,
        50.0,
        1000.0,
        "50 to 1,000 mm",
    )?;
    length("the block", book.block, 0.5, 200.0, "0.5 to 200 mm")?;
    within(
        "the number of pages",
        f64::from(book.pages),
        book.pages.to_string(),
        4.0,
        2000.0,
        "4 to 2,000",
    )?;
    if book.pages % 2 == 1 {
        return Err(MeasuredError::Contradiction {
            why: format!(
                "{} pages are odd, and a leaf has two; count every side of every leaf",
                book.pages
            ),
        });
    }
    within(
        "the mass",
        book.mass.grams(),
        book.mass.to_string(),
        5.0,
        20_000.0,
        "5 g to 20 kg",
    )?;
    if let Some(board) = book.board {
        length("the board", board, 1.0, 5.0, "1 to 5 mm")?;
    }
    tools(book.tools, book.block)?;
    let caliper = book.block.um() / f64::from(book.pages / 2);
    if !(20.0..=2000.0).contains(&caliper) {
        return Err(MeasuredError::Contradiction {
            why: format!(
                "{} pages in a block of {} make leaves of {caliper:.0} µm, and paper runs from \
                 about 40 to 600",
                book.pages, book.block
            ),
        });
    }
    Ok(())
}

pub(super) fn within(
    what: &'static str,
    value: f64,
    found: String,
    least: f64,
    most: f64,
    range: &'static str,
) -> Result<(), MeasuredError> {
    if (least..=most).contains(&value) {
        Ok(())
    } else {
        Err(MeasuredError::OutOfRange { what, found, range })
    }
}

/// Tools must be finer than what they measure.
pub(super) fn tools(tools: Tools, smallest: Length) -> Result<(), MeasuredError> {
    let length =
        |what, length: Length| within(what, length.mm(), length.to_string(), 0.0, 5.0, "0 to 5 mm");
    length("what the ruler may be off", tools.ruler)?;
    length("what the thickness may be off", tools.gauge)?;
    within(
        "what the scale may be off",
        tools.scale.grams(),
        format!("{} g", tools.scale.grams()),
        0.0,
        100.0,
        "0 to 100 g",
    )?;
    if tools.gauge * 2 > smallest {
        return Err(MeasuredError::Contradiction {
            why: format!(
                "{smallest} is too thin for a tool that may be off by {}; measure it more finely",
                tools.gauge
            ),
        });
    }
    Ok(())
}

/// Everything on the scale that is not text, as the model of the object reckons it, or as weighed.
fn parts(book: &OnTheShelf) -> Result<Vec<PartWeight>, MeasuredError> {
    let named = |name: &str| {
        book.with.iter().any(|with| with == name)
            || book.weighed.iter().any(|(weighed, _)| weighed == name)
    };
    for name in &book.with {
        if BESIDE.iter().all(|(known, _)| known != name) {
            return Err(MeasuredError::NoSuchPart {
                found: name.clone(),
                known: BESIDE.map(|(known, _)| known).join(", "),
            });
        }
    }
    let object = stand_in(book, &named);
    let mut parts = Vec::new();
    for part in object.parts.iter().filter(|part| part.name != "text") {
        let weighed = book.weighed.iter().find(|(name, _)| *name == part.name);
        if part.mass == Mass::ZERO && weighed.is_none() {
            continue;
        }
        parts.push(match weighed {
            Some((_, mass)) => PartWeight {
                name: part.name.clone(),
                mass: *mass,
                off: book.tools.scale,
                weighed: true,
                how: "weighed by itself".to_owned(),
            },
            None => reckoned(book, &part.name, part.mass),
        });
    }
    let known: Vec<&str> = parts.iter().map(|part| part.name.as_str()).collect();
    for (name, mass) in &book.weighed {
        if !known.contains(&name.as_str()) {
            return Err(MeasuredError::NoSuchPart {
                found: name.clone(),
                known: known.join(", "),
            });
        }
        within(
            "the mass of a part",
            mass.grams(),
            mass.to_string(),
            0.0,
            20_000.0,
            "0 g to 20 kg",
        )?;
    }
    Ok(parts)
}

fn reckoned(book: &OnTheShelf, name: &str, mass: Mass) -> PartWeight {
    let (mut factor, mut why) = spread(name);
    if let Some(board) = book.board
        && matches!(name, "boards" | "spine strip")
    {
        factor = DENSITY_SPREAD + book.tools.gauge.ratio(board).abs();
        why = "of the measured thickness; density may be off by a tenth";
    }
    PartWeight {
        name: name.to_owned(),
        mass,
        off: Mass::from_grams(mass.grams() * factor),
        weighed: false,
        how: why.to_owned(),
    }
}

/// A book of the same size and thickness, made of typical parts.
fn stand_in(book: &OnTheShelf, named: &dyn Fn(&str) -> bool) -> Object {
    let caliper = book.block.mm() / f64::from(book.pages / 2);
    let mut text = format!(
        "[book]\ntitle = \"-\"\n[format]\ntrim = \"{:.3}x{:.3}mm\"\nsafe = \"0mm\"\nfold = \"0mm\"\n\
         [binding]\nkind = \"{}\"\n",
        book.page.width.mm(),
        book.page.height.mm(),
        book.kind.word(),
    );
    if let Some(board) = book.board {
        text.push_str(&format!("board = \"{:.3}mm\"\n", board.mm()));
    }
    text.push_str(&format!(
        "[stock.text]\ngrammage = \"100 g/m2\"\ncaliper = \"{caliper:.5}mm\"\n"
    ));
    for (name, section) in BESIDE {
        if named(name) {
            text.push_str(section);
            text.push('\n');
        }
    }
    if named("ribbons") {
        text.push_str("[case]\nribbons = 1\n");
    }
    let stand_in = read(&text).expect("every figure in it was checked against the ranges before");
    Object::of_pages(&stand_in, book.pages, Vec::new())
}

fn steps(
    book: &OnTheShelf,
    leaves: u32,
    other: f64,
    text: f64,
    [caliper, grammage, bulk]: [f64; 3],
) -> Vec<Step> {
    let step = |what: &str, formula: String, result: String| Step {
        what: what.to_owned(),
        formula,
        result,
    };
    let (width, height) = (book.page.width, book.page.height);
    vec![
        step(
            "Leaves",
            format!("{} pages ÷ 2", book.pages),
            format!("{leaves} leaves"),
        ),
        step(
            "Thickness of one leaf",
            format!("{} ÷ {leaves}", book.block),
            format!("{caliper:.1} µm"),
        ),
        step(
            "Text",
            format!(
                "{} g − {other:.1} g that are not text",
                trimmed(book.mass.grams(), 1)
            ),
            format!("{text:.1} g"),
        ),
        step(
            "Weight of the paper",
            format!("{text:.1} g ÷ ({leaves} × {width} × {height})"),
            format!("{grammage:.1} g/m²"),
        ),
        step(
            "Bulk",
            format!("{caliper:.1} µm ÷ {grammage:.1} g/m²"),
            format!("{bulk:.3} cm³/g"),
        ),
    ]
}

/// What to measure better, if that would help.
fn advice(
    book: &OnTheShelf,
    parts: &[PartWeight],
    errors: &[(String, f64)],
    bulk: Unsure,
) -> String {
    if bulk.likely < bulk.value * 0.03 {
        return String::new();
    }
    let Some((most, share)) = errors.first() else {
        return String::new();
    };
    let share = share * 100.0;
    let part = parts.iter().find(|part| part.name == *most);
    match (most.as_str(), part) {
        ("block", _) => format!(
            "{share:.0} % of the error of the bulk comes from the thickness of the block: press \
             it between two boards and measure it with a caliper gauge."
        ),
        (name @ ("jacket" | "belly band" | "slipcase"), Some(_)) => format!(
            "{share:.0} % of the error of the bulk comes from the {name}: take it off, and weigh \
             the book without it."
        ),
        ("boards", Some(_)) if book.board.is_none() => format!(
            "{share:.0} % of the error of the bulk comes from the boards: measure how thick one is."
        ),
        (name, Some(_)) => format!(
            "{share:.0} % of the error of the bulk comes from the {name}, which nobody weighed; a \
             book with less around its block says more."
        ),
        (name, None) => format!("{share:.0} % of the error of the bulk comes from the {name}."),
    }
}
