//! Plates held against properties and hostile drawings.

mod drawings;
mod fineness;
mod masks;
mod shapes;
