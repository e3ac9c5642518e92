//! Quantities are written as the service reads them.

use brimline_client::quantities::{Length, Pressure, Temperature, Volume};
use brimline_client::{Error, NotFinite};

#[test]
fn numbers_keep_every_digit() {
    // 0.1 + 0.2 is the double next to 0.3: what is written gives the same double back.
    for (value, text) in [
        (0.1 + 0.2, "0.30000000000000004 m"),
        (1e-9, "1e-9 m"),
        (123_456.789, "123456.789 m"),
        (-0.0, "0 m"),
        (1e21, "1e21 m"),
        (0.000_001, "0.000001 m"),
    ] {
        let written = Length::metres(value).unwrap().to_string();
        assert_eq!(written, text);
        assert_eq!(written.trim_end_matches(" m").parse::<f64>().unwrap(), value);
    }
    assert_eq!(Volume::millilitres(50).unwrap().to_string(), "50 mL");
}

#[test]
fn what_is_not_finite_is_an_error_of_the_client() {
    for value in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        let why: NotFinite = Temperature::celsius(value).unwrap_err();
        let text = format!("{value} Cel is no quantity: the number must be finite");
        assert_eq!(Error::from(why).to_string(), text);
    }
    assert!(Pressure::kilopascals(f32::NAN).is_err());
}

#[cfg(feature = "uom")]
#[test]
fn quantities_of_uom_go_in_as_they_are() {
    use uom::si::f64 as si;
    use uom::si::{length, mass_rate, pressure, thermodynamic_temperature as temperature, volume};
    let room = si::ThermodynamicTemperature::new::<temperature::degree_celsius>(21.0);
    assert_eq!(Temperature::try_from(room).unwrap().to_string(), "294.15 K");
    let pressure = si::Pressure::new::<pressure::kilopascal>(100.8);
    assert_eq!(Pressure::try_from(pressure).unwrap().to_string(), "100800 Pa");
    let lab = si::Volume::new::<volume::cubic_meter>(190.0);
    assert_eq!(Volume::try_from(lab).unwrap().to_string(), "190 m3");
    let far = si::Length::new::<length::meter>(f64::INFINITY);
    assert!(Length::try_from(far).is_err());
    let lost = si::MassRate::new::<mass_rate::gram_per_minute>(0.5);
    let lost = brimline_client::quantities::MassRate::try_from(lost).unwrap().to_string();
    let number: f64 = lost.trim_end_matches(" g/min").parse().unwrap();
    assert!((number - 0.5).abs() < 1e-12, "{lost}");
}
