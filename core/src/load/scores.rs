//! Relative strength by two open formulas, for a total of three lifts only.
//!
//! Neither formula speaks of a squat or a deadlift alone, so a total is built from all three
//! lifts. The second one has constants for the bench press as its own event.

/// Which table of constants.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Category {
    /// Men.
    Men,
    /// Women.
    Women,
}

/// What was worn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kit {
    /// Belt, sleeves or wraps only.
    Classic,
    /// Supportive suit or shirt.
    Equipped,
}

/// Why there is no score.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NoScore {
    /// A lift that is none.
    #[error("{field}: found {found} kg, accepted above 0 to {most}")]
    Lift {
        /// Which lift.
        field: &'static str,
        /// What was found, kg.
        found: f64,
        /// The most accepted, kg.
        most: f64,
    },
    /// A body mass outside what the formula speaks of.
    #[error("body mass: found {found} kg, accepted {least} to 250")]
    BodyMass {
        /// What was found, kg.
        found: f64,
        /// The least accepted, kg.
        least: f64,
    },
    /// The formula has no value for so light a lifter.
    #[error("body mass: found {0} kg, which is below where this formula has a value")]
    Undefined(f64),
}

/// A total of all three lifts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Total {
    kg: f64,
}

impl Total {
    /// From the best squat, bench press and deadlift, kg; each must be there.
    pub fn of(squat_kg: f64, bench_kg: f64, deadlift_kg: f64) -> Result<Self, NoScore> {
        use crate::report::{Lift, most_load_kg};
        let mut kg = 0.0;
        for (field, found, lift) in [
            ("squat", squat_kg, Lift::Squat),
            ("bench press", bench_kg, Lift::Bench),
            ("deadlift", deadlift_kg, Lift::Deadlift),
        ] {
            kg += one_lift(field, found, most_load_kg(Some(lift)))?;
        }
        Ok(Self { kg })
    }

    /// The sum, kg.
    pub fn kg(self) -> f64 {
        self.kg
    }
}

/// Checks one lift.
fn one_lift(field: &'static str, found: f64, most: f64) -> Result<f64, NoScore> {
    if found > 0.0 && found <= most {
        Ok(found)
    } else {
        Err(NoScore::Lift { field, found, most })
    }
}

/// Checks a body mass.
fn body(found: f64, least: f64) -> Result<f64, NoScore> {
    if (least..=250.0).contains(&found) {
        Ok(found)
    } else {
        Err(NoScore::BodyMass { found, least })
    }
}

/// DOTS of a total: `500 total / (A b⁴ + B b³ + C b² + D b + E)`, body mass held to 40-210 kg for
/// men and 40-150 kg for women (the women's bounds from memory), beyond which it stays constant.
pub fn dots(category: Category, total: Total, body_mass_kg: f64) -> Result<f64, NoScore> {
    let body = body(body_mass_kg, 30.0)?;
    let (coefficients, most): ([f64; 5], f64) = match category {
        Category::Men => (
            [
                -0.000_001_093_0,
                0.000_739_129_3,
                -0.191_875_922_1,
                24.090_075_6,
                -307.750_76,
            ],
            210.0,
        ),
        Category::Women => (
            [
                -0.000_001_070_6,
                0.000_515_856_8,
                -0.112_665_549_5,
                13.617_503_2,
                -57.962_88,
            ],
            150.0,
        ),
    };
    let body = body.clamp(40.0, most);
    let bottom = coefficients.iter().fold(0.0, |sum, c| sum * body + c);
    Ok(500.0 * total.kg / bottom)
}

/// GL points of a total: `100 total / (A - B exp(-C b))`, the international federation's formula
/// since May 2020 (constants of its published sheet, from memory).
pub fn gl_points(
    category: Category,
    kit: Kit,
    total: Total,
    body_mass_kg: f64,
) -> Result<f64, NoScore> {
    let constants = match (category, kit) {
        (Category::Men, Kit::Classic) => [1_199.728_39, 1_025.181_62, 0.009_21],
        (Category::Men, Kit::Equipped) => [1_236.251_15, 1_449.218_64, 0.016_44],
        (Category::Women, Kit::Classic) => [610.327_96, 1_045.592_82, 0.030_48],
        (Category::Women, Kit::Equipped) => [758.638_78, 949.313_82, 0.024_35],
    };
    points(constants, total.kg, body_mass_kg)
}

/// GL points of a bench press as its own event (constants from memory).
pub fn gl_bench_points(
    category: Category,
    kit: Kit,
    bench_kg: f64,
    body_mass_kg: f64,
) -> Result<f64, NoScore> {
    let most = crate::report::most_load_kg(Some(crate::report::Lift::Bench));
    let bench = one_lift("bench press", bench_kg, most)?;
    let constants = match (category, kit) {
        (Category::Men, Kit::Classic) => [320.980_41, 281.402_58, 0.010_08],
        (Category::Men, Kit::Equipped) => [381.220_73, 733.793_78, 0.023_98],
        (Category::Women, Kit::Classic) => [142.403_98, 442.526_71, 0.047_24],
        (Category::Women, Kit::Equipped) => [221.822_09, 357.003_77, 0.029_37],
    };
    points(constants, bench, body_mass_kg)
}

/// The formula itself; it has no value where its bottom is not above zero.
pub(super) fn points([a, b, c]: [f64; 3], kg: f64, body_mass_kg: f64) -> Result<f64, NoScore> {
    let body = body(body_mass_kg, 35.0)?;
    let bottom = a - b * (-c * body).exp();
    if bottom > 0.0 {
        Ok(100.0 * kg / bottom)
    } else {
        Err(NoScore::Undefined(body))
    }
}
