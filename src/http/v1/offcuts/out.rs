//! Offcuts in answers.

use serde::Serialize;
use utoipa::ToSchema;
use uuid::Uuid;

use super::OffcutStateName;
use crate::app::offcuts::{KnownOffcut, OffcutMoved};
use crate::http::v1::kept::instant;
use crate::http::v1::manifold::TemperName;
use crate::http::wire::{QuantityOut, Units};

/// An offcut.
#[derive(Debug, Serialize, ToSchema)]
pub struct OffcutOut {
    /// Its id; cut plans name it by this.
    #[schema(value_type = String, format = "uuid", example = "0190a5f0-8a5c-7cc1-9d3f-2f2a1b1c0d0e")]
    id: Uuid,
    /// Id of its tube.
    #[schema(example = "b88-l-2")]
    tube: String,
    /// Its temper.
    temper: TemperName,
    /// Its length.
    length: QuantityOut,
    /// What is written on it; may be empty.
    #[schema(example = "R-17")]
    label: String,
    /// Where it stands.
    state: OffcutStateName,
    /// The job it is reserved or taken for.
    #[serde(rename = "for")]
    #[schema(example = "J-104")]
    job: Option<String>,
    /// When it was put on the rack first.
    #[schema(format = "date-time", example = "2026-11-25T08:05:36Z")]
    created_at: String,
    /// When it was last moved.
    #[schema(format = "date-time", example = "2026-11-25T08:05:36Z")]
    changed_at: String,
}

impl OffcutOut {
    /// From what is kept.
    pub fn of(known: &KnownOffcut, units: Units) -> Self {
        Self {
            id: known.id,
            tube: known.tube.id.clone(),
            temper: known.temper.into(),
            length: QuantityOut::bench_length(known.standing.length.length(), units),
            label: known.label.clone(),
            state: known.standing.state.into(),
            job: known.standing.job.clone(),
            created_at: instant(known.created_at),
            changed_at: instant(known.changed_at),
        }
    }

    /// Its id.
    pub const fn id(&self) -> Uuid {
        self.id
    }
}

/// What was done with an offcut.
#[derive(Debug, Serialize, ToSchema)]
pub struct OffcutMoveOut {
    /// `add`, `reserve`, `take` or `return`.
    #[schema(example = "reserve")]
    made: String,
    /// The job it was for.
    #[serde(rename = "for")]
    #[schema(example = "J-104")]
    job: Option<String>,
    /// The length afterwards.
    length: QuantityOut,
    /// When.
    #[schema(format = "date-time", example = "2026-11-25T08:05:36Z")]
    at: String,
}

/// An offcut with everything that was done with it.
#[derive(Debug, Serialize, ToSchema)]
pub struct OffcutWithMoves {
    /// As it is.
    #[serde(flatten)]
    offcut: OffcutOut,
    /// What was done with it, oldest first.
    moves: Vec<OffcutMoveOut>,
}

impl OffcutWithMoves {
    /// From what is kept.
    pub fn of(known: &KnownOffcut, moves: &[OffcutMoved], units: Units) -> Self {
        let moves = moves.iter().map(|moved| OffcutMoveOut {
            made: moved.made.clone(),
            job: moved.job.clone(),
            length: QuantityOut::bench_length(moved.length.length(), units),
            at: instant(moved.at),
        });
        Self {
            offcut: OffcutOut::of(known, units),
            moves: moves.collect(),
        }
    }
}
