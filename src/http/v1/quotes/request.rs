//! A quote as requests carry it.

use std::borrow::Cow;

use jiff::civil::Date;
use serde::{Serialize, Serializer};
use serde_json::Value;
use utoipa::openapi::schema::Schema;
use utoipa::openapi::{OneOfBuilder, RefOr};
use uuid::Uuid;

use crate::app::estimates::Choice;
use crate::app::quotes::{Addressee, QuoteRequest};
use crate::http::problem::{Problem, Slug};
use crate::http::v1::bulk::chosen_rules;
use crate::http::v1::forming_profiles::ProfileId;
use crate::http::v1::manifold::{ManifoldIn, Named};
use crate::http::wire::{At, Faults, FromWire, List, Text, code, given, wire_struct};
use crate::shop::quote::Customer;
use crate::trade::catalogue::Catalogue;
use crate::trade::rule_set::RuleSet;

wire_struct! {
    /// Whom a quote goes to, written out.
    #[example = {"name": "Harbour Heating", "contact": "Jo Tiller", "address": ["4 Quay Street", "Millport"], "email": "jo@example.com"}]
    pub struct GivenCustomer {
        /// Name of the firm or person.
        #[example = "Harbour Heating"]
        name: Text<200>,
        /// Who is addressed.
        #[example = "Jo Tiller"]
        contact: Option<Text<200>>,
        /// Address, a line each.
        #[example = ["4 Quay Street", "Millport"]]
        address: Option<List<Text<200>, 8, 0>>,
        /// Email.
        #[example = "jo@example.com"]
        email: Option<Text<200>>,
    }
}

/// Whom a quote goes to: written out, or the id of a customer that the shop keeps.
#[derive(Debug, Clone)]
pub enum CustomerChoice {
    /// Written out.
    Given(Box<GivenCustomer>),
    /// By id.
    Stored(Uuid),
}

impl Serialize for CustomerChoice {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self {
            Self::Given(customer) => customer.serialize(serializer),
            Self::Stored(id) => id.serialize(serializer),
        }
    }
}

impl FromWire for CustomerChoice {
    fn read(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        match value {
            Value::Object(_) => GivenCustomer::read(value, at, faults)
                .map(|customer| Self::Given(Box::new(customer))),
            Value::String(_) => Uuid::read(value, at, faults).map(Self::Stored),
            other => {
                let detail = format!("{} is {}; give {}", at.name(), given(other), Self::wanted());
                faults.report(at, code::WRONG_TYPE, detail);
                None
            }
        }
    }

    fn wanted() -> Cow<'static, str> {
        "a customer such as {\"name\": \"Harbour Heating\"}, or the id of one that the shop keeps"
            .into()
    }

    fn schema() -> RefOr<Schema> {
        OneOfBuilder::new()
            .item(<GivenCustomer as FromWire>::schema())
            .item(<Uuid as FromWire>::schema())
            .into()
    }

    fn components(list: &mut Vec<(String, RefOr<Schema>)>) {
        GivenCustomer::components(list);
    }
}

wire_struct! {
    /// A quote to write.
    pub struct QuoteIn {
        /// Whom it goes to.
        customer: CustomerChoice,
        /// What it is for.
        #[example = "Boiler room, east wing"]
        project: Text<200>,
        /// A note to the customer.
        #[example = "Delivery in two weeks from your order."]
        note: Option<Text<4_000>>,
        /// The schedule, 1 to 500 manifolds.
        manifolds: List<ManifoldIn, 500>,
        /// A price list by id; else the one in force.
        price_list: Option<Uuid>,
        /// A labour model by id; else the one in force.
        labour_model: Option<Uuid>,
        /// The day that prices and times must hold; else today.
        #[example = "2026-12-01"]
        on: Option<Date>,
        /// The rule set to judge by; else the usual one.
        #[example = "offtake-1"]
        rule_set: Option<Named<RuleSet>>,
        /// The forming profile to judge by; else the one called `shop`, else the built-in one.
        #[example = "built-in"]
        forming_profile: Option<ProfileId>,
        /// Last day the quote stands; else the shop's usual number of days from the day of issue.
        #[example = "2099-12-31"]
        valid_until: Option<Date>,
    }
}

impl QuoteIn {
    /// What it asks for, every manifold resolved.
    ///
    /// # Errors
    /// 422 with every fault of the designs.
    pub fn resolve(&self, catalogue: &Catalogue) -> Result<QuoteRequest, Problem> {
        let mut faults = Faults::new();
        let list = At::BODY.field("manifolds");
        let manifolds: Vec<_> = self
            .manifolds
            .as_slice()
            .iter()
            .enumerate()
            .filter_map(|(index, manifold)| {
                manifold.resolve(catalogue, &list.index(index), &mut faults)
            })
            .collect();
        if !faults.is_empty() {
            return Err(Problem::new(Slug::InvalidBody).with_faults(faults));
        }
        Ok(QuoteRequest {
            addressee: match &self.customer {
                CustomerChoice::Stored(id) => Addressee::Stored(*id),
                CustomerChoice::Given(customer) => Addressee::Given(customer.to_customer()),
            },
            project: self.project.as_str().trim().to_owned(),
            note: text(self.note.as_ref()),
            manifolds,
            choice: Choice {
                price_list: self.price_list,
                labour_model: self.labour_model,
                on: self.on,
                rules: chosen_rules(self.rule_set.as_ref(), self.forming_profile.as_ref()),
            },
            valid_until: self.valid_until,
            text: serde_json::to_string(self).map_err(|error| Problem::internal(&error))?,
        })
    }
}

impl GivenCustomer {
    fn to_customer(&self) -> Customer {
        Customer {
            name: self.name.as_str().trim().to_owned(),
            contact: text(self.contact.as_ref()),
            address: self
                .address
                .iter()
                .flat_map(|lines| lines.as_slice())
                .map(|line| line.as_str().to_owned())
                .collect(),
            email: text(self.email.as_ref()),
        }
    }
}

fn text<const MAX: usize>(given: Option<&Text<MAX>>) -> String {
    given.map_or_else(String::new, |text| text.as_str().to_owned())
}
