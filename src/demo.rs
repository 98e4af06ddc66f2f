//! The demo shop and its walk through the whole main job.
