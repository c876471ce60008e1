//! The colours of the art as it stands in the book: small pictures of every piece, weighed by the
//! area that they fill on paper and by how far the press pulls them.

use std::collections::BTreeMap;

use book::PieceInks;
use book::plan::PlacedPicture;
use colour::{Compensation, Profile, Reach, Recipe, Separation};
use proof::{Chosen, Sample, Strip};

use super::kept;
use crate::digest::{Digest, Gather};
use crate::inks::Inks;
use crate::paper::Paper;
use crate::press_job::{self, Plan};
use crate::unit::Sheet;
use crate::{Desk, DeskError, Watch, files};

/// Raised when the same art would give other colours.
const METHOD: &str = "1";
/// Longer side of the small pictures that are looked at. A colour that matters in a book fills
/// more than one pixel of them.
const SMALL: u32 = 160;

/// A part of a piece, as it shows on paper.
struct Shown<'a> {
    piece: &'a str,
    digest: Digest,
    /// Left, top, right and bottom of the part, as shares of the piece's sides.
    part: [f64; 4],
    /// Area on paper, in mm².
    area: f64,
}

/// The colours that matter most in the book, at most as many as a strip shows.
pub(super) fn chosen(
    desk: &Desk,
    plan: &Plan<'_>,
    watch: &dyn Watch,
) -> Result<Vec<Chosen>, DeskError> {
    let shown = shown(plan);
    let key = key_of(&shown, plan.inks);
    let path = desk.private("cache/colours").join(format!("{key}.json"));
    if let Some(known) = std::fs::read_to_string(&path)
        .ok()
        .and_then(|text| kept::chosen_of(&text))
    {
        return Ok(known);
    }
    let areas = areas(desk, &shown, watch)?;
    let samples = samples(&areas, plan.inks)?;
    let chosen = proof::choose(&samples, Strip::COLOURS);
    // Colours that are not remembered are only chosen again.
    let _ = files::write_whole(&path, kept::chosen_text(&chosen).as_bytes());
    Ok(chosen)
}

/// Digest of all that decides the colours. Reads no pixels.
pub(super) fn key(plan: &Plan<'_>) -> Digest {
    key_of(&shown(plan), plan.inks)
}

/// Every part of a piece that is printed in four inks, on pages and on other sheets.
fn shown<'a>(plan: &Plan<'a>) -> Vec<Shown<'a>> {
    let paper = Paper::of(&plan.standing.snapshot.book);
    let four_inks = |piece: &str| match paper.treatment(piece).inks {
        PieceInks::ByLook | PieceInks::Four => true,
        PieceInks::Black
        | PieceInks::BlackAndCyan
        | PieceInks::BlackAndMagenta
        | PieceInks::BlackAndYellow => false,
    };
    let sheets = plan.units().flat_map(|unit| &unit.sheets);
    let mut shown: Vec<Shown<'a>> = sheets
        .flat_map(|sheet| sheet.pictures.iter().map(move |placed| (sheet, placed)))
        .filter(|(_, placed)| four_inks(&placed.piece))
        .filter_map(|(sheet, placed)| part(plan, sheet, placed))
        .collect();
    // On which page a picture stands does not matter.
    shown.sort_by(|one, other| {
        one.digest
            .cmp(&other.digest)
            .then_with(|| {
                one.part
                    .map(f64::to_bits)
                    .cmp(&other.part.map(f64::to_bits))
            })
            .then_with(|| one.area.total_cmp(&other.area))
    });
    shown
}

fn part<'a>(plan: &Plan<'a>, sheet: &Sheet<'a>, placed: &'a PlacedPicture) -> Option<Shown<'a>> {
    let art = plan.art.get(placed.piece.as_str())?;
    // What is trimmed off is not seen.
    let window = placed.window.shared(sheet.with_bleed())?;
    let (frame, width, height) = (placed.frame, placed.frame.width, placed.frame.height);
    let share = |from: measure::Length, of: measure::Length| from.ratio(of).clamp(0.0, 1.0);
    Some(Shown {
        piece: &placed.piece,
        digest: art.known.digest,
        part: [
            share(window.x - frame.x, width),
            share(window.y - frame.y, height),
            share(window.right() - frame.x, width),
            share(window.bottom() - frame.y, height),
        ],
        area: window.width.mm() * window.height.mm(),
    })
}

