//! A coach puts a case to the community: the text is made, the service's own answer sealed, and the
//! lifter asked.

use super::eligible::{Bar, bar};
use super::when::When;
use super::{PURPOSE, alert, button_id, cause};
use crate::casework::coach::me;
use crate::casework::turn::Turn;
use crate::casework::{Known, outbox, times};
use crate::record::{
    CaseFile, Challenge, ChallengeBody, ChallengeChange, ChallengeState, ChoiceButton, ChoiceStyle,
    Effects, Outgoing, Round,
};
use crate::wording::{Words, community};
use cueline_core::catalog::{Catalog, LiftBook, LoadBasis};
use cueline_core::challenge::{Answer, ExerciseAnswer, MOST_CAUSES, NamedCause, unsafe_load};
use cueline_core::report::Lift;
use jiff::{SignedDuration, Timestamp};

/// Least time between opening and closing: the lifter has to agree first.
const LEAST: SignedDuration = SignedDuration::from_hours(1);
/// Longest time.
const MOST: SignedDuration = SignedDuration::from_hours(60 * 24);
/// Challenges of one platform going on at once.
const MOST_LIVE: usize = 20;
/// Buttons of an announcement.
const MOST_BUTTONS: usize = 5;

/// Opens a challenge, or says why not.
pub(in crate::casework) fn open(
    turn: &mut Turn<'_>,
    file: &CaseFile,
    until: Option<When>,
) -> String {
    let words = turn.known.words;
    let number = file.case.number.to_string();
    match prepared(turn, file, until) {
        Ok(challenge) => {
            let text = community::consent(words, &challenge);
            let ask = ask(words, &challenge, text);
            let told = words.say(
                "challenge.asked",
                &[
                    ("case", &number),
                    ("number", &challenge.number.to_string()),
                    ("closes", &challenge.body.closes),
                ],
            );
            // The text by itself, under the lifter's name, so that it can be taken back and forgotten.
            let copy = alert(
                turn.known.rules,
                &challenge,
                "copy",
                challenge.body.text.clone(),
            );
            let copy = copy.map(|copy| Outgoing {
                person_id: Some(challenge.person.person_id.clone()),
                purpose: PURPOSE,
                ..copy
            });
            if let Some(copy) = copy {
                show(turn.effects, &challenge, copy);
            }
            show(turn.effects, &challenge, ask);
            turn.effects
                .challenges
                .push(ChallengeChange::Write(Box::new(challenge)));
            told
        }
        Err((key, values)) => {
            let mut all = vec![("case", number.as_str())];
            all.extend(values.iter().map(|(name, value)| (*name, value.as_str())));
            words.say(key, &all)
        }
    }
}

/// Sends a message with the challenge's picture: lifter, coach and room see the same.
pub(super) fn show(effects: &mut Effects, challenge: &Challenge, message: Outgoing) {
    if let Some(drawing) = &challenge.body.drawing {
        effects
            .drawings
            .insert(message.key.clone(), drawing.clone());
    }
    effects.outbox.push(message);
}

/// A key of the wording with what to fill in.
type Refusal = (&'static str, Vec<(&'static str, String)>);

/// Why a case cannot be put to the community as it stands, in words; nothing when it can. Needs what
/// [`super::CommunityNeed::Opening`] loads, the number aside.
pub fn hindrance(known: &Known<'_>, source: &str, file: &CaseFile) -> Option<String> {
    let room = known.rules.challenges.rooms.get(source);
    let refusal = match room {
        None => ("challenge.no_room", Vec::new()),
        Some(_) => shown(known, file).err()?,
    };
    let number = file.case.number.to_string();
    let mut values = vec![("case", number.as_str())];
    values.extend(
        refusal
            .1
            .iter()
            .map(|(name, value)| (*name, value.as_str())),
    );
    Some(known.words.say(refusal.0, &values))
}

/// The set that would be shown, with its lift and the lift's book.
fn shown<'a>(
    known: &'a Known<'_>,
    file: &'a CaseFile,
) -> Result<(&'a Round, Lift, &'a LiftBook), Refusal> {
    let plain = |key: &'static str| (key, Vec::new());
    let (case, community) = (&file.case, &known.community);
    let lift = case.lift.or_else(|| case.body.rounds.last()?.report.lift);
    let book = lift.and_then(|lift| known.catalog.lifts.get(&lift));
    if let Some(bar) = bar(case, file.lifter.as_ref(), &community.lifter_cases, book) {
        return Err(plain(bar.key()));
    }
    let round = case.body.rounds.last();
    let (Some(round), Some(lift), Some(book)) = (round, lift, book) else {
        return Err(plain(Bar::NoSet.key()));
    };
    let running = |other: &&Challenge| other.case_id == case.id && other.state.is_live();
    if let Some(other) = community.own.iter().find(running) {
        let number = other.number.to_string();
        return Err(("challenge.running", vec![("number", number)]));
    }
    if community.live.len() >= MOST_LIVE {
        let most = MOST_LIVE.to_string();
        return Err(("challenge.too_many", vec![("most", most)]));
    }
    Ok((round, lift, book))
}

