//! The ankle: what a raised heel spares it, and what the knee-to-wall test says of it.

/// Heel to the ball of the foot, as a share of foot length (model choice, no source).
const HEEL_TO_BALL: f64 = 0.73;

/// Degrees of shank lean for a centimetre between toe and wall in the knee-to-wall test; as given in
/// a public encyclopaedia of physiotherapy (Physiopedia, Knee to Wall Test).
const DEGREES_PER_CM: f64 = 3.6;

/// The test is done on one leg with all weight on it; in a squat on two legs less is usable, degrees
/// (model choice, no source).
const LOST_ON_TWO_LEGS: f64 = 5.0;

/// What a raised heel stands on.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Under {
    /// A plank or wedge under the whole foot: it turns about the toe tip.
    #[default]
    WholeFoot,
    /// A shoe: the forefoot stays flat, and the foot turns about the ball.
    Shoe,
}

/// How far the heel is raised above the toes.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Heel {
    /// Metres; 0 is a flat foot.
    pub height: f64,
    /// Over what length.
    pub under: Under,
}

impl Heel {
    /// No raised heel.
    pub const FLAT: Self = Self {
        height: 0.0,
        under: Under::WholeFoot,
    };

    /// Length from the heel to the point the foot turns about, metres.
    pub fn length(self, foot: f64) -> f64 {
        match self.under {
            Under::WholeFoot => foot,
            Under::Shoe => HEEL_TO_BALL * foot,
        }
    }

    /// How far the foot is pitched forward, degrees: what the raised heel spares the ankle. `foot`
    /// is the foot's length, metres.
    pub fn pitch(self, foot: f64) -> f64 {
        (self.height / self.length(foot)).atan().to_degrees()
    }
}

/// Shank lean at the end of the knee-to-wall test, degrees, from the distance between toe and wall
/// in metres. Devices disagree by 4 to 16 degrees (published comparison, PMC6069889), so figures of
/// different instruments are not to be compared.
pub fn of_wall_test(toe_to_wall: f64) -> f64 {
    toe_to_wall * 100.0 * DEGREES_PER_CM
}

/// What of a tested ankle is usable in a squat on two legs, degrees; never below 0.
pub fn usable(tested: f64) -> f64 {
    (tested - LOST_ON_TWO_LEGS).max(0.0)
}
