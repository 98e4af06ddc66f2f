//! The `offtake` program.

use std::process::ExitCode;

fn main() -> ExitCode {
    offtake::cli::run()
}
