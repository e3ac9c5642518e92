//! Where it is done.

use crate::given::{Given, kind};
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

impl Room {
    /// A room of a volume, walls to walls; everything else as not given.
    ///
    /// ```
    /// use brimline_openapi::Room;
    /// let lab = Room::of("190 m3").temperature("21 Cel").air_changes("3 /h").floor_area("70 m2");
    /// assert_eq!(lab.air_changes.as_deref(), Some("3 /h"));
    /// ```
    #[must_use]
    pub fn of(volume: impl Into<Given<kind::Volume>>) -> Self {
        Self { volume: Some(volume.into().into()), ..Self::default() }
    }

    /// The same where the volume is free, furniture already taken off.
    #[must_use]
    pub const fn without_furniture(mut self) -> Self {
        self.volume_is = Some(VolumeIs::Free);
        self
    }

    /// The same with the temperature of its air.
    #[must_use]
    pub fn temperature(mut self, temperature: impl Into<Given<kind::Temperature>>) -> Self {
        self.temperature = Some(temperature.into().into());
        self
    }

    /// The same with the pressure of its air.
    #[must_use]
    pub fn pressure(mut self, pressure: impl Into<Given<kind::Pressure>>) -> Self {
        self.pressure = Some(pressure.into().into());
        self
    }

    /// The same with its air changes.
    #[must_use]
    pub fn air_changes(mut self, air_changes: impl Into<Given<kind::AirChanges>>) -> Self {
        self.air_changes = Some(air_changes.into().into());
        self
    }

    /// The same with its floor area.
    #[must_use]
    pub fn floor_area(mut self, area: impl Into<Given<kind::Area>>) -> Self {
        self.floor_area = Some(area.into().into());
        self
    }

    /// The same with its height.
    #[must_use]
    pub fn height(mut self, height: impl Into<Given<kind::Length>>) -> Self {
        self.height = Some(height.into().into());
        self
    }

    /// The same with the relative humidity of its air.
    #[must_use]
    pub fn relative_humidity(mut self, share: impl Into<Given<kind::Share>>) -> Self {
        self.relative_humidity = Some(share.into().into());
        self
    }
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
