//! The open surface of a request: how much liquid, in how many vessels, how it is warmed, which air moves over it.

use super::draft::Draft;
use super::field;
use super::heating::{Heating, HeatingAsked};
use super::reader::{Asked, Either, Fields};
use super::record::Group;
use super::room::{RoomAsked, Surroundings};
use super::rules::Rules;
use crate::liquid::Liquid;
use crate::liquid::evaporation::Conditions;
use crate::physics::evaporation::{Moving, Surface};
use crate::quantity::{Estimate, si};
use uom::si::f64::{Area, Length, Mass, Power, ThermodynamicTemperature, Velocity, Volume};

/// No smaller amount, mL or g, is proposed: less cannot be measured out.
pub const LEAST_AMOUNT: f64 = 0.001;
/// Most vessels in one request.
pub const MOST_VESSELS: u32 = 1000;
/// A freeboard deeper than so many widths was not described right.
const DEEPEST: f64 = 400.0;

/// What a request says of the open liquid.
#[derive(Debug)]
pub struct SourceAsked {
    field: &'static str,
    amount: Option<Either<Volume, Mass>>,
    surface: Option<SurfaceAsked>,
    count: u32,
    /// Temperature at which the liquid is held.
    pub heated_to: Option<Asked<ThermodynamicTemperature>>,
    heater: Option<Asked<Power>>,
    /// What heats it, and hot surfaces near it.
    pub heating: HeatingAsked,
}

#[derive(Debug)]
struct SurfaceAsked {
    diameter: Option<Asked<Length>>,
    area: Option<Asked<Area>>,
    freeboard: Option<Asked<Length>>,
    depth: Option<Asked<Length>>,
}

/// The open liquid.
#[derive(Debug, Clone, Copy)]
pub struct Source {
    /// Liquid in each vessel, at 20 Cel; ends where it was given as a mass.
    pub amount: Estimate<Volume>,
    /// Pointer of the amount, its number and unit, as asked.
    pub asked: (f64, &'static str),
    /// One surface.
    pub surface: Surface,
    /// How many.
    pub count: u32,
    /// Temperature at which the liquid is held, where it is above that of the room.
    pub heated_to: Option<ThermodynamicTemperature>,
    /// Heat that goes into each vessel.
    pub heater: Option<Power>,
    /// What heats it, and hot surfaces near it.
    pub heating: Heating,
}

impl SourceAsked {
    /// Reads the amount in `field`, surface, count, `heated_to`, `heater_power` and what heats it.
    #[must_use]
    pub fn read(fields: &Fields<'_>, field: &'static str, liquid: Option<&Liquid>, room: &RoomAsked) -> Self {
        fields.required(field, "how much liquid there is, such as \"20 mL\"");
        let amount = fields.either(field, &field::LIQUID_VOLUME, &field::LIQUID_MASS);
        let count = if fields.value("count").is_some() {
            fields.required_count("count", MOST_VESSELS).unwrap_or(1)
        } else {
            1
        };
        let group = fields.required_group("surface", "an object with `diameter` or `area`");
        let surface = group.as_ref().map(|group| {
            let surface = SurfaceAsked::read(group);
            if let Some(area) = surface.area() {
                room.holds_surface(fields, "surface", si::in_square_metre(area) * f64::from(count));
            }
            surface
        });
        let heated_to = fields.quantity("heated_to", &field::LIQUID_TEMPERATURE);
        let heater = fields.quantity("heater_power", &field::HEATER_POWER);
        let heating = HeatingAsked::read(fields, liquid, heated_to.as_ref());
        let asked = Self { field, amount, surface, count, heated_to, heater, heating };
        if let Some(group) = &group {
            asked.fits(fields, group, liquid);
        }
        asked
    }

    /// Whether the amount is that of all vessels together.
    fn is_total(&self) -> bool {
        self.field != "amount"
    }

    /// More liquid than the vessel holds is a fault.
    fn fits(&self, fields: &Fields<'_>, group: &Fields<'_>, liquid: Option<&Liquid>) {
        let Some(surface) = &self.surface else { return };
        let (Some(depth), Some(area)) = (&surface.depth, surface.area()) else { return };
        let freeboard = surface.freeboard.as_ref().map_or(si::metre(0.0), |freeboard| freeboard.quantity);
        if freeboard > depth.quantity {
            let detail = "the liquid lies deeper below the rim than the vessel is deep";
            group.faults().add("impossible-value", group.at("freeboard"), detail, None);
            return;
        }
        let holds = area * (depth.quantity - freeboard);
        let poured = match (&self.amount, liquid) {
            (Some(Either::First(volume)), _) => volume.quantity,
            (Some(Either::Second(mass)), Some(liquid)) => mass.quantity / liquid.density().high,
            _ => return,
        };
        let holds = if self.is_total() { holds * f64::from(self.count) } else { holds };
        if poured > holds * 1.01 {
            let detail = format!(
                "more liquid than the vessel holds below this level, {} mL",
                crate::quantity::round::four_digits(si::in_millilitre(holds))
            );
            fields.faults().add("impossible-value", fields.at(self.field), detail, None);
        }
    }

