//! Which elements do the peaks of a spectrum show?
//!
//! What an element is expected to show is a list of features, lines and bands, each with a weight. A peak meets a line within the
//! resolution, a band within half its width and half the resolution. Elements whose strongest feature is met, and enough of the
//! others, are taken one after another, the one first that explains most of the peaks left; an element whose peaks all are
//! explained by others is not needed. The bounds are judgement.

/// Something that an element shows.
#[derive(Debug, Clone, PartialEq)]
pub struct Feature {
    /// Where it is, nm.
    pub at: f64,
    /// Width of a band, nm; 0 for a line.
    pub width: f64,
    /// How strongly it is expected, above 0 and at most 1.
    pub weight: f64,
    /// Whether it counts as missing where it is not met.
    pub wanted: bool,
    /// What it is, in words.
    pub name: String,
}

impl Feature {
    /// How far a peak may be from it, nm.
    fn reach(&self, tolerance: f64) -> f64 {
        if self.width > 0.0 { f64::midpoint(self.width, tolerance) } else { tolerance }
    }

    /// How well a peak meets it: 1 in its middle, 0 where it no longer does.
    fn met(&self, peak: f64, tolerance: f64) -> f64 {
        let off = (peak - self.at) / self.reach(tolerance);
        (1.0 - off * off).max(0.0)
    }
}

/// How one element fits the peaks.
#[derive(Debug, Clone, PartialEq)]
pub struct Fit {
    /// Places of its features and of the peaks that meet them.
    pub matched: Vec<(usize, usize)>,
    /// Places of the features that are wanted and not met.
    pub missing: Vec<usize>,
    /// For each peak how well the element explains it.
    pub explains: Vec<f64>,
    /// Share of what is expected that is met, by weight.
    pub share: f64,
    /// Whether it is strong enough to be named.
    pub named: bool,
}

/// Least share of the expected weight that is met.
const LEAST_SHARE: f64 = 0.5;
/// So many features that are met make up for a smaller share.
const FEATURES_ENOUGH: usize = 3;
/// A feature of so much of the highest weight counts as strongest.
const STRONGEST: f64 = 0.9;
/// Few peaks: what is missing of an element may be too weak to be seen.
const FEW_PEAKS: usize = 2;
/// Least weight times fit at which another element may as well have made a peak.
const AS_WELL: f64 = 0.3;

/// How an element fits peaks; features outside the instrument's range must have been left out.
#[must_use]
pub fn fit(features: &[Feature], peaks: &[f64], tolerance: f64) -> Fit {
    // What must show first, the best pairs first; each peak and each feature once.
    let mut pairs: Vec<(f64, usize, usize)> = Vec::new();
    for (place, feature) in features.iter().enumerate() {
        for (number, peak) in peaks.iter().enumerate() {
            let met = feature.met(*peak, tolerance);
            if met > 0.0 {
                pairs.push((met, place, number));
            }
        }
    }
    let wanted = |place: usize| features.get(place).is_some_and(|feature| feature.wanted);
    pairs.sort_by(|a, b| {
        let first = wanted(b.1).cmp(&wanted(a.1)).then(b.0.total_cmp(&a.0));
        first.then(a.1.cmp(&b.1)).then(a.2.cmp(&b.2))
    });
    let mut matched: Vec<(usize, usize)> = Vec::new();
    for (_, place, number) in &pairs {
        if matched.iter().all(|(feature, peak)| feature != place && peak != number) {
            matched.push((*place, *number));
        }
    }
    matched.sort_unstable();
    let explains = peaks
        .iter()
        .enumerate()
        .map(|(number, _)| {
            pairs.iter().filter(|pair| pair.2 == number).map(|pair| pair.0).fold(0.0, f64::max)
        })
        .collect();
    let is_met = |place: usize| matched.iter().any(|(feature, _)| *feature == place);
    let (mut met, mut all, mut missing) = (0.0, 0.0, Vec::new());
    for (place, feature) in features.iter().enumerate() {
        if is_met(place) {
            met += feature.weight;
            all += feature.weight;
        } else if feature.wanted {
            all += feature.weight;
            missing.push(place);
        }
    }
    let share = if all > 0.0 { met / all } else { 0.0 };
    let own = || features.iter().enumerate().filter(|(_, feature)| feature.wanted);
    let most = own().map(|(_, feature)| feature.weight).fold(0.0, f64::max);
    let strongest = own().any(|(place, feature)| feature.weight >= STRONGEST * most && is_met(place));
    let named = strongest && (share >= LEAST_SHARE || matched.len() >= FEATURES_ENOUGH);
    Fit { matched, missing, explains, share, named }
}

