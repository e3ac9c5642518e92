//! `flame-colour` with `peaks`: which elements the peaks of a spectrum show.

use super::draft;
use super::flame_colour::{self, Gas, Instrument, hundredths, omitted, shown};
use super::flame_fuel::Flame;
use super::reader::Asked;
use super::record::{Group, record};
use super::rules::Rules;
use super::{Composed, Scope, Series};
use crate::catalogue::Catalogue;
use crate::catalogue::emitters::LampLine;
use crate::catalogue::flame_elements::{Element, Model};
use crate::physics::emission;
use crate::physics::identification::{self, Feature, Fit, Spectrum, Verdict};
use crate::quantity::Estimate;
use crate::quantity::round::{four_digits, significant};
use brimline_openapi::{
    FlameCandidate, FlameColourReply, FlamePeak, Identified, MatchedPeak, MissingPeak, Quantity, Text,
};
use std::collections::BTreeSet;
use uom::si::f64::{Length, ThermodynamicTemperature};

/// A line of an alkali metal is expected down to this height beside the highest.
const LOWEST: f64 = 2e-7;
/// Decades over which the weight of a line falls from 1 to 0: instruments are overdriven by strong lines and show faint ones too.
const DECADES: f64 = 5.0;
/// Lines of an atom that a flame excites beside bands end in the ground state and come from below this energy, eV.
const EXCITED: f64 = 3.3;
/// Least weight of the strongest line that an instrument shows where stronger ones lie beyond it.
const FIRST_OF_WEAK: f64 = 0.3;
/// Weight of a band that shows with one kind of salt alone.
const ONLY_WITH: f64 = 0.5;
/// The element that is nearly everywhere.
const EVERYWHERE: &str = "Na";

