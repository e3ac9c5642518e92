//! `safe-fill` (a path name only): the largest fill at which every limit considered holds, and which limit binds.

use super::breathing::{self, Emission, LimitsAsked, PartLimits, Stay};
use super::check::{Compared, not_assessed};
use super::draft::{self, Draft};
use super::evaporation::not_evaporating;
use super::exposure::{largest_share, say_limits};
use super::flames::{self, Alight, Bound, Flames};
use super::heating::{self, Heating, HeatingAsked};
use super::ignition::{self, CanBeLit, GivenOff, Ignition, IgnitionAsked, Kept, Lying};
use super::picture::{Bar, Bars, Picture, Shown};
use super::reader::{Asked, Fields};
use super::record::{Group, record};
use super::remedy::{self, Change};
use super::room::{Room, RoomAsked, Surroundings};
use super::room_flammable_limit::Effect;
use super::rules::Rules;
use super::spill::{self, Spilt};
use super::vessel::{self, VesselAsked};
use super::{Composed, Scope, field, liquid};
use crate::catalogue::Catalogue;
use crate::catalogue::material::{Kind, Material};
use crate::liquid::Liquid;
use crate::liquid::evaporation::{Conditions, Course, End, NotEvaporating};
use crate::liquid::vapour::{NoVapour, Over};
use crate::physics::evaporation::{Moving, Surface};
use crate::physics::maths::{exp, ln, root};
use crate::physics::room_air;
use crate::physics::vessel::{fill_of_depth, share_of_capacity};
use crate::quantity::round::{cautious_down, significant};
use crate::quantity::{Estimate, si};
use brimline_openapi::{
    Check, Evidence, FillAlternative, FillLimit, Floor, Grounds, MustBe, Outcome, Quantity, Remedy,
    SafeFillReply, Text, Use,
};
use uom::si::f64::{Length, Power, ThermodynamicTemperature, Time, Velocity, Volume, VolumeRate};

/// The question's name.
pub const NAME: &str = "safe-fill";
/// Most vessels in one request.
const MOST_VESSELS: u32 = 1000;
/// Another plan is worth naming where it allows so many times as much.
const MORE: f64 = 1.2;
/// Less than this in a vessel, mL, cannot be measured out.
const LEAST_FILL_ML: f64 = 0.001;
/// Most air changes that are proposed, /h.
const MOST_AIR_CHANGES: f64 = 100.0;

/// Why a heated liquid has no temperature.
pub const NO_BOILING_POINT: &str = "how hot it becomes is not given, and its boiling point is not known";

/// The question as it was asked, defaults filled in.
#[derive(Debug, Clone, Copy)]
struct Question<'a> {
    liquid: &'a Liquid,
    surroundings: Surroundings,
    room: Room,
    capacity: Volume,
    mouth: Length,
    /// What it is made of, where it is burnt from and this is known.
    material: Option<&'static Material>,
    heated_material: Option<&'static Material>,
    /// Clear height over the vessels.
    clear: Option<Length>,
    vessels: u32,
    used: Use,
    /// Where it is above the room's.
    heated_to: Option<ThermodynamicTemperature>,
    heater: Option<Power>,
    heating: Heating,
    duration: Option<Time>,
    /// Distance of the nearest person, and whether it was stated.
    person: (Length, bool),
    ignition: Ignition,
    /// Liquid brought along in its container, and how far away that stands.
    container: Option<(Volume, Option<Length>)>,
}

/// A limit on the fill: the most in all vessels together, mL; `None` where it could not be assessed.
#[derive(Debug, Clone)]
struct Limit {
    id: &'static str,
    rule: &'static str,
    most: Option<f64>,
    /// Why nothing at all is within it, or why it could not be assessed.
    why: Option<Text>,
    /// Whether all that it is about was assessed; what was not may lower it further.
    whole: bool,
    /// What is compared where nothing at all is within it for a cause that no amount moves.
    shown: Option<Check>,
}

/// What the limits are found from: the same for every fill.
struct Known<'a> {
    effect: Option<Effect>,
    can: CanBeLit,
    /// Whether it is kept from flames altogether.
    light: bool,
    /// Vapour of fuel at first in air of the lowest speed, all vessels.
    rate: Option<VolumeRate>,
    /// How the liquid of a brim-full vessel leaves at its fastest, and moles of each part at first.
    course: Option<Course>,
    /// What each composition gives off to breathe, with the limits of its parts; or why it is not known.
    emissions: Result<Vec<(Emission, Vec<PartLimits>)>, String>,
    /// What the flames do, where it is burnt.
    flames: Option<Flames<'a>>,
}

/// Reads and answers the question.
pub fn answer(fields: &Fields<'_>, scope: &mut Scope) -> Option<Composed> {
    let asked_liquid = liquid::read(fields, scope.draft.catalogue);
    let mut request = Group::default();
    let read = read(fields, asked_liquid.as_ref(), scope, &mut request)?;
    let (question, limits, fill) = read;
    let known = match known(question, &limits, scope.draft.catalogue, &scope.rules) {
        Ok(known) => known,
        Err(why) => {
            not_evaporating(fields, &why);
            return None;
        }
    };
    compose(question, &known, &limits, fill, scope, request)
}

/// Reads the request; `None` where there is a fault.
fn read<'a>(
    fields: &Fields<'_>,
    asked_liquid: Option<&'a Liquid>,
    scope: &mut Scope,
    request: &mut Group,
) -> Option<(Question<'a>, LimitsAsked, Option<f64>)> {
    let asked = RoomAsked::read(fields, true);
    let group = fields.required_group("vessel", "an object with `capacity` and `mouth_diameter`");
    let vessel = group.and_then(|group| VesselAsked::read(&group, |_| ()).0);
    let vessels = fields.required_count("vessels", MOST_VESSELS);
    fields.required("use", "`open`, `heated` or `burnt`");
    let used = fields.word("use", &[("open", Use::Open), ("heated", Use::Heated), ("burnt", Use::Burnt)]);
    let fill = fields.quantity("fill", &field::LIQUID_VOLUME);
    let heated_to = fields.quantity("heated_to", &field::LIQUID_TEMPERATURE);
    let heater = fields.quantity("heater_power", &field::HEATER_POWER);
    let duration = fields.quantity("duration", &field::DURATION);
    let person = fields.quantity("nearest_person", &field::DISTANCE);
    asked.holds(fields, "nearest_person", person.as_ref());
    let clear_height = fields.quantity("clear_height", &field::DISTANCE);
    let heating = HeatingAsked::read(fields, asked_liquid, heated_to.as_ref());
    let ignition = IgnitionAsked::read(fields, &asked);
    ignition.fits(fields, &heating);
    let container = read_container(fields, &asked);
    let limits = LimitsAsked::read(fields, asked_liquid, scope.draft.catalogue);
    fields.finish();
    if let (Some(fill), Some(vessel)) = (&fill, &vessel)
        && fill.quantity > vessel.capacity.quantity
    {
        let holds = vessel.capacity.number;
        let detail = format!("{} mL is more than the vessel holds, {holds} mL", fill.number);
        fields.faults().add("impossible-value", fields.at("fill"), detail, None);
    }
    if let (Some(liquid), Some(Use::Burnt)) = (asked_liquid, used)
        && let Some(said) = liquid.not_flammable()
    {
        fields.faults().add(
            "impossible-value",
            fields.at("use"),
            format!("it cannot be burnt: {}", said.reason),
            None,
        );
    }
    let (rules, draft) = (&scope.rules, &mut scope.draft);
    let burnt = vessel.filter(|_| used == Some(Use::Burnt));
    let material = burnt.and_then(|vessel| vessel::material(vessel.material, draft.catalogue, draft));
    vessel::stands_heat(material, fields, "/vessel/material".to_owned());
    let dry = vessel.filter(|_| used == Some(Use::Heated) && heating.is_dry());
    let dry = dry.and_then(|vessel| vessel.material);
    let heated_material = dry.and_then(|text| vessel::material(Some(text), draft.catalogue, draft));
    vessel::stands_heat(heated_material, fields, "/vessel/material".to_owned());
    let liquid = asked_liquid.filter(|_| fields.faults().is_empty())?;
    let (vessel, vessels, used) = (vessel?, vessels?, used?);
    request.word("question", NAME);
    liquid::record(liquid, "liquid", request);
    let surroundings = asked.surroundings(rules, draft, request);
    asked.keeps_liquid(fields, liquid, surroundings.air);
    record_use(request, &vessel, vessels, used);
    request.given("fill", fill.as_ref());
    let air = surroundings.air;
    let heated_to = match used {
        Use::Heated if heated_to.is_none() => heating.below_boiling((fields, liquid), air, rules, draft),
        // A lamp may stand near an open vessel, and what heats elsewhere near one that is burnt from.
        Use::Open if !heating.by_lamp() => heating.heated_to((fields, liquid), heated_to, air, rules, draft),
        _ => heated_to,
    };
    if heated_to.is_none() && heating.is_named() {
        draft.assume("near_not_heating", "What is named in `heated_by` is taken to stand near and not to heat the liquid; give `heated_to` where it does.");
    }
    request.given("heated_to", heated_to.as_ref());
    request.given("heater_power", heater.as_ref());
    let warmer =
        heated_to.map(|heated| heated.quantity).filter(|heated| *heated > surroundings.air.temperature);
    let asked_heating = heating;
    let heating = heating.resolve((liquid, warmer), surroundings.air, rules, draft, request);
    request.given("duration", duration.as_ref());
    request.given("clear_height", clear_height.as_ref());
    let nearest = person.unwrap_or_else(|| {
        draft.assume_rule("near_zone_radius", rules);
        field::DISTANCE.asked(rules.number("near_zone_radius"))
    });
    // Where it burns a person who is stated is one that radiation is checked for: one who is assumed asks another question.
    if person.is_some() || used != Use::Burnt {
        request.quantity("nearest_person", &nearest);
    }
    let ignition = ignition.resolve(&asked_heating, rules, draft, request);
    if let Some((amount, distance)) = &container {
        let mut group = Group::default();
        group.quantity("amount", amount);
        group.given("distance", distance.as_ref());
        request.group("container", group);
    }
    limits.record(request);
    rules.record(request);
    if !fields.faults().is_empty() {
        return None;
    }
    let question = Question {
        liquid,
        surroundings,
        room: surroundings.room?,
        capacity: vessel.capacity.quantity,
        mouth: vessel.mouth.quantity,
        material,
        heated_material,
        clear: clear_height.map(|clear| clear.quantity),
        vessels,
        used,
        heated_to: warmer,
        heater: heater.map(|heater| heater.quantity),
        heating,
        duration: duration.map(|duration| duration.quantity),
        person: (nearest.quantity, person.is_some()),
        ignition,
        container: container
            .map(|(amount, distance)| (amount.quantity, distance.map(|distance| distance.quantity))),
    };
    Some((question, limits, fill.map(|fill| fill.number)))
}

