//! The one observation that would change what is named first.
//!
//! Signs nobody has looked for come first: of those that the rivals of the first cause show,
//! the one that would bring another cause to the front and is likeliest to be there. Rivals explain
//! something that is there too. Where no single sign would, the strongest evidence is taken away:
//! what if this were not so?

use super::evidence::Evidence;
use super::foresee::{Passes, foresee};
use super::gates::Facts;
use super::posterior::posterior;
use super::{Case, Finding, Origin, TurningPoint, View, choice};
use crate::catalog::{Sign, Strength};

/// Most signs tried; each costs a pass.
const MOST_TRIED: usize = 8;

/// Rivals whose signs are tried, likeliest first.
const MOST_RIVALS: usize = 6;

/// Most pieces of evidence tried as not so.
const MOST_TAKEN_AWAY: usize = 3;

/// The observation, if something is named and one observation would change it.
pub(super) fn point(
    case: &mut Case<'_>,
    now: &View<'_>,
    strongest: &[String],
    passes: &mut Passes,
) -> Option<TurningPoint> {
    let first = *now.choice.chosen.first()?;
    looked_for(case, now, first, passes).or_else(|| taken_away(case, now, first, strongest))
}

/// The likeliest of the signs not looked for that would bring another cause to the front.
fn looked_for(
    case: &mut Case<'_>,
    now: &View<'_>,
    first: usize,
    passes: &mut Passes,
) -> Option<TurningPoint> {
    let mut best: Option<(f64, TurningPoint)> = None;
    for sign in candidates(case, now, first) {
        let finding = Finding {
            sign,
            probability: 1.0,
            from: Origin::Answered,
        };
        let findings = std::slice::from_ref(&finding);
        let Some(then) = foresee(case, now, findings, passes) else {
            continue;
        };
        let likely = (then.posterior.log_evidence - now.posterior.log_evidence).exp();
        let other = then.choice.chosen.first().filter(|place| **place != first);
        if let Some(other) = other
            && best.as_ref().is_none_or(|(most, _)| likely > *most)
        {
            let first = now.in_play[*other].cause.id.clone();
            let point = TurningPoint {
                sign: finding.sign,
                there: true,
                first: Some(first),
            };
            best = Some((likely, point));
        }
    }
    best.map(|(_, point)| point)
}

/// Signs nobody has looked for, which a rival shows, more often than the first cause.
fn candidates(case: &Case<'_>, now: &View<'_>, first: usize) -> Vec<String> {
    let of_first = &now.in_play[first].cause.shows;
    let competes = Facts::of(&case.facts).competes == Some(true);
    let open = |sign: &Sign| {
        !sign.pain
            && (competes || !sign.rule_only)
            && !case.findings.iter().any(|finding| finding.sign == sign.id)
    };
    let mut rivals = now.suspects();
    rivals.retain(|at| *at != first);
    let probable = |at: &usize| now.posterior.causes[*at];
    rivals.sort_by(|a, b| probable(b).total_cmp(&probable(a)).then(a.cmp(b)));
    let mut found: Vec<(f64, String)> = Vec::new();
    for rival in rivals.into_iter().take(MOST_RIVALS) {
        for (id, strength) in &now.in_play[rival].cause.shows {
            let mine = of_first.iter().find(|(own, _)| own == id);
            let mine = mine.map_or(0.0, |(_, strength)| strength.probability());
            let ahead = strength.probability() - mine;
            let known = found.iter().any(|(_, other)| other == id);
            let sign = case.book.sign(id);
            if *strength >= Strength::Sometimes && ahead > 0.0 && !known && sign.is_some_and(open) {
                found.push((ahead * probable(&rival), id.clone()));
            }
        }
    }
    found.sort_by(|a, b| b.0.total_cmp(&a.0));
    found.truncate(MOST_TRIED);
    found.into_iter().map(|(_, id)| id).collect()
}

/// The evidence that, were it not so, would leave another cause in front or none.
fn taken_away(
    case: &mut Case<'_>,
    now: &View<'_>,
    first: usize,
    strongest: &[String],
) -> Option<TurningPoint> {
    let hardness = Facts::of(&case.facts).hardness;
    for id in strongest.iter().take(MOST_TAKEN_AWAY) {
        let evidence: &[Evidence<'_>] = &now.gathered.evidence;
        let at = evidence.iter().position(|e| e.sign == id && e.shown())?;
        let mut network = now.network.clone();
        network.signs[at].if_absent = 1.0;
        network.signs[at].if_present = 0.0;
        let found = posterior(&network, &now.order, &mut case.room);
        let mut seen = now.gathered.seen();
        seen.signs.retain(|sign| sign != id);
        let then = choice::choose(
            &now.in_play,
            &network,
            &found,
            &seen,
            hardness,
            case.settings,
        );
        if then.chosen.first() != Some(&first) {
            let other = then.chosen.first();
            return Some(TurningPoint {
                sign: id.clone(),
                there: false,
                first: other.map(|place| now.in_play[*place].cause.id.clone()),
            });
        }
    }
    None
}
