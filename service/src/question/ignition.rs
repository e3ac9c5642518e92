//! How far the vapour of an open liquid can be lit, against the nearest ignition source.
//!
//! Nothing here is left out for want of an input: a source that is not stated is taken at 1 m; `"ignition": "none in the
//! room"` says that there is none.

use super::check::{Compared, not_assessed};
use super::draft::Draft;
use super::field;
use super::heating::HeatingAsked;
use super::reader::{Asked, Fields};
use super::record::Group;
use super::room::{Room, RoomAsked};
use super::rules::Rules;
use crate::liquid::Liquid;
use crate::liquid::flash::{Limit, NoFlashPoint};
use crate::liquid::vapour::{NoVapour, Over, Phases};
use crate::physics::room_air::Air;
use crate::physics::{near_field, standard_pressure};
use crate::quantity::{Estimate, interval, si};
use brimline_openapi::{Check, Evidence, MustBe, Quantity, Text};
use uom::si::f64::{Length, Ratio, ThermodynamicTemperature, Velocity, Volume, VolumeRate};

/// What the request says where there is no source.
const NONE: &str = "none in the room";
/// A light liquid is kept from flames in the whole room; where no room is known, this far, m.
const WHOLE_ROOM_M: f64 = 30.0;

/// Why a light liquid has no distance.
pub const LIGHT: &str = "so light a liquid is kept from every flame in the room";

/// What a request says of ignition sources.
#[derive(Debug, Clone, Copy)]
pub struct IgnitionAsked {
    nearest: Option<Asked<Length>>,
    none: bool,
}

/// The nearest ignition source.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Ignition {
    /// There is none in the room, as the request says.
    None,
    /// It is so far away, as the request says.
    Stated(Length),
    /// It is taken to be so far away.
    Assumed(Length),
    /// It is the flame that heats the liquid.
    Under,
}

impl IgnitionAsked {
    /// Reads `nearest_ignition` and `ignition`.
    #[must_use]
    pub fn read(fields: &Fields<'_>, room: &RoomAsked) -> Self {
        let nearest = fields.quantity("nearest_ignition", &field::DISTANCE);
        room.holds(fields, "nearest_ignition", nearest.as_ref());
        let none = fields.word("ignition", &[(NONE, ())]).is_some();
        if none && nearest.is_some() {
            let detail = "there is none in the room, and the nearest one is so far away: which is it?";
            fields.faults().add("impossible-value", fields.at("ignition"), detail, None);
        }
        Self { nearest, none }
    }

    /// Whether anything is said of a source.
    #[must_use]
    pub const fn is_given(&self) -> bool {
        self.none || self.nearest.is_some()
    }

    /// No source in the room, and a flame that heats the liquid, are a fault.
    pub fn fits(&self, fields: &Fields<'_>, heating: &HeatingAsked) {
        if self.none && heating.by_flame() {
            let detail = "there is none in the room, and a flame heats the liquid: which is it?";
            fields.faults().add("impossible-value", fields.at("ignition"), detail, None);
        }
    }

    /// The source where something is said of it; recorded.
    pub fn stated(&self, rules: &Rules, draft: &mut Draft, request: &mut Group) -> Option<Ignition> {
        let nothing = HeatingAsked::default();
        (self.none || self.nearest.is_some()).then(|| self.resolve(&nothing, rules, draft, request))
    }

    /// The source, the flame that heats the liquid before all others; an assumed one said; recorded.
    pub fn resolve(
        &self,
        heating: &HeatingAsked,
        rules: &Rules,
        draft: &mut Draft,
        request: &mut Group,
    ) -> Ignition {
        if self.none {
            request.word("ignition", NONE);
            draft.assume("no_ignition", "There is no ignition source in the room, as the request says: no flame, spark, hot plate or switch that sparks.");
            if heating.is_electric() {
                draft.assume("heater_does_not_spark", "What heats it is no ignition source either: as the request says, none of the heaters sparks or glows.");
            }
            return Ignition::None;
        }
        if let Some(nearest) = &self.nearest {
            request.quantity("nearest_ignition", nearest);
        }
        if heating.by_flame() {
            draft.assume("flame_heats", "The flame that heats the liquid is the nearest ignition source, at no distance, wherever others are.");
            return Ignition::Under;
        }
        if let Some(nearest) = self.nearest {
            return Ignition::Stated(nearest.quantity);
        }
        draft.assume_rule("unknown_ignition_distance", rules);
        Ignition::Assumed(si::metre(rules.number("unknown_ignition_distance")))
    }
}

