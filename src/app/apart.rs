//! Where what a shop wrote is set: in a process apart, which the composition root starts.

use std::fmt;
use std::io;
use std::sync::Arc;

use super::AppError;
use crate::documents::apart::{Job, Outcome, outcomes};
use crate::documents::file_fault::{FileFault, FileFlaw};

/// Does a job in a process that has a time and a memory, and knows nothing else.
pub trait Apart: Send + Sync {
    /// Does the job; blocks until it is done or given up.
    ///
    /// # Errors
    /// When the process came to its bounds, or there was none.
    fn run(&self, job: &[u8]) -> Result<Vec<u8>, ApartError>;
}

/// Why a job was not done.
#[derive(Debug, thiserror::Error)]
pub enum ApartError {
    /// It takes too long.
    #[error("it was not done within {0} seconds")]
    Time(u64),
    /// It needs too much memory.
    #[error("it needs more than {0} MiB of memory")]
    Memory(u64),
    /// What comes of it is too large.
    #[error("it makes more than {0} MiB")]
    Size(u64),
    /// The process broke down over it.
    #[error("the process that set it broke down over it")]
    Broken,
    /// There is no process: a fault of the operator or of this program.
    #[error("the printing process could not be used")]
    NoProcess(#[source] io::Error),
}

/// Sets what a shop wrote.
#[derive(Clone)]
pub struct Press(Arc<dyn Apart>);

impl fmt::Debug for Press {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str("Press")
    }
}

impl Default for Press {
    fn default() -> Self {
        Self(Arc::new(Nowhere))
    }
}

/// Stands in where nobody gave a process.
struct Nowhere;

impl Apart for Nowhere {
    fn run(&self, _job: &[u8]) -> Result<Vec<u8>, ApartError> {
        let error = io::Error::new(io::ErrorKind::Unsupported, "none was set up");
        Err(ApartError::NoProcess(error))
    }
}

impl Press {
    /// With that process.
    pub fn new(apart: Arc<dyn Apart>) -> Self {
        Self(apart)
    }

    /// What comes of a job. One that comes to the bounds of the process is a fault of the template.
    ///
    /// # Errors
    /// When there is no process, or it cannot be understood.
    pub fn set(&self, job: &Job) -> Result<Vec<Outcome>, AppError> {
        let broken = |error| AppError::Document(Box::new(error));
        match self.0.run(&job.message().map_err(broken)?) {
            Ok(answer) => outcomes(&answer).map_err(broken),
            Err(error @ ApartError::NoProcess(_)) => Err(AppError::Document(Box::new(error))),
            Err(bound) => {
                let detail = format!("{bound}; take out what repeats or grows, and try it again");
                Ok(vec![Err(vec![FileFault::whole(
                    FileFlaw::TooCostly,
                    detail,
                )])])
            }
        }
    }

    /// The bytes of a job that makes one thing.
    ///
    /// # Errors
    /// [`AppError::File`] with the faults of the template, told by `detail`.
    pub fn set_one(&self, job: &Job, detail: impl FnOnce() -> String) -> Result<Vec<u8>, AppError> {
        let mut outcomes = self.set(job)?;
        match outcomes.pop() {
            Some(Ok(bytes)) => Ok(bytes),
            Some(Err(faults)) => Err(AppError::File {
                detail: detail(),
                faults,
            }),
            None => Err(AppError::Document(Box::new(ApartError::Broken))),
        }
    }
}
