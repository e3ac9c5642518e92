//! Figures of the service against published ones. Each table names its sources row by row; the reason of each tolerance
//! stands beside its test. Rows whose source is a table that the catalogue also loads (VDI, Perry, Poling, IEC, NFPA) only
//! show that it was carried over rightly: they are counted apart as carried over.

mod catalogue;
mod evaporation;
mod exposure;
mod fire;
mod flame_colour;
mod flame_temperature;
mod flammable_limits;
mod flash_points;
mod hot_surfaces;
mod mixtures;
mod other_figures;
mod storage;
mod vapour_pressures;