fn read_container(fields: &Fields<'_>, room: &RoomAsked) -> Option<(Asked<Volume>, Option<Asked<Length>>)> {
    let group = fields.group("container")?;
    let amount = group.required_quantity("amount", &field::LIQUID_VOLUME);
    let distance = group.quantity("distance", &field::DISTANCE);
    room.holds(&group, "distance", distance.as_ref());
    group.finish();
    Some((amount?, distance))
}

fn record_use(request: &mut Group, vessel: &VesselAsked<'_>, vessels: u32, used: Use) {
    request.group("vessel", vessel.record());
    request.number("vessels", f64::from(vessels));
    request.word(
        "use",
        match used {
            Use::Open => "open",
            Use::Heated => "heated",
            Use::Burnt => "burnt",
        },
    );
}

impl Question<'_> {
    fn temperature(&self) -> ThermodynamicTemperature {
        self.heated_to.unwrap_or(self.surroundings.air.temperature)
    }

    fn count(&self) -> f64 {
        f64::from(self.vessels)
    }

    /// All that the vessels hold, mL.
    fn brim(&self) -> f64 {
        si::in_millilitre(self.capacity) * self.count()
    }

    fn lying(&self) -> Lying<'_> {
        Lying { liquid: self.liquid, temperature: self.temperature(), air: self.surroundings.air }
    }

    fn spilt(&self) -> Spilt<'_> {
        Spilt { liquid: self.liquid, room: self.room, temperature: self.temperature(), floor: Floor::Smooth }
    }

    /// For how long vapour is given off: a liquid to be burnt only until it is lit.
    fn open_for(&self, rules: &Rules) -> Option<Time> {
        if self.used == Use::Burnt { Some(si::minute(rules.number("lighting_wait"))) } else { self.duration }
    }

    /// Brim-full vessels, where the liquid evaporates fastest.
    fn conditions(&self, speed: Velocity) -> Conditions {
        Conditions {
            air: self.surroundings.air,
            humidity: self.surroundings.humidity,
            heated_to: self.heated_to,
            heater: self.heater,
            surface: Surface::round(self.mouth, si::metre(0.0)),
            moving: Moving::at(speed),
        }
    }

    fn stay(&self, rules: &Rules) -> Stay {
        let duration = self.open_for(rules).unwrap_or_else(|| si::minute(rules.number("unknown_duration")));
        Stay { room: self.room, distance: self.person.0, duration }
    }
}

/// Finds what the limits are found from.
///
/// # Errors
/// Only where the liquid boils and its heater is not known: then no figure can be named.
fn known<'a>(
    question: Question<'a>,
    limits: &LimitsAsked,
    catalogue: &'static Catalogue,
    rules: &Rules,
) -> Result<Known<'a>, NotEvaporating> {
    let liquid = question.liquid;
    let over = liquid.over(question.temperature());
    let can = question.lying().can_be_lit(&over, rules);
    let light = ignition::light(liquid, &can, rules);
    let effect = Effect::of(liquid, question.room).filter(|_| liquid.not_flammable().is_none());
    let (mut rate, mut course) = (None, None);
    if matches!(can, CanBeLit::Yes(_)) {
        match given_off(question, &over, rules) {
            Ok((found_rate, found_course)) => (rate, course) = (Some(found_rate), Some(found_course)),
            Err(NotEvaporating::Boils) => return Err(NotEvaporating::Boils),
            // All of it is counted then, and nothing of how fast.
            Err(_) => {}
        }
    }
    let emissions = match emissions(question, &over, limits, rules) {
        Ok(emissions) => Ok(emissions),
        Err(NotEvaporating::Boils) => return Err(NotEvaporating::Boils),
        Err(why) => Err(why.to_string()),
    };
    let flames = (question.used == Use::Burnt).then(|| {
        let alight = Alight {
            liquid,
            air: question.surroundings.air,
            humidity: question.surroundings.humidity,
            room: Some(question.room),
            capacity: question.capacity,
            mouth: question.mouth,
            material: question.material,
            wick: None,
            measured: None,
            vessels: question.vessels,
            spacing: None,
        };
        Flames::of(alight, &over, can.clone(), catalogue, rules)
    });
    Ok(Known { effect, can, light, rate, course, emissions, flames })
}

/// One vessel of a liquid that is compared with others.
#[derive(Debug, Clone, Copy)]
pub struct Plan<'a> {
    /// The liquid.
    pub liquid: &'a Liquid,
    /// How much of it, mL.
    pub fill: f64,
    /// The air.
    pub surroundings: Surroundings,
    /// The room.
    pub room: Room,
    /// What the vessel holds.
    pub capacity: Volume,
    /// How wide it is.
    pub mouth: Length,
    /// What it is made of, where it is burnt from and this is known.
    pub material: Option<&'static Material>,
    /// The same where the vessel is heated on something much hotter than a bath.
    pub heated_material: Option<&'static Material>,
    /// Clear height over it.
    pub clear: Option<Length>,
    /// What is done.
    pub used: Use,
    /// Where it is above the room's.
    pub heated_to: Option<ThermodynamicTemperature>,
    /// What heats it.
    pub heating: Heating,
    /// How long it stands open.
    pub duration: Option<Time>,
    /// Distance of the nearest person, and whether it was stated.
    pub person: (Length, bool),
    /// Ignition sources.
    pub ignition: Ignition,
}

/// What is found of a plan.
#[derive(Debug)]
pub struct Planned {
    /// Every check.
    pub checks: Vec<Check>,
    /// Whether its vapour can be lit.
    pub can: CanBeLit,
    /// Whether all of what is breathed has a limit.
    pub breathed_known: bool,
    /// Where it is burnt.
    pub flames: Option<PlannedFlames>,
}

/// What the flames of a plan do; a figure is absent where it is not known.
#[derive(Debug)]
pub struct PlannedFlames {
    /// Whether it is a liquid that may be burnt.
    pub burnable: bool,
    /// Heat release, kW.
    pub heat: Option<Estimate<f64>>,
    /// Height, cm.
    pub height: Option<Estimate<f64>>,
    /// Heat of the vapour gathered before lighting, kJ.
    pub flash: Option<Estimate<f64>>,
}

/// The checks of a plan and what liquids are compared by.
///
/// # Errors
/// Only where the liquid boils.
pub fn planned(
    plan: Plan<'_>,
    asked: &LimitsAsked,
    catalogue: &'static Catalogue,
    rules: &Rules,
) -> Result<Planned, NotEvaporating> {
    let question = Question {
        liquid: plan.liquid,
        surroundings: plan.surroundings,
        room: plan.room,
        capacity: plan.capacity,
        mouth: plan.mouth,
        material: plan.material,
        heated_material: plan.heated_material,
        clear: plan.clear,
        vessels: 1,
        used: plan.used,
        heated_to: plan.heated_to,
        heater: None,
        heating: plan.heating,
        duration: plan.duration,
        person: plan.person,
        ignition: plan.ignition,
        container: None,
    };
    let known = known(question, asked, catalogue, rules)?;
    let limits = limits(question, &known, Most::Left, rules);
    let amount = Estimate::exact(si::millilitre(plan.fill));
    let flames = known.flames.as_ref().map(|flames| PlannedFlames {
        burnable: flames.burnable_liquid(rules).value.value <= 0.0,
        heat: flames.heat_release(amount.value),
        height: flames.flame_height(amount.value, rules).map(|height| height.rising(|metres| metres * 100.0)),
        flash: flames.flash_at_lighting(amount, si::minute(rules.number("lighting_wait"))),
    });
    Ok(Planned {
        checks: checks(question, &known, &limits, plan.fill, rules),
        breathed_known: limits.iter().all(|limit| limit.id != "exposure" || limit.whole),
        can: known.can,
        flames,
    })
}

