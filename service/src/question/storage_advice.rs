//! What a stored liquid is kept apart from, how it charges, where its waste goes: by the hazard notes of the catalogue, which
//! are from memory. Of a mixture each part counts.

use super::liquid;
use super::reader::Fields;
use crate::catalogue::neighbour::Family;
use crate::catalogue::search::{Named, folded};
use crate::catalogue::{Catalogue, Substance};
use crate::liquid::Liquid;
use brimline_openapi::answered::RecordedValue;
use brimline_openapi::{Conductivity, KeepApart, StaticCharge, Text, Waste};
use serde_json::Value;

/// Most neighbours in a request.
const MOST_BESIDE: usize = 50;

/// What decides beside what a liquid may stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Trait {
    Burns,
    Oxidiser,
    Acid,
    /// Mineral acids, among them those that oxidise.
    StrongAcid,
    OxidisingAcid,
    /// An acid that fumes and reacts with water.
    Fuming,
    Base,
    Halogenated,
    AlkaliMetal,
    MetalPowder,
    WaterReactive,
    GivesGas,
    Aqueous,
    Alcohol,
    Polymerises,
    Nitro,
    Ketone,
    Trichloromethane,
    CompressedGas,
    /// What a flame sets alight and is neither liquid nor gas.
    Tinder,
}

use Trait as T;

impl Trait {
    /// The family in words.
    const fn words(self) -> &'static str {
        match self {
            T::Burns => "flammable and combustible liquids",
            T::Oxidiser => "oxidisers",
            T::Acid => "acids",
            T::StrongAcid => "mineral acids",
            T::OxidisingAcid => "oxidising acids",
            T::Fuming => "fuming corrosive liquids",
            T::Base => "bases and amines",
            T::Halogenated => "halogenated solvents",
            T::AlkaliMetal => "alkali metals",
            T::MetalPowder => "metal powders",
            T::WaterReactive => "water-reactive substances",
            T::GivesGas => "substances that give off flammable gas",
            T::Aqueous => "water and aqueous solutions",
            T::Alcohol => "alcohols",
            T::Polymerises => "liquids that polymerise",
            T::Nitro => "nitro compounds",
            T::Ketone => "ketones",
            T::Trichloromethane => "trichloromethane",
            T::CompressedGas => "compressed gases",
            T::Tinder => "paper, cloth and wood",
        }
    }
}

/// Pairs that are kept apart, and why (judgement, from memory).
const APART: &[(Trait, Trait, &str)] = &[
    (T::Burns, T::Oxidiser, "an oxidiser can set a liquid that burns alight and feeds its fire"),
    (
        T::Burns,
        T::StrongAcid,
        "acids are kept from liquids that burn: nitric, perchloric and concentrated sulfuric acid oxidise them, at times violently",
    ),
    (
        T::Burns,
        T::Fuming,
        "liquids that fume, corrode and react with water are kept from flammable ones: a leak corrodes caps and cupboards, and heats up",
    ),
    (T::Burns, T::GivesGas, "where it is damp it gives off a gas that burns"),
    (
        T::Burns,
        T::AlkaliMetal,
        "an alkali metal can catch fire by itself where it is damp, and light the vapour",
    ),
    (T::Burns, T::CompressedGas, "a fire bursts gas cylinders, and oxygen feeds it"),
    (T::Acid, T::Base, "they neutralise each other with much heat"),
    (T::Halogenated, T::Base, "amines and strong bases react with halogenated solvents, at times violently"),
    (
        T::Halogenated,
        T::OxidisingAcid,
        "oxidising acids attack halogenated solvents and set poisonous gas free",
    ),
    (T::Halogenated, T::Oxidiser, "oxidisers attack halogenated solvents and set poisonous gas free"),
    (
        T::Halogenated,
        T::MetalPowder,
        "metal powders such as aluminium and magnesium react violently with halogenated solvents",
    ),
    (T::Acid, T::MetalPowder, "metal powders give off hydrogen with acids"),
    (T::Halogenated, T::AlkaliMetal, "alkali metals explode with halogenated solvents"),
    (T::Trichloromethane, T::Ketone, "with a trace of a base they react violently"),
    (T::Ketone, T::Base, "bases make ketones react with themselves and with trichloromethane"),
    (T::WaterReactive, T::Aqueous, "it reacts with water, with heat and gas"),
    (T::WaterReactive, T::Alcohol, "it reacts with alcohols, with heat and gas"),
    (T::WaterReactive, T::Base, "it reacts violently with amines and bases"),
    (T::AlkaliMetal, T::Aqueous, "alkali metals give off hydrogen with water and light it"),
    (T::AlkaliMetal, T::Alcohol, "alkali metals give off hydrogen with alcohols"),
    (T::AlkaliMetal, T::Acid, "alkali metals give off hydrogen with acids and light it"),
    (T::Polymerises, T::Acid, "acids can start its polymerisation"),
    (T::Polymerises, T::Base, "bases can start its polymerisation"),
    (T::Polymerises, T::Oxidiser, "oxidisers and peroxides can start its polymerisation"),
    (T::Nitro, T::Base, "with bases nitro compounds form salts that explode"),
    (T::Nitro, T::Acid, "acids make nitro compounds easier to explode"),
    (T::Acid, T::Oxidiser, "acids set oxidisers free, or chlorine from bleach"),
    (T::Acid, T::OxidisingAcid, "oxidising acids oxidise organic acids, at times violently"),
];

