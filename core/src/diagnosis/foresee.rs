//! What would be believed after an answer, from the sum already laid out for the case.
//!
//! That a sign is away has the probability `(1 - leak) * product of (1 - strength)` over the causes
//! that are there: it only weighs on single causes and asks no new order of summing. What an answer
//! says of a new sign is `p + (a - p) * P(away | causes)`, with `p` and `a` the likelihoods if the
//! sign is there and if it is not (Quickscore, Heckerman 1989, from memory, for answers only). So an
//! answer about a few signs is a sum of passes in the order at hand, and passes are shared between
//! answers. The difference of near figures costs digits; it serves for weighing questions, and what
//! is told of a case never comes from here.

use super::after::Anew;
use super::choice::{self, Choice};
use super::evidence::{self, Evidence};
use super::gates::Facts;
use super::no_fault::{self, Verdict};
use super::posterior::{Posterior, posterior_weighed};
use super::{Case, Finding, View};
use crate::catalog::ContextRule;

/// Most new signs in one answer; every one that is there doubles the passes.
const MOST_NEW: usize = 4;

/// Passes made so far, by the new signs taken as away.
pub(super) struct Passes {
    made: Vec<(Vec<String>, Posterior)>,
    /// Uncertainty as things stand.
    pub(super) entropy: f64,
    /// Answers for which the order at hand does not serve.
    pub(super) anew: Anew,
}

/// What would be believed and chosen.
pub(super) struct Foreseen {
    pub(super) posterior: Posterior,
    pub(super) choice: Choice,
    pub(super) verdict: Verdict,
}

/// What would be believed if `answer` were known too; nothing when the order at hand does not serve
/// (an answer about a sign already known, or about many).
pub(super) fn foresee(
    case: &mut Case<'_>,
    now: &View<'_>,
    answer: &[Finding],
    passes: &mut Passes,
) -> Option<Foreseen> {
    let known = |sign: &str| case.findings.iter().any(|finding| finding.sign == sign);
    if answer.iter().any(|finding| known(&finding.sign)) {
        return None;
    }
    // A rule that looks at other signs may weigh what is known, or the answer, anew.
    let touched = |id: &String| known(id) || answer.iter().any(|finding| finding.sign == *id);
    let looks = |rule: &&ContextRule| rule.alone || !rule.absent.is_empty();
    if case
        .rules
        .iter()
        .any(|rule| looks(rule) && rule.signs.iter().any(touched))
    {
        return None;
    }
    let facts = Facts::of(&case.facts);
    let more = evidence::gather(case.book, &case.rules, facts, answer);
    let new: Vec<Evidence<'_>> = more.evidence.clone();
    if new.len() > MOST_NEW || now.gathered.evidence.len() != now.network.signs.len() {
        return None;
    }
    let gathered = now.gathered.with(more);
    let posterior = summed(case, now, &new, passes)?;
    let verdict = no_fault::judge(case.book, case.context, &gathered, case.fine.as_ref());
    let choice = if verdict.nothing_else {
        Choice::default()
    } else {
        choice::choose(
            &now.in_play,
            &now.network,
            &posterior,
            &gathered.seen(),
            facts.hardness,
            case.settings,
        )
    };
    Some(Foreseen {
        posterior,
        choice,
        verdict,
    })
}

/// The sum of passes that an answer stands for.
fn summed(
    case: &mut Case<'_>,
    now: &View<'_>,
    new: &[Evidence<'_>],
    passes: &mut Passes,
) -> Option<Posterior> {
    let base = now.posterior.log_evidence;
    let mut all = 0.0;
    let mut with = vec![0.0; now.network.priors.len()];
    for subset in 0..1_usize << new.len() {
        let mut share = 1.0;
        let mut away: Vec<String> = Vec::new();
        for (bit, item) in new.iter().enumerate() {
            if subset & (1 << bit) == 0 {
                share *= item.if_present;
            } else {
                share *= item.if_absent - item.if_present;
                away.push(item.sign.to_owned());
            }
        }
        if share.abs() <= 0.0 {
            continue;
        }
        let found = passes.with_away(case, now, away);
        let weight = share * (found.log_evidence - base).exp();
        all += weight;
        for (sum, probability) in with.iter_mut().zip(&found.causes) {
            *sum += weight * probability;
        }
    }
    if !(all.is_finite() && all > 1e-9) {
        return None;
    }
    let causes: Vec<f64> = with
        .iter()
        .map(|sum| (sum / all).clamp(1e-12, 1.0 - 1e-12))
        .collect();
    Some(Posterior {
        log_odds: causes.iter().map(|p| (p / (1.0 - p)).ln()).collect(),
        causes,
        signs: Vec::new(),
        log_evidence: base + all.ln(),
    })
}

impl Passes {
    /// No pass made yet for this view.
    pub(super) fn of(now: &View<'_>) -> Self {
        Self {
            made: Vec::new(),
            entropy: now.posterior.entropy(),
            anew: Anew::default(),
        }
    }

    /// The posterior with these new signs away.
    fn with_away(&mut self, case: &mut Case<'_>, now: &View<'_>, away: Vec<String>) -> &Posterior {
        let made = self.made.iter().position(|(signs, _)| *signs == away);
        let at = made.unwrap_or_else(|| {
            let found = if away.is_empty() {
                now.posterior.clone()
            } else {
                pass(case, now, &away)
            };
            self.made.push((away, found));
            self.made.len() - 1
        });
        &self.made[at].1
    }
}

/// One pass in the order at hand, the signs that are away weighing on their causes.
fn pass(case: &mut Case<'_>, now: &View<'_>, away: &[String]) -> Posterior {
    let mut factors = vec![1.0; now.network.priors.len()];
    let mut leaks = 0.0;
    for id in away {
        for (factor, cause) in factors.iter_mut().zip(&now.in_play) {
            let mut shows = cause.cause.shows.iter();
            if let Some((_, strength)) = shows.find(|(sign, _)| sign == id) {
                *factor *= 1.0 - strength.probability();
            }
        }
        leaks += case
            .book
            .sign(id)
            .map_or(0.0, |sign| (1.0 - sign.leak).ln());
    }
    let mut found = posterior_weighed(&now.network, &now.order, &factors, &mut case.room);
    found.log_evidence += leaks;
    found
}
