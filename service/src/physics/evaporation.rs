//! How fast does a liquid evaporate from an open surface?
//!
//! N = k F (p - pa)/(R T) mol/(m2 s): k the conductance of the air over the surface, F Stefan's factor for the vapour that
//! moves the air with it, p the vapour's pressure at the surface, pa in the room, T the mean of surface and room.
//!
//! | film of air | conductance k, m/s | source |
//! |---|---|---|
//! | pool | 18.3e-3 u^0.78 M^(-1/3), u in m/s, M in g/mol | IEC 60079-10-1:2020 Annex B, as W = 18.3e-3 u^0.78 A p M^(2/3)/(R T) (memory); 4 % above the equation of the US EPA's guidance |
//! | plate | 0.664 Re^(1/2) Sc^(1/3) D/l | laminar boundary layer of a flat plate (Pohlhausen; any textbook) |
//! | still, heavy vapour | 0.27 Ra^(1/4) D/lc, lc = area/perimeter | natural convection over a plate that faces the other way (McAdams; memory) |
//! | still, disc | (8/pi) D/l | diffusion from a disc in a plane (Stefan; memory) |
//!
//! Two films are looked at: the *stronger* is the largest of all, the *weaker* the smaller of pool and plate; neither is less
//! than that of still air. A surface that lies below the rim by a freeboard h has a column of air in series:
//! 1/k = 1/k(film) + h/D. F = ln((P - pa)/(P - p)) P/(p - pa).
//!
//! The surface cools until h' (Ta - T) = sum N H, H the heat of vaporisation, with h' = k rho cp (Sc/Pr)^(2/3) of the same
//! film (Chilton, Colburn) + 5.5 W/(m2 K) by radiation; nothing comes from below.
//!
//! Air: viscosity 1.458e-6 T^1.5/(T + 110.4) Pa s (US Standard Atmosphere 1976; memory), ideal gas, cp 1006 J/(kg K),
//! Pr 0.71. Valid for surfaces of 1 cm to 10 m, speeds below 1 m/s, below the boiling point.

use super::maths::{ln, pow};
use super::room_air::{Air, MOLAR_MASS_OF_AIR_G_MOL};
use super::{GAS_CONSTANT, diffusivity};
use uom::si::area::square_meter;
use uom::si::diffusion_coefficient::square_meter_per_second;
use uom::si::f64::{
    Area, DiffusionCoefficient, Length, MolarMass, Pressure, Ratio, ThermodynamicTemperature, Velocity,
};
use uom::si::length::meter;
use uom::si::molar_mass::gram_per_mole;
use uom::si::pressure::pascal;
use uom::si::ratio::ratio;
use uom::si::thermodynamic_temperature::kelvin;
use uom::si::velocity::meter_per_second;

/// Constant of the pool equation, SI with M in g/mol.
const POOL: f64 = 18.3e-3;
/// Power of the air speed in the pool equation.
const POOL_POWER: f64 = 0.78;
/// Acceleration of gravity, m/s2.
const GRAVITY: f64 = 9.806_65;
/// Heat capacity of air, J/(kg K).
const HEAT_CAPACITY_OF_AIR: f64 = 1006.0;
/// Prandtl number of air.
const PRANDTL: f64 = 0.71;
/// Heat transfer by radiation near room temperature, W/(m2 K).
const RADIATION: f64 = 5.5;

/// An open surface of liquid.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Surface {
    /// Its width; the diameter where it is round.
    pub width: Length,
    /// Its area.
    pub area: Area,
    /// How far it lies below the rim.
    pub freeboard: Length,
}

impl Surface {
    /// A round surface.
    #[must_use]
    pub fn round(diameter: Length, freeboard: Length) -> Self {
        Self { width: diameter, area: super::vessel::mouth_area(diameter), freeboard }
    }

    /// A surface of an area, as wide as a round one.
    #[must_use]
    pub fn of_area(area: Area, freeboard: Length) -> Self {
        let width = Length::new::<meter>((area.get::<square_meter>() / std::f64::consts::FRAC_PI_4).sqrt());
        Self { width, area, freeboard }
    }
}

/// Air that moves over a surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moving {
    /// Its speed.
    speed: Velocity,
    /// Conductance of the pool equation, m/s, but for the molar mass: made once, since it is asked for many times.
    pool: f64,
}

impl Moving {
    /// Air at a speed.
    #[must_use]
    pub fn at(speed: Velocity) -> Self {
        let u = speed.get::<meter_per_second>();
        Self { speed, pool: if u > 0.0 { POOL * pow(u, POOL_POWER) } else { 0.0 } }
    }

    /// Its speed.
    #[must_use]
    pub const fn speed(&self) -> Velocity {
        self.speed
    }
}

/// Which of the films is looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Film {
    /// The smaller of pool and plate.
    Weaker,
    /// The largest.
    Stronger,
}

/// The air between the surface and the room, at their mean temperature.
#[derive(Debug, Clone, Copy)]
pub struct FilmOfAir {
    air: Air,
    /// Kinematic viscosity, m2/s.
    viscosity: f64,
    /// Density, kg/m3.
    density: f64,
}

