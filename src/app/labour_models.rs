//! Labour models: drafts are filled, then published; a published model never changes.

mod stored;

use jiff::Timestamp;
use jiff::civil::Date;
use serde_json::json;
use uuid::Uuid;

use super::audit::{Done, content};
use super::drafts::{SameDay, frozen, no_overlap, settled, stored_word};
use super::{App, AppError, AppFault, BookState};
use crate::shop::audit::Deed;
use crate::shop::labour::{Condition, LabourModel, OperationTime, Repetition};
use crate::store::labour_models::LabourModelRow;
use crate::store::{Tx, labour_models};

const KIND: &str = "labour model";

/// What a labour model says of itself, without its times.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LabourModelInfo {
    /// Its id.
    pub id: Uuid,
    /// Its name.
    pub name: String,
    /// The first day its times hold.
    pub effective_on: Date,
    /// Whether it may still change.
    pub state: BookState,
    /// When it was added.
    pub created_at: Timestamp,
    /// When it was published, if it was.
    pub published_at: Option<Timestamp>,
    /// Counted from 1 with each change.
    pub version: i64,
}

/// What a labour model holds.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct LabourContent {
    /// Times of operations.
    pub times: Vec<OperationTime>,
    /// What conditions of the work do to them.
    pub conditions: Vec<Condition>,
    /// How the time of like manifolds falls, if it does.
    pub repetition: Option<Repetition>,
}

/// What of a draft is put in place of what was there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum LabourChange {
    /// All its times.
    Times(Vec<OperationTime>),
    /// All its conditions.
    Conditions(Vec<Condition>),
    /// How the time of like manifolds falls, or that it does not.
    Repetition(Option<Repetition>),
}

impl LabourChange {
    /// What is put in place, as a word.
    const fn part(&self) -> &'static str {
        match self {
            Self::Times(_) => "times",
            Self::Conditions(_) => "conditions",
            Self::Repetition(_) => "repetition",
        }
    }
}

impl LabourContent {
    fn change(&mut self, change: LabourChange) {
        match change {
            LabourChange::Times(times) => self.times = times,
            LabourChange::Conditions(conditions) => self.conditions = conditions,
            LabourChange::Repetition(repetition) => self.repetition = repetition,
        }
    }
}

impl LabourModelInfo {
    /// Refuses to go on with a model that never changes again.
    ///
    /// # Errors
    /// [`AppError::Conflict`] that says why.
    pub fn require_draft(&self) -> Result<(), AppError> {
        match self.state {
            BookState::Draft => Ok(()),
            BookState::Published => Err(frozen(KIND, self.id)),
        }
    }
}

fn info(row: &LabourModelRow) -> Result<LabourModelInfo, AppError> {
    Ok(LabourModelInfo {
        id: row.id,
        name: row.name.clone(),
        effective_on: row.effective_on,
        state: stored_word(KIND, &row.state, &BookState::ALL, BookState::word)?,
        created_at: row.created_at,
        published_at: row.published_at,
        version: row.version,
    })
}

fn model(row: &LabourModelRow) -> Result<LabourModel, AppError> {
    let content = stored::read(&row.body)?;
    let (id, name) = (row.id.to_string(), row.name.clone());
    let mut model = LabourModel::new(id, name, row.effective_on, content.times);
    model.conditions = content.conditions;
    model.repetition = content.repetition;
    Ok(model)
}

async fn find(tx: &mut Tx, id: Uuid) -> Result<LabourModelRow, AppError> {
    let row = labour_models::get(tx, id).await?;
    row.ok_or_else(|| AppError::not_found(KIND, id))
}

fn require_times(row: &LabourModelRow) -> Result<(), AppError> {
    match stored::read(&row.body)?.times.len() {
        0 => Err(AppError::Unprocessable {
            detail: "The labour model has no times, so there is nothing to publish. Put its times first.".to_owned(),
            faults: Vec::<AppFault>::new(),
        }),
        _ => Ok(()),
    }
}

/// Models each hold from a day of their own.
async fn require_own_day(
    tx: &mut Tx,
    draft: &LabourModelRow,
    in_place_of: Option<Uuid>,
) -> Result<(), AppError> {
    let day = draft.effective_on;
    let held = labour_models::in_force(tx, day).await?;
    let other = held.as_ref().filter(|model| model.effective_on == day);
    let other = other.map(|model| SameDay {
        id: model.id,
        name: &model.name,
        day,
    });
    no_overlap(KIND, other, in_place_of)
}

/// What is written down of a model: its heading, and the digest of what it holds.
fn done(deed: Deed, row: &LabourModelRow) -> Done {
    Done::new(deed, row.id).version(row.version).with(json!({
        "name": row.name,
        "effective_on": row.effective_on.to_string(),
        "content": content(&row.body),
    }))
}

