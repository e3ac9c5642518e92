//! Brimline: whether this much of this flammable liquid may be used in this way, in this room, today.
//!
//! | module | holds |
//! |---|---|
//! | [`quantity`] | units, reading, ranges, rounding |
//! | [`catalogue`] | the published data: loaded, checked, searched |
//! | [`physics`] | one file per physical question, on unit-checked quantities with ranges |
//! | [`question`] | one file per question of the API: joins catalogue, physics and checks |
//! | [`http`] | routes, reading, problems, pages, health, metrics |
//! | [`settings`], [`limits`] | flags and environment variables |
//! | [`command`] | `brimline serve` and `brimline ask` |
//!
//! Arrows run one way: `http` and `command` → `question` → `physics` → `quantity`; `catalogue` feeds `question`.

pub mod catalogue;
pub mod command;
pub mod http;
pub mod limits;
pub mod liquid;
pub mod physics;
pub mod quantity;
pub mod question;
pub mod settings;
