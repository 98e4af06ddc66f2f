//! Starts this very program anew, to set what a shop wrote.

use std::io::{self, Read, Write as _};
use std::os::unix::process::ExitStatusExt as _;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, ExitStatus, Stdio};
use std::sync::mpsc;
use std::thread;
use std::time::Duration;

use crate::app::apart::{Apart, ApartError};

/// Seconds that a job may take.
const SECONDS: u64 = 10;
/// MiB of memory that it may use.
const MEMORY: u64 = 1024;
/// MiB that may come of it.
const SIZE: u64 = 32;
/// Bytes of what it says when it breaks down that are read.
const MOST_NOTES: u64 = 16 * 1024;
/// Sent when the seconds that `setrlimit` allows are used up (signal(7)).
const SIGXCPU: i32 = 24;

/// This program, in a process of its own for each job.
#[derive(Debug, Clone)]
pub struct OwnProcess {
    program: PathBuf,
}

impl OwnProcess {
    /// This program.
    ///
    /// # Errors
    /// When nobody knows where it is.
    pub fn new() -> io::Result<Self> {
        // The link still leads to this program when its file was replaced meanwhile, by an update.
        let link = Path::new("/proc/self/exe");
        let program = match link.exists() {
            true => link.to_owned(),
            false => std::env::current_exe()?,
        };
        Ok(Self { program })
    }

    fn start(&self) -> io::Result<Child> {
        Command::new(&self.program)
            .arg("set-apart")
            .args(["--memory", &MEMORY.to_string()])
            .args(["--seconds", &SECONDS.to_string()])
            .env_clear()
            // Threads beyond one would need memory of their own, and another's job has the other processors.
            .env("RAYON_NUM_THREADS", "1")
            .current_dir("/")
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
    }
}

/// What a process did.
struct Run {
    /// What it wrote; `None` when it was not done in time.
    answer: Option<Vec<u8>>,
    /// What it said when it broke down.
    notes: String,
    status: ExitStatus,
}

impl Apart for OwnProcess {
    fn run(&self, job: &[u8]) -> Result<Vec<u8>, ApartError> {
        let run = self
            .start()
            .and_then(|child| attend(child, job))
            .map_err(ApartError::NoProcess)?;
        let Some(answer) = run.answer else {
            return Err(ApartError::Time(SECONDS));
        };
        if answer.len() as u64 > SIZE * 1024 * 1024 {
            return Err(ApartError::Size(SIZE));
        }
        if run.status.success() {
            return Ok(answer);
        }
        if run.status.signal() == Some(SIGXCPU) {
            return Err(ApartError::Time(SECONDS));
        }
        // How Rust's standard library says that there is no memory left, before it aborts.
        if run.notes.contains("memory allocation of") {
            return Err(ApartError::Memory(MEMORY));
        }
        tracing::warn!(status = %run.status, notes = %run.notes, "a printing process broke down");
        Err(ApartError::Broken)
    }
}

/// Gives a process its job and waits for it, no longer than it may take.
fn attend(mut child: Child, job: &[u8]) -> io::Result<Run> {
    let stdin = child.stdin.take();
    let (stdout, stderr) = (child.stdout.take(), child.stderr.take());
    thread::scope(|scope| {
        let (done, wait) = mpsc::channel();
        scope.spawn(move || {
            // One that ended early does not read it all; its status says why.
            let _ = stdin.map(|mut stdin| stdin.write_all(job));
        });
        let notes = scope.spawn(move || read(stderr, MOST_NOTES));
        scope.spawn(move || {
            let answer = read(stdout, SIZE * 1024 * 1024 + 1);
            let _ = done.send(answer);
        });
        let answer = wait.recv_timeout(Duration::from_secs(SECONDS)).ok();
        let too_large = answer
            .as_ref()
            .is_some_and(|answer| answer.len() as u64 > SIZE * 1024 * 1024);
        if answer.is_none() || too_large {
            child.kill()?;
        }
        let status = child.wait()?;
        let notes = notes.join().unwrap_or_default();
        Ok(Run {
            answer,
            notes: String::from_utf8_lossy(&notes).into_owned(),
            status,
        })
    })
}

fn read(from: Option<impl Read>, most: u64) -> Vec<u8> {
    let mut bytes = Vec::new();
    if let Some(from) = from {
        // What could be read until a pipe broke is what there is.
        let _ = from.take(most).read_to_end(&mut bytes);
    }
    bytes
}
