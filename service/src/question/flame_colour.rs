//! `flame-colour`: what a salt shows in a flame, to the eye and to an instrument; and which elements peaks show.
//!
//! Nothing here is held against a limit. A colour is computed only where free atoms make what is seen; elsewhere it is told in words.

use super::draft::{self, Draft};
use super::flame_fuel::{self, Flame};
use super::picture::{Band, Picture, Shown, Spectrum};
use super::reader::{Asked, Fields, nearest};
use super::record::{Group, record};
use super::room::RoomAsked;
use super::{Composed, Scope, Series, field, flame_peaks};
use crate::catalogue::Catalogue;
use crate::catalogue::emitters::{self, Emitters, FlameLine};
use crate::catalogue::flame_elements::{Element, Model, Salt};
use crate::physics::emission::{self, Line, Peak, VISIBLE};
use crate::quantity::round::{self, four_digits, significant};
use crate::quantity::{Estimate, si};
use brimline_openapi::{
    FlameBand, FlameColourReply, FlameElement, FlameOfFuel, InstrumentPeak, InstrumentView, OmittedEffect,
    Quantity, SeenColour, Text,
};
use serde_json::Value;
use uom::si::f64::{Length, ThermodynamicTemperature};

/// The question's name.
pub const NAME: &str = "flame-colour";
/// Most entries of a response table.
const MOST_RESPONSES: usize = 200;
/// Most peaks.
pub const MOST_PEAKS: usize = 50;
/// What the instrument shows where nothing is said of it, nm.
const USUAL_RANGE: (f64, f64) = (350.0, 1000.0);
const USUAL_RESOLUTION: f64 = 1.0;
/// Peaks lower than this are not told.
const LOWEST_PEAK: f64 = 1e-7;
/// Decades that the picture shows.
const FLOOR: f64 = 1e-6;
/// Farther than this, nm, a peak shows no element.
const WIDEST_TOLERANCE: f64 = 10.0;
/// Points of a series.
const POINTS: u32 = 1000;
/// Letters by which a name of a salt may differ from the one that is suggested.
const LARGEST_SLIP: usize = 2;
/// What is taken in place of a salt that is not answered.
const INSTEAD: &str = "leave it out, or take a chloride of the metal";
/// Longest name that is read.
const LONGEST_NAME: usize = 100;

/// An instrument.
#[derive(Debug, Clone)]
pub struct Instrument {
    /// How wide it shows a line.
    pub resolution: Asked<Length>,
    /// Its ends.
    pub from: Asked<Length>,
    /// Its ends.
    pub to: Asked<Length>,
    response: Vec<(f64, f64)>,
}

impl Instrument {
    /// Whether it shows a wavelength, nm.
    #[must_use]
    pub fn shows(&self, nanometres: f64) -> bool {
        let (from, to) = self.ends();
        (from..=to).contains(&nanometres)
    }

    /// Whether a peak of a line or band there can lie in its range, nm.
    #[must_use]
    pub fn reaches(&self, nanometres: f64, tolerance: f64) -> bool {
        let (from, to) = self.ends();
        (from - tolerance..=to + tolerance).contains(&nanometres)
    }

    /// The ends between which it shows anything, nm.
    fn ends(&self) -> (f64, f64) {
        let ends = self.response.first().zip(self.response.last());
        let (first, last) =
            ends.map_or((f64::NEG_INFINITY, f64::INFINITY), |(first, last)| (first.0, last.0));
        (self.from.number.max(first), self.to.number.min(last))
    }

    /// Its response at a wavelength, by straight lines between those given. A line just beyond its range counts as at the end: its
    /// flank reaches into it.
    fn response(&self, nanometres: f64) -> f64 {
        if !self.reaches(nanometres, emission::REACH * self.resolution.number) {
            return 0.0;
        }
        let (from, to) = self.ends();
        let nanometres = nanometres.clamp(from, to.max(from));
        let between = self.response.windows(2).find_map(|pair| match pair {
            [a, b] if (a.0..=b.0).contains(&nanometres) => {
                Some(a.1 + (b.1 - a.1) * (nanometres - a.0) / (b.0 - a.0))
            }
            _ => None,
        });
        between.unwrap_or(1.0)
    }
}

/// What is asked.
enum Subject {
    Element(&'static Element, Option<&'static Salt>),
    Peaks(Vec<Asked<Length>>),
}

