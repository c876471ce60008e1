//! The page in the browser: rooms over the same calls as the command line.
