//! What light do the atoms of a salt give in a flame?
//!
//! | figure | equation | source |
//! |---|---|---|
//! | power of a line | P = g A h nu exp(-E/(k T)) | Boltzmann distribution; a thin gas, which takes up none of its own light |
//! | share of a line | P_i / sum P | definition; over the lines that are known |
//! | luminous efficacy | 683 lm/W sum(P V)/sum P | definition of the lumen; V the luminous efficiency of the standard observer |
//! | chromaticity | x = X/(X + Y + Z), y = Y/(X + Y + Z); X = sum P x_bar | CIE 1931 |
//!
//! Honest only where free atoms give the light that is seen. Molecules, a thick gas and the flame's own light are not in it.

use super::maths::exp;
use uom::si::energy::joule;
use uom::si::f64::{Energy, Frequency, Length, ThermodynamicTemperature};
use uom::si::frequency::hertz;
use uom::si::length::{meter, nanometer};
use uom::si::thermodynamic_temperature::kelvin;

/// Boltzmann constant, J/K (exact).
const BOLTZMANN: f64 = 1.380_649e-23;
/// Planck constant times the speed of light, J m (exact); air slows light by 0.03 %, alike for every line.
const PLANCK_LIGHT: f64 = 6.626_070_15e-34 * 299_792_458.0;
/// Lumen per watt at 555 nm.
const LUMEN: f64 = 683.0;
/// What the eye sees, nm.
pub const VISIBLE: (f64, f64) = (380.0, 750.0);

/// A line of an atom.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// Wavelength in air.
    pub wavelength: Length,
    /// Probability of the transition.
    pub probability: Frequency,
    /// Energy of the upper level over the ground state.
    pub upper_energy: Energy,
    /// Statistical weight of the upper level.
    pub upper_weight: f64,
    /// By what factor its power may be off either way: 0.03 is 3 %.
    pub doubt: f64,
}

impl Line {
    /// Power for each atom in the gas, up to a factor that all lines of one element share.
    #[must_use]
    pub fn power(&self, temperature: ThermodynamicTemperature) -> f64 {
        let photon = PLANCK_LIGHT / self.wavelength.get::<meter>();
        let excited = exp(-self.upper_energy.get::<joule>() / (BOLTZMANN * temperature.get::<kelvin>()));
        self.upper_weight * self.probability.get::<hertz>() * photon * excited
    }

    /// Wavelength in air, nm.
    #[must_use]
    pub fn nanometres(&self) -> f64 {
        self.wavelength.get::<nanometer>()
    }

    /// Whether the eye sees it.
    #[must_use]
    pub fn visible(&self) -> bool {
        (VISIBLE.0..=VISIBLE.1).contains(&self.nanometres())
    }
}

/// The power of each line at a temperature.
#[must_use]
pub fn powers(lines: &[Line], temperature: ThermodynamicTemperature) -> Vec<f64> {
    lines.iter().map(|line| line.power(temperature)).collect()
}

/// The share of some lines in the power of all, by their powers: as it is, with the doubts of all lines against it and for it.
/// `None` where no line gives anything.
#[must_use]
pub fn share(lines: &[Line], powers: &[f64], of: impl Fn(&Line) -> bool) -> Option<[f64; 3]> {
    let (mut mine, mut others) = ([0.0; 3], [0.0; 3]);
    for (line, power) in lines.iter().zip(powers) {
        let (own, other) = ([0.0, -line.doubt, line.doubt], [0.0, line.doubt, -line.doubt]);
        let (sums, doubts) = if of(line) { (&mut mine, own) } else { (&mut others, other) };
        for (sum, doubt) in sums.iter_mut().zip(doubts) {
            *sum += power * (1.0 + doubt);
        }
    }
    let [a, b, c] = mine;
    let [d, e, f] = others;
    (a + d > 0.0).then(|| [a / (a + d), b / (b + e), c / (c + f)])
}

/// The standard observer: colour matching functions at equal steps.
#[derive(Debug, Clone, PartialEq)]
pub struct Observer {
    /// First wavelength, nm.
    pub from: f64,
    /// Step, nm.
    pub step: f64,
    /// x, y and z at each wavelength.
    pub functions: Vec<[f64; 3]>,
}

