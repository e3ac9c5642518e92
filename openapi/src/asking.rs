//! What every request may carry.

use serde::{Deserialize, Serialize};

/// How much text the reply carries.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Detail {
    /// Everything.
    #[default]
    Full,
    /// Without the texts of assumptions, methods, sources and cautions and without `record.request`; ids stay.
    Figures,
}

/// What heats a liquid.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Heater {
    /// A bath of water.
    WaterBath,
    /// Steam.
    SteamBath,
    /// A hot plate.
    HotPlate,
    /// A heating mantle.
    HeatingMantle,
    /// A lamp.
    Lamp,
    /// A naked flame.
    Flame,
}

/// Who answers for a rule that was relaxed, and why.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct RelaxedBy {
    /// The role of the person who answers for it, for example `"safety adviser"`.
    pub role: String,
    /// Why.
    pub reason: String,
}
