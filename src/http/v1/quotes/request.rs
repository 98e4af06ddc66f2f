//! A quote as requests carry it.

use std::borrow::Cow;

use jiff::civil::Date;
use serde::{Serialize, Serializer};
use serde_json::Value;
use utoipa::openapi::schema::Schema;
use utoipa::openapi::{OneOfBuilder, RefOr};
use uuid::Uuid;

use crate::app::estimates::Choice;
use crate::app::quotes::{Addressee, OptionRequest, QuoteRequest};
use crate::http::problem::{Problem, Slug};
use crate::http::v1::bulk::chosen_rules;
use crate::http::v1::forming_profiles::ProfileId;
use crate::http::v1::manifold::{ManifoldIn, Named};
use crate::http::wire::{
    At, Fault, Faults, FromWire, List, Text, code, given, wire_enum, wire_struct,
};
use crate::shop::quote::{Customer, Presentation, WantedOption, option_faults};
use crate::trade::catalogue::Catalogue;
use crate::trade::manifold::Manifold;
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

wire_enum! {
    /// How the customer's papers show the price of a schedule.
    pub enum PresentationName {
        /// A price for each manifold.
        Itemised = "itemised",
        /// One price for all of it; no form of the paper has a price of a single manifold. Taxes of several rates still
        /// say what each is on.
        LumpSum = "lump_sum",
    }
}

impl From<PresentationName> for Presentation {
    fn from(name: PresentationName) -> Self {
        match name {
            PresentationName::Itemised => Self::Itemised,
            PresentationName::LumpSum => Self::LumpSum,
        }
    }
}

wire_struct! {
    /// Something that may be ordered otherwise or beside the schedule. Its price is what the whole
    /// schedule costs with it, less what it costs without; it is in no total until it is ordered.
    #[example = {"name": "Built up from tees", "instead_of": "H-1", "manifold": {"mark": "H-1T", "service": "hydronic_heating",
        "design_pressure": "75 psi", "design_temperature": "180 degF", "build": "tees_brazed",
        "run": {"tube": "b88-l-2", "ends": [{"kind": "cap"}, {"kind": "plain", "beyond": "6 in"}]},
        "outlets": [{"tube": "b88-l-1", "count": 6, "first": "6 in", "pitch": "7 in", "stub": "3 in"}]}}]
    pub struct OptionIn {
        /// Its name, by which it is ordered; unique in the quote.
        #[example = "Built up from tees"]
        name: Text<80>,
        /// The mark of the manifold of the schedule that it takes the place of: an alternate, the same header
        /// built otherwise. Not given, it comes on top.
        #[example = "H-1"]
        instead_of: Option<Text<40>>,
        /// What is offered. As many as it takes the place of, when an alternate does not say how many.
        manifold: ManifoldIn,
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
        /// What may be ordered otherwise or beside it, 20 at most.
        options: Option<List<OptionIn, 20, 0>>,
        /// How the customer's papers show the price; itemised when not given.
        #[example = "itemised"]
        presentation: Option<PresentationName>,
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
        let options = self.resolve_options(catalogue, &manifolds, &mut faults);
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
            options,
            presentation: self
                .presentation
                .map(Presentation::from)
                .unwrap_or_default(),
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

impl QuoteIn {
    /// The options, every fault reported. Places are right where the whole schedule resolved.
    fn resolve_options(
        &self,
        catalogue: &Catalogue,
        schedule: &[Manifold],
        faults: &mut Faults,
    ) -> Vec<OptionRequest> {
        let options = self.options.as_ref().map_or(&[][..], List::as_slice);
        let list = At::BODY.field("options");
        let schedule_marks = self.manifolds.as_slice().iter();
        let marks: Vec<&str> = schedule_marks
            .map(|made| made.mark.as_str().trim())
            .collect();
        let wanted: Vec<WantedOption<'_>> = options.iter().map(OptionIn::wanted).collect();
        for fault in option_faults(&wanted, &marks) {
            let pointer = format!("/options/{}/{}", fault.place, fault.field);
            faults.push(Fault::new(pointer, fault.code, fault.detail));
        }
        let each = options.iter().zip(wanted).enumerate();
        each.filter_map(|(index, (option, wanted))| {
            let at = list.index(index);
            let mut manifold = option
                .manifold
                .resolve(catalogue, &at.field("manifold"), faults)?;
            let place = wanted
                .instead_of
                .and_then(|mark| marks.iter().position(|known| *known == mark));
            let replaced = place.and_then(|place| schedule.get(place));
            if let (None, Some(replaced)) = (&option.manifold.quantity, replaced) {
                manifold.quantity = replaced.quantity;
            }
            Some(OptionRequest {
                name: wanted.name.to_owned(),
                instead_of: place,
                manifold,
            })
        })
        .collect()
    }
}

impl OptionIn {
    fn wanted(&self) -> WantedOption<'_> {
        WantedOption {
            name: self.name.as_str().trim(),
            instead_of: self.instead_of.as_ref().map(|mark| mark.as_str().trim()),
        }
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
