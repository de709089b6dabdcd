//! What a view can show, and what it cannot.

use super::super::super::tests::generator::Set;
use super::super::super::tests::lens::Lens;
use super::super::super::tests::{followed, trace};
use super::super::super::{Camera, Joint, Motion, Path, TraceLimits, reps};
use super::film::Film;
use super::{About, Measured, SignLimits, measure, measure_about, probability, sign, signs};
use crate::report::Lift;
use std::collections::{BTreeMap, BTreeSet};

const LIFTS: [Lift; 3] = [Lift::Squat, Lift::Bench, Lift::Deadlift];

const CATALOG: [&str; 3] = [
    include_str!("../../../../../config/catalog/squat-signs.toml"),
    include_str!("../../../../../config/catalog/bench-signs.toml"),
    include_str!("../../../../../config/catalog/deadlift-signs.toml"),
];

/// What is known when everything is.
pub(super) const ALL_KNOWN: About = About {
    meant_to_pause: Some(true),
    expected_hip_height_m: Some((0.6, 0.02)),
    load_share: Some(0.6),
};

/// Signs measured of one lift from every camera.
fn measured_signs(lift: Lift) -> BTreeSet<&'static str> {
    let mut found = BTreeSet::new();
    for camera in [
        Camera::Side,
        Camera::FrontOrRear,
        Camera::Oblique,
        Camera::Unknown,
    ] {
        let film = Film {
            camera,
            ..Film::CLEAR
        };
        let set = Set {
            reps: 4,
            ..Set::of(lift, 60.0)
        };
        let measured = measure_about(&set, &film, &ALL_KNOWN);
        found.extend(measured.signs.iter().map(|one| one.sign));
    }
    found
}

/// Ids of a catalog file, with whether a trace can tell.
fn catalog(text: &str) -> BTreeMap<String, bool> {
    let blocks = text.split("[[sign]]").skip(1);
    blocks
        .filter_map(|block| {
            let line = |key: &str| {
                block
                    .lines()
                    .find(|line| line.starts_with(key))
                    .unwrap_or_default()
            };
            let id = line("id =").split('"').nth(1)?.to_owned();
            Some((id, line("by =").contains("\"trace\"")))
        })
        .collect()
}

#[test]
fn every_measured_sign_is_one_of_the_catalog_and_every_one_of_a_trace_is_measured() {
    let mut left_out = Vec::new();
    for (lift, text) in LIFTS.into_iter().zip(CATALOG) {
        let known = catalog(text);
        assert!(known.len() > 20, "the catalog was read");
        let measured = measured_signs(lift);
        for id in &measured {
            assert!(known.contains_key(*id), "{id} is not in the catalog");
        }
        let traced = known.into_iter().filter(|(_, traced)| *traced);
        left_out.extend(
            traced
                .map(|(id, _)| id)
                .filter(|id| !measured.contains(id.as_str())),
        );
    }
    assert_eq!(
        left_out,
        ["dl-slack-clank"],
        "said in the module's documentation"
    );
}

#[test]
fn no_sign_and_no_quantity_is_told_twice() {
    for lift in LIFTS {
        let found = measure_about(&Set::of(lift, 60.0), &Film::CLEAR, &ALL_KNOWN);
        let ids: BTreeSet<&str> = found.signs.iter().map(|one| one.sign).collect();
        assert_eq!(ids.len(), found.signs.len(), "{:?}", found.signs);
        let ids: BTreeSet<&str> = found.quantities.iter().map(|one| one.id).collect();
        assert_eq!(ids.len(), found.quantities.len(), "{:#?}", found.quantities);
        for one in &found.signs {
            assert!(ids.contains(one.quantity), "{one:?} points nowhere");
        }
        for one in &found.quantities {
            assert_eq!(one.per_rep.len(), 3, "{one:?}");
            assert!(one.value.is_finite() && one.error > 0.0, "{one:?}");
        }
    }
}

