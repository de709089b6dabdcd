//! Whatever is sent: no panic, and nothing that depends on where or when, or on which side.

use super::generator::Set;
use super::lens::{Lens, metres};
use super::{cut, followed, near, trace};
use crate::motion::{Motion, TraceLimits, follow, reps};
use crate::report::{FieldError, Lift, Trace, View};
use proptest::prelude::*;
use std::fmt::Write as _;

fn faults(lift: Lift, traces: &[Trace]) -> Vec<FieldError> {
    follow(
        lift,
        Some(View::Side),
        Some(1.75),
        traces,
        &TraceLimits::default(),
    )
    .expect_err("must be refused")
}

/// All of it, for whatever is sent.
fn survive(trace: &Trace) {
    let limits = TraceLimits::default();
    for lift in Lift::ALL {
        for view in [None, Some(View::Side), Some(View::Front)] {
            if let Ok(Some(motion)) = follow(lift, view, None, std::slice::from_ref(trace), &limits)
            {
                for rep in reps(&motion, &limits) {
                    let order = [rep.bottom.min(rep.go), rep.go, rep.top, rep.end];
                    assert!(order.is_sorted() && rep.range.is_finite(), "{rep:?}");
                }
            }
        }
    }
}

const KINDS: [(&str, &str); 4] = [
    ("bar-track", "csv"),
    ("bar-track", "json"),
    ("keypoints", "json"),
    ("keypoints", "csv"),
];

proptest! {
    #[test]
    fn no_bytes_bring_it_down(kind in 0..4_usize, bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        let (kind, format) = KINDS[kind];
        survive(&trace(kind, format, String::from_utf8_lossy(&bytes).into_owned()));
    }

    #[test]
    fn no_damage_to_a_good_trace_brings_it_down(
        kind in 0..3_usize,
        cuts in prop::collection::vec((any::<prop::sample::Index>(), "[-0-9.,;eE\\[\\]{}\"nal\\n]{0,6}"), 0..6),
    ) {
        let set = Set { reps: 1, ..Set::of(Lift::Bench, 30.0) };
        let (kind, format, mut text) = match kind {
            0 => ("bar-track", "csv", Lens::SIDE.bar_track(&set, true)),
            1 => ("bar-track", "csv", metres(&set)),
            _ => ("keypoints", "json", Lens::SIDE.keypoints(&set)),
        };
        for (at, put) in cuts {
            let at = at.index(text.len());
            text.replace_range(at..(at + 2).min(text.len()), &put);
        }
        survive(&trace(kind, format, text));
    }

    #[test]
    fn no_walk_of_a_bar_brings_it_down(
        steps in prop::collection::vec((-0.2..0.2_f64, -0.2..0.2_f64, 0.001..0.3_f64), 25..200),
    ) {
        let (mut x, mut y, mut t) = (0.0, 0.0, 0.0);
        let mut text = "t,x,y\n".to_owned();
        for (dx, dy, dt) in steps {
            (x, y, t) = (x + dx, y + dy, t + dt);
            let _ = writeln!(text, "{t},{x},{y}");
        }
        survive(&trace("bar-track", "csv", text));
    }

    #[test]
    fn where_and_when_a_set_was_filmed_changes_nothing(
        x in -300.0..300.0_f64, y in -300.0..300.0_f64, later in 0.0..5000.0_f64,
    ) {
        let set = Set { reps: 1, ..Set::of(Lift::Squat, 30.0) };
        let poses = set.poses();
        let made = |x: f64, y: f64, later: f64| {
            let rows = poses.iter().map(|pose| {
                format!("{:.6};{:.6};{:.6}\n", pose.t + later, pose.bar[0] + x, pose.bar[1] + y)
            });
            let text = format!("t;x;y\n{}", rows.collect::<String>());
            followed(Lift::Squat, &[trace("bar-track", "csv", text)])
        };
        alike(&made(0.0, 0.0, 0.0), &made(x, y, later), 1e-5);
    }
}

/// Two motions are one, and cut alike.
#[track_caller]
fn alike(one: &Motion, other: &Motion, margin: f64) {
    assert_eq!((one.lift, one.camera), (other.lift, other.camera));
    near("fps", one.fps, other.fps, 1e-3);
    let pairs = one.bar.iter().zip(&other.bar);
    for (one, other) in pairs.chain(one.body.values().zip(other.body.values())) {
        assert_eq!(one.x.len(), other.x.len());
        for at in 0..one.x.len() {
            near("x", one.x[at], other.x[at], margin);
            near("y", one.y[at], other.y[at], margin);
        }
    }
    let [one, other] = [one, other].map(|motion| {
        let reps = cut(motion).into_iter();
        reps.map(|rep| (rep.start, rep.top, rep.missed))
            .collect::<Vec<_>>()
    });
    assert_eq!(one.len(), other.len());
    for (one, other) in one.iter().zip(&other) {
        assert!(
            one.0.abs_diff(other.0) <= 1 && one.1.abs_diff(other.1) <= 1,
            "{one:?} {other:?}"
        );
    }
}

