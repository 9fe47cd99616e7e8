//! Passwords that are said aloud once, and the code that an authenticator reads.

use crate::fault::Fault;
use maud::{Markup, PreEscaped, html};
use qrcode::{EcLevel, QrCode};

/// Letters of a syllable. Without `l`, which looks like `I` and `1`, and without `q`, `x`, `y` and `c`, which are said
/// differently in the clinic's languages.
const CONSONANTS: &[u8; 16] = b"bdfghjkmnprstvwz";
const VOWELS: &[u8; 4] = b"aeio";
/// Two syllables (2 x 6 bits) a group: 60 bits in five groups.
const GROUPS: usize = 5;

/// A random password that can be read over the telephone: `kato-mire-...`, 60 bits.
///
/// # Errors
/// A failing random generator.
pub(crate) fn one_time_password() -> Result<String, Fault> {
    let mut bytes = [0u8; 2 * GROUPS];
    getrandom::fill(&mut bytes).map_err(|error| Fault::Internal(format!("random: {error}")))?;
    let mut out = String::new();
    for (at, byte) in bytes.into_iter().enumerate() {
        if at > 0 && at % 2 == 0 {
            out.push('-');
        }
        // Sixteen times four: six bits, each value as likely as the other.
        out.push(char::from(CONSONANTS[usize::from(byte & 15)]));
        out.push(char::from(VOWELS[usize::from((byte >> 4) & 3)]));
    }
    Ok(out)
}

/// A base32 secret in groups of four, for typing.
pub(crate) fn in_fours(secret: &str) -> String {
    let letters: Vec<char> = secret.chars().collect();
    letters.chunks(4).map(|it| it.iter().collect::<String>()).collect::<Vec<_>>().join(" ")
}

/// A text as a QR code with the quiet zone that readers need, one unit a module.
///
/// # Errors
/// A text that is too long for a code.
pub(crate) fn code(text: &str, label: &str) -> Result<Markup, Fault> {
    let code = QrCode::with_error_correction_level(text, EcLevel::M)
        .map_err(|error| Fault::Internal(format!("QR code: {error}")))?;
    let (width, quiet) = (code.width(), 4);
    let mut path = String::new();
    for (at, color) in code.to_colors().into_iter().enumerate() {
        if color == qrcode::Color::Dark {
            path.push_str(&format!("M{} {}h1v1h-1z", at % width + quiet, at / width + quiet));
        }
    }
    let all = width + 2 * quiet;
    Ok(html! {
        svg class="settings-code" viewBox={ "0 0 " (all) " " (all) } role="img" aria-label=(label) shape-rendering="crispEdges" {
            rect width=(all) height=(all) fill="#fff" {}
            (PreEscaped(format!("<path d=\"{path}\" fill=\"#000\"/>")))
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_time_passwords_are_long_enough_and_differ() {
        let (one, other) = (one_time_password().expect("random"), one_time_password().expect("random"));
        assert_ne!(one, other);
        assert_eq!(one.len(), 24, "{one}");
        assert!(one.len() >= crate::passwords::SHORTEST);
    }

    #[test]
    fn secrets_are_typed_in_fours() {
        assert_eq!(in_fours("ABCDEFGHIJ"), "ABCD EFGH IJ");
    }
}