/// Vapour of fuel at first in air of the lowest speed, and how a brim-full vessel empties in air of the highest.
fn given_off(
    question: Question<'_>,
    over: &Result<Vec<Over>, NoVapour>,
    rules: &Rules,
) -> Result<(VolumeRate, Course), NotEvaporating> {
    let over = over.as_ref().map_err(|why| NotEvaporating::Vapour(why.clone()))?;
    let slowest = question.conditions(ignition::slowest_air(rules));
    let area = si::in_square_metre(slowest.surface.area) * question.count();
    let mut moles = 0.0_f64;
    for (composition, over) in question.liquid.compositions.iter().zip(over) {
        let start = composition.start(&slowest, over, End::High)?;
        moles = moles.max(composition.fuel_of(&start.fluxes) * area);
    }
    let first = room_air::vapour_of(si::mole(moles), question.surroundings.air);
    let fastest = question.conditions(si::metre_per_second(rules.number("air_speed_surface_highest")));
    let usual = question.liquid.usual();
    let over = over.first().ok_or(NotEvaporating::Boils)?;
    let start = usual.start(&fastest, over, End::High)?;
    let course =
        usual.course(&fastest, &start, End::High, &usual.moles_in(question.capacity), false, None)?;
    Ok((first / si::second(1.0), course))
}

fn emissions(
    question: Question<'_>,
    over: &Result<Vec<Over>, NoVapour>,
    limits: &LimitsAsked,
    rules: &Rules,
) -> Result<Vec<(Emission, Vec<PartLimits>)>, NotEvaporating> {
    let over = over.as_ref().map_err(|why| NotEvaporating::Vapour(why.clone()))?;
    let speed = |rule| si::metre_per_second(rules.number(rule));
    let [best, lowest, highest] = super::source::AROUND;
    let speed = Estimate::new(speed(best), speed(lowest), speed(highest));
    let each = question.liquid.compositions.iter().zip(over);
    each.map(|(composition, over)| {
        let density = composition.density();
        let moles = composition.moles_in(question.capacity * si::in_fraction(density.high / density.value));
        let conditions = |speed| question.conditions(speed);
        let emission = Emission::of_surface(composition, over, conditions, speed, &moles, question.vessels)?;
        Ok((emission, limits.of(composition, rules)))
    })
    .collect()
}

impl Known<'_> {
    /// The distance that is kept whatever the amount, where the source is nearer than it: then nothing is allowed.
    fn forbidden(&self, question: Question<'_>, rules: &Rules) -> Option<Kept> {
        let distance = question.ignition.distance()?;
        self.kept(question, rules).filter(|kept| kept.forbids(distance))
    }

    /// The distance that is kept whatever the amount.
    fn kept(&self, question: Question<'_>, rules: &Rules) -> Option<Kept> {
        let distance = question.ignition.distance()?;
        ignition::kept(&self.can, self.light, distance, Some(&question.room), rules)
    }

    /// Vapour that can burn of a total, mL, that is given off while it is open; ends by the vapour of one volume.
    fn vapour(&self, question: Question<'_>, total: f64, rules: &Rules) -> Option<Estimate<Volume>> {
        let effect = self.effect.as_ref()?;
        let gone = match (question.open_for(rules), &self.course) {
            (Some(open), Some(course)) if total > 0.0 => {
                let share = total / question.brim();
                let usual = question.liquid.usual();
                let whole = course.left.first().map_or(0.0, |left| usual.fuel_of(left));
                // A smaller fill leaves in the same way, the sooner the smaller it is.
                let left = usual.fuel_of(&course.left_at(open / share));
                if whole > 0.0 { 1.0 - left / whole } else { 1.0 }
            }
            _ => 1.0,
        };
        let liquid = si::millilitre(total * gone);
        Some(effect.vapour_per_liquid.rising(|per_liquid| liquid * per_liquid))
    }

    /// How far the vapour of a total, mL, can be lit, m.
    fn reach(&self, question: Question<'_>, total: f64, rules: &Rules) -> Estimate<f64> {
        let CanBeLit::Yes(limit) = &self.can else { return Estimate::exact(0.0) };
        self.vapour(question, total, rules).map_or(Estimate::exact(0.0), |vapour| {
            ignition::reach(GivenOff { vapour, rate: self.rate }, *limit, Some(&question.room), rules)
        })
    }

    /// The most, mL, whose vapour does not reach the nearest source.
    fn most_near(&self, question: Question<'_>, distance: Length, rules: &Rules) -> f64 {
        let brim = question.brim();
        let metres = si::in_metre(distance);
        if self.forbidden(question, rules).is_some() {
            return 0.0;
        }
        if self.reach(question, brim, rules).high <= metres {
            return brim;
        }
        let least = brim * 1e-9;
        if self.reach(question, least, rules).high > metres {
            return 0.0;
        }
        let over = |ln_total: f64| self.reach(question, exp(ln_total), rules).high - metres;
        // The root is taken from below: half its tolerance less is within.
        root(over, ln(least), ln(brim), 1e-12).map_or(0.0, |found| exp(found - 1e-12))
    }

    /// The larger of the two indices of what is breathed at a total, mL.
    fn index(
        emissions: &[(Emission, Vec<PartLimits>)],
        question: Question<'_>,
        total: f64,
        rules: &Rules,
    ) -> f64 {
        let (stay, share) = (question.stay(rules), total / question.brim());
        emissions
            .iter()
            .map(|(emission, limits)| breathing::worst_index(emission, stay, share, limits))
            .fold(0.0, f64::max)
    }
}

/// Parts of which no exposure limit is known.
fn without_limit(emissions: &[(Emission, Vec<PartLimits>)]) -> Vec<&'static str> {
    let parts = emissions.iter().flat_map(|(_, limits)| limits);
    let mut names: Vec<&'static str> =
        parts.filter(|part| part.needed && part.short.is_none()).map(|part| part.substance.name()).collect();
    names.dedup();
    names
}

/// Whether the most within each limit is looked for, or only what its check needs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Most {
    Found,
    Left,
}

/// Every limit that is considered, the binding one first where the most is found.
fn limits(question: Question<'_>, known: &Known<'_>, most: Most, rules: &Rules) -> Vec<Limit> {
    let searched = most == Most::Found;
    let liquid = question.liquid;
    let mut limits = Vec::new();
    let limit = |id, rule, most| Limit { id, rule, most, why: None, whole: true, shown: None };
    if liquid.not_flammable().is_none() {
        let effect = known.effect.as_ref();
        let share = effect.map(|effect| effect.most_for_share(rules.number("planned_release_share") / 100.0));
        let depth = effect.map(|effect| effect.most_for_depth(rules.number("floor_layer_depth")));
        limits.push(limit("room_share", "planned_release_share", share));
        limits.push(limit("floor_layer", "floor_layer_depth", depth));
        if let Some(distance) = question.ignition.distance() {
            let kept = known.forbidden(question, rules);
            let most = effect.map(|_| {
                if searched || kept.is_some() {
                    known.most_near(question, distance, rules)
                } else {
                    question.brim()
                }
            });
            let rule = kept.map_or("ignition_share", |kept| kept.rule);
            limits.push(Limit { why: kept.map(ignition::why), ..limit("near_field", rule, most) });
            limits.push(spill_limit(question, known, distance, rules));
        } else if question.used == Use::Burnt && (question.container.is_some() || question.person.1) {
            limits.push(spill_limit(question, known, question.room.longest_way(), rules));
        }
    }
    limits.push(exposure_limit(question, known, searched, rules));
    let (rule, per_vessel) = vessel_limit(question, rules);
    limits.push(limit("vessel", rule, Some(question.count() * per_vessel)));
    limits.push(practice_limit(question, rules));
    if let Some(flames) = &known.flames {
        limits.extend(burnt_limits(question, flames, rules));
    }
    for limit in &mut limits {
        if limit.most.is_some_and(|most| most > 0.0 && most / question.count() < LEAST_FILL_ML) {
            limit.most = Some(0.0);
            limit.why = Some(Text::Borrowed("less would be within it than can be measured out"));
        }
    }
    // The binding one first. A limit on ignition that could not be assessed binds before all; one on breathing comes last,
    // and the outcome says that it was not assessed.
    let order = |limit: &Limit| match (limit.most, limit.id) {
        (Some(most), _) => most,
        (None, "exposure") => f64::INFINITY,
        (None, _) => -1.0,
    };
    limits.sort_by(|a, b| order(a).total_cmp(&order(b)).then(a.id.cmp(b.id)));
    limits
}

/// The limits of what burns: that it may be burnt at all and how much at once, radiation, gases.
fn burnt_limits(question: Question<'_>, flames: &Flames<'_>, rules: &Rules) -> Vec<Limit> {
    let limit = |id, rule, most| Limit { id, rule, most, why: None, whole: true, shown: None };
    let brim = question.brim();
    let mut limits = vec![flame_limit(question, flames, rules)];
    let unknown = |id, rule| {
        let why = flames.fire.as_ref().err().map(|why| Text::Owned(why.to_string()));
        Limit { why, whole: false, ..limit(id, rule, None) }
    };
    if question.person.1 {
        limits.push(match flames.radiant_heat(question.capacity, question.person.0, rules) {
            None => unknown("radiant_heat", "radiant_limit"),
            Some(bound) if bound.ratio() > 1.0 => Limit {
                why: Some(Text::Borrowed("the flames of these vessels, however little they hold")),
                shown: Some(bound.check(NAME, rules)),
                ..limit("radiant_heat", "radiant_limit", Some(0.0))
            },
            Some(_) => limit("radiant_heat", "radiant_limit", Some(brim)),
        });
    }
    let gases = "combustion_gases";
    limits.push(match flames.carbon_dioxide(Estimate::exact(question.capacity), rules) {
        None => unknown(gases, "carbon_dioxide_limit"),
        Some(bound) => {
            let before = rules.number("carbon_dioxide_background") * 1e4;
            let share = (bound.limit - before) / (bound.value.high - before);
            limit(gases, "carbon_dioxide_limit", Some(brim * share.clamp(0.0, 1.0)))
        }
    });
    limits
}

