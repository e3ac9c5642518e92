//! `flame-colour` with `peaks`: which elements the peaks of a spectrum show.

use super::draft;
use super::flame_colour::{self, Gas, Instrument, hundredths, omitted, shown};
use super::flame_fuel::Flame;
use super::reader::Asked;
use super::record::{Group, record};
use super::{Composed, Scope, Series};
use crate::catalogue::Catalogue;
use crate::catalogue::flame_elements::{Element, Model};
use crate::physics::emission;
use crate::physics::identification::{self, Feature, Fit, Verdict};
use crate::quantity::Estimate;
use crate::quantity::round::{four_digits, significant};
use brimline_openapi::{
    FlameCandidate, FlameColourReply, Identified, MatchedPeak, MissingPeak, Quantity, Text,
};
use std::collections::BTreeSet;
use uom::si::f64::{Length, ThermodynamicTemperature};

/// A line of an alkali metal is expected down to this height beside the highest.
const LOWEST: f64 = 5e-6;
/// Decades over which the weight of a line falls from 1 to 0: instruments are overdriven by strong lines and show faint ones too.
const DECADES: f64 = 6.0;
/// Weight of the first line of an atom beside bands.
const BESIDE_BANDS: f64 = 0.7;
/// Lines of an atom that a flame excites beside bands end in the ground state and come from below this energy, eV.
const EXCITED: f64 = 3.3;
/// Weight of a band that shows with one kind of salt alone.
const ONLY_WITH: f64 = 0.5;
/// The element that is nearly everywhere.
const EVERYWHERE: &str = "Na";

/// What an element is expected to show to an instrument.
fn features(
    element: &Element,
    instrument: &Instrument,
    temperature: ThermodynamicTemperature,
    catalogue: &'static Catalogue,
) -> Vec<Feature> {
    let emitters = &catalogue.emitters;
    let gas = Gas::of(emitters, &element.symbol, temperature);
    let mut found = Vec::new();
    let lines: Vec<(f64, f64)> =
        gas.lines.iter().map(|line| (line.nanometres(), line.power(temperature))).collect();
    if element.model == Model::Bands {
        let known = gas.known.iter().filter(|line| line.to_the_ground() && line.upper_energy < EXCITED);
        // The strongest one alone.
        let strongest =
            known.max_by(|a, b| a.emission().power(temperature).total_cmp(&b.emission().power(temperature)));
        found.extend(strongest.map(|line| Feature {
            at: line.wavelength,
            width: 0.0,
            weight: BESIDE_BANDS,
            wanted: true,
            name: format!("line of {} atoms", element.name),
        }));
    } else {
        let peaks = emission::peaks(&lines, instrument.resolution.number);
        let highest = peaks.iter().map(|peak| peak.height).fold(0.0, f64::max);
        for peak in peaks.iter().filter(|peak| peak.height >= LOWEST * highest) {
            found.push(Feature {
                at: hundredths(peak.at),
                width: 0.0,
                weight: 1.0 + crate::physics::maths::log10(peak.height / highest) / DECADES,
                wanted: true,
                name: format!("line of {} atoms", element.name),
            });
        }
    }
    let mut bands: Vec<_> =
        emitters.bands_of(&element.symbol).filter(|band| band.strength.is_some()).collect();
    bands.sort_by(|a, b| a.emitter.cmp(&b.emitter).then(a.centre.total_cmp(&b.centre)));
    // Two bands nearer than half their width are one.
    for run in bands.chunk_by(|a, b| a.emitter == b.emitter && b.centre - a.centre < a.width / 2.0) {
        let (Some(first), Some(last)) = (run.first(), run.last()) else { continue };
        let strength = run.iter().filter_map(|band| band.strength).fold(0.0, f64::max);
        let optional = first.only_with.is_some();
        found.push(Feature {
            at: f64::midpoint(first.centre, last.centre),
            width: first.width.max(last.width),
            weight: strength * if optional { ONLY_WITH } else { 1.0 },
            wanted: !optional,
            name: format!("band of {}", first.emitter),
        });
    }
    found.retain(|feature| instrument.shows(feature.at));
    found
}

