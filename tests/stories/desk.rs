//! Who comes to the coach's desk: signing in and out, whose cases are shown, forms that are not our
//! own, and who saw what.

use crate::first_report::SET;
use anyhow::{Context as _, Result, ensure};
use cueline_bot::casework::LINK_FOR;
use cueline_bot::record::{CaseState, PersonKey, SignInLink};
use cueline_bot::token;
use cueline_bot::web::{Access, DESK_ROUTES, IDLE, LONGEST};
use cueline_tests::builders::Person;
use cueline_tests::desk::{Desk, URL};
use cueline_tests::stage::{COACHES, HILL, LIFTERS, RIVER, Stage};
use jiff::SignedDuration;

on_both_engines!(
    a_link_signs_in_once_and_only_by_its_button,
    a_link_ends_by_time_and_by_a_newer_one,
    without_an_address_there_is_no_desk,
    a_session_ends_by_rest_by_time_and_by_signing_out,
    every_route_is_shut_to_all_but_coaches,
    a_coach_of_another_platform_finds_nothing,
    forms_that_are_not_our_own_are_refused,
    who_saw_and_did_what_is_kept,
    what_was_written_is_not_lost_with_the_session,
);

/// A lifter's set, handed to the coach.
pub(crate) async fn handed_over(stage: &mut Stage, who: &str) -> Result<i64> {
    let lifter = stage.lifter(who);
    stage.play(&lifter.says(SET)).await?;
    stage.play(&lifter.says("can I ask the coach?")).await?;
    Ok(stage.case_of(&lifter).await?.number)
}

/// The stage with a desk.
pub(crate) async fn with_desk(stage: &mut Stage) -> Result<()> {
    stage.stop().await;
    URL.clone_into(&mut stage.settings.desk.public_url);
    stage.start().await
}

/// A coach at the desk.
pub(crate) async fn at_the_desk(stage: &mut Stage, coach: &Person) -> Result<Desk> {
    let mut desk = Desk::new(stage.address()?)?;
    let key = asked_for_link(stage, coach).await?;
    let page = desk.enter(&key).await?;
    ensure!(page.status == 303, "not signed in: {page:?}");
    Ok(desk)
}

/// The token of the link a coach gets in private.
async fn asked_for_link(stage: &mut Stage, coach: &Person) -> Result<String> {
    stage.play(&coach.says("desk")).await?;
    let told = match coach.source.as_str() {
        RIVER => stage.river.last_to(&coach.id)?,
        _ => stage.hill.last_to(&coach.id)?,
    };
    ensure!(told.private, "a link in a room: {told:?}");
    let (_, rest) = told.text.split_once("?key=").context("no link")?;
    Ok(rest.chars().take(token::TOKEN_CHARS).collect())
}

async fn a_link_signs_in_once_and_only_by_its_button(stage: &mut Stage) -> Result<()> {
    with_desk(stage).await?;
    let ana = stage.coach("ana");
    let key = asked_for_link(stage, &ana).await?;
    assert!(token::is_token(&key), "{key}");
    assert!(stage.river.messages_to(COACHES).is_empty());
    // Once sent, the link is kept nowhere: not in the outbox either.
    assert_eq!(stage.look().places_of(&key).await?, Vec::<&str>::new());
    let mut desk = Desk::new(stage.address()?)?;
    for _ in 0..3 {
        // Programs that look a link up in advance do not use it up.
        let page = desk.get(&format!("/desk/enter?key={key}")).await?;
        assert_eq!(page.status, 200);
        assert!(page.set_cookie.is_none());
        assert!(page.text.contains("Sign in"), "{}", page.text);
    }
    let page = desk.enter(&key).await?;
    assert_eq!(
        (page.status, page.location.as_deref()),
        (303, Some("/desk"))
    );
    let cookie = page.set_cookie.context("no cookie")?;
    for part in [
        "__Host-cueline-desk=",
        "Path=/",
        "HttpOnly",
        "Secure",
        "SameSite=Strict",
    ] {
        assert!(cookie.contains(part), "{part} in {cookie}");
    }
    assert!(!cookie.contains("Domain"), "{cookie}");
    assert!(!cookie.contains(&key), "the session is not the link");
    let queue = desk.get("/desk").await?;
    assert_eq!(queue.status, 200, "{}", queue.text);
    for (name, value) in [
        (
            "content-security-policy",
            "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'",
        ),
        ("x-content-type-options", "nosniff"),
        ("cache-control", "no-store"),
        ("strict-transport-security", "max-age=31536000"),
    ] {
        assert_eq!(queue.header(name), value, "{name}");
    }
    let again = Desk::new(stage.address()?)?.enter(&key).await?;
    assert_eq!(again.status, 403);
    assert!(again.set_cookie.is_none());
    Ok(())
}