/// What may be alight at once; nothing where vessel, liquid, wall, flame or flash forbid it.
fn flame_limit(question: Question<'_>, flames: &Flames<'_>, rules: &Rules) -> Limit {
    let full = Estimate::exact(question.capacity);
    let limit = Limit { id: "flame", rule: "alight_volume", most: None, why: None, whole: true, shown: None };
    let over = |bound: Option<Bound>| bound.filter(|bound| bound.ratio() > 1.0);
    let never = |bound: Bound, rule, why: &'static str| Limit {
        rule,
        most: Some(0.0),
        why: Some(Text::Borrowed(why)),
        shown: Some(bound.check(NAME, rules)),
        ..limit.clone()
    };
    if let Some(bound) = over(flames.burnable_vessel(rules)) {
        return never(
            bound,
            "burnable_height",
            "a vessel that is taller than its mouth is wide gathers vapour that flashes at lighting: it is not burnt from",
        );
    }
    if let Some(bound) = over(Some(flames.burnable_liquid(rules))) {
        return never(
            bound,
            "light_boiling_point",
            "a liquid that boils low, lights early or holds more than carbon, hydrogen and oxygen is not burnt",
        );
    }
    if let Some(bound) = over(flames.thermal_shock(rules)) {
        return never(bound, "flame_step", "this glass is likely to crack under the flame");
    }
    // The emptier a vessel is, the more vapour it holds.
    if let Some(bound) = over(flames.lighting_delay(full, si::minute(0.0), None, rules)) {
        return never(
            bound,
            "flash_energy",
            "the vapour within one vessel flashes too strongly when it is lit",
        );
    }
    let wait = si::minute(rules.number("lighting_wait"));
    let person = question.person.1.then_some(question.person.0);
    if let Some(bound) = over(flames.lighting_delay(full, wait, person, rules)) {
        return never(
            bound,
            "lighting_distance",
            "the vapour gathered before lighting flashes too near to the nearest person",
        );
    }
    if let Some(clear) = question.clear
        && let Some(bound) = over(flames.flame_clearance(question.capacity, clear, rules))
    {
        return never(bound, "flame_clearance_share", "the flame comes too near to what is above it");
    }
    let Some(energy) = flames.energy(full) else {
        let why = flames.fire.as_ref().err().map(|why| Text::Owned(why.to_string()));
        return Limit { why, whole: false, ..limit };
    };
    let rooms = si::in_cubic_metre(question.room.free_volume) / rules.number("alight_room");
    let by_energy =
        rules.number("alight_energy") * rooms / energy.high * si::in_millilitre(question.capacity);
    let by_volume = rules.number("alight_volume");
    let (rule, most) =
        if by_energy < by_volume { ("alight_energy", by_energy) } else { ("alight_volume", by_volume) };
    Limit { rule, most: Some(most.min(question.brim())), ..limit }
}

/// All vessels on one tray, or the container brought along: whichever holds more is dropped.
fn spill_limit(question: Question<'_>, known: &Known<'_>, distance: Length, rules: &Rules) -> Limit {
    let mut limit =
        Limit { id: "spill", rule: "ignition_share", most: None, why: None, whole: true, shown: None };
    if known.effect.is_none() {
        return limit;
    }
    if let Some(kept) = known.forbidden(question, rules) {
        return Limit { rule: kept.rule, most: Some(0.0), why: Some(ignition::why(kept)), ..limit };
    }
    let most = question.spilt().largest(distance, &known.can, rules);
    limit.most = Some(most.min(question.brim()));
    if matches!(known.can, CanBeLit::TooCold(_)) {
        limit.rule = spill::COLD;
    }
    if question.ignition == Ignition::Under {
        limit.why = Some(Text::Borrowed("what is spilt runs over the flame that heats it"));
    } else if limit.most == Some(0.0) {
        limit.why = Some(Text::Borrowed("a flame so near warms what is spilt"));
    }
    if let Some(most) = most_spilt_alight(question, known, rules).filter(|most| limit.most > Some(*most)) {
        limit.most = Some(most);
        limit.rule = "flash_dose";
        if most <= 0.0 {
            limit.why = Some(Text::Borrowed("dropped alight, even little burns the nearest person"));
        }
    }
    let Some((container, stands)) = question.container else { return limit };
    let reach = question.spilt().danger(Estimate::exact(container), &known.can, rules).high;
    let away = crate::quantity::round::cautious_up(reach);
    // Both distances count from the vessels: the container may stand on the side of the source.
    let stands_at = stands.map_or(0.0, si::in_metre);
    let gap = question.ignition.distance().map(|ignition| (si::in_metre(ignition) - stands_at).abs());
    let mut none = |metres: f64, why: String| {
        limit.most = Some(0.0);
        limit.why = Some(Text::Owned(why));
        let grounds = grounds(&limit, rules);
        limit.shown = Some(apart("spill", metres, away, grounds));
    };
    // The flames of the vessels light what is dropped beside them.
    if question.used == Use::Burnt && stands_at < reach {
        none(
            stands_at,
            format!(
                "the container brought along, dropped where it stands, reaches the flames: it must be {away} m away"
            ),
        );
    } else if let Some(gap) = gap.filter(|gap| *gap < reach) {
        none(
            gap,
            format!(
                "the container brought along, dropped, reaches an ignition source by itself: up to {away} m from where it stands"
            ),
        );
    }
    limit
}

/// The check of a distance, m, that must be kept whatever the amount.
fn apart(id: &'static str, metres: f64, least: f64, grounds: Grounds) -> Check {
    let compared = Compared {
        check: id,
        question: NAME,
        value: Estimate::exact(metres),
        limit: significant(least, 12),
        unit: "m",
        must_be: MustBe::AtLeast,
        grounds,
        evidence: Evidence::Measured,
    };
    compared.decided()
}

/// The most, mL, that may be dropped alight before the nearest person; none where nobody is stated.
fn most_spilt_alight(question: Question<'_>, known: &Known<'_>, rules: &Rules) -> Option<f64> {
    let flames = known.flames.as_ref().filter(|_| question.person.1)?;
    let ratio = |millilitres: f64| {
        let dropped = Estimate::exact(si::millilitre(millilitres));
        flames.burning_spill(dropped, question.person.0, rules).map_or(f64::NAN, |bound| bound.ratio())
    };
    let brim = question.brim();
    if ratio(brim) <= 1.0 {
        return Some(brim);
    }
    let least = brim * 1e-6;
    if ratio(least) > 1.0 {
        return Some(0.0);
    }
    let over = |ln_millilitres: f64| ratio(exp(ln_millilitres)).min(1e6) - 1.0;
    root(over, ln(least), ln(brim), 1e-9).map(|found| exp(found - 1e-9))
}

fn exposure_limit(question: Question<'_>, known: &Known<'_>, searched: bool, rules: &Rules) -> Limit {
    let limit =
        Limit { id: "exposure", rule: "near_zone_radius", most: None, why: None, whole: false, shown: None };
    let emissions = match &known.emissions {
        Ok(emissions) => emissions,
        Err(why) => return Limit { why: Some(Text::Owned(why.clone())), ..limit },
    };
    let missing = without_limit(emissions);
    let brim = question.brim();
    let share = searched
        .then(|| largest_share(|share| Known::index(emissions, question, share * brim, rules), 1.0))
        .flatten();
    let most = share.map_or(brim, |share| share * brim);
    if missing.is_empty() {
        return Limit { most: Some(most), whole: true, ..limit };
    }
    let why = format!(
        "no exposure limit of {} is known here: read the supplier's data sheet, and pass it in `limits`",
        missing.join(", ")
    );
    // What is known of the other parts bounds it all the same.
    let known =
        emissions.iter().flat_map(|(_, limits)| limits).any(|part| part.needed && part.short.is_some());
    Limit { most: known.then_some(most), why: Some(Text::Owned(why)), ..limit }
}

/// The rule of the vessel that binds, and the most in one vessel, mL.
fn vessel_limit(question: Question<'_>, rules: &Rules) -> (&'static str, f64) {
    let share =
        |rule| si::in_millilitre(share_of_capacity(question.capacity, si::percent(rules.number(rule))));
    match question.used {
        // An open vessel that is held hot is a heated one.
        Use::Open if question.heated_to.is_some() => {
            ("heated_fill_share", share("heated_fill_share") * expands(question))
        }
        Use::Open => ("open_fill_share", share("open_fill_share")),
        Use::Heated => ("heated_fill_share", share("heated_fill_share") * expands(question)),
        Use::Burnt => {
            let depth = si::metre(rules.number("burnt_depth") / 1000.0);
            let deep = si::in_millilitre(fill_of_depth(question.mouth, depth));
            let tried = [
                ("burnt_depth", deep),
                ("burnt_fill", rules.number("burnt_fill")),
                ("open_fill_share", share("open_fill_share")),
            ];
            tried
                .into_iter()
                .fold(("burnt_fill", f64::INFINITY), |least, one| if one.1 < least.1 { one } else { least })
        }
    }
}

/// What was poured at 20 Cel as a share of what it becomes when it is heated; one where it is not.
fn expands(question: Question<'_>) -> f64 {
    let Some(heated) = question.heated_to else { return 1.0 };
    let one = |substance: &crate::catalogue::Substance| {
        let set = &substance.density_set;
        si::in_fraction(set.at(heated) / set.at(si::celsius(20.0))).min(1.0)
    };
    question.liquid.substances().map(one).fold(1.0, f64::min)
}

