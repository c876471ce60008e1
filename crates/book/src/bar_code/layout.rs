use measure::{Length, Rect, Size};
use thiserror::Error;

use super::{Isbn, PriceAddOn, ean5, ean13};

/// A bar code as it is wished for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BarCode {
    isbn: Isbn,
    add_on: Option<PriceAddOn>,
    magnification: f64,
    width_reduction: Length,
}

/// A wish that no scanner could read, or no press print.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum BarCodeError {
    /// Outside of what the standard allows.
    #[error("the magnification must lie between 80 % and 200 %, but is {0} %")]
    Magnification(f64),
    /// Bars would vanish.
    #[error(
        "a bar width reduction of {reduction} leaves too little of bars that are {module} wide; at \
         the most half of a module can be taken"
    )]
    Reduction {
        /// What was asked for.
        reduction: Length,
        /// Width of one module.
        module: Length,
    },
}

/// A digit below or above the bars.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Digit {
    /// 0 to 9.
    pub digit: u8,
    /// The room that it stands in.
    pub room: Rect,
}

/// A bar code in millimetres, from the upper left corner of its quiet zone.
#[derive(Debug, Clone, PartialEq)]
pub struct BarCodeLayout {
    /// The whole, quiet zones and digits included: light ground is needed here.
    pub size: Size,
    /// The bars.
    pub bars: Vec<Rect>,
    /// The digits.
    pub digits: Vec<Digit>,
    /// Width of one module.
    pub module: Length,
}

/// Width of a module at 100 percent (gs1.se size guide).
const MODULE: Length = Length::from_nm(330_000);
/// Height of the bars at 100 percent (gs1ie.org).
const BAR_HEIGHT: Length = Length::from_nm(22_850_000);
/// Height with digits at 100 percent (read as 25.93 mm; the sources disagree, see the table).
const WHOLE_HEIGHT: Length = Length::from_nm(25_930_000);
/// Quiet zones in modules: left of the bars, and right of them (gs1.se).
const QUIET_LEFT: i64 = 11;
const QUIET_RIGHT: i64 = 7;
/// How far the guard bars reach down between the digits, in modules (memory).
const GUARD_DROP: i64 = 5;
/// Modules between main symbol and add-on, 7 to 12 (memory), and right of the add-on (memory).
const ADD_ON_GAP: i64 = 10;
const ADD_ON_QUIET_RIGHT: i64 = 5;

impl BarCode {
    /// `magnification` in percent of the nominal size; `width_reduction` is taken from each bar's
    /// width, half on each side, to make up for ink that spreads.
    ///
    /// # Errors
    /// A magnification outside of 80 to 200 percent, or a reduction over half of a module.
    pub fn new(
        isbn: Isbn,
        add_on: Option<PriceAddOn>,
        magnification: f64,
        width_reduction: Length,
    ) -> Result<Self, BarCodeError> {
        if !(80.0..=200.0).contains(&magnification) {
            return Err(BarCodeError::Magnification(magnification));
        }
        let code = Self {
            isbn,
            add_on,
            magnification,
            width_reduction,
        };
        let module = code.scaled(MODULE);
        if width_reduction < Length::ZERO || width_reduction * 2 > module {
            return Err(BarCodeError::Reduction {
                reduction: width_reduction,
                module,
            });
        }
        Ok(code)
    }

    /// The number.
    pub const fn isbn(&self) -> Isbn {
        self.isbn
    }

    /// The add-on's digits.
    pub const fn add_on(&self) -> Option<PriceAddOn> {
        self.add_on
    }

    /// What is taken from each bar's width.
    pub const fn width_reduction(&self) -> Length {
        self.width_reduction
    }

    /// In percent of the nominal size.
    pub const fn magnification(&self) -> f64 {
        self.magnification
    }

    fn scaled(&self, length: Length) -> Length {
        Length::from_mm(length.mm() * self.magnification / 100.0)
    }

