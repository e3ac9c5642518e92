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

/// The model of a mixture, at any temperature. Tables are kept flat, one row after the other.
#[derive(Debug, Clone)]
pub struct Model {
    groups: usize,
    /// How often each group occurs: a row for each molecule.
    counts: Vec<f64>,
    r: Vec<f64>,
    r_three_quarters: Vec<f64>,
    q: Vec<f64>,
    group_q: Vec<f64>,
    /// a, b, c: a row for each group n, with a column for each group m.
    interactions: Vec<[f64; 3]>,
}

/// The model at a temperature.
#[derive(Debug, Clone)]
pub struct AtTemperature<'a> {
    model: &'a Model,
    /// Y_nm: a row for each n.
    weights: Vec<f64>,
    /// ln G of each group in each pure liquid: a row for each molecule.
    pure: Vec<f64>,
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
            .flat_map(|from| groups.iter().map(move |to| pair(from, to)))
            .collect::<Result<Vec<_>, _>>()?;
        let count = |molecule: &&Groups, number: &u16| -> f64 {
            molecule.iter().filter(|(g, _)| g == number).map(|(_, count)| count).sum()
        };
        let counts: Vec<f64> = molecules
            .iter()
            .flat_map(|molecule| used.iter().map(move |number| count(molecule, number)))
            .collect();
        let total = |part: fn(&Subgroup) -> f64| -> Vec<f64> {
            counts
                .chunks_exact(groups.len().max(1))
                .map(|row| row.iter().zip(&groups).map(|(n, group)| n * part(group)).sum())
                .collect()
        };
        let r = total(|group| group.r);
        Ok(Self {
            groups: groups.len().max(1),
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
        let weights = self.interactions.iter().map(weight).collect();
        let mut at = AtTemperature { model: self, weights, pure: Vec::new() };
        at.pure = self.counts.chunks_exact(self.groups).flat_map(|row| at.ln_group_activity(row)).collect();
        at
    }
}

impl AtTemperature<'_> {
    /// ln G of each group where the groups occur so often.
    fn ln_group_activity(&self, counts: &[f64]) -> Vec<f64> {
        let mut share: Vec<f64> = counts.iter().zip(&self.model.group_q).map(|(n, q)| n * q).collect();
        let total: f64 = share.iter().sum();
        // sum over m of O_m Y_mk, for each k.
        let mut sums = vec![0.0; share.len()];
        for (share, row) in share.iter_mut().zip(self.weights.chunks_exact(self.model.groups)) {
            *share /= total;
            for (sum, weight) in sums.iter_mut().zip(row) {
                *sum += *share * weight;
            }
        }
        for (share, sum) in share.iter_mut().zip(&sums) {
            *share /= sum;
        }
        self.model
            .group_q
            .iter()
            .zip(self.weights.chunks_exact(self.model.groups))
            .zip(&sums)
            .map(|((q, row), sum)| {
                let spread: f64 = share.iter().zip(row).map(|(share, weight)| share * weight).sum();
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
        let mut counts = vec![0.0; model.groups];
        for (x, row) in x.iter().zip(model.counts.chunks_exact(model.groups)) {
            for (sum, count) in counts.iter_mut().zip(row) {
                *sum += x * count;
            }
        }
        let mixed = self.ln_group_activity(&counts);
        let sizes = model.r.iter().zip(&model.q).zip(&model.r_three_quarters);
        let rows = model.counts.chunks_exact(model.groups).zip(self.pure.chunks_exact(model.groups));
        sizes
            .zip(rows)
            .map(|(((own_r, own_q), own_v), (counts, pure))| {
                let (size, volume_to_surface) = (own_v / v, own_r * q / (r * own_q));
                let combinatorial =
                    1.0 - size + ln(size) - 5.0 * own_q * (1.0 - volume_to_surface + ln(volume_to_surface));
                let groups = counts.iter().zip(mixed.iter().zip(pure));
                let residual: f64 = groups
                    .filter(|(count, _)| **count > 0.0)
                    .map(|(count, (mixed, pure))| count * (mixed - pure))
                    .sum();
                combinatorial + residual
            })
            .collect()
    }
}
