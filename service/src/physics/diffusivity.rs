//! How fast does a vapour spread in still air?
//!
//! D = 1.43e-7 T^1.75 / (P M^(1/2) (va^(1/3) + vb^(1/3))^2) m2/s, T in K, P in bar, M = 2/(1/Ma + 1/Mb) in g/mol, v the
//! diffusion volumes of vapour and air (air 19.7, 28.96 g/mol). Source: Fuller, Ensley, Giddings, J. Phys. Chem. 73 (1969)
//! 3679, in the form of Poling, Prausnitz, O'Connell, 5th ed., chapter 11 (from memory). Good to about 10 %; valid for
//! ideal gases at room pressures. A stored diffusivity at 293.15 K and 101.325 kPa is carried to T and P by T^1.75/P.

use super::maths::pow;
use super::room_air::{Air, MOLAR_MASS_OF_AIR_G_MOL};
use super::standard_pressure;
use uom::si::diffusion_coefficient::square_meter_per_second;
use uom::si::f64::{DiffusionCoefficient, MolarMass};
use uom::si::molar_mass::gram_per_mole;
use uom::si::pressure::bar;
use uom::si::thermodynamic_temperature::kelvin;

/// Diffusion volume of air.
const VOLUME_OF_AIR: f64 = 19.7;
/// Temperature of stored diffusivities, K.
const STORED_AT_K: f64 = 293.15;
/// Power of the temperature.
const POWER: f64 = 1.75;

/// Diffusivity in air of a vapour whose molecule has this sum of diffusion volumes (a plain number of the method).
#[must_use]
pub fn fuller(molar_mass: MolarMass, diffusion_volume: f64, air: Air) -> DiffusionCoefficient {
    let mean = 2.0 / (1.0 / molar_mass.get::<gram_per_mole>() + 1.0 / MOLAR_MASS_OF_AIR_G_MOL);
    let sizes = libm::cbrt(diffusion_volume) + libm::cbrt(VOLUME_OF_AIR);
    let number = 1.43e-7 * pow(air.temperature.get::<kelvin>(), POWER)
        / (air.pressure.get::<bar>() * mean.sqrt() * sizes * sizes);
    DiffusionCoefficient::new::<square_meter_per_second>(number)
}

/// A diffusivity stored at 293.15 K and 101.325 kPa, in other air.
#[must_use]
pub fn in_air(stored: DiffusionCoefficient, air: Air) -> DiffusionCoefficient {
    // The power 1.75 by roots: it is asked for many times in a course.
    let ratio = air.temperature.get::<kelvin>() / STORED_AT_K;
    let root = ratio.sqrt();
    let warmer = ratio * root * root.sqrt();
    stored * warmer * (standard_pressure() / air.pressure)
}
