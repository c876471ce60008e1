//! Learning from a dummy, part by part: each figure is told from what is known before it.

mod weight;

use finding::{Finding, Place, Severity};
use measure::Length;

use super::{Compared, DummyMeasured, DummyRead, Lesson, Unit};
use crate::measured::MeasuredError;
use crate::measured::shelf::trimmed;
use crate::measured::unsure::{Input, Tools, Unsure, carried};
use crate::model::{BindingKind, Book, Thickness};
use crate::object::{Basis, Object};

/// A paper that differs by more than this from the one named is another paper. Our assumption: twice
/// what mills are allowed.
const OTHER_PAPER: f64 = 0.08;
/// Mills keep to a stated weight within so much. Our assumption.
const MILL: f64 = 0.04;
/// A thickness known no better than this is worth a finer tool.
const COARSE: f64 = 0.05;
/// Papers that were not measured may be off by so much in thickness. Our assumption.
const PAPER_SPREAD: f64 = 0.08;
/// Boards that were not measured may be off by so much. Our assumption.
const BOARD_SPREAD: f64 = 0.05;

/// The dummy on the table: the book as it is learned so far, and what was found.
pub(super) struct Bench {
    book: Book,
    pages: u32,
    signatures: Vec<u32>,
    leaves: f64,
    tools: Tools,
    compared: Vec<Compared>,
    lessons: Vec<Lesson>,
    kept: Vec<String>,
    findings: Vec<Finding>,
}

impl Bench {
    /// The book beside its dummy, before anything is learned.
    pub(super) fn new(book: &Book, object: &Object, measured: &DummyMeasured, pages: u32) -> Self {
        Self {
            book: book.clone(),
            pages,
            signatures: object.bound.signatures.clone(),
            leaves: f64::from(pages / 2),
            tools: measured.tools,
            compared: Vec::new(),
            lessons: Vec::new(),
            kept: Vec::new(),
            findings: Vec::new(),
        }
    }

    /// Learns part by part: what was measured by itself first, since the rest stands on it.
    pub(super) fn learned(mut self, measured: &DummyMeasured) -> Result<DummyRead, MeasuredError> {
        let predicted = self.object();
        self.parts_by_themselves(measured, &predicted);
        self.leaf(measured, &predicted)?;
        self.remainder(measured, &predicted)?;
        self.given_spine(measured);
        self.weight(measured, &predicted)?;
        Ok(self.done(measured, &predicted))
    }

    fn object(&self) -> Object {
        Object::of_pages(&self.book, self.pages, self.signatures.clone())
    }

    /// The object as it is reckoned, whatever is given for its spine.
    fn reckoned(&self) -> Object {
        let mut book = self.book.clone();
        book.object.spine = None;
        Object::of_pages(&book, self.pages, self.signatures.clone())
    }

    fn compare(&mut self, what: &'static str, unit: Unit, predicted: f64, measured: Unsure) {
        self.compared.push(Compared {
            what,
            unit,
            predicted,
            measured,
            after: predicted,
        });
    }

    /// Decides between what stands and what was measured. Gives whether the measured one is taken.
    fn learn(&mut self, lesson: Candidate, measured: Unsure) -> bool {
        let Candidate {
            key,
            what,
            unit,
            stands,
            basis,
            value,
            how,
        } = lesson;
        let before = format!("{} {}", unit.shown(stands), unit.word());
        if basis == Basis::Given && (measured.value - stands).abs() <= measured.likely {
            self.kept.push(format!(
                "{what} stays at {before}, as given: {} ± {} was measured, which does not speak \
                 against it.",
                unit.shown(measured.value),
                unit.shown(measured.likely)
            ));
            return false;
        }
        self.lessons.push(Lesson {
            key,
            what,
            before: format!("{before}, {}", basis.word()),
            value,
            how,
        });
        true
    }

