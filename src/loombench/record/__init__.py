"""The event store."""
