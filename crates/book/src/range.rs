//! The one table of what a book's figures may be, with the names that people read.

use std::fmt;

use jiff::civil::Date;
use measure::{Decimal, Grammage, Length, Money, Percent, Resolution, UnitPrice};

/// Lowest and highest value that is accepted for one thing. Both ends are allowed.
///
/// The bounds are our assumption of what no press or bindery goes beyond; they keep slips of the
/// pen (`3in` for `3mm`) and hostile files out, and are no advice.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Range {
    /// What it bounds, as read in a sentence: `the bleed`.
    pub(crate) name: &'static str,
    lowest: f64,
    highest: f64,
    unit: &'static str,
}

macro_rules! ranges {
    ($($constant:ident = $name:literal, $lowest:literal to $highest:literal $unit:literal;)*) => {
        $(pub(crate) const $constant: Range = Range {
            name: $name,
            lowest: $lowest,
            highest: $highest,
            unit: $unit,
        };)*

        #[cfg(test)]
        const ALL: &[Range] = &[$($constant),*];
    };
}

ranges! {
    TRIM_WIDTH = "the width of the trimmed page", 50.0 to 1000.0 "mm";
    TRIM_HEIGHT = "the height of the trimmed page", 50.0 to 1000.0 "mm";
    BLEED = "the bleed", 0.0 to 20.0 "mm";
    SAFE = "the safe margin", 0.0 to 60.0 "mm";
    FOLD = "the fold margin", 0.0 to 60.0 "mm";
    FOLD_REPEAT = "the strip repeated at the fold", 0.0 to 10.0 "mm";
    BOARD = "the board of the case", 1.0 to 5.0 "mm";
    SPINE = "the spine", 0.1 to 300.0 "mm";
    SWELL = "the swell of the sewing", 0.0 to 20.0 "mm";
    RISE = "the rise of a round back", 0.5 to 60.0 "mm";
    SQUARE = "the square of the case", 0.0 to 10.0 "mm";
    SETBACK = "the setback of the boards", 0.0 to 20.0 "mm";
    HINGE = "the hinge of the case", 2.0 to 25.0 "mm";
    TURN_IN = "the turn-in of the case", 5.0 to 40.0 "mm";
    STRIP = "the strip in the spine", 0.2 to 5.0 "mm";
    BOARD_DENSITY = "the density of the board", 0.3 to 1.2 "g/cm³";
    RIBBONS = "the number of ribbons", 0.0 to 5.0 "";
    LIGHT_GRAMMAGE = "the weight of the paper", 30.0 to 400.0 "g/m²";
    LIGHT_CALIPER = "the thickness of the paper", 0.02 to 1.0 "mm";
    JACKET_HEIGHT = "the height of the jacket", 30.0 to 1040.0 "mm";
    TURN = "the jacket's turn at the edge", 0.0 to 20.0 "mm";
    FLAP = "the flaps of the jacket", 20.0 to 600.0 "mm";
    COVER_FLAP = "the width of the flaps", 20.0 to 600.0 "mm";
    FLAP_OVER = "how far the cover stands over the fore edge", 0.0 to 5.0 "mm";
    BAND_HEIGHT = "the height of the belly band", 10.0 to 1000.0 "mm";
    TUCK = "the tucks of the belly band", 20.0 to 600.0 "mm";
    EASE = "the ease of the belly band", 0.0 to 5.0 "mm";
    SLIPCASE_BOARD = "the board of the slipcase", 1.0 to 5.0 "mm";
    CLEARANCE = "the room in the slipcase", 0.0 to 10.0 "mm";
    SLIPCASE_TURN_IN = "the turn-in of the slipcase", 5.0 to 40.0 "mm";
    TEXT_GRAMMAGE = "the weight of the text stock", 30.0 to 500.0 "g/m²";
    COVER_GRAMMAGE = "the weight of the cover stock", 60.0 to 800.0 "g/m²";
    CALIPER = "the thickness of a sheet", 0.02 to 2.0 "mm";
    MARGIN = "the margin around a picture", 0.0 to 400.0 "mm";
    INK_LIMIT = "the ink limit", 100.0 to 400.0 "%";
    RESOLUTION = "the resolution of the press file", 72.0 to 2400.0 "ppi";
    CONTRAST = "the contrast for paper", -40.0 to 20.0 "%";
    LIGHTENING = "the lightening for paper", -10.0 to 20.0 "L*";
    SATURATION = "the saturation for paper", -60.0 to 30.0 "%";
    RED = "the saturation of reds", -60.0 to 30.0 "%";
    YELLOW = "the saturation of yellows", -60.0 to 30.0 "%";
    GREEN = "the saturation of greens", -60.0 to 30.0 "%";
    CYAN = "the saturation of cyans", -60.0 to 30.0 "%";
    BLUE = "the saturation of blues", -60.0 to 30.0 "%";
    MAGENTA = "the saturation of magentas", -60.0 to 30.0 "%";
    BLACK_POINT = "the lightness of the art's black", 0.0 to 20.0 "L*";
    WHITE_POINT = "the lightness of the art's white", 85.0 to 100.0 "L*";
    RULING = "the screen ruling", 50.0 to 600.0 "lpi";
    PIECES = "the number of pieces with wishes of their own", 0.0 to 2000.0 "";
    MAGNIFICATION = "the magnification of the bar code", 80.0 to 200.0 "%";
    WIDTH_REDUCTION = "the bar width reduction", 0.0 to 0.33 "mm";
    FINEST = "the finest line or gap of a finishing", 0.02 to 10.0 "mm";
    THICKENING = "how much wider the lines of a finishing are made", 0.0 to 0.5 "mm";
    FINISHINGS = "the number of finishings", 0.0 to 100.0 "";
    PLATE_NAME = "the length of a finishing's name", 1.0 to 60.0 "characters";
    GROUND = "an ink of a ground", 0.0 to 100.0 "%";
    FOCUS = "a part of the focus", 0.0 to 1.0 "";
    COPIES = "the number of copies", 1.0 to 1_000_000.0 "";
    QUANTITIES = "the number of quantities", 0.0 to 12.0 "";
    PROOFS = "the number of kinds of proofs", 0.0 to 12.0 "";
    OVERS = "the overs that are taken", 0.0 to 50.0 "%";
    UNDERS = "the unders that are put up with", 0.0 to 50.0 "%";
    VALID_DAYS = "the days for which a price should hold", 1.0 to 730.0 "";
    DELIVERIES = "the number of delivery places", 0.0 to 100.0 "";
    SHARE = "the share", 0.0001 to 100.0 "%";
    PRINTERS = "the number of printers", 0.0 to 200.0 "";
    PRINTER_KEY = "the length of a printer's short name", 1.0 to 30.0 "characters";
    INSURANCE = "the insurance", 0.0 to 20.0 "%";
    SPOILAGE = "the spoilage", 0.0 to 50.0 "%";
    BANK_FEE = "the bank's fee", 0.0 to 1_000_000.0 "";
    INTEREST = "what a sum tied up for a year costs", 0.0 to 100.0 "%";
    RATES = "the number of rates of exchange", 0.0 to 100.0 "";
    RATE = "the rate of exchange", 0.000001 to 1_000_000.0 "";
    IMPORTS = "the number of printers with duty and tax", 0.0 to 200.0 "";
    DUTY = "the duty", 0.0 to 200.0 "%";
    TAX = "the tax on imports", 0.0 to 100.0 "%";
    BROKER = "the customs broker's fee", 0.0 to 1_000_000.0 "";
    FREIGHTS = "the number of estimates of freight", 0.0 to 500.0 "";
    TERMS = "the number of delivery terms that are said", 0.0 to 11.0 "";
    FREIGHT_FIXED = "the fixed part of the freight", 0.0 to 1_000_000_000.0 "";
    FREIGHT_EACH = "the freight of one copy", 0.0 to 1_000_000.0 "";
    SURETY = "the surety", 1.0 to 99.9 "%";
    DAYS_OFF = "the number of days off in a week", 0.0 to 6.0 "";
    CLOSURES = "the number of closures", 0.0 to 200.0 "";
    STEPS = "the number of steps", 0.0 to 200.0 "";
    STEP_DAYS = "the days that a step takes", 0.0 to 730.0 "";
    CHANCE = "the chance", 0.0 to 100.0 "%";
    PAYMENTS = "the number of payments", 0.0 to 50.0 "";
    PAYMENT_DAYS = "the days after which a payment falls due", 0.0 to 365.0 "";
    EDITION_SUM = "the sum", 0.0 to 1_000_000_000.0 "";
    SEASON = "the number of months of the season", 0.0 to 36.0 "";
    TAIL = "the months in which the rest is sold", 1.0 to 36.0 "";
    AUDIENCES = "the number of audiences", 0.0 to 50.0 "";
    PEOPLE = "the number of people", 1.0 to 10_000_000.0 "";
    SOLD = "the copies sold or promised", 0.0 to 10_000_000.0 "";
    CONVERSION = "the share that buys", 0.0 to 99.0 "%";
    CHANNELS = "the number of channels", 0.0 to 50.0 "";
    DISCOUNT = "the share that is given away", 0.0 to 95.0 "%";
    RETURNS = "the share that comes back", 0.0 to 90.0 "%";
    OFFERS = "the number of offers", 0.0 to 20.0 "";
    REACH = "how many times our demand a publisher reaches", 0.01 to 100.0 "";
    PLANS = "the number of plans", 0.0 to 12.0 "";
    YEAR = "the year", 2000.0 to 2199.0 "";
    REMARK = "the length of a remark", 1.0 to 500.0 "characters";
    ADDRESS = "the length of name and address", 0.0 to 1000.0 "characters";
    ENTRIES = "the number of entries in the running order", 0.0 to 2000.0 "";
    TITLE = "the length of this line", 1.0 to 300.0 "characters";
    NAME = "the length of a name", 1.0 to 200.0 "characters";
    WORDS = "the length of the words of one page", 0.0 to 50_000.0 "characters";
}

