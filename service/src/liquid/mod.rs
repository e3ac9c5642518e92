//! A liquid as it is poured: a pure substance of the catalogue or a mixture of several, and what the questions want to know
//! of it, each figure with its range.
//!
//! | module | question |
//! |---|---|
//! | [`composition`] | what is it made of? |
//! | [`vapour`] | what stands over it, when does it boil, does it split in two? |
//! | [`flash`] | when can its vapour be lit, and how much of it in air can burn? |
//! | [`expansion`] | how much more room does it take when it is warmer? |
//! | [`drift`] | how does it change while it evaporates? |
//! | [`burning`] | how does it burn, and what is left? |
//! | [`evaporation`] | how fast does it leave, how cold does it become, what is left over time? |
//!
//! A pure liquid is answered from its published data alone; a mixture by the activity coefficients of its parts. A mixture
//! that is sold in a range holds every end of it: each figure spans them all.

pub mod burning;
pub mod composition;
pub mod drift;
pub mod evaporation;
pub mod expansion;
pub mod flash;
mod kept;
pub mod vapour;

pub use composition::{Composition, Given, Liquid, Part};

use crate::quantity::Estimate;

/// An estimate that spans several: the value of the first, the ends of all.
pub(crate) fn spanning<Q: Copy + PartialOrd>(
    estimates: impl Iterator<Item = Estimate<Q>>,
) -> Option<Estimate<Q>> {
    estimates.reduce(|whole, one| Estimate {
        value: whole.value,
        low: if one.low < whole.low { one.low } else { whole.low },
        high: if one.high > whole.high { one.high } else { whole.high },
    })
}
