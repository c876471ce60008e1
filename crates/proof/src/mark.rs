use crate::ProofError;

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

impl Mark {
    /// The text in the mark, capitals and digits only so that the code stays small:
    /// `FOREDGE/1/12/0A1B2C3D/3` is format 1, page 12 (`-` for none), file, version 3.
    pub fn text(&self) -> String {
        let page = self
            .page
            .map_or_else(|| "-".into(), |page| page.to_string());
        let file = self.file.to_ascii_uppercase();
        format!("FOREDGE/1/{page}/{file}/{}", self.version)
    }

    /// Reads the text of a mark; the file's digits come back in small letters.
    ///
    /// # Errors
    /// Not the text of a mark.
    pub fn parse(text: &str) -> Result<Self, ProofError> {
        let unreadable = || ProofError::Mark(text.chars().take(60).collect());
        let parts: Vec<&str> = text.trim().split('/').collect();
        let ["FOREDGE", "1", page, file, version] = parts[..] else {
            return Err(unreadable());
        };
        let page = match page {
            "-" => None,
            page => Some(whole(page).ok_or_else(unreadable)?),
        };
        let is_digest = file.len() == 8 && file.bytes().all(|byte| byte.is_ascii_hexdigit());
        if !is_digest {
            return Err(unreadable());
        }
        Ok(Self {
            page,
            file: file.to_ascii_lowercase(),
            version: whole(version).ok_or_else(unreadable)?,
        })
    }
}

/// A positive whole number of plain digits.
fn whole(text: &str) -> Option<u32> {
    let plain = !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    text.parse().ok().filter(|&number| plain && number > 0)
}
