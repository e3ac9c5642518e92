//! When has a hot vessel cooled down, and may it crack?
//!
//! | figure | equation | source |
//! |---|---|---|
//! | convection from the wall | Nu = (0.825 + 0.387 Ra^(1/6)/(1 + (0.492/Pr)^(9/16))^(8/27))^2 | Churchill, Chu 1975, vertical plate (from memory) |
//! | radiation | e s (T^4 - Ta^4), e = 0.9 | Stefan, Boltzmann |
//! | time | t = integral of C dT/q(T), one temperature for the wall | energy balance; Biot number q w/(k (T - Ta)) far below one |
//! | contents | C is that of the dry wall above their boiling point, of all below it | energy balance; what boils is no hotter |
//! | step that is borne | dT = S (1 - n)/(E a) | elastic plate, fully constrained; S strength, n Poisson's ratio, E modulus, a expansion |
//!
//! Air between wall and room at the mean temperature: k = 0.0263 (T/300 K)^0.8 W/(m K), v = 1.59e-5 (T/300 K)^1.7 m2/s,
//! Pr = 0.707 (fit to handbook tables from 300 to 500 K, from memory).

use super::maths::{exp, ln};
use uom::si::area::square_meter;
use uom::si::f64::{
    Area, HeatCapacity, Length, Power, Ratio, TemperatureInterval, ThermodynamicTemperature, Time,
};
use uom::si::heat_capacity::joule_per_kelvin;
use uom::si::length::meter;
use uom::si::power::watt;
use uom::si::ratio::ratio;
use uom::si::temperature_interval::kelvin as kelvins;
use uom::si::thermodynamic_temperature::kelvin;
use uom::si::time::second;

const STEFAN_BOLTZMANN: f64 = 5.670_374_419e-8;
const EMISSIVITY: f64 = 0.9;
const PRANDTL: f64 = 0.707;
const GRAVITY: f64 = 9.81;
/// (1 + (0.492/Pr)^(9/16))^(8/27).
const SHAPE: f64 = 1.193275415911551;
/// Panels of the integral over the logarithm of the excess temperature.
const PANELS: u32 = 16;
/// The wall is followed down to this above the room, K.
pub const NEAREST_K: f64 = 0.5;

/// A vessel that cools.
#[derive(Debug, Clone, Copy)]
pub struct Vessel {
    /// Heat capacity of wall and contents.
    pub holds: HeatCapacity,
    /// Surface that gives off heat to the air.
    pub surface: Area,
    /// Its height.
    pub height: Length,
    /// Heat that goes into what it stands on, W/K.
    pub beneath: f64,
    /// Temperature of the room.
    pub room: ThermodynamicTemperature,
    /// What is no hotter than a temperature, as a liquid that boils: it takes part from there down.
    pub contents: Option<Contents>,
}

/// What a vessel holds, and what of its wall it wets.
#[derive(Debug, Clone, Copy)]
pub struct Contents {
    /// Its heat capacity.
    pub holds: HeatCapacity,
    /// It is no hotter than this.
    pub hottest: ThermodynamicTemperature,
}

/// The course of a vessel that cools.
#[derive(Debug, Clone)]
pub struct Course {
    room: f64,
    nodes: Vec<Node>,
}

/// A point of the course: the time, s, the logarithm u of the excess over the room, and -dt/du.
#[derive(Debug, Clone, Copy)]
struct Node {
    time: f64,
    u: f64,
    pace: f64,
}

/// Between two nodes the time is the cubic through both times and paces.
fn between(from: Node, to: Node, u: f64) -> (f64, f64) {
    let width = from.u - to.u;
    let x = (from.u - u) / width;
    let (rise, first, last) = (to.time - from.time, from.pace * width, to.pace * width);
    let (a, b) = (first + last - 2.0 * rise, 3.0 * rise - 2.0 * first - last);
    (from.time + x * (first + x * (b + x * a)), (first + x * (2.0 * b + x * 3.0 * a)) / width)
}

/// Natural convection from a vertical wall, W/(m2 K).
#[must_use]
pub fn convection(wall: ThermodynamicTemperature, room: ThermodynamicTemperature, height: Length) -> f64 {
    let (wall, room, height) = (wall.get::<kelvin>(), room.get::<kelvin>(), height.get::<meter>());
    let mean = f64::midpoint(wall, room);
    // Powers of the mean temperature by its logarithm: this is asked some hundred times for a course.
    let warmer = ln(mean / 300.0);
    let conductivity = 0.0263 * exp(0.8 * warmer);
    let per_square_of_viscosity = 1.0 / (1.59e-5 * 1.59e-5);
    let driving = GRAVITY * (wall - room).abs() / mean * height * height * height * PRANDTL;
    let rayleigh_logarithm = ln(driving * per_square_of_viscosity) - 2.0 * 1.7 * warmer;
    let root = 0.825 + 0.387 * exp(rayleigh_logarithm / 6.0) / SHAPE;
    root * root * conductivity / height
}

