//! What the nearest person breathes: two zones, the worst 15 minutes and the average of 8 hours, against exposure limits.
//!
//! The unfavourable end is that of a liquid that does not cool, in the air speed of its range that gives most: the same air
//! carries the vapour off the surface and away from the person, so that it is moved once in both places.

use super::reader::{Asked, Either, Fields};
use super::record::Group;
use super::room::Room;
use super::rules::Rules;
use super::{field, liquid};
use crate::catalogue::exposure_limit::{Averaged, ExposureLimit, convention};
use crate::catalogue::{Catalogue, Substance};
use crate::liquid::evaporation::{Conditions, End, NotEvaporating, Start};
use crate::liquid::vapour::Over;
use crate::liquid::{Composition, Liquid};
use crate::physics::build_up::BuildUp;
use crate::physics::exposure::Convention;
use crate::physics::{near_field, room_air};
use crate::quantity::{Estimate, si};
use brimline_openapi::answered::RecordedValue;
use brimline_openapi::{BasisKind, Grounds, Seen, Text};
use uom::si::f64::{Length, MassDensity, Ratio, Time, Velocity, Volume, VolumeRate};

/// Reference times of the averages, min.
const SHORT_MIN: f64 = 15.0;
const LONG_MIN: f64 = 480.0;
/// Speeds that are tried between the ends of the range, as shares of it on a logarithmic scale.
const BETWEEN: [f64; 6] = [0.0, 0.2, 0.4, 0.6, 0.8, 1.0];
/// Halvings of the step by which the worst window is narrowed down.
const NARROWED: u32 = 10;
/// With so few moments each stretch between them is looked at closely.
const FEW: usize = 6;

/// An exposure limit that counts.
#[derive(Debug, Clone)]
pub struct Counted {
    /// The limit.
    pub fraction: Ratio,
    /// Whether it holds at every moment and not on the average.
    pub ceiling: bool,
    /// Where it comes from, in words.
    pub words: String,
    /// Whether it was read in the list itself.
    pub confirmed: bool,
    /// Key of the kind of its basis.
    pub kind: BasisKind,
    /// How it was seen.
    pub seen: Seen,
    /// Whether the request brought it.
    pub own: bool,
}

/// The limits of a part; water needs none.
#[derive(Debug, Clone)]
pub struct PartLimits {
    /// The part.
    pub substance: &'static Substance,
    /// Over 15 minutes.
    pub short: Option<Counted>,
    /// Over 8 hours.
    pub long: Option<Counted>,
    /// Whether a limit is needed.
    pub needed: bool,
}

/// Most exposure limits that a request gives: more than a liquid has parts.
const MOST_LIMITS: usize = 50;

