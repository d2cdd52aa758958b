//! No bytes, and no damage to a good file, make the reader panic or hand over a value that is not finite.

use crate::common::drive_files;
use proptest::prelude::*;
use schema::{Colour, read};
use std::sync::LazyLock;

static GOOD: LazyLock<Vec<String>> = LazyLock::new(|| {
    drive_files("examples").into_iter().map(|path| std::fs::read_to_string(path).unwrap()).collect()
});

/// Reads bytes and, where they are refused, renders and locates every message.
fn read_and_tell(bytes: &[u8]) {
    match read("f.toml", bytes) {
        Ok(file) => assert!(file.drive.geometry.ring_radius_mm.is_finite()),
        Err(wrong) => {
            assert!(wrong.has_error());
            assert!(!wrong.render(Colour::Plain).is_empty());
            let _ = (wrong.render(Colour::Terminal), wrong.located());
        }
    }
}

/// Texts made of what drive files are made of, in any order.
fn pieces() -> impl Strategy<Value = String> {
    let piece = prop::sample::select(vec![
        "[",
        "]",
        "[[",
        "]]",
        "{",
        "}",
        "\"",
        "'",
        "\"\"\"",
        "=",
        ".",
        ",",
        "\n",
        "\r\n",
        "#",
        "format = 1\n",
        "drive",
        "requirement",
        "duty",
        "geometry",
        "ring_radius",
        "materials.custom",
        "\"62 mm\"",
        "1e999",
        "-0",
        "nan",
        "inf",
        "0x",
        "99999999999999999999",
        "2026-11-25",
        "µ",
        "\u{feff}",
        "\u{202e}",
        "\\u0000",
        "true",
        " ",
        "\t",
    ]);
    prop::collection::vec(piece, 0..60).prop_map(|pieces| pieces.concat())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn identity_no_bytes_make_the_reader_panic(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        read_and_tell(&bytes);
    }

    #[test]
    fn identity_no_text_makes_the_reader_panic(text in "\\PC{0,200}") {
        read_and_tell(text.as_bytes());
    }

    #[test]
    fn identity_no_order_of_pieces_makes_the_reader_panic(text in pieces()) {
        read_and_tell(text.as_bytes());
        read_and_tell(format!("{}{text}", GOOD[0]).as_bytes());
    }

    #[test]
    fn identity_no_damage_to_a_good_file_makes_the_reader_panic(
        file in 0..4_usize,
        damage in prop::collection::vec((any::<prop::sample::Index>(), 0..4_usize, 1..40_usize, any::<u8>()), 1..6),
    ) {
        let mut bytes = GOOD[file].clone().into_bytes();
        for (at, kind, length, byte) in damage {
            let start = at.index(bytes.len().max(1)).min(bytes.len());
            let end = (start + length).min(bytes.len());
            match kind {
                0 => drop(bytes.drain(start..end)),
                1 => { let copy = bytes[start..end].to_vec(); bytes.splice(start..start, copy); }
                2 => bytes[start..end].iter_mut().for_each(|old| *old ^= byte),
                _ => bytes.insert(start, byte),
            }
        }
        read_and_tell(&bytes);
    }

    /// Whatever stands in a value, an edit ends as a read file or as messages, and the file that reads
    /// again is the one that was written.
    #[test]
    fn identity_no_edit_makes_the_reader_panic(text in "\\PC{0,30}", mm in 0.5..200.0_f64) {
        let file = read("f.toml", GOOD[0].as_bytes()).unwrap();
        for path in ["geometry.ring_radius", "geometry.pin_count", "requirement.ratio", "drive.note", "requirement.holds_load"] {
            if let Ok(edited) = file.with_value(path, &text) {
                let again = read("f.toml", edited.text.as_bytes()).unwrap();
                prop_assert_eq!(&again.drive, &edited.drive);
            }
        }
        let edited = file.with_value("geometry.housing_radius", &format!("{mm} mm")).unwrap();
        prop_assert_eq!(edited.drive.geometry.housing_radius_mm, Some(mm));
        let again = read("f.toml", edited.text.as_bytes()).unwrap();
        prop_assert_eq!(again.drive, edited.drive);
    }
}
