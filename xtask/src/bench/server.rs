//! The product's own binary as a process of its own.

use std::io::{BufRead as _, BufReader};
use std::path::Path;
use std::process::{Child, ChildStdout, Command, Stdio};

/// The command.
pub const BINARY: &str = "target/release/handrail";

/// A running `handrail serve`; killed when dropped.
pub struct Server {
    process: Child,
    pub port: u16,
    /// Kept open: a server that cannot print would end.
    _says: BufReader<ChildStdout>,
}

impl Server {
    /// Starts it on a spare port and waits until it says that it answers. As behind a proxy that ends TLS: that is
    /// how a clinic with patients' phones runs, and each patient then has an address of their own.
    pub fn start(data: &Path) -> Result<Server, String> {
        let mut process = Command::new(BINARY)
            .args(["serve", "--port", "0", "--behind-proxy", "--data"])
            .arg(data)
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .spawn()
            .map_err(|error| format!("{BINARY}: {error}"))?;
        let mut says = BufReader::new(process.stdout.take().ok_or("no standard output")?);
        let mut line = String::new();
        says.read_line(&mut line).map_err(|error| error.to_string())?;
        let port = line.split("://").nth(1).and_then(|it| it.split([':', '/']).nth(1)?.parse().ok());
        let Some(port) = port else {
            let _ = process.kill();
            return Err(format!("the server said {line:?} and not where it answers"));
        };
        Ok(Server { process, port, _says: says })
    }

    /// A line of the kernel's account of the process, in MB: `VmHWM` is the most memory it ever held, `VmRSS` what it
    /// holds now.
    pub fn memory(&self, line: &str) -> Result<f64, String> {
        let path = format!("/proc/{}/status", self.process.id());
        let text = std::fs::read_to_string(&path).map_err(|error| format!("{path}: {error}"))?;
        let found = text.lines().find_map(|it| it.strip_prefix(line)?.strip_prefix(':'));
        let kib = found.and_then(|it| it.split_whitespace().next()?.parse::<f64>().ok());
        Ok(kib.ok_or(format!("{path} has no {line}"))? * 1024.0 / 1e6)
    }

    /// Seconds of processor time so far, in the program and in the kernel for it.
    pub fn processor(&self) -> Result<f64, String> {
        processor_of(&self.process.id().to_string())
    }

    /// Asks it to end, and waits.
    pub fn stop(mut self) -> Result<(), String> {
        let id = self.process.id().to_string();
        let asked = Command::new("kill").args(["-TERM", &id]).status();
        if !asked.is_ok_and(|it| it.success()) {
            return Err(format!("the server, process {id}, could not be asked to end"));
        }
        let ended = self.process.wait().map_err(|error| error.to_string())?;
        if ended.success() { Ok(()) } else { Err(format!("the server ended with {ended}")) }
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        let _ = self.process.kill();
        let _ = self.process.wait();
    }
}

/// Seconds of processor time of a process (`self`: this one), in the program and in the kernel for it.
pub fn processor_of(process: &str) -> Result<f64, String> {
    let path = format!("/proc/{process}/stat");
    let text = std::fs::read_to_string(&path).map_err(|error| format!("{path}: {error}"))?;
    // The name in brackets may hold spaces; fields 14 and 15 count in hundredths of a second.
    let fields = text.rsplit(')').next().unwrap_or("").split_whitespace();
    let ticks: f64 = fields.skip(11).take(2).filter_map(|it| it.parse::<f64>().ok()).sum();
    Ok(ticks / 100.0)
}
