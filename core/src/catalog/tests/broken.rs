//! What a coach is told when a file is not whole: the file, the line, what was found and what is
//! accepted, for every fault at once.

use super::{edited, line, one_problem, problems};
use crate::catalog::{Catalog, CatalogFile};
use proptest::prelude::*;

#[test]
fn a_quote_left_open_is_told_with_its_line() {
    one_problem(
        "squat-signs.toml",
        "plain = \"the bar moves on your back\"",
        "plain = \"the bar moves on your back",
        "plain = \"the bar moves on your back",
        &["not readable"],
    );
}

#[test]
fn an_unknown_key_names_the_key_meant() {
    one_problem(
        "squat-causes.toml",
        "prior = \"common\"",
        "prior = \"common\"\nleek_note = \"x\"",
        "leek_note",
        &["unknown key `leek_note`", "nearest is `leak_note`"],
    );
}

#[test]
fn an_unknown_block_is_refused() {
    one_problem(
        "escalations.toml",
        "[[escalation]]\nid = \"esc-bodyviews\"",
        "[[escalations]]\nid = \"x\"\n\n[[escalation]]\nid = \"esc-bodyviews\"",
        "[[escalations]]",
        &["unknown name `escalations`", "escalation in this file"],
    );
}

#[test]
fn a_missing_key_is_told_at_the_head_of_its_block() {
    let files = edited(&[(
        "squat-causes.toml",
        "meaning = \"breath shallow, late or lost\"\n",
        "",
    )]);
    let found = problems(&files);
    assert_eq!(found.len(), 1, "{found:#?}");
    let id = line(&files, "squat-causes.toml", "id = \"c-sq-brace\"");
    assert_eq!(found[0].line, id - 1);
    assert_eq!(found[0].what, "`meaning` is missing");
}

#[test]
fn a_missing_key_of_a_dose_or_a_choice_is_told_near_its_line() {
    let files = edited(&[
        (
            "squat-corrections.toml",
            "sets = 5\nreps = 10\nunit",
            "reps = 10\nunit",
        ),
        ("squat-questions.toml", "say = \"niggle\"\n", ""),
    ]);
    let found = problems(&files);
    assert_eq!(found.len(), 2, "{found:#?}");
    let told: Vec<(&str, &str)> = found
        .iter()
        .map(|p| (p.file.as_str(), p.what.as_str()))
        .collect();
    assert_eq!(
        told,
        [
            ("squat-corrections.toml", "`sets` is missing"),
            ("squat-questions.toml", "`say` is missing"),
        ]
    );
    let drill = line(&files, "squat-corrections.toml", "\n[correction.drill]") + 1;
    assert_eq!(found[0].line, drill);
}

#[test]
fn a_word_of_the_wrong_list_names_the_words_accepted() {
    one_problem(
        "squat-causes.toml",
        "[\"sq-trunk-soft\", \"often\"]",
        "[\"sq-trunk-soft\", \"oftn\"]",
        "oftn",
        &[
            "unknown word `oftn`",
            "`nearly-always`",
            "nearest is `often`",
        ],
    );
}

#[test]
fn a_word_where_a_figure_belongs_is_refused() {
    one_problem(
        "squat-signs.toml",
        "leak = 0.25",
        "leak = \"often\"",
        "leak = \"often\"",
        &["invalid type: string"],
    );
    one_problem(
        "squat-corrections.toml",
        "percent = [80, 90]",
        "percent = \"heavy\"",
        "percent = \"heavy\"",
        &["not a figure", "[3, 5]"],
    );
}

#[test]
fn figures_out_of_range_are_refused() {
    one_problem(
        "squat-signs.toml",
        "leak = 0.25",
        "leak = 1.25",
        "leak = 1.25",
        &["leak 1.25", "below 1"],
    );
    one_problem(
        "context.toml",
        "sign_weight = 0.7",
        "sign_weight = 7",
        "sign_weight = 7",
        &["found 7", "0 to 1"],
    );
    one_problem(
        "context.toml",
        "prior_steps = -2",
        "prior_steps = -20",
        "prior_steps = -20",
        &["-3 to 3"],
    );
    one_problem(
        "squat-corrections.toml",
        "days = 10",
        "days = 1000",
        "days = 1000",
        &["1 to 84"],
    );
}

#[test]
fn a_span_with_its_larger_end_first_is_refused() {
    one_problem(
        "squat-corrections.toml",
        "percent = [80, 90]",
        "percent = [90, 80]",
        "percent = [90, 80]",
        &["[90, 80]", "accepted: [80, 90]"],
    );
}

