//! Tables of the three lifts to their printed digits, worked out with general solvers of `SciPy` 1.17.1;
//! the same with all digits is in `tests/reference/body.json`.

use super::super::ankle::{Heel, Under, of_wall_test, usable};
use super::super::bench::{ARCHED_CHEST, FLAT_CHEST, Press, WIDEST_GRIP};
use super::super::deadlift::Pull;
use super::super::squat::{Balance, Position, Rack, Squat};
use super::super::{Build, Dimension, Measured};
use super::{lifter, printed};

/// A squat of an invented lifter: `place` of the bar, heel in mm.
fn squat(body_kg: f64, bar_kg: f64, place: &str, heel_mm: f64) -> Squat {
    let rack = if place == "high" {
        Rack::HIGH
    } else {
        Rack::LOW
    };
    Squat {
        heel: Heel {
            height: heel_mm / 1000.0,
            under: Under::WholeFoot,
        },
        ..Squat::new(body_kg, bar_kg, rack)
    }
}

/// Lifter, bar and heel of a row, and what is printed after them.
fn row(line: &str) -> (Build, Squat, Vec<&str>) {
    let cells: Vec<&str> = line.split_whitespace().collect();
    let (build, body_kg, bar_kg) = lifter(cells[0]);
    let squat = squat(body_kg, bar_kg, cells[1], cells[2].parse().unwrap());
    (build, squat, cells[3..].to_vec())
}

#[test]
fn with_the_bar_itself_over_mid_foot_the_ankles_must_bend_more_than_they_can() {
    // SciPy 1.17.1, fsolve: shank, ankle, lean; arms of hip and knee in m, moments in N m, knee past toe.
    let table = "\
        A high 0 53.0371 53.0371 23.0435 0.1513 0.2775 243.8 527.2 0.1445
        A high 20 51.7040 47.4041 23.0952 0.1517 0.2770 244.4 526.6 0.1440
        A low 0 44.3096 44.3096 35.4264 0.1945 0.2342 326.3 444.7 0.1012
        A low 20 43.1773 38.8774 35.4944 0.1950 0.2338 327.0 444.0 0.1008
        B high 0 58.1119 58.1119 24.6122 0.1649 0.3161 305.3 691.4 0.1755
        B high 20 56.6903 52.6220 24.6639 0.1653 0.3157 306.0 690.7 0.1751
        B low 0 48.7676 48.7676 37.4614 0.2090 0.2720 402.2 594.5 0.1314
        B low 20 47.6133 43.5450 37.5297 0.2095 0.2715 403.0 593.7 0.1309
        C high 0 48.4586 48.4586 21.6994 0.1384 0.2411 179.0 366.2 0.1157
        C high 20 47.1658 42.6064 21.7516 0.1388 0.2407 179.5 365.7 0.1153
        C low 0 40.0819 40.0819 33.7765 0.1808 0.1987 243.8 301.4 0.0733
        C low 20 38.9504 34.3910 33.8450 0.1813 0.1982 244.3 300.8 0.0728";
    assert_eq!(table.lines().count(), 12);
    for line in table.lines() {
        let (build, squat, cells) = row(line);
        let found = squat.bar_over_mid_foot(&build).expect(line);
        assert!(found.bar.abs() < 1e-12 && found.system.abs() < 1e-12);
        for (figure, cell) in [
            found.shank,
            found.dorsiflexion,
            found.lean,
            found.hip_arm,
            found.knee_arm,
            found.hip_moment,
            found.knee_moment,
            found.knee_past_toe,
        ]
        .into_iter()
        .zip(cells)
        {
            printed(line, figure, cell);
        }
    }
}

