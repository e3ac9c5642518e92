//! The published data: loaded from the embedded files, checked, searched, shown.
//!
//! | module | holds |
//! |---|---|
//! | [`mod@file`] | the form of a substance file, as it is written |
//! | [`substance`] | a substance in unit-checked quantities, and how it is made from its file |
//! | [`checks`] | what each substance must pass at the start |
//! | [`source`] | where figures come from |
//! | [`exposure_limit`] | exposure limits of lists |
//! | [`burning`] | how fast liquids burn |
//! | [`emitters`] | lines and bands of coloured flames, and the eye that sees them |
//! | [`flame_elements`] | elements that colour a flame, and their salts |
//! | [`material`] | what vessels are made of |
//! | [`neighbour`] | what stands beside a liquid and is none of the catalogue |
//! | [`rule`] | figures that are rules and no laws of nature |
//! | [`remark`] | cautions and exceptions |
//! | [`thermochemistry`] | what a flame of an alcohol is made of |
//! | [`change_log`] | what moved figures, from the change log |
//! | [`search`] | finding a substance by what people call it |
//! | [`mod@load`] | reads all of it, or says file, key and reason |
//! | [`view`] | the catalogue as it is shown over HTTP |

pub mod agreement;
pub mod burning;
pub mod change_log;
pub mod checks;
pub mod emitters;
pub mod exposure_limit;
pub mod file;
pub mod flame_elements;
pub mod groups;
pub mod load;
pub mod material;
pub mod neighbour;
pub mod remark;
pub mod rule;
pub mod search;
pub mod source;
pub mod substance;
pub mod thermochemistry;
pub mod view;

pub use load::{Catalogue, Fault, catalogue, load};
pub use substance::Substance;