/// Reads and answers the question.
pub fn answer(fields: &Fields<'_>, scope: &mut Scope) -> Option<Composed> {
    let catalogue = scope.draft.catalogue;
    let mut request = Group::default();
    request.word("question", NAME);
    let subject = subject(fields, catalogue, &mut request);
    let given = fields.quantity("flame_temperature", &field::FLAME_TEMPERATURE);
    let fuel = flame_fuel::read(fields, catalogue);
    let room = RoomAsked::read(fields, false);
    let by_peaks = matches!(&subject, Some(Subject::Peaks(..)));
    let instrument = instrument(fields, subject.as_ref(), scope, &mut request);
    let tolerance = fields.quantity("tolerance", &field::RESOLUTION);
    if by_peaks {
        let resolution = instrument.as_ref().map(|instrument| instrument.resolution.number);
        let (name, off) = match &tolerance {
            Some(tolerance) => ("tolerance", Some(tolerance.number)),
            None => ("resolution", resolution),
        };
        if off.is_some_and(|off| off > WIDEST_TOLERANCE) {
            let detail = format!(
                "peaks that may be off by more than {WIDEST_TOLERANCE} nm fit nearly every element: give a `tolerance` of at most {WIDEST_TOLERANCE} nm"
            );
            fields.faults().add("outside-range", fields.at(name), detail, None);
        }
    }
    if let Some(tolerance) = &tolerance {
        if by_peaks {
            request.quantity("tolerance", tolerance);
        } else if subject.is_some() {
            let detail = "`tolerance` goes with `peaks`";
            fields.faults().add("unknown-field", fields.at("tolerance"), detail, None);
        }
    }
    fields.finish();
    let flames = fuel.map(|fuel| flame_fuel::flames(fuel, &room, scope, &mut request));
    if let (Some(given), Some(flames)) = (&given, &flames) {
        flame_fuel::reached(fields, given, flames);
        request.quantity("flame_temperature", given);
    }
    let (subject, instrument, flames) = (subject?, instrument?, flames?);
    if !fields.faults().is_empty() {
        return None;
    }
    scope.rules.record(&mut request);
    let hot = flame_fuel::counted_with(given.as_ref(), &flames, &mut scope.draft);
    match subject {
        Subject::Element(element, salt) => compose(element, salt, &instrument, hot, &flames, scope, request),
        Subject::Peaks(peaks) => {
            flame_peaks::compose(&peaks, tolerance.as_ref(), &instrument, hot, &flames, scope, request)
        }
    }
}

fn subject(fields: &Fields<'_>, catalogue: &'static Catalogue, request: &mut Group) -> Option<Subject> {
    let (element, salt, peaks) = (fields.value("element"), fields.value("salt"), fields.value("peaks"));
    let given = [element, salt, peaks].iter().filter(|value| value.is_some()).count();
    if given != 1 {
        let (code, detail) = if given == 0 {
            ("missing-field", "give `element`, `salt` or `peaks`, such as {\"salt\": \"sodium chloride\"}")
        } else {
            ("given-twice", "give only one of `element`, `salt` and `peaks`")
        };
        let pointer = if given == 0 { fields.at("salt") } else { String::new() };
        fields.faults().add(code, pointer, detail, None);
        return None;
    }
    let elements = &catalogue.flame_elements;
    if element.is_some() {
        let text = fields.text("element", LONGEST_NAME)?;
        let found = elements.element(text);
        if found.is_none() {
            let known = elements.element.iter().map(|element| element.name.as_str());
            let symbol = elements.element.iter().map(|element| element.symbol.as_str());
            // Elements have names alike that are far from the same.
            let near = symbol
                .filter(|symbol| symbol.eq_ignore_ascii_case(text.trim()))
                .chain(nearest(text, known).filter(|near| is_a_slip(text, near)))
                .next();
            unknown(fields, "element", text, "an element whose flame colour is known here", near);
        }
        let found = found?;
        request.word("element", found.symbol.as_str());
        return Some(Subject::Element(found, None));
    }
    if salt.is_some() {
        let text = fields.text("salt", LONGEST_NAME)?;
        let (element, found) = of_salt(fields, "salt", fields.at("salt"), text, catalogue)?;
        request.word("salt", found.name.as_str());
        return Some(Subject::Element(element, Some(found)));
    }
    let peaks = peaks_of(fields, peaks?)?;
    request.list("peaks", &peaks);
    Some(Subject::Peaks(peaks))
}

fn unknown(fields: &Fields<'_>, name: &'static str, text: &str, what: &str, near: Option<&str>) {
    let shown: String = text.chars().take(60).collect();
    let detail = format!(
        "`{shown}` is not {what}: lithium, sodium, potassium, rubidium, caesium, calcium, strontium, barium, copper, boron"
    );
    fields.faults().add("unknown-substance", fields.at(name), detail, near.map(str::to_owned));
}

