use std::collections::BTreeMap;

use colour::{Lab, delta_e_2000};

use crate::cgats::{Cgats, Row};
use crate::{Mark, ProofError, Strip};

/// How lines of a measurement were told to be which patch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Matched {
    /// By the patches' names.
    Names,
    /// By the inks beside the colours.
    Inks,
    /// By their order, checked against the colours.
    Order,
    /// By their place in a scan.
    Place,
}

/// One patch as it came from the press.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// Which patch of the strip, from 0.
    pub patch: usize,
    /// Its colour; absolute, D50.
    pub lab: Lab,
    /// How uneven it was: standard deviation in ΔE, where that is known.
    pub spread: Option<f64>,
}

/// A measured strip. Each patch is read at most once.
#[derive(Debug, Clone, PartialEq)]
pub struct Measurement {
    /// Readings in the patches' order.
    pub readings: Vec<Reading>,
    /// Patches without a reading, from 0.
    pub missing: Vec<usize>,
    /// How they were told apart.
    pub matched: Matched,
    /// The mark that came with it.
    pub mark: Option<Mark>,
    /// What had to be assumed or put right, as sentences.
    pub remarks: Vec<String>,
}

/// Inks as far apart as this, in percent, are two.
const SAME_INK: f64 = 1.0;
/// Readings of one patch that are as far apart as this, in ΔE00, contradict each other.
const SAME_COLOUR: f64 = 3.0;
/// Readings in order may miss what was predicted by this much on average, in ΔE00: a heavy press
/// misses by about 6, neighbours that are taken for each other by about 25.
const IN_ORDER: f64 = 12.0;
/// Two patches count as exchanged when exchanging them back saves this much, in ΔE00.
const EXCHANGED: f64 = 15.0;

impl Measurement {
    /// Finds each line's patch: by name, else by ink, else by order.
    ///
    /// `expected` is the strip's own mark; without a page any page will do. A measurement in plain
    /// order must hold every patch; it may run backwards, as when the strip lay turned by 180°.
    ///
    /// # Errors
    /// The measurement is of another strip, or its lines cannot be told apart.
    pub fn match_to(strip: &Strip, expected: &Mark, cgats: &Cgats) -> Result<Self, ProofError> {
        let mark = cgats.mark()?;
        if let Some(mark) = &mark {
            check_mark(expected, mark)?;
        }
        let mut remarks = Vec::new();
        if cgats.decimal_comma {
            remarks.push("Its decimals are written with a comma and were read so.".into());
        }
        let (matched, found) = if let Some(found) = by_names(strip, &cgats.rows, &mut remarks)? {
            (Matched::Names, found)
        } else if let Some(found) = by_inks(strip, &cgats.rows, &mut remarks)? {
            (Matched::Inks, found)
        } else {
            (Matched::Order, by_order(strip, &cgats.rows, &mut remarks)?)
        };
        let mut measured: BTreeMap<usize, Vec<&Row>> = BTreeMap::new();
        for (patch, row) in found {
            measured.entry(patch).or_default().push(row);
        }
        let mut readings = Vec::new();
        for (patch, rows) in measured {
            readings.push(Reading {
                patch,
                lab: agreed(&strip.patches[patch].name, &rows, &mut remarks)?,
                spread: None,
            });
        }
        Ok(Self::of(strip, readings, matched, mark, remarks))
    }

    /// A measurement from a scan: patch, colour and spread of each that was seen. Patches that the
    /// strip has not, and those seen twice, are left out.
    pub fn of_scan(strip: &Strip, mark: Option<Mark>, seen: &[(usize, Lab, f64)]) -> Self {
        let mut once = BTreeMap::new();
        for &(patch, lab, spread) in seen {
            if patch < strip.patches.len() {
                let spread = Some(spread);
                once.entry(patch).or_insert(Reading { patch, lab, spread });
            }
        }
        let readings = once.into_values().collect();
        Self::of(strip, readings, Matched::Place, mark, Vec::new())
    }

    fn of(
        strip: &Strip,
        readings: Vec<Reading>,
        matched: Matched,
        mark: Option<Mark>,
        remarks: Vec<String>,
    ) -> Self {
        let missing = (0..strip.patches.len())
            .filter(|&patch| readings.iter().all(|reading| reading.patch != patch))
            .collect();
        Self {
            readings,
            missing,
            matched,
            mark,
            remarks,
        }
    }

    /// The colour that was read for a patch.
    pub fn lab_of(&self, patch: usize) -> Option<Lab> {
        self.readings
            .iter()
            .find(|reading| reading.patch == patch)
            .map(|reading| reading.lab)
    }

