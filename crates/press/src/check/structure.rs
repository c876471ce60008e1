//! What a file says of itself as a whole.

use std::collections::HashSet;

use super::document::Document;
use super::filter;
use super::object::{Obj, text};

/// Largest metadata packet that is read.
const LARGEST_XMP: usize = 4 << 20;
/// Largest profile that is read.
const LARGEST_PROFILE: usize = 64 << 20;

/// An output intent.
#[derive(Debug, Clone, Default)]
pub(super) struct Intent {
    pub(super) identifier: String,
    pub(super) info: String,
    /// Bytes of the embedded profile.
    pub(super) profile: Option<Vec<u8>>,
    /// A profile outside the file is named.
    pub(super) outside: bool,
}

/// The file as a whole.
#[derive(Debug, Clone, Default)]
pub(super) struct Structure {
    pub(super) version: String,
    pub(super) producer: String,
    pub(super) title: String,
    pub(super) encrypted: bool,
    pub(super) has_id: bool,
    pub(super) has_xmp: bool,
    /// The kind of PDF/X that the file claims, such as `PDF/X-4`.
    pub(super) claims: Option<String>,
    /// Whether it says if it was trapped: `Some` when it says so clearly.
    pub(super) trapped: Option<bool>,
    /// Output intents for printing.
    pub(super) intents: Vec<Intent>,
    pub(super) layers: usize,
    /// Object numbers of layers that are switched off.
    pub(super) hidden: HashSet<u32>,
    pub(super) scripts: bool,
    pub(super) actions: bool,
    pub(super) attachments: bool,
    pub(super) form_fields: bool,
}

impl Structure {
    pub(super) fn read(document: &Document<'_>) -> Self {
        let trailer = document.trailer();
        let mut found = Self {
            version: document.header_version(),
            encrypted: trailer.has("Encrypt"),
            has_id: document
                .get(trailer, "ID")
                .array()
                .is_some_and(|id| id.len() == 2),
            ..Self::default()
        };
        let Some(catalogue) = document.catalogue() else {
            return found;
        };
        if let Some(later) = document.get(&catalogue, "Version").name()
            && later > found.version.as_str()
        {
            later.clone_into(&mut found.version);
        }
        if !found.encrypted {
            found.read_info(document);
            found.read_xmp(document, &catalogue);
        }
        found.intents = document
            .get_array(&catalogue, "OutputIntents")
            .iter()
            .take(16)
            .filter_map(|intent| {
                let dict = intent.dict()?;
                if document.get(dict, "S").name() != Some("GTS_PDFX") {
                    return None;
                }
                let string =
                    |key: &str| document.get(dict, key).str().map(text).unwrap_or_default();
                let profile = document.get(dict, "DestOutputProfile");
                let profile = profile
                    .stream()
                    .map(|stream| filter::decode(document, stream, LARGEST_PROFILE).bytes);
                Some(Intent {
                    identifier: string("OutputConditionIdentifier"),
                    info: string("Info"),
                    profile,
                    outside: dict.has("DestOutputProfileRef"),
                })
            })
            .collect();
        found.read_layers(document, &catalogue);
        let names = document.get_dict(&catalogue, "Names");
        found.scripts =
            names.has("JavaScript") || is_script(document, &document.get(&catalogue, "OpenAction"));
        found.attachments = names.has("EmbeddedFiles");
        found.actions =
            catalogue.has("AA") || document.get(&catalogue, "OpenAction").dict().is_some();
        let form = document.get_dict(&catalogue, "AcroForm");
        found.form_fields = !document.get_array(&form, "Fields").is_empty() || form.has("XFA");
        found
    }

    fn read_info(&mut self, document: &Document<'_>) {
        let info = document.get_dict(document.trailer(), "Info");
        let string = |key: &str| document.get(&info, key).str().map(text).unwrap_or_default();
        self.producer = string("Producer");
        self.title = string("Title");
        self.trapped = match document.get(&info, "Trapped") {
            Obj::Name(name) if &*name == "True" => Some(true),
            Obj::Name(name) if &*name == "False" => Some(false),
            _ => None,
        };
        let claims = string("GTS_PDFXConformance");
        let claims = if claims.is_empty() {
            string("GTS_PDFXVersion")
        } else {
            claims
        };
        self.claims = (!claims.is_empty()).then_some(claims);
    }

