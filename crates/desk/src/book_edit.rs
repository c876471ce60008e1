#[derive(Debug, Clone, PartialEq)]
pub enum Edit { Move { entry: String, to: usize }, Remove { entry: String }, Treat { entry: String, treatment: String }, Insert { piece: Option<String>, at: usize }, Set { key: String, value: String } }
pub fn apply(text: &str, _: &Edit) -> Result<(String, String), book::BookErrors> { Ok((text.to_owned(), String::new())) }
