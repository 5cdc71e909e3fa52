"""Farm files in and out: fields, faults, merging, and the way to inputs."""