/// The words that stand for a family beside a liquid, with the worst of that family; those of [`Trait::words`] are among them.
const FAMILIES: &[(&str, &[Trait])] = &[
    ("oxidisers", &[T::Oxidiser]),
    ("acids", &[T::Acid, T::StrongAcid, T::OxidisingAcid]),
    ("mineral acids", &[T::Acid, T::StrongAcid, T::OxidisingAcid]),
    ("oxidising acids", &[T::Acid, T::StrongAcid, T::OxidisingAcid]),
    ("fuming corrosive liquids", &[T::Fuming, T::Acid, T::WaterReactive]),
    ("bases", &[T::Base]),
    ("bases and amines", &[T::Base]),
    ("water-reactives", &[T::WaterReactive, T::AlkaliMetal]),
    ("water-reactive substances", &[T::WaterReactive, T::AlkaliMetal]),
    ("substances that give off flammable gas", &[T::GivesGas, T::WaterReactive]),
    ("alkali metals", &[T::AlkaliMetal]),
    ("metal powders", &[T::MetalPowder]),
    ("aqueous solutions", &[T::Aqueous]),
    ("water and aqueous solutions", &[T::Aqueous]),
    ("compressed gases", &[T::CompressedGas]),
    ("gas cylinders", &[T::CompressedGas]),
    ("gas cylinder", &[T::CompressedGas]),
    ("spray cans", &[T::CompressedGas]),
    ("spray can", &[T::CompressedGas]),
    ("flammable and combustible liquids", &[T::Burns]),
    ("flammable liquids", &[T::Burns]),
    ("flammable liquid", &[T::Burns]),
    ("petrol", &[T::Burns]),
    ("paraffin", &[T::Burns]),
    ("paper, cloth and wood", &[T::Tinder]),
    ("paper", &[T::Tinder]),
    ("cardboard", &[T::Tinder]),
    ("cloth", &[T::Tinder]),
    ("cotton wool", &[T::Tinder]),
    ("wood", &[T::Tinder]),
    ("halogenated solvents", &[T::Halogenated, T::Trichloromethane]),
    ("alcohols", &[T::Burns, T::Alcohol]),
    ("ketones", &[T::Burns, T::Ketone]),
    ("liquids that polymerise", &[T::Burns, T::Polymerises]),
    ("nitro compounds", &[T::Burns, T::Nitro, T::Oxidiser]),
    ("salts", &[]),
];

/// Traits of what burns, or bursts in a fire, where a flame is near it.
const BURN: [Trait; 6] = [T::Burns, T::GivesGas, T::AlkaliMetal, T::MetalPowder, T::CompressedGas, T::Tinder];

