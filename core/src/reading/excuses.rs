//! Harmless look-alikes of a flag, and the words they explain away.

use super::FlagLevel;
use super::flags::Finder;
use super::prepared::Wordings;
use super::said::At;

/// Words a harmless look-alike may stand away from the words it excuses.
const EXCUSES: usize = 4;

/// The same for words of an emergency: only a look-alike that stands with them.
const EXCUSES_EMERGENCY: usize = 0;

/// Words explained by a harmless look-alike of one flag, found when first asked for.
#[derive(Default)]
pub(super) struct Excuses {
    spans: Option<Vec<At>>,
    with_them: Option<Vec<bool>>,
    near_them: Option<Vec<bool>>,
}

impl Excuses {
    /// Whether a harmless look-alike explains the words found.
    pub(super) fn cover(
        &mut self,
        finder: &Finder,
        wordings: &Wordings,
        at: At,
        level: FlagLevel,
    ) -> bool {
        let spans = self.spans.get_or_insert_with(|| {
            let mut spans = Vec::new();
            for wording in &wordings.harmless {
                finder.each_match(
                    wording,
                    |_, _| true,
                    |near| {
                        spans.push(near);
                        false
                    },
                );
            }
            spans
        });
        if spans.is_empty() {
            return false;
        }
        let marked = if level == FlagLevel::Emergency {
            self.with_them
                .get_or_insert_with(|| marked(finder, spans, EXCUSES_EMERGENCY))
        } else {
            self.near_them
                .get_or_insert_with(|| marked(finder, spans, EXCUSES))
        };
        marked
            .get(at.from..at.to)
            .is_some_and(|words| words.contains(&true))
    }
}

/// The words that lie in one of the spans or at most `room` words from it.
fn marked(finder: &Finder, spans: &[At], room: usize) -> Vec<bool> {
    let count = finder.said.words.len();
    let mut steps = vec![0_i64; count + 1];
    for span in spans {
        super::work::steps(1);
        let mut from = span.from;
        let start = finder.place(span.from);
        while from > 0 && start.saturating_sub(finder.place(from - 1) + 1) <= room {
            from -= 1;
        }
        let mut to = span.to;
        let end = finder.place(span.to.saturating_sub(1));
        while to < count && finder.place(to).saturating_sub(end + 1) <= room {
            to += 1;
        }
        if let Some(step) = steps.get_mut(from) {
            *step += 1;
        }
        if let Some(step) = steps.get_mut(to) {
            *step -= 1;
        }
    }
    let mut open = 0;
    steps
        .iter()
        .take(count)
        .map(|step| {
            open += step;
            open > 0
        })
        .collect()
}
