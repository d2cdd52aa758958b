//! Two hundred clients at once: none is lost, and memory stays bounded.

use crate::common::{DRIVE, Scratch, wait_until};
use std::thread;

const CLIENTS: usize = 200;

/// Memory of this process in bytes, where the system tells.
fn memory_bytes() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmRSS:"))?;
    line.split_whitespace().nth(1)?.parse::<u64>().ok().map(|kib| kib * 1024)
}

#[test]
fn identity_two_hundred_clients_are_all_answered() {
    let scratch = Scratch::new(&[DRIVE]);
    let page = format!("/api/drives/{DRIVE}");
    wait_until("the whole verdict", || {
        (scratch.json(&format!("{page}/verdict"))["stage"] == "full").then_some(())
    });
    let before = memory_bytes();
    let shared = &scratch;
    let answered: usize = thread::scope(|scope| {
        let clients: Vec<_> = (0..CLIENTS)
            .map(|client| {
                let page = &page;
                scope.spawn(move || {
                    let paths = ["", "/verdict", "/motion", "/text", "/figures/section"];
                    let asked = (0..3)
                        .map(|round| shared.get(&format!("{page}{}", paths[(client + round) % paths.len()])));
                    asked.filter(|answer| answer.status == 200).count()
                })
            })
            .collect();
        clients.into_iter().map(|client| client.join().unwrap()).sum()
    });
    assert_eq!(answered, 3 * CLIENTS);
    if let (Some(before), Some(after)) = (before, memory_bytes()) {
        assert!(after < before + (400 << 20), "{before} to {after}");
    }
}

#[test]
fn identity_edits_of_a_crowd_are_each_made_or_refused() {
    let scratch = Scratch::new(&[DRIVE]);
    let shared = &scratch;
    let generation = || scratch.json(&format!("/api/drives/{DRIVE}"))["generation"].as_u64().unwrap();
    let before = generation();
    thread::scope(|scope| {
        for client in 0..CLIENTS {
            scope.spawn(move || {
                let answer = shared.set("requirement.max_input_speed", &format!("{} rpm", 1200 + client));
                assert_eq!(answer.status, 200, "{}", answer.text());
            });
        }
    });
    assert_eq!(generation(), before + CLIENTS as u64);
}
