//! Ordinary differential equations: the embedded scheme 5(4) of Dormand and Prince (J. Comput. Appl. Math. 6 (1980) 19;
//! coefficients from memory, held by tests on equations with a closed solution).
//!
//! Like [`super::maths`] a place of plain numbers. Only +, -, x, / and roots are used: the same bytes on every platform.

/// What is asked of an integration.
#[derive(Debug, Clone, Copy)]
pub struct Tolerance {
    /// Error of a step as a share of each figure.
    pub relative: f64,
    /// Error of a step that is always allowed.
    pub absolute: f64,
}

/// Most steps that are taken.
const MOST_STEPS: u32 = 2000;
/// A step grows and shrinks by no more than these factors.
const GROWS: (f64, f64) = (0.2, 5.0);
/// Share of the step that the error estimate would allow.
const CAUTION: f64 = 0.9;

const NODES: [[f64; 6]; 6] = [
    [1.0 / 5.0, 0.0, 0.0, 0.0, 0.0, 0.0],
    [3.0 / 40.0, 9.0 / 40.0, 0.0, 0.0, 0.0, 0.0],
    [44.0 / 45.0, -56.0 / 15.0, 32.0 / 9.0, 0.0, 0.0, 0.0],
    [19_372.0 / 6561.0, -25_360.0 / 2187.0, 64_448.0 / 6561.0, -212.0 / 729.0, 0.0, 0.0],
    [9017.0 / 3168.0, -355.0 / 33.0, 46_732.0 / 5247.0, 49.0 / 176.0, -5103.0 / 18_656.0, 0.0],
    [35.0 / 384.0, 0.0, 500.0 / 1113.0, 125.0 / 192.0, -2187.0 / 6784.0, 11.0 / 84.0],
];
/// Fifth order less fourth order.
const ERROR: [f64; 7] =
    [71.0 / 57_600.0, 0.0, -71.0 / 16_695.0, 71.0 / 1920.0, -17_253.0 / 339_200.0, 22.0 / 525.0, -1.0 / 40.0];

/// Integrates dy/dt = `slope(y)` from t = 0, step by step. `step` is told the time, the state (which it may mend) and the
/// slope there, and answers with the longest next step, or nothing to end. Returns whether it ended that way.
pub fn integrate(
    mut state: Vec<f64>,
    tolerance: Tolerance,
    slope: impl Fn(&[f64]) -> Vec<f64>,
    mut step: impl FnMut(f64, &mut Vec<f64>, &[f64]) -> Option<f64>,
) -> bool {
    let mut time = 0.0;
    let mut first = slope(&state);
    let mut wanted = f64::INFINITY;
    for _ in 0..MOST_STEPS {
        let before = state.clone();
        let Some(longest) = step(time, &mut state, &first) else { return true };
        if state != before {
            first = slope(&state);
        }
        let mut length = wanted.min(longest);
        loop {
            let mut slopes = vec![first.clone()];
            let mut moved = state.clone();
            for weights in &NODES {
                moved.clone_from(&state);
                for (weight, slope) in weights.iter().zip(&slopes) {
                    for (place, slope) in moved.iter_mut().zip(slope) {
                        *place += length * weight * slope;
                    }
                }
                slopes.push(slope(&moved));
            }
            let mut worst = 0.0_f64;
            for (place, (old, new)) in state.iter().zip(&moved).enumerate() {
                let error: f64 = ERROR
                    .iter()
                    .zip(&slopes)
                    .map(|(weight, slope)| weight * slope.get(place).copied().unwrap_or(0.0))
                    .sum();
                let allowed = tolerance.absolute + tolerance.relative * old.abs().max(new.abs());
                worst = worst.max((length * error).abs() / allowed);
            }
            if worst.is_nan() {
                return false;
            }
            let factor = if worst > 0.0 { CAUTION / libm::pow(worst, 0.2) } else { GROWS.1 };
            let next = length * factor.clamp(GROWS.0, GROWS.1);
            if worst <= 1.0 {
                time += length;
                state = moved;
                first = slopes.pop().unwrap_or_else(|| slope(&state));
                wanted = next;
                break;
            }
            length = next;
        }
    }
    false
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Closed solutions: y = exp(-t); a circle x'' = -x.
    #[test]
    fn equations_with_a_closed_solution_are_met_within_the_tolerance() {
        let tolerance = Tolerance { relative: 1e-8, absolute: 1e-10 };
        let mut last = Vec::new();
        let ended = integrate(
            vec![1.0, 1.0, 0.0],
            tolerance,
            |y| vec![-y[0], y[2], -y[1]],
            |time, y, _| {
                last = y.clone();
                (time < 3.0).then_some(3.0 - time)
            },
        );
        assert!(ended);
        assert!((last[0] - libm::exp(-3.0)).abs() < 1e-7, "{last:?}");
        assert!(
            (last[1] - libm::cos(3.0)).abs() < 1e-7 && (last[2] + libm::sin(3.0)).abs() < 1e-7,
            "{last:?}"
        );
    }

    #[test]
    fn what_never_settles_ends_and_says_so() {
        let tolerance = Tolerance { relative: 1e-6, absolute: 1e-9 };
        assert!(!integrate(vec![1.0], tolerance, |_| vec![f64::NAN], |_, _, _| Some(1.0)));
        assert!(!integrate(vec![1.0], tolerance, |y| vec![-y[0]], |_, _, _| Some(1e-6)));
    }
}
