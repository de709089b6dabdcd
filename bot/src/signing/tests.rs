#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use super::{KEY_BYTES, Secret, SecretFault, SignatureFault, SignedHeaders, is_id, sign, verify};
use jiff::Timestamp;

/// Source: Standard Webhooks test vectors (tests of its Python, Go and `JavaScript` libraries).
const PUBLISHED_SECRET: &str = "whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw";
const PUBLISHED_ID: &str = "msg_p5jXN8AQM9LWM0D4loKWxJek";
const PUBLISHED_TIME: i64 = 1_614_265_330;
const PUBLISHED_BODY: &[u8] = br#"{"test": 2432232314}"#;
const PUBLISHED_SIGNATURE: &str = "v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE=";

/// Own vectors, values recomputed with Python's `hmac` module.
const KEY_A: &str = "whsec_AAECAwQFBgcICQoLDA0ODxAREhMUFRYXGBkaGxwdHh8=";
const KEY_O: &str = "whsec_ICEiIyQlJicoKSorLC0uLzAxMjM0NTY3ODk6Ozw9Pj8=";
const OWN_ID: &str = "evt-0001";
const OWN_TIME: i64 = 1_767_323_045;
const E1: &str = r#"{"specversion":"1.0","id":"evt-0001","source":"/chat/demo","type":"message.created","time":"2026-01-02T03:04:05Z","datacontenttype":"application/json","data":{"message_id":"m1","room_id":"r1","author":{"id":"u1","role":"lifter"},"text":"squat 140 kg x 5"}}"#;

fn secret(text: &str) -> Secret {
    Secret::parse(text).unwrap()
}

fn at(seconds: i64) -> Timestamp {
    Timestamp::from_second(seconds).unwrap()
}

fn check(
    secrets: &[Secret],
    id: &str,
    timestamp: &str,
    signature: &str,
    body: &[u8],
) -> Result<usize, SignatureFault> {
    let now = at(OWN_TIME);
    let headers = SignedHeaders {
        id,
        timestamp,
        signature,
    };
    verify(secrets, &headers, now, body)
}

fn check_published(signature: &str, now: i64) -> Result<usize, SignatureFault> {
    let time = PUBLISHED_TIME.to_string();
    let headers = SignedHeaders {
        id: PUBLISHED_ID,
        timestamp: &time,
        signature,
    };
    verify(
        &[secret(PUBLISHED_SECRET)],
        &headers,
        at(now),
        PUBLISHED_BODY,
    )
}

#[test]
fn the_published_vector_signs_and_verifies() {
    let keys = [secret(PUBLISHED_SECRET)];
    assert_eq!(
        sign(&keys, PUBLISHED_ID, PUBLISHED_TIME, PUBLISHED_BODY),
        PUBLISHED_SIGNATURE
    );
    assert_eq!(check_published(PUBLISHED_SIGNATURE, PUBLISHED_TIME), Ok(0));
}

#[test]
fn the_published_wrong_and_partial_signatures_are_refused() {
    for (wrong, fault) in [
        (
            "v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OA=",
            SignatureFault::Mismatch,
        ),
        ("v1,dawfeoifkpqwoekfpqoekf", SignatureFault::NoSignature),
        ("v1,", SignatureFault::NoSignature),
        ("", SignatureFault::NoSignature),
        (
            "g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE=",
            SignatureFault::NoSignature,
        ),
    ] {
        assert_eq!(
            check_published(wrong, PUBLISHED_TIME),
            Err(fault),
            "{wrong}"
        );
    }
}

#[test]
fn the_published_list_of_several_signatures_passes() {
    let other = "Ceo5qEr07ixe2NLpvHk3FH9bwy/WavXrAFQ/9tdO6mc=";
    let list = format!("v1,{other} v2,{other} {PUBLISHED_SIGNATURE} v1,{other}");
    assert_eq!(check_published(&list, PUBLISHED_TIME), Ok(0));
    let unknown_only = PUBLISHED_SIGNATURE.replace("v1,", "v2,");
    assert_eq!(
        check_published(&unknown_only, PUBLISHED_TIME),
        Err(SignatureFault::NoSignature)
    );
}

