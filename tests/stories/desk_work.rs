//! What the coach does at the desk: answering, finishing, stopping, sending again; and that nothing
//! people write acts there.

use crate::desk::{at_the_desk, handed_over, with_desk};
use crate::first_report::SET;
use crate::red_flag::DANGER;
use anyhow::{Context as _, Result};
use cueline_bot::record::CaseState;
use cueline_tests::desk::Page;
use cueline_tests::platform::Fault;
use cueline_tests::stage::{COACHES, LIFTERS, Stage};

on_both_engines!(
    the_coach_answers_and_finishes_a_case_at_the_desk,
    a_form_sent_twice_is_done_once,
    two_coaches_do_not_collide_at_the_desk,
    a_stop_is_set_and_lifted_at_the_desk,
    the_coach_s_verdict_is_kept_at_the_desk,
    a_load_over_the_rails_and_a_stop_are_pointed_out_before_sending,
    the_bot_s_plan_is_a_draft_the_coach_can_change,
    undelivered_messages_are_sent_again_from_the_desk,
    what_people_write_never_becomes_markup,
);

async fn the_coach_answers_and_finishes_a_case_at_the_desk(stage: &mut Stage) -> Result<()> {
    with_desk(stage).await?;
    let number = handed_over(stage, "mara").await?;
    let ana = stage.coach("ana");
    let mut desk = at_the_desk(stage, &ana).await?;
    let queue = desk.get("/desk").await?;
    assert!(queue.text.contains("1 waiting"), "{}", queue.text);
    let case = format!("/desk/case/{number}");
    let page = desk.get(&case).await?;
    for part in [
        "Mara",
        "140 kg (309 lb)",
        "Best single",
        "Cueline's view",
        "<li class=\"for\">",
        "What was said",
        "squishy",
        "<mark class=\"there\"",
        "<mark class=\"fact\"",
        "of it",
    ] {
        assert!(page.text.contains(part), "{part} in {}", page.text);
    }
    let taken = desk.send(&page, &format!("{case}/take"), &[]).await?;
    let page = desk.follow(&taken).await?;
    assert!(page.text.contains("is yours until"), "{}", page.text);
    let words = [(
        "text",
        "Breathe in *before* you walk out.\r\nStay at 95 kg.",
    )];
    let preview = desk.send(&page, &format!("{case}/preview"), &words).await?;
    assert_eq!(preview.status, 200);
    for part in ["Coach says: Breathe in <em>before</em>", "95 kg (209 lb)"] {
        assert!(preview.text.contains(part), "{part} in {}", preview.text);
    }
    let before = stage.river.messages_to(COACHES).len();
    let said = desk.send(&preview, &format!("{case}/say"), &words).await?;
    let page = desk.follow(&said).await?;
    assert!(page.text.contains("Sent to Mara"), "{}", page.text);
    stage.rest().await?;
    let heard = stage.river.last_to(LIFTERS)?;
    assert!(
        heard
            .text
            .contains("Breathe in *before* you walk out.\nStay at 95 kg.")
    );
    // What came of it is shown at the desk, not in the coaches' room.
    assert_eq!(stage.river.messages_to(COACHES).len(), before);
    let done = desk.send(&page, &format!("{case}/finish"), &[]).await?;
    assert!(
        done.location
            .as_deref()
            .unwrap_or_default()
            .starts_with("/desk?done=")
    );
    let queue = desk.follow(&done).await?;
    assert!(queue.text.contains("is finished"), "{}", queue.text);
    assert!(queue.text.contains("0 waiting"), "{}", queue.text);
    let mara = stage.lifter("mara");
    assert_eq!(stage.case_of(&mara).await?.state, CaseState::Practising);
    Ok(())
}

async fn a_form_sent_twice_is_done_once(stage: &mut Stage) -> Result<()> {
    with_desk(stage).await?;
    let number = handed_over(stage, "mara").await?;
    let ana = stage.coach("ana");
    let mut desk = at_the_desk(stage, &ana).await?;
    let page = desk.get(&format!("/desk/case/{number}")).await?;
    let say = format!("/desk/case/{number}/say");
    let before = stage.river.messages_to(LIFTERS).len();
    for _ in 0..3 {
        let sent = desk
            .send(&page, &say, &[("text", "Once is enough.")])
            .await?;
        assert_eq!(sent.status, 303);
    }
    let other = desk
        .send(&page, &say, &[("text", "Something else.")])
        .await?;
    assert_eq!(other.status, 409);
    stage.rest().await?;
    assert_eq!(stage.river.messages_to(LIFTERS).len(), before + 1);
    Ok(())
}

