//! Every load a text names with its unit. For texts that are no set report, such as what a coach
//! is about to send.

use super::TextSpan;
use super::token::{Kind, Token, tokens};
use crate::quantity::{Mass, MassUnit};

/// One load with its place in the text.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LoadMention {
    /// The load as written.
    pub load: Mass,
    /// Where it stands, number and unit.
    pub span: TextSpan,
}

/// Loads in the order they stand in. A number without a unit is no load: nothing is guessed.
pub fn loads(text: &str) -> Vec<LoadMention> {
    let tokens = tokens(text);
    tokens
        .iter()
        .zip(tokens.iter().skip(1))
        .filter_map(|(number, unit)| {
            let load = Mass::new(number.number()?, mass_unit(unit)?);
            load.is_some_load().then_some(LoadMention {
                load,
                span: [number.span[0], unit.span[1]],
            })
        })
        .collect()
}

/// The unit of mass a token says; `k` only when glued to its number.
fn mass_unit(token: &Token) -> Option<MassUnit> {
    match token.text.as_str() {
        "kg" | "kgs" | "kilo" | "kilos" | "kilogram" | "kilograms" => Some(MassUnit::Kg),
        "k" if !token.spaced && token.kind == Kind::Word => Some(MassUnit::Kg),
        "lb" | "lbs" | "pound" | "pounds" | "#" => Some(MassUnit::Lb),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(text: &str) -> Vec<(f64, MassUnit, TextSpan)> {
        loads(text)
            .into_iter()
            .map(|one| (one.load.value, one.load.unit, one.span))
            .collect()
    }

    #[test]
    fn every_load_with_a_unit_is_found_in_a_coach_s_answer() {
        let kg = MassUnit::Kg;
        assert_eq!(
            found("Stay at 95 kg for 3 x 5, then 102,5kg. No more than 225 lbs!"),
            [
                (95.0, kg, [8, 13]),
                (102.5, kg, [30, 37]),
                (225.0, MassUnit::Lb, [52, 59])
            ]
        );
        assert_eq!(found("100k today"), [(100.0, kg, [0, 4])]);
    }

    #[test]
    fn numbers_that_are_no_loads_are_left_alone() {
        for text in ["3 x 5 at RPE 8", "in 2 weeks", "120 k", "kg", "0 kg", ""] {
            assert!(found(text).is_empty(), "{text}");
        }
    }

    #[test]
    fn a_load_after_letters_of_several_bytes_has_its_place_in_code_points() {
        assert_eq!(found("été: 60 kg"), [(60.0, MassUnit::Kg, [5, 10])]);
    }
}
