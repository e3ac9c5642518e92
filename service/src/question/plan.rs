//! A plan as it was asked: read, checked for what cannot be done, changed for remedies.

use super::reader::{Asked, Fields, Typed};
use super::record::Group;
use super::room::RoomAsked;
use super::rules::Rules;
use super::{field, flame_colour, heating, liquid};
use crate::catalogue::flame_elements::{Element, Salt};
use crate::catalogue::{Catalogue, Substance};
use crate::liquid::Liquid;
use crate::quantity::round::significant;
use brimline_openapi::answered::RecordedValue;
use serde_json::{Map, Value, json};
use std::rc::Rc;

/// Most steps of a plan.
pub const MOST_STEPS: usize = 60;
/// Most stock bottles, ignition sources or neighbours.
const MOST_OTHERS: usize = 20;
/// Most salts.
const MOST_SALTS: usize = 10;
/// Most vessels of a step.
const MOST_VESSELS: u32 = 1000;

/// What is done in a step.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Doing {
    /// Drawn from stock.
    Draw,
    /// Set out.
    SetOut,
    /// Poured.
    Pour,
    /// Heated.
    Heat,
    /// Left to evaporate.
    Evaporate,
    /// Lit.
    Burn,
    /// Waited.
    Wait,
    /// Filled again.
    Refill,
    /// Cleared away.
    Clear,
}

/// The words of [`Doing`].
const WORDS: [(&str, Doing); 9] = [
    ("draw", Doing::Draw),
    ("set_out", Doing::SetOut),
    ("pour", Doing::Pour),
    ("heat", Doing::Heat),
    ("evaporate", Doing::Evaporate),
    ("burn", Doing::Burn),
    ("wait", Doing::Wait),
    ("refill", Doing::Refill),
    ("clear", Doing::Clear),
];

impl Doing {
    /// Its word.
    #[must_use]
    pub fn word(self) -> &'static str {
        WORDS.iter().find(|(_, doing)| *doing == self).map_or("", |(word, _)| word)
    }

    /// As it is shown.
    #[must_use]
    pub const fn shown(self) -> brimline_openapi::Doing {
        match self {
            Self::Draw => brimline_openapi::Doing::Draw,
            Self::SetOut => brimline_openapi::Doing::SetOut,
            Self::Pour => brimline_openapi::Doing::Pour,
            Self::Heat => brimline_openapi::Doing::Heat,
            Self::Evaporate => brimline_openapi::Doing::Evaporate,
            Self::Burn => brimline_openapi::Doing::Burn,
            Self::Wait => brimline_openapi::Doing::Wait,
            Self::Refill => brimline_openapi::Doing::Refill,
            Self::Clear => brimline_openapi::Doing::Clear,
        }
    }
}

/// A liquid of a plan, as it was written and as it is understood.
#[derive(Debug, Clone)]
pub struct Poured {
    /// As the request writes it.
    pub raw: Value,
    /// What it is.
    pub liquid: Rc<Liquid>,
}

/// A vessel of a plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Vessel {
    /// mL
    pub capacity: f64,
    /// cm
    pub mouth: f64,
    /// In the caller's words.
    pub material: Option<String>,
    /// Whether it burns from a wick, and its measured loss and area, as written.
    pub more: Map<String, Value>,
}

/// Beginnings of words that name what sprays.
const SPRAYS: [&str; 13] = [
    "airbrush",
    "atomi",
    "pump",
    "mist",
    "aerosol",
    "nebuli",
    "vaporis",
    "vaporiz",
    "trigger",
    "spritz",
    "sprüh",
    "zerstäub",
    "pulvéris",
];

impl Vessel {
    /// Whether it burns from a wick.
    #[must_use]
    pub fn is_wick(&self) -> bool {
        self.more.get("kind").is_some_and(|kind| kind == "wick")
    }

    /// Whether another may be meant by the words for its material: they are left out, or the same but for case and spaces.
    #[must_use]
    pub fn is_called_as(&self, other: &Self) -> bool {
        let words = |vessel: &Self| vessel.material.as_ref().map(|words| words.trim().to_lowercase());
        words(self).zip(words(other)).is_none_or(|(own, other)| own == other)
    }