/// A value that a range can be asked about.
pub(crate) trait Figure {
    /// In the unit of its ranges.
    fn figure(&self) -> f64;
}

impl Figure for Length {
    fn figure(&self) -> f64 {
        self.mm()
    }
}

impl Figure for Grammage {
    fn figure(&self) -> f64 {
        self.gsm()
    }
}

impl Figure for Percent {
    fn figure(&self) -> f64 {
        self.percent()
    }
}

impl Figure for Resolution {
    fn figure(&self) -> f64 {
        self.ppi()
    }
}

impl Figure for i64 {
    fn figure(&self) -> f64 {
        *self as f64
    }
}

impl Figure for Decimal {
    fn figure(&self) -> f64 {
        self.approximate()
    }
}

/// In main units of its currency.
impl Figure for Money {
    fn figure(&self) -> f64 {
        self.decimal().approximate()
    }
}

/// In main units of its currency.
impl Figure for UnitPrice {
    fn figure(&self) -> f64 {
        self.amount().approximate()
    }
}

/// By its year.
impl Figure for Date {
    fn figure(&self) -> f64 {
        f64::from(self.year())
    }
}

/// A part of one, whose ranges are in percent.
pub(crate) struct Percentage(pub(crate) Decimal);

impl Figure for Percentage {
    fn figure(&self) -> f64 {
        self.0.approximate() * 100.0
    }
}

