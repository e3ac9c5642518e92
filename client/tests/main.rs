//! The client against servers that answer as a test wants it; `tests/contract/client.rs` asks the real service.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "that is how a test fails"
)]

mod batch;
#[cfg(feature = "blocking")]
mod blocking;
mod errors;
mod newer_service;
mod quantities;
mod raw;
