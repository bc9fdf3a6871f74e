//! Owns photos: pictures held in the page itself, and nothing else that an address could stand for.

use thiserror::Error;

/// A photo that goes into a report.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Photo {
    uri: String,
    /// What it shows; may be empty.
    pub caption: String,
    /// Id of the finding it belongs to, where known.
    pub finding: Option<String>,
    /// When in the recording it was taken, in milliseconds, where known.
    pub at_ms: Option<u64>,
}

/// Why an address is no photo.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum PhotoError {
    /// Not a picture that is held in the address itself.
    #[error("not a picture in a data URI; give data:image/jpeg, png, webp or gif with ;base64,")]
    NotAPicture,
    /// The picture's letters are not base64.
    #[error("the picture is not base64 (RFC 4648, section 4); encode it again")]
    NotBase64,
}

impl Photo {
    /// A photo from a data URI (RFC 2397) of a JPEG, PNG, WebP or GIF picture in base64.
    ///
    /// # Errors
    /// The address is no such URI.
    pub fn new(uri: &str, caption: &str) -> Result<Photo, PhotoError> {
        let kinds = ["jpeg", "png", "webp", "gif"];
        let letters = kinds
            .iter()
            .find_map(|k| uri.strip_prefix("data:image/")?.strip_prefix(k)?.strip_prefix(";base64,"))
            .ok_or(PhotoError::NotAPicture)?;
        let body = letters.trim_end_matches('=');
        let fine = !body.is_empty()
            && letters.len() - body.len() <= 2
            && letters.len() % 4 == 0
            && body.bytes().all(|b| b.is_ascii_alphanumeric() || matches!(b, b'+' | b'/'));
        if !fine {
            return Err(PhotoError::NotBase64);
        }
        Ok(Photo { uri: uri.into(), caption: caption.into(), finding: None, at_ms: None })
    }

    /// The data URI.
    pub fn uri(&self) -> &str {
        &self.uri
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_pictures_held_in_the_page_are_photos() {
        for good in ["data:image/png;base64,iVBORw0KGgo=", "data:image/jpeg;base64,/9j/4AAQ"] {
            assert!(Photo::new(good, "").is_ok(), "{good}");
        }
        let table = [
            ("https://example.invalid/a.png", PhotoError::NotAPicture),
            ("data:image/svg+xml;base64,AAAA", PhotoError::NotAPicture),
            ("data:text/html;base64,AAAA", PhotoError::NotAPicture),
            ("javascript:alert(1)", PhotoError::NotAPicture),
            ("data:image/png;base64,", PhotoError::NotBase64),
            ("data:image/png;base64,AAA", PhotoError::NotBase64),
            ("data:image/png;base64,AA\"A", PhotoError::NotBase64),
            ("data:image/png;base64,A===", PhotoError::NotBase64),
        ];
        for (bad, error) in table {
            assert_eq!(Photo::new(bad, ""), Err(error), "{bad}");
        }
    }
}
