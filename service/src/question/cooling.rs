//! `cooling`: when a vessel may be touched or filled again after a flame, and whether it may crack.

use super::check::Compared;
use super::draft::{self, Draft};
use super::reader::{Asked, Either, Fields};
use super::record::{Group, record};
use super::remedy::{self, Change};
use super::room::{RoomAsked, Surroundings};
use super::rules::Rules;
use super::stock::{self, Stock};
use super::{Composed, Scope, Series, field, ignition, liquid, vessel};
use crate::catalogue::material::{Kind, Material};
use crate::liquid::Liquid;
use crate::liquid::burning::Fire;
use crate::physics::boiling_point::boiling_point;
use crate::physics::cooling::{Contents, Course, Vessel, step_borne};
use crate::physics::room_air::Air;
use crate::physics::vessel::mouth_area;
use crate::quantity::round::{cautious_up, four_digits, significant};
use crate::quantity::{Estimate, interval, si};
use brimline_openapi::{
    BasisKind, Check, CoolingReply, Evidence, Grounds, MustBe, Outcome, Quantity, Text, ThermalShock,
    WallAtTime,
};
use uom::si::f64::{Area, HeatCapacity, Length, Mass, Pressure, ThermodynamicTemperature, Time, Volume};

/// The question's name.
pub const NAME: &str = "cooling";
const REFILL: &str = "refill_wait";
const SHOCK: &str = "thermal_shock";
/// Above this Biot number one temperature does not stand for the whole wall.
const LARGEST_BIOT: f64 = 0.3;
/// Nobody waits longer than this, min.
const LONGEST_WAIT: f64 = 10_080.0;
/// A flash point must lie so far above the room beside its margin, K, for a cool wall to prove anything.
const ABOVE_ROOM_K: f64 = 5.0;
/// Heat that goes into a bench or mat, W/(m2 K), usual and fastest (judgement).
const BENCH: (f64, f64) = (10.0, 15.0);
const MAT: (f64, f64) = (8.0, 12.0);
/// The least of it: a cold mat of calcium silicate takes 13 W/(m2 K) in the mean of a quarter of an hour, half of it for the contact.
const BENEATH: f64 = 6.0;
/// Share of the wall that the flame heats.
const RIM: f64 = 0.25;
/// Points of the series.
const POINTS: u32 = 16;
/// Heat capacity of water, J/(g K).
const WATER: f64 = 4.18;
/// The most that a liquid holds up to its boiling point, J/(g K): a pure one, and a mixture, which may be mostly water (judgement).
const HOLDS_AT_MOST: (f64, f64) = (3.5, 4.2);
/// Where nothing but the mass is known, a heavier vessel may be a mortar: its wall is not bounded by usual walls, kg (judgement).
const HEAVIEST_BY_MASS: f64 = 0.2;
const TOO_HEAVY: &str =
    "a vessel of more than 200 g may have a thicker wall than usual: give `capacity` and `mouth_diameter`";
const BOILS_OFF: &str = "such a liquid is not poured into a vessel that something burnt in";

/// Wall and surface of a vessel at one end of what is not known of it.
#[derive(Debug, Clone, Copy)]
struct Shape {
    holds: HeatCapacity,
    surface: Area,
    base: Area,
    height: Length,
    wall: Length,
}

/// What a vessel is known by.
#[derive(Debug, Clone, Copy)]
struct Known {
    mass: Option<Mass>,
    capacity: Option<Volume>,
    mouth: Option<Length>,
    wall: Option<Length>,
}

impl Known {
    /// Whether its mass is all that is known, and more than a usual wall makes sure of.
    fn too_heavy(&self) -> bool {
        self.capacity.is_none()
            && self.wall.is_none()
            && self.mass.is_some_and(|mass| si::in_kilogram(mass) > HEAVIEST_BY_MASS)
    }

    /// The vessel at a wall thickness; `sides`: how many sides of the wall give off heat.
    fn shape(&self, material: &Material, wall: Length, sides: f64) -> Option<Shape> {
        let metres = si::in_metre(wall);
        // One side of the whole wall, its base, its height.
        let (whole, base, height) = match (self.capacity, self.mass) {
            (Some(capacity), _) => {
                let millilitres = si::in_cubic_metre(capacity);
                let width = self
                    .mouth
                    .map_or_else(|| libm::cbrt(millilitres * 4.0 / std::f64::consts::PI), si::in_metre);
                let base = si::in_square_metre(mouth_area(si::metre(width)));
                let height = millilitres / base;
                (base + std::f64::consts::PI * width * height, base, height)
            }
            (None, Some(mass)) => {
                let whole = si::in_kilogram(mass) / (material.density * metres);
                // As high as wide: its sides are four fifths of it.
                let width = (whole * 4.0 / (5.0 * std::f64::consts::PI)).sqrt();
                (whole, whole / 5.0, width)
            }
            (None, None) => return None,
        };
        let kilograms = self.mass.map_or(whole * metres * material.density, si::in_kilogram);
        Some(Shape {
            holds: si::joule_per_kelvin(kilograms * material.heat_capacity),
            surface: si::square_metre((whole - base) * sides),
            base: si::square_metre(base),
            height: si::metre(height),
            wall,
        })
    }
}

/// A vessel that cools, at its usual, slowest and fastest.
struct Cooling {
    usual: Course,
    slow: Slow,
    fast: Course,
    biot: f64,
    start: Estimate<ThermodynamicTemperature>,
}

/// The slowest course: of a vessel burnt dry, and of one that was smothered with all of its liquid still in it.
struct Slow {
    dry: Course,
    smothered: Option<Course>,
}

impl Slow {
    /// When both are down at a temperature.
    fn until(&self, temperature: ThermodynamicTemperature) -> Option<Time> {
        let dry = self.dry.until(temperature)?;
        let Some(smothered) = &self.smothered else { return Some(dry) };
        let smothered = smothered.until(temperature)?;
        Some(if smothered > dry { smothered } else { dry })
    }

