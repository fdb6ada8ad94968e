"""What answers every request: middleware, errors, health, static files, storage, the supervisor."""
