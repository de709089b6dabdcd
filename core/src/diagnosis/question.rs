//! The next question: the one whose answer is worth most to the plan for the trouble it makes.
//!
//! For each choice of each question still open, the answer is put in and the case judged again (see
//! `after`). How likely a choice is follows from the network, `P(its signs | evidence)`; a choice that speaks of
//! no sign has no such figure and counts as one choice in so many, or as seldom where it would put
//! the set outside the catalog. Choices that say the same of the same signs part one share. The
//! shares of a question's choices are brought to one. The value of a plan is the chance that its
//! first change meets a cause that is there, and half that of its second. The worth of a question
//! is by how much the plan after the answer is expected to be better than the plan of now (value
//! of information, Howard 1966; from memory), plus a tenth of the uncertainty removed (the sum over
//! causes of binary entropy, in nats, which settles ties), over its burden.
//! Asked about is what a suspect shows (a cause that shows something that is there) or a fact; with
//! nothing named, anything before nothing. What was reported comes before what was
//! not: while a sign that counts for competitors only is there and nobody said whether the lifter
//! competes, or a cause of one style leads and nobody said the style, a question that settles it
//! goes first.

use super::after::answered;
use super::answers::findings_of;
use super::foresee::{Passes, foresee};
use super::{Case, Finding, NextQuestion, View};
use crate::catalog::{Choice, Question};
use std::collections::BTreeSet;

/// Weight of the uncertainty removed beside the value of the better plan.
const TIE_BREAK: f64 = 0.1;

/// The choice of causes must change with at least this chance for a question to be asked (common
/// practice, no source).
const WORTH_ASKING: f64 = 0.05;

/// Added to the worth of a question that goes before the others; more than any worth.
const FIRST: f64 = 1000.0;

/// Share of an answer that puts the set outside this catalog, a specialty bar (common practice, no
/// source).
const SELDOM: f64 = 0.02;

/// Most numbers touched in working out one answer; with dozens of signs known nothing is asked.
const MOST_WORK: u64 = 1 << 15;

/// The question most worth asking, if any answer would change the choice.
pub(super) fn next(
    case: &mut Case<'_>,
    now: &View<'_>,
    passes: &mut Passes,
) -> Option<NextQuestion> {
    if case.facts.answers.len() >= case.settings.most_questions || now.order.work > MOST_WORK {
        return None;
    }
    let known: BTreeSet<String> = case.findings.iter().map(|f| f.sign.clone()).collect();
    let book = case.book;
    let suspects = now.suspects();
    let relevant = |question: &&Question| {
        let mut choices = question.choices.iter();
        suspects.is_empty()
            || choices.any(|choice| {
                let mut signs = choice.present.iter().chain(&choice.absent);
                !choice.context.is_empty() || signs.any(|id| shown_by(now, &suspects, id))
            })
    };
    let (first, rest): (Vec<&Question>, Vec<&Question>) = book.questions.iter().partition(relevant);
    let best = best(case, now, &first, &known, passes);
    // With nothing named any question is better than none.
    let best = match best {
        None if now.choice.chosen.is_empty() => self::best(case, now, &rest, &known, passes),
        found => found,
    };
    best.map(|question| NextQuestion {
        id: question.id.clone(),
        text: question.text.clone(),
        choices: question.choices.iter().map(|c| c.say.clone()).collect(),
    })
}

/// True when one of these causes shows the sign.
fn shown_by(now: &View<'_>, causes: &[usize], sign: &str) -> bool {
    let shows = |at: &usize| {
        let cause = now.in_play.get(*at).map(|c| c.cause);
        cause.is_some_and(|cause| cause.shows.iter().any(|(id, _)| id == sign))
    };
    causes.iter().any(shows)
}