/// What the peaks show.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// At least one element.
    Found,
    /// None of the elements that are known here.
    None,
    /// More than one element explains them as well, or too little is seen.
    CannotTell,
}

/// Which elements the peaks show: places of those that are needed, the one that explains most first, and the verdict.
/// `peaks_of_the_flame` tells for each peak whether the flame itself explains it.
#[must_use]
pub fn identify(
    fits: &[Fit],
    features: &[Vec<Feature>],
    peaks: &[f64],
    tolerance: f64,
    peaks_of_the_flame: &[bool],
) -> (Vec<usize>, Verdict) {
    let mut left: Vec<bool> = peaks_of_the_flame.iter().map(|own| !own).collect();
    let mut taken: Vec<usize> = Vec::new();
    loop {
        let gain = |fit: &Fit| -> f64 {
            let newly = fit.explains.iter().zip(&left).filter(|(_, left)| **left).map(|(met, _)| met.sqrt());
            newly.sum::<f64>() * fit.share
        };
        let open = fits.iter().enumerate().filter(|(place, fit)| fit.named && !taken.contains(place));
        let best = open
            .map(|(place, fit)| (place, gain(fit)))
            .filter(|(_, gain)| *gain > 0.0)
            .reduce(|best, next| if next.1 > best.1 { next } else { best });
        let Some((place, _)) = best else { break };
        taken.push(place);
        if let Some(fit) = fits.get(place) {
            for (left, met) in left.iter_mut().zip(&fit.explains) {
                *left &= *met <= 0.0;
            }
        }
    }
    // Few peaks that one other element may have made as well prove nothing.
    let as_well = |place: usize| {
        let own = features.get(place).map_or(&[][..], Vec::as_slice);
        let met =
            |peak: &f64| own.iter().any(|feature| feature.weight * feature.met(*peak, tolerance) >= AS_WELL);
        let mut others =
            peaks.iter().zip(peaks_of_the_flame).filter(|(_, flame)| !**flame).map(|(peak, _)| peak);
        if taken.is_empty() { others.any(met) } else { others.all(met) }
    };
    let few = peaks_of_the_flame.iter().filter(|own| !**own).count() <= FEW_PEAKS;
    let rivals = few && (0..fits.len()).any(|place| !taken.contains(&place) && as_well(place));
    let verdict = match (taken.is_empty(), rivals) {
        (_, true) => Verdict::CannotTell,
        (true, false) => Verdict::None,
        (false, false) => Verdict::Found,
    };
    (taken, verdict)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn feature(at: f64, width: f64, weight: f64) -> Feature {
        Feature { at, width, weight, wanted: true, name: String::new() }
    }

    fn asked(features: &[Vec<Feature>], peaks: &[f64]) -> (Vec<usize>, Verdict) {
        let fits: Vec<Fit> = features.iter().map(|own| fit(own, peaks, 1.0)).collect();
        identify(&fits, features, peaks, 1.0, &vec![false; peaks.len()])
    }

    #[test]
    fn an_element_is_named_by_its_strongest_feature_and_no_other_is_needed_then() {
        let one = vec![feature(500.0, 0.0, 1.0), feature(600.0, 0.0, 0.5)];
        let other = vec![feature(600.2, 0.0, 1.0), feature(700.0, 0.0, 0.9)];
        let all = [one, other];
        assert_eq!(asked(&all, &[500.2, 600.1]), (vec![0], Verdict::Found));
        assert_eq!(asked(&all, &[500.0, 600.0, 700.0]), (vec![0, 1], Verdict::Found));
        assert_eq!(asked(&all, &[400.0, 450.0, 650.0]), (vec![], Verdict::None));
        // One peak that both may have made.
        assert_eq!(asked(&all, &[600.1]).1, Verdict::CannotTell);
    }

    #[test]
    fn what_is_missing_counts_by_its_weight() {
        let fit = fit(&[feature(500.0, 0.0, 1.0), feature(600.0, 20.0, 1.0)], &[500.5], 1.0);
        assert_eq!((fit.matched, fit.missing, fit.share), (vec![(0, 0)], vec![1], 0.5));
        let none = super::fit(&[], &[500.0], 1.0);
        assert!(!none.named && none.share == 0.0);
    }
}
