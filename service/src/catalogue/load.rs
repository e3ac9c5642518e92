//! Reads the catalogue, or says file, key and reason.

use super::burning::Burning;
use super::checks::{atoms, findings};
use super::emitters::{Emitters, FlameBands, FlameLines, ObserverFile};
use super::file::{ExposureLimit, Hazard, SubstanceFile};
use super::flame_elements::FlameElements;
use super::groups::{self, GroupsFile};
use super::material::Materials;
use super::neighbour::Neighbours;
use super::remark::Remarks;
use super::rule::{NAMES, Rule, RuleFile, rule};
use super::search::{Index, Named};
use super::source::{Source, seen};
use super::substance::{Caution, KeyFault, NotFlammable, Substance, stored};
use super::thermochemistry::{Thermochemistry, ThermochemistryFile};
use crate::physics::activity::Table;
use crate::quantity::si;
use brimline_openapi::{Fractions, Seen};
use data_encoding::HEXLOWER;
use foldhash::fast::FixedState;
use once_cell::sync::OnceCell;
use serde::Deserialize;
use serde::de::DeserializeOwned;
use sha2::{Digest, Sha256};
use std::collections::{BTreeMap, HashMap};

/// The files, embedded in the binary: name and content as JSON, which `build.rs` makes of the TOML.
const FILES: &[(&str, &str)] = include!(concat!(env!("OUT_DIR"), "/catalogue_files.rs"));

/// A fault of the catalogue: it stops the start.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("catalogue/{file}: {key}: {reason}")]
pub struct Fault {
    /// The file.
    pub file: String,
    /// The key in the file.
    pub key: String,
    /// What is wrong.
    pub reason: String,
}

/// A mixture that is recognised by name.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct NamedMixture {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Other names.
    pub names: Vec<String>,
    /// Ids of its parts.
    pub parts: Vec<String>,
    /// What the shares are shares of.
    pub basis: Fractions,
    /// The shares of the parts, in per cent: first as defined or usual, then as it is sold, too.
    pub shares: Vec<Vec<f64>>,
    /// Where the composition comes from.
    pub source: String,
    /// How that was seen.
    pub seen: String,
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
struct Mixtures {
    #[serde(default)]
    mixture: Vec<NamedMixture>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
struct AmbiguousNames {
    #[serde(default)]
    ambiguous: Vec<Ambiguous>,
}

/// Names that can mean several liquids.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Ambiguous {
    /// The names.
    pub names: Vec<String>,
    /// What they can mean.
    pub may_mean: Vec<String>,
}

/// Everything that was loaded.
#[derive(Debug)]
pub struct Catalogue {
    /// The substances, by id.
    pub substances: Vec<Substance>,
    /// The mixtures that are recognised by name.
    pub mixtures: Vec<NamedMixture>,
    /// The sources, by key.
    pub sources: BTreeMap<String, Source>,
    /// The formulas of equation forms, by property and form.
    pub forms: BTreeMap<String, String>,
    /// The rules, in the order of [`NAMES`].
    pub rules: Vec<Rule>,
    /// Where a rule stands: asked some dozen times in an answer, by names of the program alone.
    places: HashMap<&'static str, usize, FixedState>,
    /// Groups of modified UNIFAC (Dortmund).
    pub groups: Table,
    /// How fast liquids burn.
    pub burning: Burning,
    /// Elements that colour a flame, and their salts.
    pub flame_elements: FlameElements,
    /// What a flame of an alcohol is made of.
    pub thermochemistry: Thermochemistry,
    /// What gives light in a coloured flame.
    pub emitters: Emitters,
    /// What vessels are made of.
    pub materials: Materials,
    /// What stands beside a liquid and is none of the catalogue.
    pub neighbours: Neighbours,
    /// What people call things.
    pub index: Index,
    /// SHA-256 over the files, in hexadecimal.
    pub version: String,
    /// SHA-256 over the rules, in hexadecimal.
    pub rules_version: String,
}

/// The embedded catalogue.
///
/// # Errors
/// The first [`Fault`] found; the program checks this once, at its start.
pub fn catalogue() -> Result<&'static Catalogue, &'static Fault> {
    // once_cell and not std: the standard cell has no stable way to fail while it is filled.
    static LOADED: OnceCell<Result<Catalogue, Fault>> = OnceCell::new();
    LOADED.get_or_init(|| load(FILES)).as_ref()
}

