//! Where a mistake stands in a text file, what was expected there and how to mend it.
//!
//! Every room that reads a text format reports through this one type, so that the command line can show
//! all mistakes of all files in one run. Never: files, clock, printing.
#![forbid(unsafe_code)]

use std::ops::Range;
use std::sync::Arc;

use miette::{Diagnostic, LabeledSpan, NamedSource, SourceCode};
use serde::de::DeserializeOwned;

pub use toml::Spanned;

/// One text with the name a person knows it by (a path, or "built-in: ...").
#[derive(Clone, Debug)]
pub struct SourceText {
    /// Name shown in messages.
    pub name: String,
    /// Whole text.
    pub text: Arc<str>,
}

impl SourceText {
    /// A named text.
    pub fn new(name: impl Into<String>, text: impl Into<Arc<str>>) -> Self {
        Self { name: name.into(), text: text.into() }
    }

    /// One-based line and column (in characters) of a byte offset.
    pub fn line_column(&self, offset: usize) -> (usize, usize) {
        let upto = &self.text[..self.text.floor_char_boundary(offset.min(self.text.len()))];
        let line = upto.matches('\n').count() + 1;
        let column = upto.rsplit('\n').next().map_or(0, |rest| rest.chars().count()) + 1;
        (line, column)
    }

    /// A problem at a byte range of this text.
    pub fn problem(
        &self,
        span: Range<usize>,
        field: impl Into<String>,
        message: impl Into<String>,
        mend: impl Into<String>,
    ) -> Problem {
        let (line, column) = self.line_column(span.start);
        Problem {
            file: self.name.clone(),
            line,
            column,
            field: field.into(),
            message: message.into(),
            mend: mend.into(),
            span,
            source: NamedSource::new(&self.name, self.text.to_string()),
        }
    }

    /// Parses TOML into `T`.
    ///
    /// # Errors
    /// One problem with the exact place of the first mistake; plain structs with `deny_unknown_fields`
    /// keep that place exact.
    pub fn parse<T: DeserializeOwned>(&self) -> Result<T, Problems> {
        toml::from_str(&self.text).map_err(|error| {
            let span = error.span().unwrap_or(0..0);
            Problems(vec![self.problem(
                span,
                "",
                error.message().to_string(),
                "correct this entry; the published schema lists every field and its meaning",
            )])
        })
    }
}

/// One mistake in one file.
#[derive(Clone, Debug)]
pub struct Problem {
    /// Name of the file.
    pub file: String,
    /// One-based line.
    pub line: usize,
    /// One-based column, in characters.
    pub column: usize,
    /// Field the mistake is in, dotted; empty when the whole entry is meant.
    pub field: String,
    /// What is wrong, and what was expected.
    pub message: String,
    /// How to mend it.
    pub mend: String,
    span: Range<usize>,
    source: NamedSource<String>,
}

impl std::fmt::Display for Problem {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}:{}:{}: ", self.file, self.line, self.column)?;
        if !self.field.is_empty() {
            write!(f, "`{}`: ", self.field)?;
        }
        write!(f, "{}", self.message)
    }
}

impl std::error::Error for Problem {}

impl Diagnostic for Problem {
    fn help<'a>(&'a self) -> Option<Box<dyn std::fmt::Display + 'a>> {
        Some(Box::new(&self.mend))
    }

    fn source_code(&self) -> Option<&dyn SourceCode> {
        Some(&self.source)
    }

    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        let label = LabeledSpan::new(Some("here".into()), self.span.start, self.span.len().max(1));
        Some(Box::new(std::iter::once(label)))
    }
}

/// All mistakes found in one run; never empty when returned as an error.
#[derive(Clone, Debug, Default)]
pub struct Problems(pub Vec<Problem>);

impl Problems {
    /// `Ok(value)` when nothing was found.
    ///
    /// # Errors
    /// The collected problems.
    pub fn or<T>(self, value: T) -> Result<T, Problems> {
        if self.0.is_empty() { Ok(value) } else { Err(self) }
    }
}

impl std::fmt::Display for Problems {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        for (index, problem) in self.0.iter().enumerate() {
            if index > 0 {
                writeln!(f)?;
            }
            write!(f, "{problem}\n  mend: {}", problem.mend)?;
        }
        Ok(())
    }
}

impl std::error::Error for Problems {}

#[cfg(test)]
mod tests {
    use super::*;

    #[derive(serde::Deserialize)]
    #[serde(deny_unknown_fields)]
    struct Chair {
        #[allow(dead_code)]
        height: Spanned<f64>,
    }

    #[test]
    fn an_unknown_field_is_reported_at_its_line() {
        let text = SourceText::new("home.toml", "height = 0.45\nwidht = 2\n");
        let problems = text.parse::<Chair>().err().expect("must fail");
        assert_eq!((problems.0[0].line, problems.0[0].column), (2, 1));
        assert!(problems.0[0].message.contains("widht"), "{}", problems.0[0].message);
    }

    #[test]
    fn columns_count_characters_not_bytes() {
        let text = SourceText::new("a", "é = 1\nñ=x");
        assert_eq!(text.line_column(2), (1, 2));
    }
}
