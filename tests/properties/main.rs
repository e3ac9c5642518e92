//! What must hold for every request: physics that rises where it must, checks that never favour, no panic on any JSON.

mod agreeing;
mod any_json;
mod burning;
mod comparing;
mod conservative;
mod evaporating;
mod harmless;
mod monotone;
mod plans;
mod storing;