fn key_of(shown: &[Shown<'_>], inks: &Inks) -> Digest {
    let mut all = Gather::new("colours of a book");
    all.put("method", METHOD)
        .put("count", Strip::COLOURS.to_le_bytes())
        .put("profile", inks.condition.profile.bytes())
        .put("settings", plain(inks).settings());
    for shown in shown {
        all.put("art", shown.digest.to_string());
        for value in shown.part.into_iter().chain([shown.area]) {
            all.put("part", value.to_le_bytes());
        }
    }
    all.done()
}

/// Area on paper, in mm², by colour of the small pictures: sRGB.
fn areas(
    desk: &Desk,
    shown: &[Shown<'_>],
    watch: &dyn Watch,
) -> Result<BTreeMap<[u8; 3], f64>, DeskError> {
    let mut areas: BTreeMap<[u8; 3], f64> = BTreeMap::new();
    let mut by_piece: BTreeMap<&str, Vec<&Shown<'_>>> = BTreeMap::new();
    for shown in shown {
        by_piece.entry(shown.piece).or_default().push(shown);
    }
    let total = by_piece.len();
    for (index, (piece, parts)) in by_piece.into_iter().enumerate() {
        if watch.stopped() {
            return Err(DeskError::stopped("strip"));
        }
        let unusable = |error: art::ArtError| press_job::unusable_art(piece, &error.to_string());
        let small = desk.thumbnail(piece, SMALL)?;
        let small = art::decode(&small, &art::Limits::default()).map_err(unusable)?;
        let (columns, rows) = (small.size.width as usize, small.size.height as usize);
        for shown in parts {
            let [left, top, right, bottom] = shown.part;
            let across = pixels(left, right, columns);
            let down = pixels(top, bottom, rows);
            let each = shown.area / (across.len() * down.len()).max(1) as f64;
            for row in down {
                for column in across.clone() {
                    let Some(rgb) = small.samples.rgb8(row * columns + column) else {
                        continue;
                    };
                    *areas.entry(rgb).or_default() += each;
                }
            }
        }
        watch.step(index + 1, total, &format!("looked at {piece}"));
    }
    Ok(areas)
}

/// The pixels of a row that lie between two shares of it; at least one.
fn pixels(from: f64, to: f64, count: usize) -> std::ops::Range<usize> {
    let last = count.saturating_sub(1);
    let first = ((from * count as f64).round() as usize).min(last);
    let end = ((to * count as f64).round() as usize).clamp(first + 1, count.max(first + 1));
    first..end
}

/// Colours with their weight and with what the bare press does to them: neither the book's recipe
/// nor what was learned of the press takes part, so that the same art keeps the same strip while
/// both are being found.
fn samples(areas: &BTreeMap<[u8; 3], f64>, inks: &Inks) -> Result<Vec<Sample>, DeskError> {
    let failed = |error: colour::ColourError| crate::inks::unusable(&error);
    let recipe = plain(inks);
    let separation = Separation::build(&recipe).map_err(failed)?;
    let reach = Reach::build(&recipe, &separation).map_err(failed)?;
    let mut device: Vec<[f32; 3]> = areas
        .keys()
        .map(|rgb| rgb.map(|value| f32::from(value) / 255.0))
        .collect();
    device.push([1.0; 3]);
    let mut colours = Profile::srgb().lab_of(&device).map_err(failed)?;
    let Some(white) = colours.pop() else {
        return Ok(Vec::new());
    };
    Ok(areas
        .iter()
        .zip(colours)
        .map(|((rgb, area), lab)| Sample {
            rgb: rgb.map(|value| u16::from(value) * 257),
            lab: lab.relative_to(white),
            weight: *area,
            pull: f64::from(reach.fate(*rgb).lost),
        })
        .collect())
}

/// The bare press for art in sRGB.
fn plain(inks: &Inks) -> Recipe {
    Recipe {
        source: Profile::srgb(),
        press: inks.condition.clone(),
        intent: inks.intent,
        ink_limit: inks.ink_limit,
        compensation: Compensation::NONE,
        departure: None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_part_of_a_row_is_at_least_one_pixel_of_it() {
        assert_eq!(pixels(0.0, 1.0, 160), 0..160);
        assert_eq!(pixels(0.25, 0.5, 160), 40..80);
        assert_eq!(pixels(0.0, 0.0001, 160), 0..1);
        assert_eq!(pixels(1.0, 1.0, 160), 159..160);
        assert_eq!(pixels(0.3, 0.4, 1), 0..1);
    }
}