/// The question worth most among these.
fn best<'a>(
    case: &mut Case<'_>,
    now: &View<'_>,
    questions: &[&'a Question],
    known: &BTreeSet<String>,
    passes: &mut Passes,
) -> Option<&'a Question> {
    let meet_unsaid =
        case.facts.competes.is_none() && now.gathered.present.iter().any(|sign| sign.rule_only);
    let style_open = now.style_open(&case.facts);
    let mut best: Option<(f64, &Question)> = None;
    for question in questions {
        if question.free
            || case.facts.answers.contains_key(&question.id)
            || settled(question, known)
            || !question.fits(&case.facts)
        {
            continue;
        }
        let Some(worth) = worth(case, now, question, passes) else {
            continue;
        };
        let settles = meet_unsaid && settles(question, "competes=")
            || style_open && settles(question, "stance=");
        let worth = if settles { worth + FIRST } else { worth };
        if best.is_none_or(|(most, _)| worth > most + 1e-12) {
            best = Some((worth, question));
        }
    }
    best.map(|(_, question)| question)
}

/// True when an answer settles this fact.
fn settles(question: &Question, fact: &str) -> bool {
    let mut facts = question.choices.iter().flat_map(|choice| &choice.context);
    facts.any(|settled| settled.starts_with(fact))
}

/// True when every sign the question speaks of is known and it settles nothing else.
fn settled(question: &Question, known: &BTreeSet<String>) -> bool {
    question.choices.iter().all(|choice| {
        let mut signs = choice.present.iter().chain(&choice.absent);
        choice.context.is_empty() && signs.all(|sign| known.contains(sign))
    })
}

/// The worth of one question; nothing when it would hardly ever change the choice.
fn worth(
    case: &mut Case<'_>,
    now: &View<'_>,
    question: &Question,
    passes: &mut Passes,
) -> Option<f64> {
    let named: Vec<String> = now.named().into_iter().map(str::to_owned).collect();
    let even = 1.0 / question.choices.len().max(1) as f64;
    let mut total = 0.0;
    let (mut better, mut changes, mut removed) = (0.0, 0.0, 0.0);
    for choice in &question.choices {
        let then = answered(case, now, question, choice, passes);
        let speaks_of_signs = !choice.present.is_empty() || !choice.absent.is_empty();
        let share = match &then {
            Some(then) if speaks_of_signs && choice.context.is_empty() => {
                let log_share = then.log_evidence - now.posterior.log_evidence;
                log_share.exp().clamp(0.0, 1.0) / alike(question, choice)
            }
            Some(then) if then.outside => SELDOM,
            // What it says of signs tells how likely it is, whatever facts it settles beside.
            Some(_) if speaks_of_signs => signs_alone(case, now, choice, passes)
                .map_or(even, |share| share / alike(question, choice)),
            _ => even,
        };
        total += share;
        if let Some(then) = then {
            if then.named != named {
                changes += share;
                better += share * (then.value - then.value_of_now).max(0.0);
            }
            removed += share * (passes.entropy - then.entropy);
        }
    }
    if total <= 0.0 || changes / total < WORTH_ASKING {
        return None;
    }
    let gain = (better + TIE_BREAK * removed.max(0.0)) / total;
    Some(gain / question.burden.max(0.1))
}

/// How likely what a choice says of signs is, its facts left aside.
fn signs_alone(
    case: &mut Case<'_>,
    now: &View<'_>,
    choice: &Choice,
    passes: &mut Passes,
) -> Option<f64> {
    let findings: Vec<Finding> = findings_of(choice).collect();
    let then = foresee(case, now, &findings, passes)?;
    let log_share = then.posterior.log_evidence - now.posterior.log_evidence;
    Some(log_share.exp().clamp(0.0, 1.0))
}

/// How many choices of the question say the same of the same signs; they part one share.
fn alike(question: &Question, choice: &Choice) -> f64 {
    let same = |other: &&Choice| other.present == choice.present && other.absent == choice.absent;
    question.choices.iter().filter(same).count().max(1) as f64
}