impl Observer {
    /// x, y and z at a wavelength in nm, by a cubic through the four values around it; nothing outside the table.
    #[must_use]
    pub fn at(&self, nanometres: f64) -> [f64; 3] {
        let place = (nanometres - self.from) / self.step;
        if !place.is_finite() || place < 0.0 {
            return [0.0; 3];
        }
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "not negative, a few hundred"
        )]
        let whole = place.floor() as usize;
        let first = whole.saturating_sub(1).min(self.functions.len().saturating_sub(4));
        let Some([a, b, c, d]) = self.functions.get(first..first + 4) else { return [0.0; 3] };
        #[allow(clippy::cast_precision_loss, reason = "a few hundred")]
        let t = place - first as f64;
        if t > 3.0 {
            return [0.0; 3];
        }
        // Lagrange's polynomial at the places 0, 1, 2, 3.
        let weights = [
            -(t - 1.0) * (t - 2.0) * (t - 3.0) / 6.0,
            t * (t - 2.0) * (t - 3.0) / 2.0,
            -t * (t - 1.0) * (t - 3.0) / 2.0,
            t * (t - 1.0) * (t - 2.0) / 6.0,
        ];
        let mut made = [0.0; 3];
        for (row, weight) in [a, b, c, d].into_iter().zip(weights) {
            for (sum, value) in made.iter_mut().zip(row) {
                *sum += value * weight;
            }
        }
        made
    }
}

/// How the light of lines looks: chromaticity x and y, and luminous efficacy in lm/W.
#[must_use]
pub fn seen(lines: &[Line], temperature: ThermodynamicTemperature, observer: &Observer) -> Option<[f64; 3]> {
    let (mut sums, mut power) = ([0.0; 3], 0.0);
    for line in lines {
        let one = line.power(temperature);
        power += one;
        for (sum, function) in sums.iter_mut().zip(observer.at(line.nanometres())) {
            *sum += one * function;
        }
    }
    let [x, y, z] = sums;
    let all = x + y + z;
    (all > 0.0 && power > 0.0).then(|| [x / all, y / all, LUMEN * y / power])
}

/// Corners of the colours that a screen of the usual kind shows (IEC 61966-2-1): x and y of its red, green and blue.
const SCREEN: [(f64, f64); 3] = [(0.64, 0.33), (0.30, 0.60), (0.15, 0.06)];

/// Whether a screen of the usual kind can show a chromaticity.
#[must_use]
pub fn on_screen(x: f64, y: f64) -> bool {
    let [red, green, blue] = SCREEN;
    [(red, green), (green, blue), (blue, red)]
        .into_iter()
        .all(|(a, b)| (b.0 - a.0) * (y - a.1) - (b.1 - a.1) * (x - a.0) >= 0.0)
}

/// A peak of what an instrument shows.
#[derive(Debug, Clone, PartialEq)]
pub struct Peak {
    /// Where it is, nm.
    pub at: f64,
    /// Its height; the strongest line alone would have its power.
    pub height: f64,
    /// Places of the lines that make it, each a hundredth of it at least, the one that makes most first.
    pub lines: Vec<usize>,
}

/// Steps for the width of a line in which a spectrum is looked through.
const STEPS_A_WIDTH: f64 = 20.0;
/// A line farther than this many widths adds nothing that could be seen.
pub const REACH: f64 = 3.0;
/// A line that makes less of a peak than this share is not told to be in it.
const LEAST_PART: f64 = 0.01;

/// Height of a line's profile at a distance from its middle, of the width at half height.
fn profile(distance: f64, width: f64) -> f64 {
    exp(-4.0 * std::f64::consts::LN_2 * (distance / width) * (distance / width))
}

/// Height of a spectrum at a wavelength: lines (nm, power) as an instrument smears them (Gaussian, full width at half height in nm).
#[must_use]
pub fn height(lines: &[(f64, f64)], width: f64, at: f64) -> f64 {
    lines
        .iter()
        .filter(|(line, _)| (line - at).abs() <= REACH * width)
        .map(|(line, power)| power * profile(line - at, width))
        .sum()
}