    /// Whether its words say that it sprays.
    #[must_use]
    pub fn sprays(&self) -> bool {
        let words = self.material.as_ref().map(|words| words.to_lowercase()).unwrap_or_default();
        let mut parts = words.split(|letter: char| !letter.is_alphabetic());
        words.contains("spray") || parts.any(|part| SPRAYS.iter().any(|start| part.starts_with(start)))
    }
}

/// A step.
#[derive(Debug, Clone)]
pub struct Step {
    /// What is done.
    pub doing: Doing,
    /// The liquid.
    pub liquid: Option<Poured>,
    /// mL; of a draw in all, else in each vessel.
    pub amount: Option<f64>,
    /// The vessel.
    pub vessel: Option<Vessel>,
    /// How many.
    pub vessels: Option<u32>,
    /// Cel
    pub heated_to: Option<f64>,
    /// What heats it.
    pub heated_by: Option<&'static str>,
    /// min
    pub duration: Option<f64>,
    /// Whether the room is darkened.
    pub darkened: bool,
    /// Whether every flame is proved out.
    pub flames_out: bool,
    /// Its place in the request.
    pub at: usize,
}

/// A stock bottle.
#[derive(Debug, Clone)]
pub struct Stock {
    /// The liquid.
    pub liquid: Poured,
    /// mL
    pub holds: f64,
    /// m
    pub distance: f64,
    /// Whether it stands open while something burns.
    pub open: bool,
    /// Whether it is carried out of the room, closed, before anything is lit.
    pub returned: bool,
}

/// An ignition source.
#[derive(Debug, Clone)]
pub struct Source {
    /// What it is.
    pub kind: String,
    /// m
    pub distance: f64,
    /// Whether it is lit from the beginning, where that is said.
    pub lit: Option<bool>,
}

impl Source {
    /// Whether it is said to be lit.
    #[must_use]
    pub fn is_lit(&self) -> bool {
        self.lit == Some(true)
    }

    /// Whether it is not said to be out.
    #[must_use]
    pub fn may_be_lit(&self) -> bool {
        self.lit != Some(false)
    }
}

/// A plan.
#[derive(Debug, Clone)]
pub struct Plan {
    /// Its name.
    pub name: Option<String>,
    /// The room, as written.
    pub room: Map<String, Value>,
    /// Air changes, /h, where they were given.
    pub air_changes: f64,
    /// Distance of the nearest person, m.
    pub nearest: f64,
    /// The longest way in the room, m.
    pub longest: f64,
    /// The steps.
    pub steps: Vec<Step>,
    /// The stock.
    pub stock: Vec<Stock>,
    /// Whether anything is said of stock: an empty list says that there is none.
    pub stock_said: bool,
    /// Ignition sources; none given: one is assumed.
    pub ignition: Option<Vec<Source>>,
    /// Whether there is a mat.
    pub mat: bool,
    /// What stands beside, as written.
    pub beside: Vec<Value>,
    /// Salts whose colours are to be seen, each with the element that gives its colour.
    pub salts: Vec<(&'static Element, &'static Salt)>,
    /// m
    pub clear: Option<f64>,
    /// Rules and who answers for them, as written.
    pub common: Map<String, Value>,
}

/// A quantity in request form.
#[must_use]
pub fn text(number: f64, unit: &str) -> Value {
    Value::String(format!("{} {unit}", significant(number, 12)))
}

impl Vessel {
    /// In request form.
    #[must_use]
    pub fn value(&self) -> Value {
        let mut map = self.more.clone();
        map.insert("capacity".into(), text(self.capacity, "mL"));
        map.insert("mouth_diameter".into(), text(self.mouth, "cm"));
        if let Some(material) = &self.material {
            map.insert("material".into(), json!(material));
        }
        Value::Object(map)
    }

    /// Its material and kind in words.
    #[must_use]
    pub fn named(&self) -> String {
        let kind = if self.more.contains_key("kind") { "burner" } else { "vessel" };
        self.material.as_ref().map_or_else(|| kind.to_owned(), |material| format!("{kind} of {material}"))
    }
}