fn practice_limit(question: Question<'_>, rules: &Rules) -> Limit {
    let mut limit = Limit {
        id: "practice",
        rule: "amount_near_demonstration",
        most: Some(rules.number("amount_near_demonstration")),
        why: None,
        whole: true,
        shown: None,
    };
    let mut none = |metres: f64, rule, why: Text| {
        limit.rule = rule;
        limit.most = Some(0.0);
        limit.why = Some(why);
        limit.shown = Some(apart("practice", metres, rules.number(rule), grounds(&limit, rules)));
    };
    if let Some((amount, distance)) = question.container {
        let rule = "closed_stock_distance";
        let stands = distance.map_or(0.0, si::in_metre);
        let much = si::in_millilitre(amount) > rules.number("amount_near_demonstration");
        if stands < rules.number(rule) {
            // However small it is: liquid is thrown from a bottle that is opened near a flame.
            if question.used == Use::Burnt {
                let open = rules.figure("open_stock_distance");
                let why = format!(
                    "the container stands beside flames, however little it holds; an open one is at least {open} away"
                );
                none(stands, rule, Text::Owned(why));
            } else if much {
                let why = "more than the usual amount is brought near: put the container further away";
                none(stands, rule, Text::Borrowed(why));
            }
        }
    }
    let person = si::in_metre(question.person.0);
    if question.used == Use::Burnt && question.person.1 && person < rules.number("people_distance") {
        let why = "people stand nearer to something that burns than is usual";
        none(person, "people_distance", Text::Borrowed(why));
    }
    limit
}

/// Grounds of a limit: those of its rule, with why nothing is within it.
fn grounds(limit: &Limit, rules: &Rules) -> Grounds {
    let mut grounds = rules.grounds(limit.rule);
    if let Some(why) = &limit.why
        && limit.whole
    {
        grounds.text = Text::Owned(format!("{} ({why}).", grounds.text.trim_end_matches('.')));
    }
    grounds
}

/// The check of each limit at a fill of each vessel, mL; then those on which no amount bears.
fn checks(
    question: Question<'_>,
    known: &Known<'_>,
    limits: &[Limit],
    fill: f64,
    rules: &Rules,
) -> Vec<Check> {
    let heating = question.heating.checks(NAME, question.liquid, Some(question.ignition), rules);
    let shock = question.heated_material.and_then(|material| flames::shock(material, rules));
    let shock = shock.map(|bound| bound.check(NAME, rules));
    limits
        .iter()
        .map(|limit| check(question, known, limit, fill, rules))
        .chain(heating)
        .chain(shock)
        .collect()
}

fn check(question: Question<'_>, known: &Known<'_>, limit: &Limit, fill: f64, rules: &Rules) -> Check {
    if limit.most != Some(0.0) {
        return compared(question, known, limit, fill, rules);
    }
    // Whatever the amount: not even the fill of zero that is proposed is within it, and what is compared shows it.
    let mut check = match &limit.shown {
        Some(shown) => Check { check: Text::Borrowed(limit.id), ..shown.clone() },
        None => compared(question, known, limit, fill.max(LEAST_FILL_ML), rules),
    };
    check.status = Outcome::OverLimit;
    // A ratio within its limit would contradict the status.
    check.ratio = check.ratio.filter(|ratio| *ratio > 1.0);
    check.basis = grounds(limit, rules);
    check
}

fn compared(question: Question<'_>, known: &Known<'_>, limit: &Limit, fill: f64, rules: &Rules) -> Check {
    let total = question.count() * fill;
    let liquid = Estimate::exact(si::millilitre(total));
    let no_limit =
        "no trusted lower flammable limit is published for this liquid; see the supplier's data sheet";
    let unassessed = |unit, bound, reason: &str| {
        not_assessed(
            limit.id,
            NAME,
            Quantity::exact(bound, unit),
            MustBe::AtMost,
            rules.grounds(limit.rule),
            reason,
        )
    };
    let (value, bound, unit, evidence) = match (limit.id, &known.effect) {
        ("room_share", Some(effect)) => {
            (effect.share(liquid).rising(si::in_percent), rules.number(limit.rule), "%", effect.evidence)
        }
        ("floor_layer", Some(effect)) => {
            (effect.depth(liquid), rules.number(limit.rule), "m", effect.evidence)
        }
        ("room_share", None) => return unassessed("%", rules.number(limit.rule), no_limit),
        ("floor_layer", None) => return unassessed("m", rules.number(limit.rule), no_limit),
        ("near_field" | "spill", effect) => {
            // Where only the vessels' own flames are there, the room itself bounds what is dropped.
            let distance = question.ignition.distance().unwrap_or_else(|| question.room.longest_way());
            if effect.is_none() {
                return unassessed("m", significant(si::in_metre(distance), 12), no_limit);
            }
            return reach_check(question, known, limit, total, distance, rules);
        }
        ("exposure", _) => return exposure_check(question, known, limit, total, rules),
        ("flame" | "radiant_heat" | "combustion_gases", _) if limit.most.is_none() => {
            return unassessed("1", 1.0, limit.why.as_deref().unwrap_or("how it burns is not known"));
        }
        ("radiant_heat" | "combustion_gases", _) => {
            return burnt_check(question, known, limit, total, rules)
                .unwrap_or_else(|| unassessed("1", 1.0, "how it burns is not known"));
        }
        ("vessel", _) => {
            (Estimate::exact(fill), limit.most.unwrap_or(0.0) / question.count(), "mL", Evidence::Measured)
        }
        _ => (Estimate::exact(total), limit.most.unwrap_or(0.0), "mL", Evidence::Measured),
    };
    let compared = Compared {
        check: limit.id,
        question: NAME,
        value,
        limit: significant(bound, 12),
        unit,
        must_be: MustBe::AtMost,
        grounds: grounds(limit, rules),
        evidence,
    };
    compared.decided()
}

fn reach_check(
    question: Question<'_>,
    known: &Known<'_>,
    limit: &Limit,
    total: f64,
    distance: Length,
    rules: &Rules,
) -> Check {
    let kept = known.kept(question, rules);
    let name = (limit.id, NAME);
    let dropped = Estimate::exact(si::millilitre(total));
    let mut check = if limit.id == "near_field" {
        let reach = known.reach(question, total, rules);
        let mut check = ignition::check(name, reach, kept, distance, Evidence::Estimated, rules);
        if ignition::deciding(kept, reach, distance).is_none() {
            check.basis = grounds(limit, rules);
        }
        check
    } else {
        question.spilt().check(name, dropped, (&known.can, kept), distance, rules)
    };
    if limit.most == Some(0.0) {
        check.basis = grounds(limit, rules);
    }
    let whatever_the_amount = check.status == Outcome::OverLimit && check.ratio.is_none();
    if limit.id == "spill"
        && !whatever_the_amount
        && question.person.1
        && let Some(flames) = &known.flames
        && let Some(alight) = flames.burning_spill(dropped, question.person.0, rules)
        && alight.ratio() > check.ratio.unwrap_or(0.0)
    {
        return Check { check: Text::Borrowed(limit.id), ..alight.check(NAME, rules) };
    }
    check
}

/// The check of radiation or gases at a total, mL.
fn burnt_check(
    question: Question<'_>,
    known: &Known<'_>,
    limit: &Limit,
    total: f64,
    rules: &Rules,
) -> Option<Check> {
    let flames = known.flames.as_ref()?;
    let each = si::millilitre(total / question.count());
    let bound = if limit.id == "radiant_heat" {
        flames.radiant_heat(each, question.person.0, rules)?
    } else {
        flames.carbon_dioxide(Estimate::exact(each), rules)?
    };
    Some(Check { check: Text::Borrowed(limit.id), ..bound.check(NAME, rules) })
}

fn exposure_check(
    question: Question<'_>,
    known: &Known<'_>,
    limit: &Limit,
    total: f64,
    rules: &Rules,
) -> Check {
    let stay = question.stay(rules);
    let share = total / question.brim();
    let bare = || rules.grounds(limit.rule);
    let reason = limit.why.as_deref().unwrap_or("what is breathed is not known");
    let unassessed =
        || not_assessed("exposure", NAME, Quantity::exact(1.0, "1"), MustBe::AtMost, bare(), reason);
    let Ok(emissions) = &known.emissions else { return unassessed() };
    let mut worst: Option<(Estimate<f64>, Grounds)> = None;
    for (emission, limits) in emissions {
        let found = breathing::breathed(emission, stay, share);
        let index = breathing::index(&found, limits);
        let short = (index.short, breathing::grounds(limits, |part| part.short.as_ref(), "15 minutes"));
        let long = (index.long, breathing::grounds(limits, |part| part.long.as_ref(), "8 hours"));
        for one in [short, long] {
            if worst.as_ref().is_none_or(|(so_far, _)| one.0.high > so_far.high) {
                worst = Some(one);
            }
        }
    }
    let Some((index, grounds)) = worst else { return unassessed() };
    // A part without a limit leaves the rest unassessed, unless what is known is over already.
    if !limit.whole && index.high <= 1.0 {
        return unassessed();
    }
    let compared = Compared {
        check: "exposure",
        question: NAME,
        value: index,
        limit: 1.0,
        unit: "1",
        must_be: MustBe::AtMost,
        grounds,
        evidence: Evidence::Estimated,
    };
    compared.decided()
}