/// The embedded files, for tests that break one of them.
#[must_use]
pub const fn embedded_files() -> &'static [(&'static str, &'static str)] {
    FILES
}

/// Loads a catalogue from files.
///
/// # Errors
/// The first [`Fault`] found.
pub fn load(files: &[(&str, &str)]) -> Result<Catalogue, Fault> {
    let sources: BTreeMap<String, Source> = parsed(files, "sources.toml")?;
    let forms: BTreeMap<String, String> = parsed(files, "forms.toml")?;
    let remarks: Remarks = parsed(files, "remarks.toml")?;
    let mixtures: Mixtures = parsed(files, "mixtures.toml")?;
    let ambiguous: AmbiguousNames = parsed(files, "ambiguous.toml")?;
    let rules = rules(files, &sources)?;
    let groups_file: GroupsFile = parsed(files, "groups.toml")?;
    let groups = groups::table(&groups_file).map_err(|(key, reason)| fault("groups.toml", &key, reason))?;
    let mut substances = Vec::new();
    let mut excuses = vec![false; remarks.exception.len()];
    for (name, text) in files {
        let Some(id) = name.strip_prefix("substances/").and_then(|name| name.strip_suffix(".toml")) else {
            continue;
        };
        let at = |(key, reason): KeyFault| Fault { file: (*name).to_owned(), key, reason };
        let file: SubstanceFile = serde_json::from_str(text).map_err(|error| at(json_fault(&error)))?;
        known_sources(&file, &sources).map_err(at)?;
        let mut file = file;
        remember(id, &mut file, &remarks);
        let mut substance = Substance::from_file(id, file).map_err(at)?;
        remark(&mut substance, &remarks).map_err(at)?;
        for finding in findings(&substance).map_err(at)? {
            let excused = remarks.exception.iter().position(|exception| {
                exception.substance == id && exception.check == finding.check && exception.set == finding.set
            });
            match excused.and_then(|place| excuses.get_mut(place)) {
                Some(excuse) => *excuse = true,
                None => return Err(at((finding.key.to_owned(), finding.reason))),
            }
        }
        substances.push(substance);
    }
    if let Some((exception, _)) = remarks.exception.iter().zip(&excuses).find(|(_, needed)| !**needed) {
        let reason = format!("{}: the check `{}` passes without it", exception.substance, exception.check);
        return Err(fault("remarks.toml", "exception", reason));
    }
    let skin = remarks.skin_notation.iter().flat_map(|entry| &entry.substances);
    let named = remarks
        .caution
        .iter()
        .map(|caution| ("caution", &caution.substance))
        .chain(remarks.remembered_limit.iter().map(|limit| ("remembered_limit", &limit.substance)))
        .chain(skin.map(|substance| ("skin_notation", substance)))
        .chain(remarks.alternative.iter().map(|other| ("alternative", &other.substance)))
        .chain(remarks.alternative.iter().map(|other| ("alternative", &other.instead)));
    for (key, named) in named {
        if !substances.iter().any(|substance| substance.id == *named) {
            return Err(fault(
                "remarks.toml",
                key,
                format!("the substance `{named}` is not in the catalogue"),
            ));
        }
    }
    for mixture in &mixtures.mixture {
        known_mixture(mixture, &substances).map_err(|reason| fault("mixtures.toml", &mixture.id, reason))?;
    }
    let burning: Burning = parsed(files, "burning.toml")?;
    let known = |id: &str| substances.iter().any(|substance| substance.id == id);
    burning
        .check(known, |key| sources.contains_key(key))
        .map_err(|(key, reason)| fault("burning.toml", &key, reason))?;
    let materials: Materials = parsed(files, "materials.toml")?;
    materials
        .check(|key| sources.contains_key(key))
        .map_err(|(key, reason)| fault("materials.toml", &key, reason))?;
    let flame_elements: FlameElements = parsed(files, "flame_elements.toml")?;
    flame_elements.check().map_err(|(key, reason)| fault("flame_elements.toml", &key, reason))?;
    let thermochemistry: ThermochemistryFile = parsed(files, "thermochemistry.toml")?;
    let thermochemistry = Thermochemistry::of(thermochemistry, |key| sources.contains_key(key))
        .map_err(|(key, reason)| fault("thermochemistry.toml", &key, reason))?;
    let lines: FlameLines = parsed(files, "flame_lines.toml")?;
    let bands: FlameBands = parsed(files, "flame_bands.toml")?;
    let observer: ObserverFile = parsed(files, "observer.toml")?;
    let emitters = Emitters::of(lines, bands, observer, |key| sources.contains_key(key))
        .map_err(|(file, (key, reason))| fault(file, &key, reason))?;
    let index = index(&substances, &mixtures.mixture, &ambiguous.ambiguous)?;
    let neighbours: Neighbours = parsed(files, "neighbours.toml")?;
    neighbours
        .check(|name| index.find(name).is_some())
        .map_err(|(key, reason)| fault("neighbours.toml", &key, reason))?;
    Ok(Catalogue {
        substances,
        mixtures: mixtures.mixture,
        sources,
        forms,
        places: rules.iter().enumerate().map(|(place, rule)| (rule.name, place)).collect(),
        rules,
        groups,
        burning,
        flame_elements,
        thermochemistry,
        emitters,
        materials,
        neighbours,
        index,
        version: digest(files.iter().copied()),
        rules_version: digest(files.iter().copied().filter(|(name, _)| *name == "rules.toml")),
    })
}