impl Step {
    /// A wait.
    #[must_use]
    pub const fn wait(minutes: f64, at: usize) -> Self {
        Self {
            doing: Doing::Wait,
            liquid: None,
            amount: None,
            vessel: None,
            vessels: None,
            heated_to: None,
            heated_by: None,
            duration: Some(minutes),
            darkened: false,
            flames_out: false,
            at,
        }
    }

    /// Whether it says that something is heated, or by what.
    #[must_use]
    pub const fn is_heated(&self) -> bool {
        self.heated_to.is_some() || self.heated_by.is_some()
    }

    /// Whether a bath heats it, that was heated before.
    #[must_use]
    pub fn on_a_bath(&self) -> bool {
        matches!(self.heated_by, Some("water_bath" | "steam_bath"))
    }
}

fn vessel(group: &Fields<'_>) -> Option<(Vessel, Group)> {
    let capacity = group.required_quantity("capacity", &field::CAPACITY);
    let mouth = group.required_quantity("mouth_diameter", &field::MOUTH);
    let material = group.text("material", 200).map(str::to_owned);
    let mut more = Map::new();
    let more_names = ["kind", "burning_rate", "wick_area"];
    for name in more_names {
        if let Some(value) = group.value(name) {
            more.insert(name.to_owned(), value.clone());
        }
    }
    group.finish();
    let (capacity, mouth) = (capacity?, mouth?);
    let mut recorded = Group::default();
    recorded.quantity("capacity", &capacity);
    recorded.quantity("mouth_diameter", &mouth);
    if let Some(material) = &material {
        recorded.word("material", material.clone());
    }
    for name in more_names {
        if let Some(value) = more.get(name) {
            recorded.written(name, value);
        }
    }
    Some((Vessel { capacity: capacity.number, mouth: mouth.number, material, more }, recorded))
}

/// A list of objects of a request: not a list, or too long, is a fault.
fn list<'a>(fields: &Fields<'a>, name: &'static str, most: usize) -> Vec<Fields<'a>> {
    let Some(value) = fields.value(name) else { return Vec::new() };
    let Some(all) = value.as_array() else {
        fields.faults().add("wrong-type", fields.at(name), format!("`{name}` is a list"), None);
        return Vec::new();
    };
    if all.len() > most {
        let detail = format!("`{name}` has {} entries; at most {most} are answered", all.len());
        fields.faults().add("outside-range", fields.at(name), detail, None);
        return Vec::new();
    }
    all.iter().enumerate().filter_map(|(place, value)| fields.item(name, place, value)).collect()
}

/// The salts of a plan, each once.
fn salts(
    fields: &Fields<'_>,
    catalogue: &'static Catalogue,
    request: &mut Group,
) -> Vec<(&'static Element, &'static Salt)> {
    let Some(value) = fields.value("salts") else { return Vec::new() };
    let pointer = fields.at("salts");
    let all = match value.as_array() {
        Some(all) if (1..=MOST_SALTS).contains(&all.len()) => all,
        Some(_) => {
            let detail =
                format!("`salts` is a list of 1 to {MOST_SALTS} salts; leave it out where there is none");
            fields.faults().add("outside-range", pointer, detail, None);
            return Vec::new();
        }
        None => {
            let detail = "`salts` is a list of salts, such as [\"lithium chloride\"]";
            fields.faults().add("wrong-type", pointer, detail, None);
            return Vec::new();
        }
    };
    let mut found: Vec<(&Element, &Salt)> = Vec::new();
    for (place, value) in all.iter().enumerate() {
        let at = format!("{pointer}/{place}");
        let Some(text) = value.as_str() else {
            fields.faults().add("wrong-type", at, "a salt is a name, such as \"lithium chloride\"", None);
            continue;
        };
        let Some(one) = flame_colour::of_salt(fields, "salts", at.clone(), text, catalogue) else { continue };
        if found.iter().any(|(_, salt)| salt.name == one.1.name) {
            fields.faults().add(
                "given-twice",
                at,
                format!("{} stands in the list already", one.1.name),
                None,
            );
        }
        found.push(one);
    }
    let recorded = found.iter().map(|(_, salt)| RecordedValue::Word(salt.name.as_str().into())).collect();
    request.values("salts", recorded);
    found
}

fn poured(fields: &Fields<'_>, name: &'static str, catalogue: &'static Catalogue) -> Option<Poured> {
    let raw = fields.value(name)?.clone();
    let liquid = liquid::of_field(fields, name, catalogue)?;
    Some(Poured { raw, liquid: Rc::new(liquid) })
}

