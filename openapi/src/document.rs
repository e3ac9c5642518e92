//! The OpenAPI document.
