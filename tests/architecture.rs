//! The rules of the house as tests: who may know whom, what stands only where, how long things are.

#![expect(clippy::unwrap_used, reason = "a test may fail by panicking")]

use std::fs;
use std::path::{Path, PathBuf};

const ROOT: &str = env!("CARGO_MANIFEST_DIR");

/// Every file below a folder whose name ends so, with its text, in order.
fn files(folder: &str, ending: &str) -> Vec<(String, String)> {
    let mut found = Vec::new();
    let mut folders = vec![Path::new(ROOT).join(folder)];
    while let Some(folder) = folders.pop() {
        let mut entries: Vec<PathBuf> = fs::read_dir(&folder)
            .unwrap()
            .map(|entry| entry.unwrap().path())
            .collect();
        entries.sort();
        for path in entries {
            if path.is_dir() {
                folders.push(path);
            } else if path.to_string_lossy().ends_with(ending) {
                let name = path
                    .strip_prefix(ROOT)
                    .unwrap()
                    .to_string_lossy()
                    .into_owned();
                found.push((name, fs::read_to_string(&path).unwrap()));
            }
        }
    }
    found.sort();
    found
}

/// The source of a room: `src/room.rs` and everything below `src/room/`.
fn room(name: &str) -> Vec<(String, String)> {
    let all = files("src", ".rs");
    all.into_iter()
        .filter(|(path, _)| {
            *path == format!("src/{name}.rs") || path.starts_with(&format!("src/{name}/"))
        })
        .collect()
}

/// A file without its unit tests and without comments.
fn code(text: &str) -> String {
    let production = text
        .split("\n#[cfg(test)]\nmod tests")
        .next()
        .unwrap_or_default();
    production
        .lines()
        .filter(|line| !line.trim_start().starts_with("//"))
        .collect::<Vec<_>>()
        .join("\n")
}

/// Asserts that no file of a room holds any of these texts in its code.
fn never(room_name: &str, texts: &[&str]) {
    let mut found = Vec::new();
    for (path, text) in room(room_name) {
        let code = code(&text);
        for forbidden in texts.iter().filter(|forbidden| code.contains(**forbidden)) {
            found.push(format!("{path} knows {forbidden}"));
        }
    }
    assert!(found.is_empty(), "{found:#?}");
}

#[test]
fn knowledge_points_inward_only() {
    never(
        "trade",
        &[
            "crate::shop",
            "crate::documents",
            "crate::store",
            "crate::app",
            "crate::http",
            "crate::cli",
        ],
    );
    never(
        "shop",
        &[
            "crate::documents",
            "crate::store",
            "crate::app",
            "crate::http",
            "crate::cli",
        ],
    );
    never(
        "documents",
        &["crate::store", "crate::app", "crate::http", "crate::cli"],
    );
    never(
        "store",
        &[
            "crate::app",
            "crate::http",
            "crate::documents",
            "crate::cli",
        ],
    );
    never("app", &["crate::http", "crate::cli"]);
    never("http", &["crate::store", "crate::cli"]);
}

#[test]
fn sql_json_and_the_web_stay_in_their_rooms() {
    for pure in ["trade", "shop", "documents"] {
        never(
            pure,
            &[
                "sqlx", "axum", "utoipa", "tokio", "reqwest", "std::fs", "std::net",
            ],
        );
    }
    never("trade", &["serde_json"]);
    never("shop", &["serde_json"]);
    never("store", &["axum", "utoipa"]);
    never("app", &["axum", "utoipa", "sqlx"]);
    never("http", &["sqlx"]);
}

#[test]
fn clock_environment_and_chance_are_handed_in() {
    for name in [
        "trade",
        "shop",
        "documents",
        "store",
        "app",
        "http",
        "server",
        "demo",
        "telemetry",
    ] {
        never(
            name,
            &[
                "Timestamp::now",
                "SystemTime::now",
                "std::env",
                "env::var",
                "now_v7",
                "getrandom",
                "thread_rng",
            ],
        );
    }
}

#[test]
fn the_pure_rooms_depend_on_no_hash_order() {
    for pure in ["trade", "shop", "documents"] {
        never(pure, &["HashMap", "HashSet"]);
    }
}

#[test]
fn handlers_behind_the_door_know_who_acts() {
    // axum's own `State` knows no caller: what such a handler changes would be written down as done by the program.
    for (path, text) in room("http/v1") {
        let axums = text
            .lines()
            .any(|line| line.starts_with("use axum::extract") && line.contains("State"));
        assert!(!axums, "{path}: take crate::http::auth::State");
    }
}

