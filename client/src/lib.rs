//! Typed client of the Brimline service: one method for each question, batches as a stream, typed refusals, time-outs, retries of
//! what can be retried. The contract's types are re-exported.
//!
//! ```no_run
//! # async fn example() -> Result<(), brimline_client::Error> {
//! use brimline_client::{Client, FlashPointMargin, quantities::Temperature};
//! let brimline = Client::new("http://127.0.0.1:8080")?;
//! let request = FlashPointMargin::of("ethanol").room_temperature(Temperature::celsius(21)?);
//! println!("{}", brimline.flash_point_margin(&request).await?.verdict.sentence);
//! # Ok(()) }
//! ```
//!
//! | module | holds |
//! |---|---|
//! | [`quantities`] | quantities that cannot be mixed up; text such as `"21 Cel"` is taken as well |
//! | [`batch`] | many questions, one a line |
//! | `blocking` | the same client for programs without a runtime (feature `blocking`) |
//!
//! Each try is an event of the crate `tracing`, a further one a warning with its reason; no token and no request is in them.
//! With the feature `uom`, quantities of that crate convert to those of [`quantities`].

pub mod batch;
#[cfg(feature = "blocking")]
pub mod blocking;
mod client;
mod error;
pub mod quantities;
mod questions;
mod reply;
mod retry;

pub use brimline_openapi::*;
pub use client::Client;
pub use error::Error;
pub use quantities::NotFinite;
pub use questions::Question;
pub use retry::Retry;

/// The examples of the readme are compiled with those of the code.
#[cfg(doctest)]
#[doc = include_str!("../README.md")]
struct Readme;
