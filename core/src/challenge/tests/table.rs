//! The season's table: what shrinkage must do.

use crate::challenge::{Chance, Entrant, season_model, standing};
use proptest::prelude::*;

fn entrant(member: &str, marks: &[f64]) -> Entrant {
    Entrant::new(member, marks)
}

/// Marks as they fall: a single challenge may go well or badly for anybody.
fn season() -> Vec<Entrant> {
    vec![
        entrant("steady", &[70.0, 95.0, 48.0, 102.0, 74.0, 41.0, 89.0, 83.0]),
        entrant("lucky", &[95.0]),
        entrant("middling", &[10.0, 85.0, 38.0, 70.0]),
        entrant("learning", &[-20.0, 65.0, 18.0, 42.0, 5.0]),
        entrant("regular", &[35.0, 90.0, 60.0, 12.0, 77.0]),
        entrant("careful", &[30.0, 55.0, 62.0, 41.0]),
    ]
}

#[test]
fn one_lucky_answer_does_not_lead() {
    let table = standing(&season(), 1);
    assert_eq!(table[0].member, "steady");
    let lucky = table.iter().find(|line| line.member == "lucky").unwrap();
    assert!(lucky.level < lucky.mean && lucky.spread > table[0].spread);
}

#[test]
fn too_few_entries_give_no_place_but_still_count_for_the_mean() {
    let table = standing(&season(), 4);
    assert!(table.iter().all(|line| line.member != "lucky"));
    assert_eq!(
        table.iter().map(|line| line.place).collect::<Vec<_>>(),
        [1, 2, 3, 4, 5]
    );
}

#[test]
fn equal_levels_share_a_place_and_the_next_place_is_left_out() {
    let table = standing(
        &[
            entrant("ada", &[50.0, 60.0]),
            entrant("bo", &[60.0, 50.0]),
            entrant("cy", &[10.0, 20.0]),
        ],
        1,
    );
    let places: Vec<_> = table.iter().map(|l| (l.place, l.member.as_str())).collect();
    assert_eq!(places, [(1, "ada"), (1, "bo"), (3, "cy")]);
}

#[test]
fn a_season_without_marks_has_no_table() {
    assert!(standing(&[], 1).is_empty());
    assert!(standing(&[entrant("ada", &[])], 1).is_empty());
    let alone = season_model(&[entrant("ada", &[42.0])]).unwrap();
    assert!((alone.mean - 42.0).abs() < 1e-12);
}

/// James and Stein's promise (1961), seen in many seasons: levels drawn in lie nearer to the true
/// ones than plain means do.
#[test]
fn shrunken_levels_lie_nearer_to_the_truth_than_plain_means() {
    let mut chance = Chance::from_seed(11);
    let mut draw = |spread: f64| {
        let sum: f64 = (0..12).map(|_| chance.below(1_000_000) as f64 / 1e6).sum();
        (sum - 6.0) * spread
    };
    let (mut shrunken, mut plain) = (0.0, 0.0);
    for _ in 0..40 {
        let truth: Vec<f64> = (0..30).map(|_| 40.0 + draw(8.0)).collect();
        let entrants: Vec<Entrant> = truth
            .iter()
            .enumerate()
            .map(|(at, level)| {
                let marks: Vec<f64> = (0..=at % 4).map(|_| level + draw(25.0)).collect();
                entrant(&format!("{at:03}"), &marks)
            })
            .collect();
        for line in standing(&entrants, 1) {
            let level = truth[line.member.parse::<usize>().unwrap()];
            shrunken += (line.level - level).powi(2);
            plain += (line.mean - level).powi(2);
        }
    }
    assert!(shrunken < 0.5 * plain, "{shrunken} against {plain}");
}

proptest! {
    #[test]
    fn a_level_lies_between_a_members_own_mean_and_the_mean_of_all(
        marks in prop::collection::vec(prop::collection::vec(-100.0..120.0_f64, 1..6), 2..20)
    ) {
        let entrants: Vec<Entrant> = marks
            .iter()
            .enumerate()
            .map(|(at, marks)| entrant(&format!("{at:03}"), marks))
            .collect();
        let model = season_model(&entrants).unwrap();
        for line in standing(&entrants, 1) {
            let (low, high) = (line.mean.min(model.mean), line.mean.max(model.mean));
            prop_assert!(low - 1e-9 <= line.level && line.level <= high + 1e-9);
            prop_assert!(line.spread.is_finite());
        }
    }
}
