//! SQL, and the only place that knows it.