impl Figure for f64 {
    fn figure(&self) -> f64 {
        *self
    }
}

impl Figure for usize {
    fn figure(&self) -> f64 {
        *self as f64
    }
}

impl Range {
    /// Whether the value lies within, both ends included. Not-a-number lies nowhere.
    pub(crate) fn holds(self, value: &impl Figure) -> bool {
        (self.lowest..=self.highest).contains(&value.figure())
    }
}

impl fmt::Display for Range {
    /// `0 to 20 mm`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} to {}", self.lowest, self.highest)?;
        if !self.unit.is_empty() {
            write!(f, " {}", self.unit)?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ranges_run_upward_and_have_names_of_their_own() {
        for (index, range) in ALL.iter().enumerate() {
            assert!(range.lowest < range.highest, "{range:?}");
            assert!(
                ALL[..index].iter().all(|other| other.name != range.name),
                "{range:?}"
            );
        }
    }

    #[test]
    fn both_ends_are_allowed_and_nothing_beyond() {
        assert!(BLEED.holds(&Length::ZERO) && BLEED.holds(&Length::from_mm(20.0)));
        assert!(!BLEED.holds(&Length::from_nm(-1)));
        assert!(!FOCUS.holds(&f64::NAN));
        assert_eq!(BLEED.to_string(), "0 to 20 mm");
    }
}
