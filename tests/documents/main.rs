//! The papers: read back as a machine, a search or a screen reader would read them.

#![expect(clippy::unwrap_used, reason = "a test may fail by panicking")]

mod bench;
mod cad;
mod drawing;
mod logo;
mod options;
mod own;
mod pdf;
mod quote;
mod samples;
mod sheet;
mod ubl;

use std::path::PathBuf;

/// Leaves a paper where a person can look at it, and where `tests/outside/check_pdf.py` finds it.
fn keep(name: &str, bytes: &[u8]) {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("documents");
    std::fs::create_dir_all(&folder).unwrap();
    std::fs::write(folder.join(name), bytes).unwrap();
}
