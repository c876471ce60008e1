//! The demonstration book: art drawn by program, in a book folder like any other.

mod prices;

use std::fs;
use std::path::Path;

use demo::Binding;

use crate::conveyor::{self, Load};
use crate::{Desk, DeskError, Watch, art_folder, files, moment, new_book};

/// Memory for pieces being drawn and encoded, and what a pixel of them takes meanwhile.
const DRAWING_BYTES: u64 = 700 << 20;
const BYTES_OF_PIXEL: u64 = 12;

/// Draws the art of the demonstration book and makes its folder, with a measurement of its strip on
/// the practice press, read and not yet accepted, and with answers of three printers. Judging, pressing
/// and checking it are the same calls as for any book.
///
/// # Errors
/// The folder is taken, the disk is full, or stopped: nothing is left behind.
pub fn demo(folder: &Path, watch: &dyn Watch) -> Result<Desk, DeskError> {
    new_book::refuse_taken(folder)?;
    let book = demo::book();
    let today = moment::today();
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
        let text = prices::first_text(&Binding::Soft.book_toml(), today)?;
        write_words(building, Binding::Soft, &text)
    })?;
    let desk = Desk::open(folder)?;
    prices::happen(&desk, today)?;
    let measured = desk.practise(watch)?;
    desk.read_proof(&measured, None, watch)?;
    Ok(desk)
}

/// Where the books in other bindings stand in the demonstration book's folder.
const OTHERS: &str = "other-bindings";
/// What is remembered of art by its own digest, and so holds for every book that has the art.
const REMEMBERED: [&str; 2] = ["judged", "small"];

/// The same pages in other bindings: a sewn case with a jacket, and a zine stitched with wire. They
/// stand in `other-bindings` of the demonstration book, link its art, and know what is known of it.
///
/// # Errors
/// A folder is taken or the disk is full: of that book nothing is left behind.
pub fn demo_bindings(desk: &Desk) -> Result<Vec<Desk>, DeskError> {
    let mut others = Vec::new();
    for binding in Binding::ALL {
        if binding == Binding::Soft {
            continue;
        }
        let folder = desk.root().join(OTHERS).join(binding.word());
        new_book::refuse_taken(&folder)?;
        new_book::build(&folder, |building| {
            for found in art_folder::files_below(&desk.root().join("art"), None)? {
                link(&found.name, &found.path, &building.join("art"))?;
            }
            for kind in REMEMBERED {
                remember(desk, building, kind);
            }
            write_words(building, binding, &binding.book_toml())
        })?;
        others.push(Desk::open(&folder)?);
    }
    Ok(others)
}

fn write_words(building: &Path, binding: Binding, text: &str) -> Result<(), DeskError> {
    for (path, bytes) in binding.masks() {
        files::write_whole(&building.join(path), &bytes)?;
    }
    new_book::write_book(building, text)
}

/// Links a picture of the demonstration book, so that the folder can be moved as a whole.
fn link(name: &str, from: &Path, art: &Path) -> Result<(), DeskError> {
    let failed = |error: &std::io::Error| DeskError::io(from, "link the picture", error);
    fs::create_dir_all(art).map_err(|error| failed(&error))?;
    let to = art.join(name);
    #[cfg(unix)]
    let linked = std::os::unix::fs::symlink(Path::new("../../../art").join(name), to);
    #[cfg(not(unix))]
    let linked = fs::hard_link(from, to);
    linked.map_err(|error| failed(&error))
}

/// Brings along what is remembered of the art. What cannot be brought is only made again.
fn remember(desk: &Desk, building: &Path, kind: &str) {
    let cache = Path::new(".foredge/cache").join(kind);
    let to = building.join(&cache);
    let Ok(entries) = fs::read_dir(desk.root().join(&cache)) else {
        return;
    };
    let _ = fs::create_dir_all(&to);
    for entry in entries.flatten() {
        let _ = fs::copy(entry.path(), to.join(entry.file_name()));
    }
}
