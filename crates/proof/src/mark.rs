/// What the machine-readable mark beside a strip says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mark {
    /// Reader's page that the strip stands on; `None` on a sheet of its own.
    pub page: Option<u32>,
    /// First eight hexadecimal digits of the digest of the strip and of the file that it belongs to.
    pub file: String,
    /// The strip's version.
    pub version: u32,
}
