//! Which elements do the peaks of a spectrum show?
//!
//! | figure | equation | source |
//! |---|---|---|
//! | evidence of a peak | e = ln(w f(peak) W / sum w) | likelihood ratio: peaks of the element against peaks anywhere in the range W |
//! | place of a peak | f = 3 (1 - (d/r)^2) / (4 r) | judgement: a parabola over the reach r |
//! | what is missing | - sum ln(1 - 0.9 w) | likelihood ratio; w is taken as the chance that it shows |
//!
//! What an element is expected to show is a list of features, lines and bands, each with a weight. A peak meets a line within the
//! tolerance, a band within half its width and half the tolerance. Sodium is nearly everywhere: where its line is met it is taken
//! first. Then elements are taken one after another, each that explains a peak that those before do not, the one first whose
//! evidence, less what is missing of it, is largest. The bounds are judgement.

use super::maths::ln;

/// Something that an element shows in the range of an instrument.
#[derive(Debug, Clone, PartialEq)]
pub struct Feature {
    /// Where it is, nm.
    pub at: f64,
    /// Width of a band, nm; 0 for a line.
    pub width: f64,
    /// How strongly it is expected, above 0 and at most 1: of all that the element shows, in the range or not.
    pub weight: f64,
    /// Whether it counts as missing where it is not met.
    pub wanted: bool,
    /// Whether it is among the strongest of all that the element shows.
    pub strongest: bool,
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

/// The peaks of a spectrum.
#[derive(Debug, Clone, PartialEq)]
pub struct Spectrum {
    /// Where they are, nm.
    pub peaks: Vec<f64>,
    /// For each whether the flame itself, or a lamp, explains it.
    pub not_of_a_salt: Vec<bool>,
    /// How far a peak may be from a line, nm.
    pub tolerance: f64,
    /// How wide the range of the instrument is, nm.
    pub range: f64,
}

/// How one element fits the peaks.
#[derive(Debug, Clone, PartialEq)]
pub struct Fit {
    /// Places of its features and of the peaks that meet them.
    pub matched: Vec<(usize, usize)>,
    /// Places of the features that are wanted and not met.
    pub missing: Vec<usize>,
    /// For each peak that it explains how much that speaks for it.
    pub explains: Vec<Option<f64>>,
    /// For each peak how well it meets the nearest feature: 1 in its middle, 0 where it meets none.
    closeness: Vec<f64>,
    /// For each peak how well it may be of a feature: the highest weight times how well that one is met.
    likely: Vec<f64>,
    /// Share of what is expected that is met, by weight.
    pub share: f64,
    /// What is missing, as evidence against it.
    against: f64,
    /// Whether enough of what it must show is met for it to be named.
    pub named: bool,
}

impl Fit {
    fn close(&self, peak: usize) -> f64 {
        self.closeness.get(peak).copied().unwrap_or(0.0)
    }

    fn explains(&self, peak: usize) -> bool {
        self.explains.get(peak).is_some_and(Option::is_some)
    }