fn number<Q>(fields: &Fields<'_>, name: &'static str, typed: &Typed<Q>, recorded: &mut Group) -> Option<f64> {
    let asked: Asked<Q> = fields.quantity(name, typed)?;
    recorded.quantity(name, &asked);
    Some(asked.number)
}

fn step(
    fields: &Fields<'_>,
    at: usize,
    catalogue: &'static Catalogue,
    recorded: &mut Vec<RecordedValue>,
) -> Option<Step> {
    let mut group = Group::default();
    fields.required(
        "do",
        "what is done: `draw`, `set_out`, `pour`, `heat`, `evaporate`, `burn`, `wait`, `refill`, `clear`",
    );
    let doing = fields.word("do", &WORDS);
    let liquid = poured(fields, "liquid", catalogue);
    if let Some(poured) = &liquid {
        liquid::record(&poured.liquid, "liquid", &mut group);
    }
    let amount = number(fields, "amount", &field::LIQUID_VOLUME, &mut group);
    let vessel = fields.group("vessel").and_then(|inner| vessel(&inner)).map(|(vessel, inner)| {
        group.group("vessel", inner);
        vessel
    });
    let vessels =
        if fields.value("vessels").is_some() { fields.required_count("vessels", MOST_VESSELS) } else { None };
    if let Some(vessels) = vessels {
        group.number("vessels", f64::from(vessels));
    }
    let heated_to = number(fields, "heated_to", &field::LIQUID_TEMPERATURE, &mut group);
    let heated_by = fields.word("heated_by", &heating::NAMED);
    if let Some(word) = heated_by {
        group.word("heated_by", word);
    }
    let duration = number(fields, "duration", &field::WAIT, &mut group);
    let darkened = fields.switch("darkened") == Some(true);
    let flames_out = fields.switch("all_flames_out") == Some(true);
    fields.finish();
    let doing = doing?;
    group.word("do", doing.word());
    if darkened {
        group.switch("darkened", true);
    }
    if flames_out {
        group.switch("all_flames_out", true);
    }
    if doing == Doing::Wait && duration.is_none() && fields.value("duration").is_none() {
        fields.faults().add(
            "missing-field",
            fields.at("duration"),
            "a wait has a `duration`, like \"15 min\"",
            None,
        );
    }
    if doing == Doing::Draw && (amount.is_none() && fields.value("amount").is_none()) {
        fields.faults().add(
            "missing-field",
            fields.at("amount"),
            "how much is drawn in all, like \"36 mL\"",
            None,
        );
    }
    let heats = matches!(doing, Doing::Heat | Doing::Evaporate);
    for (name, given) in [("heated_to", heated_to.is_some()), ("heated_by", heated_by.is_some())] {
        if given && !heats {
            let detail = format!(
                "`{name}` belongs to a step that does `heat`: what is poured, lit or left is not heated by it"
            );
            fields.faults().add("impossible-value", fields.at(name), detail, None);
        }
    }
    recorded.push(group.into_value());
    Some(Step {
        doing,
        liquid,
        amount,
        vessel,
        vessels,
        heated_to,
        heated_by,
        duration,
        darkened,
        flames_out,
        at,
    })
}