    /// Two patches whose readings are far nearer to each other's prediction than to their own, as
    /// when the strip was measured out of order.
    pub(crate) fn exchanged(&self, strip: &Strip) -> Option<(usize, usize)> {
        let far = |reading: &Reading, patch: usize| {
            delta_e_2000(reading.lab, strip.patches[patch].predicted)
        };
        let mut worst = None;
        let mut most = EXCHANGED;
        for (i, one) in self.readings.iter().enumerate() {
            for other in &self.readings[..i] {
                let own = far(one, one.patch) + far(other, other.patch);
                let crossed = far(one, other.patch) + far(other, one.patch);
                if own - crossed > most && crossed < own / 2.0 {
                    most = own - crossed;
                    worst = Some((other.patch, one.patch));
                }
            }
        }
        worst
    }
}

/// A reading that is far nearer to another patch's prediction than to its own: whatever the ring of
/// lines that changed places, at least one of them shows it.
fn misplaced(strip: &Strip, readings: &[(usize, &Row)]) -> Option<(usize, usize)> {
    let far = |row: &Row, patch: usize| delta_e_2000(row.lab, strip.patches[patch].predicted);
    readings
        .iter()
        .filter_map(|&(patch, row)| {
            let own = far(row, patch);
            if own <= EXCHANGED {
                return None;
            }
            let (near, other) = (0..strip.patches.len())
                .map(|other| (far(row, other), other))
                .min_by(|one, two| one.0.total_cmp(&two.0))?;
            (own - near > EXCHANGED && near < own / 2.0).then_some((own - near, patch, other))
        })
        .max_by(|one, two| one.0.total_cmp(&two.0))
        .map(|(_, patch, other)| (patch, other))
}

fn check_mark(expected: &Mark, found: &Mark) -> Result<(), ProofError> {
    let other = |what: String| Err(ProofError::OtherStrip(what));
    if found.version != expected.version {
        return other(format!(
            "it is of version {} of the strip, and this is version {}",
            found.version, expected.version
        ));
    }
    if !found.file.eq_ignore_ascii_case(&expected.file) {
        return other(format!(
            "it is of the file {}, and this strip stands in {}",
            found.file, expected.file
        ));
    }
    match (expected.page, found.page) {
        (Some(wanted), Some(page)) if wanted != page => {
            other(format!("it is of page {page}, and this is page {wanted}"))
        }
        _ => Ok(()),
    }
}

type Found<'a> = Vec<(usize, &'a Row)>;

/// By SAMPLE_ID or SAMPLE_NAME, whichever knows more patches; `None` if neither knows half.
fn by_names<'a>(
    strip: &Strip,
    rows: &'a [Row],
    remarks: &mut Vec<String>,
) -> Result<Option<Found<'a>>, ProofError> {
    let patches: BTreeMap<String, usize> = strip
        .patches
        .iter()
        .enumerate()
        .map(|(i, patch)| (plain_name(&patch.name), i))
        .collect();
    let known = |label: fn(&Row) -> Option<&String>| -> Found<'a> {
        rows.iter()
            .filter_map(|row| Some((*patches.get(&plain_name(label(row)?))?, row)))
            .collect()
    };
    let ids = known(|row| row.id.as_ref());
    let names = known(|row| row.name.as_ref());
    let found = if names.len() > ids.len() { names } else { ids };
    if found.is_empty() || found.len() * 2 < rows.len() {
        return Ok(None);
    }
    for (patch, row) in &found {
        let patch = &strip.patches[*patch];
        if let Some(ink) = row.ink
            && apart(ink, patch.ink) > 3.0 * SAME_INK
        {
            let [c, m, y, k] = ink;
            return Err(ProofError::OtherStrip(format!(
                "line {} measured ink {c:.0} {m:.0} {y:.0} {k:.0} as {}, which is other ink here",
                row.line, patch.name
            )));
        }
    }
    left_out(rows.len() - found.len(), remarks);
    Ok(Some(found))
}

/// By ink; `None` if lines have none. Patches of the same ink are taken in their order.
fn by_inks<'a>(
    strip: &Strip,
    rows: &'a [Row],
    remarks: &mut Vec<String>,
) -> Result<Option<Found<'a>>, ProofError> {
    let mut taken = vec![false; strip.patches.len()];
    let mut found = Vec::new();
    for row in rows {
        let Some(ink) = row.ink else { return Ok(None) };
        let nearest = (0..taken.len())
            .filter(|&i| apart(ink, strip.patches[i].ink) <= SAME_INK)
            .min_by(|&i, &j| {
                let far = |i: usize| apart(ink, strip.patches[i].ink);
                taken[i].cmp(&taken[j]).then(far(i).total_cmp(&far(j)))
            });
        if let Some(patch) = nearest {
            taken[patch] = true;
            found.push((patch, row));
        }
    }
    if found.len() * 2 < rows.len() {
        return Err(ProofError::OtherStrip(format!(
            "only {} of its {} inks are on this strip",
            found.len(),
            rows.len()
        )));
    }
    left_out(rows.len() - found.len(), remarks);
    Ok(Some(found))
}

