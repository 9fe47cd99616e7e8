//! Passwords (Argon2id) and one-time codes (TOTP, RFC 6238).

use argon2::password_hash::{PasswordHasher as _, PasswordVerifier as _};
use argon2::{Algorithm, Argon2, Params, PasswordHash, Version};
use totp_rs::{Builder, Secret, Totp};

use crate::fault::Fault;

/// Shortest password taken. Length does more than rules about signs.
pub const SHORTEST: usize = 12;

/// Memory 19 MiB, two passes, one lane: the OWASP minimum for Argon2id (memory, unconfirmed).
fn hasher() -> Argon2<'static> {
    let params = Params::new(19 * 1024, 2, 1, None).unwrap_or_default();
    Argon2::new(Algorithm::Argon2id, Version::V0x13, params)
}

/// PHC string of a new password.
///
/// # Errors
/// A password that is too short; a failing random generator.
pub fn hash(password: &str) -> Result<String, Fault> {
    if password.chars().count() < SHORTEST {
        let message = format!("a password has at least {SHORTEST} characters");
        return Err(Fault::refused(message, "take three or four words that do not belong together"));
    }
    let hash = hasher().hash_password(password.as_bytes());
    hash.map(|it| it.to_string()).map_err(|error| Fault::Internal(format!("password: {error}")))
}

/// Whether a password fits. Takes as long for a missing account (`None`) as for a wrong password.
pub fn fits(password: &str, phc: Option<&str>) -> bool {
    // A hash that no password fits: what it costs to try must not tell whether the account exists.
    const NOBODY: &str = "$argon2id$v=19$m=19456,t=2,p=1$c29tZXNhbHRzb21lc2FsdA$\
                          AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA";
    let known = phc.is_some();
    let Ok(hash) = PasswordHash::new(phc.unwrap_or(NOBODY)) else { return false };
    hasher().verify_password(password.as_bytes(), &hash).is_ok() && known
}

/// A clock-based one-time code for a secret (base32).
fn totp(secret: &str, account: &str) -> Option<Totp> {
    let secret = Secret::try_from_base32(secret).ok()?;
    Builder::new()
        .with_secret(secret)
        .with_skew(1)
        .with_issuer(Some("Handrail"))
        .with_account_name(account)
        .build()
        .ok()
}

/// A new secret (base32).
///
/// # Errors
/// A failing random generator.
pub fn new_totp_secret() -> Result<String, Fault> {
    let mut bytes = [0u8; 20];
    getrandom::fill(&mut bytes).map_err(|error| Fault::Internal(format!("random: {error}")))?;
    Ok(Secret::from(bytes).to_base32())
}

/// The `otpauth://` address that an authenticator reads.
pub fn totp_address(secret: &str, account: &str) -> Option<String> {
    totp(secret, account)?.to_url().ok()
}

/// The time step (30 s) that a code belongs to at this moment (s since 1970), one step of slack on either side;
/// `None` when it does not fit. The caller refuses a step that was used before.
pub fn totp_step(secret: &str, code: &str, seconds: u64) -> Option<u64> {
    totp(secret, "account")?.check(code.trim(), seconds)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_password_fits_itself_only_and_a_short_one_is_refused() {
        let phc = hash("wade tulip oblong nine").expect("hash");
        assert!(phc.starts_with("$argon2id$"), "{phc}");
        assert!(fits("wade tulip oblong nine", Some(&phc)));
        assert!(!fits("wade tulip oblong ten", Some(&phc)));
        assert!(!fits("wade tulip oblong nine", None));
        assert!(hash("short").is_err());
    }

    #[test]
    fn codes_are_those_of_rfc_6238() {
        // RFC 6238, appendix B: secret "12345678901234567890", SHA-1, 59 s -> 94287082 (its last six digits).
        let secret = Secret::from(*b"12345678901234567890").to_base32();
        assert_eq!(totp_step(&secret, "287082", 59), Some(1));
        assert_eq!(totp_step(&secret, "287082", 59 + 30), Some(1), "one step late");
        assert_eq!(totp_step(&secret, "287082", 59 + 90), None);
        assert_eq!(totp_step(&secret, "not a code", 59), None);
    }
}
