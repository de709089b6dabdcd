//! The probability that two causes are there together.

use super::frontier::Frontier;
use super::posterior::posterior_weighed;
use super::{Case, Finding, Settings, Told};
use crate::catalog::{ContextRule, LiftBook};
use crate::report::SetReport;

/// `P(both | all that is known)` of two causes in play; nothing when one of them is not.
///
/// By the sum rule it is what is left of the second when its share without the first is taken
/// away: `P(b) - P(b | not a) P(not a)`, each term an exact posterior.
pub fn both_probable(
    book: &LiftBook,
    context: &[ContextRule],
    report: &SetReport,
    findings: &[Finding],
    settings: &Settings,
    (one, two): (&str, &str),
) -> Option<f64> {
    let mut case = Case::of(book, context, report, findings, settings, Told::default());
    let view = case.view(Frontier::of);
    let place = |id: &str| view.in_play.iter().position(|c| c.cause.id == id);
    let (one, two) = (place(one)?, place(two)?);
    let all = &view.posterior.causes;
    if one == two {
        return all.get(one).copied();
    }
    let mut without = vec![1.0; all.len()];
    *without.get_mut(one)? = 0.0;
    let rest = posterior_weighed(&view.network, &view.order, &without, &mut case.room);
    let share = rest.causes.get(two)? * (1.0 - all.get(one)?);
    Some((all.get(two)? - share).clamp(0.0, 1.0))
}