async fn two_coaches_do_not_collide_at_the_desk(stage: &mut Stage) -> Result<()> {
    with_desk(stage).await?;
    let number = handed_over(stage, "mara").await?;
    let (ana, ben) = (stage.coach("ana"), stage.coach("ben"));
    let mut desk = at_the_desk(stage, &ana).await?;
    let page = desk.get(&format!("/desk/case/{number}")).await?;
    // Ben takes it in chat; Ana's page does not know yet.
    stage.play(&ben.says(&format!("take {number}"))).await?;
    let sent = desk
        .send(
            &page,
            &format!("/desk/case/{number}/say"),
            &[("text", "Mine!")],
        )
        .await?;
    let page = desk.follow(&sent).await?;
    assert!(page.text.contains("is with ben until"), "{}", page.text);
    stage.rest().await?;
    let said = stage.river.messages_to(LIFTERS);
    assert!(said.iter().all(|message| !message.text.contains("Mine!")));
    assert!(desk.get("/desk").await?.text.contains("with ben until"));
    Ok(())
}

async fn a_stop_is_set_and_lifted_at_the_desk(stage: &mut Stage) -> Result<()> {
    with_desk(stage).await?;
    let number = handed_over(stage, "mara").await?;
    let mara = stage.lifter("mara");
    let ana = stage.coach("ana");
    let mut desk = at_the_desk(stage, &ana).await?;
    let case = format!("/desk/case/{number}");
    let page = desk.get(&case).await?;
    let sent = desk
        .send(&page, &format!("{case}/halt"), &[("text", "back pain")])
        .await?;
    let page = desk.follow(&sent).await?;
    assert!(page.text.contains("Stopped for safety"), "{}", page.text);
    assert!(page.text.contains("back pain"), "{}", page.text);
    assert_eq!(stage.case_of(&mara).await?.state, CaseState::Halted);
    // Under a stop there is no plan to send, and finishing is not offered.
    assert!(!page.text.contains(&format!("{case}/plan")));
    assert!(!page.text.contains(&format!("{case}/finish")));
    let sent = desk.send(&page, &format!("{case}/lift"), &[]).await?;
    let page = desk.follow(&sent).await?;
    assert!(page.text.contains("is lifted"), "{}", page.text);
    assert_eq!(stage.case_of(&mara).await?.state, CaseState::WithCoach);
    Ok(())
}

async fn the_coach_s_verdict_is_kept_at_the_desk(stage: &mut Stage) -> Result<()> {
    with_desk(stage).await?;
    let number = handed_over(stage, "mara").await?;
    let ana = stage.coach("ana");
    let mut desk = at_the_desk(stage, &ana).await?;
    let case = format!("/desk/case/{number}");
    let page = desk.get(&case).await?;
    assert!(page.text.contains("value=\"c-sq-brace\""), "{}", page.text);
    let chosen = [
        ("first", "c-sq-loose-rack"),
        ("second", ""),
        ("third", "c-sq-brace"),
    ];
    let sent = desk
        .send(&page, &format!("{case}/verdict"), &chosen)
        .await?;
    desk.follow(&sent).await?;
    let id = stage.case_of(&stage.lifter("mara")).await?.id;
    let kept = stage
        .store()?
        .verdict_of_case(&id)
        .await?
        .context("no verdict")?;
    assert_eq!(kept.judged.causes, ["c-sq-loose-rack", "c-sq-brace"]);
    assert_eq!(kept.by.person_id, "ana");
    // Nothing chosen is answered in words, and changes nothing.
    let page = desk.get(&case).await?;
    let sent = desk.send(&page, &format!("{case}/verdict"), &[]).await?;
    assert_eq!(desk.follow(&sent).await?.status, 200);
    let after = stage.store()?.verdict_of_case(&id).await?;
    assert_eq!(after, Some(kept));
    Ok(())
}

async fn a_load_over_the_rails_and_a_stop_are_pointed_out_before_sending(
    stage: &mut Stage,
) -> Result<()> {
    with_desk(stage).await?;
    let number = handed_over(stage, "mara").await?;
    let ruth = stage.lifter("ruth");
    stage.play(&ruth.says(DANGER)).await?;
    let stopped = stage.case_of(&ruth).await?.number;
    let ana = stage.coach("ana");
    let mut desk = at_the_desk(stage, &ana).await?;
    let page = desk.get(&format!("/desk/case/{number}")).await?;
    let preview = format!("/desk/case/{number}/preview");
    let heavy = desk
        .send(&page, &preview, &[("text", "Try 160 kg, then 352 lb.")])
        .await?;
    assert!(
        heavy
            .text
            .contains("160 kg (353 lb) is more than Cueline may give")
    );
    assert!(
        heavy.text.contains("352 lb (159.7 kg) is more than"),
        "{}",
        heavy.text
    );
    let light = desk
        .send(&page, &preview, &[("text", "Try 90 kg.")])
        .await?;
    assert!(!light.text.contains("is more than"), "{}", light.text);
    let none = desk.send(&page, &preview, &[("text", " \n ")]).await?;
    assert!(none.text.contains("nothing to send"));
    assert!(!none.text.contains("Send to"));
    let long = "x".repeat(5_000);
    let long = desk.send(&page, &preview, &[("text", &long)]).await?;
    assert!(
        long.text
            .contains("Too long for one message: 5000 characters")
    );
    let page = desk.get(&format!("/desk/case/{stopped}")).await?;
    let preview = format!("/desk/case/{stopped}/preview");
    let halted = desk
        .send(&page, &preview, &[("text", "Easy squats.")])
        .await?;
    assert!(
        halted.text.contains("stopped for safety"),
        "{}",
        halted.text
    );
    Ok(())
}

