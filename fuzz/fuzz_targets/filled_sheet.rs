//! Any bytes are read as a filled sheet, or refused in words; every doubt of it names a cell.
#![no_main]

use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    for name in ["answer.xlsx", "answer.csv"] {
        match price::sheet::read(name, bytes) {
            Ok(sheet) => {
                for one in &sheet.doubts {
                    assert!(!one.doubt.cell.is_empty() && !one.doubt.why.is_empty());
                }
                let _ = sheet.draft.answer();
            }
            Err(error) => assert!(!error.to_string().is_empty() && !error.hint().is_empty()),
        }
    }
    if let Ok(text) = std::str::from_utf8(bytes) {
        let _ = price::number::read(text);
    }
});