impl FilmOfAir {
    /// The air between a surface and a room.
    #[must_use]
    pub fn between(surface: ThermodynamicTemperature, room: Air) -> Self {
        let mean = 0.5 * (surface.get::<kelvin>() + room.temperature.get::<kelvin>());
        let density =
            room.pressure.get::<pascal>() * MOLAR_MASS_OF_AIR_G_MOL / 1000.0 / (GAS_CONSTANT * mean);
        let viscosity = 1.458e-6 * mean * mean.sqrt() / (mean + 110.4) / density;
        let air = Air { temperature: ThermodynamicTemperature::new::<kelvin>(mean), pressure: room.pressure };
        Self { air, viscosity, density }
    }

    /// Diffusivity of a vapour in it, from the stored one.
    #[must_use]
    pub fn diffusivity(&self, stored: DiffusionCoefficient) -> DiffusionCoefficient {
        diffusivity::in_air(stored, self.air)
    }

    /// The conductance of the film for a vapour of this diffusivity (in this air), `heavier` by how much the air at the
    /// surface is heavier than that of the room, as a share of it.
    #[must_use]
    pub fn conductance(
        &self,
        film: Film,
        molar_mass: MolarMass,
        diffusivity: DiffusionCoefficient,
        moving: Moving,
        surface: &Surface,
        heavier: Ratio,
    ) -> Velocity {
        let (u, width) = (moving.speed.get::<meter_per_second>(), surface.width.get::<meter>());
        let d = diffusivity.get::<square_meter_per_second>();
        let pool = moving.pool / libm::cbrt(molar_mass.get::<gram_per_mole>());
        let plate = 0.664 * (u * width / self.viscosity).sqrt() * libm::cbrt(self.viscosity / d) * d / width;
        let larger = match film {
            Film::Weaker => pool.min(plate),
            Film::Stronger => pool.max(plate),
        };
        // Area over perimeter of a round surface.
        let short = width / 4.0;
        let rayleigh = GRAVITY * heavier.get::<ratio>().abs() * short * short * short / (self.viscosity * d);
        let convection = 0.27 * rayleigh.sqrt().sqrt() * d / short;
        let disc = 8.0 / std::f64::consts::PI * d / width;
        Velocity::new::<meter_per_second>(larger.max(convection).max(disc))
    }

    /// Heat from the room to the surface, W/(m2 K), by the film that has this conductance for this vapour, and by radiation.
    fn heat_transfer(&self, conductance: Velocity, diffusivity: DiffusionCoefficient) -> f64 {
        let lewis = self.viscosity / PRANDTL / diffusivity.get::<square_meter_per_second>();
        let film = libm::cbrt(lewis);
        conductance.get::<meter_per_second>() * self.density * HEAT_CAPACITY_OF_AIR * film * film + RADIATION
    }

    /// Heat that reaches a surface, W/m2, colder than the room by this.
    #[must_use]
    pub fn heat(
        &self,
        conductance: Velocity,
        diffusivity: DiffusionCoefficient,
        surface: ThermodynamicTemperature,
        room: Air,
    ) -> f64 {
        let colder = room.temperature.get::<kelvin>() - surface.get::<kelvin>();
        self.heat_transfer(conductance, diffusivity) * colder
    }

    /// Molar flux, mol/(m2 s), of a vapour at these pressures at the surface and in the room.
    #[must_use]
    pub fn molar_flux(
        &self,
        conductance: Velocity,
        at_surface: Pressure,
        in_room: Pressure,
        stefan: Ratio,
    ) -> f64 {
        let driving = at_surface.get::<pascal>() - in_room.get::<pascal>();
        conductance.get::<meter_per_second>() * stefan.get::<ratio>() * driving
            / (GAS_CONSTANT * self.air.temperature.get::<kelvin>())
    }
}

/// The conductance of a film and, in series, of the column of still air in a freeboard.
#[must_use]
pub fn with_column(film: Velocity, diffusivity: DiffusionCoefficient, freeboard: Length) -> Velocity {
    let resistance = 1.0 / film.get::<meter_per_second>()
        + freeboard.get::<meter>() / diffusivity.get::<square_meter_per_second>();
    Velocity::new::<meter_per_second>(1.0 / resistance)
}

/// Stefan's factor: by how much more vapour leaves since it moves the air with it; of all vapours together. At most that at
/// 0.999 of the air pressure, since it has no end at the boiling point.
#[must_use]
pub fn stefan_factor(at_surface: Pressure, in_room: Pressure, pressure: Pressure) -> Ratio {
    let all = pressure.get::<pascal>();
    let surface = (at_surface.get::<pascal>() / all).min(0.999);
    let room = (in_room.get::<pascal>() / all).min(surface);
    let driving = surface - room;
    let factor =
        if driving < 1e-9 { 1.0 / (1.0 - surface) } else { ln((1.0 - room) / (1.0 - surface)) / driving };
    Ratio::new::<ratio>(factor)
}

/// By how much air that holds vapours of this mean molar mass at this pressure is heavier than without them, as a share.
#[must_use]
pub fn heavier(vapour: Pressure, molar_mass: MolarMass, pressure: Pressure) -> Ratio {
    let share: Ratio = vapour / pressure;
    share * (molar_mass.get::<gram_per_mole>() / MOLAR_MASS_OF_AIR_G_MOL - 1.0)
}
