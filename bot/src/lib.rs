//! Cueline's service: the chat edge, casework, durable work and wording around the pure core.
//!
//! Rooms and arrows: `web` and `work` call `casework`, which calls the core and `wording`;
//! `web` and `work` call `store`; `work` calls `platform`. `record` holds the plain shapes that
//! casework decides on and the store keeps.

pub mod app;
pub mod brain;
pub mod casework;
pub mod cli;
pub mod clock;
pub mod demo;
pub mod escape;
mod markup;
pub mod platform;
pub mod practice;
mod raster;
pub mod record;
pub mod reload;
pub mod settings;
pub mod signing;
pub mod store;
pub mod telemetry;
pub mod token;
pub mod web;
pub mod wording;
pub mod work;