const fn traits_of_family(family: Family) -> &'static [Trait] {
    match family {
        Family::OxidisingAcid => &[T::Acid, T::StrongAcid, T::OxidisingAcid],
        Family::Acid => &[T::Acid, T::StrongAcid],
        Family::Base => &[T::Base],
        Family::Oxidiser => &[T::Oxidiser],
        Family::AlkaliMetal => &[T::AlkaliMetal],
        Family::WaterReactive => &[T::WaterReactive],
        Family::GivesFlammableGas => &[T::GivesGas],
        Family::MetalPowder => &[T::MetalPowder],
        Family::Aqueous => &[T::Aqueous],
        Family::Salt => &[],
    }
}

fn traits_of(substance: &Substance) -> Vec<Trait> {
    let mut found = Vec::new();
    // What may burn for all that is known burns.
    if substance.flammable() != Some(false) {
        found.push(T::Burns);
    }
    let hazard = substance.file.hazard.as_ref().and_then(|hazard| hazard.family.as_deref());
    // What stands in brackets is a remark.
    let families = hazard.unwrap_or_default().split('(').next().unwrap_or_default();
    for family in families.split(';').map(str::trim) {
        match family {
            "oxidiser" => found.push(T::Oxidiser),
            "acid" => found.push(T::Acid),
            "base" => found.push(T::Base),
            "halogenated" => found.push(T::Halogenated),
            "water-reactive" => found.push(T::WaterReactive),
            "polymerises" => found.push(T::Polymerises),
            _ => {}
        }
    }
    if found.contains(&T::Acid) && found.contains(&T::WaterReactive) {
        found.push(T::Fuming);
    }
    match substance.file.family.as_str() {
        "ketone" => found.push(T::Ketone),
        "alcohol" | "glycol" => found.push(T::Alcohol),
        "water" => found.push(T::Aqueous),
        _ => {}
    }
    if substance.id.starts_with("nitro") {
        found.push(T::Nitro);
    }
    if substance.id == "trichloromethane" {
        found.push(T::Trichloromethane);
    }
    found
}

fn traits(liquid: &Liquid) -> Vec<Trait> {
    let mut all: Vec<Trait> = Vec::new();
    for one in liquid.substances().flat_map(traits_of) {
        if !all.contains(&one) {
            all.push(one);
        }
    }
    all
}

/// What stands beside a liquid.
#[derive(Debug, Clone)]
pub struct Neighbour {
    name: String,
    traits: Vec<Trait>,
    /// How it is recorded.
    pub recorded: RecordedValue,
}

impl Neighbour {
    /// A family, or something that is none of the liquids.
    fn known(text: &str, catalogue: &Catalogue) -> Option<Self> {
        let folded = folded(text);
        let of = |name: &str, traits| Self {
            name: name.to_owned(),
            traits,
            recorded: RecordedValue::Word(name.to_owned().into()),
        };
        if let Some((word, traits)) = FAMILIES.iter().find(|(word, _)| *word == folded) {
            return Some(of(word, traits.to_vec()));
        }
        let named = catalogue.neighbours.named(text)?;
        let traits = named.families.iter().flat_map(|family| traits_of_family(*family)).copied();
        Some(of(&named.name, traits.collect()))
    }
}

/// Whether what stands beside burns, or bursts in a fire, where a flame is near: a liquid of the catalogue that is not known
/// not to burn, a mixture with such a part, or a word for what burns. What is not known at all is refused where it is read.
#[must_use]
pub fn burns(name: &str, catalogue: &Catalogue) -> bool {
    let kept = |substance: &Substance| substance.flammable() != Some(false);
    if let Some(known) = Neighbour::known(name, catalogue) {
        return known.traits.iter().any(|one| BURN.contains(one));
    }
    match catalogue.index.find(name) {
        Some(Named::Substance(place)) => catalogue.substances.get(*place).is_none_or(kept),
        Some(Named::Mixture(place)) => catalogue
            .mixtures
            .get(*place)
            .is_none_or(|mixture| mixture.parts.iter().any(|part| catalogue.by_id(part).is_none_or(kept))),
        // What it may mean burns for all that is known.
        Some(Named::Ambiguous(_)) => true,
        None => false,
    }
}