impl Ignition {
    /// How far away it is.
    #[must_use]
    pub fn distance(self) -> Option<Length> {
        match self {
            Self::None => None,
            Self::Stated(distance) | Self::Assumed(distance) => Some(distance),
            Self::Under => Some(si::metre(0.0)),
        }
    }

    /// The same where it can be kept further away: the flame that heats the liquid cannot.
    #[must_use]
    pub const fn movable(self) -> Option<Length> {
        match self {
            Self::None | Self::Under => None,
            Self::Stated(distance) | Self::Assumed(distance) => Some(distance),
        }
    }
}

/// Whether the vapour over a liquid can be lit at a temperature.
#[derive(Debug, Clone, PartialEq)]
pub enum CanBeLit {
    /// It does not burn; what is said.
    NotFlammable(String),
    /// It can burn, but no trusted limit is published.
    NoLimit,
    /// It is colder than its flash point by more than the margin; the low end of that flash point.
    TooCold(ThermodynamicTemperature),
    /// It can; the lower limit of its vapour, the less favourable of what it gives off first and of all of it.
    Yes(Estimate<Ratio>),
}

/// What is asked about.
#[derive(Debug, Clone, Copy)]
pub struct Lying<'a> {
    /// The liquid.
    pub liquid: &'a Liquid,
    /// Its temperature.
    pub temperature: ThermodynamicTemperature,
    /// The room's air.
    pub air: Air,
}

impl Lying<'_> {
    /// Whether its vapour can be lit.
    #[must_use]
    pub fn can_be_lit(&self, over: &Result<Vec<Over>, NoVapour>, rules: &Rules) -> CanBeLit {
        let Self { liquid, temperature, air } = *self;
        if let Some(said) = liquid.not_flammable() {
            return CanBeLit::NotFlammable(said.reason);
        }
        let Some(all) = liquid.lower_limit_evaporated(temperature) else { return CanBeLit::NoLimit };
        let rule =
            if liquid.substance().is_some() { "required_margin_pure" } else { "required_margin_mixture" };
        let margin = rules.number(rule);
        let first = liquid.limit_over(Limit::Lower, temperature, over).unwrap_or(all);
        let low = if first.low < all.low { first.low } else { all.low };
        // What stands over it already is proof enough, whatever is known of its flash point.
        let stands = over.as_ref().is_ok_and(|over| {
            let each = liquid.compositions.iter().zip(over);
            each.map(|(one, over)| over.fuel(one).high).any(|fuel| fuel >= low * air.pressure)
        });
        let cold =
            |flash: ThermodynamicTemperature| si::in_kelvin_difference(interval(temperature, flash)) > margin;
        let too_cold = match liquid.flash_point(air.pressure) {
            Ok(flash) if cold(flash.estimate.low) => Some(flash.estimate.low),
            // It boils before anything over it can be lit.
            Err(NoFlashPoint::NotReached) => Some(temperature),
            _ => None,
        };
        if let Some(flash) = too_cold.filter(|_| !stands) {
            // What dilutes it may leave first: then the rest decides.
            let drifted =
                over.as_ref().ok().and_then(|over| liquid.flash_point_when_drifted(air.pressure, over));
            match drifted {
                None => return CanBeLit::TooCold(flash),
                Some(rest) if cold(rest.low) => {
                    return CanBeLit::TooCold(if rest.low < flash { rest.low } else { flash });
                }
                Some(_) => {}
            }
        }
        CanBeLit::Yes(Estimate {
            value: all.value,
            low,
            high: if first.high > all.high { first.high } else { all.high },
        })
    }
}

/// Whether a liquid is kept from flames altogether, and why: it boils low, is of category 1, or lights by itself early.
#[must_use]
pub fn is_light(liquid: &Liquid, rules: &Rules) -> bool {
    let boiling = match liquid.substance() {
        Some(substance) => substance.boiling_point.as_ref().map(|figure| figure.estimate),
        None => liquid.boiling_point(standard_pressure()),
    };
    let lowest = rules.number("light_boiling_point");
    let boils_high = boiling.is_some_and(|boiling| si::in_celsius(boiling.low) > lowest);
    let lights_early = liquid.substances().any(|substance| {
        let figure = substance.autoignition_temperature.as_ref();
        figure.is_some_and(|figure| si::in_celsius(figure.estimate.low) <= rules.number("light_autoignition"))
    });
    !boils_high || lights_early || liquid.category(Phases::OneOrTwo) == Some(1)
}

