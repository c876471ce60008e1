//! The object that the book becomes: leaves, thickness, spine and weight, each with its reckoning.

use measure::{Bulk, Grammage, Length, Mass, Size};

use crate::model::{BindingKind, Book, Finish, Stock, Thickness};
use crate::plan::Plan;

/// Density of grey board in g/cm³. From memory; boards run from about 0.6 to 0.75.
const BOARD_DENSITY: f64 = 0.65;
/// How far the boards of a case stand over the block at head, foot and fore edge. Common practice,
/// no source.
const SQUARE: Length = Length::from_nm(3_000_000);
/// How far the covering of a case is turned in around the boards. Common practice, no source.
const TURN_IN: Length = Length::from_nm(15_000_000);
/// Weight of the paper that covers a case, in g/m². Our assumption.
const COVERING_GSM: f64 = 135.0;
/// Weight of endpapers, in g/m². Our assumption.
const ENDPAPER_GSM: f64 = 140.0;
/// Two endpapers of two leaves each.
const ENDPAPER_LEAVES: i64 = 4;

/// What one copy is as a thing.
#[derive(Debug, Clone, PartialEq)]
pub struct Object {
    /// Pages of the interior, blanks included.
    pub pages: u32,
    /// Leaves: half as many.
    pub leaves: u32,
    /// Thickness of one leaf of the text stock.
    pub caliper: Length,
    /// Thickness of all leaves, pressed flat, without a cover.
    pub block: Length,
    /// Width of the spine: the block with two thicknesses of a soft cover or of the boards. Zero
    /// for a wire-stitched book, which has a fold and no spine.
    pub spine: Length,
    /// What one copy weighs, part by part.
    pub parts: Vec<Part>,
    /// What one copy weighs in all.
    pub copy: Mass,
    /// Every step of the reckoning, in order.
    pub steps: Vec<Step>,
    /// What was assumed because the book does not say it, each as a sentence.
    pub assumed: Vec<String>,
}

/// A part of the copy and its weight.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Part {
    /// `text`, `cover`, `boards`, `covering`, `endpapers`.
    pub name: String,
    /// Weight of it in one copy.
    pub mass: Mass,
}

/// One step of a reckoning that a person can follow.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Step {
    /// What is reckoned: `Block`.
    pub what: String,
    /// How: `96 leaves × 0.135 mm`.
    pub formula: String,
    /// What comes out: `12.96 mm`.
    pub result: String,
}

impl Object {
    /// Reckons the object from the book and its plan.
    ///
    /// Thickness is leaves × caliper, and caliper is grammage × bulk (ISO 534). Weights are area ×
    /// grammage. Glue, thread, wire and the moisture of the day are left out, so that a real copy
    /// may weigh a few percent more or less.
    pub fn of(book: &Book, plan: &Plan) -> Self {
        let mut reckoning = Reckoning::default();
        let pages = u32::try_from(plan.pages.len()).unwrap_or(u32::MAX);
        let leaves = pages / 2;
        reckoning.step(
            "Leaves",
            format!("{pages} pages ÷ 2"),
            format!("{leaves} leaves"),
        );
        let caliper = reckoning.caliper("text", &book.text_stock);
        let block = caliper * i64::from(leaves);
        reckoning.step(
            "Block",
            format!("{leaves} leaves × {caliper}"),
            thick(block),
        );
        let mut parts = vec![text(book, leaves, &mut reckoning)];
        let spine = match book.binding.kind {
            BindingKind::SewnCase => {
                let spine = spine_of_case(book, block, &mut reckoning);
                parts.extend(case(book, spine, &mut reckoning));
                spine
            }
            BindingKind::SewnSoft | BindingKind::GluedSoft => {
                let cover = reckoning.caliper("cover", &book.cover_stock);
                let spine = block + cover * 2;
                reckoning.step(
                    "Spine",
                    format!("{} + 2 × {cover}", thick(block)),
                    thick(spine),
                );
                parts.push(soft_cover(book, spine, &mut reckoning));
                spine
            }
            BindingKind::WireStitched => {
                reckoning.step("Spine", "stitched through the fold", "no spine".to_owned());
                parts.push(soft_cover(book, Length::ZERO, &mut reckoning));
                Length::ZERO
            }
        };
        let copy = parts.iter().map(|part| part.mass).sum();
        let masses: Vec<String> = parts.iter().map(|part| grams(part.mass)).collect();
        reckoning.step("One copy", masses.join(" + "), grams(copy));
        Self {
            pages,
            leaves,
            caliper,
            block,
            spine,
            parts,
            copy,
            steps: reckoning.steps,
            assumed: reckoning.assumed,
        }
    }

    /// Thickness of the block in millimetres.
    pub fn block_mm(&self) -> f64 {
        self.block.mm()
    }

    /// Width of the spine in millimetres.
    pub fn spine_mm(&self) -> f64 {
        self.spine.mm()
    }

    /// Weight of one copy in grams.
    pub fn copy_g(&self) -> f64 {
        self.copy.grams()
    }
}

/// Steps and assumptions, as they come.
#[derive(Default)]
struct Reckoning {
    steps: Vec<Step>,
    assumed: Vec<String>,
}

impl Reckoning {
    fn step(&mut self, what: &str, formula: impl Into<String>, result: String) {
        self.steps.push(Step {
            what: what.to_owned(),
            formula: formula.into(),
            result,
        });
    }