/// The peaks that an instrument shows of lines (nm, power), by wavelength.
#[must_use]
pub fn peaks(lines: &[(f64, f64)], width: f64) -> Vec<Peak> {
    let mut order: Vec<usize> = (0..lines.len()).collect();
    let of = |place: usize| lines.get(place).copied().unwrap_or((0.0, 0.0));
    order.retain(|place| of(*place).1 > 0.0);
    order.sort_by(|a, b| of(*a).0.total_cmp(&of(*b).0));
    let mut found: Vec<Peak> = Vec::new();
    for run in order.chunk_by(|a, b| of(*b).0 - of(*a).0 <= 2.0 * REACH * width) {
        let own: Vec<(f64, f64)> = run.iter().map(|place| of(*place)).collect();
        let (Some(first), Some(last)) = (own.first(), own.last()) else { continue };
        let mut tops = tops(&own, width, first.0, last.0);
        // Each line belongs to the peak that is nearest.
        for place in run {
            let near = |peak: &Peak| (peak.at - of(*place).0).abs();
            if let Some(peak) = tops.iter_mut().min_by(|a, b| near(a).total_cmp(&near(b))) {
                peak.lines.push(*place);
            }
        }
        for peak in &mut tops {
            // The height to which a line lifts the peak.
            let lifts = |place: usize| of(place).1 * profile(of(place).0 - peak.at, width);
            peak.lines.retain(|place| lifts(*place) >= LEAST_PART * peak.height);
            peak.lines.sort_by(|a, b| lifts(*b).total_cmp(&lifts(*a)));
        }
        found.extend(tops);
    }
    found
}

fn tops(own: &[(f64, f64)], width: f64, low: f64, high: f64) -> Vec<Peak> {
    let step = width / STEPS_A_WIDTH;
    let rise = |at: f64| height(own, width, at);
    let mut tops = Vec::new();
    let (mut before, mut here) = (rise(low - 2.0 * step), rise(low - step));
    let mut at = low;
    while at <= high + 2.0 * step {
        let next = rise(at);
        if here > before && here >= next {
            let middle = at - step;
            // The top of the parabola through the three.
            let bend = before - 2.0 * here + next;
            let shift = if bend < 0.0 { 0.5 * (before - next) / bend * step } else { 0.0 };
            tops.push(Peak { at: middle + shift, height: rise(middle + shift), lines: Vec::new() });
        }
        (before, here) = (here, next);
        at += step;
    }
    tops
}

#[cfg(test)]
mod tests {
    use super::*;
    use uom::si::energy::electronvolt;

    fn line(nanometres: f64, probability: f64, upper: f64, weight: f64) -> Line {
        Line {
            wavelength: Length::new::<nanometer>(nanometres),
            probability: Frequency::new::<hertz>(probability),
            upper_energy: Energy::new::<electronvolt>(upper),
            upper_weight: weight,
            doubt: 0.0,
        }
    }

    #[test]
    fn two_lines_of_one_level_share_by_probability_and_photon() {
        let lines = [line(500.0, 3.0, 2.0, 2.0), line(1000.0, 3.0, 2.0, 2.0)];
        let at = ThermodynamicTemperature::new::<kelvin>(2000.0);
        let [value, low, high] = share(&lines, &powers(&lines, at), Line::visible).unwrap();
        assert!((value - 2.0 / 3.0).abs() < 1e-12 && low == value && high == value);
        assert_eq!(share(&[], &[], |_| true), None);
    }

    #[test]
    fn lines_merge_where_the_slit_is_wide() {
        let pair = [(589.0, 2.0), (589.6, 1.0)];
        assert_eq!(peaks(&pair, 0.2).len(), 2);
        let merged = peaks(&pair, 2.0);
        assert_eq!((merged.len(), merged[0].lines.as_slice()), (1, [0, 1].as_slice()));
        assert!((589.0..589.6).contains(&merged[0].at));
        assert!(peaks(&[], 1.0).is_empty() && peaks(&[(1.0, 0.0)], 1.0).is_empty());
    }

    #[test]
    fn the_table_of_the_observer_is_met_at_its_places_and_ends() {
        let observer = Observer {
            from: 360.0,
            step: 5.0,
            functions: (0..6).map(|n| [f64::from(n), 1.0, 0.0]).collect(),
        };
        assert!((observer.at(372.5)[0] - 2.5).abs() < 1e-12 && observer.at(385.0)[0] == 5.0);
        assert_eq!(observer.at(355.0), [0.0; 3]);
        assert_eq!(observer.at(386.0), [0.0; 3]);
        assert!(on_screen(0.3127, 0.3290) && !on_screen(0.57, 0.4295));
    }
}
