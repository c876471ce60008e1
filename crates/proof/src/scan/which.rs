//! Which strip a scan shows.

use art::Picture;

use super::ScanError;
use super::code::{Found, search};
use super::error::in_words;
use super::plane::Plane;
use crate::Mark;

/// All marks on a scan, and the plane that they were found on.
pub(super) fn find(picture: &Picture) -> Result<(Plane, Vec<Found>), ScanError> {
    let (mut mirrored, mut foreign, mut flat) = (false, false, true);
    for coarser in [1, 2, 4] {
        let plane = Plane::of(picture, coarser)?;
        if coarser == 1 {
            let mut all = plane.rows().flatten();
            let first = all.next().copied().unwrap_or(0);
            flat = all.all(|light| light.abs_diff(first) < 16);
        }
        let search = search(&plane);
        if !search.found.is_empty() {
            return Ok((plane, search.found));
        }
        mirrored |= search.mirrored;
        foreign |= search.foreign;
    }
    let why = if mirrored {
        "it is there as in a mirror; scan the printed side, and do not mirror the picture".into()
    } else if foreign {
        "a square code is there, but it is not the mark of a strip".into()
    } else if flat {
        "the picture is of one colour throughout".into()
    } else {
        format!(
            "the square mark at the strip's left end cannot be read in these {}. It must be wholly \
             on the scan, sharp, and scanned at 150 ppi or more",
            picture.size
        )
    };
    Err(ScanError::NoMark(why))
}

/// The found mark that is wanted.
pub(super) fn choose(found: Vec<Found>, wanted: &Mark) -> Result<Found, ScanError> {
    let fits = |mark: &Mark| {
        mark.version == wanted.version
            && mark.file.eq_ignore_ascii_case(&wanted.file)
            && (wanted.page.is_none() || mark.page == wanted.page)
    };
    let mut fitting: Vec<Mark> = Vec::new();
    for found in &found {
        if fits(&found.mark) && !fitting.contains(&found.mark) {
            fitting.push(found.mark.clone());
        }
    }
    if fitting.len() > 1 {
        return Err(ScanError::Several(fitting));
    }
    let seen = found.first().map(|found| found.mark.clone());
    found
        .into_iter()
        .find(|found| fits(&found.mark))
        .ok_or_else(|| match seen {
            Some(seen) => other(&seen, wanted),
            None => ScanError::NoMark("no mark is on it".into()),
        })
}

/// Says what another mark means.
fn other(seen: &Mark, wanted: &Mark) -> ScanError {
    let what = if seen.version != wanted.version {
        "its patches are others than those of the strip that is wanted"
    } else if !seen.file.eq_ignore_ascii_case(&wanted.file) {
        "it was made from another state of the book, or from another book"
    } else {
        "it is the same strip on another page"
    };
    ScanError::OtherStrip {
        found: in_words(seen),
        wanted: match wanted.page {
            Some(_) => in_words(wanted),
            None => format!(
                "version {} of the strip, on any page, file {}",
                wanted.version, wanted.file
            ),
        },
        what: what.into(),
    }
}
