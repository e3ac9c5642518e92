//! A figure with the ends of its stated 95 % range.

/// A figure with its range; `low <= value <= high`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate<Q> {
    /// The best figure.
    pub value: Q,
    /// The lower end.
    pub low: Q,
    /// The upper end.
    pub high: Q,
}

impl<Q: Copy + PartialOrd> Estimate<Q> {
    /// A figure with its range; an end on the wrong side of the value is moved to the value.
    pub fn new(value: Q, low: Q, high: Q) -> Self {
        Self {
            value,
            low: if low < value { low } else { value },
            high: if high > value { high } else { value },
        }
    }

    /// A figure without a range.
    pub const fn exact(value: Q) -> Self {
        Self { value, low: value, high: value }
    }

    /// A function that rises with the figure, at the figure and at both ends.
    pub fn rising<R: Copy + PartialOrd>(self, f: impl Fn(Q) -> R) -> Estimate<R> {
        Estimate::new(f(self.value), f(self.low), f(self.high))
    }

    /// A function that falls with the figure, at the figure and at both ends.
    pub fn falling<R: Copy + PartialOrd>(self, f: impl Fn(Q) -> R) -> Estimate<R> {
        Estimate::new(f(self.value), f(self.high), f(self.low))
    }
}

#[cfg(test)]
mod tests {
    use super::Estimate;

    #[test]
    fn the_ends_follow_the_direction_of_the_function() {
        let figure = Estimate::new(2.0, 1.0, 4.0);
        assert_eq!(figure.falling(|x| 1.0 / x), Estimate { value: 0.5, low: 0.25, high: 1.0 });
        assert_eq!(figure.rising(|x| x * x), Estimate { value: 4.0, low: 1.0, high: 16.0 });
        assert_eq!(Estimate::new(2.0, 3.0, 1.0), Estimate::exact(2.0));
    }
}