/// The largest fill, mL, at which a check (or, for `None`, every check) is not over its limit, unrounded and rounded down;
/// verified.
fn largest(
    question: Question<'_>,
    known: &Known<'_>,
    limits: &[Limit],
    rules: &Rules,
    id: Option<&str>,
) -> f64 {
    let concerned = limits.iter().filter(|limit| id.is_none_or(|id| limit.id == id));
    let most = concerned.filter_map(|limit| limit.most).fold(f64::INFINITY, f64::min);
    let mut fill = cautious_down(most.min(question.brim()) / question.count());
    for _ in 0..3 {
        let over = limits.iter().filter(|limit| id.is_none_or(|id| limit.id == id)).any(|limit| {
            limit.most != Some(0.0) && check(question, known, limit, fill, rules).status == Outcome::OverLimit
        });
        if !over || fill <= 0.0 {
            break;
        }
        // Rounding in the last bit left the rounded figure over the limit: one step further down.
        fill = cautious_down(fill * 0.99);
    }
    fill
}

/// The inputs that may be changed.
fn changes(question: Question<'_>, fill: Option<f64>) -> Vec<Change> {
    let mut changes = Vec::new();
    if let Some(fill) = fill {
        changes.push(Change {
            change: "amount",
            field: "/fill",
            unit: "mL",
            from: fill,
            furthest: fill / 1000.0,
            text: ("Fill each vessel to at most ", ""),
        });
    }
    let furthest = si::in_metre(question.room.longest_way());
    if let Some(distance) = question.ignition.movable() {
        changes.push(Change {
            change: "distance",
            field: "/nearest_ignition",
            unit: "m",
            from: si::in_metre(distance),
            furthest,
            text: ("Keep ignition sources at least ", " away"),
        });
    }
    changes.push(Change {
        change: "distance",
        field: "/nearest_person",
        unit: "m",
        from: si::in_metre(question.person.0),
        furthest,
        text: ("Keep everybody at least ", " away"),
    });
    if let Some(clear) = question.clear {
        changes.push(Change {
            change: "distance",
            field: "/clear_height",
            unit: "m",
            from: si::in_metre(clear),
            furthest,
            text: ("Keep at least ", " clear above"),
        });
    }
    changes.push(Change {
        change: "air_changes",
        field: "/room/air_changes",
        unit: "/h",
        from: si::in_per_hour(question.room.air_changes),
        furthest: MOST_AIR_CHANGES,
        text: ("Bring the air changes to at least ", ""),
    });
    if let Some(duration) = question.duration {
        changes.push(Change {
            change: "duration",
            field: "/duration",
            unit: "min",
            from: si::in_minute(duration),
            furthest: si::in_minute(duration) / 1000.0,
            text: ("Leave it open for at most ", ""),
        });
    }
    changes.extend(question.heating.change("/surface_temperature"));
    if let Some((_, distance)) = question.container {
        changes.push(Change {
            change: "distance",
            field: "/container/distance",
            unit: "m",
            from: distance.map_or(0.0, si::in_metre),
            furthest,
            text: ("Put the container at least ", " away"),
        });
    }
    changes
}

fn changed<'a>(question: Question<'a>, change: &Change, to: f64) -> Question<'a> {
    let mut question = question;
    match change.field {
        "/nearest_ignition" => question.ignition = Ignition::Stated(si::metre(to)),
        "/nearest_person" => question.person = (si::metre(to), true),
        "/clear_height" => question.clear = Some(si::metre(to)),
        "/room/air_changes" => question.room.air_changes = si::per_hour(to),
        "/surface_temperature" => question.heating = question.heating.with_surface(to),
        "/duration" => question.duration = Some(si::minute(to)),
        "/container/distance" => {
            question.container = question.container.map(|(amount, _)| (amount, Some(si::metre(to))));
        }
        _ => {}
    }
    question
}

/// Which inputs bear on a limit: others are not tried.
fn bears(change: &Change, id: &str) -> bool {
    match change.field {
        "/fill" => {
            !matches!(id, "radiant_heat" | heating::HOT_SURFACE | heating::NAKED_FLAME | heating::HALOGENATED)
        }
        "/surface_temperature" => id == heating::HOT_SURFACE,
        "/nearest_ignition" => matches!(id, "near_field" | "spill" | heating::HALOGENATED),
        "/nearest_person" => matches!(id, "exposure" | "practice" | "radiant_heat" | "spill" | "flame"),
        "/clear_height" => id == "flame",
        "/room/air_changes" => id == "exposure",
        "/duration" => matches!(id, "exposure" | "near_field"),
        _ => matches!(id, "practice" | "spill"),
    }
}

/// The remedies of the checks; and the change after which nothing is over the limit, where one suffices.
fn remedies(
    question: Question<'_>,
    known: &Known<'_>,
    (fill, checked): (Option<f64>, f64),
    draft: &mut Draft,
    rules: &Rules,
) -> Option<Remedy> {
    let all = changes(question, fill);
    let after = |change: &Change, to: f64| {
        // None of these inputs moves what the limits are found from.
        let question = changed(question, change, to);
        let at = match (fill, change.field) {
            (_, "/fill") => to,
            (Some(fill), _) => fill,
            // Where no fill was asked the change must make some possible.
            (None, _) => {
                let limits = limits(question, known, Most::Found, rules);
                checked.max(largest(question, known, &limits, rules, None))
            }
        };
        let limits = limits(question, known, Most::Left, rules);
        checks(question, known, &limits, at, rules)
    };
    let worst = |made: &[Check]| made.iter().map(|check| check.status).max();
    for check in draft.checks.iter_mut().filter(|check| check.status == Outcome::OverLimit) {
        let bearing: Vec<Change> = all.iter().copied().filter(|change| bears(change, &check.check)).collect();
        let remedy = remedy::smallest(&bearing, |change, to| {
            let made = after(change, to);
            let this = made.iter().find(|made| made.check == check.check)?.status;
            Some((this, worst(&made)?))
        });
        check.remedy = remedy;
    }
    if draft.outcome() != Outcome::OverLimit {
        return None;
    }
    let suffices = |remedy: &&Remedy| remedy.outcome_after < Outcome::NotAssessed;
    let deciding = draft.worst().and_then(|check| check.remedy.as_ref());
    let mut found = deciding.into_iter().chain(draft.checks.iter().filter_map(|check| check.remedy.as_ref()));
    found.find(suffices).cloned().or_else(|| {
        let bearing: Vec<Change> = all
            .iter()
            .copied()
            .filter(|change| {
                let mut over = draft.checks.iter().filter(|check| check.status == Outcome::OverLimit);
                over.all(|check| bears(change, &check.check))
            })
            .collect();
        remedy::smallest(&bearing, |change, to| {
            let all = worst(&after(change, to))?;
            Some((all, all))
        })
    })
}

/// Other plans that allow more: a cooler room, a narrower or larger vessel, a less hazardous liquid.
fn alternatives(
    question: Question<'_>,
    asked: &LimitsAsked,
    proposed: f64,
    catalogue: &'static Catalogue,
    rules: &Rules,
) -> Vec<FillAlternative> {
    const COOL_CEL: f64 = 16.0;
    let mut found = Vec::new();
    let mut tried = |change: &'static str, question: Question<'_>, text: &dyn Fn(f64) -> String| {
        let Ok(known) = known(question, asked, catalogue, rules) else { return };
        let limits = limits(question, &known, Most::Found, rules);
        if limits.iter().any(|limit| limit.most.is_none()) || question.liquid.not_for_school_use().is_some() {
            return;
        }
        let heated = question.heating.checks(NAME, question.liquid, Some(question.ignition), rules);
        if heated.iter().any(|check| check.status == Outcome::OverLimit) {
            return;
        }
        let fill = largest(question, &known, &limits, rules, None);
        if fill > proposed * MORE {
            found.push(FillAlternative {
                change: Text::Borrowed(change),
                text: text(fill),
                fill_per_vessel: Quantity::exact(significant(fill, 12), "mL"),
            });
        }
    };
    if si::in_celsius(question.surroundings.air.temperature) > COOL_CEL {
        let mut cooler = question;
        cooler.surroundings.air.temperature = si::celsius(COOL_CEL);
        cooler.room.air.temperature = si::celsius(COOL_CEL);
        tried("cooler_room", cooler, &|fill| {
            format!("In a room at {COOL_CEL} Cel: at most {fill} mL in each vessel.")
        });
    }
    let narrower = Question { mouth: question.mouth * 0.5, ..question };
    let width = significant(si::in_centimetre(narrower.mouth), 2);
    tried("other_vessel", narrower, &|fill| {
        format!("In vessels {width} cm wide: at most {fill} mL in each vessel.")
    });
    let larger = Question { capacity: question.capacity * 2.0, ..question };
    let capacity = significant(si::in_millilitre(larger.capacity), 3);
    tried("other_vessel", larger, &|fill| {
        format!("In vessels of {capacity} mL: at most {fill} mL in each vessel.")
    });
    let other = question.liquid.substance().and_then(|substance| substance.alternative.as_ref());
    if let Some((id, reason)) = other
        && !question.heating.by_flame()
        && let Some(substance) = catalogue.by_id(id)
    {
        let liquid = Liquid::pure(substance);
        let name = substance.name();
        let heating = question.heating.of(&liquid, rules);
        tried("other_liquid", Question { liquid: &liquid, heating, ..question }, &|fill| {
            format!("{name} in its place, where it does: at most {fill} mL in each vessel; it {reason}.")
        });
    }
    found
}

