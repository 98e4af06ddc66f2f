//! SVG: parsed, and every part of it looked at. What is not known to be harmless is refused by name.

use std::collections::BTreeMap;

use roxmltree::{Attribute, Document, Error, Node, NodeType, ParsingOptions};

use super::references::{Unplaced, style_faults, target, urls};
use super::{MOST_PIXELS, looks_like};
use crate::documents::file_fault::{FileFault, FileFlaw, MOST_FAULTS, Place};

const SVG: &str = "http://www.w3.org/2000/svg";
const XHTML: &str = "http://www.w3.org/1999/xhtml";
const XML: &str = "http://www.w3.org/XML/1998/namespace";

/// Parts of the text: elements, texts, attributes.
const MOST_NODES: u32 = 10_000;
/// Elements inside one another.
const MOST_DEPTH: usize = 64;
/// Elements that are drawn, each as often as it is.
const MOST_DRAWN: usize = 20_000;

/// Elements that a logo may be made of.
const ELEMENTS: [&str; 26] = [
    "svg",
    "g",
    "defs",
    "title",
    "desc",
    "metadata",
    "symbol",
    "use",
    "path",
    "rect",
    "circle",
    "ellipse",
    "line",
    "polyline",
    "polygon",
    "text",
    "tspan",
    "textPath",
    "linearGradient",
    "radialGradient",
    "stop",
    "clipPath",
    "mask",
    "pattern",
    "image",
    "style",
];
/// Elements that run, move or hold something other than a picture.
const ACTIVE: [&str; 13] = [
    "script",
    "foreignObject",
    "a",
    "animate",
    "animateMotion",
    "animateTransform",
    "animateColor",
    "set",
    "discard",
    "handler",
    "listener",
    "iframe",
    "audio",
];

/// Everything that keeps a text from being a logo.
pub fn check(bytes: &[u8]) -> Vec<FileFault> {
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    let Ok(text) = std::str::from_utf8(bytes) else {
        let detail = format!(
            "the file is not text in UTF-8; it looks like {}: save the picture as SVG, not compressed",
            looks_like(bytes)
        );
        return vec![FileFault::whole(FileFlaw::NotAPicture, detail)];
    };
    if let Some(fault) = own_declarations(text) {
        return vec![fault];
    }
    let options = ParsingOptions {
        // One that only names the type, as many programs write it, does nothing.
        allow_dtd: true,
        nodes_limit: MOST_NODES,
        ..ParsingOptions::default()
    };
    let document = match Document::parse_with_options(text, options) {
        Ok(document) => document,
        Err(error) => return vec![unread(&error)],
    };
    let mut search = Search {
        document: &document,
        faults: Vec::new(),
        pixels: 0,
    };
    search.root(document.root_element());
    for node in document.descendants() {
        search.node(node);
    }
    search.drawn();
    search.faults.sort_by_key(|fault| fault.place);
    search.faults
}

/// A document type that declares something: entities could make a short text any length, or stand for a file. It is
/// looked for before anything is parsed.
fn own_declarations(text: &str) -> Option<FileFault> {
    let declares = |at: &usize| {
        let rest = text.get(*at..).unwrap_or_default();
        rest.split('>').next().is_some_and(|it| it.contains('['))
    };
    let mut named = text.match_indices("<!DOCTYPE").map(|(at, _)| at);
    let at = named.find(declares).or_else(|| text.find("<!ENTITY"))?;
    let detail = "the document type declares something of its own; leave what stands in `<!DOCTYPE ...>` between `[` and `]` out";
    let place = Place::of_byte(text, at);
    Some(FileFault::at(FileFlaw::PartNotAllowed, place, detail))
}

fn unread(error: &Error) -> FileFault {
    let at = error.pos();
    let place = Place {
        line: at.row,
        column: at.col,
    };
    let (flaw, detail) = match error {
        Error::NodesLimitReached => (
            FileFlaw::PictureTooLarge,
            format!("the picture has more than {MOST_NODES} parts; simplify it, or send it as PNG"),
        ),
        other => (
            FileFlaw::NotAPicture,
            format!("the file is not well-formed XML: {other}; save the picture as SVG"),
        ),
    };
    FileFault::at(flaw, place, detail)
}