#[test]
fn five_minutes_either_way_pass_and_a_second_more_does_not() {
    for (now, expected) in [
        (PUBLISHED_TIME + 300, Ok(0)),
        (PUBLISHED_TIME - 300, Ok(0)),
        (PUBLISHED_TIME + 301, Err(SignatureFault::TooOld)),
        (PUBLISHED_TIME - 301, Err(SignatureFault::TooNew)),
    ] {
        assert_eq!(check_published(PUBLISHED_SIGNATURE, now), expected);
    }
}

#[test]
fn published_unpadded_secrets_load_down_to_the_floor_of_24_bytes() {
    // Standard Webhooks test vectors: 24 and 25 bytes load, with and without prefix.
    assert_eq!(secret("MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw").key.len(), 24);
    assert_eq!(secret("MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSwBr").key.len(), 25);
    // The 23-byte one is refused here: the specification asks for at least 24 bytes.
    assert_eq!(
        Secret::parse("MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaS").unwrap_err(),
        SecretFault::Length(23)
    );
    for empty in ["", "whsec_"] {
        assert_eq!(Secret::parse(empty).unwrap_err(), SecretFault::Length(0));
    }
    assert_eq!(
        Secret::parse("whsec_not base64 at all").unwrap_err(),
        SecretFault::NotBase64
    );
    assert_eq!(
        Secret::parse(&"A".repeat(88)).unwrap_err(),
        SecretFault::Length(66)
    );
}

#[test]
fn own_vectors_for_two_keys_and_eight_bodies_hold() {
    let bodies: [(&[u8], &str, &str); 8] = [
        (
            b"",
            "3M8zA7pfwf3Snr/H2R85EhEllaXbOlLNoxav72yE1Hw=",
            "Htj1uH9l6hwYkB65YZCnmpHhpzY0ASL5rovank6qAoc=",
        ),
        (
            b"{}",
            "7cKXcKW1vVI3l89/NLbZhCChQbJbjxBze2835t+yiWU=",
            "cN3WBXaUhuIShgRSvuNkEWyIBGuUhPyRotIjM31QR7Q=",
        ),
        (
            b"{ }",
            "2njndWBWaiWMhxlQavbUiv/D8LfkHa3iDyd+PBLYmRw=",
            "Y2bTbeI5YRLlwHZwQHLjWfuK74zQaY95vgXCYHdBQIc=",
        ),
        (
            PUBLISHED_BODY,
            "rkn3Ks7+/CmyuXFqGHP50dwcFAPnhobX6rYaob+7ZSw=",
            "PpBPkBD2wtqq1tOtQm7qlPMTfdLI5gct/ePKwNLdqCY=",
        ),
        (
            "{\"text\":\"Kniebeuge 140 kg × 5 – gut ✅\"}".as_bytes(),
            "/aPXw37sQ5aGY0GKrfIXTWJ21F8WP5OMkUUFK6v4/6I=",
            "NWopwPsYtCU02to6FAqGv3uwLnS4CnOVy7sQ6SHDb1Q=",
        ),
        (
            b"{\"a\":1}\r\n",
            "aDZmMJ0ha6uu+y9SCUOfxKxDzCWU5ArsZqSu6YYyhk0=",
            "NLI5qMPHNerQmwOyyMCFDyivjkLd/TrhwOD8Yz7kghk=",
        ),
        (
            b"\xff\x00\x2e",
            "6cZuDtrHHCh+OWnMRMWKXTFJB7FdHKd1epyIjb9awm8=",
            "P0yVXOHvbIvyGKqtTidHn27eu4LKxe4MrthCSiiV68k=",
        ),
        (
            E1.as_bytes(),
            "5vjtzauNnlIpU2VkJBro6YK87Fenhe0JOfLP1LXXAew=",
            "OhMqW6GMHHr4ZJu0/WjIB2yGRgXY4i4uhPR26KWK24Y=",
        ),
    ];
    let keys = [secret(KEY_A), secret(KEY_O)];
    for (body, by_a, by_o) in bodies {
        let both = sign(&keys, OWN_ID, OWN_TIME, body);
        assert_eq!(both, format!("v1,{by_a} v1,{by_o}"));
        let time = OWN_TIME.to_string();
        let only_o = format!("v1,{by_o}");
        assert_eq!(check(&keys, OWN_ID, &time, &only_o, body), Ok(1));
        assert_eq!(
            check(&keys[..1], OWN_ID, &time, &only_o, body),
            Err(SignatureFault::Mismatch)
        );
    }
}