/// The words that work beside a liquid.
fn words(catalogue: &Catalogue) -> String {
    let names = catalogue.neighbours.neighbour.iter().map(|one| one.name.as_str());
    FAMILIES.iter().map(|(word, _)| *word).chain(names).collect::<Vec<_>>().join(", ")
}

/// Reads `beside`; faults are gathered. `None` where it is not given.
pub fn read_beside(fields: &Fields<'_>, catalogue: &'static Catalogue) -> Option<Vec<Neighbour>> {
    let value = fields.value("beside")?;
    let Some(list) = value.as_array() else {
        let detail = format!("`beside` is a list of liquids, or of these words: {}", words(catalogue));
        fields.faults().add("wrong-type", fields.at("beside"), detail, None);
        return None;
    };
    if list.len() > MOST_BESIDE {
        let detail = format!("`beside` holds at most {MOST_BESIDE} neighbours, these are {}", list.len());
        fields.faults().add("outside-range", fields.at("beside"), detail, None);
        return None;
    }
    let one = |(place, value): (usize, &Value)| {
        if let Some(text) = value.as_str() {
            if let Some(known) = Neighbour::known(text, catalogue) {
                return Some(known);
            }
            if catalogue.index.find(text).is_none() {
                // A liquid whose name is alike may belong to another family: none is suggested.
                let shown: String = text.chars().take(60).collect();
                let detail = format!(
                    "`{shown}` is neither a liquid of the catalogue nor one of the words that work beside it: {}",
                    words(catalogue)
                );
                let pointer = format!("{}/{place}", fields.at("beside"));
                fields.faults().add("unknown-substance", pointer, detail, None);
                return None;
            }
        }
        let liquid = liquid::of_list(fields, "beside", place, value, catalogue)?;
        Some(Neighbour {
            name: super::draft::named(&liquid),
            traits: traits(&liquid),
            recorded: liquid::recorded(&liquid),
        })
    };
    // Each is read, so that every fault is found.
    let read: Vec<Option<Neighbour>> = list.iter().enumerate().map(one).collect();
    read.into_iter().collect()
}

/// The families that a liquid is kept apart from.
#[must_use]
pub fn families_apart(liquid: &Liquid) -> Vec<KeepApart> {
    let own = traits(liquid);
    let mut found: Vec<KeepApart> = Vec::new();
    for (one, other, reason) in APART {
        for (this, with) in [(one, other), (other, one)] {
            // Two that fume may stand side by side.
            let both_fume = *with == T::Fuming && own.contains(with);
            if own.contains(this) && !both_fume && found.iter().all(|known| known.with != with.words()) {
                found.push(KeepApart { with: Text::Borrowed(with.words()), reason: Text::Borrowed(reason) });
            }
        }
    }
    found
}