/// Signs that need a camera square from the side, with a set in which each is there.
fn side_only() -> Vec<(&'static str, Set)> {
    let squat = Set::of(Lift::Squat, 60.0);
    let bench = Set::of(Lift::Bench, 60.0);
    let pull = Set::of(Lift::Deadlift, 60.0);
    vec![
        (
            "sq-depth-short",
            Set {
                high_deg: 20.0,
                ..squat
            },
        ),
        (
            "sq-hips-shoot",
            Set {
                shoot_deg: 25.0,
                ..squat
            },
        ),
        (
            "sq-heels-rise",
            Set {
                heel_m: 0.03,
                ..squat
            },
        ),
        ("bp-path-feet", Set { path: 2.0, ..bench }),
        (
            "bp-touch-low",
            Set {
                touch: [0.25, 0.45],
                ..bench
            },
        ),
        (
            "bp-hips-lift",
            Set {
                hips_m: 0.05,
                ..bench
            },
        ),
        (
            "dl-bar-drifts",
            Set {
                drift: 0.06,
                ..pull
            },
        ),
        (
            "dl-hips-shoot",
            Set {
                shoot_deg: 30.0,
                ..pull
            },
        ),
        (
            "dl-shoulders-forward-end",
            Set {
                soft_deg: 25.0,
                ..pull
            },
        ),
    ]
}

#[test]
fn what_only_the_side_shows_is_not_measured_from_elsewhere_neither_there_nor_absent() {
    for (id, set) in side_only() {
        assert!(
            probability(&measure(&set, &Film::CLEAR), id) > 0.5,
            "{id} from the side"
        );
        for camera in [Camera::FrontOrRear, Camera::Oblique, Camera::Unknown] {
            let film = Film {
                camera,
                ..Film::CLEAR
            };
            let found = measure(&set, &film);
            assert_eq!(sign(&found, id), None, "{id} with the camera {camera:?}");
            let named = |text: &&str| text.contains("square from the side");
            assert!(
                found.cannot_show.iter().any(named),
                "{:?}",
                found.cannot_show
            );
        }
    }
}

#[test]
fn what_only_the_front_shows_is_not_measured_from_the_side() {
    for (lift, id) in [
        (Lift::Squat, "sq-bar-twists"),
        (Lift::Bench, "bp-uneven"),
        (Lift::Deadlift, "dl-bar-rotates"),
    ] {
        let set = Set {
            right_late_s: 0.15,
            ..Set::of(lift, 60.0)
        };
        let found = measure(&set, &Film::CLEAR);
        assert_eq!(sign(&found, id), None);
        assert!(
            found
                .cannot_show
                .iter()
                .any(|text| text.contains("in front or behind"))
        );
        let front = Film {
            camera: Camera::FrontOrRear,
            ..Film::CLEAR
        };
        assert!(
            probability(&measure(&set, &front), id) > 0.5,
            "{id} from the front"
        );
    }
}

#[test]
fn times_and_speeds_are_measured_from_everywhere() {
    let set = Set {
        down_s: 5.0,
        ..Set::of(Lift::Squat, 60.0)
    };
    for camera in [
        Camera::Side,
        Camera::FrontOrRear,
        Camera::Oblique,
        Camera::Unknown,
    ] {
        let film = Film {
            camera,
            ..Film::CLEAR
        };
        assert!(
            probability(&measure(&set, &film), "sq-slow-down") > 0.9,
            "{camera:?}"
        );
    }
}

/// Every path changed.
pub(super) fn changed(motion: &Motion, change: impl Fn(&mut Path)) -> Motion {
    let mut motion = motion.clone();
    let ends = motion.bar.iter_mut().chain(motion.other_end.iter_mut());
    ends.chain(motion.body.values_mut()).for_each(change);
    motion
}

