//! A build: every length the lifts depend on, measured or by proportion, each with its spread.

/// Spread of a length that is taken from the stature, as a share of it: individuals differ by 4 to
/// 5 % (common practice, no source).
const BY_PROPORTION: f64 = 0.045;

/// Spread of a length measured with a tape over the skin, as a share of it (judgement, no source).
const BY_TAPE: f64 = 0.02;

/// Spread of the standing shoulder height taken from the stature, as a share of it: much less than
/// its parts, for a long thigh goes with a short shank or trunk when the stature is known
/// (judgement, no source).
const SHOULDER_BY_STATURE: f64 = 0.015;

/// Standing shoulder (acromion) height as a share of stature; Drillis and Contini 1966, as drawn in
/// Winter, fig. 4.1 (from memory).
const SHOULDER_HEIGHT: f64 = 0.818;

/// A measured length this many of its proportion's spreads off is worth measuring again.
const ODD: f64 = 4.0;

/// A length of the body that an expectation may depend on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Dimension {
    /// Ankle joint above the sole.
    Ankle,
    /// Ankle to knee.
    Shank,
    /// Knee to hip.
    Thigh,
    /// Hip to shoulder.
    Trunk,
    /// Heel to toe tip.
    Foot,
    /// Shoulder to wrist.
    Arm,
    /// Wrist to finger tip.
    Hand,
    /// Half the distance between the shoulders.
    HalfShoulders,
    /// Shoulder above the floor, standing.
    ShoulderHeight,
}

impl Dimension {
    /// Share of stature: Drillis and Contini 1966, as drawn in Winter, Biomechanics and Motor Control
    /// of Human Movement, fig. 4.1 (from memory; the figure was not seen).
    pub const fn of_stature(self) -> f64 {
        match self {
            Self::Ankle => 0.039,
            Self::Shank => 0.246,
            Self::Thigh => 0.245,
            Self::Trunk => 0.288,
            Self::Foot => 0.152,
            Self::Arm => UPPER_ARM + FOREARM,
            Self::Hand => 0.108,
            Self::HalfShoulders => 0.129,
            Self::ShoulderHeight => SHOULDER_HEIGHT,
        }
    }
}

/// Upper arm and forearm as shares of stature (same source).
const UPPER_ARM: f64 = 0.186;
const FOREARM: f64 = 0.146;

/// The bar lies this share of the hand's length beyond the wrist: pressed over the heel of the hand,
/// and hanging in the fingers (model choice, no source; .020 and .050 of stature).
const HELD_PRESSING: f64 = 0.020 / 0.108;
const HELD_HANGING: f64 = 0.050 / 0.108;

/// One length.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Part {
    /// Metres.
    pub metres: f64,
    /// Standard deviation, metres.
    pub sd: f64,
    /// Given by the lifter, not taken from the stature.
    pub measured: bool,
}

/// Lengths as the lifter gave them, metres.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Measured {
    /// Ankle to knee.
    pub shank: Option<f64>,
    /// Knee to hip.
    pub thigh: Option<f64>,
    /// Hip to shoulder.
    pub trunk: Option<f64>,
    /// Shoulder to wrist.
    pub arm: Option<f64>,
}

/// The lengths of one lifter, and the body mass when it is known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Build {
    stature: f64,
    /// Body mass, kg, when known.
    pub body_kg: Option<f64>,
    ankle: Part,
    shank: Part,
    thigh: Part,
    trunk: Part,
    foot: Part,
    arm: Part,
    hand: Part,
    half_shoulders: Part,
    /// Standing shoulder height by stature; none when leg and trunk are measured and add up to it.
    shoulder_height: Option<Part>,
}

impl Build {
    /// A build from the stature in metres, what was measured and the body mass in kg. None when one
    /// of them is not a number above zero.
    pub fn new(stature: f64, measured: Measured, body_kg: Option<f64>) -> Option<Self> {
        let Measured {
            shank,
            thigh,
            trunk,
            arm,
        } = measured;
        let figures = [Some(stature), shank, thigh, trunk, arm, body_kg];
        let sane = |figure: &f64| figure.is_finite() && *figure > 0.0;
        if !figures.iter().flatten().all(sane) {
            return None;
        }
        let part = |dimension, given| part_of(stature, dimension, given);
        let all_measured = shank.is_some() && thigh.is_some() && trunk.is_some();
        let shoulder_height = Part {
            sd: SHOULDER_BY_STATURE * SHOULDER_HEIGHT * stature,
            ..part(Dimension::ShoulderHeight, None)
        };
        Some(Self {
            stature,
            body_kg,
            ankle: part(Dimension::Ankle, None),
            shank: part(Dimension::Shank, shank),
            thigh: part(Dimension::Thigh, thigh),
            trunk: part(Dimension::Trunk, trunk),
            foot: part(Dimension::Foot, None),
            arm: part(Dimension::Arm, arm),
            hand: part(Dimension::Hand, None),
            half_shoulders: part(Dimension::HalfShoulders, None),
            shoulder_height: (!all_measured).then_some(shoulder_height),
        })
    }