    /// Boards, cover sheets and endpapers that were measured one by one.
    fn parts_by_themselves(&mut self, measured: &DummyMeasured, predicted: &Object) {
        let gauge = self.tools.gauge.mm();
        let is_case = self.book.binding.kind == BindingKind::SewnCase;
        if let (Some(board), true) = (measured.board, is_case) {
            let (found, _) = carried([Input::new(board.mm(), gauge)], |[board]| board);
            let stands = predicted.bound.board.mm();
            self.compare("Board", Unit::Millimetre, stands, found);
            let basis = given(self.book.object.board.is_some());
            let taken = self.learn(
                Candidate {
                    key: "binding.board",
                    what: "the board",
                    unit: Unit::Millimetre,
                    stands,
                    basis,
                    value: millimetres(board, 3),
                    how: format!("Measured by itself: {board}."),
                },
                found,
            );
            if taken {
                self.book.binding.board = board;
                self.book.object.board = Some(board);
            }
        }
        if let (Some(cover), false) = (measured.cover, is_case) {
            let (found, _) = carried([Input::new(cover.um(), gauge * 1000.0)], |[one]| one);
            let stands = self.book.cover_stock.caliper().um();
            self.compare("Cover sheet", Unit::Micrometre, stands, found);
            let basis = of_stock(self.book.cover_stock.thickness);
            let taken = self.learn(
                Candidate {
                    key: "stock.cover.caliper",
                    what: "the cover sheet",
                    unit: Unit::Micrometre,
                    stands,
                    basis,
                    value: millimetres(cover, 4),
                    how: format!("Measured by itself: {cover}."),
                },
                found,
            );
            if taken {
                self.book.cover_stock.thickness = Thickness::Caliper(cover);
            }
        }
        if let (Some(endpaper), true) = (measured.endpaper, is_case) {
            let (found, _) = carried([Input::new(endpaper.um(), gauge * 1000.0)], |[one]| one);
            let stands = predicted.bound.endpapers.um() / 2.0;
            self.compare("Endpaper", Unit::Micrometre, stands, found);
            let basis = given(self.book.object.endpapers.caliper.is_some());
            let taken = self.learn(
                Candidate {
                    key: "endpapers.caliper",
                    what: "the endpaper",
                    unit: Unit::Micrometre,
                    stands,
                    basis,
                    value: millimetres(endpaper, 4),
                    how: format!("Measured by itself: {endpaper}."),
                },
                found,
            );
            if taken {
                self.book.object.endpapers.caliper = Some(endpaper);
            }
        }
    }

    /// What a spine has beside the block, in millimetres: everything that is known so far, and how
    /// far that may be off; and how much wider a round back is along its arc than across.
    fn around(&self, measured: &DummyMeasured) -> (f64, f64, f64) {
        let object = self.reckoned();
        let bound = &object.bound;
        let gauge = self.tools.gauge.mm();
        let off = |is_measured: bool, length: Length, spread: f64| {
            if is_measured {
                gauge
            } else {
                length.mm() * spread
            }
        };
        let (rest, off) = if self.book.binding.kind == BindingKind::SewnCase {
            let endpaper = bound.endpapers / 2;
            (
                bound.endpapers * 2 + bound.board * 2 + bound.swell,
                2.0 * off(measured.board.is_some(), bound.board, BOARD_SPREAD)
                    + 4.0 * off(measured.endpaper.is_some(), endpaper, PAPER_SPREAD),
            )
        } else {
            (
                bound.cover * 2 + bound.swell,
                2.0 * off(measured.cover.is_some(), bound.cover, PAPER_SPREAD),
            )
        };
        let across = object.block + rest;
        (rest.mm(), off, object.spine.ratio(across))
    }

    /// The thickness of one leaf, from the block or else from the spine.
    fn leaf(&mut self, measured: &DummyMeasured, predicted: &Object) -> Result<(), MeasuredError> {
        let gauge = self.tools.gauge.mm();
        let leaves = self.leaves;
        let (found, how) = if let Some(block) = measured.block {
            let input = Input::new(block.mm(), gauge);
            let (whole, _) = carried([input], |[block]| block);
            self.compare("Block", Unit::Millimetre, predicted.block.mm(), whole);
            let (leaf, _) = carried([input], |[block]| block * 1000.0 / leaves);
            (leaf, format!("{block} ÷ {leaves} leaves"))
        } else if let Some(spine) = measured.spine {
            let (rest, off, arc) = self.around(measured);
            let inputs = [Input::new(spine.mm(), gauge), Input::new(rest, off)];
            let (leaf, _) = carried(inputs, |[spine, rest]| {
                (spine / arc - rest) * 1000.0 / leaves
            });
            (
                leaf,
                format!("(spine {spine} − {rest:.2} mm that are not text) ÷ {leaves} leaves"),
            )
        } else {
            return Ok(());
        };
        if !(20.0..=2000.0).contains(&found.value) {
            return Err(MeasuredError::Contradiction {
                why: format!(
                    "{how} make leaves of {:.0} µm, and paper runs from about 40 to 600",
                    found.value
                ),
            });
        }
        let stands = predicted.caliper.um();
        self.compare("One leaf", Unit::Micrometre, stands, found);
        let caliper = Length::from_um(found.value);
        let taken = self.learn(
            Candidate {
                key: "stock.text.caliper",
                what: "the thickness of the text paper",
                unit: Unit::Micrometre,
                stands,
                basis: of_stock(self.book.text_stock.thickness),
                value: millimetres(caliper, 4),
                how: format!("{how} = {:.1} ± {:.1} µm.", found.value, found.likely),
            },
            found,
        );
        if taken {
            self.book.text_stock.thickness = Thickness::Caliper(caliper);
        }
        if found.likely > found.value * COARSE {
            self.findings.push(
                Finding::new(
                    "book-dummy-coarse",
                    Severity::Note,
                    Place::Whole,
                    format!(
                        "One leaf is known to {:.0} % only: {:.1} ± {:.1} µm.",
                        found.likely / found.value * 100.0,
                        found.value,
                        found.likely
                    ),
                )
                .hint(
                    "Press the block between two boards and measure it with a caliper gauge; say \
                     what that may be off.",
                ),
            );
        }
        let far = (found.value - stands).abs() / stands;
        if far > 2.0 * PAPER_SPREAD && far * stands > found.likely {
            self.findings.push(
                Finding::new(
                    "book-dummy-far",
                    Severity::Warn,
                    Place::Whole,
                    format!(
                        "One leaf of the dummy is {:.0} % {} than foretold.",
                        far * 100.0,
                        if found.value > stands {
                            "thicker"
                        } else {
                            "thinner"
                        }
                    ),
                )
                .hint(format!(
                    "Ask whether the dummy has {} pages, and is made of the paper that you will \
                     print on.",
                    self.pages
                ))
                .figures(
                    format!("{:.1} µm", found.value),
                    format!("{stands:.1} µm foretold"),
                ),
            );
        }
        Ok(())
    }

