//! A PDF as a machine reads it.

use lopdf::{Dictionary, Document, Object};

/// A PDF read back.
pub struct Pdf {
    document: Document,
}

impl Pdf {
    /// Opens a PDF.
    pub fn read(bytes: &[u8]) -> Self {
        Self {
            document: Document::load_mem(bytes).unwrap(),
        }
    }

    /// Number of pages.
    pub fn pages(&self) -> usize {
        self.document.get_pages().len()
    }

    /// The text of all pages, blanks of any kind and number as one.
    pub fn text(&self) -> String {
        let pages: Vec<u32> = self.document.get_pages().into_keys().collect();
        squeezed(&self.document.extract_text(&pages).unwrap())
    }

    /// The text of one page, counted from 1.
    pub fn page_text(&self, page: usize) -> String {
        squeezed(&self.document.extract_text(&[page as u32]).unwrap())
    }

    /// The catalogue of the document.
    pub fn catalogue(&self) -> &Dictionary {
        self.document.catalog().unwrap()
    }

    /// What an object of a dictionary is, references followed.
    pub fn at<'a>(&'a self, within: &'a Dictionary, key: &[u8]) -> &'a Object {
        let object = within.get(key).unwrap();
        self.document.dereference(object).unwrap().1
    }

    /// The document's metadata, as XML.
    pub fn metadata(&self) -> String {
        let stream = self.at(self.catalogue(), b"Metadata").as_stream().unwrap();
        let content = stream
            .decompressed_content()
            .unwrap_or_else(|_| stream.content.clone());
        String::from_utf8(content).unwrap()
    }

    /// The attached files: name, relationship, content.
    pub fn attachments(&self) -> Vec<(String, String, Vec<u8>)> {
        let files = self.at(self.catalogue(), b"AF").as_array().unwrap();
        files
            .iter()
            .map(|file| {
                let file = self
                    .document
                    .dereference(file)
                    .unwrap()
                    .1
                    .as_dict()
                    .unwrap();
                let embedded = self.at(file, b"EF").as_dict().unwrap();
                let stream = self.at(embedded, b"F").as_stream().unwrap();
                let content = stream
                    .decompressed_content()
                    .unwrap_or_else(|_| stream.content.clone());
                let name = String::from_utf8_lossy(self.at(file, b"F").as_str().unwrap());
                let kind = self.at(file, b"AFRelationship").as_name().unwrap();
                (
                    name.into_owned(),
                    String::from_utf8_lossy(kind).into_owned(),
                    content,
                )
            })
            .collect()
    }
}

fn squeezed(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}