    /// Thickness of one sheet of a stock, with how it comes about.
    fn caliper(&mut self, part: &str, stock: &Stock) -> Length {
        let caliper = stock.caliper();
        let what = format!("Thickness of one {part} sheet");
        let from_bulk = |bulk: Bulk| format!("{} × {bulk} ÷ 1000", stock.grammage);
        match stock.thickness {
            Thickness::Caliper(_) => self.step(&what, "as stated", caliper.to_string()),
            Thickness::Bulk(bulk) => self.step(&what, from_bulk(bulk), caliper.to_string()),
            Thickness::Assumed(bulk) => {
                self.step(&what, from_bulk(bulk), caliper.to_string());
                self.assumed.push(format!(
                    "A bulk of {bulk} is assumed for the {part} stock ({} paper runs {}): ask the \
                     printer for the bulk or the thickness of one sheet.",
                    stock.finish.word(),
                    match stock.finish {
                        Finish::Uncoated => "from 1.2 to 1.6",
                        Finish::Gloss | Finish::Silk | Finish::Matt => "from 0.8 to 1.0",
                    }
                ));
            }
        }
        caliper
    }

    /// The weight of some equal sheets, with how it comes about.
    fn sheets(
        &mut self,
        what: &str,
        count: i64,
        unit: &str,
        size: Size,
        grammage: Grammage,
    ) -> Mass {
        let one = grammage.mass_of(size);
        let mass = Mass::from_grams(grammage.gsm() * size.square_metres() * count as f64);
        let one_formula = format!("{} × {grammage}", sheet_size(size));
        if count == 1 {
            self.step(what, one_formula, grams(mass));
        } else {
            self.step(
                &format!("One {unit} of the {}", lower(what)),
                one_formula,
                grams_of_one(one),
            );
            self.step(
                what,
                format!("{count} × {}", grams_of_one(one)),
                grams(mass),
            );
        }
        mass
    }
}

fn text(book: &Book, leaves: u32, reckoning: &mut Reckoning) -> Part {
    Part {
        name: "text".to_owned(),
        mass: reckoning.sheets(
            "Text",
            i64::from(leaves),
            "leaf",
            book.format.trim,
            book.text_stock.grammage,
        ),
    }
}

fn soft_cover(book: &Book, spine: Length, reckoning: &mut Reckoning) -> Part {
    let trim = book.format.trim;
    let flat = Size {
        width: trim.width * 2 + spine,
        height: trim.height,
    };
    Part {
        name: "cover".to_owned(),
        mass: reckoning.sheets("Cover", 1, "sheet", flat, book.cover_stock.grammage),
    }
}

fn spine_of_case(book: &Book, block: Length, reckoning: &mut Reckoning) -> Length {
    let board = book.binding.board;
    let spine = block + board * 2;
    reckoning.step(
        "Spine",
        format!("{} + 2 boards × {board}", thick(block)),
        thick(spine),
    );
    reckoning.assumed.push(
        "The spine of a case is reckoned flat, with two boards on the block; endpapers, lining and \
         covering add about a millimetre. The bindery's dummy decides."
            .to_owned(),
    );
    spine
}

/// Boards, covering and endpapers of a case.
fn case(book: &Book, spine: Length, reckoning: &mut Reckoning) -> Vec<Part> {
    let trim = book.format.trim;
    let board = Size {
        width: trim.width,
        height: trim.height + SQUARE * 2,
    };
    let board_gsm = BOARD_DENSITY * book.binding.board.um();
    let board_grammage = gsm(board_gsm);
    let boards = reckoning.sheets("Boards", 2, "sheet", board, board_grammage);
    let covering = Size {
        width: board.width * 2 + spine + SQUARE * 2 + TURN_IN * 2,
        height: board.height + TURN_IN * 2,
    };
    let covering = reckoning.sheets("Covering", 1, "sheet", covering, gsm(COVERING_GSM));
    let endpapers = reckoning.sheets(
        "Endpapers",
        ENDPAPER_LEAVES,
        "leaf",
        trim,
        gsm(ENDPAPER_GSM),
    );
    reckoning.assumed.push(format!(
        "The case is reckoned with boards of {BOARD_DENSITY} g/cm³, {SQUARE} over the block, a \
         covering of {COVERING_GSM} g/m² turned in by {TURN_IN}, and two endpapers of \
         {ENDPAPER_GSM} g/m²."
    ));
    [
        ("boards", boards),
        ("covering", covering),
        ("endpapers", endpapers),
    ]
    .map(|(name, mass)| Part {
        name: name.to_owned(),
        mass,
    })
    .into()
}

fn gsm(value: f64) -> Grammage {
    Grammage::from_gsm(value).expect("boards of 1 to 5 mm and our papers lie within 1 to 5,000")
}

/// A weight as it is read on kitchen scales: `46.2 g`.
fn grams(mass: Mass) -> String {
    format!("{:.1} g", mass.grams())
}

/// The weight of one sheet of many, with a decimal more, so that the product can be followed.
fn grams_of_one(mass: Mass) -> String {
    format!("{:.2} g", mass.grams())
}

/// A thickness of many sheets to the hundredth of a millimetre.
fn thick(length: Length) -> String {
    rounded(length, 0.01)
}

/// The size of a sheet to the tenth of a millimetre.
fn sheet_size(size: Size) -> String {
    let width = rounded(size.width, 0.1);
    let width = width.trim_end_matches(" mm");
    format!("{width} × {}", rounded(size.height, 0.1))
}

fn rounded(length: Length, step_mm: f64) -> String {
    Length::from_mm((length.mm() / step_mm).round() * step_mm).to_string()
}

fn lower(what: &str) -> String {
    what.to_lowercase()
}
