//! What was learned of a press, in plain words.

use colour::{Departure, Lab};

/// Colours that are named, by the middle of their hue in L*a*b*. Our assumption, after where the
/// solids and overprints of offset on coated paper lie.
const HUES: [(&str, f64); 6] = [
    ("reds", 35.0),
    ("yellows", 92.0),
    ("greens", 150.0),
    ("cyans", 232.0),
    ("blues", 290.0),
    ("magentas", 355.0),
];
/// Less than this is not worth a word: in L*, in percent of chroma, and in a* or b*.
const WORTH: (f64, f64, f64) = (0.7, 2.0, 0.8);

/// One sentence for each thing that stands out.
pub(super) fn words(departure: &Departure) -> Vec<String> {
    let mut words = Vec::new();
    words.extend(tones(departure));
    words.extend(strength(departure));
    words.extend(cast(departure));
    if words.is_empty() {
        words.push("It departs a little here and there, with no pattern of a name.".to_owned());
    }
    words
}

fn tones(departure: &Departure) -> Option<String> {
    let parts: Vec<String> = [("light", 80.0), ("middle", 50.0), ("dark", 25.0)]
        .into_iter()
        .filter_map(|(name, l)| {
            let off = departure.apply(grey(l)).l - l;
            let way = if off < 0.0 { "darker" } else { "lighter" };
            (off.abs() >= WORTH.0).then(|| format!("{name} tones {:.1} L* {way}", off.abs()))
        })
        .collect();
    (!parts.is_empty()).then(|| {
        format!(
            "It prints {} than they should be.",
            crate::facts::list(&parts)
        )
    })
}

fn strength(departure: &Departure) -> Option<String> {
    let factors = HUES.map(|(name, hue)| {
        let (sin, cos) = hue.to_radians().sin_cos();
        let wanted = Lab {
            l: 55.0,
            a: 40.0 * cos,
            b: 40.0 * sin,
        };
        let printed = departure.apply(wanted);
        (name, (printed.chroma() / 40.0 - 1.0) * 100.0)
    });
    let mean = factors.iter().map(|(_, percent)| percent).sum::<f64>() / factors.len() as f64;
    let most = factors
        .iter()
        .copied()
        .max_by(|one, other| (one.1 - mean).abs().total_cmp(&(other.1 - mean).abs()))?;
    let way = |percent: f64| if percent < 0.0 { "weaker" } else { "stronger" };
    let stands_out = (most.1 - mean).abs() >= 2.0 * WORTH.1;
    match (mean.abs() >= WORTH.1, stands_out) {
        (false, false) => None,
        (true, false) => Some(format!(
            "Its colours come out {:.0} % {}.",
            mean.abs(),
            way(mean)
        )),
        (false, true) => Some(format!(
            "Its {} come out {:.0} % {}.",
            most.0,
            most.1.abs(),
            way(most.1)
        )),
        (true, true) if most.1.abs() < WORTH.1 => Some(format!(
            "Its colours come out {:.0} % {}, but hardly its {}.",
            mean.abs(),
            way(mean),
            most.0
        )),
        (true, true) => Some(format!(
            "Its colours come out {:.0} % {}, its {} {:.0} % {}.",
            mean.abs(),
            way(mean),
            most.0,
            most.1.abs(),
            way(most.1)
        )),
    }
}

fn cast(departure: &Departure) -> Option<String> {
    let printed = departure.apply(grey(50.0));
    let parts: Vec<String> = [(printed.a, "red", "green"), (printed.b, "yellow", "blue")]
        .into_iter()
        .filter(|(value, _, _)| value.abs() >= WORTH.2)
        .map(|(value, plus, minus)| {
            let hue = if value > 0.0 { plus } else { minus };
            format!("{hue} by {:.1}", value.abs())
        })
        .collect();
    (!parts.is_empty()).then(|| format!("Its middle greys lean to {}.", crate::facts::list(&parts)))
}

fn grey(l: f64) -> Lab {
    Lab { l, a: 0.0, b: 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_heavy_press_is_told_as_darker_and_stronger() {
        let departure = Departure {
            tone: vec![(0.0, 0.0), (50.0, 44.0), (100.0, 100.0)],
            saturation: vec![1.1],
            ..Departure::default()
        };
        let words = words(&departure);
        assert!(words[0].contains("middle tones 6.0 L* darker"), "{words:?}");
        assert_eq!(words[1], "Its colours come out 10 % stronger.");
        assert_eq!(words.len(), 2);
    }

    #[test]
    fn a_cast_is_told_by_its_hue() {
        let departure = Departure {
            cast: vec![(-1.5, 0.2)],
            ..Departure::default()
        };
        assert_eq!(
            words(&departure),
            ["Its middle greys lean to green by 1.5."]
        );
    }
}
