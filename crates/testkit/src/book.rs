/// A book file, a line at a time.
#[derive(Debug, Clone)]
pub struct BookText {
    trim: String,
    binding: String,
    signature: u8,
    more: String,
    pages: String,
}

impl BookText {
    /// A book of a small page, glued soft, in signatures of 8.
    pub fn new(trim: &str) -> Self {
        Self {
            trim: trim.to_owned(),
            binding: "glued soft".to_owned(),
            signature: 8,
            more: String::new(),
            pages: String::new(),
        }
    }

    /// Another binding.
    #[must_use]
    pub fn bound(mut self, binding: &str) -> Self {
        self.binding = binding.to_owned();
        self
    }

    /// Other signatures.
    #[must_use]
    pub fn signature(mut self, pages: u8) -> Self {
        self.signature = pages;
        self
    }

    /// A section of its own, such as `[press]\nresolution = "100ppi"`.
    #[must_use]
    pub fn section(mut self, text: &str) -> Self {
        self.more.push_str(text);
        self.more.push('\n');
        self
    }

    /// An entry that shows a picture.
    #[must_use]
    pub fn shows(self, name: &str, treatment: &str, piece: &str) -> Self {
        self.page(name, treatment, &format!("art = \"{piece}\""))
    }

    /// Any entry; `keys` are lines of TOML.
    #[must_use]
    pub fn page(mut self, name: &str, treatment: &str, keys: &str) -> Self {
        self.pages.push_str(&format!(
            "\n[[page]]\nname = \"{name}\"\ntreatment = \"{treatment}\"\n{keys}\n"
        ));
        self
    }

    /// The text.
    pub fn text(&self) -> String {
        format!(
            "[book]\ntitle = \"A Test\"\n\n[format]\ntrim = \"{}\"\n\n[binding]\nkind = \"{}\"\n\
             signature = {}\n\n[stock.text]\ngrammage = \"150 g/m2\"\n\n{}{}",
            self.trim, self.binding, self.signature, self.more, self.pages
        )
    }
}
