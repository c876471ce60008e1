//! The work of the loop with the printed proof: proof pages, the practice press, measurements.

use desk::book::plan::ReaderPage;
use desk::proof::fit::Verdict;
use desk::{DeskError, ProofReading};

use crate::State;
use crate::upload::Measured;
use crate::work::{Part, count};

/// Makes proof pages; the strip on a sheet of its own where no page is named.
pub(crate) fn make(state: &State, pages: &[ReaderPage]) -> Result<String, DeskError> {
    let part = Part::of(state, "Making proof pages");
    let file = state.desk().make_proof(pages, &part)?;
    let said = match file.pages.len() {
        0 => format!("Made strip {} on a sheet of its own.", file.version),
        many => format!(
            "Made {} with strip {} under each.",
            count(many, "proof page", "proof pages"),
            file.version
        ),
    };
    state.outcome().proof = Some(file);
    Ok(said)
}

/// Prints the strip on the practice press, and reads what came.
pub(crate) fn practise(state: &State) -> Result<String, DeskError> {
    let printing = Part::of(state, "Printing on the practice press");
    let file = state.desk().practise(&printing)?;
    let reading = Part::of(state, "Reading what came");
    let read = state.desk().read_proof(&file, None, &reading)?;
    let said = summary(&read);
    Ok(format!("The practice press printed the strip. {said}"))
}

/// Reads a measurement that was handed in.
pub(crate) fn read(state: &State, measured: &Measured) -> Result<String, DeskError> {
    let part = Part::of(state, "Reading the measurement");
    let (file, scanner) = (measured.file(), measured.scanner());
    let read = state.desk().read_proof(file, scanner, &part)?;
    Ok(format!(
        "Read {} as proof {}. {}",
        read.name,
        read.id,
        summary(&read)
    ))
}

/// What a reading says, in a sentence or two.
fn summary(reading: &ProofReading) -> String {
    match &reading.verdict {
        Verdict::Enough(lesson) => format!(
            "The book's colours came {:.1} ΔE00 from what was meant; {:.1} are foretold once that is \
             corrected. Nothing changes until you say so.",
            lesson.before.mean, lesson.after.mean
        ),
        Verdict::Right { before, why, .. } => format!(
            "The book's colours came {:.1} ΔE00 from what was meant. {}",
            before.mean,
            stopped(why)
        ),
        Verdict::NotEnough { why, .. } => format!("Not enough to say: {}", stopped(why)),
    }
}

/// A sentence with its full stop.
pub(crate) fn stopped(text: &str) -> String {
    format!("{}.", text.trim_end_matches('.'))
}
