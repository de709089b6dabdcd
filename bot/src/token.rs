//! Random tokens for links, sessions and forms, and the hash that is kept instead of them.

use crate::record::hex;
use base64::Engine as _;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use sha2::{Digest as _, Sha256};
use subtle::ConstantTimeEq as _;

/// Length of a token as written: 32 bytes in base64 without padding.
pub const TOKEN_CHARS: usize = 43;

/// A new token: 256 random bits, written with letters, digits, `-` and `_`.
pub fn fresh() -> String {
    URL_SAFE_NO_PAD.encode(rand::random::<[u8; 32]>())
}

/// Whether a text is written as a token is.
pub fn is_token(text: &str) -> bool {
    text.len() == TOKEN_CHARS
        && text
            .bytes()
            .all(|b| b.is_ascii_alphanumeric() || b == b'-' || b == b'_')
}

/// SHA-256 of a token, hexadecimal. A fast hash is enough: a token of 256 random bits cannot be
/// found by trying.
pub fn hash(token: &str) -> String {
    hex(&Sha256::digest(token.as_bytes()))
}

/// A token that belongs to another one, for a purpose; it tells nothing about the other.
pub fn derived(token: &str, purpose: &str) -> String {
    let digest = Sha256::new()
        .chain_update(purpose.as_bytes())
        .chain_update([0])
        .chain_update(token.as_bytes())
        .finalize();
    URL_SAFE_NO_PAD.encode(digest)
}

/// Compares in a time that does not tell how much fits.
pub fn same(one: &str, other: &str) -> bool {
    one.as_bytes().ct_eq(other.as_bytes()).into()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_token_is_long_unlike_any_other_and_written_plainly() {
        let (one, other) = (fresh(), fresh());
        assert_ne!(one, other);
        assert!(is_token(&one) && is_token(&derived(&one, "form")));
        assert!(!is_token("short") && !is_token(&"/".repeat(TOKEN_CHARS)));
    }

    #[test]
    fn the_hash_is_sha_256() {
        // FIPS 180-4's example "abc", as published by NIST with the Secure Hash Standard.
        assert_eq!(
            hash("abc"),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
    }

    #[test]
    fn a_derived_token_fits_its_own_purpose_and_token_only() {
        let form = derived("session", "form");
        assert_ne!(form, derived("session", "other"));
        assert_ne!(form, derived("another", "form"));
        assert!(same(&form, &derived("session", "form")));
        assert!(!same(&form, "") && !same(&form, "x"));
    }
}
