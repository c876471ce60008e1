//! What may be written of the calendar.

use std::path::PathBuf;

use clap::Subcommand;
use jiff::civil::Date;

/// Something that happened, or a file to write.
#[derive(Debug, Subcommand)]
pub enum DatesStep {
    /// Say that a step has begun; its days so far count.
    Begun {
        /// The step, as `foredge dates` lists it.
        step: String,
        /// The day, such as 2027-01-11; today unless said.
        #[arg(long, value_name = "DAY", value_parser = day)]
        on: Option<Date>,
        /// A remark to keep with it.
        #[arg(long, default_value = "")]
        note: String,
    },
    /// Say that a step is done; its real day replaces the guess.
    Done {
        /// The step, as `foredge dates` lists it.
        step: String,
        /// Its last day; today unless said.
        #[arg(long, value_name = "DAY", value_parser = day)]
        on: Option<Date>,
        /// A remark to keep with it.
        #[arg(long, default_value = "")]
        note: String,
    },
    /// Take back what was said to have happened to a step.
    Open {
        /// The step, as `foredge dates` lists it.
        step: String,
    },
    /// Write the dates as an iCalendar file, for the calendar that you keep anyway.
    Calendar {
        /// The file to write, such as dates.ics.
        file: PathBuf,
    },
}

pub(super) fn day(text: &str) -> Result<Date, String> {
    text.trim()
        .parse()
        .map_err(|_| format!("expected a day such as 2027-01-11, but found `{text}`"))
}