impl Plan {
    /// Reads a plan; `None` where there is a fault.
    pub fn read(
        fields: &Fields<'_>,
        rules: &Rules,
        catalogue: &'static Catalogue,
        request: &mut Group,
    ) -> Option<Self> {
        let asked = RoomAsked::read(fields, true);
        let room = fields.value("room").and_then(Value::as_object).cloned().unwrap_or_default();
        let people =
            fields.required_group("people", "an object with `nearest`, such as {\"nearest\": \"3 m\"}");
        let mut recorded = Group::default();
        let nearest = people.as_ref().and_then(|people| {
            let nearest = people.required_quantity("nearest", &field::DISTANCE);
            asked.holds(people, "nearest", nearest.as_ref());
            if people.value("count").is_some()
                && let Some(count) = people.required_count("count", 10_000)
            {
                recorded.number("count", f64::from(count));
            }
            people.finish();
            recorded.given("nearest", nearest.as_ref());
            nearest
        });
        request.group("people", recorded);
        fields.required("steps", "the list of what is done, in order");
        let mut recorded = Vec::new();
        let steps: Vec<Step> = list(fields, "steps", MOST_STEPS)
            .iter()
            .enumerate()
            .filter_map(|(at, inner)| step(inner, at, catalogue, &mut recorded))
            .collect();
        if fields.value("steps").and_then(Value::as_array).is_some_and(Vec::is_empty) {
            fields.faults().add("missing-field", fields.at("steps"), "a plan has at least one step", None);
        }
        request.values("steps", recorded);
        let mut recorded = Vec::new();
        let stock = list(fields, "stock", MOST_OTHERS);
        let stock: Vec<Stock> =
            stock.iter().filter_map(|inner| read_stock(inner, &asked, catalogue, &mut recorded)).collect();
        let stock_said = fields.value("stock").is_some();
        if stock_said {
            request.values("stock", recorded);
        }
        let mut recorded = Vec::new();
        let ignition = fields.value("ignition").map(|_| {
            let all = list(fields, "ignition", MOST_OTHERS);
            all.iter().filter_map(|inner| read_source(inner, &asked, &mut recorded)).collect()
        });
        if ignition.is_some() {
            request.values("ignition", recorded);
        }
        let mat = fields.switch("mat") == Some(true);
        request.switch("mat", mat);
        let beside: Vec<Value> = fields
            .value("beside")
            .and_then(Value::as_array)
            .map(|all| all.iter().take(MOST_OTHERS).cloned().collect())
            .unwrap_or_default();
        // As written: whatever stands there is part of what was asked.
        if !beside.is_empty() {
            request.written("beside", &Value::Array(beside.clone()));
        }
        if fields.value("beside").is_some_and(|value| !value.is_array()) {
            fields.faults().add("wrong-type", fields.at("beside"), "`beside` is a list", None);
        }
        let salts = salts(fields, catalogue, request);
        let clear = fields.quantity("clear_height", &field::DISTANCE);
        request.given("clear_height", clear.as_ref());
        let name = fields.value("name").and_then(Value::as_str).map(str::to_owned);
        let mut common = Map::new();
        for key in ["rules", "relaxed_by"] {
            if let Some(value) = fields.value(key) {
                common.insert(key.to_owned(), value.clone());
            }
        }
        fields.finish();
        rules.record(request);
        if !fields.faults().is_empty() {
            return None;
        }
        let mut quiet = super::draft::Draft::new(catalogue, false);
        let surroundings = asked.surroundings(rules, &mut quiet, request);
        let room_of = surroundings.room?;
        Some(Self {
            name,
            room,
            air_changes: crate::quantity::si::in_per_hour(room_of.air_changes),
            nearest: nearest?.number,
            longest: crate::quantity::si::in_metre(room_of.longest_way()),
            steps,
            stock,
            stock_said,
            ignition,
            mat,
            beside,
            salts,
            clear: clear.map(|clear| clear.number),
            common,
        })
    }

    /// Whether something of a kind is done.
    #[must_use]
    pub fn has(&self, doing: Doing) -> bool {
        self.steps.iter().any(|step| step.doing == doing)
    }

    /// Every liquid of its steps, once.
    #[must_use]
    pub fn liquids(&self) -> Vec<&Poured> {
        let mut all: Vec<&Poured> = Vec::new();
        for poured in self.steps.iter().filter_map(|step| step.liquid.as_ref()) {
            if all.iter().all(|known| known.liquid.name != poured.liquid.name) {
                all.push(poured);
            }
        }
        all
    }