/// Whether a name is another but for a slip of the pen.
fn is_a_slip(text: &str, near: &str) -> bool {
    strsim::levenshtein(&text.to_lowercase(), &near.to_lowercase()) <= LARGEST_SLIP
}

/// A salt of a name, and the element that gives its colour; a fault where there is none, or where it is not for this work.
pub fn of_salt(
    fields: &Fields<'_>,
    name: &'static str,
    pointer: String,
    text: &str,
    catalogue: &'static Catalogue,
) -> Option<(&'static Element, &'static Salt)> {
    let elements = &catalogue.flame_elements;
    let Some(salt) = elements.salt(text) else {
        let shown: String = text.chars().take(60).collect();
        if let Some(reason) = elements.never(text, LARGEST_SLIP) {
            let detail = format!("`{shown}` is not answered: {reason}; {INSTEAD}");
            fields.faults().add("missing-datum", pointer, detail, None);
            return None;
        }
        let or = if name == "salt" { "give its `element`, or the salt as" } else { "give it as" };
        let detail = format!(
            "`{shown}` is not a salt whose flame colour is known here; {or} \"sodium chloride\" or \"NaCl\""
        );
        // Salts have names alike that are far from the same: only a slip of the pen is mended.
        let near = nearest(text, elements.names()).filter(|near| is_a_slip(text, near)).map(str::to_owned);
        fields.faults().add("unknown-substance", pointer, detail, near);
        return None;
    };
    if let Some(reason) = &salt.refused {
        fields.faults().add(
            "missing-datum",
            pointer,
            format!("`{name}`: {} is not answered: {reason}; {INSTEAD}", salt.name),
            None,
        );
        return None;
    }
    Some((elements.of(salt)?, salt))
}

fn peaks_of(fields: &Fields<'_>, list: &Value) -> Option<Vec<Asked<Length>>> {
    let pointer = fields.at("peaks");
    let items = match list {
        Value::Array(items) if (1..=MOST_PEAKS).contains(&items.len()) => items,
        Value::Array(_) => {
            let detail = format!("a spectrum has 1 to {MOST_PEAKS} peaks here");
            fields.faults().add("outside-range", pointer, detail, None);
            return None;
        }
        _ => {
            let detail = "`peaks` is a list of wavelengths, such as [\"589.2 nm\"]";
            fields.faults().add("wrong-type", pointer, detail, None);
            return None;
        }
    };
    let mut read = Vec::with_capacity(items.len());
    for (place, item) in items.iter().enumerate() {
        let at = || format!("{pointer}/{place}");
        let Some(asked) = fields.read(item, at, &field::WAVELENGTH) else { continue };
        if read.iter().any(|other: &Asked<Length>| other.number == asked.number) {
            fields.faults().add("given-twice", at(), "this peak stands in the list already", None);
        }
        read.push(asked);
    }
    (read.len() == items.len()).then_some(read)
}

fn instrument(
    fields: &Fields<'_>,
    subject: Option<&Subject>,
    scope: &mut Scope,
    request: &mut Group,
) -> Option<Instrument> {
    let peaks = match subject {
        Some(Subject::Peaks(peaks)) => Some(peaks.as_slice()),
        _ => None,
    };
    let resolution = if peaks.is_some() {
        fields.required_quantity("resolution", &field::RESOLUTION)
    } else if fields.value("resolution").is_some() {
        fields.quantity("resolution", &field::RESOLUTION)
    } else {
        scope.draft.assume("resolution", "The instrument shows a single line 1 nm wide at half its height.");
        Some(field::RESOLUTION.asked(USUAL_RESOLUTION))
    };
    let usual = match peaks {
        Some(peaks) => {
            let ends = peaks.iter().map(|peak| peak.number);
            (ends.clone().fold(VISIBLE.0, f64::min), ends.fold(780.0, f64::max))
        }
        None => USUAL_RANGE,
    };
    let end = |name: &'static str, usual: f64| match fields.value(name) {
        Some(_) => fields.quantity(name, &field::WAVELENGTH),
        None => Some(field::WAVELENGTH.asked(usual)),
    };
    let (from, to) = (end("from", usual.0), end("to", usual.1));
    if fields.value("from").is_none() || fields.value("to").is_none() {
        let text = format!("Of the instrument's range, what is not given is {} to {} nm.", usual.0, usual.1);
        scope.draft.assume("range", text);
    }
    let response = response(fields, request);
    let (resolution, from, to, response) = (resolution?, from?, to?, response?);
    if from.number >= to.number {
        let detail = format!("`from` ({} nm) is not below `to` ({} nm)", from.number, to.number);
        fields.faults().add("impossible-value", fields.at("from"), detail, None);
        return None;
    }
    let instrument = Instrument { resolution, from, to, response };
    for (place, peak) in peaks.unwrap_or_default().iter().enumerate() {
        if !instrument.shows(peak.number) {
            let detail =
                "this peak lies outside the instrument's range (`from`, `to`, the ends of `response`)";
            fields.faults().add("impossible-value", format!("{}/{place}", fields.at("peaks")), detail, None);
        }
    }
    request.quantity("resolution", &resolution);
    request.quantity("from", &from);
    request.quantity("to", &to);
    Some(instrument)
}

