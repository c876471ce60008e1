//! The demonstration book: art drawn by program, in a book folder like any other.

use std::path::Path;

use crate::conveyor::{self, Load};
use crate::{Desk, DeskError, Watch, files, new_book};

/// Memory for pieces being drawn and encoded, and what a pixel of them takes meanwhile.
const DRAWING_BYTES: u64 = 700 << 20;
const BYTES_OF_PIXEL: u64 = 12;

/// Draws the art of the demonstration book and makes its folder, with a measurement of its strip on
/// the practice press, read and not yet accepted. Judging, pressing and checking it are the same
/// calls as for any book.
///
/// # Errors
/// The folder is taken, the disk is full, or stopped: nothing is left behind.
pub fn demo(folder: &Path, watch: &dyn Watch) -> Result<Desk, DeskError> {
    new_book::refuse_taken(folder)?;
    let book = demo::book();
    new_book::build(folder, |building| {
        let art = building.join("art");
        let needs: Vec<u64> = book
            .pieces
            .iter()
            .map(|piece| u64::from(piece.width) * u64::from(piece.height) * BYTES_OF_PIXEL)
            .collect();
        let load = Load {
            workers: std::thread::available_parallelism().map_or(1, usize::from),
            bytes: DRAWING_BYTES,
        };
        let total = book.pieces.len();
        conveyor::run(
            &needs,
            load,
            |index| {
                if watch.stopped() {
                    return Err(DeskError::stopped("demo"));
                }
                Ok(book.pieces[index].encode())
            },
            |index, (name, bytes)| {
                files::write_whole(&art.join(&name), &bytes)?;
                watch.step(index + 1, total, &format!("drew {name}"));
                Ok(())
            },
        )?;
        if watch.stopped() {
            return Err(DeskError::stopped("demo"));
        }
        new_book::write_book(building, &demo::book_toml())
    })?;
    let desk = Desk::open(folder)?;
    let measured = desk.practise(watch)?;
    desk.read_proof(&measured, None, watch)?;
    Ok(desk)
}