/// In the strip's order or backwards, if the colours agree with that and with no other order.
fn by_order<'a>(
    strip: &Strip,
    rows: &'a [Row],
    remarks: &mut Vec<String>,
) -> Result<Found<'a>, ProofError> {
    let count = strip.patches.len();
    if rows.len() != count {
        return Err(ProofError::OtherStrip(format!(
            "its lines carry neither names nor inks of this strip, so that only their order could \
             tell them apart; but the strip has {count} patches and the file {} lines",
            rows.len()
        )));
    }
    let forwards: Found = rows.iter().enumerate().collect();
    let backwards: Found = (0..count).zip(rows.iter().rev()).collect();
    let off = |found: &Found| {
        let sum: f64 = found
            .iter()
            .map(|(patch, row)| delta_e_2000(strip.patches[*patch].predicted, row.lab))
            .sum();
        sum / found.len().max(1) as f64
    };
    let turned = off(&backwards) < off(&forwards);
    let found = if turned { backwards } else { forwards };
    if off(&found) > IN_ORDER {
        return Err(ProofError::OtherStrip(format!(
            "its lines carry neither names nor inks of this strip, and in order their colours are \
             {:.0} ΔE00 off on average; it is another strip, or measured in another order",
            off(&found)
        )));
    }
    let readings = found
        .iter()
        .map(|&(patch, row)| Reading {
            patch,
            lab: row.lab,
            spread: None,
        })
        .collect();
    let tried = Measurement::of(strip, readings, Matched::Order, None, Vec::new());
    if let Some((one, other)) = tried.exchanged(strip) {
        return Err(ProofError::OtherStrip(format!(
            "its lines carry neither names nor inks of this strip, and by their colours {} and {} \
             are exchanged; measure it in order, left to right and then down",
            strip.patches[one].name, strip.patches[other].name
        )));
    }
    if let Some((patch, other)) = misplaced(strip, &found) {
        return Err(ProofError::OtherStrip(format!(
            "its lines carry neither names nor inks of this strip, and the colour in the place of {} \
             is that of {}; measure it in order, left to right and then down",
            strip.patches[patch].name, strip.patches[other].name
        )));
    }
    remarks.push(
        "Its lines carry neither names nor inks of this strip; they were taken in order.".into(),
    );
    if turned {
        remarks.push("It was measured backwards and was turned round.".into());
    }
    Ok(found)
}

/// The mean of a patch's readings.
fn agreed(name: &str, rows: &[&Row], remarks: &mut Vec<String>) -> Result<Lab, ProofError> {
    let count = rows.len() as f64;
    let mean = |value: fn(&Lab) -> f64| rows.iter().map(|row| value(&row.lab)).sum::<f64>() / count;
    let lab = Lab {
        l: mean(|lab| lab.l),
        a: mean(|lab| lab.a),
        b: mean(|lab| lab.b),
    };
    if rows.len() > 1 {
        let far = |row: &&Row| delta_e_2000(row.lab, lab) > SAME_COLOUR;
        if let Some(row) = rows.iter().copied().find(far) {
            return Err(ProofError::Line {
                line: row.line,
                what: format!(
                    "the patch {name} is measured {} times with different colours",
                    rows.len()
                ),
            });
        }
        remarks.push(format!(
            "The patch {name} was measured {} times; the mean was taken.",
            rows.len()
        ));
    }
    Ok(lab)
}

fn left_out(count: usize, remarks: &mut Vec<String>) {
    if count > 0 {
        remarks.push(format!(
            "{count} of its lines are of no patch of this strip and were left out."
        ));
    }
}

/// `a01` is `A1`.
fn plain_name(name: &str) -> String {
    let name = name.trim().to_ascii_uppercase();
    let digits = name.trim_start_matches(|c: char| c.is_ascii_alphabetic());
    let letters = &name[..name.len() - digits.len()];
    if letters.is_empty() {
        return name.clone();
    }
    format!("{letters}{}", digits.trim_start_matches('0'))
}

/// Greatest difference of two inks, in percent.
fn apart(percent: [f64; 4], bytes: [u8; 4]) -> f64 {
    percent
        .iter()
        .zip(bytes)
        .map(|(percent, byte)| (percent - f64::from(byte) / 2.55).abs())
        .fold(0.0, f64::max)
}