/// Whether a part of a mixture is a light liquid by itself: it leaves and burns first.
#[must_use]
pub fn holds_light(liquid: &Liquid, rules: &Rules) -> bool {
    const TRACE: f64 = 0.01;
    let light = |part: &crate::liquid::Part| {
        part.fraction > TRACE
            && part.substance.not_flammable.is_none()
            && is_light(&Liquid::pure(part.substance), rules)
    };
    liquid.substance().is_none() && liquid.compositions.iter().any(|one| one.parts.iter().any(light))
}

/// The same, where its vapour can be lit at all: only then it matters.
#[must_use]
pub fn light(liquid: &Liquid, can: &CanBeLit, rules: &Rules) -> bool {
    matches!(can, CanBeLit::Yes(_)) && is_light(liquid, rules)
}

/// What is given off.
#[derive(Debug, Clone, Copy)]
pub struct GivenOff {
    /// Vapour that can burn, all that is given off in the time that is looked at.
    pub vapour: Estimate<Volume>,
    /// The rate at which it is given off at first, at the lowest air speed; none for what is there at once.
    pub rate: Option<VolumeRate>,
}

/// How far the vapour can be lit, m, by what is given off alone. Where its flat cylinder would cover more than the free floor,
/// the walls hold it together and it reaches every place in the room.
#[must_use]
pub fn reach(
    given_off: GivenOff,
    limit: Estimate<Ratio>,
    room: Option<&Room>,
    rules: &Rules,
) -> Estimate<f64> {
    let share = si::percent(rules.number("ignition_share"));
    let height = si::metre(rules.number("ignition_layer_height"));
    let cylinder = |vapour, limit| si::in_metre(near_field::cylinder(vapour, limit, share, height));
    let near = given_off.rate.map_or(0.0, |rate| {
        let lowest = slowest_air(rules);
        si::in_metre(near_field::radius(rate, limit.low, share, lowest))
    });
    let vapour = given_off.vapour;
    let within_walls = |metres: f64| match room {
        Some(room) if metres > widest(room) => metres.max(si::in_metre(room.longest_way())),
        _ => metres,
    };
    Estimate::new(
        within_walls(cylinder(vapour.value, limit.value)),
        within_walls(cylinder(vapour.low, limit.high)),
        within_walls(cylinder(vapour.high, limit.low).max(near)),
    )
}

/// Radius, m, of the circle that covers the free floor.
fn widest(room: &Room) -> f64 {
    (room.free_floor.value / std::f64::consts::PI).sqrt()
}

/// The lowest speed of the air around a liquid.
#[must_use]
pub fn slowest_air(rules: &Rules) -> Velocity {
    si::metre_per_second(rules.number("air_speed_near_lowest"))
}

/// The vapour that reaches just so far, at the unfavourable end of the limit.
#[must_use]
pub fn vapour_reaching(
    distance: Length,
    limit: Estimate<Ratio>,
    room: Option<&Room>,
    rules: &Rules,
) -> Volume {
    // Once it covers the floor it reaches everything.
    let distance = room.map_or(distance, |room| {
        let widest = si::metre(widest(room));
        if distance > widest { widest } else { distance }
    });
    let share = si::percent(rules.number("ignition_share"));
    let height = si::metre(rules.number("ignition_layer_height"));
    near_field::vapour_in_cylinder(distance, limit.low, share, height)
}

/// Why a distance must be kept whatever the amount.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Kept {
    /// The distance, m.
    pub metres: f64,
    /// Rule on which it rests.
    pub rule: &'static str,
}

impl Kept {
    /// Whether a source at this distance is nearer than it: then nothing is allowed.
    #[must_use]
    pub fn forbids(self, distance: Length) -> bool {
        si::in_metre(distance) < self.metres
    }

    /// The wider of two distances that may be kept.
    #[must_use]
    pub fn wider(one: Option<Self>, other: Option<Self>) -> Option<Self> {
        one.into_iter().chain(other).max_by(|a, b| a.metres.total_cmp(&b.metres))
    }
}

