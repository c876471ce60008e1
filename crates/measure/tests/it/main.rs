//! Measures held against published tables, and properties of their conversions.

mod basis_weight;
mod conversions;
mod sheet_sizes;
mod table;
