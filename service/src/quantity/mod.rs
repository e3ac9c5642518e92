//! Quantities: reading them with their unit, carrying their range, rounding them for a reply.
//!
//! | module | holds |
//! |---|---|
//! | [`mod@unit`] | the table of UCUM units and everyday spellings |
//! | [`parse`] | text to a number in the unit of a field, with every trap named |
//! | [`si`] | numbers in the unit of a field to unit-checked quantities and back |
//! | [`estimate`] | a figure with the ends of its 95 % range |
//! | [`mod@interval`] | temperature differences, apart from temperatures |
//! | [`round`] | rounding for replies, and towards caution |

pub mod estimate;
pub mod interval;
pub mod parse;
pub mod round;
pub mod si;
pub mod unit;

pub use estimate::Estimate;
pub use interval::{interval, shift};
