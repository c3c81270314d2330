//! The air that wood comes to rest in.

use super::keys::{PERCENT, WARMTH, keys};

keys! {
    /// The air of a room.
    #[derive(Clone, Copy, Debug, PartialEq)]
    pub struct Air {
        /// Warmth of the room that it is used in; together with its humidity.
        celsius: f64 = WARMTH.at("temperature_use").such_as("20 C"),
        // The formula for the moisture holds far beyond.
        /// Relative humidity of the air of that room.
        humidity: f64 = PERCENT.at("humidity_use").within(1.0, 98.0).such_as("45 %"),
    }
}

impl Air {
    /// The moisture in % that wood comes to in this air.
    pub fn moisture(self) -> f64 {
        equilibrium(self.celsius, self.humidity / 100.0)
    }
}

/// Equilibrium moisture of wood in %, at a temperature in °C and a relative humidity from 0 to 1.
///
/// Source: Wood Handbook, FPL-GTR-282 (2021), eq. 4-5.
pub fn equilibrium(celsius: f64, humidity: f64) -> f64 {
    let (t, h) = (celsius, humidity);
    let w = 349.0 + 1.29 * t + 0.0135 * t * t;
    let k = 0.805 + 0.000_736 * t - 0.000_002_73 * t * t;
    let k1 = 6.27 - 0.009_38 * t - 0.000_303 * t * t;
    let k2 = 1.91 + 0.0407 * t - 0.000_293 * t * t;
    let kh = k * h;
    let (one, two) = (k1 * kh, k1 * k2 * kh * kh);
    1800.0 / w * (kh / (1.0 - kh) + (one + 2.0 * two) / (1.0 + one + two))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Wood Handbook, FPL-GTR-282 (2021), Table 4-2, the 70 °F row (21.1 °C), RH 5 to 95 %. The
    /// formula was fitted to the table; it strays from it by 0.052 at most.
    #[test]
    fn equilibrium_moisture_is_the_table_s() {
        let row = [
            1.3, 2.5, 3.5, 4.5, 5.4, 6.2, 6.9, 7.7, 8.5, 9.2, 10.1, 11.0, 12.0, 13.1, 14.4, 16.0,
            17.9, 20.5, 23.9,
        ];
        for (step, printed) in (1..).zip(row) {
            let moisture = equilibrium((70.0 - 32.0) / 1.8, 0.05 * f64::from(step));
            assert!((moisture - printed).abs() < 0.07, "{step}: {moisture} {printed}");
        }
    }
}
