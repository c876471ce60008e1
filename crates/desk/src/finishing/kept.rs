//! What was found of a plate, remembered by what it was found from.

use finding::{Finding, Place, Severity};
use finish::{Fault, FaultKind, Fitted, Judged, Process};
use measure::{Length, Rect};
use serde::{Deserialize, Serialize};

use super::plate::MadePlate;
use super::{Stamp, Trouble};
use crate::digest::Digest;
use crate::{Desk, files};

/// A mask may be so soft before it is said: our assumption, a thousandth of it.
const SOFT: f64 = 0.001;
/// A mask must have so many pixels across the finest line, for anything to be said of it.
const LEAST_PIXELS: f64 = 4.0;

/// What is known of a plate.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(crate) struct Kept {
    /// Why there is none.
    pub trouble: Option<Trouble>,
    face: [i64; 4],
    extent: [i64; 4],
    share: f64,
    pixel: i64,
    /// Whether each is a gap, where on the sheet, and how wide.
    faults: Vec<(bool, [i64; 4], i64)>,
    count: usize,
    soft: f64,
    /// What was done to a mask of other proportions, in words.
    fitted: Option<String>,
    /// What of it stands in places to keep clear.
    in_the_way: Vec<[i64; 4]>,
    /// What of it lies on the bar code or its quiet zones.
    on_bars: Option<[i64; 4]>,
}

impl Stamp<'_> {
    /// Whether the pixels of its plate are too large for the finest lines and gaps to be measured.
    pub(super) fn is_coarse(&self, judged: &Judged) -> bool {
        let bounds = self.bounds();
        judged.pixel.mm() * LEAST_PIXELS > bounds.line.min(bounds.gap).mm()
    }
}

impl Kept {
    pub(super) fn without_plate(trouble: Trouble) -> Self {
        Self {
            trouble: Some(trouble),
            face: [0; 4],
            extent: [0; 4],
            share: 0.0,
            pixel: 0,
            faults: Vec::new(),
            count: 0,
            soft: 0.0,
            fitted: None,
            in_the_way: Vec::new(),
            on_bars: None,
        }
    }

    pub(super) fn of(stamp: &Stamp<'_>, made: &MadePlate) -> Self {
        let judged = finish::judge(made.painted.plate(), &stamp.bounds());
        Self {
            trouble: None,
            face: nm(made.face),
            extent: nm(made.extent(made.face).unwrap_or(made.face)),
            share: judged.share,
            pixel: judged.pixel.nm(),
            faults: judged
                .faults
                .iter()
                .map(|fault| {
                    let place = fault.place.moved(made.face.x, made.face.y);
                    (fault.kind == FaultKind::Gap, nm(place), fault.width.nm())
                })
                .collect(),
            count: judged.count,
            soft: made.soft,
            fitted: made.fitted.map(fitted_words),
            in_the_way: stamp
                .places_to_keep_clear()
                .filter_map(|place| made.extent(place))
                .map(nm)
                .collect(),
            on_bars: stamp.bars().and_then(|bars| made.extent(bars)).map(nm),
        }
    }

    pub(super) fn read(desk: &Desk, key: Digest) -> Option<Self> {
        let text = std::fs::read(path(desk, key)).ok()?;
        serde_json::from_slice(&text).ok()
    }

    /// What is not remembered is only found again.
    pub(super) fn write(&self, desk: &Desk, key: Digest) {
        if let Ok(text) = serde_json::to_vec(self) {
            let _ = files::write_whole(&path(desk, key), &text);
        }
    }

    pub(super) fn face(&self) -> Option<Rect> {
        self.trouble.is_none().then(|| rect(self.face))
    }

    pub(super) fn extent(&self) -> Option<Rect> {
        self.trouble.is_none().then(|| rect(self.extent))
    }

    /// Faults on the sheet.
    pub(super) fn judged(&self) -> Judged {
        Judged {
            faults: self
                .faults
                .iter()
                .map(|&(gap, place, width)| Fault {
                    kind: if gap { FaultKind::Gap } else { FaultKind::Line },
                    place: rect(place),
                    width: Length::from_nm(width),
                })
                .collect(),
            count: self.count,
            share: self.share,
            pixel: Length::from_nm(self.pixel),
        }
    }

