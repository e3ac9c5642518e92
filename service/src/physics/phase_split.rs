//! Does a liquid split in two, and in which?
//!
//! | step | method |
//! |---|---|
//! | stability | tangent plane distance from a trial phase near each pure part: ln W = ln z + ln g(z) - ln g(w); unstable where sum W > 1 (Michelsen, Fluid Phase Equilib. 9 (1982) 1; memory) |
//! | tie line | successive substitution of K = g(x)/g(y) with the balance of Rachford and Rice (1952; memory) |
//!
//! Both iterations are sped up by the dominant eigenvalue (Orbach, Crowe, Can. J. Chem. Eng. 49 (1971) 509; memory): near
//! a critical point of mixing they would take thousands of rounds.
//!
//! Valid where the model of the activity coefficients is. Ends with [`NotSettled`] after a fixed number of rounds.

use super::activity::AtTemperature;
use super::maths::{exp, ln, root};

/// Two liquid phases in equilibrium.
#[derive(Debug, Clone, PartialEq)]
pub struct Split {
    /// Mole fractions of the phase that is richer in the first part.
    pub first: Vec<f64>,
    /// Mole fractions of the other phase.
    pub second: Vec<f64>,
    /// Share of the second phase in all moles.
    pub second_share: f64,
}

/// The iteration did not settle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("the two liquid phases could not be found in {MOST_ROUNDS} rounds")]
pub struct NotSettled;

/// Rounds after which an iteration is given up.
const MOST_ROUNDS: u32 = 5000;
/// A trial phase that is this near to the liquid is the liquid itself.
const SAME: f64 = 1e-4;
/// A tangent plane distance over RT this small, with this much of it explained by the parabola, belongs to the liquid.
const NEAR_THE_LIQUID: f64 = 1e-3;
const PARABOLA: f64 = 0.8;
/// By how much the sum must exceed one: a liquid so near the border of splitting has the activities of one that does not.
const UNSTABLE: f64 = 1e-5;
/// A trial phase settles to this: only the side of one on which its sum lies is asked for.
const TRIAL_SETTLED: f64 = 1e-7;
/// ln K settles to this.
const SETTLED: f64 = 1e-9;
/// A phase whose Gibbs energy lies less than this below that of the liquid, over RT, changes no figure.
const NOTHING_FREED: f64 = 1e-6;
/// Share of the pure part in its trial phase.
const NEARLY_PURE: f64 = 0.98;

/// The two phases; `None` where the liquid is stable as one.
///
/// # Errors
/// [`NotSettled`].
pub fn split(model: &AtTemperature<'_>, z: &[f64]) -> Result<Option<Split>, NotSettled> {
    let trials = unstable(model, z)?;
    if trials.is_empty() {
        return Ok(None);
    }
    // Looking ahead may lead astray, then step by step; one trial phase may lead back to the liquid, then the next.
    let found = trials.iter().find_map(|trial| {
        [Ahead::default(), Ahead::off()].into_iter().find_map(|ahead| tie_line(model, z, trial, ahead).ok())
    });
    found.map(Some).ok_or(NotSettled)
}

/// The two phases at a temperature near one where they are known.
///
/// # Errors
/// [`NotSettled`].
pub fn followed(model: &AtTemperature<'_>, z: &[f64], near: &Split) -> Result<Option<Split>, NotSettled> {
    let trial: Vec<f64> = near.first.iter().zip(&near.second).zip(z).map(|((x, y), z)| y / x * z).collect();
    // Where it does not settle from there, or the phases have become one, all trial phases are looked at again.
    tie_line(model, z, &trial, Ahead::default()).map_or_else(|_| split(model, z), |found| Ok(Some(found)))
}