    /// What speaks for it among some peaks, beyond what others make of them, less what is missing.
    fn evidence(&self, among: &[bool], others: &[f64]) -> f64 {
        let each = self.explains.iter().zip(among).zip(others).filter(|((_, among), _)| **among);
        each.filter_map(|((own, _), other)| own.map(|own| (own - other).max(0.0))).sum::<f64>() - self.against
    }
}

/// Chance that the strongest feature of an element shows.
const SHOWS: f64 = 0.9;
/// A feature of no more weight explains a peak, and proves nothing: an element has many of them.
pub const FAINT: f64 = 0.05;
/// A feature of so much of the highest weight counts as strongest.
pub const STRONGEST: f64 = 0.9;
/// So many peaks show an element whose strongest features are beyond the instrument.
const OF_WEAK_ONES: usize = 2;
/// What must speak for an element before it is taken: ten to one, for each peak that it may be by chance.
const LEAST_EVIDENCE: f64 = std::f64::consts::LN_10;
/// Few peaks: what is missing of an element may be too weak to be seen.
const FEW_PEAKS: usize = 2;
/// How well a peak is met, and how badly, for one element to be preferred to another by it.
const WELL: f64 = 0.5;
const BADLY: f64 = 0.3;
/// Least weight times fit at which an element may have made one of few peaks.
const AS_WELL: f64 = 0.2;

/// How an element fits peaks; features outside the instrument's range must have been left out.
#[must_use]
pub fn fit(features: &[Feature], spectrum: &Spectrum) -> Fit {
    let Spectrum { peaks, tolerance, .. } = spectrum;
    // What must show first, the best pairs first; each peak and each feature once.
    let mut pairs: Vec<(f64, usize, usize)> = Vec::new();
    for (place, feature) in features.iter().enumerate() {
        for (number, peak) in peaks.iter().enumerate() {
            let met = feature.met(*peak, *tolerance);
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
    // What only some salts show is expected where it is met.
    let near = |place: usize| pairs.iter().any(|pair| pair.1 == place);
    let all_expected: f64 = features
        .iter()
        .enumerate()
        .filter(|(place, feature)| feature.wanted || near(*place))
        .map(|(_, feature)| feature.weight)
        .sum();
    // What is met once speaks once: a second peak in a band is explained, and proves nothing more.
    let evidence = |place: usize, number: usize| {
        let (feature, peak) = (features.get(place)?, peaks.get(number)?);
        if feature.weight <= FAINT {
            return Some(0.0);
        }
        let density = 0.75 * feature.met(*peak, *tolerance) / feature.reach(*tolerance);
        Some(ln(feature.weight / all_expected * density * spectrum.range).max(0.0))
    };
    let explains = (0..peaks.len())
        .map(|number| {
            let of = matched.iter().find(|(_, peak)| *peak == number);
            let in_reach = pairs.iter().any(|pair| pair.2 == number);
            of.and_then(|(place, number)| evidence(*place, *number)).or_else(|| in_reach.then_some(0.0))
        })
        .collect();
    let highest = |of: &dyn Fn(f64, usize) -> f64| -> Vec<f64> {
        let each = |number: usize| pairs.iter().filter(move |pair| pair.2 == number);
        (0..peaks.len())
            .map(|number| each(number).map(|pair| of(pair.0, pair.1)).fold(0.0, f64::max))
            .collect()
    };
    let closeness = highest(&|met, _| met);
    let likely = highest(&|met, place| met * features.get(place).map_or(0.0, |feature| feature.weight));
    let is_met = |place: usize| matched.iter().any(|(feature, _)| *feature == place);
    let (mut met, mut all, mut missing, mut against) = (0.0, 0.0, Vec::new(), 0.0);
    for (place, feature) in features.iter().enumerate() {
        if is_met(place) {
            met += feature.weight;
            all += feature.weight;
        } else if feature.wanted {
            all += feature.weight;
            missing.push(place);
            // A peak may stand for two features that are near each other.
            if !near(place) {
                against -= ln(1.0 - SHOWS * feature.weight);
            }
        }
    }
    let share = if all > 0.0 { met / all } else { 0.0 };
    let strong = |must: bool| {
        features
            .iter()
            .enumerate()
            .any(|(place, feature)| feature.strongest && if must { feature.wanted } else { is_met(place) })
    };
    // Where what is strongest lies beyond the instrument or at its very end, weaker ones count, the strongest of them among them.
    let surely =
        features.iter().filter(|feature| feature.wanted).map(|feature| feature.weight).fold(0.0, f64::max);
    let of_them =
        features.iter().enumerate().any(|(place, feature)| feature.weight >= surely && is_met(place));
    let named = strong(false) || !strong(true) && of_them && matched.len() >= OF_WEAK_ONES;
    Fit { matched, missing, explains, closeness, likely, share, against, named }
}

/// Least lines of a lamp that show it.
const OF_A_LAMP: usize = 3;

/// Which peaks are lines of a lamp, where it fits them better than any element does; none else. Where `everywhere`, sodium, meets one
/// better it stays sodium's.
#[must_use]
pub fn of_a_lamp(lamp: &Fit, fits: &[Fit], spectrum: &Spectrum, everywhere: Option<usize>) -> Vec<bool> {
    let own: Vec<bool> = spectrum.not_of_a_salt.iter().map(|known| !known).collect();
    let none = vec![0.0; own.len()];
    let evidence = lamp.evidence(&own, &none);
    let best = fits.iter().map(|fit| fit.evidence(&own, &none)).fold(LEAST_EVIDENCE, f64::max);
    let shown = lamp.named && lamp.matched.len() >= OF_A_LAMP && evidence > best;
    let sodium =
        |peak: usize| everywhere.and_then(|place| fits.get(place)).map_or(0.0, |fit| fit.close(peak));
    // Each line of it makes one peak.
    let its = |peak: usize| lamp.matched.iter().any(|(_, number)| *number == peak);
    (0..own.len()).map(|peak| shown && its(peak) && lamp.close(peak) > sodium(peak)).collect()
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

/// What was found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Found {
    /// What the peaks show.
    pub verdict: Verdict,
    /// Places of the elements that are needed to explain them, the one with the most evidence first; sodium last, and alone where it
    /// cannot be told which they are.
    pub needed: Vec<usize>,
    /// Places of elements that may be there as well: what they show others show, too.
    pub hidden: Vec<usize>,
    /// Places of other elements that fit in part: by evidence, or where it cannot be told which they are by the peaks that each explains.
    pub in_part: Vec<usize>,
}

/// Which elements the peaks show. `everywhere` is the place of sodium; a lamp that is not sure
/// is a rival of what it may have made.
#[must_use]
pub fn identify(fits: &[Fit], spectrum: &Spectrum, everywhere: Option<usize>, lamp: Option<&Fit>) -> Found {
    let own: Vec<bool> = spectrum.not_of_a_salt.iter().map(|flame| !flame).collect();
    let none = vec![0.0; own.len()];
    // Sodium is judged by itself: it proves nothing of the others, and takes its peaks from nobody's evidence.
    let met = |place: &usize| {
        fits.get(*place).is_some_and(|fit| {
            fit.named && own.iter().enumerate().any(|(peak, own)| *own && fit.explains(peak))
        })
    };
    let sodium = everywhere.filter(met);
    let of_sodium =
        |peak: usize| sodium.and_then(|place| fits.get(place)).is_some_and(|fit| fit.explains(peak));
    let rest: Vec<bool> = own.iter().enumerate().map(|(peak, own)| *own && !of_sodium(peak)).collect();
    // Of many peaks one fits by chance.
    let count = rest.iter().filter(|rest| **rest).count();
    #[allow(clippy::cast_precision_loss, reason = "a few dozen")]
    let by_chance = ln(count.max(1) as f64);
    let mut taken: Vec<usize> = Vec::new();
    let explained = |taken: &[usize], peak: usize| {
        taken.iter().any(|place| fits.get(*place).is_some_and(|fit| fit.explains(peak)))
    };
    loop {
        let made: Vec<f64> = (0..rest.len())
            .map(|peak| {
                let of =
                    taken.iter().filter_map(|place| fits.get(*place)?.explains.get(peak).copied().flatten());
                of.fold(0.0, f64::max)
            })
            .collect();
        let best = fits
            .iter()
            .enumerate()
            .filter(|(place, fit)| fit.named && Some(*place) != everywhere && !taken.contains(place))
            .filter(|(_, fit)| {
                rest.iter()
                    .enumerate()
                    .any(|(peak, rest)| *rest && fit.explains(peak) && !explained(&taken, peak))
            })
            .map(|(place, fit)| (place, fit.evidence(&rest, &made)))
            .filter(|(_, gain)| *gain > LEAST_EVIDENCE + by_chance)
            .reduce(|best, next| if next.1 > best.1 { next } else { best });
        let Some((place, _)) = best else { break };
        taken.push(place);
    }
    // What one explained that was taken first, others may explain by now.
    for place in taken.clone() {
        let others: Vec<usize> = taken.iter().copied().filter(|other| *other != place).collect();
        let alone =
            |peak: usize| fits.get(place).is_some_and(|fit| fit.explains(peak)) && !explained(&others, peak);
        if !rest.iter().enumerate().any(|(peak, rest)| *rest && alone(peak)) {
            taken = others;
        }
    }
    let evidence_of = |fit: &Fit| fit.evidence(&rest, &none);
    let evidence = |place: usize| fits.get(place).map_or(f64::NEG_INFINITY, evidence_of);
    let open = |place: &usize| Some(*place) != everywhere && !taken.contains(place);
    // Another element may have made what one of them alone explains.
    let rival = |other: usize, of: usize| {
        let others: Vec<usize> = taken.iter().copied().filter(|place| *place != of).collect();
        let alone = rest.iter().enumerate().filter(|(peak, rest)| {
            **rest && fits.get(of).is_some_and(|fit| fit.explains(*peak)) && !explained(&others, *peak)
        });
        let alone: Vec<usize> = alone.map(|(peak, _)| peak).collect();
        let (Some(of), Some(other_fit)) = (fits.get(of), fits.get(other)) else { return false };
        let all = alone.iter().all(|peak| other_fit.close(*peak) > BADLY);
        // One that also meets well what is met badly, or not at all.
        let more = other_fit.named
            && rest.iter().enumerate().any(|(peak, rest)| {
                *rest && other_fit.close(peak) >= WELL && of.close(peak) <= BADLY && !explained(&others, peak)
            });
        all && (more || evidence(other) >= evidence_of(of) - LEAST_EVIDENCE)
    };
    let rivals = (0..fits.len()).filter(open).any(|other| taken.iter().any(|of| rival(other, *of)));
    let lit = lamp.is_some_and(|lamp| {
        let mut found = rest.iter().enumerate().filter(|(peak, rest)| **rest && explained(&taken, *peak));
        lamp.named && !taken.is_empty() && found.all(|(peak, _)| lamp.close(peak) > BADLY)
    });
    let few = count <= FEW_PEAKS;
    let as_well = |place: usize| {
        let likely = fits.get(place).map_or(&[][..], |fit| fit.likely.as_slice());
        likely.iter().zip(&rest).any(|(likely, rest)| *rest && *likely >= AS_WELL)
    };
    let in_part = |place: &usize| evidence(*place) > by_chance || few && as_well(*place);
    let mut fitting: Vec<usize> = (0..fits.len()).filter(open).filter(in_part).collect();
    fitting.sort_by(|a, b| evidence(*b).total_cmp(&evidence(*a)));
    let strong =
        |place: &&usize| fits.get(**place).is_some_and(|fit| fit.named) && evidence(**place) > LEAST_EVIDENCE;
    let hidden: Vec<usize> = fitting.iter().filter(strong).copied().collect();
    // A peak that only lies in a band that another one met already is no proof.
    let proves = |peak: usize| {
        let met = |place: &usize| {
            fits.get(*place).is_some_and(|fit| fit.matched.iter().any(|(_, number)| *number == peak))
        };
        taken.iter().chain(&sodium).any(met)
    };
    let all = own.iter().filter(|own| **own).count();
    let left = own.iter().enumerate().filter(|(peak, own)| **own && !proves(*peak)).count();
    let nothing = taken.is_empty() && sodium.is_none();
    let verdict = if nothing && fitting.is_empty() {
        Verdict::None
    } else if rivals || lit || 2 * left > all || taken.is_empty() && count > 0 && !fitting.is_empty() {
        Verdict::CannotTell
    } else {
        Verdict::Found
    };
    if verdict == Verdict::CannotTell {
        // The one that explains most peaks first.
        fitting.append(&mut taken);
        let met = |place: usize| {
            let fit = fits.get(place);
            rest.iter()
                .enumerate()
                .filter(|(peak, rest)| **rest && fit.is_some_and(|fit| fit.close(*peak) > BADLY))
                .count()
        };
        fitting.sort_by(|a, b| met(*b).cmp(&met(*a)).then(evidence(*b).total_cmp(&evidence(*a))));
        return Found { verdict, needed: sodium.into_iter().collect(), hidden: Vec::new(), in_part: fitting };
    }
    taken.extend(sodium);
    Found { verdict, needed: taken, hidden, in_part: fitting }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn feature(at: f64, width: f64, weight: f64) -> Feature {
        Feature { at, width, weight, wanted: true, strongest: weight >= STRONGEST, name: String::new() }
    }

    fn spectrum(peaks: &[f64]) -> Spectrum {
        Spectrum {
            peaks: peaks.to_vec(),
            not_of_a_salt: vec![false; peaks.len()],
            tolerance: 1.0,
            range: 400.0,
        }
    }

    fn asked(features: &[Vec<Feature>], peaks: &[f64]) -> (Vec<usize>, Verdict) {
        let spectrum = spectrum(peaks);
        let fits: Vec<Fit> = features.iter().map(|own| fit(own, &spectrum)).collect();
        let found = identify(&fits, &spectrum, None, None);
        (found.needed, found.verdict)
    }

    #[test]
    fn an_element_is_named_by_its_strongest_feature_and_no_other_is_needed_then() {
        let one = vec![feature(500.0, 0.0, 1.0), feature(600.0, 0.0, 0.5)];
        let other = vec![feature(600.2, 0.0, 1.0), feature(700.0, 0.0, 0.9)];
        let all = [one, other];
        assert_eq!(asked(&all, &[500.2, 600.1]), (vec![0], Verdict::Found));
        assert_eq!(asked(&all, &[500.0, 600.0, 700.0]), (vec![1, 0], Verdict::Found));
        assert_eq!(asked(&all, &[400.0, 450.0, 650.0]), (vec![], Verdict::None));
        // One peak that both may have made.
        assert_eq!(asked(&all, &[600.1]).1, Verdict::CannotTell);
    }

    #[test]
    fn most_peaks_left_over_show_nothing() {
        let all = [vec![feature(500.0, 0.0, 1.0)]];
        assert_eq!(asked(&all, &[500.1, 430.0]).1, Verdict::Found);
        assert_eq!(asked(&all, &[500.1, 430.0, 450.0, 620.0]).1, Verdict::CannotTell);
    }

    #[test]
    fn weak_lines_alone_show_an_element_where_there_are_two() {
        let weak = |at| Feature { strongest: false, ..feature(at, 0.0, 0.2) };
        let all = [vec![weak(404.0), weak(440.0)]];
        assert_eq!(asked(&all, &[404.1]).1, Verdict::CannotTell);
        assert_eq!(asked(&all, &[404.1, 440.1]), (vec![0], Verdict::Found));
    }

    #[test]
    fn sodium_is_told_beside_a_band_that_covers_its_line_and_proves_nothing_of_others() {
        let spectrum = spectrum(&[589.2, 622.0]);
        let sodium = vec![feature(589.3, 0.0, 1.0)];
        let calcium = vec![feature(622.0, 20.0, 1.0), Feature { wanted: false, ..feature(592.0, 8.0, 0.4) }];
        let features = [sodium, calcium, vec![feature(624.0, 20.0, 1.0)]];
        let fits: Vec<Fit> = features.iter().map(|own| fit(own, &spectrum)).collect();
        let found = identify(&fits, &spectrum, Some(0), None);
        assert!(found.needed.contains(&0) && found.verdict == Verdict::CannotTell, "{found:?}");
        assert_eq!(found.in_part.len() + found.needed.len(), 3, "{found:?}");
    }

    #[test]
    fn what_is_missing_counts_by_its_weight() {
        let fit = fit(&[feature(500.0, 0.0, 1.0), feature(600.0, 20.0, 1.0)], &spectrum(&[500.5]));
        assert_eq!((fit.matched, fit.missing, fit.share), (vec![(0, 0)], vec![1], 0.5));
        let none = super::fit(&[], &spectrum(&[500.0]));
        assert!(!none.named && none.share == 0.0);
    }
}