#[test]
fn with_thirty_degrees_at_the_ankle_long_thighs_lean_most() {
    // SciPy 1.17.1, brentq: lean, bar ahead of mid-foot, arms in m, moments in N m.
    let table = "\
        A high 0 44.2862 0.0361 0.3161 0.1126 489.4 281.7
        A high 20 38.3544 0.0266 0.2735 0.1552 426.2 344.8
        A low 0 52.6207 0.0224 0.3024 0.1264 489.4 281.7
        A low 20 45.4778 0.0134 0.2603 0.1684 426.2 344.8
        B high 0 52.0533 0.0438 0.3675 0.1135 654.0 342.7
        B high 20 45.4735 0.0343 0.3250 0.1560 581.3 415.4
        B low 0 62.5689 0.0301 0.3539 0.1271 654.0 342.7
        B low 20 54.1374 0.0209 0.3116 0.1694 581.3 415.4
        C high 0 37.9334 0.0287 0.2679 0.1116 332.9 212.3
        C high 20 32.3501 0.0190 0.2253 0.1542 282.3 262.8
        C low 0 44.9966 0.0153 0.2545 0.1250 332.9 212.3
        C low 20 38.4674 0.0064 0.2127 0.1668 282.3 262.8";
    assert_eq!(table.lines().count(), 12);
    for line in table.lines() {
        let (build, squat, cells) = row(line);
        let found = squat.with_ankle(&build, 30.0).position().expect(line);
        for (figure, cell) in [
            found.lean,
            found.bar,
            found.hip_arm,
            found.knee_arm,
            found.hip_moment,
            found.knee_moment,
        ]
        .into_iter()
        .zip(cells)
        {
            printed(line, figure, cell);
        }
    }
}

#[test]
fn the_lean_for_every_ankle_and_heel_and_where_none_balances() {
    // SciPy 1.17.1, brentq: lean at 20, 25, 30 and 35 degrees of ankle.
    let table = "\
        A high 0 58.61 50.83 44.29 38.60
        A high 20 50.62 44.06 38.35 33.31
        A low 0 71.80 60.88 52.62 45.77
        A low 20 60.61 52.35 45.48 39.56
        B high 0 70.90 60.12 52.05 45.41
        B high 20 60.37 52.20 45.47 39.71
        B low 0 none 74.29 62.57 54.05
        B low 20 74.70 62.77 54.14 47.14
        C high 0 50.01 43.59 37.93 32.88
        C high 20 43.03 37.40 32.35 27.81
        C low 0 59.84 51.78 45.00 39.09
        C low 20 51.11 44.36 38.47 33.24";
    assert_eq!(table.lines().count(), 12);
    for line in table.lines() {
        let (build, squat, cells) = row(line);
        assert_eq!(cells.len(), 4);
        for (ankle, cell) in [20.0, 25.0, 30.0, 35.0].into_iter().zip(cells) {
            match (squat.with_ankle(&build, ankle), cell) {
                (Balance::Over(Position { lean, .. }), cell) if cell != "none" => {
                    printed(line, lean, cell);
                }
                // At best 8.5 mm behind mid-foot, by SciPy's minimize_scalar.
                (Balance::None { nearest }, "none") => printed(line, nearest, "-0.0085"),
                (found, _) => panic!("{line} at {ankle}: {found:?}"),
            }
        }
    }
}

#[test]
fn twenty_millimetres_of_heel_take_six_to_eight_degrees_off_the_lean() {
    for (who, place, less) in [
        ("A", "high", "5.93"),
        ("A", "low", "7.14"),
        ("C", "low", "6.53"),
        ("B", "low", "8.43"),
    ] {
        let (build, body_kg, bar_kg) = lifter(who);
        let flat = squat(body_kg, bar_kg, place, 0.0);
        let heel = squat(body_kg, bar_kg, place, 20.0).heel;
        let spared = flat.spared_by_heel(&build, 30.0, heel).unwrap();
        printed(who, spared.value, less);
        // What the heel gives is far surer than the lean itself.
        let lean = flat.expected_lean(&build, 30.0).unwrap();
        assert!(spared.sd < lean.sd / 2.0, "{spared:?} {lean:?}");
    }
}