/// Equal to a part in a million, sign by sign.
#[track_caller]
fn same(one: &Measured, other: &Measured) {
    assert_eq!(one.signs.len(), other.signs.len());
    for (one, other) in one.signs.iter().zip(&other.signs) {
        assert_eq!((one.sign, one.quantity), (other.sign, other.quantity));
        assert!(
            (one.probability - other.probability).abs() < 1e-6,
            "{one:?} {other:?}"
        );
    }
    assert_eq!(one.cannot_show, other.cannot_show);
}

#[test]
fn a_set_filmed_elsewhere_in_the_picture_is_measured_the_same() {
    for (lift, camera) in LIFTS
        .into_iter()
        .zip([Camera::Side, Camera::FrontOrRear, Camera::Side])
    {
        let film = Film {
            camera,
            ..Film::USUAL
        };
        let (motion, reps) = film.of(&Set::of(lift, 60.0));
        let moved = changed(&motion, |path| {
            path.x.iter_mut().for_each(|x| *x += 0.7);
            path.y.iter_mut().for_each(|y| *y += 0.4);
        });
        let limits = SignLimits::default();
        same(
            &signs(&motion, &reps, &ALL_KNOWN, &limits),
            &signs(&moved, &reps, &ALL_KNOWN, &limits),
        );
    }
}

#[test]
fn left_for_right_is_measured_the_same() {
    for (lift, camera) in LIFTS
        .into_iter()
        .flat_map(|lift| [(lift, Camera::Side), (lift, Camera::FrontOrRear)])
    {
        let film = Film {
            camera,
            ..Film::USUAL
        };
        let (motion, reps) = film.of(&Set::of(lift, 60.0));
        let across = |path: &mut Path| {
            if camera == Camera::FrontOrRear {
                path.x.iter_mut().for_each(|x| *x = -*x);
                path.vx.iter_mut().for_each(|x| *x = -*x);
            }
        };
        let mut turned = changed(&motion, across);
        turned.near_left = !motion.near_left;
        let pairs: Vec<(Joint, Path)> = std::mem::take(&mut turned.body).into_iter().collect();
        // After the nose, left and right take turns.
        let other = |joint: Joint| {
            let at = Joint::ALL.iter().position(|one| *one == joint).unwrap();
            Joint::ALL[if at % 2 == 1 { at + 1 } else { at - 1 }]
        };
        turned.body = pairs
            .into_iter()
            .map(|(joint, path)| (other(joint), path))
            .collect();
        let limits = SignLimits::default();
        same(
            &signs(&motion, &reps, &ALL_KNOWN, &limits),
            &signs(&turned, &reps, &ALL_KNOWN, &limits),
        );
    }
}

#[test]
fn every_lift_is_measured_from_the_text_of_its_traces() {
    // Keypoints and bar as a camera writes them, followed, cut and measured.
    for (id, set) in side_only() {
        let lens = Lens {
            jitter_m: 0.003,
            ..Lens::SIDE
        };
        let text = [
            trace("bar-track", "csv", lens.bar_track(&set, false)),
            trace("keypoints", "json", lens.keypoints(&set)),
        ];
        let motion = followed(set.lift, &text);
        let cut = reps(&motion, &TraceLimits::default());
        assert_eq!(cut.len(), 3, "{id}");
        let found = signs(&motion, &cut, &ALL_KNOWN, &SignLimits::default());
        assert!(
            probability(&found, id) > 0.5,
            "{id}: {:?}",
            sign(&found, id)
        );
        let clean = Set::of(set.lift, 60.0);
        let text = [
            trace("bar-track", "csv", lens.bar_track(&clean, false)),
            trace("keypoints", "json", lens.keypoints(&clean)),
        ];
        let motion = followed(set.lift, &text);
        let cut = reps(&motion, &TraceLimits::default());
        let found = signs(&motion, &cut, &ALL_KNOWN, &SignLimits::default());
        // A squat with joints level is high by the rule: the tops of hip and knee decide.
        if id != "sq-depth-short" {
            assert!(probability(&found, id) < 0.5, "{id} in a clean set");
        }
    }
}
