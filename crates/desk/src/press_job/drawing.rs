//! The dimensioned drawing of the object, which goes to the printer beside the press files.

use std::io::Write;
use std::path::Path;

use book::drawing::Drawing;
use press::PressError;
use press::document::{self, Facts};

use super::last_file::LastFile;
use super::write_failed;
use crate::digest::{Digest, DigestingWriter, Gather};
use crate::files::Unfinished;
use crate::manifest::{MadeFile, MadePage};
use crate::{Desk, DeskError, PROGRAM, Snapshot, moment};

/// Name of the drawing in the press folder.
pub(crate) const DRAWING: &str = "drawing.pdf";

/// Digest of everything that the drawing is made from.
pub(crate) fn inputs(snapshot: &Snapshot) -> Digest {
    digest(snapshot, &pages_of(snapshot))
}

/// The drawing as it is now, as a PDF.
pub(crate) fn now(snapshot: &Snapshot) -> Result<Vec<u8>, DeskError> {
    let pages = pages_of(snapshot);
    let inputs = digest(snapshot, &pages);
    write(Vec::new(), snapshot, &pages, inputs)
        .map_err(|error| write_failed(Path::new(DRAWING), error))
}

/// Makes the file, or takes the last one over if nothing of it has changed.
pub(super) fn make(
    desk: &Desk,
    snapshot: &Snapshot,
    target: &Path,
    last: Option<&LastFile>,
) -> Result<(MadeFile, Option<Unfinished>), DeskError> {
    let pages = pages_of(snapshot);
    let inputs = digest(snapshot, &pages);
    if let Some(last) = last
        && last.made.inputs_blake3 == inputs
        && last.is_untouched(desk)
    {
        return Ok((last.made.clone(), None));
    }
    let unfinished = Unfinished::begin(target)?;
    let out = DigestingWriter::new(std::io::BufWriter::new(unfinished.file()));
    let out = write(out, snapshot, &pages, inputs).map_err(|error| write_failed(target, error))?;
    let (_, size_bytes, blake3) = out.done();
    let made = MadeFile {
        file: DRAWING.to_owned(),
        size_bytes,
        blake3,
        inputs_blake3: inputs,
        pages: (1..)
            .zip(&pages)
            .map(|(page, drawing)| MadePage {
                page,
                inputs_blake3: digest_of_page(drawing),
                pictures: Vec::new(),
            })
            .collect(),
    };
    Ok((made, Some(unfinished)))
}

fn pages_of(snapshot: &Snapshot) -> Vec<Drawing> {
    Drawing::pages_of(&snapshot.book, &snapshot.object, &snapshot.sheets)
}

fn digest(snapshot: &Snapshot, pages: &[Drawing]) -> Digest {
    let about = &snapshot.book.about;
    let mut all = Gather::new("drawing");
    all.put("program", PROGRAM)
        .put("title", &about.title)
        .put("author", &about.author);
    for page in pages {
        all.put("page", digest_of_page(page).to_string());
    }
    all.done()
}

fn digest_of_page(page: &Drawing) -> Digest {
    Digest::of(format!("{page:?}").as_bytes())
}

fn write<W: Write>(
    out: W,
    snapshot: &Snapshot,
    pages: &[Drawing],
    inputs: Digest,
) -> Result<W, PressError> {
    let about = &snapshot.book.about;
    let facts = Facts {
        title: format!("{} (drawing)", about.title),
        author: about.author.clone(),
        subject: pages
            .first()
            .map_or_else(String::new, |page| page.described.clone()),
        // Its words are ours, whatever the language of the book.
        language: "en".to_owned(),
        created: moment::now(),
        id: inputs.short(),
    };
    document::drawing(out, &facts, pages)
}
