//! What a program reads: one JSON document, with the keys that others rely on.

use serde_json::Value;

use crate::terminal::{book, foredge, studio};

fn document(folder: &std::path::Path, arguments: &[&str]) -> (Value, i32) {
    let mut all = vec!["--json"];
    all.extend(arguments);
    let said = foredge(folder, &all);
    let document = serde_json::from_str(&said.out)
        .unwrap_or_else(|error| panic!("{arguments:?}: {error}\n{}", said.out));
    (document, said.code)
}

fn has_findings(document: &Value, place: &str) {
    for finding in document["findings"].as_array().unwrap() {
        for key in ["code", "severity", "message", "hint"] {
            assert!(finding[key].is_string(), "{key} in {finding}");
        }
        for key in ["measured", "required"] {
            assert!(finding.get(key).is_some(), "{key} in {finding}");
        }
        assert!(["stop", "warn", "note"].contains(&finding["severity"].as_str().unwrap()));
        let known = finding.get("page").is_some() || finding.get("piece").is_some();
        assert!(known || finding.get(place).is_none());
    }
}

#[test]
fn every_command_gives_one_document() {
    let folder = book();
    let commands: [&[&str]; 14] = [
        &["status"],
        &["art"],
        &["pages"],
        &["object"],
        &["colour"],
        &["press"],
        &["check", "press/interior.pdf"],
        &["set", "format.safe", "9mm"],
        &["pages", "move", "lamp", "--to", "1"],
        &["undo"],
        &["redo"],
        &["colour", "use", "coated-americas"],
        &["undo"],
        &["status"],
    ];
    for arguments in commands {
        let (document, code) = document(folder.path(), arguments);
        assert!(document.is_object(), "{arguments:?}");
        assert!(code < 2, "{arguments:?}: {document}");
    }
    let folder = studio();
    let (made, code) = document(
        folder.path(),
        &[
            "new", "tides", "--art", "studio", "--title", "Tides", "--trim", "A6", "--link",
        ],
    );
    assert_eq!(code, 0);
    assert_eq!(made["pictures"], 2);
}

#[test]
fn the_object_names_its_units() {
    let folder = book();
    let (object, code) = document(folder.path(), &["object"]);
    assert_eq!(code, 0);
    assert_eq!(object["pages"], 4);
    assert_eq!(object["leaves"], 2);
    // 2 leaves of 150 g/m² at the typical 0.90 cm³/g of silk paper: 2 × 0.135 mm.
    assert!((object["block_mm"].as_f64().unwrap() - 0.27).abs() < 1e-9);
    assert!(object["spine_mm"].as_f64().unwrap() > 0.27);
    assert!(object["copy_g"].as_f64().unwrap() > 0.0);
}

#[test]
fn every_figure_of_the_object_says_where_it_comes_from() {
    let folder = book();
    document(folder.path(), &["set", "binding.kind", "sewn case"]);
    document(folder.path(), &["set", "case.square", "4mm"]);
    let (object, _) = document(folder.path(), &["object"]);
    has_findings(&object, "page");
    let parts = object["parts"].as_array().unwrap();
    let masses: f64 = parts
        .iter()
        .map(|part| part["mass_g"].as_f64().unwrap())
        .sum();
    assert!((masses - object["copy_g"].as_f64().unwrap()).abs() < 1e-4);
    let figures: Vec<&Value> = parts
        .iter()
        .flat_map(|part| part["figures"].as_array().unwrap())
        .collect();
    for figure in &figures {
        let basis = figure["basis"].as_str().unwrap();
        assert!(
            ["given", "typical", "reckoned"].contains(&basis),
            "{figure}"
        );
    }
    let of = |key: &str| {
        let one = figures.iter().find(|figure| figure["key"] == key).unwrap();
        (one["basis"].as_str().unwrap(), one["value_mm"].as_f64())
    };
    assert_eq!(of("case.square"), ("given", Some(4.0)));
    assert_eq!(of("case.hinge"), ("typical", Some(8.0)));
    let sheets = object["sheets"].as_array().unwrap();
    let wrap = &sheets[0];
    assert_eq!(wrap["name"], "case wrap");
    let area: f64 = wrap["panels"]
        .as_array()
        .unwrap()
        .iter()
        .map(|panel| panel["width_mm"].as_f64().unwrap() * panel["height_mm"].as_f64().unwrap())
        .sum();
    let whole = wrap["width_mm"].as_f64().unwrap() * wrap["height_mm"].as_f64().unwrap();
    assert!((area - whole).abs() < 1e-3, "{area} of {whole}");
}

#[test]
fn findings_carry_code_severity_place_and_figures() {
    let folder = book();
    let (art, _) = document(folder.path(), &["art"]);
    has_findings(&art, "piece");
    document(folder.path(), &["press"]);
    let (check, _) = document(folder.path(), &["check", "press/interior.pdf"]);
    has_findings(&check, "page");
    assert_eq!(check["pages"].as_array().unwrap().len(), 4);
}

#[test]
fn the_status_names_stages_states_reasons_and_next_steps() {
    let folder = book();
    let (status, code) = document(folder.path(), &["status"]);
    assert_eq!(code, 0);
    let names: Vec<&str> = status["stages"]
        .as_array()
        .unwrap()
        .iter()
        .map(|stage| {
            for key in ["state", "because", "next"] {
                assert!(stage[key].is_string(), "{key} in {stage}");
            }
            stage["name"].as_str().unwrap()
        })
        .collect();
    assert_eq!(
        names,
        [
            "art",
            "running order",
            "object",
            "interior",
            "cover",
            "drawing",
            "check",
            "proof",
            "prices",
            "quantity",
            "dates"
        ]
    );
}

#[test]
fn an_error_is_a_document_too() {
    let folder = testkit::Folder::new();
    let (error, code) = document(folder.path(), &["status"]);
    assert_eq!(code, 2);
    assert!(error["error"]["problem"].is_string());
    assert!(error["error"]["hint"].is_string());
}
