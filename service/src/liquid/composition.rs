//! What a liquid is made of.

use super::kept::Kept;
use crate::catalogue::Catalogue;
use crate::catalogue::load::NamedMixture;
use crate::catalogue::substance::{NotFlammable, Substance};
use crate::physics::activity::{MissingPair, Model};
use crate::quantity::round::significant;
use crate::quantity::{Estimate, si};
use brimline_openapi::{Fractions, Seen};
use uom::si::f64::{MassDensity, MolarMass, Ratio};

/// Digits of a mole fraction: what is recorded is what is computed with.
const DIGITS: u32 = 12;
/// By how much recorded mole fractions may miss one.
const ROUNDED_SUM: f64 = 1e-9;
/// Share by which a mixture may hold more moles in a volume than its parts poured apart: with water (ethanol-water
/// shrinks by up to 3.6 %; memory), and without.
const SHRINKS: (f64, f64) = (0.04, 0.01);

/// A part of a liquid.
#[derive(Debug, Clone, Copy)]
pub struct Part {
    /// The substance.
    pub substance: &'static Substance,
    /// Its mole fraction.
    pub fraction: f64,
}

/// One composition: parts in the order of their ids, and the model of their activity coefficients.
#[derive(Debug, Clone)]
pub struct Composition {
    /// The parts; mole fractions that sum to one.
    pub parts: Vec<Part>,
    /// The model, `None` for a pure liquid, or why there is none.
    pub model: Result<Option<Model>, NoModel>,
    /// What was computed of it.
    pub(super) kept: Kept,
}

/// Why the activity coefficients of a mixture are not known.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NoModel {
    /// A pair of groups.
    #[error("{0}")]
    Pair(#[from] MissingPair),
    /// A molecule without groups.
    #[error("{0} cannot be built of the published groups")]
    Groups(String),
}

/// A part as it was given: a substance or a named mixture.
#[derive(Debug, Clone, Copy)]
pub enum Given {
    /// A substance.
    Substance(&'static Substance),
    /// A named mixture.
    Mixture(&'static NamedMixture),
}

/// A liquid.
#[derive(Debug, Clone)]
pub struct Liquid {
    /// Its name.
    pub name: String,
    /// Its id, where it is a substance or a named mixture.
    pub id: Option<&'static str>,
    /// The parts as they were given, with mole fractions of the whole.
    pub given: Vec<(Given, f64)>,
    /// Its compositions: as defined or asked first, then other ends in which it is sold.
    pub compositions: Vec<Composition>,
}

impl Given {
    /// Its id.
    #[must_use]
    pub fn id(&self) -> &'static str {
        match self {
            Self::Substance(substance) => &substance.id,
            Self::Mixture(mixture) => &mixture.id,
        }
    }

    /// Its name.
    #[must_use]
    pub fn name(&self) -> &'static str {
        match self {
            Self::Substance(substance) => substance.name(),
            Self::Mixture(mixture) => &mixture.name,
        }
    }

    /// How many compositions it is known in.
    fn variants(&self) -> usize {
        match self {
            Self::Substance(_) => 1,
            Self::Mixture(mixture) => mixture.shares.len(),
        }
    }