/// What a request says of exposure limits.
#[derive(Debug, Default)]
pub struct LimitsAsked {
    own: Vec<(&'static Substance, Option<Ratio>, Option<Ratio>)>,
    list: Option<String>,
    recorded: Vec<RecordedValue>,
}

impl LimitsAsked {
    /// Reads `limits` and `list`.
    #[must_use]
    pub fn read(fields: &Fields<'_>, liquid: Option<&Liquid>, catalogue: &'static Catalogue) -> Self {
        let mut asked = Self::default();
        if let Some(value) = fields.value("limits") {
            let Some(items) = value.as_array() else {
                fields.faults().add("wrong-type", fields.at("limits"), "`limits` is a list of objects", None);
                return asked;
            };
            if items.len() > MOST_LIMITS {
                let detail = format!("`limits` has at most {MOST_LIMITS} entries, these are {}", items.len());
                fields.faults().add("outside-range", fields.at("limits"), detail, None);
                return asked;
            }
            for (place, item) in items.iter().enumerate() {
                let Some(group) = fields.item("limits", place, item) else { continue };
                let substance = group.required("substance", "a name, synonym or CAS number").and_then(|_| {
                    let name = group.text("substance", 200)?;
                    liquid::substance(name, group.at("substance"), fields, catalogue)
                });
                let mut record = Group::default();
                let mut limit = |name: &'static str| {
                    let found = group.either(name, &field::LIMIT_FRACTION, &field::LIMIT_MASS)?;
                    Some(match found {
                        Either::First(fraction) => {
                            record.quantity(name, &fraction);
                            Ok(fraction.quantity)
                        }
                        Either::Second(mass) => {
                            record.quantity(name, &mass);
                            Err(mass.quantity)
                        }
                    })
                };
                let (short, long) = (limit("short_term"), limit("long_term"));
                group.finish();
                if short.is_none()
                    && long.is_none()
                    && group.value("short_term").is_none()
                    && group.value("long_term").is_none()
                {
                    let detail = "give `short_term`, `long_term` or both";
                    fields.faults().add("missing-field", group.at("short_term"), detail, None);
                }
                let Some(substance) = substance else { continue };
                if liquid.is_some_and(|liquid| liquid.substances().all(|part| part.id != substance.id)) {
                    let detail = format!("{} is no part of the liquid", substance.name());
                    fields.faults().add("impossible-value", group.at("substance"), detail, None);
                }
                // Of the two conventions that at 20 Cel makes less ppm of a mass: the stricter.
                let fraction = |limit: Result<Ratio, MassDensity>| {
                    limit.unwrap_or_else(|mass| Convention::At20.as_fraction(mass, substance.molar_mass))
                };
                record.word("substance", &substance.id);
                asked.recorded.push(record.into_value());
                asked.own.push((substance, short.map(fraction), long.map(fraction)));
            }
        }
        if let Some(name) = fields.text("list", 200) {
            let mut known: Vec<&str> = catalogue
                .substances
                .iter()
                .flat_map(|substance| &substance.exposure_limits)
                .map(|limit| limit.jurisdiction.as_str())
                .collect();
            known.sort_unstable();
            known.dedup();
            match known.iter().find(|known| known.eq_ignore_ascii_case(name)) {
                Some(known) => asked.list = Some((*known).to_owned()),
                None => {
                    let near = super::reader::nearest(name, known.iter().copied()).map(str::to_owned);
                    let detail = format!("lists are known of {}", known.join(", "));
                    fields.faults().add("wrong-type", fields.at("list"), detail, near);
                }
            }
        }
        asked
    }

    /// Records what was given.
    pub fn record(&self, request: &mut Group) {
        if !self.recorded.is_empty() {
            request.values("limits", self.recorded.clone());
        }
        if let Some(list) = &self.list {
            request.word("list", list.clone());
        }
    }

    /// The list that is asked for.
    #[must_use]
    pub fn list(&self) -> Option<&str> {
        self.list.as_deref()
    }

    /// Whether the request brings limits of its own.
    #[must_use]
    pub fn own(&self) -> bool {
        !self.own.is_empty()
    }

    /// The limits of each part: the request's own first, then those of the list, or the lowest of all lists.
    #[must_use]
    pub fn of(&self, composition: &Composition, rules: &Rules) -> Vec<PartLimits> {
        composition.parts.iter().map(|part| self.of_part(part.substance, rules)).collect()
    }

    fn of_part(&self, substance: &'static Substance, rules: &Rules) -> PartLimits {
        let listed = |averaged: &[Averaged]| -> Option<Counted> {
            let rows = substance.exposure_limits.iter();
            let mut rows = rows.filter(|row| {
                averaged.contains(&row.averaged)
                    && self.list.as_ref().is_none_or(|list| row.jurisdiction == *list)
            });
            let first = rows.next()?;
            Some(counted(
                rows.fold(first, |least, row| if row.fraction < least.fraction { row } else { least }),
            ))
        };
        let own = self.own.iter().rev().find(|(known, ..)| known.id == substance.id);
        let asked = |fraction: Ratio| Counted {
            fraction,
            ceiling: false,
            words: "given by the request".to_owned(),
            confirmed: false,
            kind: BasisKind::Guidance,
            seen: Seen::Memory,
            own: true,
        };
        let long = own.and_then(|own| own.2).map(asked).or_else(|| listed(&[Averaged::LongTerm]));
        let short = own
            .and_then(|own| own.1)
            .map(asked)
            .or_else(|| listed(&[Averaged::ShortTerm, Averaged::Ceiling]))
            .or_else(|| {
                let factor = rules.number("short_term_factor");
                long.as_ref().map(|long| Counted {
                    fraction: long.fraction * factor,
                    words: format!("{factor} times the 8-hour limit: {}", long.words),
                    confirmed: false,
                    ..long.clone()
                })
            });
        // Water needs no limit: it is the vapour that the room's air holds anyway.
        PartLimits { substance, short, long, needed: substance.id != "water" }
    }
}