impl Catalogue {
    /// The rule of a name.
    #[must_use]
    pub fn rule(&self, name: &str) -> Option<&Rule> {
        self.rules.get(*self.places.get(name)?)
    }

    /// The substance of an id.
    #[must_use]
    pub fn by_id(&self, id: &str) -> Option<&Substance> {
        self.substances.iter().find(|substance| substance.id == id)
    }
}

fn fault(file: &str, key: &str, reason: impl Into<String>) -> Fault {
    Fault { file: file.to_owned(), key: key.to_owned(), reason: reason.into() }
}

fn json_fault(error: &serde_json::Error) -> KeyFault {
    let text = error.to_string();
    // The place in the JSON tells the reader of the TOML nothing.
    let text = text.split(" at line ").next().unwrap_or_default().to_owned();
    // serde names the key in its message; where it does not, the whole file is meant.
    let key = text.split('`').nth(1).unwrap_or("file").to_owned();
    (key, text)
}

fn parsed<T: DeserializeOwned>(files: &[(&str, &str)], name: &str) -> Result<T, Fault> {
    let text = files.iter().find(|(file, _)| *file == name).map(|(_, text)| *text);
    let text = text.ok_or_else(|| fault(name, "file", "this file is missing"))?;
    serde_json::from_str(text).map_err(|error| {
        let (key, reason) = json_fault(&error);
        fault(name, &key, reason)
    })
}

fn rules(files: &[(&str, &str)], sources: &BTreeMap<String, Source>) -> Result<Vec<Rule>, Fault> {
    let mut written: BTreeMap<String, RuleFile> = parsed(files, "rules.toml")?;
    let mut rules = Vec::new();
    for (name, ..) in NAMES {
        let entry = written.remove(*name).ok_or_else(|| fault("rules.toml", name, "this rule is missing"))?;
        if !sources.contains_key(&entry.source) {
            return Err(fault(
                "rules.toml",
                name,
                format!("the source `{}` is not in sources.toml", entry.source),
            ));
        }
        rules.push(rule(name, entry).map_err(|reason| fault("rules.toml", name, reason))?);
    }
    match written.keys().next() {
        Some(name) => Err(fault("rules.toml", name, "this rule is not known to the program")),
        None => Ok(rules),
    }
}

