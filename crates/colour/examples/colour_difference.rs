//! CIEDE2000 of pairs: six numbers a line on standard input (L a b L a b), one on standard output.

use std::io::BufRead;

use colour::{Lab, delta_e_2000};

fn main() {
    for line in std::io::stdin().lock().lines().map_while(Result::ok) {
        let numbers: Vec<f64> = line
            .split_whitespace()
            .filter_map(|number| number.parse().ok())
            .collect();
        let [l1, a1, b1, l2, a2, b2] = numbers[..] else {
            eprintln!("expected six numbers, but found: {line}");
            std::process::exit(2);
        };
        let one = Lab {
            l: l1,
            a: a1,
            b: b1,
        };
        let other = Lab {
            l: l2,
            a: a2,
            b: b2,
        };
        println!("{:.12}", delta_e_2000(one, other));
    }
}
