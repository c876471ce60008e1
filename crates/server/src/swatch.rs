//! Colours as drawings name them.

use desk::colour::Lab;

/// A measured colour.
pub(crate) fn fill(lab: Lab) -> String {
    hex(lab.on_screen())
}

/// Bytes of sRGB.
pub(crate) fn hex([red, green, blue]: [u8; 3]) -> String {
    format!("#{red:02x}{green:02x}{blue:02x}")
}
