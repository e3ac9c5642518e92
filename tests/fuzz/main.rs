//! Bytes, requests and quantities that nobody would send: an answer or a refusal, never a panic, never a hang, never a lenient answer.
//!
//! Each target runs for `BRIMLINE_FUZZ_SECONDS` (2 if not given). What fails is made small and kept under `kept/`, which every run
//! asks first.

mod bytes;
mod mutation;
mod quantities;
mod reply;
mod requests;
mod run;
#[allow(dead_code, reason = "the contract's tests use the rest")]
#[path = "../contract/server.rs"]
mod server;
