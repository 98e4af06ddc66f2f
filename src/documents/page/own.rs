//! A shop's own template of the page: looked through, and written. It is another's text, so this runs in a process
//! apart ([`super::super::apart`]), with a bound on its steps.
//!
//! Escaping cannot be turned off: the filters `safe` and `replace` are not there, and a block that would is refused.

use std::collections::BTreeSet;

use minijinja::machinery::{Instruction, Instructions, get_compiled_template};
use minijinja::value::Serde;
use minijinja::{Environment, Error, ErrorKind, Value};
use serde_json::Value as Json;

use crate::documents::file_fault::{FileFault, FileFlaw, MOST_FAULTS, Place};

/// Steps that writing one page may take: some thousand for a usual quote, a few hundred thousand for the longest.
const MOST_STEPS: u64 = 5_000_000;
/// What the engine calls the template, in its own messages and in `extends`.
const NAME: &str = "quote.html";

/// Writes a page for each set of data. A template that has a fault by itself gives that for all of them.
pub fn write(template: &str, data: &[Json]) -> Vec<Result<String, Vec<FileFault>>> {
    let engine = match engine(template) {
        Ok(engine) => engine,
        Err(error) => return vec![Err(vec![fault_of(&error, template)])],
    };
    let names = data.first().and_then(Json::as_object);
    let names: BTreeSet<&str> = names
        .into_iter()
        .flatten()
        .map(|(name, _)| name.as_str())
        .collect();
    let faults = look_through(&engine, template, &names);
    if !faults.is_empty() {
        return vec![Err(faults)];
    }
    data.iter()
        .map(|data| {
            let written = engine
                .get_template(NAME)
                .and_then(|found| found.render(Value::from(Serde(data))));
            written.map_err(|error| vec![fault_of(&error, template)])
        })
        .collect()
}

fn engine(template: &str) -> Result<Environment<'static>, Error> {
    let mut engine = super::engine()?;
    engine.set_fuel(Some(MOST_STEPS));
    engine.remove_filter("safe");
    // It would put a sign back that was escaped.
    engine.remove_filter("replace");
    engine.add_template_owned(NAME, template.to_owned())?;
    Ok(engine)
}

/// Everything wrong that can be seen without data: also what a trial would not come by.
fn look_through(
    engine: &Environment<'_>,
    template: &str,
    names: &BTreeSet<&str>,
) -> Vec<FileFault> {
    let Ok(found) = engine.get_template(NAME) else {
        return Vec::new();
    };
    let globals: BTreeSet<&str> = engine.globals().map(|(name, _)| name).collect();
    let mut unknown: Vec<String> = found.undeclared_variables(false).into_iter().collect();
    unknown.retain(|name| !names.contains(name.as_str()) && !globals.contains(name.as_str()));
    unknown.sort_unstable();
    let compiled = get_compiled_template(&found);
    let mut faults = Vec::new();
    for part in [&compiled.instructions]
        .into_iter()
        .chain(compiled.blocks.values())
    {
        faults.extend(part_faults(engine, part, template, &unknown));
    }
    faults.sort_by_key(|fault| fault.place);
    faults.dedup();
    faults.truncate(MOST_FAULTS);
    faults
}

fn part_faults(
    engine: &Environment<'_>,
    part: &Instructions<'_>,
    template: &str,
    unknown: &[String],
) -> Vec<FileFault> {
    let mut faults = Vec::new();
    let mut step = 0;
    while let Some(instruction) = part.get(step) {
        if let Some((flaw, detail)) = step_fault(engine, instruction, unknown) {
            let place = match part.get_span(step) {
                Some(span) => Some(Place::of_byte(template, span.start_offset as usize)),
                None => part.get_line(step).map(|line| on_line(template, line)),
            };
            faults.push(FileFault {
                flaw,
                place,
                detail,
            });
        }
        step += 1;
    }
    faults
}