#[test]
fn a_raised_heel_pitches_the_foot() {
    // Python's math.atan: degrees by height in mm over 240, 266 and 280 mm, and from heel to ball.
    for (mm, over) in [
        (10.0, ["2.3859", "2.1530", "2.0454", "2.9480"]),
        (15.0, ["3.5763", "3.2275", "3.0665", "4.4172"]),
        (20.0, ["4.7636", "4.2999", "4.0856", "5.8806"]),
        (25.0, ["5.9469", "5.3692", "5.1022", "7.3363"]),
    ] {
        let heel = |under| Heel {
            height: mm / 1000.0,
            under,
        };
        for (foot, cell) in [0.240, 0.266, 0.280].into_iter().zip(over) {
            printed("plank", heel(Under::WholeFoot).pitch(foot), cell);
        }
        printed("shoe", heel(Under::Shoe).pitch(0.266), over[3]);
    }
}

#[test]
fn a_hand_to_the_wall_is_an_ordinary_ankle() {
    // 3.6 degrees a centimetre: Physiopedia, Knee to Wall Test. 10.3 cm: mean of the left ankles of
    // 400 women who do no sport (rjpt 12434076). 37 to 45 degrees is what healthy young adults reach
    // (from memory).
    printed("tested", of_wall_test(0.103), "37.08");
    printed("usable", usable(of_wall_test(0.103)), "32.08");
    assert!(usable(3.0).abs() < f64::EPSILON);
}

#[test]
fn the_bar_travels_less_with_a_wider_grip() {
    // NumPy and SciPy 1.17.1, brentq: travel in m for statures of 1.65, 1.75 and 1.85 m, and the
    // elbow's angle at the chest for 1.75 m.
    let table = [
        (0.50, ["0.4769", "0.5136", "0.5499"], "20.2754"),
        (0.55, ["0.4734", "0.5109", "0.5478"], "23.0169"),
        (0.60, ["0.4689", "0.5071", "0.5448"], "26.3458"),
        (0.65, ["0.4631", "0.5023", "0.5407"], "30.0871"),
        (0.70, ["0.4562", "0.4964", "0.5357"], "34.1279"),
        (0.75, ["0.4481", "0.4893", "0.5296"], "38.3993"),
        (0.80, ["0.4387", "0.4812", "0.5225"], "42.8612"),
        (WIDEST_GRIP, ["0.4366", "0.4794", "0.5209"], "43.7742"),
    ];
    for (grip, travels, elbow) in table {
        let press = Press::new(grip, FLAT_CHEST);
        for (stature, travel) in [1.65, 1.75, 1.85].into_iter().zip(travels) {
            let build = Build::new(stature, Measured::default(), None).unwrap();
            printed("travel", press.travel(&build).unwrap(), travel);
        }
        let build = Build::new(1.75, Measured::default(), None).unwrap();
        printed("elbow", press.elbow_at_touch(&build).unwrap(), elbow);
    }
}

#[test]
fn five_centimetres_of_grip_give_less_than_four_of_arch() {
    let build = Build::new(1.75, Measured::default(), None).unwrap();
    let gain = |from: (f64, f64), to: (f64, f64)| {
        let (from, to) = (Press::new(from.0, from.1), Press::new(to.0, to.1));
        from.longer_than(&to, &build).unwrap().value * 1000.0
    };
    printed(
        "60 to 65",
        gain((0.60, FLAT_CHEST), (0.65, FLAT_CHEST)),
        "4.8",
    );
    printed(
        "75 to 80",
        gain((0.75, FLAT_CHEST), (0.80, FLAT_CHEST)),
        "8.2",
    );
    printed("arch", gain((0.60, FLAT_CHEST), (0.60, ARCHED_CHEST)), "40");
}

#[test]
fn a_touch_lower_on_the_chest_opens_the_elbow() {
    let build = Build::new(1.75, Measured::default(), None).unwrap();
    for (grip, elbow) in [(0.65, "33.7548"), (WIDEST_GRIP, "46.5098")] {
        let press = Press {
            touch: 0.08,
            ..Press::new(grip, FLAT_CHEST)
        };
        printed("elbow", press.elbow_at_touch(&build).unwrap(), elbow);
    }
    // The grip with the forearm upright: wider than the rules allow, unless the bar touches low.
    for (touch, grip) in [(0.08, "0.8945"), (0.16, "0.8113")] {
        let press = Press {
            touch,
            ..Press::new(0.6, FLAT_CHEST)
        };
        printed("grip", press.grip_over_elbow(&build).unwrap(), grip);
    }
}

