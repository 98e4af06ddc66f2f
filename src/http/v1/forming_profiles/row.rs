//! What is known of one branch size on one run size, in JSON or as a row of a sheet.

use std::borrow::Cow;
use std::collections::BTreeSet;

use serde_json::Value;

use super::fields::{DrawRatio, FormedWall, NominalIn, YesNo};
use super::general::severe_below_usual;
use crate::http::v1::manifold::SizeIn;
use crate::http::v1::rows::{Row, Rows, quietly};
use crate::http::v1::sheet::Columns;
use crate::http::wire::{At, Faults, FromWire, QuantityOut, Text, Units, code, wire_struct};
use crate::trade::catalogue::Catalogue;
use crate::trade::forming::{FormedSize, FormingProfile};
use crate::trade::quantity::Length;
use crate::trade::tube::{Nominal, WallType};

wire_struct! {
    /// What is known of one branch size on one run size; what is left out goes by the general limits.
    #[example = {"run": "2", "branch": "1", "allowed": true, "pilot": "7/8 in", "least_pitch": "2 in", "least_end_distance": "1 1/2 in", "source": "sample 14"}]
    pub struct FormedSizeIn {
        /// Size of the run, as its tube goes by.
        #[example = "2"]
        run: NominalIn,
        /// Size of the branch, as its tube goes by.
        #[example = "1"]
        branch: NominalIn,
        /// The equipment draws it.
        #[example = true]
        allowed: YesNo,
        /// Diameter of the pilot that was proved.
        #[example = "7/8 in"]
        pilot: Option<SizeIn>,
        /// Least centre distance to another outlet, over the surface of the run.
        #[example = "2 in"]
        least_pitch: Option<SizeIn>,
        /// Least distance from the centre to the end of the run.
        #[example = "1 1/2 in"]
        least_end_distance: Option<SizeIn>,
        /// Thinnest type of run.
        #[example = "L"]
        thinnest_run: Option<FormedWall>,
        /// The run is annealed there before the collar is drawn.
        #[example = false]
        anneal: Option<YesNo>,
        /// Usual limit of pilot over collar diameter.
        #[example = "0.72"]
        usual_ratio: Option<DrawRatio>,
        /// Severe limit of it.
        #[example = "0.63"]
        severe_ratio: Option<DrawRatio>,
        /// Where these figures come from; the profile's source when not given.
        #[example = "sample 14"]
        source: Option<Text<400, 0>>,
        /// What else is to be known.
        #[example = "lubricate well"]
        note: Option<Text<400, 0>>,
    }
}

/// A size that stands by itself.
#[derive(Debug, Clone, PartialEq)]
pub struct SizeRow(FormedSize);

/// The sizes themselves.
pub fn plain(rows: Rows<SizeRow>) -> Vec<FormedSize> {
    rows.into_vec().into_iter().map(|row| row.0).collect()
}

impl Row for SizeRow {
    type Shape = FormedSizeIn;
    const LIST: &'static str = "sizes";
    const KEY: &'static str = "branch";
    const COLUMNS: Columns = Columns {
        read: &[
            "run",
            "branch",
            "allowed",
            "pilot",
            "least_pitch",
            "least_end_distance",
            "thinnest_run",
            "anneal",
            "usual_ratio",
            "severe_ratio",
            "source",
            "note",
        ],
        required: &["run", "branch", "allowed"],
        ignored: &[],
        // A row of the blank sheet names run and branch; by itself that enters nothing.
        filled: &[
            "allowed",
            "pilot",
            "least_pitch",
            "least_end_distance",
            "thinnest_run",
            "anneal",
            "usual_ratio",
            "severe_ratio",
            "source",
            "note",
        ],
        numbers: &[],
    };

