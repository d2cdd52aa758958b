//! The manifest: which files of a directory this program wrote, from which drive file, with their hashes.

use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use std::fmt::Write;

/// Name of the manifest in its directory.
pub const FILE_NAME: &str = "manifest.json";

/// Number of the manifest's format.
const FORMAT: u32 = 1;

/// What this program wrote into a directory.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Manifest {
    /// Number of the manifest's format.
    pub format: u32,
    /// The files, by name.
    pub files: Vec<Entry>,
}

/// A file that this program wrote.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Entry {
    /// Its name in the directory.
    pub name: String,
    /// Its length.
    pub bytes: u64,
    /// SHA-256 of its bytes.
    pub sha256: String,
    /// SHA-256 of the bytes of the drive file that it was made from.
    pub drive_file_sha256: String,
    /// Program and version that wrote it.
    pub program: String,
}

impl Manifest {
    /// An empty manifest.
    #[must_use]
    pub fn new() -> Self {
        Self { format: FORMAT, files: Vec::new() }
    }

    /// The manifest that a file holds, `None` if it is not one of ours.
    #[must_use]
    pub fn parse(bytes: &[u8]) -> Option<Self> {
        serde_json::from_slice::<Self>(bytes).ok().filter(|manifest| manifest.format == FORMAT)
    }

    /// The entry of a file.
    #[must_use]
    pub fn entry(&self, name: &str) -> Option<&Entry> {
        self.files.iter().find(|entry| entry.name == name)
    }

    /// Puts an entry in the place of the one of the same name, and keeps the list sorted.
    pub fn put(&mut self, entry: Entry) {
        self.files.retain(|other| other.name != entry.name);
        self.files.push(entry);
        self.files.sort_by(|a, b| a.name.cmp(&b.name));
    }

    /// The manifest as the bytes of its file.
    #[must_use]
    pub fn to_bytes(&self) -> Vec<u8> {
        let mut text = serde_json::to_string_pretty(self).expect("strings and numbers always serialise");
        text.push('\n');
        text.into_bytes()
    }
}

/// SHA-256 of bytes, in lower-case hexadecimal digits.
#[must_use]
pub fn sha256_hex(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().fold(String::new(), |mut text, byte| {
        let _ = write!(text, "{byte:02x}");
        text
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn published_hash_of_abc() {
        // FIPS 180-2, appendix B.1, one-block message (from memory): the three letters "abc".
        let expected = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        assert_eq!(sha256_hex(b"abc"), expected);
    }

    #[test]
    fn identity_manifest_reads_back() {
        let mut manifest = Manifest::new();
        for name in ["b.dxf", "a.step", "b.dxf"] {
            manifest.put(Entry {
                name: name.to_owned(),
                bytes: 3,
                sha256: sha256_hex(name.as_bytes()),
                drive_file_sha256: sha256_hex(b""),
                program: "lobewright".to_owned(),
            });
        }
        let names: Vec<&str> = manifest.files.iter().map(|entry| entry.name.as_str()).collect();
        assert_eq!(names, ["a.step", "b.dxf"]);
        assert_eq!(Manifest::parse(&manifest.to_bytes()), Some(manifest));
        assert_eq!(Manifest::parse(b"{\"format\": 2, \"files\": []}"), None);
    }
}
