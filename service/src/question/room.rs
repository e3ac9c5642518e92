//! The room of a request, with every default taken on the cautious side and said.

use super::draft::Draft;
use super::field;
use super::reader::{Asked, Fields, Typed};
use super::record::Group;
use super::rules::Rules;
use crate::physics::room_air::Air;
use brimline_openapi::VolumeIs;
use uom::si::f64::{Area, Frequency, Length, Pressure, Ratio, ThermodynamicTemperature, Volume};

/// Default relative humidity, %.
const HUMIDITY_PERCENT: f64 = 50.0;
/// A room whose floor times height differs from its volume by more than this factor was not described right.
const MISFIT: f64 = 1.5;

/// What a request says of its room.
#[derive(Debug, Clone, Default)]
pub struct RoomAsked {
    volume: Option<Asked<Volume>>,
    volume_is: Option<VolumeIs>,
    temperature: Option<Asked<ThermodynamicTemperature>>,
    pressure: Option<Asked<Pressure>>,
    air_changes: Option<Asked<Frequency>>,
    floor_area: Option<Asked<Area>>,
    height: Option<Asked<Length>>,
    humidity: Option<Asked<Ratio>>,
}

/// A room whose volume is known.
#[derive(Debug, Clone, Copy)]
pub struct Room {
    /// Temperature and pressure of its air.
    pub air: Air,
    /// Volume that vapour can fill.
    pub free_volume: Volume,
    /// Floor that vapour can cover.
    pub free_floor: Area,
    /// Air changes.
    pub air_changes: Frequency,
}

impl RoomAsked {
    /// Reads `room` and its short forms `room_temperature` and `pressure`; with `volume_needed` the volume must be there.
    #[must_use]
    pub fn read(fields: &Fields<'_>, volume_needed: bool) -> Self {
        let group = if volume_needed {
            fields
                .required_group("room", "an object with at least `volume`, such as {\"volume\": \"190 m3\"}")
        } else {
            fields.group("room")
        };
        let mut asked = Self::default();
        if let Some(room) = &group {
            asked.volume = if volume_needed {
                room.required_quantity("volume", &field::ROOM_VOLUME)
            } else {
                room.quantity("volume", &field::ROOM_VOLUME)
            };
            asked.volume_is = room.word("volume_is", &[("whole", VolumeIs::Whole), ("free", VolumeIs::Free)]);
            asked.temperature = room.quantity("temperature", &field::ROOM_TEMPERATURE);
            asked.pressure = room.quantity("pressure", &field::PRESSURE);
            asked.air_changes = room.quantity("air_changes", &field::AIR_CHANGES);
            asked.floor_area = room.quantity("floor_area", &field::FLOOR_AREA);
            asked.height = room.quantity("height", &field::HEIGHT);
            asked.humidity = room.quantity("relative_humidity", &field::HUMIDITY);
            room.finish();
            asked.fits(room);
        }
        let inside = |name: &'static str| group.as_ref().is_some_and(|room| room.value(name).is_some());
        short(
            fields,
            "room_temperature",
            &field::ROOM_TEMPERATURE,
            inside("temperature"),
            &mut asked.temperature,
        );
        short(fields, "pressure", &field::PRESSURE, inside("pressure"), &mut asked.pressure);
        asked
    }

    /// A floor and height that do not make the volume would move a limit to the lenient side unseen.
    fn fits(&self, room: &Fields<'_>) {
        let (Some(volume), Some(floor)) = (&self.volume, &self.floor_area) else { return };
        let made = self.height.as_ref().map(|height| floor.number * height.number);
        let misfit = made.is_some_and(|made| made > volume.number * MISFIT || made * MISFIT < volume.number);
        // Without a height: a room is between 1.5 m and 30 m high.
        let height = volume.number / floor.number;
        let odd = self.height.is_none() && !(1.5 / MISFIT..=30.0).contains(&height);
        if misfit || odd {
            let detail = "volume, floor area and height of the room do not fit together";
            room.faults().add("implausible-value", room.at("floor_area"), detail, None);
        }
    }