fn known_sources(file: &SubstanceFile, sources: &BTreeMap<String, Source>) -> Result<(), KeyFault> {
    let data = [
        ("molar_mass", Some(&file.molar_mass)),
        ("flash_point", file.flash_point.as_ref()),
        ("lower_flammable_limit", file.lower_flammable_limit.as_ref()),
        ("upper_flammable_limit", file.upper_flammable_limit.as_ref()),
        ("autoignition_temperature", file.autoignition_temperature.as_ref()),
        ("boiling_point", file.boiling_point.as_ref()),
        ("melting_point", file.melting_point.as_ref()),
        ("critical_temperature", file.critical_temperature.as_ref()),
        ("critical_pressure", file.critical_pressure.as_ref()),
        ("enthalpy_of_formation_liquid", file.enthalpy_of_formation_liquid.as_ref()),
        ("heat_of_combustion_lower", file.heat_of_combustion_lower.as_ref()),
        ("heat_of_combustion_higher", file.heat_of_combustion_higher.as_ref()),
        ("diffusivity_in_air", file.diffusivity_in_air.as_ref()),
    ];
    let missing =
        |key: &str, source: &str| (key.to_owned(), format!("the source `{source}` is not in sources.toml"));
    for (key, datum) in data.iter().filter_map(|(key, datum)| Some((*key, (*datum)?))) {
        if datum.value.is_some() && datum.source.is_none() {
            return Err((key.to_owned(), "a value has no source".to_owned()));
        }
        seen(&datum.seen).ok_or_else(|| (key.to_owned(), format!("`seen` is `{}`", datum.seen)))?;
        let others = datum.instead_of.iter().map(|other| &other.source);
        if let Some(source) = datum.source.iter().chain(others).find(|source| !sources.contains_key(*source))
        {
            return Err(missing(key, source));
        }
    }
    let equations = [
        ("vapour_pressure", &file.vapour_pressure),
        ("density", &file.density),
        ("heat_of_vaporisation", &file.heat_of_vaporisation),
        ("surface_tension", &file.surface_tension),
        ("heat_capacity_liquid", &file.heat_capacity_liquid),
        ("heat_capacity_gas", &file.heat_capacity_gas),
    ];
    for (key, list) in equations {
        if let Some(equation) = list.iter().find(|equation| !sources.contains_key(&equation.source)) {
            return Err(missing(key, &equation.source));
        }
    }
    Ok(())
}

/// Adds the exposure limits and skin notations that are known from memory alone.
fn remember(id: &str, file: &mut SubstanceFile, remarks: &Remarks) {
    for limit in remarks.remembered_limit.iter().filter(|limit| limit.substance == id) {
        let kinds = [("TWA", "8 h", &limit.long_term), ("STEL", "15 min", &limit.short_term)];
        for (kind, averaging_time, value) in kinds {
            let Some(value) = value else { continue };
            file.exposure_limit.push(ExposureLimit {
                jurisdiction: limit.jurisdiction.clone(),
                list: limit.list.clone(),
                edition: Some(limit.edition.clone()),
                kind: kind.to_owned(),
                averaging_time: Some(averaging_time.to_owned()),
                stated_unit: Some("ppm".to_owned()),
                skin: None,
                volume_fraction: Some(value.clone()),
                mass_concentration: None,
                disputed: false,
                seen: "memory".to_owned(),
                note: Some("from memory: confirm it in the list".to_owned()),
            });
        }
    }
    for entry in remarks.skin_notation.iter().filter(|entry| entry.substances.iter().any(|other| other == id))
    {
        let rows = file.exposure_limit.iter_mut().filter(|limit| limit.jurisdiction == entry.jurisdiction);
        for limit in rows {
            limit.skin.get_or_insert_with(|| "yes (from memory)".to_owned());
        }
    }
}

fn remark(substance: &mut Substance, remarks: &Remarks) -> Result<(), KeyFault> {
    let id = substance.id.clone();
    for caution in remarks.caution.iter().filter(|caution| caution.substance == id) {
        substance.cautions.push(Caution { id: caution.id.clone(), text: caution.text.clone() });
    }
    substance.cautions.extend(usual_cautions(&substance.file));
    if let Some(said) = remarks.not_flammable.iter().find(|said| said.substance == id) {
        let seen = seen(&said.seen).unwrap_or(Seen::Memory);
        substance.not_flammable = Some(NotFlammable { reason: said.reason.clone(), seen });
    }
    let alternative = remarks.alternative.iter().find(|other| other.substance == id);
    substance.alternative = alternative.map(|other| (other.instead.clone(), other.reason.clone()));
    let not_for_use = remarks.not_for_school_use.iter().find(|said| said.substance == id);
    substance.not_for_school_use = not_for_use.map(|said| said.reason.clone());
    if (substance.file.tier == 3) != not_for_use.is_some() {
        let reason = "tier 3 and an entry of `not_for_school_use` in remarks.toml belong together";
        return Err(("tier".into(), reason.into()));
    }
    if let Some(falls) = remarks.limit_falls_slower.iter().find(|falls| falls.substance == id) {
        substance.limit_fall = si::kelvin_difference(stored(&falls.kelvins, "limit_falls_slower", &["K"])?);
    }
    Ok(())
}