    /// Standing height, metres.
    pub const fn stature(&self) -> f64 {
        self.stature
    }

    /// One length with its spread.
    pub fn part(&self, dimension: Dimension) -> Part {
        match dimension {
            Dimension::Ankle => self.ankle,
            Dimension::Shank => self.shank,
            Dimension::Thigh => self.thigh,
            Dimension::Trunk => self.trunk,
            Dimension::Foot => self.foot,
            Dimension::Arm => self.arm,
            Dimension::Hand => self.hand,
            Dimension::HalfShoulders => self.half_shoulders,
            Dimension::ShoulderHeight => self.shoulder_height.unwrap_or_else(|| self.added_up()),
        }
    }

    /// One length, metres.
    pub fn metres(&self, dimension: Dimension) -> f64 {
        self.part(dimension).metres
    }

    /// Shoulder to elbow, metres: the arm divided as the proportions divide it.
    pub fn upper_arm(&self) -> f64 {
        self.arm.metres * UPPER_ARM / Dimension::Arm.of_stature()
    }

    /// Elbow to wrist, metres.
    pub fn forearm(&self) -> f64 {
        self.arm.metres * FOREARM / Dimension::Arm.of_stature()
    }

    /// Wrist to bar when pressing, metres.
    pub fn wrist_to_bar(&self) -> f64 {
        self.hand.metres * HELD_PRESSING
    }

    /// Shoulder to bar when it hangs in the hands, metres.
    pub fn hanging_reach(&self) -> f64 {
        self.arm.metres + self.hand.metres * HELD_HANGING
    }

    /// Lengths given that stature lets expect quite otherwise, with what it lets expect, metres: a
    /// tape laid wrong, or a wrong unit, before a rare build.
    pub fn odd(&self) -> Vec<(Dimension, f64, f64)> {
        [
            Dimension::Shank,
            Dimension::Thigh,
            Dimension::Trunk,
            Dimension::Arm,
        ]
        .into_iter()
        .filter_map(|dimension| {
            let given = self.part(dimension);
            let usual = dimension.of_stature() * self.stature;
            let off = (given.metres - usual).abs() > ODD * BY_PROPORTION * usual;
            (given.measured && off).then_some((dimension, given.metres, usual))
        })
        .collect()
    }

    /// The same build with one length longer by so many of its standard deviations.
    #[must_use]
    pub(super) fn but(mut self, dimension: Dimension, by: f64) -> Self {
        let part = match dimension {
            Dimension::Ankle => &mut self.ankle,
            Dimension::Shank => &mut self.shank,
            Dimension::Thigh => &mut self.thigh,
            Dimension::Trunk => &mut self.trunk,
            Dimension::Foot => &mut self.foot,
            Dimension::Arm => &mut self.arm,
            Dimension::Hand => &mut self.hand,
            Dimension::HalfShoulders => &mut self.half_shoulders,
            Dimension::ShoulderHeight => match &mut self.shoulder_height {
                Some(part) => part,
                // It is the sum of lengths that are varied themselves.
                None => return self,
            },
        };
        part.metres += by * part.sd;
        self
    }

    /// Standing shoulder height as the sum of measured lengths.
    fn added_up(&self) -> Part {
        let parts = [self.ankle, self.shank, self.thigh, self.trunk];
        let variance: f64 = parts.iter().map(|part| part.sd * part.sd).sum();
        Part {
            metres: parts.iter().map(|part| part.metres).sum(),
            sd: variance.sqrt(),
            measured: true,
        }
    }
}

fn part_of(stature: f64, dimension: Dimension, given: Option<f64>) -> Part {
    given.map_or_else(
        || {
            let metres = dimension.of_stature() * stature;
            Part {
                metres,
                sd: BY_PROPORTION * metres,
                measured: false,
            }
        },
        |metres| Part {
            metres,
            sd: BY_TAPE * metres,
            measured: true,
        },
    )
}
