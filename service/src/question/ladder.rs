//! The figures of two digits that are tried as changes, and the search among them.

use crate::physics::maths::{exp, ln};
use crate::quantity::round::decimal;

/// Smallest figure of two digits that is tried, as a power of ten.
const FINEST: i32 = -4;
/// Steps between two powers of ten: 10, 11, ... 99.
const STEPS: i32 = 90;

/// The figure of two digits at a place of the ladder 10, 11, ... 99, 100, 110, ...
#[must_use]
pub fn of_place(place: i32) -> f64 {
    let (power, step) = (place.div_euclid(STEPS), place.rem_euclid(STEPS));
    decimal(f64::from(step + 10), power + FINEST - 1)
}

/// Place of the figure of two digits at or below a number.
#[must_use]
pub fn place_of(number: f64) -> i32 {
    let (mut low, mut high) = (0, STEPS * 16);
    while high - low > 1 {
        let middle = i32::midpoint(low, high);
        if of_place(middle) <= number { low = middle } else { high = middle }
    }
    low
}

/// The figures of two digits between what stands in a request and the furthest that it may become.
#[derive(Debug)]
pub struct Ladder {
    near: i32,
    far: i32,
    whole: bool,
}

/// What comes of a figure: whether it is good, and by how much it is over or within, where that is known.
pub type Tried = (bool, f64);

impl Ladder {
    /// Those between what stands there and the furthest; `whole`: whole numbers. `None` where there are none.
    #[must_use]
    pub fn between((from, furthest): (f64, f64), whole: bool) -> Option<Self> {
        let rises = furthest > from;
        let mut near = place_of(from);
        if !rises && of_place(near) >= from {
            near -= 1;
        }
        let mut far = place_of(furthest);
        if rises {
            near += i32::from(of_place(near) <= from);
        } else if of_place(far) < furthest {
            far += 1;
        }
        let empty = if rises { far < near } else { far > near };
        (!empty).then_some(Self { near, far, whole })
    }

    fn figure(&self, place: i32) -> f64 {
        if self.whole { of_place(place).floor().max(1.0) } else { of_place(place) }
    }

    /// The figure nearest to where it stands that is good; the furthest one must be.
    #[must_use]
    pub fn nearest(self, tried: impl Fn(f64) -> Option<Tried>) -> Option<f64> {
        let at = |place: i32| tried(self.figure(place)).unwrap_or((false, f64::NAN));
        let (mut near, mut far) = (self.near, self.far);
        let (true, mut within) = at(far) else { return None };
        if near == far {
            return Some(self.figure(far));
        }
        let (good, mut over) = at(near);
        if good {
            return Some(self.figure(near));
        }
        // A check mostly follows a power of the figure: next is the place where it would meet its limit. Each third time what is left
        // is halved, so that it never creeps.
        let mut steps = 0;
        while (far - near).abs() > 1 {
            let (a, b) = (ln(self.figure(near)), ln(self.figure(far)));
            let meets = exp(a + over * (b - a) / (over - within));
            steps += 1;
            let place = if meets.is_finite() && steps % 3 > 0 {
                let beyond = place_of(meets) + i32::from(far > near);
                beyond.clamp(far.min(near) + 1, far.max(near) - 1)
            } else {
                i32::midpoint(far, near)
            };
            match at(place) {
                (true, there) => (far, within) = (place, there),
                (false, there) => (near, over) = (place, there),
            }
        }
        Some(self.figure(far))
    }

    /// From the furthest figure, which is good, as far back as it stays so.
    #[must_use]
    pub fn back(self, good: impl Fn(f64) -> bool) -> f64 {
        let (near, mut far) = (self.near, self.far);
        let towards = (near - far).signum();
        let (mut step, mut bad) = (1, None);
        while far != near && bad.is_none() {
            let next = if (near - far).abs() > step { far + towards * step } else { near };
            if good(self.figure(next)) {
                (far, step) = (next, step * 2);
            } else {
                bad = Some(next);
            }
        }
        let mut bad = bad.unwrap_or(far);
        while (far - bad).abs() > 1 {
            let middle = i32::midpoint(far, bad);
            if good(self.figure(middle)) { far = middle } else { bad = middle }
        }
        self.figure(far)
    }
}