/// What is wrong with a named mixture.
fn known_mixture(mixture: &NamedMixture, substances: &[Substance]) -> Result<(), String> {
    let known = |id: &String| substances.iter().any(|substance| substance.id == *id);
    if let Some(unknown) = mixture.parts.iter().find(|id| !known(id)) {
        return Err(format!("the part `{unknown}` is not in the catalogue"));
    }
    seen(&mixture.seen).ok_or_else(|| format!("`seen` is `{}`", mixture.seen))?;
    if mixture.shares.is_empty() {
        return Err("there is no composition".into());
    }
    for shares in &mixture.shares {
        let sum: f64 = shares.iter().sum();
        if shares.len() != mixture.parts.len() || shares.iter().any(|share| *share < 0.0) {
            return Err("shares and parts do not fit together".into());
        }
        if (sum - 100.0).abs() > 0.1 {
            return Err(format!("the shares sum to {sum} % and not to 100 %"));
        }
    }
    Ok(())
}

/// The cautions that follow from what the file holds; from memory, as those notes are.
fn usual_cautions(file: &SubstanceFile) -> Vec<Caution> {
    let holds = |elements: &[&str]| {
        atoms(&file.formula).is_some_and(|all| all.iter().any(|(e, _)| elements.contains(&e.as_str())))
    };
    let hazard = file.hazard.as_ref();
    let word = |part: fn(&Hazard) -> Option<&String>| hazard.and_then(part).map(String::as_str);
    let mut cautions = Vec::new();
    let mut add = |id: &str, text: String| cautions.push(Caution { id: id.to_owned(), text });
    if holds(&["F", "Cl", "Br", "I"]) {
        let text = "Its vapour gives toxic and corrosive gases at flames and hot surfaces.";
        add("toxic_gases_at_flames", text.to_owned());
    }
    if holds(&["S", "N"]) {
        add("toxic_gases_when_burning", "It gives toxic gases when it burns.".to_owned());
    }
    let statements: &[String] = hazard.map_or(&[], |hazard| hazard.statements.as_slice());
    let states =
        |codes: &[&str]| statements.iter().any(|code| codes.iter().any(|known| code.starts_with(known)));
    if let Some(class) = word(|hazard| hazard.flammable_class_from_data.as_ref())
        && class.starts_with("Flam.")
        && !states(&["H224", "H225", "H226"])
    {
        add(
            "flammable_by_its_figures",
            format!("No statement on flammability is stored; by flash and boiling point it is {class}."),
        );
    }
    if holds(&["C"])
        && atoms(&file.formula).is_some_and(|all| all.len() == 2)
        && holds(&["H"])
        && !states(&["H304"])
    {
        let text = "A thin hydrocarbon may be fatal if it is swallowed and enters the airways, although the stored statements do not say so (from memory).";
        add("aspiration", text.to_owned());
    }
    if file.exposure_limit.iter().any(|limit| limit.skin.is_some()) || states(&["H310", "H311", "H312"]) {
        add("through_the_skin", "It passes through the skin: a limit for its vapour is not enough (skin notation or statement of a list).".to_owned());
    }
    if let Some(meaning) = word(|hazard| hazard.peroxide_meaning.as_ref()) {
        add("peroxides", format!("It {meaning} (from memory)."));
    }
    if let Some(seen) = word(|hazard| hazard.flame_visibility.as_ref())
        && (seen.contains("hard to see") || seen.contains("invisible"))
    {
        add("flame_hard_to_see", format!("Its flame is {seen} (from memory)."));
    }
    if word(|hazard| hazard.static_conductivity.as_ref()) == Some("low") {
        let text =
            "It conducts badly and charges when it flows: pour slowly, earth metal containers (from memory).";
        add("static_charge", text.to_owned());
    }
    if let Some(note) = word(|hazard| hazard.odour_note.as_ref())
        && !note.starts_with("strong")
    {
        add("smell_is_no_warning", format!("Its smell is no warning: {note} (from memory)."));
    }
    cautions
}

fn index(
    substances: &[Substance],
    mixtures: &[NamedMixture],
    ambiguous: &[Ambiguous],
) -> Result<Index, Fault> {
    let mut index = Index::default();
    for (at, substance) in substances.iter().enumerate() {
        let file = format!("substances/{}.toml", substance.id);
        let own = [&substance.id, &substance.file.name, &substance.file.cas];
        for name in own.into_iter().chain(&substance.file.names).chain(&substance.file.inchikey) {
            index.add(name, Named::Substance(at)).map_err(|reason| fault(&file, "names", reason))?;
        }
    }
    for (at, mixture) in mixtures.iter().enumerate() {
        for name in [&mixture.id, &mixture.name].into_iter().chain(&mixture.names) {
            index
                .add(name, Named::Mixture(at))
                .map_err(|reason| fault("mixtures.toml", &mixture.id, reason))?;
        }
    }
    for entry in ambiguous {
        for name in &entry.names {
            let named = Named::Ambiguous(entry.may_mean.clone());
            index.add(name, named).map_err(|reason| fault("ambiguous.toml", name, reason))?;
        }
    }
    Ok(index)
}