/// What an element is expected to show to an instrument.
fn features(
    element: &Element,
    instrument: &Instrument,
    tolerance: f64,
    temperature: ThermodynamicTemperature,
    catalogue: &'static Catalogue,
) -> Vec<Feature> {
    let emitters = &catalogue.emitters;
    let gas = Gas::of(emitters, &element.symbol, temperature);
    let mut found = Vec::new();
    let of_atoms = |at: f64, weight: f64| Feature {
        at,
        width: 0.0,
        weight,
        wanted: true,
        strongest: false,
        name: format!("line of {} atoms", element.name),
    };
    let lines: Vec<(f64, f64)> =
        gas.lines.iter().map(|line| (line.nanometres(), line.power(temperature))).collect();
    if element.model == Model::Bands {
        let known = gas.known.iter().filter(|line| line.to_the_ground() && line.upper_energy < EXCITED);
        // The strongest one alone.
        let strongest =
            known.max_by(|a, b| a.emission().power(temperature).total_cmp(&b.emission().power(temperature)));
        found.extend(strongest.zip(element.line).map(|(line, weight)| of_atoms(line.wavelength, weight)));
    } else {
        let peaks = emission::peaks(&lines, instrument.resolution.number);
        let highest = peaks.iter().map(|peak| peak.height).fold(0.0, f64::max);
        for peak in peaks.iter().filter(|peak| peak.height >= LOWEST * highest) {
            let weight = 1.0 + crate::physics::maths::log10(peak.height / highest) / DECADES;
            found.push(of_atoms(hundredths(peak.at), weight.max(identification::FAINT)));
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
        let width = first.width.max(last.width);
        found.push(Feature {
            at: hundredths(f64::midpoint(first.centre, last.centre)),
            // From the beginning of the first to the end of the last.
            width: width + last.centre - first.centre,
            weight: strength * if optional { ONLY_WITH } else { 1.0 },
            wanted: !optional,
            // With its own salt a band may be the strongest of all.
            strongest: optional && strength >= identification::STRONGEST,
            name: format!("band of {}", first.emitter),
        });
    }
    // By all that it shows, whether this instrument shows it or not.
    let most = found.iter().map(|feature| feature.weight).fold(0.0, f64::max);
    for feature in &mut found {
        feature.strongest |= feature.wanted && feature.weight >= identification::STRONGEST * most;
    }
    found.retain(|feature| instrument.reaches(feature.at, tolerance));
    // Where the strongest lie beyond the instrument the strongest one that it shows is looked for.
    if !found.iter().any(|feature| feature.strongest && instrument.shows(feature.at))
        && let Some(first) =
            found.iter_mut().max_by(|a, b| a.weight.total_cmp(&b.weight).then(b.at.total_cmp(&a.at)))
    {
        first.weight = first.weight.max(FIRST_OF_WEAK);
    }
    for feature in &mut found {
        // Just beyond the end it may show, and need not.
        feature.wanted &= instrument.shows(feature.at);
    }
    found
}

/// The elements with what each is expected to show, and how it fits.
struct Fitted {
    elements: &'static [Element],
    features: Vec<Vec<Feature>>,
    fits: Vec<Fit>,
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
    let mut peaks: Vec<f64> = asked.iter().map(|peak| peak.number).collect();
    // Their order in the request says nothing.
    peaks.sort_by(f64::total_cmp);
    let tolerance = tolerance.map_or(instrument.resolution.number, |tolerance| tolerance.number);
    let elements = catalogue.flame_elements.element.as_slice();
    let mut not_of_a_salt: Vec<Option<&'static str>> =
        peaks.iter().map(|peak| of_the_flame(*peak, tolerance, catalogue)).collect();
    let mut spectrum = Spectrum {
        not_of_a_salt: not_of_a_salt.iter().map(Option::is_some).collect(),
        tolerance,
        range: instrument.to.number - instrument.from.number,
        peaks,
    };
    let features: Vec<Vec<Feature>> = elements
        .iter()
        .map(|element| features(element, instrument, tolerance, hot.value, catalogue))
        .collect();
    let fits: Vec<Fit> = features.iter().map(|own| identification::fit(own, &spectrum)).collect();
    let everywhere = elements.iter().position(|element| element.symbol == EVERYWHERE);
    let lamp = identification::fit(&lamp(instrument, tolerance, catalogue), &spectrum);
    let of_a_lamp = identification::of_a_lamp(&lamp, &fits, &spectrum, everywhere);
    for ((emitter, known), lit) in not_of_a_salt.iter_mut().zip(&mut spectrum.not_of_a_salt).zip(&of_a_lamp) {
        if *lit && emitter.is_none() {
            *emitter = Some(LAMP);
            *known = true;
        }
    }
    let found = identification::identify(&fits, &spectrum, everywhere, Some(&lamp));
    let fitted = Fitted { elements, features, fits };
    draft.consider("flame_colour");
    draft.method("identification");
    for element in elements {
        let gas = Gas::of(&catalogue.emitters, &element.symbol, hot.value);
        let bands: Vec<_> = catalogue.emitters.bands_of(&element.symbol).collect();
        flame_colour::sources(&mut draft, &gas, &bands);
    }
    flame_colour::work_cautions(&mut draft);
    draft.caution("sodium_everywhere", "Sodium is in nearly everything: its peak near 589 nm is likely a contamination, and alone it proves little.");
    draft.caution("lamps", "Lamps and daylight show lines of their own, and elements that are not known here have theirs: dark room, and the flame without the salt measured first (common practice, no source).");
    let mut order = found.needed.clone();
    order.extend(found.hidden.iter().chain(&found.in_part).filter(|place| !found.needed.contains(place)));
    let mut seen = BTreeSet::new();
    order.retain(|place| seen.insert(*place));
    // Where nothing is found sodium alone is sure.
    let sure = |place: usize| {
        found.needed.contains(&place) && (found.verdict == Verdict::Found || Some(place) == everywhere)
    };
    let candidates: Vec<FlameCandidate> =
        order.iter().filter_map(|place| candidate(&fitted, *place, &spectrum, sure(*place))).collect();
    let unexplained: Vec<f64> = spectrum
        .peaks
        .iter()
        .enumerate()
        .filter(|(number, _)| {
            let explained = |place: &usize| {
                fitted.fits.get(*place).and_then(|fit| fit.explains.get(*number)).is_some_and(Option::is_some)
            };
            !spectrum.not_of_a_salt.get(*number).copied().unwrap_or(false)
                && !found.needed.iter().any(explained)
        })
        .map(|(_, peak)| *peak)
        .collect();
    let own: Vec<FlamePeak> = spectrum
        .peaks
        .iter()
        .zip(&not_of_a_salt)
        .filter_map(|(peak, emitter)| {
            Some(FlamePeak { peak: Quantity::exact(*peak, "nm"), emitter: Text::Borrowed((*emitter)?) })
        })
        .collect();
    let name = |place: &usize| elements.get(*place).map(|element| element.name.as_str());
    let hidden: Vec<&str> = found.hidden.iter().filter_map(name).collect();
    let parts = sentence(found.verdict, &candidates, &hidden, unexplained.len(), own.len());
    let verdict_shown = draft.bare_verdict(|_| told(&scope.rules, &parts));
    let record = record(&draft, request).ok()?;
    let unexplained: Vec<Quantity> =
        unexplained.into_iter().map(|peak| Quantity::exact(peak, "nm")).collect();
    let series = series(found.verdict, &candidates, &own, &unexplained);
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
        identified: Some(match found.verdict {
            Verdict::Found => Identified::Found,
            Verdict::None => Identified::None,
            Verdict::CannotTell => Identified::CannotTell,
        }),
        candidates: Some(candidates),
        unexplained: Some(unexplained),
        not_of_a_salt: Some(own),
        omitted: omitted(),
        basis: draft.close(&scope.rules, record),
    };
    Some(Composed { series: Some(series), ..Composed::of(reply, &verdict_shown) })
}

