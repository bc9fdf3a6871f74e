//! Owns what encrypts the desk: the shop's certificate, or one that the desk makes itself and keeps.

use std::fs;
use std::io::{self, Write};
use std::net::{IpAddr, SocketAddr, UdpSocket};
use std::path::Path;
use std::sync::Arc;

use axum_server::tls_rustls::RustlsConfig;
use rustls::ServerConfig;
use rustls::pki_types::pem::PemObject;
use rustls::pki_types::{CertificateDer, PrivateKeyDer};

const CERTIFICATE: &str = "certificate.pem";
const KEY: &str = "key.pem";

/// Reads certificate and key from a folder. Where there is neither, both are made for these names and addresses and put there.
///
/// # Errors
/// They can't be read, made or used; the place is named.
pub fn configuration(folder: &Path, names: Vec<String>) -> io::Result<RustlsConfig> {
    let (certificate, key) = (folder.join(CERTIFICATE), folder.join(KEY));
    if !certificate.exists() && !key.exists() {
        let made = rcgen::generate_simple_self_signed(names).map_err(io::Error::other)?;
        fs::create_dir_all(folder)?;
        write(&key, &made.signing_key.serialize_pem(), 0o600)?;
        write(&certificate, &made.cert.pem(), 0o644)?;
    }
    let used = used(&certificate, &key).map_err(|why| {
        let folder = folder.display();
        io::Error::other(format!(
            "{folder}: {CERTIFICATE} and {KEY} in it can't be used: {why}; mend both or delete both"
        ))
    })?;
    Ok(RustlsConfig::from_config(Arc::new(used)))
}

fn used(certificate: &Path, key: &Path) -> Result<ServerConfig, Box<dyn std::error::Error>> {
    let chain = CertificateDer::pem_file_iter(certificate)?.collect::<Result<Vec<_>, _>>()?;
    let key = PrivateKeyDer::from_pem_file(key)?;
    let provider = Arc::new(rustls::crypto::ring::default_provider());
    let builder = ServerConfig::builder_with_provider(provider).with_safe_default_protocol_versions()?;
    let mut used = builder.with_no_client_auth().with_single_cert(chain, key)?;
    // HTTP/1.1 alone: the guard holds every request to its one Host line
    used.alpn_protocols = vec![b"http/1.1".to_vec()];
    Ok(used)
}

fn write(path: &Path, text: &str, rights: u32) -> io::Result<()> {
    let mut options = fs::OpenOptions::new();
    options.write(true).create_new(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, rights);
    #[cfg(not(unix))]
    let _ = rights;
    options.open(path)?.write_all(text.as_bytes())
}

/// The address that others reach this machine at, where it listens on all of them.
pub fn reachable(at: SocketAddr) -> IpAddr {
    if !at.ip().is_unspecified() {
        return at.ip();
    }
    // nothing is sent: it is only asked which of its addresses this machine would send from (RFC 5737 and 3849 addresses)
    let (from, to) = if at.is_ipv4() { ("0.0.0.0:0", "192.0.2.1:9") } else { ("[::]:0", "[2001:db8::1]:9") };
    let own = UdpSocket::bind(from).and_then(|s| s.connect(to).and_then(|()| s.local_addr()));
    own.map_or(at.ip(), |own| own.ip())
}
