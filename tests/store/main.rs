//! One list of storage tests, run on both databases.
//!
//! A test is an `async fn` that takes a migrated [`Db`](offtake::store::Db) of its own; `on_both!` names it and so
//! runs it twice, as `sqlite::name` and `postgres::name`.

#![cfg(test)]

#[path = "../support/databases.rs"]
mod databases;

#[macro_use]
mod runner;
mod rows;

mod access;
mod audit;
mod change_feed;
mod forming;
mod migrations;
mod offcuts;
mod opening;
mod papers;
mod prices;
mod quote_lists;
mod quotes;
mod replays;
mod shop;