    fn read_xmp(&mut self, document: &Document<'_>, catalogue: &super::object::Dict) {
        let metadata = document.get(catalogue, "Metadata");
        let Some(stream) = metadata.stream() else {
            return;
        };
        self.has_xmp = true;
        let bytes = filter::decode(document, stream, LARGEST_XMP).bytes;
        let xmp = match bytes.as_slice() {
            [0xFE, 0xFF, ..] | [0xFF, 0xFE, ..] => text(&bytes),
            _ => String::from_utf8_lossy(&bytes).into_owned(),
        };
        if let Some(version) = xmp_value(&xmp, "GTS_PDFXVersion") {
            self.claims = Some(version);
        }
        if self.trapped.is_none() {
            self.trapped = match xmp_value(&xmp, "Trapped").as_deref() {
                Some("True") => Some(true),
                Some("False") => Some(false),
                _ => None,
            };
        }
        if self.producer.is_empty() {
            self.producer = xmp_value(&xmp, "Producer").unwrap_or_default();
        }
    }

    fn read_layers(&mut self, document: &Document<'_>, catalogue: &super::object::Dict) {
        let properties = document.get_dict(catalogue, "OCProperties");
        let numbers = |value: Obj| -> Vec<u32> {
            match value {
                Obj::Array(items) => items
                    .iter()
                    .take(10_000)
                    .filter_map(|item| match item {
                        Obj::Ref(number) => Some(*number),
                        _ => None,
                    })
                    .collect(),
                _ => Vec::new(),
            }
        };
        let all = numbers(document.get(&properties, "OCGs"));
        self.layers = all.len();
        let usual = document.get_dict(&properties, "D");
        if document.get(&usual, "BaseState").name() == Some("OFF") {
            self.hidden = all.into_iter().collect();
            for on in numbers(document.get(&usual, "ON")) {
                self.hidden.remove(&on);
            }
        }
        self.hidden.extend(numbers(document.get(&usual, "OFF")));
    }
}

fn is_script(document: &Document<'_>, action: &Obj) -> bool {
    let dict = action.dict();
    dict.is_some_and(|dict| document.get(dict, "S").name() == Some("JavaScript"))
}

/// The value of a property in an XMP packet, written as an attribute or as an element. A packet is
/// XML, but for these few values the words alone are enough, and no entity can blow up.
fn xmp_value(xmp: &str, name: &str) -> Option<String> {
    let mut rest = xmp;
    while let Some(at) = rest.find(name) {
        let after = &rest[at + name.len()..];
        let before = rest[..at].chars().next_back();
        if matches!(before, Some(':')) {
            let after = after.trim_start();
            let value = if let Some(quoted) = after.strip_prefix('=') {
                let quoted = quoted.trim_start();
                let quote = quoted
                    .chars()
                    .next()
                    .filter(|quote| matches!(quote, '"' | '\''))?;
                quoted[1..].split(quote).next()
            } else {
                // An element; its tag may carry attributes of its own.
                after
                    .split_once('>')
                    .and_then(|(_, element)| element.split('<').next())
            };
            let value = value.map(str::trim).filter(|value| !value.is_empty());
            if let Some(value) = value {
                return Some(value.chars().take(100).collect());
            }
        }
        rest = after;
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn metadata_values_are_read_in_both_forms() {
        let attribute = r#"<rdf:Description pdfxid:GTS_PDFXVersion="PDF/X-4"/>"#;
        let element = "<pdfxid:GTS_PDFXVersion> PDF/X-4 </pdfxid:GTS_PDFXVersion>";
        let both = r#"<a:GTS_PDFXVersion xmlns:a="x">PDF/X-4</a:GTS_PDFXVersion>"#;
        for xmp in [attribute, element, both] {
            assert_eq!(
                xmp_value(xmp, "GTS_PDFXVersion").as_deref(),
                Some("PDF/X-4")
            );
        }
        assert_eq!(xmp_value("xmlns:GTS_PDFXVersion", "GTS_PDFXVersion"), None);
    }
}
