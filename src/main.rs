//! The `offtake` program.

fn main() {}
