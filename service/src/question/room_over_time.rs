//! The vapour in a room over time at three places: evenly mixed, in a layer on the floor, near the liquid.
//!
//! What is released stands in the room at once, or is given off by an open surface until the liquid is gone; then the air
//! changes carry it off, as far as they mix. Each figure is the worst of the fast, the best and the slow course.

use super::room::Room;
use super::room_flammable_limit::Effect;
use super::rules::Rules;
use crate::physics::build_up::BuildUp;
use crate::physics::near_field;
use crate::quantity::round::{cautious_up, four_digits, significant};
use crate::quantity::si;
use brimline_openapi::{Place, PlaceOverTime, Quantity, RoomAtTime};
use uom::si::f64::{Length, Time, Velocity, Volume, VolumeRate};

/// Points of the series.
const POINTS: u32 = 24;
/// The series ends so much later than the last event.
const LONGER: f64 = 1.2;
/// The series lasts no longer, min: a day; no shorter than ten minutes.
const LASTS_MIN: (f64, f64) = (10.0, 1440.0);
/// Share of the limit at which ventilation codes act.
const QUARTER: f64 = 0.25;

/// What is given off: what is there at once, then rates.
#[derive(Debug, Clone)]
pub struct Given {
    /// Vapour that is there at once.
    pub at_once: Volume,
    /// Vapour given off afterwards, interval by interval.
    pub intervals: Vec<(Time, VolumeRate)>,
}

/// What decides.
#[derive(Debug, Clone)]
pub struct Asked<'a> {
    /// The room.
    pub room: Room,
    /// Limit of the vapour.
    pub effect: &'a Effect,
    /// Fast, best and slow course.
    pub courses: Vec<Given>,
    /// Air at the near place, and how near it is, where a surface is known.
    pub near: Option<(Length, Velocity)>,
}

/// A place with its course.
struct At {
    room: BuildUp,
    /// Vapour in the whole room that stands for the limit at this place.
    at_limit: Volume,
    /// Air through the near zone.
    through: Option<VolumeRate>,
    /// Limit as a fraction.
    limit: f64,
}

impl At {
    /// Share of the limit at a time.
    fn share(&self, time: Time) -> f64 {
        let mixed = si::in_fraction(self.room.volume(time) / self.at_limit);
        // At the very start the first rate counts.
        let soon = if time.value > 0.0 { time } else { si::second(1e-6) };
        mixed + self.near(self.room.rate(soon))
    }

    fn near(&self, rate: VolumeRate) -> f64 {
        self.through.map_or(0.0, |through| si::in_fraction(rate / through) / self.limit)
    }

    fn highest(&self) -> f64 {
        self.room.changes().map(|time| self.share(time)).fold(0.0, f64::max)
    }

    /// For how long a share is passed, min; `None` without end.
    fn time_above(&self, share: f64) -> Option<f64> {
        let level = self.at_limit * share;
        let Some(_) = self.through else { return self.room.time_above(level).map(si::in_minute) };
        // Near the liquid an interval counts whole where its end, or its start, is above.
        let mut total = 0.0;
        let changes: Vec<Time> = self.room.changes().collect();
        for pair in changes.windows(2) {
            let [from, to] = pair else { continue };
            let rate = self.near(self.room.rate(*to));
            let mixed = |time: Time| si::in_fraction(self.room.volume(time) / self.at_limit);
            if mixed(*from).max(mixed(*to)) + rate > share {
                total += si::in_minute(*to - *from);
            }
        }
        let end = self.room.end();
        let after = BuildUp::new(self.room.volume(end), std::iter::empty(), self.room.renewal());
        Some(total + si::in_minute(after.time_above(level)?))
    }

    /// When a share is passed for the last time, min.
    fn last_above(&self, share: f64) -> Option<f64> {
        let mixed = si::in_minute(self.room.last_above(self.at_limit * share)?);
        let end = self.room.end();
        let near = if self.through.is_some() && self.share(end) > share { si::in_minute(end) } else { 0.0 };
        Some(mixed.max(near))
    }
}

