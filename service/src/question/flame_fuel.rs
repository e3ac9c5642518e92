//! How hot a flame of an alcohol can be, and is: what a flame temperature that a request gives is held against, and what is
//! counted with where it gives none.

use super::draft::{self, Draft};
use super::reader::{Asked, Fields};
use super::record::Group;
use super::room::RoomAsked;
use super::{Scope, field, liquid};
use crate::catalogue::{Catalogue, Substance};
use crate::physics::adiabatic_flame::{self, Mixture};
use crate::quantity::{Estimate, si};
use brimline_openapi::{FlameOfFuel, Quantity, Seen, Text};
use uom::si::f64::{MolarEnergy, Pressure, ThermodynamicTemperature};

/// Shares of the lower heat of combustion that a flame loses: least, middling, most (judgement: an alcohol flame radiates a tenth to a
/// fifth, and warms vessel and wick).
const LOST: [f64; 3] = [0.10, 0.25, 0.40];
/// The mixture with air that is hottest: a little more fuel than the air can burn.
const HOTTEST: f64 = 1.04;

/// A flame of one fuel, temperatures in Cel.
#[derive(Debug, Clone)]
pub struct Flame {
    fuel: &'static Substance,
    /// Without any loss.
    adiabatic: Estimate<f64>,
    /// With its losses.
    practical: Estimate<f64>,
}

impl Flame {
    /// As it is shown.
    #[must_use]
    pub fn shown(&self) -> FlameOfFuel {
        FlameOfFuel {
            fuel: Text::Borrowed(&self.fuel.id),
            adiabatic: draft::tenths(self.adiabatic, "Cel"),
            practical: draft::tenths(self.practical, "Cel"),
        }
    }
}

/// The fuel where one is given; `None` where it is none of which flame temperatures are known: the fault is noted.
pub fn read(fields: &Fields<'_>, catalogue: &'static Catalogue) -> Option<Option<&'static Substance>> {
    if fields.value("fuel").is_none() {
        return Some(None);
    }
    let asked = liquid::of_field(fields, "fuel", catalogue)?;
    let known = asked.substance().filter(|substance| catalogue.thermochemistry.fuel(&substance.id).is_some());
    if known.is_none() {
        let detail = format!(
            "how hot a flame of {} is, is not known here; it is of methanol, ethanol and propan-2-ol (one that is mixed with water burns less hot than by itself)",
            asked.name
        );
        fields.faults().add("missing-datum", fields.at("fuel"), detail, None);
    }
    known.map(Some)
}

/// The flames of a fuel, or of each that is known.
pub fn flames(
    fuel: Option<&'static Substance>,
    room: &RoomAsked,
    scope: &mut Scope,
    request: &mut Group,
) -> Vec<Flame> {
    let catalogue = scope.draft.catalogue;
    let start = room.temperature(&scope.rules, &mut scope.draft);
    let pressure = room.given_pressure().unwrap_or_else(|| {
        scope.draft.assume(
            "standard_pressure",
            "The air pressure is not given: 101.325 kPa is taken for this question.",
        );
        field::PRESSURE.asked(101.325)
    });
    let mut group = Group::default();
    room.record_given(&mut group);
    group.quantity("temperature", &start);
    group.quantity("pressure", &pressure);
    request.group("room", group);
    if let Some(fuel) = fuel {
        request.word("fuel", fuel.id.as_str());
    } else {
        scope.draft.assume(
            "any_fuel",
            "What burns is not given: flames of methanol, ethanol and propan-2-ol are taken together.",
        );
    }
    scope.draft.assume("heat_lost", "A flame loses a tenth to two fifths of its heat (judgement): that is the range of its temperature where none is given.");
    scope.draft.source("nasa-tm-4513", "thermochemistry", Seen::Copy);
    let fuels = catalogue.substances.iter().filter(|substance| match fuel {
        Some(fuel) => substance.id == fuel.id,
        None => catalogue.thermochemistry.fuel(&substance.id).is_some(),
    });
    fuels.filter_map(|fuel| of_fuel(fuel, start.quantity, pressure.quantity, catalogue)).collect()
}

fn of_fuel(
    fuel: &'static Substance,
    start: ThermodynamicTemperature,
    pressure: Pressure,
    catalogue: &'static Catalogue,
) -> Option<Flame> {
    let species = catalogue.thermochemistry.fuel(&fuel.id)?;
    let products = catalogue.thermochemistry.products();
    let burnt = |equivalence: f64, taken: MolarEnergy, lost: f64| {
        let mixture = Mixture { fuel: species, products, start, pressure, equivalence, taken, lost };
        adiabatic_flame::temperature(&mixture).map(si::in_celsius)
    };
    let none = si::joule_per_mole(0.0);
    let value = burnt(1.0, none, 0.0)?;
    // From the liquid, whose vapour takes its heat from the flame.
    let low = fuel.heat_of_vaporisation_at(start).and_then(|heat| burnt(1.0, heat, 0.0)).unwrap_or(value);
    let high = burnt(HOTTEST, none, 0.0)?;
    let [least, middling, most] = LOST;
    let practical =
        Estimate::new(burnt(1.0, none, middling)?, burnt(1.0, none, most)?, burnt(1.0, none, least)?);
    Some(Flame { fuel, adiabatic: Estimate::new(value, low.min(value), high.max(value)), practical })
}

/// Refuses a temperature that no flame of the fuels can have.
pub fn reached(fields: &Fields<'_>, given: &Asked<ThermodynamicTemperature>, flames: &[Flame]) {
    let highest = flames.iter().map(|flame| flame.adiabatic.high).fold(f64::NEG_INFINITY, f64::max);
    if given.number > highest {
        let fuels: Vec<&str> = flames.iter().map(|flame| flame.fuel.name()).collect();
        let detail = format!(
            "{} Cel is more than a flame of {} can have without any loss, {:.0} Cel; of other flames, as of a gas burner, nothing is known here: leave it out, or give at most that",
            given.number,
            fuels.join(", "),
            highest.floor()
        );
        fields.faults().add("outside-range", fields.at("flame_temperature"), detail, None);
    }
}

/// The temperature that is counted with: the one given, or the range of the flames.
pub fn counted_with(
    given: Option<&Asked<ThermodynamicTemperature>>,
    flames: &[Flame],
    draft: &mut Draft,
) -> Estimate<ThermodynamicTemperature> {
    if let Some(given) = given {
        return Estimate::exact(given.quantity);
    }
    let of = |end: fn(Estimate<f64>) -> f64| flames.iter().map(move |flame| end(flame.practical));
    let low = of(|flame| flame.low).fold(f64::INFINITY, f64::min);
    let high = of(|flame| flame.high).fold(f64::NEG_INFINITY, f64::max);
    let values = of(|flame| flame.value);
    let (sum, count) = values.fold((0.0, 0.0), |(sum, count), value| (sum + value, count + 1.0));
    draft.assume(
        "flame_temperature",
        "The temperature of the flame is not given: figures span what flames of the fuel have.",
    );
    Estimate::new(si::celsius(sum / count), si::celsius(low), si::celsius(high))
}

/// The temperature that is counted with, as it is shown.
#[must_use]
pub fn shown_temperature(hot: Estimate<ThermodynamicTemperature>) -> Quantity {
    let estimate = hot.rising(si::in_celsius);
    if estimate.low < estimate.high {
        draft::tenths(estimate, "Cel")
    } else {
        Quantity::exact(estimate.value, "Cel")
    }
}
