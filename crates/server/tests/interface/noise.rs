//! Requests made of noise, thousands of them from fixed seeds: every one is answered or dropped, none with a fault of the server.

use crate::common::{DRIVE, Scratch};
use proptest::prelude::*;
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};
use server::openapi::ROUTES;

const CASES: u32 = 1_500;

fn runner() -> TestRunner {
    let config =
        Config { cases: CASES, failure_persistence: None, max_shrink_iters: 50, ..Config::default() };
    TestRunner::new_with_rng(config, TestRng::from_seed(RngAlgorithm::ChaCha, &[7; 32]))
}

/// What is put for parameters: names that are, names that nearly are, and rubbish.
fn word() -> impl Strategy<Value = String> {
    prop_oneof![
        3 => Just(DRIVE.to_owned()),
        1 => Just("..%2f..%2fetc%2fpasswd".to_owned()),
        1 => Just("geometry.eccentricity".to_owned()),
        1 => Just("requirement.duty[0]".to_owned()),
        1 => Just("18446744073709551616".to_owned()),
        1 => "[a-z0-9.%-]{0,12}",
        1 => "(%[0-9a-f]{2}){1,8}",
    ]
}

/// A request that looks like one of ours.
fn likely() -> impl Strategy<Value = (String, String, String)> {
    let value = prop_oneof![
        Just("null".to_owned()),
        Just("-1".to_owned()),
        Just("1e999".to_owned()),
        Just("\"\\u0000\"".to_owned()),
        Just("[[[[[[[[[[]]]]]]]]]]".to_owned()),
        Just("{\"changes\":[{\"change\":\"set\",\"path\":\"geometry.ring_radius\",\"text\":\"61 mm\"}]}".to_owned()),
        Just("{\"changes\":[{\"change\":\"add-item\",\"path\":\"requirement.duty\"}]}".to_owned()),
        Just("{\"changes\":[{\"change\":\"remove-item\",\"path\":\"requirement.duty[0]\"}],\"continues\":true}".to_owned()),
        "\\{\"changes\":\\[\\{\"change\":\"(set|remove|add-item|remove-item)\",\"path\":\"[a-z_.\\[\\]0-9]{0,24}\",\"text\":\"[ -!#-\\[\\]-~µ·°]{0,12}\"\\}\\]\\}",
        "\\{\"keep_desk\":\\[\"[a-z.]{0,10}\"\\]\\}",
        ".{0,40}",
    ];
    let verb = prop_oneof![4 => Just(None), 1 => Just(Some("PUT")), 1 => Just(Some("HEAD")), 1 => Just(Some("OPTIONS"))];
    let route = 0..ROUTES.len();
    (route, word(), word(), word(), verb, value).prop_map(|(route, one, two, query, verb, value)| {
        let route = &ROUTES[route];
        let path = route.path.replace("{file}", &one).replace("{id}", &two).replace("{name}", &two);
        let method = verb.unwrap_or(route.method.name());
        // Long work and streams without an end are tried elsewhere.
        let path = if path.ends_with("/jobs") || path.ends_with("/events") {
            "/api/folder".to_owned()
        } else {
            path
        };
        (
            method.to_owned(),
            format!("{path}?path={query}&question={query}&load_case={query}&left={one}&right={query}"),
            value,
        )
    })
}

#[test]
fn identity_requests_like_ours_never_find_a_fault() {
    let scratch = Scratch::new(&[DRIVE]);
    let tried = runner().run(&likely(), |(method, path, body)| {
        let answer = scratch.ask(&method, &path, &[("Content-Type", "application/json")], body.as_bytes());
        let is_fault = answer.status >= 500 && answer.status != 503;
        prop_assert!(!is_fault, "{} {} {}: {} {}", method, path, body, answer.status, answer.text());
        Ok(())
    });
    tried.unwrap();
    assert_eq!(scratch.get("/api/folder").status, 200);
}

#[test]
fn identity_bytes_without_sense_never_end_the_server() {
    let scratch = Scratch::new(&[DRIVE]);
    let line = prop_oneof![
        proptest::collection::vec(any::<u8>(), 0..200),
        "(GET|POST|X) /[ -~]{0,40} HTTP/[0-9.]{1,4}\r\n([A-Za-z-]{1,10}: ?[ -~]{0,20}\r\n){0,4}\r\n".prop_map(String::into_bytes),
        Just(b"POST /api/folder HTTP/1.1\r\nTransfer-Encoding: chunked\r\nContent-Length: 3\r\n\r\nffffffffffffffff1\r\n".to_vec()),
    ];
    let tried = runner().run(&line, |bytes| {
        if let Some(answer) = scratch.noise(&bytes) {
            prop_assert!(
                answer.status < 500 || answer.status == 505,
                "{:?}: {}",
                String::from_utf8_lossy(&bytes),
                answer.status
            );
        }
        Ok(())
    });
    tried.unwrap();
    assert_eq!(scratch.get("/api/folder").status, 200);
}
