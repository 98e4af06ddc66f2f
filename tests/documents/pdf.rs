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

impl Pdf {
    /// The boxes of the pictures that are told in these words, as the structure for screen readers has them (ISO
    /// 32000-1 14.8.5.4): left, bottom, right, top, in points from the lower left corner of the page.
    pub fn figures(&self, told: &str) -> Vec<[f64; 4]> {
        let objects = self.document.objects.values();
        let parts = objects.filter_map(|object| object.as_dict().ok());
        let figures = parts.filter(|part| {
            let is_figure = part
                .get(b"S")
                .is_ok_and(|kind| kind.as_name().is_ok_and(|it| it == b"Figure"));
            is_figure
                && part
                    .get(b"Alt")
                    .is_ok_and(|alt| words(alt.as_str().unwrap()) == told)
        });
        figures
            .map(|part| self.frame(self.at(part, b"A")))
            .collect()
    }

    fn frame(&self, attributes: &Object) -> [f64; 4] {
        let all = match attributes {
            Object::Array(all) => all.clone(),
            one => vec![one.clone()],
        };
        let found = all.iter().find_map(|one| {
            let one = self.document.dereference(one).unwrap().1.as_dict().unwrap();
            one.has(b"BBox")
                .then(|| self.at(one, b"BBox").as_array().unwrap().clone())
        });
        let sides = found.unwrap();
        let sides: Vec<f64> = sides
            .iter()
            .map(|side| f64::from(side.as_float().unwrap()))
            .collect();
        sides.try_into().unwrap()
    }
}

/// A text string (ISO 32000-1 7.9.2): UTF-16 when it begins with its mark, else taken as ASCII.
fn words(bytes: &[u8]) -> String {
    match bytes.strip_prefix(b"\xfe\xff") {
        Some(wide) => {
            let units: Vec<u16> = wide
                .chunks_exact(2)
                .map(|pair| u16::from_be_bytes([pair[0], pair[1]]))
                .collect();
            String::from_utf16(&units).unwrap()
        }
        None => String::from_utf8_lossy(bytes).into_owned(),
    }
}

fn squeezed(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A straight stroke of a page, in points: width of the pen, where it begins and ends.
#[derive(Debug, Clone, Copy)]
pub struct Stroke {
    /// Width of the pen.
    pub width: f64,
    /// Beginning.
    pub from: (f64, f64),
    /// End.
    pub to: (f64, f64),
}

impl Stroke {
    /// Its length.
    pub fn length(&self) -> f64 {
        (self.from.0 - self.to.0).hypot(self.from.1 - self.to.1)
    }
}

/// What q saves and Q brings back: the matrix from the stream to the page, and the pen.
#[derive(Clone, Copy)]
struct State {
    matrix: [f64; 6],
    pen: f64,
}

impl State {
    fn place(&self, (x, y): (f64, f64)) -> (f64, f64) {
        let [a, b, c, d, e, f] = self.matrix;
        (a * x + c * y + e, b * x + d * y + f)
    }

    /// ISO 32000-1 8.3.4: the new matrix goes before the one that stands.
    fn concatenated(&self, new: [f64; 6]) -> Self {
        let [a, b, c, d, e, f] = self.matrix;
        let [p, q, r, s, t, u] = new;
        Self {
            matrix: [
                p * a + q * c,
                p * b + q * d,
                r * a + s * c,
                r * b + s * d,
                t * a + u * c + e,
                t * b + u * d + f,
            ],
            ..*self
        }
    }
}

impl Pdf {
    /// Every straight stroke of a page (counted from 1) that its own content draws; what pictures
    /// draw is not among them.
    pub fn strokes(&self, page: usize) -> Vec<Stroke> {
        let id = self.document.get_pages()[&(page as u32)];
        let content = self.document.get_and_decode_page_content(id).unwrap();
        let mut state = State {
            matrix: [1.0, 0.0, 0.0, 1.0, 0.0, 0.0],
            pen: 1.0,
        };
        let (mut saved, mut path, mut found) = (Vec::new(), Vec::new(), Vec::new());
        let mut at = (0.0, 0.0);
        for operation in content.operations {
            let numbers: Vec<f64> = operation
                .operands
                .iter()
                .filter_map(|it| it.as_float().ok().map(f64::from))
                .collect();
            match operation.operator.as_str() {
                "q" => saved.push(state),
                "Q" => state = saved.pop().unwrap(),
                "cm" => state = state.concatenated(numbers.try_into().unwrap()),
                "w" => state.pen = numbers[0],
                "m" => at = (numbers[0], numbers[1]),
                "l" => {
                    let to = (numbers[0], numbers[1]);
                    path.push((at, to));
                    at = to;
                }
                "S" | "s" => {
                    let scale = state.matrix[0].hypot(state.matrix[1]);
                    found.extend(path.drain(..).map(|(from, to)| Stroke {
                        width: state.pen * scale,
                        from: state.place(from),
                        to: state.place(to),
                    }));
                }
                "f" | "f*" | "n" | "B" | "B*" => path.clear(),
                _ => {}
            }
        }
        found
    }
}
