//! Posteriors of random networks and of the catalog as it stands against pgmpy.

use cueline_bot::brain;
use cueline_core::catalog::{Cause, Kind, LiftBook, Prior, Sign, Stage, Strength};
use cueline_core::diagnosis::{Finding, Settings, both_probable, diagnose};
use cueline_core::report::{Competes, Lift, SetReport};
use serde::Deserialize;
use std::collections::BTreeMap;

#[derive(Deserialize)]
struct Reference {
    networks: Vec<Drawn>,
}

/// One network, what was found, and what pgmpy makes of it.
#[derive(Deserialize)]
struct Drawn {
    /// Set when it is the catalog's own book of this lift.
    lift: Option<Lift>,
    link: f64,
    causes: Vec<DrawnCause>,
    signs: Vec<DrawnSign>,
    findings: Vec<Finding>,
    posterior: BTreeMap<String, f64>,
    /// Two causes and the probability that both are there.
    joint: Vec<(String, String, f64)>,
}

#[derive(Deserialize)]
struct DrawnCause {
    id: String,
    prior: Prior,
    shows: Vec<(String, Strength)>,
    feeds: Vec<String>,
}

#[derive(Deserialize)]
struct DrawnSign {
    id: String,
    leak: f64,
}

impl Drawn {
    /// The network as a catalog has it.
    fn book(&self) -> LiftBook {
        LiftBook {
            signs: self.signs.iter().map(sign).collect(),
            causes: self.causes.iter().map(cause).collect(),
            ..LiftBook::default()
        }
    }
}

fn sign(drawn: &DrawnSign) -> Sign {
    Sign {
        id: drawn.id.clone(),
        meaning: String::new(),
        plain: String::new(),
        stages: vec![Stage::All],
        by: Vec::new(),
        views: Vec::new(),
        phrases: Vec::new(),
        leak: drawn.leak,
        rule_only: false,
        vague: false,
        pain: false,
        caution: None,
    }
}

fn cause(drawn: &DrawnCause) -> Cause {
    Cause {
        id: drawn.id.clone(),
        meaning: String::new(),
        plain: String::new(),
        stage: Stage::All,
        link: None,
        prior: drawn.prior,
        kind: Kind::Technique,
        shows: drawn.shows.clone(),
        feeds: drawn.feeds.clone(),
        gate: None,
        style: None,
        leak_note: String::new(),
    }
}

#[test]
fn every_belief_is_the_posterior_that_pgmpy_finds() {
    let reference: Reference = serde_json::from_str(include_str!("network.json")).unwrap();
    assert!(reference.networks.len() >= 40);
    let fed = |drawn: &&Drawn| drawn.causes.iter().any(|cause| !cause.feeds.is_empty());
    let soft = |drawn: &&Drawn| {
        let mut said = drawn.findings.iter().map(|f| f.probability);
        said.any(|p| p > 0.0 && p < 1.0)
    };
    assert!(reference.networks.iter().filter(fed).count() >= 20);
    assert!(reference.networks.iter().filter(soft).count() >= 20);
    let (_, brain) = brain::load(None).expect("the catalog is whole");
    let own = reference.networks.iter().filter(|d| d.lift.is_some());
    assert!(own.count() >= 12);
    for (at, drawn) in reference.networks.iter().enumerate() {
        let settings = Settings {
            link: drawn.link,
            ..Settings::default()
        };
        let mut report = SetReport {
            lift: drawn.lift,
            // Every gate of the catalog open, so that each cause has the prior its file gives.
            competes: Some(Competes::Yes),
            ..SetReport::default()
        };
        report.setting.hand_off = Some(true);
        let book = match drawn.lift {
            Some(lift) => brain.catalog.lifts[&lift].clone(),
            None => drawn.book(),
        };
        let found = diagnose(&book, &[], &report, &drawn.findings, &settings);
        assert_eq!(found.beliefs.len(), drawn.posterior.len());
        for belief in &found.beliefs {
            let expected = drawn.posterior[&belief.cause];
            assert!(
                (belief.probability - expected).abs() <= 1e-9,
                "network {at}, {}: found {}, expected {expected}",
                belief.cause,
                belief.probability
            );
        }
        for (one, two, expected) in &drawn.joint {
            let pair = (one.as_str(), two.as_str());
            let both = both_probable(&book, &[], &report, &drawn.findings, &settings, pair);
            let both = both.expect("both are in play");
            assert!(
                (both - expected).abs() <= 1e-9,
                "network {at}, {one} and {two}: found {both}, expected {expected}"
            );
        }
    }
}
