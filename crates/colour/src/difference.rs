use crate::Lab;

/// 25 to the seventh, the constant of the formula's two chroma terms.
const POW25_7: f64 = 6_103_515_625.0;

/// CIEDE2000 colour difference (ISO/CIE 11664-6), k = 1.
///
/// Follows the notation of Sharma, Wu and Dalal, *Color Research and Application* 30 (2005) 21-30,
/// whose 34 pairs are among the tests. Near opposite hues the formula itself jumps.
pub fn delta_e_2000(one: Lab, other: Lab) -> f64 {
    let terms = Terms::of(one, other);
    let l = terms.d_l / terms.s_l;
    let c = terms.d_c / terms.s_c;
    let h = terms.d_h / terms.s_h;
    // Rounding may leave a hair under zero for equal colours.
    (l * l + c * c + h * h + terms.r_t * c * h).max(0.0).sqrt()
}

/// The quadratic form that CIEDE2000 comes to for small differences around one colour: `dᵀ G d`
/// is ΔE00 squared for a small step `d` in L*, a*, b*.
///
/// Built from the formula's own weights; its turning of a* (the factor 1 + G) is included as a
/// constant, which leaves out only second-order terms.
pub(crate) fn local_metric(at: Lab) -> [[f64; 3]; 3] {
    let weights = Terms::of(at, at);
    let a = at.a * (1.0 + weights.g);
    let chroma = a.hypot(at.b);
    // Unit vectors of chroma and hue in the a', b' plane; for grey any pair will do.
    let (cos, sin) = if chroma > 1e-9 {
        (a / chroma, at.b / chroma)
    } else {
        (1.0, 0.0)
    };
    let stretch = 1.0 + weights.g;
    let c = [0.0, cos * stretch / weights.s_c, sin / weights.s_c];
    let h = [0.0, -sin * stretch / weights.s_h, cos / weights.s_h];
    let mut metric = [[0.0; 3]; 3];
    metric[0][0] = 1.0 / (weights.s_l * weights.s_l);
    for i in 1..3 {
        for j in 1..3 {
            metric[i][j] =
                c[i] * c[j] + h[i] * h[j] + weights.r_t * (c[i] * h[j] + h[i] * c[j]) / 2.0;
        }
    }
    metric
}

/// Differences, weights and rotation of one pair.
struct Terms {
    d_l: f64,
    d_c: f64,
    d_h: f64,
    s_l: f64,
    s_c: f64,
    s_h: f64,
    r_t: f64,
    g: f64,
}

impl Terms {
    fn of(one: Lab, other: Lab) -> Self {
        let g = 0.5 * (1.0 - chroma_term(f64::midpoint(one.chroma(), other.chroma())));
        let (a1, a2) = (one.a * (1.0 + g), other.a * (1.0 + g));
        let (c1, c2) = (a1.hypot(one.b), a2.hypot(other.b));
        let (h1, h2) = (hue(a1, one.b), hue(a2, other.b));
        let grey = c1 * c2 == 0.0;

        let turn = h2 - h1;
        let d_hue = if grey {
            0.0
        } else if turn > 180.0 {
            turn - 360.0
        } else if turn < -180.0 {
            turn + 360.0
        } else {
            turn
        };
        let mean_hue = if grey {
            h1 + h2
        } else if turn.abs() <= 180.0 {
            f64::midpoint(h1, h2)
        } else if h1 + h2 < 360.0 {
            f64::midpoint(h1, h2) + 180.0
        } else {
            f64::midpoint(h1, h2) - 180.0
        };

        let mean_l = f64::midpoint(one.l, other.l);
        let mean_c = f64::midpoint(c1, c2);
        let t = 1.0 - 0.17 * cos_degrees(mean_hue - 30.0)
            + 0.24 * cos_degrees(2.0 * mean_hue)
            + 0.32 * cos_degrees(3.0 * mean_hue + 6.0)
            - 0.20 * cos_degrees(4.0 * mean_hue - 63.0);
        let from_middle = (mean_l - 50.0).powi(2);
        let theta = 30.0 * (-((mean_hue - 275.0) / 25.0).powi(2)).exp();
        Self {
            d_l: other.l - one.l,
            d_c: c2 - c1,
            d_h: 2.0 * (c1 * c2).sqrt() * (d_hue / 2.0).to_radians().sin(),
            s_l: 1.0 + 0.015 * from_middle / (20.0 + from_middle).sqrt(),
            s_c: 1.0 + 0.045 * mean_c,
            s_h: 1.0 + 0.015 * mean_c * t,
            r_t: -2.0 * chroma_term(mean_c) * (2.0 * theta).to_radians().sin(),
            g,
        }
    }
}

fn chroma_term(chroma: f64) -> f64 {
    let seventh = chroma.powi(7);
    (seventh / (seventh + POW25_7)).sqrt()
}

fn hue(a: f64, b: f64) -> f64 {
    if a == 0.0 && b == 0.0 {
        return 0.0;
    }
    let degrees = b.atan2(a).to_degrees();
    if degrees < 0.0 {
        degrees + 360.0
    } else {
        degrees
    }
}

fn cos_degrees(degrees: f64) -> f64 {
    degrees.to_radians().cos()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_local_metric_foretells_small_differences() {
        for at in [
            Lab {
                l: 50.0,
                a: 0.0,
                b: 0.0,
            },
            Lab {
                l: 20.0,
                a: 30.0,
                b: -50.0,
            },
            Lab {
                l: 80.0,
                a: -20.0,
                b: 60.0,
            },
        ] {
            let metric = local_metric(at);
            for step in [
                [0.1, 0.0, 0.0],
                [0.0, 0.1, 0.0],
                [0.0, 0.0, 0.1],
                [0.05, -0.1, 0.07],
            ] {
                let moved = Lab {
                    l: at.l + step[0],
                    a: at.a + step[1],
                    b: at.b + step[2],
                };
                let mut foretold = 0.0;
                for i in 0..3 {
                    for j in 0..3 {
                        foretold += step[i] * metric[i][j] * step[j];
                    }
                }
                let seen = delta_e_2000(at, moved);
                assert!(
                    (foretold.sqrt() - seen).abs() < 0.03 * seen,
                    "{at:?} {step:?}: foretold {}, seen {seen}",
                    foretold.sqrt()
                );
            }
        }
    }
}