/// The challenge as it would be written.
fn prepared(turn: &Turn<'_>, file: &CaseFile, until: Option<When>) -> Result<Challenge, Refusal> {
    let plain = |key: &'static str| (key, Vec::new());
    let known = turn.known;
    let community = &known.community;
    let source = &turn.event.key.source;
    let rooms = &known.rules.challenges.rooms;
    let room = rooms
        .get(source)
        .ok_or_else(|| plain("challenge.no_room"))?;
    let zone = times::zone(known.rules, turn.lifter.zone.as_deref());
    let closes_at = until
        .and_then(|when| when.moment(&zone, turn.now))
        .ok_or_else(|| plain("challenge.no_time"))?;
    let span = closes_at.duration_since(turn.now);
    if span < LEAST || span > MOST {
        return Err(plain("challenge.bad_time"));
    }
    let case = &file.case;
    let (round, lift, book) = shown(known, file)?;
    let number = community.new_number;
    let closes = community::closing_time(&zone, closes_at);
    Ok(Challenge {
        number,
        id: outbox::key(&turn.event.key, "challenge"),
        case_id: case.id.clone(),
        event_id: round.event_id.clone(),
        person: case.person.clone(),
        opened_by: me(turn.event),
        lift,
        room_id: room.clone(),
        state: ChallengeState::Asked,
        opened_at: turn.now,
        closes_at,
        run_at: Some(closes_at),
        sealed: sealed(book, round),
        body: ChallengeBody {
            text: community::card(known.words, known.catalog, number, lift, round, &closes),
            drawing: community::drawing(known.words, known.catalog, lift, round),
            closes,
            buttons: buttons(book, round),
            best_kg: round.estimate_kg.map(|(best, ..)| best),
            ..ChallengeBody::default()
        },
        version: 0,
    })
}

/// The service's own answer, as a member would give it: what it chose, with what it believed, and an
/// exercise of the first correction that is within the guard rails.
fn sealed(book: &LiftBook, round: &Round) -> Answer {
    let belief = |cause: &str| {
        let found = round.beliefs.iter().find(|(known, _)| known == cause);
        found.map(|(_, probability)| probability.clamp(0.0, 1.0))
    };
    let mut named: Vec<String> = round.chosen.iter().take(MOST_CAUSES).cloned().collect();
    if named.is_empty() {
        // Not sure enough to name one to a lifter; the likeliest with its low belief all the same.
        named.extend(round.beliefs.first().map(|(cause, _)| cause.clone()));
    }
    let first = named.first().and_then(|cause| book.correction(cause));
    let exercise = first.and_then(|correction| {
        let doses = correction.drill.iter().chain(&correction.assistance);
        let mut answers = doses.map(|dose| ExerciseAnswer {
            exercise: dose.exercise.clone(),
            corrects: Some(correction.cause.clone()),
            percent: dose.percent.filter(|_| dose.of == LoadBasis::Lift),
        });
        answers.find(|answer| !unsafe_load(answer))
    });
    Answer {
        cue: first
            .map(|correction| correction.cue.clone())
            .unwrap_or_default(),
        exercise,
        causes: named
            .into_iter()
            .map(|cause| NamedCause {
                confidence: belief(&cause),
                cause,
            })
            .collect(),
    }
}

/// The few most plausible causes, in the order of the chain, so that the order tells nothing of
/// what the service believes.
fn buttons(book: &LiftBook, round: &Round) -> Vec<String> {
    let likely: Vec<&String> = round
        .beliefs
        .iter()
        .map(|(cause, _)| cause)
        .take(MOST_BUTTONS)
        .collect();
    book.causes
        .iter()
        .map(|cause| &cause.id)
        .filter(|cause| likely.contains(cause))
        .cloned()
        .collect()
}

/// The question to the lifter, with the exact text and its buttons.
fn ask(words: &Words, challenge: &Challenge, text: String) -> Outgoing {
    let button = |what: &str, key: &str, style| ChoiceButton {
        choice_id: button_id(challenge.number, what),
        label: outbox::label(words.say(key, &[])),
        style,
    };
    Outgoing {
        choices: vec![
            button("yes", "challenge.button_yes", ChoiceStyle::Plain),
            button("no", "challenge.button_no", ChoiceStyle::Plain),
        ],
        case_id: Some(challenge.case_id.clone()),
        ..outbox::private(&cause(challenge), "ask", text, &challenge.person)
    }
}

/// The announcement in the room.
pub(super) fn announcement(catalog: &Catalog, challenge: &Challenge) -> Outgoing {
    let name = |cause: &String| {
        let book = catalog.lifts.get(&challenge.lift)?;
        let known = book.cause(cause)?;
        Some(ChoiceButton {
            choice_id: button_id(challenge.number, cause),
            label: outbox::label(known.meaning.clone()),
            style: ChoiceStyle::Plain,
        })
    };
    Outgoing {
        choices: challenge.body.buttons.iter().filter_map(name).collect(),
        ..super::post(challenge, "announce", challenge.body.text.clone())
    }
}

/// The book of a challenge's lift.
pub(super) fn book(catalog: &Catalog, lift: Lift) -> Option<&LiftBook> {
    catalog.lifts.get(&lift)
}

/// A time as kept is a time still to come.
pub(super) fn is_over(challenge: &Challenge, at: Timestamp) -> bool {
    at >= challenge.closes_at
}