    /// Lays it out.
    pub fn lay_out(&self) -> BarCodeLayout {
        let module = self.scaled(MODULE);
        let tall = self.scaled(BAR_HEIGHT);
        let height = self.scaled(WHOLE_HEIGHT);
        let guard = tall + module * GUARD_DROP;
        let digit_height = height - tall - module;
        let left = module * QUIET_LEFT;
        let mut bars = Vec::new();
        let modules = ean13(self.isbn);
        for (from, to) in runs(&modules) {
            let is_guard = from < 3 || (45..50).contains(&from) || from >= 92;
            let bottom = if is_guard { guard.min(height) } else { tall };
            bars.push(self.bar(left, module, (from, to), (Length::ZERO, bottom)));
        }
        let mut digits = Vec::new();
        let mut digit = |digit: u8, x: Length, y: Length| {
            digits.push(Digit {
                digit,
                room: Rect::new(x, y, module * 7, digit_height),
            });
        };
        let below = tall + module;
        let [first, others @ ..] = self.isbn.digits();
        digit(first, left - module * 9, below);
        for (place, &value) in (0_i64..).zip(&others) {
            let guards = if place < 6 { 3 } else { 3 + 5 };
            digit(value, left + module * (guards + place * 7), below);
        }
        let mut end = left + module * 95;
        if let Some(add_on) = self.add_on {
            let left = end + module * ADD_ON_GAP;
            // The add-on's digits stand over its bars, which end with the main symbol's.
            let top = digit_height + module;
            for (place, value) in (0_i64..).zip(add_on.digits()) {
                digit(value, left + module * (4 + place * 9), Length::ZERO);
            }
            let modules = ean5(add_on);
            for run in runs(&modules) {
                bars.push(self.bar(left, module, run, (top, guard.min(height))));
            }
            end = left + module * (modules.len() as i64 + ADD_ON_QUIET_RIGHT);
        } else {
            end += module * QUIET_RIGHT;
        }
        BarCodeLayout {
            size: Size { width: end, height },
            bars,
            digits,
            module,
        }
    }

    fn bar(
        &self,
        left: Length,
        module: Length,
        (from, to): (i64, i64),
        (top, bottom): (Length, Length),
    ) -> Rect {
        let x = left + module * from + Length::from_nm(self.width_reduction.nm() / 2);
        let width = module * (to - from) - self.width_reduction;
        Rect::new(x, top, width, bottom - top)
    }
}

/// Bars as first module and the one behind the last.
fn runs(modules: &[bool]) -> Vec<(i64, i64)> {
    let mut runs: Vec<(i64, i64)> = Vec::new();
    for (place, _) in (0_i64..).zip(modules).filter(|(_, bar)| **bar) {
        match runs.last_mut() {
            Some((_, end)) if *end == place => *end = place + 1,
            _ => runs.push((place, place + 1)),
        }
    }
    runs
}

#[cfg(test)]
mod tests {
    use super::*;

    fn code(magnification: f64, add_on: Option<&str>) -> BarCode {
        BarCode::new(
            "9780306406157".parse().unwrap(),
            add_on.map(|digits| digits.parse().unwrap()),
            magnification,
            Length::ZERO,
        )
        .unwrap()
    }

    #[test]
    fn sizes_are_those_of_the_guides() {
        // gs1ie.org: 37.29 mm at 100, 29.83 mm at 80 and 74.58 mm at 200 percent, quiet zones
        // included; bars 22.85, 18.28 and 45.70 mm high.
        for (magnification, width, height) in [
            (100.0, 37.29, 22.85),
            (80.0, 29.83, 18.28),
            (200.0, 74.58, 45.70),
        ] {
            let layout = code(magnification, None).lay_out();
            assert!((layout.size.width.mm() - width).abs() < 0.01, "{layout:?}");
            let plain = layout.bars.iter().map(|bar| bar.height).min().unwrap();
            assert!((plain.mm() - height).abs() < 0.01);
        }
    }

    #[test]
    fn everything_stands_within_and_the_quiet_zones_stay_free() {
        for add_on in [None, Some("52495")] {
            let layout = code(92.5, add_on).lay_out();
            let whole = Rect::new(
                Length::ZERO,
                Length::ZERO,
                layout.size.width,
                layout.size.height,
            );
            for bar in &layout.bars {
                assert!(whole.contains(*bar), "{bar:?}");
                assert!(bar.x >= layout.module * QUIET_LEFT);
            }
            for digit in &layout.digits {
                assert!(whole.contains(digit.room), "{digit:?}");
                assert!(
                    layout
                        .bars
                        .iter()
                        .all(|bar| bar.shared(digit.room).is_none()),
                    "{digit:?}"
                );
            }
        }
    }

    #[test]
    fn bars_lose_their_reduction_and_keep_their_middles() {
        let isbn = "9780306406157".parse().unwrap();
        let thin = BarCode::new(isbn, None, 100.0, Length::from_mm(0.04)).unwrap();
        let (thin, plain) = (thin.lay_out(), code(100.0, None).lay_out());
        for (thin, plain) in thin.bars.iter().zip(&plain.bars) {
            assert_eq!(plain.width - thin.width, Length::from_mm(0.04));
            assert_eq!(thin.x - plain.x, Length::from_mm(0.02));
        }
        assert!(BarCode::new(isbn, None, 100.0, Length::from_mm(0.2)).is_err());
        assert!(BarCode::new(isbn, None, 79.9, Length::ZERO).is_err());
        assert!(BarCode::new(isbn, None, f64::NAN, Length::ZERO).is_err());
    }
}