fn counted(row: &ExposureLimit) -> Counted {
    Counted {
        fraction: row.fraction,
        ceiling: row.averaged == Averaged::Ceiling,
        words: format!("{}, {}", row.jurisdiction, row.list),
        confirmed: row.seen == Seen::Source,
        kind: BasisKind::Standard,
        seen: row.seen,
        own: false,
    }
}

/// The mass concentration that stands beside a volume fraction, by the convention of the list asked for.
#[must_use]
pub fn as_mass(fraction: Ratio, substance: &Substance, list: Option<&str>) -> MassDensity {
    list.map_or(Convention::At20, convention).as_mass(fraction, substance.molar_mass)
}

/// What one composition gives off, of one vessel with the reference amount.
#[derive(Debug, Clone)]
pub struct Emission {
    /// For each part intervals of a length, s, with a rate, mol/s, that never rises from one to the next.
    parts: Vec<Vec<(f64, f64)>>,
    /// For each speed tried: the speed and how much faster than in the intervals it goes there.
    fastest: Vec<(Velocity, f64)>,
    /// The best figure: speed and pace.
    best: (Velocity, f64),
    /// The slowest at both ends of the speed.
    slowest: Vec<(Velocity, f64)>,
    /// Vapour at saturation, as a fraction, of each part.
    saturation: Vec<f64>,
    count: f64,
}

impl Emission {
    /// What an open surface gives off; `amount` moles of each part in one vessel.
    ///
    /// # Errors
    /// [`NotEvaporating`].
    pub fn of_surface(
        composition: &Composition,
        over: &Over,
        conditions: impl Fn(Velocity) -> Conditions,
        speed: Estimate<Velocity>,
        moles: &[f64],
        count: u32,
    ) -> Result<Self, NotEvaporating> {
        let at = |speed, end| composition.start(&conditions(speed), over, end);
        let total = |start: &Start| -> f64 { start.fluxes.iter().sum() };
        let reference = at(speed.value, End::High)?;
        let whole = total(&reference);
        let pace = |start: &Start| if whole > 0.0 { total(start) / whole } else { 1.0 };
        let mut fastest = Vec::new();
        for speed in between(speed) {
            fastest.push((speed, pace(&at(speed, End::High)?)));
        }
        let mut slowest = Vec::new();
        for end in [speed.low, speed.high] {
            slowest.push((end, pace(&at(end, End::Low)?)));
        }
        let best = (speed.value, pace(&at(speed.value, End::Best)?));
        let course =
            composition.course(&conditions(speed.value), &reference, End::High, moles, false, None)?;
        let pressure = si::in_pascal(conditions(speed.value).air.pressure);
        let top = |substance: &Substance, p: f64| {
            // A part that gathers as others leave stands no higher than alone.
            let alone = substance
                .vapour
                .at(reference.temperature)
                .map_or(p, |found| si::in_pascal(found.pressure.high));
            (alone.max(p) / pressure).min(1.0)
        };
        let saturation = composition
            .parts
            .iter()
            .zip(&over.partial)
            .map(|(part, p)| top(part.substance, si::in_pascal(p.high)))
            .collect();
        Ok(Self {
            parts: falling(&course.intervals(), moles),
            fastest,
            best,
            slowest,
            saturation,
            count: f64::from(count),
        })
    }

    /// A steady source of so many mol/s of each part.
    #[must_use]
    pub fn steady(rates: Vec<f64>, speed: Estimate<Velocity>, duration: Time, saturation: Vec<f64>) -> Self {
        Self {
            parts: rates.into_iter().map(|rate| vec![(si::in_second(duration), rate)]).collect(),
            fastest: between(speed).map(|speed| (speed, 1.0)).collect(),
            best: (speed.value, 1.0),
            slowest: vec![(speed.low, 1.0), (speed.high, 1.0)],
            saturation,
            count: 1.0,
        }
    }