impl Vessel {
    /// Heat that it gives off.
    #[must_use]
    pub fn gives_off(&self, wall: ThermodynamicTemperature) -> Power {
        let (hot, room) = (wall.get::<kelvin>(), self.room.get::<kelvin>());
        let radiated = EMISSIVITY * STEFAN_BOLTZMANN * (hot * hot * hot * hot - room * room * room * room);
        let carried = convection(wall, self.room, self.height) * (hot - room);
        Power::new::<watt>(
            (radiated + carried) * self.surface.get::<square_meter>() + self.beneath * (hot - room),
        )
    }

    /// How it cools from a temperature.
    #[must_use]
    pub fn cools(&self, from: ThermodynamicTemperature) -> Course {
        let room = self.room.get::<kelvin>();
        let dry = self.holds.get::<joule_per_kelvin>();
        let first = ln((from.get::<kelvin>() - room).max(NEAREST_K));
        let last = ln(NEAREST_K);
        // Above their hottest the contents take no part: what the wall loses there it loses alone.
        let (all, joins) = self.contents.map_or((dry, first), |contents| {
            let excess = (contents.hottest.get::<kelvin>() - room).max(NEAREST_K);
            (dry + contents.holds.get::<joule_per_kelvin>(), ln(excess).min(first))
        });
        // dt/du of u = ln(T - Ta), the time that an e-fold takes.
        let pace = |holds: f64, u: f64| {
            let excess = exp(u);
            holds * excess
                / self.gives_off(ThermodynamicTemperature::new::<kelvin>(room + excess)).get::<watt>()
        };
        let mut time = 0.0;
        let mut nodes = Vec::new();
        for (holds, from, to) in [(dry, first, joins), (all, joins, last)] {
            let step = (from - to) / f64::from(PANELS);
            if step <= 0.0 {
                continue;
            }
            let mut at = pace(holds, from);
            // Where the contents join, the pace jumps: two nodes of one time.
            nodes.push(Node { time, u: from, pace: at });
            for panel in 1..=PANELS {
                let u = from - step * f64::from(panel);
                let (middle, end) = (pace(holds, u + step / 2.0), pace(holds, u));
                time += step * (at + 4.0 * middle + end) / 6.0;
                at = end;
                nodes.push(Node { time, u, pace: at });
            }
        }
        if nodes.is_empty() {
            nodes.push(Node { time, u: first, pace: pace(all, first) });
        }
        Course { room, nodes }
    }

    /// Biot number of a wall: how far the temperatures within it differ.
    #[must_use]
    pub fn biot(&self, wall: ThermodynamicTemperature, thickness: Length, conductivity: f64) -> Ratio {
        let excess = (wall.get::<kelvin>() - self.room.get::<kelvin>()).max(NEAREST_K);
        let hot = ThermodynamicTemperature::new::<kelvin>(self.room.get::<kelvin>() + excess);
        let film = self.gives_off(hot).get::<watt>() / (self.surface.get::<square_meter>() * excess);
        Ratio::new::<ratio>(film * thickness.get::<meter>() / conductivity)
    }
}

impl Course {
    /// When it is down at a temperature; never, where that is within half a kelvin of the room or below.
    #[must_use]
    pub fn until(&self, temperature: ThermodynamicTemperature) -> Option<Time> {
        let excess = temperature.get::<kelvin>() - self.room;
        let first = self.nodes.first()?;
        if excess >= exp(first.u) {
            return Some(Time::new::<second>(0.0));
        }
        if excess < NEAREST_K {
            return None;
        }
        let u = ln(excess);
        let (from, to) = self.around(|node| node.u <= u)?;
        Some(Time::new::<second>(between(from, to, u).0))
    }

    /// The two nodes of which the second is the first that is reached.
    fn around(&self, reached: impl Fn(&Node) -> bool) -> Option<(Node, Node)> {
        self.nodes.windows(2).find_map(|pair| match pair {
            [from, to] if reached(to) => Some((*from, *to)),
            _ => None,
        })
    }

    /// Its temperature at a time.
    #[must_use]
    pub fn at(&self, time: Time) -> ThermodynamicTemperature {
        const ROUNDS: u32 = 3;
        let time = time.get::<second>();
        let last = self.nodes.last().map_or(0.0, |node| node.u);
        let u = self.around(|node| time <= node.time).map_or(last, |(from, to)| {
            let mut u = from.u - (time - from.time) / (to.time - from.time) * (from.u - to.u);
            for _ in 0..ROUNDS {
                let (there, pace) = between(from, to, u);
                u = (u + (there - time) / pace).clamp(to.u, from.u);
            }
            u
        });
        ThermodynamicTemperature::new::<kelvin>(self.room + exp(u))
    }
}

