//! The corrections of one lift: one for each cause, doses in range, a success check that can be met.

use super::check::{Check, Known};
use super::document::Entry;
use super::parse::Shelf;
use super::{Correction, Dose};
use crate::quantity::Span;
use crate::report::Lift;
use std::collections::BTreeSet;

impl Check<'_, '_, '_> {
    /// Checks the corrections of one lift.
    pub(super) fn corrections(&mut self, lift: Lift, shelf: &Shelf<'_>) {
        let causes = Known::new(&shelf.causes, format!("{}-causes.toml", lift.word()));
        let signs = Known::new(&shelf.signs, format!("{}-signs.toml", lift.word()));
        let mut seen = BTreeSet::new();
        for entry in &shelf.corrections.entries {
            let correction = &entry.value;
            let cause = correction.cause.as_str();
            causes.refuse("cause", cause, entry, self.problems);
            if !seen.insert(cause) {
                let what = format!("a second correction for `{cause}`");
                self.say(entry, cause, what, "one correction for each cause");
            }
            let check = &correction.check;
            if check.gone.is_empty() {
                self.say(
                    entry,
                    "check =",
                    "no success check",
                    "at least one sign under gone",
                );
            }
            for sign in check.gone.iter().chain(&check.less) {
                signs.refuse("sign", sign, entry, self.problems);
            }
            self.doses(entry);
        }
        for entry in &shelf.causes.entries {
            let id = &entry.value.id;
            if shelf.corrections.whole && !shelf.corrections.ids.contains(id) {
                let what = format!("`{id}` has no correction");
                let accepted = format!(
                    "a [[correction]] for it in {}-corrections.toml",
                    lift.word()
                );
                self.say(entry, id, what, accepted);
            }
        }
    }

    fn doses(&mut self, entry: &Entry<'_, Correction>) {
        let correction = &entry.value;
        self.words(
            entry,
            &[
                ("do_not", &correction.do_not),
                ("set", &correction.check.set),
            ],
        );
        let fragments = [("do_not", &correction.do_not), ("trial", &correction.trial)];
        self.fragments(entry, &fragments);
        for dose in correction.drill.iter().chain(&correction.assistance) {
            self.dose(entry, dose);
        }
        let check = &correction.check;
        self.within_at(
            entry,
            &check.set,
            "sets of the check",
            check.sets,
            (1.0, 20.0),
        );
        self.within_at(
            entry,
            &check.set,
            "reps of the check",
            check.reps,
            (1.0, 30.0),
        );
        self.within_at(
            entry,
            &check.set,
            "percent of the check",
            check.percent,
            (1.0, 110.0),
        );
        let days = Some(Span::exactly(f64::from(check.days)));
        self.within(entry, "days", days, 1.0, 84.0);
    }

    fn dose(&mut self, entry: &Entry<'_, Correction>, dose: &Dose) {
        self.words(entry, &[("exercise", &dose.exercise)]);
        let most_reps = if dose.unit.is_some() { 300.0 } else { 50.0 };
        let name = |what: &str| format!("{what} of \"{}\"", dose.exercise);
        let figures = [
            (name("sets"), Some(dose.sets), 1.0, 20.0),
            (name("reps"), Some(dose.reps), 1.0, most_reps),
            (name("percent"), dose.percent, 1.0, 110.0),
            (name("effort"), dose.effort.map(Span::exactly), 1.0, 10.0),
            (name("weeks"), dose.weeks, 1.0, 26.0),
        ];
        for (what, span, low, high) in figures {
            self.within_at(entry, &dose.exercise, &what, span, (low, high));
        }
    }
}