    /// Whether the liquid lasts longer than a time at the fastest pace, so that a little less of it changes nothing.
    #[must_use]
    pub fn outlasts(&self, duration: Time) -> bool {
        let end = |part: &Vec<(f64, f64)>| part.iter().map(|(length, _)| length).sum::<f64>();
        let end = self.parts.iter().map(end).fold(0.0, f64::max);
        let fastest = self.fastest.iter().map(|(_, pace)| *pace).fold(0.0, f64::max);
        end > si::in_second(duration) * fastest
    }
}

/// For each part the course as one whose rate never rises: the highest rate that it still reaches, until all of it is gone. So
/// a larger amount, which leaves in the same way but more slowly, is never breathed less than a smaller one.
fn falling(intervals: &[(f64, Vec<f64>)], moles: &[f64]) -> Vec<Vec<(f64, f64)>> {
    let one = |(part, moles): (usize, &f64)| {
        let rate = |interval: &(f64, Vec<f64>)| interval.1.get(part).copied().unwrap_or(0.0);
        let mut highest: Vec<f64> = intervals.iter().map(rate).collect();
        for place in (1..highest.len()).rev() {
            let later = highest.get(place).copied().unwrap_or(0.0);
            if let Some(before) = highest.get_mut(place - 1) {
                *before = before.max(later);
            }
        }
        let mut left = *moles;
        let mut course: Vec<(f64, f64)> = Vec::new();
        for ((length, _), rate) in intervals.iter().zip(highest) {
            if left <= 0.0 || rate <= 0.0 {
                break;
            }
            let length = length.min(left / rate);
            left -= rate * length;
            match course.last_mut() {
                Some((so_far, same)) if (rate - *same).abs() <= f64::EPSILON * rate => *so_far += length,
                _ => course.push((length, rate)),
            }
        }
        course
    };
    moles.iter().enumerate().map(one).collect()
}

/// Speeds over a range, both ends with it.
fn between(speed: Estimate<Velocity>) -> impl Iterator<Item = Velocity> {
    let span = crate::physics::maths::ln(si::in_fraction(speed.high / speed.low)).max(0.0);
    let count = if span > 0.0 { BETWEEN.len() } else { 1 };
    BETWEEN.into_iter().take(count).map(move |share| speed.low * crate::physics::maths::exp(share * span))
}

/// Where and how long a person breathes.
#[derive(Debug, Clone, Copy)]
pub struct Stay {
    /// The room.
    pub room: Room,
    /// Distance from the liquid: the radius of the near zone.
    pub distance: Length,
    /// How long.
    pub duration: Time,
}

/// What is breathed of one part, as fractions.
#[derive(Debug, Clone, Copy)]
pub struct Breathed {
    /// Beside the liquid at the end of the stay.
    pub near: f64,
    /// In the rest of the room then.
    pub far: f64,
    /// The worst 15 minutes.
    pub short: f64,
    /// The average of 8 hours.
    pub long: f64,
    /// The highest at any moment.
    pub peak: f64,
}

impl Breathed {
    /// Each figure at the higher of two.
    fn highest(&self, other: &Self) -> Self {
        Self {
            near: self.near.max(other.near),
            far: self.far.max(other.far),
            short: self.short.max(other.short),
            long: self.long.max(other.long),
            peak: self.peak.max(other.peak),
        }
    }
}