/// The trial phases that the liquid gives off, not normed; that with the largest sum first.
fn unstable(model: &AtTemperature<'_>, z: &[f64]) -> Result<Vec<Vec<f64>>, NotSettled> {
    let at_z = model.ln_coefficients(z);
    let mut found: Vec<(f64, Vec<f64>)> = Vec::new();
    for pure in 0..z.len() {
        let mut w: Vec<f64> = z.iter().map(|z| z * (1.0 - NEARLY_PURE)).collect();
        if let Some(part) = w.get_mut(pure) {
            *part += NEARLY_PURE;
        }
        let Some((sum, w)) = settled_trial(model, z, &at_z, w)? else { continue };
        if sum > 1.0 + UNSTABLE {
            found.push((sum, w));
        }
    }
    found.sort_by(|a, b| b.0.total_cmp(&a.0));
    Ok(found.into_iter().map(|(sum, w)| w.into_iter().map(|part| part * sum).collect()).collect())
}

/// The sum and the composition to which a trial phase settles; `None` where it becomes the liquid itself.
fn settled_trial(
    model: &AtTemperature<'_>,
    z: &[f64],
    at_z: &[f64],
    mut w: Vec<f64>,
) -> Result<Option<(f64, Vec<f64>)>, NotSettled> {
    let mut ahead = Ahead::default();
    let ln_activities: Vec<f64> = z.iter().zip(at_z).map(|(z, at_z)| ln(*z) + at_z).collect();
    for _ in 0..MOST_ROUNDS {
        let at_w = model.ln_coefficients(&w);
        if becomes_the_liquid(&w, z, &ln_activities, &at_w) {
            return Ok(None);
        }
        let mut ln_w: Vec<f64> =
            ln_activities.iter().zip(&at_w).map(|(activity, at_w)| activity - at_w).collect();
        let moved = ahead.step(&mut ln_w);
        let weights: Vec<f64> = ln_w.iter().map(|ln| exp(*ln)).collect();
        let sum: f64 = weights.iter().sum();
        w = weights.iter().map(|weight| weight / sum).collect();
        let apart = w.iter().zip(z).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
        if apart < SAME {
            return Ok(None);
        }
        if moved < TRIAL_SETTLED {
            return Ok(Some((sum, w)));
        }
    }
    // Near a critical point of mixing the trial may creep for ever; a phase that would free so little is the liquid itself.
    let at_w = model.ln_coefficients(&w);
    let freed: f64 = w
        .iter()
        .zip(z)
        .zip(at_z.iter().zip(&at_w))
        .map(|((w, z), (at_z, at_w))| w * (ln(w / z) + at_w - at_z))
        .sum();
    if freed > -NOTHING_FREED { Ok(None) } else { Err(NotSettled) }
}

/// Whether a trial phase is on its way to the liquid itself (Michelsen's test: the tangent plane distance is small and that
/// of the parabola whose bottom is the liquid).
fn becomes_the_liquid(w: &[f64], z: &[f64], ln_activities: &[f64], at_w: &[f64]) -> bool {
    let (mut distance, mut slope) = (0.0, 0.0);
    for ((w, z), (activity, at_w)) in w.iter().zip(z).zip(ln_activities.iter().zip(at_w)) {
        let gap = ln(*w) + at_w - activity;
        distance += w * gap;
        slope += (w - z) * gap;
    }
    distance.abs() < NEAR_THE_LIQUID && 2.0 * distance > PARABOLA * slope && slope > 0.0
}

fn tie_line(
    model: &AtTemperature<'_>,
    z: &[f64],
    trial: &[f64],
    mut ahead: Ahead,
) -> Result<Split, NotSettled> {
    let mut ln_k: Vec<f64> = trial.iter().zip(z).map(|(w, z)| ln(w / z)).collect();
    for _ in 0..MOST_ROUNDS {
        let k: Vec<f64> = ln_k.iter().map(|ln_k| exp(*ln_k)).collect();
        let Some((share, x)) = balance(z, &k) else { return Err(NotSettled) };
        let y: Vec<f64> = x.iter().zip(&k).map(|(x, k)| x * k).collect();
        let (x, y) = (normed(x), normed(y));
        let (at_x, at_y) = (model.ln_coefficients(&x), model.ln_coefficients(&y));
        ln_k = at_x.iter().zip(&at_y).map(|(a, b)| a - b).collect();
        let moved = ahead.step(&mut ln_k);
        if moved < SETTLED {
            let apart = x.iter().zip(&y).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
            // The liquid is unstable: an end outside itself is not its equilibrium.
            if apart < SAME || !(0.0..=1.0).contains(&share) {
                return Err(NotSettled);
            }
            let swap = x.first() < y.first();
            let (first, second, second_share) = if swap { (y, x, 1.0 - share) } else { (x, y, share) };
            return Ok(Split { first, second, second_share });
        }
    }
    Err(NotSettled)
}

