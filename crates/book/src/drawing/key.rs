//! The small drawing of a sheet that stands beside it in its press file.

use super::mark::{Anchor, Area, Line, Mark, Words, width_of};
use super::{Drawing, sheet};
use crate::plan::SheetPlan;

/// Height of its letters in millimetres on paper: about seven points.
const LETTER: f64 = 2.4;
/// How high the sheet is drawn, in millimetres on paper; that keeps the whole file about as large as
/// the sheet. Our choice.
const HEIGHT: f64 = 60.0;
/// Scales, of which the first that is small enough is taken.
const SCALES: [u32; 8] = [2, 3, 4, 5, 6, 8, 10, 20];

/// Draws it.
pub(super) fn key(of: &SheetPlan) -> Drawing {
    let height = of.flat.trim.height.mm();
    let fits = |scale: &u32| height <= HEIGHT * f64::from(*scale);
    let scale = f64::from(SCALES.into_iter().find(fits).unwrap_or(50));
    let letter = LETTER * scale;
    let drawing = sheet::sheet(&of.flat, letter, bar_code(of, letter), "").scaled(1.0 / scale);
    let down = LETTER * 1.8;
    let mut marks = vec![Mark::words(
        (0.0, LETTER),
        format!(
            "Key to this sheet, 1 : {scale}, in mm: cut whole, folds dashed, keep clear hatched"
        ),
        LETTER,
        Anchor::Start,
    )];
    let reach = marks[0].reach().map_or(0.0, |(_, end)| end);
    marks.extend(drawing.marks.into_iter().map(|mark| mark.moved(0.0, down)));
    Drawing {
        size: (drawing.size.0.max(reach + LETTER), drawing.size.1 + down),
        marks,
        ..drawing
    }
}

/// The place of the bar code; how large it is stands in the words beside the sheet.
fn bar_code(of: &SheetPlan, letter: f64) -> Vec<Mark> {
    let Some(bars) = &of.bar_code else {
        return Vec::new();
    };
    let text = "bar code";
    let (x, y) = (bars.rect.x.mm(), bars.rect.y.mm());
    let (width, height) = (bars.rect.width.mm(), bars.rect.height.mm());
    let size = letter.min(width * 0.95 / width_of(text, 1.0));
    vec![
        Mark::area(Area::Beyond, (x, y, width, height), Some(Line::Edge)),
        Mark::Words(Words {
            at: (x + width / 2.0, y + height / 2.0 + size * 0.35),
            text: text.to_owned(),
            size,
            anchor: Anchor::Middle,
            turned: false,
            strong: false,
            cleared: false,
        }),
    ]
}