/// What a person breathes of each part; `share` of the reference amount, one speed with its pace. Plain SI figures: this is
/// asked many times while an amount is looked for.
fn breathe(emission: &Emission, stay: Stay, share: f64, (speed, pace): (Velocity, f64)) -> Vec<Breathed> {
    let per_mole = room_air::vapour_of(si::mole(1.0), stay.room.air).value;
    let through = near_field::air_through(stay.distance, speed);
    let one = |(part, saturation): (&Vec<(f64, f64)>, &f64)| -> Breathed {
        let intervals = part.iter().map(|(length, rate)| {
            let rate = rate * per_mole * emission.count * pace;
            (si::second(length * share / pace), si::cubic_metre(rate) / si::second(1.0))
        });
        let room = BuildUp::new(si::cubic_metre(0.0), intervals, stay.room.air_changes);
        let fraction = |far: Volume, rate: VolumeRate| -> f64 {
            let far = far.value / stay.room.free_volume.value;
            let near = if rate.value > 0.0 { rate.value / through.value } else { 0.0 };
            // At no distance nothing thins it.
            if near.is_finite() { (far + near).min(*saturation) } else { *saturation }
        };
        let window = |end: Time, over: Time| {
            let (mean, rate) = room.means(end - over, end, over);
            fraction(mean, rate)
        };
        let long = si::minute(LONG_MIN);
        let now = room.now(stay.duration);
        Breathed {
            near: fraction(now.0, now.1),
            far: (now.0.value / stay.room.free_volume.value).min(*saturation),
            short: worst_window(&room, stay.duration, &window),
            long: window(stay.duration, long).max(if stay.duration > long {
                window(long, long)
            } else {
                0.0
            }),
            peak: peak(&room, stay.duration, &fraction),
        }
    };
    emission.parts.iter().zip(&emission.saturation).map(one).collect()
}

/// The highest moment: the air of the room gathers vapour while it is given off, and each rate is highest at its end.
fn peak(room: &BuildUp, duration: Time, fraction: &impl Fn(Volume, VolumeRate) -> f64) -> f64 {
    let moments = room.changes().filter(|change| *change < duration).chain([duration]);
    moments.map(|moment| room.now(moment)).map(|(volume, rate)| fraction(volume, rate)).fold(0.0, f64::max)
}

/// The worst 15 minutes of a stay; of a shorter one all of it, with nothing for the rest.
fn worst_window(room: &BuildUp, duration: Time, window: &impl Fn(Time, Time) -> f64) -> f64 {
    let short = si::minute(SHORT_MIN);
    let last = window(duration, short);
    // Where one rate lasts as long as the stay, what is breathed only rises.
    if duration <= short || (room.is_steady() && room.end() >= duration) {
        return last;
    }
    let mut worst = (duration, last);
    let tried = |end: Time, worst: &mut (Time, f64)| {
        let end = end.max(short).min(duration);
        let found = window(end, short);
        if found > worst.1 {
            *worst = (end, found);
        }
    };
    // Between the moments at which a rate enters or leaves the window what is breathed has one hill at most.
    let mut ends = vec![short, duration];
    for change in room.changes().filter(|change| *change <= duration) {
        ends.extend([change, change + short].map(|end| end.max(short).min(duration)));
    }
    ends.sort_by(|a, b| a.value.total_cmp(&b.value));
    ends.dedup();
    let parts = if ends.len() <= FEW { 4 } else { 2 };
    let mut widest = si::second(0.0);
    for pair in ends.windows(2) {
        let [from, to] = pair else { continue };
        widest = widest.max(*to - *from);
        // The first end of all; every other one is the last of the pair before.
        for part in i32::from(*from > short)..=parts {
            tried(*from + (*to - *from) * (f64::from(part) / f64::from(parts)), &mut worst);
        }
    }
    // Around the best of these it is narrowed down.
    let mut step = widest / f64::from(parts);
    for _ in 0..NARROWED {
        let middle = worst.0;
        tried(middle - step, &mut worst);
        tried(middle + step, &mut worst);
        step /= 2.0;
    }
    worst.1
}

/// What is breathed of each part with the ends of its range.
#[must_use]
pub fn breathed(emission: &Emission, stay: Stay, share: f64) -> Vec<Estimate<Breathed>> {
    let best = breathe(emission, stay, share, emission.best);
    let all = |speeds: &[(Velocity, f64)], pick: fn(f64, f64) -> f64| -> Vec<Breathed> {
        let mut found = best.clone();
        for speed in speeds {
            for (so_far, one) in found.iter_mut().zip(breathe(emission, stay, share, *speed)) {
                *so_far = Breathed {
                    near: pick(so_far.near, one.near),
                    far: pick(so_far.far, one.far),
                    short: pick(so_far.short, one.short),
                    long: pick(so_far.long, one.long),
                    peak: pick(so_far.peak, one.peak),
                };
            }
        }
        found
    };
    let (low, high) = (all(&emission.slowest, f64::min), all(&emission.fastest, f64::max));
    best.iter()
        .zip(low.iter().zip(&high))
        .map(|(value, (low, high))| Estimate { value: *value, low: *low, high: *high })
        .collect()
}

