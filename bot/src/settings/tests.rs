use super::*;

#[test]
fn the_file_shown_to_operators_holds_the_defaults_in_code() {
    let shown = Settings::parse(include_str!("../../../config/cueline.toml")).expect("valid");
    let numbers = shown.emergency_numbers.clone();
    let coded = Settings {
        emergency_numbers: numbers,
        ..Settings::default()
    };
    assert_eq!(shown, coded);
}

#[test]
fn a_misspelt_key_is_refused_with_its_line() {
    let problems =
        Settings::parse("[work]\npoll_seconds = 5\nlease_second = 60\n").expect_err("refused");
    assert_eq!(problems[0].line, 3);
    assert!(problems[0].what.contains("lease_second"), "{problems:?}");
}

#[test]
fn a_value_out_of_bounds_is_refused_with_what_is_accepted() {
    let problems = Settings::parse("[follow_up]\nmost_reminders = 9\n").expect_err("refused");
    assert_eq!(
        problems[0].to_string(),
        "cueline.toml:2: `most_reminders` is 9; accepted: 0 to 3"
    );
}

#[test]
fn the_catalog_must_count_for_something_in_what_is_learned() {
    let problems = Settings::parse("[learning]\nprior_weight = 0\n").expect_err("refused");
    assert_eq!(
        problems[0].to_string(),
        "cueline.toml:2: `prior_weight` is 0; accepted: 5 to 10000"
    );
}

#[test]
fn a_platform_without_encryption_is_refused_unless_it_is_this_machine() {
    let text = |url: &str| {
        format!(
            "[[platform]]\nsource = \"/a\"\nbase_url = \"{url}\"\ntoken = {{ env = \"T\" }}\nsecrets = [{{ env = \"S\" }}]\ncoaches = [\"c\"]\n"
        )
    };
    assert!(Settings::parse(&text("http://chat.example")).is_err());
    assert!(Settings::parse(&text("http://127.0.0.1:9000")).is_ok());
    assert!(Settings::parse(&text("https://chat.example")).is_ok());
}