/// One row of a start: lifter, shoulder ahead, shin, arm as a share of stature; then as printed shank,
/// hip, lean, thigh, hip behind the bar, body, system with 120 kg.
type PulledRow = (&'static str, f64, f64, [&'static str; 7]);

#[test]
fn every_centimetre_of_shoulder_ahead_raises_the_hips_by_one() {
    // SciPy 1.17.1, fsolve and brentq.
    #[rustfmt::skip]
    let table: [PulledRow; 7] = [
        ("A", 0.00, 0.332, ["7.6644", "0.6143", "56.621", "16.174", "0.4209", "-0.1584", "-0.0634"]),
        ("A", 0.03, 0.332, ["7.6644", "0.6458", "60.901", "20.613", "0.4104", "-0.1418", "-0.0567"]),
        ("A", 0.05, 0.332, ["7.6644", "0.6667", "63.726", "23.614", "0.4019", "-0.1302", "-0.0521"]),
        ("A", 0.08, 0.332, ["7.6644", "0.6973", "67.919", "28.175", "0.3870", "-0.1120", "-0.0448"]),
        ("B", 0.05, 0.332, ["9.1851", "0.7481", "69.117", "28.121", "0.4219", "-0.1361", "-0.0583"]),
        ("C", 0.05, 0.332, ["6.1942", "0.5921", "58.769", "19.106", "0.3775", "-0.1225", "-0.0430"]),
        ("A", 0.05, 0.352, ["7.6644", "0.6852", "61.592", "26.343", "0.3933", "-0.1271", "-0.0508"]),
    ];
    for (who, ahead, arm, cells) in table {
        let (build, body_kg) = with_arm(who, arm);
        let pull = Pull {
            ahead,
            ..Pull::default()
        };
        let start = pull.start(&build).unwrap();
        for (figure, cell) in [
            start.shank,
            start.hip,
            start.lean,
            start.thigh,
            start.hip_behind,
            start.body,
            start.system(body_kg, 120.0),
        ]
        .into_iter()
        .zip(cells)
        {
            printed(&format!("{who} {ahead} {arm}"), figure, cell);
        }
    }
}

/// The lifter with arms of a share of the stature, and the body mass in kg.
fn with_arm(who: &str, arm: f64) -> (Build, f64) {
    let (build, body_kg, _) = lifter(who);
    let measured = Measured {
        thigh: Some(build.metres(Dimension::Thigh)),
        trunk: Some(build.metres(Dimension::Trunk)),
        shank: Some(build.metres(Dimension::Shank)),
        arm: Some(arm * build.stature()),
    };
    let build = Build::new(build.stature(), measured, Some(body_kg));
    (build.unwrap(), body_kg)
}

#[test]
fn longer_arms_shorten_the_pull_by_as_much() {
    // Worked out by hand from the heights of the shoulder and the length of the arms.
    for (who, arm, range) in [
        ("A", 0.332, "0.5399"),
        ("B", 0.332, "0.5834"),
        ("C", 0.332, "0.4964"),
        ("A", 0.352, "0.5048"),
    ] {
        let (build, _) = with_arm(who, arm);
        printed(who, Pull::default().range(&build).unwrap(), range);
    }
}

#[test]
fn the_allowance_for_the_shin_decides_how_upright_the_shank_stands() {
    // SciPy 1.17.1, brentq, with 60 mm for half a shin and half a bar.
    for (who, shank) in [("A", "2.36"), ("B", "3.81"), ("C", "0.96")] {
        let (build, _, _) = lifter(who);
        let pull = Pull {
            shin: 0.060,
            ..Pull::default()
        };
        let start = pull.start(&build).unwrap();
        printed(who, start.shank, shank);
        if who == "A" {
            printed(who, start.lean, "69.21");
        }
    }
}
