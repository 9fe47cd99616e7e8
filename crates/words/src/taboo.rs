//! Words that no text may contain: they promise, reassure or pretend to be a licence.

use crate::lang::Lang;

/// The forbidden words and phrases of a language, lower case. A trailing `*` stands for any ending.
pub fn forbidden(lang: Lang) -> &'static [&'static str] {
    match lang {
        Lang::En => &[
            "safe",
            "safely",
            "safer",
            "cleared",
            "guarantee*",
            "diagnos*",
            "treats",
            "you may now",
            "cure*",
            "heals",
            "will heal",
            "harmless",
            "risk-free",
            "nothing to worry",
            "do not worry",
            "don't worry",
            "no need to worry",
            "all clear",
            "is normal",
            "are normal",
        ],
        Lang::Es => &[
            "seguro",
            "segura",
            "seguros",
            "seguras",
            "sin peligro",
            "sin riesgo",
            "garantiza*",
            "diagnostica*",
            "diagnóstico*",
            "ya puede",
            "cura",
            "curará",
            "sanará",
            "inofensiv*",
            "no se preocupe",
            "es normal",
            "son normales",
            "autorizado",
            "autorizada",
            "dado de alta",
        ],
    }
}

/// The forbidden words and phrases found in a text.
pub fn found(lang: Lang, text: &str) -> Vec<&'static str> {
    let lower = text.to_lowercase();
    let is_letter = |it: Option<char>| it.is_some_and(char::is_alphanumeric);
    let hit = |phrase: &str| {
        let (stem, open) = phrase.strip_suffix('*').map_or((phrase, false), |it| (it, true));
        lower.match_indices(stem).any(|(at, _)| {
            let before = lower[..at].chars().next_back();
            let after = lower[at + stem.len()..].chars().next();
            !is_letter(before) && (open || !is_letter(after))
        })
    };
    forbidden(lang).iter().copied().filter(|it| hit(it)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn whole_words_count_and_parts_of_words_do_not() {
        assert_eq!(found(Lang::En, "This is Safe."), ["safe"]);
        assert_eq!(found(Lang::En, "The unsafe vouchsafed."), Vec::<&str>::new());
        assert_eq!(found(Lang::En, "Diagnosed and guaranteed"), ["guarantee*", "diagnos*"]);
        assert_eq!(found(Lang::Es, "Ya puede caminar seguro."), ["seguro", "ya puede"]);
        assert_eq!(found(Lang::Es, "Asegure la silla."), Vec::<&str>::new());
    }
}
