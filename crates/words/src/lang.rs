//! Languages that texts exist in.

use unic_langid::{LanguageIdentifier, langid};

/// A language with a complete set of texts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Lang {
    /// English (United States).
    En,
    /// Spanish, polite form of address (usted).
    Es,
}

impl Lang {
    /// All languages.
    pub const ALL: [Lang; 2] = [Lang::En, Lang::Es];

    /// BCP 47 tag, as used in files, JSON and for the folder of the texts.
    pub fn id(self) -> &'static str {
        match self {
            Lang::En => "en",
            Lang::Es => "es",
        }
    }

    /// Name of the language in itself.
    pub fn own_name(self) -> &'static str {
        match self {
            Lang::En => "English",
            Lang::Es => "Español",
        }
    }

    pub(crate) fn identifier(self) -> LanguageIdentifier {
        match self {
            Lang::En => langid!("en"),
            Lang::Es => langid!("es"),
        }
    }

    /// Places that an exercise's words may leave open for the side.
    pub fn placeholders(self) -> &'static [&'static str] {
        match self {
            Lang::En => &["side", "other_side"],
            Lang::Es => &["side_m", "side_f", "other_m", "other_f"],
        }
    }
}

/// A language tag that no texts exist for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnknownLang(pub String);

impl std::fmt::Display for UnknownLang {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let known: Vec<&str> = Lang::ALL.iter().map(|it| it.id()).collect();
        write!(f, "there are no texts in language `{}`; use {}", self.0, known.join(" or "))
    }
}

impl std::error::Error for UnknownLang {}

impl std::str::FromStr for Lang {
    type Err = UnknownLang;

    /// Reads a language tag; a region behind it (`es-MX`) is accepted.
    fn from_str(text: &str) -> Result<Lang, UnknownLang> {
        let primary = text.split(['-', '_']).next().unwrap_or_default();
        let found = Lang::ALL.into_iter().find(|it| it.id().eq_ignore_ascii_case(primary));
        found.ok_or_else(|| UnknownLang(text.into()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tags_read_with_and_without_region() {
        assert_eq!("en".parse(), Ok(Lang::En));
        assert_eq!("es-MX".parse(), Ok(Lang::Es));
        assert!("fr".parse::<Lang>().unwrap_err().to_string().contains("en or es"));
    }
}
