//! Whom the server refuses: wrong hosts, other pages, no token, other folders, too much, too slow.

use crate::common::{DRIVE, Scratch, read_answer};
use server::{Listen, Root, ServeError, Server};
use std::fs;
use std::io::{Read, Write};
use std::net::{IpAddr, Ipv4Addr};
use std::time::{Duration, Instant};

#[test]
fn identity_wrong_hosts_are_refused() {
    let scratch = Scratch::new(&[DRIVE]);
    let port = scratch.server().address().port();
    for host in [
        "evil.example".to_owned(),
        format!("evil.example:{port}"),
        "127.0.0.1".to_owned(),
        format!("127.0.0.1:{}", port ^ 1),
        format!("localhost.evil.example:{port}"),
        String::new(),
    ] {
        let answer = scratch.ask("GET", "/api/folder", &[("Host", &host)], b"");
        assert!([400, 421].contains(&answer.status), "{host}: {}", answer.status);
        assert!(!answer.text().contains("sorting-table"), "{host}");
    }
    let two = format!(
        "GET /api/folder HTTP/1.1\r\nHost: {0}\r\nHost: evil.example\r\nConnection: close\r\n\r\n",
        scratch.host()
    );
    assert_ne!(scratch.raw(two.as_bytes()).unwrap().status, 200);
    let elsewhere = format!(
        "GET http://evil.example/api/folder HTTP/1.1\r\nHost: {}\r\nConnection: close\r\n\r\n",
        scratch.host()
    );
    assert_ne!(scratch.raw(elsewhere.as_bytes()).unwrap().status, 200);
    assert_eq!(scratch.ask("GET", "/api/folder", &[("Host", &format!("localhost:{port}"))], b"").status, 200);
}

#[test]
fn identity_other_pages_are_refused() {
    let scratch = Scratch::new(&[DRIVE]);
    let own = format!("http://{}", scratch.host());
    let undo = format!("/api/drives/{DRIVE}/undo");
    for origin in ["http://evil.example", "null", "https://127.0.0.1", "file://"] {
        assert_eq!(scratch.ask("GET", "/api/folder", &[("Origin", origin)], b"").status, 403, "{origin}");
        assert_eq!(scratch.ask("POST", &undo, &[("Origin", origin)], b"").status, 403, "{origin}");
    }
    assert_eq!(scratch.ask("POST", &undo, &[("Sec-Fetch-Site", "cross-site")], b"").status, 403);
    assert_eq!(scratch.ask("GET", "/api/folder", &[("Origin", &own)], b"").status, 200);
    // A link from elsewhere may lead to the page, but not to its data.
    let link = [("Sec-Fetch-Site", "cross-site"), ("Sec-Fetch-Mode", "navigate")];
    assert_eq!(scratch.ask("GET", "/", &link, b"").status, 200);
    assert_eq!(scratch.ask("GET", "/api/folder", &link, b"").status, 403);
}

#[test]
fn identity_bodies_are_json_and_bounded() {
    let scratch = Scratch::new(&[DRIVE]);
    let edits = format!("/api/drives/{DRIVE}/edits");
    let body = br#"{"changes":[]}"#;
    assert_eq!(
        scratch.ask("POST", &edits, &[("Content-Type", "application/json; charset=utf-8")], body).status,
        200
    );
    for kind in ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data"] {
        assert_eq!(scratch.ask("POST", &edits, &[("Content-Type", kind)], body).status, 415, "{kind}");
    }
    assert_eq!(scratch.ask("POST", &edits, &[("Content-Type", "application/json")], b"{").status, 400);
    let huge = vec![b' '; (1 << 20) + 1];
    assert_eq!(scratch.ask("POST", &edits, &[("Content-Type", "application/json")], &huge).status, 413);
    let announced = format!(
        "POST {edits} HTTP/1.1\r\nHost: {}\r\nContent-Type: application/json\r\nContent-Length: 99999999999\r\nConnection: close\r\n\r\n",
        scratch.host()
    );
    assert_eq!(scratch.raw(announced.as_bytes()).unwrap().status, 413);
    let chunked = |body: &[u8]| {
        let head = format!(
            "POST {edits} HTTP/1.1\r\nHost: {}\r\nContent-Type: application/json\r\nTransfer-Encoding: chunked\r\nConnection: close\r\n\r\n",
            scratch.host()
        );
        scratch.raw(&[head.as_bytes(), body].concat())
    };
    assert_eq!(chunked(b"e\r\n{\"changes\":[]}\r\n0\r\n\r\n").unwrap().status, 200);
    let long = [b"110000\r\n".as_slice(), &vec![b' '; 0x11_0000], b"\r\n0\r\n\r\n"].concat();
    // The answer may be lost where the server ends the connection with bytes still under way.
    assert!(chunked(&long).is_none_or(|answer| answer.status == 413));
    let broken = chunked(b"zz\r\n{}").unwrap();
    assert_eq!(broken.status, 400, "{}", broken.text());
    assert!(broken.text().contains("did not arrive whole"), "{}", broken.text());
    let head = format!(
        "GET /api/folder HTTP/1.1\r\nHost: {}\r\nX-Long: {}\r\n\r\n",
        scratch.host(),
        "x".repeat(1 << 20)
    );
    assert!(scratch.raw(head.as_bytes()).is_none_or(|answer| answer.status == 431));
    assert_eq!(scratch.get("/api/folder").status, 200);
}

