//! How hot, how tall and how near is a flame over an open liquid?
//!
//! | figure | equation | source |
//! |---|---|---|
//! | mass flux of a wide pool | m = m_inf (1 - exp(-k D)) | US NRC NUREG-1805, chapter 3, after Babrauskas (table seen in copies) |
//! | heat release | Q = m A H x | definition; x share of the heat of combustion H that is set free |
//! | mean flame height | l = 0.235 Q^(2/5) - 1.02 D, Q in kW, l and D in m | Heskestad, as in NUREG-1805 |
//! | another | l = 42 D (m/(rho (g D)^(1/2)))^0.61, rho = 1.2 kg/m3 | Thomas, as in NUREG-1805 |
//! | radiant flux | q = x Q/(4 pi R^2) | point source; x the radiated share |
//! | dose | q^(4/3) t, q in kW/m2, t in s; bare skin hurts at 115 | fit to the table of the Handbook of Chemical Hazard Analysis Procedures (1989); agrees with API Std 521 within 10 % |
//!
//! The point source holds from some flame widths on; nearer it errs to either side, so that a person so near is refused or
//! kept away by the other checks. Radiation says nothing of burning liquid that is thrown.

use super::maths::{exp, pow};
use uom::si::area::square_meter;
use uom::si::f64::{Area, Energy, HeatFluxDensity, Length, MassFlux, Power, Ratio, Time};
use uom::si::heat_flux_density::kilowatt_per_square_meter;
use uom::si::length::meter;
use uom::si::mass_flux::kilogram_per_square_meter_second;
use uom::si::power::kilowatt;
use uom::si::time::second;

/// Dose at which bare skin hurts, (kW/m2)^(4/3) s.
pub const PAIN_DOSE: f64 = 115.0;
const FOUR_THIRDS: f64 = 4.0 / 3.0;
/// Acceleration of free fall, m/s2.
const GRAVITY: f64 = 9.81;
/// Density of air, kg/m3.
const AIR: f64 = 1.2;

/// Mass flux of a wide pool of a diameter; `k_beta` in 1/m.
#[must_use]
pub fn pool_flux(m_inf: MassFlux, k_beta: f64, diameter: Length) -> MassFlux {
    m_inf * (1.0 - exp(-k_beta * diameter.get::<meter>()))
}

/// Mean height of a flame by its heat.
#[must_use]
pub fn height_by_heat(heat: Power, diameter: Length) -> Length {
    let metres = 0.235 * pow(heat.get::<kilowatt>().max(0.0), 0.4) - 1.02 * diameter.get::<meter>();
    Length::new::<meter>(metres.max(0.0))
}

/// Mean height of a flame by its mass flux.
#[must_use]
pub fn height_by_flux(flux: MassFlux, diameter: Length) -> Length {
    let metres = diameter.get::<meter>();
    let share = flux.get::<kilogram_per_square_meter_second>() / (AIR * (GRAVITY * metres).sqrt());
    Length::new::<meter>(42.0 * metres * pow(share.max(0.0), 0.61))
}

/// Heat of a flame that is radiated through a square metre so far away.
#[must_use]
pub fn radiant_flux(heat: Power, radiated: Ratio, distance: Length) -> HeatFluxDensity {
    let sphere: Area = distance * distance * (4.0 * std::f64::consts::PI);
    heat * radiated / sphere
}

/// How far from a flame its radiation has fallen to a flux.
#[must_use]
pub fn distance_for(flux: HeatFluxDensity, heat: Power, radiated: Ratio) -> Length {
    let area: Area = heat * radiated / flux;
    Length::new::<meter>((area.get::<square_meter>() / (4.0 * std::f64::consts::PI)).max(0.0).sqrt())
}

/// Dose of a flux over a time, (kW/m2)^(4/3) s.
#[must_use]
pub fn dose(flux: HeatFluxDensity, time: Time) -> f64 {
    pow(flux.get::<kilowatt_per_square_meter>().max(0.0), FOUR_THIRDS) * time.get::<second>()
}

/// Time until bare skin hurts.
#[must_use]
pub fn time_to_pain(flux: HeatFluxDensity) -> Time {
    Time::new::<second>(PAIN_DOSE / pow(flux.get::<kilowatt_per_square_meter>(), FOUR_THIRDS))
}

/// Dose of an energy that is set free within a time, so far away.
#[must_use]
pub fn flash_dose(energy: Energy, within: Time, radiated: Ratio, distance: Length) -> f64 {
    dose(radiant_flux(energy / within, radiated, distance), within)
}
