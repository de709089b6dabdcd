//! Pictures and traces: kept with the case under consent, and told of plainly.

use super::world::{World, person};
use crate::record::{Attachment, CaseState, Outgoing, Payload, Recipient, hex};
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest as _, Sha256};

const SET: &str = "squat 140 kg x 3 @8, filmed from the side. I forget to breathe and my core \
                   feels squishy, then hips shoot up. best 165 kg";
const DANGER: &str =
    "felt a tightness across my chest on rep 3 of bench 60 kg x 5 and it hasnt gone";

fn world() -> World {
    World::new("2026-03-02T17:00:00Z")
}

/// A file with this content, sent inline.
pub(in crate::casework) fn file(media_type: &str, content: &[u8]) -> Attachment {
    Attachment {
        attachment_id: "a1".to_owned(),
        name: "side <view>.png".to_owned(),
        media_type: media_type.to_owned(),
        size: content.len() as u64,
        sha256: hex(&Sha256::digest(content)),
        data_base64: Some(STANDARD.encode(content)),
        url: None,
    }
}

/// The head of a PNG of 8 by 4 pixels (ISO/IEC 15948), which is all that is looked at.
fn png() -> Attachment {
    file(
        "image/png",
        b"\x89PNG\r\n\x1a\n\0\0\0\x0dIHDR\0\0\0\x08\0\0\0\x04\x08\x02\0\0\0",
    )
}

/// Somebody sends files; what was sent for it, and the message's id.
fn sends(world: &mut World, text: &str, files: Vec<Attachment>) -> (Vec<Outgoing>, String) {
    sends_version(world, "file-1", 1, text, files)
}

fn sends_version(
    world: &mut World,
    id: &str,
    version: u32,
    text: &str,
    attachments: Vec<Attachment>,
) -> (Vec<Outgoing>, String) {
    let payload = Payload::Message {
        message_id: id.to_owned(),
        version,
        text: text.to_owned(),
        reply_to: None,
        attachments,
    };
    let event = world.event("mara", None, payload);
    (world.happens(&event), id.to_owned())
}

/// What is said in the room.
fn room(out: &[Outgoing]) -> String {
    let room = |m: &&Outgoing| matches!(m.to, Recipient::RoomId(_));
    let texts: Vec<&str> = out.iter().filter(room).map(|m| m.text.as_str()).collect();
    texts.join("\n---\n")
}

#[test]
fn without_a_yes_no_picture_is_kept_and_the_lifter_is_asked_in_private() {
    let mut world = world();
    let (out, _) = sends(&mut world, SET, vec![png()]);
    assert!(world.files.is_empty());
    assert!(room(&out).contains("kept no picture"), "{}", room(&out));
    assert!(room(&out).contains("Most likely"), "the set is answered");
    let private = |m: &&Outgoing| matches!(m.to, Recipient::PersonId(_));
    let asked: Vec<&Outgoing> = out.iter().filter(private).collect();
    assert_eq!(asked.len(), 1);
    assert!(
        asked[0]
            .text
            .contains("pictures and traces at most 30 days")
    );
    // Not again with the next one.
    let (out, _) = sends_version(&mut world, "file-2", 1, "", vec![png()]);
    assert_eq!(out.len(), 1, "{out:?}");
    assert!(world.files.is_empty());
}

#[test]
fn with_a_yes_a_picture_is_kept_with_its_case_and_said_to_be_for_the_coach() {
    let mut world = world();
    world.says("mara", "I consent");
    let (out, _) = sends(&mut world, SET, vec![png()]);
    let said = room(&out);
    assert!(said.contains("do not look at pictures"), "{said}");
    let kept: Vec<_> = world.files.values().collect();
    assert_eq!(kept.len(), 1);
    assert_eq!(kept[0].pixels, Some((8, 4)));
    let case = world.cases.values().next().unwrap();
    assert_eq!(kept[0].case_id, case.id);
    assert_eq!(kept[0].message_id.as_deref(), Some("file-1"));
    // The same message edited brings the same file, not another.
    sends_version(&mut world, "file-1", 2, &format!("{SET}."), vec![png()]);
    assert_eq!(world.files.len(), 1);
}

