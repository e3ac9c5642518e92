//! Where it is done.

use serde::{Deserialize, Serialize};

/// A room. What is not given is taken on the cautious side, and the reply says so.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
#[serde(default)]
pub struct Room {
    /// Volume, for example `"190 m3"`; required where a question needs a room.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub volume: Option<String>,
    /// Whether `volume` is the whole room (then × 0.8 for furniture) or its free volume.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub volume_is: Option<VolumeIs>,
    /// Air temperature, for example `"21 Cel"`; 30 Cel if not given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub temperature: Option<String>,
    /// Air pressure, for example `"101.325 kPa"`; 95 kPa if not given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pressure: Option<String>,
    /// Air changes per hour, for example `"3 /h"`; none if not given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub air_changes: Option<String>,
    /// Floor area, for example `"70 m2"`; volume / height if not given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub floor_area: Option<String>,
    /// Height, for example `"2.7 m"`; 4 m for the floor area if not given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub height: Option<String>,
    /// Relative humidity, for example `"50 %"`, which is also the default.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub relative_humidity: Option<String>,
}

/// What the volume of a room counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum VolumeIs {
    /// The whole room; 0.8 of it is taken as free.
    Whole,
    /// The free volume, furniture already taken off.
    Free,
}