fn compose(
    question: Question<'_>,
    known: &Known<'_>,
    asked: &LimitsAsked,
    fill: Option<f64>,
    scope: &mut Scope,
    request: Group,
) -> Option<Composed> {
    let mut draft = scope.draft_taken();
    let rules = &scope.rules;
    // A plan that asks on its way how a stated amount compares wants no other.
    let stated = fill.filter(|_| !draft.whole);
    let most = if stated.is_some() { Most::Left } else { Most::Found };
    let mut limits = limits(question, known, most, rules);
    if let Some(only) = &draft.only {
        limits.retain(|limit| limit.id == only);
    }
    let assessed = limits.iter().all(|limit| limit.most.is_some() || limit.id == "exposure");
    let proposed = stated.unwrap_or_else(|| largest(question, known, &limits, rules, None));
    draft.checks = checks(question, known, &limits, fill.unwrap_or(proposed), rules);
    let statuses: Vec<Outcome> = draft.checks.iter().map(|check| check.status).collect();
    let suffices =
        if draft.whole { remedies(question, known, (fill, proposed), &mut draft, rules) } else { None };
    say(question, known, &limits, asked, &mut draft, rules);
    if !assessed {
        draft.not_given(
            "/fill_per_vessel",
            "a limit on ignition could not be assessed: no trusted lower flammable limit is published",
        );
    }
    let shown: Vec<FillLimit> = limits
        .iter()
        .zip(&statuses)
        .zip(&draft.checks)
        .map(|((limit, status), check)| FillLimit {
            id: Text::Borrowed(limit.id),
            largest_total: limit.most.map(|most| Quantity::exact(cautious_down(most), "mL")),
            basis: check.basis.clone(),
            status: *status,
        })
        .collect();
    let banned = question.liquid.not_for_school_use().is_some();
    if banned {
        draft.not_given("/fill_per_vessel", "it is not for school use, whatever the amount");
    }
    let given = assessed && !banned;
    let alternatives = if draft.whole && draft.outcome() == Outcome::OverLimit {
        alternatives(question, asked, proposed, draft.catalogue, rules)
    } else {
        Vec::new()
    };
    let governed_by = limits.first().map(|limit| limit.id);
    let verdict = draft.verdict(NAME, question.liquid, rules, |draft| {
        let most = (fill, assessed.then_some(proposed));
        sentence(question, most, limits.first(), suffices.as_ref(), draft, rules)
    });
    let picture = if draft.pictured {
        picture(question, &limits, fill.unwrap_or(proposed), &verdict.sentence)
    } else {
        None
    };
    let record = record(&draft, request).ok()?;
    let act = |number: f64| Quantity::exact(significant(number, 12), "mL");
    let reply = SafeFillReply {
        verdict: verdict.clone(),
        liquid: liquid::echo(question.liquid),
        fill_per_vessel: given.then(|| act(proposed)),
        total: given.then(|| act(proposed * question.count())),
        governed_by: governed_by.map(Text::Borrowed),
        limits: shown,
        alternatives,
        basis: draft.finish(question.liquid, rules, record),
    };
    Some(Composed { picture, ..Composed::of(reply, &verdict) })
}

/// The largest total of each limit as a bar.
fn picture(question: Question<'_>, limits: &[Limit], fill: f64, sentence: &str) -> Option<Picture> {
    let rows: Vec<Bar> = limits
        .iter()
        .enumerate()
        .filter_map(|(place, limit)| {
            let most = cautious_down(limit.most?);
            Some(Bar {
                name: in_words(limit.id).to_owned(),
                length: most,
                label: format!("{most} mL"),
                binds: place == 0,
            })
        })
        .collect();
    let total = significant(fill * question.count(), 4);
    let title = format!(
        "{}: largest total in {} vessels by each limit",
        draft::named(question.liquid),
        question.vessels
    );
    if rows.is_empty() {
        return None;
    }
    let mark = (total > 0.0).then(|| (total, format!("all vessels together: {total} mL")));
    let mut said: Vec<String> =
        rows.iter().map(|row| format!("{}: at most {}.", row.name, row.label)).collect();
    said.extend(
        limits
            .iter()
            .filter(|limit| limit.most.is_none())
            .map(|limit| format!("{}: no largest total is known; it is not drawn.", in_words(limit.id))),
    );
    said.extend(mark.as_ref().map(|(_, name)| format!("{name}.")));
    let shown = Shown::Bars(Bars { across: "all vessels together [mL]".to_owned(), rows, mark });
    Some(Picture { title, sentence: sentence.to_owned(), said, shown })
}

/// A limit in words.
fn in_words(id: &str) -> &'static str {
    match id {
        "room_share" => "the share of the lower flammable limit in the room",
        "floor_layer" => "the vapour layer on the floor",
        "near_field" => "the vapour near the vessels",
        "exposure" => "what the nearest person breathes",
        "spill" => "a spill of all of it",
        "practice" => "the usual practice near a demonstration",
        "flame" => "what may be alight at once",
        "radiant_heat" => "the radiant heat at the nearest person",
        "combustion_gases" => "the carbon dioxide of the flames",
        _ => "the room left in the vessel",
    }
}

fn say(
    question: Question<'_>,
    known: &Known<'_>,
    limits: &[Limit],
    asked: &LimitsAsked,
    draft: &mut Draft,
    rules: &Rules,
) {
    let liquid = question.liquid;
    for limit in limits {
        draft.consider(limit.id);
        draft.assume_rule(limit.rule, rules);
    }
    draft.molar_mass(liquid);
    draft.figures(liquid, "density", |substance| Some(&substance.density));
    draft.figures(liquid, "diffusivity_in_air", |substance| substance.diffusivity.as_ref());
    draft.method("vessel_fill");
    draft.method("film_evaporation");
    if known.effect.is_some() {
        let estimated =
            draft.figures(liquid, "lower_flammable_limit", |substance| substance.lower_limit.as_ref());
        if liquid.substance().is_none() {
            draft.method("le_chatelier");
        }
        for method in ["vapour_volume", "lower_limit_at_temperature", "mixed_room", "floor_layer"] {
            draft.method(method);
        }
        draft.assume(
            "all_at_once",
            "For the room and its floor all the liquid of all vessels is counted as vapour at once.",
        );
        if question.ignition != Ignition::None {
            ignition::say(draft, liquid, rules);
            draft.method("spill_pool");
            draft.assume("one_tray", "For a spill all vessels stand on one tray and are dropped together, or the container brought along, whichever holds more.");
        }
        if estimated {
            draft.caution(
                "limit_estimated",
                "The lower flammable limit of a part is an estimate: no table gives one.",
            );
        }
    }
    for rule in super::source::AROUND {
        draft.assume_rule(rule, rules);
    }
    if let Ok(emissions) = &known.emissions
        && let Some((_, parts)) = emissions.first()
    {
        say_limits(draft, parts, asked, rules);
    }
    draft.assume(
        "straight_sided",
        "The vessels are taken as straight-sided, and for what they give off as full to the rim.",
    );
    match question.open_for(rules) {
        _ if question.used == Use::Burnt => draft.assume_rule("lighting_wait", rules),
        None => {
            draft.assume_rule("unknown_duration", rules);
            draft.assume(
                "all_of_it",
                "No duration is given: near the vessels all of the liquid is counted as vapour.",
            );
        }
        Some(_) => {}
    }
    if let Some(said) = liquid.not_flammable() {
        for id in ["room_share", "floor_layer", "near_field", "spill"] {
            draft.outside(id, said.reason.clone());
        }
    } else if question.ignition == Ignition::None {
        for id in ["near_field", "spill"] {
            draft.outside(id, "there is no ignition source in the room, as the request says");
        }
    }
    if question.used == Use::Burnt {
        say_burnt(question, known, draft, rules);
        if question.duration.is_some() {
            draft
                .assume("lit_after", "The duration does not enter: the liquid is open only until it is lit.");
        }
        draft.assume("own_flames", "The vessels' own flames are no ignition source for what is given off before they are lit; others are.");
        draft.caution("never_refill_hot", "Never pour onto a flame, a hot vessel, an experiment that has begun or one that only seems to be out; the stock bottle, however small, is closed and at least 3 m away, an open one at least 5 m.");
        if question.container.is_some() {
            draft.assume(
                "container_closed",
                "The container brought along is taken as closed while anything burns.",
            );
            for rule in ["closed_stock_distance", "open_stock_distance"] {
                draft.assume_rule(rule, rules);
            }
        }
    }
    if question.used == Use::Heated {
        if question.heated_to.is_none() && !question.heating.is_stated() && liquid.not_flammable().is_none() {
            draft.not_considered(heating::HOT_SURFACE, heating::GIVE);
        }
        if draft.checks.iter().any(|check| check.check == "thermal_shock") {
            draft.consider("thermal_shock");
            draft.assume_rule("flame_step", rules);
        }
        draft.outside(
            "heating",
            "ask `flash-point-margin` with `heated_to`: the heated liquid against its flash point",
        );
        draft.caution("heat_by_bath", "Heat by a water bath, never over a flame.");
        if question.ignition == Ignition::None {
            draft.caution(
                "what_heats",
                "What heats it must be no ignition source either: no flame, no glowing or sparking heater.",
            );
        }
    }
    question.heating.say(draft, liquid, false, rules);
    draft.caution("small_labelled_container", "Bring the liquid in a small labelled container, never in the stock bottle (common practice, no source).");
}