/// The places, the series, and the curves of a picture.
pub struct OverTime {
    /// The places, the worst first.
    pub places: Vec<PlaceOverTime>,
    /// Shares of the limit over time, the worst of the courses.
    pub series: Vec<RoomAtTime>,
    /// Whether something never clears.
    pub never_clears: bool,
}

/// The room over time.
#[must_use]
pub fn over_time(asked: &Asked<'_>, rules: &Rules) -> OverTime {
    let renewal = asked.room.air_changes * rules.number("mixing_effectiveness");
    let limit = asked.effect.limit.low;
    let layer = asked.room.free_floor * si::metre(rules.number("floor_layer_depth"));
    let layer = if layer < asked.room.free_volume { layer } else { asked.room.free_volume };
    let at = |place: Place| -> Vec<At> {
        asked
            .courses
            .iter()
            .map(|course| At {
                room: BuildUp::new(course.at_once, course.intervals.iter().copied(), renewal),
                at_limit: limit * if place == Place::FloorLayer { layer } else { asked.room.free_volume },
                through: asked
                    .near
                    .filter(|_| place == Place::NearField)
                    .map(|(radius, speed)| near_field::air_through(radius, speed)),
                limit: si::in_fraction(limit),
            })
            .collect()
    };
    let mut kinds = vec![Place::Mixed, Place::FloorLayer];
    if asked.near.is_some() {
        kinds.push(Place::NearField);
    }
    let all: Vec<(Place, Vec<At>)> = kinds.iter().map(|place| (*place, at(*place))).collect();
    let worst = |courses: &[At], figure: &dyn Fn(&At) -> Option<f64>| -> Option<f64> {
        courses.iter().map(figure).try_fold(0.0_f64, |so_far, one| one.map(|one| so_far.max(one)))
    };
    let mut places = Vec::new();
    let (mut last, mut never_clears) = (0.0_f64, false);
    for (place, courses) in &all {
        let clear = worst(courses, &|at| at.last_above(QUARTER));
        never_clears |= clear.is_none();
        last = last.max(clear.unwrap_or(0.0));
        let minutes =
            |found: Option<f64>| found.map(|minutes| Quantity::exact(significant(minutes, 4), "min"));
        places.push(PlaceOverTime {
            place: *place,
            highest_share_of_limit: Quantity::exact(
                four_digits(100.0 * worst(courses, &|at| Some(at.highest())).unwrap_or(0.0)),
                "%",
            ),
            time_above_quarter: minutes(worst(courses, &|at| at.time_above(QUARTER))),
            time_above_limit: minutes(worst(courses, &|at| at.time_above(1.0))),
            time_to_clear: clear.map(|minutes| Quantity::exact(cautious_up(minutes), "min")),
        });
    }
    places.sort_by(|a, b| b.highest_share_of_limit.value.total_cmp(&a.highest_share_of_limit.value));
    let end = all
        .iter()
        .flat_map(|(_, courses)| courses)
        .map(|at| si::in_minute(at.room.end()))
        .fold(last, f64::max);
    let lasts = (end * LONGER).clamp(LASTS_MIN.0, LASTS_MIN.1);
    let series = (0..=POINTS).map(|point| {
        let minutes = significant(lasts * f64::from(point) / f64::from(POINTS), 4);
        let share = |kind: Place| {
            let courses = all.iter().find(|(place, _)| *place == kind).map(|(_, courses)| courses)?;
            let worst = courses.iter().map(|at| at.share(si::minute(minutes))).fold(0.0, f64::max);
            Some(Quantity::exact(four_digits(100.0 * worst), "%"))
        };
        RoomAtTime {
            time: Quantity::exact(minutes, "min"),
            mixed: share(Place::Mixed).unwrap_or_else(|| Quantity::exact(0.0, "%")),
            floor_layer: share(Place::FloorLayer).unwrap_or_else(|| Quantity::exact(0.0, "%")),
            near_field: share(Place::NearField),
        }
    });
    OverTime { series: series.collect(), places, never_clears }
}
