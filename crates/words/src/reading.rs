//! How hard a text is to read: an alarm, not a proof. Formulas do not see order, layout or wrong advice.
//!
//! English: Flesch-Kincaid grade (Kincaid 1975). Spanish: Szigriszt-Pazos 1993 with the INFLESZ bands
//! (Barrio-Cantalejo 2008): 65 and more is "fairly easy". Averages are not rounded before the final value.

/// Words, sentences and syllables of a text.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    /// Words, numbers included.
    pub words: usize,
    /// Sentences.
    pub sentences: usize,
    /// Syllables.
    pub syllables: usize,
}

/// Flesch-Kincaid grade of an English text; 0 for an empty one. Below 1 means "very easy".
pub fn flesch_kincaid_grade(text: &str) -> f64 {
    let it = count(text, english_syllables);
    if it.words == 0 {
        return 0.0;
    }
    let (words, sentences, syllables) = (it.words as f64, it.sentences as f64, it.syllables as f64);
    0.39 * words / sentences + 11.8 * syllables / words - 15.59
}

/// Szigriszt perspicuity of a Spanish text; 100 for an empty one. Higher is easier.
pub fn szigriszt(text: &str) -> f64 {
    let it = count(text, spanish_syllables);
    if it.words == 0 {
        return 100.0;
    }
    let (words, sentences, syllables) = (it.words as f64, it.sentences as f64, it.syllables as f64);
    206.835 - 62.3 * syllables / words - words / sentences
}

/// Counts with a syllable counter. Sentences end at `.`, `!`, `?`, `:` and line ends; a point inside a number
/// does not end one.
pub fn count(text: &str, syllables: fn(&str) -> usize) -> Counts {
    let mut counts = Counts::default();
    for sentence in sentences(text) {
        let words: Vec<&str> = words(sentence).collect();
        if words.is_empty() {
            continue;
        }
        counts.sentences += 1;
        counts.words += words.len();
        counts.syllables += words.iter().map(|it| syllables(it)).sum::<usize>();
    }
    counts
}

/// The sentences of a text.
pub fn sentences(text: &str) -> Vec<&str> {
    let mut out = Vec::new();
    let mut start = 0;
    for (at, c) in text.char_indices() {
        let next = text[at + c.len_utf8()..].chars().next();
        let ends = match c {
            '\n' | '!' | '?' => true,
            '.' | ':' => next.is_none_or(|it| !it.is_alphanumeric()),
            _ => false,
        };
        if ends {
            out.push(text[start..at].trim());
            start = at + c.len_utf8();
        }
    }
    out.push(text[start..].trim());
    out.retain(|it| !it.is_empty());
    out
}

/// The words of a text: runs of letters, digits and signs within a word.
pub fn words(text: &str) -> impl Iterator<Item = &str> {
    text.split(|c: char| !c.is_alphanumeric() && !matches!(c, '\'' | '’' | '.' | ',' | '%'))
        .map(|it| it.trim_matches(|c: char| !c.is_alphanumeric()))
        .filter(|it| !it.is_empty())
}

/// Syllables of an English word by rules: groups of vowels, without a silent ending. Numbers count as one.
pub fn english_syllables(word: &str) -> usize {
    let word: Vec<char> = word.to_lowercase().chars().filter(|it| it.is_alphabetic()).collect();
    let text: String = word.iter().collect();
    // Words whose spelling breaks the rules below and that these texts use.
    match text.as_str() {
        "toes" | "goes" | "does" | "shoes" | "knees" | "they" | "please" => return 1,
        "every" | "something" | "sometimes" | "someone" | "towards" | "therefore" | "being" | "doing" => {
            return 2;
        }
        "area" | "idea" | "exercise" | "anyone" => return 3,
        "exercises" => return 4,
        _ => {}
    }
    let is_vowel = |it: char| matches!(it, 'a' | 'e' | 'i' | 'o' | 'u' | 'y');
    let mut groups = 0;
    let mut before = false;
    for &letter in &word {
        let vowel = is_vowel(letter);
        if vowel && !before {
            groups += 1;
        }
        before = vowel;
    }
    let ends = |tail: &str| text.ends_with(tail);
    let third = word.len().checked_sub(3).map(|at| word[at]);
    let spoken_e = ends("ee") || ends("ye") || ends("le") && third.is_some_and(|it| !is_vowel(it));
    let silent_e = ends("e") && !spoken_e;
    let silent_es = ends("es")
        && third.is_some_and(|it| !is_vowel(it) && !matches!(it, 's' | 'z' | 'x' | 'c' | 'g'))
        && !ends("ches")
        && !ends("shes")
        && !(ends("les") && word.len() > 3 && !is_vowel(word[word.len() - 4]));
    let silent_ed = ends("ed") && third.is_some_and(|it| !is_vowel(it) && !matches!(it, 't' | 'd'));
    if groups > 1 && (silent_e || silent_es || silent_ed) {
        groups -= 1;
    }
    groups.max(1)
}