    /// Both sizes, however they were written.
    fn key(value: &Value) -> Option<Cow<'_, str>> {
        let size = |field: &str| {
            value
                .get(field)
                .and_then(Value::as_str)
                .and_then(Nominal::parse)
        };
        let (run, branch) = (size("run")?, size("branch")?);
        Some(format!("{} on {}", branch.text(), run.text()).into())
    }

    fn read_row(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        let before = faults.count();
        let read = FormedSizeIn::read(value, at, faults);
        let size = |field| quietly::<NominalIn>(value, field).map(|size| size.0);
        if let (Some(run), Some(branch)) = (size("run"), size("branch")) {
            no_larger(branch, run, at, faults);
        }
        ratios(value, at, faults);
        let read = read?;
        let length = |given: &Option<SizeIn>| given.as_ref().map(SizeIn::get);
        let text = |given: Option<Text<400, 0>>| {
            let text = given.map(Text::into_string).unwrap_or_default();
            text.trim_matches(' ').to_owned()
        };
        (faults.count() == before).then(|| {
            Self(FormedSize {
                run: read.run.0,
                branch: read.branch.0,
                allowed: read.allowed.0,
                pilot: length(&read.pilot),
                least_pitch: length(&read.least_pitch),
                least_end: length(&read.least_end_distance),
                thinnest_run: read.thinnest_run.map(WallType::from),
                anneals: read.anneal.map(|anneal| anneal.0),
                caution_ratio: read.usual_ratio.map(DrawRatio::get),
                severe_ratio: read.severe_ratio.map(DrawRatio::get),
                source: text(read.source),
                note: text(read.note),
            })
        })
    }
}

fn no_larger(branch: Nominal, run: Nominal, at: &At<'_>, faults: &mut Faults) {
    if branch > run {
        let detail = format!(
            "`branch` is {}, larger than its run of {}; a branch is no larger than its run",
            branch.with_unit(),
            run.with_unit()
        );
        faults.report(&at.field("branch"), code::OUT_OF_RANGE, detail);
    }
}

fn ratios(value: &Value, at: &At<'_>, faults: &mut Faults) {
    let given = |field| quietly::<DrawRatio>(value, field).map(DrawRatio::get);
    if let (Some(usual), Some(severe)) = (given("usual_ratio"), given("severe_ratio")) {
        severe_below_usual((usual, severe), at, faults);
    }
}

/// The cells of a size, in the order of the columns.
pub fn cells(size: &FormedSize, units: Units) -> Vec<String> {
    let length = |it: Option<Length>| {
        it.map_or_else(String::new, |it| {
            let shown = QuantityOut::length(it, units);
            format!("{} {}", shown.value, shown.unit)
        })
    };
    let ratio = |it: Option<f64>| it.map_or_else(String::new, |it| it.to_string());
    vec![
        size.run.text(),
        size.branch.text(),
        YesNo::word(size.allowed).to_owned(),
        length(size.pilot),
        length(size.least_pitch),
        length(size.least_end),
        size.thinnest_run
            .map_or_else(String::new, |wall| wall.name().to_owned()),
        size.anneals
            .map_or_else(String::new, |anneals| YesNo::word(anneals).to_owned()),
        ratio(size.caution_ratio),
        ratio(size.severe_ratio),
        size.source.clone(),
        size.note.clone(),
    ]
}

/// Every branch on every run of the built-in envelope, with nothing else filled in.
pub fn blank_rows(catalogue: &Catalogue) -> Vec<Vec<String>> {
    let envelope = FormingProfile::built_in();
    let sizes: BTreeSet<Nominal> = catalogue
        .tubes()
        .iter()
        .filter(|tube| tube.id.starts_with("b88-l-"))
        .map(|tube| tube.nominal)
        .collect();
    let within = |size: Nominal, (least, most)| size >= least && size <= most;
    let mut rows = Vec::new();
    for run in sizes.iter().filter(|run| within(**run, envelope.runs)) {
        let branches = sizes.iter().filter(|it| within(**it, envelope.outlets));
        for branch in branches.filter(|branch| *branch < run) {
            let mut row = vec![run.text(), branch.text()];
            row.resize(SizeRow::COLUMNS.read.len(), String::new());
            rows.push(row);
        }
    }
    rows
}
