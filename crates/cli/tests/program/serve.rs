//! `serve` from outside: its address, its end, and the same bytes as from the other commands.

use crate::run::{program, root, run};
use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, Command, Stdio};

/// The drive that takes least time.
const DRIVE: &str = "wrist-printed.toml";

/// A server of the program on a folder of its own.
struct Served {
    folder: tempfile::TempDir,
    child: Child,
    host: String,
}

impl Served {
    fn start() -> Self {
        let folder = tempfile::tempdir().unwrap();
        fs::copy(root().join("examples").join(DRIVE), folder.path().join(DRIVE)).unwrap();
        Self::on(folder)
    }

    fn on(folder: tempfile::TempDir) -> Self {
        let (child, address) = begun(&[folder.path().to_str().unwrap()]);
        let host = address.strip_prefix("http://").unwrap().trim_end_matches('/').to_owned();
        assert!(host.starts_with("127.0.0.1:"));
        Self { folder, child, host }
    }

    fn ask(&self, method: &str, path: &str, body: &str) -> (u16, Vec<u8>) {
        let mut stream = TcpStream::connect(&self.host).unwrap();
        let request = format!(
            "{method} {path} HTTP/1.1\r\nHost: {}\r\nConnection: close\r\nContent-Type: application/json\r\nContent-Length: {}\r\n\r\n{body}",
            self.host,
            body.len()
        );
        stream.write_all(request.as_bytes()).unwrap();
        let mut bytes = Vec::new();
        stream.read_to_end(&mut bytes).unwrap();
        let end = bytes.windows(4).position(|window| window == b"\r\n\r\n").unwrap();
        let head = String::from_utf8_lossy(&bytes[..end]).into_owned();
        (head.split(' ').nth(1).unwrap().parse().unwrap(), bytes.split_off(end + 4))
    }

    /// Ends the server as its user does, or as the system does.
    fn end(mut self, signal: &str) -> (tempfile::TempDir, Option<i32>) {
        let kill = Command::new("kill").args([signal, &self.child.id().to_string()]).status().unwrap();
        assert!(kill.success());
        (self.folder, self.child.wait().unwrap().code())
    }
}

/// The program with its server, and the address that it prints.
fn begun(words: &[&str]) -> (Child, String) {
    let mut command = program(&[&["serve"], words].concat());
    let mut child = command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    let mut line = String::new();
    BufReader::new(child.stdout.take().unwrap()).read_line(&mut line).unwrap();
    (child, line.trim().to_owned())
}

#[test]
fn identity_a_single_drive_is_opened_itself() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("my drive.toml");
    fs::copy(root().join("examples").join(DRIVE), &path).unwrap();
    let (mut child, address) = begun(&[path.to_str().unwrap()]);
    child.kill().unwrap();
    child.wait().unwrap();
    assert!(address.starts_with("http://127.0.0.1:"), "{address}");
    assert!(address.ends_with("/#/drive/my%20drive.toml"), "{address}");
}

#[test]
fn identity_a_server_for_all_networks_prints_an_address_that_can_be_opened() {
    let folder = tempfile::tempdir().unwrap();
    let (mut child, address) = begun(&[folder.path().to_str().unwrap(), "--listen", "0.0.0.0"]);
    let mut said = String::new();
    BufReader::new(child.stderr.take().unwrap()).read_line(&mut said).unwrap();
    child.kill().unwrap();
    child.wait().unwrap();
    assert!(address.starts_with("http://127.0.0.1:") && address.contains("?token="), "{address}");
    assert!(said.contains("in place of 127.0.0.1"), "{said}");
}

#[test]
fn identity_nothing_to_open_says_what_would_be() {
    let run = run(&["serve", "no-such-place"]);
    assert_eq!(run.code, Some(2));
    assert!(run.talk.contains("there is neither a folder nor a file `no-such-place`"), "{}", run.talk);
    assert!(run.talk.contains("hint: name a folder with drive files, or one drive file"), "{}", run.talk);
}

