//! Masses of the segments of the body and where their centres lie, by two published tables.
//!
//! The tables cut the body at different places (the thigh begins at the greater trochanter in one
//! and at the hip joint in the other), so a row of one never goes with a row of the other: they
//! are different types. The balance of the lifts uses Winter's.

/// One segment of Winter's table, after Dempster: Winter, Biomechanics and Motor Control of Human
/// Movement, table 4.1, as kept in a public course archive (`BMClab`, `BSP_DempsterWinter.txt`).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Winter {
    /// Wrist to second knuckle.
    Hand,
    /// Elbow to ulnar styloid.
    Forearm,
    /// Shoulder to elbow.
    UpperArm,
    /// Shoulder to ulnar styloid, hand included.
    TotalArm,
    /// Lateral malleolus to head of the second metatarsal.
    Foot,
    /// Knee to medial malleolus.
    Shank,
    /// Greater trochanter to knee.
    Thigh,
    /// Knee to medial malleolus, foot included.
    FootAndShank,
    /// Greater trochanter to medial malleolus.
    TotalLeg,
    /// C7-T1 and first rib to the ear canal.
    HeadAndNeck,
    /// C7-T1 to T12-L1.
    Thorax,
    /// T12-L1 to L4-L5.
    Abdomen,
    /// L4-L5 to greater trochanter.
    Pelvis,
    /// Greater trochanter to shoulder.
    Trunk,
    /// Greater trochanter to shoulder, head and neck included.
    TrunkAndHead,
    /// Greater trochanter to shoulder, head and both arms included.
    HeadArmsTrunk,
}

impl Winter {
    /// Every row.
    pub const ALL: [Self; 16] = [
        Self::Hand,
        Self::Forearm,
        Self::UpperArm,
        Self::TotalArm,
        Self::Foot,
        Self::Shank,
        Self::Thigh,
        Self::FootAndShank,
        Self::TotalLeg,
        Self::HeadAndNeck,
        Self::Thorax,
        Self::Abdomen,
        Self::Pelvis,
        Self::Trunk,
        Self::TrunkAndHead,
        Self::HeadArmsTrunk,
    ];

    /// Mass of one such segment as a share of body mass.
    pub const fn mass(self) -> f64 {
        self.row().0
    }

    /// Centre of mass as a share of the segment's length from its first (upper) end; from the hip
    /// for the trunk and what includes it.
    pub const fn centre(self) -> f64 {
        self.row().1
    }

    /// Radius of gyration about the centre of mass as a share of the length, where the table has it.
    pub const fn gyration(self) -> Option<f64> {
        self.row().2
    }

    const fn row(self) -> (f64, f64, Option<f64>) {
        match self {
            Self::Hand => (0.006, 0.506, Some(0.297)),
            Self::Forearm => (0.016, 0.430, Some(0.303)),
            Self::UpperArm => (0.028, 0.436, Some(0.322)),
            Self::TotalArm => (0.050, 0.530, Some(0.368)),
            Self::Foot => (0.0145, 0.500, Some(0.475)),
            Self::Shank => (0.0465, 0.433, Some(0.302)),
            Self::Thigh => (0.100, 0.433, Some(0.323)),
            Self::FootAndShank => (0.061, 0.606, Some(0.416)),
            Self::TotalLeg => (0.161, 0.447, Some(0.326)),
            Self::HeadAndNeck => (0.081, 1.000, Some(0.495)),
            Self::Thorax => (0.216, 0.820, None),
            Self::Abdomen => (0.139, 0.440, None),
            Self::Pelvis => (0.142, 0.105, None),
            Self::Trunk => (0.497, 0.500, None),
            Self::TrunkAndHead => (0.578, 0.660, Some(0.503)),
            Self::HeadArmsTrunk => (0.678, 0.626, Some(0.496)),
        }
    }
}

/// Whose table: de Leva gives women and men apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sex {
    /// The women's columns.
    Women,
    /// The men's columns.
    Men,
}