fn step_fault(
    engine: &Environment<'_>,
    instruction: &Instruction<'_>,
    unknown: &[String],
) -> Option<(FileFlaw, String)> {
    let mut state = engine.empty_state();
    let is = |error: &Error, kind| error.kind() == kind;
    let detail = match instruction {
        Instruction::PushAutoEscape => {
            let detail = "`autoescape` decides whether what people typed is shown as text; it always is: leave the block out";
            return Some((FileFlaw::Unescaped, detail.to_owned()));
        }
        Instruction::ApplyFilter("safe", ..) => {
            let detail = "the filter `safe` would show what people typed as markup; leave it out: markup of the template itself needs none";
            return Some((FileFlaw::Unescaped, detail.to_owned()));
        }
        Instruction::ApplyFilter("replace", ..) => {
            let detail =
                "the filter `replace` could turn what people typed back into markup; leave it out";
            return Some((FileFlaw::Unescaped, detail.to_owned()));
        }
        Instruction::ApplyFilter(name, ..) => {
            let error = state.apply_filter(name, &[]).err()?;
            is(&error, ErrorKind::UnknownFilter).then(|| format!("there is no filter `{name}`"))?
        }
        Instruction::PerformTest(name, ..) => {
            let error = state.perform_test(name, &[]).err()?;
            is(&error, ErrorKind::UnknownTest).then(|| format!("there is no test `{name}`"))?
        }
        Instruction::Lookup(name) | Instruction::CallFunction(name, _) => {
            unknown.iter().any(|it| it == name).then(|| {
                format!(
                    "there is nothing called `{name}`; docs/templates.md lists what a page is given"
                )
            })?
        }
        _ => return None,
    };
    Some((FileFlaw::Template, detail))
}

/// Where the engine tells the line alone: its first tag.
fn on_line(template: &str, line: usize) -> Place {
    let before = template.split_inclusive('\n').take(line.saturating_sub(1));
    let start: usize = before.map(str::len).sum();
    let rest = template.get(start..).unwrap_or_default();
    let text = rest.lines().next().unwrap_or_default();
    Place::of_byte(template, start + text.find("{%").unwrap_or_default())
}

/// What the engine says, where in the template: the innermost of what it tells, since the rest says only from where
/// that was reached.
fn fault_of(error: &Error, template: &str) -> FileFault {
    let mut inner = error;
    let mut next = std::error::Error::source(error);
    while let Some(cause) = next {
        if let Some(cause) = cause
            .downcast_ref::<Error>()
            .filter(|cause| cause.name() == Some(NAME))
        {
            inner = cause;
        }
        next = cause.source();
    }
    let place = match inner.range().filter(|_| inner.name() == Some(NAME)) {
        Some(range) => Some(Place::of_byte(template, range.start)),
        None => inner
            .line()
            .filter(|_| inner.name() == Some(NAME))
            .map(|line| on_line(template, line)),
    };
    let (flaw, said) = match inner.kind() {
        ErrorKind::OutOfFuel => (
            FileFlaw::TooCostly,
            format!("the page takes more than {MOST_STEPS} steps to write; take out what repeats"),
        ),
        kind => (
            FileFlaw::Template,
            inner
                .detail()
                .map_or_else(|| kind.to_string(), |detail| format!("{kind}: {detail}")),
        ),
    };
    FileFault {
        flaw,
        place,
        detail: said,
    }
}

/// What keeps a customer from answering on a page that was written with a desk at `base`.
pub fn form_faults(page: &str, base: &str) -> Vec<FileFault> {
    // The engine writes the slashes of what it is given as a reference.
    let shown = without_comments(page).replace("&#x2f;", "/");
    [("accept", ["name", "agree"].as_slice()), ("decline", ["agree"].as_slice())]
        .into_iter()
        .filter_map(|(act, fields)| {
            let address = format!("{base}/{act}");
            let sends = |form: &&str| {
                let head = form.split('>').next().unwrap_or_default();
                let to = attribute(head, "action").unwrap_or_default();
                let posts = attribute(head, "method").is_some_and(|how| how.eq_ignore_ascii_case("post"));
                posts && to.split('#').next() == Some(address.as_str())
            };
            let form = shown.split("<form").skip(1).find(sends);
            let Some(form) = form else {
                let detail = format!(
                    "on an issued quote there is no form that sends to `{{{{ desk.base }}}}/{act}` with method `post`; a customer could not {act} it there"
                );
                return Some(FileFault::whole(FileFlaw::FormMissing, detail));
            };
            let form = form.split("</form").next().unwrap_or_default();
            let has = |field: &&&str| form.split('<').any(|tag| attribute(tag, "name") == Some(field));
            let lacking: Vec<&&str> = fields.iter().filter(|field| !has(field)).collect();
            let names: Vec<String> = lacking.iter().map(|name| format!("`{name}`")).collect();
            (!names.is_empty()).then(|| {
                let detail = format!(
                    "the form to {act} has no field named {}; without it no answer is taken",
                    names.join(", ")
                );
                FileFault::whole(FileFlaw::FormMissing, detail)
            })
        })
        .collect()
}