    /// The hotter of both at a time.
    fn at(&self, time: Time) -> ThermodynamicTemperature {
        let dry = self.dry.at(time);
        let smothered = self.smothered.as_ref().map_or(dry, |course| course.at(time));
        if smothered > dry { smothered } else { dry }
    }
}

/// What is known of a hot vessel.
#[derive(Clone, Copy)]
struct Hot<'a> {
    material: &'static Material,
    known: Known,
    mat: bool,
    air: Air,
    start: Estimate<ThermodynamicTemperature>,
    /// Water that may be left in it, mL.
    water: f64,
    /// All that was poured, where it may have been smothered.
    contents: Option<Contents>,
    rules: &'a Rules,
}

impl Hot<'_> {
    fn vessel(&self, shape: Shape, beneath: f64, water: f64) -> Vessel {
        Vessel {
            holds: shape.holds + si::joule_per_kelvin(water * WATER),
            surface: shape.surface,
            height: shape.height,
            beneath: beneath * si::in_square_metre(shape.base),
            room: self.air.temperature,
            contents: None,
        }
    }

    /// How the slowest cools: burnt dry, or smothered, its base and the liquid on it at the boiling point and the rest of the
    /// wall as hot as burnt dry; the longer decides.
    fn slow(&self) -> Option<Slow> {
        let (slowest, _) = self.slowest()?;
        let dry = slowest.cools(self.start.high);
        let smothered = self.contents.and_then(|contents| {
            let shape = self.known.shape(self.material, self.wall(self.material.wall_high), 1.0)?;
            let wetted = si::in_fraction(shape.base / (shape.base + shape.surface));
            let contents = Contents { holds: contents.holds + shape.holds * wetted, ..contents };
            let vessel = Vessel { holds: shape.holds * (1.0 - wetted), contents: Some(contents), ..slowest };
            Some(vessel.cools(self.start.high))
        });
        Some(Slow { dry, smothered })
    }

    fn wall(&self, usual: f64) -> Length {
        self.known.wall.unwrap_or_else(|| si::millimetre(usual))
    }

    /// The thickest usual wall, its outer side and its mouth in the air, little lost to what it stands on; and that wall.
    fn slowest(&self) -> Option<(Vessel, Length)> {
        let shape = self.known.shape(self.material, self.wall(self.material.wall_high), 1.0)?;
        // What the inner side gives off leaves by the mouth.
        let shape = Shape { surface: shape.surface + shape.base, ..shape };
        Some((self.vessel(shape, BENEATH, self.water), shape.wall))
    }

    fn cooling(&self) -> Option<Cooling> {
        let Self { material, known, start, .. } = *self;
        let usual = known.shape(material, self.wall(material.wall), 1.5)?;
        let fast = known.shape(material, self.wall(material.wall_low), 2.0)?;
        let (usual_beneath, fast_beneath) = if self.mat { MAT } else { BENCH };
        let (slowest, wall) = self.slowest()?;
        Some(Cooling {
            slow: self.slow()?,
            usual: self.vessel(usual, usual_beneath, 0.0).cools(start.value),
            fast: self.vessel(fast, fast_beneath, 0.0).cools(start.low),
            biot: si::in_fraction(slowest.biot(start.high, wall, material.conductivity)),
            start,
        })
    }

    /// The slowest course in a cold room, and how warm that is.
    fn in_a_cold_room(&self) -> Option<(ThermodynamicTemperature, Slow)> {
        let temperature = si::celsius(self.rules.number("unknown_cold_room"));
        let air = Air { temperature, ..self.air };
        Some((temperature, Hot { air, ..*self }.slow()?))
    }

    /// The wall's temperature below which it may be touched.
    fn touch(&self) -> ThermodynamicTemperature {
        let rule =
            if self.material.kind == Kind::Ductile { "touch_temperature_metal" } else { "touch_temperature" };
        si::celsius(self.rules.number(rule))
    }
}

/// The wall where a liquid burnt dry: no hotter than all its heat can make of a quarter of it, since the rim takes the flame;
/// the low end has liquid left at its base, or all of the wall at one temperature.
fn burnt_wall(
    material: &Material,
    holds: Option<HeatCapacity>,
    energy: Option<f64>,
    boiling: Option<ThermodynamicTemperature>,
    air: Air,
) -> Estimate<ThermodynamicTemperature> {
    let hottest = si::celsius(material.burnt_dry);
    let heated = |share: f64| match (holds, energy) {
        (Some(holds), Some(kilojoules)) => {
            let rise = kilojoules * 1000.0 / (share * si::in_joule_per_kelvin(holds));
            let at = si::kelvin(si::in_kelvin(air.temperature) + rise);
            if at < hottest { at } else { hottest }
        }
        _ => hottest,
    };
    let high = heated(RIM);
    let evenly = heated(1.0);
    let low = boiling.filter(|boiling| *boiling < evenly).unwrap_or(evenly);
    Estimate::new(high, low, high)
}

/// Whether the room is as warm as one whose temperature is not given, which the record holds: a colder one is looked at, too.
fn may_be_cold(air: Air, rules: &Rules) -> bool {
    let unknown = si::celsius(rules.number("unknown_room_temperature"));
    (si::in_kelvin(air.temperature) - si::in_kelvin(unknown)).abs() < 1e-6
}

/// What burnt in a vessel.
#[derive(Clone, Copy)]
pub struct Burnt<'a> {
    /// The liquid.
    pub liquid: &'a Liquid,
    /// How much was poured.
    pub volume: Volume,
    /// How it burns, where that is known.
    pub fire: Option<&'a Fire>,
}

