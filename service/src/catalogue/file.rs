//! The form of a substance file, as it is written. An unknown key, a missing source or a wrong type does not load.

use serde::Deserialize;

/// One substance file.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SubstanceFile {
    /// Name shown.
    pub name: String,
    /// Other names.
    pub names: Vec<String>,
    /// How the names are known.
    pub names_seen: String,
    /// CAS registry number.
    pub cas: String,
    /// InChIKey.
    pub inchikey: Option<String>,
    /// InChI.
    pub inchi: Option<String>,
    /// SMILES.
    pub smiles: Option<String>,
    /// Molecular formula.
    pub formula: String,
    /// Family of the substance.
    pub family: String,
    /// 1 kept by most schools, 2 by colleges, 3 recognised but not for use.
    pub tier: u8,
    /// Accuracy class of the vapour pressure.
    pub vapour_pressure_class: Class,
    /// Molar mass.
    pub molar_mass: Datum,
    /// Flash point, closed cup, at 101.325 kPa.
    pub flash_point: Option<Datum>,
    /// Lower flammable limit in air at 25 Cel.
    pub lower_flammable_limit: Option<Datum>,
    /// Upper flammable limit in air at 25 Cel.
    pub upper_flammable_limit: Option<Datum>,
    /// Autoignition temperature.
    pub autoignition_temperature: Option<Datum>,
    /// Boiling point at 101.325 kPa.
    pub boiling_point: Option<Datum>,
    /// Melting point.
    pub melting_point: Option<Datum>,
    /// Critical temperature.
    pub critical_temperature: Option<Datum>,
    /// Critical pressure.
    pub critical_pressure: Option<Datum>,
    /// Standard enthalpy of formation of the liquid.
    pub enthalpy_of_formation_liquid: Option<Datum>,
    /// Heat of combustion, water as vapour.
    pub heat_of_combustion_lower: Option<Datum>,
    /// Heat of combustion, water as liquid.
    pub heat_of_combustion_higher: Option<Datum>,
    /// Diffusivity in air.
    pub diffusivity_in_air: Option<Datum>,
    /// Vapour-pressure equations.
    #[serde(default)]
    pub vapour_pressure: Vec<Equation>,
    /// Vapour-pressure equations that are known to be wrong.
    pub vapour_pressure_wrong: Option<Wrong>,
    /// Density equations and values.
    #[serde(default)]
    pub density: Vec<Equation>,
    /// Densities that are known to be wrong.
    pub density_wrong: Option<Wrong>,
    /// Heats of vaporisation.
    #[serde(default)]
    pub heat_of_vaporisation: Vec<Equation>,
    /// Heats of vaporisation that are known to be wrong.
    pub heat_of_vaporisation_wrong: Option<Wrong>,
    /// Surface tensions.
    #[serde(default)]
    pub surface_tension: Vec<Equation>,
    /// Surface tensions that are known to be wrong.
    pub surface_tension_wrong: Option<Wrong>,
    /// Heat capacities of the liquid.
    #[serde(default)]
    pub heat_capacity_liquid: Vec<Equation>,
    /// Heat capacities of the liquid that are known to be wrong.
    pub heat_capacity_liquid_wrong: Option<Wrong>,
    /// Heat capacities of the ideal gas.
    #[serde(default)]
    pub heat_capacity_gas: Vec<Equation>,
    /// Heat capacities of the ideal gas that are known to be wrong.
    pub heat_capacity_gas_wrong: Option<Wrong>,
    /// Hazard notes.
    pub hazard: Option<Hazard>,
    /// Exposure limits.
    #[serde(default)]
    pub exposure_limit: Vec<ExposureLimit>,
    /// Groups of modified UNIFAC (Dortmund).
    pub unifac_dortmund: Option<Unifac>,
}

/// Accuracy class.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Class {
    /// A to D.
    pub class: String,
    /// Why.
    pub reason: String,
}

/// A single value as stored; without `value` no published value is trusted.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Datum {
    /// The value with its unit.
    pub value: Option<String>,
    /// Half of its 95 % range, with its unit or in per cent.
    pub uncertainty: Option<String>,
    /// Whether it is an estimate.
    #[serde(default)]
    pub estimated: bool,
    /// Key of its source.
    pub source: Option<String>,
    /// Where in the source.
    pub locator: Option<String>,
    /// How the source was seen.
    pub seen: String,
    /// Who converted it.
    pub converted_by: Option<String>,
    /// A remark.
    pub note: Option<String>,
    /// Other published values.
    #[serde(default)]
    pub instead_of: Vec<Other>,
}

