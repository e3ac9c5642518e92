//! How much vapour is in a room while it is given off, and afterwards?
//!
//! dv/dt = g - r v: v volume of vapour, g the rate at which it is given off, constant within each interval and nothing after
//! the last, r the rate at which the air is renewed (air changes, times the effectiveness of their mixing where it counts).
//! Within an interval v = v0 exp(-r t) + g (1 - exp(-r t))/r, without renewal v = v0 + g t; the integral follows from the
//! balance, r x integral = given off - gained. Source: mass balance of a well-mixed room. Exact for these rates.

use super::maths::exp;
use uom::si::f64::{Frequency, Time, Volume, VolumeRate};
use uom::si::frequency::hertz;
use uom::si::time::second;
use uom::si::volume::cubic_meter;
use uom::si::volume_rate::cubic_meter_per_second;

/// Below this product of renewal and time nothing is carried off.
const NOTHING: f64 = 1e-7;

#[derive(Debug, Clone, Copy, Default)]
struct At {
    /// Start of the interval, s.
    start: f64,
    /// Rate in the interval, m3/s.
    rate: f64,
    /// Vapour in the room at its start, m3.
    volume: f64,
    /// Integral of that from the beginning, m3 s.
    integral: f64,
    /// Given off from the beginning, m3.
    given_off: f64,
}

impl At {
    fn after(&self, length: f64, renewal: f64) -> Self {
        let given = self.rate * length;
        let (volume, integral) = if renewal * length > NOTHING {
            let left = exp(-renewal * length);
            let volume = self.volume * left + self.rate * (1.0 - left) / renewal;
            (volume, (given + self.volume - volume) / renewal)
        } else {
            (self.volume + given, (self.volume + given / 2.0) * length)
        };
        Self {
            start: self.start + length,
            rate: 0.0,
            volume,
            integral: self.integral + integral,
            given_off: self.given_off + given,
        }
    }
}

/// Vapour in a room over time.
#[derive(Debug, Clone)]
pub struct BuildUp {
    intervals: Vec<At>,
    renewal: f64,
}

impl BuildUp {
    /// The course of the vapour that is given off in intervals of a length at a rate, one after the other from time zero,
    /// into a room that holds `before`.
    #[must_use]
    pub fn new(
        before: Volume,
        intervals: impl Iterator<Item = (Time, VolumeRate)>,
        renewal: Frequency,
    ) -> Self {
        let renewal = renewal.get::<hertz>();
        let mut all = Vec::new();
        let mut at = At { volume: before.get::<cubic_meter>(), ..At::default() };
        for (length, rate) in intervals {
            at.rate = rate.get::<cubic_meter_per_second>();
            all.push(at);
            at = at.after(length.get::<second>(), renewal);
        }
        all.push(at);
        Self { intervals: all, renewal }
    }

    /// The rate at which the air is renewed.
    #[must_use]
    pub fn renewal(&self) -> Frequency {
        Frequency::new::<hertz>(self.renewal)
    }

    fn at(&self, time: Time) -> At {
        let time = time.get::<second>().max(0.0);
        let place = self.intervals.partition_point(|interval| interval.start < time).max(1) - 1;
        let from = self.intervals.get(place).copied().unwrap_or_default();
        At { rate: from.rate, ..from.after((time - from.start).max(0.0), self.renewal) }
    }

    /// Vapour in the room.
    #[must_use]
    pub fn volume(&self, time: Time) -> Volume {
        Volume::new::<cubic_meter>(self.at(time).volume)
    }

    /// The rate at which it is given off just before a time.
    #[must_use]
    pub fn rate(&self, time: Time) -> VolumeRate {
        VolumeRate::new::<cubic_meter_per_second>(self.at(time).rate)
    }

    /// What was given off until then.
    #[must_use]
    pub fn given_off(&self, time: Time) -> Volume {
        Volume::new::<cubic_meter>(self.at(time).given_off)
    }

