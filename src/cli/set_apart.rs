//! `offtake set-apart`: does one job of setting what a shop wrote. The service starts it; people have no use for it.
//!
//! It reads the job on standard input and writes what came of it on standard output. It knows no database and no
//! environment, and bounds itself before it reads anything.

use super::Outcome;
use crate::documents::apart::answer;
use clap::Args;
use rustix::process::{Resource, Rlimit, getrlimit, setrlimit};
use std::io::{self, Read as _, Write as _};

/// Its bounds.
#[derive(Debug, Clone, Args)]
pub struct SetApartArgs {
    /// MiB of memory
    #[arg(long)]
    pub memory: u64,
    /// Seconds of work
    #[arg(long)]
    pub seconds: u64,
}

/// Runs it.
pub fn run(args: &SetApartArgs) -> Outcome {
    bound(args)?;
    let mut job = Vec::new();
    io::stdin().lock().read_to_end(&mut job)?;
    let answer = answer(&job)?;
    let mut out = io::stdout().lock();
    out.write_all(&answer)?;
    out.flush()?;
    Ok(())
}

/// Memory is what the process writes to; where the kernel does not bound that, time still is bounded. It leaves no
/// file behind, not even when it breaks down.
fn bound(args: &SetApartArgs) -> io::Result<()> {
    let bytes = args.memory.saturating_mul(1024 * 1024);
    for (resource, amount) in [
        (Resource::Core, 0),
        (Resource::Fsize, 0),
        (Resource::Cpu, args.seconds),
        (Resource::Data, bytes),
    ] {
        // Whoever runs the service may have set a lower bound, which nobody can raise again.
        let allowed = getrlimit(resource).maximum.unwrap_or(u64::MAX);
        let most = Some(amount.min(allowed));
        let bound = Rlimit {
            current: most,
            maximum: most,
        };
        setrlimit(resource, bound)?;
    }
    Ok(())
}