impl Burnt<'_> {
    /// All of it, no hotter than its part that boils highest; where that is not known, as hot as the wall.
    fn contents(&self, wall: ThermodynamicTemperature, pressure: Pressure) -> Contents {
        let each = if self.liquid.substance().is_some() { HOLDS_AT_MOST.0 } else { HOLDS_AT_MOST.1 };
        let grams = si::in_kilogram(self.liquid.density().high * self.volume) * 1000.0;
        let boils = self.liquid.substances().try_fold(None, |highest, substance| {
            let boiling = boiling_point(&substance.vapour, pressure, substance.boiling_spread)?.high;
            Some(Some(highest.filter(|highest| *highest > boiling).unwrap_or(boiling)))
        });
        Contents { holds: si::joule_per_kelvin(grams * each), hottest: boils.flatten().unwrap_or(wall) }
    }

    /// The vessel when the flame is out.
    fn leaves<'a>(
        &self,
        material: &'static Material,
        known: Known,
        mat: bool,
        air: Air,
        rules: &'a Rules,
    ) -> Hot<'a> {
        let millilitres = si::in_millilitre(self.volume);
        let energy = self.fire.map(|fire| fire.heat.high * millilitres);
        let water = self.fire.map_or(0.0, |fire| fire.out[0].water * millilitres);
        // The thinnest wall becomes hottest.
        let wall = known.wall.unwrap_or_else(|| si::millimetre(material.wall_low));
        let holds = known.shape(material, wall, 1.0).map(|shape| shape.holds);
        let boiling = self.liquid.boiling_point(air.pressure).map(|boiling| boiling.low);
        let start = burnt_wall(material, holds, energy, boiling, air);
        let contents = Some(self.contents(start.high, air.pressure));
        Hot { material, known, mat, air, start, water, contents, rules }
    }
}

/// How long a vessel that something burnt in is left alone, min.
#[derive(Debug, Clone, Copy)]
pub struct LeftAlone {
    /// Before the same liquid is poured in again; `None` where no wait suffices.
    pub refill: Option<f64>,
    /// Before it is cleared away.
    pub clear: Option<f64>,
}

/// The same vessel as `cooling` is asked about.
#[must_use]
pub fn left_alone(
    material: &'static Material,
    (capacity, mouth): (Volume, Length),
    burnt: Burnt<'_>,
    surroundings: Surroundings,
    rules: &Rules,
) -> Option<LeftAlone> {
    if material.kind == Kind::MeltsOrBurns {
        return None;
    }
    let known = Known { mass: None, capacity: Some(capacity), mouth: Some(mouth), wall: None };
    let hot = burnt.leaves(material, known, true, surroundings.air, rules);
    let question = Question {
        surroundings,
        material,
        burnt: Some(burnt.liquid),
        refill: None,
        cooling: hot.cooling()?,
        cold: if may_be_cold(surroundings.air, rules) { hot.in_a_cold_room() } else { None },
        touch: hot.touch(),
        waited: None,
        flames_out: true,
        stock: None,
        too_heavy: false,
    };
    Some(LeftAlone {
        refill: question.wait(rules).map(|(_, minutes)| minutes),
        clear: question.wait_to_clear(rules).map(|(_, minutes)| minutes),
    })
}

/// The question as it was asked, defaults filled in.
struct Question<'a> {
    surroundings: Surroundings,
    material: &'static Material,
    burnt: Option<&'a Liquid>,
    refill: Option<&'a Liquid>,
    cooling: Cooling,
    /// The slowest course in a cold room, where the temperature of the room is not given.
    cold: Option<(ThermodynamicTemperature, Slow)>,
    touch: ThermodynamicTemperature,
    waited: Option<f64>,
    flames_out: bool,
    stock: Option<Stock>,
    /// Whether its mass alone does not bound its wall.
    too_heavy: bool,
}

/// What a refill waits for.
#[derive(Debug, Clone, Copy)]
struct Refill {
    /// The wall is no hotter than this.
    wall: ThermodynamicTemperature,
    /// Whether a cool wall proves nothing, so that every flame must be proved out.
    first_pour: bool,
}

type VesselAsked<'a> =
    (&'a str, Option<Asked<Mass>>, Option<Asked<Volume>>, Option<Asked<Length>>, Option<Asked<Length>>);

fn read_vessel<'a>(fields: &Fields<'a>) -> Option<VesselAsked<'a>> {
    let group = fields.required_group("vessel", "an object with `material` and `mass` or `capacity`")?;
    group.required("material", "what it is made of, such as \"borosilicate glass\"");
    let material = group.text("material", 200);
    let mass = group.quantity("mass", &field::VESSEL_MASS);
    let capacity = group.quantity("capacity", &field::CAPACITY);
    let mouth = group.quantity("mouth_diameter", &field::MOUTH);
    let wall = group.quantity("wall", &field::WALL);
    if group.value("mass").is_none() && group.value("capacity").is_none() {
        let detail = "`mass` or `capacity` is missing, like \"110 g\" or \"250 mL\"";
        group.faults().add("missing-field", group.at("mass"), detail, None);
    }
    if mouth.is_some() && group.value("capacity").is_none() {
        let detail = "the mouth says something only together with `capacity`";
        group.faults().add("missing-field", group.at("capacity"), detail, None);
    }
    group.finish();
    let material = material?;
    if mass.is_none() && capacity.is_none() {
        return None;
    }
    Some((material, mass, capacity, mouth, wall))
}

type BurntAsked = (Liquid, Either<Volume, Mass>);

