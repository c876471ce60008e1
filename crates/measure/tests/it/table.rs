//! Reading the check tables: the first line names the source, the second the columns.

/// Rows of a table without quoted cells.
pub fn rows(text: &str) -> Vec<Vec<&str>> {
    let mut lines = text.lines();
    assert!(lines.next().unwrap().starts_with("# source:"));
    lines.next().unwrap();
    let rows: Vec<Vec<&str>> = lines.map(|line| line.split(',').collect()).collect();
    assert!(rows.len() > 10, "the table is too short to be whole");
    rows
}
