//! Which page of a printer's file is the template.

use std::cmp::Reverse;

use book::measured::template::{Believe, Guides, Laid};
use book::object::FlatKind;

use super::kept::{GuidePage, KeptTemplate};
use super::{TemplateFile, wrong};
use crate::DeskError;
use crate::standing::Standing;

/// Pages that are looked at when nobody says which one counts. Our assumption: templates have a page
/// of notes and one for each piece.
const LOOKED_AT: u32 = 12;
/// Other pages that are kept beside the one that counts, so that a person can turn to them.
const KEPT: usize = 5;
/// After so many pages that are too heavy it is no template.
const HEAVY: usize = 2;

/// Reads the file, and takes the page that is wanted; or the one that agrees with the sheet in most
/// of its figures.
pub(super) fn read(
    standing: &Standing,
    kind: FlatKind,
    file: &TemplateFile<'_>,
) -> Result<KeptTemplate, DeskError> {
    let failed =
        |error: press::GuidesError| DeskError::new(file.name, error.to_string(), error.hint());
    let count = press::guide_pages(file.bytes).map_err(failed)?;
    let snapshot = &standing.snapshot;
    let lay = |guides: &Guides| Laid::drawn(&snapshot.book, &snapshot.object, kind, guides);
    let mut first_error = None;
    let mut heavy = 0;
    let mut found: Vec<(GuidePage, Fit)> = Vec::new();
    let wanted = file.page.filter(|page| *page > LOOKED_AT || *page == 0);
    for page in (1..=count.min(LOOKED_AT)).chain(wanted) {
        match press::guides(file.bytes, page) {
            Ok(guides) => match lay(&guides) {
                Ok(laid) => found.push(((page, guides), fit(&laid))),
                Err(error) if file.page == Some(page) => return Err(wrong(file.name, &error)),
                Err(error) => first_error = first_error.or(Some(wrong(file.name, &error))),
            },
            Err(error) if file.page == Some(page) => return Err(failed(error)),
            Err(error) => {
                heavy += usize::from(matches!(error, press::GuidesError::TooHeavy(_)));
                first_error = first_error.or(Some(failed(error)));
                if heavy >= HEAVY && file.page.is_none() {
                    break;
                }
            }
        }
    }
    if let Some(page) = file.page.filter(|page| *page > count) {
        return Err(failed(press::GuidesError::NoSuchPage {
            page,
            pages: count as usize,
        }));
    }
    // The best first; of equals, the one that comes first.
    found.sort_by_key(|((page, _), fit)| (file.page != Some(*page), Reverse(*fit), *page));
    let mut pages = found.into_iter().map(|(page, _)| page);
    let Some(chosen) = pages.next() else {
        return Err(first_error.unwrap_or_else(|| {
            failed(press::GuidesError::NoSuchPage {
                page: 1,
                pages: count as usize,
            })
        }));
    };
    let mut others: Vec<GuidePage> = pages.take(KEPT).collect();
    others.sort_by_key(|(page, _)| *page);
    Ok(KeptTemplate::drawn(kind, count, &chosen, &others))
}

/// Points, and by how much it differs.
type Fit = (usize, Reverse<i64>);

/// How well a page fits the sheet: by the figures that are told without doubt, those most that a page
/// of another piece would not have by chance; of equals, by how little they differ.
fn fit(laid: &Laid) -> Fit {
    let sure = || laid.differences.iter().filter(|one| one.doubt.is_none());
    let points = sure().map(|one| match one.believe {
        Believe::Same => 3,
        Believe::Theirs | Believe::Follows => 2,
        Believe::Ask => 1,
        Believe::Ours => 0,
    });
    let off = sure().map(|one| one.by().nm().abs()).sum();
    (points.sum(), Reverse(off))
}