struct Search<'a, 'input> {
    document: &'a Document<'input>,
    faults: Vec<FileFault>,
    pixels: u64,
}

impl<'a, 'input> Search<'a, 'input> {
    fn report(&mut self, byte: usize, (flaw, detail): Unplaced) {
        if self.faults.len() >= MOST_FAULTS {
            return;
        }
        let place = Place::of_byte(self.document.input_text(), byte);
        self.faults.push(FileFault::at(flaw, place, detail));
    }

    fn root(&mut self, root: Node<'a, 'input>) {
        let name = root.tag_name();
        if (name.name(), name.namespace()) != ("svg", Some(SVG)) {
            let detail = format!(
                "the outermost element is `{}` in {}; that of a picture is `svg` in the namespace {SVG}",
                name.name(),
                name.namespace()
                    .map_or("no namespace".to_owned(), |it| format!(
                        "the namespace {it}"
                    ))
            );
            self.report(root.range().start, (FileFlaw::NotAPicture, detail));
        } else if let Some(detail) = unsized_picture(root) {
            self.report(root.range().start, (FileFlaw::NoSize, detail));
        }
    }

    fn node(&mut self, node: Node<'a, 'input>) {
        match node.node_type() {
            NodeType::Element => self.element(node),
            NodeType::PI => {
                let name = node.pi().map_or("", |pi| pi.target);
                if name.eq_ignore_ascii_case("xml-stylesheet") {
                    let detail =
                        "it takes in a style sheet from elsewhere; put the style into the picture"
                            .to_owned();
                    self.report(node.range().start, (FileFlaw::RefersOutside, detail));
                }
            }
            _ => {}
        }
    }

    fn element(&mut self, node: Node<'a, 'input>) {
        let name = node.tag_name();
        let start = node.range().start;
        match name.namespace() {
            Some(SVG) if ELEMENTS.contains(&name.name()) => {}
            Some(SVG) if ACTIVE.contains(&name.name()) => {
                let detail = format!(
                    "`{}` runs, moves or holds something else than a picture; leave it out",
                    name.name()
                );
                self.report(start, (FileFlaw::Active, detail));
            }
            Some(SVG) => {
                let detail = format!(
                    "`{}` is not an element that a logo may have; turn it into paths, or send the logo as PNG",
                    name.name()
                );
                self.report(start, (FileFlaw::PartNotAllowed, detail));
            }
            Some(XHTML) => {
                let detail = format!(
                    "`{}` is part of a page, not of a picture; leave it out",
                    name.name()
                );
                self.report(start, (FileFlaw::Active, detail));
            }
            // What drawing programs note for themselves is not shown.
            _ => {}
        }
        if node.ancestors().count() == MOST_DEPTH {
            let detail =
                format!("elements stand more than {MOST_DEPTH} deep in one another; ungroup them");
            self.report(start, (FileFlaw::PictureTooLarge, detail));
        }
        if name.name() == "style" {
            // A comment or an element between texts does not part a style.
            let texts = node.descendants().filter(Node::is_text);
            let style: String = texts.filter_map(|text| text.text()).collect();
            for fault in style_faults(&style) {
                self.report(start, fault);
            }
        }
        for attribute in node.attributes() {
            self.attribute(attribute);
        }
    }

    fn attribute(&mut self, attribute: Attribute<'a, 'input>) {
        let (name, value) = (attribute.name(), attribute.value());
        let start = attribute.range().start;
        let is_event = name
            .get(..2)
            .is_some_and(|begin| begin.eq_ignore_ascii_case("on"));
        if is_event && attribute.namespace().is_none() {
            let detail = format!("the attribute `{name}` would run something; leave it out");
            self.report(start, (FileFlaw::Active, detail));
        } else if name == "base" && attribute.namespace() == Some(XML) {
            let detail = "`xml:base` lets references lead elsewhere; leave it out".to_owned();
            self.report(start, (FileFlaw::RefersOutside, detail));
        } else if name.eq_ignore_ascii_case("href") {
            match target(value) {
                Ok(pixels) => self.pixels += pixels,
                Err(fault) => self.report(start, fault),
            }
        } else if name == "style" || value.to_ascii_lowercase().contains("url(") {
            for fault in style_faults(value) {
                self.report(start, fault);
            }
        }
    }