async fn the_bot_s_plan_is_a_draft_the_coach_can_change(stage: &mut Stage) -> Result<()> {
    with_desk(stage).await?;
    let number = handed_over(stage, "mara").await?;
    let ana = stage.coach("ana");
    let mut desk = at_the_desk(stage, &ana).await?;
    let page = desk.get(&format!("/desk/case/{number}/plan")).await?;
    let draft = page.textarea("answer").context("no answer field")?;
    for part in ["one cue", "Practise:", "a side", "Done when:"] {
        assert!(draft.contains(part), "{part} in {draft}");
    }
    let changed = draft.replace("one cue", "one cue of mine");
    let say = format!("/desk/case/{number}/say");
    let sent = desk.send(&page, &say, &[("text", &changed)]).await?;
    assert!(desk.follow(&sent).await?.text.contains("Sent to Mara"));
    stage.rest().await?;
    assert!(
        stage
            .river
            .last_to(LIFTERS)?
            .text
            .contains("one cue of mine")
    );
    Ok(())
}

async fn undelivered_messages_are_sent_again_from_the_desk(stage: &mut Stage) -> Result<()> {
    with_desk(stage).await?;
    let ana = stage.coach("ana");
    let mut desk = at_the_desk(stage, &ana).await?;
    // The text, and its plain fallback.
    stage.river.fails_in(LIFTERS, 2, Fault::Status(400));
    stage.play(&stage.lifter("mara").says(SET)).await?;
    let page = desk.get("/desk/undelivered").await?;
    assert!(page.text.contains("To room lifters"), "{}", page.text);
    stage.river.recovers();
    let sent = desk.send(&page, "/desk/send-again", &[]).await?;
    let page = desk.follow(&sent).await?;
    assert!(page.text.contains("go out again"), "{}", page.text);
    stage.rest().await?;
    assert!(stage.river.last_to(LIFTERS)?.text.contains("squat"));
    let page = desk.get("/desk/undelivered").await?;
    assert!(
        page.text.contains("Every message was delivered"),
        "{}",
        page.text
    );
    Ok(())
}

/// Texts that would act if they became markup.
const ATTACKS: [&str; 5] = [
    "<script>alert(1)</script>",
    "\"><img src=x onerror=alert(1)>",
    "javascript:alert(1)",
    "<svg onload=alert(1)>",
    "</textarea></main><b>out",
];

async fn what_people_write_never_becomes_markup(stage: &mut Stage) -> Result<()> {
    with_desk(stage).await?;
    let ana = stage.coach("ana");
    let mut desk = at_the_desk(stage, &ana).await?;
    for (index, attack) in ATTACKS.into_iter().enumerate() {
        let lifter = stage.lifter(&format!("l{index}")).called(attack);
        let set = format!("squat 140 kg x 3 @8, hips shoot up {attack} best 165 kg");
        stage.play(&lifter.says(&set)).await?;
        stage.play(&lifter.says("ask the coach")).await?;
        stage
            .play(&lifter.says(&format!("chest pain {attack}")))
            .await?;
        let number = stage.case_of(&lifter).await?.number;
        let case = format!("/desk/case/{number}");
        let page = desk.get(&case).await?;
        let preview = desk
            .send(&page, &format!("{case}/preview"), &[("text", attack)])
            .await?;
        let halt = desk
            .send(&page, &format!("{case}/halt"), &[("text", attack)])
            .await?;
        let done = desk.follow(&halt).await?;
        let queue = desk.get("/desk").await?;
        let cases = desk.get("/desk/cases").await?;
        let search = desk.get_with("/desk/cases", &[("number", attack)]).await?;
        let sheet = desk.get("/desk/sheet").await?;
        let asked = [("cause", attack), ("one", attack), ("other", attack)];
        let works = desk.get_with("/desk/works", &asked).await?;
        let log = desk.get("/desk/log").await?;
        for page in [page, preview, done, queue, cases, search, sheet, works, log] {
            harmless(&page, attack);
        }
        let missing = desk.get(&format!("/desk/case/{}", "%3Cb%3Eout")).await?;
        assert!(!missing.text.contains("<b>out"), "{}", missing.text);
    }
    Ok(())
}

/// Nothing of an attack stands in a page as markup.
fn harmless(page: &Page, attack: &str) {
    assert_eq!(page.status, 200);
    for bad in [
        "<script>alert",
        "<img",
        "<svg onload",
        "<b>out",
        "href=\"javascript:",
        "onerror=alert(1)>",
    ] {
        let escaped = page.text.replace("onerror=alert(1)&gt;", "");
        assert!(!escaped.contains(bad), "{bad} of {attack} in {}", page.text);
    }
}
