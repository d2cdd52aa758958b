//! The STEP file as text: every reference resolves and the body is closed, edge by edge.

#![allow(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

mod support;

use exchange::{Export, Step};
use std::collections::{BTreeMap, HashMap};
use support::{SAMPLES, SampleDisc};

/// Many lobes, few lobes, relieved flanks.
const VARIED: [SampleDisc<'static>; 3] = [SAMPLES[0], SAMPLES[3], SAMPLES[6]];

fn text_of(sample: &SampleDisc<'_>) -> String {
    String::from_utf8(Step.write(&sample.plate(), &sample.options()).unwrap()).unwrap()
}

/// Instances by number, each as its text after the equals sign.
fn instances(text: &str) -> HashMap<usize, String> {
    text.lines()
        .filter_map(|line| line.strip_prefix('#')?.split_once('='))
        .map(|(number, rest)| (number.parse().unwrap(), rest.to_owned()))
        .collect()
}

fn references(instance: &str) -> Vec<usize> {
    instance
        .split('#')
        .skip(1)
        .map(|tail| tail.chars().take_while(char::is_ascii_digit).collect::<String>().parse().unwrap())
        .collect()
}

#[test]
fn identity_all_references_resolve_and_all_instances_but_roots_are_used() {
    for sample in &VARIED {
        let instances = instances(&text_of(sample));
        let mut use_counts: BTreeMap<usize, usize> = BTreeMap::new();
        for (number, instance) in &instances {
            for reference in references(instance) {
                assert!(instances.contains_key(&reference), "{number} points to {reference}: {instance}");
                *use_counts.entry(reference).or_default() += 1;
            }
        }
        let roots: Vec<&str> = instances
            .iter()
            .filter(|(number, _)| !use_counts.contains_key(number))
            .map(|(_, instance)| instance.split('(').next().unwrap())
            .collect();
        assert_eq!(roots.len(), 4, "{roots:?}");
    }
}

#[test]
fn identity_every_edge_is_used_twice_in_opposite_senses() {
    for sample in &VARIED {
        let instances = instances(&text_of(sample));
        let mut senses: BTreeMap<usize, Vec<bool>> = BTreeMap::new();
        for instance in instances.values().filter(|instance| instance.starts_with("ORIENTED_EDGE")) {
            senses.entry(references(instance)[0]).or_default().push(instance.contains(".T."));
        }
        let edge_count = instances.values().filter(|instance| instance.starts_with("EDGE_CURVE")).count();
        assert_eq!(senses.len(), edge_count);
        for (edge, mut senses) in senses {
            senses.sort_unstable();
            assert_eq!(senses, [false, true], "edge {edge}");
        }
    }
}

#[test]
fn identity_loops_close_vertex_by_vertex() {
    let instances = instances(&text_of(&SampleDisc::SMALL));
    let ends = |oriented: usize| {
        let instance = &instances[&oriented];
        let vertices = references(&instances[&references(instance)[0]]);
        if instance.contains(".T.") { (vertices[0], vertices[1]) } else { (vertices[1], vertices[0]) }
    };
    for instance in instances.values().filter(|instance| instance.starts_with("EDGE_LOOP")) {
        let edges = references(instance);
        for (here, next) in edges.iter().zip(edges.iter().cycle().skip(1)) {
            assert_eq!(ends(*here).1, ends(*next).0, "{instance}");
        }
    }
}

/// Vertices − edges + faces − inner loops = 2 (shells − holes through), the formula of Euler and Poincaré.
#[test]
fn identity_body_has_the_right_number_of_through_holes() {
    for sample in &VARIED {
        let instances = instances(&text_of(sample));
        let count = |name: &str| -> i64 {
            instances.values().filter(|instance| instance.starts_with(name)).count().try_into().unwrap()
        };
        let inner_loops = count("FACE_BOUND");
        let characteristic =
            count("VERTEX_POINT") - count("EDGE_CURVE") + count("ADVANCED_FACE") - inner_loops;
        let hole_count: i64 = (sample.hole_count + 1).try_into().unwrap();
        assert_eq!(characteristic, 2 - 2 * hole_count, "{}", sample.name);
        assert_eq!(count("CYLINDRICAL_SURFACE"), hole_count);
    }
}

#[test]
fn identity_same_part_gives_same_bytes() {
    let text = text_of(&SampleDisc::SMALL);
    assert_eq!(text, text_of(&SampleDisc::SMALL));
    assert!(!text.contains("-0.,") && !text.contains("NaN") && !text.contains("inf"));
}

#[test]
fn locked_head_and_tail_of_a_small_disc() {
    let text = text_of(&SampleDisc::SMALL);
    let lines: Vec<&str> = text.lines().collect();
    let shown = [&lines[..24], &["…"], &lines[lines.len() - 34..]].concat();
    insta::assert_snapshot!(shown.join("\n"));
}
