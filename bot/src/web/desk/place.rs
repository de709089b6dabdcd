//! The coach's place in the queue: which case comes next, kept over what is done in this one.

use super::show::View;
use maud::{Markup, html};

/// The field that carries the next case through a form.
const NEXT: &str = "next";

/// The case after this one in the queue. What was next before a deed moved this case stays next while it
/// still waits; nobody goes through the top of the queue again because one case was stopped.
pub(super) fn after(view: &View<'_>) -> Option<i64> {
    next(view.queue, view.file.case.number, view.next)
}

fn next(queue: &[i64], number: i64, kept: Option<i64>) -> Option<i64> {
    let kept = kept.filter(|kept| *kept != number && queue.contains(kept));
    let place = queue.iter().position(|waiting| *waiting == number);
    kept.or_else(|| match place {
        Some(place) => queue.get(place + 1).copied(),
        None => queue.first().copied(),
    })
}

/// Carries it through a form.
pub(super) fn next_field(view: &View<'_>) -> Markup {
    html! { @if let Some(next) = after(view) { (field(next)) } }
}

/// The same, when it is known already.
pub(super) fn field(next: i64) -> Markup {
    html! { input type="hidden" name=(NEXT) value=(next); }
}

/// What a form carried; whatever else stands there is nothing.
pub(super) fn carried(fields: &super::guard::Fields) -> Option<i64> {
    fields.text(NEXT).trim().parse().ok()
}

/// The end of an address that carries it on.
pub(super) fn on(next: Option<i64>) -> String {
    next.map_or_else(String::new, |next| format!("&{NEXT}={next}"))
}

#[cfg(test)]
mod tests {
    use super::next;

    #[test]
    fn the_place_in_the_queue_is_kept() {
        let queue = [4, 7, 9];
        assert_eq!(next(&queue, 4, None), Some(7));
        assert_eq!(next(&queue, 9, None), None, "the end is the end");
        assert_eq!(next(&queue, 5, None), Some(4), "not in it: from the top");
        // Case 7 was stopped and stands first now; 9 came after it and still does.
        assert_eq!(next(&[7, 4, 9], 7, Some(9)), Some(9));
        assert_eq!(next(&[7, 4], 7, Some(9)), Some(4), "9 is gone meanwhile");
        assert_eq!(next(&queue, 9, Some(9)), None, "never itself");
    }
}
