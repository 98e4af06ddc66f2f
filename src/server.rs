//! The server: bind, serve, stop gracefully.