/// Syllables of a Spanish word by its rules: two strong vowels, or a weak one with an accent, make a hiatus.
/// Numbers count as one.
pub fn spanish_syllables(word: &str) -> usize {
    let letters: Vec<char> = word.to_lowercase().chars().filter(|it| it.is_alphabetic()).collect();
    let strong = |it: char| matches!(it, 'a' | 'e' | 'o' | 'á' | 'é' | 'ó' | 'í' | 'ú');
    let mut count = 0;
    let mut before: Option<char> = None;
    for (at, &letter) in letters.iter().enumerate() {
        let next = letters.get(at + 1).copied();
        // The u of que, qui, gue, gui is silent; y is a vowel only at the end of a word or alone.
        let silent = letter == 'u'
            && at > 0
            && matches!(letters[at - 1], 'q' | 'g')
            && next.is_some_and(|it| matches!(it, 'e' | 'i' | 'é' | 'í'));
        let vowel = strong(letter) || matches!(letter, 'i' | 'u' | 'ü') || (letter == 'y' && next.is_none());
        if silent || !vowel {
            if !silent {
                before = None;
            }
            continue;
        }
        let joins = before.is_some_and(|it| !(strong(it) && strong(letter)));
        if !joins {
            count += 1;
        }
        before = Some(letter);
    }
    count.max(1)
}

#[cfg(test)]
mod tests {
    use super::*;

    const EN: &str = "Sit on a firm chair. Put your foot flat on the floor. Slowly lift your heel as high as you can. \
                      Hold it for three seconds, then lower it with control. Do this ten times. Stop and call the \
                      clinic if the pain in your calf gets suddenly worse.";
    const ES: &str = "Siéntese en una silla firme. Apoye el pie en el suelo. Levante el talón despacio. Manténgalo \
                      arriba tres segundos y bájelo con control. Hágalo diez veces. Si el dolor aumenta de repente, \
                      pare y llame a la clínica.";

    #[test]
    fn english_agrees_with_a_hand_count_and_published_packages() {
        let counts = count(EN, english_syllables);
        assert_eq!(counts, Counts { words: 49, sentences: 6, syllables: 56 });
        assert!((flesch_kincaid_grade(EN) - 1.0807).abs() < 1e-3);
    }

    #[test]
    fn spanish_agrees_with_a_hand_count() {
        let counts = count(ES, spanish_syllables);
        assert_eq!(counts, Counts { words: 38, sentences: 6, syllables: 73 });
        assert!((szigriszt(ES) - 80.8201).abs() < 1e-3);
    }

    #[test]
    fn hard_text_raises_the_alarm() {
        let hard = "Postoperative rehabilitation necessitates meticulous adherence to individualized restrictions \
                    regarding dorsiflexion beyond anatomical neutrality throughout the proliferative phase.";
        assert!(flesch_kincaid_grade(hard) > 15.0);
        let duro = "La rehabilitación posoperatoria necesita una observancia meticulosa de las restricciones \
                    individualizadas relativas a la dorsiflexión articular durante la cicatrización.";
        assert!(szigriszt(duro) < 40.0);
    }

    #[test]
    fn spanish_rules() {
        let words = [
            ("día", 2),
            ("pie", 1),
            ("muñeca", 3),
            ("guía", 2),
            ("aéreo", 4),
            ("y", 1),
            ("cuidado", 3),
            ("oído", 3),
        ];
        for (word, syllables) in words {
            assert_eq!(spanish_syllables(word), syllables, "{word}");
        }
    }

    #[test]
    fn english_rules() {
        let words = [
            ("ankle", 2),
            ("bandages", 3),
            ("hold", 1),
            ("lifted", 2),
            ("moved", 1),
            ("knees", 1),
            ("toes", 1),
            ("shoulder", 2),
            ("exercise", 3),
            ("muscles", 2),
        ];
        for (word, syllables) in words {
            assert_eq!(english_syllables(word), syllables, "{word}");
        }
    }

    #[test]
    fn a_decimal_point_ends_no_sentence() {
        assert_eq!(sentences("Use at most 2.2 kg. Stop: it hurts.").len(), 3);
    }
}
