//! Sayings that nobody tuned on: how many are read as the sign meant.
//!
//! Written after the weights of sayings were learned and read once before anything else was changed:
//! 19 of 45 signs, 0.42 (0.29 to 0.57), and 12 of 15 lines that tell none left alone. They are in the
//! liveliest words their writer could find: what is left is there to be told by coming editors.

use super::whole_catalog;
use crate::reading::{Hints, Polarity, read};
use crate::report::Lift;

const UNSEEN: &str = include_str!("sayings/unseen.tsv");

#[test]
fn sayings_never_learned_from_are_read_no_worse_than_at_first() {
    let (mut all, mut right, mut harmless, mut quiet) = (0, 0, 0, 0);
    for row in UNSEEN.lines() {
        let columns: Vec<&str> = row.split('\t').collect();
        let [lift, sign, text] = columns[..] else {
            panic!("not lift, sign, text: {row}");
        };
        let lift = Lift::ALL.into_iter().find(|l| l.word() == lift);
        let hints = Hints { unit: None, lift };
        let signs = read(text, whole_catalog(), hints).signs;
        let mut there = signs.iter().filter(|m| m.polarity == Polarity::Present);
        if sign == "none" {
            harmless += 1;
            quiet += usize::from(there.next().is_none());
        } else {
            all += 1;
            right += usize::from(there.any(|mention| mention.sign == sign));
        }
    }
    println!("{right} of {all} signs, {quiet} of {harmless} lines without one");
    assert_eq!((all, harmless), (45, 15));
    assert!(right >= 19 && quiet >= 12);
}

#[test]
fn weights_of_signs_name_signs_and_lifts_of_the_catalog() {
    let catalog = whole_catalog();
    for (lift, weights) in &catalog.sign_weights.lifts {
        let book = &catalog.lifts[lift];
        assert_eq!(weights.start.len(), weights.signs.len() + 1);
        for id in &weights.signs {
            assert!(book.sign(id.trim_start_matches('-')).is_some(), "{id}");
        }
    }
    assert_eq!(catalog.sign_weights.lifts.len(), Lift::ALL.len());
}
