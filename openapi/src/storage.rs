//! `storage`: how far a container is filled and closed, how much of it is kept where, and beside what.

use crate::given::{Given, kind};
use crate::{Basis, Detail, Liquid, LiquidEcho, Quantity, RelaxedBy, Room, Text, Verdict};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Asks how a liquid is kept in a closed container.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct Storage {
    /// The liquid.
    pub liquid: Liquid,
    /// The container.
    pub container: StoredContainer,
    /// Highest temperature that the container comes to, for example `"35 Cel"`; 30 Cel if not given, or the room's where that is hotter.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub highest_temperature: Option<String>,
    /// What stands beside it, at most 50: liquids; families such as `oxidisers`, `acids`, `bases`, `water-reactives`, `alkali metals`,
    /// `metal powders`, `halogenated solvents`, `aqueous solutions`, `compressed gases`, `salts` and every family that `keep_apart`
    /// names; or what schools keep, such as `nitric acid`, `bleach`, `potassium permanganate`, `sodium`, `copper sulfate`, `petrol`,
    /// `gas cylinders`, `spray cans`, `paper`, `cloth`. A word that is not known is a fault that lists those that are.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub beside: Option<Vec<Liquid>>,
    /// Liquids that count against the same limit and are in the room already, this container not among them, for example `"12 L"`; `"0 L"` where there are none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub held_in_room: Option<String>,
    /// Distance to the nearest ignition source.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub nearest_ignition: Option<String>,
    /// Where ignition sources are; `"none in the room"` says that there is none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ignition: Option<String>,
    /// Where it stands; on a bench no more than `bench_amount` of a liquid whose vapour can be lit or that flashes below 60 Cel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub place: Option<StoragePlace>,
    /// Whether the refrigerator has no ignition source inside, as its maker states: no thermostat, lamp or fan that sparks. `ignition` speaks of the
    /// room and does not say it. Without it no amount of a liquid whose vapour can be lit there is within the limits.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub spark_free: Option<bool>,
    /// Time since the container was opened, for example `"200 d"` or `"6 months"`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub opened_for: Option<String>,
    /// Result of a test for peroxides; `"none found"` says that one was made and found none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub peroxide_test: Option<String>,
    /// The room.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub room: Option<Room>,
    /// Short form of `room.temperature`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub room_temperature: Option<String>,
    /// Short form of `room.pressure`: the pressure at which the container is closed, and that around it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pressure: Option<String>,
    /// How much text the reply carries; `full` if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub detail: Option<Detail>,
    /// Rules replaced for this request, by name; see `/v1/rules`.
    #[cfg_attr(feature = "document", schema(value_type = crate::document::ReplacedRules))]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rules: Option<BTreeMap<String, String>>,
    /// Who answers for a rule made laxer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub relaxed_by: Option<RelaxedBy>,
}

impl Storage {
    /// How a liquid is kept in a container; everything else as not given.
    #[must_use]
    pub fn of(liquid: impl Into<Liquid>, container: StoredContainer) -> Self {
        Self {
            liquid: liquid.into(),
            container,
            highest_temperature: None,
            beside: None,
            held_in_room: None,
            nearest_ignition: None,
            ignition: None,
            place: None,
            spark_free: None,
            opened_for: None,
            peroxide_test: None,
            room: None,
            room_temperature: None,
            pressure: None,
            detail: None,
            rules: None,
            relaxed_by: None,
        }
    }
}

/// A closed container.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct StoredContainer {
    /// What it holds when it is full, for example `"500 mL"`; the nominal volume errs on the cautious side.
    pub capacity: String,
    /// What is in it, a volume at 20 Cel; where it is filled colder than that, the checks also take it as measured there, the less favourable
    /// of both. Without it the largest fill is checked.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub filled: Option<String>,
    /// Temperature of the liquid when it is filled and closed; 15 Cel if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub filled_at: Option<String>,
    /// Material; whether it holds the liquid is not judged. For example `"glass"`, `"steel"` or `"polyethylene"`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub material: Option<String>,
}

impl StoredContainer {
    /// A container that holds this much when it is full; everything else as not given.
    #[must_use]
    pub fn of(capacity: impl Into<Given<kind::Volume>>) -> Self {
        Self { capacity: capacity.into().into(), filled: None, filled_at: None, material: None }
    }
}

/// Where a container stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum StoragePlace {
    /// A cupboard for flammable liquids.
    Cupboard,
    /// A bench or shelf.
    Bench,
    /// A refrigerator.
    Refrigerator,
}

/// How a liquid is kept in a closed container.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct StorageReply {
    /// Sentence, outcome, completeness.
    #[serde(flatten)]
    pub verdict: Verdict,
    /// The liquid as it was understood.
    pub liquid: LiquidEcho,
    /// Largest fill by degree of filling and pressure inside, mL at 20 Cel; the cautious end. Not given where no amount is within the limits.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub largest_fill: Option<Quantity>,
    /// The same as a share of the capacity at the temperature at which it is filled, %; the cautious end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub largest_fill_share: Option<Quantity>,
    /// Share of the capacity that is gas at the highest temperature, at the fill that is checked, %.
    pub ullage_at_highest: Quantity,
    /// What builds up above the pressure of the air at the highest temperature, at the fill that is checked, kPa.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pressure_at_highest: Option<Quantity>,
    /// Category of the flammable liquid, 1 to 3; absent if none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub flammable_liquid_category: Option<u8>,
    /// The most of such liquids kept in the cupboards of a workroom, L; absent where none counts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cupboard_limit: Option<Quantity>,
    /// Share of vapour in a refrigerator into which all of it leaked, by volume, %.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub vapour_in_refrigerator: Option<Quantity>,
    /// What this liquid is kept apart from: families first, then pairs of its own parts that react in one container, then each neighbour that is named and does not belong there.
    pub keep_apart: Vec<KeepApart>,
    /// Whether it is listed as one that forms peroxides.
    pub peroxide_former: bool,
    /// What to do about it.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub peroxide_advice: Option<Text>,
    /// How it charges when it flows.
    #[serde(rename = "static")]
    pub static_charge: StaticCharge,
    /// Where what is left of it goes.
    pub waste: Waste,
    /// Checks, what was considered, texts, record.
    #[serde(flatten)]
    pub basis: Basis,
}

/// What a liquid is kept apart from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct KeepApart {
    /// A family, or the name of a neighbour.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub with: Text,
    /// Why.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub reason: Text,
}

/// How a liquid charges when it flows.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct StaticCharge {
    /// How well it conducts; what is unknown counts as low.
    pub conductivity: Conductivity,
    /// What to do.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub advice: Text,
}

/// How well a liquid conducts; of a mixture its worst part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Conductivity {
    /// A charge flows off.
    High,
    /// A charge flows off slowly.
    Medium,
    /// Not listed.
    NotKnown,
    /// It keeps a charge.
    Low,
    /// A word of a newer service.
    #[serde(other, skip_serializing)]
    Unknown,
}

/// Where what is left of a liquid goes.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct Waste {
    /// Its group.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub group: Text,
    /// What to do.
    #[cfg_attr(feature = "document", schema(value_type = Vec<String>))]
    pub advice: Vec<Text>,
}