/// Why two are kept apart.
fn reason(own: &[Trait], other: &[Trait], pairs: &[(Trait, Trait, &'static str)]) -> Option<&'static str> {
    let both = |one| own.contains(one) && other.contains(one);
    pairs.iter().find_map(|(one, two, reason)| {
        // Two that fume may stand side by side.
        if both(&T::Fuming) && (*one == T::Fuming || *two == T::Fuming) {
            return None;
        }
        let meets = |this, that| own.contains(this) && other.contains(that);
        (meets(one, two) || meets(two, one)).then_some(*reason)
    })
}

/// The neighbours that do not belong beside a liquid.
#[must_use]
pub fn neighbours_apart(liquid: &Liquid, beside: &[Neighbour]) -> Vec<KeepApart> {
    let own = traits(liquid);
    let apart = |neighbour: &Neighbour| {
        let reason = Text::Borrowed(reason(&own, &neighbour.traits, APART)?);
        Some(KeepApart { with: Text::Owned(neighbour.name.clone()), reason })
    };
    beside.iter().filter_map(apart).collect()
}

/// The neighbours that would feed a fire, though they do not react with the liquid.
#[must_use]
pub fn tinder(beside: &[Neighbour]) -> Vec<&str> {
    let tinder = beside.iter().filter(|one| one.traits.contains(&T::Tinder));
    tinder.map(|one| one.name.as_str()).collect()
}

/// The parts of a liquid that do not belong in one container. That liquids which fume stand apart from flammable ones is no
/// reason against a mixture: what reacts in it is another pair.
#[must_use]
pub fn parts_apart(liquid: &Liquid) -> Vec<KeepApart> {
    let pairs: Vec<_> = APART.iter().filter(|(_, other, _)| *other != T::Fuming).copied().collect();
    let parts: Vec<(&Substance, Vec<Trait>)> =
        liquid.substances().map(|substance| (substance, traits_of(substance))).collect();
    let mut found = Vec::new();
    for (place, (one, own)) in parts.iter().enumerate() {
        for (other, others) in parts.iter().skip(place + 1) {
            if let Some(reason) = reason(own, others, &pairs) {
                let with = Text::Owned(format!("{} and {}", one.name(), other.name()));
                found.push(KeepApart { with, reason: Text::Borrowed(reason) });
            }
        }
    }
    found
}

/// How a liquid charges when it flows; its worst part.
#[must_use]
pub fn charge(liquid: &Liquid) -> StaticCharge {
    let of = |substance: &Substance| {
        let hazard = substance.file.hazard.as_ref();
        match hazard.and_then(|hazard| hazard.static_conductivity.as_deref()) {
            Some("high") => Conductivity::High,
            Some("medium") => Conductivity::Medium,
            Some("low") => Conductivity::Low,
            _ => Conductivity::NotKnown,
        }
    };
    let conductivity = liquid.substances().map(of).max().unwrap_or(Conductivity::NotKnown);
    let advice = match conductivity {
        Conductivity::High => {
            "It conducts: a charge flows off through an earthed container. Earth metal drums and cans before pouring."
        }
        Conductivity::Medium => {
            "A charge flows off slowly. Bond and earth metal containers, pour slowly along the wall."
        }
        _ => {
            "It keeps a charge (what is not known counts as that): bond and earth metal containers, pour slowly along the wall, no splashing, no plastic container or funnel for more than small amounts."
        }
    };
    StaticCharge { conductivity, advice: Text::Borrowed(advice) }
}

/// Whether a charge of it must be reckoned with.
#[must_use]
pub const fn keeps_charge(charge: &StaticCharge) -> bool {
    matches!(charge.conductivity, Conductivity::Low | Conductivity::NotKnown)
}

/// Groups of waste by the start of their names, what comes first decides; with what is done.
const WASTE: &[(&str, &str)] = &[
    ("reactive", "Ask for advice before it is mixed with anything: a container of its own."),
    ("organic solvents with halogen", "Collect halogenated solvents apart from others."),
    ("bases", "Collect bases and amines apart from acids and from halogenated solvents."),
    ("acids", "Collect acids apart from bases and from solvents that react with them."),
    ("organic solvents without halogen", "Collect it with solvents without halogen."),
    ("drain", "It may go down the drain; what is dissolved in it may not."),
];

/// Where what is left of a liquid goes; each part counts.
#[must_use]
pub fn waste(liquid: &Liquid, peroxides: bool) -> Waste {
    let groups: Vec<&'static str> = liquid
        .substances()
        .filter_map(|substance| substance.file.hazard.as_ref()?.waste_group.as_deref())
        .collect();
    let holds = |start: &str| groups.iter().find(|group| group.starts_with(start));
    let group = WASTE.iter().find_map(|(start, _)| holds(start));
    let alone = groups.iter().all(|group| group.starts_with("drain"));
    let mut advice: Vec<Text> = WASTE
        .iter()
        .filter(|(start, _)| holds(start).is_some() && (alone || *start != "drain"))
        .map(|(_, advice)| Text::Borrowed(*advice))
        .collect();
    if group.is_none() {
        advice.push(Text::Borrowed("No waste group is listed: ask for advice."));
    }
    if group.is_none() || !alone {
        advice.push(Text::Borrowed("Nothing of it goes down a drain."));
        advice.push(Text::Borrowed("What holds salts of copper, barium or other metals, as from flame colours, is collected as waste of its own."));
    }
    if peroxides {
        advice.push(Text::Borrowed("Residues of peroxide formers are never distilled or evaporated to dryness; tested, diluted and collected wet."));
    }
    Waste { group: Text::Borrowed(group.copied().unwrap_or("not listed")), advice }
}

/// Groups of liquids that form peroxides.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Peroxides {
    /// Without being concentrated.
    A,
    /// When concentrated.
    B,
    /// They may start its polymerisation.
    C,
}

impl Peroxides {
    /// The group of a liquid: of its parts the first.
    #[must_use]
    pub fn of(liquid: &Liquid) -> Option<Self> {
        let group = |substance: &Substance| match substance.file.hazard.as_ref()?.peroxide_group.as_deref()? {
            "A" => Some(Self::A),
            "B" => Some(Self::B),
            "C" => Some(Self::C),
            _ => None,
        };
        liquid.substances().filter_map(group).min()
    }

    /// The rule on how long it is kept after opening; `tested`: a test found no peroxides.
    #[must_use]
    pub const fn rule(self, tested: bool) -> &'static str {
        match (self, tested) {
            (Self::A, _) => "peroxide_keeping_a",
            (Self::B, true) => "peroxide_keeping_b",
            (Self::B, false) => "peroxide_keeping_b_untested",
            (Self::C, _) => "peroxide_keeping_c",
        }
    }

    /// What to do.
    #[must_use]
    pub const fn advice(self) -> &'static str {
        match self {
            Self::A => {
                "Forms peroxides without being concentrated: write the date on it on receipt and on opening, test before use and after the keeping time, discard it 3 months after opening; never distil or evaporate to dryness; leave a bottle with crystals or a crust alone and call for advice (from memory)."
            }
            Self::B => {
                "Forms peroxides that become dangerous when concentrated: write the date on it on receipt and on opening, test before each distillation or evaporation and after the keeping time, discard it 12 months after opening (6 untested); never distil or evaporate to dryness (from memory)."
            }
            Self::C => {
                "Its peroxides may start its own polymerisation: write the date on it on receipt and on opening, keep its inhibitor and air over it, keep it cool, test after the keeping time, discard it 12 months after opening; never distil to dryness (from memory)."
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::catalogue;

    /// Whether each name burns.
    const NAMES: &[(&str, bool)] = &[
        ("pentane", true),
        ("Acetone", true),
        ("decane", true),
        ("white spirit", true),
        ("propan-2-ol 70 %", true),
        ("flammable liquid", true),
        ("flammable liquids", true),
        ("petrol", true),
        ("gasoline", true),
        ("gas cylinder", true),
        ("Spray  cans", true),
        ("paper", true),
        ("cloth", true),
        ("alcohols", true),
        ("magnesium ribbon", true),
        ("sodium", true),
        ("calcium carbide", true),
        ("water", false),
        ("trichloromethane", false),
        ("sodium chloride", false),
        ("oxidisers", false),
        ("nitric acid", false),
        ("unobtainium", false),
    ];

    #[test]
    fn what_burns_beside_a_flame_is_told_by_its_name() {
        let catalogue = catalogue().unwrap();
        for (name, expected) in NAMES {
            assert_eq!(burns(name, catalogue), *expected, "{name}");
        }
    }

    #[test]
    fn every_liquid_that_a_source_lets_burn_burns_beside_a_flame() {
        let catalogue = catalogue().unwrap();
        for substance in &catalogue.substances {
            assert_eq!(
                burns(&substance.id, catalogue),
                substance.not_flammable.is_none(),
                "{}",
                substance.id
            );
        }
        for mixture in &catalogue.mixtures {
            assert!(burns(&mixture.id, catalogue) && burns(&mixture.name, catalogue), "{}", mixture.id);
        }
    }

    #[test]
    fn every_family_that_is_named_works_as_a_word() {
        let catalogue = catalogue().unwrap();
        for (one, other, _) in APART {
            for family in [one, other] {
                // One of them is a liquid of the catalogue.
                let known = catalogue.index.find(family.words()).is_some();
                assert!(known || Neighbour::known(family.words(), catalogue).is_some(), "{}", family.words());
            }
        }
    }
}
