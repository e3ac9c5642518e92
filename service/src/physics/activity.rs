//! How much more strongly does a part of a mixture evaporate than in an ideal one?
//!
//! Modified UNIFAC (Dortmund): Weidlich, Gmehling, Ind. Eng. Chem. Res. 26 (1987) 1372 (equations: memory); parameters in
//! `catalogue/groups.toml`. With q, r the surface and volume of a molecule (sums over its groups), x mole fractions:
//!
//! | part | equation |
//! |---|---|
//! | combinatorial | ln g = 1 - V' + ln V' - 5 q (1 - V/F + ln(V/F)), V = r / sum x r, F = q / sum x q, V' = r^(3/4) / sum x r^(3/4) |
//! | residual | ln g = sum n (ln G - ln G of the pure liquid), ln G_k = Q_k (1 - ln sum_m O_m Y_mk - sum_m O_m Y_km / sum_n O_n Y_nm) |
//! | interaction | Y_nm = exp(-(a + b T + c T^2)/T), T in K; O the surface fractions of the groups |
//!
//! A pair of main groups without parameters is not known: no model is made then.

use super::maths::{exp, ln, pow};
use std::collections::BTreeMap;
use uom::si::f64::ThermodynamicTemperature;
use uom::si::thermodynamic_temperature::kelvin;

/// A subgroup: its main group, relative volume and surface.
#[derive(Debug, Clone, PartialEq)]
pub struct Subgroup {
    /// Number of its main group.
    pub main: u16,
    /// Name of its main group.
    pub main_name: String,
    /// Relative volume.
    pub r: f64,
    /// Relative surface.
    pub q: f64,
}

/// The published table.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Table {
    /// Subgroups by number.
    pub subgroups: BTreeMap<u16, Subgroup>,
    /// a (K), b, c (1/K) by the numbers of two main groups, in this order.
    pub interactions: BTreeMap<(u16, u16), [f64; 3]>,
}

/// The groups of a molecule: number of the subgroup and how often it occurs.
pub type Groups = [(u16, f64)];

/// A pair of main groups without parameters, by name.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("no parameters are published for the groups {0} and {1}")]
pub struct MissingPair(pub String, pub String);

/// The model of a mixture, at any temperature.
#[derive(Debug, Clone)]
pub struct Model {
    /// For each molecule: how often each group occurs.
    counts: Vec<Vec<f64>>,
    r: Vec<f64>,
    r_three_quarters: Vec<f64>,
    q: Vec<f64>,
    group_q: Vec<f64>,
    interactions: Vec<Vec<[f64; 3]>>,
}

/// The model at a temperature.
#[derive(Debug, Clone)]
pub struct AtTemperature<'a> {
    model: &'a Model,
    /// `weights[n][m]` is Y_nm.
    weights: Vec<Vec<f64>>,
    /// ln G of each group in each pure liquid.
    pure: Vec<Vec<f64>>,
}

impl Model {
    /// The model of molecules.
    ///
    /// # Errors
    /// The first pair of main groups that has no parameters. A subgroup that is not in the table counts as one.
    pub fn new(table: &Table, molecules: &[&Groups]) -> Result<Self, MissingPair> {
        let mut used: Vec<u16> = molecules.iter().flat_map(|groups| groups.iter().map(|(g, _)| *g)).collect();
        used.sort_unstable();
        used.dedup();
        let subgroup = |number: &u16| {
            let name = || number.to_string();
            table.subgroups.get(number).ok_or_else(|| MissingPair(name(), name()))
        };
        let groups = used.iter().map(subgroup).collect::<Result<Vec<_>, _>>()?;
        let pair = |from: &Subgroup, to: &Subgroup| {
            if from.main == to.main {
                return Ok([0.0; 3]);
            }
            let known = table.interactions.get(&(from.main, to.main)).copied();
            known.ok_or_else(|| MissingPair(from.main_name.clone(), to.main_name.clone()))
        };
        let interactions = groups
            .iter()
            .map(|from| groups.iter().map(|to| pair(from, to)).collect::<Result<Vec<_>, _>>())
            .collect::<Result<Vec<_>, _>>()?;
        let count = |molecule: &&Groups| -> Vec<f64> {
            let of =
                |number: &u16| molecule.iter().filter(|(g, _)| g == number).map(|(_, count)| count).sum();
            used.iter().map(of).collect()
        };
        let counts: Vec<Vec<f64>> = molecules.iter().map(count).collect();
        let total = |part: fn(&Subgroup) -> f64| -> Vec<f64> {
            counts.iter().map(|row| row.iter().zip(&groups).map(|(n, group)| n * part(group)).sum()).collect()
        };
        let r = total(|group| group.r);
        Ok(Self {
            r_three_quarters: r.iter().map(|r| pow(*r, 0.75)).collect(),
            r,
            q: total(|group| group.q),
            group_q: groups.iter().map(|group| group.q).collect(),
            interactions,
            counts,
        })
    }

