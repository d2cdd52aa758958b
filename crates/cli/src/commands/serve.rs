//! `serve`: the local page on the drives of a folder.

use crate::arguments::Serve;
use crate::exit::Exit;
use crate::failure::Failure;
use crate::interrupt::Watch;
use crate::terminal::Terminal;
use serde_json::json;
use server::{Listen, Root, Server};
use std::thread;
use std::time::Duration;

/// How often a request to end is looked for.
const BEAT: Duration = Duration::from_millis(50);

/// Runs the command, until somebody asks to end; that is the usual end and no failure.
///
/// # Errors
/// A folder that cannot be opened, or a port that is taken.
pub fn run(arguments: &Serve, terminal: Terminal) -> Result<Exit, Failure> {
    let root = Root::open(&arguments.path)?;
    let watch = Watch::begin();
    let server = Server::start(root, Listen { address: arguments.listen, port: arguments.port })?;
    let url = server.url();
    if terminal.json {
        terminal.data(&format!("{}\n", json!({ "kind": "address", "url": url })))?;
    } else {
        terminal.data(&format!("{url}\n"))?;
        if server.is_for_all_networks() {
            terminal.talk(&format!(
                "other devices open it with the address that this machine has in their network in place of {}",
                server.address_here().ip()
            ));
        }
        terminal.talk("Ctrl-C ends; edits that are not saved are kept for the next time");
    }
    while !watch.is_asked() {
        thread::sleep(BEAT);
    }
    for file in server.close() {
        terminal.talk(&format!(
            "edits of `{file}` are lost: neither were they saved nor could they be kept beside it"
        ));
    }
    Ok(Exit::AllHold)
}