fn read_burnt(fields: &Fields<'_>, scope: &Scope) -> Option<BurntAsked> {
    let group = fields.group("burnt")?;
    let burnt = liquid::read(&group, scope.draft.catalogue);
    group.required("amount", "how much burnt in it, such as \"6 mL\"");
    let amount = group.either("amount", &field::LIQUID_VOLUME, &field::LIQUID_MASS);
    group.finish();
    let burnt = burnt?;
    if let Some(said) = burnt.not_flammable() {
        let detail = format!("it cannot be burnt: {}", said.reason);
        group.faults().add("impossible-value", group.at("liquid"), detail, None);
    }
    Some((burnt, amount?))
}

/// Reads and answers the question.
pub fn answer(fields: &Fields<'_>, scope: &mut Scope) -> Option<Composed> {
    let room = RoomAsked::read(fields, false);
    let asked_vessel = read_vessel(fields);
    let mat = fields.switch("mat");
    let start = fields.quantity("start_temperature", &field::LIQUID_TEMPERATURE);
    let burnt = read_burnt(fields, scope);
    match (fields.value("start_temperature").is_some(), fields.value("burnt").is_some()) {
        (true, true) => {
            let detail = "give either `start_temperature` or `burnt`";
            fields.faults().add("given-twice", fields.at("start_temperature"), detail, None);
        }
        (false, false) => {
            let detail = "`start_temperature` or `burnt` is missing, like \"250 Cel\"";
            fields.faults().add("missing-field", fields.at("start_temperature"), detail, None);
        }
        _ => {}
    }
    let refill = fields
        .value("refill_with")
        .and_then(|_| liquid::of_field(fields, "refill_with", scope.draft.catalogue));
    let waited = fields.quantity("waited", &field::WAIT);
    let out = fields.switch("all_flames_out");
    let stock = Stock::read(fields, &room);
    fields.finish();
    let rules = &scope.rules;
    let draft = &mut scope.draft;
    let material =
        asked_vessel.as_ref().and_then(|(text, ..)| vessel::material(Some(text), draft.catalogue, draft));
    vessel::stands_heat(material, fields, "/vessel/material".to_owned());
    if !fields.faults().is_empty() {
        return None;
    }
    let (material, (text, mass, capacity, mouth, wall)) = (material?, asked_vessel?);
    let mut request = Group::default();
    request.word("question", NAME);
    let surroundings = room.surroundings(rules, draft, &mut request);
    let mut group = Group::default();
    group.word("material", text.to_owned());
    group.given("mass", mass.as_ref());
    group.given("capacity", capacity.as_ref());
    group.given("mouth_diameter", mouth.as_ref());
    group.given("wall", wall.as_ref());
    request.group("vessel", group);
    let mat = mat.unwrap_or_else(|| {
        draft.assume("mat", "It is taken to stand on a heat-resistant mat, which takes little heat.");
        true
    });
    request.switch("mat", mat);
    request.given("start_temperature", start.as_ref());
    if let Some(refill) = &refill {
        liquid::record(refill, "refill_with", &mut request);
    }
    request.given("waited", waited.as_ref());
    if let Some(out) = out {
        request.switch("all_flames_out", out);
    }
    if let Some(stock) = &stock {
        stock.record(&mut request);
    }
    let known = Known {
        mass: mass.map(|mass| mass.quantity),
        capacity: capacity.map(|capacity| capacity.quantity),
        mouth: mouth.map(|mouth| mouth.quantity),
        wall: wall.map(|wall| wall.quantity),
    };
    let air = surroundings.air;
    let hot = match (&start, &burnt) {
        (Some(start), _) => {
            let start = Estimate::exact(start.quantity);
            Hot { material, known, mat, air, start, water: 0.0, contents: None, rules }
        }
        (None, Some((burnt, amount))) => {
            let mut group = Group::default();
            liquid::record(burnt, "liquid", &mut group);
            let volume = match amount {
                Either::First(volume) => {
                    group.quantity("amount", volume);
                    volume.quantity
                }
                Either::Second(mass) => {
                    group.quantity("amount", mass);
                    mass.quantity / burnt.density().low
                }
            };
            request.group("burnt", group);
            let fire = burnt.fire(draft.catalogue, air.pressure).ok();
            Burnt { liquid: burnt, volume, fire: fire.as_ref() }.leaves(material, known, mat, air, rules)
        }
        (None, None) => return None,
    };
    rules.record(&mut request);
    let (cooling, touch) = (hot.cooling()?, hot.touch());
    let cold = may_be_cold(air, rules).then(|| {
        draft.assume_rule("unknown_cold_room", rules);
        hot.in_a_cold_room()
    });
    if cooling.biot > LARGEST_BIOT {
        let detail = format!(
            "the Biot number of this wall is {}: above {LARGEST_BIOT} it is not at one temperature, and no cooling time is given",
            significant(cooling.biot, 2)
        );
        fields.faults().add("outside-range", format!("{}/wall", fields.at("vessel")), detail, None);
        return None;
    }
    let question = Question {
        surroundings,
        material,
        burnt: burnt.as_ref().map(|(burnt, _)| burnt),
        refill: refill.as_ref(),
        cooling,
        cold: cold.flatten(),
        touch,
        waited: waited.map(|waited| waited.number),
        flames_out: out == Some(true),
        stock,
        too_heavy: known.too_heavy(),
    };
    compose(&question, scope, request)
}

