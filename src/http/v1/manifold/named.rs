//! Things of the catalogue that requests name by their id.

use std::borrow::Cow;
use std::sync::Arc;

use serde::{Serialize, Serializer};
use serde_json::Value;
use utoipa::openapi::schema::{Schema, Type};
use utoipa::openapi::{ObjectBuilder, RefOr};

use crate::http::wire::{At, Faults, FromWire, code, given};
use crate::trade::catalogue::{Catalogue, FittingRow};
use crate::trade::filler::Filler;
use crate::trade::rule_set::RuleSet;
use crate::trade::tube::Tube;

/// A thing of the catalogue named by its id; an unknown id is answered with the nearest ones.
#[derive(Debug, Clone, PartialEq)]
pub struct Named<T>(Arc<T>);

impl<T> Named<T> {
    /// One that is known already.
    pub const fn known(thing: Arc<T>) -> Self {
        Self(thing)
    }

    /// The thing.
    pub fn get(&self) -> &Arc<T> {
        &self.0
    }
}

/// What can be named by an id in a request.
pub trait InCatalogue: Sized + 'static {
    /// What it is, with its article.
    const WANTED: &'static str;
    /// An id that is there.
    const EXAMPLE: &'static str;
    /// The code of an unknown id.
    const UNKNOWN: &'static str;
    /// Finds it.
    fn find(catalogue: &Catalogue, id: &str) -> Option<Arc<Self>>;
    /// Ids like a wrong one.
    fn nearest<'a>(catalogue: &'a Catalogue, id: &str) -> Vec<&'a str>;
    /// Its id.
    fn id(&self) -> &str;
}

impl InCatalogue for Tube {
    const WANTED: &'static str = "a tube id";
    const EXAMPLE: &'static str = "b88-l-2";
    const UNKNOWN: &'static str = "unknown_tube";
    fn find(catalogue: &Catalogue, id: &str) -> Option<Arc<Self>> {
        catalogue.tube(id).cloned()
    }
    fn nearest<'a>(catalogue: &'a Catalogue, id: &str) -> Vec<&'a str> {
        catalogue.nearest_tubes(id, 3)
    }
    fn id(&self) -> &str {
        &self.id
    }
}

impl InCatalogue for Filler {
    const WANTED: &'static str = "a filler id";
    const EXAMPLE: &'static str = "BCuP-3";
    const UNKNOWN: &'static str = "unknown_filler";
    fn find(catalogue: &Catalogue, id: &str) -> Option<Arc<Self>> {
        catalogue.filler(id).cloned()
    }
    fn nearest<'a>(catalogue: &'a Catalogue, id: &str) -> Vec<&'a str> {
        catalogue.nearest_fillers(id, 3)
    }
    fn id(&self) -> &str {
        &self.id
    }
}

impl InCatalogue for FittingRow {
    const WANTED: &'static str = "a fitting id";
    const EXAMPLE: &'static str = "tee-2x2x1";
    const UNKNOWN: &'static str = "unknown_fitting";
    fn find(catalogue: &Catalogue, id: &str) -> Option<Arc<Self>> {
        catalogue.fitting(id).cloned().map(Arc::new)
    }
    fn nearest<'a>(catalogue: &'a Catalogue, id: &str) -> Vec<&'a str> {
        catalogue.nearest_fittings(id, 3)
    }
    fn id(&self) -> &str {
        &self.id
    }
}

impl InCatalogue for RuleSet {
    const WANTED: &'static str = "the name of a rule set";
    const EXAMPLE: &'static str = "offtake-1";
    const UNKNOWN: &'static str = "unknown_rule_set";
    fn find(_catalogue: &Catalogue, id: &str) -> Option<Arc<Self>> {
        Self::named(id).map(Arc::new)
    }
    /// There are few, so that all of them are named.
    fn nearest<'a>(_catalogue: &'a Catalogue, _id: &str) -> Vec<&'a str> {
        Self::NAMES.to_vec()
    }
    fn id(&self) -> &str {
        self.name
    }
}

impl<T: InCatalogue> Serialize for Named<T> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.0.id())
    }
}

impl<T: InCatalogue> FromWire for Named<T> {
    fn read(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        let Value::String(id) = value else {
            let detail = format!("{} is {}; give {}", at.name(), given(value), Self::wanted());
            faults.report(at, code::WRONG_TYPE, detail);
            return None;
        };
        let catalogue = match Catalogue::built_in() {
            Ok(catalogue) => catalogue,
            Err(fault) => {
                faults.report(at, "catalogue_damaged", fault.to_string());
                return None;
            }
        };
        let found = T::find(catalogue, id.trim());
        if found.is_none() {
            let shown: String = id.chars().take(60).collect();
            let detail = format!(
                "{} is {shown:?}, which is not in the catalogue; the nearest are {}",
                at.name(),
                T::nearest(catalogue, &shown).join(", ")
            );
            faults.report(at, T::UNKNOWN, detail);
        }
        found.map(Self)
    }

    fn wanted() -> Cow<'static, str> {
        format!("{} such as \"{}\"", T::WANTED, T::EXAMPLE).into()
    }

    fn schema() -> RefOr<Schema> {
        ObjectBuilder::new()
            .schema_type(Type::String)
            .description(Some(format!("{} of the catalogue.", T::WANTED)))
            .examples([T::EXAMPLE])
            .into()
    }
}
