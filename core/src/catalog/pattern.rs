//! One wording of a flag: parts that must stand near one another, in any order.
//!
//! `<chest> + <ache>`: near one another. `<back> & numb`: anywhere in the text. `a / b`: either.
//! `! x`: unless x stands near. A last `~` counts whenever it happened, `^` whoever it happened to,
//! `@12` sets how many words apart "near" may be, `@12-4` also how near what forbids it must stand.

use std::collections::BTreeMap;

/// Words apart that still count as near, when the wording gives none.
const NEAR: usize = 9;

/// Words away from the words found that a word which forbids them may stand, at most.
const BLOCK: usize = 9;

/// A thing to look for.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Term {
    /// A group of the lexicon.
    Group(String),
    /// Words given in the wording itself.
    Literal(usize),
    /// A length of time in days, both ends counted.
    Days(u32, u32),
    /// A stated age in years, both ends counted.
    Age(u32, u32),
    /// A blood pressure at or over this upper figure.
    Pressure(u32),
    /// A body temperature of fever in degrees Celsius or Fahrenheit.
    Fever,
    /// A percentage.
    Percent,
    /// A mass with its unit.
    Mass,
}

/// One part: any of its terms; `far` parts may stand anywhere in the text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Part {
    pub(crate) any: Vec<Term>,
    pub(crate) far: bool,
}

/// A compiled wording.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Pattern {
    pub(crate) parts: Vec<Part>,
    pub(crate) unless: Vec<Vec<Term>>,
    pub(crate) near: usize,
    /// Words away that what forbids it may stand.
    pub(crate) block: usize,
    pub(crate) any_time: bool,
    pub(crate) any_person: bool,
}

impl Pattern {
    /// Compiles a wording; new literal phrases are numbered in `literals`.
    pub(crate) fn parse(
        wording: &str,
        literals: &mut BTreeMap<String, usize>,
    ) -> Result<Self, String> {
        let mut pattern = Self {
            parts: Vec::new(),
            unless: Vec::new(),
            near: NEAR,
            block: BLOCK,
            any_time: false,
            any_person: false,
        };
        let mut rest = wording.trim();
        loop {
            if let Some(cut) = rest.strip_suffix('~') {
                pattern.any_time = true;
                rest = cut.trim_end();
            } else if let Some(cut) = rest.strip_suffix('^') {
                pattern.any_person = true;
                rest = cut.trim_end();
            } else if let Some((cut, near)) = rest.rsplit_once('@') {
                let number = |text: &str| text.trim().parse::<usize>();
                let bad = |_| "no number after @".to_owned();
                let (near, block) = near.split_once('-').unwrap_or((near, near));
                pattern.near = number(near).map_err(bad)?;
                pattern.block = number(block).map_err(bad)?.min(BLOCK);
                rest = cut.trim_end();
            } else {
                break;
            }
        }
        let mut pieces = rest.split(" ! ");
        let wanted = pieces.next().unwrap_or_default();
        for (index, far_group) in wanted.split(" & ").enumerate() {
            for (inner, part) in far_group.split(" + ").enumerate() {
                pattern.parts.push(Part {
                    any: terms(part, literals)?,
                    far: index > 0 && inner == 0,
                });
            }
        }
        for piece in pieces {
            pattern.unless.push(terms(piece, literals)?);
        }
        Ok(pattern)
    }

    /// Names of the lexicon groups it uses.
    pub(crate) fn groups(&self) -> impl Iterator<Item = &str> {
        self.parts
            .iter()
            .map(|part| &part.any)
            .chain(&self.unless)
            .flatten()
            .filter_map(|term| match term {
                Term::Group(name) => Some(name.as_str()),
                _ => None,
            })
    }
}

/// The terms of one part.
fn terms(part: &str, literals: &mut BTreeMap<String, usize>) -> Result<Vec<Term>, String> {
    part.split(" / ")
        .map(|one| {
            let one = one.trim();
            if one.is_empty() {
                return Err("an empty part".to_owned());
            }
            match one.strip_prefix('<').and_then(|s| s.strip_suffix('>')) {
                Some(inside) => named(inside),
                None if one.contains(['<', '>', '+', '&', '!', '/']) => {
                    Err(format!("signs need a space on both sides in `{one}`"))
                }
                None => {
                    let next = literals.len();
                    Ok(Term::Literal(
                        *literals.entry(one.to_owned()).or_insert(next),
                    ))
                }
            }
        })
        .collect()
}

/// A group or a measured thing between pointed brackets.
fn named(inside: &str) -> Result<Term, String> {
    let Some((kind, rest)) = inside.split_once(' ') else {
        return Ok(match inside {
            "fever-figure" => Term::Fever,
            "percent" => Term::Percent,
            "mass" => Term::Mass,
            name => Term::Group(name.to_owned()),
        });
    };
    let bad = || format!("cannot read <{inside}>");
    let (low, high) = rest.split_once('-').ok_or_else(bad)?;
    let low = low.parse::<u32>().map_err(|_| bad())?;
    let high = if high.is_empty() {
        u32::MAX
    } else {
        high.parse::<u32>().map_err(|_| bad())?
    };
    match kind {
        "days" => Ok(Term::Days(low, high)),
        "age" => Ok(Term::Age(low, high)),
        "pressure" => Ok(Term::Pressure(low)),
        _ => Err(bad()),
    }
}
