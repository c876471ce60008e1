//! What the edition promises, held against tables and closed forms.

mod dates;
mod demand;
mod quantity;
