//! Random identifiers and secrets, and the hash under which a secret is kept.

use crate::StoreError;

/// Random bytes from the system.
pub(crate) fn random_bytes<const N: usize>() -> Result<[u8; N], StoreError> {
    let mut bytes = [0; N];
    getrandom::fill(&mut bytes).map_err(|e| {
        StoreError::refused(
            format!("the system gives no randomness: {e}"),
            "check the system's random device",
        )
    })?;
    Ok(bytes)
}

/// Lower-case hexadecimal digits.
pub(crate) fn hex(bytes: &[u8]) -> String {
    const DIGITS: &[u8; 16] = b"0123456789abcdef";
    bytes
        .iter()
        .flat_map(|b| [DIGITS[usize::from(b >> 4)], DIGITS[usize::from(b & 15)]])
        .map(char::from)
        .collect()
}

/// Digits and letters without `i`, `l`, `o`, `u`, which are mistaken for others when read aloud or typed from paper.
const ALPHABET: &[u8; 32] = b"0123456789abcdefghjkmnpqrstvwxyz";

fn letters<const N: usize>() -> Result<String, StoreError> {
    Ok(random_bytes::<N>()?.iter().map(|b| char::from(ALPHABET[usize::from(b & 31)])).collect())
}

/// A new identifier of an account, a link or a stream: 16 letters and digits, 80 bits. Not a secret.
///
/// # Errors
/// When the system has no randomness to give.
pub fn new_id() -> Result<String, StoreError> {
    letters::<16>()
}

/// A new secret for a cookie or a link: 32 letters and digits, 160 bits.
///
/// # Errors
/// When the system has no randomness to give.
pub fn new_secret() -> Result<String, StoreError> {
    letters::<32>()
}

/// The hash under which a secret is kept: who reads the database cannot use it to sign in.
pub fn secret_hash(secret: &str) -> [u8; 32] {
    blake3::derive_key("handrail 2026-11 secret of a session or link v1", secret.as_bytes())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn identifiers_differ_and_hashes_do_not() {
        let (a, b) = (new_secret().expect("random"), new_secret().expect("random"));
        assert_eq!((a.len(), new_id().expect("random").len()), (32, 16));
        assert_ne!(a, b);
        assert_eq!(secret_hash(&a), secret_hash(&a));
        assert_ne!(secret_hash(&a), secret_hash(&b));
        assert_eq!(hex(&[0, 171, 255]), "00abff");
    }
}