    pub(super) fn findings(&self, stamp: &Stamp<'_>) -> Vec<Finding> {
        if let Some(trouble) = &self.trouble {
            return vec![trouble.finding(stamp)];
        }
        let name = &stamp.finishing.name;
        let process = stamp.process();
        let bounds = stamp.bounds();
        let judged = self.judged();
        let mut findings = judged.findings(name, process, &bounds);
        if self.soft > SOFT {
            findings.push(
                Finding::new(
                    "finish-mask-soft",
                    Severity::Warn,
                    Place::Whole,
                    format!(
                        "The mask of the {} `{name}` is grey in {:.1} % of its area; it was cut at \
                         half, dark to plate and light to none.",
                        process.word(),
                        self.soft * 100.0
                    ),
                )
                .hint("Draw it in black and white alone: a plate has no halftones."),
            );
        }
        if let Some(fitted) = &self.fitted {
            findings.push(
                Finding::new(
                    "finish-mask-fitted",
                    Severity::Note,
                    Place::Whole,
                    format!(
                        "The mask of the {} `{name}` has other proportions than its panel: {fitted}.",
                        process.word()
                    ),
                )
                .hint(format!(
                    "That is as `finishing.{name}.fit` wishes; draw the mask at the size of the \
                     panel, and nothing need be done to it."
                )),
            );
        }
        if stamp.is_coarse(&judged) {
            let finest = bounds.line.min(bounds.gap);
            findings.push(
                Finding::new(
                    "finish-mask-coarse",
                    Severity::Warn,
                    Place::Whole,
                    format!(
                        "The mask of the {} `{name}` is too coarse for its finest lines to be \
                         measured, and its edges will look stepped.",
                        process.word()
                    ),
                )
                .hint("Draw it as SVG, or save it with more pixels.")
                .figures(
                    format!("{:.0} ppi", 25.4 / judged.pixel.mm().max(1e-6)),
                    format!("at least {:.0} ppi", 25.4 * LEAST_PIXELS / finest.mm()),
                ),
            );
        }
        let what = format!("The {} `{name}`", process.word());
        for place in &self.in_the_way {
            findings.extend(stamp.sheet.say_in_the_way(&what, rect(*place)));
        }
        findings.extend(
            self.on_bars
                .map(|place| on_bars(&what, process, rect(place))),
        );
        findings
    }
}

/// Nothing may lie on bars, whatever else their ground is: metal throws the scanner's light back, and so
/// does gloss at some angles; a relief bends the bars.
fn on_bars(what: &str, process: Process, place: Rect) -> Finding {
    let (severity, becomes) = match process {
        Process::Foil => (Severity::Stop, "a scanner sees metal and no bars"),
        Process::SpotVarnish => (Severity::Warn, "its gloss can blind a scanner"),
        Process::Emboss | Process::Deboss => (Severity::Warn, "a relief bends the bars"),
    };
    Finding::new(
        "finish-on-bar-code",
        severity,
        Place::Whole,
        format!("{what} lies on the bar code or its quiet zones: {becomes}."),
    )
    .hint(
        "Leave the place out of its mask, or move the bars with `barcode.panel` and `barcode.place`.",
    )
    .figures(
        format!("{:.1} × {:.1} mm on it", place.width.mm(), place.height.mm()),
        "nothing on it",
    )
}

/// What was done to a mask, as the end of a sentence.
fn fitted_words(fitted: Fitted) -> String {
    match fitted {
        Fitted::Centred { beside, above } if beside > above => format!(
            "it lies in the middle, with {:.1} mm free at the left and at the right",
            beside.mm()
        ),
        Fitted::Centred { above, .. } => format!(
            "it lies in the middle, with {:.1} mm free at the head and at the foot",
            above.mm()
        ),
        Fitted::Stretched(times) if times > 1.0 => format!(
            "it is stretched, {:.1} % wider than drawn for its height",
            (times - 1.0) * 100.0
        ),
        Fitted::Stretched(times) => format!(
            "it is stretched, {:.1} % higher than drawn for its width",
            (1.0 / times - 1.0) * 100.0
        ),
    }
}

fn path(desk: &Desk, key: Digest) -> std::path::PathBuf {
    desk.private("cache/plates").join(format!("{key}.json"))
}

fn nm(rect: Rect) -> [i64; 4] {
    [rect.x.nm(), rect.y.nm(), rect.width.nm(), rect.height.nm()]
}

fn rect([x, y, width, height]: [i64; 4]) -> Rect {
    let [x, y, width, height] = [x, y, width, height].map(Length::from_nm);
    Rect::new(x, y, width, height)
}