    /// The model at a temperature.
    #[must_use]
    pub fn at(&self, temperature: ThermodynamicTemperature) -> AtTemperature<'_> {
        let t = temperature.get::<kelvin>();
        let weight = |[a, b, c]: &[f64; 3]| {
            if *a == 0.0 && *b == 0.0 && *c == 0.0 { 1.0 } else { exp(-(a + b * t + c * t * t) / t) }
        };
        let weights: Vec<Vec<f64>> =
            self.interactions.iter().map(|row| row.iter().map(weight).collect()).collect();
        let mut at = AtTemperature { model: self, weights, pure: Vec::new() };
        at.pure = self.counts.iter().map(|counts| at.ln_group_activity(counts)).collect();
        at
    }
}

impl AtTemperature<'_> {
    /// ln G of each group where the groups occur so often.
    fn ln_group_activity(&self, counts: &[f64]) -> Vec<f64> {
        let surface: Vec<f64> = counts.iter().zip(&self.model.group_q).map(|(n, q)| n * q).collect();
        let total: f64 = surface.iter().sum();
        let share: Vec<f64> = surface.iter().map(|part| part / total).collect();
        // Column sums: sum over m of O_m Y_mk.
        let column = |k: usize| -> f64 {
            share.iter().zip(&self.weights).filter_map(|(share, row)| Some(share * row.get(k)?)).sum()
        };
        let sums: Vec<f64> = (0..share.len()).map(column).collect();
        self.model
            .group_q
            .iter()
            .zip(&self.weights)
            .zip(&sums)
            .map(|((q, row), sum)| {
                let spread: f64 =
                    share.iter().zip(row).zip(&sums).map(|((share, weight), sum)| share * weight / sum).sum();
                q * (1.0 - ln(*sum) - spread)
            })
            .collect()
    }

    /// The natural logarithm of each activity coefficient; `x` are mole fractions in the order of the molecules.
    #[must_use]
    pub fn ln_coefficients(&self, x: &[f64]) -> Vec<f64> {
        let model = self.model;
        let weighted = |values: &[f64]| -> f64 { x.iter().zip(values).map(|(x, value)| x * value).sum() };
        let (r, q, v) = (weighted(&model.r), weighted(&model.q), weighted(&model.r_three_quarters));
        let mut counts = vec![0.0; model.group_q.len()];
        for (x, row) in x.iter().zip(&model.counts) {
            for (sum, count) in counts.iter_mut().zip(row) {
                *sum += x * count;
            }
        }
        let mixed = self.ln_group_activity(&counts);
        (0..x.len())
            .map(|i| {
                let own = |values: &[f64]| values.get(i).copied().unwrap_or(0.0);
                let (size, surface) = (own(&model.r_three_quarters) / v, own(&model.q) / q);
                let volume = own(&model.r) / r;
                let combinatorial = 1.0 - size + ln(size)
                    - 5.0 * own(&model.q) * (1.0 - volume / surface + ln(volume / surface));
                let residual: f64 = match (model.counts.get(i), self.pure.get(i)) {
                    (Some(counts), Some(pure)) => counts
                        .iter()
                        .zip(&mixed)
                        .zip(pure)
                        .filter(|((count, _), _)| **count > 0.0)
                        .map(|((count, mixed), pure)| count * (mixed - pure))
                        .sum(),
                    _ => 0.0,
                };
                combinatorial + residual
            })
            .collect()
    }
}
