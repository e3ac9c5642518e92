//! Orders what is known by several criteria as ranges, without weighing one criterion against another.
//!
//! A criterion tells two apart only where their ranges do not overlap. Overlapping is not transitive, so that all that a
//! chain of overlapping ranges joins tie in it, and the next criterion is asked; once one has told a group apart, each of
//! its parts is looked at anew, since what joined it may be gone.

use crate::quantity::Estimate;

/// One of those that are ordered: its figures by each criterion, turned so that more is worse.
#[derive(Debug, Clone, PartialEq)]
pub struct Contender {
    /// Its name, which orders those that tie.
    pub name: String,
    /// A figure for each criterion.
    pub figures: Vec<Estimate<f64>>,
}

/// Those that tie, with the criterion that sets them behind the step before.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Step {
    /// Their places among the contenders, by name.
    pub members: Vec<usize>,
    /// The criterion; none in the first step.
    pub by: Option<usize>,
}

impl Contender {
    fn figure(&self, criterion: usize) -> Estimate<f64> {
        self.figures.get(criterion).copied().unwrap_or_else(|| Estimate::exact(f64::INFINITY))
    }

    /// The criteria by which it is clearly better than another; none unless it is no worse by any, at the unfavourable ends.
    #[must_use]
    pub fn dominates(&self, other: &Self) -> Vec<usize> {
        let criteria = 0..self.figures.len().max(other.figures.len());
        if criteria.clone().any(|one| self.figure(one).high > other.figure(one).high) {
            return Vec::new();
        }
        criteria.filter(|one| self.figure(*one).high < other.figure(*one).low).collect()
    }
}

/// The order, the best first.
#[must_use]
pub fn order(contenders: &[Contender]) -> Vec<Step> {
    let mut all: Vec<usize> = (0..contenders.len()).collect();
    let name = |place: &usize| contenders.get(*place).map(|one| one.name.as_str());
    all.sort_by(|a, b| name(a).cmp(&name(b)));
    let mut steps = Vec::new();
    if !all.is_empty() {
        split(contenders, all, None, &mut steps);
    }
    steps
}

fn split(contenders: &[Contender], group: Vec<usize>, by: Option<usize>, steps: &mut Vec<Step>) {
    let criteria = contenders.iter().map(|one| one.figures.len()).max().unwrap_or(0);
    for criterion in 0..criteria {
        let parts = joined(contenders, &group, criterion);
        if parts.len() > 1 {
            for (place, part) in parts.into_iter().enumerate() {
                split(contenders, part, if place == 0 { by } else { Some(criterion) }, steps);
            }
            return;
        }
    }
    steps.push(Step { members: group, by });
}

/// The group in parts whose ranges do not touch, the best first; each keeps the order of the group.
fn joined(contenders: &[Contender], group: &[usize], criterion: usize) -> Vec<Vec<usize>> {
    let mut ranges: Vec<(usize, usize, Estimate<f64>)> = group
        .iter()
        .enumerate()
        .filter_map(|(at, place)| Some((at, *place, contenders.get(*place)?.figure(criterion))))
        .collect();
    ranges.sort_by(|a, b| a.2.low.total_cmp(&b.2.low));
    let mut parts: Vec<Vec<(usize, usize)>> = Vec::new();
    let mut reached = f64::NEG_INFINITY;
    for (at, place, range) in ranges {
        match parts.last_mut() {
            Some(part) if range.low <= reached => part.push((at, place)),
            _ => parts.push(vec![(at, place)]),
        }
        reached = reached.max(range.high);
    }
    for part in &mut parts {
        part.sort_unstable();
    }
    parts.into_iter().map(|part| part.into_iter().map(|(_, place)| place).collect()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn one(name: &str, figures: &[(f64, f64)]) -> Contender {
        let range = |&(low, high): &(f64, f64)| Estimate::new(low.midpoint(high), low, high);
        Contender { name: name.to_owned(), figures: figures.iter().map(range).collect() }
    }

    fn names(contenders: &[Contender]) -> Vec<(Vec<&str>, Option<usize>)> {
        let name = |place: usize| contenders[place].name.as_str();
        order(contenders)
            .into_iter()
            .map(|step| (step.members.into_iter().map(name).collect(), step.by))
            .collect()
    }

    #[test]
    fn ranges_that_overlap_tie_and_the_next_criterion_decides() {
        let all = [one("a", &[(1.0, 3.0), (7.0, 8.0)]), one("b", &[(2.0, 4.0), (1.0, 2.0)])];
        assert_eq!(names(&all), [(vec!["b"], None), (vec!["a"], Some(1))]);
        let tie = [one("d", &[(1.0, 3.0)]), one("c", &[(3.0, 4.0)])];
        assert_eq!(names(&tie), [(vec!["c", "d"], None)]);
    }

    #[test]
    fn a_chain_ties_until_another_criterion_takes_out_what_joins_it() {
        let chain = [one("a", &[(1.0, 3.0)]), one("b", &[(2.0, 6.0)]), one("c", &[(5.0, 7.0)])];
        assert_eq!(names(&chain), [(vec!["a", "b", "c"], None)]);
        // The second criterion takes b away; then the first tells a from c, although c is better by the second.
        let apart = [
            one("a", &[(1.0, 3.0), (4.0, 5.0)]),
            one("b", &[(2.0, 6.0), (8.0, 9.0)]),
            one("c", &[(5.0, 7.0), (3.0, 5.0)]),
        ];
        assert_eq!(names(&apart), [(vec!["a"], None), (vec!["c"], Some(0)), (vec!["b"], Some(1))]);
    }

    #[test]
    fn none_of_a_figure_is_the_best_end_and_ties_with_none() {
        let none = f64::NEG_INFINITY;
        let all =
            [one("ethanol", &[(-3.0, 3.0)]), one("water", &[(none, none)]), one("brine", &[(none, none)])];
        assert_eq!(names(&all), [(vec!["brine", "water"], None), (vec!["ethanol"], Some(0))]);
    }

    #[test]
    fn one_dominates_only_where_it_is_no_worse_anywhere() {
        let better = one("a", &[(1.0, 2.0), (1.0, 4.0)]);
        let worse = one("b", &[(3.0, 4.0), (2.0, 4.0)]);
        assert_eq!(better.dominates(&worse), [0]);
        assert!(worse.dominates(&better).is_empty());
        // By the second its unfavourable end is higher, though the ranges overlap.
        assert!(one("c", &[(1.0, 2.0), (1.0, 4.1)]).dominates(&worse).is_empty());
        assert!(better.dominates(&better).is_empty());
    }
}