/// What gives the lines of a lamp.
const LAMP: &str = "a lamp";

/// What a lamp in the room shows: tubes and compact lamps have lines of mercury, many of them those of phosphors too.
fn lamp(instrument: &Instrument, tolerance: f64, catalogue: &'static Catalogue) -> Vec<Feature> {
    // Lines that all lie within the resolution are one.
    let mut runs: Vec<Vec<&LampLine>> = Vec::new();
    for line in &catalogue.emitters.lamps {
        match runs.last_mut() {
            Some(run)
                if run.first().is_some_and(|first| {
                    line.wavelength - first.wavelength < instrument.resolution.number
                }) =>
            {
                run.push(line);
            }
            _ => runs.push(vec![line]),
        }
    }
    let one = |run: Vec<&LampLine>| {
        let all: f64 = run.iter().map(|line| line.strength).sum();
        let middle: f64 = run.iter().map(|line| line.strength * line.wavelength).sum();
        let strength = run.iter().map(|line| line.strength).fold(0.0, f64::max);
        let always = run.iter().any(|line| line.always);
        Feature {
            at: hundredths(middle / all),
            width: 0.0,
            weight: strength,
            wanted: always,
            strongest: always && strength >= identification::STRONGEST,
            name: "line of a lamp".to_owned(),
        }
    };
    runs.into_iter().map(one).filter(|line| instrument.reaches(line.at, tolerance)).collect()
}