/// Answers the question.
pub fn compose(
    asked: &[Asked<Length>],
    tolerance: Option<&Asked<Length>>,
    instrument: &Instrument,
    hot: Estimate<ThermodynamicTemperature>,
    flames: &[Flame],
    scope: &mut Scope,
    request: Group,
) -> Option<Composed> {
    let mut draft = scope.draft_taken();
    let catalogue = draft.catalogue;
    let peaks: Vec<f64> = asked.iter().map(|peak| peak.number).collect();
    let tolerance = tolerance.map_or(instrument.resolution.number, |tolerance| tolerance.number);
    let elements = &catalogue.flame_elements.element;
    let features: Vec<Vec<Feature>> =
        elements.iter().map(|element| features(element, instrument, hot.value, catalogue)).collect();
    let fits: Vec<Fit> = features.iter().map(|own| identification::fit(own, &peaks, tolerance)).collect();
    let of_the_flame: Vec<bool> = peaks
        .iter()
        .map(|peak| {
            let reach = |width: f64| f64::midpoint(width, tolerance);
            catalogue.emitters.bands_of_the_flame().any(|band| (band.centre - peak).abs() < reach(band.width))
        })
        .collect();
    let (needed, verdict) = identification::identify(&fits, &features, &peaks, tolerance, &of_the_flame);
    draft.consider("flame_colour");
    draft.method("identification");
    for element in elements {
        let gas = Gas::of(&catalogue.emitters, &element.symbol, hot.value);
        let bands: Vec<_> = catalogue.emitters.bands_of(&element.symbol).collect();
        flame_colour::sources(&mut draft, &gas, &bands);
    }
    flame_colour::work_cautions(&mut draft);
    draft.caution("sodium_everywhere", "Sodium is in nearly everything: its peak near 589 nm is likely a contamination, and alone it proves little.");
    let named = |place: &usize| {
        fits.get(*place)
            .is_some_and(|fit| fit.named || verdict == Verdict::CannotTell && !fit.matched.is_empty())
    };
    let mut order: Vec<usize> = needed.clone();
    let mut others: Vec<usize> =
        (0..fits.len()).filter(|place| !needed.contains(place) && named(place)).collect();
    let share = |place: &usize| fits.get(*place).map_or(0.0, |fit| fit.share);
    others.sort_by(|a, b| share(b).total_cmp(&share(a)));
    order.extend(others);
    let found = verdict == Verdict::Found;
    let one = |place: &usize| {
        let (element, fit, own) = (elements.get(*place)?, fits.get(*place)?, features.get(*place)?);
        Some(candidate(element, fit, own, &peaks, found && needed.contains(place)))
    };
    let candidates: Vec<FlameCandidate> = order.iter().filter_map(one).collect();
    let unexplained: Vec<f64> = peaks
        .iter()
        .enumerate()
        .filter(|(number, _)| {
            let explained = |place: &usize| {
                fits.get(*place).and_then(|fit| fit.explains.get(*number)).is_some_and(|met| *met > 0.0)
            };
            !of_the_flame.get(*number).copied().unwrap_or(false) && !needed.iter().any(explained)
        })
        .map(|(_, peak)| *peak)
        .collect();
    let sentence = sentence(verdict, &candidates, unexplained.len());
    let verdict_shown = draft.bare_verdict(|_| draft::sentence(&scope.rules, &sentence, "", ""));
    let record = record(&draft, request).ok()?;
    let series = series(&candidates);
    let reply = FlameColourReply {
        verdict: verdict_shown.clone(),
        element: None,
        salt: None,
        flame_temperature: Some(super::flame_fuel::shown_temperature(hot)),
        flames: flames.iter().map(Flame::shown).collect(),
        lines: None,
        visible_share: None,
        near_infrared_share: None,
        luminous_efficacy: None,
        bands: None,
        bands_dominate: None,
        colour: None,
        instrument: None,
        identified: Some(match verdict {
            Verdict::Found => Identified::Found,
            Verdict::None => Identified::None,
            Verdict::CannotTell => Identified::CannotTell,
        }),
        candidates: Some(candidates),
        unexplained: Some(unexplained.into_iter().map(|peak| Quantity::exact(peak, "nm")).collect()),
        omitted: omitted(),
        basis: draft.close(&scope.rules, record),
    };
    Some(Composed { series: Some(series), ..Composed::of(reply, &verdict_shown) })
}

