//! Plates and warm-up sets asked for in chat: the figures are the core's, the words the coach's.

use super::speech::RackWord;
use super::turn::Turn;
use crate::record::CaseState;
use crate::wording::figures;
use cueline_core::load::{Rounding, bar_over, caution, from_best, load_bar, usual_plates, warm_up};
use cueline_core::quantity::{Mass, plain};
use cueline_core::report::{AgeBand, Lift, Plates, SetReport, most_load_kg};

/// Answers a question about plates or a warm-up. A stopped lifter gets no loads.
pub(super) fn answer(turn: &mut Turn<'_>, word: RackWord) {
    let stopped = turn
        .known
        .cases
        .iter()
        .find(|case| case.state == CaseState::Halted);
    if let Some(case) = stopped {
        turn.say_halted(case);
        return;
    }
    let text = said(turn, word);
    turn.reply("first", text, None);
}

/// The answer in words.
fn said(turn: &Turn<'_>, word: RackWord) -> String {
    let words = turn.known.words;
    let profile = &turn.lifter.profile;
    let typed = word.load();
    let Some(load) = typed.mass(profile.unit) else {
        let number = plain(typed.value);
        return words.say("talk.which_unit", &[("number", &number)]);
    };
    let most = most_load_kg(word.lift());
    if load.kg() > most {
        let most = Mass::from_kg(most, load.unit).about();
        return words.say("talk.too_much", &[("load", &load.both()), ("most", &most)]);
    }
    let own = profile.plates.clone();
    let usual = own.is_none();
    let rack = own.unwrap_or_else(|| usual_plates(load.unit));
    if bar_over(load, &rack).is_some() {
        let bar = Mass::new(rack.bar + rack.collars, rack.unit).both();
        return words.say("talk.below_bar", &[("load", &load.both()), ("bar", &bar)]);
    }
    let mut lines = match word {
        RackWord::Plates(_) => vec![plates(turn, load, &rack)],
        RackWord::WarmUp(_, lift) => ramp(turn, load, &rack, lift),
    };
    if usual {
        lines.push(words.say("talk.usual_plates", &[]));
    }
    lines.join("\n")
}

/// Plates for a load, never above it.
fn plates(turn: &Turn<'_>, load: Mass, rack: &Plates) -> String {
    let words = turn.known.words;
    let Some(bar) = load_bar(load, rack, Rounding::Down) else {
        return words.say("talk.not_understood", &[]);
    };
    let empty = Mass::new(rack.bar + rack.collars, rack.unit).both();
    let (plates, total) = (figures::plates(&bar), bar.total.both());
    // Half of the smallest difference any scale in a gym shows.
    let key = if bar.residual < 0.05 {
        "talk.plates"
    } else {
        "talk.plates_under"
    };
    words.say(
        key,
        &[
            ("load", &load.both()),
            ("total", &total),
            ("plates", &plates),
            ("bar", &empty),
        ],
    )
}