    /// The temperature, or the cautious one, which is said.
    pub fn temperature(&self, rules: &Rules, draft: &mut Draft) -> Asked<ThermodynamicTemperature> {
        self.temperature.unwrap_or_else(|| {
            draft.assume_rule("unknown_room_temperature", rules);
            field::ROOM_TEMPERATURE.asked(rules.number("unknown_room_temperature"))
        })
    }

    /// The pressure, or the cautious one, which is said.
    pub fn pressure(&self, rules: &Rules, draft: &mut Draft) -> Asked<Pressure> {
        self.pressure.unwrap_or_else(|| {
            draft.assume_rule("unknown_pressure", rules);
            field::PRESSURE.asked(rules.number("unknown_pressure"))
        })
    }

    /// The pressure where it was given.
    #[must_use]
    pub const fn given_pressure(&self) -> Option<Asked<Pressure>> {
        self.pressure
    }

    /// Records what was given beside temperature and pressure.
    pub fn record_given(&self, group: &mut Group) {
        group.given("volume", self.volume.as_ref());
        group.given("air_changes", self.air_changes.as_ref());
        group.given("floor_area", self.floor_area.as_ref());
        group.given("height", self.height.as_ref());
        group.given("relative_humidity", self.humidity.as_ref());
        if let Some(volume_is) = self.volume_is {
            group.word("volume_is", word(volume_is));
        }
    }

    /// The whole room with its defaults said and recorded; `None` where the volume is missing, which is a fault already.
    pub fn resolve(&self, rules: &Rules, draft: &mut Draft, request: &mut Group) -> Option<Room> {
        let volume = self.volume?;
        let temperature = self.temperature(rules, draft);
        let pressure = self.pressure(rules, draft);
        let volume_is = self.volume_is.unwrap_or(VolumeIs::Whole);
        let free_share = match volume_is {
            VolumeIs::Whole => {
                draft.assume_rule("furniture_factor", rules);
                rules.number("furniture_factor")
            }
            VolumeIs::Free => 1.0,
        };
        let air_changes = self.air_changes.unwrap_or_else(|| {
            draft.assume("no_air_changes", "The air changes are not given: none are counted.");
            field::AIR_CHANGES.asked(0.0)
        });
        let floor_area = self.floor_area.unwrap_or_else(|| self.guessed_floor(volume, rules, draft));
        let humidity = self.humidity.unwrap_or_else(|| field::HUMIDITY.asked(HUMIDITY_PERCENT));
        let mut group = Group::default();
        group.quantity("volume", &volume);
        group.word("volume_is", word(volume_is));
        group.quantity("temperature", &temperature);
        group.quantity("pressure", &pressure);
        group.quantity("air_changes", &air_changes);
        group.quantity("floor_area", &floor_area);
        group.given("height", self.height.as_ref());
        group.quantity("relative_humidity", &humidity);
        request.group("room", group);
        Some(Room {
            air: Air { temperature: temperature.quantity, pressure: pressure.quantity },
            free_volume: volume.quantity * free_share,
            free_floor: floor_area.quantity * free_share,
            air_changes: air_changes.quantity,
        })
    }

    fn guessed_floor(&self, volume: Asked<Volume>, rules: &Rules, draft: &mut Draft) -> Asked<Area> {
        let height = if let Some(height) = &self.height {
            draft.assume(
                "floor_from_height",
                "The floor area is not given: it is the volume divided by the height.",
            );
            height.number
        } else {
            draft.assume_rule("unknown_height", rules);
            rules.number("unknown_height")
        };
        let number =
            crate::quantity::round::significant(volume.number / height, crate::quantity::parse::DIGITS);
        field::FLOOR_AREA.asked(number)
    }
}

const fn word(volume_is: VolumeIs) -> &'static str {
    match volume_is {
        VolumeIs::Whole => "whole",
        VolumeIs::Free => "free",
    }
}

/// Reads a short form at the top; a fault if the room gives the same.
fn short<Q: Copy>(
    fields: &Fields<'_>,
    name: &'static str,
    typed: &Typed<Q>,
    inside: bool,
    into: &mut Option<Asked<Q>>,
) {
    let value = fields.quantity(name, typed);
    if inside && fields.value(name).is_some() {
        fields.faults().add(
            "given-twice",
            fields.at(name),
            format!("`{name}` is given here and in `room`"),
            None,
        );
    } else if value.is_some() {
        *into = value;
    }
}
