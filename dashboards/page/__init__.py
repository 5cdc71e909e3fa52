"""One printed page that lays a plan before whoever did not ask for it."""
