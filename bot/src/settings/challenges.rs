//! Settings of challenges.

use super::Platform;
use crate::casework::{ChallengeRules, Season};
use serde::Deserialize;

/// Challenges for the community.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Challenges {
    /// Fewest marks for a place in the standing.
    pub least_entries: u32,
    /// How long a season is.
    pub season: Season,
}

impl Default for Challenges {
    fn default() -> Self {
        Self {
            least_entries: 3,
            season: Season::Quarter,
        }
    }
}

impl Challenges {
    /// What casework goes by, with the room of each platform that has one.
    pub(super) fn rules(&self, platforms: &[Platform]) -> ChallengeRules {
        let room = |platform: &Platform| {
            let room = platform.challenge_room.clone()?;
            Some((platform.source.clone(), room))
        };
        ChallengeRules {
            rooms: platforms.iter().filter_map(room).collect(),
            least_entries: usize::try_from(self.least_entries).unwrap_or(usize::MAX),
            season: self.season,
        }
    }
}
