use std::path::Path;

/// Holds a text against a file of readable text.
///
/// With `GOLDEN=write` in the environment the file is written instead; the change is then read by
/// a person before it is kept.
pub fn golden(file: &Path, text: &str) {
    if std::env::var("GOLDEN").is_ok_and(|wish| wish == "write") {
        if let Some(folder) = file.parent() {
            std::fs::create_dir_all(folder).expect("a folder can be made");
        }
        std::fs::write(file, text).expect("a golden file can be written");
        return;
    }
    let wanted = std::fs::read_to_string(file).unwrap_or_default();
    assert!(
        wanted == text,
        "{} differs.\n--- wanted\n{wanted}\n--- got\n{text}\n--- \
         Run with GOLDEN=write to keep what was got, after reading it.",
        file.display()
    );
}