/// Functions of a file by their names, from one heading to the next.
fn functions(code: &str) -> Vec<(&str, &str)> {
    let mut starts: Vec<usize> = code.match_indices("fn ").map(|(at, _)| at).collect();
    starts.retain(|at| code[..*at].ends_with([' ', '\n', ')']));
    let ends = starts.iter().skip(1).copied().chain([code.len()]);
    let bodies = starts
        .iter()
        .zip(ends)
        .map(|(start, end)| &code[start + 3..end]);
    bodies
        .map(|body| (body.split(['(', '<']).next().unwrap_or_default(), body))
        .collect()
}

#[test]
fn whatever_a_use_case_changes_is_written_down() {
    /// Ways in which a change comes into the audit trail.
    const WRITTEN_DOWN: [&str; 5] = [
        ".record(",
        " log_changes(",
        ".record_reserved(",
        ".log_change(",
        ".move_within(",
    ];
    /// What changes nothing that the shop keeps.
    const EXCEPT: [(&str, &str); 4] = [
        (
            "linked_document",
            "a paper is fetched; the link's own events tell it",
        ),
        (
            "offered_quote",
            "a look at the page; the link's own events tell it",
        ),
        ("answer_offer", "a refusal; the link's own events tell it"),
        (
            "deliver_due",
            "a delivery is taken up; its tries tell what came of it",
        ),
    ];
    let mut silent = Vec::new();
    for (path, text) in room("app") {
        let code = code(&text);
        for (name, body) in functions(&code) {
            let writes = body.contains(".write().await");
            let told = WRITTEN_DOWN.iter().any(|way| body.contains(way));
            let excepted = EXCEPT.iter().any(|(known, _)| *known == name);
            if writes && !told && !excepted {
                silent.push(format!("{path}: {name}"));
            }
        }
    }
    assert!(silent.is_empty(), "no audit entry: {silent:#?}");
}

#[test]
fn lints_are_expected_with_a_reason_never_allowed() {
    for (path, text) in files("src", ".rs").into_iter().chain(files("tests", ".rs")) {
        if path == "tests/architecture.rs" {
            continue;
        }
        assert!(
            !text.contains("#[allow") && !text.contains("#![allow"),
            "{path} allows a lint"
        );
        assert!(
            !text.contains("pub use")
                || !text
                    .lines()
                    .any(|line| line.starts_with("pub use") && line.ends_with("::*;")),
            "{path} re-exports everything"
        );
    }
}

#[test]
fn files_and_functions_are_short() {
    const FILE: usize = 500;
    const FUNCTION: usize = 60;
    let mut long = Vec::new();
    for (path, text) in files("src", ".rs") {
        let production = text.split("\n#[cfg(test)]\nmod tests").next().unwrap();
        let lines: Vec<&str> = production.lines().collect();
        if lines.len() > FILE {
            long.push(format!("{path} has {} lines", lines.len()));
        }
        let mut open: Option<(usize, usize)> = None;
        for (number, line) in lines.iter().enumerate() {
            let indent = line.len() - line.trim_start().len();
            let word = line.trim_start();
            let begins = [
                "fn ",
                "pub fn ",
                "pub(super) fn ",
                "pub(crate) fn ",
                "async fn ",
                "pub async fn ",
                "pub(super) async fn ",
            ]
            .iter()
            .any(|start| word.starts_with(start));
            match open {
                None if begins && !line.trim_end().ends_with(';') => open = Some((number, indent)),
                // Formatted code closes a function with a brace at the indent it began with.
                Some((begun, at)) if word == "}" && indent == at => {
                    let length = number - begun + 1;
                    if length > FUNCTION {
                        long.push(format!(
                            "{path}:{} is a function of {length} lines",
                            begun + 1
                        ));
                    }
                    open = None;
                }
                Some((_, at)) if word.ends_with(';') && indent == at => open = None,
                _ => {}
            }
        }
    }
    let main = fs::read_to_string(Path::new(ROOT).join("src/main.rs")).unwrap();
    assert!(
        main.lines().count() < 40,
        "src/main.rs only calls the library"
    );
    assert!(long.is_empty(), "{long:#?}");
}

#[test]
fn both_databases_have_the_same_migrations() {
    let names = |folder: &str| -> Vec<String> {
        let all = files(&format!("migrations/{folder}"), ".sql");
        all.into_iter()
            .map(|(path, _)| path.rsplit('/').next().unwrap().to_owned())
            .collect()
    };
    assert!(!names("sqlite").is_empty());
    assert_eq!(names("sqlite"), names("postgres"));
}