#[test]
fn a_condition_the_machine_cannot_read_is_refused() {
    one_problem(
        "context.toml",
        "conditions = [\"training_months<12\"]",
        "conditions = [\"training_month<12\"]",
        "training_month<12",
        &[
            "unknown word `training_month`",
            "nearest is `training_months`",
        ],
    );
    one_problem(
        "squat-questions.toml",
        "context = [\"shoes=running\"]",
        "context = [\"shoes=sandals\"]",
        "shoes=sandals",
        &["`sandals`", "flat, running, heeled"],
    );
}

#[test]
fn missing_and_unknown_files_are_named_and_drag_nothing_else_along() {
    let mut files = edited(&[]);
    files.retain(|(name, _)| *name != "squat-signs.toml");
    files.push(("squat-sings.toml", String::new()));
    let found = problems(&files);
    let told: Vec<(&str, usize, &str)> = found
        .iter()
        .map(|p| (p.file.as_str(), p.line, p.what.as_str()))
        .collect();
    assert_eq!(
        told,
        [
            ("squat-signs.toml", 1, "the file is missing"),
            ("squat-sings.toml", 1, "not a file of the catalog"),
        ]
    );
}

#[test]
fn every_fault_comes_back_at_once_in_the_order_of_the_files() {
    let files = edited(&[
        ("filming.toml", "squat = \"Film", "squats = \"Film"),
        ("squat-signs.toml", "leak = 0.15", "leak = 15"),
        (
            "squat-causes.toml",
            "prior = \"common\"",
            "prior = \"usual\"\nlonk = 2",
        ),
        ("deadlift-signs.toml", "[[sign]]\n", "[[sign]\n"),
    ]);
    let found = problems(&files);
    let told: Vec<&str> = found.iter().map(|p| p.file.as_str()).collect();
    assert_eq!(
        told,
        [
            "squat-signs.toml",
            "squat-causes.toml",
            "squat-causes.toml",
            "deadlift-signs.toml",
            "filming.toml",
            "filming.toml",
        ],
        "{found:#?}"
    );
}

#[test]
fn nothing_at_all_is_twenty_one_missing_files() {
    assert_eq!(Catalog::parse(&[]).expect_err("empty").len(), 21);
}

#[test]
fn a_whole_sentence_where_part_of_one_belongs_is_refused() {
    one_problem(
        "squat-corrections.toml",
        "do_not = \"bounce on the calves\"",
        "do_not = \"Do not bounce on the calves\"",
        "Do not bounce on the calves",
        &["`do_not` is a whole sentence", "no full stop"],
    );
    one_problem(
        "squat-signs.toml",
        "plain = \"the bar moves on your back\"",
        "plain = \"the bar moves on your back.\"",
        "the bar moves on your back.",
        &["`plain` is a whole sentence"],
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn a_file_scribbled_on_anywhere_is_read_or_refused_without_a_panic(
        which in 0_usize..16,
        cut in any::<prop::sample::Index>(),
        scribble in "[\\[\\]{}\"'=.,#\\\\\n\\PC]{0,12}",
    ) {
        let mut files = edited(&[]);
        let (_, text) = &mut files[which];
        let mut at = cut.index(text.len());
        while !text.is_char_boundary(at) {
            at -= 1;
        }
        text.insert_str(at, &scribble);
        let files: Vec<CatalogFile<'_>> = files
            .iter()
            .map(|(name, text)| CatalogFile { name, text })
            .collect();
        if let Err(problems) = Catalog::parse(&files) {
            prop_assert!(problems.iter().all(|problem| problem.line >= 1));
            let lines = files[which].text.lines().count().max(1);
            prop_assert!(problems.iter().all(|p| p.file != files[which].name || p.line <= lines + 1));
        }
    }
}

#[test]
fn advice_that_is_removed_says_what_is_right_and_every_kind_is_known_by_words() {
    let files = edited(&[
        (
            "advice.toml",
            "past a stop\"\nnote = ",
            "past a stop\"\ncoach_note = ",
        ),
        (
            "advice.toml",
            "[[advice]]\nid = \"medicine\"",
            "[[advice]]\nid = \"drugs\"",
        ),
        ("advice.toml", "\"women cant lift\"", "\"...\""),
        (
            "advice.toml",
            "act = \"remove\"\nwhy = \"it is sexual\"",
            "act = \"delete\"\nwhy = \"it is sexual\"",
        ),
    ]);
    let told: Vec<String> = problems(&files).iter().map(ToString::to_string).collect();
    assert_eq!(told.len(), 4, "{told:#?}");
    for part in [
        "`through-pain` is removed and has no note",
        "`drugs` already stands on line",
        "holds no word",
        "delete",
    ] {
        assert!(
            told.iter().any(|one| one.contains(part)),
            "{part} in {told:#?}"
        );
    }
    assert!(told.iter().all(|one| one.contains("advice.toml")));
}
