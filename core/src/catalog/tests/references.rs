//! What a coach is told when the files do not fit each other: unknown, repeated and orphaned ids,
//! and causes out of order.

use super::{edited, line, one_problem, problems};
use crate::catalog::FILES;

#[test]
fn an_unknown_sign_in_a_cause_names_the_sign_meant() {
    one_problem(
        "squat-causes.toml",
        "[\"sq-start-sway\", \"often\"]",
        "[\"sq-strat-sway\", \"often\"]",
        "sq-strat-sway",
        &[
            "unknown sign `sq-strat-sway`",
            "squat-signs.toml",
            "nearest is `sq-start-sway`",
        ],
    );
}

#[test]
fn unknown_ids_are_found_wherever_ids_stand() {
    let edits = [
        (
            "squat-causes.toml",
            "feeds = [\"c-sq-balance\"",
            "feeds = [\"c-sq-balanse\"",
        ),
        (
            "squat-corrections.toml",
            "less = [\"sq-knees-first\"]",
            "less = [\"sq-knees-frist\"]",
        ),
        (
            "bench-questions.toml",
            "absent = [\"bp-handoff-late\"]",
            "absent = [\"bp-handof-late\"]",
        ),
        (
            "squat-questions.toml",
            "\"esc-sharp-pain\"",
            "\"esc-sharp-pian\"",
        ),
        (
            "context.toml",
            "causes = [\"c-sq-ankle\"]",
            "causes = [\"c-sq-ankel\"]",
        ),
        (
            "context.toml",
            "signs = [\"bp-path-feet\"]",
            "signs = [\"bp-path-foot\"]",
        ),
    ];
    let files = edited(&edits);
    let found = problems(&files);
    let mut expected: Vec<(String, usize, String)> = [
        ("squat-causes.toml", "c-sq-balanse", "unknown cause"),
        ("squat-corrections.toml", "sq-knees-frist", "unknown sign"),
        (
            "squat-questions.toml",
            "esc-sharp-pian",
            "unknown escalation",
        ),
        ("bench-questions.toml", "bp-handof-late", "unknown sign"),
        ("context.toml", "bp-path-foot", "unknown sign"),
        ("context.toml", "c-sq-ankel", "unknown cause"),
    ]
    .into_iter()
    .map(|(file, id, what)| {
        (
            file.to_owned(),
            line(&files, file, id),
            format!("{what} `{id}`"),
        )
    })
    .collect();
    expected.sort_by_key(|(file, line, _)| (FILES.iter().position(|f| f == file), *line));
    let told: Vec<(String, usize, String)> = found
        .into_iter()
        .map(|problem| (problem.file, problem.line, problem.what))
        .collect();
    assert_eq!(told, expected);
}

#[test]
fn a_correction_for_no_known_cause_leaves_two_things_to_mend() {
    let files = edited(&[(
        "squat-corrections.toml",
        "cause = \"c-sq-brace\"",
        "cause = \"c-sq-brase\"",
    )]);
    let found = problems(&files);
    let told: Vec<(&str, usize, &str)> = found
        .iter()
        .map(|p| (p.file.as_str(), p.line, p.what.as_str()))
        .collect();
    assert_eq!(
        told,
        [
            (
                "squat-causes.toml",
                line(&files, "squat-causes.toml", "id = \"c-sq-brace\""),
                "`c-sq-brace` has no correction"
            ),
            (
                "squat-corrections.toml",
                line(&files, "squat-corrections.toml", "c-sq-brase"),
                "unknown cause `c-sq-brase`"
            ),
        ]
    );
}

#[test]
fn a_cause_without_a_success_check_is_refused() {
    one_problem(
        "squat-corrections.toml",
        "gone = [\"sq-brace-late\", \"sq-trunk-soft\"]",
        "gone = []",
        "[correction.check]\ngone = []",
        &["no success check"],
    );
}

#[test]
fn an_id_that_stands_twice_is_told_with_both_lines() {
    let files = edited(&[("context.toml", "id = \"ctx-sleeves\"", "id = \"ctx-bands\"")]);
    let found = problems(&files);
    assert_eq!(found.len(), 1, "{found:#?}");
    let first = line(&files, "context.toml", "id = \"ctx-bands\"");
    assert_eq!(
        found[0].what,
        format!("`ctx-bands` already stands on line {}", first - 1)
    );
    assert!(found[0].line > first);
}

#[test]
fn an_id_with_the_wrong_start_is_refused() {
    one_problem(
        "escalations.toml",
        "id = \"esc-video\"",
        "id = \"video\"",
        "id = \"video\"",
        &["id `video`", "starts with `esc-`"],
    );
}

#[test]
fn the_same_phrase_under_two_signs_is_refused_without_regard_to_case() {
    one_problem(
        "squat-signs.toml",
        "\"bar on my neck\"",
        "\"Bar looks crooked\"",
        "\"Bar looks crooked\"",
        &["also stands under `sq-bar-tilted`"],
    );
}

#[test]
fn a_sign_that_no_cause_shows_is_an_orphan() {
    one_problem(
        "squat-signs.toml",
        "[[sign]]\n",
        "[[sign]]\nid = \"sq-hat-falls\"\nmeaning = \"hat falls\"\nplain = \"your hat falls\"\nstages = [\"all\"]\nby = [\"viewer\"]\nphrases = []\n\n[[sign]]\n",
        "id = \"sq-hat-falls\"",
        &["no cause shows `sq-hat-falls`", "pain"],
    );
}

#[test]
fn causes_that_feed_in_a_circle_are_named_in_order() {
    one_problem(
        "squat-causes.toml",
        "feeds = [\"c-sq-loose-rack\", \"c-sq-bar-place\"]",
        "feeds = [\"c-sq-loose-rack\", \"c-sq-shoulder-hold\"]",
        "feeds = [\"c-sq-loose-rack\", \"c-sq-shoulder-hold\"]",
        &["circle: c-sq-shoulder-hold > c-sq-shoulder-hold"],
    );
    let files = edited(&[(
        "squat-causes.toml",
        "feeds = [\"c-sq-brace\", \"c-sq-bar-place\"",
        "feeds = [\"c-sq-brace\", \"c-sq-shoulder-hold\"",
    )]);
    let found = problems(&files);
    assert_eq!(found.len(), 1, "{found:#?}");
    assert_eq!(
        found[0].what,
        "causes feed in a circle: c-sq-loose-rack > c-sq-shoulder-hold > c-sq-loose-rack"
    );
}

#[test]
fn a_cause_may_not_feed_one_further_up_the_chain() {
    one_problem(
        "squat-causes.toml",
        "feeds = [\"c-sq-bottom\"]",
        "feeds = [\"c-sq-ankle\"]",
        "feeds = [\"c-sq-ankle\"]",
        &["link 3 feeds `c-sq-ankle` of link 2"],
    );
}

#[test]
fn a_rule_weighed_for_whole_posts_has_to_be_a_rule_of_context() {
    one_problem(
        "post-weights.toml",
        "[rules.ctx-limit]",
        "[rules.ctx-limits]",
        "ctx-limits",
        &["no rule `ctx-limits` in context.toml"],
    );
}