impl<'a> Question<'a> {
    /// What may be poured in next: where nothing is named, what burnt.
    fn again(&self) -> Option<&'a Liquid> {
        self.refill.or(self.burnt)
    }

    /// The step that scratched ware bears, as the check says it.
    fn bears(&self) -> Option<f64> {
        self.borne().map(|borne| significant(borne.low, 3))
    }

    /// What a refill waits for: below its flash point by the margin and below its autoignition temperature; or, where the room
    /// itself is that warm, as cool as the room.
    fn refill_in(&self, room: ThermodynamicTemperature, rules: &Rules) -> Option<Refill> {
        let refill = self.liquid_in(room, rules)?;
        // Nor is it poured where the glass is likely to crack.
        let bears = self.bears().map(|borne| si::kelvin(si::in_kelvin(room) + borne));
        let wall = bears.filter(|bears| *bears < refill.wall).unwrap_or(refill.wall);
        Some(Refill { wall, ..refill })
    }

    /// The same by the liquid alone.
    fn liquid_in(&self, room: ThermodynamicTemperature, rules: &Rules) -> Option<Refill> {
        let liquid = self.again()?;
        let first_pour = Refill {
            wall: si::kelvin(si::in_kelvin(room) + rules.number("first_pour_step")),
            first_pour: true,
        };
        // Nothing is poured on a wall hotter than its boiling point, and no light liquid where something burnt.
        let boiling = liquid.boiling_point(self.surroundings.air.pressure).map(|boiling| boiling.low);
        if self.burnt.is_some() && ignition::is_light(liquid, rules) && liquid.not_flammable().is_none()
            || boiling.is_some_and(|boiling| boiling <= first_pour.wall)
        {
            return Some(Refill { wall: room, first_pour: true });
        }
        if liquid.not_flammable().is_some() {
            return Some(boiling.map_or(first_pour, |wall| Refill { wall, first_pour: false }));
        }
        let margin = rules.number(if liquid.substance().is_some() {
            "required_margin_pure"
        } else {
            "required_margin_mixture"
        });
        let Ok(flash) = liquid.flash_point(self.surroundings.air.pressure) else { return Some(first_pour) };
        let by_flash = si::in_kelvin(flash.estimate.low) - margin;
        if by_flash < si::in_kelvin(room) + ABOVE_ROOM_K {
            return Some(first_pour);
        }
        let lights = liquid
            .substances()
            .filter_map(|substance| substance.autoignition_temperature.as_ref())
            .map(|figure| si::in_kelvin(figure.estimate.low) - rules.number("autoignition_margin"))
            .fold(f64::INFINITY, f64::min);
        let boils = boiling.map_or(f64::INFINITY, si::in_kelvin);
        let wall = by_flash.min(lights).min(boils);
        Some(if wall < si::in_kelvin(room) + ABOVE_ROOM_K {
            first_pour
        } else {
            Refill { wall: si::kelvin(wall), first_pour: false }
        })
    }

    /// What a refill waits for in the room, or in a cold one where its temperature is not given: the one that takes longer.
    fn refill(&self, rules: &Rules) -> Option<Refill> {
        let here = self.refill_in(self.surroundings.air.temperature, rules)?;
        let cold = self.cold.as_ref().and_then(|(room, _)| self.refill_in(*room, rules));
        let first_pour = here.first_pour || cold.is_some_and(|cold| cold.first_pour);
        Some(Refill { first_pour, ..here })
    }

    /// Times, min: touch, refill, practice; the slow end; `None` where it is never reached.
    fn waits(&self, rules: &Rules) -> [(&'static str, Option<f64>); 3] {
        let until = |wall: ThermodynamicTemperature| self.cooling.slow.until(wall).map(si::in_minute);
        let here = self.refill_in(self.surroundings.air.temperature, rules);
        let mut refill = here.map_or(Some(0.0), |refill| until(refill.wall));
        if let (Some((room, slow)), Some(_)) = (&self.cold, here) {
            let cold = self.refill_in(*room, rules).and_then(|cold| slow.until(cold.wall)).map(si::in_minute);
            refill = refill.zip(cold).map(|(here, cold)| here.max(cold));
        }
        // The practice is one of flames.
        let practice = if self.burnt.is_some() { rules.number(REFILL) } else { 0.0 };
        [("practice", Some(practice)), ("touch", until(self.touch)), ("refill", refill)]
    }

    /// The longest wait, and what it waits for.
    fn wait(&self, rules: &Rules) -> Option<(&'static str, f64)> {
        longest(self.waits(rules))
    }

    /// The longest wait where nothing is poured in again.
    fn wait_to_clear(&self, rules: &Rules) -> Option<(&'static str, f64)> {
        let [practice, touch, _] = self.waits(rules);
        longest([practice, touch])
    }

    /// A check of how cold it is: a wall that may be thicker is colder at no time, so that only what is over stays.
    fn known(&self, check: Check) -> Check {
        if !self.too_heavy || check.status == Outcome::OverLimit {
            return check;
        }
        Check {
            value: None,
            ratio: None,
            status: Outcome::NotAssessed,
            reason: Some(TOO_HEAVY.to_owned()),
            ..check
        }
    }

    /// The step of temperature that a cold pour makes after a wait, min: hot end.
    fn step(&self, minutes: f64) -> Estimate<f64> {
        let room = self.surroundings.air.temperature;
        let time = si::minute(minutes);
        let above = |wall| si::in_kelvin_difference(interval(room, wall)).max(0.0);
        let Cooling { usual, slow, fast, .. } = &self.cooling;
        Estimate::new(above(usual.at(time)), above(fast.at(time)), above(slow.at(time)))
    }

    /// The step that the wall bears: in use; the low end that of scratched ware.
    fn borne(&self) -> Option<Estimate<f64>> {
        let material = self.material;
        (material.kind == Kind::Brittle).then(|| {
            let of = |strength| {
                si::in_kelvin_difference(step_borne(
                    strength,
                    material.modulus,
                    material.poisson,
                    material.expansion,
                ))
            };
            Estimate::new(of(material.strength), of(material.strength_scratched), of(material.strength))
        })
    }
}