    /// The source with what is recorded of it; `None` where something is missing, which is a fault already.
    pub fn resolve(
        &self,
        (fields, liquid): (&Fields<'_>, &Liquid),
        surroundings: &Surroundings,
        rules: &Rules,
        draft: &mut Draft,
        request: &mut Group,
    ) -> Option<Source> {
        let asked = self.surface.as_ref()?;
        let (amount, number) = match self.amount? {
            Either::First(volume) => {
                request.quantity(self.field, &volume);
                (Estimate::exact(volume.quantity), (volume.number, volume.unit))
            }
            Either::Second(mass) => {
                request.quantity(self.field, &mass);
                (liquid.density().falling(|density| mass.quantity / density), (mass.number, mass.unit))
            }
        };
        let amount = if self.is_total() { amount.rising(|all| all / f64::from(self.count)) } else { amount };
        let mut group = Group::default();
        group.given("diameter", asked.diameter.as_ref());
        group.given("area", asked.area.as_ref());
        let freeboard = asked.freeboard.unwrap_or_else(|| {
            draft.assume("no_freeboard", "No freeboard is given: the liquid is taken to stand at the rim, where it evaporates fastest.");
            field::DEPTH.asked(0.0)
        });
        group.quantity("freeboard", &freeboard);
        group.given("depth", asked.depth.as_ref());
        request.group("surface", group);
        request.number("count", f64::from(self.count));
        let given = self.heating.heated_to((fields, liquid), self.heated_to, surroundings.air, rules, draft);
        request.given("heated_to", given.as_ref());
        request.given("heater_power", self.heater.as_ref());
        let surface = match (&asked.diameter, &asked.area) {
            (Some(diameter), _) => Surface::round(diameter.quantity, freeboard.quantity),
            (None, Some(area)) => Surface::of_area(area.quantity, freeboard.quantity),
            (None, None) => return None,
        };
        let room = surroundings.air.temperature;
        let heated_to = given.map(|heated| heated.quantity).filter(|heated| *heated > room);
        if given.is_some() && heated_to.is_none() {
            draft.assume(
                "not_heated",
                "The liquid is no warmer than the room: it is taken at the room's temperature.",
            );
        }
        let heating = self.heating.resolve((liquid, heated_to), surroundings.air, rules, draft, request);
        Some(Source {
            amount,
            asked: number,
            surface,
            count: self.count,
            heated_to,
            heater: self.heater.map(|heater| heater.quantity),
            heating,
        })
    }
}

impl SurfaceAsked {
    fn read(group: &Fields<'_>) -> Self {
        let diameter = group.quantity("diameter", &field::SURFACE_WIDTH);
        let area = group.quantity("area", &field::SURFACE_AREA);
        match (group.value("diameter").is_some(), group.value("area").is_some()) {
            (true, true) => {
                let detail = "give either `diameter` or `area`";
                group.faults().add("given-twice", group.at("area"), detail, None);
            }
            (false, false) => {
                let detail = "`diameter` or `area` is missing, like \"9 cm\" or \"64 cm2\"";
                group.faults().add("missing-field", group.at("diameter"), detail, None);
            }
            _ => {}
        }
        let freeboard = group.quantity("freeboard", &field::DEPTH);
        let depth = group.quantity("depth", &field::DEPTH);
        group.finish();
        let asked = Self { diameter, area, freeboard, depth };
        if let (Some(freeboard), Some(area)) = (&asked.freeboard, asked.area()) {
            let width = Surface::of_area(area, si::metre(0.0)).width;
            if freeboard.quantity > width * DEEPEST {
                let detail = "the liquid lies absurdly deep below so narrow a rim";
                group.faults().add("implausible-value", group.at("freeboard"), detail, None);
            }
        }
        asked
    }

    fn area(&self) -> Option<Area> {
        let round =
            self.diameter.as_ref().map(|diameter| Surface::round(diameter.quantity, si::metre(0.0)).area);
        round.or_else(|| self.area.as_ref().map(|area| area.quantity))
    }
}

impl Source {
    /// Temperature of the liquid at the start.
    #[must_use]
    pub fn temperature(&self, surroundings: &Surroundings) -> ThermodynamicTemperature {
        self.heated_to.unwrap_or(surroundings.air.temperature)
    }

    /// What one surface evaporates under at an air speed.
    #[must_use]
    pub fn conditions(&self, surroundings: &Surroundings, speed: Velocity) -> Conditions {
        Conditions {
            air: surroundings.air,
            humidity: surroundings.humidity,
            heated_to: self.heated_to,
            heater: self.heater,
            surface: self.surface,
            moving: Moving::at(speed),
        }
    }
}

/// An air speed with its ends: as given, or by the rules of which the request may replace each.
#[must_use]
pub fn speeds(
    given: Option<&Asked<Velocity>>,
    rules: [&'static str; 3],
    draft: &mut Draft,
    all: &Rules,
) -> Estimate<Velocity> {
    if let Some(given) = given {
        // Around people no air stands still, whatever was measured: the upper end is no less than its least speed.
        let least = si::metre_per_second(all.number("air_speed_near_lowest"));
        return Estimate::new(
            given.quantity,
            given.quantity,
            if given.quantity < least { least } else { given.quantity },
        );
    }
    let [best, lowest, highest] = rules;
    for rule in rules {
        draft.assume_rule(rule, all);
    }
    let speed = |rule| si::metre_per_second(all.number(rule));
    Estimate::new(speed(best), speed(lowest), speed(highest))
}

/// The rules of the speed over a surface.
pub const OVER_SURFACE: [&str; 3] =
    ["air_speed_surface", "air_speed_surface_lowest", "air_speed_surface_highest"];
/// The rules of the speed around a liquid.
pub const AROUND: [&str; 3] = ["air_speed_near", "air_speed_near_lowest", "air_speed_near_highest"];
