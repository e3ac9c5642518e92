//! `flash-point-margin`: how far a liquid is below its flash point.

use crate::given::{Given, kind};
use crate::{
    Basis, Component, Detail, Heater, Liquid, LiquidEcho, LiquidPhase, Quantity, RelaxedBy, Room, Verdict,
};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Asks how far a liquid is below its flash point, and what stands over it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct FlashPointMargin {
    /// The liquid.
    pub liquid: Liquid,
    /// Temperature of the room, for example `"21 Cel"`; 30 Cel if not given. Short form of `room.temperature`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub room_temperature: Option<String>,
    /// Air pressure, for example `"101.325 kPa"`; 95 kPa if not given. Short form of `room.pressure`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pressure: Option<String>,
    /// Temperature to which the liquid is heated, for example `"40 Cel"`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub heated_to: Option<String>,
    /// What heats the liquid. Where `heated_to` is not given, it is then taken a little below its boiling point, and no hotter than a bath
    /// or a stated surface.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub heated_by: Option<Heater>,
    /// The hottest surface near the liquid, whether or not it heats it: a hot plate left on, a lamp, an oven, for example `"350 Cel"`; the
    /// usual one of `heated_by` if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub surface_temperature: Option<String>,
    /// The room, of which this question uses temperature and pressure.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub room: Option<Room>,
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

impl FlashPointMargin {
    /// The question for a liquid; everything else unknown, and so taken on the cautious side.
    #[must_use]
    pub fn of(liquid: impl Into<Liquid>) -> Self {
        Self {
            liquid: liquid.into(),
            room_temperature: None,
            pressure: None,
            heated_to: None,
            heated_by: None,
            surface_temperature: None,
            room: None,
            detail: None,
            rules: None,
            relaxed_by: None,
        }
    }

    /// With the temperature of the room, for example `"21 Cel"`.
    #[must_use]
    pub fn room_temperature(mut self, temperature: impl Into<Given<kind::Temperature>>) -> Self {
        self.room_temperature = Some(temperature.into().into());
        self
    }

    /// With the air pressure, for example `"101.325 kPa"`.
    #[must_use]
    pub fn pressure(mut self, pressure: impl Into<Given<kind::Pressure>>) -> Self {
        self.pressure = Some(pressure.into().into());
        self
    }

    /// With the temperature to which the liquid is heated.
    #[must_use]
    pub fn heated_to(mut self, temperature: impl Into<Given<kind::Temperature>>) -> Self {
        self.heated_to = Some(temperature.into().into());
        self
    }

    /// With what heats the liquid.
    #[must_use]
    pub const fn heated_by(mut self, heater: Heater) -> Self {
        self.heated_by = Some(heater);
        self
    }

    /// With the temperature of the hottest surface near the liquid.
    #[must_use]
    pub fn surface_temperature(mut self, temperature: impl Into<Given<kind::Temperature>>) -> Self {
        self.surface_temperature = Some(temperature.into().into());
        self
    }

    /// In a room, of which this question uses temperature and pressure.
    #[must_use]
    pub fn room(mut self, room: Room) -> Self {
        self.room = Some(room);
        self
    }
}

/// The margin to the flash point and the condition of the headspace.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct FlashPointMarginReply {
    /// Sentence, outcome, completeness.
    #[serde(flatten)]
    pub verdict: Verdict,
    /// The liquid as it was understood.
    pub liquid: LiquidEcho,
    /// Flash point at the room's pressure, closed cup, Cel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub flash_point: Option<Quantity>,
    /// Published (or estimated, see the check's evidence) flash point at 101.325 kPa, closed cup, Cel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub published_flash_point: Option<Quantity>,
    /// Temperature of the liquid: the higher of `heated_to` and the room's, Cel.
    pub liquid_temperature: Quantity,
    /// Flash point less liquid temperature, K; negative means ignitable vapour above the liquid.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub margin: Option<Quantity>,
    /// The margin asked for, K.
    pub required_margin: Quantity,
    /// What stands over the liquid.
    pub headspace: Headspace,
    /// Temperature at which the saturated vapour reaches the lower flammable limit, Cel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lower_flammable_temperature: Option<Quantity>,
    /// Temperature at which the saturated vapour reaches the upper flammable limit, Cel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub upper_flammable_temperature: Option<Quantity>,
    /// Category of the flammable liquid, 1 to 3, by the published CLP/GHS criteria; absent if none. A mixture whose
    /// calculated flash point lies no more than 5 K above a bound takes the stricter category.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub flammable_liquid_category: Option<u8>,
    /// For a mixture: its flash point after a share of its mass has evaporated at the liquid's temperature.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub after_evaporation: Vec<AfterEvaporation>,
    /// The two liquid phases, where a mixture splits at the liquid's temperature; their vapour is the same.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub liquid_phases: Vec<LiquidPhase>,
    /// Checks, what was considered, texts, record.
    #[serde(flatten)]
    pub basis: Basis,
}

/// An open mixture after a share of it has evaporated.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct AfterEvaporation {
    /// Share of the mass that has evaporated, %.
    pub evaporated: Quantity,
    /// Flash point of what is left, at the room's pressure, closed cup, Cel; absent where it reaches none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub flash_point: Option<Quantity>,
    /// Lower flammable limit of all the vapour given off so far, at the liquid's temperature, %; absent where it has none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lower_flammable_limit_of_vapour: Option<Quantity>,
    /// What is left.
    pub components: Vec<Component>,
}

/// The vapour over the liquid against its flammable limits, at the liquid's temperature.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct Headspace {
    /// The condition in a word.
    pub condition: HeadspaceCondition,
    /// Volume fraction of flammable vapour in saturated air, %.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub volume_fraction: Option<Quantity>,
    /// Lower flammable limit at the liquid's temperature, %.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lower_flammable_limit: Option<Quantity>,
    /// Upper flammable limit, %; an indication only.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub upper_flammable_limit: Option<Quantity>,
}

/// The condition of the vapour over a liquid.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum HeadspaceCondition {
    /// Below the lower limit and below the flash point, both at the unfavourable end.
    TooLean,
    /// Can be ignited, or cannot be shown not to be.
    Ignitable,
    /// Above the upper limit: never within a limit, since at the rim, on pouring or on cooling it passes through the ignitable range.
    TooRich,
    /// A source says that it does not burn.
    NotFlammable,
    /// No trusted limits are published; that does not mean that the vapour cannot burn.
    NoPublishedLimits,
    /// A word of a newer service.
    #[serde(other, skip_serializing)]
    Unknown,
}
