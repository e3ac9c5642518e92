//! The room of a request, with every default taken on the cautious side and said.

use super::draft::Draft;
use super::field;
use super::reader::{Asked, Fields, Typed};
use super::record::Group;
use super::rules::Rules;
use crate::liquid::Liquid;
use crate::physics::room_air::Air;
use crate::quantity::si;
use brimline_openapi::VolumeIs;
use uom::si::f64::{Area, Frequency, Length, Pressure, Ratio, ThermodynamicTemperature, Volume};

/// Default relative humidity, %.
const HUMIDITY_PERCENT: f64 = 50.0;
/// The diagonal of a floor ten times as long as wide, over the root of its area.
const LONGEST_WAY: f64 = 3.2;
/// The lowest height at which a floor is guessed for what cannot be right, m.
const LOWEST_ROOM_M: f64 = 1.5;
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
    /// Free share of volume and floor.
    pub free_share: f64,
    /// Air changes.
    pub air_changes: Frequency,
    /// Relative humidity.
    pub humidity: Ratio,
}

/// The air around a liquid where a room may or may not be known.
#[derive(Debug, Clone, Copy)]
pub struct Surroundings {
    /// Temperature and pressure.
    pub air: Air,
    /// Relative humidity.
    pub humidity: Ratio,
    /// The room, where its volume was given.
    pub room: Option<Room>,
}

impl Room {
    /// The longest way within it: of a floor ten times as long as wide.
    #[must_use]
    pub fn longest_way(&self) -> Length {
        si::metre(LONGEST_WAY * si::in_square_metre(self.free_floor / self.free_share).sqrt())
    }
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

    /// The temperature where it was given.
    #[must_use]
    pub const fn given_temperature(&self) -> Option<Asked<ThermodynamicTemperature>> {
        self.temperature
    }

    /// Records the room as it was given, without defaults.
    pub fn record_as_given(&self, request: &mut Group) {
        let mut group = Group::default();
        self.record_given(&mut group);
        group.given("temperature", self.temperature.as_ref());
        group.given("pressure", self.pressure.as_ref());
        request.group("room", group);
    }

    /// The pressure where it was given.
    #[must_use]
    pub const fn given_pressure(&self) -> Option<Asked<Pressure>> {
        self.pressure
    }

    /// The air of the room, and the room where its volume was given; defaults are said and recorded.
    pub fn surroundings(&self, rules: &Rules, draft: &mut Draft, request: &mut Group) -> Surroundings {
        if let Some(room) = self.resolve(rules, draft, request) {
            return Surroundings { air: room.air, humidity: room.humidity, room: Some(room) };
        }
        let (temperature, pressure) = (self.temperature(rules, draft), self.pressure(rules, draft));
        let humidity = self.humidity.unwrap_or_else(|| field::HUMIDITY.asked(HUMIDITY_PERCENT));
        let mut group = Group::default();
        self.record_given(&mut group);
        group.quantity("temperature", &temperature);
        group.quantity("pressure", &pressure);
        group.quantity("relative_humidity", &humidity);
        request.group("room", group);
        let air = Air { temperature: temperature.quantity, pressure: pressure.quantity };
        Surroundings { air, humidity: humidity.quantity, room: None }
    }

    /// The largest floor, m2, that the room can have by what was given.
    fn largest_floor(&self) -> Option<f64> {
        let volume = self.volume.as_ref()?.number;
        let by_height = volume / self.height.as_ref().map_or(LOWEST_ROOM_M, |height| height.number);
        Some(self.floor_area.as_ref().map_or(by_height, |floor| floor.number))
    }

    /// A distance that no room of this size holds is a fault.
    pub fn holds(&self, fields: &Fields<'_>, name: &'static str, distance: Option<&Asked<Length>>) {
        let (Some(distance), Some(floor)) = (distance, self.largest_floor()) else { return };
        let longest = crate::quantity::round::cautious_up(LONGEST_WAY * floor.sqrt());
        if distance.number > longest {
            let detail = format!(
                "{} m lies beyond the room: with this floor no way in it is longer than {longest} m",
                distance.number
            );
            fields.faults().add("impossible-value", fields.at(name), detail, None);
        }
    }

    /// A surface larger than the room's floor is a fault.
    pub fn holds_surface(&self, fields: &Fields<'_>, name: &'static str, square_metres: f64) {
        let Some(floor) = self.largest_floor() else { return };
        if square_metres > floor {
            let detail = format!("{square_metres} m2 of liquid is more than the floor of the room");
            fields.faults().add("impossible-value", fields.at(name), detail, None);
        }
    }

    /// A liquid that is a gas at the room's temperature is a fault.
    pub fn keeps_liquid(&self, fields: &Fields<'_>, liquid: &Liquid, air: Air) {
        // Whether it boils is known sooner than at which temperature.
        let boils = match liquid.substance() {
            Some(substance) => {
                substance.vapour.at(air.temperature).is_ok_and(|found| found.pressure.value >= air.pressure)
            }
            None => liquid.compositions.iter().any(|one| one.boils_at(air.temperature, air.pressure)),
        };
        let Some(boiling) = boils.then(|| liquid.boiling_point(air.pressure)).flatten() else { return };
        // Taken as one liquid, two that do not mix seem to boil sooner than they do.
        if air.temperature < boiling.value {
            return;
        }
        let guessed = if self.temperature.is_none() { "; give the room's temperature" } else { "" };
        let detail = format!(
            "{} boils at {} Cel: at {} Cel it is a gas and stays in no open vessel{guessed}",
            liquid.name,
            crate::quantity::round::tenths(si::in_celsius(boiling.value)),
            si::in_celsius(air.temperature)
        );
        fields.faults().add("outside-range", format!("{}/temperature", fields.at("room")), detail, None);
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
            free_share,
            air_changes: air_changes.quantity,
            humidity: humidity.quantity,
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
            // A hall is taller than a room: its floor is smaller than its volume lets one think.
            let hall = volume.number >= rules.number("hall_volume");
            let rule = if hall { "unknown_hall_height" } else { "unknown_height" };
            draft.assume_rule(rule, rules);
            rules.number(rule)
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
