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

/// Light or dark as the reader's screen is; long words and formulas break rather than run off a phone.
const STYLE: &str = ":root{color-scheme:light dark;--ink:#1b1b1b;--paper:#fff;--link:#7a3a0a;--block:#f3efe9;--rule:#ddd}\
@media(prefers-color-scheme:dark){:root{--ink:#e6e2dc;--paper:#191816;--link:#e9a66c;--block:#2b2926;--rule:#45423d}}\
body{font:1rem/1.5 system-ui,sans-serif;margin:2rem auto;max-width:46rem;padding:0 1rem;overflow-wrap:anywhere;\
color:var(--ink);background:var(--paper)}h1{line-height:1.2}a{color:var(--link)}code{background:var(--block);padding:0 .2em}\
ul.formula{list-style:none;margin:1rem 0;padding:.6rem 1rem;background:var(--block)}ul.formula li{padding:.15rem 0 .15rem 2rem;text-indent:-2rem}\
table{border-collapse:collapse;margin:1rem 0}th,td{text-align:left;vertical-align:top;padding:.3rem .8rem .3rem 0;\
border-bottom:1px solid var(--rule);overflow-wrap:break-word}tbody th{font-weight:normal;min-width:5.5rem}\
table.finding{width:100%}table.finding tr:first-child>*{font-weight:bold}td:last-child{padding-right:0}";