/// Looks ahead in an iteration whose steps shrink by nearly the same factor each round.
#[derive(Default)]
struct Ahead {
    last: Vec<f64>,
    last_steps: Vec<f64>,
    rounds: u32,
    off: bool,
}

impl Ahead {
    /// One that never looks ahead.
    fn off() -> Self {
        Self { off: true, ..Self::default() }
    }

    /// Rounds between two looks ahead, and the factors that are believed.
    const EVERY: u32 = 5;
    const BELIEVED: std::ops::Range<f64> = 0.3..0.9999;
    /// A step turns back if it goes against the last one by more than this share of it.
    const TURNS_BACK: f64 = 0.3;

    /// Puts `next` further along, if it is time; the size of the step before that.
    fn step(&mut self, next: &mut [f64]) -> f64 {
        if self.last.is_empty() {
            self.last = next.to_vec();
            return f64::INFINITY;
        }
        let steps: Vec<f64> = next.iter().zip(&self.last).map(|(next, last)| next - last).collect();
        let moved = steps.iter().map(|step| step.abs()).fold(0.0, f64::max);
        self.rounds += 1;
        let dot = |a: &[f64], b: &[f64]| -> f64 { a.iter().zip(b).map(|(a, b)| a * b).sum() };
        let (own, both) = (dot(&self.last_steps, &self.last_steps), dot(&steps, &self.last_steps));
        if both < -Self::TURNS_BACK * own {
            // To and fro: half the way, or it would go on for ever.
            for (next, step) in next.iter_mut().zip(&steps) {
                *next -= step / 2.0;
            }
        } else if !self.off && self.rounds.is_multiple_of(Self::EVERY) && moved < 0.1 {
            let factor = both / own;
            // Only where this step is the last one, shortened: other directions have died away.
            let straight = both * both > 0.999 * own * dot(&steps, &steps);
            if straight && Self::BELIEVED.contains(&factor) {
                for (next, step) in next.iter_mut().zip(&steps) {
                    *next += step * factor / (1.0 - factor);
                }
            }
        }
        self.last = next.to_vec();
        self.last_steps = steps;
        moved
    }
}

/// The share of the phase y = K x, and x. On the way to the tie line the share may lie outside 0 to 1.
fn balance(z: &[f64], k: &[f64]) -> Option<(f64, Vec<f64>)> {
    let sum =
        |share: f64| -> f64 { z.iter().zip(k).map(|(z, k)| z * (k - 1.0) / (1.0 + share * (k - 1.0))).sum() };
    let (least, most) = k.iter().fold((f64::MAX, f64::MIN), |(least, most), k| (least.min(*k), most.max(*k)));
    if least >= 1.0 || most <= 1.0 {
        return None;
    }
    // The poles lie at both ends: the sum falls from above to below zero between them.
    let (from, to) = (1.0 / (1.0 - most), 1.0 / (1.0 - least));
    let inset = 1e-9 * (to - from);
    let share = root(sum, from + inset, to - inset, 1e-14)?;
    Some((share, z.iter().zip(k).map(|(z, k)| z / (1.0 + share * (k - 1.0))).collect()))
}

fn normed(x: Vec<f64>) -> Vec<f64> {
    let sum: f64 = x.iter().sum();
    x.into_iter().map(|part| part / sum).collect()
}