#[test]
fn facing_left_gives_the_motion_of_facing_right() {
    for lift in Lift::ALL {
        let set = Set::of(lift, 30.0);
        let [right, left] = [false, true].map(|mirrored| {
            let lens = Lens {
                mirrored,
                ..Lens::SIDE
            };
            let bar = trace("bar-track", "csv", lens.bar_track(&set, false));
            followed(
                lift,
                &[bar, trace("keypoints", "json", lens.keypoints(&set))],
            )
        });
        alike(&right, &left, 1e-5);
        assert!(
            left.near_left && !right.near_left,
            "the camera is on the other side"
        );
        // Which way the lifter faces shows without being said.
        let [right, left] = [false, true].map(|mirrored| {
            let lens = Lens {
                mirrored,
                ..Lens::SIDE
            };
            followed(lift, &[trace("keypoints", "json", lens.keypoints(&set))])
        });
        alike(&right, &left, 1e-5);
    }
}

#[test]
fn a_fault_is_named_with_its_line() {
    let table = |text: &str| vec![trace("bar-track", "csv", text.to_owned())];
    for (text, found) in [
        ("t,x,y\n0,1,2\n0.02,oops,2\n", "line 3: \"oops\""),
        ("t;x;y\n0;1,5;2\n", "line 2: \"1,5\""),
        ("t,x,y\n0,1,2\n0,1,2\n", "line 3: 0 s after 0 s"),
        ("t,x\n", "line 1: \"t,x\""),
        ("hello\n", "line 1: \"hello\""),
        ("", "no head of columns"),
        ("# fps=sixty\nframe,x,y\n", "line 1: fps \"sixty\""),
        ("t,x,y\n0,1\n", "line 2: 2 columns"),
        ("t,x,y\n0,1e300,1\n", "line 2: 1"),
    ] {
        let faults = faults(Lift::Squat, &table(text));
        assert!(faults[0].found.starts_with(found), "{text:?}: {faults:?}");
        assert_eq!(faults[0].field, "traces[0].data");
        assert!(!faults[0].accepted.is_empty());
    }
}

#[test]
fn a_track_without_scale_and_one_with_two_are_refused() {
    let set = Set::of(Lift::Squat, 30.0);
    let good = Lens::SIDE.bar_track(&set, false);
    let bare = good.replace("# plate_px=180\n", "");
    assert_ne!(good, bare);
    let refused = faults(Lift::Squat, &[trace("bar-track", "csv", bare)]);
    assert_eq!(refused[0].found, "pixels without a scale");
    let mut two = trace("bar-track", "csv", good);
    two.scale = Some(0.01);
    assert_eq!(
        faults(Lift::Squat, &[two.clone()])[0].field,
        "traces[0].scale"
    );
    let twice = faults(
        Lift::Squat,
        &[
            trace("bar-track", "csv", metres(&set)),
            trace("bar-track", "csv", metres(&set)),
        ],
    );
    assert_eq!(twice[0].field, "traces");
}

#[test]
fn a_short_gap_is_bridged_and_a_long_one_leaves_the_rep_unmeasured() {
    let set = Set {
        reps: 2,
        ..Set::of(Lift::Squat, 30.0)
    };
    for (lost, measured) in [(5, true), (12, false)] {
        let text = metres(&set);
        let rows = text.lines().enumerate();
        // In the first way down.
        let kept = rows.filter(|(row, _)| !(50..50 + lost).contains(row));
        let text = kept.map(|(_, row)| row).collect::<Vec<_>>().join(
            "
",
        );
        let motion = followed(Lift::Squat, &[trace("bar-track", "csv", text)]);
        let found: Vec<bool> = cut(&motion).iter().map(|rep| rep.measured).collect();
        assert_eq!(found, [measured, true], "{lost} samples lost");
    }
}

#[test]
fn spikes_and_swapped_sides_do_not_move_the_body() {
    let set = Set {
        reps: 1,
        ..Set::of(Lift::Squat, 30.0)
    };
    let lens = Lens {
        yaw_deg: 90.0,
        ..Lens::SIDE
    };
    let limits = TraceLimits::default();
    let seen = |text: String| {
        let traces = [trace("keypoints", "json", text)];
        follow(Lift::Squat, Some(View::Front), Some(1.75), &traces, &limits)
            .unwrap()
            .unwrap()
    };
    let clean = lens.keypoints(&set);
    let mut lines: Vec<String> = clean.lines().map(str::to_owned).collect();
    for line in &mut lines[40..44] {
        let (head, numbers) = line.split_once("\"keypoints\":[").unwrap();
        let (numbers, tail) = numbers.split_once(']').unwrap();
        let numbers: Vec<&str> = numbers.split(',').collect();
        let mut points: Vec<&[&str]> = numbers.chunks(3).collect();
        for left in (5..17).step_by(2) {
            points.swap(left, left + 1);
        }
        *line = format!("{head}\"keypoints\":[{}]{tail}", points.concat().join(","));
    }
    let swapped = seen(lines.join("\n"));
    assert!(
        swapped.notes.iter().any(|note| note.contains("4 frames")),
        "{:?}",
        swapped.notes
    );
    alike(&seen(clean.clone()), &swapped, 1e-9);
    let mut lines: Vec<String> = clean.lines().map(str::to_owned).collect();
    let (head, _) = lines[60].split_once("\"keypoints\":[").unwrap();
    lines[60] = format!("{head}\"keypoints\":[{}]}},", ["9.0,9.0,0.9"; 17].join(","));
    alike(&seen(clean), &seen(lines.join("\n")), 0.01);
}