/// The response table, by rising wavelength; empty where none is given.
fn response(fields: &Fields<'_>, request: &mut Group) -> Option<Vec<(f64, f64)>> {
    let Some(value) = fields.value("response") else { return Some(Vec::new()) };
    let pointer = fields.at("response");
    let items = match value {
        Value::Array(items) if (2..=MOST_RESPONSES).contains(&items.len()) => items,
        Value::Array(_) => {
            let detail = format!("a table of the response has 2 to {MOST_RESPONSES} entries");
            fields.faults().add("outside-range", pointer, detail, None);
            return None;
        }
        _ => {
            let detail = "`response` is a list of {\"wavelength\", \"response\"}";
            fields.faults().add("wrong-type", pointer, detail, None);
            return None;
        }
    };
    let mut table: Vec<(f64, f64)> = Vec::with_capacity(items.len());
    let mut recorded = Vec::with_capacity(items.len());
    for (place, item) in items.iter().enumerate() {
        let Some(entry) = fields.item("response", place, item) else { continue };
        let wavelength = entry.required_quantity("wavelength", &field::WAVELENGTH);
        if entry.required("response", "a plain number above 0 and at most 1").is_none() {
            entry.finish();
            continue;
        }
        let response = entry.fraction("response");
        entry.finish();
        let (Some(wavelength), Some(response)) = (wavelength, response) else { continue };
        if table.last().is_some_and(|before| before.0 >= wavelength.number) {
            let detail = "the wavelengths of the table rise from entry to entry";
            fields.faults().add("impossible-value", entry.at("wavelength"), detail, None);
        }
        let mut group = Group::default();
        group.quantity("wavelength", &wavelength);
        group.number("response", response);
        recorded.push(group.into_value());
        table.push((wavelength.number, response));
    }
    request.values("response", recorded);
    (table.len() == items.len()).then_some(table)
}

/// Lines of an element as they give light, with what is known of them.
pub struct Gas {
    /// What is known of each.
    pub known: Vec<&'static FlameLine>,
    /// The same as lines.
    pub lines: Vec<Line>,
}

impl Gas {
    /// The lines of an element, the strongest at a temperature first.
    #[must_use]
    pub fn of(emitters: &'static Emitters, symbol: &str, temperature: ThermodynamicTemperature) -> Self {
        let mut known: Vec<&FlameLine> = emitters.lines_of(symbol).collect();
        let power = |line: &FlameLine| line.emission().power(temperature);
        known.sort_by(|a, b| power(b).total_cmp(&power(a)).then(a.wavelength.total_cmp(&b.wavelength)));
        let lines = known.iter().map(|line| line.emission()).collect();
        Self { known, lines }
    }

    /// A share at the ends of the flame's temperature and of the doubts, %.
    fn share(&self, [value, low, high]: &[Vec<f64>; 3], of: impl Fn(&Line) -> bool) -> Option<Quantity> {
        let at = |powers: &[f64]| emission::share(&self.lines, powers, &of);
        let [value, ..] = at(value)?;
        let ([_, first_low, first_high], [_, last_low, last_high]) = (at(low)?, at(high)?);
        let percent = |share: f64| 100.0 * share;
        let estimate = Estimate::new(
            percent(value),
            percent(first_low.min(last_low)).min(percent(value)),
            percent(first_high.max(last_high)).max(percent(value)),
        );
        Some(draft::estimate(estimate, "%"))
    }
}