    /// What a spine has beyond the block that was measured too.
    fn remainder(
        &mut self,
        measured: &DummyMeasured,
        predicted: &Object,
    ) -> Result<(), MeasuredError> {
        let Some(spine) = measured.spine else {
            return Ok(());
        };
        let gauge = self.tools.gauge.mm();
        let (whole, _) = carried([Input::new(spine.mm(), gauge)], |[spine]| spine);
        self.compare("Spine", Unit::Millimetre, predicted.spine.mm(), whole);
        let Some(block) = measured.block else {
            return Ok(());
        };
        let (rest, off, arc) = self.around(measured);
        let kind = self.book.binding.kind;
        let bound = self.reckoned().bound;
        let swell = bound.swell.mm();
        let inputs = [
            Input::new(spine.mm(), gauge),
            Input::new(block.mm(), gauge),
            Input::new(rest, off),
        ];
        if kind == BindingKind::SewnCase && measured.board.is_none() {
            // Only the boards are unknown: they are no longer off by anything of their own.
            let others = rest - 2.0 * bound.board.mm();
            let others_off = off - 2.0 * bound.board.mm() * BOARD_SPREAD;
            let inputs = [inputs[0], inputs[1], Input::new(others, others_off)];
            let (board, _) = carried(inputs, |[spine, block, others]| {
                (spine / arc - block - others) / 2.0
            });
            if !(1.0..=5.0).contains(&board.value) {
                return Err(contradiction(spine, block, "two boards and four endpapers"));
            }
            let stands = bound.board.mm();
            self.compare("Board", Unit::Millimetre, stands, board);
            let length = Length::from_mm(board.value);
            let basis = given(self.book.object.board.is_some());
            let taken = self.learn(
                Candidate {
                    key: "binding.board",
                    what: "the board",
                    unit: Unit::Millimetre,
                    stands,
                    basis,
                    value: millimetres(length, 3),
                    how: format!(
                        "(spine {spine} − block {block} − {others:.2} mm of endpapers and swell) \
                         ÷ 2 = {:.2} ± {:.2} mm.",
                        board.value, board.likely
                    ),
                },
                board,
            );
            if taken {
                self.book.binding.board = length;
                self.book.object.board = Some(length);
            }
            return Ok(());
        }
        let (beyond, _) = carried(inputs, |[spine, block, rest]| spine / arc - block - rest);
        match kind {
            BindingKind::SewnCase | BindingKind::SewnSoft => {
                let found = Unsure {
                    value: beyond.value + swell,
                    likely: beyond.likely,
                    lowest: beyond.lowest + swell,
                    highest: beyond.highest + swell,
                };
                if found.highest < 0.0 {
                    return Err(contradiction(spine, block, "what else lies in it"));
                }
                self.compare("Swell", Unit::Millimetre, swell, found);
                let value = found.value.max(0.0);
                let sure = found.value > found.likely;
                if !sure && swell == 0.0 {
                    self.kept.push(format!(
                        "No swell is taken in: {:.2} ± {:.2} mm was found, which may be nothing.",
                        found.value, found.likely
                    ));
                    return Ok(());
                }
                let length = Length::from_mm(value);
                let basis = given(self.book.object.swell.is_some());
                let taken = self.learn(
                    Candidate {
                        key: "binding.swell",
                        what: "the swell of the sewing",
                        unit: Unit::Millimetre,
                        stands: swell,
                        basis,
                        value: millimetres(length, 2),
                        how: format!(
                            "spine {spine} − block {block} − {:.2} mm around it = {:.2} ± {:.2} mm.",
                            rest - swell,
                            found.value,
                            found.likely
                        ),
                    },
                    found,
                );
                if taken {
                    self.book.object.swell = Some(length);
                }
            }
            BindingKind::GluedSoft if measured.cover.is_none() => {
                let stands = bound.cover.um();
                let inputs = [inputs[0], inputs[1]];
                let (cover, _) = carried(inputs, |[spine, block]| (spine - block) * 1000.0 / 2.0);
                if cover.highest < 60.0 {
                    return Err(contradiction(spine, block, "two thicknesses of the cover"));
                }
                self.compare("Cover sheet", Unit::Micrometre, stands, cover);
                // A ruler says little of a single sheet: it must speak clearly against the figure.
                if (cover.value - stands).abs() <= cover.likely
                    || !(60.0..=2000.0).contains(&cover.value)
                {
                    self.kept.push(format!(
                        "The cover sheet stays at {stands:.0} µm: spine and block leave {:.0} ± \
                         {:.0} µm for it, which does not speak against it.",
                        cover.value, cover.likely
                    ));
                    return Ok(());
                }
                let length = Length::from_um(cover.value);
                let basis = of_stock(self.book.cover_stock.thickness);
                let taken = self.learn(
                    Candidate {
                        key: "stock.cover.caliper",
                        what: "the cover sheet",
                        unit: Unit::Micrometre,
                        stands,
                        basis,
                        value: millimetres(length, 4),
                        how: format!(
                            "(spine {spine} − block {block}) ÷ 2 = {:.0} ± {:.0} µm.",
                            cover.value, cover.likely
                        ),
                    },
                    cover,
                );
                if taken {
                    self.book.cover_stock.thickness = Thickness::Caliper(length);
                }
            }
            BindingKind::GluedSoft | BindingKind::WireStitched => {}
        }
        Ok(())
    }

