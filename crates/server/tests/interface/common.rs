//! A server on a scratch folder, and a client that sends exactly the bytes it is told to.

use serde_json::Value;
use server::{Listen, Root, Server};
use std::fs;
use std::io::{BufRead as _, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

/// Drive file of the tests.
pub const DRIVE: &str = "sorting-table-index.toml";

/// A server with its folder; both go at the end of the test.
pub struct Scratch {
    pub folder: tempfile::TempDir,
    server: Option<Server>,
}

/// An answer, taken apart.
#[derive(Debug)]
pub struct Answer {
    pub status: u16,
    pub head: String,
    pub body: Vec<u8>,
}

impl Answer {
    pub fn json(&self) -> Value {
        serde_json::from_slice(&self.body).unwrap_or_else(|error| panic!("{error}: {self:?}"))
    }

    pub fn text(&self) -> String {
        String::from_utf8_lossy(&self.body).into_owned()
    }
}

pub fn example(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples").join(name)
}

impl Scratch {
    pub fn new(names: &[&str]) -> Self {
        let folder = tempfile::tempdir().unwrap();
        for name in names {
            fs::copy(example(name), folder.path().join(name)).unwrap();
        }
        Self::on(folder, Listen::default())
    }

    pub fn on(folder: tempfile::TempDir, listen: Listen) -> Self {
        let server = Server::start(Root::open(folder.path()).unwrap(), listen).unwrap();
        Self { folder, server: Some(server) }
    }

    pub fn server(&self) -> &Server {
        self.server.as_ref().unwrap()
    }

    /// Closes the server; the drives with edits that it could not keep.
    pub fn close(&mut self) -> Vec<String> {
        self.server.take().unwrap().close()
    }

    /// Closes the server and opens another one on the same folder.
    pub fn again(mut self) -> Self {
        assert!(self.close().is_empty());
        let root = Root::open(self.folder.path()).unwrap();
        self.server = Some(Server::start(root, Listen::default()).unwrap());
        self
    }

    pub fn host(&self) -> String {
        format!("127.0.0.1:{}", self.server().address().port())
    }

    pub fn on_disk(&self, name: &str) -> String {
        fs::read_to_string(self.folder.path().join(name)).unwrap()
    }

    pub fn connect(&self) -> TcpStream {
        let stream = TcpStream::connect(("127.0.0.1", self.server().address().port())).unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(120))).unwrap();
        stream
    }

    /// Sends bytes as they are and reads until the server ends the connection.
    pub fn raw(&self, request: &[u8]) -> Option<Answer> {
        let mut stream = self.connect();
        // The server may refuse before it has read everything.
        let _ = stream.write_all(request);
        read_answer(&mut stream)
    }

    /// Sends bytes and nothing after them, so that the server need not wait for more.
    pub fn noise(&self, bytes: &[u8]) -> Option<Answer> {
        let mut stream = self.connect();
        let _ = stream.write_all(bytes);
        let _ = stream.shutdown(std::net::Shutdown::Write);
        read_answer(&mut stream)
    }

    pub fn ask(&self, method: &str, path: &str, heads: &[(&str, &str)], body: &[u8]) -> Answer {
        let mut request = format!("{method} {path} HTTP/1.1\r\nConnection: close\r\n");
        if !heads.iter().any(|(name, _)| name.eq_ignore_ascii_case("host")) {
            request.push_str(&format!("Host: {}\r\n", self.host()));
        }
        for (name, value) in heads {
            request.push_str(&format!("{name}: {value}\r\n"));
        }
        if !body.is_empty() {
            request.push_str(&format!("Content-Length: {}\r\n", body.len()));
        }
        let bytes = [request.as_bytes(), b"\r\n", body].concat();
        self.raw(&bytes).unwrap_or_else(|| panic!("no answer to {method} {path}"))
    }

    pub fn get(&self, path: &str) -> Answer {
        self.ask("GET", path, &[], b"")
    }

    /// What GET gives as JSON, which must be there.
    pub fn json(&self, path: &str) -> Value {
        let answer = self.get(path);
        assert_eq!(answer.status, 200, "{path}: {}", answer.text());
        answer.json()
    }

    pub fn post(&self, path: &str, body: &Value) -> Answer {
        self.ask("POST", path, &[("Content-Type", "application/json")], body.to_string().as_bytes())
    }

    /// The first events that a new listener is told.
    pub fn first_events(&self, count: usize) -> Vec<Value> {
        let mut stream = self.connect();
        write!(stream, "GET /api/events HTTP/1.1\r\nHost: {}\r\n\r\n", self.host()).unwrap();
        let lines = BufReader::new(stream).lines().map_while(Result::ok);
        let data = lines.filter_map(|line| line.strip_prefix("data: ").map(str::to_owned));
        data.take(count).map(|event| serde_json::from_str(&event).unwrap()).collect()
    }

    /// A value of the drive changed.
    pub fn set(&self, path: &str, text: &str) -> Answer {
        let change = serde_json::json!({ "change": "set", "path": path, "text": text });
        self.post(&format!("/api/drives/{DRIVE}/edits"), &serde_json::json!({ "changes": [change] }))
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        if let Some(server) = self.server.take() {
            server.close();
        }
    }
}

/// The first answer on a connection that then ends.
pub fn read_answer(stream: &mut TcpStream) -> Option<Answer> {
    let mut bytes = Vec::new();
    let _ = stream.read_to_end(&mut bytes);
    let end = bytes.windows(4).position(|window| window == b"\r\n\r\n")?;
    let head = String::from_utf8_lossy(&bytes[..end]).into_owned();
    let status = head.split(' ').nth(1)?.parse().ok()?;
    Some(Answer { status, head: head.to_lowercase(), body: bytes.split_off(end + 4) })
}

/// Waits until something holds, a minute at most.
pub fn wait_until<T>(what: &str, mut look: impl FnMut() -> Option<T>) -> T {
    let begun = Instant::now();
    loop {
        if let Some(found) = look() {
            return found;
        }
        assert!(begun.elapsed() < Duration::from_secs(120), "waited for {what}");
        std::thread::sleep(Duration::from_millis(20));
    }
}