fn compose(
    element: &'static Element,
    salt: Option<&'static Salt>,
    instrument: &Instrument,
    hot: Estimate<ThermodynamicTemperature>,
    flames: &[Flame],
    scope: &mut Scope,
    request: Group,
) -> Option<Composed> {
    let mut draft = scope.draft_taken();
    let emitters = &draft.catalogue.emitters;
    let gas = Gas::of(emitters, &element.symbol, hot.value);
    let powers = [hot.value, hot.low, hot.high].map(|at| emission::powers(&gas.lines, at));
    let bands_dominate = element.model == Model::Bands;
    let bands: Vec<&emitters::FlameBand> =
        emitters.bands_of(&element.symbol).filter(|band| shows(band, salt)).collect();
    draft.consider("flame_colour");
    draft.method("flame_temperature");
    if !bands_dominate {
        draft.method("thin_gas");
        draft.method("instrument_view");
    }
    sources(&mut draft, &gas, &bands);
    let (visible, infrared) = if bands_dominate {
        let why = "bands of molecules give most of the light, and how much is not known";
        draft.not_given("/visible_share", why);
        draft.not_given("/near_infrared_share", why);
        (None, None)
    } else {
        (gas.share(&powers, Line::visible), gas.share(&powers, |line| line.nanometres() > VISIBLE.1))
    };
    let honest = element.model == Model::ThinGas;
    let seen = |at| emission::seen(&gas.lines, at, &emitters.observer).filter(|_| honest);
    if honest {
        draft.method("chromaticity");
        let seen = emitters::how("copy");
        draft.source(&emitters.observer_source, "standard_observer", seen);
    }
    let efficacy = seen(hot.value).zip(seen(hot.low)).zip(seen(hot.high)).map(|((value, low), high)| {
        let of = |[.., efficacy]: [f64; 3]| efficacy;
        let (value, a, b) = (of(value), of(low), of(high));
        draft::estimate(Estimate::new(value, a.min(b).min(value), a.max(b).max(value)), "lm/W")
    });
    let place = |number: f64| (number * 1e4).round() / 1e4;
    let point = seen(hot.value).map(|[x, y, _]| (place(x), place(y)));
    let colour = SeenColour {
        words: Text::Borrowed(words(element, salt)),
        x: point.map(|point| point.0),
        y: point.map(|point| point.1),
        on_screen: point.map(|(x, y)| emission::on_screen(x, y)),
        why: Text::Borrowed(element.why.as_str()),
    };
    let lines: Vec<brimline_openapi::FlameLine> = gas
        .known
        .iter()
        .zip(&gas.lines)
        .map(|(known, line)| brimline_openapi::FlameLine {
            wavelength: Quantity::exact(known.wavelength, "nm"),
            share: if bands_dominate { None } else { gas.share(&powers, |other| other == line) },
            transition: known.transition(),
            visible: line.visible(),
            seen: emitters::how(&known.seen),
        })
        .collect();
    let view = if bands_dominate { Vec::new() } else { view(&gas, instrument, hot.value) };
    if view.is_empty() && !bands.iter().any(|band| overlaps(band, instrument)) {
        draft.caution("nothing_in_range", NOTHING_IN_RANGE);
    }
    cautions(&mut draft, element, salt);
    let told =
        salt.map_or_else(|| format!("{} ({})", element.name, element.symbol), |salt| salt.name.clone());
    let sentence = sentence((&told, element, salt), &gas, &bands, hot);
    let verdict = draft.bare_verdict(|_| draft::sentence(&scope.rules, &sentence, "", ""));
    let picture = if draft.pictured {
        Some(picture((&told, element, salt), &gas, &bands, instrument, hot.value, &verdict.sentence))
    } else {
        None
    };
    let series = series(&gas, &bands, instrument, hot.value, bands_dominate);
    let record = record(&draft, request).ok()?;
    let reply = FlameColourReply {
        verdict: verdict.clone(),
        element: Some(shown(element)),
        salt: salt.map(|salt| salt.name.clone()),
        flame_temperature: Some(flame_fuel::shown_temperature(hot)),
        flames: flames.iter().map(Flame::shown).collect::<Vec<FlameOfFuel>>(),
        lines: Some(lines),
        visible_share: visible,
        near_infrared_share: infrared,
        luminous_efficacy: efficacy,
        bands: Some(bands.iter().map(|band| shown_band(band)).collect()),
        bands_dominate: Some(bands_dominate),
        colour: Some(colour),
        instrument: Some(InstrumentView {
            resolution: Quantity::exact(instrument.resolution.number, "nm"),
            from: Quantity::exact(instrument.from.number, "nm"),
            to: Quantity::exact(instrument.to.number, "nm"),
            peaks: view,
        }),
        identified: None,
        candidates: None,
        unexplained: None,
        not_of_a_salt: None,
        omitted: omitted(),
        basis: draft.close(&scope.rules, record),
    };
    let mut composed = Composed::of(reply, &verdict);
    composed.series = Some(series);
    composed.picture = picture;
    Some(composed)
}

