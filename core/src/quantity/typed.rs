//! Masses and lengths as people type them: `142.5kg`, `315 lb`, `1,3 m`.

use super::{Length, LengthUnit, Mass, MassUnit};

/// A mass as typed; the unit may be missing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TypedMass {
    /// The number, finite and above zero.
    pub value: f64,
    /// The unit, when one was typed.
    pub unit: Option<MassUnit>,
}

impl TypedMass {
    /// Reads a number with or without a unit; none when it is anything else.
    pub fn read(text: &str) -> Option<Self> {
        let (value, word) = split(text)?;
        let unit = match word.as_str() {
            "" => None,
            "kg" | "kgs" | "kilo" | "kilos" | "kilogram" | "kilograms" => Some(MassUnit::Kg),
            "lb" | "lbs" | "pound" | "pounds" | "#" => Some(MassUnit::Lb),
            _ => return None,
        };
        Some(Self { value, unit })
    }

    /// The mass, in `usual` when no unit was typed; none when there is neither.
    pub fn mass(self, usual: Option<MassUnit>) -> Option<Mass> {
        Some(Mass::new(self.value, self.unit.or(usual)?))
    }
}

impl Length {
    /// Reads a number with a unit of length; none when it is anything else.
    pub fn read(text: &str) -> Option<Self> {
        let (value, word) = split(text)?;
        let unit = match word.as_str() {
            "m" | "metre" | "metres" | "meter" | "meters" => LengthUnit::M,
            "cm" => LengthUnit::Cm,
            "in" | "inch" | "inches" | "\"" => LengthUnit::In,
            _ => return None,
        };
        Some(Self { value, unit })
    }
}

/// A positive number at the head, point or comma, and the word after it in lower case.
fn split(text: &str) -> Option<(f64, String)> {
    let text = text.trim();
    let end = text
        .find(|c: char| !(c.is_ascii_digit() || c == '.' || c == ','))
        .unwrap_or(text.len());
    let (number, word) = text.split_at(end);
    let separators = number.matches(['.', ',']).count();
    // `1,000` could be a thousand or one: a comma before exactly three digits is not guessed at.
    let thousand = number
        .split_once(',')
        .is_some_and(|(_, after)| after.len() == 3);
    if separators > 1 || thousand || number.len() > 12 {
        return None;
    }
    let value: f64 = number.replace(',', ".").parse().ok()?;
    (value.is_finite() && value > 0.0).then(|| (value, word.trim().to_lowercase()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_load_is_read_as_people_type_it() {
        let kg = |value| {
            Some(TypedMass {
                value,
                unit: Some(MassUnit::Kg),
            })
        };
        let lb = |value| {
            Some(TypedMass {
                value,
                unit: Some(MassUnit::Lb),
            })
        };
        assert_eq!(TypedMass::read("142.5kg"), kg(142.5));
        assert_eq!(TypedMass::read(" 142,5 KG "), kg(142.5));
        assert_eq!(TypedMass::read("180 kilos"), kg(180.0));
        assert_eq!(TypedMass::read("315lbs"), lb(315.0));
        assert_eq!(TypedMass::read("45#"), lb(45.0));
        let bare = TypedMass::read("180");
        assert_eq!(bare.map(|typed| typed.unit), Some(None));
        assert_eq!(
            bare.and_then(|typed| typed.mass(Some(MassUnit::Lb))),
            Some(Mass::new(180.0, MassUnit::Lb))
        );
        assert_eq!(bare.and_then(|typed| typed.mass(None)), None);
    }

    #[test]
    fn what_is_no_load_is_not_guessed_at() {
        for text in [
            "",
            "kg",
            "-5kg",
            "0kg",
            "1,000kg",
            "1.2.3kg",
            "180 stone",
            "nan",
            "1e5kg",
        ] {
            assert_eq!(TypedMass::read(text), None, "{text}");
        }
    }

    #[test]
    fn a_length_needs_its_unit() {
        let metres = |text| Length::read(text).map(Length::metres);
        assert_eq!(metres("1.3m"), Some(1.3));
        assert_eq!(metres("10in"), Some(0.254));
        assert_eq!(metres("130 cm"), Some(1.3));
        assert_eq!(metres("1.3"), None);
    }
}