#[cfg(unix)]
#[test]
fn identity_nothing_outside_the_folder_is_reached() {
    use std::os::unix::fs::symlink;
    let scratch = Scratch::new(&[DRIVE]);
    let outside = tempfile::tempdir().unwrap();
    let secret =
        fs::read_to_string(scratch.folder.path().join(DRIVE)).unwrap().replace("sorting-table", "secret");
    fs::write(outside.path().join("secret.toml"), &secret).unwrap();
    symlink(outside.path().join("secret.toml"), scratch.folder.path().join("link.toml")).unwrap();
    symlink(outside.path(), scratch.folder.path().join("folder.toml")).unwrap();
    let up = outside.path().display().to_string().replace('/', "%2F");
    let names = [
        "link.toml".to_owned(),
        "folder.toml".to_owned(),
        "folder.toml%2Fsecret.toml".to_owned(),
        format!("{up}%2Fsecret.toml"),
        format!("..{up}%2Fsecret.toml"),
        "..%2F..%2Fetc%2Fpasswd".to_owned(),
        "%2e%2e".to_owned(),
        "a%00.toml".to_owned(),
        "%ff.toml".to_owned(),
    ];
    for name in names {
        for (method, rest) in [("GET", ""), ("GET", "/text"), ("POST", "/save"), ("GET", "/shop/disc.dxf")] {
            let answer = scratch.ask(method, &format!("/api/drives/{name}{rest}"), &[], b"");
            assert!((400..500).contains(&answer.status), "{method} {name}{rest}: {}", answer.status);
            assert!(!answer.text().contains("secret-"), "{name}");
        }
    }
    for path in ["/../../etc/passwd", "/..%2f..%2fetc/passwd", "//etc/passwd", "/api/drives/../../x"] {
        assert_eq!(scratch.get(path).status, 404, "{path}");
    }
    assert_eq!(scratch.json("/api/folder")["drives"].as_array().unwrap().len(), 1);
    assert_eq!(fs::read_to_string(outside.path().join("secret.toml")).unwrap(), secret);
}

#[cfg(unix)]
#[test]
fn identity_a_file_that_becomes_a_link_is_not_written_through() {
    let scratch = Scratch::new(&[DRIVE]);
    let outside = tempfile::tempdir().unwrap();
    let target = outside.path().join("target.toml");
    fs::copy(scratch.folder.path().join(DRIVE), &target).unwrap();
    let text = fs::read(&target).unwrap();
    scratch.set("requirement.max_input_speed", "1234 rpm");
    fs::remove_file(scratch.folder.path().join(DRIVE)).unwrap();
    std::os::unix::fs::symlink(&target, scratch.folder.path().join(DRIVE)).unwrap();
    let answer = scratch.ask("POST", &format!("/api/drives/{DRIVE}/save"), &[], b"");
    assert!((400..500).contains(&answer.status), "{} {}", answer.status, answer.text());
    assert_eq!(fs::read(&target).unwrap(), text);
}