fn candidate(
    element: &'static Element,
    fit: &Fit,
    features: &[Feature],
    peaks: &[f64],
    found: bool,
) -> FlameCandidate {
    let nm = |number: f64| Quantity::exact(number, "nm");
    let matched = fit.matched.iter().filter_map(|(feature, peak)| {
        let (feature, peak) = (features.get(*feature)?, peaks.get(*peak)?);
        Some(MatchedPeak { peak: nm(*peak), wavelength: nm(feature.at), feature: feature.name.clone() })
    });
    let missing = fit.missing.iter().filter_map(|place| {
        let feature = features.get(*place)?;
        Some(MissingPeak { wavelength: nm(feature.at), feature: feature.name.clone() })
    });
    let unexplained =
        peaks.iter().zip(&fit.explains).filter(|(_, met)| **met <= 0.0).map(|(peak, _)| nm(*peak));
    FlameCandidate {
        element: shown(element),
        found,
        met: Quantity::exact(four_digits(100.0 * fit.share), "%"),
        matched: matched.collect(),
        missing: missing.collect(),
        unexplained: unexplained.collect(),
        likely_contamination: element.symbol == EVERYWHERE,
    }
}

fn sentence(verdict: Verdict, candidates: &[FlameCandidate], unexplained: usize) -> String {
    let names = |found: bool| {
        let of = candidates.iter().filter(|one| !found || one.found);
        let name = |one: &FlameCandidate| {
            let name: &Text = &one.element.name;
            if one.likely_contamination {
                format!("{name} (likely a contamination)")
            } else {
                name.to_string()
            }
        };
        of.map(name).collect::<Vec<_>>().join(", ")
    };
    let left = match unexplained {
        0 => String::new(),
        1 => " One peak is not explained.".to_owned(),
        count => format!(" {} peaks are not explained.", significant(count as f64, 3)),
    };
    match verdict {
        Verdict::Found => format!("The peaks show {}.{left} No limit was checked.", names(true)),
        Verdict::None => {
            "The peaks show none of the elements that are known here. No limit was checked.".to_owned()
        }
        Verdict::CannotTell => format!(
            "It cannot be told which element the peaks show; among those that fit in part: {}. No limit was checked.",
            names(false)
        ),
    }
}

fn series(candidates: &[FlameCandidate]) -> Series {
    let header = ["element", "found", "met [%]", "peak [nm]", "wavelength [nm]", "feature"]
        .map(str::to_owned)
        .to_vec();
    let mut rows = Vec::new();
    for one in candidates {
        let own = || [one.element.symbol.to_string(), one.found.to_string(), one.met.value.to_string()];
        for peak in &one.matched {
            let more = [peak.peak.value.to_string(), peak.wavelength.value.to_string(), peak.feature.clone()];
            rows.push(own().into_iter().chain(more).collect());
        }
        let missed: BTreeSet<String> = one
            .missing
            .iter()
            .map(|missing| format!("{} {}", missing.wavelength.value, missing.feature))
            .collect();
        for missing in missed {
            let (at, feature) = missing.split_once(' ').unwrap_or((&missing, ""));
            rows.push(own().into_iter().chain([String::new(), at.to_owned(), feature.to_owned()]).collect());
        }
    }
    Series { header, rows }
}