/// The value of an attribute of a tag, with or without quotes.
fn attribute<'a>(tag: &'a str, name: &str) -> Option<&'a str> {
    let tag = tag.split('>').next().unwrap_or_default();
    let mut from = 0;
    while let Some(found) = tag.get(from..)?.find(name) {
        let (start, end) = (from + found, from + found + name.len());
        from = end;
        let apart = tag
            .get(..start)?
            .ends_with(|c: char| c.is_ascii_whitespace());
        let Some(value) = tag
            .get(end..)?
            .trim_start()
            .strip_prefix('=')
            .filter(|_| apart)
        else {
            continue;
        };
        let value = value.trim_start();
        return match value.chars().next() {
            Some(quote @ ('"' | '\'')) => value[1..].split(quote).next(),
            _ => value.split(|c: char| c.is_ascii_whitespace()).next(),
        };
    }
    None
}

fn without_comments(page: &str) -> String {
    let mut parts = page.split("<!--");
    let mut kept = parts.next().unwrap_or_default().to_owned();
    for part in parts {
        kept.push_str(part.split_once("-->").map_or("", |(_, rest)| rest));
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    fn faults(template: &str) -> Vec<(FileFlaw, u32, u32)> {
        let data = [json!({"name": "<b>", "list": [1, 2]})];
        let outcomes = write(template, &data);
        let faults = outcomes.into_iter().filter_map(Result::err).flatten();
        faults
            .map(|fault| {
                let at = fault.place.unwrap_or(Place { line: 0, column: 0 });
                (fault.flaw, at.line, at.column)
            })
            .collect()
    }

    #[test]
    fn what_people_typed_is_escaped() {
        let written = write(
            "{{ name }}{% macro m(x) %}<i>{{ x }}</i>{% endmacro %}{{ m(name) }}",
            &[json!({"name": "<b>"})],
        );
        assert_eq!(written, [Ok("&lt;b&gt;<i>&lt;b&gt;</i>".to_owned())]);
    }

    #[test]
    fn faults_have_their_place_and_come_all_at_once() {
        use FileFlaw::{Template, TooCostly, Unescaped};
        assert_eq!(faults("a\n{% if name %}\n"), [(Template, 2, 12)]);
        assert_eq!(
            faults(
                "{{ name|safe }}{{ name|replace(1, 2) }}\n  {% autoescape false %}{{ name }}{% endautoescape %}\n{{ name|loud }}{{ nmae }}"
            ),
            [
                (Unescaped, 1, 9),
                (Unescaped, 1, 24),
                (Unescaped, 2, 3),
                (Template, 3, 9),
                (Template, 3, 19)
            ]
        );
        // Also where no data leads.
        assert_eq!(
            faults("{% if false %}\n{{ name is odder }}{% endif %}"),
            [(Template, 2, 12)]
        );
        assert_eq!(faults("x\n {{ name.first.second }}"), [(Template, 2, 9)]);
        let loops =
            "{% for a in range(9999) %}{% for b in range(9999) %}{{ b }}{% endfor %}{% endfor %}";
        assert_eq!(faults(loops)[0].0, TooCostly);
        assert_eq!(faults("{% include \"/etc/passwd\" %}")[0].0, Template);
    }

    #[test]
    fn a_page_needs_both_forms_with_their_fields() {
        let form = |act: &str, fields: &str| {
            format!("<form method=post action='/q/t/{act}#a'>{fields}</form>")
        };
        let (name, agree) = (
            "<input name=\"name\">",
            "<input type=checkbox name=agree value=yes>",
        );
        let whole = form("accept", &[name, agree].concat()) + &form("decline", agree);
        assert_eq!(form_faults(&whole, "/q/t"), []);
        assert_eq!(form_faults(&format!("<!-- {whole} -->"), "/q/t").len(), 2);
        assert_eq!(form_faults(&whole.replace("post", "get"), "/q/t").len(), 2);
        assert_eq!(form_faults(&whole.replace("/q/t", "/q/u"), "/q/t").len(), 2);
        let short = form("accept", name) + &form("decline", agree);
        let told = form_faults(&short, "/q/t");
        assert!(
            told.len() == 1 && told[0].detail.contains("`agree`"),
            "{told:?}"
        );
    }
}