    /// The vessels that are used, once each, with how many and what for.
    #[must_use]
    pub fn vessels(&self) -> Vec<(&Vessel, u32, &'static str)> {
        let mut all: Vec<(&Vessel, u32, &'static str)> = Vec::new();
        for step in &self.steps {
            let Some(vessel) = &step.vessel else { continue };
            let count = step.vessels.unwrap_or(1);
            match all.iter_mut().find(|(known, ..)| *known == vessel) {
                Some((_, most, _)) => *most = (*most).max(count),
                None => all.push((vessel, count, "")),
            }
        }
        all
    }

    /// What is drawn, in all, of each liquid, mL.
    #[must_use]
    pub fn drawn(&self) -> Vec<(String, f64)> {
        self.drawn_before(self.steps.len())
    }

    /// The same before a step.
    #[must_use]
    pub fn drawn_before(&self, step: usize) -> Vec<(String, f64)> {
        let mut all: Vec<(String, f64)> = Vec::new();
        for step in self.steps.iter().take(step).filter(|step| step.doing == Doing::Draw) {
            let (Some(poured), Some(amount)) = (&step.liquid, step.amount) else { continue };
            match all.iter_mut().find(|(name, _)| *name == poured.liquid.name) {
                Some((_, sum)) => *sum += amount,
                None => all.push((poured.liquid.name.clone(), amount)),
            }
        }
        all
    }

    /// What is poured, in all, of each liquid, mL; `again`: refills, too.
    #[must_use]
    pub fn poured(&self, name: &str, again: bool) -> f64 {
        self.poured_before(self.steps.len(), name, again)
    }

    /// The same before a step.
    #[must_use]
    pub fn poured_before(&self, step: usize, name: &str, again: bool) -> f64 {
        let (mut last, mut count) = (None, 1);
        let mut sum = 0.0;
        for step in self.steps.iter().take(step) {
            // What is cleared away names nothing for the steps after it.
            if step.doing == Doing::Clear {
                continue;
            }
            last = step.liquid.as_ref().or(last);
            count = step.vessels.unwrap_or(if step.vessel.is_some() { 1 } else { count });
            let pours = matches!(step.doing, Doing::SetOut | Doing::Pour | Doing::Heat | Doing::Evaporate);
            if (pours || again && step.doing == Doing::Refill)
                && last.is_some_and(|poured| poured.liquid.name == name)
            {
                sum += step.amount.unwrap_or(0.0) * f64::from(count);
            }
        }
        sum
    }

    /// Draws and burns follow what is poured, where that was changed: as much less is drawn, and what is lit is what stands there.
    pub fn follow(&mut self, before: &Self) {
        for poured in before.liquids() {
            let name = &poured.liquid.name;
            let drawn = before.drawn().into_iter().find(|(known, _)| known == name);
            let Some((_, drawn)) = drawn else { continue };
            // A refill is drawn before, or not said to be.
            let again = drawn >= before.poured(name, true) * (1.0 - 1e-9);
            let less = before.poured(name, again) - self.poured(name, again);
            let of_it = |step: &&mut Step| {
                step.doing == Doing::Draw && step.liquid.as_ref().is_some_and(|one| one.liquid.name == *name)
            };
            // The largest draw is changed.
            let draws = self.steps.iter_mut().filter(of_it).filter_map(|step| step.amount.as_mut());
            if let Some(amount) = draws.reduce(|one, other| if *other > *one { other } else { one })
                && *amount > less
            {
                *amount = significant(*amount - less, 12);
            }
        }
        let mut stands: Option<(f64, Option<u32>)> = None;
        for step in &mut self.steps {
            match (step.doing, step.amount) {
                (Doing::SetOut | Doing::Pour | Doing::Heat | Doing::Evaporate, Some(amount)) => {
                    stands = Some((amount, step.vessels));
                }
                (Doing::Burn, Some(_)) => {
                    if let Some((amount, vessels)) = stands {
                        step.amount = Some(amount);
                        step.vessels = step.vessels.and(vessels);
                    }
                }
                _ => {}
            }
        }
    }

    /// The steps that heat with what can light vapour beside it: whatever is no bath.
    pub fn heaters(&self) -> impl Iterator<Item = usize> {
        let heats =
            |step: &Step| step.doing == Doing::Heat || step.doing == Doing::Evaporate && step.is_heated();
        let all = self.steps.iter().enumerate();
        all.filter(move |(_, step)| heats(step) && !step.on_a_bath()).map(|(place, _)| place)
    }

    /// Whether a bottle is in the room while something burns or a heater is on: one that is drawn from after that is.
    #[must_use]
    pub fn stands_by_flames(&self, stock: &Stock) -> bool {
        let burns = self.steps.iter().position(|step| step.doing == Doing::Burn);
        let lit = burns.into_iter().chain(self.heaters()).min();
        let name = &stock.liquid.liquid.name;
        let drawn = self.steps.iter().rposition(|step| {
            step.doing == Doing::Draw
                && step.liquid.as_ref().is_some_and(|poured| poured.liquid.name == *name)
        });
        lit.is_some_and(|lit| !stock.returned || drawn.is_some_and(|drawn| drawn > lit))
    }

    /// Pointers of every field that names a liquid.
    #[must_use]
    pub fn fields_of(&self, name: &str) -> Vec<String> {
        let in_steps = self.steps.iter().enumerate().filter_map(|(place, step)| {
            step.liquid.as_ref().map(|poured| (format!("/steps/{place}/liquid"), poured))
        });
        let in_stock = self.stock.iter().enumerate();
        let in_stock = in_stock.map(|(place, stock)| (format!("/stock/{place}/liquid"), &stock.liquid));
        let all = in_steps.chain(in_stock);
        all.filter(|(_, poured)| poured.liquid.name == name).map(|(field, _)| field).collect()
    }

    /// The same plan with a substance in place of a liquid.
    #[must_use]
    pub fn with_liquid(&self, name: &str, substance: &'static Substance) -> Self {
        let mut plan = self.clone();
        let other = Poured { raw: json!(substance.id), liquid: Rc::new(Liquid::pure(substance)) };
        let in_steps = plan.steps.iter_mut().filter_map(|step| step.liquid.as_mut());
        let in_stock = plan.stock.iter_mut().map(|stock| &mut stock.liquid);
        for poured in in_steps.chain(in_stock).filter(|poured| poured.liquid.name == name) {
            *poured = other.clone();
        }
        plan
    }
}

fn read_stock(
    fields: &Fields<'_>,
    room: &RoomAsked,
    catalogue: &'static Catalogue,
    recorded: &mut Vec<RecordedValue>,
) -> Option<Stock> {
    let mut group = Group::default();
    let liquid = liquid::of_field(fields, "liquid", catalogue);
    let raw = fields.value("liquid").cloned();
    let holds = match fields.value("container") {
        // As `storage` writes it, too; a quantity may be an object of `value` and `unit`.
        Some(Value::Object(map)) if !map.contains_key("value") => {
            fields.group("container").and_then(|inner| {
                let capacity = inner.required_quantity("capacity", &field::CAPACITY);
                inner.value("filled");
                inner.value("material");
                inner.finish();
                capacity
            })
        }
        _ => fields.required_quantity("container", &field::CAPACITY),
    };
    let distance = fields.required_quantity("distance", &field::DISTANCE);
    room.holds(fields, "distance", distance.as_ref());
    let open = fields.switch("open") == Some(true);
    let returned = fields.switch("returned") == Some(true);
    if open && returned {
        let detail = "what is carried out of the room is closed: leave `open` out";
        fields.faults().add("impossible-value", fields.at("open"), detail, None);
    }
    fields.finish();
    let (liquid, raw, holds, distance) = (liquid?, raw?, holds?, distance?);
    liquid::record(&liquid, "liquid", &mut group);
    group.quantity("container", &holds);
    group.quantity("distance", &distance);
    group.switch("open", open);
    if returned {
        group.switch("returned", true);
    }
    recorded.push(group.into_value());
    Some(Stock {
        liquid: Poured { raw, liquid: Rc::new(liquid) },
        holds: holds.number,
        distance: distance.number,
        open,
        returned,
    })
}

fn read_source(fields: &Fields<'_>, room: &RoomAsked, recorded: &mut Vec<RecordedValue>) -> Option<Source> {
    let mut group = Group::default();
    fields.required("kind", "what it is, such as \"gas burner\"");
    let kind = fields.text("kind", 200);
    let distance = fields.required_quantity("distance", &field::DISTANCE);
    room.holds(fields, "distance", distance.as_ref());
    let lit = fields.switch("lit");
    fields.finish();
    let (kind, distance) = (kind?, distance?);
    group.word("kind", kind.to_owned());
    group.quantity("distance", &distance);
    if let Some(lit) = lit {
        group.switch("lit", lit);
    }
    recorded.push(group.into_value());
    Some(Source { kind: kind.to_owned(), distance: distance.number, lit })
}
