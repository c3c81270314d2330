//! Bytes as base64, for pictures inside the page (RFC 4648, section 4, with padding).

const ALPHABET: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";

/// The bytes as base64 text.
pub(super) fn encoded(bytes: &[u8]) -> String {
    let mut text = String::with_capacity(bytes.len().div_ceil(3) * 4);
    for group in bytes.chunks(3) {
        let at = |i: usize| u32::from(group.get(i).copied().unwrap_or(0));
        let bits = at(0) << 16 | at(1) << 8 | at(2);
        for i in 0..4 {
            if i <= group.len() {
                let sign = ALPHABET[(bits >> (18 - 6 * i) & 63) as usize];
                text.push(char::from(sign));
            } else {
                text.push('=');
            }
        }
    }
    text
}

/// A PNG picture as the source of an image in a page.
pub fn picture_source(png: &[u8]) -> String {
    format!("data:image/png;base64,{}", encoded(png))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The test vectors of RFC 4648, section 10.
    #[test]
    fn the_vectors_of_the_standard() {
        for (bytes, text) in [
            ("", ""),
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foob", "Zm9vYg=="),
            ("fooba", "Zm9vYmE="),
            ("foobar", "Zm9vYmFy"),
        ] {
            assert_eq!(encoded(bytes.as_bytes()), text);
        }
        assert_eq!(encoded(&[0xFB, 0xFF, 0xFE]), "+//+");
    }
}