#[test]
fn identity_beyond_this_machine_the_token_is_asked_for() {
    let folder = tempfile::tempdir().unwrap();
    let listen = Listen { address: Some(IpAddr::V4(Ipv4Addr::UNSPECIFIED)), port: None };
    let scratch = Scratch::on(folder, listen);
    let token = scratch.server().token().unwrap().to_owned();
    assert!(token.len() >= 32);
    let wrong = "0".repeat(token.len());
    let shown = |token: &str| {
        scratch.ask("GET", "/api/folder", &[("Authorization", &format!("Bearer {token}"))], b"").status
    };
    assert_eq!((shown(&token), shown(&wrong), shown("")), (200, 401, 401));
    assert_eq!(scratch.get("/api/folder").status, 401);
    assert_eq!(scratch.get(&format!("/?token={wrong}")).status, 401);
    let welcome = scratch.get(&format!("/?token={token}"));
    assert_eq!(welcome.status, 303);
    assert!(welcome.head.contains("samesite=strict") && welcome.head.contains("httponly"));
    assert!(
        welcome.head.contains("location: /\r\n") || welcome.head.ends_with("location: /"),
        "{}",
        welcome.head
    );
    let cookie = format!("other=1; lobewright-token={token}");
    assert_eq!(scratch.ask("GET", "/api/folder", &[("Cookie", &cookie)], b"").status, 200);
}

#[test]
fn identity_every_answer_says_what_browsers_must_not_do() {
    let scratch = Scratch::new(&[DRIVE]);
    let bad = scratch.ask("GET", "/api/folder", &[("Host", "evil.example")], b"");
    for answer in [scratch.get("/"), scratch.get("/api/folder"), scratch.get("/nothing"), bad] {
        for head in [
            "content-security-policy: default-src 'none'",
            "x-content-type-options: nosniff",
            "referrer-policy: no-referrer",
            "frame-ancestors 'none'",
        ] {
            assert!(answer.head.contains(head), "{head}: {}", answer.head);
        }
    }
}

#[test]
fn identity_slow_clients_are_dropped_and_hold_up_nobody() {
    let scratch = Scratch::new(&[DRIVE]);
    let begun = Instant::now();
    let mut slow: Vec<_> = (0..20).map(|_| scratch.connect()).collect();
    for stream in &mut slow {
        stream.write_all(b"GET /api/folder HT").unwrap();
    }
    // Asks for more than the system keeps for it, and takes nothing.
    let many = 400;
    let mut greedy = scratch.connect();
    let request = format!("GET /api/drives/{DRIVE} HTTP/1.1\r\nHost: {}\r\n\r\n", scratch.host());
    greedy.write_all(request.repeat(many).as_bytes()).unwrap();
    let mut half_body = scratch.connect();
    let head = format!(
        "POST /api/drives/{DRIVE}/edits HTTP/1.1\r\nHost: {}\r\nContent-Type: application/json\r\nContent-Length: 100\r\nConnection: close\r\n\r\n{{",
        scratch.host()
    );
    half_body.write_all(head.as_bytes()).unwrap();
    assert_eq!(scratch.get("/api/folder").status, 200);
    assert_eq!(read_answer(&mut half_body).unwrap().status, 408);
    for stream in &mut slow {
        let mut rest = Vec::new();
        stream.read_to_end(&mut rest).unwrap();
    }
    let whole = scratch.get(&format!("/api/drives/{DRIVE}")).body.len() * many;
    std::thread::sleep(Duration::from_secs(22).saturating_sub(begun.elapsed()));
    let mut taken = Vec::new();
    let _ = greedy.read_to_end(&mut taken);
    assert!(taken.len() < whole, "{} of {whole}", taken.len());
    assert!(begun.elapsed() < Duration::from_secs(60));
}

/// Two would take each other's drafts.
#[cfg(target_os = "linux")]
#[test]
fn identity_a_folder_is_served_once_at_a_time() {
    let scratch = Scratch::new(&[DRIVE]);
    let again = |path: &str| {
        let root = Root::open(&scratch.folder.path().join(path)).unwrap();
        Server::start(root, Listen::default())
    };
    assert!(matches!(again(""), Err(ServeError::Served { .. })));
    assert!(matches!(again(DRIVE), Err(ServeError::Served { .. })));
    assert_eq!(scratch.get("/api/folder").status, 200);
    scratch.again();
}

#[test]
fn identity_a_port_that_is_taken_is_told() {
    let scratch = Scratch::new(&[DRIVE]);
    let port = scratch.server().address().port();
    let root = Root::open(scratch.folder.path()).unwrap();
    let again = Server::start(root, Listen { address: None, port: Some(port) });
    assert!(matches!(again, Err(ServeError::PortTaken { port: taken }) if taken == port));
}
