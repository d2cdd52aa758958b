//! The DXF file read back by its own library, its determinism, and the head of a small one.

#![allow(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

mod support;

use dxf::Drawing;
use dxf::entities::EntityType;
use dxf::enums::Units;
use exchange::{Dxf, Export, ExportOptions};
use support::SampleDisc;

fn bytes() -> Vec<u8> {
    Dxf.write(&SampleDisc::SMALL.plate(), &SampleDisc::SMALL.options()).unwrap()
}

fn drawing() -> Drawing {
    Drawing::load(&mut bytes().as_slice()).unwrap()
}

#[test]
fn identity_outline_and_holes_survive_a_round_trip() {
    let drawing = drawing();
    assert_eq!(drawing.header.default_drawing_units, Units::Millimeters);
    let plate = SampleDisc::SMALL.plate();
    let outline = curves::arcs::fit_arcs(plate.outline.as_ref(), 0.001).unwrap();
    let mut circle_count = 0;
    for entity in drawing.entities() {
        match (&entity.specific, entity.common.layer.as_str()) {
            (EntityType::LwPolyline(polyline), "outline") => {
                assert!(polyline.is_closed());
                assert_eq!(polyline.vertices.len(), outline.arcs.len());
                for (vertex, arc) in polyline.vertices.iter().zip(&outline.arcs) {
                    assert!((vertex.x - arc.start_mm.x).abs() < 1e-9);
                    assert!((vertex.y - arc.start_mm.y).abs() < 1e-9);
                    assert!((vertex.bulge - arc.bulge).abs() < 1e-11);
                }
            }
            (EntityType::Circle(circle), "holes") => {
                let hole = &plate.holes[circle_count];
                assert!((circle.center.x - hole.centre_mm.x).abs() < 1e-9);
                assert!((circle.center.y - hole.centre_mm.y).abs() < 1e-9);
                assert!((circle.radius - hole.radius_mm).abs() < 1e-9);
                circle_count += 1;
            }
            (EntityType::Line(_) | EntityType::Circle(_), "centre-lines")
            | (EntityType::Text(_), "notes") => {}
            (other, layer) => panic!("{other:?} on layer {layer}"),
        }
    }
    assert_eq!(circle_count, plate.holes.len());
}

#[test]
fn identity_bytes_do_not_hang_on_clock_or_chance() {
    let first = bytes();
    std::thread::sleep(std::time::Duration::from_millis(1100));
    assert_eq!(first, bytes());
    let text = String::from_utf8(first).unwrap();
    assert!(text.is_ascii());
    assert!(!text.lines().any(|line| matches!(line, "-0" | "-0.0")));
}

#[test]
fn identity_letters_beyond_ascii_are_escaped() {
    let options = ExportOptions { notes: vec!["Bohrung ± 5 µm".to_owned()], ..SampleDisc::SMALL.options() };
    let bytes = Dxf.write(&SampleDisc::SMALL.plate(), &options).unwrap();
    let text = String::from_utf8(bytes).unwrap();
    assert!(text.contains("Bohrung %%p 5 \\U+00B5m"));
}

#[test]
fn locked_notes_of_a_small_disc() {
    let mut lines = Vec::new();
    for entity in drawing().entities() {
        if let EntityType::Text(text) = &entity.specific {
            lines.push(text.value.clone());
        }
    }
    insta::assert_snapshot!(lines.join("\n"));
}

#[test]
fn locked_layers_and_first_vertices_of_a_small_disc() {
    let drawing = drawing();
    let mut lines: Vec<String> =
        drawing.layers().map(|layer| format!("layer {}: {}", layer.name, layer.line_type_name)).collect();
    for entity in drawing.entities() {
        if let EntityType::LwPolyline(polyline) = &entity.specific {
            let head = polyline.vertices.iter().take(7);
            lines.extend(head.map(|vertex| format!("{:.6} {:.6} {:.6}", vertex.x, vertex.y, vertex.bulge)));
        }
    }
    insta::assert_snapshot!(lines.join("\n"));
}
