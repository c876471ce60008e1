//! The book held against published figures, hostile files and properties.

mod asking;
mod bar_code;
mod builder;
mod dates;
mod drawing;
mod editing;
mod edition;
mod hostile;
mod measured;
mod measured_template;
mod object;
mod planning;
mod printed_sheets;
mod proposing;
mod reading;
mod sheets;