fn digest<'a>(files: impl Iterator<Item = (&'a str, &'a str)>) -> String {
    let mut sorted: Vec<_> = files.collect();
    sorted.sort_unstable();
    let mut hash = Sha256::new();
    for (name, text) in sorted {
        // Lengths keep two different splits of the same bytes apart.
        hash.update(format!("{} {} {}\n", name, name.len(), text.len()));
        hash.update(text);
    }
    HEXLOWER.encode(&hash.finalize())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What the catalogue says when a text in one of its files is replaced.
    fn with(name: &str, from: &str, to: &str) -> Fault {
        let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("catalogue");
        let text = std::fs::read_to_string(folder.join(name)).unwrap();
        assert!(text.contains(from), "{name} has no {from}");
        let value: toml::Value = toml::from_str(&text.replacen(from, to, 1)).unwrap();
        let json = serde_json::to_string(&value).unwrap();
        let changed: Vec<(&str, &str)> = FILES
            .iter()
            .map(|(file, text)| (*file, if *file == name { json.as_str() } else { *text }))
            .collect();
        load(&changed).unwrap_err()
    }

    #[test]
    fn the_embedded_catalogue_loads() {
        let catalogue = catalogue().unwrap();
        assert_eq!(catalogue.substances.iter().filter(|substance| substance.file.tier < 3).count(), 112);
        assert_eq!(catalogue.substances.iter().filter(|substance| substance.file.tier == 3).count(), 7);
        assert_eq!(catalogue.mixtures.len(), 18);
    }

    #[test]
    fn a_faulty_file_stops_the_start_and_names_file_key_and_reason() {
        let ethanol = "substances/ethanol.toml";
        for (from, to, key) in [
            ("family =", "colour =", "colour"),
            ("source = \"iec-60079-20-1-2010\"\n", "", "flash_point"),
            ("285.15 K", "285.15 m", "flash_point"),
            (
                "from = \"276.5 K\", to = \"369.54 K\"",
                "from = \"369.54 K\", to = \"276.5 K\"",
                "vapour_pressure",
            ),
            ("\"ethyl alcohol\"", "\"propanone\"", "names"),
            ("cas = \"64-17-5\"", "cas = \"64-17-6\"", "cas"),
            ("1648.22", "1647.22", "vapour_pressure"),
            ("46.069 g/mol", "47.069 g/mol", "molar_mass"),
            ("poling-2000-antoine", "poling-1900", "vapour_pressure"),
        ] {
            let fault = with(ethanol, from, to);
            assert_eq!(
                (fault.file.contains("ethanol") || key == "names", fault.key.as_str()),
                (true, key),
                "{fault}"
            );
        }
        assert_eq!(with("rules.toml", "\"10 %\"", "\"10 K\"").key, "planned_release_share");
        for (from, to) in [
            ("\"ethanol\", \"methanol\", \"water\"", "\"ethanole\", \"methanol\", \"water\""),
            ("[91, 5, 4]", "[81, 5, 4]"),
        ] {
            let fault = with("mixtures.toml", from, to);
            assert_eq!(fault.key, "industrial-denatured-alcohol", "{fault}");
        }
        assert_eq!(with("groups.toml", "[55, 3,", "[55, 99,").key, "interactions");
        for (from, to) in [
            ("\"bleach\"", "\"propanone\""),
            ("\"bleach\"", "\"Bromine\""),
            ("[\"oxidiser\", \"base\", \"aqueous\"]", "[]"),
        ] {
            assert_eq!(with("neighbours.toml", from, to).file, "neighbours.toml", "{to}");
        }
        let unneeded = with("remarks.toml", "substance = \"oxolane\"", "substance = \"ethanol\"");
        assert_eq!(unneeded.file, "substances/oxolane.toml", "{unneeded}");
        let twice = with("mixtures.toml", "\"IMS\"", "\"propanone\"");
        assert_eq!(twice.key, "industrial-denatured-alcohol", "{twice}");
    }
}
