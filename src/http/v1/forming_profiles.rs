//! Forming profiles: what the shop's equipment can draw, as JSON or as a sheet of sizes.

mod answers;
mod fields;
mod general;
mod row;

use axum::Json;
use axum::http::{StatusCode, Uri};
use axum::response::{IntoResponse, Response};

use super::kept::{RowsQuery, TrialQuery};
use super::rows::{ROW_FORMS, Row as _, Rows, sheet_form};
use super::sheet;
use super::units::chosen;
use super::words::FormWord;
use crate::app::AppError;
use crate::app::forming_profiles::KnownProfile;
use crate::http::auth::{MayAdmin, MayCheck, State};
use crate::http::etag::{Etag, IfMatch, Tagged};
use crate::http::negotiate::{CSV, JSON, Negotiator, XLSX};
use crate::http::paging::{Cursor, Limit, Page};
use crate::http::problem::{Problem, ProblemBody, Slug};
use crate::http::state::ApiState;
use crate::http::wire::{
    At, Faults, RawBody, Text, Units, Whole, WirePath, WireQuery, from_json, wire_query,
    wire_struct,
};
use crate::trade::forming::FormingProfile;

use answers::{ProfileOut, ProfileSummary};
pub use fields::ProfileId;
use general::GeneralIn;
use row::{SizeRow, blank_rows, cells};

wire_struct! {
    /// A forming profile, whole: what is left out goes by the built-in one.
    pub struct FormingProfileIn {
        /// Its name, shown with every limit taken from it.
        #[example = "Bench press, 2 in and below"]
        name: Text<80>,
        /// Where its figures come from.
        #[example = "samples drawn and cut open, November 2026"]
        source: Text<400>,
        /// What else is to be known of it.
        #[example = "after the new die set"]
        note: Option<Text<2_000, 0>>,
        /// Limits of every size that says nothing of its own.
        general: Option<GeneralIn>,
        /// Only the sizes listed are formed; false when not given.
        #[example = false]
        listed_only: Option<bool>,
        /// What is known of single sizes of branch on run.
        sizes: Option<Rows<SizeRow>>,
    }
}

wire_query! {
    /// Which page, in which units.
    pub struct ProfilesQuery {
        /// Units of the answer.
        #[example = "imperial"]
        units: Option<Units>,
        /// Items of a page.
        #[example = 50]
        limit: Option<Limit>,
        /// Where to go on: a cursor out of `next`.
        after: Option<Cursor>,
    }
}

wire_query! {
    /// Which version, in which form and units.
    pub struct ProfileQuery {
        /// The version; without it the newest.
        #[example = 1]
        version: Option<Whole<1, 1_000_000_000>>,
        /// Units of the answer.
        #[example = "imperial"]
        units: Option<Units>,
        /// The form; without it, `Accept` decides.
        #[example = "json"]
        format: Option<FormWord>,
    }
}

/// Heading and numbers of a sheet of sizes, and its name.
const COLUMNS: (&[&str], &[&str]) = (SizeRow::COLUMNS.read, SizeRow::COLUMNS.numbers);
const SHEET: &str = "forming-profile";

/// JSON and sheets of a version have tags of their own, and either lets a change through.
fn tag(profile: &FormingProfile, form: &str) -> Etag {
    Etag::of_version(&format!(
        "forming/{}/{}/{form}",
        profile.id, profile.version
    ))
}

fn demand(if_match: &IfMatch, profile: &FormingProfile) -> Result<(), Problem> {
    if_match
        .check(&tag(profile, CSV.format))
        .or_else(|_| if_match.check(&tag(profile, XLSX.format)))
        .or_else(|_| if_match.check(&tag(profile, "json")))
}

/// Forming profiles
///
/// Scope `check`. What the shop's equipment can draw, each in its newest version. The built-in one is
/// always there and comes first; the one called `shop` holds where a request names none.
#[utoipa::path(get, path = "/v1/forming-profiles", tag = "reference", params(ProfilesQuery),
    responses((status = 200, description = "A page of profiles.", body = Page<ProfileSummary>)))]