impl App {
    /// What a labour model says of itself, and its times.
    ///
    /// # Errors
    /// [`AppError::NotFound`].
    pub async fn labour_model(&self, id: Uuid) -> Result<(LabourModelInfo, LabourModel), AppError> {
        let mut tx = self.db().read().await?;
        let row = find(&mut tx, id).await?;
        Ok((info(&row)?, model(&row)?))
    }

    /// Up to `limit` labour models in the order they were added, after the one of that id.
    ///
    /// # Errors
    /// [`AppError::Store`].
    pub async fn labour_models(
        &self,
        after: Option<Uuid>,
        limit: u32,
    ) -> Result<Vec<LabourModelInfo>, AppError> {
        let mut tx = self.db().read().await?;
        let rows = labour_models::page(&mut tx, after, i64::from(limit)).await?;
        rows.iter().map(info).collect()
    }

    /// Makes a draft.
    ///
    /// # Errors
    /// [`AppError::Store`].
    pub async fn add_labour_model(
        &self,
        name: &str,
        effective_on: Date,
        content: &LabourContent,
    ) -> Result<LabourModelInfo, AppError> {
        let row = LabourModelRow {
            id: self.new_id(),
            name: name.to_owned(),
            state: BookState::Draft.word().to_owned(),
            effective_on,
            source: stored::SOURCE.to_owned(),
            created_at: self.now(),
            published_at: None,
            version: 1,
            body: stored::write(content)?,
        };
        let mut tx = self.db().write().await?;
        labour_models::insert(&mut tx, &row).await?;
        self.record(&mut tx, done(Deed::LabourModelAdded, &row))
            .await?;
        tx.commit().await?;
        info(&row)
    }

    /// Changes a draft that is at version `expected`; what is not named stays as it was.
    ///
    /// # Errors
    /// [`AppError::NotFound`], [`AppError::Stale`], or [`AppError::Conflict`] when it is published.
    pub async fn change_labour_model(
        &self,
        id: Uuid,
        expected: i64,
        change: LabourChange,
    ) -> Result<LabourModelInfo, AppError> {
        let mut tx = self.db().write().await?;
        let mut content = stored::read(&find(&mut tx, id).await?.body)?;
        let part = change.part();
        content.change(change);
        let body = stored::write(&content)?;
        let written = labour_models::replace_body(&mut tx, id, expected, &body).await?;
        settled(KIND, id, written)?;
        let row = find(&mut tx, id).await?;
        let changed = done(Deed::LabourModelChanged, &row);
        self.record(&mut tx, changed.with(json!({"part": part})))
            .await?;
        tx.commit().await?;
        info(&row)
    }

    /// Publishes a draft that is at version `expected`.
    ///
    /// # Errors
    /// [`AppError::NotFound`], [`AppError::Stale`], [`AppError::Conflict`] when it is published already,
    /// [`AppError::Unprocessable`] when it has no times, or another holds from the same day that it is
    /// not said to take the place of.
    pub async fn publish_labour_model(
        &self,
        id: Uuid,
        expected: i64,
        in_place_of: Option<Uuid>,
    ) -> Result<LabourModelInfo, AppError> {
        let mut tx = self.db().write().await?;
        let draft = find(&mut tx, id).await?;
        info(&draft)?.require_draft()?;
        require_times(&draft)?;
        require_own_day(&mut tx, &draft, in_place_of).await?;
        let written = labour_models::publish(&mut tx, id, expected, self.now()).await?;
        settled(KIND, id, written)?;
        let row = find(&mut tx, id).await?;
        let published = done(Deed::LabourModelPublished, &row);
        self.record(&mut tx, published.with(json!({"in_place_of": in_place_of})))
            .await?;
        tx.commit().await?;
        info(&row)
    }

    /// Says what publishing would say, and does nothing.
    ///
    /// # Errors
    /// As [`App::publish_labour_model`].
    pub async fn try_publish_labour_model(
        &self,
        id: Uuid,
        in_place_of: Option<Uuid>,
    ) -> Result<(), AppError> {
        let mut tx = self.db().read().await?;
        let draft = find(&mut tx, id).await?;
        info(&draft)?.require_draft()?;
        require_times(&draft)?;
        require_own_day(&mut tx, &draft, in_place_of).await
    }

    /// The times that an estimate of a day rests on: the model that is named, be it a draft or not; else the
    /// published one that took effect last. A shop without any gets an empty model with an empty id, so that its
    /// estimate names every operation it needs.
    ///
    /// # Errors
    /// [`AppError::NotFound`] for a name that is none.
    pub async fn labour_model_in_force(
        &self,
        tx: &mut Tx,
        on: Date,
        chosen: Option<Uuid>,
    ) -> Result<LabourModel, AppError> {
        let row = match chosen {
            Some(id) => Some(find(tx, id).await?),
            None => labour_models::in_force(tx, on).await?,
        };
        let none = || LabourModel::new(String::new(), "no labour model".to_owned(), on, []);
        row.as_ref().map_or_else(|| Ok(none()), model)
    }
}