    /// Its parts in a composition, mole fractions.
    fn parts(&self, catalogue: &'static Catalogue, variant: usize) -> Vec<Part> {
        match self {
            Self::Substance(substance) => vec![Part { substance, fraction: 1.0 }],
            Self::Mixture(mixture) => {
                let shares = mixture.shares.get(variant).or_else(|| mixture.shares.first());
                let parts = mixture.parts.iter().filter_map(|id| catalogue.by_id(id));
                let moles: Vec<(&'static Substance, f64)> = parts
                    .zip(shares.into_iter().flatten())
                    .map(|(substance, share)| (substance, moles(substance, *share, mixture.basis)))
                    .collect();
                let total: f64 = moles.iter().map(|(_, moles)| moles).sum();
                let part = |(substance, moles)| Part { substance, fraction: moles / total };
                moles.into_iter().map(part).collect()
            }
        }
    }

    /// Moles in a volume of so many mL measured apart.
    #[must_use]
    pub fn moles_of_volume(&self, catalogue: &'static Catalogue, millilitres: f64) -> f64 {
        let parts = self.parts(catalogue, 0);
        millilitres
            / parts.iter().map(|part| part.fraction * millilitres_per_mole(part.substance)).sum::<f64>()
    }

    /// Moles in a mass of so many grams.
    #[must_use]
    pub fn moles_of_mass(&self, catalogue: &'static Catalogue, grams: f64) -> f64 {
        let parts = self.parts(catalogue, 0);
        grams
            / parts
                .iter()
                .map(|part| part.fraction * si::in_gram_per_mole(part.substance.molar_mass))
                .sum::<f64>()
    }
}

fn millilitres_per_mole(substance: &Substance) -> f64 {
    // kg/m3 is mg/mL.
    si::in_gram_per_mole(substance.molar_mass)
        / (si::in_kilogram_per_cubic_metre(substance.density.estimate.value) / 1000.0)
}

fn moles(substance: &Substance, share: f64, basis: Fractions) -> f64 {
    match basis {
        Fractions::Mole => share,
        Fractions::Mass => share / si::in_gram_per_mole(substance.molar_mass),
        Fractions::Volume => share / millilitres_per_mole(substance),
    }
}

impl Liquid {
    /// A pure substance.
    #[must_use]
    pub fn pure(substance: &'static Substance) -> Self {
        Self {
            name: substance.name().to_owned(),
            id: Some(&substance.id),
            given: vec![(Given::Substance(substance), 1.0)],
            compositions: vec![Composition::of_parts(vec![Part { substance, fraction: 1.0 }], Ok(None))],
        }
    }

    /// A named mixture.
    #[must_use]
    pub fn named(catalogue: &'static Catalogue, mixture: &'static NamedMixture) -> Self {
        let mut liquid = Self::mixed(catalogue, vec![(Given::Mixture(mixture), 1.0)]);
        liquid.name = mixture.name.clone();
        liquid.id = Some(&mixture.id);
        liquid
    }

    /// A mixture of so many moles of each part; those of one id are added up.
    #[must_use]
    pub fn mixed(catalogue: &'static Catalogue, parts: Vec<(Given, f64)>) -> Self {
        let mut given: Vec<(Given, f64)> = Vec::new();
        for (part, moles) in parts {
            match given.iter_mut().find(|(known, _)| known.id() == part.id()) {
                Some((_, sum)) => *sum += moles,
                None => given.push((part, moles)),
            }
        }
        // Sorted, so that the order in which the parts were given changes no bit of the answer.
        given.sort_by_key(|(part, _)| part.id());
        let total: f64 = given.iter().map(|(_, moles)| moles).sum();
        // Mole fractions as they are recorded sum to one but for their last digit: asked back, they stay what they are.
        let total = if (total - 1.0).abs() < ROUNDED_SUM { 1.0 } else { total };
        for (_, moles) in &mut given {
            *moles = significant(*moles / total, DIGITS);
        }
        if let [(Given::Substance(substance), _)] = given.as_slice() {
            return Self::pure(substance);
        }
        let mut compositions = vec![composition(catalogue, &given, |_| 0)];
        for (place, (part, _)) in given.iter().enumerate() {
            for variant in 1..part.variants() {
                compositions.push(composition(
                    catalogue,
                    &given,
                    |other| if other == place { variant } else { 0 },
                ));
            }
        }
        let name = given.iter().map(|(part, _)| part.name()).collect::<Vec<_>>().join(" + ");
        Self { name, id: None, given, compositions }
    }

    /// The composition as defined or asked.
    ///
    /// # Panics
    /// Never: every way to make a liquid gives it one composition at least.
    #[must_use]
    pub fn usual(&self) -> &Composition {
        #[allow(clippy::expect_used, reason = "every way to make a liquid gives it a composition")]
        self.compositions.first().expect("a liquid has a composition")
    }

    /// The substance, where it is pure.
    #[must_use]
    pub fn substance(&self) -> Option<&'static Substance> {
        match self.usual().parts.as_slice() {
            [part] => Some(part.substance),
            _ => None,
        }
    }

