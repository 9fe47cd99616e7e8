//! What protocols say to clinicians, in other languages: found by the protocol's own sentence. A sentence that a
//! clinic changed has no translation any more and is shown as it was written, so that a translation can never say
//! something else than the protocol does.

use std::collections::BTreeMap;

use handrail_spans::{Problems, SourceText, Spanned};

use crate::bundle::Words;
use crate::lang::Lang;

/// Language in which protocols are written.
const WRITTEN_IN: Lang = Lang::En;

/// Translations by sentence.
pub(crate) type Sayings = BTreeMap<String, String>;

/// A sentence of a protocol with the language that it is in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Said<'a> {
    /// The sentence.
    pub text: &'a str,
    /// Its language.
    pub lang: Lang,
}

impl Words {
    /// A sentence of a protocol in this language, or as it was written where it has no translation.
    pub fn said<'a>(&'a self, written: &'a str) -> Said<'a> {
        match self.sayings.get(written) {
            Some(text) => Said { text, lang: self.lang() },
            None => Said { text: written, lang: WRITTEN_IN },
        }
    }

    /// Sentences that have a translation in this language.
    pub fn translated(&self) -> impl Iterator<Item = &str> {
        self.sayings.keys().map(String::as_str)
    }
}

/// Takes up the translations of one file; mistakes are added to `problems`: an empty one, a number that is not in the
/// sentence or one left out, two translations of one sentence.
pub(crate) fn add_sayings(
    all: &mut Sayings,
    source: &SourceText,
    own: BTreeMap<String, Spanned<String>>,
    problems: &mut Problems,
) {
    for (written, text) in own {
        let mut report = |message: String, mend: &str| {
            problems.0.push(source.problem(text.span(), format!("says.{written}"), message, mend));
        };
        if text.get_ref().trim().is_empty() {
            report("this text is empty".into(), "write it, in this language");
        }
        let (asked, found) = (numbers(&written), numbers(text.get_ref()));
        if asked != found {
            report(
                format!("its numbers are {}, those of the sentence {}", listed(&found), listed(&asked)),
                "give it the numbers of the sentence, in figures where the sentence has figures",
            );
        }
        match all.get(&written) {
            Some(other) if other != text.get_ref() => {
                report("this sentence already has another translation".into(), "delete one of the two");
            }
            Some(_) => {}
            None => {
                all.insert(written, text.into_inner());
            }
        }
    }
}

fn listed(numbers: &[String]) -> String {
    if numbers.is_empty() { "none".into() } else { numbers.join(", ") }
}

/// The numbers in figures, sorted, with a point for a decimal comma between two figures.
fn numbers(text: &str) -> Vec<String> {
    let letters: Vec<char> = text.chars().collect();
    let is_digit = |at: usize| letters.get(at).is_some_and(char::is_ascii_digit);
    let mut found: Vec<String> = Vec::new();
    let mut inside = false;
    for (at, &letter) in letters.iter().enumerate() {
        let decimal = inside && matches!(letter, '.' | ',') && is_digit(at + 1);
        if letter.is_ascii_digit() && !inside {
            found.push(String::new());
        }
        inside = letter.is_ascii_digit() || decimal;
        if inside && let Some(last) = found.last_mut() {
            last.push(if decimal { '.' } else { letter });
        }
    }
    found.sort();
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(text: &str) -> Result<Words, Problems> {
        Words::load_with(Lang::Es, &[SourceText::new("own.toml", text)])
    }

    #[test]
    fn a_changed_sentence_has_no_translation() {
        let words = words("[says]\n\"At most 12 degrees\" = \"Como máximo 12 grados\"\n").expect("reads");
        assert_eq!(words.said("At most 12 degrees"), Said { text: "Como máximo 12 grados", lang: Lang::Es });
        assert_eq!(words.said("At most 22 degrees"), Said { text: "At most 22 degrees", lang: Lang::En });
    }

    #[test]
    fn a_translation_with_another_number_is_refused_at_its_line() {
        let problems =
            words("[says]\n\"Weeks 2-6, 3.7 percent\" = \"Semanas 2-8, 3,7 por ciento\"\n").unwrap_err();
        let first = &problems.0[0];
        assert_eq!((problems.0.len(), first.file.as_str(), first.line), (1, "own.toml", 2));
        assert_eq!(first.message, "its numbers are 2, 3.7, 8, those of the sentence 2, 3.7, 6");
    }

    #[test]
    fn numbers_are_told_apart_from_the_signs_around_them() {
        assert_eq!(numbers("weeks 2-6, then 10, 20. At 3,7 or 3.7"), ["10", "2", "20", "3.7", "3.7", "6"]);
        assert_eq!(numbers("two of three"), [""; 0]);
    }
}