#[test]
fn changed_time_changed_id_and_undecoded_key_are_refused() {
    let keys = [secret(KEY_A)];
    // Own vectors: each signature is good for its own message only.
    for (id, time, signature) in [
        (
            OWN_ID,
            1_767_323_046,
            "v1,4BgNwmlogDAp0dpP7X65U+U0GXSfJMljfC6MIgcQAoM=",
        ),
        (
            "evt-0002",
            OWN_TIME,
            "v1,KkP20ltbG6My4pRYZpUgokyB2dkeH9N2njUVsQZbGZs=",
        ),
    ] {
        assert_eq!(sign(&keys, id, time, b"{}"), signature);
        let time = OWN_TIME.to_string();
        let refused = check(&keys, OWN_ID, &time, signature, b"{}");
        assert_eq!(refused, Err(SignatureFault::Mismatch));
    }
    // Signed with the text of the secret instead of its bytes.
    let undecoded = "v1,VU098e51CxBiC9zP6pXg2Bl6fmT1wmB0AzO8YcS8r2Y=";
    let time = OWN_TIME.to_string();
    assert_eq!(
        check(&keys, OWN_ID, &time, undecoded, b"{}"),
        Err(SignatureFault::Mismatch)
    );
}

#[test]
fn a_signature_with_stray_last_bits_is_not_read_leniently() {
    // `U=` ends the good one; `V=` decodes to the same bytes in a lenient reader.
    let keys = [secret(KEY_A)];
    let time = OWN_TIME.to_string();
    let good = "v1,7cKXcKW1vVI3l89/NLbZhCChQbJbjxBze2835t+yiWU=";
    assert_eq!(check(&keys, OWN_ID, &time, good, b"{}"), Ok(0));
    for bent in [good.replace("WU=", "WV="), good.replace("WU=", "WU")] {
        assert_eq!(
            check(&keys, OWN_ID, &time, &bent, b"{}"),
            Err(SignatureFault::NoSignature)
        );
    }
    // The published signature with its last `E` turned into `F`.
    let bent = PUBLISHED_SIGNATURE.replace("OE=", "OF=");
    assert_eq!(
        check_published(&bent, PUBLISHED_TIME),
        Err(SignatureFault::NoSignature)
    );
}

#[test]
fn a_timestamp_that_is_not_a_plain_integer_is_refused() {
    let keys = [secret(KEY_A)];
    let signature = sign(&keys, OWN_ID, OWN_TIME, b"{}");
    for odd in [
        "",
        " 1767323045",
        "1767323045 ",
        "+1767323045",
        "1767323045.0",
        "-1",
        "01767323045",
        "17673230450000000000",
        "0x69573465",
        "1_767_323_045",
    ] {
        assert_eq!(
            check(&keys, OWN_ID, odd, &signature, b"{}"),
            Err(SignatureFault::BadTimestamp),
            "{odd:?}"
        );
    }
}

#[test]
fn a_dot_in_the_id_is_refused_because_two_messages_would_share_a_signature() {
    let keys = [secret(KEY_A)];
    let shared = "v1,rzq9Ny5ZfuxmbNfWeqF/6UlfolbFAr2KWFfycRWkdSw=";
    assert_eq!(sign(&keys, "a", 1, b"2.{}"), shared);
    assert_eq!(sign(&keys, "a.1", 2, b"{}"), shared);
    let headers = SignedHeaders {
        id: "a.1",
        timestamp: "2",
        signature: shared,
    };
    assert_eq!(
        verify(&keys, &headers, at(2), b"{}"),
        Err(SignatureFault::BadId)
    );
    assert!(is_id("a_B-9") && !is_id("") && !is_id("é") && !is_id(&"a".repeat(129)));
}

#[test]
fn a_new_secret_is_long_enough_round_trips_and_stays_out_of_debug_output() {
    let one = Secret::generate().unwrap();
    let two = Secret::generate().unwrap();
    assert!(KEY_BYTES.contains(&one.key.len()));
    assert_ne!(one.reveal(), two.reveal());
    assert_eq!(Secret::parse(&one.reveal()).unwrap().key, one.key);
    let shown = format!("{one:?}");
    assert_eq!(shown, "Secret(hidden)");
}

proptest::proptest! {
    #[test]
    fn no_header_makes_it_fall_over(id in ".{0,40}", time in ".{0,24}", signature in ".{0,200}") {
        let refused = check(&[secret(KEY_A)], &id, &time, &signature, b"{}");
        proptest::prop_assert!(refused.is_err());
    }
}
