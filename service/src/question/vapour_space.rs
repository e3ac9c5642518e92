//! What stands over a liquid against its limits, and what is said of it: shared by the questions.

use super::draft::Draft;
use super::marked_temperature;
use crate::liquid::flash::{FlashPoint, Limit, NoFlashPoint, Origin};
use crate::liquid::vapour::{NoVapour, Over};
use crate::liquid::{Liquid, spanning};
use crate::physics::headspace;
use crate::quantity::round::significant;
use crate::quantity::{Estimate, si};
use brimline_openapi::{Component, HeadspaceCondition, LiquidPhase, Quantity, Text};
use uom::si::f64::{Pressure, Ratio, ThermodynamicTemperature};

/// Digits of a mole fraction in a phase.
const DIGITS: u32 = 4;

/// What stands over a liquid.
#[derive(Debug, Clone)]
pub struct Space {
    /// Share of flammable vapour in saturated air, or why it is not known.
    pub fraction: Result<Estimate<Ratio>, NoVapour>,
    /// Lower limit of that vapour.
    pub lower: Option<Estimate<Ratio>>,
    /// Upper limit of that vapour.
    pub upper: Option<Estimate<Ratio>>,
    /// The condition in a word.
    pub condition: HeadspaceCondition,
}

/// What stands over a liquid at a temperature and air pressure; `over` each composition.
#[must_use]
pub fn space(
    liquid: &Liquid,
    temperature: ThermodynamicTemperature,
    pressure: Pressure,
    flash_point: Option<Estimate<ThermodynamicTemperature>>,
    over: &Result<Vec<Over>, NoVapour>,
) -> Space {
    let fraction = saturated(liquid, pressure, over);
    let lower = liquid.limit_over(Limit::Lower, temperature, over);
    let upper = liquid.limit_over(Limit::Upper, temperature, over);
    let condition = if liquid.not_flammable().is_some() {
        HeadspaceCondition::NotFlammable
    } else {
        match (&fraction, lower) {
            (Ok(_), None) => HeadspaceCondition::NoPublishedLimits,
            // What is not known cannot be shown to be too lean.
            (Err(_), _) => HeadspaceCondition::Ignitable,
            (Ok(fraction), Some(lower)) => {
                match headspace::condition(*fraction, lower, upper, temperature, flash_point) {
                    headspace::Condition::TooLean => HeadspaceCondition::TooLean,
                    headspace::Condition::Ignitable => HeadspaceCondition::Ignitable,
                    headspace::Condition::TooRich => HeadspaceCondition::TooRich,
                }
            }
        }
    };
    Space { fraction, lower, upper, condition }
}

/// Share of flammable vapour in saturated air; of all vapour, where none of it burns.
///
/// # Errors
/// Why it is not known.
pub fn saturated(
    liquid: &Liquid,
    pressure: Pressure,
    over: &Result<Vec<Over>, NoVapour>,
) -> Result<Estimate<Ratio>, NoVapour> {
    let over = over.as_ref().map_err(Clone::clone)?;
    let vapours = liquid.compositions.iter().zip(over).map(|(one, over)| {
        let burns = one.parts.iter().any(crate::liquid::Part::is_fuel);
        if burns { over.fuel(one) } else { over.total() }
    });
    let vapour = spanning(vapours).unwrap_or_else(|| Estimate::exact(si::pascal(0.0)));
    Ok(headspace::saturated_fraction(vapour, pressure))
}

/// Says which equations gave a vapour, and with what marks.
pub fn say_vapour(draft: &mut Draft, liquid: &Liquid, over: &Over) {
    draft.method("vapour_pressure");
    for (part, set) in liquid.usual().parts.iter().zip(&over.sets) {
        draft.set(part.substance, set);
    }
    marked_temperature(draft, over.extrapolated);
    if liquid.substance().is_none() {
        draft.method("activity_coefficients");
    }
    for substance in &over.bounded {
        draft.assume(
            "bounded_vapour",
            format!(
                "{} is more than 10 K colder than every published equation: its vapour is counted as at the coldest temperature that is answered.",
                substance.name()
            ),
        );
    }
    if over.split.is_some() {
        draft.method("two_liquids");
        draft.caution(
            "two_liquids",
            "The liquid splits in two: the lighter layer floats, both give off the same vapour, and a sample of one layer is another liquid.",
        );
    }
}

/// Says how a flash point was come by.
pub fn say_flash_point(draft: &mut Draft, liquid: &Liquid, found: &Result<FlashPoint, NoFlashPoint>) {
    let estimated = draft.figures(liquid, "flash_point", |substance| substance.flash_point.as_ref());
    if estimated {
        draft
            .caution("flash_point_estimated", "The flash point of a part is an estimate: none is published.");
    }
    match found.as_ref().map(|found| &found.origin) {
        Ok(Origin::Published | Origin::Estimated) => draft.method("flash_point_at_pressure"),
        Ok(Origin::Calculated) => draft.method("flash_point_of_mixture"),
        Ok(Origin::Bound(why)) => {
            draft.method("flash_point_bound");
            draft.caution(
                "flash_point_bound",
                format!(
                    "The flash point is a bound and no estimate: {why}. Measure it, or ask the supplier."
                ),
            );
        }
        Err(_) => {}
    }
}

/// The two liquid phases of the usual composition; empty where it is one liquid.
#[must_use]
pub fn phases(liquid: &Liquid, over: Option<&Over>) -> Vec<LiquidPhase> {
    let Some(split) = over.and_then(|over| over.split.as_ref()) else { return Vec::new() };
    let parts = &liquid.usual().parts;
    let phase = |x: &[f64], share: f64| LiquidPhase {
        share: Quantity::exact(significant(share * 100.0, DIGITS), "%"),
        components: components(parts.iter().map(|part| part.substance).zip(x.iter().copied())),
    };
    vec![phase(&split.first, 1.0 - split.second_share), phase(&split.second, split.second_share)]
}

/// Components from mole fractions.
pub fn components(
    parts: impl Iterator<Item = (&'static crate::catalogue::Substance, f64)> + Clone,
) -> Vec<Component> {
    let grams = |(substance, fraction): (&crate::catalogue::Substance, f64)| {
        fraction * si::in_gram_per_mole(substance.molar_mass)
    };
    let total: f64 = parts.clone().map(grams).sum();
    parts
        .map(|(substance, fraction)| Component {
            substance: Text::Borrowed(substance.id.as_str()),
            cas: Text::Borrowed(substance.file.cas.as_str()),
            mole_fraction: significant(fraction, DIGITS),
            mass_fraction: significant(grams((substance, fraction)) / total, DIGITS),
        })
        .collect()
}
