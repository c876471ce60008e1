//! What is looked at before a drawing is opened: it may come from anywhere.

use std::collections::HashMap;

use usvg::roxmltree::{Document, Node, NodeId, ParsingOptions};

use crate::FinishError;

/// The largest file that is read.
pub(crate) const LARGEST: usize = 32 << 20;
/// Elements that a drawing may unfold to. A fine ornament has thousands.
const MOST_ELEMENTS: u64 = 200_000;
/// Elements within elements; deeper ones come from no drawing program.
const DEEPEST: usize = 256;

/// Reads the text as XML and refuses what reaches outside or unfolds without end.
pub(crate) fn open(text: &str) -> Result<Document<'_>, FinishError> {
    if text.len() > LARGEST {
        return Err(FinishError::NoSvg(format!(
            "it is larger than {} MB",
            LARGEST >> 20
        )));
    }
    if deeper_than(text, DEEPEST) {
        return Err(FinishError::NoSvg(format!(
            "its elements lie more than {DEEPEST} deep in each other"
        )));
    }
    let options = ParsingOptions {
        // Drawing programs write a document type; its entities are unfolded within the reader's
        // own limits.
        allow_dtd: true,
        nodes_limit: 1_000_000,
        ..ParsingOptions::default()
    };
    let document = Document::parse_with_options(text, options)
        .map_err(|error| FinishError::NoSvg(error.to_string()))?;
    if !document.root_element().has_tag_name("svg")
        && document.root_element().tag_name().name() != "svg"
    {
        return Err(FinishError::NoSvg(format!(
            "it begins with `{}`",
            document.root_element().tag_name().name()
        )));
    }
    for node in document.descendants().filter(Node::is_element) {
        outside(&document, node)?;
    }
    unfolded(&document)?;
    Ok(document)
}

/// Counts how deep tags nest, roughly and from above: a reader that calls itself for each element
/// must not be led too deep.
fn deeper_than(text: &str, most: usize) -> bool {
    let bytes = text.as_bytes();
    let mut depth = 0_usize;
    let mut at = 0;
    while let Some(found) = bytes[at..].iter().position(|byte| *byte == b'<') {
        let start = at + found + 1;
        let rest = &bytes[start..];
        let end = rest.iter().position(|byte| *byte == b'>');
        let inside = &rest[..end.unwrap_or(rest.len())];
        match inside.first() {
            Some(b'/') => depth = depth.saturating_sub(1),
            Some(b'!' | b'?') | None => {}
            Some(_) if inside.last() == Some(&b'/') => {}
            Some(_) => depth += 1,
        }
        if depth > most {
            return true;
        }
        at = start + inside.len();
        if end.is_none() {
            break;
        }
    }
    false
}

fn line(document: &Document<'_>, node: Node<'_, '_>) -> u32 {
    document.text_pos_at(node.range().start).row
}

fn outside(document: &Document<'_>, node: Node<'_, '_>) -> Result<(), FinishError> {
    let refuse = |what: String| {
        Err(FinishError::Drawing {
            line: line(document, node),
            what,
        })
    };
    let name = node.tag_name().name();
    match name {
        "image" | "feImage" => return refuse("a picture stands in the drawing".to_owned()),
        "script" | "foreignObject" => {
            return refuse(format!("`{name}` has no place in a plate"));
        }
        _ => {}
    }
    for attribute in node.attributes() {
        let value = attribute.value().trim();
        let elsewhere = attribute.name() == "href" && !value.starts_with('#') && name != "a"
            || reaches_out(value);
        if elsewhere {
            let short: String = value.chars().take(60).collect();
            return refuse(format!("`{short}` lies outside of the drawing"));
        }
    }
    if name == "style"
        && let Some(text) = node.text()
        && (text.contains("@import") || reaches_out(text))
    {
        return refuse("its style is fetched from elsewhere".to_owned());
    }
    Ok(())
}

/// Whether a value fetches something: `url(…)` of anything but the drawing itself.
fn reaches_out(value: &str) -> bool {
    value.match_indices("url(").any(|(at, found)| {
        let target = value[at + found.len()..].trim_start_matches([' ', '"', '\'']);
        !target.starts_with('#')
    })
}

/// Counts what the drawing becomes once every `use` is replaced by what it names.
fn unfolded(document: &Document<'_>) -> Result<(), FinishError> {
    let by_id: HashMap<&str, Node<'_, '_>> = document
        .descendants()
        .filter_map(|node| Some((node.attribute("id")?, node)))
        .collect();
    let mut counts: HashMap<NodeId, Option<u64>> = HashMap::new();
    // Children and targets first, without calling itself: a chain of uses may be long.
    let mut stack = vec![(document.root_element(), false)];
    while let Some((node, done)) = stack.pop() {
        let target = target(node, &by_id);
        if !done {
            match counts.get(&node.id()) {
                Some(Some(_)) => continue,
                Some(None) => {
                    return Err(FinishError::Drawing {
                        line: line(document, node),
                        what: "a copy holds itself".to_owned(),
                    });
                }
                None => {}
            }
            counts.insert(node.id(), None);
            stack.push((node, true));
            for next in node.children().filter(Node::is_element).chain(target) {
                if !matches!(counts.get(&next.id()), Some(Some(_))) {
                    stack.push((next, false));
                }
            }
            continue;
        }
        let mut count = 1_u64;
        for next in node.children().filter(Node::is_element).chain(target) {
            let more = counts.get(&next.id()).copied().flatten().unwrap_or(1);
            count = count.saturating_add(more);
        }
        if count > MOST_ELEMENTS {
            return Err(FinishError::TooMuch {
                limit: MOST_ELEMENTS,
            });
        }
        counts.insert(node.id(), Some(count));
    }
    Ok(())
}

fn target<'a, 'i>(node: Node<'a, 'i>, by_id: &HashMap<&str, Node<'a, 'i>>) -> Option<Node<'a, 'i>> {
    if node.tag_name().name() != "use" {
        return None;
    }
    let href = node
        .attributes()
        .find(|attribute| attribute.name() == "href")?
        .value();
    by_id.get(href.trim().strip_prefix('#')?).copied()
}
