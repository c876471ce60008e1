use jiff::civil::Date;
use thiserror::Error;

/// Dates that cannot be foretold.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum DatesError {
    /// Nothing to do, or far too much.
    #[error("a calendar has 1 to {most} steps; here are {steps}")]
    Count {
        /// Steps found.
        steps: usize,
        /// Most steps.
        most: usize,
    },
    /// Two steps of one key.
    #[error("two steps are called `{key}`; give one of them another key")]
    Twice {
        /// The key.
        key: String,
    },
    /// A step of which nobody says how long it takes.
    #[error("`{step}` is no usual step, and nothing says how long it takes; say `takes`")]
    NoLength {
        /// The step.
        step: String,
    },
    /// Waits for what nobody does.
    #[error("`{step}` waits for `{after}`, which is no step here")]
    UnknownStep {
        /// The step.
        step: String,
        /// What it waits for.
        after: String,
    },
    /// Counts by no calendar.
    #[error("`{step}` counts the days of `{calendar}`, which is no calendar here")]
    UnknownCalendar {
        /// The step.
        step: String,
        /// The calendar's name.
        calendar: String,
    },
    /// Steps that wait for each other.
    #[error("these steps wait for each other in a circle: {}; take one of the waits out", named(.steps))]
    Circle {
        /// Keys in the order in which they wait.
        steps: Vec<String>,
    },
    /// A length that cannot be.
    #[error("`{step}` takes {found} days: give {wanted}, from 0 to {most} days")]
    Spread {
        /// The step.
        step: String,
        /// What was given.
        found: String,
        /// What would be right.
        wanted: &'static str,
        /// Longest.
        most: f64,
    },
    /// A chance that cannot be.
    #[error(
        "the chance that `{step}` is done again is {found}: a chance lies between 0 and 1 (100 %)"
    )]
    Chance {
        /// The step.
        step: String,
        /// What was given.
        found: f64,
    },
    /// Rounds that cannot be.
    #[error("`{step}` may be done again {found} times: give 1 to {most}")]
    Rounds {
        /// The step.
        step: String,
        /// What was given.
        found: u32,
        /// Most rounds.
        most: u32,
    },
    /// Nobody ever works.
    #[error("nobody ever works by the calendar `{calendar}`: leave at least one day of the week")]
    NeverWorks {
        /// The calendar.
        calendar: String,
    },
    /// Ends before it begins.
    #[error("the closure `{name}` ends on {to}, before it begins on {from}")]
    ClosureBackwards {
        /// Its name.
        name: String,
        /// First day.
        from: Date,
        /// Last day.
        to: Date,
    },
    /// Does not end.
    #[error(
        "the closure `{name}` lasts {days} days and never seems to end; name its last day ({most} days at most)"
    )]
    ClosureEndless {
        /// Its name.
        name: String,
        /// Days.
        days: i64,
        /// Longest.
        most: i64,
    },
    /// Too late already.
    #[error("the launch on {launch} lies before today, {today}: name a later day")]
    LaunchPast {
        /// The launch.
        launch: Date,
        /// Today.
        today: Date,
    },
    /// Done before today is over, or in an order that cannot be.
    #[error("`{step}` is said to have been done on {day}, which is after today, {today}")]
    DoneLater {
        /// The step.
        step: String,
        /// The day.
        day: Date,
        /// Today.
        today: Date,
    },
    /// Said to be done, but what it waits for is not.
    #[error(
        "`{step}` is said to be done or under way, but `{after}`, for which it waits, is not done; say when that was done too"
    )]
    DoneTooEarly {
        /// The step.
        step: String,
        /// What is not done.
        after: String,
    },
    /// Too long to be looked ahead.
    #[error("this takes longer than can be looked ahead (six years): look at the longest steps")]
    TooLong,
}

fn named(steps: &[String]) -> String {
    let mut words: Vec<&str> = steps.iter().map(String::as_str).collect();
    words.extend(words.first().copied());
    words.join(" → ")
}