/// The shares of their limits that all parts make together, over 15 minutes and 8 hours.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Index {
    /// Over 15 minutes, or at the highest moment where a limit is a ceiling.
    pub short: Estimate<f64>,
    /// Over 8 hours.
    pub long: Estimate<f64>,
}

/// The index of what is breathed.
#[must_use]
pub fn index(breathed: &[Estimate<Breathed>], limits: &[PartLimits]) -> Index {
    let sum = |limit: fn(&PartLimits) -> Option<&Counted>, figure: fn(&Breathed, bool) -> f64| {
        let mut sum = Estimate::exact(0.0);
        for (found, part) in breathed.iter().zip(limits) {
            let Some(limit) = limit(part).filter(|_| part.needed) else { continue };
            let share = |found: &Breathed| figure(found, limit.ceiling) / limit.fraction.value;
            sum.value += share(&found.value);
            sum.low += share(&found.low);
            sum.high += share(&found.high);
        }
        sum
    };
    Index {
        short: sum(
            |part| part.short.as_ref(),
            |found, ceiling| if ceiling { found.peak } else { found.short },
        ),
        long: sum(|part| part.long.as_ref(), |found, _| found.long),
    }
}

/// The two indices at their unfavourable ends, over 15 minutes and 8 hours. Only the fast ends are computed.
#[must_use]
pub fn worst_indices(emission: &Emission, stay: Stay, share: f64, limits: &[PartLimits]) -> (f64, f64) {
    // Each part at its own worst speed, as the checks take it: two parts may be breathed most at different ones.
    let mut highest: Vec<Breathed> = Vec::new();
    for speed in &emission.fastest {
        let found = breathe(emission, stay, share, *speed);
        if highest.is_empty() {
            highest = found;
            continue;
        }
        for (so_far, one) in highest.iter_mut().zip(found) {
            *so_far = so_far.highest(&one);
        }
    }
    let found: Vec<Estimate<Breathed>> =
        highest.into_iter().map(|one| Estimate { value: one, low: one, high: one }).collect();
    let index = index(&found, limits);
    (index.short.high, index.long.high)
}

/// The larger of the two: above one it is over a limit.
#[must_use]
pub fn worst_index(emission: &Emission, stay: Stay, share: f64, limits: &[PartLimits]) -> f64 {
    let (short, long) = worst_indices(emission, stay, share, limits);
    short.max(long)
}

/// Grounds of a check against the limits of several parts.
#[must_use]
pub fn grounds(limits: &[PartLimits], limit: fn(&PartLimits) -> Option<&Counted>, over: &str) -> Grounds {
    let used: Vec<(&PartLimits, &Counted)> =
        limits.iter().filter(|part| part.needed).filter_map(|part| Some((part, limit(part)?))).collect();
    let texts: Vec<String> = used
        .iter()
        .map(|(part, limit)| {
            let ppm = crate::quantity::round::significant(si::in_parts_per_million(limit.fraction), 6);
            format!("{}: {ppm} ppm over {over} ({})", part.substance.name(), limit.words)
        })
        .collect();
    let text = if texts.is_empty() {
        "Water vapour needs no exposure limit.".to_owned()
    } else {
        format!("{}.", texts.join("; "))
    };
    Grounds {
        kind: used.first().map_or(BasisKind::Standard, |(_, limit)| limit.kind),
        text: Text::Owned(text),
        source: None,
        confirmed: !used.is_empty() && used.iter().all(|(_, limit)| limit.confirmed),
    }
}

/// A duration that was given, or the one that is taken.
#[must_use]
pub fn duration(asked: Option<&Asked<Time>>, rules: &Rules) -> Time {
    asked.map_or_else(|| si::minute(rules.number("unknown_duration")), |asked| asked.quantity)
}
