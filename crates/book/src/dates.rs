//! What is wished and known of the calendar from files to books in hand.

use jiff::civil::{Date, Weekday};
use measure::Decimal;

/// Wishes for the calendar. What is not said is usual, and said to be so.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct DatesWishes {
    /// The day on which files are to be sent; as soon as it is asked, unless said.
    pub send: Option<Date>,
    /// The day by which the books are wished to be in hand.
    pub launch: Option<Date>,
    /// With what surety, as a share: 0.8 for 80 %, unless said.
    pub surety: Option<Decimal>,
    /// How the books travel; by the printer's country, unless said.
    pub carriage: Option<Carriage>,
    /// Key of the printer whose calendar it is; the first one, unless said.
    pub printer: Option<String>,
    /// Days of the week on which nobody works, by calendar.
    pub days_off: Vec<DaysOff>,
    /// Days on which nobody works.
    pub closures: Vec<ClosureWish>,
    /// Steps that are other than usual.
    pub steps: Vec<StepWish>,
    /// What is paid when; half with the order and half before dispatch, unless said.
    pub payments: Vec<PaymentWish>,
}

impl DatesWishes {
    /// The surety where none is said; common practice, no source.
    pub fn usual_surety() -> Decimal {
        "0.8".parse().expect("this is a decimal")
    }
}

/// Whose days count.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Whose {
    /// The printer's.
    Printer,
    /// The artist's.
    Artist,
    /// Those of ships, aeroplanes and lorries.
    Carrier,
    /// Those of customs and deliveries at home.
    Home,
}

impl Whose {
    pub(crate) const WORDS: [(&'static str, Self); 4] = [
        ("printer", Self::Printer),
        ("artist", Self::Artist),
        ("carrier", Self::Carrier),
        ("home", Self::Home),
    ];

    /// All of them.
    pub const ALL: [Self; 4] = [Self::Printer, Self::Artist, Self::Carrier, Self::Home];

    /// The word for it in the book file.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Printer => "printer",
            Self::Artist => "artist",
            Self::Carrier => "carrier",
            Self::Home => "home",
        }
    }

    /// Days of the week on which this calendar rests, unless said: the weekend for printers and for
    /// what is done at home, none for the artist and for carriers (our assumption).
    pub const fn usual_days_off(self) -> &'static [Weekday] {
        match self {
            Self::Printer | Self::Home => &[Weekday::Saturday, Weekday::Sunday],
            Self::Artist | Self::Carrier => &[],
        }
    }
}

/// How the books travel.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Carriage {
    /// By lorry.
    Road,
    /// By ship, in a container or a part of one.
    Sea,
    /// By air.
    Air,
}

impl Carriage {
    pub(crate) const WORDS: [(&'static str, Self); 3] =
        [("road", Self::Road), ("sea", Self::Sea), ("air", Self::Air)];

    /// All of them.
    pub const ALL: [Self; 3] = [Self::Road, Self::Sea, Self::Air];

    /// The word for it in the book file.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Road => "road",
            Self::Sea => "sea",
            Self::Air => "air",
        }
    }
}

/// Days of the week on which somebody does not work.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DaysOff {
    /// Whose.
    pub whose: Whose,
    /// The days, at most six; none works every day.
    pub days: Vec<Weekday>,
}

/// Days on which somebody does not work, both ends included.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ClosureWish {
    /// Whose.
    pub whose: Whose,
    /// What it is: `works holidays`.
    pub name: String,
    /// First day.
    pub from: Date,
    /// Last day.
    pub to: Date,
    /// Line of the book file.
    pub line: u32,
}

/// How long something takes, in days.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Takes {
    /// Just so long.
    Days(f64),
    /// Half take less than the first, and one in twenty more than the second.
    Around(f64, f64),
    /// At least, most often, at most.
    Between(f64, f64, f64),
}

/// A step that is other than usual, or one more.
#[derive(Debug, Clone, PartialEq)]
pub struct StepWish {
    /// Its key: that of a usual step, or a new one.
    pub key: String,
    /// What it is called.
    pub name: Option<String>,
    /// Keys of the steps that must be done before; as usual, unless said.
    pub after: Option<Vec<String>>,
    /// Keys of the steps that then wait for it; for a step more.
    pub before: Vec<String>,
    /// Whose days it takes.
    pub whose: Option<Whose>,
    /// How long it takes.
    pub takes: Option<Takes>,
    /// Chance that it must be done once more, as a share.
    pub again: Option<Decimal>,
    /// How long that takes each time.
    pub again_takes: Option<Takes>,
    /// Whether it is left out.
    pub skip: bool,
    /// Who says so; may be empty.
    pub by: String,
    /// Line of the book file.
    pub line: u32,
}

/// A part of the price of the print run, and when it is paid.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PaymentWish {
    /// What it is called.
    pub name: String,
    /// Its share of the price.
    pub share: Decimal,
    /// Key of the step with which it falls due.
    pub step: String,
    /// Whether it falls due when that step begins; when it ends, otherwise.
    pub at_beginning: bool,
    /// Days after it.
    pub days: u16,
    /// Line of the book file.
    pub line: u32,
}