/// The colour in words.
#[must_use]
pub fn words(element: &'static Element, salt: Option<&'static Salt>) -> &'static str {
    salt.and_then(|salt| salt.words.as_deref()).unwrap_or(&element.words)
}

/// An element as it is shown.
#[must_use]
pub fn shown(element: &'static Element) -> FlameElement {
    FlameElement { symbol: Text::Borrowed(&element.symbol), name: Text::Borrowed(&element.name) }
}

/// Whether a band shows with a salt; where none is named, with any.
fn shows(band: &emitters::FlameBand, salt: Option<&Salt>) -> bool {
    band.only_with.as_ref().zip(salt).is_none_or(|(kind, salt)| *kind == salt.anion)
}

fn shown_band(band: &'static emitters::FlameBand) -> FlameBand {
    FlameBand {
        emitter: Text::Borrowed(&band.emitter),
        centre: Quantity::exact(band.centre, "nm"),
        width: Quantity::exact(band.width, "nm"),
        strength: band.strength,
        only_with: band.only_with.as_deref().map(Text::Borrowed),
        seen: emitters::how(&band.seen),
    }
}

/// Names the sources of lines and bands.
pub fn sources(draft: &mut Draft, gas: &Gas, bands: &[&'static emitters::FlameBand]) {
    for line in &gas.known {
        draft.source(&line.source, "atomic_lines", emitters::how(&line.seen));
    }
    for band in bands {
        draft.source(&band.source, "bands", emitters::how(&band.seen));
    }
}

/// The lines as the instrument shows them: wavelength, nm, and power times response.
fn through(gas: &Gas, instrument: &Instrument, temperature: ThermodynamicTemperature) -> Vec<(f64, f64)> {
    let of = |line: &Line| {
        let at = line.nanometres();
        (at, line.power(temperature) * instrument.response(at))
    };
    gas.lines.iter().map(of).collect()
}

/// The peaks in the instrument's range that are worth telling, with their heights relative to the highest, and the height by which
/// those are divided: that of the highest peak, or of the flank of a line beyond the range where that is higher.
fn told_peaks(gas: &Gas, instrument: &Instrument, temperature: ThermodynamicTemperature) -> (Vec<Peak>, f64) {
    let lines = through(gas, instrument, temperature);
    let mut peaks = emission::peaks(&lines, instrument.resolution.number);
    peaks.retain(|peak| instrument.shows(peak.at));
    let (from, to) = instrument.ends();
    let flanks = [from, to].map(|end| emission::height(&lines, instrument.resolution.number, end));
    let highest = peaks.iter().map(|peak| peak.height).chain(flanks).fold(0.0, f64::max);
    peaks.retain(|peak| peak.height > LOWEST_PEAK * highest);
    for peak in &mut peaks {
        peak.height /= highest;
    }
    (peaks, highest)
}

fn view(gas: &Gas, instrument: &Instrument, temperature: ThermodynamicTemperature) -> Vec<InstrumentPeak> {
    let of = |place: &usize| gas.known.get(*place).map(|line| Quantity::exact(line.wavelength, "nm"));
    let (peaks, _) = told_peaks(gas, instrument, temperature);
    peaks
        .iter()
        .map(|peak| InstrumentPeak {
            wavelength: Quantity::exact(hundredths(peak.at), "nm"),
            height: four_digits(peak.height),
            lines: peak.lines.iter().filter_map(of).collect(),
        })
        .collect()
}

/// A wavelength to 0.01 nm.
#[must_use]
pub fn hundredths(nanometres: f64) -> f64 {
    (nanometres * 100.0).round() / 100.0
}

/// Effects that are left out, each with what it does.
#[must_use]
pub fn omitted() -> Vec<OmittedEffect> {
    let one = |id, text| OmittedEffect { id: Text::Borrowed(id), text: Text::Borrowed(text) };
    vec![
        one(
            "self_absorption",
            "with more salt the strong lines take up their own light, so that their shares fall and weaker lines gain",
        ),
        one(
            "hydroxides",
            "part of the metal is bound as oxide, hydroxide or chloride, most of it with calcium, strontium, barium, copper and boron, some with lithium and caesium",
        ),
        one("ionisation", "in a hot flame part of the atoms are ions: caesium, rubidium and barium most"),
        one(
            "soot_and_background",
            "a sooting flame glows yellow, and CH, C2 and OH of the flame itself give blue, green and ultraviolet light",
        ),
        one(
            "sodium_contamination",
            "traces of sodium, which are nearly everywhere, colour any flame yellow and hide weaker colours",
        ),
        one(
            "lines_outside_the_table",
            "lines below about 350 nm and beyond about 1000 nm are in the table for some elements only: near-infrared shares of different elements cannot be compared",
        ),
    ]
}

fn cautions(draft: &mut Draft, element: &'static Element, salt: Option<&'static Salt>) {
    match salt {
        Some(salt) => {
            if let Some(caution) = salt.caution.as_deref() {
                draft.caution("salt", caution);
            }
        }
        None => {
            draft.caution("oxidisers", "Nitrates give off oxygen and are not brought into liquid that can burn; chlorates, perchlorates and the like are not used for flame colours at all (common practice, no source).");
            if let Some(caution) = element.caution.as_deref() {
                draft.caution("salt", caution);
            }
        }
    }
    work_cautions(draft);
}

/// The cautions of coloured-flame work.
pub fn work_cautions(draft: &mut Draft) {
    draft.caution("salts_without_pouring", "Nothing is poured onto or beside a salt near a flame, and no alcohol into a dish that is or was alight, however long ago: vapour flashes back into the bottle (common practice, no source).");
    draft.caution("aqueous_salt_first", "A salt dissolved in water, held on a wire or sprayed as a fine mist into the flame of a gas burner, is less hazardous than a salt in burning alcohol; toxic salts, as of barium and copper, corrosive ones and those of boron on a wire alone, since a mist is breathed in (common practice, no source).");
}

fn sentence(
    (told, element, salt): (&str, &'static Element, Option<&'static Salt>),
    gas: &Gas,
    bands: &[&emitters::FlameBand],
    hot: Estimate<ThermodynamicTemperature>,
) -> String {
    let words = words(element, salt);
    let end = if salt.is_some_and(Salt::oxidises) {
        " It gives off oxygen: never with liquid that burns. No limit was checked."
    } else {
        " No limit was checked."
    };
    let nm = |line: &&FlameLine| significant(line.wavelength, 4).to_string();
    match element.model {
        Model::ThinGas => {
            let mut strongest: Vec<String> = gas.known.iter().take(2).map(nm).collect();
            strongest.dedup();
            format!("{told}: {}, from the lines of its atoms at {} nm.{end}", words, strongest.join(" and "))
        }
        Model::OutsideVisible => {
            let mut strongest: Vec<String> = gas.known.iter().take(2).map(nm).collect();
            strongest.dedup();
            let at = |temperature| {
                let powers = emission::powers(&gas.lines, temperature);
                emission::share(&gas.lines, &powers, Line::visible).map_or(0.0, |[_, _, high]| high)
            };
            let visible = at(hot.low).max(at(hot.high));
            format!(
                "{told}: {}; at most {} % of the power of its lines can be seen, its strongest at {} nm cannot.{end}",
                words,
                round::cautious_up(100.0 * visible),
                strongest.join(" and ")
            )
        }
        Model::Bands => {
            let mut emitters: Vec<&str> = Vec::new();
            for band in bands {
                if !emitters.contains(&band.emitter.as_str()) {
                    emitters.push(&band.emitter);
                }
            }
            format!(
                "{told}: {}, from bands of {}, not from lines of its atoms.{end}",
                words,
                emitters.join(", ")
            )
        }
    }
}

fn picture(
    (told, element, salt): (&str, &Element, Option<&Salt>),
    gas: &Gas,
    bands: &[&'static emitters::FlameBand],
    instrument: &Instrument,
    temperature: ThermodynamicTemperature,
    sentence: &str,
) -> Picture {
    let mut shown = Spectrum {
        range: (instrument.from.number, instrument.to.number),
        visible: VISIBLE,
        up: "intensity relative to the highest peak".to_owned(),
        ..Spectrum::default()
    };
    let mut said = Vec::new();
    if element.model != Model::Bands {
        let lines = through(gas, instrument, temperature);
        let (peaks, highest) = told_peaks(gas, instrument, temperature);
        shown.curve = curve(&lines, instrument, highest);
        let mut strong: Vec<&Peak> = peaks.iter().filter(|peak| peak.height >= FLOOR).collect();
        strong.sort_by(|a, b| b.height.total_cmp(&a.height));
        for peak in strong.iter().take(MOST_LABELS) {
            let label = format!("{} nm", significant(peak.at, 4));
            said.push(format!("A peak at {label}, {} of the highest.", significant(peak.height, 2)));
            shown.peaks.push((peak.at, label));
        }
    }
    for band in bands.iter().filter(|band| overlaps(band, instrument)) {
        let half = band.width / 2.0;
        let drawn = Band {
            from: band.centre - half,
            to: band.centre + half,
            centre: band.centre,
            // With a salt of its kind it is there; with none named it may be.
            weak: band.only_with.is_some() && salt.is_none() || band.strength.is_none(),
            label: significant(band.centre, 4).to_string(),
        };
        match shown.bands.iter_mut().find(|(name, _)| *name == band.emitter) {
            Some((_, own)) => own.push(drawn),
            None => shown.bands.push((band.emitter.clone(), vec![drawn])),
        }
    }
    for (_, own) in &mut shown.bands {
        own.sort_by(|a, b| a.centre.total_cmp(&b.centre));
    }
    for (name, own) in &shown.bands {
        let places: Vec<&str> = own.iter().map(|band| band.label.as_str()).collect();
        said.push(format!("Bands of {name} at {} nm.", places.join(", ")));
    }
    if said.is_empty() {
        let flank = shown.curve.iter().any(|(_, height)| *height > FLOOR);
        let note = if flank { FLANK_ALONE } else { NOTHING_IN_RANGE };
        said.push(note.to_owned());
        shown.note = Some(note.to_owned());
    }
    let title = format!("{told}: what an instrument of {} nm shows", instrument.resolution.number);
    Picture { title, sentence: sentence.to_owned(), said, shown: Shown::Spectrum(shown) }
}

/// What is said where an instrument shows nothing.
const NOTHING_IN_RANGE: &str = "No line or band that is known of it lies in the range of this instrument.";

/// What is said where the flank of a line beyond the range is all that it shows.
const FLANK_ALONE: &str = "All that it shows is the flank of a line beyond its range: no peak.";

/// Whether some of a band lies in the instrument's range.
fn overlaps(band: &emitters::FlameBand, instrument: &Instrument) -> bool {
    instrument.reaches(band.centre, band.width / 2.0)
}

/// Most peaks that a picture labels.
const MOST_LABELS: usize = 10;

/// Points of the curve: at equal steps, and closely around each line.
fn curve(lines: &[(f64, f64)], instrument: &Instrument, highest: f64) -> Vec<(f64, f64)> {
    let (from, to, width) = (instrument.from.number, instrument.to.number, instrument.resolution.number);
    let mut places: Vec<f64> =
        (0..=POINTS).map(|step| from + (to - from) * f64::from(step) / f64::from(POINTS)).collect();
    for (line, power) in lines.iter().filter(|(_, power)| *power > FLOOR * highest * 0.1) {
        if *power > 0.0 {
            places.extend((-12..=12).map(|step| line + width * f64::from(step) / 8.0));
        }
    }
    places.retain(|at| (from..=to).contains(at));
    places.sort_by(f64::total_cmp);
    places.into_iter().map(|at| (at, (emission::height(lines, width, at) / highest).max(FLOOR))).collect()
}

fn series(
    gas: &Gas,
    bands: &[&'static emitters::FlameBand],
    instrument: &Instrument,
    temperature: ThermodynamicTemperature,
    bands_dominate: bool,
) -> Series {
    let header = ["wavelength [nm]", "height", "emitter", "width [nm]"].map(str::to_owned).to_vec();
    let mut rows = Vec::new();
    if !bands_dominate {
        for peak in told_peaks(gas, instrument, temperature).0 {
            let row = [
                hundredths(peak.at).to_string(),
                four_digits(peak.height).to_string(),
                "atom".to_owned(),
                instrument.resolution.number.to_string(),
            ];
            rows.push(row.to_vec());
        }
    }
    for band in bands {
        rows.push(vec![band.centre.to_string(), String::new(), band.emitter.clone(), band.width.to_string()]);
    }
    Series { header, rows }
}

/// Where the eye sees most of what a salt of an element shows, nm: strong visible lines, or the strongest band of each molecule.
#[must_use]
pub fn brightest(catalogue: &'static Catalogue, symbol: &str, with_chloride: bool) -> Vec<f64> {
    let emitters = &catalogue.emitters;
    let strong = |band: &&emitters::FlameBand| {
        band.strength.is_some_and(|strength| strength >= 0.7)
            && (band.only_with.is_none() || with_chloride)
            && (VISIBLE.0..=VISIBLE.1).contains(&band.centre)
    };
    let mut places: Vec<f64> = emitters.bands_of(symbol).filter(strong).map(|band| band.centre).collect();
    if places.is_empty() {
        // Of the alkali metals the strongest that are seen.
        let usual = si::celsius(1600.0);
        let gas = Gas::of(emitters, symbol, usual);
        let seen = gas.known.iter().zip(&gas.lines).filter(|(_, line)| line.visible());
        places = seen.take(2).map(|(known, _)| known.wavelength).collect();
    }
    places.sort_by(f64::total_cmp);
    places
}