    /// Every substance in it.
    pub fn substances(&self) -> impl Iterator<Item = &'static Substance> {
        let mut all: Vec<&'static Substance> =
            self.compositions.iter().flat_map(|one| &one.parts).map(|part| part.substance).collect();
        all.sort_by_key(|substance| &substance.id);
        all.dedup_by_key(|substance| &substance.id);
        all.into_iter()
    }

    /// What a source says, where none of it burns: the parts that it is said of.
    #[must_use]
    pub fn not_flammable(&self) -> Option<NotFlammable> {
        let said: Option<Vec<&NotFlammable>> =
            self.substances().map(|substance| substance.not_flammable.as_ref()).collect();
        let said = said?;
        let reasons: Vec<&str> = said.iter().map(|said| said.reason.as_str()).collect();
        Some(NotFlammable {
            reason: reasons.join("; "),
            seen: said.iter().map(|said| said.seen).max().unwrap_or(Seen::Memory),
        })
    }

    /// The first part that is not for use in a school, and why.
    #[must_use]
    pub fn not_for_school_use(&self) -> Option<(&'static Substance, &'static str)> {
        self.substances().find_map(|substance| Some((substance, substance.not_for_school_use.as_deref()?)))
    }

    /// Whether all of it holds nothing but carbon, hydrogen and oxygen.
    #[must_use]
    pub fn burns_cleanly(&self) -> bool {
        self.substances().all(Substance::burns_cleanly)
    }

    /// Parts whose vapour can burn although no flash point is published.
    pub fn burns_without_flash_point(&self) -> impl Iterator<Item = &'static Substance> {
        self.substances().filter(|substance| substance.flammable().is_none())
    }

    /// Whether so much of it can burn without a published flash point or limit that what is published of the rest says
    /// nothing of it.
    #[must_use]
    pub fn mostly_unpublished(&self) -> bool {
        self.compositions.iter().any(Composition::mostly_unpublished)
    }

    /// Density at 20 Cel.
    #[must_use]
    pub fn density(&self) -> Estimate<MassDensity> {
        let usual = self.usual().density();
        super::spanning(self.compositions.iter().map(Composition::density)).unwrap_or(usual)
    }

    /// Mean molar mass of the liquid.
    #[must_use]
    pub fn molar_mass(&self) -> MolarMass {
        self.usual().molar_mass()
    }

    /// Mean molar mass of what can burn; of all of it, where nothing can.
    #[must_use]
    pub fn molar_mass_of_fuel(&self) -> MolarMass {
        self.usual().mean_molar_mass(Part::is_fuel)
    }
}

fn composition(
    catalogue: &'static Catalogue,
    given: &[(Given, f64)],
    variant: impl Fn(usize) -> usize,
) -> Composition {
    let mut parts: Vec<Part> = Vec::new();
    for (place, (part, fraction)) in given.iter().enumerate() {
        for inner in part.parts(catalogue, variant(place)) {
            let more = fraction * inner.fraction;
            match parts.iter_mut().find(|known| known.substance.id == inner.substance.id) {
                Some(known) => known.fraction += more,
                None => parts.push(Part { substance: inner.substance, fraction: more }),
            }
        }
    }
    parts.retain(|part| part.fraction > 0.0);
    parts.sort_by_key(|part| &part.substance.id);
    let total: f64 = parts.iter().map(|part| part.fraction).sum();
    for part in &mut parts {
        part.fraction /= total;
    }
    let model = model(catalogue, &parts);
    Composition::of_parts(parts, model)
}

fn model(catalogue: &Catalogue, parts: &[Part]) -> Result<Option<Model>, NoModel> {
    if parts.len() < 2 {
        return Ok(None);
    }
    if let Some(part) = parts.iter().find(|part| part.substance.groups.is_empty()) {
        return Err(NoModel::Groups(part.substance.name().to_owned()));
    }
    let groups: Vec<_> = parts.iter().map(|part| part.substance.groups.as_slice()).collect();
    Ok(Some(Model::new(&catalogue.groups, &groups)?))
}

impl Part {
    /// Whether its vapour counts as flammable: a flash point or a trusted lower limit is published.
    #[must_use]
    pub fn is_fuel(&self) -> bool {
        self.substance.flammable() == Some(true)
    }

