//! Numbers in content files: a constant, or a sum of terms with a patient's lengths and turnable parameters.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

/// A number as an author writes it: `12`, or text like `"0.5*roll - 0.25*foot + 0.02"`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(untagged)]
pub enum QuantitySpec {
    /// A constant.
    Number(f64),
    /// A sum of terms; each term is a number, a name, or a number times a name.
    Text(String),
}

/// A checked linear expression: constant plus factors times named values.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Quantity {
    constant: f64,
    terms: Vec<(f64, String)>,
}

impl From<f64> for Quantity {
    fn from(constant: f64) -> Self {
        Quantity { constant, terms: Vec::new() }
    }
}

impl QuantitySpec {
    /// Parses the expression; every name must be in `known`.
    ///
    /// # Errors
    /// What is wrong, in words.
    pub fn check(&self, known: impl Fn(&str) -> bool) -> Result<Quantity, String> {
        match self {
            QuantitySpec::Number(constant) if constant.is_finite() => Ok((*constant).into()),
            QuantitySpec::Number(constant) => Err(format!("{constant} is not a finite number")),
            QuantitySpec::Text(text) => parse(text, known),
        }
    }
}

fn parse(text: &str, known: impl Fn(&str) -> bool) -> Result<Quantity, String> {
    let mut quantity = Quantity::default();
    for (sign, term) in signed_terms(text)? {
        let mut factor = sign;
        let mut name = None;
        for part in term.split('*').map(str::trim) {
            if let Ok(number) = part.parse::<f64>() {
                factor *= number;
            } else if name.is_some() {
                return Err(format!("`{term}` multiplies two names; only a number times a name is allowed"));
            } else if known(part) {
                name = Some(part.to_string());
            } else {
                return Err(format!(
                    "`{part}` is neither a number, a parameter of this exercise nor a length"
                ));
            }
        }
        match name {
            Some(name) => quantity.terms.push((factor, name)),
            None => quantity.constant += factor,
        }
    }
    Ok(quantity)
}

/// Splits at plus and minus signs that stand between terms.
fn signed_terms(text: &str) -> Result<Vec<(f64, String)>, String> {
    let mut terms: Vec<(f64, String)> = Vec::new();
    let mut sign = 1.0;
    let mut term = String::new();
    for ch in text.chars().chain(std::iter::once('+')) {
        if ch != '+' && ch != '-' {
            term.push(ch);
            continue;
        }
        if !term.trim().is_empty() {
            terms.push((sign, term.trim().to_string()));
        } else if !terms.is_empty() {
            return Err(format!("`{text}` has a sign without a term"));
        }
        sign = if ch == '-' { -1.0 } else { 1.0 };
        term.clear();
    }
    if terms.is_empty() { Err("an empty expression".into()) } else { Ok(terms) }
}

impl Quantity {
    /// Value with the given named values; a name that is missing counts as an error of the program.
    ///
    /// # Panics
    /// When a name that `check` accepted is not given.
    pub fn value(&self, names: &BTreeMap<String, f64>) -> f64 {
        self.terms.iter().fold(self.constant, |sum, (factor, name)| {
            let value = names.get(name).unwrap_or_else(|| panic!("no value for `{name}`"));
            sum + factor * value
        })
    }

    /// True when the value depends on `name`.
    pub fn depends_on(&self, name: &str) -> bool {
        self.terms.iter().any(|(factor, it)| it == name && *factor != 0.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn eval(text: &str) -> Result<f64, String> {
        let names = BTreeMap::from([("roll".to_string(), 0.2), ("foot".to_string(), 0.26)]);
        QuantitySpec::Text(text.into()).check(|it| names.contains_key(it)).map(|q| q.value(&names))
    }

    #[test]
    fn sums_and_products_with_names() {
        assert!((eval("0.5*roll - foot + 0.02").unwrap() - (0.1 - 0.26 + 0.02)).abs() < 1e-15);
        assert!((eval("-roll").unwrap() + 0.2).abs() < 1e-15);
        assert!((eval("90").unwrap() - 90.0).abs() < 1e-15);
    }

    #[test]
    fn slips_are_named() {
        assert!(eval("roll*foot").unwrap_err().contains("two names"));
        assert!(eval("rol").unwrap_err().contains("`rol`"));
        assert!(eval("").is_err());
        assert!(eval("1 + + 2").is_err());
    }
}
