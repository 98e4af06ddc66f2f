//! A bounded pool for work that keeps a processor busy: rendering, cut plans, simulation.
//!
//! Such work never runs on the threads that serve requests, and when too much of it waits the
//! answer is an honest 503.

use super::problem::{Problem, Slug};
use std::sync::Arc;
use tokio::sync::Semaphore;

/// The pool. Clones share it.
#[derive(Debug, Clone)]
pub struct HeavyPool {
    /// Places for jobs that run or wait.
    places: Arc<Semaphore>,
    /// Places for jobs that run.
    workers: Arc<Semaphore>,
}

impl HeavyPool {
    /// That many at once, and that many more waiting. At least one works.
    pub fn new(workers: usize, queue: usize) -> Self {
        let workers = workers.max(1);
        Self {
            places: Arc::new(Semaphore::new(workers.saturating_add(queue))),
            workers: Arc::new(Semaphore::new(workers)),
        }
    }

    /// Runs one job off the serving threads. A job that has begun keeps its place until it ends,
    /// even when nobody waits for it any more.
    ///
    /// # Errors
    /// 503 when the queue is full, 500 when the job panics.
    pub async fn run<T: Send + 'static>(
        &self,
        job: impl FnOnce() -> T + Send + 'static,
    ) -> Result<T, Problem> {
        let place = Arc::clone(&self.places)
            .try_acquire_owned()
            .map_err(|_| Problem::new(Slug::Busy).with_retry_after(2))?;
        let worker = Arc::clone(&self.workers)
            .acquire_owned()
            .await
            .map_err(|error| Problem::internal(&error))?;
        let span = tracing::Span::current();
        let task = tokio::task::spawn_blocking(move || {
            let _held = (place, worker);
            span.in_scope(job)
        });
        task.await.map_err(|error| Problem::internal(&error))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::mpsc;

    #[tokio::test(flavor = "multi_thread", worker_threads = 2)]
    async fn a_full_queue_is_refused_and_a_free_one_works() {
        let pool = HeavyPool::new(1, 1);
        let (release, wait) = mpsc::channel::<()>();
        let first = tokio::spawn({
            let pool = pool.clone();
            async move { pool.run(move || wait.recv().is_ok()).await }
        });
        while pool.workers.available_permits() > 0 {
            tokio::task::yield_now().await;
        }
        let second = tokio::spawn({
            let pool = pool.clone();
            async move { pool.run(|| 2).await }
        });
        while pool.places.available_permits() > 0 {
            tokio::task::yield_now().await;
        }
        let refused = pool.run(|| 3).await.unwrap_err();
        assert_eq!(refused.slug(), Slug::Busy);
        release.send(()).unwrap();
        assert!(first.await.unwrap().unwrap());
        assert_eq!(second.await.unwrap().unwrap(), 2);
        assert_eq!(pool.run(|| 4).await.unwrap(), 4);
    }

    #[tokio::test]
    async fn a_job_that_panics_is_a_problem_and_frees_its_place() {
        let pool = HeavyPool::new(1, 0);
        let failed = pool.run(|| panic!("for the test")).await;
        assert_eq!(failed.map(|()| 0).unwrap_err().slug(), Slug::InternalError);
        assert_eq!(pool.run(|| 1).await.unwrap(), 1);
    }
}
