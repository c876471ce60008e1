//! Measurements as CGATS.17 text, the form in which instruments' programs hand them over; sets of
//! the same form that open profile makers write (`.ti3`) are read too.

use colour::Lab;

use crate::{Mark, ProofError};

/// Keyword that carries the strip's mark.
pub const MARK: &str = "FOREDGE_MARK";

/// A measurement file as it was read.
#[derive(Debug, Clone, PartialEq)]
pub struct Cgats {
    /// Keywords and their values, in the file's order.
    pub keywords: Vec<(String, String)>,
    /// One a line of data.
    pub rows: Vec<Row>,
}

/// One patch as measured.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// Line of the file, from 1.
    pub line: usize,
    /// SAMPLE_ID.
    pub id: Option<String>,
    /// SAMPLE_NAME or SAMPLE_LOC.
    pub name: Option<String>,
    /// Inks in percent.
    pub ink: Option<[f64; 4]>,
    /// Measured colour, absolute, D50.
    pub lab: Lab,
}

impl Cgats {
    /// The strip's mark, where the file carries it (keyword `FOREDGE_MARK`).
    ///
    /// # Errors
    /// The keyword is there, but its value is no mark.
    pub fn mark(&self) -> Result<Option<Mark>, ProofError> {
        todo!()
    }
}

/// Reads a measurement.
///
/// # Errors
/// Says the line, what was expected and what was found.
pub fn read(text: &str) -> Result<Cgats, ProofError> {
    let _ = text;
    todo!()
}

/// Writes a measurement that [`read`] gives back.
pub fn write(cgats: &Cgats) -> String {
    let _ = cgats;
    todo!()
}
