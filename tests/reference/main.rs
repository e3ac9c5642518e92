//! reference