    /// What the air carried off until then.
    #[must_use]
    pub fn carried_off(&self, time: Time) -> Volume {
        let at = self.at(time);
        Volume::new::<cubic_meter>(self.renewal * at.integral)
    }

    /// Vapour in the room, and the rate at which it is given off just before.
    #[must_use]
    pub fn now(&self, time: Time) -> (Volume, VolumeRate) {
        let at = self.at(time);
        (Volume::new::<cubic_meter>(at.volume), VolumeRate::new::<cubic_meter_per_second>(at.rate))
    }

    /// Means from one time to another of the vapour in the room and of the rate at which it is given off, counted over
    /// `over`, which is at least as long; before time zero there is nothing.
    #[must_use]
    pub fn means(&self, from: Time, to: Time, over: Time) -> (Volume, VolumeRate) {
        let (start, end) = (self.at(from), self.at(to));
        let over = over.get::<second>();
        (
            Volume::new::<cubic_meter>((end.integral - start.integral) / over),
            VolumeRate::new::<cubic_meter_per_second>((end.given_off - start.given_off) / over),
        )
    }

    /// Whether there is one rate at most, and nothing was there before.
    #[must_use]
    pub fn is_steady(&self) -> bool {
        self.intervals.len() <= 2 && self.intervals.first().is_none_or(|first| first.volume <= 0.0)
    }

    /// The times at which a rate changes; the last is the end.
    pub fn changes(&self) -> impl Iterator<Item = Time> {
        self.intervals.iter().map(|interval| Time::new::<second>(interval.start))
    }

    /// The end of the giving off.
    #[must_use]
    pub fn end(&self) -> Time {
        Time::new::<second>(self.intervals.last().map_or(0.0, |last| last.start))
    }

    /// The last time at which more than a volume is in the room: zero where it never is, `None` where it stays there.
    #[must_use]
    pub fn last_above(&self, level: Volume) -> Option<Time> {
        let level = level.get::<cubic_meter>();
        let last = self.intervals.last().copied().unwrap_or_default();
        if last.volume > level {
            if self.renewal <= 0.0 || level <= 0.0 {
                return None;
            }
            return Some(Time::new::<second>(
                last.start + super::maths::ln(last.volume / level) / self.renewal,
            ));
        }
        let mut found = 0.0;
        for pair in self.intervals.windows(2) {
            let [from, to] = pair else { continue };
            if to.volume > level {
                found = to.start;
            } else if from.volume > level {
                found = self.crossing(from, to.start, level);
            }
        }
        Some(Time::new::<second>(found))
    }

    /// For how long more than a volume is in the room; `None` where it stays there without end.
    #[must_use]
    pub fn time_above(&self, level: Volume) -> Option<Time> {
        let mut total = 0.0;
        let bound = level.get::<cubic_meter>();
        for pair in self.intervals.windows(2) {
            let [from, to] = pair else { continue };
            let length = to.start - from.start;
            total += match (from.volume > bound, to.volume > bound) {
                (true, true) => length,
                (false, false) => 0.0,
                (true, false) => self.crossing(from, to.start, bound) - from.start,
                (false, true) => to.start - self.crossing(from, to.start, bound),
            };
        }
        let last = self.intervals.last().copied().unwrap_or_default();
        if last.volume > bound {
            total += self.last_above(level)?.get::<second>() - last.start;
        }
        Some(Time::new::<second>(total))
    }

    /// When the vapour crosses a level within an interval: v approaches g/r along one exponential.
    fn crossing(&self, from: &At, end: f64, level: f64) -> f64 {
        let length = end - from.start;
        let time = if self.renewal * length > NOTHING {
            let settled = from.rate / self.renewal;
            super::maths::ln((from.volume - settled) / (level - settled)) / self.renewal
        } else {
            (level - from.volume) / from.rate
        };
        if time.is_finite() { (from.start + time).clamp(from.start, end) } else { end }
    }
}
