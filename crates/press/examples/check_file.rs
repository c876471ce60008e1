//! Checks a PDF and prints what was found as JSON, for checks from outside.
//!
//! `check_file FILE [--trim WxH] [--bleed L] [--pages N] [--ink PERCENT] [--spine L] [--press NAME]
//! [--plate NAME]… [--quick]`

use std::process::ExitCode;

use finding::Place;
use press::{CheckReport, Depth, Expected, check_to};
use serde_json::{Value, json};

fn main() -> ExitCode {
    let mut arguments = std::env::args().skip(1);
    let Some(path) = arguments.next() else {
        eprintln!(
            "check_file FILE [--trim …] [--bleed …] [--pages …] [--ink …] [--spine …] [--press …] \
             [--plate …]"
        );
        return ExitCode::from(2);
    };
    let mut expected = Expected::default();
    let mut depth = Depth::Full;
    while let Some(argument) = arguments.next() {
        if argument == "--quick" {
            depth = Depth::Quick;
            continue;
        }
        let value = arguments.next().unwrap_or_default();
        match argument.as_str() {
            "--trim" => expected.trim = value.parse().ok(),
            "--bleed" => expected.bleed = value.parse().ok(),
            "--pages" => expected.pages = value.parse().ok(),
            "--ink" => expected.ink_limit = value.parse().ok(),
            "--spine" => expected.cover_spine = value.parse().ok(),
            "--plate" => expected.plates.get_or_insert_default().push(value),
            "--press" => expected.press = colour::PressCondition::built_in(&value),
            other => {
                eprintln!("unknown argument `{other}`");
                return ExitCode::from(2);
            }
        }
    }
    let file = match std::fs::File::open(&path) {
        Ok(file) => file,
        Err(error) => {
            eprintln!("{path}: {error}");
            return ExitCode::from(2);
        }
    };
    let empty = file.metadata().is_ok_and(|data| data.len() == 0);
    // SAFETY: the file is only read, and nothing here changes it while it is mapped.
    let mapped = (!empty).then(|| unsafe { memmap2::Mmap::map(&file) });
    let bytes: &[u8] = match &mapped {
        Some(Ok(mapped)) => mapped,
        Some(Err(error)) => {
            eprintln!("{path}: {error}");
            return ExitCode::from(2);
        }
        None => &[],
    };
    let report = check_to(bytes, &expected, depth, &|_, _| true);
    println!("{:#}", as_json(&report));
    ExitCode::SUCCESS
}

fn as_json(report: &CheckReport) -> Value {
    let summary = &report.summary;
    json!({
        "pages": summary.pages,
        "checked": summary.checked,
        "bytes": summary.bytes,
        "version": summary.version,
        "producer": summary.producer,
        "claims": summary.claims,
        "output_intent": summary.output_intent,
        "per_page": report.pages.iter().map(|page| json!({
            "page": page.page,
            "trim_mm": page.trim.map(|trim| [trim.width.mm(), trim.height.mm()]),
            "bleed_mm": page.bleed.map(|bleed| bleed.mm()),
            "lowest_ppi": page.lowest_ppi,
            "ink_most": page.ink_most,
            "ink_most_at_mm": [page.ink_most_at.0.mm(), page.ink_most_at.1.mm()],
            "colour_spaces": page.colour_spaces,
            "fonts": page.fonts,
            "images": page.images,
            "plates": page.plates.iter().map(|plate| json!({
                "name": plate.name,
                "touched_mm2": plate.touched_mm2,
                "extent_mm": plate.extent.map(|extent| {
                    [extent.x, extent.y, extent.right(), extent.bottom()].map(|side| side.mm())
                }),
                "knocks_out": plate.knocks_out,
            })).collect::<Vec<_>>(),
        })).collect::<Vec<_>>(),
        "findings": report.findings.iter().map(|finding| json!({
            "code": finding.code,
            "severity": finding.severity.word(),
            "page": match finding.place { Place::Page(page) => Some(page), _ => None },
            "message": finding.message,
            "hint": finding.hint,
            "measured": finding.measured,
            "required": finding.required,
        })).collect::<Vec<_>>(),
    })
}