async fn a_link_ends_by_time_and_by_a_newer_one(stage: &mut Stage) -> Result<()> {
    with_desk(stage).await?;
    let ana = stage.coach("ana");
    let old = asked_for_link(stage, &ana).await?;
    let new = asked_for_link(stage, &ana).await?;
    let mut desk = Desk::new(stage.address()?)?;
    assert_eq!(desk.enter(&old).await?.status, 403);
    stage.pass(LINK_FOR).await?;
    assert_eq!(desk.enter(&new).await?.status, 403);
    // Asking without end is answered, and not by more links.
    for _ in 0..3 {
        asked_for_link(stage, &ana).await?;
    }
    stage.play(&ana.says("desk")).await?;
    let told = stage.river.last_to("ana")?;
    assert!(told.text.contains("many links"), "{}", told.text);
    // Guessing is refused after five tries.
    let mut last = 0;
    for _ in 0..5 {
        last = desk.enter(&token::fresh()).await?.status;
    }
    assert_eq!(last, 429);
    Ok(())
}

async fn without_an_address_there_is_no_desk(stage: &mut Stage) -> Result<()> {
    let ana = stage.coach("ana");
    stage.play(&ana.says("desk")).await?;
    let told = stage.river.last_to("ana")?;
    assert!(told.text.contains("no desk"), "{}", told.text);
    let mut desk = Desk::new(stage.address()?)?;
    assert_eq!(desk.get("/desk").await?.status, 404);
    Ok(())
}

async fn a_session_ends_by_rest_by_time_and_by_signing_out(stage: &mut Stage) -> Result<()> {
    with_desk(stage).await?;
    let ana = stage.coach("ana");
    let signed_in = async |desk: &mut Desk| anyhow::Ok(desk.get("/desk").await?.status == 200);
    let mut desk = at_the_desk(stage, &ana).await?;
    stage.pass(IDLE - SignedDuration::from_secs(5)).await?;
    assert!(signed_in(&mut desk).await?);
    stage.pass(IDLE + SignedDuration::from_secs(5)).await?;
    assert!(!signed_in(&mut desk).await?, "half an hour of rest");

    let mut desk = at_the_desk(stage, &ana).await?;
    let hours = LONGEST.as_hours();
    for _ in 0..(hours * 3 - 1) {
        stage.pass(SignedDuration::from_mins(20)).await?;
        assert!(signed_in(&mut desk).await?);
    }
    stage.pass(SignedDuration::from_mins(20)).await?;
    assert!(!signed_in(&mut desk).await?, "twelve hours");

    let mut desk = at_the_desk(stage, &ana).await?;
    let kept = desk.cookie.clone();
    let page = desk.get("/desk").await?;
    let out = desk.send(&page, "/desk/sign-out", &[]).await?;
    assert_eq!(out.status, 303);
    desk.cookie = kept;
    assert!(!signed_in(&mut desk).await?, "gone on the server too");
    Ok(())
}

/// A session for somebody who is no coach, past everything that keeps it from being made.
async fn smuggled_in(stage: &Stage, source: &str, id: &str) -> Result<Desk> {
    let (key, session, now) = (token::fresh(), token::fresh(), stage.now());
    let store = stage.store()?;
    let link = SignInLink {
        hash: token::hash(&key),
        person: PersonKey {
            source: source.to_owned(),
            person_id: id.to_owned(),
        },
        created_at: now,
        expires_at: now + LINK_FOR,
    };
    store.put_sign_in(&link).await?;
    let ends_at = now + LONGEST;
    let done = store
        .sign_in(&link.hash, &token::hash(&session), now, ends_at)
        .await?;
    ensure!(done.is_some());
    let mut desk = Desk::new(stage.address()?)?;
    desk.cookie = Some(format!("__Host-cueline-desk={session}"));
    Ok(desk)
}