    /// Bounds what is drawn in all: a few parts that use one another may come to any number.
    fn drawn(&mut self) {
        let parts = self.document.descendants();
        let named = parts.filter_map(|node| Some((node.attribute("id")?, node)));
        let by_id: BTreeMap<&str, Node<'_, '_>> = named.collect();
        let parts = self.document.descendants().filter(Node::is_element);
        let uses: Uses<'_, '_> = parts
            .map(|node| (node.range().start, used(node, &by_id)))
            .collect();
        let mut left = MOST_DRAWN;
        let root = self.document.root_element();
        if !count(root, &uses, &mut left, 0) {
            let detail = format!(
                "with all that it uses more than once, the picture draws more than {MOST_DRAWN} elements, or parts that use themselves; simplify it, or send it as PNG"
            );
            self.report(root.range().start, (FileFlaw::PictureTooLarge, detail));
        }
        if self.pixels > MOST_PIXELS {
            let detail = format!(
                "the pictures inside have {} pixels together; {MOST_PIXELS} are the most: save them smaller",
                self.pixels
            );
            self.report(root.range().start, (FileFlaw::PictureTooLarge, detail));
        }
    }
}

/// For each element, by where it begins, what it uses beside what stands in it.
type Uses<'a, 'input> = BTreeMap<usize, Vec<Node<'a, 'input>>>;

fn used<'a, 'input>(
    node: Node<'a, 'input>,
    by_id: &BTreeMap<&str, Node<'a, 'input>>,
) -> Vec<Node<'a, 'input>> {
    let mut ids: Vec<String> = Vec::new();
    for attribute in node.attributes() {
        let value = attribute.value();
        let link = value
            .strip_prefix('#')
            .filter(|_| attribute.name() == "href");
        ids.extend(link.map(str::to_owned));
        let urls = urls(value).into_iter();
        ids.extend(urls.filter_map(|url| url.strip_prefix('#').map(str::to_owned)));
    }
    let known = ids.iter().filter_map(|id| by_id.get(id.as_str()));
    known.copied().collect()
}

/// Counts the elements below, each as often as it is drawn; `false` once there are too many.
fn count(node: Node<'_, '_>, uses: &Uses<'_, '_>, left: &mut usize, depth: usize) -> bool {
    if *left == 0 || depth > 2 * MOST_DEPTH {
        return false;
    }
    *left -= 1;
    let used = uses.get(&node.range().start).map_or(&[][..], Vec::as_slice);
    let inner = node.children().filter(Node::is_element);
    inner
        .chain(used.iter().copied())
        .all(|part| count(part, uses, left, depth + 1))
}

/// Why the picture has no size, if it has none.
fn unsized_picture(root: Node<'_, '_>) -> Option<String> {
    let sides = ["width", "height"].map(|side| (side, root.attribute(side)));
    for (side, given) in sides {
        if let Some(given) = given.filter(|given| length(given) == Length::Wrong) {
            return Some(format!(
                "`{side}` is {given:?}; give a length above nothing, such as \"120\" or \"40mm\""
            ));
        }
    }
    let known = sides
        .iter()
        .all(|(_, given)| given.is_some_and(|given| length(given) == Length::Known));
    match root.attribute("viewBox") {
        None if known => None,
        None => Some(
            "the picture has neither `width` and `height` nor a `viewBox`; give it a size"
                .to_owned(),
        ),
        Some(given) => {
            let numbers: Vec<f64> = given
                .split([' ', ',', '\n', '\t'])
                .filter(|part| !part.is_empty())
                .map(|part| part.parse().unwrap_or(f64::NAN))
                .collect();
            let sound = numbers
                .iter()
                .all(|number| number.is_finite() && number.abs() < LARGEST);
            match numbers.as_slice() {
                [_, _, width, height] if sound && *width > 0.0 && *height > 0.0 => None,
                _ => Some(format!(
                    "`viewBox` is {given:?}; give four numbers, of which the last two, width and height, are above nothing"
                )),
            }
        }
    }
}