/// The distance that is kept whatever the amount, however far away the source is.
#[must_use]
pub fn kept(
    can: &CanBeLit,
    light: bool,
    distance: Length,
    room: Option<&Room>,
    rules: &Rules,
) -> Option<Kept> {
    let distance = si::in_metre(distance);
    let least = rules.number("least_ignition_distance");
    match can {
        CanBeLit::NotFlammable(_) | CanBeLit::NoLimit => None,
        CanBeLit::Yes(_) => {
            if light {
                let metres =
                    room.map_or(WHOLE_ROOM_M, |room| si::in_metre(room.longest_way())).max(distance * 1.01);
                return Some(Kept { metres, rule: "light_boiling_point" });
            }
            Some(Kept { metres: least, rule: "least_ignition_distance" })
        }
        CanBeLit::TooCold(flash) => {
            let warmed = si::in_celsius(*flash) < rules.number("naked_flame_flash_point");
            warmed.then_some(Kept { metres: least, rule: "naked_flame_flash_point" })
        }
    }
}

/// The distance, m, at which the check of a reach, m, is not over: none where a light liquid is kept from every flame.
#[must_use]
pub fn asked_for(
    reach: f64,
    (can, light): (&CanBeLit, bool),
    room: Option<&Room>,
    rules: &Rules,
) -> Option<f64> {
    let kept = kept(can, light, si::metre(reach), room, rules);
    match kept {
        Some(kept) if kept.rule == "light_boiling_point" => None,
        kept => Some(kept.map_or(reach, |kept| kept.metres.max(reach))),
    }
}

/// What is kept, where it and not the reach of vapour, m, decides.
#[must_use]
pub fn deciding(kept: Option<Kept>, reach: Estimate<f64>, distance: Length) -> Option<Kept> {
    kept.filter(|kept| kept.forbids(distance) || kept.metres >= reach.high)
}

/// The check of a reach, m, against the nearest source; with the distance that is kept whatever the amount.
#[must_use]
pub fn check(
    name: (&'static str, &'static str),
    reach: Estimate<f64>,
    kept: Option<Kept>,
    distance: Length,
    evidence: Evidence,
    rules: &Rules,
) -> Check {
    let (check, question) = name;
    let rule = deciding(kept, reach, distance).map_or("ignition_share", |kept| kept.rule);
    let value = kept
        .map_or(reach, |kept| if kept.metres >= reach.high { Estimate::exact(kept.metres) } else { reach });
    let compared = Compared {
        check,
        question,
        value,
        limit: crate::quantity::round::significant(si::in_metre(distance), 12),
        unit: "m",
        must_be: MustBe::AtMost,
        grounds: rules.grounds(rule),
        evidence,
    };
    compared.decided()
}

/// The check that could not be made, since no limit is published.
#[must_use]
pub fn unassessed(name: (&'static str, &'static str), distance: Length, rules: &Rules) -> Check {
    not_assessed(
        name.0,
        name.1,
        Quantity::exact(si::in_metre(distance), "m"),
        MustBe::AtMost,
        rules.grounds("ignition_share"),
        "no trusted lower flammable limit is published for this liquid; see the supplier's data sheet",
    )
}

/// Says what the reach of vapour rests on, and which surfaces light it.
pub fn say(draft: &mut Draft, liquid: &Liquid, rules: &Rules) {
    let autoignition =
        liquid.substances().filter_map(|substance| substance.autoignition_temperature.as_ref());
    let lowest = autoignition.map(|figure| si::in_celsius(figure.estimate.low)).reduce(f64::min);
    if let Some(lowest) = lowest {
        let hottest = (lowest - rules.number("autoignition_margin")).floor();
        draft.figures(liquid, "autoignition_temperature", |substance| {
            substance.autoignition_temperature.as_ref()
        });
        draft.caution(
            "hot_surfaces",
            format!(
                "A surface above {hottest} Cel counts as an ignition source, too: hot plates, lamps, heaters."
            ),
        );
    } else {
        draft.caution("hot_surfaces", "Its autoignition temperature is not known here: every hot plate, lamp and heater counts as an ignition source.");
    }
    draft.method("ignition_reach");
    for rule in ["ignition_share", "ignition_layer_height", "least_ignition_distance"] {
        draft.assume_rule(rule, rules);
    }
    draft.caution("walls", "Against a wall, in a corner or in a sink or drain, vapour reaches further than around a free-standing vessel.");
}

/// In words, why a distance is kept.
#[must_use]
pub fn why(kept: Kept) -> Text {
    Text::Borrowed(match kept.rule {
        "light_boiling_point" => LIGHT,
        "naked_flame_flash_point" => "a naked flame within 1 m warms it",
        "absorbent_ignition_distance" => "what is soaked needs no flash point to burn",
        _ => "no flame is nearer than 1 m to an open vessel",
    })
}
