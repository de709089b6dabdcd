//! `cueline access-log`: who saw and did what at the desk.

use super::Failure;
use super::serve::runtime;
use crate::brain;
use crate::record::Access;
use crate::store::{OpenOptions, StoreError, open};
use std::io::Write as _;
use std::path::Path;

/// Prints the newest lines, newest first; of one case when its number is given.
pub(super) fn run(config: Option<&Path>, case: Option<i64>, lines: u32) -> Result<(), Failure> {
    let (settings, _) = brain::load(config)?;
    let other = |error: StoreError| Failure::Other(error.to_string());
    let log = runtime()?.block_on(async {
        let store = open(&settings.store.url, &OpenOptions::default())
            .await
            .map_err(other)?;
        let case_id = match case {
            None => None,
            Some(number) => {
                let case = store.case_by_number(number).await.map_err(other)?;
                let case = case.ok_or_else(|| {
                    Failure::input(format!(
                        "--case: found {number}, accepted is a case that is kept"
                    ))
                })?;
                Some(case.id)
            }
        };
        let log = store.access_log(case_id.as_deref(), lines).await;
        store.close().await;
        log.map_err(other)
    })?;
    let mut out = std::io::stdout().lock();
    for access in log {
        writeln!(out, "{}", line(&access))?;
    }
    Ok(())
}

/// One line: when, who, what, which case.
fn line(access: &Access) -> String {
    let case = match (access.number, &access.case_id) {
        (Some(number), _) => format!("  case {number}"),
        (None, Some(_)) => "  a case no longer kept".to_owned(),
        (None, None) => String::new(),
    };
    format!(
        "{}  {} {}  {}{case}",
        access.at.strftime("%Y-%m-%d %H:%M:%S UTC"),
        access.person.source,
        access.person.person_id,
        access.what
    )
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::record::PersonKey;

    #[test]
    fn a_line_says_when_who_what_and_which_case() {
        let access = Access {
            at: "2026-03-02T10:00:00Z".parse().unwrap(),
            person: PersonKey {
                source: "/chat/river".to_owned(),
                person_id: "ana".to_owned(),
            },
            what: "say".to_owned(),
            case_id: Some("x".to_owned()),
            number: Some(12),
            action_id: None,
            outcome: Some("Sent to Mara".to_owned()),
        };
        assert_eq!(
            line(&access),
            "2026-03-02 10:00:00 UTC  /chat/river ana  say  case 12"
        );
        let gone = Access {
            number: None,
            ..access
        };
        assert!(line(&gone).ends_with("a case no longer kept"));
    }
}