async fn every_route_is_shut_to_all_but_coaches(stage: &mut Stage) -> Result<()> {
    with_desk(stage).await?;
    let (mara, files) = crate::pictures::posted(stage).await?;
    let number = stage.case_of(&mara).await?.number;
    let ana = stage.coach("ana");
    let mut coach = at_the_desk(stage, &ana).await?;
    let own = coach.get(&format!("/desk/case/{number}")).await?;
    let mut people = vec![
        ("nobody", Desk::new(stage.address()?)?),
        ("the lifter", smuggled_in(stage, RIVER, "mara").await?),
        ("another lifter", smuggled_in(stage, RIVER, "joel").await?),
        ("a member", smuggled_in(stage, RIVER, "ida").await?),
        (
            "the coach's id elsewhere",
            smuggled_in(stage, HILL, "ana").await?,
        ),
    ];
    for route in DESK_ROUTES {
        let path = route
            .path
            .replace("{number}", &number.to_string())
            .replace("picture/{id}", &format!("picture/{}", files[0].id))
            .replace("trace/{id}", &format!("trace/{}", files[1].id))
            .replace("{deed}", "finish");
        for method in ["GET", "HEAD", "POST"] {
            let listed = route.methods.split(", ").any(|one| one == method);
            for (who, desk) in &mut people {
                let page = desk.any(method, &path, &own).await?;
                let what = format!("{who}: {method} {path} gave {}", page.status);
                assert!(!page.text.contains("Mara"), "{what}: {}", page.text);
                match (route.access, method) {
                    (Access::Anybody, _) => {}
                    (Access::Coach, _) if !listed => assert_eq!(page.status, 405, "{what}"),
                    (Access::Coach, "POST") => assert_eq!(page.status, 403, "{what}"),
                    (Access::Coach, _) => {
                        assert_eq!(page.status, 303, "{what}");
                        assert_eq!(page.location.as_deref(), Some("/desk/sign-in"), "{what}");
                    }
                }
            }
            let signing = ["/desk/sign-out", "/desk/enter"].contains(&route.path);
            if listed && !signing && method != "POST" {
                let page = coach.any(method, &path, &own).await?;
                assert_eq!(page.status, 200, "the coach: {method} {path}");
            }
        }
    }
    // Nobody's forms did anything.
    assert_eq!(
        stage.case_of(&stage.lifter("mara")).await?.state,
        CaseState::WithCoach
    );
    // A lifter who asks gets no link, and no case either.
    let before = stage.river.messages().len();
    stage
        .play(&stage.lifter("joel").called("Coach Ana").says("desk"))
        .await?;
    let told = stage.river.messages().split_off(before);
    assert!(
        told.iter().all(|message| !message.text.contains("key=")),
        "{told:?}"
    );
    // Who is no longer a coach is out at once.
    stage.stop().await;
    stage.settings.platform[0].coaches.retain(|id| id != "ana");
    stage.start().await?;
    coach.address = stage.address()?;
    assert_eq!(coach.get("/desk").await?.status, 303);
    Ok(())
}

async fn a_coach_of_another_platform_finds_nothing(stage: &mut Stage) -> Result<()> {
    with_desk(stage).await?;
    let number = handed_over(stage, "mara").await?;
    let eve = stage.person(HILL, "eve", COACHES);
    let mut desk = at_the_desk(stage, &eve).await?;
    let queue = desk.get("/desk").await?;
    assert!(queue.text.contains("0 waiting"), "{}", queue.text);
    for path in ["/desk/cases", "/desk/undelivered"] {
        let page = desk.get(path).await?;
        assert!(!page.text.contains("Mara"), "{path}");
    }
    for what in [number.to_string(), "99999".to_owned(), "x".to_owned()] {
        for path in [
            format!("/desk/case/{what}"),
            format!("/desk/case/{what}/plan"),
        ] {
            let page = desk.get(&path).await?;
            assert_eq!(page.status, 404, "{path}");
            assert!(!page.text.contains("Mara"), "{path}");
        }
    }
    let path = format!("/desk/case/{number}/finish");
    let page = desk.send(&queue, &path, &[]).await?;
    assert_eq!(page.status, 404);
    Ok(())
}