/// The largest number that a size may have, in any unit.
const LARGEST: f64 = 1e6;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Length {
    /// A length by itself.
    Known,
    /// A part of something outside.
    Relative,
    /// No length, or none that can be shown.
    Wrong,
}

fn length(given: &str) -> Length {
    let given = given.trim();
    if given == "auto" {
        return Length::Relative;
    }
    let digits = given.trim_end_matches(|c: char| c.is_ascii_alphabetic() || c == '%');
    let Ok(number) = digits.parse::<f64>() else {
        return Length::Wrong;
    };
    let unit = &given[digits.len()..];
    match unit {
        _ if !(number > 0.0 && number < LARGEST) => Length::Wrong,
        "" | "px" | "pt" | "pc" | "mm" | "cm" | "in" => Length::Known,
        "%" | "em" | "ex" => Length::Relative,
        _ => Length::Wrong,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn flaws(svg: &str) -> Vec<FileFlaw> {
        check(svg.as_bytes())
            .into_iter()
            .map(|fault| fault.flaw)
            .collect()
    }

    fn around(inner: &str) -> String {
        format!(
            "<svg xmlns=\"{SVG}\" xmlns:xlink=\"http://www.w3.org/1999/xlink\" viewBox=\"0 0 40 10\">{inner}</svg>"
        )
    }

    #[test]
    fn harmless_parts_are_taken() {
        let fine = around(
            "<!-- a --><defs><linearGradient id=\"a\"><stop offset=\"0\" stop-color=\"#123\"/></linearGradient></defs>\
             <style>.b{fill:url(#a)}</style><g id=\"g\"><path class=\"b\" d=\"M0 0h40v10z\"/></g><use xlink:href=\"#g\" x=\"1\"/>\
             <note xmlns=\"http://example.com/n\">kept for itself</note>",
        );
        assert_eq!(check(fine.as_bytes()), []);
    }

    #[test]
    fn a_document_type_may_be_named_and_declare_nothing() {
        let named = "<!DOCTYPE svg PUBLIC \"-//W3C//DTD SVG 1.1//EN\" \"http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd\">";
        assert_eq!(flaws(&format!("{named}{}", around(""))), []);
        for declaring in [
            "<!DOCTYPE svg [<!ENTITY a \"b\">]>",
            "<!DOCTYPE svg SYSTEM \"x\" [\n<!ENTITY a SYSTEM \"/etc/passwd\">\n]>",
        ] {
            let found = check(format!("\n{declaring}{}", around("&a;")).as_bytes());
            assert_eq!(found.len(), 1, "{found:?}");
            assert_eq!(found[0].place, Some(Place { line: 2, column: 1 }));
            assert_eq!(found[0].flaw, FileFlaw::PartNotAllowed);
        }
    }

    #[test]
    fn what_runs_or_leads_outside_is_refused_at_its_place() {
        for (inner, flaw) in [
            ("<script>alert(1)</script>", FileFlaw::Active),
            ("<g onclick=\"x()\"/>", FileFlaw::Active),
            ("<g ONLOAD=\"x()\"/>", FileFlaw::Active),
            ("<foreignObject/>", FileFlaw::Active),
            ("<a href=\"#x\"/>", FileFlaw::Active),
            (
                "<b xmlns=\"http://www.w3.org/1999/xhtml\"/>",
                FileFlaw::Active,
            ),
            (
                "<image href=\"http://example.com/x.png\"/>",
                FileFlaw::RefersOutside,
            ),
            ("<use xlink:href=\"other.svg#x\"/>", FileFlaw::RefersOutside),
            (
                "<image href=\"data:image/jpeg;base64,AAAA\"/>",
                FileFlaw::RefersOutside,
            ),
            (
                "<g fill=\"url(http://example.com/x)\"/>",
                FileFlaw::RefersOutside,
            ),
            (
                "<g xml:base=\"http://example.com/\"/>",
                FileFlaw::RefersOutside,
            ),
            ("<style>@import url(#a);</style>", FileFlaw::RefersOutside),
            (
                "<style><![CDATA[ a{fill:url(x)} ]]></style>",
                FileFlaw::RefersOutside,
            ),
            (
                "<style>a{fill:u<!-- -->rl(x)}</style>",
                FileFlaw::RefersOutside,
            ),
            ("<?xml-stylesheet href=\"x.css\"?>", FileFlaw::RefersOutside),
            ("<filter id=\"f\"/>", FileFlaw::PartNotAllowed),
            (
                "<image href=\"data:image/png;base64,AAAA\"/>",
                FileFlaw::NotAPicture,
            ),
        ] {
            let found = check(around(inner).as_bytes());
            let told: Vec<FileFlaw> = found.iter().map(|fault| fault.flaw).collect();
            assert_eq!(told, [flaw], "{inner}: {found:?}");
            assert_eq!(found[0].place.unwrap().line, 1);
        }
    }

    #[test]
    fn every_fault_is_told_in_order_with_its_place() {
        let svg = around("\n<script/>\n<g onload=\"x\"/>\n <image href=\"x.png\"/>");
        let places: Vec<(u32, u32)> = check(svg.as_bytes())
            .into_iter()
            .map(|fault| fault.place.map_or((0, 0), |at| (at.line, at.column)))
            .collect();
        assert_eq!(places, [(2, 1), (3, 4), (4, 9)]);
    }

    #[test]
    fn a_size_is_needed() {
        let svg = |attributes: &str| format!("<svg xmlns=\"{SVG}\" {attributes}/>");
        for fine in [
            "width=\"10\" height=\"4mm\"",
            "viewBox=\"0,0 4 2\"",
            "width=\"100%\" viewBox=\"0 0 4 2\"",
        ] {
            assert_eq!(flaws(&svg(fine)), [], "{fine}");
        }
        for bad in [
            "",
            "width=\"10\"",
            "width=\"0\" height=\"4\"",
            "width=\"inf\" height=\"4\"",
            "viewBox=\"0 0 0 2\"",
            "viewBox=\"0 0 NaN 2\"",
            "viewBox=\"0 0 4\"",
            "width=\"-3\" viewBox=\"0 0 4 2\"",
            "width=\"100%\" height=\"4\"",
        ] {
            assert_eq!(flaws(&svg(bad)), [FileFlaw::NoSize], "{bad}");
        }
        assert_eq!(
            flaws("<svg width=\"1\" height=\"1\"/>"),
            [FileFlaw::NotAPicture]
        );
        assert_eq!(flaws("<html/>"), [FileFlaw::NotAPicture]);
        assert_eq!(flaws("<svg"), [FileFlaw::NotAPicture]);
        assert_eq!(
            flaws("<!DOCTYPE svg [<!ENTITY a \"b\">]><svg/>"),
            [FileFlaw::PartNotAllowed]
        );
    }

    #[test]
    fn parts_that_use_one_another_over_and_over_are_bounded() {
        let mut inner = "<defs><g id=\"n0\"><path d=\"M0 0h1\"/></g>".to_owned();
        for n in 1..20 {
            let uses = format!("<use href=\"#n{}\"/>", n - 1).repeat(10);
            inner.push_str(&format!("<g id=\"n{n}\">{uses}</g>"));
        }
        inner.push_str("</defs><use href=\"#n19\"/>");
        assert_eq!(flaws(&around(&inner)), [FileFlaw::PictureTooLarge]);
        let itself = "<g id=\"a\"><use href=\"#a\"/></g>";
        assert_eq!(flaws(&around(itself)), [FileFlaw::PictureTooLarge]);
        let deep = format!("{}{}", "<g>".repeat(70), "</g>".repeat(70));
        assert_eq!(flaws(&around(&deep)), [FileFlaw::PictureTooLarge]);
    }
}
