//! Papers to compare with.

use measure::{Bulk, Grammage, Length};

use super::Unsure;
use crate::model::{Finish, Stock};

/// Weights in which text papers are usually held. Common practice, no source.
const WEIGHTS: [f64; 14] = [
    70.0, 80.0, 90.0, 100.0, 115.0, 120.0, 130.0, 135.0, 150.0, 170.0, 190.0, 200.0, 250.0, 300.0,
];
/// Kinds of paper by their bulk: coated ones run from 0.8 to 1.0 cm³/g and uncoated ones from 1.2
/// to 1.6 (ranges read at ybj-printing.com, "Paper bulk vs gsm"); bulky book papers reach 1.8 to 2
/// (British volumes of 18 to 20; from memory). The places within are our assumption.
const KINDS: [(&str, Finish, f64); 6] = [
    ("gloss coated", Finish::Gloss, 0.8),
    ("silk coated", Finish::Silk, 0.9),
    ("matt coated", Finish::Matt, 0.95),
    ("smooth uncoated", Finish::Uncoated, 1.25),
    ("bulky uncoated", Finish::Uncoated, 1.5),
    ("volume 18 uncoated", Finish::Uncoated, 1.8),
];
/// Mills keep to the weight and to the thickness they state within so much. Our assumption.
const MILL: f64 = 0.04;
/// How many are named.
const NAMED: usize = 5;

/// A paper that comes near to what was measured.
#[derive(Debug, Clone, PartialEq)]
pub struct NearStock {
    /// What it is: `silk coated`, or the name of one of the book's own stocks.
    pub name: String,
    /// Its surface.
    pub finish: Finish,
    /// Mass per area.
    pub grammage: Grammage,
    /// Thickness of one sheet.
    pub caliper: Length,
    /// How far away it is: 1 is as far as measuring and the mill's tolerance may be off.
    pub away: f64,
}

impl NearStock {
    /// Whether it can be the paper that was measured.
    pub fn can_be(&self) -> bool {
        self.away <= 1.0
    }

    /// Its bulk in cm³/g.
    pub fn bulk_cm3_per_g(&self) -> f64 {
        self.caliper.um() / self.grammage.gsm()
    }
}

/// The papers nearest to a weight and a thickness, nearest first.
///
/// Weight and thickness are measured apart from each other, so their distances add as squares.
pub(super) fn nearest(
    grammage_gsm: Unsure,
    caliper_um: Unsure,
    finish: Option<Finish>,
    own: &[Stock],
) -> Vec<NearStock> {
    let away = |grammage: Grammage, caliper: Length| {
        let part =
            |measured: Unsure, of: f64| (measured.value - of) / measured.likely.hypot(of * MILL);
        part(grammage_gsm, grammage.gsm()).hypot(part(caliper_um, caliper.um()))
    };
    let held = KINDS.iter().flat_map(|(name, kind, bulk)| {
        WEIGHTS.iter().filter_map(move |weight| {
            let grammage = Grammage::from_gsm(*weight)?;
            let caliper = Bulk::from_cm3_per_g(*bulk)?.caliper(grammage);
            Some(((*name).to_owned(), *kind, grammage, caliper))
        })
    });
    let own = own.iter().map(|stock| {
        let name = if stock.name.is_empty() {
            "this book's text stock".to_owned()
        } else {
            format!("this book's {}", stock.name)
        };
        (name, stock.finish, stock.grammage, stock.caliper())
    });
    let mut all: Vec<NearStock> = own
        .chain(held)
        .filter(|(_, kind, ..)| finish.is_none_or(|wanted| wanted == *kind))
        .map(|(name, finish, grammage, caliper)| NearStock {
            name,
            finish,
            grammage,
            caliper,
            away: away(grammage, caliper),
        })
        .collect();
    all.sort_by(|a, b| a.away.total_cmp(&b.away));
    all.truncate(NAMED);
    all
}