/// One segment of de Leva's table: de Leva 1996, Adjustments to Zatsiorsky-Seluyanov's segment
/// inertia parameters, as kept in a public course archive (`BMClab`, `BSPfemale_ZdeLeva.txt` and
/// `BSPmale_ZdeLeva.txt`).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DeLeva {
    /// Vertex to the middle of the gonions.
    Head,
    /// Suprasternal notch to the middle of the hips.
    Trunk,
    /// The same trunk, from the middle of the shoulders to the middle of the hips.
    TrunkFromShoulders,
    /// Suprasternal notch to xiphoid.
    UpperTrunk,
    /// Xiphoid to navel.
    MiddleTrunk,
    /// Navel to the middle of the hips.
    LowerTrunk,
    /// Shoulder to elbow.
    UpperArm,
    /// Elbow to wrist.
    Forearm,
    /// Wrist to third metacarpal.
    Hand,
    /// Hip joint to knee joint.
    Thigh,
    /// Knee joint to ankle joint.
    Shank,
    /// Heel to tip of the longest toe.
    Foot,
}

/// A row of de Leva's table for one sex, in percent as printed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DeLevaRow {
    /// Mass of one such segment, percent of body mass.
    pub mass: f64,
    /// Centre of mass from the first end, percent of the length.
    pub centre: f64,
    /// Radius of gyration about the sagittal axis, percent of the length.
    pub sagittal: f64,
    /// Radius of gyration about the transverse axis, percent of the length.
    pub transverse: f64,
}

impl DeLeva {
    /// Every row.
    pub const ALL: [Self; 12] = [
        Self::Head,
        Self::Trunk,
        Self::TrunkFromShoulders,
        Self::UpperTrunk,
        Self::MiddleTrunk,
        Self::LowerTrunk,
        Self::UpperArm,
        Self::Forearm,
        Self::Hand,
        Self::Thigh,
        Self::Shank,
        Self::Foot,
    ];

    /// The row for one sex.
    pub const fn row(self, sex: Sex) -> DeLevaRow {
        let [mass, centre, sagittal, transverse] = match sex {
            Sex::Women => self.women(),
            Sex::Men => self.men(),
        };
        DeLevaRow {
            mass,
            centre,
            sagittal,
            transverse,
        }
    }

    const fn women(self) -> [f64; 4] {
        match self {
            Self::Head => [6.68, 58.94, 33.0, 35.9],
            Self::Trunk => [42.57, 41.51, 35.7, 33.9],
            Self::TrunkFromShoulders => [42.57, 37.82, 37.9, 36.1],
            Self::UpperTrunk => [15.45, 20.77, 74.6, 50.2],
            Self::MiddleTrunk => [14.65, 45.12, 43.3, 35.4],
            Self::LowerTrunk => [12.47, 49.20, 43.3, 40.2],
            Self::UpperArm => [2.55, 57.54, 27.8, 26.0],
            Self::Forearm => [1.38, 45.59, 26.1, 25.7],
            Self::Hand => [0.56, 74.74, 53.1, 45.4],
            Self::Thigh => [14.78, 36.12, 36.9, 36.4],
            Self::Shank => [4.81, 43.52, 26.7, 26.3],
            Self::Foot => [1.29, 40.14, 29.9, 27.9],
        }
    }

    const fn men(self) -> [f64; 4] {
        match self {
            Self::Head => [6.94, 59.76, 36.2, 37.6],
            Self::Trunk => [43.46, 44.86, 37.2, 34.7],
            Self::TrunkFromShoulders => [43.46, 43.10, 38.4, 35.8],
            Self::UpperTrunk => [15.96, 29.99, 71.6, 45.4],
            Self::MiddleTrunk => [16.33, 45.02, 48.2, 38.3],
            Self::LowerTrunk => [11.17, 61.15, 61.5, 55.1],
            Self::UpperArm => [2.71, 57.72, 28.5, 26.9],
            Self::Forearm => [1.62, 45.74, 27.6, 26.5],
            Self::Hand => [0.61, 79.00, 62.8, 51.3],
            Self::Thigh => [14.16, 40.95, 32.9, 32.9],
            Self::Shank => [4.33, 43.95, 25.1, 24.6],
            Self::Foot => [1.37, 44.15, 25.7, 24.5],
        }
    }
}