/// Another published value.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Other {
    /// The value with its unit.
    pub value: String,
    /// Key of its source.
    pub source: String,
    /// `use`, `doubtful` or `wrong`.
    pub verdict: String,
    /// Why it was not chosen.
    pub reason: String,
}

/// A published equation or single value at a temperature.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Equation {
    /// Name of the set.
    pub set: String,
    /// Key of its form in `forms.toml`.
    pub form: String,
    /// Coefficients as stored.
    pub coefficients: Vec<String>,
    /// Stated range.
    pub valid: Valid,
    /// Unit of what it gives, where the form does not say.
    pub unit: Option<String>,
    /// Whether the map of the data recommends it.
    #[serde(default)]
    pub recommended: bool,
    /// `use` or `doubtful`.
    pub verdict: String,
    /// What the verdict rests on.
    pub reason: String,
    /// Key of its source.
    pub source: String,
    /// Where in the source.
    pub locator: Option<String>,
    /// How the source was seen.
    pub seen: String,
    /// Who converted it.
    pub converted_by: Option<String>,
    /// Critical temperature that belongs to it.
    pub critical_temperature: Option<String>,
    /// Critical pressure that belongs to it.
    pub critical_pressure: Option<String>,
    /// Exponents, where the form has them.
    #[serde(default)]
    pub exponents: Vec<String>,
    /// Thermal expansion near 20 Cel, for densities.
    pub expansion: Option<String>,
    /// What it must give.
    pub test: Test,
    /// A remark.
    pub note: Option<String>,
}

/// A range of temperatures.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Valid {
    /// Lowest.
    pub from: String,
    /// Highest.
    pub to: String,
}

/// What an equation must give at a temperature.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Test {
    /// The temperature.
    pub temperature: String,
    /// The value.
    pub value: String,
}

/// Published sets that are known to be wrong.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Wrong {
    /// The sets.
    pub not_used: Vec<NotUsed>,
}

/// A published set that is known to be wrong.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct NotUsed {
    /// Its name.
    pub set: String,
    /// Key of its source.
    pub source: String,
    /// Why it is not used.
    pub reason: String,
}

/// Hazard notes, from memory.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Hazard {
    /// Harmonised classification.
    pub classification: Option<String>,
    /// Category that follows from flash and boiling point.
    pub flammable_class_from_data: Option<String>,
    /// Hazard statements.
    #[serde(default)]
    pub statements: Vec<String>,
    /// Group of peroxide formers.
    pub peroxide_group: Option<String>,
    /// What the group means.
    pub peroxide_meaning: Option<String>,
    /// Family for keeping apart.
    pub family: Option<String>,
    /// Conductivity class.
    pub static_conductivity: Option<String>,
    /// Soot.
    pub soot_tendency: Option<String>,
    /// How the flame is seen.
    pub flame_visibility: Option<String>,
    /// Whether its smell warns.
    pub odour_note: Option<String>,
    /// Waste group.
    pub waste_group: Option<String>,
    /// What the notes rest on.
    pub basis: String,
    /// How it was seen.
    pub seen: String,
}

/// An exposure limit.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ExposureLimit {
    /// Jurisdiction.
    pub jurisdiction: String,
    /// List.
    pub list: String,
    /// Edition.
    pub edition: Option<String>,
    /// TWA, STEL or ceiling.
    pub kind: String,
    /// Averaging time.
    pub averaging_time: Option<String>,
    /// Unit in which the list states it.
    pub stated_unit: Option<String>,
    /// Skin notation.
    pub skin: Option<String>,
    /// As a volume fraction.
    pub volume_fraction: Option<String>,
    /// As a mass concentration.
    pub mass_concentration: Option<String>,
    /// Whether sources conflict.
    #[serde(default)]
    pub disputed: bool,
    /// How it was seen.
    pub seen: String,
    /// A remark.
    pub note: Option<String>,
}

/// UNIFAC groups.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Unifac {
    /// The groups.
    pub groups: Vec<Group>,
}

/// How often a subgroup occurs.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Group {
    /// Number of the subgroup.
    pub subgroup: u16,
    /// Its name.
    pub name: String,
    /// How often.
    pub count: u16,
}
