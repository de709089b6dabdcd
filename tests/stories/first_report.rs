//! A set in one line gets one reply that a lifter can go and lift by.

use anyhow::Result;
use cueline_bot::record::CaseState;
use cueline_core::report::Lift;
use cueline_tests::stage::{COACHES, LIFTERS, Stage};

/// Invented: a set with what happened in it.
pub(crate) const SET: &str = "squat 140 kg x 3 @8, filmed from the side. I forget to breathe and \
                              my core feels squishy, then hips shoot up. best 165 kg";

on_both_engines!(
    a_set_in_one_line_is_answered_once_in_its_room,
    two_lifters_at_the_same_time_each_get_their_own_answer,
    a_program_is_never_answered,
);

async fn a_set_in_one_line_is_answered_once_in_its_room(stage: &mut Stage) -> Result<()> {
    let mara = stage.lifter("mara");
    let set = mara.says(SET);
    stage.play(&set).await?;

    let said = stage.river.messages();
    assert_eq!(said.len(), 1, "{said:#?}");
    let reply = &said[0];
    assert_eq!((reply.to.as_str(), reply.private), (LIFTERS, false));
    assert_eq!(reply.reply_to.as_deref(), Some(set.message_id().as_str()));
    assert_eq!(reply.mentions, ["mara"]);
    // 140 kg is 308.6 lb by the exact pound of 0.45359237 kg (NIST SP 811, appendix B.9).
    assert!(reply.text.contains("140 kg (309 lb) x 3"), "{}", reply.text);
    for part in [
        "Where you stand",
        "Most likely",
        "one cue",
        "a side",
        "Come back on",
    ] {
        assert!(reply.text.contains(part), "{part} in {}", reply.text);
    }
    // Short: 5 to 15 lines, the numbered choices of a question aside.
    let lines = reply.text.lines();
    let lines: Vec<&str> = lines
        .filter(|line| !line.starts_with(|c: char| c.is_ascii_digit()))
        .collect();
    assert!((5..=15).contains(&lines.len()), "{}", reply.text);
    for line in lines {
        assert!(!line.trim_end().ends_with(":**"), "nothing said: {line}");
    }

    let case = stage.case_of(&mara).await?;
    assert_eq!(case.state, CaseState::Practising);
    assert_eq!(case.lift, Some(Lift::Squat));
    assert_eq!(case.room_id, LIFTERS);
    assert_eq!(case.body.rounds.len(), 1);
    let depths = stage.store()?.depths().await?;
    assert_eq!((depths.inbox, depths.outbox, depths.dead), (0, 0, 0));
    assert_eq!(depths.follow_ups, 1, "one dated ask to come back");
    assert!(stage.river.messages_to(COACHES).is_empty());
    Ok(())
}

async fn two_lifters_at_the_same_time_each_get_their_own_answer(stage: &mut Stage) -> Result<()> {
    let mara = stage.lifter("mara").in_room("room-a");
    let joel = stage.lifter("joel").in_room("room-b");
    let (first, second) = (
        mara.says(SET),
        joel.says("bench 80 kg x 5 @8, elbows flare"),
    );
    let (one, two) = tokio::join!(stage.send(&first), stage.send(&second));
    one.and(two)?;
    stage.rest().await?;
    let (a, b) = (
        stage.river.messages_to("room-a"),
        stage.river.messages_to("room-b"),
    );
    assert_eq!((a.len(), b.len()), (1, 1));
    assert!(a[0].text.contains("140 kg") && !a[0].text.contains("80 kg"));
    assert!(b[0].text.contains("80 kg") && !b[0].text.contains("140 kg"));
    Ok(())
}

async fn a_program_is_never_answered(stage: &mut Stage) -> Result<()> {
    let robot = stage.lifter("robot");
    stage.play(&robot.says(SET).by_a_program()).await?;
    assert!(stage.river.messages().is_empty());
    assert!(stage.cases_of(&robot).await?.is_empty());
    Ok(())
}
