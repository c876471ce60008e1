//! What may be written of printers and their prices.

use std::path::PathBuf;

use desk::NoteKind;
use jiff::civil::Date;

use super::dates::day;

/// Something about the printers.
#[derive(Debug, clap::Subcommand)]
pub enum PrintersStep {
    /// Add a printer to the book, or say more of one, as one change that undo takes back.
    Add {
        /// Its short name: small letters, digits and hyphens.
        key: String,
        /// What is known of it, such as name="Quayside Press" place="Port Ellery" country=XA
        /// zone=Europe/Lisbon language=en email=… makes=… found=… home=yes.
        #[arg(value_name = "WHAT=VALUE", required = true)]
        said: Vec<String>,
    },
    /// Take a printer out of the book; what was noted, asked and answered stays in the record.
    Remove {
        /// Its short name.
        key: String,
    },
    /// Note something about a printer, and keep a file that came with it.
    Note {
        /// Its short name.
        key: String,
        /// What it is: sample-asked, sample-received, said or file.
        #[arg(value_parser = note_kind)]
        kind: NoteKind,
        /// In your words.
        #[arg(default_value = "")]
        text: String,
        /// The day on which it happened, such as 2026-11-25; today unless said.
        #[arg(long, value_name = "DAY", value_parser = day)]
        on: Option<Date>,
        /// A file that belongs to it; it is copied and kept whole.
        #[arg(long, value_name = "FILE")]
        file: Option<PathBuf>,
    },
    /// Lay a note aside.
    Forget {
        /// Its number, as `foredge printers` lists it.
        #[arg(value_parser = clap::value_parser!(u32).range(1..))]
        note: u32,
    },
    /// Bring a note back that was laid aside.
    Recall {
        /// Its number.
        #[arg(value_parser = clap::value_parser!(u32).range(1..))]
        note: u32,
    },
}

/// Asking for prices.
#[derive(Debug, clap::Args)]
pub struct Ask {
    /// The printer who is asked. Without one, lists what was asked.
    pub key: Option<String>,
    /// Ask every printer of the book.
    #[arg(long, conflicts_with = "key")]
    pub all: bool,
    /// The day that stands on the letter; today unless said.
    #[arg(long, value_name = "DAY", value_parser = day)]
    pub dated: Option<Date>,
    /// Show the e-mail, and write nothing.
    #[arg(long, requires = "key", conflicts_with = "dated")]
    pub show: bool,
}

fn note_kind(text: &str) -> Result<NoteKind, String> {
    NoteKind::of(text).ok_or_else(|| {
        let words = NoteKind::ALL.map(NoteKind::word).join(", ");
        format!("expected one of {words}, but found `{text}`")
    })
}

/// Something with prices.
#[derive(Debug, clap::Subcommand)]
pub enum PricesStep {
    /// Read the sheet that came back filled in (.xlsx or .csv), or keep another file with what it
    /// says typed behind it.
    Read {
        /// The file.
        file: PathBuf,
        /// What it says or what is to be taken instead, such as printer=quay currency=EUR
        /// "each 800=9.45".
        #[arg(value_name = "WHAT=VALUE")]
        said: Vec<String>,
        /// Leave out what a doubtful cell says of this, such as "each 800", and take the rest if you
        /// agree.
        #[arg(long, value_name = "WHAT")]
        without: Vec<String>,
        #[command(flatten)]
        how: How,
    },
    /// Type an answer in: printer=quay currency=EUR "each 800=9.45" "total 500=4900" "one-off
    /// printing plates=640" term="DAP Port Ellery" freight=included lead=25 valid=2027-01-31
    /// overs=5% payment=… notes=….
    Enter {
        /// What it says.
        #[arg(value_name = "WHAT=VALUE", required = true)]
        said: Vec<String>,
        /// What came, such as a PDF or a photograph; it is copied and kept whole.
        #[arg(long, value_name = "FILE")]
        file: Option<PathBuf>,
        #[command(flatten)]
        how: How,
    },
    /// All answers as they were read, each with what is to be known before its prices are used.
    Answers,
    /// One answer for one quantity, part by part: what it costs in your hands, and how that comes
    /// about.
    Show {
        /// Its number, as `foredge prices` lists it.
        #[arg(value_parser = clap::value_parser!(u32).range(1..))]
        answer: u32,
        /// How many copies; those that the book wishes for unless said.
        #[arg(long, value_parser = clap::value_parser!(u64).range(1..))]
        copies: Option<u64>,
    },
    /// Hold an invoice against the answer that was ordered by: currency=EUR delivered=850 print=8000
    /// overs=500 "one-off printing plates=380" freight=340 alterations=120 tax=… "other pallets=30"
    /// total=….
    Invoice {
        /// Number of the answer.
        #[arg(value_parser = clap::value_parser!(u32).range(1..))]
        answer: u32,
        /// How many copies were ordered.
        #[arg(long, value_parser = clap::value_parser!(u64).range(1..))]
        ordered: u64,
        /// What it says.
        #[arg(value_name = "WHAT=VALUE", required = true)]
        said: Vec<String>,
        /// What came, such as a PDF; it is copied and kept whole.
        #[arg(long, value_name = "FILE")]
        file: Option<PathBuf>,
        /// The day on which it came; today unless said.
        #[arg(long, value_name = "DAY", value_parser = day)]
        on: Option<Date>,
        /// Agree that what cannot be read is left out.
        #[arg(long)]
        agree: bool,
    },
    /// All invoices, each held against the answer that was ordered by.
    Invoices,
    /// Lay an invoice aside.
    ForgetInvoice {
        /// Its number, as `foredge prices invoices` lists it.
        #[arg(value_parser = clap::value_parser!(u32).range(1..))]
        invoice: u32,
    },
    /// Bring an invoice back that was laid aside.
    RecallInvoice {
        /// Its number.
        #[arg(value_parser = clap::value_parser!(u32).range(1..))]
        invoice: u32,
    },
    /// Lay an answer aside.
    Forget {
        /// Its number, as `foredge prices` lists it.
        #[arg(value_parser = clap::value_parser!(u32).range(1..))]
        answer: u32,
    },
    /// Bring an answer back that was laid aside.
    Recall {
        /// Its number.
        #[arg(value_parser = clap::value_parser!(u32).range(1..))]
        answer: u32,
    },
}

/// How an answer is taken.
#[derive(Debug, clap::Args)]
pub struct How {
    /// The day on which it came; today unless said.
    #[arg(long, value_name = "DAY", value_parser = day)]
    pub on: Option<Date>,
    /// Agree to everything that is doubtful.
    #[arg(long)]
    pub agree: bool,
    /// The answer that it takes the place of; that one stays in the record.
    #[arg(long, value_name = "NUMBER", value_parser = clap::value_parser!(u32).range(1..))]
    pub replaces: Option<u32>,
}