/// The emitter of the flame itself that makes a peak.
fn of_the_flame(peak: f64, tolerance: f64, catalogue: &'static Catalogue) -> Option<&'static str> {
    let reaches = |band: &&crate::catalogue::emitters::FlameBand| {
        (band.centre - peak).abs() < f64::midpoint(band.width, tolerance)
    };
    catalogue.emitters.bands_of_the_flame().find(reaches).map(|band| band.emitter.as_str())
}

fn candidate(fitted: &Fitted, place: usize, spectrum: &Spectrum, found: bool) -> Option<FlameCandidate> {
    let (element, fit, features) =
        (fitted.elements.get(place)?, fitted.fits.get(place)?, fitted.features.get(place)?);
    let peaks = &spectrum.peaks;
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
        peaks.iter().zip(&fit.explains).filter(|(_, met)| met.is_none()).map(|(peak, _)| nm(*peak));
    Some(FlameCandidate {
        element: shown(element),
        found,
        met: Quantity::exact(four_digits(100.0 * fit.share), "%"),
        matched: matched.collect(),
        missing: missing.collect(),
        unexplained: unexplained.collect(),
        likely_contamination: element.symbol == EVERYWHERE,
    })
}

/// Most names in a sentence.
const MOST_NAMES: usize = 4;
/// What every sentence of this question ends with.
const UNCHECKED: &str = " No limit was checked.";

/// A list of names that is not too long.
fn listed(names: &[&str]) -> String {
    let told = names.iter().take(MOST_NAMES).copied().collect::<Vec<_>>().join(", ");
    if names.len() > MOST_NAMES { format!("{told} and others") } else { told }
}

fn sentence(
    verdict: Verdict,
    candidates: &[FlameCandidate],
    hidden: &[&str],
    unexplained: usize,
    not_of_a_salt: usize,
) -> Vec<String> {
    let name = |one: &FlameCandidate| -> String {
        if one.likely_contamination {
            format!("{} (likely a contamination)", one.element.name)
        } else {
            one.element.name.to_string()
        }
    };
    let names = |found: bool| {
        let of = candidates.iter().filter(|one| one.found == found);
        let all: Vec<String> = of.map(name).collect();
        listed(&all.iter().map(String::as_str).collect::<Vec<_>>())
    };
    let count = |count: usize, what: &str| match count {
        0 => String::new(),
        1 => format!(" One peak is {what}."),
        count => format!(" {} peaks are {what}.", significant(count as f64, 3)),
    };
    let left = count(unexplained, "not explained");
    let flame = count(not_of_a_salt, "of the flame itself or a lamp");
    let also = if hidden.is_empty() {
        String::new()
    } else {
        format!(" Hidden behind there may be {}.", listed(hidden))
    };
    let sure = names(true);
    let first = match verdict {
        Verdict::Found => format!("The peaks show {sure}."),
        Verdict::None => "The peaks show none of the elements that are known here.".to_owned(),
        Verdict::CannotTell if sure.is_empty() => {
            format!("It cannot be told which element the peaks show; in part fit {}.", names(false))
        }
        Verdict::CannotTell => {
            let others = names(false);
            let others = if others.is_empty() { String::new() } else { format!("; in part fit {others}") };
            format!("The peaks show {sure}; what else they show cannot be told{others}.")
        }
    };
    match verdict {
        Verdict::Found => vec![first, left, also, flame],
        Verdict::None => vec![first, flame],
        Verdict::CannotTell => vec![first],
    }
}

/// The parts of a sentence that fit, the first always: what is told is told whole.
fn told(rules: &Rules, parts: &[String]) -> String {
    let mut whole = String::new();
    for part in parts {
        let longer = format!("{whole}{part}");
        if whole.is_empty() || draft::sentence(rules, &longer, UNCHECKED, "").contains(&longer) {
            whole = longer;
        }
    }
    draft::sentence(rules, &whole, UNCHECKED, "")
}

fn series(
    verdict: Verdict,
    candidates: &[FlameCandidate],
    not_of_a_salt: &[FlamePeak],
    unexplained: &[Quantity],
) -> Series {
    let header = ["identified", "element", "found", "met [%]", "peak [nm]", "wavelength [nm]", "feature"]
        .map(str::to_owned)
        .to_vec();
    let identified = match verdict {
        Verdict::Found => "found",
        Verdict::None => "none",
        Verdict::CannotTell => "cannot_tell",
    };
    let mut rows = Vec::new();
    let mut row = |element: &str, found: &str, met: &str, peak: &str, wavelength: &str, feature: &str| {
        let cells = [identified, element, found, met, peak, wavelength, feature];
        rows.push(cells.map(str::to_owned).to_vec());
    };
    for one in candidates {
        let (symbol, found, met) =
            (one.element.symbol.as_ref(), one.found.to_string(), one.met.value.to_string());
        for peak in &one.matched {
            let (at, wavelength) = (peak.peak.value.to_string(), peak.wavelength.value.to_string());
            row(symbol, &found, &met, &at, &wavelength, &peak.feature);
        }
        let missed: BTreeSet<(String, &str)> = one
            .missing
            .iter()
            .map(|missing| (missing.wavelength.value.to_string(), missing.feature.as_str()))
            .collect();
        for (at, feature) in missed {
            row(symbol, &found, &met, "", &at, &format!("missing: {feature}"));
        }
    }
    for peak in not_of_a_salt {
        row("", "", "", &peak.peak.value.to_string(), "", &format!("not of a salt: {}", peak.emitter));
    }
    for peak in unexplained {
        row("", "", "", &peak.value.to_string(), "", "not explained");
    }
    Series { header, rows }
}