    /// Mass of its share in a mole of the liquid, g.
    #[must_use]
    pub fn grams(&self) -> f64 {
        self.fraction * si::in_gram_per_mole(self.substance.molar_mass)
    }

    /// Volume of its share in a mole of the liquid, poured apart at 20 Cel, mL.
    #[must_use]
    pub fn millilitres(&self) -> f64 {
        self.fraction * millilitres_per_mole(self.substance)
    }
}

impl Composition {
    /// Of parts whose mole fractions sum to one, and their model.
    #[must_use]
    pub fn of_parts(parts: Vec<Part>, model: Result<Option<Model>, NoModel>) -> Self {
        Self { parts, model, kept: Kept::default() }
    }

    /// Mole fractions in the order of the parts.
    #[must_use]
    pub fn fractions(&self) -> Vec<f64> {
        self.parts.iter().map(|part| part.fraction).collect()
    }

    fn holds_water(&self) -> bool {
        self.parts.len() > 1 && self.parts.iter().any(|part| part.substance.id == "water")
    }

    /// The same of one composition: a fifth of its molecules. Less than that moves a limit by less than its own range.
    #[must_use]
    pub fn mostly_unpublished(&self) -> bool {
        const SHARE: f64 = 0.2;
        let unknown = self.parts.iter().filter(|part| part.substance.flammable().is_none());
        unknown.map(|part| part.fraction).sum::<f64>() > SHARE
    }

    /// Sum of a figure of each part, such as moles or fluxes, over the parts of which no source says that they do not burn.
    #[must_use]
    pub fn fuel_of(&self, figures: &[f64]) -> f64 {
        let parts = self.parts.iter().zip(figures);
        parts.filter(|(part, _)| part.substance.not_flammable.is_none()).map(|(_, figure)| figure).sum()
    }

    /// Share of water by volumes measured apart.
    #[must_use]
    pub fn water_by_volume(&self) -> f64 {
        let all: f64 = self.parts.iter().map(Part::millilitres).sum();
        let water: f64 =
            self.parts.iter().filter(|part| part.substance.id == "water").map(Part::millilitres).sum();
        water / all
    }

    /// Density at 20 Cel: volumes add up, and may shrink on mixing.
    #[must_use]
    pub fn density(&self) -> Estimate<MassDensity> {
        if let [part] = self.parts.as_slice() {
            return part.substance.density.estimate;
        }
        let grams: f64 = self.parts.iter().map(Part::grams).sum();
        let volume = |end: fn(Estimate<MassDensity>) -> MassDensity| -> f64 {
            self.parts
                .iter()
                .map(|part| {
                    part.grams() / si::in_kilogram_per_cubic_metre(end(part.substance.density.estimate))
                })
                .sum()
        };
        let shrinks = if self.holds_water() { SHRINKS.0 } else { SHRINKS.1 };
        let density = |volume: f64| si::kilogram_per_cubic_metre(grams / volume);
        Estimate::new(
            density(volume(|density| density.value)),
            density(volume(|density| density.low)),
            density(volume(|density| density.high)) * (1.0 + shrinks),
        )
    }

    /// Mean molar mass.
    #[must_use]
    pub fn molar_mass(&self) -> MolarMass {
        self.mean_molar_mass(|_| true)
    }

    /// Mean molar mass of some parts; of all, where there are none of them.
    fn mean_molar_mass(&self, wanted: impl Fn(&Part) -> bool) -> MolarMass {
        let all = |wanted: &dyn Fn(&Part) -> bool| -> (f64, f64) {
            let parts = self.parts.iter().filter(|part| wanted(part));
            parts.fold((0.0, 0.0), |(grams, moles), part| (grams + part.grams(), moles + part.fraction))
        };
        if let [part] = self.parts.as_slice() {
            return part.substance.molar_mass;
        }
        let (grams, moles) = match all(&wanted) {
            (_, moles) if moles <= 0.0 => all(&|_| true),
            some => some,
        };
        si::gram_per_mole(grams / moles)
    }

    /// Moles of what can burn in a mole of liquid.
    #[must_use]
    pub fn fuel_fraction(&self) -> Ratio {
        si::fraction(self.parts.iter().filter(|part| part.is_fuel()).map(|part| part.fraction).sum())
    }
}
