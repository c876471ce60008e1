//! Art drawn by program, for the demonstration book.