#[cfg(unix)]
#[test]
fn identity_every_file_of_the_page_is_that_of_the_command_line() {
    let served = Served::start();
    let out = tempfile::tempdir().unwrap();
    let file = served.folder.path().join(DRIVE);
    let (file, to) = (file.to_str().unwrap(), out.path().to_str().unwrap());
    assert!([Some(0), Some(1)].contains(&run(&["deliver", file, "--out", to]).code));
    let page = format!("/api/drives/{DRIVE}");
    let mut count = 0;
    for entry in fs::read_dir(out.path()).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        if name != "manifest.json" {
            let (status, bytes) = served.ask("GET", &format!("{page}/shop/{name}"), "");
            assert_eq!(status, 200, "{name}");
            assert!(bytes == fs::read(out.path().join(&name)).unwrap(), "{name}");
            count += 1;
        }
    }
    assert!(count >= 5);
    for figure in ["section.svg", "gap-curve.csv", "load-over-turn.svg"] {
        let path = out.path().join(figure);
        let name = figure.split('.').next().unwrap();
        let made = run(&["figure", file, "--name", name, "--out", path.to_str().unwrap()]);
        if made.code == Some(2) {
            continue;
        }
        let (_, bytes) = served.ask("GET", &format!("{page}/figures/{figure}"), "");
        assert!(bytes == fs::read(&path).unwrap(), "{figure}");
    }
    served.end("-INT");
}

const EDIT: &str = r#"{"changes":[{"change":"set","path":"requirement.max_input_speed","text":"1234 rpm"}]}"#;

#[cfg(unix)]
#[test]
fn identity_an_edit_that_could_not_be_kept_is_told_at_the_end() {
    let mut served = Served::start();
    assert_eq!(served.ask("GET", &format!("/api/drives/{DRIVE}"), "").0, 200);
    // A folder where the draft belongs refuses it, as a full disk does.
    fs::create_dir(served.folder.path().join(format!(".{DRIVE}.draft"))).unwrap();
    assert_eq!(served.ask("POST", &format!("/api/drives/{DRIVE}/edits"), EDIT).0, 200);
    let mut talk = served.child.stderr.take().unwrap();
    served.end("-INT");
    let mut said = String::new();
    talk.read_to_string(&mut said).unwrap();
    assert!(said.contains(&format!("edits of `{DRIVE}` are lost")), "{said}");
}

/// Two servers would take each other's drafts; other commands write into a served folder as ever.
#[cfg(target_os = "linux")]
#[test]
fn identity_a_folder_is_served_by_one_server_at_a_time() {
    let served = Served::start();
    let folder = served.folder.path().to_str().unwrap();
    let second = run(&["serve", folder]);
    assert_eq!(second.code, Some(3), "{}", second.whole());
    assert!(second.talk.contains("is served already by another `lobewright serve`"), "{}", second.talk);
    let file = served.folder.path().join("another.toml");
    let new = run(&["new", "another", "--out", file.to_str().unwrap()]);
    assert!(file.exists(), "{}", new.whole());
    let (folder, _) = served.end("-KILL");
    Served::on(folder).end("-INT");
}

#[cfg(unix)]
#[test]
fn identity_no_end_loses_an_edit() {
    for (signal, code) in [("-INT", Some(0)), ("-TERM", Some(0)), ("-KILL", None)] {
        let served = Served::start();
        let text = fs::read(served.folder.path().join(DRIVE)).unwrap();
        assert_eq!(served.ask("POST", &format!("/api/drives/{DRIVE}/edits"), EDIT).0, 200);
        if signal == "-KILL" {
            let draft = served.folder.path().join(format!(".{DRIVE}.draft"));
            wait_for(&draft);
        }
        let (folder, ended) = served.end(signal);
        assert_eq!(ended, code, "{signal}");
        assert_eq!(fs::read(folder.path().join(DRIVE)).unwrap(), text, "{signal}");
        let again = Served::on(folder);
        let (_, text) = again.ask("GET", &format!("/api/drives/{DRIVE}/text"), "");
        assert!(String::from_utf8(text).unwrap().contains("1234 rpm"), "{signal}");
        again.end("-INT");
    }
}

/// Waits until a draft is there and holds the edit.
fn wait_for(draft: &Path) {
    for _ in 0..1000 {
        if fs::read_to_string(draft).is_ok_and(|text| text.contains("1234 rpm")) {
            return;
        }
        std::thread::sleep(std::time::Duration::from_millis(10));
    }
    panic!("no draft");
}

#[test]
fn identity_what_cannot_be_served_is_told() {
    let nowhere = run(&["serve", "no/such/folder"]);
    assert_eq!(nowhere.code, Some(2), "{}", nowhere.whole());
    assert!(nowhere.talk.contains("no/such/folder"));
    let other = run(&["serve", "README.md"]);
    assert_eq!(other.code, Some(2), "{}", other.whole());
    let listener = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
    let port = listener.local_addr().unwrap().port().to_string();
    let taken = run(&["serve", "examples", "--port", &port]);
    assert_eq!(taken.code, Some(3), "{}", taken.whole());
    assert!(taken.talk.contains(&port) && taken.talk.contains("--port"), "{}", taken.talk);
}
