//! What people read: drawings and quote papers.