/// Says what the limits of what burns rest on.
fn say_burnt(question: Question<'_>, known: &Known<'_>, draft: &mut Draft, rules: &Rules) {
    let liquid = question.liquid;
    draft.figures(liquid, "heat_of_combustion", |substance| substance.heat_of_combustion.as_ref());
    for method in ["heat_release", "flame_height", "radiant_flux", "radiant_dose", "stoichiometry"] {
        draft.method(method);
    }
    for rule in
        ["flash_energy", "flash_dose", "lighting_distance", "carbon_dioxide_background", "alight_energy"]
    {
        draft.assume_rule(rule, rules);
    }
    for row in known.flames.iter().flat_map(Flames::published_rates) {
        draft.source(row.source, "burning_rate", row.seen);
    }
    draft.assume("close_together", "The flames count as one, the vessels as standing on one tray; ask `burning` with `spacing` where they stand apart.");
    if !question.person.1 {
        for id in ["radiant_heat", "people_distance", "burning_spill"] {
            draft.not_considered(id, "give `nearest_person`: people watch something that burns from at least 3 m (common practice, no source)");
        }
    }
    flames::say_smoke(draft, question.liquid);
    if question.clear.is_none() {
        draft.not_considered("flame_height", "give `clear_height`: what hangs or stands over the vessels");
    }
    match question.material {
        None => draft.not_considered("thermal_shock", "give the vessel's `material`: soda-lime glass and watch glasses are likely to crack under a burning liquid (common practice, no source)"),
        Some(material) if material.kind == Kind::Ductile => draft.outside("thermal_shock", "metal does not crack; it becomes hot all over"),
        Some(material) => {
            draft.source(&material.source, "material", material.seen());
            draft.method("thermal_shock");
        }
    }
    draft.outside("cooling", "ask `cooling` when the vessels may be touched or filled again");
}

fn sentence(
    question: Question<'_>,
    (fill, proposed): (Option<f64>, Option<f64>),
    binding: Option<&Limit>,
    suffices: Option<&Remedy>,
    draft: &Draft,
    rules: &Rules,
) -> String {
    let name = draft::named(question.liquid);
    if let Some(said) = heating::said_over(&name, draft) {
        return draft::sentence(rules, &said, "", "");
    }
    let cracks = |check: &&Check| check.check == "thermal_shock" && check.status == Outcome::OverLimit;
    if let Some(material) = question.heated_material
        && draft.checks.iter().any(|check| cracks(&check))
    {
        let must = format!(
            "Over the limit: {} is likely to crack on what heats it (limit unconfirmed). Use borosilicate glass, or a water bath.",
            material.name
        );
        return draft::sentence(rules, &must, "", "");
    }
    let barred =
        draft.checks.iter().any(|check| check.check == "flame" && check.status == Outcome::OverLimit);
    if proposed.is_none() && barred {
        let must = format!("Over the limit: {name} is not burnt, whatever the amount (limit unconfirmed).");
        return draft::sentence(rules, &must, "", "");
    }
    let Some(proposed) = proposed else {
        let must = format!(
            "{name}: no fill can be named, since no trusted lower flammable limit is published; its vapour may burn."
        );
        return draft::sentence(rules, &must, "", "");
    };
    let id = binding.map_or("", |limit| limit.id);
    let by = in_words(id);
    let not_assessed = |heating: bool| {
        let mut concerned = draft.checks.iter().filter(|check| heating::is_one(check) == heating);
        concerned.any(|check| check.status == Outcome::NotAssessed)
    };
    let unassessed = if not_assessed(true) {
        " Whether a hot surface lights it could not be assessed."
    } else if not_assessed(false) {
        " What is breathed is not assessed."
    } else {
        ""
    };
    let own = draft.checks.iter().find(|check| check.check == id);
    let marks = draft::marks(own);
    // A surface or a flame that is nearer its limit than what binds the amount is named before it.
    let nearer = heating::nearer(draft, own);
    if proposed <= 0.0 {
        // A change after which something is still over the limit is named only where none suffices.
        let remedy = suffices.or_else(|| own.and_then(|check| check.remedy.as_ref()));
        let rule = binding.map_or("", |limit| limit.rule);
        let what = if id == "flame" {
            match rule {
                "burnable_height" => format!("{name} is not burnt in a vessel taller than its mouth is wide"),
                "light_boiling_point" => format!("{name} is not burnt, whatever the amount"),
                "flame_step" => format!("{name} is not burnt in glass that is likely to crack"),
                "flame_clearance_share" => format!("the flame of {name} comes too near to what is above it"),
                _ => format!("the vapour of {name} flashes too strongly when it is lit"),
            }
        } else {
            format!("no amount of {name} is within {by}")
        };
        let still = remedy.filter(|remedy| remedy.outcome_after == Outcome::OverLimit);
        let still = still.map_or("", |_| " It stays over another limit.");
        let change = remedy.map_or(String::new(), |remedy| format!(" {}{still}", remedy.text));
        return draft::sentence(rules, &format!("Over the limit: {what}{marks}.{change}"), "", "");
    }
    let must = match (fill, draft.outcome()) {
        (_, Outcome::NearLimit) if let Some((what, check)) = nearer => {
            let amount = fill.map_or_else(|| format!("at most {proposed}"), |fill| format!("{fill}"));
            let marks = draft::marks_of(&own.into_iter().chain([check]).collect::<Vec<_>>());
            format!("Near the limit: {amount} mL of {name} in each vessel; {what}, and {by} binds{marks}.")
        }
        (None, _) => format!(
            "At most {proposed} mL of {name} in each vessel, near the limit by nature; {by} binds{marks}.{unassessed}"
        ),
        (Some(fill), Outcome::OverLimit) => {
            format!(
                "Over the limit: {fill} mL of {name} in each vessel; at most {proposed} mL; {by} binds{marks}."
            )
        }
        (Some(fill), Outcome::NotAssessed) => {
            format!("Not assessed: {fill} mL of {name} in each vessel; {by} binds{marks}.{unassessed}")
        }
        (Some(fill), Outcome::NearLimit) => {
            format!("Near the limit: {fill} mL of {name} in each vessel; {by} binds{marks}.")
        }
        (Some(fill), _) => {
            format!("Within the limits checked: {fill} mL of {name} in each vessel; {by} binds{marks}.")
        }
    };
    draft::sentence(rules, &must, draft.unconsidered(), "")
}

#[cfg(test)]
mod tests {
    use super::super::reader::Faults;
    use super::*;
    use crate::catalogue::catalogue;
    use serde_json::{Value, json};

    /// Calls `f` with each limit of a request, and a way to make its check at a total in mL.
    fn each(request: &Value, f: impl Fn(&Limit, &dyn Fn(f64) -> Check, f64)) {
        let faults = Faults::default();
        let catalogue = catalogue().unwrap();
        let fields = Fields::of(request, &faults, super::super::Written::Json);
        let rules = Rules::read(&fields, catalogue, false);
        let mut scope = Scope { rules, draft: Draft::new(catalogue, false) };
        let liquid = liquid::read(&fields, catalogue);
        let mut group = Group::default();
        let (question, asked, _) = read(&fields, liquid.as_ref(), &mut scope, &mut group).expect("no fault");
        let known = known(question, &asked, catalogue, &scope.rules).unwrap();
        for limit in &limits(question, &known, Most::Found, &scope.rules) {
            let made = |total: f64| check(question, &known, limit, total / question.count(), &scope.rules);
            f(limit, &made, question.brim());
        }
    }

    /// On unrounded figures: the most passes, a hundredth more does not, and so nothing smaller is wasted.
    #[test]
    fn of_every_limit_the_most_passes_and_a_hundredth_more_does_not() {
        let room = json!({ "volume": "190 m3", "temperature": "21 Cel", "pressure": "101.325 kPa", "air_changes": "2 /h", "floor_area": "70 m2" });
        let mixture = json!({ "mixture": [{ "substance": "ethanol", "quantity": "70 mL" }, { "substance": "water", "quantity": "30 mL" }] });
        let bounded = std::cell::RefCell::new(std::collections::BTreeSet::new());
        for liquid in [
            json!("ethanol"),
            json!("propanone"),
            json!("hexane"),
            json!("heptane"),
            json!("methanol"),
            json!("butanone"),
            mixture,
        ] {
            for (used, duration, mouth, person) in [
                ("open", None, 5, 0.5),
                ("open", Some("10 min"), 20, 0.3),
                ("heated", Some("40 min"), 8, 0.5),
                ("burnt", None, 6, 3.0),
            ] {
                let mut request = json!({
                    "liquid": liquid, "room": room, "vessel": { "capacity": "2 L", "mouth_diameter": format!("{mouth} cm") }, "vessels": 12,
                    "use": used, "nearest_ignition": "1.5 m", "nearest_person": format!("{person} m"),
                });
                if let Some(duration) = duration {
                    request["duration"] = json!(duration);
                }
                each(&request, |limit, made, brim| {
                    let Some(most) = limit.most.filter(|most| *most > 0.0) else { return };
                    let at = made(most * (1.0 - 1e-9));
                    assert_ne!(at.status, Outcome::OverLimit, "{request} {limit:?}: {at:?}");
                    // What all vessels hold is no limit that the check knows of.
                    if most < brim * 0.99 {
                        let beyond = made(most * 1.01);
                        assert_eq!(beyond.status, Outcome::OverLimit, "{request} {limit:?}: {beyond:?}");
                        bounded.borrow_mut().insert(limit.id);
                    }
                });
            }
        }
        // Each limit was found by its bound at least once, and not by what the vessels hold alone.
        let found = bounded.into_inner();
        assert_eq!(found.len(), 8, "{found:?}");
    }
}