/// The longest of several waits, if all of them end.
fn longest<const COUNT: usize>(waits: [(&'static str, Option<f64>); COUNT]) -> Option<(&'static str, f64)> {
    let mut longest = ("touch", 0.0);
    for (id, minutes) in waits {
        let minutes = minutes?;
        if minutes > longest.1 {
            longest = (id, minutes);
        }
    }
    Some(longest)
}

/// What is waited for: no change of the wait or the stock moves it.
#[derive(Debug, Clone, Copy)]
struct Needs {
    longest: Option<(&'static str, f64)>,
    /// The same where nothing is poured in.
    clear: Option<f64>,
    refill: Option<Refill>,
    /// Whether flames must still be proved out.
    unproved: bool,
}

impl Needs {
    fn of(question: &Question<'_>, rules: &Rules) -> Self {
        let refill = question.refill.and_then(|_| question.refill(rules));
        let burns = question.refill.is_some_and(|refill| refill.not_flammable().is_none());
        let unproved = burns && refill.is_some_and(|refill| refill.first_pour) && !question.flames_out;
        let clear = question.wait_to_clear(rules).map(|(_, minutes)| minutes);
        Self { longest: question.wait(rules), clear, refill, unproved }
    }
}

fn checks(
    question: &Question<'_>,
    needs: Needs,
    waited: Option<f64>,
    stock: Option<Stock>,
    rules: &Rules,
) -> Vec<Check> {
    let mut checks = Vec::new();
    let Needs { longest, clear, refill, unproved } = needs;
    let needed = longest.map_or(LONGEST_WAIT, |(_, minutes)| minutes);
    let cold_after = if refill.is_some() { needed } else { clear.unwrap_or(LONGEST_WAIT) };
    let hot = question.too_heavy || waited.is_none_or(|waited| waited < cold_after);
    if refill.is_some() && (waited.is_some() || unproved || longest.is_none()) {
        let grounds = refill_grounds(question, unproved, longest.map(|(id, _)| id), rules);
        // Until the flames are proved out no wait counts.
        let never = unproved || longest.is_none();
        let counted = waited.filter(|_| !never).unwrap_or(0.0);
        let compared = Compared {
            check: REFILL,
            question: NAME,
            value: Estimate::exact(counted),
            // To the next hundredth.
            limit: (needed * 100.0).ceil() / 100.0,
            unit: "min",
            must_be: MustBe::AtLeast,
            grounds,
            evidence: Evidence::Estimated,
        };
        let mut check = compared.decided();
        if never {
            check.status = Outcome::OverLimit;
        }
        checks.push(question.known(check));
    }
    // What is shown is waited, and that is rounded up.
    let after = waited.or_else(|| longest.map(|(_, minutes)| cautious_up(minutes)));
    if let (Some(borne), Some(after)) = (question.borne(), after) {
        let under_a_flame = question.burnt.is_some() && borne.value < rules.number("flame_step");
        // Where nothing is poured in no step is met.
        if !under_a_flame && refill.is_none() {
            checks.extend(stock.filter(|_| hot).map(|stock| stock.check(NAME, rules)));
            return checks;
        }
        let compared = if under_a_flame {
            Compared {
                check: SHOCK,
                question: NAME,
                value: Estimate::exact(borne.value),
                limit: rules.number("flame_step"),
                unit: "K",
                must_be: MustBe::AtLeast,
                grounds: rules.grounds("flame_step"),
                evidence: Evidence::Estimated,
            }
        } else {
            Compared {
                check: SHOCK,
                question: NAME,
                value: question.step(after),
                limit: significant(borne.low, 3),
                unit: "K",
                must_be: MustBe::AtMost,
                grounds: Grounds {
                    kind: BasisKind::Judgement,
                    text: Text::Owned(format!(
                        "A cold pour makes at most the step that scratched ware of {} bears; unscratched it bears {} K in use.",
                        question.material.name,
                        significant(borne.value, 2)
                    )),
                    source: Some(Text::Borrowed("judgement")),
                    confirmed: false,
                },
                evidence: Evidence::Estimated,
            }
        };
        checks.push(if under_a_flame { compared.decided() } else { question.known(compared.decided()) });
    }
    checks.extend(stock.filter(|_| hot).map(|stock| stock.check(NAME, rules)));
    checks
}

fn refill_grounds(question: &Question<'_>, unproved: bool, governs: Option<&str>, rules: &Rules) -> Grounds {
    let mut grounds = match governs {
        Some("touch") => rules.grounds(if question.material.kind == Kind::Ductile {
            "touch_temperature_metal"
        } else {
            "touch_temperature"
        }),
        Some("refill") => rules.grounds("first_pour_step"),
        _ => rules.grounds(REFILL),
    };
    if unproved {
        grounds.text = Text::Owned(format!(
            "{} (its vapour can be lit at the room's temperature or near it: every flame within 5 m must be proved out and covered, `\"all_flames_out\": true`).",
            grounds.text.trim_end_matches('.')
        ));
    } else if governs == Some("refill") {
        grounds.text = Text::Borrowed(
            "The wall is below the refill's flash point less the margin and below its autoignition temperature less 50 K; where the room is as warm as that, within 5 K of the room.",
        );
    }
    grounds
}

fn remedies(question: &Question<'_>, needs: Needs, draft: &mut Draft, rules: &Rules) {
    let mut all = Vec::new();
    if let Some(waited) = question.waited {
        all.push(Change {
            change: "waiting",
            field: "/waited",
            unit: "min",
            from: waited,
            furthest: LONGEST_WAIT,
            text: ("Wait at least ", ""),
        });
    }
    if let Some(stock) = question.stock {
        all.push(Change {
            change: "distance",
            field: "/stock/distance",
            unit: "m",
            from: si::in_metre(stock.distance()),
            furthest: 30.0,
            text: ("Put the stock bottle at least ", " away"),
        });
    }
    for place in 0..draft.checks.len() {
        let Some(check) = draft.checks.get(place).filter(|check| check.status == Outcome::OverLimit) else {
            continue;
        };
        let id = check.check.clone();
        let remedy = remedy::smallest(&all, |change, to| {
            let (waited, stock) = if change.change == "waiting" {
                (Some(to), question.stock)
            } else {
                (question.waited, question.stock.map(|stock| stock.at(to)))
            };
            let made = checks(question, needs, waited, stock, rules);
            let this = made.iter().find(|check| check.check == id)?.status;
            Some((this, made.iter().map(|check| check.status).max()?))
        });
        if let Some(check) = draft.checks.get_mut(place) {
            check.remedy = remedy;
        }
    }
}

fn compose(question: &Question<'_>, scope: &mut Scope, request: Group) -> Option<Composed> {
    let mut draft = scope.draft_taken();
    let rules = &scope.rules;
    let cooling = &question.cooling;
    let needs = Needs::of(question, rules);
    draft.checks = checks(question, needs, question.waited, question.stock, rules);
    if draft.whole {
        remedies(question, needs, &mut draft, rules);
    }
    let bounded = |figure: Option<f64>| figure.filter(|_| !question.too_heavy);
    let wait = needs.longest.filter(|_| !question.too_heavy);
    say(question, needs, &mut draft, rules);
    let [_, (_, touch), (_, refill)] = question.waits(rules);
    let act = |minutes: f64| Quantity::exact(cautious_up(minutes), "min");
    let after = bounded(question.waited).or_else(|| wait.map(|(_, minutes)| cautious_up(minutes)));
    let shock = question.borne().zip(after).map(|(borne, after)| ThermalShock {
        permissible_step: draft::tenths(borne, "K"),
        expected_step: draft::tenths(question.step(after), "K"),
    });
    let liquids = question.burnt.into_iter().chain(question.refill);
    let verdict_of = question.burnt.or(question.refill);
    let banned = liquids.clone().find(|liquid| liquid.not_for_school_use().is_some());
    let verdict = match banned.or(verdict_of) {
        Some(liquid) => draft.verdict(NAME, liquid, rules, |draft| sentence(question, needs, draft, rules)),
        None => draft.bare_verdict(|draft| sentence(question, needs, draft, rules)),
    };
    let record = record(&draft, request).ok()?;
    let series = if question.too_heavy || !draft.whole {
        Vec::new()
    } else {
        series(question, wait.map_or(30.0, |(_, minutes)| minutes))
    };
    for liquid in liquids {
        draft.cautions_of(liquid);
    }
    let reply = CoolingReply {
        verdict: verdict.clone(),
        material: Text::Borrowed(&question.material.name),
        wall_temperature_at_end: draft::tenths(cooling.start.rising(si::in_celsius), "Cel"),
        waiting_time: wait.map(|(_, minutes)| act(minutes)),
        governed_by: wait.map(|(id, _)| Text::Borrowed(id)),
        waiting_time_to_clear: bounded(needs.clear).map(act),
        time_to_touch: bounded(touch).map(act),
        time_to_refill: question.again().and(bounded(refill)).map(act),
        temperatures: series,
        thermal_shock: shock,
        biot_number: Quantity::exact(significant(cooling.biot, 3), "1"),
        basis: draft.close(rules, record),
    };
    let table = table(&reply.temperatures);
    Some(Composed { series: Some(table), ..Composed::of(reply, &verdict) })
}

/// The wall at the usual, fastest and slowest cooling.
fn series(question: &Question<'_>, minutes: f64) -> Vec<WallAtTime> {
    (0..=POINTS)
        .map(|point| {
            let time = four_digits(minutes * 1.25 * f64::from(point) / f64::from(POINTS));
            let after = si::minute(time);
            let Cooling { usual, slow, fast, .. } = &question.cooling;
            let wall = Estimate::new(usual.at(after), fast.at(after), slow.at(after));
            let wall = wall.rising(si::in_celsius);
            WallAtTime { time: Quantity::exact(time, "min"), wall: draft::tenths(wall, "Cel") }
        })
        .collect()
}

fn table(series: &[WallAtTime]) -> Series {
    let end = |end: Option<f64>| end.map_or_else(String::new, |end| end.to_string());
    let row = |at: &WallAtTime| {
        vec![at.time.value.to_string(), at.wall.value.to_string(), end(at.wall.low), end(at.wall.high)]
    };
    let heads = [
        "time_after_heating.value [min]",
        "wall_temperature.value [Cel]",
        "wall_temperature.low [Cel]",
        "wall_temperature.high [Cel]",
    ];
    Series {
        header: heads.iter().map(|&head| head.to_owned()).collect(),
        rows: series.iter().map(row).collect(),
    }
}

fn say(question: &Question<'_>, needs: Needs, draft: &mut Draft, rules: &Rules) {
    if question.too_heavy {
        draft.not_given("/waiting_time", TOO_HEAVY);
    } else if needs.longest.is_none() {
        draft.not_given(
            "/waiting_time",
            match (question.refill, question.burnt) {
                (None, Some(_)) => "what burnt is not poured in again: no wait suffices; it may be cleared after `waiting_time_to_clear`",
                _ => "the wall never comes so near to the room: no wait suffices",
            },
        );
    }
    if question.refill.is_none() && question.burnt.is_some() {
        draft.assume("refill", "No `refill_with` is given: the waiting time is that before the liquid that burnt is poured in again, with every flame within 5 m proved out and covered; to clear it away empty takes `waiting_time_to_clear`.");
    }
    draft.source(&question.material.source, "material", question.material.seen());
    draft.method("cooling");
    if question.burnt.is_some() {
        draft.assume_rule(REFILL, rules);
    } else {
        draft.assume("no_flame", "`start_temperature` is taken for the heat of an oven or a plate: where something burnt in it give `burnt`, and the practice's time counts, too.");
    }
    draft.assume_rule(
        if question.material.kind == Kind::Ductile { "touch_temperature_metal" } else { "touch_temperature" },
        rules,
    );
    draft.assume("one_wall", "One temperature stands for the whole wall. The waiting time counts the thickest usual wall, its outer side and its mouth in the air and little lost to what it stands on.");
    if question.burnt.is_some() {
        draft.assume("burnt_dry", "Where a liquid has burnt dry the wall is taken at 250 Cel, in metal 350 Cel (judgement), or what all its heat can make of it.");
        draft.assume("smothered", "It may have been smothered with all of its liquid in it: then base and liquid are at the boiling point, at most 3.5 J/(g K), a mixture 4.2 (judgement), and the rest of the wall is as hot as burnt dry. The longer time counts.");
    }
    if draft.checks.iter().any(|check| check.check == SHOCK) {
        draft.method(SHOCK);
        draft.consider(SHOCK);
    } else if question.borne().is_some() {
        draft.method(SHOCK);
        draft.outside(SHOCK, "nothing is to be poured in: give `refill_with`");
    } else {
        draft.outside(SHOCK, "metal does not crack; it stays hot all over");
    }
    match (question.refill, question.waited) {
        (None, _) => draft.outside(REFILL, "nothing is to be poured in: give `refill_with`"),
        (Some(_), None) if draft.checks.iter().all(|check| check.check != REFILL) => {
            draft.not_considered(REFILL, "give `waited`: how long it has been left to cool");
        }
        (Some(refill), _) => {
            draft.consider(REFILL);
            draft.figures(refill, "flash_point", |substance| substance.flash_point.as_ref());
            draft.figures(refill, "autoignition_temperature", |substance| {
                substance.autoignition_temperature.as_ref()
            });
            if refill.boiling_point(question.surroundings.air.pressure).is_none() {
                draft.caution(
                    "boils_unknown",
                    "The boiling point of the refill is not known here: on a warm wall it may spit.",
                );
            }
        }
    }
    if question.flames_out {
        draft.assume(
            "all_flames_out",
            "Every flame within 5 m is proved out and covered, as the request says.",
        );
    }
    if question.refill.is_some() || question.burnt.is_some() {
        stock::say(question.stock.as_ref(), draft);
    }
    draft.caution("touch", "Nothing tells a hot vessel from a cold one by its look: use tongs, and mark it.");
    if question.material.kind == Kind::Brittle {
        draft.caution("cracks", "Scratched or chipped glass bears much less: sort it out; never set hot glass on something cold or wet.");
    }
}

fn sentence(question: &Question<'_>, needs: Needs, draft: &Draft, rules: &Rules) -> String {
    let wait = needs.longest.filter(|_| !question.too_heavy);
    // Whoever waits for the glass alone would pour too early.
    let early = |check: &&Check| check.check == REFILL && check.status == Outcome::OverLimit;
    let worst = draft.checks.iter().find(early).or_else(|| draft.worst());
    let marks = draft::marks(worst);
    let long = wait.map_or_else(
        || match needs.clear {
            _ if question.too_heavy => "how long to leave it alone is not known".to_owned(),
            Some(clear) if question.refill.is_none() => {
                format!("leave it alone for {} min and pour nothing in again", cautious_up(clear))
            }
            _ => "no wait is long enough".to_owned(),
        },
        |(id, minutes)| {
            let why = match id {
                _ if minutes <= 0.0 => return "it is cold: no wait is needed".to_owned(),
                "touch" => "until it may be touched",
                "refill" if question.refill.is_none() => {
                    "until the same liquid may be poured in again, every flame proved out"
                }
                "refill" => "until its wall lights and warms nothing",
                _ => "by common practice",
            };
            format!("leave it alone for {} min, {why}", cautious_up(minutes))
        },
    );
    let unproved = needs.unproved;
    let name = &question.material.name;
    let must = match (draft.outcome(), worst) {
        (Outcome::OverLimit, Some(worst)) => {
            let what = match worst.check.as_ref() {
                REFILL if needs.longest.is_none() && question.burnt.is_some() => BOILS_OFF,
                REFILL if needs.longest.is_none() => "such a liquid is not poured into a vessel so warm",
                REFILL if unproved => "a refill before every flame is out",
                REFILL if question.burnt.is_none() => "it is filled before it has cooled",
                REFILL => "it is filled again too early",
                SHOCK if question.burnt.is_some() && worst.must_be == MustBe::AtLeast => {
                    "this glass is likely to crack under a burning liquid"
                }
                SHOCK => "a cold pour is likely to crack it",
                _ => "the stock bottle stands too near",
            };
            let change = worst.remedy.as_ref().map_or("", |remedy| remedy.text.as_str());
            let change = if unproved && worst.check == REFILL && needs.longest.is_some() {
                let minutes = wait.map(|(_, minutes)| cautious_up(minutes));
                let then = minutes.map_or_else(
                    || "give `capacity` and `mouth_diameter`".to_owned(),
                    |minutes| format!("wait {minutes} min"),
                );
                format!("Prove every flame within 5 m out, cover it, say `all_flames_out`, {then}.")
            } else if change.is_empty() {
                format!("{}.", upper(&long))
            } else {
                change.to_owned()
            };
            format!("Over the limit: {what}{marks}. {change}")
        }
        (Outcome::NotAssessed, Some(worst)) => {
            let why = worst.reason.as_deref().unwrap_or("a datum is missing");
            format!("Not assessed: {name}: {why}.")
        }
        (Outcome::NearLimit, _) => format!("Near a limit: {name}: {long}{marks}."),
        (Outcome::WithinLimit, _) => format!("Within the limits checked: {name}: {long}{marks}."),
        _ => format!("{}: {long}.", upper(name)),
    };
    let must = if draft.complete() { must } else { format!("{must} Not everything was considered.") };
    draft::sentence(rules, &must, "", "")
}

/// With a capital at its start.
fn upper(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