async fn forms_that_are_not_our_own_are_refused(stage: &mut Stage) -> Result<()> {
    with_desk(stage).await?;
    let number = handed_over(stage, "mara").await?;
    let (ana, ben) = (stage.coach("ana"), stage.coach("ben"));
    let mut desk = at_the_desk(stage, &ana).await?;
    let mut other = at_the_desk(stage, &ben).await?;
    let (case, say) = (
        format!("/desk/case/{number}"),
        format!("/desk/case/{number}/say"),
    );
    let (own, foreign) = (desk.get(&case).await?, other.get(&case).await?);
    let deed = own.field("deed").context("no deed")?;
    let token = own.field("form").context("no token")?;
    let theirs = foreign.field("form").context("no token")?;
    assert_ne!(token, theirs);
    let text = ("text", "forged");
    for (origin, fields) in [
        (Some(URL), vec![("deed", deed.as_str()), text]),
        (Some(URL), vec![("form", ""), ("deed", &deed), text]),
        (Some(URL), vec![("form", &theirs), ("deed", &deed), text]),
        (
            Some("https://evil.example"),
            vec![("form", &token), ("deed", &deed), text],
        ),
        (Some("null"), vec![("form", &token), ("deed", &deed), text]),
        (None, vec![("form", &token), ("deed", &deed), text]),
    ] {
        let page = desk.post(&say, origin, &fields).await?;
        assert_eq!(page.status, 403, "{origin:?} {fields:?}");
    }
    // What is no form at all, and a deed with an id that no page of ours gave.
    let bad = desk
        .post(&say, Some(URL), &[("form", &token), ("deed", "1"), text])
        .await?;
    assert_eq!(bad.status, 400);
    let long = "x".repeat(70 * 1024);
    let long = desk
        .post(&say, Some(URL), &[("form", &token), ("text", &long)])
        .await?;
    assert_eq!(long.status, 413);
    stage.rest().await?;
    let said = stage.river.messages_to(LIFTERS);
    assert!(said.iter().all(|message| !message.text.contains("forged")));
    Ok(())
}

async fn who_saw_and_did_what_is_kept(stage: &mut Stage) -> Result<()> {
    with_desk(stage).await?;
    let number = handed_over(stage, "mara").await?;
    let ana = stage.coach("ana");
    let mut desk = at_the_desk(stage, &ana).await?;
    let page = desk.get(&format!("/desk/case/{number}")).await?;
    desk.get("/desk/case/99999").await?;
    desk.send(&page, &format!("/desk/case/{number}/take"), &[])
        .await?;
    desk.send(&page, "/desk/sign-out", &[]).await?;
    let log = stage.store()?.access_log(None, 50).await?;
    let whats: Vec<&str> = log
        .iter()
        .rev()
        .map(|access| access.what.as_str())
        .collect();
    assert_eq!(whats, ["signed-in", "case", "take", "signed-out"]);
    assert!(log.iter().all(|access| access.person.person_id == "ana"));
    let case = stage.case_of(&stage.lifter("mara")).await?;
    let log = stage.store()?.access_log(Some(&case.id), 50).await?;
    let seen: Vec<_> = log
        .iter()
        .map(|access| (access.what.as_str(), access.number))
        .collect();
    assert_eq!(seen, [("take", Some(number)), ("case", Some(number))]);
    Ok(())
}

async fn what_was_written_is_not_lost_with_the_session(stage: &mut Stage) -> Result<()> {
    with_desk(stage).await?;
    let number = handed_over(stage, "mara").await?;
    let ana = stage.coach("ana");
    let mut desk = at_the_desk(stage, &ana).await?;
    let page = desk.get(&format!("/desk/case/{number}")).await?;
    stage.pass(IDLE + SignedDuration::from_mins(1)).await?;
    let words = [("text", "Half an hour's work of words.")];
    let lost = desk
        .send(&page, &format!("/desk/case/{number}/preview"), &words)
        .await?;
    assert_eq!(lost.status, 403);
    assert!(
        lost.text.contains("Half an hour&#39;s work of words.")
            || lost.text.contains("Half an hour's work of words."),
        "{}",
        lost.text
    );
    Ok(())
}
