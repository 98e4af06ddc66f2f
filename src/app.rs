//! Use cases: load, decide, save, in one transaction.