    /// A spine that somebody has given stands in the way of one that was measured.
    fn given_spine(&mut self, measured: &DummyMeasured) {
        let (Some(spine), Some(stands)) = (measured.spine, self.book.object.spine) else {
            return;
        };
        if (spine - stands).abs() <= self.tools.gauge {
            self.kept.push(format!(
                "The given spine of {stands} stays: {spine} was measured."
            ));
            return;
        }
        self.lessons.push(Lesson {
            key: "binding.spine",
            what: "the spine as given",
            before: format!("{stands}, given"),
            value: String::new(),
            how: format!(
                "{spine} was measured, so the given {stands} is taken out: the spine follows from \
                 its parts again, and moves with the number of pages."
            ),
        });
        self.book.object.spine = None;
    }

    fn done(mut self, measured: &DummyMeasured, predicted: &Object) -> DummyRead {
        let after = self.object();
        let copy = weight::of_copy(&after);
        // Where only one of spine and block was measured, the other is shown as it follows.
        let unmeasured = [
            (
                "Block",
                measured.block.is_none(),
                predicted.block,
                after.block,
            ),
            (
                "Spine",
                measured.spine.is_none(),
                predicted.spine,
                after.spine,
            ),
        ];
        for (what, missing, predicted, after) in unmeasured {
            if missing && predicted != after {
                self.kept.push(format!(
                    "{what}: {predicted} foretold, {after} with what the dummy teaches."
                ));
            }
        }
        for one in &mut self.compared {
            one.after = match one.what {
                "Block" => after.block.mm(),
                "Spine" => after.spine.mm(),
                "One leaf" => after.caliper.um(),
                "Board" => after.bound.board.mm(),
                "Cover sheet" => after.bound.cover.um(),
                "Endpaper" => after.bound.endpapers.um() / 2.0,
                "Swell" => after.bound.swell.mm(),
                "Copy" => copy,
                _ => self.book.text_stock.grammage.gsm(),
            };
        }
        DummyRead {
            pages: self.pages,
            compared: self.compared,
            lessons: self.lessons,
            kept: self.kept,
            findings: self.findings,
        }
    }
}

/// A figure that may be taken in.
struct Candidate {
    key: &'static str,
    what: &'static str,
    unit: Unit,
    stands: f64,
    basis: Basis,
    value: String,
    how: String,
}

const fn given(is_given: bool) -> Basis {
    if is_given {
        Basis::Given
    } else {
        Basis::Typical
    }
}

const fn of_stock(thickness: Thickness) -> Basis {
    match thickness {
        Thickness::Caliper(_) | Thickness::Bulk(_) => Basis::Given,
        Thickness::Assumed(_) => Basis::Typical,
    }
}

fn millimetres(length: Length, decimals: usize) -> String {
    format!("{}mm", trimmed(length.mm(), decimals))
}

fn contradiction(spine: Length, block: Length, what: &str) -> MeasuredError {
    MeasuredError::Contradiction {
        why: format!(
            "between a spine of {spine} and a block of {block} there is no room for {what}"
        ),
    }
}