/// The step of temperature that a constrained wall bears. `strength` in MPa, `modulus` in GPa, `expansion` in 1/K.
#[must_use]
pub fn step_borne(strength: f64, modulus: f64, poisson: f64, expansion: f64) -> TemperatureInterval {
    TemperatureInterval::new::<kelvins>(strength * 1e6 * (1.0 - poisson) / (modulus * 1e9 * expansion))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn vessel() -> Vessel {
        Vessel {
            holds: HeatCapacity::new::<joule_per_kelvin>(91.0),
            surface: Area::new::<square_meter>(0.0247),
            height: Length::new::<meter>(0.08),
            beneath: 0.01,
            room: ThermodynamicTemperature::new::<kelvin>(293.15),
            contents: None,
        }
    }

    /// Against the general integrator: what is given off is what the wall has lost, and the contents from their boiling point down.
    #[test]
    fn energy_is_conserved_while_contents_cool_with_the_wall() {
        use crate::physics::integrate::{Tolerance, integrate};
        let hottest = ThermodynamicTemperature::new::<kelvin>(351.4);
        let contents = Some(Contents { holds: HeatCapacity::new::<joule_per_kelvin>(500.0), hottest });
        let vessel = Vessel { contents, ..vessel() };
        let course = vessel.cools(ThermodynamicTemperature::new::<kelvin>(523.15));
        for minutes in [1.0, 3.0, 20.0, 60.0] {
            let end = minutes * 60.0;
            let mut reached = Vec::new();
            integrate(
                vec![0.0],
                Tolerance { relative: 1e-9, absolute: 1e-6 },
                |state: &[f64]| {
                    // The temperature by the heat lost.
                    let dry = 91.0 * (523.15 - 351.4);
                    let at = if state[0] < dry {
                        523.15 - state[0] / 91.0
                    } else {
                        351.4 - (state[0] - dry) / 591.0
                    };
                    vec![vessel.gives_off(ThermodynamicTemperature::new::<kelvin>(at)).get::<watt>()]
                },
                |time, state, _| {
                    reached.clone_from(state);
                    (time < end - 1e-9).then_some((end - time).min(5.0))
                },
            );
            let at = course.at(Time::new::<second>(end)).get::<kelvin>();
            let lost = if at > 351.4 {
                91.0 * (523.15 - at)
            } else {
                91.0 * (523.15 - 351.4) + 591.0 * (351.4 - at)
            };
            // Within two hundredths of a kelvin.
            assert!((reached[0] - lost).abs() < 0.02 * 591.0, "{minutes} min: {at} {reached:?} {lost}");
            let back = course.until(ThermodynamicTemperature::new::<kelvin>(at)).unwrap().get::<second>();
            assert!((back - end).abs() < 1e-6 * end, "{back}");
        }
    }

    /// Against the general integrator: the heat given off until a time is what the wall has lost.
    #[test]
    fn energy_is_conserved_while_it_cools() {
        use crate::physics::integrate::{Tolerance, integrate};
        let vessel = vessel();
        let course = vessel.cools(ThermodynamicTemperature::new::<kelvin>(523.15));
        let slope = |state: &[f64]| {
            let heat = vessel.gives_off(ThermodynamicTemperature::new::<kelvin>(state[0])).get::<watt>();
            vec![-heat / 91.0, heat]
        };
        for minutes in [1.0, 5.0, 15.0, 30.0] {
            let end = minutes * 60.0;
            let mut reached = Vec::new();
            integrate(
                vec![523.15, 0.0],
                Tolerance { relative: 1e-9, absolute: 1e-9 },
                slope,
                |time, state, _| {
                    reached.clone_from(state);
                    (time < end - 1e-9).then_some((end - time).min(10.0))
                },
            );
            let lost = 91.0 * (523.15 - reached[0]);
            assert!((reached[1] - lost).abs() < 1e-6 * lost, "{reached:?}");
            let at = course.at(Time::new::<second>(end)).get::<kelvin>();
            assert!((at - reached[0]).abs() < 2e-3, "{minutes} min: {at} {reached:?}");
            let back = course.until(ThermodynamicTemperature::new::<kelvin>(at)).unwrap().get::<second>();
            assert!((back - end).abs() < 1e-6 * end, "{back}");
        }
    }

    #[test]
    fn the_constant_of_the_correlation_is_its_formula() {
        use super::super::maths::pow;
        let shape = pow(1.0 + pow(0.492 / PRANDTL, 9.0 / 16.0), 8.0 / 27.0);
        assert!((shape - SHAPE).abs() < 1e-14, "{shape}");
    }

    #[test]
    fn what_is_no_hotter_than_the_room_is_down_at_once_and_nothing_falls_below_it() {
        let vessel = vessel();
        let course = vessel.cools(ThermodynamicTemperature::new::<kelvin>(293.15));
        let at = |number: f64| ThermodynamicTemperature::new::<kelvin>(number);
        assert_eq!(course.until(at(300.0)).unwrap().get::<second>(), 0.0);
        assert_eq!(vessel.cools(at(400.0)).until(at(293.2)), None);
        assert!(vessel.cools(at(400.0)).at(Time::new::<second>(1e9)) > vessel.room);
    }
}
