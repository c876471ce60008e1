//! What a change of colours does, drawn: light and dark as a curve, the strength of colours as a
//! rose.

use std::f64::consts::TAU;
use std::fmt::Write;

use desk::colour::Lab;
use maud::{Markup, html};

use crate::drawing::short;
use crate::swatch;

/// Colours around the rose.
const HUES: usize = 48;
/// Where the rose is looked at: a middle lightness, and a chroma that art has everywhere.
const LIGHTNESS: f64 = 62.0;
const CHROMA: f64 = 38.0;
/// Radius in the drawing of a colour that stays as strong as it is.
const WHOLE: f64 = 38.0;

/// Lightness before from left to right, after upwards; the dashed line is where nothing changes.
/// `points` are what was measured, before and after.
pub(crate) fn curve(change: impl Fn(Lab) -> Lab, points: &[(f64, f64)]) -> Markup {
    let mut path = String::new();
    for step in 0..=50 {
        let before = f64::from(step) * 2.0;
        point(&mut path, step == 0, before, 100.0 - change(grey(before)).l);
    }
    let ends = [0.0, 50.0, 100.0].map(|before| short(change(grey(before)).l));
    html! {
        svg.curve viewBox="-1 -1 102 102" role="img"
            aria-label={ "Curve of lightness: black becomes L* " (ends[0]) ", middle grey L* " (ends[1]) ", white L* " (ends[2]) }
        {
            @for step in 0..10 {
                @let (at, fill) = (f64::from(step) * 10.0, swatch::fill(grey(f64::from(step) * 10.0 + 5.0)));
                rect x=(short(at)) y="95" width="10.2" height="5" fill=(fill) {}
                rect x="0" y=(short(90.0 - at)) width="5" height="10.2" fill=(fill) {}
            }
            rect.frame width="100" height="100" {}
            path.same d="M0 100L100 0" {}
            path.line d=(path) {}
            @for (before, after) in points { circle.point cx=(short(*before)) cy=(short(100.0 - after)) r="1.8" {} }
        }
    }
}

/// Each hue as far from the middle as it is strong afterwards; on the dashed circle nothing changes.
pub(crate) fn rose(change: impl Fn(Lab) -> Lab) -> Markup {
    let step = TAU / HUES as f64;
    let petals = (0..HUES).map(|index| {
        let made = change(at(index as f64 * step));
        let (radius, hue) = (WHOLE * made.chroma() / CHROMA, made.b.atan2(made.a));
        let mut path = "M0 0".to_owned();
        // A little wider than its share, so that no gap shows between two petals.
        for turn in [-0.52, 0.0, 0.52] {
            let angle = hue + turn * step;
            point(
                &mut path,
                false,
                radius * angle.cos(),
                -radius * angle.sin(),
            );
        }
        path.push('Z');
        (path, swatch::fill(made))
    });
    html! {
        svg.rose viewBox="-51 -51 102 102" role="img" aria-label="Rose of colours: how strong each hue becomes" {
            @for (path, colour) in petals { path d=(path) fill=(colour) {} }
            circle.same r=(short(WHOLE)) {}
        }
    }
}

const fn grey(l: f64) -> Lab {
    Lab { l, a: 0.0, b: 0.0 }
}

fn at(hue: f64) -> Lab {
    Lab {
        l: LIGHTNESS,
        a: CHROMA * hue.cos(),
        b: CHROMA * hue.sin(),
    }
}

fn point(path: &mut String, first: bool, x: f64, y: f64) {
    let letter = if first { 'M' } else { 'L' };
    write!(path, "{letter}{} {}", short(x), short(y)).expect("a string takes any text");
}