/// Warm-up sets to a load, line by line.
fn ramp(turn: &Turn<'_>, top: Mass, rack: &Plates, lift: Option<Lift>) -> Vec<String> {
    let words = turn.known.words;
    let profile = &turn.lifter.profile;
    if profile.age_band == Some(AgeBand::Under18) {
        return vec![words.say("talk.minor_loads", &[])];
    }
    let best = lift
        .and_then(|lift| profile.bests.get(lift.word()))
        .and_then(|best| {
            let known = SetReport {
                best: Some(best.clone()),
                ..SetReport::default()
            };
            from_best(&known, Some(super::times::today(&turn.zone, turn.now)))
        });
    let sets = warm_up(top, rack, best.as_ref());
    let mut lines = vec![words.say("talk.warm_up", &[("load", &top.both())])];
    lines.extend(sets.iter().map(|set| {
        words.say(
            "talk.warm_up_set",
            &[
                ("total", &set.bar.total.both()),
                ("reps", &set.reps.to_string()),
                ("plates", &figures::plates(&set.bar)),
            ],
        )
    }));
    if sets.is_empty() {
        lines = vec![words.say("talk.warm_up_none", &[("load", &top.both())])];
    }
    if let Some(caution) = caution(top, best.as_ref()) {
        lines.push(words.say("talk.warm_up_mind", &[("caution", caution)]));
    }
    lines
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

    use crate::brain::{self, Brain};
    use crate::casework::{Known, decide};
    use crate::record::{
        Actor, ActorKind, Case, CaseBody, CaseState, Event, EventKey, Lifter, Payload, PersonKey,
        Profile,
    };
    use cueline_core::quantity::MassUnit;
    use cueline_core::report::{AgeBand, Best, Lift, Plates};
    use jiff::Timestamp;

    fn at() -> Timestamp {
        "2026-03-02T18:00:00Z".parse().unwrap()
    }

    fn person() -> PersonKey {
        PersonKey {
            source: "/chat/test".to_owned(),
            person_id: "p1".to_owned(),
        }
    }

    /// A lifter called Ada, who lifts at home.
    fn ada(profile: Profile) -> Lifter {
        Lifter {
            key: person(),
            display_name: "Ada".to_owned(),
            zone: None,
            reminders: true,
            left: false,
            last_reminder: None,
            profile,
            version: 1,
        }
    }

    /// What Ada is answered.
    fn answered(brain: &Brain, lifter: Lifter, cases: Vec<Case>, text: &str) -> String {
        let event = Event {
            key: EventKey {
                source: "/chat/test".to_owned(),
                id: "e1".to_owned(),
            },
            time: at(),
            room_id: "r1".to_owned(),
            thread_id: None,
            actor: Actor {
                id: "p1".to_owned(),
                display_name: "Ada".to_owned(),
                kind: ActorKind::Person,
            },
            payload: Payload::Message {
                message_id: "m1".to_owned(),
                version: 1,
                text: text.to_owned(),
                reply_to: None,
                attachments: Vec::new(),
            },
        };
        let known = Known {
            erased_at: None,
            dossier: None,
            token: None,
            catalog: &brain.catalog,
            words: &brain.words,
            rules: &brain.rules,
            lifter: Some(lifter),
            cases,
            new_number: 7,
            mark: None,
            about: None,
            ours: None,
            named: None,
            queue: Vec::new(),
            traces: Vec::new(),
            dead: Vec::new(),
            sheet: Vec::new(),
            fresh_link: None,
            community: Box::default(),
            coach_names: Vec::new(),
        };
        let effects = decide(&event, &known, at());
        assert!(
            effects.queue.is_empty(),
            "a question about plates is no case"
        );
        let texts: Vec<&str> = effects.outbox.iter().map(|m| m.text.as_str()).collect();
        texts.join("\n---\n")
    }

    /// A bar and a few plates in a garage.
    fn garage() -> Plates {
        Plates {
            unit: MassUnit::Kg,
            bar: 20.0,
            collars: 5.0,
            pairs: vec![(25.0, 1), (20.0, 2), (10.0, 1), (5.0, 1), (2.5, 1)],
        }
    }

    fn halted() -> Case {
        Case {
            id: "c1".to_owned(),
            number: 3,
            person: person(),
            room_id: "r1".to_owned(),
            thread_id: None,
            lift: Some(Lift::Squat),
            state: CaseState::Halted,
            opened_at: at(),
            updated_at: at(),
            version: 1,
            body: CaseBody::default(),
        }
    }

    #[test]
    fn ada_asks_for_plates_and_gets_those_she_owns() {
        let (_, brain) = brain::load(None).unwrap();
        let own = Profile {
            plates: Some(garage()),
            ..Profile::default()
        };
        let said = answered(
            &brain,
            ada(own.clone()),
            Vec::new(),
            "Plates for 142.5 kg, please?",
        );
        assert!(said.contains("140 kg (309 lb)"), "{said}");
        assert!(said.contains("25 + 20 + 10 + 2.5 a side"), "{said}");
        assert!(said.contains("a bar of 25 kg (55 lb)"), "{said}");
        assert!(!said.contains("usual"), "{said}");
        // Pounds are answered on the kilogram plates she has.
        let said = answered(&brain, ada(own), Vec::new(), "plates 315lb");
        assert!(said.contains("140 kg") && said.contains("315 lb"), "{said}");
    }

    #[test]
    fn a_bare_number_takes_the_lifters_unit_or_is_asked_about() {
        let (_, brain) = brain::load(None).unwrap();
        let said = answered(&brain, ada(Profile::default()), Vec::new(), "plates 225");
        assert!(said.contains("225") && said.contains("kg or lb"), "{said}");
        assert!(!said.contains("a side"), "{said}");
        let pounds = Profile {
            unit: Some(MassUnit::Lb),
            ..Profile::default()
        };
        let said = answered(&brain, ada(pounds), Vec::new(), "which plates for 225");
        assert!(said.contains("45 + 45 a side"), "{said}");
        assert!(said.contains("usual"), "{said}");
    }

    #[test]
    fn ada_warms_up_to_180_and_is_cautioned_near_her_best() {
        let (_, brain) = brain::load(None).unwrap();
        let mut profile = Profile::default();
        let best = Best {
            value: 185.0,
            unit: MassUnit::Kg,
            date: None,
            tested: Some(true),
        };
        profile.bests.insert("deadlift".to_owned(), best);
        let said = answered(
            &brain,
            ada(profile.clone()),
            Vec::new(),
            "Warm-up to 180 kg deadlift",
        );
        assert!(said.contains("20 kg (44.1 lb) x 8"), "{said}");
        assert!(said.contains("x 1") && said.contains("90 %"), "{said}");
        let said = answered(
            &brain,
            ada(profile.clone()),
            Vec::new(),
            "warm up to 120kg deadlift",
        );
        assert!(!said.contains("90 %"), "{said}");
        profile.age_band = Some(AgeBand::Under18);
        let said = answered(&brain, ada(profile), Vec::new(), "warm up to 120kg");
        assert!(!said.contains(" x 5") && said.contains("adult"), "{said}");
    }

    #[test]
    fn nothing_is_loaded_while_a_stop_is_on() {
        let (_, brain) = brain::load(None).unwrap();
        for text in ["plates 142.5 kg", "warm up to 100kg"] {
            let said = answered(&brain, ada(Profile::default()), vec![halted()], text);
            assert!(said.contains("stop is still on"), "{said}");
            assert!(!said.contains("a side"), "{said}");
        }
    }

    #[test]
    fn a_load_no_bar_holds_is_refused_with_what_is_accepted() {
        let (_, brain) = brain::load(None).unwrap();
        let ask = |text| answered(&brain, ada(Profile::default()), Vec::new(), text);
        let said = ask("plates 15kg");
        assert!(said.contains("15 kg") && said.contains("20 kg"), "{said}");
        let said = ask("plates 5000kg");
        assert!(said.contains("640 kg"), "{said}");
        let said = ask("warm up to 20kg");
        assert!(said.contains("empty bar"), "{said}");
    }
}