pub async fn list_forming_profiles(
    _caller: MayCheck,
    State(state): State<ApiState>,
    WireQuery(query): WireQuery<ProfilesQuery>,
    uri: Uri,
) -> Result<Page<ProfileSummary>, Problem> {
    let units = chosen(&state, query.units).await?;
    let after: Option<String> = query.after.as_ref().map(Cursor::key).transpose()?;
    let size = query.limit.unwrap_or_default().get();
    let mut found = state
        .app()
        .forming_profiles(after.as_deref(), size.saturating_add(1))
        .await?;
    let more = found.len() > size as usize;
    found.truncate(size as usize);
    let last = found.last().filter(|_| more);
    let next = last
        .map(|known| Cursor::of(&known.profile.id))
        .transpose()?;
    let items = found.iter().map(|known| ProfileSummary::of(known, units));
    Ok(Page::new(items.collect(), next, &uri))
}

/// A blank sheet of sizes
///
/// Scope `check`. Every branch on every run within the handbook's envelope, to be filled in and sent to a
/// forming profile. Rows of which only run and branch are filled are not entered.
#[utoipa::path(get, path = "/v1/forming-profiles/blank", tag = "reference", params(RowsQuery),
    responses((status = 200, description = "The sheet.",
        content((String = "text/csv", example = json!("run,branch,allowed,pilot,least_pitch,least_end_distance,thinnest_run,anneal,usual_ratio,severe_ratio,source,note\r\n2,1,,,,,,,,,,\r\n")), (Vec<u8> = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet")))))]
pub async fn get_blank_forming_profile(
    _caller: MayCheck,
    State(state): State<ApiState>,
    _form: WireQuery<RowsQuery>,
    negotiator: Negotiator,
) -> Result<Response, Problem> {
    let form = negotiator.choose(&[CSV, XLSX])?;
    let rows = blank_rows(state.app().catalogue());
    sheet::answer(form, COLUMNS, rows, SHEET)
}

/// A forming profile
///
/// Scope `check`. In its newest version, or in the one asked for: no version ever changes. As JSON, whole;
/// or as a sheet of its sizes.
#[utoipa::path(get, path = "/v1/forming-profiles/{id}", tag = "reference",
    params(ProfileQuery, ("id" = String, Path, description = "Its id.", example = "built-in")),
    responses(
        (status = 200, description = "The profile.",
            content((ProfileOut = "application/json"),
                (String = "text/csv", example = json!("run,branch,allowed,pilot,least_pitch,least_end_distance,thinnest_run,anneal,usual_ratio,severe_ratio,source,note\r\n2,1,yes,0.875 in,2 in,1.5 in,L,no,0.72,0.63,\"samples, November 2026\",\r\n")), (Vec<u8> = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet")),
            headers(("ETag" = String, description = "Version, for `If-Match`."))),
        (status = 404, description = "There is no such profile, or not in that version.", body = ProblemBody, content_type = "application/problem+json"),
        (status = 406, description = "None of JSON, CSV and XLSX is wanted.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn get_forming_profile(
    _caller: MayCheck,
    State(state): State<ApiState>,
    WirePath(id): WirePath<String>,
    WireQuery(query): WireQuery<ProfileQuery>,
    negotiator: Negotiator,
) -> Result<Response, Problem> {
    let form = negotiator.choose(&ROW_FORMS)?;
    let version = query.version.map(|version| version.get());
    let known = state.app().find_forming_profile(&id, version).await?;
    let units = chosen(&state, query.units).await?;
    if !form.is(JSON) {
        let rows = known.profile.sizes.iter().map(|size| cells(size, units));
        let answer = sheet::answer(form, COLUMNS, rows, SHEET)?;
        return Ok(Tagged(tag(&known.profile, form.format), answer).into_response());
    }
    Ok(answer(&known, units).into_response())
}

fn answer(known: &KnownProfile, units: Units) -> Tagged<Json<ProfileOut>> {
    Tagged(
        tag(&known.profile, "json"),
        Json(ProfileOut::of(known, units)),
    )
}

/// The profile as it was sent, in either form. A sheet holds the sizes alone: everything else stays as
/// it is in the version before, or goes by the built-in one.
fn read(
    body: &RawBody,
    id: &ProfileId,
    before: Option<&FormingProfile>,
) -> Result<FormingProfile, Problem> {
    let built_in = FormingProfile::built_in();
    if let Some(form) = sheet_form(body)? {
        let sizes = Rows::<SizeRow>::from_sheet(form, &body.bytes)?;
        return Ok(FormingProfile {
            id: id.as_str().to_owned(),
            sizes: row::plain(sizes),
            ..before.cloned().unwrap_or(FormingProfile {
                name: id.as_str().to_owned(),
                ..built_in
            })
        });
    }
    let given = from_json::<FormingProfileIn>(&body.bytes)?;
    let text = |text: Option<Text<2_000, 0>>| text.map(Text::into_string).unwrap_or_default();
    let mut faults = Faults::new();
    let at = At::BODY.field("general");
    let general = given.general.as_ref();
    let general = general.map(|general| general.over(&built_in, &at, &mut faults));
    if !faults.is_empty() {
        return Err(Problem::new(Slug::InvalidBody).with_faults(faults));
    }
    Ok(FormingProfile {
        id: id.as_str().to_owned(),
        name: given.name.as_str().trim().to_owned(),
        source: given.source.as_str().trim().to_owned(),
        note: text(given.note),
        listed_only: given.listed_only.unwrap_or(false),
        sizes: given.sizes.map(row::plain).unwrap_or_default(),
        ..general.unwrap_or(built_in)
    })
}

/// Set a forming profile
///
/// Scope `admin`. Each change is a new version; earlier ones stay, and checks and quotes name the one they
/// were made by. As JSON, whole; or as a sheet of its sizes, which leaves everything else as it is. Every
/// fault is named at once, in a sheet by row and column; with any fault nothing is stored. The first time
/// needs no `If-Match`, every other time does. The profile called `shop` holds where a request names none.
#[utoipa::path(put, path = "/v1/forming-profiles/{id}", tag = "reference",
    params(TrialQuery,
        ("id" = String, Path, description = "Its id: small letters, digits and hyphens.", example = "press-2"),
        ("If-Match" = Option<String>, Header, description = "The `ETag` of the version that is being changed, as JSON or CSV.", example = "*")),
    request_body(description = "The profile.", content(
        (FormingProfileIn = "application/json", example = json!({"name": "Bench press", "source": "samples drawn and cut open, November 2026",
            "general": {"thinnest_run": "L", "usual_ratio": "0.72", "severe_ratio": "0.63"},
            "sizes": [{"run": "2", "branch": "1", "allowed": true, "pilot": "7/8 in", "least_pitch": "2 in", "least_end_distance": "1 1/2 in", "source": "sample 14"}]})),
        (String = "text/csv", example = json!("run,branch,allowed,pilot,least_pitch,least_end_distance,thinnest_run,anneal,usual_ratio,severe_ratio,source,note\r\n2,1,yes,7/8 in,2 in,1 1/2 in,L,no,0.72,0.63,sample 14,\r\n")), (Vec<u8> = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"))),
    responses(
        (status = 200, description = "The new version; with `validate_only`, as it would be, without `ETag`.", body = ProfileOut,
            headers(("ETag" = String, description = "The new version."))),
        (status = 409, description = "The built-in profile never changes.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn put_forming_profile(
    _caller: MayAdmin,
    State(state): State<ApiState>,
    WirePath(id): WirePath<String>,
    WireQuery(trial): WireQuery<TrialQuery>,
    if_match: IfMatch,
    body: RawBody,
) -> Result<Response, Problem> {
    let id = ProfileId::in_path(&id)?;
    let before = match state.app().find_forming_profile(id.as_str(), None).await {
        Ok(known) => Some(known.profile),
        Err(AppError::NotFound { .. }) => None,
        Err(error) => return Err(error.into()),
    };
    let (given, named) = (before.clone(), id.clone());
    let profile = state
        .heavy()
        .run(move || read(&body, &named, given.as_ref()))
        .await??;
    let expected = match &before {
        Some(before) if !before.is_built_in() => {
            demand(&if_match, before)?;
            before.version
        }
        Some(_) => 0,
        None if if_match.is_given() && !if_match.is_any() => {
            return Err(Problem::new(Slug::Stale).with_detail(
                "There is no such profile yet, so that no version of it can be named. Leave `If-Match` out.",
            ));
        }
        None => 0,
    };
    let units = chosen(&state, None).await?;
    if trial.is_trial() {
        let mut profile = profile;
        profile.version = expected + 1;
        let known = KnownProfile {
            profile,
            changed_at: None,
        };
        return Ok(Json(ProfileOut::of(&known, units)).into_response());
    }
    let known = state.app().set_forming_profile(profile, expected).await?;
    Ok((StatusCode::OK, answer(&known, units)).into_response())
}