#[test]
fn a_trace_that_is_none_is_told_and_kept_for_the_coach() {
    let mut world = world();
    world.says("mara", "I consent");
    let (out, _) = sends(&mut world, SET, vec![file("text/csv", b"t,y\n0,0\n")]);
    assert!(room(&out).contains("could not measure"), "{}", room(&out));
    let (out, _) = sends_version(&mut world, "file-2", 1, "", vec![file("text/csv", b"=1+1")]);
    assert!(room(&out).contains("formulas"), "{}", room(&out));
    assert_eq!(world.files.len(), 1);
}

#[test]
fn what_is_no_picture_is_not_kept_and_its_name_is_quoted_safely() {
    let mut world = world();
    world.says("mara", "I consent");
    let cut = file("image/png", b"\x89PNG\r\n\x1a\nrest");
    let (out, _) = sends(&mut world, SET, vec![cut, png()]);
    let said = room(&out);
    assert!(said.contains("could not keep side"), "{said}");
    assert!(!said.contains("<view>"), "{said}");
    assert_eq!(world.files.len(), 1, "the other one is kept");
}

#[test]
fn a_picture_without_words_goes_with_the_only_open_case_and_elsewhere_is_left_alone() {
    let mut world = world();
    let (out, _) = sends(&mut world, "", vec![png()]);
    assert!(out.is_empty(), "people show each other pictures: {out:?}");
    world.says("mara", "I consent");
    world.says("mara", SET);
    let rounds = world.cases.values().next().unwrap().body.rounds.len();
    let (out, _) = sends_version(&mut world, "file-2", 1, " ", vec![png()]);
    assert_eq!(out.len(), 1);
    assert!(out[0].text.contains("for the coach"), "{}", out[0].text);
    assert_eq!(world.files.len(), 1);
    let case = world.cases.values().next().unwrap();
    assert_eq!(
        (case.state, case.body.rounds.len()),
        (CaseState::Practising, rounds)
    );
}

#[test]
fn a_stop_is_answered_with_nothing_about_pictures() {
    let mut world = world();
    let (out, _) = sends(&mut world, DANGER, vec![png()]);
    assert!(!room(&out).contains("picture"), "{}", room(&out));
    assert!(world.files.is_empty(), "no consent, nothing kept");
    let (out, _) = sends_version(&mut world, "file-2", 1, "", vec![png()]);
    assert!(room(&out).contains("stop is still on"), "{}", room(&out));
    assert!(!room(&out).contains("I kept"), "{}", room(&out));
}

#[test]
fn a_picture_of_somebody_else_is_never_kept() {
    let mut world = world();
    world.says("mara", "I consent");
    let text = "posting for my wife: squat 60 kg x 5 @8, knees cave in. best 75 kg";
    let (out, _) = sends(&mut world, text, vec![png()]);
    assert!(room(&out).contains("somebody else"), "{}", room(&out));
    assert!(world.files.is_empty());
}

#[test]
fn taking_consent_or_the_message_back_takes_the_picture() {
    let mut world = world();
    world.says("mara", "I consent");
    let (_, message_id) = sends(&mut world, SET, vec![png()]);
    let payload = Payload::Deleted {
        message_id,
        deleted_by: "mara".to_owned(),
    };
    let event = world.event("mara", None, payload);
    world.happens(&event);
    assert!(world.files.is_empty());
    sends_version(&mut world, "file-2", 1, SET, vec![png()]);
    assert_eq!(world.files.len(), 1);
    world.says("mara", "I take back my consent");
    assert!(world.files.is_empty());
}

#[test]
fn who_agreed_before_pictures_were_part_of_it_has_not_agreed_to_them() {
    let mut world = world();
    world.says("mara", "I consent");
    let mara = world.lifters.get_mut(&person("mara")).unwrap();
    mara.profile.health.as_mut().unwrap().pictures = false;
    let (out, _) = sends(&mut world, SET, vec![png()]);
    assert!(room(&out).contains("agreed before"), "{}", room(&out));
    assert!(world.files.is_empty());
    world.says("mara", "I consent");
    sends_version(&mut world, "file-2", 1, "", vec![png()]);
    assert_eq!(world.files.len(), 1);
}
