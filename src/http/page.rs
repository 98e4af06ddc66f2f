//! The few pages the server writes for people: plain HTML, no script, nothing from outside.

use axum::response::Html;

/// Text made safe inside HTML.
pub fn escape(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            '\'' => safe.push_str("&#39;"),
            other => safe.push(other),
        }
    }
    safe
}

/// Text made safe, with what stands in back quotes set as code.
pub fn prose(text: &str) -> String {
    let mut out = String::new();
    for (place, part) in text.split('`').enumerate() {
        let safe = escape(part);
        if place % 2 == 1 {
            out.push_str(&format!("<code>{safe}</code>"));
        } else {
            out.push_str(&safe);
        }
    }
    out
}

/// A whole page around its content, which must be safe HTML already.
pub fn page(title: &str, content: &str) -> Html<String> {
    let title = escape(title);
    Html(format!(
        "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <title>{title} - offtake</title>\n<link rel=\"icon\" href=\"data:,\">\n<style>{STYLE}</style>\n</head>\n\
         <body>\n<main>\n<h1>{title}</h1>\n{content}\n</main>\n</body>\n</html>\n"
    ))
}

const STYLE: &str = "body{font:1rem/1.5 system-ui,sans-serif;margin:2rem auto;max-width:46rem;padding:0 1rem;\
color:#1b1b1b;background:#fff}a{color:#7a3a0a}code{background:#f3efe9;padding:0 .2em}\
table{border-collapse:collapse}th,td{text-align:left;vertical-align:top;padding:.3rem .8rem .3rem 0;\
border-bottom:1px solid #ddd}";
