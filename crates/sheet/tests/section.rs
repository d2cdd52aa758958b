//! The section of a shipped example: dimensions as stated, and a drawing that every reader can open.

use reducer::profile::LobeProfile;
use sheet::figure::{Body, Figure, Mark};
use sheet::{figures, svg};

fn section_of(example: &str, crank_angle_rad: f64) -> Figure {
    let path = format!("{}/../../examples/{example}.toml", env!("CARGO_MANIFEST_DIR"));
    let bytes = std::fs::read(path).expect("shipped examples are there");
    let file = schema::read(example, &bytes);
    let drive = file.unwrap_or_else(|errors| panic!("{}", errors.render(schema::Colour::Plain))).drive;
    figures::section(&drive, &LobeProfile::of(&drive.geometry), crank_angle_rad)
}

#[test]
fn identity_section_shows_the_dimensions_of_its_drive() {
    let text = svg::render(&section_of("orchard-arm-shoulder", 0.5), svg::Theme::Print);
    for words in
        ["40 × Ø 5.5", "Ø 124", "8 × Ø 9", "8 × Ø 12", "Ø 148", "<tspan class=\"f-symbol\">e</tspan> 1.25"]
    {
        assert!(text.contains(words), "{words}");
    }
}

#[test]
fn identity_rendering_is_the_same_twice_and_has_no_minus_zero_or_nan() {
    for theme in [svg::Theme::Print, svg::Theme::Light, svg::Theme::Dark, svg::Theme::Page] {
        let render = || svg::render(&section_of("orchard-arm-shoulder", 1.0), theme);
        let text = render();
        assert_eq!(text, render());
        for wrong in ["NaN", "inf", "\"-0\"", " -0 ", "M-0 "] {
            assert!(!text.contains(wrong), "{wrong}");
        }
    }
}

#[test]
fn identity_the_ring_turns_nowhere_and_the_disc_does() {
    let contours = |figure: &Figure, name: &str| match &figure.body {
        Body::Drawing(drawing) => drawing.marks.iter().find_map(|mark| match mark {
            Mark::Group { name: own, marks } if own == name => Some(marks.clone()),
            _ => None,
        }),
        _ => None,
    };
    let (first, second) = (section_of("orchard-arm-shoulder", 0.0), section_of("orchard-arm-shoulder", 0.3));
    assert_eq!(contours(&first, "ring"), contours(&second, "ring"));
    assert!(contours(&first, "disc-1").is_some());
    assert_ne!(contours(&first, "disc-1"), contours(&second, "disc-1"));
    assert_ne!(contours(&first, "pins"), contours(&second, "pins"));
}
