//! The encrypted way to a PostgreSQL server on another machine: what the URL asks for, and whose certificates count.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use postgres::config::{Host, SslMode};
use rustls::crypto::ring;
use rustls::pki_types::CertificateDer;
use rustls::pki_types::pem::PemObject as _;
use rustls::{ClientConfig, RootCertStore};
use tokio_postgres_rustls::MakeRustlsConnect;

/// A checked URL: what the driver connects to, and how.
pub(crate) struct Target {
    /// What the driver is asked for.
    pub(crate) config: postgres::Config,
    /// The encryption; none on this machine unless the URL asks for it, and where the URL switches it off.
    pub(crate) tls: Option<MakeRustlsConnect>,
}

/// Parameters of the URL that the driver does not know, in the standard meaning of the server's own client library
/// (PostgreSQL documentation, "Connection Strings", `sslmode` and `sslrootcert`).
struct Asked {
    /// The URL without them.
    url: String,
    mode: Option<String>,
    roots: Option<PathBuf>,
}

/// Reads a URL. Between machines the connection is encrypted, and the server's certificate and name are always
/// checked (`verify-full`), also where the URL asks for less; only `sslmode=disable` switches it off.
///
/// # Errors
/// What is wrong with the URL or the certificates, as a sentence for its writer.
pub(crate) fn target(url: &str) -> Result<Target, String> {
    let asked = asked(url)?;
    let mut config: postgres::Config = asked.url.parse().map_err(|e: postgres::Error| {
        let cause = std::error::Error::source(&e).map(|it| format!(": {it}")).unwrap_or_default();
        format!("{e}{cause}")
    })?;
    let wanted = match asked.mode.as_deref() {
        Some("disable") => false,
        Some("require" | "verify-ca" | "verify-full") => true,
        None | Some("prefer" | "allow") => is_far(&config) || asked.roots.is_some(),
        Some(other) => {
            return Err(format!("`sslmode={other}` is not known: write verify-full, or disable"));
        }
    };
    if !wanted {
        config.ssl_mode(SslMode::Disable);
        return Ok(Target { config, tls: None });
    }
    if !config.get_hosts().iter().all(|it| matches!(it, Host::Tcp(_))) {
        return Err("a socket file cannot be encrypted: leave sslmode out".into());
    }
    config.ssl_mode(SslMode::Require);
    let client = ClientConfig::builder_with_provider(Arc::new(ring::default_provider()))
        .with_safe_default_protocol_versions()
        .map_err(|e| e.to_string())?
        .with_root_certificates(roots(asked.roots.as_deref())?)
        .with_no_client_auth();
    Ok(Target { config, tls: Some(MakeRustlsConnect::new(client)) })
}

/// Whether a host is another machine.
fn is_far(config: &postgres::Config) -> bool {
    let far_address = config.get_hostaddrs().iter().any(|it| !it.is_loopback());
    far_address
        || config.get_hosts().iter().any(|host| match host {
            Host::Tcp(name) => {
                !(name == "localhost" || name.parse().is_ok_and(|ip: std::net::IpAddr| ip.is_loopback()))
            }
            Host::Unix(_) => false,
        })
}

fn asked(url: &str) -> Result<Asked, String> {
    let (front, query) = url.split_once('?').unwrap_or((url, ""));
    let (mut mode, mut roots) = (None, None);
    let mut rest = Vec::new();
    for pair in query.split('&').filter(|it| !it.is_empty()) {
        match pair.split_once('=') {
            Some(("sslmode", value)) => mode = Some(value.to_owned()),
            Some(("sslrootcert", value)) => roots = Some(PathBuf::from(decoded(value)?)),
            _ => rest.push(pair),
        }
    }
    let url = if rest.is_empty() { front.to_owned() } else { format!("{front}?{}", rest.join("&")) };
    Ok(Asked { url, mode, roots })
}

fn decoded(value: &str) -> Result<String, String> {
    let text = percent_encoding::percent_decode_str(value).decode_utf8();
    text.map(Into::into).map_err(|_| format!("`sslrootcert={value}` is not UTF-8"))
}

/// The authorities that may vouch for the server: those of the file, or the machine's own.
fn roots(file: Option<&Path>) -> Result<RootCertStore, String> {
    let mut store = RootCertStore::empty();
    let Some(file) = file else {
        store.add_parsable_certificates(rustls_native_certs::load_native_certs().certs);
        if store.is_empty() {
            return Err(
                "this machine knows no certificate authorities: install the package ca-certificates, or \
                        name the server's with sslrootcert=FILE"
                    .into(),
            );
        }
        return Ok(store);
    };
    let unusable = |cause: String| {
        format!("sslrootcert: {}: {cause}: expected a file of certificates in PEM", file.display())
    };
    for certificate in CertificateDer::pem_file_iter(file).map_err(|e| unusable(e.to_string()))? {
        let certificate = certificate.map_err(|e| unusable(e.to_string()))?;
        store.add(certificate).map_err(|e| unusable(e.to_string()))?;
    }
    if store.is_empty() {
        return Err(unusable("it holds no certificate".into()));
    }
    Ok(store)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn is_encrypted(url: &str) -> bool {
        let target = target(url).unwrap_or_else(|why| panic!("{url}: {why}"));
        assert_eq!(target.config.get_ssl_mode() == SslMode::Require, target.tls.is_some(), "{url}");
        target.tls.is_some()
    }

    fn refusal(url: &str) -> String {
        target(url).err().unwrap_or_else(|| panic!("{url} was taken"))
    }

    #[test]
    fn another_machine_is_reached_encrypted_unless_the_url_says_otherwise() {
        assert!(is_encrypted("postgres://h@db.example.org/clinic"));
        assert!(is_encrypted("postgres://h@db.example.org/clinic?sslmode=prefer"));
        assert!(is_encrypted("postgres://h@localhost,db.example.org/clinic"));
        assert!(is_encrypted("postgres://h@localhost/clinic?hostaddr=192.0.2.7"));
        assert!(!is_encrypted("postgres://h@db.example.org/clinic?sslmode=disable"));
        assert!(!is_encrypted("postgres://h@127.0.0.1/clinic"));
        assert!(!is_encrypted("postgres://h@[::1]:5433/clinic?application_name=sslmode"));
        assert!(is_encrypted("postgres://h@127.0.0.1/clinic?sslmode=verify-full"));
    }

    #[test]
    fn what_cannot_be_kept_is_refused_with_the_way_out() {
        assert!(refusal("postgres://h@a/b?sslmode=always").contains("verify-full, or disable"));
        assert!(refusal("postgres://h@a/b?sslrootcert=/nowhere/ca.pem").contains("/nowhere/ca.pem"));
        assert!(
            refusal("postgres://h@a/b?sslrootcert=%2Fnowhere%2Fca%20one.pem").contains("/nowhere/ca one.pem")
        );
        assert!(refusal("postgres:///b?host=%2Frun%2Fpg&sslmode=require").contains("socket file"));
        let folder = tempfile::tempdir().expect("a folder");
        let empty = folder.path().join("empty.pem");
        std::fs::write(&empty, "no certificate\n").expect("written");
        assert!(refusal(&format!("postgres://h@a/b?sslrootcert={}", empty.display())).contains("PEM"));
    }
}
